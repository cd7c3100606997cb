//! The displacements of the vertices between graded points.
//!
//! Between two graded points the displacement changes from one to the other in proportion to the distance along the edge
//! (*common practice, no source*: the grade is split in proportion between the points that have one). Used alone, this would put
//! a corner into a curve at every graded point on it: on a size range of seven trousers, 1 to 6 degrees at the outermost sizes.
//! So where the line runs smoothly through a graded point, the displacement does too: it is the cubic through the displacements
//! at the graded points with the slopes of F. N. Fritsch and J. Butland (*SIAM Journal on Scientific and Statistical Computing* 5
//! (1984), 300–304), which overshoots neither of its ends. At a corner the slope is free (no bending moment, as for a natural
//! spline). A straight edge uses plain proportion, which keeps it straight; a curve that runs into it takes on its slope.
//!
//! The alternative is to turn and stretch each span as a whole to its new end points. It was rejected: it keeps the shape of each
//! span exactly but turns its ends, and its deviations from drawn sizes were up to half as large again as those of proportion.

use crate::geometry::{edge::nearest_share, line};
use kurbo::{Point, Vec2};

/// An edge that stays within this distance, in mm, of the chord between two graded points is straight. Exports round to 0.01 mm
/// or 0.001 in.
const STRAIGHT: f64 = 0.05;

/// A line that turns by less than this, in degrees, at a point is smooth there. The vertices of drawn curves turn by up to 20
/// degrees where the curve is bent most; the corners of a piece turn by 50 and more.
const SMOOTH: f64 = 25.0;

/// The displacements of all points, given those of the graded ones. Before the first and after the last graded point of an open
/// line, the points move with that point. `None` if no point is graded.
#[must_use]
pub fn between(points: &[Point], closed: bool, graded: &[Option<Vec2>]) -> Option<Vec<Vec2>> {
    let known: Vec<(usize, Vec2)> = graded.iter().enumerate().filter_map(|(i, d)| Some((i, (*d)?))).collect();
    let (&first, &last) = (known.first()?, known.last()?);
    let mut moves = vec![first.1; points.len()];
    if closed && known.len() > 1 {
        let spans: Vec<Span> =
            (0..known.len()).map(|k| Span::new(points, known[k], known[(k + 1) % known.len()])).collect();
        fill(&mut moves, points, &spans, true);
    } else if known.len() > 1 {
        moves[last.0..].fill(last.1);
        let spans: Vec<Span> = known.windows(2).map(|k| Span::new(points, k[0], k[1])).collect();
        fill(&mut moves, points, &spans, false);
    }
    Some(moves)
}

/// A place on a line between its points, and its displacement.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Waypoint {
    /// The index of the point before it.
    pub after: usize,
    /// Its share of the way to the next point, from 0 to 1.
    pub share: f64,
    /// Its displacement, in mm.
    pub shift: Vec2,
}

/// As [`between`], with further places whose displacement is known; these must be in the order in which they lie on the line.
#[must_use]
pub fn between_with(
    points: &[Point],
    closed: bool,
    graded: &[Option<Vec2>],
    waypoints: &[Waypoint],
) -> Option<Vec<Vec2>> {
    let (mut line, mut known, mut own) = (Vec::new(), Vec::new(), Vec::new());
    let mut more = waypoints.iter().peekable();
    for (i, (&p, &shift)) in points.iter().zip(graded).enumerate() {
        own.push(line.len());
        line.push(p);
        known.push(shift);
        while let Some(w) = more.next_if(|w| w.after == i) {
            line.push(p.lerp(points[(i + 1) % points.len()], w.share));
            known.push(Some(w.shift));
        }
    }
    let moves = between(&line, closed, &known)?;
    Some(own.into_iter().map(|i| moves[i]).collect())
}

/// The stretch between two graded points on which a place lies.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Stretch {
    /// The graded point at which it begins.
    pub from: usize,
    /// Whether it is straight.
    pub straight: bool,
    /// The distance along the edge from the graded point before.
    pub before: f64,
    /// The distance along the edge to the graded point after.
    pub after: f64,
}

