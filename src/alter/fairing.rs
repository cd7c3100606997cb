//! Fairs a line that follows the sew line: its vertices move by less than an allowance shows, so that the line bends as evenly as
//! it did.
//!
//! A line drawn at its allowance repeats what the sew line does to a few hundredths of a millimetre. Where its vertices are near
//! each other or are not opposite those of the sew line, as little is enough to turn it visibly at a vertex. A hand lets the ruler
//! run over it (fairing, as draughtsmen call it). Here the turns at the vertices are linear in small movements across the line, and
//! those that turn too far are brought back one after the other by the least movement of the vertex and its neighbours
//! (S. Kaczmarz, *Bull. Acad. Polon. Sci.* A 35 (1937)), within bounds on each vertex.

use super::outline::Outline;
use super::redrawn::{Added, Redrawn};
use crate::geometry::direction;
use crate::seam::Leg;
use kurbo::{Point, Vec2};
use std::ops::Range;

/// How far a vertex may move, in mm: the first of these with which the line is fair, all of them less than the 0.05 mm that an
/// allowance may change by.
const REACH: [f64; 4] = [0.01, 0.02, 0.03, 0.04];

/// By how many degrees a vertex may turn more than the sharpest one did. The trade allows half a degree.
const SHARPER: f64 = 0.45;

/// The same for the way in which the seam hardly bent.
const OTHER_WAY: f64 = 0.005;

/// Turns that lie outside of their bounds by less than this, in radians in all, are within them: a hundredth of a degree.
pub(super) const MET: f64 = 1.7e-4;

/// A vertex that turns by this many degrees or more is a corner.
const CORNER: f64 = 35.0;

/// The turns that a vertex may have, in radians, and whether it may move.
#[derive(Clone, Copy)]
struct Vertex {
    least: f64,
    most: f64,
    free: bool,
}

/// Fairs a redrawn line whose old points belong to the places `at` of the old sew line. Gives by how much its turns lie outside of
/// their bounds then, in radians in all.
pub(super) fn fair(
    leg: &Leg,
    outline: &Outline,
    (points, closed): (&[Point], bool),
    at: &[f64],
    redrawn: &mut Redrawn,
) -> f64 {
    let over = faired(leg, outline, (points, closed), at, redrawn);
    let with_flat = redrawn.clone();
    if !drop_flat(points, closed, redrawn) {
        return over;
    }
    let without = faired(leg, outline, (points, closed), at, redrawn);
    if without > over + MET {
        *redrawn = with_flat;
        return over;
    }
    without
}

/// Leaves out the vertices that were added on an edge where the line between the edge's ends runs as well without them. Gives
/// whether there were any.
fn drop_flat(points: &[Point], closed: bool, redrawn: &mut Redrawn) -> bool {
    /// In mm, from the straight line between the ends.
    const FLAT: f64 = 0.019;
    let n = points.len();
    let end = |k: usize| points[k % n] + redrawn.moves[k % n];
    let deep = |new: &Added| {
        let k = new.after as usize;
        let chord = end(k + 1) - end(k);
        if closed || k + 1 < n { (chord.cross(new.at - end(k)) / chord.hypot()).abs() } else { f64::MAX }
    };
    let is_flat = |of_edge: &[Added]| of_edge.iter().all(|new| deep(new) < FLAT);
    let groups = redrawn.added.chunk_by(|a, b| a.after == b.after);
    let kept: Vec<Added> = groups.filter(|of_edge| !is_flat(of_edge)).flatten().copied().collect();
    let dropped = kept.len() < redrawn.added.len();
    redrawn.added = kept;
    dropped
}

/// Fairs a line with the vertices that it has. Gives by how much its turns lie outside of their bounds then, in radians in all.
fn faired(
    leg: &Leg,
    outline: &Outline,
    (points, closed): (&[Point], bool),
    at: &[f64],
    redrawn: &mut Redrawn,
) -> f64 {
    let (line, index) = redrawn.line(points);
    let vertices = bounds(leg, outline, (points, closed), at, redrawn, &index, line.len());
    let line = Line::new(line, closed, vertices);
    let mut off = vec![0.0; line.points.len()];
    let mut over = line.over_in_all(&line.turns);
    for reach in REACH {
        if over <= MET {
            break;
        }
        over = line.bring_back(&mut off, reach);
    }
    let by = |k: usize| line.across[k] * off[k];
    for (moved, &k) in redrawn.moves.iter_mut().zip(&index) {
        if off[k] != 0.0 {
            *moved += by(k);
        }
    }
    let mut old = index.iter().copied().peekable();
    let added = (0..line.points.len()).filter(|k| old.next_if_eq(k).is_none());
    for (new, k) in redrawn.added.iter_mut().zip(added) {
        new.at += by(k);
    }
    over
}

