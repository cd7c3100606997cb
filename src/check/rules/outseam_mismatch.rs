//! # What it finds
//! A front and a back outseam that cannot be sewn together.
//! # Why it matters on the cutting table
//! The waist does not meet at the side, or the leg twists.
//! # How it is measured
//! Both outseams are measured on the sew line from hem to waist in every size, and the front's length is subtracted from the
//! back's. Then this difference is compared with that of the other sizes. The side edge of a yoke counts. A leg beside which a side
//! panel lies is left out. Where the side may be cut away along a pocket mouth, that is a warning, with what the pocket piece has to
//! have of the side. The step of a vent or slit at the hem is no part of the seam.
//! # Tolerance
//! `outseam`, 6.4 mm either way; from size to size `between_sizes`, 3.2 mm.
//! # Where the tolerance comes from
//! 1/4 in is usual on a finished leg seam (buyers' specification sheets, from memory), and 1/8 in on long seams (drafting
//! books, from memory).

use super::inseam_mismatch::mismatches;
use super::{Look, Rule};
use crate::check::sheet::Sheet;
use crate::finding::{Finding, FindingId};
use crate::geometry::{corners, line};
use crate::seam::{LegPiece, SeamRole, Size};
use crate::units::Mm;
use std::ops::RangeInclusive;

/// The check.
pub const RULE: Rule = Rule {
    name: "outseam-mismatch",
    right: "Front and back outseams can be sewn together in every size.",
    lengths: true,
    of_legs: true,
    look: Look::Drawing(find),
};

/// How much of the side a pocket mouth cuts away, in mm: pockets end above the hips (common practice, no source).
const CUT_AWAY: RangeInclusive<f64> = 60.0..=260.0;

/// The same as a share of the mouth, from its lower end straight to its upper one: from a mouth that runs as far along the waist as
/// down the side to one beside the side seam. An edge that is no mouth is as long as what would be missing.
const OF_MOUTH: RangeInclusive<f64> = 0.6..=0.97;

/// The least turn, in degrees, at the lower end of a mouth.
const SLANTS: f64 = 14.0;

fn find(sheet: &Sheet<'_>) -> Vec<Finding> {
    let most = sheet.tolerance.outseam.0;
    let mut findings = Vec::new();
    let mut walked = Vec::new();
    for pair in sheet.trousers.iter().flat_map(Size::pairs) {
        // Where a side panel lies beside the leg, or front and back are in one piece, the leg's outer edge is not the outseam.
        if !pair.iter().all(|on| on.has_outseam()) {
            continue;
        }
        let [front, back] = [pair.front, pair.back].map(|on| on.length(SeamRole::Outseam));
        let mouth = || {
            Some((pair.front, mouth(pair.front, back)?))
                .or_else(|| Some((pair.back, mouth(pair.back, front)?)))
        };
        if (back - front).abs().0 > most
            && let Some((on, mouth)) = mouth()
        {
            findings.push(cut_away(sheet, on, &mouth));
        } else {
            walked.push(pair);
        }
    }
    findings.extend(mismatches(sheet, &walked, SeamRole::Outseam, FindingId::OutseamMismatch, (-most, most)));
    findings
}

/// A pocket mouth that cuts away the upper end of a leg's side.
struct Mouth {
    /// The point of the ring at its lower end.
    low: usize,
    /// Its length from end to end.
    long: Mm,
    /// How much of the side is missing.
    missing: Mm,
}

/// The pocket mouth of a leg whose side is `outseam` long over leg and pocket: from a corner at its lower end to the next corner.
fn mouth(on: &LegPiece<'_>, outseam: Mm) -> Option<Mouth> {
    let (leg, ring) = (&on.leg, &on.leg.ring);
    let turns = corners::turns(ring);
    let at = line::stations(&ring[leg.hem_out..]);
    let own = on.length(SeamRole::Outseam) - leg.length(SeamRole::Outseam);
    let corners: Vec<usize> = (leg.hem_out + 1..ring.len()).filter(|&i| turns[i] >= SLANTS).collect();
    let ends = corners.iter().zip(corners.iter().skip(1));
    ends.into_iter().find_map(|(&low, &top)| {
        let (long, missing) = ((ring[top] - ring[low]).hypot(), (outseam - own).0 - at[low - leg.hem_out]);
        let is_mouth = CUT_AWAY.contains(&missing) && OF_MOUTH.contains(&(missing / long));
        is_mouth.then_some(Mouth { low, long: Mm(long), missing: Mm(missing) })
    })
}

fn cut_away(sheet: &Sheet<'_>, on: &LegPiece<'_>, mouth: &Mouth) -> Finding {
    let message = format!(
        "the side seems to be cut away along a pocket mouth, {} from end to end: the outseams can be sewn together if the pocket's piece \
         has {} of the side. Walk them with that piece; without a pocket there, true the two seams",
        mouth.long, mouth.missing
    );
    sheet.on_leg(Finding::warning(FindingId::OutseamMismatch, message), on, mouth.low)
}
