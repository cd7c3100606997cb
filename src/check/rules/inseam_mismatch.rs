//! # What it finds
//! A front and a back inseam that cannot be sewn together.
//! # Why it matters on the cutting table
//! The longer inseam is eased in or cut off at the hem: the leg puckers, twists or hangs unevenly.
//! # How it is measured
//! Both inseams are measured on the sew line from fork to hem in every size, and the front's length is subtracted from the
//! back's. Then this difference is compared with that of the other sizes.
//! # Tolerance
//! `inseam_shorter`, 7.9 mm; `inseam_longer`, 3.2 mm; from size to size `between_sizes`, 3.2 mm.
//! # Where the tolerance comes from
//! A back inseam that is 3 to 6 mm shorter is stretched to fit; 1/8 in is usual on long seams (drafting books, from memory).

use super::{Look, Rule};
use crate::check::sheet::Sheet;
use crate::check::steps;
use crate::finding::{Finding, FindingId};
use crate::seam::{LegPiece, Pair, SeamRole, Size};
use crate::units::{against, bare, plain};

/// The check.
pub const RULE: Rule = Rule {
    name: "inseam-mismatch",
    right: "Front and back inseams can be sewn together in every size.",
    lengths: true,
    of_legs: true,
    look: Look::Drawing(find),
};

fn find(sheet: &Sheet<'_>) -> Vec<Finding> {
    let t = &sheet.tolerance;
    let bounds = (-t.inseam_shorter.0, t.inseam_longer.0);
    let pairs: Vec<_> = sheet.trousers.iter().flat_map(Size::pairs).collect();
    mismatches(sheet, &pairs, SeamRole::Inseam, FindingId::InseamMismatch, bounds)
}

/// Every pair of legs whose back seam less front seam is out of bounds, or out of line with the other pairs.
pub(super) fn mismatches(
    sheet: &Sheet<'_>,
    pairs: &[Pair<&LegPiece<'_>>],
    role: SeamRole,
    id: FindingId,
    (least, most): (f64, f64),
) -> Vec<Finding> {
    let lengths: Vec<Pair<f64>> = pairs.iter().map(|pair| pair.map(|on| on.length(role).0)).collect();
    let differences: Vec<f64> = lengths.iter().map(|of| of.back - of.front).collect();
    let spread = sheet.tolerance.between_sizes.0;
    let mut findings = Vec::new();
    for (i, (Pair { back, .. }, Pair { front: f, back: b })) in pairs.iter().zip(&lengths).enumerate() {
        let difference = b - f;
        let others: Vec<f64> =
            differences.iter().enumerate().filter(|&(j, _)| j != i).map(|(_, d)| *d).collect();
        let usual = steps::median(&others);
        let way = if difference < 0.0 { "shorter" } else { "longer" };
        let bound = if difference < least { least } else { most };
        let apart = against(difference.abs(), bound.abs(), 2).0;
        let seams = format!(
            "the back {role} is {apart} mm {way} than the front's ({b:.2} mm and {f:.2} mm on the sew lines)"
        );
        let message = if difference < least || difference > most {
            let limit = |limit: f64| bare(&plain(limit, 4)).to_owned();
            format!(
                "{seams}; from {} mm shorter to {} mm longer can be sewn together. True the two seams",
                limit(-least),
                limit(most)
            )
        } else if others.len() > 1 && (difference - usual).abs() > spread {
            let (off, spread) = against((difference - usual).abs(), spread, 2);
            format!(
                "{seams}, {off} mm off what it is in the other sizes (at most {spread} mm). Correct this size's seams"
            )
        } else {
            continue;
        };
        let corner = *back.leg.range(role).end();
        findings.push(sheet.on_leg(Finding::error(id, message), back, corner));
    }
    findings
}
