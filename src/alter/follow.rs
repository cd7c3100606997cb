//! Redraws a piece with an edge that lay on a leg, together with the leg: a facing, a fly shield, a lining.
//!
//! By hand one lays the piece on the altered leg and traces the edge again. Here the piece is laid on the leg as it was, each of
//! its points moves with the stretch of the leg's line that the piece lay on, and the piece is moved back to where it is drawn.
//! Beside that stretch a point keeps its place beside the line, and so stays beside an edge that stays, such as the outseam of a
//! lining. Where the piece has an edge of its own, a point moves by the mean of what all of the stretch moves by, weighted by how near
//! each place is, so that the edge goes along smoothly whatever seam of the leg it is nearest to.

use super::displacement::Applied;
use super::hanging::closest;
use super::inseam::FLAT;
use super::moves::ease;
use super::outline::Outline;
use super::redraw::{self, Goes};
use super::redrawn::Redrawn;
use super::{Change, Displaced, carry};
use crate::geometry::Segments;
use crate::geometry::line::{self, Measured};
use crate::pattern::{LayerUse, Path, Piece};
use crate::seam::LegPiece;
use crate::seam::station::Arc;
use kurbo::{Affine, Point, Vec2};
use std::collections::HashSet;

/// Up to the first distance from the leg's line, in mm, an edge of the piece's own moves fully along, and from the second on
/// not at all. A facing is some 60 mm wide; edges further in do not belong to the seam.
const GOES: (f64, f64) = (80.0, 160.0);

/// How far, in mm, a vertex of the piece may be off the leg's line that it lies on.
const ON: f64 = 0.8;

/// The motion that lays a piece on a leg, from one that lays one of its edges there: fitted along all of the line that it lies on. Along
/// an edge that is bent evenly, a stretch alone fits at more than one place; corners and edges beyond it settle which is meant.
#[must_use]
pub fn settled(piece: &Piece, on: &Piece, laid: Affine) -> Affine {
    /// How far, in mm, vertices may be off the leg's line to count, in one fit after another.
    const NEAR: [f64; 5] = [6.0, 4.0, 2.0, ON, ON];
    let fitted = |laid: Affine, within: f64| {
        let (ring, line) = Ring::on_leg(piece, on, laid, within)?;
        let closed: Vec<Point> = line.points.iter().chain(line.points.first()).copied().collect();
        Some(closest(&dense(&ring.run), &closed, Affine::IDENTITY) * laid)
    };
    let fit = NEAR.iter().try_fold(laid, |laid, within| fitted(laid, *within)).unwrap_or(laid);
    let length = |laid| Ring::on_leg(piece, on, laid, ON).map_or(0.0, |(ring, _)| line::length(&ring.run));
    if length(fit) >= length(laid) { fit } else { laid }
}

/// The vertices of a line and places between them.
fn dense(run: &[Point]) -> Vec<Point> {
    /// How far apart they are at most, in mm.
    const STEP: f64 = 8.0;
    let mut all: Vec<Point> = run.first().copied().into_iter().collect();
    for edge in run.windows(2) {
        #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
        // the edge of a piece is under a km
        let parts = ((edge[1] - edge[0]).hypot() / STEP).ceil().max(1.0) as u32;
        all.extend((1..=parts).map(|k| edge[0].lerp(edge[1], f64::from(k) / f64::from(parts))));
    }
    all
}

