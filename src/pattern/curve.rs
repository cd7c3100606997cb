//! Curved entities as points.
//!
//! Arcs and splines are flattened within [`FLATNESS`] for measuring; the entity itself is what the
//! writer moves.

use crate::dxf_text::DxfError;
use crate::geometry::edge::nearest_share;
use kurbo::{ParamCurve, Point, Vec2};
use std::f64::consts::TAU;
use std::sync::atomic::{AtomicUsize, Ordering::Relaxed};

/// How far, in mm, a chord may be from the curve it stands for. A tenth of the 0.05 mm to which a
/// crotch length has to be met; ten times smaller triples the points for no visible gain.
pub(super) const FLATNESS: f64 = 0.002;

/// The points that the curves of a drawing may come to, whatever its size and for each of its bytes. A curve of pattern pieces
/// comes to less than one for each byte of its drawing; a few bytes can say a curve of thousands, and a file of those would
/// fill the memory.
const MOST: (usize, usize) = (4_000_000, 1);

/// How many points more the curves of a drawing may come to.
#[derive(Debug)]
pub(super) struct Allowed(AtomicUsize);

impl Allowed {
    /// For a drawing of so many bytes.
    pub fn of(bytes: usize) -> Self {
        Allowed(AtomicUsize::new(MOST.0 + MOST.1 * bytes))
    }

    /// Takes some of them.
    pub fn take(&self, points: usize) -> Result<(), DxfError> {
        let taken = self.0.fetch_update(Relaxed, Relaxed, |left| left.checked_sub(points));
        taken.map(|_| ()).map_err(|_| DxfError::TooManyCurves)
    }
}

/// The points strictly between `a` and `b` on the arc of this bulge (the tangent of a quarter of
/// the angle swept, positive counter-clockwise).
///
/// Each point by its chord from `a` (a chord is as long as the sine of half of what it spans, and leads half of that from the
/// tangent): the centre, which a bulge next to nothing puts next to infinity, is not needed.
#[must_use]
pub(super) fn bulge(a: Point, b: Point, bulge: f64) -> Vec<Point> {
    let chord = b - a;
    if bulge == 0.0 || chord == Vec2::ZERO {
        return Vec::new();
    }
    // The sine of half the angle swept is twice this one's inverse.
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

/// The points of a whole arc from `start` to `end` in degrees, counter-clockwise, ends included; `None` where it may be
/// next to nothing or next to a whole circle.
#[must_use]
pub(super) fn arc(centre: Point, radius: f64, start: f64, end: f64) -> Option<Vec<Point>> {
    let (start, sweep) = (start.to_radians(), sweep(start, end, 360.0)?.to_radians());
    let n = parts(radius, sweep);
    let point = |i: u32| centre + Vec2::from_angle(start + sweep * f64::from(i) / f64::from(n)) * radius;
    Some((0..=n).map(point).collect())
}

/// The points of an elliptical arc, ends included: `axis` leads from the centre to the end of the major axis, `minor` to that of
/// the minor, `start` and `end` are the parameters in radians, from the major axis to the minor. `None` as with [`arc`].
#[must_use]
pub(super) fn ellipse(centre: Point, axis: Vec2, minor: Vec2, start: f64, end: f64) -> Option<Vec<Point>> {
    let sweep = sweep(start, end, TAU)?;
    // A circle squeezed: a chord is at most as far off as that of the circle on the longer axis.
    let long = axis.hypot();
    let n = parts(long.max(minor.hypot()), sweep);
    let point = |i: u32| {
        let t = Vec2::from_angle(start + sweep * f64::from(i) / f64::from(n)) * long;
        if long == 0.0 { centre + minor * t.y } else { centre + axis * (t.x / long) + minor * (t.y / long) }
    };
    Some((0..=n).map(point).collect())
}

/// The angle, of which `turn` is a whole turn, swept counter-clockwise from `start` to `end`; once round where they are the same or apart by a whole
/// turn, of which the last digit may be rounded up. `None` where the end comes before the start by no more than such a digit: all
/// the way round or none of it, nobody can tell.
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
    /// More than a circle needs that is as wide as the drawing may be.
    const MOST: f64 = 524_288.0;
    // The sagitta of a chord of angle t is r (1 - cos t/2) = 2 r sin² t/4; the cosine of a small angle is 1 to every digit.
    let step = 4.0 * ((FLATNESS / radius).min(0.5) / 2.0).sqrt().asin();
    #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)] // bounded just here
    let n = (sweep.abs() / step).ceil().clamp(1.0, MOST) as u32;
    // A radius beyond every number is that of a straight line.
    if step == 0.0 { 1 } else { n }
}

/// What a `SPLINE` entity says of its curve.
#[derive(Clone, Debug, Default)]
pub(super) struct Nurbs {
    /// The degree.
    pub degree: usize,
    /// The knots.
    pub knots: Vec<f64>,
    /// The control points.
    pub controls: Vec<Point>,
    /// The weights; empty where all are 1.
    pub weights: Vec<f64>,
}

impl Nurbs {
    /// The curve as points, ends included; `None` where the numbers do not make a curve.
    pub fn flatten(&self, allowed: &Allowed) -> Result<Option<Vec<Point>>, DxfError> {
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

    /// Whether the numbers have digits enough to tell the points of the curve apart: each point has a weight, none of which is next
    /// to nothing beside the others, and the knots differ by more than what their last digits say.
    fn told_apart(&self) -> bool {
        const DIGITS: f64 = 1e-9;
        let (first, last) = (self.knots[self.degree], self.knots[self.controls.len()]);
        let heaviest = self.weights.iter().copied().fold(0.0, f64::max);
        let weighed = self.weights.is_empty() || self.weights.len() == self.controls.len();
        weighed
            && self.weights.iter().all(|&w| w > 0.0 && w >= DIGITS * heaviest)
            && last - first > DIGITS * first.abs().max(last.abs())
    }

    /// Halves `a..b` until the chord is close at its quarter points, and appends all but `a`.
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
