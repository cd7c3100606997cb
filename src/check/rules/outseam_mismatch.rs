//! # What it finds
//! A front and a back outseam that cannot be sewn together.
//! # Why it matters on the cutting table
//! The waist does not meet at the side, or the leg twists.
//! # How it is measured
//! Both outseams are measured on the sew line from hem to waist in every size, and the front's length is subtracted from the
//! back's. Then this difference is compared with that of the other sizes. The side edge of a yoke counts. A leg beside which a side
//! panel lies is left out. Where the side may be cut away along a pocket mouth, that is a warning, with what the pocket piece has to
//! have of the side. An extension for a vent at the hem is no part of the seam: where only that makes a difference, a note says so.
//! # Tolerance
//! `outseam`, 6.4 mm either way; from size to size `between_sizes`, 3.2 mm.
//! # Where the tolerance comes from
//! 1/4 in is usual on a finished leg seam (buyers' specification sheets, from memory), and 1/8 in on long seams (drafting
//! books, from memory).

use super::inseam_mismatch::mismatches;
use super::{Look, Rule};
use crate::check::sheet::Sheet;
use crate::finding::{Finding, FindingId};
use crate::geometry::line::Measured;
use crate::geometry::{corners, direction, line};
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
        let vents = [pair.front, pair.back].map(vent);
        let [f, b] =
            [(front, &vents[0]), (back, &vents[1])].map(|(all, v)| v.as_ref().map_or(all, |v| all - v.more));
        if (back - front).abs().0 <= most {
            walked.push(pair);
        } else if let Some((on, mouth)) = mouth() {
            findings.push(cut_away(sheet, on, &mouth));
        } else if (b - f).abs().0 <= most {
            let on = [pair.front, pair.back].into_iter().zip(&vents);
            findings.extend(on.filter_map(|(on, v)| Some(beside_vent(sheet, on, v.as_ref()?))));
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

/// An extension at the lower end of an outseam, for a vent.
struct Vent {
    /// The point of the ring at which it steps out from the seam.
    inner: usize,
    wide: Mm,
    high: Mm,
    /// How much longer its edge is than the seam would be on down to the hem.
    more: Mm,
}

/// The vent at the lower end of a leg's outseam: beside the seam up from the hem, and from there in to the seam.
fn vent(on: &LegPiece<'_>) -> Option<Vent> {
    /// How wide and how high a vent's extension may be, in mm (common practice, no source).
    const WIDE: RangeInclusive<f64> = 10.0..=100.0;
    const HIGH: RangeInclusive<f64> = 30.0..=400.0;
    /// The least turn, in degrees, where it steps in and where it meets the seam.
    const STEP: f64 = 25.0;
    /// The largest angle, in degrees, between its edge and the seam.
    const BESIDE: f64 = 15.0;
    /// The length of the seam, in mm, from which its direction is taken.
    const ABOVE: f64 = 50.0;
    let (leg, ring) = (&on.leg, &on.leg.ring);
    let turns = corners::turns(ring);
    let mut corners = (leg.hem_out + 1..ring.len()).filter(|&i| turns[i].abs() >= STEP);
    let (top, inner) = (corners.next()?, corners.next()?);
    let seam = Measured::new(leg.seam(SeamRole::Outseam));
    let at = *seam.stations().get(inner - leg.hem_out)?;
    let (up, _) = seam.direction(at, at + ABOVE);
    let wide = up.cross(ring[top] - ring[inner]).abs();
    // Without it, the seam would run straight on to the hem.
    let (corner, hem) = (ring[leg.hem_out], ring[leg.hem_out] - ring[leg.hem_out - 1]);
    let high = (ring[inner] - corner).cross(hem) / up.cross(hem);
    let beside = direction::angle(ring[top] - ring[leg.hem_out], up).abs() <= BESIDE;
    let is_vent = turns[top] > 0.0 && turns[inner] < 0.0 && beside;
    (is_vent && WIDE.contains(&wide) && HIGH.contains(&high)).then_some(Vent {
        inner,
        wide: Mm(wide),
        high: Mm(high),
        more: Mm(at - high),
    })
}

fn beside_vent(sheet: &Sheet<'_>, on: &LegPiece<'_>, vent: &Vent) -> Finding {
    let message = format!(
        "the outseam ends in an extension at the hem, {} wide and {} high, as for a vent: without it the outseams can be sewn together",
        vent.wide, vent.high
    );
    sheet.on_leg(Finding::note(FindingId::OutseamMismatch, message), on, vent.inner)
}

fn cut_away(sheet: &Sheet<'_>, on: &LegPiece<'_>, mouth: &Mouth) -> Finding {
    let message = format!(
        "the side seems to be cut away along a pocket mouth, {} from end to end: the outseams can be sewn together if the pocket's piece \
         has {} of the side. Walk them with that piece; without a pocket there, true the two seams",
        mouth.long, mouth.missing
    );
    sheet.on_leg(Finding::warning(FindingId::OutseamMismatch, message), on, mouth.low)
}
