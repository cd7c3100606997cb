//! What a piece that lay on a leg has to look like, now that the leg is drawn otherwise: a lining, a facing, a fly shield.
//!
//! A hand lays the piece on the altered leg and traces the edge again. How the piece lay on the leg is found from the original; how
//! the leg moved is read from the lines of the leg in both drawings, not from how an alteration is made.

use super::Both;
use super::paired::{paired, paired_by_corners};
use crate::alter::follow::{self, Contact};
use crate::alter::hanging::{Hanging, Other, Redrawing};
use crate::geometry::line::Measured;
use crate::geometry::{Segments, corners, direction, edge, line};
use crate::pattern::{LayerUse, Path, Piece};
use crate::seam::station::Arc;
use crate::seam::{Leg, LegPiece, Size};
use kurbo::{Affine, Point, Vec2};

/// A place that moves by no more than this, in mm, stays.
const STAYS: f64 = 1e-6;

/// How far, in mm, a line may lie from where it has to be: the trade's limit for an allowance along a redrawn edge is 0.05 mm, and
/// the leg's lines and the piece's are true to as much.
const OFF: f64 = 0.1;

/// The further tolerance beside the leg's line, as a share of the distance from it: the piece turns with the leg's line, whose
/// direction changes from vertex to vertex by up to 1° more than it did.
const TURNING: f64 = 0.0175;

/// How far, in mm, a mark may have gone otherwise along the leg's line, and an edge that leads across the leg from a long straight edge
/// of it.
const ALONG: f64 = 0.5;

/// A piece of the original laid on one of its legs, with what became of the leg.
pub struct Follows<'s> {
    /// The leg's piece.
    pub leg: &'s Piece,
    line: OldAndNew,
    /// The stretch of the line that the piece lay on, by how a place moves along a long straight edge.
    contacts: [Contact; 2],
    /// The motion that lays the piece on the leg.
    laid: Affine,
    /// The piece's own sew line, else its cut line: every other line of the piece goes along with it.
    own: OldAndNew,
    base: LayerUse,
}

/// A closed line in both drawings.
struct OldAndNew {
    arc: Arc,
    /// The lengths along it at which its seams end.
    corners: Vec<f64>,
    old: Measured,
    new: Measured,
    /// The length along the new line at each vertex of the old one.
    stations: Vec<f64>,
}

/// How a place of a long straight edge of the leg moved along the edge, which its line does not tell.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Along {
    /// At the same share of the edge.
    Alike,
    /// Not at all, except near the ends of the edge.
    Still,
}

/// Where a place of the piece has to be now, and how far off it may be, in mm.
#[derive(Clone, Copy)]
struct Wanted {
    at: Point,
    within: f64,
    /// The nearest place of the leg's old line, and the distance from it.
    beside: (f64, f64),
}

impl<'s> Follows<'s> {
    /// How a piece that is no leg lay on one; `None` where it lay on no leg that is drawn otherwise now, or in more than one way.
    pub fn of(both: &Both<'s>, piece: &Piece) -> Option<Self> {
        let size = both.old.trousers.iter().find(|size| Some(&size.name) == piece.size.as_ref())?;
        let legs = size.all_legs().filter(|on| size.may_hang(piece, on.piece));
        let found = legs.flat_map(|on| edges(both, on, piece));
        let (on, edge) = found.max_by(|(_, a), (_, b)| a.length.total_cmp(&b.length))?;
        let legs = both.new.trousers.iter().flat_map(Size::all_legs);
        // A piece that is front and back in one has two forks.
        let away = |now: &LegPiece<'_>| (now.leg.fork_point() - on.leg.fork_point()).hypot();
        let now = legs
            .filter(|now| edge.settled && now.piece.block_name == on.piece.block_name)
            .min_by(|a, b| away(a).total_cmp(&away(b)))?;
        let laid = follow::settled(piece, on.piece, edge.laid);
        let line = OldAndNew::of_leg(&on.leg, &now.leg)?;
        let contact =
            |along| Contact::of(piece, on.piece, &line.arc, laid, &|p, at| line.follow(p, at, along));
        let contacts = [contact(Along::Alike)?, contact(Along::Still)?];
        let now = both.new.opened.pattern.pieces.iter().find(|now| now.block_name == piece.block_name)?;
        let drawn = follow::base(piece)?;
        let base = drawn.layer_use;
        let (was, is) = (&drawn.points, &now.outline(base)?.points);
        let places = |p: Point| {
            let of = [Along::Alike, Along::Still].into_iter().zip(&contacts);
            of.map(|(along, contact)| on_leg(&line, contact, laid, p, along).0).collect::<Vec<Point>>()
        };
        let own = OldAndNew::of_line(was, is, &places)?;
        Some(Follows { leg: on.piece, line, contacts, laid, own, base })
    }

