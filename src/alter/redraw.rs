//! Redraws lines by the displacement: vertices are moved, and added only where an edge is too coarse.

use super::displacement::Applied;
use super::fairing;
use super::inseam::{FLAT, ON_CHORD};
use super::outline::Outline;
use super::redrawn::{Added, Redrawn};
use crate::geometry::{corners, direction, edge::nearest_share, line, offset, ring};
use crate::pattern::Path;
use crate::seam::{Derived, Leg, SeamRole};
use kurbo::{Point, Vec2};
use std::collections::HashSet;

/// How far, in mm, the drawn line may deviate from the exact displaced line. The trade asks for 0.1 mm of the line and for 0.05
/// mm of the allowance between two lines.
const TRUE_TO: f64 = 0.04;

/// Edges shorter than this, in mm, are not divided.
const SHORTEST: f64 = 2.0;

/// A vertex that turns by this many degrees or more ends an edge, even if the sew line's corner lies a little before or after it.
const INNER: f64 = 20.0;

/// The vertices to add on each edge of a leg's ring: where a curve is bent, where the inseam comes back, and where an edge of the
/// waist is too coarse for the displaced line.
pub(super) fn added_on_ring(leg: &Leg, applied: &Applied<'_>) -> Vec<Vec<Added>> {
    let n = leg.ring.len();
    let mut all = vec![Vec::new(); n];
    for (place, at) in applied.crotch_added.iter().chain(&applied.inseam.added) {
        all[place.edge].push(Added { after: 0, share: place.share, at: *at });
    }
    let at = line::stations(&leg.seam(SeamRole::Waist));
    let from_centre = |i: usize| at[at.len() - 1] - at[i - leg.side];
    for (i, added) in all.iter_mut().enumerate().skip(leg.side) {
        let (a, b) = (leg.ring[i], leg.ring[(i + 1) % n]);
        let (from, to) = (from_centre(i), from_centre(i + 1));
        let shifts = [from, to].map(|at| applied.on_waist(at));
        if shifts[0] == shifts[1] {
            continue;
        }
        let place = |share: f64| a.lerp(b, share) + applied.on_waist(from + (to - from) * share);
        let edge = Edge { length: (b - a).hypot(), after: 0, bends: &[], flat: FLAT, opposite: &[] };
        refine(&place, &edge, (0.0, a + shifts[0]), (1.0, b + shifts[1]), added);
    }
    all
}

/// Redraws the line that a leg's ring is drawn on; `ring` and `fly` are the new points.
pub(super) fn own(
    leg: &Leg,
    points: &[Point],
    ring: &[Point],
    fly: &[Point],
    added: &[Vec<Added>],
) -> Redrawn {
    let drawn = &leg.drawn;
    let mut moves = vec![Vec2::ZERO; points.len()];
    let of_ring = drawn.vertices().map(|(k, i)| (i, ring[k]));
    for (i, new) in of_ring.chain(drawn.fly().zip(fly.iter().copied())) {
        moves[i] = new - points[i];
    }
    let mut all: Vec<Added> = Vec::new();
    for (k, on_edge) in added.iter().enumerate() {
        for new in on_edge {
            let (after, share) = drawn.on_edge(k, new.share, points.len());
            all.push(Added { after, share, at: new.at });
        }
    }
    if drawn.starts_below_more() && ring[1] != leg.ring[1] {
        // The seam turns where it begins, and what goes on above it stays.
        let (after, share) = drawn.on_edge(ring.len() - 1, 1.0, points.len());
        all.push(Added { after, share, at: ring[0] });
    }
    all.sort_by(|a, b| a.after.cmp(&b.after).then(a.share.total_cmp(&b.share)));
    Redrawn { path: drawn.path(), moves, added: all }
}

