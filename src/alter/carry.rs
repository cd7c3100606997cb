//! Marks carried along with the lines they stand on.

use super::redrawn::Redrawn;
use crate::geometry::Segments;
use crate::geometry::edge::nearest_share;
use crate::pattern::{LayerUse, Mark, MarkKind, Path, Piece};
use crate::units::Mm;
use kurbo::{ParamCurve, Point, Vec2};

/// How far, in mm, a notch may stand from the edge and still belong to it: programs round coordinates, and some place the notch
/// at the end of its slit.
const ON_EDGE: f64 = 3.0;

/// A notch that stands further from the edge than that, but no further than this, in mm, was probably meant for it.
const NEAR_EDGE: f64 = 12.0;

/// How far, in mm, a turn or curve point or its rule text may stand from its vertex.
const ON_VERTEX: f64 = 0.6;

/// What the alteration of a piece moves besides its lines: marks, texts and whole strokes, in the order of their indices, each
/// with its movement in mm.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Carried {
    /// Marks of the piece.
    pub marks: Vec<(usize, Vec2)>,
    /// Texts of the piece.
    pub texts: Vec<(usize, Vec2)>,
    /// Strokes of the piece that are notches.
    pub strokes: Vec<(usize, Vec2)>,
    /// Notches that stay because they do not stand on the edge, although the edge near them was redrawn: each with its distance from
    /// the edge.
    pub left: Vec<(Point, Mm)>,
}

/// Finds the marks, texts and notches that move along with these redrawn lines; `back` are the places at which an inseam has
/// come back.
#[must_use]
pub fn carry(piece: &Piece, redrawn: &[Redrawn], back: &[Point]) -> Carried {
    let lines: Vec<BoxedLine<'_>> =
        redrawn.iter().map(|r| BoxedLine::new(&piece.paths[r.path], r, back)).collect();
    let mut carried = Carried::default();
    let of_mark = |mark: &Mark| match mark.kind {
        MarkKind::Turn | MarkKind::Curve => on_vertex(&lines, mark.at),
        MarkKind::Notch { .. } => on_edge(&lines, mark.at),
        MarkKind::Internal | MarkKind::Symbol => None,
    };
    for (i, mark) in piece.marks.iter().enumerate() {
        carried.marks.extend(moved(of_mark(mark)).map(|s| (i, s)));
        if matches!(mark.kind, MarkKind::Notch { .. }) {
            carried.left.extend(left(nearest(&lines, mark.at)).map(|d| (mark.at, d)));
        }
    }
    // A rule text belongs to the point at which it stands: to a mark on its layer (such as a notch between two vertices), else to
    // a vertex. Other texts are inside the piece and stay.
    for (i, text) in piece.texts.iter().enumerate().filter(|(_, t)| t.rule().is_some()) {
        if !lines.iter().any(|l| l.reach.contains(text.at)) {
            continue;
        }
        let distance = |mark: &&Mark| (mark.at - text.at).hypot();
        let marks = piece.marks.iter().filter(|m| distance(m) <= ON_VERTEX && m.layer == text.layer);
        let mark = marks.min_by(|a, b| distance(a).total_cmp(&distance(b)));
        let shift = mark.map_or_else(|| on_vertex(&lines, text.at), of_mark);
        carried.texts.extend(moved(shift).map(|s| (i, s)));
    }
    for path in piece.paths_of(LayerUse::Notch) {
        let ends = [path.points[0], path.points[path.points.len() - 1]];
        let nearest = ends.iter().filter_map(|&p| nearest(&lines, p)).min_by(|a, b| a.0.total_cmp(&b.0));
        carried.left.extend(left(nearest).map(|d| (path.points[0], d)));
        let shift = nearest.filter(|(d, _)| *d <= ON_EDGE).map(|(_, shift)| shift);
        carried.strokes.extend(moved(shift).map(|s| (path.from[0].stroke as usize, s)));
    }
    carried
}

