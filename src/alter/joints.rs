//! How far the vertices of a seam may turn.

use super::bend::Joint;
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

/// The turns of a seam's vertices, in radians counter-clockwise.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Turns {
    own: Vec<f64>,
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
        Turns { own, reach }
    }

    /// The turn at a point.
    pub fn at(&self, i: usize) -> f64 {
        self.own[i]
    }

    /// How sharp a vertex may turn, either way, in radians.
    pub fn sharpest(&self, carried: bool) -> f64 {
        let (low, high) = self.reach;
        high.max(-low) + if carried { CARRIED } else { SHARPER }.to_radians()
    }

    /// How a vertex may turn where the fork is carried across the grain, which bends the curve itself.
    pub fn carried(&self, own: f64, length: f64, other_way: f64) -> Joint {
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
    pub fn joint(&self, own: f64, length: f64, other_way: f64) -> Joint {
        let more = SHARPER.to_radians();
        // The side to which the seam bends, if it is but one.
        let (low, high) = self.reach;
        let most = if high > -low { high + more } else { high };
        let least = if high > -low { low } else { low - more };
        let slack = other_way.to_radians();
        let weight = if other_way > 0.0 { length } else { own.abs() + EVEN * length };
        Joint { weight, least: (least - slack - own).min(0.0), most: (most.max(high + slack) - own).max(0.0) }
    }
}
