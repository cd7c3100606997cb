//! Telling crotch seam and inseam apart with the help of the mating piece.
//!
//! On a back with a strongly slanted seat, the crotch seam can be as straight as the other piece's inseam and the inseam as
//! hollow as its crotch seam, and both meet the fork at similar angles. Seen by itself such a leg can be read upside down. Front
//! and back are sewn together, so inseams and outseams have the same lengths (common practice, no source), and only one of the
//! two readings fulfils that.

use super::find::readings;
use super::fold::Folds;
use super::size::{LegPiece, Size};
use super::{Leg, Part, SeamRole, names};
use crate::finding::{Finding, FindingId};
use crate::pattern::{Pattern, Piece};
use crate::trousers::{Allowances, LabelTexts};
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
pub(super) fn by_mate(size: &mut Size<'_>, pieces: &[&Piece], labels: &LabelTexts, pattern: &Pattern) {
    let ([front], [back]) = (&size.legs.front[..], &size.legs.back[..]) else { return };
    if !is_misread(front.length(SeamRole::Inseam), back.length(SeamRole::Inseam)) {
        return;
    }
    let allowances = &pattern.allowances;
    let anew = |of: &LegPiece<'_>, mate, part| read((of.piece, part), mate, pieces, labels, allowances);
    let found = match (anew(front, back, Part::Front), anew(back, front, Part::Back)) {
        (Some(leg), None) => (Part::Front, leg),
        (None, Some(leg)) => (Part::Back, leg),
        _ => return,
    };
    let (part, leg) = found;
    if let Some(on) = size.legs.of_mut(part).first_mut()
        && let Ok(folds) = Folds::find(on.piece, &leg, labels, pattern.turned_in)
    {
        (on.leg, on.folds) = (leg, folds);
        let note = note(on);
        size.findings.push(note);
    }
}

/// The reading of a piece whose seams are as long as its mate's; `None` unless there is exactly one. `pieces` are those of the size: the
/// side edge of a yoke among them is a part of the outseam.
pub(super) fn read(
    (piece, part): (&Piece, Part),
    mate: &LegPiece<'_>,
    pieces: &[&Piece],
    labels: &LabelTexts,
    allowances: &Allowances,
) -> Option<Leg> {
    /// In mm: no yoke of trousers is deeper at the side (from memory: 30 to 90 mm).
    const YOKE: f64 = 120.0;
    let yoked = |part: Part| pieces.iter().any(|piece| names::is_yoke_of(piece, part, labels));
    let (above, above_mate) = (yoked(part), yoked(part.other()));
    let inseams = |leg: &Leg| !are_apart(leg.length(SeamRole::Inseam), mate.length(SeamRole::Inseam));
    let outseams = |leg: &Leg| {
        let (own, other) = (leg.length(SeamRole::Outseam), mate.length(SeamRole::Outseam));
        let short = other - own;
        !are_apart(own, other)
            || above && (0.0..=YOKE).contains(&short.0)
            || above_mate && (-YOKE..=0.0).contains(&short.0)
    };
    let rises = |leg: &Leg| {
        let (own, other) = (leg.length(SeamRole::Crotch).0, mate.length(SeamRole::Crotch).0);
        if part == Part::Back { own / other } else { other / own }
    };
    let fits = |leg: &Leg| inseams(leg) && outseams(leg) && RISES.contains(&rises(leg));
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
