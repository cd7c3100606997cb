//! A drawn line as the second reading sees it: points close enough together for finding a place between them, with the exact
//! length of the curve from each point to the next.
//!
//! The formulas differ from those of the first reader, so that a mistake in one is not repeated in the other: an arc is
//! halved by its bulge without ever computing its centre, an ellipse and a spline are measured by integrating their speed,
//! and the points of a spline come from its basis functions.

use kurbo::{Point, Vec2};

/// How far, in mm, a chord may be from its arc before the arc is halved. Places are looked for on the chords; an error of a
/// hundredth of the tolerance for lengths does not matter to their stations.
const SAGITTA: f64 = 2e-4;

/// An arc is halved at most this many times, which gives a circle 8192 chords, more than any garment needs.
const HALVINGS: u32 = 13;

/// A spline's length is summed over steps of about this many mm.
const STEP: f64 = 2.0;

/// Nodes and weights of the Gauss–Legendre rule of three points on 0..1 (from memory; exact for
/// polynomials up to the fifth degree, which a test holds it to).
const GAUSS: [(f64, f64); 3] =
    [(0.112_701_665_379_258_3, 5.0 / 18.0), (0.5, 8.0 / 18.0), (0.887_298_334_620_741_7, 5.0 / 18.0)];

/// A line that is drawn without a break.
#[derive(Clone, Debug, Default)]
pub(super) struct Trace {
    /// Its points in mm.
    pub points: Vec<Point>,
    /// The length of the curve from each point to the next, in mm.
    pub lengths: Vec<f64>,
    /// The area between the curve and its chords, positive where the curve bows out to the right.
    pub bow: f64,
    /// Whether the line is drawn as closed.
    pub closed: bool,
    /// Whether it is more than a single straight line.
    pub long: bool,
}

impl Trace {
    /// A line that begins at this point.
    pub fn at(start: Point) -> Self {
        Trace { points: vec![start], ..Trace::default() }
    }

    /// Its first and its last point.
    pub fn ends(&self) -> Option<[Point; 2]> {
        Some([*self.points.first()?, *self.points.last()?])
    }

    /// The same line in the opposite direction.
    pub fn reversed(mut self) -> Self {
        self.points.reverse();
        self.lengths.reverse();
        self.bow = -self.bow;
        self
    }

    /// The same line seen from behind.
    pub fn mirrored(mut self) -> Self {
        for point in &mut self.points {
            point.x = -point.x;
        }
        self.bow = -self.bow;
        self
    }

    fn step(&mut self, to: Point, length: f64) {
        self.points.push(to);
        self.lengths.push(length);
    }

    /// Continues the line with an arc. `bulge` is the tangent of a quarter of the angle swept, positive counter-clockwise,
    /// and 0 for a straight line.
    pub fn arc_to(&mut self, to: Point, bulge: f64) {
        self.halved(to, bulge, HALVINGS);
    }

    /// The middle of an arc is half the chord times the bulge away from the middle of its chord; the bulge of each half is
    /// that of half the angle.
    fn halved(&mut self, to: Point, bulge: f64, left: u32) {
        let Some(&from) = self.points.last() else { return };
        let chord = to - from;
        let sagitta = 0.5 * bulge * chord.hypot();
        if left > 0 && sagitta.abs() > SAGITTA {
            let half = bulge / (1.0 + bulge.hypot(1.0));
            let middle = from.midpoint(to) + Vec2::new(chord.y, -chord.x) * (0.5 * bulge);
            self.halved(middle, half, left - 1);
            self.halved(to, half, left - 1);
            return;
        }
        // The length is chord · θ / sin θ, where θ is half the angle swept, θ = 2 atan(bulge).
        let stretch = if bulge == 0.0 { 1.0 } else { (1.0 + bulge * bulge) * (bulge.atan() / bulge) };
        self.bow += 2.0 / 3.0 * sagitta * chord.hypot();
        self.step(to, chord.hypot() * stretch);
    }

    /// An arc about a centre, counter-clockwise, with its angles in degrees.
    pub fn circle(centre: Point, radius: f64, start: f64, end: f64) -> Self {
        let turned = (end - start).rem_euclid(360.0);
        let sweep = if turned == 0.0 { 360.0 } else { turned };
        let on = |share: f64| {
            let (sin, cos) = (start + sweep * share).to_radians().sin_cos();
            Point::new(centre.x + radius * cos, centre.y + radius * sin)
        };
        let mut trace = Trace::at(on(0.0));
        let quarter_of_a_quarter = (sweep / 16.0).to_radians().tan();
        for share in [0.25, 0.5, 0.75, 1.0] {
            trace.arc_to(on(share), quarter_of_a_quarter);
        }
        trace.long = true;
        trace
    }

