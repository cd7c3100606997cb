//! Finding the side waist from the mating piece: the outseams of front and back are sewn together, so they have the same length.
//!
//! A waist that falls towards the side can meet a rounded hip at a corner no sharper than the hip's own vertices. The shape of
//! one piece then says little about which vertex is the side waist, but the length of the other piece's outseam decides it.

use super::size::Size;
use super::{Leg, Mouth, Panels, SeamRole};
use crate::finding::{Finding, FindingId};
use crate::geometry::{corners, line};
use crate::units::Mm;

/// Outseams whose lengths differ by more than this, in mm, cannot be sewn together: one of them was read wrongly.
const APART: Mm = Mm(30.0);

/// Outseams whose lengths differ by no more than this, in mm, can be sewn together: 1/8 in, on long seams (from memory).
const ALIKE: Mm = Mm(3.175);

/// The least turn, in degrees, of a vertex that may be the side waist.
const BLUNT: f64 = 10.0;

/// Where the outseams of front and back differ too much, looks for a corner that gives one of them the length of the other, and
/// takes that corner as the side waist. Without such a corner it is not known where the side waist is: that is a warning, as no slide
/// touches it, and an error for whoever raises the waist.
pub(super) fn by_mate(size: &mut Size<'_>) {
    let ([front], [back]) = (&mut size.legs.front[..], &mut size.legs.back[..]) else { return };
    let turned_in = [&front.folds, &back.folds].iter().any(|folds| folds.at(SeamRole::Waist).is_some());
    let panelled = [&front.panels, &back.panels].iter().any(|panels| **panels != Panels::default());
    let one_piece = front.leg.one_piece.is_some() || back.leg.one_piece.is_some();
    if turned_in || panelled || one_piece || !size.yokes.is_empty() {
        return;
    }
    let [f, b] = [&front.leg, &back.leg].map(|leg| leg.length(SeamRole::Outseam));
    if (f - b).abs() <= APART {
        return;
    }
    let found = [corner(&front.leg, b), corner(&back.leg, f)];
    let (on, side) = match found {
        [Some((side, turn)), other] if other.is_none_or(|(_, sharper)| turn > sharper) => (front, side),
        [_, Some((side, _))] => (back, side),
        // What is missing of a side is drawn on the pocket's piece.
        _ if Mouth::of(front, b).or_else(|| Mouth::of(back, f)).is_some() => return,
        _ => {
            let finding =
                Finding::warning(FindingId::SeamAmbiguous, unsettled(f, b)).size(size.name.as_str());
            let finding = finding.about(front.piece);
            size.findings.push(finding.at(front.piece.drawn(front.leg.ring[front.leg.side])));
            size.side_unsure = true;
            return;
        }
    };
    let message = format!(
        "the side waist is read at the corner that gives the outseam the length of its mate's ({f} and {b} otherwise); put \
         turn points on the corners, none on the vertices of a curve, if it ends elsewhere"
    );
    let at = on.piece.drawn(on.leg.ring[side]);
    let note = Finding::note(FindingId::ReadAs, message).size(size.name.as_str()).about(on.piece).at(at);
    on.leg.side = side;
    size.findings.push(note);
}

/// The message about outseams of which one was drawn or read wrongly.
fn unsettled(front: Mm, back: Mm) -> String {
    format!(
        "the outseams of front and back, {front} and {back}, cannot be sewn together, and no other corner gives them one length: one of them \
         may end elsewhere than at the corner that was read as the side waist. Crotch seam and inseam are not concerned. Put turn points on \
         the corners, none on the vertices of a curve, or correct the side"
    )
}

/// The sharpest corner that gives a leg an outseam of about this length, and its turn.
fn corner(leg: &Leg, length: Mm) -> Option<(usize, f64)> {
    // A sew line derived from allowances is not used: the allowance at the waist may be another one.
    if leg.drawn.derived.is_some() {
        return None;
    }
    let turns = corners::turns(&leg.ring);
    let at = line::stations(&leg.ring[leg.hem_out..]);
    let alike = |i: usize| (Mm(at[i - leg.hem_out]) - length).abs() <= ALIKE;
    (leg.hem_out + 1..leg.ring.len())
        .filter(|&i| turns[i] >= BLUNT && alike(i))
        .map(|i| (i, turns[i]))
        .max_by(|a, b| a.1.total_cmp(&b.1))
}
