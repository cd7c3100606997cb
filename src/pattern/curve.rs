//! Flattens curved entities into points.
//!
//! Arcs and splines are flattened within [`FLATNESS`] for measuring; when a piece is altered, the entity itself is moved.

use super::EntityError;
use crate::geometry::edge::nearest_share;
use kurbo::{ParamCurve, Point, Vec2};
use std::f64::consts::TAU;
use std::sync::atomic::{AtomicUsize, Ordering::Relaxed};

/// How far, in mm, a chord may be from its curve. It is far below the 0.05 mm within which a crotch length has to be met; a value
/// ten times smaller triples the number of points for no visible gain.
pub(super) const FLATNESS: f64 = 0.002;

/// The number of points that the curves of a drawing may be flattened to: the first value, plus the second for each byte of the
/// drawing. The curves of pattern pieces need less than one point per byte, and the first value is enough for some hundred half
/// circles of a metre in a small drawing. But a few bytes can describe a curve of thousands of points, and a file of such curves would
/// fill the memory.
const MOST: (usize, usize) = (500_000, 1);

/// The number of points that the curves of a drawing may still be flattened to.
#[derive(Debug)]
pub(super) struct Allowed(AtomicUsize);

impl Allowed {
    /// The allowed number for a drawing with that many bytes.
    pub fn of(bytes: usize) -> Self {
        Allowed(AtomicUsize::new(MOST.0 + MOST.1 * bytes))
    }

    /// Uses up some of the allowed points; fails if too few are left.
    pub fn take(&self, points: usize) -> Result<(), EntityError> {
        let taken = self.0.fetch_update(Relaxed, Relaxed, |left| left.checked_sub(points));
        taken.map(|_| ()).map_err(|_| EntityError::TooManyCurves)
    }
}

/// The points strictly between `a` and `b` on the arc of this bulge (the tangent of a quarter of
/// the angle swept, positive counter-clockwise).
///
/// Each point is found by its chord from `a`. The length of a chord is proportional to the sine of half the angle it spans, and
/// its direction differs from the tangent by half that angle. The centre, which lies almost at infinity for a bulge near zero, is
/// therefore not needed.
#[must_use]
pub(super) fn bulge(a: Point, b: Point, bulge: f64) -> Vec<Point> {
    let chord = b - a;
    if bulge == 0.0 || chord == Vec2::ZERO {
        return Vec::new();
    }
    // The sine of half the swept angle is 2 divided by this.
    let inverse = bulge + 1.0 / bulge;
    let radius = chord.hypot() * inverse.abs() / 4.0;
    let half = 2.0 * bulge.atan();
    let n = parts(radius, 2.0 * half);
    let point = |i: u32| {
        let spanned = half * f64::from(i) / f64::from(n);
        let (along, turned) = (chord * (spanned.sin() * inverse / 2.0), Vec2::from_angle(spanned - half));
        a + Vec2::new(along.x * turned.x - along.y * turned.y, along.x * turned.y + along.y * turned.x)
    };
    (1..n).map(point).collect()
}

/// The points of an arc from `start` to `end` in degrees, counter-clockwise, including both ends. `None` if it is unclear whether
/// the arc is almost nothing or almost a whole circle.
#[must_use]
pub(super) fn arc(centre: Point, radius: f64, start: f64, end: f64) -> Option<Vec<Point>> {
    let (start, sweep) = (start.to_radians(), sweep(start, end, 360.0)?.to_radians());
    let n = parts(radius, sweep);
    let point = |i: u32| centre + Vec2::from_angle(start + sweep * f64::from(i) / f64::from(n)) * radius;
    Some((0..=n).map(point).collect())
}

/// The points of an elliptical arc, including both ends. `axis` is the vector from the centre to the end of the major axis,
/// `minor` that to the end of the minor axis; `start` and `end` are the parameters in radians, counted from the major axis
/// towards the minor. `None` in the same case as for [`arc`].
#[must_use]
pub(super) fn ellipse(centre: Point, axis: Vec2, minor: Vec2, start: f64, end: f64) -> Option<Vec<Point>> {
    let sweep = sweep(start, end, TAU)?;
    // An ellipse is a compressed circle, so a chord is no farther from its curve than in the circle on the longer axis.
    let long = axis.hypot();
    let n = parts(long.max(minor.hypot()), sweep);
    let point = |i: u32| {
        let t = Vec2::from_angle(start + sweep * f64::from(i) / f64::from(n)) * long;
        if long == 0.0 { centre + minor * t.y } else { centre + axis * (t.x / long) + minor * (t.y / long) }
    };
    Some((0..=n).map(point).collect())
}

/// The angle swept counter-clockwise from `start` to `end`, in the unit in which `turn` is a whole turn. If both are equal or
/// differ by a whole turn, whose last digit may have been rounded up, it is a whole turn. `None` if the end lies before the start
/// by no more than such a digit: it is then unclear whether a whole turn or nothing is meant.
fn sweep(start: f64, end: f64, turn: f64) -> Option<f64> {
    /// The last of five decimals.
    const DIGIT: f64 = 1e-5;
    let written = end - start;
    if written == 0.0 || (written.abs() - turn).abs() < 1e-9 || (turn..turn + DIGIT).contains(&written) {
        return Some(turn);
    }
    let sweep = written.rem_euclid(turn);
    (written >= 0.0 || turn - sweep > DIGIT).then_some(sweep)
}

