//! What trousers have, whatever a drawing or a job says of them: seams, names for them, allowances, what is turned in.

mod allowances;
mod label;
mod measures;
mod pair;
mod seam_role;
mod turned_in;

pub use allowances::Allowances;
pub use label::{LabelKey, LabelTexts};
pub use measures::MEASURES;
pub use pair::{Pair, Part};
pub use seam_role::SeamRole;
pub use turned_in::TurnedIn;
