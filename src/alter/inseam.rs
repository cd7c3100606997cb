//! How the inseam returns to its old line: an exact copy from the fork down, then a bent part.

use super::bend::{Joint, bend};
use super::joints::{CORNER, Own, Turns};
use super::moves::Moves;
use crate::geometry::{direction::turn, line};
use crate::seam::{Leg, SeamRole};
use crate::units::Mm;
use kurbo::{Point, Vec2};
use std::collections::HashSet;

/// The share of the way from the fork to the point where the line has come back that is an exact copy; the trade asks for a
/// quarter at least. Where the copy ends on an edge it is slightly longer, so that a vertex at the limit is certainly included.
const COPY: f64 = 0.2501;

/// The copy ends at the first vertex from this share on.
const LEAST: f64 = 0.25 - 1e-6;

/// No more than this share of the way is copied; the rest is needed for coming back.
const MOST: f64 = 0.45;

/// If the first segment has this share of the way back or more, the seam counts as drawn with two vertices.
const TWO_VERTICES: f64 = 0.6;

/// Where the drawn vertices are too few for a smooth line, edges are divided into parts of this many mm: the first value that
/// gives a solution is used. The second group is tried only where no turn against the seam's own bend helps with the first.
const PARTS: [&[f64]; 2] = [&[24.0, 12.0], &[6.0]];

/// By how many degrees a vertex may turn against the seam's own bend: the first value that gives a solution is used.
const OTHER_WAY: [f64; 10] = [0.0, 0.02, 0.04, 0.06, 0.08, 0.1, 0.15, 0.2, 0.3, 0.4];

/// An edge that deviates from its chord by no more than this, in mm, is drawn by its ends alone.
pub(super) const FLAT: f64 = 0.025;

/// Places closer together than this along the inseam, in mm, are one.
const SAME: f64 = 1e-3;

/// A place on the inseam: the edge, given by the ring's point at its beginning, and the share of the edge. A share of 0 is that
/// point itself.
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
    /// Where the copy ends and where the line has come back. Both are equal if a straight seam of two vertices turns about its
    /// lower end.
    keep: f64,
    end: f64,
    straight: bool,
    /// The turns down to the hem or to its fold; the corner there is none of the seam's own.
    turns: Turns,
    /// The index of the point at which they end.
    to: usize,
    length: f64,
}

/// The places of a bent stretch and where they come to lie.
type Bent = (Vec<Place>, Vec<Point>);

/// The redrawn inseam.
#[derive(Clone, Debug, PartialEq)]
pub struct CameBack {
    /// The new positions of the ring's points from the fork to the hem.
    pub points: Vec<Point>,
    /// Vertices that are added.
    pub added: Vec<(Place, Point)>,
}

impl WayBack {
    /// The inseam of a leg, which is `seam` long down to the hem or to its fold.
    pub fn new(leg: &Leg, seam: Mm, blend: Mm) -> Self {
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
        let to = at.partition_point(|s| *s < seam.0 - SAME).min(points.len() - 1);
        let turns = Turns::of(&points[..=to]);
        WayBack {
            up: leg.up,
            out: leg.out,
            fork: leg.fork,
            points,
            at,
            keep,
            end,
            straight,
            turns,
            to,
            length,
        }
    }

    /// The point of the ring at which the inseam ends: at the hem, or the first one at or below its fold.
    pub fn to(&self) -> usize {
        self.fork + self.to
    }

    /// How far along the inseam the line has come back.
    pub fn end(&self) -> f64 {
        self.end
    }

    /// Where on the old line it has come back, if that is above its end.
    pub fn back(&self) -> Option<Point> {
        (!self.straight && self.end < self.length).then(|| self.place(self.end).1)
    }

    /// Whether the line turns at the seam's lower end: where it comes back only there, or one edge above it, at a corner that may move
    /// a little.
    pub fn turns_at_hem(&self) -> bool {
        self.end >= self.length || self.straight && self.points.len() == 3
    }

    /// The length of the way back that can be compressed.
    pub fn room(&self) -> f64 {
        if self.straight { self.end } else { self.end - self.keep }
    }

