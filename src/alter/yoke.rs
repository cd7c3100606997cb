//! Raising the centre waist of a yoke.
//!
//! Where a yoke is sewn to a leg, the waist is the upper edge of the yoke, and the yoke's centre edge is the end of the crotch
//! seam. The leg only slides, and the movement of the waist is made on the yoke. Its lower edge and its side stay.

use super::displacement::Applied;
use super::inseam::CameBack;
use super::remedy::{DROP, Limit, RAISE};
use super::waist::Waist;
use crate::seam::{Leg, SeamRole};
use crate::units::Mm;
use kurbo::Vec2;

/// A yoke's edges treated as the top of a leg, and how they follow the centre waist.
#[derive(Clone, Debug, PartialEq)]
pub struct Top {
    /// The edges: the centre edge is the crotch seam.
    pub leg: Leg,
    waist: Waist,
}

impl Top {
    /// Takes a yoke as [`crate::seam::Yoke::top`] gives it.
    #[must_use]
    pub fn new(leg: Leg) -> Self {
        let waist = Waist::new(&leg);
        Top { leg, waist }
    }

    /// How far the waist has to be raised to make the centre edge longer by `longer`.
    pub fn raise_for(&self, longer: Mm) -> Result<Mm, Limit> {
        /// Each iteration leaves far less than a tenth of the error.
        const TIMES: usize = 40;
        const MET: f64 = 1e-8;
        let before = self.leg.length(SeamRole::Crotch);
        let mut raise = longer;
        for _ in 0..TIMES {
            let missed = longer - (self.apply(raise).rise() - before);
            if missed.abs().0 <= MET {
                break;
            }
            raise += missed;
        }
        let (drop, most) = (before * -DROP, self.leg.length(SeamRole::Waist) * RAISE);
        if raise < drop || raise > most {
            return Err(Limit::Waist { furthest: if raise < drop { drop } else { most } });
        }
        Ok(raise)
    }

    /// The yoke with its centre waist raised along the centre edge, which is stretched evenly from its foot.
    #[must_use]
    pub fn apply(&self, raise: Mm) -> Applied<'_> {
        let leg = &self.leg;
        let foot = leg.fork_point();
        let centre = leg.ring[0] - foot;
        let stretch = raise.0 / centre.hypot();
        let mut crotch = leg.seam(SeamRole::Crotch);
        for p in &mut crotch[..leg.fork] {
            *p += leg.up * ((*p - foot).dot(leg.up) * stretch);
        }
        let raised: Vec2 = crotch[0] - leg.ring[0];
        let inseam = CameBack { points: vec![foot], added: Vec::new() };
        Applied {
            waist: &self.waist,
            turns_at_hem: false,
            back: None,
            crotch,
            begin: 0,
            crotch_added: Vec::new(),
            inseam,
            raised,
        }
    }
}
