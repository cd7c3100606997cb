//! A leg's sew line before and after, and lines that follow it at their distance.
//!
//! By hand one draws the cut line again from the new sew line with the allowance that it had. Here each point of a line belongs
//! to the place of the old sew line that it lies beside: either to an edge, at its distance from it, or to a corner, at its
//! distances from both edges there. It gets the same position relative to the new sew line, so that every allowance stays as it
//! is and corners keep their form.

use super::displacement::Applied;
use super::redrawn::{Added, Redrawn};
use crate::geometry::{corners, direction, line, ring};
use crate::seam::Leg;
use crate::seam::station::{self, Arc};
use kurbo::{Point, Vec2};

/// The least turn, in degrees, at which a corner is treated by its distances from both edges. At smaller turns the two distances
/// hardly determine the place along the line.
const CORNER: f64 = 20.0;

/// The length of line, in mm, over which its direction is taken: over less, a digitiser's noise determines it.
const ARM: f64 = 2.5;

/// A leg's sew line, including the extension of a fly, before and after.
pub(super) struct Outline {
    pub arc: Arc,
    new: Vec<Point>,
    /// For each edge, the vertices added on it.
    added: Vec<Vec<Added>>,
    /// For each edge, the movement of both its ends if that is the same and nothing is added between.
    still: Vec<Option<Vec2>>,
    /// The ends of the seams, and what is drawn of a fly.
    corners: Vec<usize>,
    /// Corners at the mouths of darts, each with whether the dart comes after it.
    mouths: Vec<(usize, bool)>,
    /// Corners on the waist between its ends, at darts and pleats.
    on_waist: Vec<usize>,
    /// The corner of inseam and hem.
    hem: usize,
    /// The corners of hem and outseam that stay, although an edge at them changes.
    stay: Vec<usize>,
    /// Whether the line begins between two vertices and what goes on above stays, as a bib does.
    pub below_more: bool,
}

/// The `k`th vertex that is added on an edge of the sew line.
#[derive(Clone, Copy, Debug)]
pub(super) struct OnEdge {
    edge: usize,
    k: usize,
}

/// A place beside the sew line.
#[derive(Clone, Copy, Debug)]
enum Beside {
    /// Beside an edge: at a share of it, with the offsets along it and to its left.
    Edge { edge: usize, share: f64, along: f64, left: f64 },
    /// At a corner, with the offsets to the left of the line before it and of the line after it.
    Corner { vertex: usize, left: [f64; 2], from: Vec2 },
}

/// A place of the sew line before and after, each with the line's direction there, and how much longer the line is there.
#[derive(Clone, Copy)]
struct Frame {
    old: (Point, Vec2),
    new: (Point, Vec2),
    stretch: f64,
}

impl Frame {
    /// The new position of a point that keeps its offsets from the place.
    fn moved(&self, p: Point) -> Point {
        let (from, along) = (p - self.old.0, self.new.1);
        self.new.0 + along * (self.old.1.dot(from) * self.stretch) + left_of(along) * self.old.1.cross(from)
    }

    /// How the place moves, where its direction stays.
    fn shift(&self) -> Option<Vec2> {
        (self.old.1 == self.new.1).then(|| self.new.0 - self.old.0)
    }
}

impl Outline {
    /// `ring` and `fly` are the points of ring and fly under the displacement, `added` the vertices added on the edge after each
    /// point of the ring.
    pub fn new(
        leg: &Leg,
        applied: &Applied<'_>,
        ring: &[Point],
        fly: &[Point],
        added: Vec<Vec<Added>>,
    ) -> Self {
        let arc = Arc::new(leg);
        let mut new = ring.to_vec();
        new.splice(1..1, fly.iter().copied());
        let mut on_edge = added;
        on_edge.splice(1..1, fly.iter().map(|_| Vec::new()));
        let n = new.len();
        let shift = |i: usize| new[i % n] - arc.points[i % n];
        let still =
            (0..n).map(|i| (shift(i) == shift(i + 1) && on_edge[i].is_empty()).then(|| shift(i))).collect();
        let mouths =
            (leg.side..ring.len()).filter_map(|k| Some((k + fly.len(), applied.waist.mouth(k)?))).collect();
        // If the inseam rejoins its old line only at the hem, its cut line meets the hem at another place.
        let hem = (!applied.turns_at_hem).then_some(leg.hem_in);
        let ends = [leg.fork, leg.hem_in, leg.hem_out, leg.side].map(|k| k + fly.len());
        let corners = (0..=fly.len()).chain((!fly.is_empty()).then_some(fly.len() + 1)).chain(ends).collect();
        let stay = hem.into_iter().chain([leg.side]).map(|k| k + fly.len()).collect();
        let (hem, below_more) = (leg.hem_in + fly.len(), leg.drawn.starts_below_more());
        let turns = corners::turns(&leg.ring);
        let sharp = |&k: &usize| turns[k].abs() >= CORNER;
        let on_waist = (leg.side + 1..ring.len()).filter(sharp).map(|k| k + fly.len()).collect();
        Outline { arc, new, added: on_edge, still, corners, mouths, on_waist, hem, stay, below_more }
    }

