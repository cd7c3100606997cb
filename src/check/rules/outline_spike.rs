//! # What it finds
//! A spike or a dent in a cut line or sew line: a point that juts out from the run of the line.
//! # Why it matters on the cutting table
//! The knife follows it: the edge is notched or has a tooth, and the seam is sewn with a pucker.
//! # How it is measured
//! The line is simplified by leaving out whatever is less than a quarter of a millimetre off its chords. Then every corner is
//! looked at that turns one way between two corners that turn back, so that the line goes on as before, and its distance from
//! the line between these two is measured. A spike that the other sizes have as well is the piece's own form (a notch cut
//! into the outline, the peak above a dart). In a piece without other sizes only a spike smaller than any notch counts.
//! # Tolerance
//! `spike`, 1 mm.
//! # Where the tolerance comes from
//! 1/32 in, as for the allowance along an edge; notches are 1/8 in deep and more (common practice, no source).

use super::{Look, Rule};
use crate::check::sheet::{Nest, Sheet};
use crate::finding::{Finding, FindingId};
use crate::geometry::{corners, edge};
use crate::pattern::{LayerUse, Path, Piece};
use kurbo::Point;
use rayon::prelude::*;

/// The check.
pub const RULE: Rule = Rule {
    name: "outline-spike",
    right: "No outline has a spike or a dent.",
    lengths: true,
    of_legs: false,
    look: Look::Drawing(find),
};

/// What is less than this far, in mm, off the chords of a line comes from the way its curves are drawn.
const DRAWN: f64 = 0.25;

/// The least turn of the line at a spike, in degrees: on the widest foot a spike of the accepted height turns by 9.
const TURNS: f64 = 8.0;

/// The most, in degrees, by which the direction of the line behind a spike may differ from that before it.
const GOES_ON: f64 = 20.0;

/// The widest foot of a spike, in mm: one vertex out of place on a curve with vertices every 12 mm.
const FOOT: f64 = 25.0;

/// Every notch is deeper than this, in mm.
const NOTCH: f64 = 2.6;

/// In the other sizes the same spike may be smaller or turn less by this factor, or be wider by its inverse.
const ALIKE: f64 = 0.6;

/// A spike: its vertex in the outline, its height, and the width of its foot, in mm.
#[derive(Clone, Copy, Debug)]
struct Spike {
    vertex: usize,
    height: f64,
    foot: f64,
}

fn find(sheet: &Sheet<'_>) -> Vec<Finding> {
    let sized = sheet.nests.iter().flat_map(Nest::runs).map(|run| run.into_iter().map(|(_, p)| p).collect());
    let ranked: Vec<Vec<&Piece>> = sized.collect();
    let known: std::collections::HashSet<usize> = ranked.iter().flatten().map(|p| p.block).collect();
    let rest = sheet.pieces.iter().filter(|p| !known.contains(&p.block)).map(|p| vec![*p]);
    let groups: Vec<Vec<&Piece>> = ranked.iter().cloned().chain(rest).collect();
    groups.par_iter().flat_map_iter(|pieces| of_nest(sheet, pieces)).collect()
}

fn of_nest(sheet: &Sheet<'_>, pieces: &[&Piece]) -> Vec<Finding> {
    let mut findings = Vec::new();
    for (layer_use, name) in [(LayerUse::Cut, "cut line"), (LayerUse::Sew, "sew line")] {
        let lines: Vec<(&Piece, &Path, Vec<Spike>)> = pieces
            .iter()
            .filter_map(|p| {
                let path = p.outline(layer_use)?;
                Some((*p, path, spikes(&path.points, sheet.tolerance.spike.0 * ALIKE, ALIKE)))
            })
            .collect();
        for (i, (piece, path, own)) in lines.iter().enumerate() {
            let strict = spikes(&path.points, sheet.tolerance.spike.0, 1.0);
            for spike in strict.iter().filter(|s| of_one_size(s, own, &lines, i)) {
                let compared = if lines.len() > 1 { " that the other sizes do not have" } else { "" };
                let message = format!(
                    "the {name} has a spike or dent of {:.1} mm here{compared}; take the point out",
                    spike.height
                );
                let finding = Finding::error(FindingId::OutlineSpike, message);
                findings.push(sheet.on_path(finding, piece, path, spike.vertex, path.points[spike.vertex]));
            }
        }
    }
    findings
}

