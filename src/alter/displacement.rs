//! The displacement by the slide: the new position of each place of the sew line.
//!
//! The lower crotch curve, the fork and the first part of the inseam are moved as an exact copy. `Truing` turns the seam above
//! it, and `WayBack` brings the inseam below it back to the old line.

use super::bend::{Joint, bend};
use super::casing::Casing;
use super::inseam::{self, CameBack, Place, WayBack};
use super::joints::{Own, Turns};
use super::moves::Moves;
use super::truing::{TooLarge, Truing};
use super::waist::Waist;
use crate::geometry::line;
use crate::seam::{Leg, LegPiece, SeamRole};
use crate::units::Mm;
use kurbo::{Point, Vec2};

/// The displacement for one leg.
#[derive(Clone, Debug, PartialEq)]
pub struct Displacement {
    up: Vec2,
    out: Vec2,
    truing: Truing,
    curve_begin: usize,
    /// The turns of the crotch seam as drawn.
    turns: Turns,
    waist: Waist,
    back: WayBack,
    /// The casing above the seam, if its edge turns at the fold.
    casing: Option<Casing>,
    /// Whether the other part of the piece may carry the waist edge along, as the edge of a casing that both have.
    shared_casing: bool,
    /// The length of the crotch seam from the waist or the fold.
    rise: Mm,
}

/// A leg's sew line after certain moves.
#[derive(Clone, Debug, PartialEq)]
pub struct Applied<'l> {
    /// The waist of the piece.
    pub(super) waist: &'l Waist,
    /// Whether the inseam comes back at its lower end only, and turns there.
    pub(super) turns_at_hem: bool,
    /// Where the inseam has come back, if that is not at its end.
    pub(super) back: Option<Point>,
    /// The new crotch seam, from the waist to the fork; with a casing it includes the casing's edge above the fold.
    pub crotch: Vec<Point>,
    /// The index at which the seam proper begins: the waist, or the fold.
    pub(super) begin: usize,
    /// Vertices that are added on it.
    pub crotch_added: Vec<(Place, Point)>,
    /// The new inseam, from the fork to the hem.
    pub inseam: CameBack,
    /// How far the centre waist is raised.
    pub(super) raised: Vec2,
}

/// The points of a crotch seam whose fork is carried, and the vertices added.
type Carried = (Vec<Point>, Vec<(Place, Point)>);

/// Why a displacement cannot be applied.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Unsound {
    /// The upper curve cannot take what the centre seam would turn by.
    Truing(TooLarge),
    /// No smooth line leads to the new position of the fork.
    Fork,
    /// No smooth line comes back along the inseam.
    Inseam,
}

impl Displacement {
    /// The displacement for a leg without a casing.
    #[cfg(test)]
    pub fn new(leg: &Leg, blend: Mm) -> Self {
        Displacement::between(leg, (None, leg.length(SeamRole::Inseam)), blend)
    }

    /// The displacement for a leg whose inseam comes back to the old line `blend` below the fork, measured along the inseam; a
    /// casing follows.
    #[must_use]
    pub fn of(on: &LegPiece<'_>, blend: Mm) -> Self {
        let inseam = on.folds.length(&on.leg, SeamRole::Inseam);
        let shared_casing = on.leg.other_part().is_some() && on.folds.waist.is_some();
        Displacement { shared_casing, ..Displacement::between(&on.leg, (Casing::of(on), inseam), blend) }
    }

    /// The displacement between a casing and a fold of the hem, `inseam` below the fork.
    pub(super) fn between(leg: &Leg, (casing, inseam): (Option<Casing>, Mm), blend: Mm) -> Self {
        let begin = casing.as_ref().map_or(0, |casing| casing.fold);
        let seam = &leg.ring[begin..=leg.fork];
        Displacement {
            up: leg.up,
            out: leg.out,
            truing: Truing::new(seam, leg.curve_begin - begin, leg.fork - begin),
            curve_begin: leg.curve_begin,
            turns: Turns::of(seam),
            waist: Waist::new(leg),
            back: WayBack::new(leg, inseam, blend),
            rise: Mm(line::length(seam)),
            casing,
            shared_casing: false,
        }
    }

    /// The point of the ring where the crotch seam begins: the centre waist, or the fold of a casing.
    #[must_use]
    pub fn begin(&self) -> usize {
        self.casing.as_ref().map_or(0, |casing| casing.fold)
    }

