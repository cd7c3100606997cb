//! A pocket mouth along which the side of a leg is cut away: what is missing of the outseam is drawn on the pocket's piece.

use super::SeamRole;
use super::size::LegPiece;
use crate::geometry::{corners, line};
use crate::units::Mm;
use std::ops::RangeInclusive;

/// How much of the side a pocket mouth cuts away, in mm: pockets end above the hips (common practice, no source).
const CUT_AWAY: RangeInclusive<f64> = 60.0..=260.0;

/// The same as a share of the mouth, from its lower end straight to its upper one: from a mouth that runs as far along the waist as
/// down the side to one beside the side seam. An edge that is no mouth is as long as what would be missing.
const OF_MOUTH: RangeInclusive<f64> = 0.6..=0.97;

/// The least turn, in degrees, at the lower end of a mouth.
const SLANTS: f64 = 14.0;

/// A pocket mouth that cuts away the upper end of a leg's side.
pub struct Mouth {
    /// The point of the ring at its lower end.
    pub low: usize,
    /// Its length from end to end.
    pub long: Mm,
    /// How much of the side is missing.
    pub missing: Mm,
}

impl Mouth {
    /// The pocket mouth of a leg whose side is `outseam` long over leg and pocket: from a corner at its lower end to the next corner.
    #[must_use]
    pub fn of(on: &LegPiece<'_>, outseam: Mm) -> Option<Mouth> {
        let (leg, ring) = (&on.leg, &on.leg.ring);
        let turns = corners::turns(ring);
        let at = line::stations(&ring[leg.hem_out..]);
        let own = on.length(SeamRole::Outseam) - leg.length(SeamRole::Outseam);
        let corners: Vec<usize> = (leg.hem_out + 1..ring.len()).filter(|&i| turns[i] >= SLANTS).collect();
        let ends = corners.iter().zip(corners.iter().skip(1));
        ends.into_iter().find_map(|(&low, &top)| {
            let (long, missing) =
                ((ring[top] - ring[low]).hypot(), (outseam - own).0 - at[low - leg.hem_out]);
            let is_mouth = CUT_AWAY.contains(&missing) && OF_MOUTH.contains(&(missing / long));
            is_mouth.then_some(Mouth { low, long: Mm(long), missing: Mm(missing) })
        })
    }
}