/// Whether a spike belongs to this size only and not to the piece's own form.
fn of_one_size(spike: &Spike, own: &[Spike], lines: &[(&Piece, &Path, Vec<Spike>)], i: usize) -> bool {
    // The neighbouring sizes are searched for spikes of about the same height: where each of them has fewer than this size,
    // the spike is this size's own.
    let like = |s: &&Spike| s.height >= ALIKE * spike.height && s.height <= spike.height / ALIKE;
    let count = |spikes: &[Spike]| spikes.iter().filter(like).count();
    if lines.len() == 1 {
        return spike.height < NOTCH && spike.foot <= 2.0 * spike.height && count(own) == 1;
    }
    let beside = [i.checked_sub(1), Some(i + 1), i.checked_sub(2), Some(i + 2)];
    let beside = beside.into_iter().flatten().filter_map(|j| lines.get(j)).take(2);
    beside.into_iter().all(|(.., others)| count(others) < count(own))
}

/// The spikes of a closed line that are at least `least` high. Their turn has to be at least `share` of the least turn.
fn spikes(points: &[Point], least: f64, share: f64) -> Vec<Spike> {
    let kept = kept(points);
    let line: Vec<Point> = kept.iter().map(|&i| points[i]).collect();
    let n = line.len();
    if n < 5 {
        return Vec::new();
    }
    let turns = corners::turns_of_edges(&line);
    let spike = |i: usize| {
        let (before, after) = ((i + n - 1) % n, (i + 1) % n);
        let (a, b, c) = (turns[before], turns[i], turns[after]);
        let foot = (line[after] - line[before]).hypot();
        let height = edge::nearest(line[before], line[after], line[i]).1;
        let back = a * b < 0.0 && c * b < 0.0 && (a + b + c).abs() <= GOES_ON / share;
        (back && b.abs() >= TURNS * share && foot <= FOOT / share && height > least).then_some(Spike {
            vertex: kept[i],
            height,
            foot,
        })
    };
    (0..n).filter_map(spike).collect()
}

/// The points of a closed line that it cannot do without: all others are less than [`DRAWN`] off the chords (D. Douglas, T.
/// Peucker, *Cartographica* 10 (1973), 112–122).
fn kept(points: &[Point]) -> Vec<usize> {
    let n = points.len();
    if n < 5 {
        return (0..n).collect();
    }
    // Two points that are certainly kept: an extreme one, and the one furthest from it.
    let first = (0..n).fold(0, |best, i| if points[i].x < points[best].x { i } else { best });
    let far = |i: usize| (points[i] - points[first]).hypot2();
    let second = (0..n).fold(first, |best, i| if far(i) > far(best) { i } else { best });
    let mut keep = vec![false; n];
    (keep[first], keep[second]) = (true, true);
    let mut open = vec![(first, second), (second, first)];
    // The work is limited, so that a line that is halved badly at every step takes no longer than others.
    let mut left = 200 * n;
    while let Some((from, to)) = open.pop() {
        let count = (to + n - from) % n;
        let Some(still) = left.checked_sub(count) else { break };
        left = still;
        let off = |k: usize| edge::nearest(points[from], points[to], points[(from + k) % n]).1;
        let furthest = (1..count).map(|k| (k, off(k))).max_by(|a, b| a.1.total_cmp(&b.1));
        if let Some((k, away)) = furthest
            && away > DRAWN
        {
            let middle = (from + k) % n;
            keep[middle] = true;
            open.extend([(from, middle), (middle, to)]);
        }
    }
    (0..n).filter(|&i| keep[i]).collect()
}
