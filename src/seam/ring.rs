//! Closed polylines: turning, corners, lengths.

use kurbo::{Line, ParamCurveNearest, Point, Vec2};

/// Segments shorter than this, in mm, have no direction worth using: with coordinates rounded to
/// 0.01 mm the direction of a 0.3 mm segment is off by up to 2°.
const SHORTEST: f64 = 0.3;

/// The least turn, in degrees, of a corner between two seams. Trouser corners turn by 50° to 110°;
/// the coarsest curves in use turn by some 20° at a vertex.
pub const CORNER: f64 = 32.0;

/// Signed turns, in degrees, at every point of a closed line; positive where it turns towards its
/// inside, so at convex corners.
#[must_use]
pub fn turns(points: &[Point]) -> Vec<f64> {
    let n = points.len();
    let inward = if doubled_area(points) < 0.0 { -1.0 } else { 1.0 };
    (0..n)
        .map(|i| match (reach(points, i, n - 1), reach(points, i, 1)) {
            (Some(before), Some(after)) => inward * angle(-before, after),
            _ => 0.0,
        })
        .collect()
}

/// The vector from point `i` to the next point in steps of `step` that is far enough away.
fn reach(points: &[Point], i: usize, step: usize) -> Option<Vec2> {
    let n = points.len();
    let mut j = (i + step) % n;
    while j != i {
        let v = points[j] - points[i];
        if v.hypot2() >= SHORTEST * SHORTEST {
            return Some(v);
        }
        j = (j + step) % n;
    }
    None
}

/// The angle in degrees from `a` to `b`, in −180..180.
#[must_use]
pub fn angle(a: Vec2, b: Vec2) -> f64 {
    a.cross(b).atan2(a.dot(b)).to_degrees()
}

/// Twice the signed area.
#[must_use]
pub fn doubled_area(points: &[Point]) -> f64 {
    let n = points.len();
    (0..n).map(|i| points[i].to_vec2().cross(points[(i + 1) % n].to_vec2())).sum()
}

/// The points of a closed line from one to another, both included, running forward.
#[must_use]
pub fn run(points: &[Point], from: usize, to: usize) -> Vec<Point> {
    let n = points.len();
    (0..=(to + n - from) % n).map(|k| points[(from + k) % n]).collect()
}

/// How far, in mm, a point is from an open run of points.
#[must_use]
pub fn distance(run: &[Point], p: Point) -> f64 {
    let segment = |w: &[Point]| Line::new(w[0], w[1]).nearest(p, 1e-6).distance_sq.sqrt();
    run.windows(2).map(segment).fold(f64::MAX, f64::min)
}

/// The length of an open run of points.
#[must_use]
pub fn length(points: &[Point]) -> f64 {
    points.windows(2).map(|w| (w[1] - w[0]).hypot()).sum()
}

/// The arc length from the first point to each.
#[must_use]
pub fn stations(points: &[Point]) -> Vec<f64> {
    let mut at = 0.0;
    let mut before = points.first().copied().unwrap_or_default();
    points
        .iter()
        .map(|&p| {
            at += (p - before).hypot();
            before = p;
            at
        })
        .collect()
}

/// The unsigned angle, in degrees 0..90, between a direction and an axis.
#[must_use]
pub fn lean(direction: Vec2, axis: Vec2) -> f64 {
    direction.cross(axis).abs().atan2(direction.dot(axis).abs()).to_degrees()
}

/// The tangent at the first point of a sampled curve, to second order: the chord of the first
/// segment turned back by what the curve turns in half of it.
#[must_use]
pub fn tangent_at_start(points: &[Point]) -> Vec2 {
    let Some(a) = points.iter().position(|p| (*p - points[0]).hypot() >= SHORTEST) else {
        return Vec2::ZERO;
    };
    let first = points[a] - points[0];
    let Some(second) = points[a..].iter().map(|p| *p - points[a]).find(|v| v.hypot() >= SHORTEST) else {
        return first.normalize();
    };
    let turn = angle(first, second);
    // A real corner or a much longer neighbour says nothing about the curve in this segment.
    if turn.abs() > 20.0 {
        return first.normalize();
    }
    let back = turn * first.hypot() / (first.hypot() + second.hypot());
    (Vec2::from_angle(first.atan2() - back.to_radians())).normalize()
}

#[cfg(test)]
mod tests {
    #![allow(clippy::float_cmp, reason = "whole numbers are meant exactly")]
    use super::*;

    const ORIGIN: Vec2 = Vec2::new(31.0, -17.0);

    fn points(all: &[(f64, f64)]) -> Vec<Point> {
        all.iter().map(|&(x, y)| Point::new(x, y) + ORIGIN).collect()
    }

    fn near(a: f64, b: f64) -> bool {
        (a - b).abs() < 1e-9
    }

