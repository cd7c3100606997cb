//! Directions: angles between them, turns, and where a drawn curve points.

use kurbo::{Affine, Point, Vec2};

/// How far, in mm, to look along a line for the direction in which it runs there. With 0.2 mm of a
/// digitiser's noise, or coordinates rounded to 0.01 mm, the direction of a shorter stretch says
/// more about the noise than about the line.
pub(super) const STEADY: f64 = 2.0;

/// The angle in degrees from `a` to `b`, in −180..180.
#[must_use]
pub fn angle(a: Vec2, b: Vec2) -> f64 {
    turn(a, b).to_degrees()
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

/// A vector turned counter-clockwise by so many radians.
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

/// The tangent at the first point of a sampled curve, to second order. Where vertices lie close
/// together it is that of the parabola through the first point that fits the next best, since the
/// directions of short edges are noise; else the chord of the first segment turned back by what the
/// curve turns in half of it.
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
    // A real corner or a much longer neighbour says nothing about the curve in this segment.
    if turn.abs() > 20.0 {
        return first.normalize();
    }
    let back = turn * first.hypot() / (first.hypot() + second.hypot());
    (Vec2::from_angle(first.atan2() - back.to_radians())).normalize()
}

/// The tangent at the first point of the parabola, by distance from that point and through it, that fits
/// the points of the next stretch in the least squares. `None` where they are too few, or no part
/// of one curve.
fn tangent_of_fit(points: &[Point]) -> Option<Vec2> {
    /// The stretch in mm: the tightest crotch curves have a radius of some 20 mm, and leave a
    /// parabola over this by 0.1 mm.
    const STRETCH: f64 = 12.0;
    /// The least points besides the first: two would be met by any parabola.
    const LEAST: usize = 5;
    /// How far, in mm, a point may be off the parabola: noise, but no corner.
    const OFF: f64 = 0.5;
    let start = *points.first()?;
    // The way along a rough line is longer than the line it stands for; the distance is not.
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

/// The unit vector of a vector; none has none.
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
        // Many vertices close together, rounded to 0.01 mm, say the same of the circle.
        let on = |mm: f64| {
            let (sin, cos) = (mm / 40.0).sin_cos();
            Point::new((4000.0 * cos).round() / 100.0, (4000.0 * sin).round() / 100.0)
        };
        let dense: Vec<Point> = (0..150).map(|k| on(f64::from(k) * 0.2)).collect();
        assert!(angle(Vec2::new(0.0, 1.0), tangent_at_start(&dense)).abs() < 0.3);
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
        assert_eq!(tangent_at_start(&points(&[(0.0, 0.0), (0.0, 0.1)])), Vec2::new(0.0, 1.0));
        assert_eq!(tangent_at_start(&points(&[(0.0, 0.0)])), Vec2::ZERO);
    }
}
