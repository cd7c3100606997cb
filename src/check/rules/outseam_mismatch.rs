//! # What it finds
//! A front and a back outseam that cannot be sewn together.
//! # Why it matters on the cutting table
//! The waist does not meet at the side, or the leg twists.
//! # How it is measured
//! Both outseams are measured on the sew line from hem to waist in every size, and the front's length is subtracted from the
//! back's. Then this difference is compared with that of the other sizes.
//! # Tolerance
//! `outseam`, 6.4 mm either way; from size to size `between_sizes`, 3.2 mm.
//! # Where the tolerance comes from
//! 1/4 in is usual on a finished leg seam (buyers' specification sheets, from memory), and 1/8 in on long seams (drafting
//! books, from memory).

use super::inseam_mismatch::mismatches;
use super::{Look, Rule};
use crate::check::sheet::Sheet;
use crate::finding::{Finding, FindingId};
use crate::seam::SeamRole;

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
    mismatches(sheet, SeamRole::Outseam, FindingId::OutseamMismatch, (-most, most))
}