/// The stretch that contains the place at `share` of the way from point `after` to the next one. `None` beyond the first and last
/// graded point of an open line, and on a line with fewer than two graded points.
#[must_use]
pub fn stretch(
    points: &[Point],
    closed: bool,
    graded: &[Option<Vec2>],
    after: usize,
    share: f64,
) -> Option<Stretch> {
    let known: Vec<(usize, Vec2)> = graded.iter().enumerate().filter_map(|(i, d)| Some((i, (*d)?))).collect();
    let next = known.partition_point(|(i, _)| *i <= after);
    let inner = next > 0 && next < known.len();
    if known.len() < 2 || !(inner || closed) {
        return None;
    }
    let (from, to) = (known[(next + known.len() - 1) % known.len()], known[next % known.len()]);
    let span = Span::new(points, from, to);
    let k = span.index.iter().position(|&i| i == after)?;
    let at = span.at[k] + share * (span.at.get(k + 1)? - span.at[k]);
    Some(Stretch { from: from.0, straight: span.straight, before: at, after: span.length() - at })
}

/// The stretch between two consecutive graded points.
struct Span {
    /// The indices of its points, including both graded ones.
    index: Vec<usize>,
    /// The distance of each along the edge from the first.
    at: Vec<f64>,
    from: Vec2,
    to: Vec2,
    straight: bool,
}

impl Span {
    fn new(points: &[Point], from: (usize, Vec2), to: (usize, Vec2)) -> Self {
        let n = points.len();
        let steps = if to.0 > from.0 { to.0 - from.0 } else { to.0 + n - from.0 };
        let index: Vec<usize> = (0..=steps).map(|k| (from.0 + k) % n).collect();
        let line: Vec<Point> = index.iter().map(|&i| points[i]).collect();
        let (a, b) = (line[0], line[steps]);
        let off = |p: Point| (a + (b - a) * nearest_share(a, b, p) - p).hypot();
        let straight = line.iter().all(|&p| off(p) <= STRAIGHT);
        Span { index, at: line::stations(&line), from: from.1, to: to.1, straight }
    }

    fn length(&self) -> f64 {
        self.at[self.at.len() - 1]
    }

    /// The change of the displacement per mm along the edge.
    fn slope(&self) -> Vec2 {
        if self.length() > 0.0 { (self.to - self.from) / self.length() } else { Vec2::ZERO }
    }
}

fn fill(moves: &mut [Vec2], points: &[Point], spans: &[Span], closed: bool) {
    let count = spans.len();
    // For each span the slopes at its start and at its end; `None` if they are free.
    let mut begin: Vec<Option<Vec2>> = vec![None; count];
    let mut end = begin.clone();
    for k in 0..count {
        if k == 0 && !closed {
            continue;
        }
        let before = (k + count - 1) % count;
        let slope = through(points, &spans[before], &spans[k]);
        (end[before], begin[k]) = (slope, slope);
    }
    for (k, span) in spans.iter().enumerate() {
        let (length, rise) = (span.length(), span.slope());
        let (m0, m1) = if span.straight { (rise, rise) } else { ends(begin[k], end[k], rise) };
        for (&i, &at) in span.index.iter().zip(&span.at) {
            let u = if length > 0.0 { at / length } else { 0.0 };
            let v = 1.0 - u;
            // The cubic in Hermite form.
            moves[i] = span.from * ((1.0 + 2.0 * u) * v * v)
                + span.to * (u * u * (3.0 - 2.0 * u))
                + (m0 * (u * v * v) - m1 * (u * u * v)) * length;
        }
        moves[span.index[0]] = span.from;
        moves[span.index[span.index.len() - 1]] = span.to;
    }
}

/// The slopes at both ends. A free one is chosen so that the second derivative of the displacement is zero there.
fn ends(begin: Option<Vec2>, end: Option<Vec2>, rise: Vec2) -> (Vec2, Vec2) {
    match (begin, end) {
        (Some(m0), Some(m1)) => (m0, m1),
        (Some(m0), None) => (m0, (rise * 3.0 - m0) / 2.0),
        (None, Some(m1)) => ((rise * 3.0 - m1) / 2.0, m1),
        (None, None) => (rise, rise),
    }
}

/// The slope of the displacement at the point between two spans; `None` at a corner, and between two straight edges.
fn through(points: &[Point], before: &Span, after: &Span) -> Option<Vec2> {
    let at = after.index[0];
    let a = points[at] - points[before.index[before.index.len() - 2]];
    let b = points[after.index[1]] - points[at];
    if a.cross(b).atan2(a.dot(b)).abs().to_degrees() > SMOOTH {
        return None;
    }
    match (before.straight, after.straight) {
        (true, true) => None,
        (true, false) => Some(before.slope()),
        (false, true) => Some(after.slope()),
        (false, false) => {
            let (h0, h1) = (before.length(), after.length());
            let (d0, d1) = (before.slope(), after.slope());
            Some(Vec2::new(mean(h0, h1, d0.x, d1.x), mean(h0, h1, d0.y, d1.y)))
        }
    }
}