    /// How far a vertex moves.
    pub fn moved(&self, vertex: usize) -> Vec2 {
        self.new[vertex] - self.arc.points[vertex]
    }

    /// The closed line of a piece that is no leg, before and after it was redrawn.
    pub fn of_line(points: &[Point], redrawn: &Redrawn) -> Self {
        let n = points.len();
        let new: Vec<Point> = points.iter().zip(&redrawn.moves).map(|(p, by)| *p + *by).collect();
        let mut added = vec![Vec::new(); n];
        redrawn.added.iter().for_each(|new| added[new.after as usize].push(*new));
        let moves = &redrawn.moves;
        let still = (0..n)
            .map(|i| (moves[i] == moves[(i + 1) % n] && added[i].is_empty()).then(|| moves[i]))
            .collect();
        let turns = corners::turns(points);
        let corners = (0..n).filter(|&i| turns[i].abs() >= CORNER).collect();
        let [on_waist, stay] = [(); 2].map(|()| Vec::new());
        Outline {
            arc: Arc::of_line(points),
            new,
            added,
            still,
            corners,
            mouths: Vec::new(),
            on_waist,
            hem: n,
            stay,
            below_more: false,
        }
    }

    /// The index of the edge at a place of the line, and the share of the edge there.
    fn edge(&self, at: f64) -> (usize, f64) {
        /// In mm: the rounding error of summed lengths must not separate a corner from the edge that begins there.
        const NOTHING: f64 = 1e-9;
        let all = &self.arc.at;
        let k = all.partition_point(|&a| a < at - NOTHING).clamp(1, self.new.len()) - 1;
        let length = all[k + 1] - all[k];
        if at >= all[k + 1] - NOTHING {
            return (k, 1.0);
        }
        (k, if length > 0.0 { ((at - all[k]) / length).clamp(0.0, 1.0) } else { 0.0 })
    }

    /// The new position of a point that belongs to the place `at` of the old line.
    pub fn follow(&self, p: Point, at: f64) -> Point {
        let (edge, share) = self.edge(at);
        let around = [edge.checked_sub(1).unwrap_or(self.new.len() - 1), edge, (edge + 1) % self.new.len()];
        if let Some(shift) = self.still[edge]
            && around.iter().all(|&k| self.still[k] == Some(shift))
        {
            return p + shift;
        }
        match self.beside(p, edge, share) {
            Beside::Edge { edge, share, along, left } => self.beside_edge(edge, share, along, left),
            Beside::Corner { vertex, .. } if self.stay.contains(&vertex) => p,
            Beside::Corner { vertex, left, from } => match self.mouths.iter().find(|(k, _)| *k == vertex) {
                // A line that runs across a dart moves with the waist on either side of it.
                Some((_, dart_after)) => self.beside_arm(p, vertex, !dart_after, false),
                None => self.at_corner(p, vertex, left, from),
            },
        }
    }

    fn beside_edge(&self, edge: usize, share: f64, along: f64, left: f64) -> Point {
        let (at, direction) = self.on_new(edge, share);
        let direction = if self.is_short(edge) { self.direction(&self.new, edge) } else { direction };
        at + direction * along + left_of(direction) * left
    }