/// What each vertex of the new line may do; those beyond crotch seam and inseam, and those of their corners, stay as they are.
fn bounds(
    leg: &Leg,
    outline: &Outline,
    (points, closed): (&[Point], bool),
    at: &[f64],
    redrawn: &Redrawn,
    index: &[usize],
    len: usize,
) -> Vec<Option<Vertex>> {
    /// Vertices nearer than this, in mm, to the end of a seam belong to the corner there.
    const END: f64 = 1.0;
    /// In mm; a vertex that moves by the slide within this is a copy.
    const COPIED: f64 = 1e-6;
    let was = turns(points, closed);
    let arc = &outline.arc;
    let place = |k: usize| arc.at[k + leg.fly.len()];
    let top = if leg.fly.is_empty() { 0.0 } else { arc.at[leg.fly.len() + 1] };
    let mut all = vec![None; len];
    for Range { start, end } in [top..place(leg.fork), place(leg.fork)..place(leg.hem_in)] {
        let from_end = |i: usize| (at[i] - start).min(end - at[i]);
        let inside = |i: usize| from_end(i) > END && was[i].abs() < CORNER.to_radians();
        // No further from the end than the allowance is wide, a vertex may be the corner there: it is none of the seam's own.
        let own = |i: &usize| inside(*i) && from_end(*i) > (arc.point(at[*i]) - points[*i]).hypot();
        let turned = (0..points.len()).filter(own).map(|i| was[i]);
        let (low, high) = turned.fold((0.0_f64, 0.0_f64), |(l, h), t| (l.min(t), h.max(t)));
        let more = SHARPER.to_radians();
        // The other way it is bent as far as the sew line is: a straight seam that comes back to its place bends to and fro.
        let [back, forth] = outline.bent(points, start, end).map(|by| by.clamp(OTHER_WAY.to_radians(), more));
        let (least, most) = if high > -low { (low - back, high + more) } else { (low - more, high + forth) };
        for i in (0..points.len()).filter(|&i| inside(i)) {
            let moved = redrawn.moves[i];
            // What is copied moves as the fork does.
            let copied = (moved - outline.moved(leg.fork + leg.fly.len())).hypot() <= COPIED;
            let bound = Vertex {
                least: least.min(was[i]),
                most: most.max(was[i]),
                free: moved != Vec2::ZERO && !copied,
            };
            all[index[i]] = Some(bound);
        }
        // What is added belongs to the seam by its place between the ends of its edge.
        let mut old = index.iter().copied().peekable();
        let added = (0..len).filter(|k| old.next_if_eq(k).is_none());
        for (k, new) in added.zip(&redrawn.added) {
            let (a, b) = (new.after as usize, (new.after as usize + 1) % points.len());
            let place = at[a] + (at[b] - at[a]) * new.share;
            let over_the_waist = (at[b] - at[a]).abs() > arc.whole() / 2.0;
            if !over_the_waist && (start + END..end - END).contains(&place) {
                all[k] = Some(Vertex { least, most, free: true });
            }
        }
    }
    all
}

/// How a line turns at each point, in radians.
fn turns(points: &[Point], closed: bool) -> Vec<f64> {
    let n = points.len();
    let turn = |i: usize| {
        let (a, b) = (points[(i + n - 1) % n], points[(i + 1) % n]);
        let ends = !closed && (i == 0 || i + 1 == n);
        if ends { 0.0 } else { direction::angle(points[i] - a, b - points[i]).to_radians() }
    };
    (0..n).map(turn).collect()
}

/// A line that is to be faired.
struct Line {
    points: Vec<Point>,
    vertices: Vec<Option<Vertex>>,
    turns: Vec<f64>,
    /// For each point the direction across the line, to its left.
    across: Vec<Vec2>,
    /// For each vertex that is bounded, the points before and after it, and by how much its turn grows for each mm across of the
    /// point before, of its own and of the point after.
    slopes: Vec<Option<Slope>>,
}

#[derive(Clone, Copy)]
struct Slope {
    of: [usize; 3],
    by: [f64; 3],
}

