//! The measures of a size, taken on its sew lines.

use super::fold::{Fold, FoldBy, Folds};
use super::leg::{Found, Leg};
use super::{LegPiece, Pair, Part, SeamRole};
use crate::trousers::MEASURES;
use crate::units::Mm;
use schemars::JsonSchema;
use serde::Serialize;

/// The measures of one leg. Field names and order are part of the interface.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct LegMeasures {
    /// The block the piece is drawn in.
    pub block: String,
    /// Front or back rise: the crotch seam from waist to fork, the centre edge of a yoke included.
    #[serde(rename = "rise_mm")]
    pub rise: Mm,
    /// The inseam.
    #[serde(rename = "inseam_mm")]
    pub inseam: Mm,
    /// The outseam; none where front and back are drawn in one piece.
    #[serde(rename = "outseam_mm")]
    pub outseam: Option<Mm>,
    /// The waist.
    #[serde(rename = "waist_mm")]
    pub waist: Mm,
    /// The hem.
    #[serde(rename = "hem_mm")]
    pub hem: Mm,
    /// The width at fork level; none where the outseam does not reach it.
    #[serde(rename = "thigh_mm")]
    pub thigh: Option<Mm>,
    /// The fork, in the drawing's own coordinates.
    pub fork: [f64; 2],
    /// How its parts were found.
    pub found: Found,
    /// What is turned in beyond folds and counts in no length; left out where there is none.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub turned_in: Option<TurnedInMeasures>,
}

/// What is turned in at the ends of a leg.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, JsonSchema)]
pub struct TurnedInMeasures {
    /// A casing at the waist.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub waist: Option<TurnedInAt>,
    /// The hem.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub hem: Option<TurnedInAt>,
}

/// What is turned in beyond one fold.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, JsonSchema)]
pub struct TurnedInAt {
    /// How far the fold lies from the edge of the sew line.
    #[serde(rename = "depth_mm")]
    pub depth: Mm,
    /// How the fold was found.
    pub found: FoldBy,
}

impl TurnedInMeasures {
    /// The folds of a leg, if it has any.
    fn of(folds: &Folds) -> Option<Self> {
        let at = |fold: Fold| TurnedInAt { depth: fold.turned_in, found: fold.by };
        let all = TurnedInMeasures { waist: folds.waist.map(at), hem: folds.hem.map(at) };
        (all.waist.is_some() || all.hem.is_some()).then_some(all)
    }
}

/// The measures of one size.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct Measures {
    /// Front rise and back rise together.
    #[serde(rename = "crotch_length_mm")]
    pub crotch_length: Mm,
    /// The front.
    pub front: LegMeasures,
    /// The back.
    pub back: LegMeasures,
    /// Back inseam less front inseam.
    #[serde(rename = "inseam_difference_mm")]
    pub inseam_difference: Mm,
    /// The angles at the fork of front and back together; 180 where the joined curve is smooth.
    #[serde(rename = "fork_angle_deg")]
    pub fork_angle: f64,
}

impl LegMeasures {
    /// Measures `leg` as the leg of the piece `on`: the leg as drawn, or one that takes its place.
    #[must_use]
    pub(crate) fn of(on: &LegPiece<'_>, leg: &Leg) -> Self {
        let fork = on.piece.drawn(leg.fork_point());
        let length = |role| on.length_with(leg, role);
        LegMeasures {
            block: on.piece.block_name.clone(),
            rise: length(SeamRole::Crotch),
            inseam: length(SeamRole::Inseam),
            outseam: leg.one_piece.is_none().then(|| length(SeamRole::Outseam)),
            waist: length(SeamRole::Waist),
            hem: length(SeamRole::Hem),
            thigh: leg.thigh(),
            fork: [round(fork.x), round(fork.y)],
            found: leg.found,
            turned_in: TurnedInMeasures::of(&on.folds),
        }
    }
}

impl Measures {
    /// Every length, in the order of `MEASURES`; `None` for a thigh whose level the outseam does not reach, and for the outseam of a
    /// leg that is front and back in one piece.
    #[must_use]
    pub(crate) fn values(&self) -> [Option<Mm>; MEASURES.len()] {
        let (f, b) = (&self.front, &self.back);
        [
            Some(self.crotch_length),
            Some(f.rise),
            Some(b.rise),
            Some(f.inseam),
            Some(b.inseam),
            Some(self.inseam_difference),
            f.outseam,
            b.outseam,
            Some(f.waist),
            Some(b.waist),
            f.thigh,
            b.thigh,
            Some(f.hem),
            Some(b.hem),
        ]
    }

    /// The rise of one part, to be changed.
    pub(crate) fn rise_mut(&mut self, part: Part) -> &mut Mm {
        match part {
            Part::Front => &mut self.front.rise,
            Part::Back => &mut self.back.rise,
        }
    }

    /// Measures a front and a back as drawn.
    #[must_use]
    pub(crate) fn of(on: Pair<&LegPiece<'_>>) -> Self {
        Measures::with(on, on.map(|on| &on.leg))
    }

    /// Measures a front and a back with other seams than those drawn.
    #[must_use]
    pub(crate) fn with(on: Pair<&LegPiece<'_>>, legs: Pair<&Leg>) -> Self {
        let Pair { front, back } = on.zip(legs).map(|(on, leg)| LegMeasures::of(on, leg));
        Measures {
            crotch_length: front.rise + back.rise,
            inseam_difference: back.inseam - front.inseam,
            fork_angle: round(legs.front.fork_angle() + legs.back.fork_angle()),
            front,
            back,
        }
    }
}

/// A number for a report: to 1e-6, and never a negative zero.
fn round(value: f64) -> f64 {
    (value * 1e6).round() / 1e6 + 0.0
}

#[cfg(test)]
mod tests {
    #![allow(clippy::float_cmp, reason = "exact values are meant exactly")]
    use super::round;

    #[test]
    fn numbers_of_a_report_have_six_decimals_and_no_negative_zero() {
        assert_eq!([round(37.123_456_7), round(-2.000_000_4), round(0.5)], [37.123_457, -2.0, 0.5]);
        assert!(round(-1e-9).is_sign_positive());
    }
}