    #[test]
    fn a_line_turns_by_its_outer_angles() {
        // A right triangle of 3, 4 and 5: by hand 90°, 180° less atan(3/4), 180° less atan(4/3); they add up to 360°.
        let triangle = points(&[(0.0, 0.0), (4.0, 0.0), (0.0, 3.0)]);
        let expected =
            [90.0, 180.0 - 0.75f64.atan().to_degrees(), 180.0 - (4.0f64 / 3.0).atan().to_degrees()];
        for (turn, by_hand) in turns(&triangle).into_iter().zip(expected) {
            assert!(near(turn, by_hand), "{turn} {by_hand}");
        }
        assert!(near(doubled_area(&triangle), 12.0));
        // The other way round the corners are the same, the area negative.
        let back: Vec<Point> = triangle.iter().rev().copied().collect();
        assert!(turns(&back).iter().zip(expected.iter().rev()).all(|(a, b)| near(*a, *b)));
        assert!(near(doubled_area(&back), -12.0));
        // Hollow is negative, and a vertex 0.2 mm beside another has no direction of its own.
        let hollow = points(&[(0.0, 0.0), (40.0, 0.0), (10.0, 10.0), (0.0, 50.0)]);
        assert!(turns(&hollow)[2] < 0.0);
        let doubled = points(&[(0.0, 0.0), (4.0, 0.0), (4.0, 0.2), (0.0, 3.2)]);
        // Past its twin at (4, 0) the line comes from (0, 0) along (4, 0.2) and goes on by (−4, 3).
        let by_hand = 180.0 - (3.0f64 / 4.0).atan().to_degrees() - (0.2f64 / 4.0).atan().to_degrees();
        assert!(near(turns(&doubled)[2], by_hand), "{}", turns(&doubled)[2]);
        assert!(turns(&points(&[(1.0, 1.0); 3])).iter().all(|t| *t == 0.0));
    }

    #[test]
    fn angles_have_a_sign_and_leans_have_none() {
        let at = |degrees: f64| Vec2::from_angle(degrees.to_radians()) * 7.0;
        for (from, to, angle_of, lean_of) in [
            (10.0, 40.0, 30.0, 30.0),
            (40.0, 10.0, -30.0, 30.0),
            (10.0, 130.0, 120.0, 60.0),
            (10.0, 171.0, 161.0, 19.0),
            (170.0, -170.0, 20.0, 20.0),
        ] {
            assert!(
                near(angle(at(from), at(to)), angle_of) && near(lean(at(from), at(to)), lean_of),
                "{from} {to}"
            );
        }
    }

    #[test]
    fn runs_lengths_stations_and_distances() {
        let line = points(&[(0.0, 0.0), (3.0, 4.0), (3.0, 10.0), (-5.0, 4.0)]);
        assert_eq!(run(&line, 1, 3), line[1..]);
        assert_eq!(run(&line, 3, 1), [line[3], line[0], line[1]]);
        assert!(near(length(&line), 5.0 + 6.0 + 10.0));
        assert_eq!(stations(&line), [0.0, 5.0, 11.0, 21.0]);
        // Beside the edge of 5 the height of the triangle 3, 4, 5; beyond an end the way to the end.
        let off = |x: f64, y: f64| distance(&line, Point::new(x, y) + ORIGIN);
        assert!(near(off(3.0, 0.0), 2.4) && near(off(-3.0, -4.0), 5.0) && near(off(10.0, 6.0), 7.0));
    }

    #[test]
    fn the_tangent_of_a_circle_is_square_to_its_radius() {
        // Chords of a circle: the tangent leads the first chord by half of what that spans, whatever the next one spans.
        for (first, second) in [(4.0, 4.0), (3.0, 8.0), (9.0, 5.0)] {
            let on = |degrees: f64| {
                Point::new(80.0 * degrees.to_radians().cos(), 80.0 * degrees.to_radians().sin())
            };
            let circle = [on(20.0), on(20.0 + first), on(20.0 + first + second)].map(|p| p + ORIGIN);
            let tangent = tangent_at_start(&circle);
            let off = angle(Vec2::from_angle(110f64.to_radians()), tangent);
            assert!(off.abs() < 0.03, "{first} {second}: {off}");
            assert!(near(tangent.hypot(), 1.0));
        }
        // A vertex 0.2 mm from the first says nothing; a corner of more than 20° is no curve; one edge is its own tangent.
        let near_start = points(&[(0.0, 0.0), (0.1, 0.15), (6.0, 8.0), (9.0, 12.0)]);
        assert!((tangent_at_start(&near_start) - Vec2::new(0.6, 0.8)).hypot() < 1e-9);
        let corner = |degrees: f64| {
            let a = Point::new(5.0, 0.0) + ORIGIN;
            tangent_at_start(&[
                Point::ORIGIN + ORIGIN,
                a,
                a + Vec2::from_angle(f64::to_radians(degrees)) * 5.0,
            ])
            .atan2()
        };
        assert!(near(corner(21.0), 0.0) && near(corner(-21.0), 0.0));
        assert!(near(corner(19.0).to_degrees(), -9.5) && near(corner(-19.0).to_degrees(), 9.5));
        assert_eq!(tangent_at_start(&points(&[(0.0, 0.0), (0.0, 9.0)])), Vec2::new(0.0, 1.0));
        assert_eq!(tangent_at_start(&points(&[(0.0, 0.0), (0.0, 0.1)])), Vec2::ZERO);
    }
}
