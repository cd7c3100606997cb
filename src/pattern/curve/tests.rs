#![allow(clippy::unwrap_used, reason = "tests stop at the first surprise")]

use super::*;
use crate::geometry::edge::nearest_share;

const A: Point = Point::new(1031.25, -17.5);
const B: Point = Point::new(1180.0, 402.125);

/// The line from [`A`] over these points to [`B`].
fn line(between: &[Point]) -> Vec<Point> {
    std::iter::once(A).chain(between.iter().copied()).chain([B]).collect()
}

fn length(points: &[Point]) -> f64 {
    points.windows(2).map(|w| (w[1] - w[0]).hypot()).sum()
}

#[test]
fn a_bulge_next_to_nothing_is_next_to_straight() {
    let chord = (B - A).hypot();
    for exponent in 5..=300 {
        for bulge_is in [0.7, -0.7].map(|b| b * 10f64.powi(-exponent)) {
            let points = line(&bulge(A, B, bulge_is));
            // The distance of an arc's middle from its chord is half the chord times the bulge (the meaning of a bulge in the DXF
            // reference).
            let off =
                points.iter().map(|&p| (A.lerp(B, nearest_share(A, B, p)) - p).hypot()).fold(0.0, f64::max);
            assert!(off <= chord * bulge_is.abs() / 2.0 + 1e-9, "{bulge_is}: {off}");
            assert!((length(&points) - chord).abs() < 1e-6, "{bulge_is}: {}", length(&points));
        }
    }
}

#[test]
fn a_bulge_lies_on_its_circle_on_the_right_side() {
    // By hand: the radius is chord (1 + b²) / 4 |b|. An arc with a positive bulge runs counter-clockwise, so its middle lies to
    // the right of the chord.
    for bulge_is in [1e-4, 0.02, 0.4, 1.0, 7.0, 5e3, -1e-4, -0.4, -1.0, -7.0] {
        let (chord, points) = (B - A, line(&bulge(A, B, bulge_is)));
        let radius = chord.hypot() * (1.0 + bulge_is * bulge_is) / (4.0 * f64::abs(bulge_is));
        let middle = A.midpoint(B) + Vec2::new(chord.y, -chord.x) * bulge_is / 2.0;
        let centre = middle - (middle - A.midpoint(B)) * (radius / (chord.hypot() * bulge_is.abs() / 2.0));
        let off = points.iter().map(|p| ((*p - centre).hypot() - radius).abs()).fold(0.0, f64::max);
        assert!(off < 1e-9 * radius, "{bulge_is}: {off}");
        let swept = 4.0 * f64::abs(bulge_is).atan() * radius;
        assert!((length(&points) - swept).abs() < 1e-4 * swept, "{bulge_is}: {} {swept}", length(&points));
        let near = points.iter().map(|p| (*p - middle).hypot()).fold(f64::MAX, f64::min);
        assert!(
            near < chord.hypot() / 2.0 * f64::abs(bulge_is).min(1.0) + radius * 0.01,
            "{bulge_is}: {near}"
        );
    }
}

#[test]
fn arcs_next_to_nothing_and_next_to_straight() {
    let of = |radius: f64, start: f64, end: f64| arc(A, radius, start, end);
    // A millionth of a degree of a circle with a radius of a kilometre, by hand 0.0175 mm; then an arc with radius zero.
    let flat = of(1e6, 30.0, 30.000_001).unwrap();
    assert!((length(&flat) - 1e6 * 1e-6f64.to_radians()).abs() < 1e-6, "{}", length(&flat));
    assert!(of(0.0, 10.0, 80.0).unwrap().iter().all(|p| *p == A));
    assert!((length(&of(1e-7, 10.0, 80.0).unwrap())) < 1e-6);
    // A whole circle can be written in several ways. An end just before the start may mean a whole circle or nothing.
    for (start, end) in [(0.0, 360.0), (45.0, 405.0), (10.0, 10.0), (0.0, 360.000_005), (0.0, -360.0)] {
        let round = length(&of(50.0, start, end).unwrap());
        assert!((round - 50.0 * TAU).abs() < 0.05, "{start} {end}: {round}");
    }
    assert_eq!(of(50.0, 10.0, 10.0 - 1e-12), None);
    assert!(of(50.0, 10.0, 10.0 + 1e-12).is_some_and(|p| length(&p) < 1e-6));
    // The chords of a wide circle stay within their sagitta, r (1 - cos t/2).
    let wide = of(2e4, 0.0, 360.0).unwrap();
    let half = std::f64::consts::PI / (wide.len() - 1) as f64;
    assert!(2e4 * (1.0 - half.cos()) <= FLATNESS * 1.001, "{}", wide.len());
}

