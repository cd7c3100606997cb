//! An edge: the straight line between two points.

use kurbo::Point;

/// Where on the edge from `a` to `b` the point nearest to `p` lies, as a share of the edge; 0 where the
/// edge has no length.
#[must_use]
pub fn nearest_share(a: Point, b: Point, p: Point) -> f64 {
    let d = b - a;
    if d.hypot2() == 0.0 { 0.0 } else { ((p - a).dot(d) / d.hypot2()).clamp(0.0, 1.0) }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn beyond_its_ends_an_edge_is_nearest_at_them() {
        let (a, b) = (Point::new(2.0, 1.0), Point::new(6.0, 1.0));
        let nearest = |x: f64| a.lerp(b, nearest_share(a, b, Point::new(x, 9.0)));
        assert_eq!([-5.0, 3.0, 8.0].map(nearest), [a, Point::new(3.0, 1.0), b]);
        assert!(nearest_share(a, a, b).abs() < f64::EPSILON);
    }
}