    /// Where a point of the piece has to be now: of its sew line, or of another line, which goes along with the sew line.
    fn wanted(&self, p: Point, of_base: bool, along: Along) -> Wanted {
        let (at, new, away, bent) = if of_base {
            let contact = &self.contacts[usize::from(along == Along::Still)];
            let (new, at, away) = on_leg(&self.line, contact, self.laid, p, along);
            (at, new, away, self.line.bent(at, away, along))
        } else {
            let arc = &self.own.arc;
            let at = arc.nearest(p, 0.0, arc.whole());
            let new = self.own.follow(p, at, along);
            let away = (arc.point(at) - p).hypot();
            let bent = self.own.bent(at, away, along);
            (at, if (new - p).hypot() <= STAYS { p } else { new }, away, bent)
        };
        Wanted { at: new, within: OFF + TURNING.max(bent / 2.0) * away, beside: (at, away) }
    }

    /// Where the places of an edge between two vertices have to be now, without the second vertex.
    fn edge(&self, [a, b]: [Point; 2], of_base: bool, along: Along) -> Vec<Wanted> {
        /// The length, in mm, over which a line is looked at.
        const STEP: f64 = 3.0;
        /// The most places on an edge.
        const MOST: f64 = 400.0;
        /// An edge that spans more of the leg's line than this multiple of its own length and this many mm leads across the leg: it
        /// is straight between its ends, as the lower edge of a half lining is.
        const SPANS: (f64, f64) = (2.0, 20.0);
        /// So is one whose ends differ in their distance from the leg's line by more than this share of its length.
        const AWAY: f64 = 0.5;
        /// An edge with an end that is further from the leg's line than any allowance, in mm, may stay straight.
        const WIDE: f64 = 25.0;
        let ends = [a, b].map(|p| self.wanted(p, of_base, along));
        let length = (b - a).hypot();
        let [span, away] =
            [ends[0].beside.0 - ends[1].beside.0, ends[0].beside.1 - ends[1].beside.1].map(f64::abs);
        let whole = if of_base { self.line.arc.whole() } else { self.own.arc.whole() };
        let span = span.min(whole - span);
        let straight = span > SPANS.0 * length + SPANS.1 || away > AWAY * length;
        let wide = ends.iter().any(|end| end.beside.1 > WIDE);
        let slack = if along == Along::Still { ALONG } else { 0.0 };
        let within = ends[0].within.max(ends[1].within) + slack;
        #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)] // at most 400
        let parts = (length / STEP).ceil().clamp(1.0, MOST) as u32;
        let place = |k: u32| {
            let share = f64::from(k) / f64::from(parts);
            match k {
                0 => Wanted { within: ends[0].within + slack, ..ends[0] },
                _ if straight => Wanted { at: ends[0].at.lerp(ends[1].at, share), within, ..ends[0] },
                _ => {
                    let wanted = self.wanted(a.lerp(b, share), of_base, along);
                    let on_chord = edge::nearest(ends[0].at, ends[1].at, wanted.at).1;
                    let more = if wide { on_chord } else { 0.0 };
                    // The edge is straight between its ends.
                    let of_ends = ends[0].within + (ends[1].within - ends[0].within) * share;
                    Wanted { within: wanted.within.max(of_ends) + more, ..wanted }
                }
            }
        };
        (0..parts).map(place).collect()
    }

