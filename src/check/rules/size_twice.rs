//! # What it finds
//! A piece that is drawn twice in one size.
//! # Why it matters on the cutting table
//! The piece is cut twice, or an old version of it is cut in place of the new one.
//! # How it is measured
//! Pieces of one name and size are compared. Two pieces that are declared left and right by a word in their names, categories
//! or annotations are a pair, and pieces of different materials are different pieces.
//! # Tolerance
//! None.
//! # Where the tolerance comes from
//! Common practice, no source: a piece that is cut several times has a quantity, not a second drawing.

use super::{Look, Rule};
use crate::check::sheet::{Sheet, name_key, side};
use crate::finding::{Finding, FindingId};
use crate::pattern::{Piece, SizeName};
use std::collections::HashMap;

/// The check.
pub const RULE: Rule = Rule {
    name: "size-twice",
    right: "No piece is there twice in a size.",
    lengths: false,
    of_legs: false,
    look: Look::Drawing(find),
};

fn find(sheet: &Sheet<'_>) -> Vec<Finding> {
    let mut findings = Vec::new();
    let mut seen: HashMap<(String, SizeName), Vec<&Piece>> = HashMap::new();
    for &piece in &sheet.pieces {
        let Some(size) = piece.size.clone().filter(|s| !s.is_blank()) else { continue };
        let before = seen.entry((name_key(piece), size)).or_default();
        if let Some(other) = before.iter().find(|p| same(p, piece)) {
            let line = sheet.opened.drawing.line(sheet.opened.drawing.blocks[other.block].whole.start);
            let message = format!(
                "the piece is there twice in this size: in block '{}' (line {line}) and in block '{}'; take one out, or \
                 name them left and right if that is what they are",
                other.block_name, piece.block_name
            );
            findings.push(sheet.at_block(Finding::error(FindingId::SizeTwice, message), piece));
        }
        before.push(piece);
    }
    findings
}

fn same(a: &Piece, b: &Piece) -> bool {
    let sides = (side(a), side(b));
    let pair = matches!(sides, (Some(a), Some(b)) if a != b);
    let key = |p: &Piece| p.labels.material.as_ref().map(|m| m.trim().to_lowercase());
    let other_material = matches!((key(a), key(b)), (Some(a), Some(b)) if a != b);
    !pair && !other_material
}