/// The weighted harmonic mean of two slopes; 0 where they differ in sign.
fn mean(h0: f64, h1: f64, d0: f64, d1: f64) -> f64 {
    if d0 * d1 <= 0.0 {
        return 0.0;
    }
    let (w0, w1) = (2.0 * h1 + h0, h1 + 2.0 * h0);
    (w0 + w1) / (w0 / d0 + w1 / d1)
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;

    fn close(a: Vec2, x: f64, y: f64) -> bool {
        (a - Vec2::new(x, y)).hypot() < 1e-12
    }

    #[test]
    fn a_straight_edge_moves_in_plain_proportion() {
        let points = [(0.0, 0.0), (30.0, 0.0), (100.0, 0.0), (100.0, 50.0), (0.0, 50.0)].map(Point::from);
        let graded = [
            Some(Vec2::ZERO),
            None,
            Some(Vec2::new(10.0, 0.0)),
            Some(Vec2::new(10.0, 4.0)),
            Some(Vec2::new(0.0, 4.0)),
        ];
        let moves = between(&points, true, &graded).unwrap();
        assert!(close(moves[1], 3.0, 0.0), "{:?}", moves[1]); // 30 of 100 mm, by hand
        assert!(close(moves[3], 10.0, 4.0));
    }

    #[test]
    fn an_open_line_goes_along_beyond_its_graded_points() {
        let points: Vec<Point> = (0..5).map(|i| Point::new(f64::from(i), 0.0)).collect();
        let mut graded = vec![None; 5];
        assert_eq!(between(&points, false, &graded), None);
        graded[1] = Some(Vec2::new(0.0, 2.0));
        assert_eq!(between(&points, false, &graded).unwrap(), vec![Vec2::new(0.0, 2.0); 5]);
        graded[3] = Some(Vec2::new(0.0, 4.0));
        let moves: Vec<f64> = between(&points, false, &graded).unwrap().iter().map(|m| m.y).collect();
        assert_eq!(moves, [2.0, 2.0, 3.0, 4.0, 4.0]);
    }

    /// If all graded points have the same displacement, the whole line moves by it, whatever its shape.
    #[test]
    fn one_grade_moves_everything_alike() {
        let points: Vec<Point> =
            (0..40).map(|i| Point::ZERO + Vec2::from_angle(f64::from(i) * 0.157) * 80.0).collect();
        let shift = Vec2::new(3.0, -2.0);
        let graded: Vec<Option<Vec2>> = (0..40).map(|i| (i % 9 == 0).then_some(shift)).collect();
        assert!(between(&points, true, &graded).unwrap().iter().all(|m| (*m - shift).hypot() < 1e-12));
    }

    /// A straight line runs into an arc at its tangent point, which is graded; the line must not get a corner there. Turns are
    /// measured with vertices 0.5 mm apart, so that those of the arc itself are small.
    #[test]
    fn no_corner_where_the_line_was_smooth() {
        let mut points: Vec<Point> = (0..200).map(|i| Point::new(-100.0 + 0.5 * f64::from(i), 0.0)).collect();
        let join = points.len();
        points.extend((0..=157).map(|i| {
            let a = f64::from(i) * 0.01;
            Point::new(50.0 * a.sin(), 50.0 - 50.0 * a.cos())
        }));
        let mut graded = vec![None; points.len()];
        graded[0] = Some(Vec2::ZERO);
        graded[join] = Some(Vec2::new(0.0, 8.0));
        graded[points.len() - 1] = Some(Vec2::new(0.0, 2.0));
        let moves = between(&points, false, &graded).unwrap();
        let new: Vec<Point> = points.iter().zip(&moves).map(|(p, m)| *p + *m).collect();
        let turn = |p: &[Point]| {
            let (a, b) = (p[join] - p[join - 1], p[join + 1] - p[join]);
            a.cross(b).atan2(a.dot(b)).to_degrees()
        };
        assert!((turn(&new) - turn(&points)).abs() < 0.35, "{} {}", turn(&new), turn(&points));
        // The straight part stays straight.
        let rise: Vec<f64> = new[..=join].windows(2).map(|w| (w[1] - w[0]).atan2()).collect();
        assert!(rise.iter().all(|r| (r - rise[0]).abs() < 1e-9));
    }
}
