//! # What it finds
//! A cut line or sew line that does not close, or a piece without any outline to cut by.
//! # Why it matters on the cutting table
//! The knife leaves the piece through the gap, or the piece is left out of the marker.
//! # How it is measured
//! Lines of one layer whose ends meet are joined; a line that still has two ends is open. An open sew line is no outline if
//! it lies beside a closed cut line and is shorter than half of it; the same holds for a further open line on the cut layer,
//! which is noted. Lengths are compared rather than areas, because the sew line of a narrow band encloses much less than its
//! cut line.
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

/// An open line counts as an outline if it has at least this share of the outline's length; a straight line across a piece
/// never has.
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

/// The length of a line, including its closing edge if it is closed.
fn length(path: &Path) -> f64 {
    let points = &path.points;
    let closing = if path.closed { (points[0] - points[points.len() - 1]).hypot() } else { 0.0 };
    line::length(points) + closing
}

/// The note for an open line that lies on the outline's layer beside the outline.
fn further(name: &str) -> Finding {
    let message = format!(
        "a further line of the {name}'s layer does not close; if it is not to be cut, put it on the layer of internal lines (8)"
    );
    Finding::note(FindingId::OpenOutline, message)
}

/// The finding for an outline whose ends are `gap` mm apart.
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

/// The finding for a piece without a cut line.
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
