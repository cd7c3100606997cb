//! How the inseam returns to its old line: an exact copy from the fork down, then a bent part.

use super::bend::{Joint, bend};
use super::joints::{CORNER, Own, Turns};
use super::moves::Moves;
use crate::geometry::{direction::turn, line};
use crate::seam::{Leg, SeamRole};
use crate::units::Mm;
use kurbo::{Point, Vec2};
use std::cmp::Ordering;
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

/// A vertex nearer than this to the chord of its neighbours, in mm, lies on it: rounding to a hundredth hides as much.
pub(super) const ON_CHORD: f64 = 0.004;

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

/// A stretch of the inseam that is to be bent: its vertices, and how the line turns at each.
struct Stretch {
    places: Vec<Place>,
    points: Vec<Point>,
    own: Vec<Own>,
}

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
    ///
    /// The slide along the grain is drawn first, alike for front and back, and where the fork is carried across the grain, the slid line
    /// is bent once more. Bent in one step the line would be no copy below the fork: one inseam alone would be eased from there on, and
    /// its notches would no longer meet those of the other.
    pub fn apply(&self, moves: Moves) -> Option<CameBack> {
        let (slide, across) = (self.up * -moves.along.0, self.out * moves.across.0);
        if self.straight {
            let mut points = self.points.clone();
            points[0] += slide + across;
            if points[0] != self.points[0] {
                self.corner(&mut points, across != Vec2::ZERO)?;
            }
            return Some(CameBack { points, added: Vec::new() });
        }
        let slid = self.slid(slide)?;
        if across == Vec2::ZERO { Some(slid) } else { self.carried(slid, across) }
    }

    /// The inseam moved by a slide: a copy from the fork down, then bent.
    fn slid(&self, slide: Vec2) -> Option<CameBack> {
        let mut line = CameBack { points: self.points.clone(), added: Vec::new() };
        if slide == Vec2::ZERO {
            return Some(line);
        }
        let stretch = self.stretch(&line, self.keep, &self.turns);
        let bent = least_bent(|other_way, part, divided| {
            let chain = stretch.chain(part, divided);
            let joints =
                self.joints(&chain, 0.0, |k, length| self.turns.joint(chain.own[k], length, other_way));
            bend(&chain.points, &joints, [slide, Vec2::ZERO], 0.0).map(|bent| (chain.places, bent))
        })?;
        for (p, _) in line.points.iter_mut().zip(&self.at).filter(|(_, s)| **s <= self.keep) {
            *p += slide;
        }
        self.redraw(&mut line, bent, self.keep, &[], self.turns.sharpest_drawn(false));
        Some(line)
    }

    /// A slid inseam with its fork carried across the grain: it bends from the fork on, where its direction stays.
    fn carried(&self, mut line: CameBack, across: Vec2) -> Option<CameBack> {
        let drawn: Vec<Point> = self.vertices(&line).into_iter().map(|(_, p)| p).collect();
        let turns = Turns::of(&drawn[..=self.to + line.added.len()]);
        let stretch = self.stretch(&line, 0.0, &turns);
        // What the corner at the hem has turned by already, if the line comes back there.
        let last = |points: &[Point]| points[points.len() - 1] - points[points.len() - 2];
        let turned = if self.turns_at_hem() { turn(last(&self.points), last(&drawn)) } else { 0.0 };
        let bent = least_bent(|other_way, part, divided| {
            let chain = stretch.chain(part, divided);
            let mut joints =
                self.joints(&chain, turned, |k, length| self.turns.joint(chain.own[k], length, other_way));
            joints[0] = Joint::FIXED;
            bend(&chain.points, &joints, [across, Vec2::ZERO], 0.0).map(|bent| (chain.places, bent))
        })?;
        line.points[0] += across;
        // The first edge of a bent line determines how it meets the curve.
        self.redraw(&mut line, bent, 0.0, &[self.fork], self.turns.sharpest_drawn(true));
        Some(line)
    }

    /// Puts a bent stretch into the line. Vertices of the copy, `keep` long, and those where the line has come back, keep their exact
    /// positions. `edges` are needed whatever they look like.
    fn redraw(&self, line: &mut CameBack, (places, bent): Bent, keep: f64, edges: &[usize], sharpest: f64) {
        line.added.clear();
        for (&place, &new) in places.iter().zip(&bent) {
            if place.share == 0.0 {
                let i = place.edge - self.fork;
                if self.at[i] > keep && self.at[i] < self.end {
                    line.points[i] = new;
                }
            } else {
                line.added.push((place, new));
            }
        }
        // Where the copy ends, or the line comes back, in the middle of an edge, that edge's ends may be enough to show its form.
        let needed = needed(&line.points, self.fork, &line.added, edges, sharpest);
        line.added.retain(|(place, _)| needed.contains(&place.edge));
        line.added = thinned(&line.added, |i| line.points[i - self.fork]);
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

    /// The vertices of a redrawn inseam.
    fn vertices(&self, line: &CameBack) -> Vec<(Place, Point)> {
        let drawn = line.points.iter().enumerate();
        let drawn = drawn.map(|(i, &p)| (Place { edge: self.fork + i, share: 0.0 }, p));
        let mut all: Vec<(Place, Point)> = drawn.chain(line.added.iter().copied()).collect();
        all.sort_by(|(a, _), (b, _)| a.order(*b));
        all
    }

    /// The stretch of a line from `keep` to where it has come back; `turns` are those of the whole line.
    fn stretch(&self, line: &CameBack, keep: f64, turns: &Turns) -> Stretch {
        let vertices = self.vertices(line);
        let [first, last] = [keep, self.end].map(|at| self.place(at).0);
        let inner = vertices.iter().enumerate().filter(|(_, (place, _))| {
            place.order(first) == Ordering::Greater && place.order(last) == Ordering::Less
        });
        let mut stretch = Stretch { places: Vec::new(), points: Vec::new(), own: Vec::new() };
        let end = |place: Place| {
            let k = vertices.partition_point(|(other, _)| other.order(place) != Ordering::Greater) - 1;
            let ((before, a), Some((next, b))) = (vertices[k], vertices.get(k + 1)) else {
                return (place, vertices[k].1, turns.at(k));
            };
            if before == place {
                return (place, a, turns.at(k));
            }
            let to = if next.edge == place.edge { next.share } else { 1.0 };
            (place, a.lerp(*b, (place.share - before.share) / (to - before.share)), Own::default())
        };
        let inner = inner.map(|(k, (place, p))| (*place, *p, turns.at(k)));
        for (place, p, own) in std::iter::once(end(first)).chain(inner).chain([end(last)]) {
            stretch.places.push(place);
            stretch.points.push(p);
            stretch.own.push(own);
        }
        stretch
    }

    fn place(&self, at: f64) -> (Place, Point) {
        let k = self.at.partition_point(|&s| s <= at).saturating_sub(1);
        if at <= self.at[k] || k + 1 == self.at.len() {
            return (Place { edge: self.fork + k, share: 0.0 }, self.points[k]);
        }
        let share = (at - self.at[k]) / (self.at[k + 1] - self.at[k]);
        (Place { edge: self.fork + k, share }, self.points[k].lerp(self.points[k + 1], share))
    }

    /// The bounds for the vertices of the chain: what `of` gives for a vertex and its share of the length; but at the hem, where the
    /// corner has turned by `turned` radians already, those of a corner that may turn.
    fn joints(&self, chain: &Stretch, turned: f64, of: impl Fn(usize, f64) -> Joint) -> Vec<Joint> {
        /// By how much the corner at the hem may turn, in radians.
        const AT_HEM: f64 = 0.1;
        let points = &chain.points;
        let last = points.len() - 1;
        let joint = |k: usize| {
            let before = if k == 0 { 0.0 } else { (points[k] - points[k - 1]).hypot() };
            let after = if k == last { 0.0 } else { (points[k + 1] - points[k]).hypot() };
            if k == last && self.turns_at_hem() {
                let [least, most] = [-AT_HEM, AT_HEM].map(|bound| bound + turned);
                return Joint { weight: before / self.length, least: least.min(0.0), most: most.max(0.0) };
            }
            of(k, f64::midpoint(before, after) / self.length)
        };
        (0..=last).map(joint).collect()
    }
}

