//! Notches as ticks.

use crate::pattern::Path;
use kurbo::{Line, ParamCurve, ParamCurveNearest, Point, Vec2};

/// The depth, in mm, of a notch that says none: about ¼ in, within the usual allowances (common
/// practice, no source).
const DEPTH: f64 = 6.0;

/// A notch as its two ends: from its place, by its depth, in its direction. Where it has no
/// direction, it runs into the piece, square to the line it is on.
pub(super) fn tick(
    at: Point,
    depth: Option<f64>,
    direction: Option<f64>,
    outline: Option<&Path>,
) -> [Point; 2] {
    let depth = depth.map(f64::abs).filter(|d| *d > 0.0).unwrap_or(DEPTH);
    let along = match direction {
        Some(degrees) => Vec2::from_angle(degrees.to_radians()),
        None => outline.and_then(|o| inward(at, o)).unwrap_or(Vec2::new(0.0, 1.0)),
    };
    [at, at + along * depth]
}

/// Square to the nearest segment of a closed line, towards its inside.
fn inward(at: Point, outline: &Path) -> Option<Vec2> {
    let left = if outline.doubled_area() < 0.0 { -1.0 } else { 1.0 };
    let n = outline.points.len();
    let segments = (0..n).map(|i| Line::new(outline.points[i], outline.points[(i + 1) % n]));
    let nearest = segments
        .filter(|s| s.p0 != s.p1)
        .min_by(|a, b| a.nearest(at, 1e-9).distance_sq.total_cmp(&b.nearest(at, 1e-9).distance_sq))?;
    let along = nearest.end() - nearest.start();
    Some(Vec2::new(-along.y, along.x).normalize() * left)
}