impl Line {
    fn new(points: Vec<Point>, closed: bool, mut vertices: Vec<Option<Vertex>>) -> Self {
        /// In mm; edges shorter than this have no direction.
        const POINT: f64 = 0.01;
        let n = points.len();
        let turns = turns(&points, closed);
        // Where one vertex is brought back, its neighbours do not begin to turn the other way.
        for (vertex, &turn) in vertices.iter_mut().zip(&turns) {
            if let Some(vertex) = vertex.as_mut().filter(|v| (v.least..=v.most).contains(&turn)) {
                (vertex.least, vertex.most) = if vertex.most > -vertex.least {
                    (turn.min(0.0), vertex.most)
                } else {
                    (vertex.least, turn.max(0.0))
                };
            }
        }
        let around = |k: usize| [(k + n - 1) % n, k, (k + 1) % n];
        let across = |k: usize| {
            let [a, _, b] = around(k).map(|k| points[k]);
            Vec2::new(a.y - b.y, b.x - a.x).normalize()
        };
        let slope = |k: usize| {
            let of = around(k);
            let [a, p, b] = of.map(|k| points[k]);
            let [before, after] = [(p - a).hypot(), (b - p).hypot()];
            let end = !closed && (k == 0 || k + 1 == n);
            let by = [1.0 / before, -1.0 / before - 1.0 / after, 1.0 / after];
            (!end && vertices[k].is_some() && before.min(after) > POINT).then_some(Slope { of, by })
        };
        let (across, slopes) = ((0..n).map(across).collect(), (0..n).map(slope).collect());
        Line { points, vertices, turns, across, slopes }
    }

    /// By how much the turn of a vertex lies outside of its bounds, in radians.
    fn over(&self, k: usize, turn: f64) -> f64 {
        match (&self.vertices[k], &self.slopes[k]) {
            (Some(vertex), Some(_)) => turn - turn.clamp(vertex.least, vertex.most),
            _ => 0.0,
        }
    }

    /// By how much the turns of all vertices lie outside of their bounds.
    fn over_in_all(&self, turns: &[f64]) -> f64 {
        turns.iter().enumerate().map(|(k, &turn)| self.over(k, turn).abs()).sum()
    }

    /// Moves the vertices, each by at most `reach` from its place, until the line is fair. Gives by how much turns lie
    /// outside of their bounds then.
    fn bring_back(&self, off: &mut [f64], reach: f64) -> f64 {
        const SWEEPS: usize = 60;
        let is_free = |k: usize| self.vertices[k].is_some_and(|vertex| vertex.free);
        let turn = |off: &[f64], k: usize| {
            let more =
                self.slopes[k].map_or(0.0, |Slope { of, by }| (0..3).map(|j| by[j] * off[of[j]]).sum());
            self.turns[k] + more
        };
        let mut left = 0.0;
        for _ in 0..SWEEPS {
            for (k, slope) in self.slopes.iter().enumerate() {
                let Some(Slope { of, by }) = slope else { continue };
                let over = self.over(k, turn(off, k));
                let weight: f64 = (0..3).filter(|&j| is_free(of[j])).map(|j| by[j] * by[j]).sum();
                if over == 0.0 || weight == 0.0 {
                    continue;
                }
                for j in (0..3).filter(|&j| is_free(of[j])) {
                    off[of[j]] = (off[of[j]] - over * by[j] / weight).clamp(-reach, reach);
                }
            }
            let all: Vec<f64> = (0..self.points.len()).map(|k| turn(off, k)).collect();
            left = self.over_in_all(&all);
            if left <= MET {
                break;
            }
        }
        left
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// On an edge of 100 mm that is moved as a whole, a vertex 0.01 mm off the straight line shows nothing, and one 0.03 mm off does;
    /// all vertices of an edge are left out or none.
    #[test]
    fn vertices_on_the_straight_line_are_left_out() {
        let points = [(0.0, 0.0), (100.0, 0.0), (100.0, 100.0)].map(Point::from);
        let moved = Vec2::new(3.0, 4.0);
        let added = |after: u32, share: f64, off: f64| {
            let along = points[after as usize].lerp(points[(after as usize + 1) % 3], share);
            let at = along + moved + if after == 0 { Vec2::new(0.0, off) } else { Vec2::new(off, 0.0) };
            Added { after, share, at }
        };
        let drop = |closed: bool, added: Vec<Added>| {
            let mut redrawn = Redrawn { path: 0, moves: vec![moved; 3], added };
            let dropped = drop_flat(&points, closed, &mut redrawn);
            (dropped, redrawn.added)
        };
        let (flat, deep) = (added(0, 0.5, 0.01), added(1, 0.5, 0.03));
        assert_eq!(drop(false, vec![flat, deep]), (true, vec![deep]));
        assert_eq!(drop(false, vec![deep]), (false, vec![deep]));
        let both = vec![flat, added(0, 0.7, -0.03)];
        assert_eq!(drop(false, both.clone()), (false, both));
        // Only a closed line has an edge from its last point to its first.
        let last = Added { after: 2, share: 0.5, at: Point::new(53.0, 54.0) };
        assert_eq!(drop(true, vec![last]), (true, vec![]));
        assert_eq!(drop(false, vec![last]), (false, vec![last]));
    }
}
