//! # What it finds
//! A grain line with an end outside its piece.
//! # Why it matters on the cutting table
//! The arrow is taken for that of a neighbouring piece, or the piece was moved without its grain line and lies askew.
//! # How it is measured
//! Both ends of the longest line on the grain layer are tested against the cut line (the sew line where there is no cut
//! line). Between its ends a grain line may leave the piece across the hollow of a curve.
//! # Tolerance
//! `grain_edge`, 1 mm.
//! # Where the tolerance comes from
//! A line may be drawn up to the edge and be rounded (common practice, no source).

use super::{Look, Rule};
use crate::check::sheet::{Sheet, boundary};
use crate::finding::{Finding, FindingId};
use crate::geometry::{line, within::contains};
use crate::pattern::{LayerUse, Path, Piece};

/// The check.
pub const RULE: Rule = Rule {
    name: "grain-outside",
    right: "Grain lines lie inside their pieces.",
    lengths: true,
    of_legs: false,
    look: Look::Piece(find),
};

fn find(sheet: &Sheet<'_>, piece: &Piece) -> Vec<Finding> {
    let (Some(grain), Some(outline)) = (line(piece), boundary(piece)) else { return Vec::new() };
    let last = grain.points.len() - 1;
    let beyond = |i: usize| {
        let p = grain.points[i];
        let away = line::distance(&outline.points, true, p);
        if contains(&outline.points, p) { 0.0 } else { away }
    };
    let (end, away) =
        [0, last].map(|i| (i, beyond(i))).into_iter().fold((0, 0.0), |a, b| if b.1 > a.1 { b } else { a });
    if away <= sheet.tolerance.grain_edge.0 {
        return Vec::new();
    }
    let message = format!(
        "the grain line ends {away:.2} mm outside the piece; move it into the piece, keeping its direction"
    );
    let finding = Finding::error(FindingId::GrainOutside, message);
    vec![sheet.on_path(finding, piece, grain, end, grain.points[end])]
}

/// The grain line: the longest line on the grain layer.
pub(super) fn line(piece: &Piece) -> Option<&Path> {
    let length = |p: &Path| (p.points[p.points.len() - 1] - p.points[0]).hypot();
    piece
        .paths_of(LayerUse::Grain)
        .max_by(|a, b| length(a).total_cmp(&length(b)))
        .filter(|p| length(p) > 1e-6)
}
