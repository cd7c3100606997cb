//! How an alteration is to be made, where a person may choose.

use super::length::{self, LengthError};
use crate::units::{Mm, Unit};

words! {
    /// What is done when front and back do not slide by the same amount.
    Uneven, "way":
    /// Slide unevenly; the inseams then differ, and the check says so.
    Keep = "keep",
    /// Carry the fork of the heavier piece outwards.
    Fork = "fork",
    /// Raise the centre waist of the heavier piece.
    Waist = "waist",
}

words! {
    /// What the slide is to meet.
    Aim, "aim":
    /// The crotch length on measuring again.
    Length = "length",
    /// The slide itself: each piece's share of the difference as it stands.
    Distance = "distance",
}

words! {
    /// What the deltas of a rule table are counted from.
    Deltas, "origin of deltas":
    /// Each size's from the sample size.
    Base = "base",
    /// Each size's from its neighbour on the side of the sample size.
    Step = "step",
}

/// Where on the inseam the redrawn line has come back to the old one.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum BlendTo {
    /// At the knee.
    Knee,
    /// Not before the hem.
    Hem,
    /// That far from the fork, along the inseam; above zero.
    Length(Mm),
}

impl std::fmt::Display for BlendTo {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            BlendTo::Knee => f.write_str("knee"),
            BlendTo::Hem => f.write_str("hem"),
            BlendTo::Length(length) => length.fmt(f),
        }
    }
}

/// A text that is no [`BlendTo`].
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum BlendToError {
    /// It is neither a place nor a length.
    #[error("neither knee nor hem nor a length: {0}")]
    Neither(LengthError),
    /// A length of zero.
    #[error("the redrawn inseam cannot come back where it starts: write knee, hem or a length above zero")]
    Zero,
}

impl BlendTo {
    /// Reads `knee`, `hem` or a length; a number without a unit is of the unit `plain`.
    pub fn parse(text: &str, plain: Unit) -> Result<BlendTo, BlendToError> {
        match text.trim().to_lowercase().as_str() {
            "knee" => return Ok(BlendTo::Knee),
            "hem" => return Ok(BlendTo::Hem),
            _ => {}
        }
        let length = length::parse(text, plain).map_err(BlendToError::Neither)?;
        if length.0 > 0.0 { Ok(BlendTo::Length(length)) } else { Err(BlendToError::Zero) }
    }
}

/// What a job file says about the alteration; what it leaves open is `None`.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct AlterOptions {
    /// What is done about uneven slides.
    pub uneven: Option<Uneven>,
    /// Where the redrawn inseam comes back.
    pub blend_to: Option<BlendTo>,
    /// What the slide is to meet.
    pub aim: Option<Aim>,
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;

    #[test]
    fn the_place_to_blend_to_is_a_word_or_a_length() {
        assert_eq!(BlendTo::parse(" Knee", Unit::Mm), Ok(BlendTo::Knee));
        assert_eq!(BlendTo::parse("hem", Unit::Mm), Ok(BlendTo::Hem));
        assert_eq!(BlendTo::parse("10", Unit::In), Ok(BlendTo::Length(Mm(254.0))));
        assert_eq!(BlendTo::parse("0", Unit::Mm), Err(BlendToError::Zero));
        let error = BlendTo::parse("ankle", Unit::Mm).unwrap_err().to_string();
        assert!(error.contains("neither knee nor hem nor a length: 'ankle'"), "{error}");
    }
}
