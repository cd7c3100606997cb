//! # What it finds
//! Pieces of a size that no garment has, or pieces in another unit than the rest of their nest.
//! # Why it matters on the cutting table
//! A trouser leg of 31 mm or 31 m is cut as it is drawn, fifty times.
//! # How it is measured
//! Measured are the length of each trouser leg from waist to hem, and the longest side of the largest piece and of every
//! piece. Each piece is also compared with the other sizes of its name: no size is five times larger or smaller than the
//! others.
//! # Tolerance
//! `leg_least`, 180 mm; `leg_most`, 1.7 m; `piece_least`, 50 mm; `piece_most`, 12 m.
//! # Where the tolerance comes from
//! The limits reach from shorts in the smallest babies' size to a very tall man's outseam of 1.3 m, and from a glove's palm
//! to the length of lay tables (from memory).

use super::{Look, Rule};
use crate::check::sheet::{Sheet, boundary};
use crate::check::steps;
use crate::finding::{Finding, FindingId};
use crate::pattern::Piece;
use crate::seam::Size;

/// The check.
pub const RULE: Rule = Rule {
    name: "unit-doubtful",
    right: "Pieces are of a size that garments have.",
    lengths: false,
    of_legs: false,
    look: Look::Drawing(find),
};

/// The units of a drawing, mm and inches, differ by 25.4 times; no piece grows by a fifth of that within its nest.
const ANOTHER_UNIT: f64 = 5.0;

fn find(sheet: &Sheet<'_>) -> Vec<Finding> {
    let t = &sheet.tolerance;
    let unit = sheet.opened.unit().sign();
    let remedy = format!("the drawing says that its unit is {unit}; correct its 'Units:' text or its scale");
    let error = |message: String| Finding::error(FindingId::UnitDoubtful, message);
    let legs: Vec<(&Piece, f64)> = sheet
        .trousers
        .iter()
        .flat_map(Size::all_legs)
        .map(|l| (l.piece, (l.leg.ring[0] - l.leg.ring[l.leg.hem_in]).dot(l.leg.up)))
        .collect();
    let mut findings = Vec::new();
    for nest in &sheet.nests {
        // A piece without an outline has no length to compare.
        let sides: Vec<(&Piece, f64)> = nest.pieces.iter().filter_map(|p| Some((*p, longest(p)?))).collect();
        let usual = steps::median(&sides.iter().map(|s| s.1).collect::<Vec<_>>());
        for (piece, side) in sides {
            if side > ANOTHER_UNIT * usual || side * ANOTHER_UNIT < usual {
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
        let message = format!("a trouser leg is {} long; {remedy}", formatted(length));
        return vec![sheet.at_block(error(message), piece)];
    }
    let sides = sheet.pieces.iter().filter_map(|p| Some((longest(p)?, *p)));
    if let Some((length, piece)) = sides.max_by(|a, b| a.0.total_cmp(&b.0))
        && wrong(length, t.piece_least.0, t.piece_most.0)
    {
        let message = format!("the largest piece is {} long; {remedy}", formatted(length));
        findings.push(sheet.at_block(error(message), piece));
    }
    findings
}

/// The longer side of the box around a piece; `None` where it has no outline, or one that is a single point.
fn longest(piece: &Piece) -> Option<f64> {
    let outline = boundary(piece)?;
    let first = kurbo::Rect::from_points(outline.points[0], outline.points[0]);
    let around = outline.points.iter().fold(first, |r, p| r.union_pt(*p));
    Some(around.width().max(around.height())).filter(|side| *side > 0.0)
}

fn formatted(length: f64) -> String {
    if length >= 1000.0 { format!("{:.1} m", length / 1000.0) } else { format!("{length:.1} mm") }
}
