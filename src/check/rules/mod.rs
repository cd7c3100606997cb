//! The look-over before marker making: one check a file, and the one list of them.
//!
//! Every file opens with the same five headings: what it finds, why it matters on the cutting table,
//! how it is measured, its tolerance (the job file's key under `[tolerance]`), and where that comes
//! from. A new check is a file with its `RULE`, and its line in [`ALL`]; its tolerance is a line of
//! [`crate::job::Tolerances`], its finding's id a line of [`crate::finding::FindingId`].

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

use super::sheet::Sheet;
use crate::finding::Finding;
use crate::pattern::Piece;

/// A check.
pub struct Rule {
    /// The id of its findings, which is its name.
    pub name: &'static str,
    /// What is so where it finds nothing, as a sentence.
    pub right: &'static str,
    /// Whether it measures lengths, or goes by seams that are found by lengths: both mean nothing where the unit
    /// is wrong.
    pub lengths: bool,
    /// Whether it looks at trouser legs alone, and so at nothing where none were recognised.
    pub of_legs: bool,
    /// What it looks at.
    pub look: Look,
}

/// What a check looks at.
#[derive(Clone, Copy)]
pub enum Look {
    /// One piece at a time; piece and size are filled in.
    Piece(fn(&Sheet<'_>, &Piece) -> Vec<Finding>),
    /// The whole drawing.
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
