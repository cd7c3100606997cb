//! # What it finds
//! A grain line of which an end lies outside its piece.
//! # Why it matters on the cutting table
//! The arrow is taken for a neighbour's, or the piece was moved without its grain line and lies askew.
//! # How it is measured
//! Both ends of the longest line on the grain layer against the cut line (the sew line where there
//! is no other). Between its ends a grain line may pass over the hollow of a curved piece.
//! # Tolerance
//! `grain_edge`, 1 mm.
//! # Where the tolerance comes from
//! A line drawn up to the edge and rounded (common practice, no source).

use super::{Look, Rule};
use crate::check::sheet::{Sheet, boundary};
use crate::finding::{Finding, FindingId};
use crate::pattern::{LayerUse, Path, Piece};
use kurbo::Point;

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
        let away = super::walk::distance(&outline.points, true, p);
        if inside(&outline.points, p) { 0.0 } else { away }
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

/// The grain line.
pub(super) fn line(piece: &Piece) -> Option<&Path> {
    let length = |p: &Path| (p.points[p.points.len() - 1] - p.points[0]).hypot();
    piece
        .paths_of(LayerUse::Grain)
        .max_by(|a, b| length(a).total_cmp(&length(b)))
        .filter(|p| length(p) > 1e-6)
}

/// Whether a point lies within a closed line: an odd number of its edges crosses the ray to the right.
fn inside(points: &[Point], p: Point) -> bool {
    let n = points.len();
    (0..n)
        .filter(|&i| {
            let (a, b) = (points[i], points[(i + 1) % n]);
            (a.y > p.y) != (b.y > p.y) && p.x < a.x + (p.y - a.y) * (b.x - a.x) / (b.y - a.y)
        })
        .count()
        % 2
        == 1
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A pocket with a notch cut into its upper edge, its slanted sides of 3 to 4.
    #[test]
    fn a_point_lies_within_a_hollow_outline_or_without() {
        let outline =
            [(20.0, 10.0), (70.0, 10.0), (100.0, 50.0), (60.0, 30.0), (50.0, 50.0)].map(Point::from);
        for ((x, y), within) in [
            ((40.0, 20.0), true),
            ((71.0, 20.0), true),
            // The right side is at x = 77.5 where y = 20, the left one at 27.5.
            ((77.0, 20.0), true),
            ((78.0, 20.0), false),
            ((28.0, 20.0), true),
            ((27.0, 20.0), false),
            // In the notch between the two peaks, and in the peaks.
            ((60.0, 40.0), false),
            ((47.0, 40.0), true),
            ((86.0, 40.0), true),
            ((93.0, 40.0), false),
            ((42.0, 40.0), false),
            ((60.0, 9.0), false),
            ((60.0, 51.0), false),
            ((-60.0, 20.0), false),
            ((160.0, 20.0), false),
            // At the height of a corner.
            ((50.0, 30.0), true),
            ((-5.0, 30.0), false),
            ((10.0, 10.0), false),
        ] {
            assert_eq!(inside(&outline, Point::new(x, y)), within, "{x} {y}");
        }
    }
}
