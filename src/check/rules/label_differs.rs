//! # What it finds
//! A size whose quantity, material or category differs from the other sizes of the piece.
//! # Why it matters on the cutting table
//! In that size too many or too few pieces are cut, or they are cut in another fabric.
//! # How it is measured
//! The texts `Material:` and `Category:` of the pieces of one name are compared without regard to case and blanks; of
//! `Quantity:` only the numbers are compared (`2 (pair)` is `2`). A value that holds for several sizes in sequence (belt
//! loops: five in small sizes, seven in large ones) is graded, and noted; for a fabric this is a warning.
//! # Tolerance
//! None.
//! # Where the tolerance comes from
//! Common practice, no source: a piece is cut the same number of times and in the same fabric in every size.

use super::label_missing::is_count;
use super::{Look, Rule};
use crate::check::sheet::{Nest, OfSize, Sheet};
use crate::check::unlike::{Unlike, through};
use crate::finding::{Finding, FindingId};
use crate::pattern::{Labels, Piece, SizeName};
use crate::words::{escaped, listed};

/// The check.
pub const RULE: Rule = Rule {
    name: "label-differs",
    right: "Quantity, material and category are alike in every size of a piece.",
    lengths: false,
    of_legs: false,
    look: Look::Drawing(find),
};

/// Picks one of the texts of a piece.
type Text = fn(&Labels) -> Option<&String>;

/// The part of a text that is compared; `None` where the text says nothing usable, which is reported without regard to other
/// sizes.
type Compared = fn(&str) -> Option<String>;

fn find(sheet: &Sheet<'_>) -> Vec<Finding> {
    let texts: [(&str, Text, Compared); 3] = [
        ("Quantity", |l| l.quantity.as_ref(), numbers),
        ("Material", |l| l.material.as_ref(), plain),
        ("Category", |l| l.category.as_ref(), plain),
    ];
    let mut findings = Vec::new();
    for sizes in sheet.nests.iter().map(Nest::by_size) {
        findings.extend(texts.iter().flat_map(|&(key, text, of)| of_text(sheet, &sizes, key, text, of)));
    }
    findings
}

fn of_text(
    sheet: &Sheet<'_>,
    sizes: &[OfSize<'_>],
    key: &str,
    text: Text,
    compared: Compared,
) -> Vec<Finding> {
    let said = |p: &Piece| compared(text(&p.labels)?);
    let all: Vec<(&SizeName, &[&Piece], Vec<String>)> = sizes
        .iter()
        .filter_map(|(size, pieces)| {
            let mut values = pieces.iter().map(|p| said(p)).collect::<Option<Vec<_>>>()?;
            // Two pieces of one name in the same size may be cut in two fabrics.
            values.sort_unstable();
            Some((*size, &pieces[..], values))
        })
        .collect();
    let values: Vec<&Vec<String>> = all.iter().map(|a| &a.2).collect();
    let shown = |i: usize| {
        let texts = all[i].1.iter().filter_map(|p| text(&p.labels)).map(|t| escaped(t.trim()));
        texts.collect::<Vec<_>>().join(" and ")
    };
    let steps = |from: &[usize]| {
        let step = |&i: &usize| format!("'{}' from size {} on", shown(i), escaped(all[i].0.as_str()));
        from.iter().map(step).collect::<Vec<_>>().join(", ")
    };
    let names: Vec<&SizeName> = all.iter().map(|a| a.0).collect();
    let found = |unlike| match unlike {
        Unlike::Alike => Vec::new(),
        Unlike::Odd(odd, usual) => odd
            .into_iter()
            .map(|i| {
                let others = all.iter().filter(|a| a.2 == all[usual].2).map(|a| a.0.as_str());
                let message = format!(
                    "'{key}: {}' in this size, and '{}' in {}; put right the text that is wrong",
                    shown(i),
                    shown(usual),
                    listed(others)
                );
                sheet.at_block(Finding::error(FindingId::LabelDiffers, message), all[i].1[0])
            })
            .collect(),
        Unlike::Graded(from) => {
            let message =
                format!("'{key}:' changes with the size: {}; right where it is meant so", steps(&from));
            let counted = key == "Quantity";
            let finding = if counted { Finding::note } else { Finding::warning };
            vec![sheet.at_block(finding(FindingId::LabelDiffers, message), all[0].1[0])]
        }
        Unlike::Mixed(from) => {
            let message = format!(
                "'{key}:' goes to and fro with the size: {}; put right the texts that are wrong",
                steps(&from)
            );
            vec![sheet.at_block(Finding::warning(FindingId::LabelDiffers, message), all[0].1[0])]
        }
    };
    through(&names, &values).into_iter().flat_map(found).collect()
}

/// A text in lower case without blanks.
fn plain(text: &str) -> Option<String> {
    let plain: String = text.chars().filter(|c| !c.is_whitespace()).flat_map(char::to_lowercase).collect();
    Some(plain).filter(|t| !t.is_empty())
}

/// The numbers in a quantity.
fn numbers(text: &str) -> Option<String> {
    let numbers: Vec<&str> = text
        .split(|c: char| !c.is_ascii_digit())
        .map(|n| n.trim_start_matches('0'))
        .filter(|n| !n.is_empty())
        .collect();
    Some(numbers.join(" ")).filter(|_| is_count(text))
}
