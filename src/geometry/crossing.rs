//! Finds out whether an outline crosses itself.

use geo::line_intersection::{LineIntersection, line_intersection};
use geo::{Coord, Line};
use kurbo::Point;

/// The number of pairs of edges that may be compared: the first value for each edge, plus the second. An edge of a piece has only
/// a few others beside it. Where thousands of edges lie beside each other, the line runs back and forth over itself.
const MOST: (usize, usize) = (1000, 10_000_000);

/// Whether a closed line crosses itself.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Crossing {
    /// It does not cross itself.
    None,
    /// Two of its edges cross: their indices, and the place.
    At(usize, usize, Point),
    /// It could not be determined, because too many edges lie beside each other.
    Untold,
}

/// Finds where a closed line first crosses or touches itself: the indices of two of its edges, and the place. The method is a
/// sweep along the longer side of the bounding box, with intersections by exact predicates (`geo`).
#[must_use]
pub fn crossing(points: &[Point]) -> Crossing {
    let n = points.len();
    if n < 3 {
        return Crossing::None;
    }
    let span = |f: &dyn Fn(&Point) -> f64| {
        let (low, high) = points.iter().map(f).fold((f64::MAX, f64::MIN), |(a, b), v| (a.min(v), b.max(v)));
        high - low
    };
    let along_x = span(&|p| p.x) >= span(&|p| p.y);
    let key = |p: Point| if along_x { (p.x, p.y) } else { (p.y, p.x) };
    let ends = |i: usize| (key(points[i]), key(points[(i + 1) % n]));
    let mut order: Vec<(f64, u32)> = (0..n)
        .map(|i| {
            let (a, b) = ends(i);
            (a.0.min(b.0), u32::try_from(i).unwrap_or(u32::MAX))
        })
        .collect();
    order.sort_unstable_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
    // The edges that the sweep is on: how far along each reaches, its span across, and its index.
    let mut active: Vec<(f64, [f64; 2], usize)> = Vec::new();
    let mut left = MOST.0 * n + MOST.1;
    for &(low, i) in &order {
        let i = i as usize;
        let (a, b) = ends(i);
        let [least, most] = [a.1.min(b.1), a.1.max(b.1)];
        active.retain(|(reach, ..)| *reach >= low);
        let Some(still) = left.checked_sub(active.len()) else { return Crossing::Untold };
        left = still;
        for &(_, [from, to], j) in &active {
            if from > most || to < least {
                continue;
            }
            if let Some(place) = meet(points, i, j) {
                return Crossing::At(i.min(j), i.max(j), place);
            }
        }
        active.push((a.0.max(b.0), [least, most], i));
    }
    Crossing::None
}

