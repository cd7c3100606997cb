//! What a size measures on its sew lines.

use super::leg::{Found, Leg};
use super::{LegPiece, SeamRole};
use crate::units::Mm;
use kurbo::Point;
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
    /// The outseam.
    #[serde(rename = "outseam_mm")]
    pub outseam: Mm,
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
    /// Measures a leg; `above` is the centre edge of the yoke on it, `drawn` turns millimetres into
    /// the drawing's coordinates.
    #[must_use]
    pub fn of(block: &str, leg: &Leg, above: Mm, drawn: impl Fn(Point) -> Point) -> Self {
        let fork = drawn(leg.fork_point());
        LegMeasures {
            block: block.to_owned(),
            rise: leg.length(SeamRole::Crotch) + above,
            inseam: leg.length(SeamRole::Inseam),
            outseam: leg.length(SeamRole::Outseam),
            waist: leg.length(SeamRole::Waist),
            hem: leg.length(SeamRole::Hem),
            thigh: leg.thigh(),
            fork: [round(fork.x), round(fork.y)],
            found: leg.found,
        }
    }
}

impl Measures {
    /// Measures a front and a back as drawn.
    #[must_use]
    pub fn of(front: &LegPiece<'_>, back: &LegPiece<'_>) -> Self {
        Measures::with(front, &front.leg, back, &back.leg)
    }

    /// Measures a front and a back with other seams than those drawn.
    #[must_use]
    pub fn with(front: &LegPiece<'_>, front_leg: &Leg, back: &LegPiece<'_>, back_leg: &Leg) -> Self {
        let one = |p: &LegPiece<'_>, leg: &Leg| {
            LegMeasures::of(&p.piece.block_name, leg, p.above, |q| p.piece.drawn(q))
        };
        let (f, b) = (one(front, front_leg), one(back, back_leg));
        Measures {
            crotch_length: f.rise + b.rise,
            inseam_difference: b.inseam - f.inseam,
            fork_angle: round(front_leg.fork_angle() + back_leg.fork_angle()),
            front: f,
            back: b,
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
