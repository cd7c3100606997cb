//! A spatial index of segments: a query for a place in a line of a million segments takes only a few steps.
//!
//! Consecutive segments lie close together, whatever is drawn. So boxes are put around a few segments in the order given, and
//! larger boxes around those. A general tree (`rstar`) was rejected because it sorts the segments by place first: projecting the
//! vertices of a cut line onto a sew line took seven times as many instructions with it.

use super::edge;
use kurbo::{Line, Point, Rect};
use std::cell::{Cell, OnceCell};
use std::ops::Range;

/// The number of segments in a box.
const EACH: usize = 4;

/// The number of boxes in a larger box.
const GROUP: usize = 8;

/// Segments in the order given, and boxes around them, which are made at the first query.
#[derive(Clone, Debug)]
pub struct Segments {
    all: Vec<Line>,
    /// The boxes around groups of segments, then the boxes around groups of those, up to a single box.
    levels: OnceCell<Vec<Vec<Rect>>>,
    /// The index of the segment found by the last query, because the next query is often for a place nearby.
    last: Cell<usize>,
}

/// The place on the segments that is nearest to a point.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Nearest {
    /// The segment's index.
    pub edge: usize,
    /// The segment.
    pub line: Line,
    /// The position of the place as a share of the segment.
    pub share: f64,
    /// The distance of the place from the point.
    pub away: f64,
}

impl Segments {
    /// An index of these segments.
    pub fn new(segments: impl Iterator<Item = (Point, Point)>) -> Self {
        let all = segments.map(|(a, b)| Line::new(a, b)).collect();
        Segments { all, levels: OnceCell::new(), last: Cell::new(0) }
    }

    /// An index of the segments of a line.
    pub fn of(points: &[Point], closed: bool) -> Self {
        let last = if closed { points.last().zip(points.first()) } else { None };
        Segments::new(points.windows(2).map(|w| (w[0], w[1])).chain(last.map(|(&a, &b)| (a, b))))
    }

    fn levels(&self) -> &[Vec<Rect>] {
        self.levels.get_or_init(|| {
            let around = |run: &[Rect]| run.iter().fold(run[0], |all, one| all.union(*one));
            let own: Vec<Rect> = self.all.iter().map(|s| Rect::from_points(s.p0, s.p1)).collect();
            let mut levels = vec![own.chunks(EACH).map(around).collect::<Vec<_>>()];
            while levels[levels.len() - 1].len() > 1 {
                let below = &levels[levels.len() - 1];
                levels.push(below.chunks(GROUP).map(around).collect());
            }
            levels
        })
    }

    /// The indices of the segments in a box of the lowest level.
    fn within(&self, k: usize) -> Range<usize> {
        k * EACH..self.all.len().min((k + 1) * EACH)
    }

    /// The indices of the boxes inside a box of this level, which must not be the lowest.
    fn below(&self, level: usize, k: usize) -> Range<usize> {
        k * GROUP..self.levels()[level - 1].len().min((k + 1) * GROUP)
    }

    /// Whether `wanted` is true for any of the segments whose bounding boxes meet the box `r`.
    pub fn any(&self, r: Rect, mut wanted: impl FnMut(Line) -> bool) -> bool {
        let top = self.levels().len() - 1;
        self.any_below(top, 0..self.levels()[top].len(), r, &mut wanted)
    }

    fn any_below(
        &self,
        level: usize,
        mut boxes: Range<usize>,
        r: Rect,
        wanted: &mut dyn FnMut(Line) -> bool,
    ) -> bool {
        boxes.any(|k| {
            meet(&self.levels()[level][k], &r)
                && if level == 0 {
                    let met = |s: &Line| meet(&Rect::from_points(s.p0, s.p1), &r);
                    self.all[self.within(k)].iter().any(|s| met(s) && wanted(*s))
                } else {
                    self.any_below(level - 1, self.below(level, k), r, wanted)
                }
        })
    }

    /// The place on the segments that is nearest to a point. Of equally near segments the first one counts.
    pub fn nearest(&self, p: Point) -> Option<Nearest> {
        let last = self.last.get();
        let mut best = (off(self.all.get(last)?, p), last);
        // From there along the line for as long as it comes nearer, so that most boxes are too far away.
        for way in [1, -1] {
            while let Some(next) = best.1.checked_add_signed(way).filter(|&next| next < self.all.len()) {
                let here = (off(&self.all[next], p), next);
                if here >= best {
                    break;
                }
                best = here;
            }
        }
        let top = self.levels().len() - 1;
        self.nearest_below(top, 0..self.levels()[top].len(), p, &mut best);
        let (square, edge) = best;
        self.last.set(edge);
        let line = self.all[edge];
        Some(Nearest { edge, line, share: edge::nearest_share(line.p0, line.p1, p), away: square.sqrt() })
    }

