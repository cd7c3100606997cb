//! The way back along the inseam: a copy from the fork down, then bent back to the old line.

use super::bend::{Joint, bend};
use super::joints::{Own, Turns};
use super::moves::Moves;
use crate::geometry::{direction::turn, line};
use crate::seam::{Leg, SeamRole};
use crate::units::Mm;
use kurbo::{Point, Vec2};
use std::collections::HashSet;

/// The part of the way from the fork to where the line has come back that is an exact copy, which the
/// trade asks for at least: where it ends on an edge, a hair more, so that a vertex that lies on it leaves no doubt.
const COPY: f64 = 0.2501;

/// A vertex from here on ends the copy.
const LEAST: f64 = 0.25 - 1e-6;

/// No more of the way than this is copied; the rest is for coming back.
const MOST: f64 = 0.45;

/// A first segment of this share of the way back or more is a seam drawn with two vertices.
const TWO_VERTICES: f64 = 0.6;

/// Edges are divided into parts of this many mm where the drawn vertices are too few for a smooth line, the first that
/// will do.
const PARTS: [f64; 2] = [24.0, 12.0];

/// By how many degrees a vertex may bend the other way than its seam did, the first that is enough.
const OTHER_WAY: [f64; 10] = [0.0, 0.02, 0.04, 0.06, 0.08, 0.1, 0.15, 0.2, 0.3, 0.4];

/// An edge that bends by no more than this, in mm, is shown by its ends.
const FLAT: f64 = 0.025;

/// A point of the inseam: on which edge after which of the ring's points, and where on it as a share. A
/// share of 0 is the point itself.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Place {
    /// The point of the ring that the edge begins at.
    pub edge: usize,
    /// How far along the edge, from 0 to 1.
    pub share: f64,
}

/// How an inseam comes back.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct WayBack {
    up: Vec2,
    out: Vec2,
    fork: usize,
    /// The inseam's points, and how far each is from the fork.
    points: Vec<Point>,
    at: Vec<f64>,
    /// Where the copy ends and where the line has come back; the same where a straight seam of two vertices
    /// turns about its lower end.
    keep: f64,
    end: f64,
    straight: bool,
    turns: Turns,
    length: f64,
}

/// An inseam as it comes back.
#[derive(Clone, Debug, PartialEq)]
pub struct CameBack {
    /// The new places of the ring's points from the fork to the hem.
    pub points: Vec<Point>,
    /// Vertices that are added.
    pub added: Vec<(Place, Point)>,
}

impl WayBack {
    pub fn new(leg: &Leg, blend: Mm) -> Self {
        let points = leg.seam(SeamRole::Inseam);
        let at = line::stations(&points);
        let length = at[at.len() - 1];
        let (keep, end, straight) = if at[1] >= TWO_VERTICES * blend.0 {
            (at[1], at[1], true)
        } else {
            let end = came_back(&at, blend.0.min(length));
            let keep = at.iter().copied().find(|s| *s >= LEAST * end).unwrap_or(end);
            (if keep > MOST * end { COPY * end } else { keep }, end, false)
        };
        let turns = Turns::of(&points);
        WayBack { up: leg.up, out: leg.out, fork: leg.fork, points, at, keep, end, straight, turns, length }
    }

    /// How far along the inseam the line has come back.
    pub fn end(&self) -> f64 {
        self.end
    }

    /// Whether it comes back at the seam's lower end only.
    pub fn turns_at_hem(&self) -> bool {
        self.end >= self.length
    }

    /// How much of the way back can be squeezed together.
    pub fn room(&self) -> f64 {
        if self.straight { self.end } else { self.end - self.keep }
    }

    /// By how much, in radians, the inseam turns at the fork: a straight one turns about its lower end.
    pub fn turned(&self, came_back: &CameBack) -> f64 {
        let first = |points: &[Point]| points[1] - points[0];
        let (was, is) = (first(&self.points), first(&came_back.points));
        if self.straight { was.cross(is).atan2(was.dot(is)) } else { 0.0 }
    }

    /// How much longer the inseam is under these moves.
    pub fn longer(&self, moves: Moves) -> Option<f64> {
        let back = self.apply(moves)?;
        let mut all: Vec<(f64, Point)> =
            back.points.iter().enumerate().map(|(k, &p)| (k as f64, p)).collect();
        all.extend(back.added.iter().map(|(place, p)| ((place.edge - self.fork) as f64 + place.share, *p)));
        all.sort_by(|a, b| a.0.total_cmp(&b.0));
        Some(all.windows(2).map(|w| (w[1].1 - w[0].1).hypot()).sum::<f64>() - self.length)
    }