/// How far from the edge a notch stands that was probably meant for it, where the edge moves.
fn left(nearest: Option<(f64, Vec2)>) -> Option<Mm> {
    let near = nearest.filter(|(d, shift)| *d > ON_EDGE && *d <= NEAR_EDGE && *shift != Vec2::ZERO);
    near.map(|(d, _)| Mm(d))
}

fn moved(shift: Option<Vec2>) -> Option<Vec2> {
    shift.filter(|s| *s != Vec2::ZERO)
}

/// A line with the bounding box of its moving part, so that marks elsewhere cost no time.
struct BoxedLine<'l> {
    points: &'l [Point],
    edges: Segments,
    redrawn: &'l Redrawn,
    reach: kurbo::Rect,
    /// The points in that box, sorted along its longer side. A densely drawn piece has as many marks as vertices, and comparing
    /// all with all would take most of the time of an alteration.
    sorted: Vec<(f64, u32)>,
    back: Vec<Back>,
}

/// An edge on whose way the line has come back, although no vertex shows where: the share of the edge, and whether the edge stays
/// beyond that or before it.
#[derive(Clone, Copy)]
struct Back {
    edge: usize,
    share: f64,
    stays_beyond: bool,
}

impl Back {
    /// The edge of a line beside the place `p`, if one of its ends moves and the other stays.
    fn of(points: &[Point], edges: &Segments, redrawn: &Redrawn, p: Point) -> Option<Self> {
        let at = edges.nearest(p)?;
        let stays = |i: usize| redrawn.moves[i % points.len()] == Vec2::ZERO;
        let is_divided = redrawn.added.iter().any(|new| new.after as usize == at.edge);
        let [before, beyond] = [stays(at.edge), stays(at.edge + 1)];
        (before != beyond && !is_divided).then_some(Back {
            edge: at.edge,
            share: at.share,
            stays_beyond: beyond,
        })
    }
}

impl<'l> BoxedLine<'l> {
    fn new(path: &'l Path, redrawn: &'l Redrawn, back: &[Point]) -> Self {
        let points = &path.points;
        let n = points.len();
        let edges = if path.closed { n } else { n.saturating_sub(1) };
        let moving = |i: usize| redrawn.moves[i] != Vec2::ZERO || redrawn.moves[(i + 1) % n] != Vec2::ZERO;
        let mut reach: Option<kurbo::Rect> = None;
        for i in (0..edges).filter(|&i| moving(i)) {
            let edge = kurbo::Rect::from_points(points[i], points[(i + 1) % n]);
            reach = Some(reach.map_or(edge, |r| r.union(edge)));
        }
        let reach = reach.map_or(kurbo::Rect::new(0.0, 0.0, -1.0, -1.0), |r| r.inflate(NEAR_EDGE, NEAR_EDGE));
        let segments = Segments::of(points, path.closed);
        let back = back.iter().filter_map(|&p| Back::of(points, &segments, redrawn, p)).collect();
        let mut line = BoxedLine { points, edges: segments, redrawn, reach, sorted: Vec::new(), back };
        let inside = (0..n).filter(|&i| reach.contains(points[i]));
        line.sorted =
            inside.map(|i| (line.distance_along(points[i]), u32::try_from(i).unwrap_or(u32::MAX))).collect();
        line.sorted.sort_unstable_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
        line
    }

    /// The position on the new line of the place at a share of an old edge. Beyond the place where the line has come back, that is where
    /// it was; of a long edge, the part up to there is stretched, and not the rest of it.
    fn carried(&self, edge: usize, share: f64) -> Point {
        let on_edge = |share: f64| self.redrawn.carried(self.points, edge, share);
        let Some(back) = self.back.iter().find(|back| back.edge == edge) else { return on_edge(share) };
        let [a, b] = [edge, (edge + 1) % self.points.len()].map(|i| self.points[i]);
        let beside = |share: f64| on_edge(nearest_share(on_edge(0.0), on_edge(1.0), a.lerp(b, share)));
        if back.stays_beyond == (share >= back.share) {
            return beside(share);
        }
        let moving = if back.stays_beyond { 0.0 } else { 1.0 };
        on_edge(moving).lerp(beside(back.share), (share - moving) / (back.share - moving))
    }