    /// An elliptical arc: the points centre + `a` cos t + `b` sin t, for t from `start` over `sweep`.
    pub fn ellipse(centre: Point, [a, b]: [Vec2; 2], start: f64, sweep: f64) -> Self {
        let widest = a.hypot().max(b.hypot());
        let n = steps(sweep.abs() / (8.0 * SAGITTA / widest).sqrt(), 16.0);
        let on = |t: f64| centre + a * t.cos() + b * t.sin();
        let speed = |t: f64| (b * t.cos() - a * t.sin()).hypot();
        let dt = sweep / f64::from(n);
        let mut trace = Trace::at(on(start));
        for i in 0..n {
            let t = start + dt * f64::from(i);
            let length: f64 = GAUSS.iter().map(|&(node, weight)| weight * speed(t + dt * node)).sum();
            trace.step(on(t + dt), length * dt.abs());
            trace.bow += 0.5 * a.cross(b) * (dt - dt.sin());
        }
        trace.long = true;
        trace
    }

    /// A spline as a line; `None` where its numbers make no curve.
    pub fn spline(spline: &Spline) -> Option<Self> {
        let (p, n) = (spline.degree, spline.controls.len());
        let fits = p >= 1 && n > p && spline.knots.len() == n + p + 1;
        if !fits || !(spline.weights.is_empty() || spline.weights.len() == n) {
            return None;
        }
        let mut trace = Trace { long: true, ..Trace::default() };
        for span in p..n {
            let (from, to) = (spline.knots[span], spline.knots[span + 1]);
            if to <= from {
                continue;
            }
            if trace.points.is_empty() {
                trace.points.push(spline.at(span, from).0);
            }
            let legs = spline.controls[span - p..=span].windows(2).map(|w| (w[1] - w[0]).hypot());
            let n = steps(legs.sum::<f64>() / STEP, 16.0);
            let dt = (to - from) / f64::from(n);
            for i in 0..n {
                let t = from + dt * f64::from(i);
                let begin = trace.points[trace.points.len() - 1];
                let (end, _) = spline.at(span, t + dt);
                let (mut length, mut swept) = (0.0, 0.0);
                for (node, weight) in GAUSS {
                    let (on, speed) = spline.at(span, t + dt * node);
                    length += weight * dt * speed.hypot();
                    swept += weight * dt * (on - begin).cross(speed);
                }
                trace.step(end, length);
                trace.bow += 0.5 * swept;
            }
        }
        (trace.points.len() >= 2).then_some(trace)
    }
}

/// The number of steps wanted, rounded up, and at least `least`.
fn steps(wanted: f64, least: f64) -> u32 {
    #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "clamped just here")]
    {
        wanted.ceil().clamp(least, 4096.0) as u32
    }
}

/// The numbers that define a spline.
#[derive(Clone, Debug, Default)]
pub(super) struct Spline {
    pub degree: usize,
    pub knots: Vec<f64>,
    pub controls: Vec<Point>,
    /// Empty where all are 1.
    pub weights: Vec<f64>,
}

impl Spline {
    /// The cubic spline through points, parametrised by the lengths of their chords, with the given directions at its ends;
    /// where a direction is zero, the curve does not bend at that end. Its control points are solved from the basis functions
    /// at the points, by elimination within the band of the rows.
    pub fn through(mut points: Vec<Point>, ends: [Vec2; 2]) -> Option<Self> {
        /// More points than any drawn line is fitted through; this bounds the work, since the rows are kept in full.
        const MOST: usize = 2000;
        points.dedup();
        let n = points.len();
        if !(2..=MOST).contains(&n) {
            return None;
        }
        let mut at = vec![0.0];
        for w in points.windows(2) {
            at.push(at[at.len() - 1] + (w[1] - w[0]).hypot());
        }
        let knots = [vec![0.0; 3], at.clone(), vec![at[n - 1]; 3]].concat();
        let mut spline = Spline { degree: 3, knots, controls: Vec::new(), weights: Vec::new() };
        let count = n + 2;
        let u = spline.knots.clone();
        let mut rows: Vec<(Vec<f64>, Vec2)> = Vec::with_capacity(count);
        let row = |entries: &[(usize, f64)]| {
            let mut row = vec![0.0; count];
            for &(i, value) in entries {
                row[i] = value;
            }
            row
        };
        for (i, p) in points.iter().enumerate() {
            let span = (i + 3).min(count - 1);
            let basis = spline.basis(span, 3, at[i]);
            let entries: Vec<(usize, f64)> =
                basis.into_iter().enumerate().map(|(k, v)| (span - 3 + k, v)).collect();
            rows.push((row(&entries), p.to_vec2()));
        }
        // The speed at an end is given by the first leg of the control polygon there; where the curve does not bend, the
        // first two legs have the same speed.
        let legs = |k: usize| 1.0 / (u[k + 4] - u[k + 1]);
        let end = |way: Vec2, [k, next]: [usize; 2]| {
            if way.hypot() > 0.0 {
                (row(&[(k, -3.0 * legs(k)), (k + 1, 3.0 * legs(k))]), way.normalize())
            } else {
                let mut equal = row(&[(k, -legs(k)), (k + 1, legs(k))]);
                equal[next] += legs(next);
                equal[next + 1] -= legs(next);
                (equal, Vec2::ZERO)
            }
        };
        let (first, last) = (end(ends[0], [0, 1]), end(ends[1], [count - 2, count - 3]));
        rows.insert(1, first);
        rows.insert(rows.len() - 1, last);
        spline.controls = solved(rows)?.into_iter().map(Vec2::to_point).collect();
        Some(spline)
    }

