//! The law of the slide: how far each station moves.

use super::station::Station;
use crate::seam::{Leg, SeamRole, ring};
use crate::units::Mm;
use kurbo::Vec2;

/// The part of the way from the fork to where the line has come back that is an exact copy. The
/// trade asks for a quarter at least; a little more leaves no doubt at a vertex that lies on it.
const COPY: f64 = 0.3;

/// A first inseam segment of this share of the way back or more is a seam drawn with two vertices.
const TWO_VERTICES: f64 = 0.6;

/// Less than this share of a slide is none: five thousandths of a millimetre in one inch, which no
/// plotter draws.
const NOTHING: f64 = 2e-4;

/// What is done to one leg. Field names and order are part of the interface.
#[derive(Clone, Copy, Debug, Default, PartialEq, serde::Serialize, schemars::JsonSchema)]
pub struct Moves {
    /// Slide along the grain; positive away from the waist, which lengthens.
    #[serde(rename = "along_mm")]
    pub along: Mm,
    /// Fork carried across the grain; positive outwards.
    #[serde(rename = "across_mm")]
    pub across: Mm,
    /// Centre waist point moved along the centre seam; positive upwards.
    #[serde(rename = "waist_mm")]
    pub waist: Mm,
}

/// How the slide comes back to the old line along the inseam.
#[derive(Clone, Copy, Debug, PartialEq)]
enum Return {
    /// A copy up to `keep`, then easing to nothing at `end`.
    Smooth { keep: f64, end: f64 },
    /// In proportion from the fork to `end`: a straight seam stays straight.
    Straight { end: f64 },
}

/// The law for one leg.
#[derive(Clone, Debug, PartialEq)]
pub struct Law {
    up: Vec2,
    out: Vec2,
    /// Unit vector up the centre seam at the waist.
    centre: Vec2,
    /// Length of the centre seam's straight part.
    straight: f64,
    /// Length of the crotch seam.
    crotch: f64,
    /// Length of the waist.
    waist: f64,
    back: Return,
}

impl Law {
    /// The law for a leg whose line comes back `blend` below the fork, along the inseam.
    #[must_use]
    pub fn new(leg: &Leg, blend: Mm) -> Self {
        let first = (leg.ring[leg.fork + 1] - leg.ring[leg.fork]).hypot();
        let back = if first >= TWO_VERTICES * blend.0 {
            Return::Straight { end: first }
        } else {
            way_back(leg, blend.0)
        };
        let top = leg.ring[0] - leg.ring[leg.curve_begin];
        Law {
            up: leg.up,
            out: leg.out,
            centre: if top.hypot() > 0.0 { top.normalize() } else { leg.up },
            straight: ring::length(&leg.ring[..=leg.curve_begin]),
            crotch: leg.length(SeamRole::Crotch).0,
            waist: leg.length(SeamRole::Waist).0,
            back,
        }
    }

    /// How far along the inseam the line has come back.
    #[must_use]
    pub fn end(&self) -> Mm {
        match self.back {
            Return::Smooth { end, .. } | Return::Straight { end } => Mm(end),
        }
    }

    /// Whether the way back bends an edge that was straight.
    pub(super) fn bends(&self) -> bool {
        matches!(self.back, Return::Smooth { .. })
    }

    /// The length of the centre seam's straight part.
    #[must_use]
    pub fn straight(&self) -> Mm {
        Mm(self.straight)
    }

    /// The displacement of a station, in mm.
    #[must_use]
    pub fn displacement(&self, station: Station, moves: Moves) -> Vec2 {
        let at = station.at;
        match station.role {
            SeamRole::Crotch => {
                let slide = if at >= self.straight { 1.0 } else { at / self.straight };
                let mut d = self.up * (-moves.along.0 * slide);
                if moves.across.0 != 0.0 && at > self.straight {
                    let share = (at - self.straight) / (self.crotch - self.straight);
                    d += self.out * (moves.across.0 * ease_curved(share));
                }
                if moves.waist.0 != 0.0 {
                    d += self.centre * (moves.waist.0 * (1.0 - slide));
                }
                d
            }
            SeamRole::Inseam => {
                self.up * (-moves.along.0 * self.inseam(at)) + self.out * (moves.across.0 * self.taper(at))
            }
            // Level at both ends: at the centre the edge stays square to the seam, at the side it
            // comes back without a corner.
            SeamRole::Waist if moves.waist.0 != 0.0 => {
                self.centre * (moves.waist.0 * (1.0 - ease(at / self.waist)))
            }
            SeamRole::Waist | SeamRole::Hem | SeamRole::Outseam => Vec2::ZERO,
        }
    }

