//! The moves of a leg, and the smooth step with which a move fades out.

use crate::units::Mm;

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

/// A smooth step from 0 to 1 with level ends: the cubic 3x² − 2x³.
pub(super) fn ease(x: f64) -> f64 {
    let x = x.clamp(0.0, 1.0);
    x * x * (3.0 - 2.0 * x)
}
