//! The grade rule table: how far each numbered point of the sample size lies from itself in every other size.
//!
//! The deltas are those of the drawing in its usual form, taken between coordinates as written, so the table gives the nest
//! back to the last digit.

use crate::piece::Piece;
use crate::scenario::{RULE_TABLE, SAMPLE_SIZE, size_text};
use crate::style::Style;
use kurbo::{Point, Vec2};
use std::collections::BTreeMap;
use std::fmt::Write as _;

/// Place of each numbered point in each size, sizes in the order given.
type Places = BTreeMap<u32, Vec<Point>>;

fn places(pieces: &[Piece], sizes: &[f64]) -> Places {
    let mut places = Places::new();
    for size in sizes {
        for piece in pieces.iter().filter(|p| p.size.to_bits() == size.to_bits()) {
            for spot in piece.graded() {
                let at = Style::USUAL.point(spot.at);
                places.entry(spot.rule).or_default().push(at);
            }
        }
    }
    places
}

/// The table in the standard's form.
pub fn table(pieces: &[Piece], sizes: &[f64]) -> String {
    let names: Vec<String> = sizes.iter().map(|&s| size_text(s)).collect();
    let mut out = format!(
        "UNITS: METRIC\r\nGRADE RULE TABLE: {RULE_TABLE}\r\nSAMPLE SIZE: {}\r\nNUMBER OF SIZES: {}\r\nSIZE LIST: {}\r\n",
        size_text(SAMPLE_SIZE),
        sizes.len(),
        names.join(" ")
    );
    for (rule, row) in places(pieces, sizes) {
        let _ = write!(out, "RULE: DELTA {rule}\r\n");
        let deltas: Vec<String> = deltas(&row, sizes).iter().map(delta_text).collect();
        let _ = write!(out, "{}\r\n", deltas.join("  "));
    }
    out += "END\r\n";
    out
}

fn deltas(row: &[Point], sizes: &[f64]) -> Vec<Vec2> {
    let base =
        sizes.iter().position(|s| s.to_bits() == SAMPLE_SIZE.to_bits()).map_or(Point::ZERO, |i| row[i]);
    row.iter().map(|&p| p - base).collect()
}

fn delta_text(d: &Vec2) -> String {
    let plain = |v: f64| if v.abs() < 5e-5 { 0.0 } else { v };
    format!("{:.4},{:.4}", plain(d.x), plain(d.y))
}
