//! # What it finds
//! A centre seam that does not meet the waist squarely.
//! # Why it matters on the cutting table
//! The left and the right piece make a peak or a dip in the waist where they are sewn together.
//! # How it is measured
//! The inside angle between the tangents of crotch seam and waist at the centre, of every leg.
//! # Tolerance
//! `corner`, 10°; more than half of it is noted.
//! # Where the tolerance comes from
//! Derived: 90° where the edges mirror smoothly. Front waists that dip by a few degrees are usual (from memory).

use super::{Look, Rule};
use crate::check::sheet::Sheet;
use crate::finding::{Finding, FindingId, Severity};
use crate::geometry::direction;
use crate::seam::{Leg, SeamRole, Size};

/// The check.
pub const RULE: Rule = Rule {
    name: "corner-not-square",
    right: "Centre seams meet the waist squarely.",
    lengths: true,
    of_legs: true,
    look: Look::Drawing(find),
};

fn find(sheet: &Sheet<'_>) -> Vec<Finding> {
    let most = sheet.tolerance.corner.0;
    let mut findings = Vec::new();
    let legs = sheet.trousers.iter().flat_map(Size::all_legs);
    // The waist edge runs straight on into a bib.
    for leg in legs.filter(|on| !on.leg.has_bib()) {
        let angle = angle(&leg.leg);
        let off = (angle - 90.0).abs();
        if off > most / 2.0 {
            let severity = if off > most { Severity::Error } else { Severity::Note };
            let message = format!(
                "centre seam and waist meet at {angle:.1}° in place of 90°: left and right make a corner of {:.0}° in the \
                 waist; square the waist at the centre",
                2.0 * off
            );
            findings.push(sheet.on_leg(Finding::new(FindingId::CornerNotSquare, severity, message), leg, 0));
        }
    }
    findings
}

fn angle(leg: &Leg) -> f64 {
    let mut waist = leg.seam(SeamRole::Waist);
    waist.reverse();
    direction::angle(
        direction::tangent_at_start(&leg.seam(SeamRole::Crotch)),
        direction::tangent_at_start(&waist),
    )
    .abs()
}
