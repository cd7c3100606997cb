//! # What it finds
//! A drill hole, mark or internal line that lies outside its piece.
//! # Why it matters on the cutting table
//! The drill goes through the neighbouring piece in the marker.
//! # How it is measured
//! Points on the layers of internal lines and drill holes are tested against the cut line (the sew line where there is no cut
//! line). A line is reported only if none of its points is inside: a line that runs on over the edge, such as a crease line
//! drawn through the hem, is usual.
//! # Tolerance
//! `mark_edge`, 1 mm.
//! # Where the tolerance comes from
//! As for notches: a mark may stand on the edge, and the outline has chords in place of curves (common practice, no source).

use super::{Look, Rule, walk};
use crate::check::sheet::{Sheet, boundary};
use crate::finding::{Finding, FindingId};
use crate::geometry::{Nearest, Segments, ring};
use crate::pattern::{LayerUse, Mark, MarkKind, Path, Piece};
use crate::words::escaped;
use kurbo::Point;

/// The check.
pub const RULE: Rule = Rule {
    name: "mark-outside",
    right: "Drill holes, marks and internal lines lie inside their pieces.",
    lengths: true,
    of_legs: false,
    look: Look::Piece(find),
};

fn find(sheet: &Sheet<'_>, piece: &Piece) -> Vec<Finding> {
    let marks: Vec<&Mark> =
        piece.marks.iter().filter(|m| m.kind == MarkKind::Internal && sheet.is_internal(&m.layer)).collect();
    let lines: Vec<&Path> = piece.paths_of(LayerUse::Internal).collect();
    let Some(outline) = boundary(piece).filter(|_| !marks.is_empty() || !lines.is_empty()) else {
        return Vec::new();
    };
    let outline = Outline::new(&outline.points);
    let most = sheet.tolerance.mark_edge.0;
    let mut findings = Vec::new();
    for mark in marks {
        let away = outline.beyond(mark.at);
        if away > most {
            let message = format!(
                "a drill hole or mark (layer {}) lies {away:.1} mm outside its piece; put it where it belongs, or take it \
                 out",
                escaped(&mark.layer)
            );
            let finding = Finding::error(FindingId::MarkOutside, message);
            findings.push(sheet.at_offset(finding, piece, mark.at, mark.place.x.start));
        }
    }
    for line in lines {
        let away = line.points.iter().map(|&p| outline.beyond(p)).fold(f64::INFINITY, f64::min);
        let crosses = || line.points.windows(2).any(|w| walk::meets(&outline.edges, w[0], w[1]));
        if away > most && !crosses() {
            let message = format!(
                "an internal line lies {away:.1} mm outside its piece; put it where it belongs, or take it out"
            );
            let finding = Finding::error(FindingId::MarkOutside, message);
            findings.push(sheet.on_path(finding, piece, line, 0, line.points[0]));
        }
    }
    findings
}

/// An outline that tells whether a place is inside or outside.
struct Outline {
    /// Its points, with no point repeated directly.
    points: Vec<Point>,
    edges: Segments,
    /// By how much it turns at each point, positive where it is convex.
    turns: Vec<f64>,
    /// 1 where it runs counter-clockwise, else −1.
    way: f64,
}

impl Outline {
    fn new(points: &[Point]) -> Self {
        let mut points = points.to_vec();
        points.dedup();
        while points.len() > 1 && points.first() == points.last() {
            points.pop();
        }
        let way = ring::doubled_area(&points).signum();
        let n = points.len();
        let turn =
            |i: usize| (points[i] - points[(i + n - 1) % n]).cross(points[(i + 1) % n] - points[i]) * way;
        let turns = (0..n).map(turn).collect();
        Outline { edges: Segments::of(&points, true), turns, way, points }
    }

    /// How far a place is outside the outline; 0 if it is inside. Where an edge is nearest to the place, the place is inside
    /// if it lies on the inner side of the edge; where a corner is nearest, the place is inside if the corner is concave.
    fn beyond(&self, p: Point) -> f64 {
        let Some(Nearest { edge: i, line: edge, share, away }) = self.edges.nearest(p) else { return 0.0 };
        let inside = if share <= 0.0 {
            self.turns[i] < 0.0
        } else if share >= 1.0 {
            self.turns[(i + 1) % self.points.len()] < 0.0
        } else {
            (edge.p1 - edge.p0).cross(p - edge.p0) * self.way > 0.0
        };
        if inside { 0.0 } else { away }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A pocket with a notch cut into its upper edge, drawn in both directions.
    #[test]
    fn a_place_is_inside_or_so_far_outside() {
        let mut points =
            [(20.0, 10.0), (70.0, 10.0), (100.0, 50.0), (60.0, 30.0), (50.0, 50.0), (20.0, 10.0)]
                .map(Point::from);
        for _ in 0..2 {
            let outline = Outline::new(&points);
            for ((x, y), away) in [
                ((40.0, 20.0), 0.0),
                ((60.0, 28.0), 0.0),
                // Below the piece; beyond a corner, a 3-4-5 triangle away; in the notch, nearest to the sides of its concave
                // corner.
                ((40.0, 6.0), 4.0),
                ((17.0, 6.0), 5.0),
                ((103.0, 54.0), 5.0),
            ] {
                let found = outline.beyond(Point::new(x, y));
                assert!((found - away).abs() < 1e-9, "{x} {y}: {found}");
            }
            assert!(outline.beyond(Point::new(60.0, 40.0)) > 0.0);
            points.reverse();
        }
    }
}