    /// The share of the slide at a place of the inseam.
    fn inseam(&self, at: f64) -> f64 {
        let share = match self.back {
            Return::Straight { end } => 1.0 - at / end,
            Return::Smooth { keep, end } => 1.0 - ease((at - keep) / (end - keep)),
        };
        if share < NOTHING { 0.0 } else { share }
    }

    /// The share of the carrying across at a place of the inseam. It tapers over the whole way, level
    /// at the fork so that the angle there stays: a copied span would bulge below it.
    fn taper(&self, at: f64) -> f64 {
        let share = match self.back {
            Return::Straight { end } => 1.0 - at / end,
            Return::Smooth { end, .. } => 1.0 - ease_curved(at / end),
        };
        if share < NOTHING { 0.0 } else { share }
    }

    /// The slides that the lines can follow without folding back on themselves, in mm: shortening
    /// by most of the straight part of the centre seam, or moving the inseam by more than its own
    /// way back, leaves no line to draw.
    #[must_use]
    pub fn reach(&self) -> (Mm, Mm) {
        /// Of the length that a move squeezes together, the share that may go.
        const SQUEEZE: f64 = 0.7;
        /// The steepest part of the easing is one and a half times its mean.
        const STEEPEST: f64 = 1.5;
        let room = match self.back {
            Return::Smooth { keep, end } => (end - keep) / STEEPEST,
            Return::Straight { end } => end,
        };
        let up = SQUEEZE * room.min(self.straight);
        (Mm(-up), Mm(SQUEEZE * room))
    }
}

/// The way back: to a vertex of the inseam, where there is one close by, so that the line comes back
/// at a place that is drawn. Where there is none, the copy reaches down the first quarter of the way
/// to the next vertex as well.
fn way_back(leg: &Leg, wanted: f64) -> Return {
    /// How far from what is wanted it may be, as a share.
    const CLOSE: f64 = 0.05;
    /// The copy takes no more than this share of the way.
    const MOST: f64 = 0.5;
    let stations = ring::stations(&leg.ring[leg.fork..=leg.hem_in]);
    let nearest = stations.iter().copied().min_by(|a, b| (a - wanted).abs().total_cmp(&(b - wanted).abs()));
    let end = nearest.filter(|s| (s - wanted).abs() <= CLOSE * wanted).unwrap_or(wanted);
    let next = stations.iter().copied().find(|s| *s >= end).unwrap_or(end);
    Return::Smooth { keep: COPY * end.max(next.min(end * MOST / COPY)), end }
}

/// A smooth step from 0 to 1 with level ends: the cubic 3x² − 2x³.
fn ease(x: f64) -> f64 {
    let x = x.clamp(0.0, 1.0);
    x * x * (3.0 - 2.0 * x)
}

/// A smooth step with level and straight ends: the quintic 6x⁵ − 15x⁴ + 10x³. What is carried across
/// the grain bends the seam itself, and with this no bend begins at once.
fn ease_curved(x: f64) -> f64 {
    let x = x.clamp(0.0, 1.0);
    x * x * x * (10.0 + x * (6.0 * x - 15.0))
}

#[cfg(test)]
mod tests {
    #![allow(clippy::float_cmp, reason = "whole numbers are meant exactly")]
    use super::*;

    /// A leg turned by the angle of 3, 4 and 5, its centre seam leaning, with a straight part of 120 mm.
    fn law(back: Return) -> Law {
        let (up, out) = (Vec2::new(0.6, 0.8), Vec2::new(0.8, -0.6));
        let centre = Vec2::new(0.28, 0.96);
        Law { up, out, centre, straight: 120.0, crotch: 300.0, waist: 210.0, back }
    }

    const SMOOTH: Return = Return::Smooth { keep: 90.0, end: 290.0 };
    const STRAIGHT: Return = Return::Straight { end: 400.0 };

    fn at(role: SeamRole, at: f64) -> Station {
        Station { role, at }
    }

    fn near(a: Vec2, b: Vec2) -> bool {
        (a - b).hypot() < 1e-12
    }

