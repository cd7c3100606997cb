//! Remedies for uneven shares, so that the inseams still fit together.
//!
//! Sliding front and back by different amounts lowers their forks by different amounts, and the inseams no longer match. Both
//! remedies keep the slides nearly equal and get the rest of the heavier piece's change of rise elsewhere: at the fork, carried
//! across the grain, or at the centre waist, moved along the centre seam. The lighter piece only slides. Three unknowns are
//! solved one after the other: its slide from its rise, then the heavier piece's slide and remedy from its rise and its inseam,
//! each within sound limits.

use super::displacement::{Displacement, Unsound};
use super::moves::Moves;
use super::solve;
use crate::seam::{Leg, SeamRole};
use crate::units::Mm;

/// The fork may be carried by this share of its extension. If more than half of it were taken away or added, the piece would be
/// another draft.
const EXTENSION: f64 = 0.5;
/// The centre waist may rise by this share of the waist's length: about 11°, by which a back without a yoke can be tilted before
/// the waist pulls off the grain (*common practice, no source*).
pub(super) const RAISE: f64 = 0.2;
/// The centre waist may drop by this share of the centre seam's straight part.
pub(super) const DROP: f64 = 0.5;

/// With a remedy, the difference of the inseams may change by no more than this. There may be no solution that keeps it exactly,
/// because the line can jump between two forms with more or fewer vertices. This is a third of the default tolerance.
pub const APART: Mm = Mm(0.5);
/// In mm: a fork that is carried by less only slides, if that leaves the inseams no further apart.
const SEEN: f64 = 0.02;

/// The rise has to be met to this, which is a tenth of what is asked of it.
const MET: Mm = Mm(0.005);

/// Why a remedy gives no sound solution.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Limit {
    /// The piece cannot slide that far.
    Slide {
        /// The furthest it may, with its sign.
        furthest: Mm,
    },
    /// The displacement cannot be applied.
    Unsound(Unsound),
    /// The fork would be carried by more than half of its extension.
    Fork {
        /// The extension.
        extension: Mm,
    },
    /// The waist is turned in at a fold, which would have to be drawn elsewhere.
    Casing,
    /// The piece continues above the waist.
    Bib,
    /// The waist belongs to a yoke, and it is not known which of the yoke's edges it is.
    Yoke,
    /// The centre waist would rise or drop too far.
    Waist {
        /// The furthest it may go, with its sign.
        furthest: Mm,
    },
}

/// Slides a leg and carries its fork across the grain so that its rise changes by `rise` and its
/// inseam by `inseam`.
pub fn fork(leg: &Leg, displacement: &Displacement, rise: Mm, inseam: Mm) -> Result<Moves, Limit> {
    let extension = Mm((leg.fork_point() - leg.ring[leg.curve_begin]).dot(leg.out));
    let moves = |across: f64| {
        let along = slide(leg, displacement, rise, Mm(across))?;
        Ok(Moves { along, across: Mm(across), ..Moves::default() })
    };
    let missed = |across: f64| -> Result<f64, Unsound> {
        Ok((displacement.inseam_longer(moves(across)?).ok_or(Unsound::Inseam)? - inseam).0)
    };
    let across = solve::near_zero(missed, EXTENSION * extension.0).map_err(|off| match off {
        Some(unsound) => Limit::Unsound(unsound),
        None => Limit::Fork { extension },
    })?;
    // A curve whose fork is carried is drawn in another way than a copy. A search that ends at the step between the two carries the fork
    // by nothing that could be seen.
    let steps = across.abs() < SEEN && missed(0.0).is_ok_and(|apart| Mm(apart).abs() <= APART);
    let moves = moves(if steps { 0.0 } else { across }).map_err(Limit::Unsound)?;
    within(displacement, moves.along)?;
    let applied = displacement.apply(leg, moves).map_err(Limit::Unsound)?;
    // The curve may jump between two forms with more or fewer vertices, neither of which has the length.
    let missed = applied.rise() - displacement.rise() - rise;
    if missed.abs() > MET { Err(Limit::Unsound(Unsound::Fork)) } else { Ok(moves) }
}

/// The slide with which a leg's rise changes by `rise` where its fork is carried by `across`. Carrying the fork lengthens the
/// curve by nearly the same amount whatever the slide, so a few corrections are enough.
fn slide(leg: &Leg, displacement: &Displacement, rise: Mm, across: Mm) -> Result<Mm, Unsound> {
    /// The most corrections; each leaves far less than a tenth of the error.
    const TIMES: usize = 40;
    const MET: f64 = 1e-8;
    let slide_for = |longer| displacement.slide_for(longer).map_err(Unsound::Truing);
    let before = displacement.rise();
    let mut longer = rise;
    let mut along = slide_for(longer)?;
    if across.0 != 0.0 {
        for _ in 0..TIMES {
            let applied = displacement.apply(leg, Moves { along, across, ..Moves::default() })?;
            let missed = rise - (applied.rise() - before);
            if missed.abs().0 <= MET {
                break;
            }
            longer += missed;
            along = slide_for(longer)?;
        }
    }
    Ok(along)
}

/// Slides a leg so that its inseam changes by `inseam`, and moves its centre waist along the centre
/// seam so that its rise changes by `rise`.
pub fn waist(leg: &Leg, displacement: &Displacement, rise: Mm, inseam: Mm) -> Result<Moves, Limit> {
    if displacement.carries_waist() || leg.mirror == Some(SeamRole::Waist) {
        return Err(Limit::Casing);
    }
    if leg.has_bib() {
        return Err(Limit::Bib);
    }
    let (moves, rest) = below_waist(displacement, rise, inseam)?;
    let waist = displacement.raise_for(rest);
    let own = leg.one_piece.as_ref().and_then(|one| one.own_length(leg, SeamRole::Waist, None));
    let length = own.unwrap_or_else(|| leg.length(SeamRole::Waist));
    let (drop, raise) = (Mm(-DROP * displacement.upper().0), length * RAISE);
    if waist < drop || waist > raise {
        return Err(Limit::Waist { furthest: if waist < drop { drop } else { raise } });
    }
    Ok(Moves { waist, ..moves })
}

/// Slides a leg so that its inseam changes by `inseam`. Also returns the part of `rise` that is then still missing, which the
/// waist has to provide.
pub fn below_waist(displacement: &Displacement, rise: Mm, inseam: Mm) -> Result<(Moves, Mm), Limit> {
    let (low, high) = displacement.reach();
    let slid = |along: f64| Moves { along: Mm(along), ..Moves::default() };
    // A slide away from the waist shortens the inseam.
    let missed =
        |along: f64| Ok((inseam - displacement.inseam_longer(slid(along)).ok_or(Unsound::Inseam)?).0);
    let along = solve::near_zero(missed, high.0.max(-low.0)).map_err(|off| match off {
        Some(unsound) => Limit::Unsound(unsound),
        None => Limit::Slide { furthest: if inseam.0 > 0.0 { low } else { high } },
    })?;
    within(displacement, Mm(along))?;
    let longer = displacement.longer(Mm(along)).map_err(|large| Limit::Unsound(Unsound::Truing(large)))?;
    Ok((slid(along), rise - longer))
}

/// Whether the lines of a leg can follow a slide.
pub fn within(displacement: &Displacement, along: Mm) -> Result<(), Limit> {
    let (low, high) = displacement.reach();
    if along < low {
        return Err(Limit::Slide { furthest: low });
    }
    if along > high { Err(Limit::Slide { furthest: high }) } else { Ok(()) }
}