/// How many chords an arc of this radius needs to stay within [`FLATNESS`].
fn parts(radius: f64, sweep: f64) -> u32 {
    /// More chords than are needed by a circle as wide as a drawing may be.
    const MOST: f64 = 524_288.0;
    // The sagitta of a chord of angle t is r (1 - cos t/2) = 2 r sin² t/4; the cosine of a small angle is 1 to every digit.
    let step = 4.0 * ((FLATNESS / radius).min(0.5) / 2.0).sqrt().asin();
    #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)] // bounded just here
    let n = (sweep.abs() / step).ceil().clamp(1.0, MOST) as u32;
    // The step is zero for an infinite radius, which means a straight line.
    if step == 0.0 { 1 } else { n }
}

/// The curve of a `SPLINE` entity.
#[derive(Clone, Debug, Default)]
pub(super) struct Nurbs {
    /// The degree.
    pub degree: usize,
    /// The knots.
    pub knots: Vec<f64>,
    /// The control points.
    pub controls: Vec<Point>,
    /// The weights; empty if all are 1.
    pub weights: Vec<f64>,
}

impl Nurbs {
    /// The points of the curve, including both ends; `None` if the numbers do not define a curve.
    pub fn flatten(&self, allowed: &Allowed) -> Result<Option<Vec<Point>>, EntityError> {
        let (p, n) = (self.degree, self.controls.len());
        if p == 0 || p > 10 || n <= p || self.knots.len() != n + p + 1 {
            return Ok(None);
        }
        if self.knots.windows(2).any(|k| k[1] < k[0]) || !self.told_apart() {
            return Ok(None);
        }
        let mut points = Vec::new();
        for span in p..n {
            let (a, b) = (self.knots[span], self.knots[span + 1]);
            if b <= a {
                continue;
            }
            if points.is_empty() {
                points.push(self.eval(span, a));
            }
            let before = points.len();
            self.refine(span, a, b, 0, &mut points);
            allowed.take(points.len() - before)?;
        }
        Ok((points.len() >= 2).then_some(points))
    }

    /// Whether the numbers are precise enough to define the curve: there is a weight for each control point, no weight is
    /// negligible beside the others, and the knots differ by more than their rounding.
    fn told_apart(&self) -> bool {
        const DIGITS: f64 = 1e-9;
        let (first, last) = (self.knots[self.degree], self.knots[self.controls.len()]);
        let heaviest = self.weights.iter().copied().fold(0.0, f64::max);
        let weighed = self.weights.is_empty() || self.weights.len() == self.controls.len();
        weighed
            && self.weights.iter().all(|&w| w > 0.0 && w >= DIGITS * heaviest)
            && last - first > DIGITS * first.abs().max(last.abs())
    }

    /// Halves `a..b` until the curve at the quarter points is close to the chord, and appends all points except that at `a`.
    fn refine(&self, span: usize, a: f64, b: f64, depth: u32, points: &mut Vec<Point>) {
        let (pa, pb) = (self.eval(span, a), self.eval(span, b));
        let near = |t: f64| {
            let p = self.eval(span, a + (b - a) * t);
            (p - kurbo::Line::new(pa, pb).eval(nearest_share(pa, pb, p))).hypot() <= FLATNESS
        };
        // At least two halvings: an S-shaped span can cross its chord at all test points.
        if depth >= 12 || (depth >= 2 && near(0.5) && near(0.25) && near(0.75)) {
            points.push(pb);
            return;
        }
        let mid = f64::midpoint(a, b);
        self.refine(span, a, mid, depth + 1, points);
        self.refine(span, mid, b, depth + 1, points);
    }

    /// The point at parameter `t` of knot span `span`: de Boor's algorithm in homogeneous
    /// coordinates (L. Piegl, W. Tiller, *The NURBS Book*, 2nd ed., section 4.3; from memory).
    fn eval(&self, span: usize, t: f64) -> Point {
        let p = self.degree;
        let weight = |i: usize| self.weights.get(i).copied().unwrap_or(1.0);
        let mut d: Vec<[f64; 3]> = (span - p..=span)
            .map(|i| {
                let w = weight(i);
                [self.controls[i].x * w, self.controls[i].y * w, w]
            })
            .collect();
        for r in 1..=p {
            for j in (r..=p).rev() {
                let i = span - p + j;
                let width = self.knots[i + p - r + 1] - self.knots[i];
                let alpha = if width == 0.0 { 0.0 } else { (t - self.knots[i]) / width };
                let before = d[j - 1];
                d[j].iter_mut().zip(before).for_each(|(now, was)| *now = (1.0 - alpha) * was + alpha * *now);
            }
        }
        let [x, y, w] = d[p];
        Point::new(x / w, y / w)
    }
}

#[cfg(test)]
mod tests;