/// Redraws the cut line that a sew line is derived from, so that the new sew line can be derived from it in the same way: every
/// edge at its allowance from the sew line's edge. Where the sew line has no edge for one of the cut line's, that edge follows
/// the sew line at its distance.
pub(super) fn around(
    leg: &Leg,
    followed: Redrawn,
    derived: &Derived,
    (sew, turns_at_hem): (&Redrawn, bool),
    old: &[Point],
) -> Redrawn {
    /// How far, in mm, a vertex may lie from the position that its sew line gives before it counts as drawn differently.
    const SAID: f64 = 1e-4;
    /// In mm; within this, a vertex that stays, or that moves with its sew line, does so to the last digit.
    const ALIKE: f64 = 1e-9;
    let Derived { points, allowances } = derived;
    let carrying = offset::carrying(points, allowances);
    let (new, index) = sew.line(old);
    let of_new = spread(allowances, &index, new.len());
    let is_old: HashSet<usize> = index.iter().copied().collect();
    let mut of_line: Vec<usize> = carrying.iter().map(|&i| index[i]).collect();
    of_line.extend((0..new.len()).filter(|k| !is_old.contains(k)));
    of_line.sort_unstable();
    let was = offset::outside(old, allowances, &carrying);
    let is = offset::outside(&new, &of_new, &of_line);
    let said = |i: usize| {
        let (was, is) = (was[i]?, is[index[i]]?);
        let exact = [Vec2::ZERO, sew.moves[i]].into_iter().find(|by| (is - was - *by).hypot() <= ALIKE);
        ((was - points[i]).hypot() <= SAID).then(|| exact.unwrap_or(is - was))
    };
    // The cut edge is longer or shorter at the corners than the sew edge, so the same share of it would be another place.
    let beside_sew = |added: &Added| {
        let (i, j) = (added.after as usize, (added.after as usize + 1) % points.len());
        nearest_share(points[i], points[j], old[i].lerp(old[j], added.share))
    };
    let added: Option<Vec<Added>> = sew
        .added
        .iter()
        .zip((0..new.len()).filter(|k| !is_old.contains(k)))
        .map(|(added, k)| Some(Added { at: is[k]?, share: beside_sew(added), ..*added }))
        .collect();
    let Some(added) = added else { return followed };
    let mut moves = followed.moves;
    let last = leg.hem_in + usize::from(turns_at_hem);
    let seams = leg.drawn.vertices().take_while(|(k, _)| *k < last).map(|(_, i)| i).chain(leg.drawn.fly());
    let drawn: Vec<usize> = seams.filter(|&i| said(i).is_some()).collect();
    for &i in &drawn {
        moves[i] = said(i).unwrap_or(moves[i]);
    }
    settled(Redrawn { path: followed.path, moves, added }, points, &drawn, (&new, &of_new))
}

/// Corrects a cut line until the sew line derived from it is the intended one: the vertices that determine its course may be
/// others than before. `drawn` are those that may be corrected.
fn settled(
    mut cut: Redrawn,
    points: &[Point],
    drawn: &[usize],
    (sew, allowances): (&[Point], &[f64]),
) -> Redrawn {
    /// The most iterations; each leaves a small part of the error.
    const TIMES: usize = 8;
    const MET: f64 = 1e-9;
    /// A sew line that is further off than this, in mm, cannot be corrected.
    const NEAR: f64 = 0.02;
    let mut before = (NEAR, cut.clone());
    for _ in 0..TIMES {
        let (line, index) = cut.line(points);
        let Some(derived) = offset::inside(&line, allowances) else { return before.1 };
        let off = |k: usize| sew[k] - derived[k];
        let is_old: HashSet<usize> = index.iter().copied().collect();
        let added: Vec<usize> = (0..line.len()).filter(|k| !is_old.contains(k)).collect();
        let all = drawn.iter().map(|&i| index[i]).chain(added.iter().copied());
        let worst = all.map(|k| off(k).hypot()).fold(0.0, f64::max);
        if worst <= MET || worst >= before.0 {
            return if worst <= MET { cut } else { before.1 };
        }
        before = (worst, cut.clone());
        for &i in drawn.iter().filter(|&&i| off(index[i]).hypot() > MET) {
            cut.moves[i] += off(index[i]);
        }
        for (new, &k) in cut.added.iter_mut().zip(&added) {
            new.at += off(k);
        }
    }
    cut
}

