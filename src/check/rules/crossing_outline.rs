//! # What it finds
//! A cut line or sew line that crosses or touches itself.
//! # Why it matters on the cutting table
//! The knife cuts into the piece, and nesting by outlines fails or lays pieces over each other.
//! # How it is measured
//! Every edge of the outline is tested against every other one (intersections by exact predicates, `geo`). Points closer
//! together than the tolerance are taken for one point.
//! # Tolerance
//! `crossing`, 0.05 mm.
//! # Where the tolerance comes from
//! Exports round to 0.01 mm or to 0.001 in (common practice, no source), which produces smaller loops.

use super::{Look, Rule};
use crate::check::sheet::Sheet;
use crate::finding::{Finding, FindingId};
use crate::geometry::{crossing::Crossing, crossing::crossing};
use crate::pattern::{LayerUse, Piece};
use kurbo::Point;

/// The check.
pub const RULE: Rule = Rule {
    name: "crossing-outline",
    right: "No outline crosses or touches itself.",
    lengths: false,
    of_legs: false,
    look: Look::Piece(find),
};

fn find(sheet: &Sheet<'_>, piece: &Piece) -> Vec<Finding> {
    let mut findings = Vec::new();
    for (layer_use, name) in [(LayerUse::Cut, "cut line"), (LayerUse::Sew, "sew line")] {
        let Some(path) = piece.outline(layer_use) else { continue };
        let kept = apart(&path.points, sheet.tolerance.crossing.0);
        let points: Vec<Point> = kept.iter().map(|&i| path.points[i]).collect();
        let (i, at, what) = match crossing(&points) {
            Crossing::None => continue,
            Crossing::At(i, _, at) => (i, at, "crosses or touches itself; take the loop out"),
            Crossing::Untold => (
                0,
                points[0],
                "runs to and fro beside itself so often that it cannot be told whether it crosses itself; draw it once round",
            ),
        };
        let message = format!("the {name} {what}");
        findings.push(sheet.on_path(
            Finding::error(FindingId::CrossingOutline, message),
            piece,
            path,
            kept[i],
            at,
        ));
    }
    findings
}

/// The indices of the points that are at least this far from the point kept before them.
fn apart(points: &[Point], least: f64) -> Vec<usize> {
    let mut kept: Vec<usize> = Vec::with_capacity(points.len());
    for (i, p) in points.iter().enumerate() {
        if kept.last().is_none_or(|&k| (points[k] - *p).hypot() > least) {
            kept.push(i);
        }
    }
    while kept.len() > 1 && (points[kept[kept.len() - 1]] - points[kept[0]]).hypot() <= least {
        kept.pop();
    }
    kept
}
