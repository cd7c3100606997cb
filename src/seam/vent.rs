//! Vents: an extension at the hem end of an outseam, which is lapped under or faced, or what is cut away there for a slit. It is no part
//! of the seam, which is sewn from its upper end on, and whose line runs straight on to the hem (common practice, no source).

use super::{Leg, SeamRole};
use crate::geometry::line::Measured;
use crate::geometry::{corners, direction};
use crate::units::Mm;
use std::ops::RangeInclusive;

/// A step at the lower end of an outseam, for a vent or a slit.
pub struct Vent {
    /// The point of the ring at which it steps out from the seam.
    pub inner: usize,
    /// How far its edge lies beside the seam's line.
    pub wide: Mm,
    /// Whether it is cut away from the leg, as for a slit, and not an extension of it.
    pub cut_away: bool,
    /// How high it is on the seam.
    pub high: Mm,
    /// How much longer its edge is than the seam would be on down to the hem.
    pub more: Mm,
}

impl Leg {
    /// The vent at the lower end of the leg's outseam: beside the seam up from the hem, and from there in to the seam.
    #[must_use]
    pub fn vent(&self) -> Option<Vent> {
        /// How wide and how high a vent's extension may be, in mm (common practice, no source).
        const WIDE: RangeInclusive<f64> = 10.0..=100.0;
        const HIGH: RangeInclusive<f64> = 30.0..=400.0;
        /// The least turn, in degrees, where it steps in and where it meets the seam.
        const STEP: f64 = 25.0;
        /// The largest angle, in degrees, between its edge and the seam.
        const BESIDE: f64 = 15.0;
        /// The length of the seam, in mm, from which its direction is taken.
        const ABOVE: f64 = 50.0;
        let ring = &self.ring;
        let turns = corners::turns(ring);
        let mut corners = (self.hem_out + 1..ring.len()).filter(|&i| turns[i].abs() >= STEP);
        let (top, inner) = (corners.next()?, corners.next()?);
        let seam = Measured::new(self.seam(SeamRole::Outseam));
        let at = *seam.stations().get(inner - self.hem_out)?;
        let (up, _) = seam.direction(at, at + ABOVE);
        let wide = up.cross(ring[top] - ring[inner]).abs();
        // Without it, the seam would run straight on to the hem.
        let (corner, hem) = (ring[self.hem_out], ring[self.hem_out] - ring[self.hem_out - 1]);
        let high = (ring[inner] - corner).cross(hem) / up.cross(hem);
        let beside = direction::angle(ring[top] - ring[self.hem_out], up).abs() <= BESIDE;
        let is_vent = turns[top] * turns[inner] < 0.0 && beside;
        (is_vent && WIDE.contains(&wide) && HIGH.contains(&high)).then_some(Vent {
            inner,
            wide: Mm(wide),
            cut_away: turns[top] < 0.0,
            high: Mm(high),
            more: Mm(at - high),
        })
    }
}
