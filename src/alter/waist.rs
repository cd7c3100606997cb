//! How a waist edge follows its centre when the centre is raised.

use super::moves::ease;
use crate::geometry::line;
use crate::geometry::line::Measured;
use crate::seam::{Leg, SeamRole, dart};

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
        // Places are counted from the centre; the points of the waist are the last ones of the ring.
        let n = leg.ring.len();
        let cut = dart::darts(&leg.ring, leg.side);
        let darts: Vec<(f64, f64)> = cut.iter().map(|dart| (at[n - dart.to], at[n - dart.from])).collect();
        let mouths = cut.iter().flat_map(|dart| [(dart.to % n, false), (dart.from, true)]).collect();
        let taken: f64 = darts.iter().map(|d| d.1 - d.0).sum();
        let sewn = at[points.len() - 1] - taken;
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
