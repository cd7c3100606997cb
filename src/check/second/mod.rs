//! Measures everything a second time before anything is altered: from the file's own text, by an independent reader (the
//! `dxf` crate), with formulas that share nothing with those of the first reading.
//!
//! Taken over from the first reading are the block, its scale, the layers of the line, and where the corners lie. How the
//! lines run and join, how long they are from corner to corner, and what area they enclose is found anew. Each corner has to
//! lie on the second line as well, and the ends of a fold on the line that it was read from.
//!
//! A cut line with allowances is measured as it is drawn, because the sew line derived from it is not a matter of reading.

mod fold;
mod lines;
mod outline;
mod rough;
mod trace;

#[cfg(test)]
mod tests;

use crate::dxf_text::Drawing;
use crate::finding::{Finding, FindingId};
use crate::geometry::line;
use crate::pattern::{LayerUse, Path, Piece, StrokePoint};
use crate::seam::{Leg, LegPiece, Pair, SeamRole, Size};
use crate::units::Mm;
use kurbo::Point;
use rayon::prelude::*;

pub use rough::rough;

/// How far apart, in mm, two readings of a length may be, and how far a corner may be off the line: ten times what the first
/// reading loses by using chords for curves. The areas may differ by a strip of this width along the whole line.
const WITHIN: f64 = 0.02;

/// How far, in mm, a point of the line may be off it by the second reading: the chords of a curve that bends over 10 mm, on which it
/// is looked for, are 0.05 mm off the curve. Lengths and areas hardly show a single point that is moved across the line.
const BESIDE: f64 = 0.1;

/// Ends this near, in mm, are one point, as in the first reading, unless that joined wider gaps.
const GAP: f64 = 0.05;

/// The sum, in degrees, of the angles at the fork of front and back, where the fork is a corner of both. It is 180° where the
/// joined curve is smooth; a curve that is off by more than 30° is no crotch curve that can be worn
/// (*common practice, no source*).
const ONE_CORNER: std::ops::RangeInclusive<f64> = 150.0..=210.0;

/// Measures every leg of a size a second time, where the size can be measured; the findings carry the size.
#[must_use]
pub fn reread(drawing: &Drawing<'_>, size: &Size<'_>) -> Vec<Finding> {
    if size.pair().is_none() {
        return Vec::new();
    }
    let legs: Vec<&LegPiece<'_>> = size.all_legs().collect();
    let found: Vec<Option<Finding>> = legs.par_iter().map(|on| leg(drawing, on)).collect();
    let mut findings: Vec<Finding> = Vec::new();
    for finding in found.into_iter().flatten().map(|f| f.size(size.name.to_string())) {
        // Front and back in one piece have their line in common.
        if !findings.contains(&finding) {
            findings.push(finding);
        }
    }
    findings
}

/// The finding for a fork whose angles in front and back do not join to a smooth curve. It is an error where the line of a
/// leg has its corner beside the place that was read as the fork. Where both legs do turn at the fork, the reading is right
/// and the curves are not true, which is a warning: coarse drafts of wide legs come to 235°.
#[must_use]
pub fn fork(size: &Size<'_>) -> Option<Finding> {
    let Pair { front, back } = size.pair()?;
    let (f, b) = (front.leg.fork_angle(), back.leg.fork_angle());
    if ONE_CORNER.contains(&(f + b)) {
        return None;
    }
    let sum = format!(
        "the angles at the fork add up to {:.1}° (front {f:.1}°, back {b:.1}°) in place of 180°",
        f + b
    );
    let (finding, on) = if let Some(on) = [front, back].into_iter().find(|on| !is_corner(&on.leg)) {
        let message = format!(
            "{sum}: the fork was read beside the corner of the line, so that rise and inseam are wrong. Mark the corner \
             with a turn point (layer 2) on its vertex, or put crotch seam and inseam on layers of their own ([layers])"
        );
        (Finding::error(FindingId::ForkAngle, message), on)
    } else {
        let message = format!(
            "{sum}: sewn together, the crotch curve has a corner. See that the two pieces belong together, and true the curves \
             with the inseams laid together"
        );
        (Finding::warning(FindingId::ForkAngle, message), back)
    };
    let at = on.piece.drawn(on.leg.fork_point());
    Some(finding.size(size.name.to_string()).about(on.piece).at(at))
}