    /// The first vertex of the new line at which a line of the piece is not as it has to be.
    pub fn wrong(&self, old: &Path, new: &Path) -> Option<usize> {
        let still = || self.wrong_by(old, new, Along::Still);
        self.wrong_by(old, new, Along::Alike).filter(|_| still().is_some())
    }

    fn wrong_by(&self, old: &Path, new: &Path, along: Along) -> Option<usize> {
        /// How far, in mm, a vertex that stays may be from where it was.
        const ROUNDING: f64 = 1e-3;
        let (n, of_base) = (old.points.len(), old.layer_use == self.base);
        let edges = if old.closed { n } else { n.saturating_sub(1) };
        let mut wanted: Vec<Wanted> = (0..edges)
            .flat_map(|i| self.edge([old.points[i], old.points[(i + 1) % n]], of_base, along))
            .collect();
        if !old.closed {
            wanted.extend(old.points.last().map(|p| self.wanted(*p, of_base, along)));
        }
        let (drawn, line) =
            (Segments::of(&new.points, new.closed), wanted.iter().map(|w| w.at).collect::<Vec<_>>());
        let line = Segments::of(&line, old.closed);
        let nearest = |p: Point| drawn.nearest(p).map_or(0, |at| at.edge);
        let within = |p: Point| line.nearest(p).map_or(0.0, |at| wanted[at.edge].within);
        let there = |p: &Point| drawn.distance(*p) <= ROUNDING;
        let stays = |p: &Point| self.wanted(*p, of_base, along).at == *p;
        old.points
            .iter()
            .find(|p| !there(p) && stays(p))
            .map(|p| nearest(*p))
            .or_else(|| wanted.iter().find(|w| drawn.distance(w.at) > w.within).map(|w| nearest(w.at)))
            .or_else(|| new.points.iter().position(|p| line.distance(*p) > within(*p)))
    }

    /// Whether a mark was carried as the piece's line was beside it.
    pub fn carried(&self, from: Point, to: Point) -> bool {
        let goes = |along| {
            let wanted = self.wanted(from, false, along);
            (to - wanted.at).hypot() <= wanted.within + ALONG
        };
        goes(Along::Alike) || goes(Along::Still)
    }
}

/// Where a point of the sew line of a piece that lay on a leg has to be now, with its nearest place of the leg's line and the distance
/// from it.
fn on_leg(leg: &OldAndNew, contact: &Contact, laid: Affine, p: Point, along: Along) -> (Point, f64, f64) {
    let (on_leg, arc) = (laid * p, &leg.arc);
    let at = contact.nearest(arc, on_leg);
    let new = contact.place(arc, (on_leg, at), |p, at| leg.follow(p, at, along));
    let still = (new - on_leg).hypot() <= STAYS;
    (if still { p } else { laid.inverse() * new }, at, (arc.point(at) - on_leg).hypot())
}

impl OldAndNew {
    fn of_leg(was: &Leg, is: &Leg) -> Option<Self> {
        let (arc, now) = (Arc::new(was), Arc::new(is));
        let places = |leg: &Leg| {
            [0, leg.fork, leg.hem_in, leg.hem_out, leg.side]
                .map(|k| if k == 0 { 0 } else { k + leg.fly.len() })
        };
        let corners = places(was).into_iter().map(|k| arc.at[k]).chain([arc.whole()]).collect();
        let known: Vec<(usize, usize)> = places(was).into_iter().zip(places(is)).collect();
        let index = paired_by_corners((&arc.points, &now.points), &known);
        let index = index.or_else(|| paired(&arc.points, &now.points))?;
        Some(Self::of((arc, corners), &now.points, index))
    }

