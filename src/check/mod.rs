//! Checks of what has to hold.
//!
//! [`invariants`], [`reread`] and [`untouched`] check an alteration; [`second`] checks what was read whenever something is
//! measured. The look-over before marker making is `run`: it applies every check of [`rules::ALL`] to every piece and size,
//! and [`against`] where there is an original to compare with.

pub mod against;
mod allowances;
pub mod invariants;
pub mod reread;
pub mod rules;
mod run;
pub mod second;
pub mod sheet;
pub mod size_order;
pub mod steps;
mod trousers;
pub mod turned;
pub mod unlike;
pub mod untouched;

pub use against::By;
pub use run::run;
pub use sheet::Sheet;