/// The change of a piece that the motion `laid` places on a leg.
#[must_use]
pub fn change(piece: &Piece, on: &LegPiece<'_>, applied: &Applied<'_>, laid: Affine) -> Change {
    let leg = &on.leg;
    let outline = Displaced::new(leg, applied).outline;
    let goes = |p, at| outline.follow(p, at);
    let Some(contact) = Contact::of(piece, on.piece, &outline.arc, laid, &goes) else {
        return Change::default();
    };
    // The sew line goes along with the leg, and every other line with the sew line.
    let Some(base) = base(piece) else { return Change::default() };
    let own = along(&outline, &contact, (piece, base), laid);
    let base_outline = Outline::of_line(&base.points, &own);
    let mut redrawn = vec![own];
    let mut done: HashSet<u32> = strokes(base).collect();
    for path in lines(piece).filter(|&path| !std::ptr::eq(&raw const piece.paths[path], base)) {
        let line = &piece.paths[path];
        if line.from.iter().any(|from| done.contains(&from.stroke)) {
            continue;
        }
        done.extend(strokes(line));
        let arc = &base_outline.arc;
        let at: Vec<f64> = line.points.iter().map(|&p| arc.nearest(p, 0.0, arc.whole())).collect();
        let place = |p, at| base_outline.follow(p, at);
        let points = (&line.points[..], line.closed);
        redrawn.push(redraw::redraw_line(
            &base_outline,
            path,
            points,
            &at,
            &Goes { place: &place, own: &|_| false, flat: FLAT },
        ));
    }
    let back: Vec<Point> = applied.back.iter().map(|&p| laid.inverse() * p).collect();
    let carried = carry::carry(piece, &redrawn, &back);
    Change { redrawn, carried, back }
}

/// The strokes that draw a line.
fn strokes(line: &Path) -> impl Iterator<Item = u32> {
    line.from.iter().chain(line.twins.iter().map(|(_, from)| from)).map(|from| from.stroke)
}

/// The line of a piece with which its other lines go along: the sew line, else the cut line.
pub fn base(piece: &Piece) -> Option<&Path> {
    piece.outline(LayerUse::Sew).or_else(|| piece.outline(LayerUse::Cut))
}

/// The outlines of a piece, and the paths that draw a part of them again.
fn lines(piece: &Piece) -> impl Iterator<Item = usize> {
    let use_of = |i: usize| piece.paths[i].layer_use;
    (0..piece.paths.len()).filter(move |&i| {
        let outline = matches!(use_of(i), LayerUse::Sew | LayerUse::Cut);
        let again = matches!(use_of(i), LayerUse::SewValidation | LayerUse::CutValidation | LayerUse::Mirror);
        outline || again || use_of(i).is_seam()
    })
}

/// A closed line of the piece, redrawn while it is laid on the leg.
fn along(outline: &Outline, contact: &Contact, (piece, line): (&Piece, &Path), laid: Affine) -> Redrawn {
    let path = piece.paths.iter().position(|path| std::ptr::eq(path, line)).unwrap_or(0);
    let points: Vec<Point> = line.points.iter().map(|p| laid * *p).collect();
    let at: Vec<f64> = points.iter().map(|&p| contact.nearest(&outline.arc, p)).collect();
    let place = |p: Point, at: f64| contact.place(&outline.arc, (p, at), |p, at| outline.follow(p, at));
    // Where the contact ends, the piece turns off the leg; there is no corner of the leg.
    let own = |p: Point| contact.is_own(p) || contact.is_end(p);
    let mut on_leg = redraw::redraw_line(
        outline,
        path,
        (&points, line.closed),
        &at,
        &Goes { place: &place, own: &own, flat: FLAT },
    );
    // A difference vector is transformed without the translation. A zero vector is kept as it is, so that the coordinates of what
    // stays keep their exact bits.
    let back = laid.inverse();
    let turned = |v: Vec2| if v == Vec2::ZERO { v } else { back * v.to_point() - back * Point::ZERO };
    on_leg.moves.iter_mut().for_each(|v| *v = turned(*v));
    on_leg.added.iter_mut().for_each(|new| new.at = back * new.at);
    on_leg
}

/// The stretch of a leg's line on which a piece lay, and how it moved.
pub struct Contact {
    /// Its ends, as lengths along the line; the second may lie beyond the line's end, which is its beginning.
    ends: (f64, f64),
    /// Places of it, with their movements.
    moved: Vec<(Point, Vec2)>,
    /// The piece's line along it, laid on the leg.
    run: Segments,
    /// The rest of the piece's line; `None` if all of it lay on the leg.
    own: Option<Own>,
}

