//! A closed line through points: its area, and parts of it.

use kurbo::Point;

/// Twice the signed area of a closed line; positive if it runs counter-clockwise.
#[must_use]
pub fn doubled_area(points: &[Point]) -> f64 {
    let n = points.len();
    (0..n).map(|i| points[i].to_vec2().cross(points[(i + 1) % n].to_vec2())).sum()
}

/// The points of a closed line from one index forward to another, including both.
#[must_use]
pub fn run(points: &[Point], from: usize, to: usize) -> Vec<Point> {
    let n = points.len();
    (0..=(to + n - from) % n).map(|k| points[(from + k) % n]).collect()
}
