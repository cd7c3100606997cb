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
use crate::seam::{LegPiece, Mouth, SeamRole, Size};

/// The check.
pub const RULE: Rule = Rule {
    name: "outseam-mismatch",
    right: "Front and back outseams can be sewn together in every size.",
    lengths: true,
    of_legs: true,
    look: Look::Drawing(find),
};

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
            Some((pair.front, Mouth::of(pair.front, back)?))
                .or_else(|| Some((pair.back, Mouth::of(pair.back, front)?)))
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

fn cut_away(sheet: &Sheet<'_>, on: &LegPiece<'_>, mouth: &Mouth) -> Finding {
    let message = format!(
        "the side seems to be cut away along a pocket mouth, {} from end to end: the outseams can be sewn together if the pocket's piece \
         has {} of the side. Walk them with that piece; without a pocket there, true the two seams",
        mouth.long, mouth.missing
    );
    sheet.on_leg(Finding::warning(FindingId::OutseamMismatch, message), on, mouth.low)
}