/// Transfers the values of the edges after each point of a line to a redrawn line of `len` points; `index` gives each old point's
/// new index.
pub(super) fn spread(of_edges: &[f64], index: &[usize], len: usize) -> Vec<f64> {
    let next = |i: usize| index.get(i + 1).copied().unwrap_or(len);
    (0..of_edges.len()).flat_map(|i| std::iter::repeat_n(of_edges[i], next(i) - index[i])).collect()
}

/// Redraws a line that is drawn beside the sew line, and fairs it.
pub(super) fn beside(leg: &Leg, outline: &Outline, path: usize, line: &Path) -> Redrawn {
    let at = outline.arc.along(leg, &line.points, line.closed);
    let faired = |bends| {
        let mut redrawn = following_at(outline, path, line, &at, bends);
        let over = fairing::fair(leg, outline, (&line.points, line.closed), &at, &mut redrawn);
        (over, redrawn)
    };
    let (over, redrawn) = faired(FLAT);
    if over <= fairing::MET {
        return redrawn;
    }
    // It may be smooth with as many vertices as the sew line was given.
    let (finer_over, finer) = faired(ON_CHORD);
    if finer_over < 0.5 * over { finer } else { redrawn }
}

/// Redraws a line that follows the sew line at its distance.
pub(super) fn following(leg: &Leg, outline: &Outline, path: usize, line: &Path) -> Redrawn {
    following_at(outline, path, line, &outline.arc.along(leg, &line.points, line.closed), FLAT)
}

fn following_at(outline: &Outline, path: usize, line: &Path, at: &[f64], flat: f64) -> Redrawn {
    let goes = Goes { place: &|p, at| outline.follow(p, at), own: &|_| false, flat };
    redraw_line(outline, path, (&line.points, line.closed), at, &goes)
}

/// A line that turns by less than this, in degrees, runs straight on: over a dart's mouth it has no dart of its own, and at a corner
/// no corner.
const STRAIGHT_ON: f64 = 20.0;

/// How the points of a line go along with a sew line.
pub(super) struct Goes<'g> {
    /// The new position of a point that belongs to a place of the sew line.
    pub place: &'g dyn Fn(Point, f64) -> Point,
    /// Whether a point lies beside no edge of the sew line.
    pub own: &'g dyn Fn(Point) -> bool,
    /// How far, in mm, what lies opposite a vertex that the sew line was given has to be off the new edge to become a vertex too.
    pub flat: f64,
}

/// Redraws a line whose points belong to the places `at` of the sew line.
pub(super) fn redraw_line(
    outline: &Outline,
    path: usize,
    (points, closed): (&[Point], bool),
    at: &[f64],
    goes: &Goes<'_>,
) -> Redrawn {
    /// Only between edges of at least this many mm may a corner stay where its movement is not visible.
    const COARSE: f64 = 20.0;
    let n = points.len();
    let mut new: Vec<Point> = points.iter().zip(at).map(|(&p, &at)| (goes.place)(p, at)).collect();
    // A corner belongs to the sew line's corner, though it may lie beside an edge.
    let mut places = at.to_vec();
    let same_way = ring::doubled_area(points) * ring::doubled_area(&outline.arc.points) > 0.0;
    if closed {
        for i in (0..n).filter(|&i| !(goes.own)(points[i])) {
            let (a, b) = (points[i] - points[(i + n - 1) % n], points[(i + 1) % n] - points[i]);
            let around = if same_way { [a, b] } else { [-b, -a] };
            // The inner corner of an offset line lies beside an edge, a little off the sew line's corner.
            let sharp = direction::angle(a, b).abs() >= INNER;
            let near = if sharp { outline.corner_near(points[i], at[i], around) } else { at[i] };
            if let Some(corner) = outline.corner(points[i], near, around) {
                (new[i], places[i]) = (corner, near);
            } else if direction::angle(a, b).abs() < STRAIGHT_ON
                && let Some(beside) = outline
                    .over_dart(points[i], at[i])
                    .or_else(|| outline.beyond_corner(points[i], at[i], around))
            {
                new[i] = beside;
            }
            let coarse = a.hypot().min(b.hypot()) >= COARSE;
            if coarse && outline.holds(at[i], new[i] - points[i]) {
                new[i] = points[i];
            }
        }
    }
    let added = added_beside(outline, (points, closed), &places, &new, goes);
    let moves: Vec<Vec2> = new.iter().zip(points.iter()).map(|(new, old)| *new - *old).collect();
    Redrawn { path, moves, added }
}

