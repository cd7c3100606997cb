//! # What it finds
//! A grain line that is too short for laying its piece.
//! # Why it matters on the cutting table
//! A short arrow cannot be measured to the selvedge: the piece lies askew and the leg twists.
//! # How it is measured
//! The length of the grain line as a share of the piece's length in the direction of the grain.
//! # Tolerance
//! `grain_length`, 8 %.
//! # Where the tolerance comes from
//! Derived: where a line of this share is laid to 1 mm at its end, the piece turns by 1/2 in over its length. That is the
//! most that is accepted (from memory).

use super::grain_outside::line;
use super::{Look, Rule};
use crate::check::sheet::{Sheet, boundary};
use crate::finding::{Finding, FindingId};
use crate::pattern::Piece;
use crate::units::against;

/// The check.
pub const RULE: Rule = Rule {
    name: "grain-short",
    right: "Grain lines are long enough to lay a piece by.",
    lengths: false,
    of_legs: false,
    look: Look::Piece(find),
};

fn find(sheet: &Sheet<'_>, piece: &Piece) -> Vec<Finding> {
    let (Some(grain), Some(outline)) = (line(piece), boundary(piece)) else { return Vec::new() };
    let run = grain.points[grain.points.len() - 1] - grain.points[0];
    let (low, high) = outline
        .points
        .iter()
        .map(|p| p.to_vec2().dot(run.normalize()))
        .fold((f64::MAX, f64::MIN), |(a, b), v| (a.min(v), b.max(v)));
    let least = sheet.tolerance.grain_length.factor() * (high - low);
    if run.hypot() >= least {
        return Vec::new();
    }
    let (long, least) = against(run.hypot(), least, 1);
    let message = format!(
        "the grain line is {long} mm long on a piece of {:.0} mm; draw it at least {least} mm long",
        high - low
    );
    vec![sheet.on_path(Finding::error(FindingId::GrainShort, message), piece, grain, 0, grain.points[0])]
}
