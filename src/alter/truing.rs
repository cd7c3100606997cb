//! The centre seam, turned by a slide, and how that turn is trued into the upper part of the crotch curve.
//!
//! If the lower curve slides along the grain while the waist stays, a centre seam that leans gets turned. Left alone, the turn
//! would be a corner where the seam enters the curve. By hand it is spread over the upper part of the curve with a curved ruler;
//! here every bend there gets its share. Of all ways to spread a turn, this one changes the bending least, relative to the
//! bending that is there: it minimises Σ Δᵢ²/tᵢ for a given Σ Δᵢ (a weighted least-squares projection; S. Boyd and L.
//! Vandenberghe, *Convex Optimization* (2004), 4.4). So the curve keeps its character, a slide back undoes it, and no bend
//! changes its direction before all of the turn there is used up. A spline of least bending through the same ends would be
//! smoother still, but would bend the other way much sooner.
//!
//! Above the curve the seam is turned and stretched as a whole (a similarity). This leaves a straight seam straight and keeps the
//! turns of a curved or unsteady one. The edges of the curve keep their lengths. So the seam grows by exactly as much as its
//! upper part.

use crate::geometry::{direction::rotated, direction::turn, edge, line};
use kurbo::{Point, Vec2};
use std::f64::consts::FRAC_PI_2;

/// The share of the crotch seam, from the fork, that is an exact copy: the trade's 35 %, slightly more so that a vertex at the
/// limit is certainly included.
const COPY: f64 = 0.3501;

/// By how many degrees a vertex may turn more than the sharpest vertex of the old seam. The trade allows half a degree; the rest
/// is left for the rounding of coordinates.
const SHARPER: f64 = 0.42;

/// The length of seam, in mm, over which the turns of an unsteady line are summed.
const STEADY: f64 = 10.0;

/// A curve whose turns against its bend exceed this share of its turns with it is unsteady: drawn by hand, or digitised.
const UNSTEADY: f64 = 0.02;

/// The upper part of the seam may be compressed to no less than this share of its length.
const SQUEEZED: f64 = 0.25;

/// The accuracy of a turn, in radians, and of a place, in mm: 1e-9 mm over a seam of a metre.
const EXACT: f64 = 1e-12;

/// A turn of less than this, in radians, or a distance of less than this, in mm, is a rounding error.
const NOTHING: f64 = 1e-10;

/// A vertex that turns by no more than this against the bend, in degrees, looks straight.
const LEVEL: f64 = 0.02;

/// The upper curve cannot take up the turn of the seam.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct TooLarge {
    /// The turn that it can take up, in degrees.
    pub takes: f64,
}

/// A crotch seam prepared for turning: distinct points from the waist to the fork.
#[derive(Clone, Debug, PartialEq)]
pub struct Truing {
    points: Vec<Point>,
    /// For each point of the ring, the index of the distinct point that it is.
    place: Vec<usize>,
    /// Where the turned upper part ends and the trued stretch begins.
    hinge: usize,
    /// Where the exact copy begins.
    end: usize,
    /// The length of the upper part.
    upper: f64,
    /// 1 where the curve turns counter-clockwise, −1 where clockwise.
    side: f64,
    /// For each vertex of the trued stretch.
    bends: Vec<Bend>,
}

/// A vertex of the trued stretch; turns are in radians, positive in the direction in which the curve bends.
#[derive(Clone, Copy, Debug, PartialEq)]
struct Bend {
    /// Its weight in distributing a turn, before bounds.
    weight: f64,
    /// By how much its turn can grow.
    more: f64,
    /// By how much its turn can shrink.
    less: f64,
}

/// A seam after turning.
#[derive(Clone, Debug, PartialEq)]
pub struct Turned {
    /// The slide along the grain, in mm.
    pub slide: f64,
    /// The turn of the upper part, in radians, counter-clockwise.
    pub turn: f64,
    /// The factor by which the upper part is stretched.
    stretch: f64,
}