    /// The new position of a point of a line that runs across a dart, where it lies over the mouth: at its old place along the straight
    /// line across the mouth, and at its old distance from it.
    pub fn over_dart(&self, p: Point, at: f64) -> Option<Point> {
        let (edge, share) = self.edge(at);
        let Beside::Corner { vertex, .. } = self.beside(p, edge, share) else { return None };
        // Along the ring, each dart has a corner that it comes after, and then one that it comes before.
        let dart =
            self.mouths.chunk_by(|a, b| a.1 && !b.1).find(|dart| dart.iter().any(|(k, _)| *k == vertex));
        let &[(from, _), (to, _)] = dart? else { return None };
        let across = |points: &[Point]| points[to] - points[from];
        let (old, new) = (across(&self.arc.points), across(&self.new));
        let off = p - self.arc.points[from];
        let share = off.dot(old) / old.hypot2();
        let left = old.normalize().cross(off);
        let moved = new != old || self.new[from] != self.arc.points[from];
        let over = moved && (0.0..=1.0).contains(&share);
        over.then(|| self.new[from] + new * share + left_of(new.normalize()) * left)
    }

    /// The way along the sew line between two of its places, straight across the mouths of darts.
    pub fn way(&self, from: f64, to: f64) -> f64 {
        let at = &self.arc.at;
        // Along the ring, each dart has a corner that it comes after, and then one that it comes before.
        let darts = self.mouths.chunk_by(|a, b| a.1 && !b.1).filter_map(|dart| match dart {
            &[(a, _), (b, _)] if from <= at[a] && at[b] <= to => {
                Some(at[b] - at[a] - (self.arc.points[b] - self.arc.points[a]).hypot())
            }
            _ => None,
        });
        to - from - darts.sum::<f64>()
    }

    /// Like [`Outline::follow`] for a point on an edge of a line that runs from a corner of the sew line (`from_corner`) or to
    /// it: a point beyond the corner stays in line with the edge.
    pub fn follow_edge(&self, p: Point, at: f64, from_corner: bool) -> Point {
        let (edge, share) = self.edge(at);
        let vertex = if share < 0.5 { edge } else { (edge + 1) % self.new.len() };
        let beyond = share <= 0.0 || share >= 1.0;
        // A line may run across the mouth of a dart.
        let at_dart = self.mouths.iter().any(|(k, _)| *k == vertex);
        if beyond && !at_dart && self.forms_corner(vertex) {
            return self.beside_arm(p, vertex, from_corner, true);
        }
        self.follow(p, at)
    }

    /// The new corner of a line at a corner of the sew line: the intersection of its redrawn edges `before` and `after` it, each of
    /// which stays beside the place of its own seam that the corner lies opposite. On the inner side of the sew line's corner these
    /// places are as far from it as the corner is wide: a seam may bend or stretch between.
    /// `None` where the edges do not run along the sew line.
    pub fn corner(&self, p: Point, at: f64, [before, after]: [Vec2; 2]) -> Option<Point> {
        /// The largest angle, in degrees, between an edge and the sew line beside it.
        const LEANS: f64 = 20.0;
        let (edge, share) = self.edge(at);
        let vertex = if share < 0.5 { edge } else { (edge + 1) % self.new.len() };
        let arms = self.old_arms(vertex);
        let beside = |edge: Vec2, arm: Vec2| direction::angle(edge, arm).abs() <= LEANS;
        if !self.forms_corner(vertex) {
            return None;
        }
        let frames = [false, true].map(|after| self.frame(p, vertex, after));
        match [beside(before, frames[0].old.1), beside(after, frames[1].old.1)] {
            [true, true] => {}
            // Where a corner is cut off, each end of the cut belongs to the edge that it ends on.
            [runs_in, runs_out] if runs_in != runs_out && (vertex == 0 || vertex == self.hem) => {
                let new = self.new_arms(vertex);
                let pick = usize::from(runs_out);
                // The edge that cuts a corner off runs along neither of the corner's edges.
                if new == arms || beside([after, before][pick], arms[pick]) {
                    return None;
                }
                let stays = new[pick] == arms[pick] && self.new[vertex] == self.arc.points[vertex];
                return Some(if stays { p } else { self.beside_arm(p, vertex, runs_out, false) });
            }
            _ => return None,
        }
        if let [Some(one), Some(other)] = frames.map(|frame| frame.shift())
            && one == other
        {
            return Some(p + one);
        }
        let [a, b] = [p, p - before].map(|q| frames[0].moved(q));
        let [c, d] = [p, p + after].map(|q| frames[1].moved(q));
        let (one, other) = (a - b, d - c);
        let cross = one.cross(other);
        (cross != 0.0).then(|| a + one * ((c - a).cross(other) / cross))
    }

