//! Walking: distances to lines, and the places along a seam where its notches stand.

use crate::pattern::near::Segments;
use crate::pattern::{LayerUse, MarkKind, nearest_share};
use crate::seam::{LegPiece, SeamRole, ring};
use kurbo::{Line, Point, Rect};

/// The place on a segment nearest to a point, as a share of it, and how far it is.
pub fn nearest(a: Point, b: Point, p: Point) -> (f64, f64) {
    let t = nearest_share(a, b, p);
    (t, (a + (b - a) * t - p).hypot())
}

/// The distance of a point from a line.
pub fn distance(points: &[Point], closed: bool, p: Point) -> f64 {
    edges(points, closed).map(|(a, b)| nearest(a, b, p).1).fold(f64::INFINITY, f64::min)
}

/// Whether a segment meets a line.
pub fn meets(line: &Segments, a: Point, b: Point) -> bool {
    let side = |p: Point, q: Point, r: Point| (q - p).cross(r - p);
    line.any(Rect::from_points(a, b), |Line { p0: c, p1: d }| {
        side(a, b, c) * side(a, b, d) <= 0.0 && side(c, d, a) * side(c, d, b) <= 0.0 && a != b && c != d
    })
}

fn edges(points: &[Point], closed: bool) -> impl Iterator<Item = (Point, Point)> + '_ {
    let n = points.len();
    let last = if closed { n } else { n.saturating_sub(1) };
    (0..last).map(move |i| (points[i], points[(i + 1) % n]))
}

/// A notch on a seam.
#[derive(Clone, Copy, Debug)]
pub struct OnSeam {
    /// How far from the seam's first corner, on the sew line.
    pub at: f64,
    /// Where it stands, in mm.
    pub place: Point,
    /// The byte of the file that says so.
    pub offset: u32,
}

/// The notches of a seam, from its first corner on. A notch at a corner of the piece marks the
/// corner and is none of them.
pub fn notches(leg: &LegPiece<'_>, role: SeamRole) -> Vec<OnSeam> {
    let piece = leg.piece;
    let marks = piece.marks.iter().filter(|m| matches!(m.kind, MarkKind::Notch { .. }));
    let slits = piece.paths_of(LayerUse::Notch).map(|slit| {
        let stroke = &piece.strokes[slit.from[0].stroke as usize];
        (slit.points[0], stroke.span.start)
    });
    let all = marks.map(|m| (m.at, m.place.x.start)).chain(slits);
    let ring = Segments::of(&leg.leg.ring, true);
    let stations = ring::stations(&leg.leg.seam(role));
    let on_seam = |(place, offset)| {
        let (edge, line, away) = ring.nearest(place)?;
        on_seam(leg, role, (edge, nearest(line.p0, line.p1, place).0, away), &stations, (place, offset))
    };
    let mut found: Vec<OnSeam> = all.filter_map(on_seam).collect();
    found.sort_by(|a, b| a.at.total_cmp(&b.at));
    found
}

/// The place of a notch along a seam with these stations, if the edge nearest to it, of which it is at that share and so far away,
/// is the seam's.
fn on_seam(
    leg: &LegPiece<'_>,
    role: SeamRole,
    (edge, share, best): (usize, f64, f64),
    stations: &[f64],
    (place, offset): (Point, u32),
) -> Option<OnSeam> {
    /// Further than any allowance, in mm, a mark belongs to no seam.
    const REACH: f64 = 60.0;
    let range = leg.leg.range(role);
    if best > REACH || !(*range.start()..*range.end()).contains(&edge) {
        return None;
    }
    let k = edge - range.start();
    let at = stations[k] + (stations[k + 1] - stations[k]) * share;
    let total = stations[stations.len() - 1];
    // The corner of the cut line is further from the sew line than its edges are.
    let corner = 1.5 * best + 2.0;
    (at > corner && at < total - corner).then_some(OnSeam { at, place, offset })
}