    /// By how much, in radians, the direction of the inseam at the fork changes: only a straight seam turns, about its lower end.
    pub fn turned(&self, came_back: &CameBack) -> f64 {
        let first = |points: &[Point]| points[1] - points[0];
        let (was, is) = (first(&self.points), first(&came_back.points));
        if self.straight { was.cross(is).atan2(was.dot(is)) } else { 0.0 }
    }

    /// How much longer the inseam becomes by these moves.
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
        // If the fork is carried across the grain, the seam bends from the fork on; if it only slides, a copy is moved.
        let keep = if moves.across.0 == 0.0 { self.keep } else { 0.0 };
        let (places, bent) = self.bent(keep, shift)?;
        for (p, _) in points.iter_mut().zip(&self.at).filter(|(_, s)| **s <= keep) {
            *p += shift;
        }
        let mut added = Vec::new();
        for (&place, &new) in places.iter().zip(&bent) {
            if place.share == 0.0 {
                let i = place.edge - self.fork;
                // Vertices of the copy, and those where the line has come back, keep their exact positions.
                let still = self.at[i] <= keep || self.at[i] >= self.end;
                if !still {
                    points[i] = new;
                }
            } else {
                added.push((place, new));
            }
        }
        // Where the copy ends, or the line comes back, in the middle of an edge, that edge's ends may be enough to show its form. The
        // first edge of a bent line determines how it meets the curve.
        let carried = keep == 0.0;
        let first = if carried { &[self.fork][..] } else { &[] };
        let needed = needed(&points, self.fork, &added, first, self.turns.sharpest_drawn(carried));
        added.retain(|(place, _)| needed.contains(&place.edge));
        let added = thinned(&added, |i| points[i - self.fork]);
        Some(CameBack { points, added })
    }

    /// A straight first edge changes the turn at its lower corner. Where the turn would become too sharp, the corner moves
    /// perpendicular to the next edge just as far as needed, so that the turn is shared with the corner after it.
    fn corner(&self, points: &mut [Point], carried: bool) -> Option<()> {
        /// The corner moves by no more than this share of the next edge.
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

    /// The bent stretch below `keep`: with the drawn vertices if possible, else with divided edges; and turned against its own
    /// bend as little as possible, where the line's own bend has no room.
    fn bent(&self, keep: f64, shift: Vec2) -> Option<Bent> {
        let solved = |other_way: f64, part: f64, divided: &dyn Fn(usize) -> bool| {
            let (places, chain) = self.chain(keep, part, divided);
            let joints = self.joints(&places, &chain, other_way, keep == 0.0);
            bend(&chain, &joints, [shift, Vec2::ZERO], 0.0).map(|bent| (places, bent))
        };
        for parts in PARTS {
            for other_way in OTHER_WAY {
                if let Some(bent) = solved(other_way, f64::INFINITY, &|_| false) {
                    return Some(bent);
                }
                for &part in parts {
                    if let Some(found) = solved(other_way, part, &|_| true) {
                        return Some(fewer(found, |divided| {
                            solved(other_way, part, &|edge| divided.contains(&edge))
                        }));
                    }
                }
            }
        }
        None
    }

    /// The stretch to be bent, with some of its edges divided into parts.
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

    /// The bounds for the vertices of the chain. The corner at the fork stays as it is.
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
                // The corner at the hem may turn.
                return Joint { weight: before / self.length, least: -0.1, most: 0.1 };
            }
            self.turns.joint(own, f64::midpoint(before, after) / self.length, other_way)
        };
        (0..chain.len()).map(joint).collect()
    }
}

/// Where the line comes back: at a nearby vertex if there is one, so that it rejoins the old line at a drawn point.
fn came_back(at: &[f64], wanted: f64) -> f64 {
    /// How far from the wanted place this vertex may be, as a share.
    const CLOSE: f64 = 0.1;
    let nearest = at.iter().copied().min_by(|a, b| (a - wanted).abs().total_cmp(&(b - wanted).abs()));
    nearest.filter(|s| (s - wanted).abs() <= CLOSE * wanted).unwrap_or(wanted)
}

