//! Finding seams by turn points and shape.
//!
//! The crotch seam is the only edge of a trouser leg that is deeply hollow between two corners, with one end along the grain (the
//! waist) and one end across it (the fork). "Up" is from the fork to the waist, "out" is from the leg to the fork; the other
//! corners are the extreme points in the diagonal directions. Because the directions are taken from the crotch seam, the result
//! does not depend on the angle at which the piece lies, on mirroring, or on which way its grain arrow points.

use super::candidate::Candidate;
use super::fly;
use crate::geometry::{corners, direction, edge, line, ring};
use kurbo::{Point, Vec2};

/// The least hollow of a crotch seam: the degrees by which it turns between its corners. Crotch seams of drafts turn by 55° to
/// 95°; a hollow side seam or hem turns by less than 25° as a rule.
const HOLLOW: f64 = 38.0;

/// The same for a seam drawn with four or five vertices, used only where no edge is more hollow.
const COARSE: f64 = 28.0;

/// Another candidate that is shorter than this share of the first one's length is not a crotch seam.
const RIVAL: f64 = 0.62;

/// Another candidate whose depth, from its waist to its fork, is less than this share of the deepest one's is a scooped pocket
/// mouth: pockets end above the hips.
const DEPTH: f64 = 0.8;

/// A hollow this close to the end that would be the fork, as a share of the edge's length, is the inner corner of a vent: the
/// crotch curve takes up at least a fifth of its seam. The length in mm counts up to that of a long crotch seam: one that goes on
/// into a bib has no longer curve. Farther up only corners count, as a vent has one.
const FOOT: f64 = 0.12;
const LONG_SEAM: f64 = 350.0;

/// If this share of an edge's hollow lies that close to the fork, the edge is not a crotch seam.
const FOOT_ALONE: f64 = 0.8;

/// How far the side of a scooped front may rise above its centre waist, as a share of its rise: 110 mm and more over a rise of
/// 150 (common practice, no source).
const SCOOP: f64 = 1.3;

/// The share of the way from the fork down to the lowest place of the piece that an inseam covers.
const TO_HEM: f64 = 0.85;

/// By how many degrees more the crotch seam lies across the grain at the fork than the inseam: some 40° in most drafts.
const TOLD_APART: f64 = 12.0;

/// The least turn, in degrees, of a blunt corner between waist and outseam.
const BLUNT: f64 = 12.0;

/// The least height, in mm, of a bib above the waist; a side waist lies less far above the centre waist.
const BIB: f64 = 150.0;

/// How far, in mm, the corner of the waist at the side of a bib may lie above or below the centre waist.
const BESIDE: f64 = 80.0;

/// By how much further from the centre, in mm, that corner lies than the edge of the bib.
const FURTHER_OUT: f64 = 30.0;

/// The convex corners of a closed line.
#[must_use]
pub fn corners(turns: &[f64]) -> Vec<usize> {
    (0..turns.len()).filter(|&i| turns[i] >= corners::CORNER).collect()
}

/// Every edge with the position of a crotch seam in its piece, whatever else tells against it: first those that are as hollow as
/// most crotch seams, then those that are less hollow, but by at least `least` degrees.
#[must_use]
pub fn possible(points: &[Point], turns: &[f64], grain: Vec2, least: f64) -> [Vec<Candidate>; 2] {
    let corners = corners(turns);
    let mut found: Vec<Candidate> = corners
        .iter()
        .flat_map(|&fork| [true, false].map(|forward| fly::find(points, turns, fork, forward, grain)))
        .flatten()
        .filter(|c| is_crotch(points, &corners, c, grain))
        .collect();
    let mut weak = Vec::new();
    for k in 0..corners.len() {
        let (a, b) = (corners[k], corners[(k + 1) % corners.len()]);
        let hollow: f64 = between(points.len(), a, b).map(|i| -turns[i]).sum();
        let Some(candidate) = edge(points, a, b, grain).filter(|_| hollow >= least) else { continue };
        let fly_there = found.iter().any(|c| c.fork == candidate.fork && c.fly.is_some());
        let foot = hollow_at_foot(points, turns, &candidate) >= FOOT_ALONE * hollow;
        if is_crotch(points, &corners, &candidate, grain) && !fly_there && !foot {
            if hollow >= HOLLOW { &mut found } else { &mut weak }.push(candidate);
        }
    }
    [found, weak]
}