impl Truing {
    /// Prepares the crotch seam of a ring that begins at the waist. `curve_begin` is where its curve
    /// begins.
    pub fn new(ring: &[Point], curve_begin: usize, fork: usize) -> Self {
        /// In mm; what rounding leaves of a straight line.
        const STRAIGHT: f64 = 0.02;
        /// The weight of each bend relative to that of the one above it, where bends are to be used up in order.
        const ONE_BY_ONE: f64 = 1e-4;
        let mut points: Vec<Point> = Vec::with_capacity(fork + 1);
        let place = ring[..=fork]
            .iter()
            .map(|&p| {
                if points.last().is_none_or(|&last| last != p) {
                    points.push(p);
                }
                points.len() - 1
            })
            .collect::<Vec<_>>();
        let at = line::stations(&points);
        let last = points.len() - 1;
        let copied_from = at[last] * (1.0 - COPY);
        let end = at.partition_point(|&s| s <= copied_from).saturating_sub(1);
        let begin = place[curve_begin].clamp(1, last);
        // A straight seam turns as a whole, however far down it goes. One that is not straight turns no further down than to the copy.
        let straight = points[1..begin].iter().all(|p| edge::off(points[0], points[begin], *p) <= STRAIGHT);
        let begin = if straight { begin } else { begin.min(end.max(1)) };
        // Below a long straight seam there is little curve above the copy, or none. Then as much as possible stays a copy; the
        // rest of the turn goes into the upper part of the curve, one bend after the other.
        let short = at[last] - (1.0 - COPY) * (at[last] - at[begin]);
        let below = at.partition_point(|&s| s <= short).saturating_sub(1);
        let (hinge, own, end) = (begin, end.max(begin), end.max(below).max(begin));
        let turns: Vec<f64> = (0..=last)
            .map(|i| match i {
                0 => 0.0,
                i if i == last => 0.0,
                i => turn(points[i] - points[i - 1], points[i + 1] - points[i]),
            })
            .collect();
        let side = turns.iter().sum::<f64>().signum();
        let turns: Vec<f64> = turns.into_iter().map(|t| t * side).collect();
        let mut bends = bends(&at, &turns, hinge, end);
        let mut share = 1.0;
        for bend in bends.iter_mut().skip(own - hinge + 1) {
            share = (share * ONE_BY_ONE).max(f64::MIN_POSITIVE);
            bend.weight *= share;
        }
        Truing { upper: at[hinge], points, place, hinge, end, side, bends }
    }

    /// Length of the part of the seam that is turned and stretched as a whole.
    pub fn upper(&self) -> f64 {
        self.upper
    }

    /// The trued stretch, from and to, along the seam from the waist.
    pub fn stretch(&self) -> (f64, f64) {
        (self.upper, line::length(&self.points[..=self.end]))
    }

    /// The first index of the ring that is an exact copy.
    pub fn copied_from(&self) -> usize {
        self.place.iter().position(|&k| k >= self.end).unwrap_or(self.place.len() - 1)
    }

    /// The largest turns of the upper part in both directions that the curve can compensate, in radians, counter-clockwise.
    fn reach(&self) -> (f64, f64) {
        let less: f64 = self.bends.iter().map(|b| b.less).sum();
        let more: f64 = self.bends.iter().map(|b| b.more).sum();
        // If the upper part turns by θ, the curve has to turn by θ less.
        let (low, high) = if self.side > 0.0 { (-more, less) } else { (-less, more) };
        (low.max(-FRAC_PI_2), high.min(FRAC_PI_2))
    }

    fn takes(&self, turn: f64) -> TooLarge {
        let (low, high) = self.reach();
        TooLarge { takes: if turn < 0.0 { -low } else { high }.to_degrees() }
    }

    /// By how much less each vertex of the trued stretch turns if the upper part turns by `turn`.
    fn spread(&self, turn: f64) -> Vec<f64> {
        let wanted = turn * self.side;
        let bound = |b: &Bend| if wanted < 0.0 { b.more } else { b.less };
        let (size, sign) = (wanted.abs(), wanted.signum() * self.side);
        let total: f64 = self.bends.iter().map(|b| b.weight).sum();
        let fits = total > 0.0 && self.bends.iter().all(|b| size / total * b.weight <= bound(b));
        let level = if fits { size / total } else { self.level(size, &bound) };
        self.bends.iter().map(|b| (level * b.weight).min(bound(b)) * sign).collect()
    }

