//! # What it finds
//! A seam allowance that changes along its edge, or that in one size differs from the other sizes.
//! # Why it matters on the cutting table
//! The sewer follows the cut edge: the seam comes out in the wrong place, and the piece too wide or too narrow.
//! # How it is measured
//! The distance between sew line and cut line is taken every 6 mm and at every vertex of both lines, along each edge between
//! two corners, away from the corners. An allowance that steps to another constant width towards one end (a grown-on fly) is
//! accepted, unless the other sizes lack it; one that widens steadily towards one end, and alike in every size, is an outlet, and
//! noted. Without other sizes to tell, an outlet is wider by 6 mm, and nowhere narrower than the narrowest of the piece's other edges.
//! # Tolerance
//! `allowance`, 1 mm.
//! # Where the tolerance comes from
//! 1/32 in: a quarter of what one sees when sewing along the guide of a machine (common practice, no source).

use super::profile::{self, Profile, Sample, Shape};
use super::{Look, Rule};
use crate::check::sheet::Sheet;
use crate::check::steps::median;
use crate::finding::{Finding, FindingId, Severity};
use crate::pattern::{Piece, SizeName};
use crate::units::against;
use rayon::prelude::*;

/// The check.
pub const RULE: Rule = Rule {
    name: "allowance-uneven",
    right: "The seam allowance keeps its width along every edge and from size to size.",
    lengths: true,
    of_legs: false,
    look: Look::Drawing(find),
};

/// Where there are no other sizes to tell, an outlet is wider at one end by at least this, in mm: 1/4 in, since less is not worth
/// letting out (common practice, no source).
const OUTLET: f64 = 6.0;

fn find(sheet: &Sheet<'_>) -> Vec<Finding> {
    let sized = sheet.nests.iter().map(|n| n.pieces.clone());
    let unsized_pieces = sheet.pieces.iter().filter(|p| p.size.as_ref().is_none_or(SizeName::is_blank));
    let groups: Vec<Vec<&Piece>> = sized.chain(unsized_pieces.map(|p| vec![*p])).collect();
    groups.par_iter().flat_map_iter(|pieces| of_nest(sheet, pieces)).collect()
}

/// Checks the pieces of one name.
fn of_nest(sheet: &Sheet<'_>, pieces: &[&Piece]) -> Vec<Finding> {
    let within = sheet.tolerance.allowance.0;
    let all: Vec<(&Piece, Vec<Profile>)> =
        pieces.par_iter().filter_map(|p| Some((*p, profile::of(p)?))).collect();
    let mut findings = Vec::new();
    for (k, (piece, profiles)) in all.iter().enumerate() {
        let rest = all.iter().enumerate().filter(|(j, _)| *j != k).map(|(_, (_, p))| p);
        let alike: Vec<(&Vec<Profile>, Vec<usize>)> =
            rest.filter_map(|p| Some((p, profile::matched(profiles, p)?))).collect();
        for (e, own) in profiles.iter().enumerate().filter(|(_, p)| !p.samples.is_empty()) {
            let same = alike.iter().map(|(p, edges)| &p[edges[e]]);
            let others: Vec<&Profile> = same.filter(|p| !p.samples.is_empty()).collect();
            let least = rest_of(profiles, e).fold(f64::INFINITY, f64::min);
            findings.extend(one(own, &others, least, within).map(|(severity, sample, message)| {
                let finding = Finding::new(FindingId::AllowanceUneven, severity, message);
                match piece.outline(sample.layer_use) {
                    Some(path) => sheet.on_path(finding, piece, path, sample.vertex, sample.place),
                    None => sheet.at_block(finding, piece),
                }
            }));
        }
    }
    findings
}

/// The usual allowances of the other edges of a piece.
fn rest_of(profiles: &[Profile], edge: usize) -> impl Iterator<Item = f64> {
    let rest = profiles.iter().enumerate().filter(move |(k, p)| *k != edge && !p.samples.is_empty());
    rest.map(|(_, p)| p.base)
}

/// What is to be said of one edge: the severity, the place and the message. `others` is the same edge in other sizes, `least` the
/// narrowest of the piece's other edges.
fn one<'p>(
    own: &'p Profile,
    others: &[&Profile],
    least: f64,
    within: f64,
) -> Option<(Severity, &'p Sample, String)> {
    let shapes: Vec<Shape> = others.iter().map(|p| p.shape(within)).collect();
    let middle = own.samples.get(own.samples.len() / 2)?;
    let base = median(&others.iter().map(|p| p.base).collect::<Vec<_>>());
    if others.len() >= 2 && (own.base - base).abs() > within {
        let (here, there) = (against(own.base, base, 2).0, against(base, own.base, 2).0);
        let message = format!(
            "the seam allowance is {here} mm along this edge and {there} mm in the other sizes; make them alike"
        );
        return Some((Severity::Error, middle, message));
    }
    match own.shape(within) {
        Shape::Even => None,
        Shape::Step => {
            let lacking = shapes.iter().filter(|s| **s == Shape::Even).count();
            (lacking > 0 && 2 * lacking >= shapes.len()).then(|| {
                let message = "the seam allowance changes to another along this edge, and does not in the other sizes; \
                               redraw the cut line";
                (Severity::Error, &own.samples[own.samples.len() - 1], message.to_owned())
            })
        }
        Shape::Taper(change) => {
            // Where one size is measured up to some mm nearer to the corner than another, it is wider by some of that: by one step
            // and half the difference of the widths beside the corner, of an outlet some 100 mm long.
            let most = within.max(change.abs() / 5.0);
            let alike = |s: &Shape| matches!(s, Shape::Taper(other) if (other - change).abs() <= most);
            let in_all = shapes.iter().all(alike);
            let wide = change.abs() >= OUTLET && own.narrowest() >= least - within;
            let outlet = in_all && (shapes.len() >= 2 || wide);
            let severity = if outlet { Severity::Note } else { Severity::Error };
            let remedy = match (outlet, shapes.is_empty()) {
                (true, true) => "an outlet, if it is meant",
                (true, false) => "an outlet, as in every size",
                (false, _) => "redraw the cut line at one distance",
            };
            let (by, most) = against(change.abs(), within, 2);
            let message = format!(
                "the seam allowance changes steadily by {by} mm along this edge (at most {most} mm); {remedy}"
            );
            Some((severity, middle, message))
        }
        Shape::Bump(i, off) => {
            let sample = &own.samples[i];
            let (off, most) = against(off.abs(), within, 2);
            let message = format!(
                "the seam allowance is {:.2} mm here and {:.2} mm along the rest of the edge ({off} mm off, at most \
                 {most} mm); redraw the cut line at one distance from the sew line",
                sample.allowance, own.base
            );
            Some((Severity::Error, sample, message))
        }
    }
}
