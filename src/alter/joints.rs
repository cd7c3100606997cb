//! How far the vertices of a seam may turn.

use super::bend::Joint;
use crate::geometry::line;
use kurbo::Point;

/// By how many degrees a vertex may turn more than the sharpest of the seam did. The trade bounds it
/// by half a degree; what is left is for the rounding of coordinates.
const SHARPER: f64 = 0.42;

/// The same where the fork is carried across the grain; the trade bounds it by one degree.
const CARRIED: f64 = 0.9;

/// What turns by this many degrees or more is a corner, of a vent or a fly, and no bend.
const CORNER: f64 = 35.0;

/// Of a change of turn, the share that goes by the length of the line; the rest goes by how it turned.
const EVEN: f64 = 0.02;

/// How a line turns at a vertex, in radians, and as seen from afar where it is drawn with noise.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(super) struct Own {
    turn: f64,
    shape: Option<f64>,
}

/// The turns of a seam's vertices, in radians counter-clockwise.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Turns {
    own: Vec<f64>,
    /// Of a line drawn with noise, how it turns at each as seen from afar; what noise turns to and fro is evened out.
    shape: Option<Vec<f64>>,
    /// The sharpest either way: clockwise, as a negative number, and counter-clockwise.
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

    /// How the line turns at a point.
    pub fn at(&self, i: usize) -> Own {
        Own { turn: self.own[i], shape: self.shape.as_ref().map(|shape| shape[i]) }
    }

    /// How sharp a vertex may turn, either way, in radians.
    pub fn sharpest(&self, carried: bool) -> f64 {
        let (low, high) = self.reach;
        high.max(-low) + if carried { CARRIED } else { SHARPER }.to_radians()
    }

    /// How a vertex may turn where the fork is carried across the grain, which bends the curve itself.
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

    /// How a vertex may turn that turned by `own` and has `length` of the line, as a share. It does not
    /// turn beyond straight, or beyond what the seam did that way, by more than `other_way` degrees.
    pub fn joint(&self, Own { turn: own, shape }: Own, length: f64, other_way: f64) -> Joint {
        let more = SHARPER.to_radians();
        // The side to which the seam bends, if it is but one.
        let (low, high) = self.reach;
        let most = if high > -low { high + more } else { high };
        let least = if high > -low { low } else { low - more };
        let slack = other_way.to_radians();
        let weight = if other_way > 0.0 { length } else { own.abs() + EVEN * length };
        let (mut least, mut most) = ((least - slack - own).min(0.0), (most.max(high + slack) - own).max(0.0));
        // Noise turns every line both ways; it gives no leave to bend it so.
        match shape {
            Some(shape) if high > -low => least = least.max(-shape.max(0.0) - slack),
            Some(shape) => most = most.min(-shape.min(0.0) + slack),
            None => {}
        }
        Joint { weight, least, most }
    }
}

/// Whether a line turns to and fro.
fn is_unsteady(turns: &[f64]) -> bool {
    /// A line that changes the side it turns to at more than this share of its vertices is drawn with noise.
    const OFTEN: f64 = 0.25;
    let changes = turns.windows(2).filter(|w| w[0] * w[1] < 0.0).count();
    changes as f64 > OFTEN * turns.len() as f64
}

/// How a line turns at each vertex, evened out over what lies around it.
fn from_afar(points: &[Point], turns: &[f64]) -> Vec<f64> {
    /// So far to either side, in mm.
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