    /// What a point at a corner keeps its position to: the place of the seam before or after the corner that it lies opposite, or
    /// the seam's end where it lies beyond that.
    fn frame(&self, p: Point, vertex: usize, after: bool) -> Frame {
        let n = self.new.len();
        let other = self.arm(vertex, !after);
        let length = |points: &[Point]| (points[other] - points[vertex]).hypot();
        let pick = usize::from(after);
        let at_end = Frame {
            old: (self.arc.points[vertex], self.old_arms(vertex)[pick]),
            new: (self.new[vertex], self.new_arms(vertex)[pick]),
            stretch: length(&self.new) / length(&self.arc.points),
        };
        // The seam on this side, up to its other end, as far as the corner can lie opposite it.
        let at = &self.arc.at;
        let reach = 2.0 * (p - self.arc.points[vertex]).hypot();
        let corners = || self.corners.iter().map(|&k| at[k]);
        let (from, to) = if after {
            let end = corners().filter(|&c| c > at[vertex]).fold(self.arc.whole(), f64::min);
            (at[vertex], end.min(at[vertex] + reach))
        } else {
            let to = if vertex == 0 { self.arc.whole() } else { at[vertex] };
            (corners().filter(|&c| c < to).fold(0.0, f64::max).max(to - reach), to)
        };
        let place = self.arc.nearest_on(p, from, to);
        let (edge, share) = self.edge(place);
        if (edge == vertex && share <= 0.0) || ((edge + 1) % n == vertex && share >= 1.0) {
            return at_end;
        }
        let (new, direction) = self.on_new(edge, share);
        let old = self.arc.points[edge].lerp(self.arc.points[(edge + 1) % n], share);
        let length = |points: &[Point]| (points[(edge + 1) % n] - points[edge]).hypot();
        let stretch = length(&self.new) / length(&self.arc.points);
        let direction = if self.is_short(edge) { self.direction(&self.new, edge) } else { direction };
        Frame { old: (old, self.direction(&self.arc.points, edge)), new: (new, direction), stretch }
    }

    /// The new position of a point at a corner of the sew line whose own line runs straight on there, between the edges `before` and
    /// `after`, beside one of the corner's two edges only: it belongs to that edge, and stays if that does.
    pub fn beyond_corner(&self, p: Point, at: f64, around: [Vec2; 2]) -> Option<Point> {
        /// The largest angle, in degrees, between an edge and the sew line beside it.
        const LEANS: f64 = 20.0;
        let (edge, share) = self.edge(at);
        let Beside::Corner { vertex, .. } = self.beside(p, edge, share) else { return None };
        let own = self.corners.contains(&vertex) && !self.stay.contains(&vertex) && self.is_corner(vertex);
        let (arms, new) = (self.old_arms(vertex), self.new_arms(vertex));
        let beside = |arm: Vec2| around.iter().all(|edge| direction::angle(*edge, arm).abs() <= LEANS);
        let after = match arms.map(beside) {
            [true, false] => false,
            [false, true] => true,
            _ => return None,
        };
        let pick = usize::from(after);
        let stays = new[pick] == arms[pick] && self.new[vertex] == self.arc.points[vertex];
        own.then(|| if stays { p } else { self.beside_arm(p, vertex, after, false) })
    }