/// Whether the fork is where the line turns: no vertex near by is further from the straight line between a place on the
/// crotch seam and one on the inseam than the fork is.
fn is_corner(leg: &Leg) -> bool {
    /// The distance of these two places from the fork, in mm.
    const NEAR_BY: f64 = 10.0;
    /// How much further out, in mm, another vertex may be, because corners are rounded to 0.01 mm.
    const ROUNDED: f64 = 0.02;
    let up = leg.ring[..=leg.fork].iter().rev();
    let down = leg.ring[leg.fork..=leg.hem_in].iter();
    let fork = leg.fork_point();
    let near: [Vec<Point>; 2] = [
        up.copied().skip(1).take_while(|p| (*p - fork).hypot() < NEAR_BY).collect(),
        down.copied().skip(1).take_while(|p| (*p - fork).hypot() < NEAR_BY).collect(),
    ];
    // Where the next vertex is further off than that, the place lies on the edge leading to it.
    let place = |near: &[Point], next: Option<&Point>| {
        let last = near.last().copied().unwrap_or(fork);
        next.map_or(last, |next| {
            let edge = *next - last;
            last + edge * (NEAR_BY / edge.hypot()).min(1.0)
        })
    };
    let a = place(&near[0], (leg.fork - near[0].len()).checked_sub(1).map(|i| &leg.ring[i]));
    let b = place(&near[1], leg.ring[..=leg.hem_in].get(leg.fork + near[1].len() + 1));
    let out = |p: Point| (p - a).cross(b - a).abs() / (b - a).hypot();
    near.iter().flatten().all(|&p| out(p) <= out(fork) + ROUNDED)
}

/// Measures a leg a second time.
fn leg(drawing: &Drawing<'_>, on: &LegPiece<'_>) -> Option<Finding> {
    let piece = on.piece;
    let lines = compare(drawing, on);
    match lines.and_then(|found| found.map_or_else(|| fold::compare(drawing, on), |found| Ok(Some(found)))) {
        Ok(finding) => finding,
        Err(why) => Some(Finding::warning(
            FindingId::RereadDiffers,
            format!(
                "the piece could not be measured a second time by an independent reading ({why}); measure one of its \
                 seams by hand before relying on it"
            ),
        )),
    }
    .map(|f| f.about(piece))
}

/// What differs between the two readings; an error says why that is not known.
fn compare(drawing: &Drawing<'_>, on: &LegPiece<'_>) -> Result<Option<Finding>, String> {
    let (piece, leg) = (on.piece, &on.leg);
    let path = &piece.paths[leg.drawn.path()];
    let layers = layers(piece, path);
    let gap = GAP.max(widest_gap(piece, path)) + 1e-9;
    let traces =
        lines::read(drawing, &drawing.blocks[piece.block], |layer| layers.contains(&layer), piece.scale)?;
    let ring = leg.drawn_ring();
    let at = |i: usize| piece.drawn(ring[i]);
    let mirror = piece.paths_of(LayerUse::Mirror).find(|line| !line.closed && line.points.len() > 1);
    let mirror = mirror.map(|line| [line.points[0], line.points[line.points.len() - 1]]);
    let Some(second) = outline::largest(traces, gap, mirror) else {
        let what = "finds no closed line where the first found one";
        return Ok(Some(differs(what).at(at(leg.fork))));
    };
    // The ring leaves out the extension of a fly; the crotch seam begins where the line comes back from the extension.
    let fly = usize::from(!leg.fly.is_empty());
    let corners = [&[0, 1][..=fly], &[leg.fork, leg.hem_in, leg.hem_out, leg.side]].concat();
    let within = WITHIN + 2.0 * second.gaps;
    let mut stations = Vec::with_capacity(corners.len());
    for &i in &corners {
        let (off, station) = second.nearest(ring[i]);
        if off.is_nan() || off > within {
            let what = format!("finds no line at a corner; the nearest is {:.3} off", Mm(off));
            return Ok(Some(differs(&what).at(at(i))));
        }
        stations.push(station);
    }
    let Some(mut lengths) = second.between(&stations) else {
        return Ok(Some(differs("finds the corners in another order along the line").at(at(leg.fork))));
    };
    if fly == 1 {
        // The crotch seam runs straight past the extension.
        lengths.remove(0);
        lengths[0] += (ring[1] - ring[0]).hypot();
    }
    for (role, length) in IN_ORDER.into_iter().zip(lengths) {
        // Where an outseam would be, a piece that is front and back in one has the seams of its other leg.
        if role == SeamRole::Outseam && leg.other_part().is_some() {
            continue;
        }
        let first = length_of(&ring, leg, role);
        let apart = (first - length).abs();
        if apart.is_nan() || apart > within {
            let what = format!("makes the {} {:.3} in place of {:.3}", named(role), Mm(length), Mm(first));
            return Ok(Some(differs(&what).at(at(leg.range(role).start() % ring.len()))));
        }
    }
    let [first, area] = [path.doubled_area(), second.doubled_area].map(|a| 0.5 * a.abs());
    let apart = (first - area).abs();
    if apart.is_nan() || apart > within * second.length() {
        let cm = |a: f64| a / 100.0;
        let what = format!("makes the piece {:.2} cm² in place of {:.2} cm²", cm(area), cm(first));
        return Ok(Some(differs(&what).at(at(leg.fork))));
    }
    if let Some((point, off)) = second.apart(&path.points, BESIDE + within - WITHIN) {
        let what = format!("finds a point {:.3} off the line", Mm(off));
        return Ok(Some(differs(&what).at(piece.drawn(point))));
    }
    // Where the edges show a fold, it lies at their vertices, which may be moved along them.
    let missing = fold::shown(on).then(|| second.lacks(written(piece, path), BESIDE + gap)).flatten();
    Ok(missing.map(|point| differs("finds no vertex where the first found one").at(piece.drawn(point))))
}

