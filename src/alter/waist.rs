//! How a waist edge follows its centre when the centre is raised.

use super::moves::ease;
use crate::geometry::line::Measured;
use crate::geometry::{corners, line};
use crate::seam::{Leg, SeamRole};

/// The least turn at the point of a dart, in degrees, into the piece.
const POINT: f64 = 60.0;

/// The least turn of the corners at the mouth of a dart, in degrees.
const MOUTH: f64 = 20.0;

/// The legs of a dart have the same length to within this share, because they are sewn together.
const ALIKE: f64 = 0.25;

/// The waist from the centre to the side with its darts and pleats closed: what is sewn together moves together, as when a dart
/// is folded shut by hand before the edge is trued.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Waist {
    /// The length of the edge with its darts closed.
    sewn: f64,
    /// Its length up to the side, where a raised waist comes back: shorter where front and back are drawn in one piece.
    to_side: f64,
    /// The stretches of the edge that lie in darts, from the centre.
    darts: Vec<(f64, f64)>,
    /// The corners of the ring at the mouths of darts, each with whether the dart comes after it.
    mouths: Vec<(usize, bool)>,
}

impl Waist {
    pub fn new(leg: &Leg) -> Self {
        let mut points = leg.seam(SeamRole::Waist);
        points.reverse();
        let at = line::stations(&points);
        let turns = corners::turns(&leg.ring);
        let n = leg.ring.len();
        // Counted from the centre; the points of the waist are the last ones of the ring.
        let turn = |k: usize| turns[(n - k) % n];
        let last = points.len() - 1;
        let mut darts: Vec<(f64, f64)> = Vec::new();
        let mut mouths = Vec::new();
        for k in (1..last).filter(|&k| turn(k) <= -POINT) {
            let mouth = |&j: &usize| turn(j) >= MOUTH;
            let Some(a) = (0..k).rev().find(mouth) else { continue };
            let Some(b) = (k + 1..=last).find(mouth) else { continue };
            let (one, other) = (at[k] - at[a], at[b] - at[k]);
            let free = darts.last().is_none_or(|d| d.1 <= at[a]);
            if (one - other).abs() <= ALIKE * one.max(other) && free {
                darts.push((at[a], at[b]));
                mouths.extend([((n - a) % n, false), (n - b, true)]);
            }
        }
        let taken: f64 = darts.iter().map(|d| d.1 - d.0).sum();
        let sewn = at[last] - taken;
        let mut waist = Waist { sewn, to_side: sewn, darts, mouths };
        if let Some(other) = leg.other_part() {
            waist.to_side = waist.closed(Measured::new(points).station(other.side.waist));
        }
        waist
    }

    /// The length of the edge from the centre to a place of it, with its darts closed.
    fn closed(&self, at: f64) -> f64 {
        at - self.darts.iter().map(|d| (at.min(d.1) - d.0).max(0.0)).sum::<f64>()
    }

    /// Whether a corner of the ring is at the mouth of a dart, and the dart comes after it.
    pub fn mouth(&self, corner: usize) -> Option<bool> {
        self.mouths.iter().find(|(k, _)| *k == corner).map(|(_, after)| *after)
    }

    /// The share of the centre's movement at a place of the edge, measured from the centre. It is level at both ends, so that the
    /// edge stays perpendicular to the centre seam and rejoins the side without a corner.
    pub fn share(&self, at: f64) -> f64 {
        1.0 - ease(self.closed(at) / self.to_side)
    }

    /// The same, falling linearly to the other end of the edge.
    pub fn straight_share(&self, at: f64) -> f64 {
        1.0 - self.closed(at) / self.sewn
    }
}