/// The vertices to add on the edges of a line beside the sew line, where these edges are too coarse.
fn added_beside(
    outline: &Outline,
    (points, closed): (&[Point], bool),
    at: &[f64],
    new: &[Point],
    goes: &Goes<'_>,
) -> Vec<Added> {
    /// An edge that spans more of the sew line than this multiple of its own length plus this many mm runs across something that
    /// only the sew line has, such as a fly, and stays straight.
    const SPANS: (f64, f64) = (2.0, 20.0);
    /// An edge with an end further off than this, in mm, does not run beside the sew line: no allowance is that wide.
    const BESIDE: f64 = 110.0;
    /// An edge whose distances from the sew line differ at its ends by more than this share of its length leads away from it,
    /// such as at the foot of a fly.
    const AWAY: f64 = 0.5;
    let n = points.len();
    let whole = outline.arc.whole();
    let turns = corners::turns(points);
    let edges = if closed { n } else { n.saturating_sub(1) };
    let mut added = Vec::new();
    for i in 0..edges {
        let j = (i + 1) % n;
        let (mut from, mut to) = (at[i].min(at[j]), at[i].max(at[j]));
        if closed && to - from > whole / 2.0 {
            // The edge crosses the corner at the centre waist, where counting along the sew line starts; beside a fly it runs on
            // to the top of the fly.
            (from, to) = (to, whole + from);
        }
        for (end, at_end) in [(i, at[i]), (j, at[j])] {
            if closed && turns[end].abs() >= INNER {
                (from, to) = outline.up_to_corner((from, to), at_end);
            }
        }
        let length = (points[j] - points[i]).hypot();
        let moved_alike = new[i] - points[i] == new[j] - points[j];
        if moved_alike || length < SHORTEST || outline.way(from, to) > SPANS.0 * length + SPANS.1 {
            continue;
        }
        let [off, off_next] = [i, j].map(|k| (outline.arc.point(at[k]) - points[k]).hypot());
        if off.max(off_next) > BESIDE
            || (off - off_next).abs() > AWAY * length
            || outline.beside_one_edge([i, j].map(|k| (points[k], at[k])))
        {
            continue;
        }
        let opposite = outline.opposite([points[i], points[j]], (from, to));
        let after = u32::try_from(i).unwrap_or(u32::MAX);
        let edge = |bends| Edge { length, after, bends, flat: goes.flat, opposite: &opposite };
        if (goes.own)(points[i].midpoint(points[j])) {
            let place = |share: f64| {
                let p = points[i].lerp(points[j], share);
                (goes.place)(p, outline.arc.nearest_on(p, from, to).rem_euclid(whole))
            };
            refine(&place, &edge(&[]), (0.0, new[i]), (1.0, new[j]), &mut added);
            continue;
        }
        let across = closed && turns[i].abs().max(turns[j].abs()) < STRAIGHT_ON;
        let place = |share: f64| {
            let p = points[i].lerp(points[j], share);
            let at = outline.arc.nearest_on(p, from, to);
            if across && let Some(over) = outline.over_dart(p, at) {
                return over;
            }
            outline.follow_edge(p, if at > whole { at - whole } else { at }, at - from < to - at)
        };
        let on_sew = bends(outline, [points[i], points[j]], (from, to));
        refine(&place, &edge(&on_sew), (0.0, new[i]), (1.0, new[j]), &mut added);
    }
    added
}

