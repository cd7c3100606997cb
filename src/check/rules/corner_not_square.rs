//! # What it finds
//! A centre seam that does not meet the waist squarely.
//! # Why it matters on the cutting table
//! The left and the right piece make a peak or a dip in the waist where they are sewn together.
//! # How it is measured
//! The inside angle between the tangents of crotch seam and waist at the centre, of every leg. Where a yoke is sewn to its top, the
//! centre seam goes on over the yoke's edge, and the corner is the yoke's own.
//! # Tolerance
//! `corner`, 10°; more than half of it is noted.
//! # Where the tolerance comes from
//! Derived: 90° where the edges mirror smoothly. Front waists that dip by a few degrees are usual (from memory).

use super::{Look, Rule};
use crate::check::sheet::Sheet;
use crate::finding::{Finding, FindingId, Severity};
use crate::geometry::direction;
use crate::seam::{Above, Leg, LegPiece, SeamRole};

/// The check.
pub const RULE: Rule = Rule {
    name: "corner-not-square",
    right: "Centre seams meet the waist squarely.",
    lengths: true,
    of_legs: true,
    look: Look::Drawing(find),
};

fn find(sheet: &Sheet<'_>) -> Vec<Finding> {
    let mut findings = Vec::new();
    for size in &sheet.trousers {
        // The waist edge runs straight on into a bib, and the top of a leg below a yoke is no waist.
        let own = |on: &&LegPiece<'_>| !on.leg.has_bib() && on.above == Above::default();
        for leg in size.all_legs().filter(own) {
            findings.extend(of_corner(sheet, &leg.leg).map(|finding| sheet.on_leg(finding, leg, 0)));
        }
        for yoke in &size.yokes {
            let Some(top) = size.legs.of(yoke.part).iter().find_map(|on| yoke.top(&on.leg)) else { continue };
            let path = &yoke.piece.paths[top.drawn.path()];
            let at = |finding| sheet.on_path(finding, yoke.piece, path, top.drawn.vertex(0), top.ring[0]);
            findings.extend(of_corner(sheet, &top).map(at));
        }
    }
    findings
}

/// What is to be said of the corner at which the ring of a leg, or of a yoke as its top, begins.
fn of_corner(sheet: &Sheet<'_>, leg: &Leg) -> Option<Finding> {
    let most = sheet.tolerance.corner.0;
    let angle = angle(leg);
    let off = (angle - 90.0).abs();
    if off <= most / 2.0 {
        return None;
    }
    let severity = if off > most { Severity::Error } else { Severity::Note };
    let message = format!(
        "centre seam and waist meet at {angle:.1}° in place of 90°: left and right make a corner of {:.0}° in the waist; square \
         the waist at the centre",
        2.0 * off
    );
    Some(Finding::new(FindingId::CornerNotSquare, severity, message))
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