    /// The inseam under these moves. `None` where no smooth line comes back.
    pub fn apply(&self, moves: Moves) -> Option<CameBack> {
        let shift = self.up * -moves.along.0 + self.out * moves.across.0;
        let mut points = self.points.clone();
        if shift == Vec2::ZERO {
            return Some(CameBack { points, added: Vec::new() });
        }
        if self.straight {
            points[0] += shift;
            self.corner(&mut points, moves.across.0 != 0.0)?;
            return Some(CameBack { points, added: Vec::new() });
        }
        // A fork that is carried across bends the seam from the fork on; one that only slides moves a copy.
        let keep = if moves.across.0 == 0.0 { self.keep } else { 0.0 };
        let (places, bent) = self.bent(keep, shift)?;
        for (p, _) in points.iter_mut().zip(&self.at).filter(|(_, s)| **s <= keep) {
            *p += shift;
        }
        let mut added = Vec::new();
        for (&place, &new) in places.iter().zip(&bent) {
            if place.share == 0.0 {
                let i = place.edge - self.fork;
                // What is copied or has come back is so to the last digit.
                let still = self.at[i] <= keep || self.at[i] >= self.end;
                if !still {
                    points[i] = new;
                }
            } else {
                added.push((place, new));
            }
        }
        // Where the copy ends on an edge, or the line has come back on one, its ends may be enough to show it.
        let shown = visibly_bent(&added, |edge| [0, 1].map(|k| points[edge - self.fork + k]));
        added.retain(|(place, _)| shown.contains(&place.edge));
        let added = thinned(&added, |i| points[i - self.fork]);
        Some(CameBack { points, added })
    }

    /// A straight first edge turns at the next corner. Where that would become too sharp, the corner goes so far across
    /// the next edge that it does not, and the turn is shared with the corner after it.
    fn corner(&self, points: &mut [Point], carried: bool) -> Option<()> {
        /// The corner goes by no more than this share of the next edge.
        const FURTHEST: f64 = 0.05;
        let (Some(&next), sharpest) = (points.get(2), self.turns.sharpest(carried)) else { return Some(()) };
        let (was, edge) = (points[1], next - points[1]);
        let across = Vec2::new(-edge.y, edge.x);
        let (above, limit) = (points[0], sharpest * turn(was - points[0], next - was).signum());
        let over = |share: f64| {
            let corner = was + across * share;
            (turn(corner - above, next - corner) - limit) * limit.signum()
        };
        if over(0.0) <= 0.0 {
            return Some(());
        }
        let (mut low, mut high) = (0.0, FURTHEST);
        if over(high) > 0.0 {
            high = -FURTHEST;
        }
        if over(high) > 0.0 {
            return None;
        }
        for _ in 0..60 {
            let middle = f64::midpoint(low, high);
            if over(middle) > 0.0 { low = middle } else { high = middle }
        }
        points[1] = was + across * high;
        let sound = points.get(3).is_none_or(|&after| turn(next - points[1], after - next).abs() <= sharpest);
        sound.then_some(())
    }

    /// The stretch below `keep` as it is bent: with the vertices as drawn, else with edges divided; bent the other
    /// way, as little as can be, where the line has no bend of its own to give.
    fn bent(&self, keep: f64, shift: Vec2) -> Option<(Vec<Place>, Vec<Point>)> {
        /// How often edges that need no division are told; the first time leaves few.
        const TIMES: usize = 6;
        let solved = |other_way: f64, part: f64, divided: &dyn Fn(usize) -> bool| {
            let (places, chain) = self.chain(keep, part, divided);
            let joints = self.joints(&places, &chain, other_way, keep == 0.0);
            bend(&chain, &joints, [shift, Vec2::ZERO], 0.0).map(|bent| (places, bent))
        };
        for other_way in OTHER_WAY {
            if let Some(bent) = solved(other_way, f64::INFINITY, &|_| false) {
                return Some(bent);
            }
            for part in PARTS {
                let Some(mut found) = solved(other_way, part, &|_| true) else { continue };
                // Only edges that show their bend are worth new vertices; with fewer of them the line is bent otherwise.
                let mut divided: HashSet<usize> = found.0.iter().map(|place| place.edge).collect();
                for _ in 0..TIMES {
                    let worth = coarse(&found.0, &found.1);
                    if divided.iter().all(|edge| worth.contains(edge)) {
                        break;
                    }
                    divided.retain(|edge| worth.contains(edge));
                    let Some(fewer) = solved(other_way, part, &|edge| divided.contains(&edge)) else { break };
                    found = fewer;
                }
                return Some(found);
            }
        }
        None
    }