/// A bent stretch with as few divided edges as will do: only edges whose bend is visible need new vertices. With fewer vertices the
/// line is bent differently, so this is repeated.
fn fewer(mut found: Bent, solved: impl Fn(&HashSet<usize>) -> Option<Bent>) -> Bent {
    /// How often edges that need no division are looked for; after the first time few are left.
    const TIMES: usize = 6;
    let mut divided: HashSet<usize> = found.0.iter().map(|place| place.edge).collect();
    for _ in 0..TIMES {
        let worth = coarse(&found.0, &found.1);
        let some: HashSet<usize> = divided.intersection(&worth).copied().collect();
        if some.len() == divided.len() {
            break;
        }
        if let Some(bent) = solved(&some) {
            (found, divided) = (bent, some);
            continue;
        }
        // All at once they are too many to do without.
        let mut idle: Vec<usize> = divided.difference(&worth).copied().collect();
        idle.sort_unstable();
        for edge in idle {
            let without = divided.iter().copied().filter(|e| *e != edge).collect();
            if let Some(bent) = solved(&without) {
                (found, divided) = (bent, without);
            }
        }
        break;
    }
    found
}

/// The edges whose added vertices are needed: those in `keep`, those whose vertices deviate visibly from the edge, and those without
/// which a vertex beside them would turn by more than `sharpest`, in radians. The edges of `line` are counted from `first`.
pub(super) fn needed(
    line: &[Point],
    first: usize,
    added: &[(Place, Point)],
    keep: &[usize],
    sharpest: f64,
) -> HashSet<usize> {
    /// Turns that differ by no more than this, in radians, are the same: where a line bends evenly, or a vertex turns by as much as
    /// it may, rounding does not decide.
    const AS_MUCH: f64 = 1e-9;
    let off = |place: &Place, p: Point| {
        let [a, b] = [0, 1].map(|k| line[place.edge - first + k]);
        (b - a).normalize().cross(p - a).abs()
    };
    let visible = added.iter().filter(|(place, p)| off(place, *p) > FLAT).map(|(place, _)| place.edge);
    let mut needed: HashSet<usize> = keep.iter().copied().chain(visible).collect();
    let idle = |needed: &HashSet<usize>, edge: usize| {
        !needed.contains(&edge) && added.iter().any(|(place, _)| place.edge == edge)
    };
    loop {
        let drawn = line.iter().enumerate().map(|(i, p)| (Place { edge: first + i, share: 0.0 }, *p));
        let mut all: Vec<(Place, Point)> =
            added.iter().filter(|(place, _)| needed.contains(&place.edge)).copied().chain(drawn).collect();
        all.sort_by(|(a, _), (b, _)| a.edge.cmp(&b.edge).then(a.share.total_cmp(&b.share)));
        // The vertex that turns most, of those that turn too much beside an edge that could be divided; the first of those that turn as
        // much.
        let sharp = all.windows(3).filter_map(|w| {
            let turned = turn(w[1].1 - w[0].1, w[2].1 - w[1].1).abs();
            let edge = [w[0].0.edge, w[1].0.edge].into_iter().find(|&edge| idle(&needed, edge));
            edge.filter(|_| turned < CORNER.to_radians()).map(|edge| (turned, edge))
        });
        let most = sharp.fold((sharpest, None), |(most, found), (turned, edge)| {
            if turned > most + AS_MUCH { (turned, Some(edge)) } else { (most, found) }
        });
        let (_, Some(edge)) = most else { return needed };
        needed.insert(edge);
    }
}

/// The added vertices without those that lie on the chord of their neighbours; `drawn` gives the ring's own points.
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

/// The edges whose added vertices deviate visibly from their chord.
fn coarse(places: &[Place], bent: &[Point]) -> HashSet<usize> {
    let drawn: Vec<usize> = (0..places.len()).filter(|&k| places[k].share == 0.0).collect();
    let shows = |w: &&[usize]| {
        let (a, b) = (bent[w[0]], bent[w[1]]);
        let along = (b - a).normalize();
        bent[w[0]..=w[1]].iter().any(|p| along.cross(*p - a).abs() > FLAT)
    };
    drawn.windows(2).filter(shows).map(|w| places[w[0]].edge).collect()
}
