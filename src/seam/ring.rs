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