    /// Whether an edge of a line is drawn beside a single edge of the sew line, with its ends beside that edge's ends, or around
    /// a single corner of it; then the same holds after the alteration. The edge is given by its ends and their places on the sew
    /// line.
    pub fn beside_one_edge(&self, ends: [(Point, f64); 2]) -> bool {
        /// How far off the bisector of its corner an end may lie, as a share of its distance and in mm.
        const OFF: (f64, f64) = (0.1, 0.1);
        let n = self.new.len();
        let [a, b] = ends.map(|(p, at)| {
            let (edge, share) = self.edge(at);
            let vertex = if share < 0.5 { edge } else { (edge + 1) % n };
            let [before, after] = self.old_arms(vertex);
            let from = p - self.arc.points[vertex];
            let off = (before + after).normalize().dot(from).abs();
            // The point lies beyond the end of a seam, or perpendicular to that end.
            let along = share.min(1.0 - share) * (self.arc.at[edge + 1] - self.arc.at[edge]);
            let beyond = self.corners.contains(&vertex) && along <= OFF.0 * from.hypot();
            // Over the mouth of a dart, the point belongs to the line across it.
            let opposite = beyond || off <= OFF.0 * from.hypot() + OFF.1;
            (opposite && self.over_dart(p, at).is_none()).then_some(vertex)
        });
        let (Some(a), Some(b)) = (a, b) else { return false };
        if a == b {
            return true;
        }
        let edge = if (a + 1) % n == b { a } else { b };
        ((a + 1) % n == b || (b + 1) % n == a) && self.added[edge].is_empty()
    }

    /// The place of the sew line's corner that a corner of a line belongs to, if one that turns the same way is about as near as the
    /// line; otherwise `at` itself.
    pub fn corner_near(&self, p: Point, at: f64, [before, after]: [Vec2; 2]) -> f64 {
        /// The reach along the sew line, as a multiple of the point's distance from it.
        const NEAR: f64 = 1.5;
        let reach = NEAR * (self.arc.point(at) - p).hypot();
        let alike = |&&k: &&usize| {
            let arms = self.old_arms(k);
            arms[0].cross(arms[1]) * before.cross(after) > 0.0
        };
        let places = self.corners.iter().chain(&self.on_waist).filter(alike).map(|&k| self.arc.at[k]);
        let nearest = places.min_by(|a, b| (a - at).abs().total_cmp(&(b - at).abs()));
        nearest.filter(|c| (c - at).abs() <= reach).unwrap_or(at)
    }

    /// Shortens a stretch of the sew line at one of its corners that lies a little before the end `end`: the inner corner of an
    /// offset line lies there.
    pub fn up_to_corner(&self, (from, to): (f64, f64), end: f64) -> (f64, f64) {
        /// The largest share of the stretch that may lie beyond the corner.
        const BEYOND: f64 = 0.35;
        let inside = |c: &f64| from < *c && *c < to;
        let most = BEYOND * (to - from);
        let all = || self.corners.iter().chain(&self.on_waist);
        let corners = || all().map(|&k| self.arc.at[k]).filter(inside);
        if end >= to {
            (from, corners().find(|c| to - c <= most).unwrap_or(to))
        } else {
            (corners().rfind(|c| c - from <= most).unwrap_or(from), to)
        }
    }

    /// Whether a corner at the inner end of the hem may stay where it was, because its movement `by` along the hem would not be
    /// visible.
    pub fn holds(&self, at: f64, by: Vec2) -> bool {
        /// In mm; a part of the tolerance of the allowance.
        const SHOWS: f64 = 0.035;
        let (edge, share) = self.edge(at);
        let vertex = if share < 0.5 { edge } else { (edge + 1) % self.new.len() };
        vertex == self.hem && by.hypot() <= SHOWS
    }

    /// Whether lines that follow the sew line may have a corner of their own at a vertex.
    fn forms_corner(&self, vertex: usize) -> bool {
        let listed = self.corners.contains(&vertex) || self.on_waist.contains(&vertex);
        listed && !self.stay.contains(&vertex) && self.is_corner(vertex)
    }

    /// Whether the sew line turns sharply at a vertex, before and after.
    fn is_corner(&self, vertex: usize) -> bool {
        let sharp = |[a, b]: [Vec2; 2]| direction::angle(a, b).abs() >= CORNER;
        sharp(self.old_arms(vertex)) && sharp(self.new_arms(vertex))
    }

