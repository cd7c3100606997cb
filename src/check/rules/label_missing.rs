//! # What it finds
//! A piece that lacks its name, size, quantity or material, or has one of these texts left empty.
//! # Why it matters on the cutting table
//! The marker maker cannot tell which piece to lay how often and in which fabric, and the sewer cannot tell the pieces apart.
//! # How it is measured
//! The block has to have the texts `Piece Name:`, `Size:`, `Quantity:` and `Material:`, in any case and with any blanks; the
//! quantity has to be a number above 0.
//! # Tolerance
//! None.
//! # Where the tolerance comes from
//! ASTM D6673 lists the texts (from memory).

use super::{Look, Rule};
use crate::check::sheet::Sheet;
use crate::finding::{Finding, FindingId};
use crate::pattern::Piece;

/// The check.
pub const RULE: Rule = Rule {
    name: "label-missing",
    right: "Every piece says its name, size, quantity and material.",
    lengths: false,
    of_legs: false,
    look: Look::Piece(find),
};

fn find(sheet: &Sheet<'_>, piece: &Piece) -> Vec<Finding> {
    let l = &piece.labels;
    let texts =
        [("Piece Name", &l.name), ("Size", &l.size), ("Quantity", &l.quantity), ("Material", &l.material)];
    let error = |message: String| sheet.at_block(Finding::error(FindingId::LabelMissing, message), piece);
    let plain = sheet.opened.drawing.blocks[piece.block].is_plain();
    let holder = if plain { "the outline of" } else { "the block" };
    let mut findings: Vec<Finding> = texts
        .iter()
        .filter(|(_, value)| value.as_ref().is_none_or(|v| v.trim().is_empty()))
        .map(|(key, value)| {
            let how = if value.is_some() { "is empty" } else { "is missing" };
            error(format!("the text '{key}:' {how}; put it on layer 1 in {holder} '{}'", piece.block_name))
        })
        .collect();
    if let Some(quantity) = l.quantity.as_deref().filter(|q| !q.trim().is_empty() && !is_count(q)) {
        findings.push(error(format!(
            "'Quantity: {quantity}' is no number of pieces; say how many are to be cut"
        )));
    }
    findings
}

/// Whether a text holds a number above 0.
pub fn is_count(text: &str) -> bool {
    text.split(|c: char| !c.is_ascii_digit()).any(|digits| digits.bytes().any(|d| d != b'0'))
}
