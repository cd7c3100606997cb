//! The look-over before marker making: one file for each check, and one list of all checks.
//!
//! Every file opens with the same five headings: what the check finds, why it matters on the cutting table, how it is
//! measured, its tolerance (the key in the job file under `[tolerance]`), and where the tolerance comes from. A new check
//! consists of a file with its `RULE`, a line in [`ALL`], a line for its tolerance in [`crate::job::Tolerances`], and a line
//! for the id of its findings in [`crate::finding::FindingId`].

mod allowance_uneven;
mod corner_not_square;
mod crossing_outline;
mod fork_angle;
mod grade_step;
mod grain_askew;
mod grain_missing;
mod grain_outside;
mod grain_short;
mod half_unmarked;
mod inseam_mismatch;
mod label_differs;
mod label_missing;
mod mark_missing;
mod mark_outside;
mod notch_mismatch;
mod notch_off_edge;
mod open_outline;
mod outline_spike;
mod outseam_mismatch;
mod profile;
mod size_missing;
mod size_twice;
mod unit_doubtful;
mod walk;

pub use notch_mismatch::parted;

use super::sheet::Sheet;
use crate::finding::Finding;
use crate::pattern::Piece;

/// A check.
pub struct Rule {
    /// The name of the check, which is also the id of its findings.
    pub name: &'static str,
    /// A sentence that says what is right with a drawing in which the check finds nothing.
    pub right: &'static str,
    /// Whether the check measures lengths, or depends on seams that are found by their lengths: with a wrong unit both are
    /// meaningless.
    pub lengths: bool,
    /// Whether the check looks at trouser legs only, and so has nothing to look at where none were recognised.
    pub of_legs: bool,
    /// What it looks at.
    pub look: Look,
}

/// What a check looks at.
#[derive(Clone, Copy)]
pub enum Look {
    /// At one piece at a time; piece and size of the findings are filled in by the caller.
    Piece(fn(&Sheet<'_>, &Piece) -> Vec<Finding>),
    /// At the whole drawing.
    Drawing(fn(&Sheet<'_>) -> Vec<Finding>),
}

/// Every check there is.
pub const ALL: &[Rule] = &[
    unit_doubtful::RULE,
    open_outline::RULE,
    crossing_outline::RULE,
    outline_spike::RULE,
    label_missing::RULE,
    size_missing::RULE,
    size_twice::RULE,
    grain_missing::RULE,
    grain_outside::RULE,
    grain_short::RULE,
    grain_askew::RULE,
    label_differs::RULE,
    mark_missing::RULE,
    mark_outside::RULE,
    half_unmarked::RULE,
    notch_off_edge::RULE,
    allowance_uneven::RULE,
    inseam_mismatch::RULE,
    outseam_mismatch::RULE,
    notch_mismatch::RULE,
    fork_angle::RULE,
    corner_not_square::RULE,
    grade_step::RULE,
];