    /// The level to which the bends are filled, so that together they take up `size`.
    fn level(&self, size: f64, bound: &impl Fn(&Bend) -> f64) -> f64 {
        let taken = |level: f64| self.bends.iter().map(|b| (level * b.weight).min(bound(b))).sum::<f64>();
        let full = |b: &Bend| if b.weight > 0.0 { bound(b) / b.weight } else { 0.0 };
        let mut levels: Vec<f64> = self.bends.iter().map(full).filter(|l| l.is_finite()).collect();
        levels.sort_unstable_by(f64::total_cmp);
        // Between two levels at which bends become full, the sum is a linear function.
        let k = levels.partition_point(|&l| taken(l) < size);
        let (low, high) = (if k == 0 { 0.0 } else { levels[k - 1] }, levels.get(k).copied());
        let Some(high) = high else { return low };
        let (at_low, at_high) = (taken(low), taken(high));
        if at_high > at_low { low + (high - low) * (size - at_low) / (at_high - at_low) } else { high }
    }

    /// The vector from the hinge to the beginning of the copy if the upper part turns by `turn`.
    fn curve(&self, turn: f64) -> Vec2 {
        let mut direction = turn;
        let mut sum = Vec2::ZERO;
        for (i, less) in (self.hinge..self.end).zip(self.spread(turn)) {
            direction -= less;
            sum += rotated(self.points[i + 1] - self.points[i], direction);
        }
        sum
    }

    /// The vector from the waist to the beginning of the copy.
    fn whole(&self) -> Vec2 {
        self.points[self.end] - self.points[0]
    }

    fn first(&self) -> Vec2 {
        self.points[self.hinge] - self.points[0]
    }

    /// The seam after its lower part slides by `slide` against `up`.
    pub fn slid(&self, slide: f64, up: Vec2) -> Result<Turned, TooLarge> {
        let target = self.whole() - up * slide;
        let left = |by: f64| turn(rotated(self.first(), by), target - self.curve(by));
        // The upper part turns towards its target.
        let (low, high) = self.reach();
        let by = root(|by| -left(by), low, high).map_err(|at| self.takes(at))?;
        let stretch = (target - self.curve(by)).hypot() / self.first().hypot();
        if stretch < SQUEEZED { Err(self.takes(by)) } else { Ok(Turned { slide, turn: by, stretch }) }
    }

    /// The slide against `up` that makes the seam longer by `longer`.
    pub fn stretched(&self, longer: f64, up: Vec2) -> Result<Turned, TooLarge> {
        let stretch = 1.0 + longer / self.upper;
        let reached = |by: f64| rotated(self.first(), by) * stretch + self.curve(by) - self.whole();
        let (low, high) = self.reach();
        // A counter-clockwise turn moves the copy to the left, as seen looking down the seam.
        let side = Vec2::new(up.y, -up.x);
        let by = root(|by| reached(by).dot(side), low, high).map_err(|at| self.takes(at))?;
        Ok(Turned { slide: -reached(by).dot(up), turn: by, stretch })
    }

    /// The new positions of the ring's points from waist to fork, with the waist raised by `raise` along the turned seam.
    pub fn ring(&self, turned: &Turned, raise: f64, up: Vec2) -> Vec<Point> {
        let shift = up * -turned.slide;
        let mut new = self.points.clone();
        for p in &mut new[self.end..] {
            *p += shift;
        }
        let mut direction = turned.turn;
        let spread: Vec<f64> = self.spread(turned.turn);
        let directions: Vec<f64> = spread
            .iter()
            .map(|less| {
                direction -= less;
                direction
            })
            .collect();
        for i in (self.hinge..self.end).rev() {
            let edge = self.points[i + 1] - self.points[i];
            new[i] = new[i + 1] - rotated(edge, directions[i - self.hinge]);
        }
        let first = self.first().hypot();
        let stretch = turned.stretch + raise / first;
        for i in 0..self.hinge {
            let above = self.points[i] - self.points[self.hinge];
            new[i] = new[self.hinge] + rotated(above, turned.turn) * stretch;
        }
        // Removes the rounding error of a waist that stays.
        if raise == 0.0 {
            new[0] = self.points[0];
        }
        self.place.iter().map(|&k| new[k]).collect()
    }

