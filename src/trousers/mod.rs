//! The parts of trousers, independent of any drawing or job: seams and their names, allowances, and what is turned in.

mod allowances;
mod garment;
mod label;
mod measures;
mod pair;
mod seam_role;
mod turned_in;

pub use allowances::Allowances;
pub use garment::says_trousers;
pub use label::{LabelKey, LabelTexts};
pub use measures::{LEGS, MEASURES};
pub use pair::{Pair, Part};
pub use seam_role::SeamRole;
pub use turned_in::TurnedIn;