    fn nearest_below(&self, level: usize, boxes: Range<usize>, p: Point, best: &mut (f64, usize)) {
        let around = &self.levels()[level];
        let each = EACH * GROUP.pow(u32::try_from(level).unwrap_or(u32::MAX));
        for k in boxes {
            // Of equally near segments the one with the lower index counts.
            if (squared(&around[k], p), k * each) >= *best {
                continue;
            }
            if level > 0 {
                self.nearest_below(level - 1, self.below(level, k), p, best);
                continue;
            }
            for i in self.within(k) {
                let here = (off(&self.all[i], p), i);
                if here < *best {
                    *best = here;
                }
            }
        }
    }

    /// The distance from a point to the nearest segment; infinite if there are no segments.
    pub fn distance(&self, p: Point) -> f64 {
        self.nearest(p).map_or(f64::INFINITY, |nearest| nearest.away)
    }
}

/// The squared distance from a point to a segment.
fn off(segment: &Line, p: Point) -> f64 {
    edge::nearest_squared(segment.p0, segment.p1, p).1
}

/// Whether two boxes have a point in common.
fn meet(a: &Rect, b: &Rect) -> bool {
    a.x0 <= b.x1 && a.x1 >= b.x0 && a.y0 <= b.y1 && a.y1 >= b.y0
}

/// The squared distance from a point to a box.
fn squared(area: &Rect, p: Point) -> f64 {
    let dx = (area.x0 - p.x).max(p.x - area.x1).max(0.0);
    let dy = (area.y0 - p.y).max(p.y - area.y1).max(0.0);
    dx * dx + dy * dy
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, clippy::float_cmp, reason = "exact values are meant exactly")]
    use super::*;
    use crate::geometry::line;

    /// A five-pointed star drawn in one line that crosses itself and runs round twice, each edge divided into `parts` parts.
    fn star(parts: u32) -> Vec<Point> {
        let corner = |i: u32| Point::ZERO + kurbo::Vec2::from_angle(f64::from(i * 2) * 1.256_637) * 100.0;
        let edge =
            |i| (0..parts).map(move |k| corner(i).lerp(corner(i + 1), f64::from(k) / f64::from(parts)));
        (0..11).flat_map(edge).collect()
    }

    #[test]
    fn the_boxes_answer_as_looking_at_all_does() {
        for (parts, levels) in [(1, 2), (3, 3), (40, 4)] {
            let star = star(parts);
            let segments = Segments::of(&star, true);
            assert_eq!(segments.levels().len(), levels, "{parts}");
            let mut met = 0;
            for i in 0..400 {
                let p = Point::new(f64::from(i % 20) * 11.3 - 110.0, f64::from(i / 20) * 11.9 - 115.0);
                let found = segments.nearest(p).unwrap();
                let (edge, share, away) = line::nearest(&star, true, p);
                assert_eq!(found.edge, edge, "{p:?}");
                // The previous query makes no difference.
                assert_eq!(found, Segments::of(&star, true).nearest(p).unwrap(), "{p:?}");
                assert!((found.share - share).abs() < 1e-9 && (found.away - away).abs() < 1e-9, "{p:?}");
                let around = Rect::from_center_size(p, (20.0, 20.0));
                let (mut of, mut all) = (Vec::new(), Vec::new());
                segments.any(around, |s| {
                    of.push(s);
                    false
                });
                all.extend(
                    segments.all.iter().copied().filter(|s| meet(&Rect::from_points(s.p0, s.p1), &around)),
                );
                assert_eq!(of, all, "{p:?}");
                met += usize::from(segments.any(around, |_| true));
            }
            assert!((100..400).contains(&met), "{met}");
        }
        let none = Segments::of(&[], true);
        assert!(none.nearest(Point::ZERO).is_none() && !none.any(Rect::ZERO, |_| true));
    }

    /// By Pythagoras; 0 inside the box.
    #[test]
    fn a_box_is_as_far_as_its_nearest_corner_or_side() {
        let area = Rect::new(3.0, -2.0, 8.0, 5.0);
        for (p, far) in [
            ((0.0, -6.0), 25.0),
            ((13.0, 17.0), 169.0),
            ((4.0, 1.0), 0.0),
            ((0.5, 3.0), 6.25),
            ((4.0, 5.25), 0.0625),
        ] {
            assert_eq!(squared(&area, p.into()), far, "{p:?}");
        }
    }

    #[test]
    fn boxes_meet_where_they_overlap_or_touch_in_both_directions() {
        let area = Rect::new(3.0, -2.0, 8.0, 5.0);
        for (other, expected) in [
            (Rect::new(4.0, 0.0, 5.0, 1.0), true),
            (Rect::new(0.0, -9.0, 20.0, 9.0), true),
            (Rect::new(8.0, 5.0, 9.0, 6.0), true),
            (Rect::new(1.0, -4.0, 3.0, -2.0), true),
            // Beside, above and below; and apart in both directions.
            (Rect::new(8.5, 0.0, 9.0, 1.0), false),
            (Rect::new(1.0, 0.0, 2.5, 1.0), false),
            (Rect::new(4.0, 5.5, 5.0, 6.0), false),
            (Rect::new(4.0, -3.0, 5.0, -2.5), false),
            (Rect::new(9.0, 6.0, 10.0, 7.0), false),
        ] {
            assert_eq!((meet(&area, &other), meet(&other, &area)), (expected, expected), "{other:?}");
        }
    }
}
