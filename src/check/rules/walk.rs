//! Walking along seams: distances to lines, and the places along a seam at which its notches stand.

use crate::alter::{Carried, Change};
use crate::geometry::{Nearest, Segments, line};
use crate::pattern::{LayerUse, Mark, MarkKind, Piece};
use crate::seam::{Leg, SeamRole};
use kurbo::{Line, Point, Rect, Vec2};
use std::collections::HashMap;

/// Whether a segment crosses or touches a line.
pub fn meets(line: &Segments, a: Point, b: Point) -> bool {
    let side = |p: Point, q: Point, r: Point| (q - p).cross(r - p);
    line.any(Rect::from_points(a, b), |Line { p0: c, p1: d }| {
        side(a, b, c) * side(a, b, d) <= 0.0 && side(c, d, a) * side(c, d, b) <= 0.0 && a != b && c != d
    })
}

/// A notch on a seam.
#[derive(Clone, Copy, Debug)]
pub struct OnSeam {
    /// The distance from the seam's first corner, along the sew line.
    pub at: f64,
    /// Where it stands, in mm.
    pub place: Point,
    /// The offset in the file at which the notch is written.
    pub offset: u32,
    /// Whether it stands so near to an end of the seam that it may mark the corner of the piece.
    pub at_corner: bool,
}

/// The notches of a piece: where each stands, and the offset in the file at which it is written.
pub fn drawn(piece: &Piece) -> impl Iterator<Item = (Point, u32)> {
    let is_notch = |m: &&Mark| matches!(m.kind, MarkKind::Notch { .. });
    let slits = piece.paths_of(LayerUse::Notch).map(|slit| {
        let stroke = &piece.strokes[slit.from[0].stroke as usize];
        (slit.points[0], stroke.span.start)
    });
    piece.marks.iter().filter(is_notch).map(|m| (m.at, m.place.x.start)).chain(slits)
}

/// The same after a change of the piece.
pub fn carried<'p>(piece: &'p Piece, change: &'p Change) -> impl Iterator<Item = (Point, u32)> {
    let Carried { marks, strokes, .. } = &change.carried;
    let moved = marks.iter().map(|&(i, shift)| (piece.marks[i].place.x.start, shift));
    let slits = strokes.iter().map(|&(i, shift)| (piece.strokes[i].span.start, shift));
    let moves: HashMap<u32, Vec2> = moved.chain(slits).collect();
    drawn(piece).map(move |(at, offset)| (at + moves.get(&offset).copied().unwrap_or_default(), offset))
}

/// The notches among these that stand on a seam, from its first corner on.
pub fn notches(leg: &Leg, role: SeamRole, drawn: impl Iterator<Item = (Point, u32)>) -> Vec<OnSeam> {
    let ring = Segments::of(&leg.ring, true);
    let stations = line::stations(&leg.seam(role));
    let on_seam = |(place, offset)| {
        let Nearest { edge, share, away, .. } = ring.nearest(place)?;
        on_seam(leg, role, (edge, share, away), &stations, (place, offset))
    };
    let mut found: Vec<OnSeam> = drawn.filter_map(on_seam).collect();
    found.sort_by(|a, b| a.at.total_cmp(&b.at));
    found
}

/// The place of a notch along a seam, if the edge nearest to the notch belongs to the seam. Given are the index of that edge,
/// the share of the edge at which the nearest place lies, the distance to it, and the stations of the seam's points.
fn on_seam(
    leg: &Leg,
    role: SeamRole,
    (edge, share, best): (usize, f64, f64),
    stations: &[f64],
    (place, offset): (Point, u32),
) -> Option<OnSeam> {
    /// A mark further from the sew line than any allowance, in mm, belongs to no seam.
    const REACH: f64 = 60.0;
    let range = leg.range(role);
    if best > REACH || !(*range.start()..*range.end()).contains(&edge) {
        return None;
    }
    let k = edge - range.start();
    let at = stations[k] + (stations[k + 1] - stations[k]) * share;
    let total = stations[stations.len() - 1];
    // A corner of the cut line is further from the sew line than the cut line's edges are.
    let corner = 1.5 * best + 2.0;
    Some(OnSeam { at, place, offset, at_corner: at <= corner || at >= total - corner })
}

#[cfg(test)]
mod tests {
    #![allow(clippy::float_cmp, reason = "the numbers are exact in binary")]
    use super::*;

    fn points(list: &[(f64, f64)]) -> Vec<Point> {
        list.iter().map(|&p| p.into()).collect()
    }

    #[test]
    fn a_slit_meets_the_edge_that_it_crosses_or_touches() {
        let edge = points(&[(10.0, 20.0), (50.0, 20.0), (50.0, 50.0)]);
        let meets =
            |closed, a: (f64, f64), b: (f64, f64)| meets(&Segments::of(&edge, closed), a.into(), b.into());
        for (slit, met) in [
            // Across the lower edge, across the right one, ending on an edge, and running along one.
            (((31.0, 17.0), (33.0, 26.0)), true),
            (((47.0, 41.0), (58.0, 44.0)), true),
            (((31.0, 27.0), (33.0, 20.0)), true),
            (((33.0, 20.0), (31.0, 27.0)), true),
            (((50.0, 24.0), (44.0, 27.0)), true),
            // Meeting an edge at its end.
            (((7.0, 18.0), (13.0, 22.0)), true),
            (((44.0, 47.0), (56.0, 53.0)), true),
            (((56.0, 53.0), (44.0, 47.0)), true),
            // Ending before an edge on either side, and passing beyond its ends.
            (((31.0, 21.0), (33.0, 26.0)), false),
            (((31.0, 11.0), (33.0, 19.0)), false),
            (((53.0, 41.0), (58.0, 44.0)), false),
            (((41.0, 41.0), (48.0, 44.0)), false),
            (((3.0, 13.0), (7.0, 27.0)), false),
            (((63.0, 13.0), (67.0, 27.0)), false),
            (((43.0, 57.0), (57.0, 53.0)), false),
            // A point crosses nothing.
            (((33.0, 20.0), (33.0, 20.0)), false),
        ] {
            assert_eq!(meets(false, slit.0, slit.1), met, "{slit:?}");
        }
        // Only a closed line has an edge from its last point to its first.
        assert!(meets(true, (27.0, 39.0), (33.0, 31.0)));
        assert!(!meets(false, (27.0, 39.0), (33.0, 31.0)));
        // An edge without length meets nothing.
        let none = Segments::of(&points(&[(33.0, 20.0), (33.0, 20.0)]), false);
        assert!(!super::meets(&none, (31.0, 14.0).into(), (35.0, 26.0).into()));
    }
}
