//! # What it finds
//! A cut line or sew line that does not close, or a piece without any outline to cut by.
//! # Why it matters on the cutting table
//! The knife leaves the piece through the gap, or the piece is left out of the marker.
//! # How it is measured
//! Lines of one layer whose ends meet are put together; what then has two ends is open. A stretch of
//! sew line beside a cut line that closes, shorter than half of it, is no outline, nor is such a further
//! line on the cut layer; the latter is noted. Lengths are compared, not areas: the sew line of a narrow
//! band goes around much less than its cut line.
//! # Tolerance
//! `gap`, 0.05 mm.
//! # Where the tolerance comes from
//! Exports round to 0.01 mm or to 0.001 in (common practice, no source).

use super::{Look, Rule};
use crate::check::sheet::Sheet;
use crate::finding::{Finding, FindingId};
use crate::geometry::line;
use crate::pattern::{LayerUse, Path, Piece};
use crate::units::plain;

/// The check.
pub const RULE: Rule = Rule {
    name: "open-outline",
    right: "Every outline is closed.",
    lengths: false,
    of_legs: false,
    look: Look::Piece(find),
};

/// The share of an outline's length that an open line has to have to be meant as an outline: a straight one
/// across a piece never has it.
const OUTLINE: f64 = 0.5;

fn find(sheet: &Sheet<'_>, piece: &Piece) -> Vec<Finding> {
    let around = |layer_use| piece.outline(layer_use).map_or(0.0, length);
    let (cut, sew) = (around(LayerUse::Cut), around(LayerUse::Sew));
    let mut findings = Vec::new();
    for (layer_use, name, own) in [(LayerUse::Cut, "cut line", cut), (LayerUse::Sew, "sew line", sew)] {
        for path in piece.paths_of(layer_use).filter(|p| !p.closed) {
            let gap = (path.points[0] - path.points[path.points.len() - 1]).hypot();
            if path.points.len() > 2 && gap <= sheet.tolerance.gap.0 {
                continue;
            }
            let part = length(path) < OUTLINE * cut.max(sew);
            if layer_use == LayerUse::Sew && cut > 0.0 && part {
                continue;
            }
            let finding = if own > 0.0 && part { further(name) } else { open(name, gap, piece, path) };
            let last = path.points.len() - 1;
            findings.push(sheet.on_path(finding, piece, path, last, path.points[last]));
        }
    }
    findings.extend(uncut(piece).map(|finding| sheet.at_block(finding, piece)));
    findings
}

/// The length of a line, closed or not.
fn length(path: &Path) -> f64 {
    let points = &path.points;
    let closing = if path.closed { (points[0] - points[points.len() - 1]).hypot() } else { 0.0 };
    line::length(points) + closing
}

/// A line besides the outline on the outline's layer.
fn further(name: &str) -> Finding {
    let message = format!(
        "a further line of the {name}'s layer does not close; if it is not to be cut, put it on the layer of internal lines (8)"
    );
    Finding::note(FindingId::OpenOutline, message)
}

/// An outline whose ends are `gap` mm apart.
fn open(name: &str, gap: f64, piece: &Piece, path: &Path) -> Finding {
    let first = piece.drawn(path.points[0]);
    let message = format!(
        "the {name} does not close: it ends {} from its other end at ({}, {}); close it there",
        gap_text(gap, path),
        plain(first.x, 2),
        plain(first.y, 2)
    );
    Finding::error(FindingId::OpenOutline, message)
}

/// A piece without a cut line.
fn uncut(piece: &Piece) -> Option<Finding> {
    if piece.paths_of(LayerUse::Cut).next().is_some() {
        return None;
    }
    let message = if piece.paths_of(LayerUse::Sew).next().is_some() {
        "the piece has a sew line and no cut line (layer 1), so there is nothing to cut it by; draw its boundary"
    } else {
        "the piece has no outline; draw its boundary on layer 1, or name its layer under [layers] cut in the job file"
    };
    Some(Finding::error(FindingId::OpenOutline, message))
}

fn gap_text(gap: f64, path: &Path) -> String {
    if path.points.len() > 2 { format!("{gap:.2} mm") } else { format!("{gap:.2} mm, a single edge,") }
}
