//! Finds the nearest place in a run of closely spaced points. If a point of the run is far away, the next ones along the run must
//! be far away too, so most of the run can be skipped.

use super::edge;
use kurbo::{Point, Vec2};

/// Points in order with the longest step from one to the next, in mm.
#[derive(Debug)]
pub struct Run<'l> {
    points: &'l [Point],
    step: f64,
}

impl<'l> Run<'l> {
    pub fn new(points: &'l [Point]) -> Self {
        Run { points, step: Run::step(points) }
    }

    /// The same with its longest step known, for a line that is looked at many times.
    pub fn with_step(points: &'l [Point], step: f64) -> Self {
        Run { points, step }
    }

    /// The longest step from one point to the next, in mm.
    pub fn step(points: &[Point]) -> f64 {
        points.windows(2).map(|w| (w[1] - w[0]).hypot()).fold(f64::MIN_POSITIVE, f64::max)
    }

    /// The number of points that can be skipped, counting the present one: if it is `far` away, these cannot be nearer than
    /// `best`.
    fn clear(&self, far: f64, best: f64) -> usize {
        #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)] // a piece is under a km
        let clear = ((far - best) / self.step).clamp(0.0, self.points.len() as f64) as usize;
        clear.max(1)
    }

    /// The index of the point nearest to `p`; of equally near points the first.
    pub fn point(&self, p: Point) -> usize {
        let (mut best, mut at, mut i) = (f64::INFINITY, 0, 0);
        while i < self.points.len() {
            let far = (self.points[i] - p).hypot();
            if far < best {
                (best, at) = (far, i);
            }
            i += self.clear(far, best);
        }
        at
    }

    /// Whether a point lies no further than `within` mm from the line.
    pub fn lies_on(&self, p: Point, within: f64) -> bool {
        let mut i = 0;
        while i < self.points.len() {
            let far = (self.points[i] - p).hypot();
            if far <= within {
                return true;
            }
            let around = &self.points[i.saturating_sub(1)..(i + 2).min(self.points.len())];
            let near = |w: &[Point]| edge::nearest(w[0], w[1], p).1 <= within;
            if far <= within + self.step && around.windows(2).any(near) {
                return true;
            }
            i += self.clear(far, within);
        }
        false
    }

    /// The edge nearest to `p`, or the first of equally near ones: its index, the nearest point on it, and its direction. `near`
    /// is the index of an edge that is likely to be close, such as the result of the previous query.
    pub fn edge(&self, p: Point, near: usize) -> Option<(usize, Point, Vec2)> {
        let edges = self.points.len().checked_sub(2)? + 1;
        let off = |i: usize| edge::nearest_squared(self.points[i], self.points[i + 1], p).1;
        let mut best = (off(near.min(edges - 1)), near.min(edges - 1));
        let mut reach = best.0.sqrt() + self.step;
        let mut i = 0;
        while i < edges {
            let far = (self.points[i] - p).hypot();
            if far > reach {
                i += self.clear(far, reach);
                continue;
            }
            let here = (off(i), i);
            if here < best {
                best = here;
                reach = best.0.sqrt() + self.step;
            }
            i += 1;
        }
        let (a, b) = (self.points[best.1], self.points[best.1 + 1]);
        Some((best.1, a.lerp(b, edge::nearest_share(a, b, p)), b - a))
    }

    /// The nearest point on the line.
    pub fn nearest(&self, p: Point) -> Point {
        self.edge(p, 0).map_or(p, |(_, q, _)| q)
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;
    use crate::geometry::{Nearest, Segments};

    /// A line that turns back on itself, so that places near each other in the plane are not near each other along the line.
    fn line() -> Vec<Point> {
        let at = |k: i32| {
            let s = f64::from(k) / 10.0;
            Point::new(60.0 * s.cos() * (1.0 + s / 9.0), 40.0 * s.sin())
        };
        (0..130).map(at).collect()
    }

    #[test]
    fn what_is_stepped_over_is_never_nearer() {
        let line = line();
        let (run, all) = (Run::new(&line), Segments::of(&line, false));
        for k in 0..400 {
            let p = Point::new(f64::from(k % 20) * 15.0 - 150.0, f64::from(k / 20) * 6.0 - 60.0);
            let Nearest { edge: i, away: off, .. } = all.nearest(p).unwrap();
            for near in [0, 64, 500] {
                let (at, q, _) = run.edge(p, near).unwrap();
                assert_eq!(at, i, "{p}");
                assert!(((q - p).hypot() - off).abs() < 1e-9, "{p}");
            }
            let nearest =
                (0..line.len()).min_by(|&a, &b| (line[a] - p).hypot2().total_cmp(&(line[b] - p).hypot2()));
            assert_eq!(run.point(p), nearest.unwrap(), "{p}");
            for within in [0.25, 2.0, 20.0] {
                assert_eq!(run.lies_on(p, within), off <= within, "{p} {within}");
            }
        }
    }

    #[test]
    fn a_single_point_has_no_edge() {
        let one = [Point::new(1.0, 2.0)];
        assert!(Run::new(&one).edge(Point::ZERO, 0).is_none());
        assert_eq!(Run::new(&one).point(Point::ZERO), 0);
        assert!(Run::new(&[]).edge(Point::ZERO, 0).is_none());
    }
}
