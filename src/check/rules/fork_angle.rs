//! # What it finds
//! A front and a back whose joined crotch curve has a corner at the fork.
//! # Why it matters on the cutting table
//! Sewn together the curve has a peak or a dent between the legs, which rubs and cannot be pressed out.
//! # How it is measured
//! The inside angles of front and back between the tangents of crotch seam and inseam, added up.
//! # Tolerance
//! `fork_angle`, 5°.
//! # Where the tolerance comes from
//! Derived: the sum is 180° where the joined curve is smooth; an alteration may add 3°.

use super::{Look, Rule};
use crate::check::sheet::Sheet;
use crate::finding::{Finding, FindingId};
use crate::seam::Pair;

/// The check.
pub const RULE: Rule = Rule {
    name: "fork-angle",
    right: "Front and back join to one smooth crotch curve at the fork.",
    lengths: true,
    of_legs: true,
    look: Look::Drawing(find),
};

fn find(sheet: &Sheet<'_>) -> Vec<Finding> {
    let mut findings = Vec::new();
    for (_, Pair { front, back }) in sheet.pairs() {
        let (f, b) = (front.leg.fork_angle(), back.leg.fork_angle());
        if (f + b - 180.0).abs() > sheet.tolerance.fork_angle.0 {
            let message = format!(
                "the angles at the fork add up to {:.1}° (front {f:.1}°, back {b:.1}°) in place of 180°: the joined \
                 crotch curve has a corner; true the curves with the inseams laid together",
                f + b
            );
            findings.push(sheet.on_leg(Finding::error(FindingId::ForkAngle, message), back, back.leg.fork));
        }
    }
    findings
}