    /// The line of a piece that is no leg; `places` gives where a vertex may have to be now. The vertices of the two lines are paired by
    /// that: between the ends of an edge that goes along with a leg, any number may be new.
    fn of_line(was: &[Point], is: &[Point], places: &dyn Fn(Point) -> Vec<Point>) -> Option<Self> {
        /// The least turn of a corner, in degrees.
        const CORNER: f64 = 20.0;
        let arc = Arc::of_line(was);
        let turns = corners::turns(was);
        let sharp = (0..was.len()).filter(|&i| turns[i].abs() >= CORNER);
        let corners =
            sharp.flat_map(|i| if i == 0 { vec![0.0, arc.whole()] } else { vec![arc.at[i]] }).collect();
        let nearest = |p: &Point| {
            let at = places(*p);
            let off = |j: usize| at.iter().map(|at| (is[j] - *at).hypot()).fold(f64::INFINITY, f64::min);
            let offs = is.iter().enumerate().map(|(j, _)| (j, off(j)));
            offs.min_by(|a, b| a.1.total_cmp(&b.1)).map(|(j, _)| j)
        };
        let index: Option<Vec<usize>> = was.iter().map(nearest).collect();
        // Both lines begin at the same vertex; where the pairs are in another order, something else was done to the line.
        let index = index.filter(|index| index.is_sorted()).or_else(|| paired(was, is))?;
        Some(Self::of((arc, corners), is, index))
    }

    fn of((arc, mut corners): (Arc, Vec<f64>), now: &[Point], index: Vec<usize>) -> Self {
        corners.sort_by(f64::total_cmp);
        let [old, new] = [&arc.points[..], now].map(|p| Measured::new([p, &p[..1]].concat()));
        let mut stations: Vec<f64> = index.into_iter().map(|j| new.stations()[j]).collect();
        stations.push(new.length());
        OldAndNew { arc, corners, old, new, stations }
    }

    /// The place of the leg's new line for a length along the old one.
    fn there(&self, at: f64, along: Along) -> Point {
        /// An edge shorter than this, in mm, says well enough how far it moved along itself.
        const LONG: f64 = 60.0;
        let k = self.arc.at.partition_point(|&a| a <= at).clamp(1, self.stations.len() - 1) - 1;
        let share = ((at - self.arc.at[k]) / (self.arc.at[k + 1] - self.arc.at[k]).max(1e-9)).clamp(0.0, 1.0);
        let alike = self.new.at(self.stations[k] + (self.stations[k + 1] - self.stations[k]) * share);
        let to_end = (at - self.arc.at[k]).min(self.arc.at[k + 1] - at);
        if along == Along::Alike || self.arc.at[k + 1] - self.arc.at[k] < LONG {
            return alike;
        }
        let edge = self.new.part(self.stations[k], self.stations[k + 1]);
        let (i, share, _) = line::nearest(&edge, false, self.old.at(at));
        let still = edge.get(i + 1).map_or(alike, |next| edge[i].lerp(*next, share));
        // Squared, so that the corner at the end keeps its form.
        alike.lerp(still, (to_end / LONG).clamp(0.0, 1.0).powi(2))
    }

    /// Where a point is that moves fully with a place of the leg's line: as it lay to the line around that place.
    fn follow(&self, p: Point, at: f64, along: Along) -> Point {
        let (was, is) = (self.old.at(at), self.there(at, along));
        let from = p - was;
        if let Some(corner) = self.at_corner(from, at, along) {
            return corner;
        }
        let turn = self.turn(self.around(at, from.hypot()), along);
        let turn = if turn.abs() < 1e-12 { 0.0 } else { turn };
        is + direction::rotated(from, turn)
    }

    /// The stretch around a place that tells how the line turned beside it, for a point so far away.
    fn around(&self, at: f64, away: f64) -> [f64; 2] {
        /// The least length of line, in mm, on either side of a place, that tells its direction.
        const ARM: f64 = 4.0;
        let arm = (away / 2.0).max(ARM);
        // Around a corner, the seams on either side turn by themselves.
        let before = self.corners.iter().rev().find(|c| **c < at).map_or(0.0, |c| c.max(at - arm));
        let after = self.corners.iter().find(|c| **c > at).map_or(self.old.length(), |c| c.min(at + arm));
        [before, after]
    }