    /// Whether the waist edge is that of a casing, which goes along with the seam.
    #[must_use]
    pub fn carries_waist(&self) -> bool {
        self.casing.is_some() || self.shared_casing
    }

    /// The point of the ring where the inseam ends: at the hem, or the first one at or below its fold.
    #[must_use]
    pub fn inseam_to(&self) -> usize {
        self.back.to()
    }

    /// The length of the crotch seam, from the waist or the fold of a casing.
    #[must_use]
    pub fn rise(&self) -> Mm {
        self.rise
    }

    /// How far along the inseam the line has come back.
    #[must_use]
    pub fn end(&self) -> Mm {
        Mm(self.back.end())
    }

    /// The length of the upper part of the crotch seam, which turns as a whole.
    #[must_use]
    pub fn upper(&self) -> Mm {
        Mm(self.truing.upper())
    }

    /// The start and end, along the crotch seam from the waist, of the stretch into which the turn is trued.
    #[must_use]
    pub fn trued(&self) -> (Mm, Mm) {
        let (from, to) = self.truing.stretch();
        (Mm(from), Mm(to))
    }

    /// By how many degrees, in either direction, a slide turns the upper part of the crotch seam: the turn that is trued into the
    /// curve.
    pub fn turned(&self, slide: Mm) -> Result<f64, TooLarge> {
        Ok(self.truing.slid(slide.0, self.up)?.turn.to_degrees().abs())
    }

    /// Whether the inseam comes back at its lower end only, and turns there.
    #[must_use]
    pub fn turns_at_hem(&self) -> bool {
        self.back.turns_at_hem()
    }

    /// The first point of the ring that is an exact copy.
    #[must_use]
    pub fn copied_from(&self) -> usize {
        self.begin() + self.truing.copied_from()
    }

    /// The slide that lengthens the crotch seam by `longer`.
    pub fn slide_for(&self, longer: Mm) -> Result<Mm, TooLarge> {
        self.truing.stretched(longer.0, self.up).map(|turned| Mm(turned.slide))
    }

    /// How much longer a slide makes the crotch seam.
    pub fn longer(&self, slide: Mm) -> Result<Mm, TooLarge> {
        Ok(Mm(self.truing.longer(&self.truing.slid(slide.0, self.up)?, 0.0)))
    }

    /// How far the waist has to be raised to make the seam longer by `longer`.
    #[must_use]
    pub fn raise_for(&self, longer: Mm) -> Mm {
        longer * self.truing.straightness()
    }

    /// How much longer these moves make the inseam.
    #[must_use]
    pub fn inseam_longer(&self, moves: Moves) -> Option<Mm> {
        self.back.longer(moves).map(Mm)
    }

