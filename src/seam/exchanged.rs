//! Telling crotch seam and inseam apart with the help of the mating piece.
//!
//! On a back with a strongly slanted seat, the crotch seam can be as straight as the other piece's inseam and the inseam as
//! hollow as its crotch seam, and both meet the fork at similar angles. Seen by itself such a leg can be read upside down. Front
//! and back are sewn together, so inseams and outseams have the same lengths (common practice, no source), and only one of the
//! two readings fulfils that.

use super::find::readings;
use super::fold::Folds;
use super::size::{LegPiece, Size};
use super::{Leg, Part, SeamRole};
use crate::finding::{Finding, FindingId};
use crate::pattern::Piece;
use crate::trousers::{Allowances, LabelTexts, TurnedIn};
use crate::units::Mm;
use std::ops::RangeInclusive;

/// Inseams or outseams that differ by more than this, as a share and in mm, are not sewn together: no easing explains the
/// difference.
const APART: (f64, f64) = (0.05, 25.0);

/// Where inseams differ by more than this share, one of them was certainly read wrongly.
const WRONG: f64 = 0.2;

/// The ratio of the back rise to the front rise: 1.05 to 1.4 (from memory); the range is wider because of yokes and full
/// abdomens.
const RISES: RangeInclusive<f64> = 0.8..=1.9;

/// Whether two seams differ by more than can be sewn together.
pub(super) fn are_apart(a: Mm, b: Mm) -> bool {
    (b - a).abs().0 > (APART.0 * a.0.max(b.0)).max(APART.1)
}

/// Whether they differ so much that one was read wrongly.
pub(super) fn is_misread(a: Mm, b: Mm) -> bool {
    (b - a).abs().0 > WRONG * a.0.max(b.0)
}

/// Where front and back inseam cannot belong together, looks for another reading of one piece that matches the other piece.
pub(super) fn by_mate(size: &mut Size<'_>, labels: &LabelTexts, allowances: &Allowances, stated: TurnedIn) {
    let ([front], [back]) = (&size.legs.front[..], &size.legs.back[..]) else { return };
    if !is_misread(front.length(SeamRole::Inseam), back.length(SeamRole::Inseam)) {
        return;
    }
    let anew = |of: &LegPiece<'_>, mate: &LegPiece<'_>, part| read(of.piece, part, mate, labels, allowances);
    let found = match (anew(front, back, Part::Front), anew(back, front, Part::Back)) {
        (Some(leg), None) => (Part::Front, leg),
        (None, Some(leg)) => (Part::Back, leg),
        _ => return,
    };
    let (part, leg) = found;
    if let Some(on) = size.legs.of_mut(part).first_mut()
        && let Ok(folds) = Folds::find(on.piece, &leg, labels, stated)
    {
        (on.leg, on.folds) = (leg, folds);
        let note = note(on);
        size.findings.push(note);
    }
}

/// The reading of a piece whose seams are as long as its mate's; `None` unless there is exactly one.
pub(super) fn read(
    piece: &Piece,
    part: Part,
    mate: &LegPiece<'_>,
    labels: &LabelTexts,
    allowances: &Allowances,
) -> Option<Leg> {
    let alike = |leg: &Leg, role: SeamRole| !are_apart(leg.length(role), mate.length(role));
    let rises = |leg: &Leg| {
        let (own, other) = (leg.length(SeamRole::Crotch).0, mate.length(SeamRole::Crotch).0);
        if part == Part::Back { own / other } else { other / own }
    };
    let fits = |leg: &Leg| {
        alike(leg, SeamRole::Inseam) && alike(leg, SeamRole::Outseam) && RISES.contains(&rises(leg))
    };
    let mut fitting = readings(piece, labels, allowances).into_iter().filter(fits);
    let leg = fitting.next()?;
    fitting.next().is_none().then_some(leg)
}

/// Says how a leg was read.
pub(super) fn note(on: &LegPiece<'_>) -> Finding {
    let message = format!(
        "crotch seam ({}) and inseam ({}) are told apart by the other leg's lengths; by the shape alone it could be the other way \
         round",
        on.leg.length(SeamRole::Crotch),
        on.leg.length(SeamRole::Inseam)
    );
    Finding::note(FindingId::ReadAs, message).about(on.piece).at(on.piece.drawn(on.leg.fork_point()))
}