    /// The stretch that is bent, some of its edges divided into parts.
    fn chain(&self, keep: f64, part: f64, divided: &dyn Fn(usize) -> bool) -> (Vec<Place>, Vec<Point>) {
        let mut stations = vec![keep, self.end];
        stations.extend(self.at.iter().copied().filter(|s| (keep..=self.end).contains(s)));
        stations.sort_by(f64::total_cmp);
        stations.dedup();
        let mut all = Vec::new();
        for w in stations.windows(2) {
            let part = if divided(self.place(w[0]).0.edge) { part } else { f64::INFINITY };
            #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)] // a piece is under a km
            let parts = ((w[1] - w[0]) / part).ceil().max(1.0) as u32;
            all.extend((0..parts).map(|k| w[0] + (w[1] - w[0]) * f64::from(k) / f64::from(parts)));
        }
        all.push(self.end);
        all.iter().map(|&s| self.place(s)).unzip()
    }

    fn place(&self, at: f64) -> (Place, Point) {
        let k = self.at.partition_point(|&s| s <= at).saturating_sub(1);
        if at <= self.at[k] || k + 1 == self.at.len() {
            return (Place { edge: self.fork + k, share: 0.0 }, self.points[k]);
        }
        let share = (at - self.at[k]) / (self.at[k + 1] - self.at[k]);
        (Place { edge: self.fork + k, share }, self.points[k].lerp(self.points[k + 1], share))
    }

    /// How the vertices of the chain may turn. The fork's corner stays as it is.
    fn joints(&self, places: &[Place], chain: &[Point], other_way: f64, from_fork: bool) -> Vec<Joint> {
        let last = chain.len() - 1;
        let joint = |k: usize| {
            if k == 0 && from_fork {
                return Joint::FIXED;
            }
            let place = places[k];
            let i = place.edge - self.fork;
            let own = if place.share == 0.0 { self.turns.at(i) } else { Own::default() };
            let before = if k == 0 { 0.0 } else { (chain[k] - chain[k - 1]).hypot() };
            let after = if k == last { 0.0 } else { (chain[k + 1] - chain[k]).hypot() };
            if k == last && self.turns_at_hem() {
                // A corner at the hem.
                return Joint { weight: before / self.length, least: -0.1, most: 0.1 };
            }
            self.turns.joint(own, f64::midpoint(before, after) / self.length, other_way)
        };
        (0..chain.len()).map(joint).collect()
    }
}

/// Where the line comes back: at a vertex where there is one close by, so that it comes back at a place
/// that is drawn.
fn came_back(at: &[f64], wanted: f64) -> f64 {
    /// How far from what is wanted it may be, as a share.
    const CLOSE: f64 = 0.1;
    let nearest = at.iter().copied().min_by(|a, b| (a - wanted).abs().total_cmp(&(b - wanted).abs()));
    nearest.filter(|s| (s - wanted).abs() <= CLOSE * wanted).unwrap_or(wanted)
}

/// The edges whose vertices added are further off them than what shows; `ends` are an edge's.
pub(super) fn visibly_bent(added: &[(Place, Point)], ends: impl Fn(usize) -> [Point; 2]) -> HashSet<usize> {
    let off = |place: &Place, p: Point| {
        let [a, b] = ends(place.edge);
        (b - a).normalize().cross(p - a).abs()
    };
    added.iter().filter(|(place, p)| off(place, *p) > FLAT).map(|(place, _)| place.edge).collect()
}

/// The vertices added without those that lie on the chord of their neighbours; `drawn` gives the ring's own points.
fn thinned(added: &[(Place, Point)], drawn: impl Fn(usize) -> Point) -> Vec<(Place, Point)> {
    /// In mm: what rounding to a hundredth hides.
    const ON_CHORD: f64 = 0.004;
    let mut kept: Vec<(Place, Point)> = Vec::with_capacity(added.len());
    for (k, &(place, p)) in added.iter().enumerate() {
        let of_edge = |other: &&(Place, Point)| other.0.edge == place.edge;
        let a = kept.last().filter(of_edge).map_or_else(|| drawn(place.edge), |last| last.1);
        let b = added.get(k + 1).filter(of_edge).map_or_else(|| drawn(place.edge + 1), |next| next.1);
        let along = b - a;
        if along.hypot() > 0.0 && (along.cross(p - a) / along.hypot()).abs() > ON_CHORD {
            kept.push((place, p));
        }
    }
    kept
}

/// The edges whose vertices added are further off their chord than what shows.
fn coarse(places: &[Place], bent: &[Point]) -> HashSet<usize> {
    let drawn: Vec<usize> = (0..places.len()).filter(|&k| places[k].share == 0.0).collect();
    let shows = |w: &&[usize]| {
        let (a, b) = (bent[w[0]], bent[w[1]]);
        let along = (b - a).normalize();
        bent[w[0]..=w[1]].iter().any(|p| along.cross(*p - a).abs() > FLAT)
    };
    drawn.windows(2).filter(shows).map(|w| places[w[0]].edge).collect()
}
