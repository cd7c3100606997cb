//! # What it finds
//! A notch that does not stand on an edge.
//! # Why it matters on the cutting table
//! The knife does not cut it, or cuts a hole into the piece.
//! # How it is measured
//! The distance of the notch from the cut line or the sew line, whichever is nearer. For a slit drawn as a line, its nearest
//! point counts.
//! # Tolerance
//! `notch_edge`, 1 mm.
//! # Where the tolerance comes from
//! A notch may be drawn on a curve for which the outline has chords (common practice, no source).

use super::{Look, Rule, walk};
use crate::check::sheet::Sheet;
use crate::finding::{Finding, FindingId};
use crate::geometry::Segments;
use crate::pattern::{LayerUse, MarkKind, Path, Piece};
use kurbo::Point;

/// The check.
pub const RULE: Rule = Rule {
    name: "notch-off-edge",
    right: "Every notch stands on an edge.",
    lengths: true,
    of_legs: false,
    look: Look::Piece(find),
};

fn find(sheet: &Sheet<'_>, piece: &Piece) -> Vec<Finding> {
    let edges: Vec<&Path> =
        [LayerUse::Cut, LayerUse::Sew].into_iter().flat_map(|u| piece.paths_of(u)).collect();
    if edges.is_empty() {
        return Vec::new();
    }
    let segments: Vec<Segments> = edges.iter().map(|e| Segments::of(&e.points, e.closed)).collect();
    let away = |p: Point| segments.iter().map(|e| e.distance(p)).fold(f64::INFINITY, f64::min);
    let most = sheet.tolerance.notch_edge.0;
    let error = |away: f64| {
        Finding::error(
            FindingId::NotchOffEdge,
            format!("a notch stands {away:.2} mm from the nearest edge of its piece; put it on the edge"),
        )
    };
    let mut findings = Vec::new();
    for mark in piece.marks.iter().filter(|m| matches!(m.kind, MarkKind::Notch { .. })) {
        let off = away(mark.at);
        if off > most {
            findings.push(sheet.at_offset(error(off), piece, mark.at, mark.place.x.start));
        }
    }
    for slit in piece.paths_of(LayerUse::Notch) {
        let nearest = slit.points.iter().map(|&p| away(p)).fold(f64::INFINITY, f64::min);
        let crosses = slit.points.windows(2).any(|w| segments.iter().any(|e| walk::meets(e, w[0], w[1])));
        if nearest > most && !crosses {
            findings.push(sheet.on_path(error(nearest), piece, slit, 0, slit.points[0]));
        }
    }
    findings
}