    #[test]
    fn the_slide_grows_over_the_straight_part_and_eases_out_over_the_inseam() {
        let (law, moves) = (law(SMOOTH), Moves { along: Mm(20.0), ..Moves::default() });
        let down = Vec2::new(-0.6, -0.8);
        // The easing 3x² − 2x³ at a quarter is 10/64, at a half a half: by hand.
        for (station, slide) in [
            (at(SeamRole::Crotch, 0.0), 0.0),
            (at(SeamRole::Crotch, 30.0), 5.0),
            (at(SeamRole::Crotch, 120.0), 20.0),
            (at(SeamRole::Crotch, 280.0), 20.0),
            (at(SeamRole::Inseam, 0.0), 20.0),
            (at(SeamRole::Inseam, 90.0), 20.0),
            (at(SeamRole::Inseam, 140.0), 20.0 * 54.0 / 64.0),
            (at(SeamRole::Inseam, 190.0), 10.0),
            (at(SeamRole::Inseam, 290.0), 0.0),
            (at(SeamRole::Inseam, 500.0), 0.0),
            (at(SeamRole::Waist, 30.0), 0.0),
            (at(SeamRole::Hem, 30.0), 0.0),
            (at(SeamRole::Outseam, 30.0), 0.0),
        ] {
            assert!(near(law.displacement(station, moves), down * slide), "{station:?}");
        }
        assert_eq!((law.end(), law.straight()), (Mm(290.0), Mm(120.0)));
        assert!(law.bends());
    }

    #[test]
    fn a_seam_of_two_vertices_comes_back_in_proportion() {
        let (law, moves) = (law(STRAIGHT), Moves { along: Mm(20.0), across: Mm(8.0), ..Moves::default() });
        let whole = Vec2::new(-0.6, -0.8) * 20.0 + Vec2::new(0.8, -0.6) * 8.0;
        for (way, share) in [(0.0, 1.0), (100.0, 0.75), (370.0, 0.075), (399.95, 0.0), (400.0, 0.0)] {
            assert!(near(law.displacement(at(SeamRole::Inseam, way), moves), whole * share), "{way}");
        }
        assert_eq!(law.end(), Mm(400.0));
        assert!(!law.bends());
    }

    #[test]
    fn carried_across_it_bends_both_seams_with_level_ends() {
        let (law, moves) = (law(SMOOTH), Moves { across: Mm(8.0), ..Moves::default() });
        // The quintic at a quarter is 106/1024, at a half a half: by hand.
        for (station, carried) in [
            (at(SeamRole::Crotch, 100.0), 0.0),
            (at(SeamRole::Crotch, 165.0), 8.0 * 106.0 / 1024.0),
            (at(SeamRole::Crotch, 210.0), 4.0),
            (at(SeamRole::Crotch, 300.0), 8.0),
            (at(SeamRole::Inseam, 0.0), 8.0),
            (at(SeamRole::Inseam, 72.5), 8.0 * 918.0 / 1024.0),
            (at(SeamRole::Inseam, 145.0), 4.0),
            (at(SeamRole::Inseam, 290.0), 0.0),
        ] {
            assert!(near(law.displacement(station, moves), Vec2::new(0.8, -0.6) * carried), "{station:?}");
        }
    }

    #[test]
    fn the_waist_rises_at_the_centre_and_stays_at_the_side() {
        let (law, moves) = (law(SMOOTH), Moves { waist: Mm(-6.0), ..Moves::default() });
        for (station, raised) in [
            (at(SeamRole::Crotch, 0.0), -6.0),
            (at(SeamRole::Crotch, 40.0), -4.0),
            (at(SeamRole::Crotch, 120.0), 0.0),
            (at(SeamRole::Waist, 0.0), -6.0),
            (at(SeamRole::Waist, 52.5), -6.0 * 54.0 / 64.0),
            (at(SeamRole::Waist, 105.0), -3.0),
            (at(SeamRole::Waist, 210.0), 0.0),
            (at(SeamRole::Inseam, 50.0), 0.0),
        ] {
            assert!(near(law.displacement(station, moves), Vec2::new(0.28, 0.96) * raised), "{station:?}");
        }
    }

    #[test]
    fn no_line_folds_back_on_itself() {
        // Easing over 200 mm is one and a half times as steep as on average: 0.7 · 200 / 1.5 mm may go, of the straight
        // part 0.7 · 120 mm.
        let (up, down) = law(SMOOTH).reach();
        assert!((up.0 + 84.0).abs() < 1e-9 && (down.0 - 280.0 / 3.0).abs() < 1e-9, "{up} {down}");
        assert_eq!(law(STRAIGHT).reach(), (Mm(-84.0), Mm(280.0)));
        let short = Law { straight: 500.0, ..law(SMOOTH) };
        assert!((short.reach().0.0 + 280.0 / 3.0).abs() < 1e-9);
    }
}
