//! Curved entities as points.
//!
//! Arcs and splines are flattened within [`FLATNESS`] for measuring; the entity itself is what the
//! writer moves.

use super::edge::nearest_share;
use crate::dxf_text::DxfError;
use kurbo::{ParamCurve, Point, Vec2};
use std::f64::consts::TAU;
use std::sync::atomic::{AtomicUsize, Ordering::Relaxed};

/// How far, in mm, a chord may be from the curve it stands for. A tenth of the 0.05 mm to which a
/// crotch length has to be met; ten times smaller triples the points for no visible gain.
const FLATNESS: f64 = 0.002;

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
#[must_use]
pub(super) fn bulge(a: Point, b: Point, bulge: f64) -> Vec<Point> {
    let chord = b - a;
    let length = chord.hypot();
    if bulge == 0.0 || length == 0.0 {
        return Vec::new();
    }
    // The centre lies on the chord's perpendicular; see the geometry of a circular segment.
    let centre = a.midpoint(b) + Vec2::new(-chord.y, chord.x) * ((1.0 - bulge * bulge) / (4.0 * bulge));
    let radius = (a - centre).hypot();
    let start = (a - centre).atan2();
    swept(centre, radius, start, 4.0 * bulge.atan(), false)
}

/// The points of a whole arc from `start` to `end` in degrees, counter-clockwise, ends included.
#[must_use]
pub(super) fn arc(centre: Point, radius: f64, start: f64, end: f64) -> Vec<Point> {
    let mut sweep = (end - start).rem_euclid(360.0);
    if sweep == 0.0 {
        sweep = 360.0;
    }
    swept(centre, radius, start.to_radians(), sweep.to_radians(), true)
}

/// The points of an elliptical arc, ends included: `axis` leads from the centre to the end of the major axis, the minor is
/// `ratio` of it, `start` and `end` are the parameters in radians, counter-clockwise.
#[must_use]
pub(super) fn ellipse(centre: Point, axis: Vec2, ratio: f64, start: f64, end: f64) -> Vec<Point> {
    let mut sweep = (end - start).rem_euclid(TAU);
    if sweep == 0.0 {
        sweep = TAU;
    }
    let square = Vec2::new(-axis.y, axis.x) * ratio;
    // A circle squeezed: a chord is at most as far off as that of the circle on the major axis.
    swept(Point::ZERO, axis.hypot(), start, sweep, true)
        .into_iter()
        .map(|p| centre + axis * (p.x / axis.hypot()) + square * (p.y / axis.hypot()))
        .collect()
}

fn swept(centre: Point, radius: f64, start: f64, sweep: f64, ends: bool) -> Vec<Point> {
    // The sagitta of a chord of angle t is r (1 - cos t/2).
    let step = 2.0 * (1.0 - (FLATNESS / radius).min(0.5)).acos();
    #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)] // bounded just here
    let n = (sweep.abs() / step).ceil().clamp(1.0, 4096.0) as u32;
    let range = if ends { 0..=n } else { 1..=n - 1 };
    let point = |i: u32| centre + Vec2::from_angle(start + sweep * f64::from(i) / f64::from(n)) * radius;
    range.map(point).collect()
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
        if self.knots.windows(2).any(|k| k[1] < k[0]) || !(self.weights.is_empty() || self.weights.len() == n)
        {
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