    /// The place at a parameter within a knot span, and the speed there. The derivative of a basis function is p (N(i, p−1) /
    /// (u(i+p) − u(i)) − N(i+1, p−1) / (u(i+p+1) − u(i+1))); L. Piegl, W. Tiller, *The NURBS Book*, chapter 2, from memory.
    fn at(&self, span: usize, t: f64) -> (Point, Vec2) {
        let p = self.degree;
        let lower = self.basis(span, p - 1, t);
        let values = self.basis(span, p, t);
        let first = span - p;
        let (mut at, mut weight) = (Vec2::ZERO, 0.0);
        let (mut moved, mut weight_moved) = (Vec2::ZERO, 0.0);
        for (k, value) in values.iter().enumerate() {
            let i = first + k;
            let part = |k: usize, i: usize| lower[k] / (self.knots[i + p] - self.knots[i]);
            let before = if k == 0 { 0.0 } else { part(k - 1, i) };
            let after = if k == p { 0.0 } else { part(k, i + 1) };
            let slope = p as f64 * (before - after);
            let w = self.weights.get(i).copied().unwrap_or(1.0);
            let control = self.controls[i].to_vec2();
            at += control * (value * w);
            weight += value * w;
            moved += control * (slope * w);
            weight_moved += slope * w;
        }
        let place = at / weight;
        (place.to_point(), (moved - place * weight_moved) / weight)
    }

    /// The basis functions of a degree that are not 0 in a knot span, by the Cox–de Boor recurrence.
    fn basis(&self, span: usize, degree: usize, t: f64) -> Vec<f64> {
        let u = &self.knots;
        let mut values = vec![1.0];
        for j in 1..=degree {
            let mut next = vec![0.0; j + 1];
            for (r, value) in values.iter().enumerate() {
                let (low, high) = (u[span + 1 + r - j], u[span + 1 + r]);
                let share = (t - low) / (high - low);
                next[r] += (1.0 - share) * value;
                next[r + 1] += share * value;
            }
            values = next;
        }
        values
    }
}

/// Solves rows whose entries lie within five of the diagonal, by elimination with the largest entry of each column as pivot.
fn solved(mut rows: Vec<(Vec<f64>, Vec2)>) -> Option<Vec<Vec2>> {
    const BAND: usize = 5;
    let n = rows.len();
    for k in 0..n {
        let end = n.min(k + BAND + 1);
        let largest = (k..end).max_by(|&a, &b| rows[a].0[k].abs().total_cmp(&rows[b].0[k].abs()))?;
        rows.swap(k, largest);
        let (above, below) = rows.split_at_mut(k + 1);
        let (pivot, right) = &above[k];
        if pivot[k] == 0.0 {
            return None;
        }
        for (row, of) in &mut below[..end - k - 1] {
            let share = row[k] / pivot[k];
            for j in k..n.min(k + 2 * BAND + 1) {
                row[j] -= share * pivot[j];
            }
            *of -= *right * share;
        }
    }
    let mut found = vec![Vec2::ZERO; n];
    for k in (0..n).rev() {
        let (row, right) = &rows[k];
        let known: Vec2 = (k + 1..n.min(k + 2 * BAND + 1)).map(|j| found[j] * row[j]).sum();
        found[k] = (*right - known) / row[k];
    }
    Some(found)
}