    /// The new position of a point beside the edge after a vertex, or before it, although it lies beyond the edge's end: with the
    /// same offset from the edge's line, and the same offset along it, which is scaled with the edge if `stretched`.
    fn beside_arm(&self, p: Point, vertex: usize, after: bool, stretched: bool) -> Point {
        let other = self.arm(vertex, !after);
        let length = |points: &[Point]| (points[other] - points[vertex]).hypot();
        let stretch = if stretched { length(&self.new) / length(&self.arc.points) } else { 1.0 };
        let pick = usize::from(after);
        let (old, new) = (self.old_arms(vertex)[pick], self.new_arms(vertex)[pick]);
        let from = p - self.arc.points[vertex];
        self.new[vertex] + new * (old.dot(from) * stretch) + left_of(new) * old.cross(from)
    }

    /// Decides whether a point lies beside an edge or at a corner.
    fn beside(&self, p: Point, edge: usize, share: f64) -> Beside {
        /// How far off the bisector of a corner a point may lie, as a share of its distance.
        const OFF: f64 = 0.02;
        /// The same in mm, for the rounding of coordinates.
        const ROUNDING: f64 = 0.02;
        let n = self.new.len();
        let vertex = if share < 0.5 { edge } else { (edge + 1) % n };
        let [before, after] = self.old_arms(vertex);
        let from = p - self.arc.points[vertex];
        let off = (before + after).normalize().dot(from).abs();
        // A point in line with the hem stays in line with it, although the inseam beside it leans over it.
        let beyond =
            share <= 0.0 || share >= 1.0 || vertex == self.hem && after.cross(from).abs() <= ROUNDING;
        if off <= OFF * from.hypot() + ROUNDING || beyond {
            return Beside::Corner { vertex, left: [before.cross(from), after.cross(from)], from };
        }
        let direction = self.direction(&self.arc.points, edge);
        let from = p - self.arc.points[edge].lerp(self.arc.points[(edge + 1) % n], share);
        Beside::Edge { edge, share, along: direction.dot(from), left: direction.cross(from) }
    }

    /// Whether an edge is too short to give a direction.
    fn is_short(&self, edge: usize) -> bool {
        self.arc.at[edge + 1] - self.arc.at[edge] < ARM
    }

    /// The direction of a line at an edge; for a short edge its surroundings are included.
    fn direction(&self, points: &[Point], edge: usize) -> Vec2 {
        let n = points.len();
        let (mut a, mut b) = (edge, (edge + 1) % n);
        if self.is_short(edge) {
            // The surroundings end at a corner.
            let corner = |k: usize| self.corners.contains(&k);
            (a, b) = (
                if corner(a) { a } else { self.arm(a, true) },
                if corner(b) { b } else { self.arm(b, false) },
            );
        }
        (points[b] - points[a]).normalize()
    }

    /// The vertex of the old line at least [`ARM`] away from this one, or a corner if one comes first.
    fn arm(&self, vertex: usize, backwards: bool) -> usize {
        let n = self.arc.points.len();
        let step = |k: usize| if backwards { (vertex + n - k) % n } else { (vertex + k) % n };
        let from = self.arc.points[vertex];
        let far = |k: &usize| (self.arc.points[*k] - from).hypot() >= ARM || self.corners.contains(k);
        (1..n).map(step).find(far).unwrap_or(vertex)
    }

    /// The old line's directions before and after a vertex.
    fn old_arms(&self, vertex: usize) -> [Vec2; 2] {
        self.old_arms_to(vertex, [self.arm(vertex, true), self.arm(vertex, false)])
    }

    fn old_arms_to(&self, vertex: usize, [a, b]: [usize; 2]) -> [Vec2; 2] {
        let at = |k: usize| self.arc.points[k];
        [(at(vertex) - at(a)).normalize(), (at(b) - at(vertex)).normalize()]
    }

    /// The new line's directions before and after a vertex, over the same arms.
    fn new_arms(&self, vertex: usize) -> [Vec2; 2] {
        self.new_arms_to(vertex, [self.arm(vertex, true), self.arm(vertex, false)])
    }

    fn new_arms_to(&self, vertex: usize, [a, b]: [usize; 2]) -> [Vec2; 2] {
        let n = self.new.len();
        // An arm of one edge may have vertices added on it.
        let last = self.added[a].last().filter(|_| (a + 1) % n == vertex).map_or(self.new[a], |new| new.at);
        let first =
            self.added[vertex].first().filter(|_| (vertex + 1) % n == b).map_or(self.new[b], |new| new.at);
        [(self.new[vertex] - last).normalize(), (first - self.new[vertex]).normalize()]
    }

