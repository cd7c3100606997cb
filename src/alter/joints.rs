//! How much the vertices of a seam may turn.

use super::bend::Joint;
use crate::geometry::line;
use kurbo::Point;

/// By how many degrees a vertex may turn more than the sharpest vertex of the old seam. The trade allows half a degree; the rest
/// is left for the rounding of coordinates.
const SHARPER: f64 = 0.42;

/// The same where the fork is carried across the grain; the trade allows one degree.
const CARRIED: f64 = 0.9;

/// A vertex that turns by this many degrees or more is a corner, of a vent or a fly, and not part of a bend.
pub(super) const CORNER: f64 = 35.0;

/// The share of a change of turn that is distributed by the length of the line; the rest is distributed by the old turns.
const EVEN: f64 = 0.02;

/// How a line turns at a vertex, in radians, and its smoothed turn where the line is drawn with noise.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(super) struct Own {
    turn: f64,
    shape: Option<f64>,
}

/// The turns of a seam's vertices, in radians counter-clockwise.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Turns {
    own: Vec<f64>,
    /// For a line drawn with noise, the smoothed turn at each vertex, in which the alternating turns of the noise are averaged
    /// out.
    shape: Option<Vec<f64>>,
    /// The sharpest turn in either direction: clockwise, as a negative number, and counter-clockwise.
    reach: (f64, f64),
}

impl Turns {
    /// The turns of a run of points.
    pub fn of(points: &[Point]) -> Self {
        let mut own = vec![0.0; points.len()];
        let mut before = points[0];
        for i in 1..points.len().saturating_sub(1) {
            let (a, b) = (points[i] - before, points[i + 1] - points[i]);
            if a.hypot2() > 0.0 && b.hypot2() > 0.0 {
                own[i] = a.cross(b).atan2(a.dot(b));
            }
            if b.hypot2() > 0.0 {
                before = points[i];
            }
        }
        let bends = own.iter().copied().filter(|t| t.abs() < CORNER.to_radians());
        let reach = bends.fold((0.0_f64, 0.0_f64), |(l, h), t| (l.min(t), h.max(t)));
        let shape = is_unsteady(&own).then(|| from_afar(points, &own));
        Turns { own, shape, reach }
    }

    /// How the line turns at a point; not at all beyond its end.
    pub fn at(&self, i: usize) -> Own {
        let turn = self.own.get(i).copied().unwrap_or_default();
        Own { turn, shape: self.shape.as_ref().and_then(|shape| shape.get(i).copied()) }
    }

    /// How sharply a vertex may turn in either direction, in radians.
    pub fn sharpest(&self, carried: bool) -> f64 {
        let (low, high) = self.reach;
        high.max(-low) + if carried { CARRIED } else { SHARPER }.to_radians()
    }

    /// The sharpest turn, in radians, of a vertex of the line as it is drawn: bounds are met to a little of this.
    pub fn sharpest_drawn(&self, carried: bool) -> f64 {
        /// In degrees.
        const MET: f64 = 0.05;
        self.sharpest(carried) + MET.to_radians()
    }

    /// The same for a part of the line: it is bent the other way by no more than it did itself. That a nipped centre seam bends so above
    /// the curve is no reason for the curve to.
    pub fn of_part(&self, part: &Turns) -> Turns {
        let (low, high) = self.reach;
        let reach = if high > -low { (part.reach.0, high) } else { (low, part.reach.1) };
        Turns { reach, ..self.clone() }
    }

    /// The bounds of a vertex where the fork is carried across the grain, which bends the curve itself.
    pub fn carried(&self, own: Own, length: f64, other_way: f64) -> Joint {
        let more = (CARRIED - SHARPER).to_radians();
        let joint = self.joint(own, length, other_way);
        let (low, high) = self.reach;
        if high > -low {
            Joint { most: joint.most + more, ..joint }
        } else {
            Joint { least: joint.least - more, ..joint }
        }
    }

    /// The bounds of a vertex with the turn `own` and the share `length` of the line. Beyond straight, or beyond the seam's own
    /// turns in that direction, it may turn by at most `other_way` degrees.
    pub fn joint(&self, Own { turn: own, shape }: Own, length: f64, other_way: f64) -> Joint {
        let more = SHARPER.to_radians();
        let slack = other_way.to_radians();
        // If the seam bends to one side only, just that side gets the extra turn.
        let (low, high) = self.reach;
        let (below, above) = if high > -low { (slack, more.max(slack)) } else { (more.max(slack), slack) };
        let weight = if other_way > 0.0 { length } else { own.abs() + EVEN * length };
        let (mut least, mut most) = ((low - below - own).min(0.0), (high + above - own).max(0.0));
        // Noise makes every line turn both ways; that is no reason to allow it to be bent both ways.
        match shape {
            Some(shape) if high > -low => least = least.max(-shape.max(0.0) - slack),
            Some(shape) => most = most.min(-shape.min(0.0) + slack),
            None => {}
        }
        Joint { weight, least, most }
    }
}

/// Whether the turns of a line keep changing direction.
fn is_unsteady(turns: &[f64]) -> bool {
    /// A line whose turn changes direction at more than this share of its vertices is drawn with noise.
    const OFTEN: f64 = 0.25;
    let changes = turns.windows(2).filter(|w| w[0] * w[1] < 0.0).count();
    changes as f64 > OFTEN * turns.len() as f64
}

/// The turn of a line at each vertex, averaged over its surroundings.
fn from_afar(points: &[Point], turns: &[f64]) -> Vec<f64> {
    /// How far the surroundings reach to either side, in mm.
    const REACH: f64 = 20.0;
    let at = line::stations(points);
    let n = points.len();
    let around = |i: usize| {
        let from = at.partition_point(|&s| s < at[i] - REACH).max(1);
        let to = at.partition_point(|&s| s <= at[i] + REACH).min(n - 1);
        let turned: f64 = turns[from.min(to)..to].iter().filter(|t| t.abs() < CORNER.to_radians()).sum();
        turned / (to - from.min(to)).max(1) as f64
    };
    (0..n).map(around).collect()
}