/// The place where two edges meet, except for the corner that neighbouring edges share.
fn meet(points: &[Point], i: usize, j: usize) -> Option<Point> {
    let n = points.len();
    let coord = |p: Point| Coord { x: p.x, y: p.y };
    let edge = |i: usize| Line::new(coord(points[i]), coord(points[(i + 1) % n]));
    let neighbours = (i + 1) % n == j || (j + 1) % n == i;
    match line_intersection(edge(i), edge(j))? {
        LineIntersection::SinglePoint { .. } if neighbours => None,
        LineIntersection::SinglePoint { intersection: c, .. } => Some(Point::new(c.x, c.y)),
        LineIntersection::Collinear { intersection } => {
            let length =
                (intersection.end.x - intersection.start.x).hypot(intersection.end.y - intersection.start.y);
            (!neighbours || length > 0.0).then(|| Point::new(intersection.start.x, intersection.start.y))
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn points(list: &[(f64, f64)]) -> Vec<Point> {
        list.iter().map(|&p| p.into()).collect()
    }

    fn crossed(line: &[Point]) -> (usize, usize, Point) {
        let Crossing::At(i, j, place) = crossing(line) else { panic!("{line:?}") };
        (i, j, place)
    }

    #[test]
    fn finds_what_crosses_and_passes_what_does_not() {
        let square = points(&[(0.0, 0.0), (10.0, 0.0), (10.0, 10.0), (0.0, 10.0)]);
        assert_eq!(crossing(&square), Crossing::None);
        let bow = points(&[(0.0, 0.0), (10.0, 10.0), (10.0, 0.0), (0.0, 10.0)]);
        assert_eq!(crossing(&bow), Crossing::At(0, 2, Point::new(5.0, 5.0)));
        let spike = points(&[(0.0, 0.0), (10.0, 0.0), (10.0, 10.0), (10.0, 4.0), (0.0, 10.0)]);
        assert!(matches!(crossing(&spike), Crossing::At(..)));
        let near = points(&[(0.0, 0.0), (10.0, 0.0), (10.0, 10.0), (5.0, 0.001), (0.0, 10.0)]);
        assert_eq!(crossing(&near), Crossing::None);
        let touch = points(&[(0.0, 0.0), (10.0, 0.0), (10.0, 10.0), (5.0, 0.0), (0.0, 10.0)]);
        assert!(matches!(crossing(&touch), Crossing::At(..)));
    }

    /// The line in all eight positions given by rotation through right angles and mirroring, with the new position of `at`.
    fn positions(list: &[(f64, f64)], at: (f64, f64)) -> Vec<(Vec<Point>, Point)> {
        (0..8_u8)
            .map(|k| {
                let put = |&(x, y): &(f64, f64)| {
                    let (x, y) = (if k & 1 == 0 { x } else { -x }, if k & 2 == 0 { y } else { -y });
                    if k & 4 == 0 { Point::new(x, y) } else { Point::new(y, x) }
                };
                (list.iter().map(put).collect(), put(&at))
            })
            .collect()
    }

    /// A strip of 60 by 30 mm with various faults.
    #[test]
    fn what_crosses_or_touches_is_found_whichever_way_it_lies() {
        for (list, at) in [
            // A spike from the short side that touches the other one.
            (
                &[
                    (30.0, 20.0),
                    (90.0, 20.0),
                    (90.0, 50.0),
                    (30.0, 50.0),
                    (30.0, 40.0),
                    (90.0, 35.0),
                    (30.0, 30.0),
                ][..],
                (90.0, 35.0),
            ),
            // A spike from above that touches the lower side, which is a single edge or divided into two edges.
            (
                &[
                    (30.0, 20.0),
                    (90.0, 20.0),
                    (90.0, 50.0),
                    (60.0, 50.0),
                    (70.0, 20.0),
                    (45.0, 50.0),
                    (30.0, 50.0),
                ],
                (70.0, 20.0),
            ),
            (
                &[
                    (30.0, 20.0),
                    (60.0, 20.0),
                    (90.0, 20.0),
                    (90.0, 50.0),
                    (60.0, 50.0),
                    (70.0, 20.0),
                    (45.0, 50.0),
                    (30.0, 50.0),
                ],
                (70.0, 20.0),
            ),
            // Two overlapping edges that are not neighbours. The place found is the first that the sweep reaches.
            (
                &[
                    (30.0, 20.0),
                    (90.0, 20.0),
                    (90.0, 50.0),
                    (75.0, 50.0),
                    (75.0, 20.0),
                    (75.0, 50.0),
                    (30.0, 50.0),
                ],
                (75.0, 50.0),
            ),
        ] {
            for (line, place) in positions(list, at) {
                let (i, j, found) = crossed(&line);
                assert!(i < j && j < line.len());
                if list[4] != (75.0, 20.0) {
                    assert_eq!(found, place, "{line:?}");
                }
            }
        }
    }

    #[test]
    fn two_edges_that_cross_are_named_with_their_place() {
        // Edges 3 and 6 cross: from (80, 20) + t (−20, 40) and from (60, 30) + s (30, 6), at t = 7/22.
        let cross = [
            (30.0, 20.0),
            (50.0, 10.0),
            (70.0, 10.0),
            (80.0, 20.0),
            (60.0, 60.0),
            (40.0, 60.0),
            (60.0, 30.0),
            (90.0, 36.0),
            (95.0, 70.0),
            (30.0, 70.0),
        ];
        for (line, place) in positions(&cross, (80.0 - 140.0 / 22.0, 20.0 + 280.0 / 22.0)) {
            let (i, j, found) = crossed(&line);
            assert!((i, j) == (3, 6) && (found - place).hypot() < 1e-9, "{i} {j} {found}");
        }
    }

    #[test]
    fn what_only_comes_close_is_let_pass() {
        for list in [
            // The same spikes, ending a tenth of a millimetre before the other side.
            &[
                (30.0, 20.0),
                (90.0, 20.0),
                (90.0, 50.0),
                (30.0, 50.0),
                (30.0, 40.0),
                (89.9, 35.0),
                (30.0, 30.0),
            ][..],
            &[
                (30.0, 20.0),
                (60.0, 20.0),
                (90.0, 20.0),
                (90.0, 50.0),
                (60.0, 50.0),
                (70.0, 20.1),
                (45.0, 50.0),
                (30.0, 50.0),
            ],
            // Vertices in the middle of straight edges, at the line's beginning and its end as well.
            &[
                (40.0, 20.0),
                (55.0, 20.0),
                (90.0, 20.0),
                (90.0, 30.0),
                (90.0, 50.0),
                (30.0, 50.0),
                (30.0, 20.0),
            ],
            // A comb, its teeth beside each other.
            &[
                (30.0, 20.0),
                (90.0, 20.0),
                (88.0, 50.0),
                (70.0, 23.0),
                (66.0, 50.0),
                (50.0, 21.0),
                (44.0, 50.0),
            ],
        ] {
            for (line, _) in positions(list, (0.0, 0.0)) {
                assert_eq!(crossing(&line), Crossing::None, "{line:?}");
            }
        }
    }

    #[test]
    fn a_line_that_doubles_back_touches_itself() {
        // The line runs out and back along the same edge, at its beginning or in its middle.
        let tail = [(30.0, 20.0), (90.0, 20.0), (90.0, 50.0), (90.0, 35.0), (30.0, 44.0)];
        for k in 0..tail.len() {
            let mut list = tail;
            list.rotate_left(k);
            for (line, _) in positions(&list, (0.0, 0.0)) {
                crossed(&line);
            }
        }
        crossed(&points(&[(30.0, 20.0), (90.0, 23.0), (50.0, 21.0)]));
        // Two points are no outline.
        assert_eq!(crossing(&points(&[(30.0, 20.0), (90.0, 23.0)])), Crossing::None);
    }
}
