//! # What it finds
//! A size whose step from its neighbouring sizes is out of line.
//! # Why it matters on the cutting table
//! A size is cut that fits nobody who wears it: a rule was mistyped, or a piece carries another's size.
//! # How it is measured
//! For front and back leg: waist, outseam, hem, and the length from the waist over the fork to the hem (crotch seam and
//! inseam together). For every other piece: length along the grain, width across it, and the length of the outline. Each is
//! compared from size to size ([`crate::check::steps`]).
//!
//! A crotch seam that was altered in one size only is out of line because this was asked for. A slide adds to the inseam what
//! it takes from the crotch seam, so the length over the fork stays the same; carrying a fork outwards or raising a centre
//! waist lengthens it on one of the two pieces. So that length is an error only where it is out of line on both pieces; a
//! crotch length, or a length over the fork that is out of line on one piece, is noted.
//! # Tolerance
//! `grade_step`, 3.2 mm, and `grade_share`, half the usual step.
//! # Where the tolerance comes from
//! Grade rules are rounded to 1/8 in; runs of sizes that grow by 1 1/2 in and from some size on by 2 in are usual
//! (from memory).

use super::{Look, Rule};
use crate::check::sheet::{Sheet, boundary};
use crate::check::size_order;
use crate::check::steps::{self, Off};
use crate::finding::{Finding, FindingId, Severity};
use crate::geometry::line;
use crate::pattern::Piece;
use crate::seam::{LegPiece, Pair, Part, SeamRole};
use crate::units::plain;
use kurbo::Vec2;

/// The check.
pub const RULE: Rule = Rule {
    name: "grade-step",
    right: "Lengths and widths grow evenly from size to size.",
    lengths: true,
    of_legs: false,
    look: Look::Drawing(find),
};

fn find(sheet: &Sheet<'_>) -> Vec<Finding> {
    let mut findings = legs(sheet);
    for nest in &sheet.nests {
        for run in nest.runs() {
            let others: Vec<(f64, &Piece)> = run.into_iter().filter(|(_, p)| !sheet.is_leg(p)).collect();
            for (name, measure) in
                [("length", length as fn(&Piece) -> Option<f64>), ("width", width), ("outline", outline)]
            {
                let values: Vec<(f64, &Piece, f64)> =
                    others.iter().filter_map(|&(at, p)| Some((at, p, measure(p)?))).collect();
                for off in off_line(sheet, values.iter().map(|v| (v.0, v.2))) {
                    let piece = values[off.index].1;
                    findings.push(sheet.at_block(finding(name, off, Severity::Error), piece));
                }
            }
        }
    }
    findings
}

/// The sizes of a run that are out of line; each value has the place of its size in the run.
fn off_line(sheet: &Sheet<'_>, values: impl Iterator<Item = (f64, f64)>) -> Vec<Off> {
    let (at, values): (Vec<f64>, Vec<f64>) = values.unzip();
    steps::out_of_line(&at, &values, sheet.tolerance.grade_step.0, sheet.tolerance.grade_share.factor())
}

fn finding(name: &str, off: Off, severity: Severity) -> Finding {
    let way = if off.by > 0.0 { "too large" } else { "too small" };
    let remedy = if severity == Severity::Note {
        "right where it was altered so"
    } else {
        "check the grade rules and the size text of this piece"
    };
    let step = if off.index == 0 { "the step to the size after" } else { "the step from the size before" };
    let mm = |value: f64| format!("{} mm", plain(value, 1));
    Finding::new(
        FindingId::GradeStep,
        severity,
        format!(
            "the {name} is {} {way} to be in line with the sizes beside it: {step} is {} where about {} is usual; {remedy}",
            mm(off.by.abs()),
            mm(off.step),
            mm(off.usual)
        ),
    )
}

/// The two legs of a size, and the place of the size in its run.
type Ranked<'s> = (f64, Pair<&'s LegPiece<'s>>);

fn legs(sheet: &Sheet<'_>) -> Vec<Finding> {
    let mut runs: Vec<(String, Vec<Ranked<'_>>)> = Vec::new();
    for (size, pair) in sheet.pairs() {
        let Some(rank) = size_order::rank(&size.name) else { continue };
        match runs.iter_mut().find(|(run, _)| *run == rank.run) {
            Some((_, list)) => list.push((rank.at, pair)),
            None => runs.push((rank.run, vec![(rank.at, pair)])),
        }
    }
    let mut findings = Vec::new();
    for (_, mut run) in runs {
        run.sort_by(|a, b| a.0.total_cmp(&b.0));
        of_run(sheet, &run, &mut findings);
    }
    findings
}

fn of_run(sheet: &Sheet<'_>, run: &[Ranked<'_>], findings: &mut Vec<Finding>) {
    let length = |leg: &LegPiece<'_>, role: SeamRole| leg.length(role).0;
    let of_pair = |measure: &dyn Fn(&Pair<&LegPiece<'_>>) -> f64| {
        off_line(sheet, run.iter().map(|(rank, pair)| (*rank, measure(pair))))
    };
    let of = |part: Part, measure: &dyn Fn(&LegPiece<'_>) -> f64| of_pair(&|pair| measure(pair.of(part)));
    for role in [SeamRole::Waist, SeamRole::Outseam, SeamRole::Hem] {
        let at = |leg: &LegPiece<'_>| *leg.leg.range(role).start();
        for part in Part::ALL {
            for off in of(part, &|leg| length(leg, role)) {
                let leg = run[off.index].1.of(part);
                findings.push(sheet.on_leg(finding(role.as_str(), off, Severity::Error), leg, at(leg)));
            }
        }
    }
    let way = |leg: &LegPiece<'_>| length(leg, SeamRole::Crotch) + length(leg, SeamRole::Inseam);
    let offs = Pair { front: of(Part::Front, &way), back: of(Part::Back, &way) };
    for part in Part::ALL {
        for &off in offs.of(part) {
            let both = offs.of(part.other()).iter().any(|o| o.index == off.index && o.by * off.by > 0.0);
            let severity = if both { Severity::Error } else { Severity::Note };
            let leg = run[off.index].1.of(part);
            let what = "crotch seam and inseam together";
            findings.push(sheet.on_leg(finding(what, off, severity), leg, leg.leg.fork));
        }
    }
    for off in of_pair(&|pair| pair.iter().map(|leg| length(leg, SeamRole::Crotch)).sum()) {
        let leg = run[off.index].1.back;
        findings.push(sheet.on_leg(finding("crotch length", off, Severity::Note), leg, leg.leg.fork));
    }
}

/// The extent of a piece in a direction.
fn extent(piece: &Piece, direction: Vec2) -> Option<f64> {
    let along = boundary(piece)?.points.iter().map(|p| p.to_vec2().dot(direction));
    let (low, high) = along.fold((f64::MAX, f64::MIN), |(a, b), v| (a.min(v), b.max(v)));
    Some(high - low)
}

fn length(piece: &Piece) -> Option<f64> {
    extent(piece, piece.grain()?)
}

fn width(piece: &Piece) -> Option<f64> {
    let grain = piece.grain()?;
    extent(piece, Vec2::new(-grain.y, grain.x))
}

fn outline(piece: &Piece) -> Option<f64> {
    let points = &boundary(piece)?.points;
    Some(line::length(points) + (points[0] - points[points.len() - 1]).hypot())
}
