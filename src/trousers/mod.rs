//! What trousers have, whatever a drawing or a job says of them: seams, names for them, allowances.

mod allowances;
mod label;
mod seam_role;

pub use allowances::Allowances;
pub use label::{LabelKey, LabelTexts};
pub use seam_role::SeamRole;