/// Every edge that has the shape of a crotch seam, deepest first.
#[must_use]
pub fn candidates(points: &[Point], turns: &[f64], grain: Vec2) -> Vec<Candidate> {
    let [found, weak] = possible(points, turns, grain, COARSE);
    let all = [&found[..], &weak].concat();
    let found = sound(points, found, &all, grain);
    if found.is_empty() { sound(points, weak, &all, grain) } else { found }
}

/// The same with those that are less hollow, even where others are more so.
#[must_use]
pub fn all_candidates(points: &[Point], turns: &[f64], grain: Vec2) -> Vec<Candidate> {
    let all = possible(points, turns, grain, COARSE).concat();
    sound(points, all.clone(), &all, grain)
}

/// Without those that are another seam of the leg, deepest first; `all` are those that are less hollow, too.
fn sound(points: &[Point], mut found: Vec<Candidate>, all: &[Candidate], grain: Vec2) -> Vec<Candidate> {
    // A deeply hollow inseam looks like a crotch seam upside down. At the fork they share, the crotch seam runs across the grain
    // and the inseam along it; where both run at similar angles, both stay.
    found.retain(|c| {
        let rival = all.iter().find(|o| o.fork == c.fork && o.forward != c.forward);
        rival.is_none_or(|o| fork_lean(points, c, grain) > fork_lean(points, o, grain) - TOLD_APART)
    });
    // A scooped waist has this shape as well; it ends where the crotch seam begins.
    let all = found.clone();
    found.retain(|c| !all.iter().any(|o| o.waist == c.fork && o.forward == c.forward));
    found.sort_by(|a, b| b.depth.total_cmp(&a.depth));
    found
}

/// How hollow an edge that is read as a crotch seam is close to its fork, in degrees.
fn hollow_at_foot(points: &[Point], turns: &[f64], c: &Candidate) -> f64 {
    let n = points.len();
    let step = |k: usize| if c.forward { (c.fork + n - k % n) % n } else { (c.fork + k) % n };
    let (mut way, mut hollow) = (0.0, 0.0);
    for k in 1..n {
        way += (points[step(k)] - points[step(k - 1)]).hypot();
        if way > FOOT * c.length || step(k) == c.waist {
            break;
        }
        let turn = turns[step(k)];
        if way <= FOOT * LONG_SEAM || turn <= -corners::CORNER {
            hollow -= turn;
        }
    }
    hollow
}

/// The angle between the grain and an edge that is read as a crotch seam, at its fork, in degrees.
fn fork_lean(points: &[Point], c: &Candidate, grain: Vec2) -> f64 {
    let mut run = c.run(points);
    if c.forward {
        run.reverse();
    }
    end_lean(&run, grain)
}

/// The deepest candidate, followed by those that cannot be told apart from it. If two share a fork, one of them is the inseam,
/// which may be much longer and deeper.
#[must_use]
pub fn rivals(candidates: &[Candidate]) -> Vec<Candidate> {
    let Some(first) = candidates.first() else { return Vec::new() };
    let alike = |c: &Candidate| c.length >= RIVAL * first.length && c.depth >= DEPTH * first.depth;
    candidates.iter().copied().filter(|c| c.fork == first.fork || alike(c)).collect()
}

