//! Segments by where they lie, so that a line of a million of them is asked about a million places in a few steps each.

use super::edge;
use kurbo::{Line, ParamCurveNearest, Point, Rect};
use rstar::primitives::{GeomWithData, Line as Edge};
use rstar::{AABB, RTree};
use std::cell::{Cell, OnceCell};

/// So many questions are answered by looking at every segment: a tree of them takes longer to make than that, and most pieces
/// have a dozen notches.
const FEW: u32 = 32;

/// Of segments as near to a point, so many are weighed for which comes first: two meet in a corner, a few in a crossing.
const AS_NEAR: usize = 8;

/// Segments in the order given, and, once they are asked about often, in a tree of boxes.
#[derive(Clone, Debug)]
pub struct Segments {
    all: Vec<Line>,
    asked: Cell<u32>,
    tree: OnceCell<RTree<Boxed>>,
}

/// Where on which segment the place nearest to a point lies.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Nearest {
    /// The segment's index.
    pub edge: usize,
    /// The segment.
    pub line: Line,
    /// The place's share of the segment.
    pub share: f64,
    /// How far the place is.
    pub away: f64,
}

/// A segment with its index.
type Boxed = GeomWithData<Edge<(f64, f64)>, usize>;

impl Segments {
    /// These segments.
    pub fn new(segments: impl Iterator<Item = (Point, Point)>) -> Self {
        let all = segments.map(|(a, b)| Line::new(a, b)).collect();
        Segments { all, asked: Cell::new(0), tree: OnceCell::new() }
    }

    /// The segments of a line.
    pub fn of(points: &[Point], closed: bool) -> Self {
        let last = if closed { points.last().zip(points.first()) } else { None };
        Segments::new(points.windows(2).map(|w| (w[0], w[1])).chain(last.map(|(&a, &b)| (a, b))))
    }

    fn tree(&self) -> Option<&RTree<Boxed>> {
        if self.asked.get() < FEW {
            self.asked.set(self.asked.get() + 1);
            return None;
        }
        let boxed =
            |(i, s): (usize, &Line)| GeomWithData::new(Edge::new((s.p0.x, s.p0.y), (s.p1.x, s.p1.y)), i);
        Some(self.tree.get_or_init(|| RTree::bulk_load(self.all.iter().enumerate().map(boxed).collect())))
    }

    /// Whether any of the segments whose boxes meet a box is `wanted`; they come in no order.
    pub fn any(&self, r: Rect, mut wanted: impl FnMut(Line) -> bool) -> bool {
        match self.tree() {
            Some(tree) => {
                let r = AABB::from_corners((r.x0, r.y0), (r.x1, r.y1));
                tree.locate_in_envelope_intersecting(&r).any(|e| wanted(self.all[e.data]))
            }
            None => self.all.iter().any(|&s| {
                let (x0, x1) = (s.p0.x.min(s.p1.x), s.p0.x.max(s.p1.x));
                let (y0, y1) = (s.p0.y.min(s.p1.y), s.p0.y.max(s.p1.y));
                x0 <= r.x1 && x1 >= r.x0 && y0 <= r.y1 && y1 >= r.y0 && wanted(s)
            }),
        }
    }

    /// The place of a segment that is nearest to a point, of several as near the first.
    pub fn nearest(&self, p: Point) -> Option<Nearest> {
        let off = |i: usize| (self.all[i].nearest(p, 1e-9).distance_sq, i);
        let (square, i) = match self.tree() {
            Some(tree) => {
                tree.nearest_neighbor_iter(&(p.x, p.y)).take(AS_NEAR).map(|e| off(e.data)).min_by(first)
            }
            None => (0..self.all.len()).map(off).min_by(first),
        }?;
        let line = self.all[i];
        Some(Nearest { edge: i, line, share: edge::nearest_share(line.p0, line.p1, p), away: square.sqrt() })
    }

    /// How far the nearest segment is from a point; infinite where there is none.
    pub fn distance(&self, p: Point) -> f64 {
        self.nearest(p).map_or(f64::INFINITY, |nearest| nearest.away)
    }
}

fn first(a: &(f64, usize), b: &(f64, usize)) -> std::cmp::Ordering {
    a.0.total_cmp(&b.0).then(a.1.cmp(&b.1))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_tree_answers_as_looking_at_all_does() {
        // A star of five points drawn in one go, and its line once more.
        let star: Vec<Point> = (0..11)
            .map(|i| Point::ZERO + kurbo::Vec2::from_angle(f64::from(i * 2) * 1.256_637) * 100.0)
            .collect();
        let tree = Segments::of(&star, true);
        let mut met = 0;
        for i in 0..400 {
            let p = Point::new(f64::from(i % 20) * 11.3 - 110.0, f64::from(i / 20) * 11.9 - 115.0);
            let around = Rect::from_center_size(p, (20.0, 20.0));
            // A new one has been asked nothing yet, so it looks at all.
            let all = Segments::of(&star, true);
            assert_eq!(tree.nearest(p), all.nearest(p), "{p:?}");
            let of = |segments: &Segments| {
                let mut found = Vec::new();
                segments.any(around, |s| {
                    found.push(format!("{s:?}"));
                    false
                });
                found.sort();
                found
            };
            assert_eq!(of(&tree), of(&all), "{p:?}");
            met += usize::from(tree.any(around, |_| true));
        }
        assert!((100..400).contains(&met), "{met}");
        assert_eq!(Segments::of(&[], true).nearest(Point::ZERO), None);
    }
}