#[test]
fn ellipses_next_to_straight_and_next_to_nothing() {
    let axis = Vec2::new(60.0, 80.0);
    let square = Vec2::new(-80.0, 60.0);
    for ratio in [0.0, 1e-17, 1e-9] {
        // A quarter of an ellipse without height is the length of the half axis: 100 mm.
        let quarter = ellipse(A, axis, square * ratio, 0.0, TAU / 4.0).unwrap();
        assert!((length(&quarter) - 100.0).abs() < 1e-6, "{ratio}: {}", length(&quarter));
    }
    assert!(ellipse(A, Vec2::ZERO, Vec2::ZERO, 0.0, 1.0).unwrap().iter().all(|p| *p == A));
    // A whole turn with 2π rounded up to five decimals is a whole turn, not 5e-6 of one.
    let round = ellipse(A, axis, square, 0.0, (TAU * 1e5).ceil() / 1e5).unwrap();
    assert!((length(&round) - 100.0 * TAU).abs() < 0.1, "{}", length(&round));
    // An ellipse whose "minor" axis is the longer one is as fine as the circle round it.
    let tall = ellipse(A, axis * 1e-9, square, 0.0, TAU).unwrap();
    assert!(tall.len() > 100, "{}", tall.len());
}

#[test]
fn splines_next_to_straight_and_next_to_nothing() {
    let spline = |controls: Vec<Point>, knots: &[f64], weights: Vec<f64>| {
        let nurbs = Nurbs { degree: 3, knots: knots.to_vec(), controls, weights };
        nurbs.flatten(&Allowed::of(0)).unwrap()
    };
    let once = [0.0, 0.0, 0.0, 0.0, 1.0, 1.0, 1.0, 1.0];
    let chord = (B - A).hypot();
    // Control points on the chord, at one or both of its ends, or beside it by less than the last digit give the straight line
    // from A to B.
    for controls in [
        vec![A, A.lerp(B, 0.2), A.lerp(B, 0.7), B],
        vec![A, A, A, B],
        vec![A, A, B, B],
        vec![A, A + Vec2::new(1e-13, 2e-13), B, B],
    ] {
        let points = spline(controls, &once, Vec::new()).unwrap();
        assert!((length(&points) - chord).abs() < 1e-6, "{}", length(&points));
    }
    // Four equal control points give that point.
    assert!(spline(vec![A; 4], &once, Vec::new()).unwrap().iter().all(|p| (*p - A).hypot() < 1e-9));
    // Two knots that almost coincide, and knots that are all almost zero: both give the same curve.
    let bend = vec![A, Point::new(1150.0, 20.0), Point::new(1200.0, 160.0), B];
    let plain = length(&spline(bend.clone(), &once, Vec::new()).unwrap());
    let small = once.map(|k| k * 1e-17);
    assert!((length(&spline(bend.clone(), &small, Vec::new()).unwrap()) - plain).abs() < 1e-6);
    let close = [0.0, 0.0, 0.0, 0.0, 1e-17, 1.0, 1.0, 1.0, 1.0];
    let with_close = spline([vec![A], bend.clone()].concat(), &close, Vec::new()).unwrap();
    assert!((length(&with_close) - plain).abs() < 1e-6, "{} {plain}", length(&with_close));
    // Numbers that are not precise enough define no curve.
    let far = once.map(|k| 1e9 + k * 1e-7);
    assert_eq!(spline(bend.clone(), &far, Vec::new()), None);
    for weights in [vec![1.0, 0.0, 1.0, 1.0], vec![1.0, -1.0, 1.0, 1.0], vec![1.0, 1e-200, 1.0, 1.0]] {
        assert_eq!(spline(bend.clone(), &once, weights), None);
    }
}
