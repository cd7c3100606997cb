//! Uneven shares that still sew together.
//!
//! Sliding front and back by different amounts lowers their forks by different amounts, and the
//! inseams no longer match. Both remedies keep the slides nearly equal and find the rest of the
//! heavier piece's rise elsewhere: at the fork, carried across the grain, or at the centre waist,
//! moved along the centre seam. The lighter piece only slides, so three unknowns are left one after
//! the other: its slide from its rise, then the heavier piece's slide and remedy from its rise and
//! its inseam, each within sound limits.

use super::law::{Law, Moves};
use super::solve::{self, OutOfReach, SeamLength};
use crate::seam::{Leg, SeamRole};
use crate::units::Mm;

/// The fork may be carried by this share of its extension: with more than half of it taken away or
/// added the piece is another draft.
const EXTENSION: f64 = 0.5;
/// The centre waist may rise by this share of the waist's length: about 11°, which is what a
/// yoke-less back can be tilted before the waist pulls off the grain (*common practice, no source*).
const RAISE: f64 = 0.2;
/// The centre waist may drop by this share of the centre seam's straight part.
const DROP: f64 = 0.5;

/// Why a remedy gives no sound solution.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Limit {
    /// The piece cannot slide that far.
    Slide(OutOfReach),
    /// The fork would be carried by more than half of its extension.
    Fork {
        /// The extension.
        extension: Mm,
    },
    /// The upper edge is not the waist: a yoke is sewn to it, whose edge would no longer match.
    Yoke,
    /// The centre waist would rise or drop too far.
    Waist {
        /// The furthest it may go, with its sign.
        furthest: Mm,
    },
}

/// Slides a leg and carries its fork across the grain so that its rise changes by `rise` and its
/// inseam by `inseam`.
pub fn fork(leg: &Leg, law: &Law, rise: Mm, inseam: Mm) -> Result<Moves, Limit> {
    let extension = Mm((leg.fork_point() - leg.ring[leg.curve_begin]).dot(leg.out));
    let (crotch, inside) =
        (SeamLength::new(leg, law, SeamRole::Crotch), SeamLength::new(leg, law, SeamRole::Inseam));
    // The slide that meets the rise, or the limit: the inseam then still rises with the carrying.
    let slid = |across: f64| {
        let other = Moves { across: Mm(across), ..Moves::default() };
        let along = solve::slide(&crotch, rise, other).unwrap_or_else(|out| out.limit);
        Moves { along, ..other }
    };
    let furthest = EXTENSION * extension.0;
    let across = solve::root(|across| (inside.change(slid(across)) - inseam).0, -furthest, furthest)
        .map_err(|_| Limit::Fork { extension })?;
    let moves = slid(across);
    solve::slide(&crotch, rise, Moves { along: Mm(0.0), ..moves }).map_err(Limit::Slide)?;
    Ok(moves)
}

/// Slides a leg so that its inseam changes by `inseam`, and moves its centre waist along the centre
/// seam so that its rise changes by `rise`.
pub fn waist(leg: &Leg, law: &Law, rise: Mm, inseam: Mm) -> Result<Moves, Limit> {
    let (crotch, inside) =
        (SeamLength::new(leg, law, SeamRole::Crotch), SeamLength::new(leg, law, SeamRole::Inseam));
    let (low, high) = law.reach();
    let slid = |along: f64| Moves { along: Mm(along), ..Moves::default() };
    // A slide away from the waist shortens the inseam.
    let along = solve::root(|along| (inseam - inside.change(slid(along))).0, low.0, high.0)
        .map_err(|at| Limit::Slide(OutOfReach { limit: Mm(at), most: crotch.change(slid(at)) }))?;
    let raise = RAISE * leg.length(SeamRole::Waist).0;
    let drop = DROP * law.straight().0;
    let moved = |waist: f64| Moves { waist: Mm(waist), ..slid(along) };
    let waist = solve::root(|waist| (crotch.change(moved(waist)) - rise).0, -drop, raise)
        .map_err(|at| Limit::Waist { furthest: Mm(at) })?;
    Ok(moved(waist))
}
