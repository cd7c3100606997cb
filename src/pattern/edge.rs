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
        let share = |x: f64| nearest_share(Point::new(2.0, 1.0), Point::new(6.0, 1.0), Point::new(x, 9.0));
        assert_eq!([share(-5.0), share(3.0), share(8.0)], [0.0, 0.25, 1.0]);
        assert_eq!(nearest_share(Point::ZERO, Point::ZERO, Point::new(1.0, 1.0)), 0.0);
    }
}