    /// The angle, in radians, by which a stretch of the line turned.
    fn turn(&self, ends: [f64; 2], along: Along) -> f64 {
        let chord = |of: &dyn Fn(f64) -> Point| of(ends[1]) - of(ends[0]);
        direction::turn(chord(&|s| self.old.at(s)), chord(&|s| self.there(s, along)))
    }

    /// By how much more, in radians, the line bends around a place than it did. Beside a vertex that bends otherwise, there is no one
    /// direction in which a point goes along.
    fn bent(&self, at: f64, away: f64, along: Along) -> f64 {
        /// No alteration bends a line by more, in radians, except at a corner.
        const MOST: f64 = 0.35;
        let [before, after] = self.around(at, away);
        let [one, other] = [[before, at], [at, after]].map(|ends| self.turn(ends, along));
        if before < at && at < after { (other - one).abs().min(MOST) } else { 0.0 }
    }

    /// Where a point is that lies outside a corner of the leg's line: as far from the two seams there as it was.
    fn at_corner(&self, from: Vec2, at: f64, along: Along) -> Option<Point> {
        /// The length of line, in mm, on either side of a corner, that tells its direction.
        const ARM: f64 = 4.0;
        /// Seams that lead on from one another nearly straight, by the cross product of their directions, fix no place.
        const STRAIGHT: f64 = 0.3;
        let corner = self.corners.iter().any(|c| (c - at).abs() <= STAYS);
        let whole = self.arc.whole();
        let around = [(at - ARM).rem_euclid(whole), at, (at + ARM).rem_euclid(whole)];
        let arms = |[a, b, c]: [Point; 3]| [(b - a).normalize(), (c - b).normalize()];
        let (old, new) = (around.map(|s| self.old.at(s)), around.map(|s| self.there(s, along)));
        let (was, is) = (arms(old), arms(new));
        let cross = is[0].cross(is[1]);
        let far = was.map(|arm| arm.cross(from));
        (corner && was[0].cross(was[1]).abs() > STRAIGHT && cross.abs() > STRAIGHT)
            .then(|| new[1] + (is[1] * far[0] - is[0] * far[1]) / cross)
    }
}

/// A closed line and the same line redrawn, the first with a vertex wherever only the second has one; `index` gives for each of its
/// vertices that of the second.
fn divided(old: &[Point], new: &[Point], index: &[usize]) -> (Vec<Point>, Vec<Point>) {
    let n = new.len();
    let (mut was, mut is) = (Vec::with_capacity(n), Vec::with_capacity(n));
    for (i, &j) in index.iter().enumerate() {
        let next = (i + 1) % index.len();
        let count = (index[next] + n - j) % n;
        let part: Vec<Point> = (0..=count).map(|k| new[(j + k) % n]).collect();
        let (at, whole) = (line::stations(&part), line::length(&part).max(1e-9));
        was.extend(at[..count].iter().map(|at| old[i].lerp(old[next], at / whole)));
        is.extend(&part[..count]);
    }
    (was, is)
}

/// The edges of a piece that lay on the lines of a leg which are drawn otherwise now, each with the leg.
fn edges<'a, 's>(both: &Both<'_>, on: &'a LegPiece<'s>, piece: &Piece) -> Vec<(&'a LegPiece<'s>, Hanging)> {
    let now = both.new.opened.pattern.pieces.iter().find(|now| now.block_name == on.piece.block_name);
    let redrawing = |layer_use: LayerUse| {
        let (old, new) = (on.piece.outline(layer_use)?, now?.outline(layer_use)?);
        let index = paired(&old.points, &new.points)?;
        let (old, new) = divided(&old.points, &new.points, &index);
        Redrawing::new(&old, &new)
    };
    let uses = [LayerUse::Sew, LayerUse::Cut];
    let others: Vec<Other> =
        uses.iter().filter_map(|&u| piece.outline(u)).map(|path| Other::new(&path.points)).collect();
    let of = |redrawing: Redrawing| {
        others.iter().filter_map(move |other| redrawing.leaves(other)).collect::<Vec<_>>()
    };
    uses.into_iter().filter_map(redrawing).flat_map(of).map(|found| (on, found)).collect()
}
