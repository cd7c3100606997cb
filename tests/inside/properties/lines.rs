//! Closed lines of any shape: what crosses, and what is shifted inwards.

use super::cases;
use crate::geometry::{crossing::Crossing, crossing::crossing, offset::inside};
use kurbo::{Point, Vec2};
use proptest::prelude::*;

type Whole = (i64, i64);

/// Which side of a line a point lies on: exact, in whole numbers.
fn side(a: Whole, b: Whole, p: Whole) -> i64 {
    ((b.0 - a.0) * (p.1 - a.1) - (b.1 - a.1) * (p.0 - a.0)).signum()
}

fn within(a: Whole, b: Whole, p: Whole) -> bool {
    side(a, b, p) == 0
        && (a.0.min(b.0)..=a.0.max(b.0)).contains(&p.0)
        && (a.1.min(b.1)..=a.1.max(b.1)).contains(&p.1)
}

/// Whether two edges have a point in common, by the sides on which their ends lie (the textbook's test).
fn meet(a: Whole, b: Whole, c: Whole, d: Whole) -> bool {
    let apart = side(a, b, c) * side(a, b, d) < 0 && side(c, d, a) * side(c, d, b) < 0;
    apart || within(a, b, c) || within(a, b, d) || within(c, d, a) || within(c, d, b)
}

/// Every pair of edges: neighbours may share their corner and no more, others nothing.
fn pairs_that_meet(line: &[Whole]) -> Vec<(usize, usize)> {
    let n = line.len();
    let edge = |i: usize| (line[i], line[(i + 1) % n]);
    let mut found = Vec::new();
    for i in 0..n {
        for j in i + 1..n {
            let ((a, b), (c, d)) = (edge(i), edge(j));
            let crosses = if b == c {
                within(a, b, d) || within(c, d, a)
            } else if a == d {
                within(a, b, c) || within(c, d, b)
            } else {
                meet(a, b, c, d)
            };
            if crosses {
                found.push((i, j));
            }
        }
    }
    found
}

proptest! {
    #![proptest_config(ProptestConfig { cases: cases().cases * 20, ..cases() })]

    /// On a coarse grid, where touching and lying on each other come up often.
    #[test]
    fn a_line_crosses_where_two_of_its_edges_meet(line in prop::collection::vec((0i64..7, 0i64..9), 3..9)) {
        let n = line.len();
        // Points that come twice are the reader's business.
        prop_assume!((0..n).all(|i| (i + 1..n).all(|j| line[i] != line[j])));
        let points: Vec<Point> = line.iter().map(|p| Point::new(p.0 as f64, p.1 as f64)).collect();
        let pairs = pairs_that_meet(&line);
        match crossing(&points) {
            Crossing::None => prop_assert!(pairs.is_empty(), "{pairs:?} are not seen"),
            Crossing::At(i, j, at) => {
                prop_assert!(pairs.contains(&(i, j)), "{i} and {j} in place of {pairs:?}");
                for k in [i, j] {
                    let (a, b) = (points[k], points[(k + 1) % n]);
                    let off = (b - a).cross(at - a).abs() / (b - a).hypot();
                    prop_assert!(off < 1e-9, "{at} is not on edge {k}");
                }
            }
            Crossing::Untold => prop_assert!(false, "so few edges can be told apart"),
        }
    }

    /// Shifted inwards, every edge is as far from its old line as its allowance says, on the inner side; so both edges' lines
    /// go through each new corner (closed form: the corner is where two shifted lines cross).
    #[test]
    fn every_edge_is_shifted_by_its_own_allowance(
        corners in prop::collection::vec((0.6..1.4f64, 3.0..16.0f64), 5..12),
        reversed in any::<bool>(),
        turned in -180.0..180.0f64,
    ) {
        // Corners on an ellipse, so that the line is convex and no edge is so short that it vanishes.
        let total: f64 = corners.iter().map(|c| c.0).sum();
        let mut angle = 0.0;
        let mut points: Vec<Point> = Vec::new();
        let mut allowances: Vec<f64> = corners.iter().map(|c| c.1).collect();
        for (share, _) in &corners {
            points.push((Vec2::from_angle(angle) * 300.0).to_point());
            angle += share / total * std::f64::consts::TAU;
        }
        if reversed {
            points.reverse();
            // The edge after a point was the one before it.
            allowances.reverse();
            allowances.rotate_left(1);
        }
        let place = kurbo::Affine::translate((50.0, -900.0)) * kurbo::Affine::rotate(turned.to_radians())
            * kurbo::Affine::scale_non_uniform(1.0, 1.7);
        let points: Vec<Point> = points.iter().map(|p| place * *p).collect();
        let n = points.len();
        let sew = inside(&points, &allowances).unwrap();
        prop_assert_eq!(sew.len(), n);
        let inner = if reversed { -1.0 } else { 1.0 };
        for i in 0..n {
            let d = (points[(i + 1) % n] - points[i]).normalize();
            for corner in [sew[i], sew[(i + 1) % n]] {
                let depth = d.cross(corner - points[i]) * inner;
                prop_assert!((depth - allowances[i]).abs() < 1e-6, "edge {i}: {depth} of {}", allowances[i]);
            }
        }
    }
}

/// At a tip sharper than six allowances reach, the corner stays within six allowances; a corner just blunter is the crossing.
#[test]
fn a_sharp_tip_is_cut_short() {
    // An isosceles triangle of half-angle θ at its tip: the shifted lines cross at a/sin θ from it.
    for (theta, reach) in [(0.2f64, 10.0 / 0.2f64.sin()), (0.17, 10.0 / 0.17f64.sin()), (0.1, 60.0)] {
        let half = 1000.0 * theta.tan();
        let triangle = [Point::ZERO, Point::new(1000.0, -half), Point::new(1000.0, half)];
        let sew = inside(&triangle, &[10.0; 3]).unwrap();
        assert!((sew[0] - Point::new(reach, 0.0)).hypot() < 1e-6, "{theta}: {}", sew[0]);
    }
}

/// In a straight line with a point in it the shifted point lies square off it, between two unlike allowances halfway.
#[test]
fn a_point_in_a_straight_line_goes_square_inwards() {
    let line = [(0.0, 0.0), (50.0, 0.0), (100.0, 0.0), (100.0, 80.0), (0.0, 80.0)].map(Point::from);
    let sew = inside(&line, &[10.0, 12.0, 10.0, 10.0, 10.0]).unwrap();
    assert!((sew[1] - Point::new(50.0, 11.0)).hypot() < 1e-9, "{}", sew[1]);
    // A point that comes twice has its own place still.
    let twice = [(0.0, 0.0), (100.0, 0.0), (100.0, 0.0), (100.0, 80.0), (0.0, 80.0)].map(Point::from);
    let sew = inside(&twice, &[10.0; 5]).unwrap();
    let meant = [(10.0, 10.0), (90.0, 10.0), (90.0, 10.0), (90.0, 70.0), (10.0, 70.0)].map(Point::from);
    assert!(sew.iter().zip(meant).all(|(a, b)| (*a - b).hypot() < 1e-9), "{sew:?}");
}