/// Where the new line of an edge bends, as shares of the edge and the new positions: where the sew line beside it, from one length to
/// the other, has been given a vertex.
fn bends(outline: &Outline, [a, b]: [Point; 2], (from, to): (f64, f64)) -> Vec<(f64, Point)> {
    let beside = |place| {
        let share = nearest_share(a, b, outline.point(place));
        (share, outline.follow_added(a.lerp(b, share), place))
    };
    let mut all: Vec<(f64, Point)> = outline.added_between(from, to).map(beside).collect();
    // So it does where the seam begins below a bib, up to which everything stays.
    if outline.below_more && from < outline.arc.whole() && outline.arc.whole() < to {
        let share = nearest_share(a, b, outline.arc.points[0]);
        all.push((share, a.lerp(b, share)));
    }
    all
}

/// An edge that may be too coarse for its new line.
struct Edge<'b> {
    length: f64,
    /// The point that it begins at.
    after: u32,
    /// Where its new line is known to bend: as shares of the edge, and the new positions.
    bends: &'b [(f64, Point)],
    /// How far they have to be off the edge, in mm.
    flat: f64,
    /// Where its new line may bend, as shares of the edge: opposite the vertices of a coarse sew line.
    opposite: &'b [f64],
}

/// Adds the point that is furthest from the chord, if it is too far off, and continues in both halves. `at` gives the new line at
/// a share of an old edge of this length. (U. Ramer, *Computer Graphics and Image Processing* 1 (1972); D. Douglas, T. Peucker,
/// *Cartographica* 10 (1973).)
fn refine(
    at: &impl Fn(f64) -> Point,
    edge: &Edge<'_>,
    a: (f64, Point),
    b: (f64, Point),
    added: &mut Vec<Added>,
) {
    /// Samples are this many mm apart, with no more than the given number for each edge; the bends of the displacement are far
    /// wider.
    const APART: f64 = 6.0;
    const MOST: u32 = 16;
    /// Distances that differ by no more than this, in mm, are the same.
    const AS_FAR: f64 = 1e-6;
    /// Opposite a vertex of the sew line, nothing is added nearer to another vertex than this, in mm.
    const CLOSEST: f64 = SHORTEST / 2.0;
    let chord = b.1 - a.1;
    let (span, reach) = (edge.length * (b.0 - a.0), chord.hypot());
    if reach == 0.0 || span < SHORTEST {
        return;
    }
    #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)] // a piece is under a km
    let samples = ((span / APART) as u32 + 2).min(MOST);
    let off = |(_, p): &(f64, Point)| ((*p - a.1).cross(chord) / reach).abs();
    // Where a line bends evenly two places are as far, and which is further is a matter of rounding: the first one counts.
    let furthest = |places: &mut dyn Iterator<Item = (f64, Point)>, least: f64| {
        let further = |best: Option<(f64, Point)>, place: (f64, Point)| {
            let than = best.map_or(least, |best| off(&best) + AS_FAR);
            if off(&place) > than { Some(place) } else { best }
        };
        places.fold(None, further)
    };
    let inner = |share: f64| a.0 < share && share < b.0;
    let bend = furthest(&mut edge.bends.iter().copied().filter(|(share, _)| inner(*share)), edge.flat);
    let sample = |k: u32| a.0 + (b.0 - a.0) * f64::from(k) / f64::from(samples);
    let sampled = || {
        let apart = |share: f64| edge.length * (share - a.0).min(b.0 - share) >= CLOSEST;
        let opposite = edge.opposite.iter().copied().filter(|share| apart(*share));
        furthest(&mut (1..samples).map(sample).chain(opposite).map(|share| (share, at(share))), TRUE_TO)
    };
    if let Some(middle) = bend.or_else(sampled) {
        // On the inner side of a tight bend the new places of an edge are not in their old order.
        let along = (middle.1 - a.1).dot(chord) / (reach * reach);
        if !(0.02..=0.98).contains(&along) {
            return;
        }
        refine(at, edge, a, middle, added);
        added.push(Added { after: edge.after, share: middle.0, at: middle.1 });
        refine(at, edge, middle, b, added);
    }
}