    /// The point of the new line at a share of an old edge, and the line's direction there.
    fn on_new(&self, edge: usize, share: f64) -> (Point, Vec2) {
        let n = self.new.len();
        let (mut a, mut b) = ((0.0, self.new[edge]), (1.0, self.new[(edge + 1) % n]));
        for new in &self.added[edge] {
            if new.share <= share {
                a = (new.share, new.at);
            } else {
                b = (new.share, new.at);
                break;
            }
        }
        (a.1.lerp(b.1, (share - a.0) / (b.0 - a.0)), (b.1 - a.1).normalize())
    }

    /// Where an edge that runs beside the sew line from one of its places to the other passes from one of its edges to the next, as
    /// shares: on the outer side of a vertex perpendicular to both edges there, on the inner side on their bisector. None where the
    /// vertices are close together, as samples show as much.
    pub fn opposite(&self, [a, b]: [Point; 2], (from, to): (f64, f64)) -> Vec<f64> {
        /// The most vertices.
        const MOST: usize = 16;
        let (n, at) = (self.new.len(), &self.arc.at);
        let first = at.partition_point(|&at| at <= from);
        let inside = (first..=first + MOST).take_while(|k| {
            let round = if *k >= n { self.arc.whole() } else { 0.0 };
            at[k % n] + round < to
        });
        let vertices: Vec<usize> = inside.map(|k| k % n).collect();
        if vertices.len() > MOST {
            return Vec::new();
        }
        let along = b - a;
        let share = |k: usize, edge: Vec2| (self.arc.points[k] - a).dot(edge) / along.dot(edge);
        let points = &self.arc.points;
        let shares = vertices.iter().flat_map(|&k| {
            let before = (points[k] - points[(k + n - 1) % n]).normalize();
            let after = (points[(k + 1) % n] - points[k]).normalize();
            let inside = before.cross(after) * before.cross(a.midpoint(b) - points[k]) > 0.0;
            let edges = if inside { vec![before + after] } else { vec![before, after] };
            edges.into_iter().map(move |edge| share(k, edge))
        });
        shares.filter(|share| (0.0..=1.0).contains(share)).collect()
    }

    /// By how much more, in radians, the new line turns at a vertex clockwise and counter-clockwise, as seen along a line of these
    /// points, than the old one did anywhere between these two of its places; corners are none of it.
    pub fn bent(&self, along: &[Point], from: f64, to: f64) -> [f64; 2] {
        let n = self.new.len();
        let mut inside = (0..n).filter(|&k| from < self.arc.at[k] && self.arc.at[k] < to);
        let reach = |turns: &mut dyn Iterator<Item = f64>| {
            let bends = turns.filter(|turn| turn.abs() < CORNER.to_radians());
            bends.fold([0.0_f64; 2], |[back, forth], turn| [back.max(-turn), forth.max(turn)])
        };
        let turn = |[a, b, c]: [Point; 3]| direction::angle(b - a, c - b).to_radians();
        let was =
            reach(&mut inside.clone().map(|k| turn([n - 1, 0, 1].map(|by| self.arc.points[(k + by) % n]))));
        let first = inside.clone().next().unwrap_or(0).saturating_sub(1);
        let line: Vec<Point> = (first..=inside.next_back().unwrap_or(0))
            .flat_map(|k| std::iter::once(self.new[k]).chain(self.added[k].iter().map(|new| new.at)))
            .collect();
        let is = reach(&mut line.windows(3).map(|w| turn([w[0], w[1], w[2]])));
        let [back, forth] = [0, 1].map(|way| is[way] - was[way]);
        let same_way = ring::doubled_area(along) * ring::doubled_area(&self.arc.points) > 0.0;
        if same_way { [back, forth] } else { [forth, back] }
    }