    fn distance_along(&self, p: Point) -> f64 {
        if self.reach.width() >= self.reach.height() { p.x } else { p.y }
    }

    /// The points of the line that may be within [`ON_VERTEX`] of `p`.
    fn vertices_near(&self, p: Point) -> impl Iterator<Item = usize> {
        let at = self.distance_along(p);
        let first = self.sorted.partition_point(|&(place, _)| place < at - ON_VERTEX);
        let near = self.sorted[first..].iter().take_while(move |&&(place, _)| place <= at + ON_VERTEX);
        near.map(|&(_, i)| i as usize)
    }
}

/// The movement of the vertex at `p`.
fn on_vertex(lines: &[BoxedLine<'_>], p: Point) -> Option<Vec2> {
    let near = lines
        .iter()
        .filter(|l| l.reach.contains(p))
        .flat_map(|l| l.vertices_near(p).map(move |i| ((l.points[i] - p).hypot(), l.redrawn.moves[i])));
    near.min_by(|a, b| a.0.total_cmp(&b.0)).filter(|(d, _)| *d <= ON_VERTEX).map(|(_, shift)| shift)
}

/// The movement of the edge at `p`.
fn on_edge(lines: &[BoxedLine<'_>], p: Point) -> Option<Vec2> {
    nearest(lines, p).filter(|(d, _)| *d <= ON_EDGE).map(|(_, shift)| shift)
}

/// The nearest edge's distance from `p`, and how far that place of the edge moves.
fn nearest(lines: &[BoxedLine<'_>], p: Point) -> Option<(f64, Vec2)> {
    let there = lines.iter().filter(|l| l.reach.contains(p));
    let nearest = there.filter_map(|line| line.edges.nearest(p).map(|at| (line, at)));
    nearest
        .min_by(|a, b| a.1.away.total_cmp(&b.1.away))
        .map(|(line, at)| (at.away, line.carried(at.edge, at.share) - at.line.eval(at.share)))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A knee notch on a long edge that comes back above it stays; otherwise front and back, whose long edges begin at other places, would
    /// be pulled along by different amounts and not match any more. (*Common practice, no source*: what lies below the knee stays.)
    #[test]
    fn a_notch_below_the_place_where_the_line_has_come_back_stays() {
        let points: Vec<Point> =
            [(0.0, 0.0), (0.0, -300.0), (100.0, -300.0), (100.0, 0.0)].map(Point::from).into();
        let path = Path {
            layer_use: LayerUse::Sew,
            points: points.into(),
            from: Vec::new(),
            twins: Vec::new(),
            closed: true,
        };
        let down = Vec2::new(0.0, -20.0);
        let redrawn =
            Redrawn { path: 0, moves: vec![down, Vec2::ZERO, Vec2::ZERO, Vec2::ZERO], added: Vec::new() };
        let at = |y: f64, back: &[Point]| {
            let line = BoxedLine::new(&path, &redrawn, back);
            nearest(&[line], Point::new(0.0, y)).map(|(_, moved)| moved)
        };
        let knee = [Point::new(0.0, -200.0)];
        for (y, back, moved) in [
            (-250.0, &knee[..], 0.0),
            (-200.0, &knee, 0.0),
            (-100.0, &knee, -10.0),
            (0.0, &knee, -20.0),
            (-150.0, &[], -10.0),
        ] {
            let found = at(y, back);
            let right = |by: Vec2| (by - Vec2::new(0.0, moved)).hypot() < 1e-9;
            assert!(found.is_some_and(right), "{y}: {found:?}");
        }
    }
}