/// The edge from corner `a` to corner `b` read as a crotch seam: the end that lies more across the grain is the fork. `None`
/// where both ends lie at similar angles.
#[must_use]
pub fn edge(points: &[Point], a: usize, b: usize, grain: Vec2) -> Option<Candidate> {
    let run = ring::run(points, a, b);
    let length = line::length(&run);
    let mut back = run.clone();
    back.reverse();
    let (lean_a, lean_b) = (end_lean(&run, grain), end_lean(&back, grain));
    if (lean_a - lean_b).abs() < 15.0 {
        return None;
    }
    let depth = (points[a] - points[b]).dot(grain).abs();
    Some(if lean_a < lean_b {
        Candidate { waist: a, fork: b, forward: true, fly: None, length, depth }
    } else {
        Candidate { waist: b, fork: a, forward: false, fly: None, length, depth }
    })
}

/// The angle between the grain and a run of points at its start, in degrees.
fn end_lean(run: &[Point], grain: Vec2) -> f64 {
    direction::lean(direction::tangent_at_start(run), grain)
}

/// Whether an edge has the position of a crotch seam in its piece: at the top of the piece, with the fork further out than the
/// waist, and with some leg below the fork.
fn is_crotch(points: &[Point], corners: &[usize], c: &Candidate, grain: Vec2) -> bool {
    let (waist, fork) = (c.centre(points), points[c.fork]);
    let (up, out) = axes(points, c, grain);
    let rise = (waist - fork).dot(up);
    let reach = (fork - waist).dot(out);
    let level = |p: &Point| (*p - fork).dot(up);
    let top = points.iter().map(level).fold(f64::MIN, f64::max);
    let bottom = points.iter().map(level).fold(f64::MAX, f64::min);
    // On a front that is scooped out for the abdomen, the centre waist lies far below the side waist; its inseam runs down to the
    // hem.
    let at_top = top - rise < 0.4 * rise
        || top - rise < SCOOP * rise
            && level(&points[after_fork(points.len(), corners, c)]) < bottom * TO_HEM;
    rise > 0.4 * c.length && reach > 0.04 * c.length && at_top && -bottom > 0.03 * rise
}

/// The corner after the fork, in the direction in which the edge runs.
fn after_fork(n: usize, corners: &[usize], c: &Candidate) -> usize {
    let away = |&i: &usize| if c.forward { (i + n - c.fork) % n } else { (c.fork + n - i) % n };
    corners.iter().copied().filter(|i| *i != c.fork).min_by_key(|i| away(i)).unwrap_or(c.fork)
}

/// Unit vectors up the grain and out over the fork.
#[must_use]
pub fn axes(points: &[Point], c: &Candidate, grain: Vec2) -> (Vec2, Vec2) {
    let (waist, fork) = (c.centre(points), points[c.fork]);
    let up = if (waist - fork).dot(grain) < 0.0 { -grain } else { grain };
    let across = Vec2::new(-up.y, up.x);
    // Measured from the middle of the leg and not from the waist corner, because a slanted back seam may lean out over the fork.
    let middle = points.iter().map(|p| p.to_vec2()).sum::<Vec2>() / points.len() as f64;
    let out = if (fork.to_vec2() - middle).dot(across) < 0.0 { -across } else { across };
    (up, out)
}

/// The indices strictly between `a` and `b`, running forward.
fn between(n: usize, a: usize, b: usize) -> impl Iterator<Item = usize> {
    let steps = (b + n - a) % n;
    (1..steps.max(1)).map(move |k| (a + k) % n)
}

