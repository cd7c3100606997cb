//! # What it finds
//! Pieces of a size no garment has, or of another unit than the rest of their nest.
//! # Why it matters on the cutting table
//! A trouser leg of 31 mm or 31 m is cut as it is drawn, fifty times.
//! # How it is measured
//! The length of each trouser leg from waist to hem; the longest side of the largest piece, and of every
//! piece; each piece against the other sizes of its name, five times larger or smaller than which none is.
//! # Tolerance
//! `leg_least`, 180 mm; `leg_most`, 1.7 m; `piece_least`, 50 mm; `piece_most`, 12 m.
//! # Where the tolerance comes from
//! From the shorts of the smallest babies' size to a very tall man's outseam of 1.3 m; from a glove's palm
//! to the length of lay tables (from memory).

use super::{Look, Rule};
use crate::check::sheet::{Sheet, boundary};
use crate::check::steps;
use crate::finding::{Finding, FindingId};
use crate::pattern::Piece;

/// The check.
pub const RULE: Rule = Rule { name: "unit-doubtful", lengths: false, look: Look::Drawing(find) };

/// Units differ by ten times or more; no piece grows by half of that within its nest.
const ANOTHER_UNIT: f64 = 5.0;

fn find(sheet: &Sheet<'_>) -> Vec<Finding> {
    let t = sheet.tolerance;
    let unit = sheet.opened.unit().sign();
    let remedy = format!("the drawing says that its unit is {unit}; correct its 'Units:' text or its scale");
    let error = |message: String| Finding::error(FindingId::UnitDoubtful, message);
    let legs: Vec<(&Piece, f64)> = sheet
        .trousers
        .iter()
        .flat_map(|s| s.front.iter().chain(&s.back))
        .map(|l| (l.piece, (l.leg.ring[0] - l.leg.ring[l.leg.hem_in]).dot(l.leg.up)))
        .collect();
    let mut findings = Vec::new();
    for nest in &sheet.nests {
        let sides: Vec<f64> = nest.pieces.iter().map(|p| longest(p)).collect();
        let usual = steps::median(&sides);
        for (piece, &side) in nest.pieces.iter().zip(&sides) {
            if side > 0.0 && (side > ANOTHER_UNIT * usual || side * ANOTHER_UNIT < usual) {
                let message = format!(
                    "the piece is {side:.1} mm long and in the other sizes {usual:.1} mm: it is drawn in another unit; \
                     scale it as the others"
                );
                findings.push(sheet.at_block(error(message), piece));
            }
        }
    }
    if !findings.is_empty() {
        return findings;
    }
    let wrong = |length: f64, least: f64, most: f64| length < least || length > most;
    if let Some(&(piece, length)) = legs.iter().find(|(_, l)| wrong(*l, t.leg_least.0, t.leg_most.0)) {
        let message = format!("a trouser leg is {} long; {remedy}", shown(length));
        return vec![sheet.at_block(error(message), piece)];
    }
    let largest = sheet.pieces.iter().map(|p| (longest(p), *p)).max_by(|a, b| a.0.total_cmp(&b.0));
    if let Some((length, piece)) = largest
        && length > 0.0
        && wrong(length, t.piece_least.0, t.piece_most.0)
    {
        let message = format!("the largest piece is {} long; {remedy}", shown(length));
        findings.push(sheet.at_block(error(message), piece));
    }
    findings
}

/// The longer side of the box around a piece.
fn longest(piece: &Piece) -> f64 {
    let Some(outline) = boundary(piece) else { return 0.0 };
    let first = kurbo::Rect::from_points(outline.points[0], outline.points[0]);
    let around = outline.points.iter().fold(first, |r, p| r.union_pt(*p));
    around.width().max(around.height())
}

fn shown(length: f64) -> String {
    if length >= 1000.0 { format!("{:.1} m", length / 1000.0) } else { format!("{length:.1} mm") }
}