    /// The movement of a place near the waist that keeps its distance from it: the upper part turns about the waist.
    pub fn about_waist(&self, turned: &Turned, p: Point) -> Vec2 {
        let from_waist = p - self.points[0];
        rotated(from_waist, turned.turn) - from_waist
    }

    /// The length of the upper part's chord as a share of the upper part's length: 1 where it is straight.
    pub fn straightness(&self) -> f64 {
        self.first().hypot() / self.upper
    }

    /// How much longer the seam becomes.
    pub fn longer(&self, turned: &Turned, raise: f64) -> f64 {
        (turned.stretch - 1.0 + raise / self.first().hypot()) * self.upper
    }
}

/// The weight and bounds of each vertex of the trued stretch. `turns` are positive in the direction in which the curve bends.
fn bends(at: &[f64], turns: &[f64], hinge: usize, end: usize) -> Vec<Bend> {
    let sharpest = turns.iter().copied().fold(0.0, f64::max) + SHARPER.to_radians();
    let other_way = turns.iter().copied().fold(0.0, f64::min);
    let own = &turns[hinge..=end];
    let width = |i: usize| (at[i + 1] - at[i - 1]) / 2.0;
    let (bent, back) = own.iter().fold((0.0, 0.0), |(b, o), &t| (b + t.max(0.0), o - t.min(0.0)));
    let unsteady = back > UNSTEADY * bent;
    let mut weights: Vec<f64> = own.iter().map(|t| t.max(0.0)).collect();
    if unsteady {
        // Vertices are grouped until the group as a whole bends in the curve's direction; within a group the turn is distributed
        // by length.
        let mut from = hinge;
        while from <= end {
            let (mut to, mut net) = (from, turns[from]);
            while to < end && (net <= 0.0 || at[to] - at[from] < STEADY) {
                to += 1;
                net += turns[to];
            }
            let length: f64 = (from..=to).map(width).sum();
            for i in from..=to {
                weights[i - hinge] = net.max(0.0) * width(i) / length;
            }
            from = to + 1;
        }
    }
    // If the whole stretch is straight and the curve begins below it, any of its vertices may bend more.
    let least = weights.iter().sum::<f64>().max(1e-3) * 1e-6;
    own.iter()
        .zip(weights)
        .enumerate()
        .map(|(i, (&t, weight))| Bend {
            weight: weight.max(least),
            more: (sharpest - t).max(0.0),
            less: (t - other_way).max(if i == 0 { LEVEL.to_radians() } else { 0.0 }),
        })
        .collect()
}

/// The root of a rising function near 0, by false position with halving (the "Illinois" rule; M. Dowell, P. Jarratt, *BIT* 11
/// (1971)), which keeps its bracket. Where there is no root, the error is the limit that lies nearer to it.
fn root(f: impl Fn(f64) -> f64, low: f64, high: f64) -> Result<f64, f64> {
    let at_zero = f(0.0);
    if at_zero.abs() <= NOTHING {
        return Ok(0.0);
    }
    let end = if at_zero > 0.0 { low } else { high };
    let (mut a, mut fa, mut b, mut fb) = (0.0, at_zero, end, f(end));
    if fa * fb > 0.0 || end == 0.0 {
        return Err(end);
    }
    for _ in 0..80 {
        if fb == 0.0 || (b - a).abs() <= EXACT {
            break;
        }
        let c = b - fb * (b - a) / (fb - fa);
        let fc = f(c);
        if fc * fb < 0.0 {
            (a, fa) = (b, fb);
        } else {
            fa /= 2.0;
        }
        let step = (c - b).abs();
        (b, fb) = (c, fc);
        if step <= EXACT {
            break;
        }
    }
    Ok(b)
}