/// The other corners of a ring that begins at the waist and runs over the fork: inner hem, outer hem, and side waist. `None`
/// where there are too few corners. `told` says whether a turn point is drawn on a vertex.
#[must_use]
pub fn others(
    ring: &[Point],
    turns: &[f64],
    told: &dyn Fn(usize) -> bool,
    fork: usize,
    up: Vec2,
    out: Vec2,
) -> Option<[usize; 3]> {
    let corners: Vec<usize> = corners(turns).into_iter().filter(|&i| i > fork).collect();
    let extreme = |from: usize, to: usize, direction: Vec2| {
        let reach = |i: usize| ring[i].to_vec2().dot(direction);
        corners.iter().copied().filter(|&i| i > from && i < to).max_by(|&a, &b| reach(a).total_cmp(&reach(b)))
    };
    // The outer hem corner comes first because it is the most certain: no other corner lies near it.
    let hem_out = extreme(fork, ring.len(), -up * 1.5 - out)?;
    let hem_in = extreme(fork, hem_out, -up * 1.5 + out)?;
    // A waist that falls towards the side can meet the outseam at a blunt corner; take the sharpest one there. Points below the
    // fork, such as the corner of a vent, are not corners of the waist.
    let above_fork = |&i: &usize| (ring[i] - ring[fork]).dot(up) > 0.0;
    let blunt = |i: &usize| above_fork(i) && turns[*i] >= BLUNT;
    let side = extreme(hem_out, ring.len(), up - out)
        .filter(above_fork)
        .or_else(|| (hem_out + 1..ring.len()).filter(blunt).max_by(|&a, &b| turns[a].total_cmp(&turns[b])))?;
    // A hip drawn with few vertices can turn as sharply as the waist's corner. Turn points stand where a line turns a corner, none
    // within a curve (ASTM D6673, from memory): where the other corners have theirs, the side waist is the one that has one too.
    let side = if told(fork) && told(hem_out) && !told(side) {
        let marked = (hem_out + 1..ring.len()).filter(blunt).filter(|&i| told(i));
        let reach = |i: usize| ring[i].to_vec2().dot(up - out);
        marked.max_by(|&a, &b| reach(a).total_cmp(&reach(b))).unwrap_or(side)
    } else {
        side
    };
    // What continues far above the centre waist is a bib; the outseam ends where the bib begins.
    let over = |i: usize| (ring[side] - ring[i]).dot(up);
    let beside_waist = |&i: &usize| {
        let outside = (ring[side] - ring[i]).dot(out) > FURTHER_OUT;
        i > hem_out && i < side && outside && over(i) > BIB && (over(i) - over(0)).abs() < BESIDE
    };
    let waist = if over(0) > BIB { corners.iter().copied().rfind(beside_waist) } else { None };
    Some([hem_in, hem_out, waist.unwrap_or(side)])
}

/// Where the crotch curve begins on a ring that starts at the waist: at the last point of the straight centre seam. It is
/// searched from the fork upwards, as the first point with a straight stretch above it, so that a kink further up in the centre
/// seam does not count as part of the curve.
///
/// `resolution` is the last decimal of the drawing's coordinates, in mm: deviations that rounding alone can cause still count as
/// straight.
#[must_use]
pub fn curve_begin(ring: &[Point], turns: &[f64], fork: usize, resolution: f64) -> usize {
    /// A stretch that bends by less than this share of its length looks straight; used only where no stretch is straight in the
    /// strict sense.
    const GENTLE: f64 = 0.003;
    /// The least share of the seam that its straight part has.
    const LEAST: f64 = 0.1;
    /// The same where the straight part is only the first segment, and that is no longer than others.
    const FIRST: f64 = 0.2;
    /// If the first segment is this many times longer than the next, it is the centre seam.
    const LONG: f64 = 2.5;
    let stations = line::stations(&ring[..=fork]);
    let strict = 0.003 + 0.7 * resolution;
    for bend in [0.0, GENTLE] {
        let found = (1..fork).rev().find(|&i| straight_above(ring, &stations, i, strict, bend));
        let one_of_many = |i: usize| i == 1 && stations[1] < LONG * (stations[2] - stations[1]);
        // One segment is straight by itself; whether the seam runs on straight below it, but for the noise of a digitiser, is seen less
        // strictly.
        if let Some(i) = found.filter(|&i| bend > 0.0 || !one_of_many(i))
            && stations[i] >= if one_of_many(i) { FIRST } else { LEAST } * stations[fork]
        {
            let i = if bend == 0.0 { tangent_point(ring, &stations, i, fork, strict) } else { i };
            return after_long_segment(ring, turns, i, fork, strict);
        }
    }
    // A seam that is hollow from the waist on has no straight part. The slide is then taken up by the part that turns least: up
    // to where an eighth of the whole turn is reached.
    let total: f64 = (1..fork).map(|i| (-turns[i]).max(0.0)).sum();
    let mut turned = 0.0;
    for i in 1..fork {
        turned += (-turns[i]).max(0.0);
        if turned > total / 8.0 && stations[i] >= FIRST * stations[fork] {
            return i;
        }
    }
    fork.saturating_sub(1).max(1)
}