/// The points of a line that are written in the file, and do not follow from a curve.
fn written<'p>(piece: &'p Piece, path: &'p Path) -> impl Iterator<Item = Point> + 'p {
    let is_written = |from: &StrokePoint| {
        piece.strokes[from.stroke as usize].places[from.point as usize].drawn().is_some()
    };
    path.points.iter().zip(&path.from).filter(move |(_, from)| is_written(from)).map(|(point, _)| *point)
}

/// The seams in the order in which they follow one another on a ring.
const IN_ORDER: [SeamRole; 5] =
    [SeamRole::Crotch, SeamRole::Inseam, SeamRole::Hem, SeamRole::Outseam, SeamRole::Waist];

fn differs(what: &str) -> Finding {
    Finding::error(
        FindingId::RereadDiffers,
        format!(
            "a second, independent reading of the piece {what}: one of the two reads the line wrongly, and no measure of the \
             piece can be relied on. Look at the line there in another program, draw it anew (a curve that is nearly \
             straight as a straight line), and export it again"
        ),
    )
}

/// The length of a seam of the ring by the first reading.
fn length_of(ring: &[Point], leg: &Leg, role: SeamRole) -> f64 {
    let points: Vec<Point> = leg.range(role).map(|i| ring[i % ring.len()]).collect();
    line::length(&points)
}

/// What a seam is called in messages.
fn named(role: SeamRole) -> &'static str {
    if role == SeamRole::Crotch { "crotch seam" } else { role.as_str() }
}

/// The layers on which a line is drawn.
fn layers<'p>(piece: &'p Piece, path: &Path) -> Vec<&'p str> {
    let mut layers: Vec<&str> = Vec::new();
    let mut last = None;
    for from in path.from.iter().chain(path.twins.iter().map(|(_, from)| from)) {
        if last.replace(from.stroke) == Some(from.stroke) {
            continue;
        }
        let layer = &*piece.strokes[from.stroke as usize].layer;
        if !layers.contains(&layer) {
            layers.push(layer);
        }
    }
    layers
}

/// The widest gap, in mm, that the first reading closed in a line.
fn widest_gap(piece: &Piece, path: &Path) -> f64 {
    let at = |from: &StrokePoint| piece.strokes[from.stroke as usize].points[from.point as usize];
    path.twins.iter().map(|(i, from)| (path.points[*i as usize] - at(from)).hypot()).fold(0.0, f64::max)
}