/// The edges of a piece that lay on no line of the leg, from one end of the contact round to the other.
struct Own {
    line: Measured,
    /// By how much more each of its ends moves than the mean there.
    more: [Vec2; 2],
}

impl Contact {
    /// The stretch of the line `arc` of the leg `on` that the piece lay on, laid there by `laid`; `goes` gives the new position of a
    /// point beside a place of the line. `None` where no two vertices of the piece lay on the leg.
    pub fn of(
        piece: &Piece,
        on: &Piece,
        arc: &Arc,
        laid: Affine,
        goes: &dyn Fn(Point, f64) -> Point,
    ) -> Option<Contact> {
        let (ring, _) = Ring::on_leg(piece, on, laid, ON)?;
        Some(Contact::along(arc, ring, goes))
    }

    fn along(arc: &Arc, ring: Ring, goes: &dyn Fn(Point, f64) -> Point) -> Contact {
        /// The distance of the places from one another, in mm.
        const STEP: f64 = 4.0;
        let Ring { run, own } = ring;
        let whole = arc.whole();
        let at: Vec<f64> = run.iter().map(|&p| arc.nearest(p, 0.0, whole)).collect();
        let (mut way, mut low, mut high) = (0.0, 0.0_f64, 0.0_f64);
        for (&a, &b) in at.iter().zip(&at[1..]) {
            // The shorter way round.
            way += (b - a + 1.5 * whole).rem_euclid(whole) - 0.5 * whole;
            (low, high) = (low.min(way), high.max(way));
        }
        let length = (high - low).min(whole);
        let from = (at[0] + low).rem_euclid(whole);
        #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
        // the outline of a piece is under a km
        let parts = (length / STEP).ceil().max(1.0) as u32;
        let place = |k: u32| {
            let at = (from + length * f64::from(k) / f64::from(parts)).rem_euclid(whole);
            let p = arc.point(at);
            (p, goes(p, at) - p)
        };
        let moved: Vec<(Point, Vec2)> = (0..=parts).map(place).collect();
        let own = own.map(|line| {
            let more = [line[0], line[line.len() - 1]].map(|p| {
                let at = arc.nearest(p, 0.0, whole);
                goes(p, at) - p - mean(&moved, p)
            });
            Own { line: Measured::new(line), more }
        });
        Contact { ends: (from, from + length), moved, run: Segments::of(&run, false), own }
    }

    /// The place of the stretch that is nearest to a point, as a length along the line.
    pub fn nearest(&self, arc: &Arc, p: Point) -> f64 {
        let at = arc.nearest_on(p, self.ends.0, self.ends.1);
        if at > arc.whole() { at - arc.whole() } else { at }
    }

    /// Whether a point belongs to the edges that lay on no line of the leg: the length along these and their whole length.
    fn on_own(&self, p: Point) -> Option<(f64, &Own)> {
        /// At the ends, in mm, a point belongs to the stretch.
        const END: f64 = 1e-6;
        let own = self.own.as_ref()?;
        let (at, off) = own.line.nearest(p)?;
        (off + END < self.run.distance(p)).then_some((at, own))
    }

    /// Whether a point belongs to an edge that lay on no line of the leg.
    pub fn is_own(&self, p: Point) -> bool {
        self.on_own(p).is_some()
    }

    /// Whether a point is where the piece turns off the leg.
    fn is_end(&self, p: Point) -> bool {
        let ends = self
            .own
            .as_ref()
            .map(|own| [own.line.points()[0], own.line.points()[own.line.points().len() - 1]]);
        ends.is_some_and(|ends| ends.contains(&p))
    }

    /// The new position of a point of the piece, whose nearest place of the stretch is `at`; `goes` gives that of a point that keeps
    /// its place beside the line.
    pub fn place(&self, arc: &Arc, (p, at): (Point, f64), goes: impl Fn(Point, f64) -> Point) -> Point {
        let Some((along, own)) = self.on_own(p) else { return goes(p, at) };
        let away = (arc.point(at) - p).hypot();
        let far = 1.0 - ease((away - GOES.0) / (GOES.1 - GOES.0));
        let whole = own.line.length();
        let by = mean(&self.moved, p) + own.more[0].lerp(own.more[1], ease(along / whole));
        if by == Vec2::ZERO || far == 0.0 { p } else { p + by * far }
    }
}

