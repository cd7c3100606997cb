//! Directions: the angles between them, turns, and the tangent of a drawn curve.

use kurbo::{Affine, Point, Vec2};

/// The length, in mm, of the stretch of a line from which its direction is taken. With 0.2 mm of noise from a digitiser, or
/// coordinates rounded to 0.01 mm, the direction of a shorter stretch depends more on the noise than on the line.
pub(super) const STEADY: f64 = 2.0;

/// The angle in degrees from `a` to `b`, in −180..180.
#[must_use]
pub fn angle(a: Vec2, b: Vec2) -> f64 {
    turn(a, b).to_degrees()
}

/// Whether the angle from `a` to `b`, either way, is more than `degrees`, which are less than 90. Takes less than the angle.
#[must_use]
pub fn turns_by(a: Vec2, b: Vec2, degrees: f64) -> bool {
    a.cross(b).abs() > a.dot(b) * degrees.to_radians().tan()
}

/// The unsigned angle, in degrees 0..90, between a direction and an axis.
#[must_use]
pub fn lean(direction: Vec2, axis: Vec2) -> f64 {
    direction.cross(axis).abs().atan2(direction.dot(axis).abs()).to_degrees()
}

/// The angle in radians from `a` to `b`, counter-clockwise, in −π..π.
#[must_use]
pub fn turn(a: Vec2, b: Vec2) -> f64 {
    a.cross(b).atan2(a.dot(b))
}

/// A vector turned counter-clockwise by the angle `by` in radians.
#[must_use]
pub fn rotated(v: Vec2, by: f64) -> Vec2 {
    let (sin, cos) = by.sin_cos();
    Vec2::new(v.x * cos - v.y * sin, v.x * sin + v.y * cos)
}

/// The reflection in the line through a point along a direction.
#[must_use]
pub fn reflection(through: Point, along: Vec2) -> Affine {
    let line = along.normalize();
    let (double, cross) = (2.0 * line.x * line.x - 1.0, 2.0 * line.x * line.y);
    let about = Affine::new([double, cross, cross, -double, 0.0, 0.0]);
    Affine::translate(through.to_vec2()) * about * Affine::translate(-through.to_vec2())
}

/// The tangent at the first point of a sampled curve, to second order. Where vertices lie close together, the directions of short
/// edges are noise; the tangent is then that of the parabola through the first point that best fits the following points.
/// Otherwise it is the direction of the first segment, turned back by the angle through which the curve turns in half of that
/// segment.
#[must_use]
pub fn tangent_at_start(points: &[Point]) -> Vec2 {
    if let Some(fitted) = tangent_of_fit(points) {
        return fitted;
    }
    let Some(a) = points.iter().position(|p| (*p - points[0]).hypot() >= STEADY) else {
        return points.last().map_or(Vec2::ZERO, |p| direction(*p - points[0]));
    };
    let first = points[a] - points[0];
    let Some(second) = points[a..].iter().map(|p| *p - points[a]).find(|v| v.hypot() >= STEADY) else {
        return first.normalize();
    };
    let turn = angle(first, second);
    // A larger turn comes from a real corner or a much longer neighbour, and says nothing about the curve in this segment.
    if turn.abs() > 20.0 {
        return first.normalize();
    }
    let back = turn * first.hypot() / (first.hypot() + second.hypot());
    (Vec2::from_angle(first.atan2() - back.to_radians())).normalize()
}

/// The tangent at the first point by a least-squares fit: a parabola through that point, as a function of the distance from it,
/// is fitted to the points of the following stretch. `None` if there are too few points, or if they do not lie on one curve.
fn tangent_of_fit(points: &[Point]) -> Option<Vec2> {
    /// The length of the stretch in mm. The tightest crotch curves have a radius of some 20 mm, and over this length they depart
    /// from a parabola by 0.1 mm.
    const STRETCH: f64 = 12.0;
    /// The least number of points besides the first; through two points there is always an exact parabola.
    const LEAST: usize = 5;
    /// How far, in mm, a point may be from the parabola. This allows for noise, but not for a corner.
    const OFF: f64 = 0.5;
    let start = *points.first()?;
    // The distance from the first point is used, because the length along a rough line is longer than that of the line it
    // represents.
    let way = points[1..].iter().map(|p| ((*p - start).hypot(), *p - start));
    let near: Vec<(f64, Vec2)> = way.take_while(|(s, _)| *s <= STRETCH).collect();
    if near.len() < LEAST {
        return None;
    }
    // The normal equations of a·s + b·s².
    let sum = |power: i32| near.iter().map(|(s, _)| s.powi(power)).sum::<f64>();
    let by = |power: i32| near.iter().map(|(s, d)| *d * s.powi(power)).sum::<Vec2>();
    let (s2, s3, s4, d1, d2) = (sum(2), sum(3), sum(4), by(1), by(2));
    let det = s2 * s4 - s3 * s3;
    let (a, b) = ((d1 * s4 - d2 * s3) / det, (d2 * s2 - d1 * s3) / det);
    let off = |&(s, d): &(f64, Vec2)| (d - a * s - b * s * s).hypot();
    (det > 0.0 && a.hypot() > 0.0 && near.iter().all(|n| off(n) <= OFF)).then(|| a.normalize())
}

/// The unit vector in the direction of a vector; zero for the zero vector.
fn direction(v: Vec2) -> Vec2 {
    if v.hypot2() > 0.0 { v.normalize() } else { Vec2::ZERO }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::float_cmp, reason = "whole numbers are meant exactly")]
    use super::super::by_hand::*;
    use super::*;

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
    fn the_tangent_of_a_circle_is_square_to_its_radius() {
        // Chords of a circle: the angle between the tangent and the first chord is half the angle which that chord spans,
        // whatever the next one spans.
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
        // Many vertices close together, rounded to 0.01 mm, give the same tangent.
        let on = |mm: f64| {
            let (sin, cos) = (mm / 40.0).sin_cos();
            Point::new((4000.0 * cos).round() / 100.0, (4000.0 * sin).round() / 100.0)
        };
        let dense: Vec<Point> = (0..150).map(|k| on(f64::from(k) * 0.2)).collect();
        assert!(angle(Vec2::new(0.0, 1.0), tangent_at_start(&dense)).abs() < 0.3);
        // A vertex 0.2 mm from the first is ignored; a turn of more than 20° is a corner and not a curve; a single edge is its
        // own tangent.
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
        assert_eq!(tangent_at_start(&points(&[(0.0, 0.0), (0.0, 0.1)])), Vec2::new(0.0, 1.0));
        assert_eq!(tangent_at_start(&points(&[(0.0, 0.0)])), Vec2::ZERO);
    }
}