    /// The vertices added between two places of the old line; places beyond its end are counted on from there.
    pub fn added_between(&self, from: f64, to: f64) -> impl Iterator<Item = OnEdge> {
        let at = &self.arc.at;
        let all = self.added.iter().enumerate().flat_map(|(edge, on_edge)| {
            on_edge.iter().enumerate().map(move |(k, new)| (OnEdge { edge, k }, new.share))
        });
        all.filter(move |(OnEdge { edge, .. }, share)| {
            let station = at[*edge] + (at[edge + 1] - at[*edge]) * share;
            [station, station + self.arc.whole()].iter().any(|s| (from..=to).contains(s))
        })
        .map(|(place, _)| place)
    }

    /// Where a vertex is added, on the old line.
    pub fn point(&self, OnEdge { edge, k }: OnEdge) -> Point {
        let (a, b) = (self.arc.points[edge], self.arc.points[(edge + 1) % self.new.len()]);
        a.lerp(b, self.added[edge][k].share)
    }

    /// The new position of a point beside a vertex that is added: at its distance from the edges on both sides.
    pub fn follow_added(&self, p: Point, place @ OnEdge { edge, k }: OnEdge) -> Point {
        let (on_edge, at) = (&self.added[edge], self.added[edge][k].at);
        let [a, b] = [edge, (edge + 1) % self.new.len()];
        let before = at - k.checked_sub(1).map_or(self.new[a], |k| on_edge[k].at);
        let after = on_edge.get(k + 1).map_or(self.new[b], |new| new.at) - at;
        let along = (before.normalize() + after.normalize()).normalize();
        let (old, from) = ((self.arc.points[b] - self.arc.points[a]).normalize(), p - self.point(place));
        at + along * old.dot(from) + left_of(along) * (old.cross(from) / along.dot(before.normalize()))
    }

    /// A point at a corner, at its old distances from both edges.
    fn at_corner(&self, p: Point, vertex: usize, left: [f64; 2], from: Vec2) -> Point {
        /// Edges that almost reverse their direction, by the cross product of their unit vectors, have no usable distances.
        const BACK: f64 = 0.1;
        let (was, is) = (self.arc.points[vertex], self.new[vertex]);
        let around = [self.arm(vertex, true), self.arm(vertex, false)];
        let (old, new) = (self.old_arms_to(vertex, around), self.new_arms_to(vertex, around));
        let (turned, turns) = (direction::angle(old[0], old[1]), direction::angle(new[0], new[1]));
        let cross = new[0].cross(new[1]);
        if new == old {
            return p + (is - was);
        }
        if turned.abs() >= CORNER && cross.abs() > BACK {
            return is + (new[1] * left[0] - new[0] * left[1]) / cross;
        }
        let (was_along, along) = ((old[0] + old[1]).normalize(), (new[0] + new[1]).normalize());
        let wider = (turned.to_radians() / 2.0).cos() / (turns.to_radians() / 2.0).cos();
        // Where vertices are near each other, what lies between two of them is stretched with their line.
        let [now, then] = [&self.new, &self.arc.points]
            .map(|line| around.iter().map(|&k| (line[k] - line[vertex]).hypot()).sum::<f64>());
        let stretch = if then > 0.0 { now / then } else { 1.0 };
        is + along * (was_along.dot(from) * stretch) + left_of(along) * (was_along.cross(from) * wider)
    }
}

/// The new positions of a fly's points: they move with the centre front line beside them, and stay as far from it. Its top stays with
/// the waist.
pub(super) fn fly(leg: &Leg, applied: &Applied<'_>) -> Vec<Point> {
    let first = line::length(&leg.ring[..=1]);
    let ends = [0, 1].map(|i| applied.crotch[i] - leg.ring[i]);
    let [was, is] = [&leg.ring, &applied.crotch].map(|line| (line[1] - line[0]).normalize());
    let moved = |(&p, s): (&Point, station::Station)| {
        let new = p + ends[0].lerp(ends[1], (s.at / first).clamp(0.0, 1.0));
        let off = was.cross(p - leg.ring[0]) - is.cross(new - applied.crotch[0]);
        if s.at > 0.0 { new + left_of(is) * off } else { new }
    };
    leg.fly.iter().zip(station::on_fly(leg)).map(moved).collect()
}

fn left_of(along: Vec2) -> Vec2 {
    Vec2::new(-along.y, along.x)
}