/// Whether the stretch of seam above point `end` is straight to within `strict` mm plus `bend` times its length.
fn straight_above(ring: &[Point], stations: &[f64], end: usize, strict: f64, bend: f64) -> bool {
    /// How much of the seam, in mm, has to be straight. Over this length a curve of 200 mm radius deviates by 1 mm.
    const STRETCH: f64 = 40.0;
    // A single segment is always straight, so the stretch has at least two where there are two.
    let far = stations[..end.saturating_sub(1)].partition_point(|at| stations[end] - at >= STRETCH);
    let start = far.saturating_sub(1);
    let within = strict + bend * (stations[end] - stations[start]);
    let on = |i: usize| edge::off(ring[start], ring[end], ring[i]) <= within;
    // A curve is furthest off its chord about the middle.
    (end - start < 2 || on(start.midpoint(end))) && (start + 1..end).all(on)
}

/// The first points of a curve lie so close to its tangent that rounding hides their offset. A curve leaves its tangent with the
/// square of the distance: the square roots of two offsets further on, extrapolated back to zero, give the place where it began.
/// `found` is the point after which the offsets are clearly visible, at most a few points too late.
fn tangent_point(ring: &[Point], stations: &[f64], found: usize, fork: usize, strict: f64) -> usize {
    /// By how many points `found` may be too late.
    const LATE: usize = 4;
    /// The nearer offset is at least this multiple of the rounding, and the further one at least that multiple of the nearer.
    const PLAIN: f64 = 8.0;
    const FURTHER: f64 = 4.0;
    let first = found.saturating_sub(LATE).max(1);
    let start = (0..first).rev().find(|&a| stations[first] - stations[a] >= 40.0).unwrap_or(0);
    let off = |i: usize| edge::off(ring[start], ring[first], ring[i]);
    let beyond = |least: f64| (found + 1..fork).find(|&i| off(i) >= least);
    let Some(near) = beyond(PLAIN * strict) else { return found };
    let Some(far) = beyond(FURTHER * off(near)) else { return found };
    let (a, b) = (off(near).sqrt(), off(far).sqrt());
    let began = stations[near] - (stations[far] - stations[near]) * a / (b - a);
    let away = |i: &usize| (stations[*i] - began).abs();
    (first..=found).min_by(|i, j| away(i).total_cmp(&away(j))).unwrap_or(found)
}

/// Used where coordinates are too coarse to tell the first points of the curve from the straight seam: if a segment that is much
/// longer than the curve's own ends just above, the curve begins at its end. Coarse means that the curve, with the turn that it
/// has at the point found, leaves the straight line up to there by no more than what rounding at both ends and in the middle can
/// hide.
fn after_long_segment(ring: &[Point], turns: &[f64], found: usize, fork: usize, strict: f64) -> usize {
    /// How many times longer than the segments of the curve that segment is.
    const LONGER: f64 = 5.0;
    /// How many times longer than the curve's own a segment in between may be.
    const ALIKE: f64 = 1.5;
    /// By how many points further up that segment may end.
    const FURTHER: usize = 3;
    let length = |i: usize| (ring[i] - ring[i - 1]).hypot();
    let spacing = (found + 1..=fork).map(length).fold(0.0, f64::max);
    let mut run = 0.0;
    for i in (found.saturating_sub(FURTHER).max(1)..found).rev() {
        run += length(i + 1);
        let hidden = run * turns[found].to_radians().abs() / 2.0 <= 3.0 * strict;
        if length(i + 1) > ALIKE * spacing || !hidden {
            break;
        }
        if length(i) > LONGER * spacing {
            return i;
        }
    }
    found
}

#[cfg(test)]
mod tests;
