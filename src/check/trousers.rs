//! Decides whether a drawing is of trousers, so that their seams are to be walked.
//!
//! The seam finder looks for a crotch seam on every front and back. That is right where somebody asks for an alteration; in
//! looking over a shirt or a skirt it would report faults where there are none. So a drawing has to show that it is of
//! trousers: by a word, or by legs whose seams are unbroken. (The armhole of a bodice is as concave as a crotch seam, but its
//! neck and shoulder make a corner within what would have to be the waist or the outseam.)

use crate::finding::{FindingId, Severity};
use crate::geometry::corners;
use crate::job::Job;
use crate::opened::Opened;
use crate::pattern::Piece;
use crate::seam::{self, LegPiece, SeamRole, Size};
use crate::trousers::says_trousers;
use std::ops::Range;

/// A vertex that turns by this much or more, in degrees, is a corner within a seam; no dart leaves one as sharp in a waist.
const BREAK: f64 = 45.0;

/// A vertex that turns back by this much, in degrees, is the point of a dart: that of a dart as wide as it is long turns by
/// 127°, the neck of a bodice by less than 90°.
const POINT: f64 = 110.0;

/// A vent or a pleat steps out and goes on as before within this length of a seam, in mm. Half of a neck is longer.
const STEP: f64 = 45.0;

/// The trousers in every size; empty for another garment.
#[must_use]
pub fn of<'a>(opened: &'a Opened<'a>, job: &Job) -> Vec<Size<'a>> {
    let mut sizes = seam::sizes(&opened.pattern, &job.labels);
    if !named_so(opened) && !sizes.iter().any(shaped_so) {
        return Vec::new();
    }
    for size in &mut sizes {
        for finding in &mut size.findings {
            // Nothing is wrong with the drawing, but its seams cannot be walked until the job says more.
            if finding.id == FindingId::AllowanceMissing {
                finding.severity = Severity::Note;
                finding.message = format!("its seams were not walked: {}", finding.message);
            }
        }
    }
    sizes
}

/// Whether a text of the drawing says that it is of trousers.
fn named_so(opened: &Opened<'_>) -> bool {
    let pattern = &opened.pattern;
    let of_piece = |p: &Piece| p.labels.category.iter().chain([&p.name]).any(|t| says_trousers(t));
    pattern.style.as_deref().is_some_and(says_trousers) || pattern.pieces.iter().any(of_piece)
}

/// Whether some front and some back have the shape of a trouser leg.
fn shaped_so(size: &Size<'_>) -> bool {
    let whole = |legs: &[LegPiece<'_>]| legs.iter().any(unbroken);
    whole(&size.legs.front) && whole(&size.legs.back)
}

fn unbroken(leg: &LegPiece<'_>) -> bool {
    let leg = &leg.leg;
    // A raglan sleeve has the shape of a leg that is front and back in one piece.
    if leg.one_piece.is_some() {
        return false;
    }
    let turns = corners::turns(&leg.ring);
    let n = turns.len();
    // The corners beside the point of a dart, a pleat or a vent do not belong to the seam.
    let carrying = |i: &usize| turns[i % n] != 0.0;
    let beside = |i: usize| [(i + 1..i + n).find(carrying), (i + 1..i + n).rev().find(carrying)];
    let point = |i: usize| beside(i).into_iter().flatten().any(|j| turns[j % n] <= -POINT);
    let length = |i: usize| (leg.ring[(i + 1) % n] - leg.ring[i % n]).hypot();
    // A vent, a pleat or a step turns back again within a short distance.
    let turns_back = |inner: &Range<usize>, i: usize| {
        (inner.start..=i).rev().any(|a| {
            let before: f64 = (a..i).map(length).sum();
            let (mut way, mut turned) = (before, (a..i).map(|k| turns[k % n]).sum::<f64>());
            before <= STEP
                && (i..inner.end).any(|b| {
                    way += if b > i { length(b - 1) } else { 0.0 };
                    turned += turns[b % n];
                    way <= STEP && turned.abs() < 0.5 * BREAK
                })
        })
    };
    [SeamRole::Inseam, SeamRole::Hem, SeamRole::Outseam, SeamRole::Waist].iter().all(|&role| {
        let range = leg.range(role);
        let inner = range.start() + 1..*range.end();
        // A bib has corners of its own.
        role == SeamRole::Waist && leg.has_bib()
            || inner.clone().all(|i| turns[i % n] < BREAK || point(i) || turns_back(&inner, i))
    })
}
