//! The measures of trousers.

use crate::units::Mm;
use std::ops::RangeInclusive;

/// The length of a trouser leg from waist to hem: from shorts of the smallest babies' size to the trousers of a very tall man, whose
/// outseam is 1.3 m (from memory).
pub const LEGS: RangeInclusive<Mm> = Mm(180.0)..=Mm(1700.0);

/// The names of the measures in tables, in the order in which reports list them; all in mm.
pub const MEASURES: [&str; 14] = [
    "crotch_length_mm",
    "front_rise_mm",
    "back_rise_mm",
    "front_inseam_mm",
    "back_inseam_mm",
    "inseam_difference_mm",
    "front_outseam_mm",
    "back_outseam_mm",
    "front_waist_mm",
    "back_waist_mm",
    "front_thigh_mm",
    "back_thigh_mm",
    "front_hem_mm",
    "back_hem_mm",
];
