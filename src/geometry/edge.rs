//! An edge: the straight line between two points.

use kurbo::Point;

/// The position of the point on the edge from `a` to `b` that is nearest to `p`, as a share of the edge; 0 if the edge has no
/// length.
#[must_use]
pub fn nearest_share(a: Point, b: Point, p: Point) -> f64 {
    let d = b - a;
    if d.hypot2() == 0.0 { 0.0 } else { ((p - a).dot(d) / d.hypot2()).clamp(0.0, 1.0) }
}

/// The place on the edge from `a` to `b` that is nearest to `p`: its share of the edge, and its distance from `p`.
#[must_use]
pub fn nearest(a: Point, b: Point, p: Point) -> (f64, f64) {
    let (share, square) = nearest_squared(a, b, p);
    (share, square.sqrt())
}

/// The same with the square of the distance, which is faster when many are compared.
#[must_use]
pub fn nearest_squared(a: Point, b: Point, p: Point) -> (f64, f64) {
    let share = nearest_share(a, b, p);
    (share, (a + (b - a) * share - p).hypot2())
}

/// The distance of `p` from the straight line through `a` and `b`, to which it goes on beyond both.
#[must_use]
pub fn off(a: Point, b: Point, p: Point) -> f64 {
    let d = b - a;
    if d.hypot2() == 0.0 { (p - a).hypot() } else { ((p - a).cross(d) / d.hypot()).abs() }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::float_cmp, reason = "the numbers are exact in binary")]
    use super::*;

    #[test]
    fn beyond_its_ends_an_edge_is_nearest_at_them() {
        let (a, b) = (Point::new(2.0, 1.0), Point::new(6.0, 1.0));
        let nearest = |x: f64| a.lerp(b, nearest_share(a, b, Point::new(x, 9.0)));
        assert_eq!([-5.0, 3.0, 8.0].map(nearest), [a, Point::new(3.0, 1.0), b]);
        assert!(nearest_share(a, a, b).abs() < f64::EPSILON);
    }

    #[test]
    fn the_nearest_place_is_on_the_segment() {
        // The edge is the longest side, 50 mm, of a 3-4-5 triangle; the point lies 20 mm from its beginning and 15 mm beside it.
        let (a, b) = (Point::new(10.0, 20.0), Point::new(40.0, 60.0));
        let (t, away) = nearest(a, b, Point::new(22.0 - 12.0, 36.0 + 9.0));
        assert!((t - 0.4).abs() < 1e-12 && (away - 15.0).abs() < 1e-12, "{t} {away}");
        // Beyond its ends.
        assert_eq!(nearest(a, b, Point::new(7.0, 16.0)), (0.0, 5.0));
        assert_eq!(nearest(a, b, Point::new(46.0, 68.0)), (1.0, 10.0));
    }

    #[test]
    fn a_point_is_off_a_line_by_its_height_over_it() {
        let p = Point::new;
        // A right triangle of 3, 4 and 5: its height over the hypotenuse is 2.4.
        assert!((off(p(3.0, 0.0), p(0.0, 4.0), p(0.0, 0.0)) - 2.4).abs() < 1e-12);
        assert!((off(p(0.0, 4.0), p(3.0, 0.0), p(0.0, 0.0)) - 2.4).abs() < 1e-12);
        assert_eq!(off(p(1.0, 1.0), p(1.0, 1.0), p(4.0, 5.0)), 5.0);
    }
}