    /// The leg's sew line after these moves.
    pub fn apply(&self, leg: &Leg, moves: Moves) -> Result<Applied<'_>, Unsound> {
        let turned = self.truing.slid(moves.along.0, self.up).map_err(Unsound::Truing)?;
        let mut trued = self.truing.ring(&turned, moves.waist.0, self.up);
        if let Some(casing) = &self.casing {
            let turned_in = casing.follow(&leg.ring, |p| self.truing.about_waist(&turned, p));
            trued.splice(0..0, turned_in);
        }
        let inseam = self.back.apply(moves).ok_or(Unsound::Inseam)?;
        let turn = self.back.turned(&inseam);
        let (crotch, crotch_added) = self.carried(trued, moves.across.0, turn).ok_or(Unsound::Fork)?;
        let raised = crotch[0] - leg.ring[0];
        Ok(Applied {
            waist: &self.waist,
            turns_at_hem: self.turns_at_hem(),
            back: self.back.back(),
            crotch,
            begin: self.begin(),
            crotch_added,
            inseam,
            raised,
        })
    }

    /// The crotch seam with its fork carried across the grain: the curve bends from its beginning, where its direction stays; its
    /// direction at the fork turns with the inseam. Where the drawn vertices are too few for that, edges are divided.
    fn carried(&self, mut trued: Vec<Point>, across: f64, turn: f64) -> Option<Carried> {
        /// By how many degrees a vertex may turn against the bend: the first value that gives a solution is used.
        const OTHER_WAY: [f64; 4] = [0.0, 0.04, 0.1, 0.4];
        /// The lengths, in mm, of the parts into which edges are divided, tried in this order.
        const PARTS: [f64; 3] = [f64::INFINITY, 12.0, 6.0];
        /// The largest turn at the fork, in radians (6.3°); with more it would be another curve.
        const TURN: f64 = 0.11;
        if across == 0.0 {
            return Some((trued, Vec::new()));
        }
        if turn.abs() > TURN {
            return None;
        }
        let own = Turns::of(&trued);
        let bounds = self.turns.of_part(&Turns::of(&trued[self.curve_begin..]));
        let ends = [Vec2::ZERO, self.out * across];
        let ways = OTHER_WAY.into_iter().flat_map(|way| PARTS.map(|part| (way, part)));
        let (places, bent) = ways.into_iter().find_map(|(other_way, part)| {
            let (places, chain) = divided(&trued[self.curve_begin..], part);
            bend(&chain, &self.joints((&bounds, &own), &places, &chain, other_way), ends, turn)
                .map(|bent| (places, bent))
        })?;
        let mut added = Vec::new();
        for (place, at) in places.into_iter().zip(bent) {
            let edge = self.curve_begin + place.edge;
            if place.share == 0.0 {
                trued[edge] = at;
            } else {
                added.push((Place { edge, ..place }, at));
            }
        }
        // Keep the vertices on the last edge, which determines how the curve meets the inseam.
        let last = trued.len() - 2;
        let needed = inseam::needed(&trued, 0, &added, &[last], self.turns.sharpest_drawn(true));
        added.retain(|(place, _)| needed.contains(&place.edge));
        Some((trued, added))
    }

    /// The bounds for the vertices of the curve where the fork is carried; the corner at the fork stays as it is.
    fn joints(
        &self,
        (bounds, own): (&Turns, &Turns),
        places: &[Place],
        chain: &[Point],
        other_way: f64,
    ) -> Vec<Joint> {
        let length = line::length(chain);
        let width = |j: usize| chain.get(j + 1).map_or(0.0, |b| (*b - chain[j]).hypot());
        let joint = |k: usize| {
            if k + 1 == chain.len() {
                return Joint::FIXED;
            }
            let turned = if places[k].share == 0.0 {
                own.at(self.curve_begin + places[k].edge)
            } else {
                Own::default()
            };
            let wide = f64::midpoint(if k > 0 { width(k - 1) } else { 0.0 }, width(k)) / length;
            bounds.carried(turned, wide, other_way)
        };
        (0..chain.len()).map(joint).collect()
    }

    /// The smallest and largest slide that the lines can follow without folding back on themselves, in mm: shortening by most of
    /// the upper part of the crotch seam, or moving the inseam by more than its way back, leaves no line to draw.
    #[must_use]
    pub fn reach(&self) -> (Mm, Mm) {
        /// The largest share of a compressed length that may be lost.
        const SQUEEZE: f64 = 0.75;
        (Mm(-SQUEEZE * self.truing.upper()), Mm(SQUEEZE * self.back.room()))
    }
}

impl Applied<'_> {
    /// The displacement of a place of the waist, in mm from the centre.
    #[must_use]
    pub fn on_waist(&self, at: f64) -> Vec2 {
        if self.raised == Vec2::ZERO {
            return Vec2::ZERO;
        }
        // The edge of a casing stays as straight as it is.
        self.raised * if self.begin > 0 { self.waist.straight_share(at) } else { self.waist.share(at) }
    }

    /// The new length of the crotch seam, from the waist or the fold of a casing.
    #[must_use]
    pub fn rise(&self) -> Mm {
        let mut line = self.crotch.clone();
        for (place, at) in self.crotch_added.iter().rev() {
            line.insert(place.edge + 1, *at);
        }
        Mm(line::length(&line[self.begin..]))
    }
}

/// A line with its edges divided into parts of `part` mm; places are given by the line's own edges.
fn divided(line: &[Point], part: f64) -> (Vec<Place>, Vec<Point>) {
    let mut all = Vec::new();
    for (edge, w) in line.windows(2).enumerate() {
        #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)] // a piece is under a km
        let parts = ((w[1] - w[0]).hypot() / part).ceil().max(1.0) as u32;
        let shares = (0..parts).map(|k| f64::from(k) / f64::from(parts));
        all.extend(shares.map(|share| (Place { edge, share }, w[0].lerp(w[1], share))));
    }
    all.extend(line.last().map(|&end| (Place { edge: line.len() - 1, share: 0.0 }, end)));
    all.into_iter().unzip()
}