impl Place {
    /// Which of two places comes first.
    fn order(self, other: Place) -> Ordering {
        self.edge.cmp(&other.edge).then(self.share.total_cmp(&other.share))
    }
}

impl Stretch {
    /// The stretch with some of its edges divided into parts of `part` mm.
    fn chain(&self, part: f64, divided: &dyn Fn(usize) -> bool) -> Stretch {
        let mut chain = Stretch { places: Vec::new(), points: Vec::new(), own: Vec::new() };
        for k in 0..self.points.len() {
            let (place, p) = (self.places[k], self.points[k]);
            chain.places.push(place);
            chain.points.push(p);
            chain.own.push(self.own[k]);
            let (Some(next), Some(to)) = (self.places.get(k + 1), self.points.get(k + 1)) else { break };
            let part = if divided(place.edge) { part } else { f64::INFINITY };
            #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)] // a piece is under a km
            let parts = ((*to - p).hypot() / part).ceil().max(1.0) as u32;
            let end = if next.edge == place.edge { next.share } else { 1.0 };
            for share in (1..parts).map(|k| f64::from(k) / f64::from(parts)) {
                let at = place.share + (end - place.share) * share;
                chain.places.push(Place { edge: place.edge, share: at });
                chain.points.push(p.lerp(*to, share));
                chain.own.push(Own::default());
            }
        }
        chain
    }
}

/// A bent stretch with the drawn vertices if possible, else with divided edges; and turned against its own bend as little as possible,
/// where the line's own bend has no room. `solved` gives it for how far it may turn that way, in degrees, and for the length in mm of
/// the parts into which some edges are divided.
fn least_bent(solved: impl Fn(f64, f64, &dyn Fn(usize) -> bool) -> Option<Bent>) -> Option<Bent> {
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