/// The mean of movements, weighted by how near each place is: by the inverse sixth power of the distance, levelled out near by
/// (D. Shepard, *Proc. 23rd ACM National Conference* (1968), with another weight).
fn mean(moved: &[(Point, Vec2)], p: Point) -> Vec2 {
    /// The distance, in mm, up to which places weigh about alike.
    const LEVEL: f64 = 20.0;
    let weighed = moved.iter().map(|(place, by)| (((*place - p).hypot2() + LEVEL * LEVEL).powi(-3), *by));
    let (weights, sum) =
        weighed.fold((0.0, Vec2::ZERO), |(w, s), (weight, by)| (w + weight, s + by * weight));
    sum / weights
}

/// The closed line of a piece, laid on a leg: the longest run of edges that lie on a line of the leg, and the rest.
struct Ring {
    run: Vec<Point>,
    own: Option<Vec<Point>>,
}

impl Ring {
    /// The line of a piece on the leg `on`, with the line of the leg that it lies on: the sew line on the sew line, since allowances may
    /// differ; only where little of it lies there, the one on the other.
    fn on_leg<'l>(piece: &Piece, on: &'l Piece, laid: Affine, within: f64) -> Option<(Ring, &'l Path)> {
        /// The share of the longest run that is enough.
        const ENOUGH: f64 = 0.5;
        let base = base(piece)?;
        let other = if base.layer_use == LayerUse::Sew { LayerUse::Cut } else { LayerUse::Sew };
        let lines = [base.layer_use, other].into_iter().filter_map(|layer_use| on.outline(layer_use));
        let found: Vec<(Ring, &Path)> =
            lines.filter_map(|line| Some((Ring::of(base, line, laid, within)?, line))).collect();
        let length = |(ring, _): &(Ring, &Path)| line::length(&ring.run);
        let most = found.iter().map(length).fold(0.0, f64::max);
        found.into_iter().find(|one| length(one) >= ENOUGH * most)
    }

    fn of(line: &Path, on: &Path, laid: Affine, within: f64) -> Option<Ring> {
        /// The places of an edge that are looked at, as shares, and how much further they may be off where the leg's line is bent, in mm.
        const SHARES: [f64; 3] = [0.25, 0.5, 0.75];
        const BOW: f64 = 1.5;
        let segments = Segments::of(&on.points, on.closed);
        let points: Vec<Point> = line.points.iter().map(|p| laid * *p).collect();
        let n = points.len();
        let is_on: Vec<bool> = points.iter().map(|p| segments.distance(*p) <= within).collect();
        // Both ends of a hem may lie on the leg's seams; the hem itself runs across.
        let beside = |a: Point, b: Point| {
            SHARES.iter().all(|share| segments.distance(a.lerp(b, *share)) <= within + BOW)
        };
        let edge = |i: usize| {
            let [i, j] = [i % n, (i + 1) % n];
            is_on[i] && is_on[j] && beside(points[i], points[j])
        };
        let part = |from: usize, to: usize| (from..=to).map(|k| points[k % n]).collect::<Vec<Point>>();
        if (0..n).all(edge) {
            return Some(Ring { run: part(0, n), own: None });
        }
        let starts = (0..n).filter(|&i| edge(i) && !edge(i + n - 1));
        let runs = starts.map(|i| (i, 1 + (i..i + n).take_while(|&k| edge(k)).last().unwrap_or(i)));
        let (from, to) = runs.max_by(|a, b| {
            let [a, b] = [a, b].map(|(from, to)| line::length(&part(*from, *to)));
            a.total_cmp(&b)
        })?;
        Some(Ring { run: part(from, to), own: Some(part(to, from + n)) })
    }
}
