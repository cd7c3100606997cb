//! The choices a person has in how an alteration is made.

use super::length::{self, LengthError};
use crate::finding::FindingId;
use crate::pattern::SizeName;
use crate::trousers::{Allowances, TurnedIn};
use crate::units::{Length, Mm, Unit};
use serde::Serialize;
use std::fmt;

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

/// The place on the inseam at which the redrawn line has returned to the old one.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum BlendTo<L = Mm> {
    /// At the knee.
    Knee,
    /// At the hem, so that the whole inseam is redrawn.
    Hem,
    /// At this distance from the fork, measured along the inseam; above zero.
    Length(L),
}

impl<L: fmt::Display> fmt::Display for BlendTo<L> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            BlendTo::Knee => f.write_str("knee"),
            BlendTo::Hem => f.write_str("hem"),
            BlendTo::Length(length) => length.fmt(f),
        }
    }
}

impl Serialize for BlendTo<Length> {
    /// Serialized as it is written in a job file.
    fn serialize<S: serde::Serializer>(&self, s: S) -> Result<S::Ok, S::Error> {
        s.collect_str(self)
    }
}

/// Why a text cannot be read as a [`BlendTo`].
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum BlendToError {
    /// It is neither a place nor a length.
    #[error("neither knee nor hem nor a length: {0}")]
    Neither(LengthError),
    /// A length of zero.
    #[error("the redrawn inseam cannot come back where it starts: write knee, hem or a length above zero")]
    Zero,
}

impl BlendTo<Length> {
    /// Reads `knee`, `hem` or a length. A number without a unit takes the unit `plain` if that is already known.
    pub(crate) fn parse(text: &str, plain: Option<Unit>) -> Result<Self, BlendToError> {
        match text.trim().to_lowercase().as_str() {
            "knee" => return Ok(BlendTo::Knee),
            "hem" => return Ok(BlendTo::Hem),
            _ => {}
        }
        let length = length::parse(text, plain).map_err(BlendToError::Neither)?;
        if length.number() > 0.0 { Ok(BlendTo::Length(length)) } else { Err(BlendToError::Zero) }
    }

    /// The same with its length in mm; a number without a unit takes the unit `plain`.
    #[must_use]
    pub(crate) fn in_mm(self, plain: Unit) -> BlendTo {
        match self {
            BlendTo::Knee => BlendTo::Knee,
            BlendTo::Hem => BlendTo::Hem,
            BlendTo::Length(length) => BlendTo::Length(length.in_mm(plain)),
        }
    }
}

/// The options for reading and altering a drawing, as given in a job file, on a command line or in the cells of an order. An
/// option that is not given is `None` or empty; [`AlterOptions::or`] fills it from a source of lower priority.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct AlterOptions {
    /// The unit of numbers written without one, and of a drawing that does not state its own.
    pub unit: Option<Unit>,
    /// Seam allowances, for drawings without sew lines.
    pub allowance: Allowances<Length>,
    /// How much is turned in beyond the folds at waist and hem.
    pub fold: TurnedIn<Length>,
    /// Only these sizes are altered; empty means all.
    pub only: Vec<SizeName>,
    /// What the slide has to reach: the crotch length on measuring again, or each piece's share of the difference.
    pub aim: Option<Aim>,
    /// What is done when front and back do not slide by the same amount.
    pub uneven: Option<Uneven>,
    /// Where the redrawn inseam returns to the old line.
    pub blend_to: Option<BlendTo<Length>>,
    /// By how much the difference between back and front inseam may change.
    pub tolerance: Option<Length>,
    /// Findings that do not prevent the new drawing from being written.
    pub accept: Vec<FindingId>,
    /// Whether pieces that are attached to a leg piece are redrawn with it.
    pub follow: Option<bool>,
    /// Whether the new drawing contains a note of the alteration.
    pub say_altered: Option<bool>,
    /// Whether the check by the second, independent reader is skipped.
    pub no_reread: Option<bool>,
}

impl AlterOptions {
    /// These options, completed from `below` where they are not given: allowances and folds seam by seam, lists as a whole.
    #[must_use]
    pub fn or(self, below: &Self) -> Self {
        fn list_or<T: Clone>(list: Vec<T>, below: &[T]) -> Vec<T> {
            if list.is_empty() { below.to_vec() } else { list }
        }
        AlterOptions {
            unit: self.unit.or(below.unit),
            allowance: self.allowance.or(&below.allowance),
            fold: self.fold.or(below.fold),
            only: list_or(self.only, &below.only),
            aim: self.aim.or(below.aim),
            uneven: self.uneven.or(below.uneven),
            blend_to: self.blend_to.or(below.blend_to),
            tolerance: self.tolerance.or(below.tolerance),
            accept: list_or(self.accept, &below.accept),
            follow: self.follow.or(below.follow),
            say_altered: self.say_altered.or(below.say_altered),
            no_reread: self.no_reread.or(below.no_reread),
        }
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;
    use crate::trousers::SeamRole;

    #[test]
    fn the_place_to_blend_to_is_a_word_or_a_length() {
        assert_eq!(BlendTo::parse(" Knee", Some(Unit::Mm)), Ok(BlendTo::Knee));
        assert_eq!(BlendTo::parse("hem", Some(Unit::Mm)), Ok(BlendTo::Hem));
        assert_eq!(BlendTo::parse("10", None).unwrap().in_mm(Unit::In), BlendTo::Length(Mm(254.0)));
        assert_eq!(BlendTo::parse("0", Some(Unit::Mm)), Err(BlendToError::Zero));
        let error = BlendTo::parse("ankle", Some(Unit::Mm)).unwrap_err().to_string();
        assert!(error.contains("neither knee nor hem nor a length: 'ankle'"), "{error}");
    }

    /// A cell has priority over the command line, and the command line over the job file; a number without a unit takes the unit
    /// that results from this.
    #[test]
    fn what_counts_more_goes_before_what_counts_less() {
        let allowance = |text| Allowances::parse([text]).unwrap();
        let job = AlterOptions {
            aim: Some(Aim::Distance),
            uneven: Some(Uneven::Waist),
            allowance: allowance("hem=40mm"),
            ..AlterOptions::default()
        };
        let line = AlterOptions {
            unit: Some(Unit::In),
            uneven: Some(Uneven::Fork),
            allowance: allowance("all=1"),
            follow: Some(true),
            accept: vec![FindingId::ForkAngle],
            ..AlterOptions::default()
        };
        let cell = AlterOptions {
            uneven: Some(Uneven::Keep),
            allowance: allowance("inseam=2"),
            follow: Some(false),
            ..AlterOptions::default()
        };
        let all = cell.or(&line).or(&job);
        assert_eq!((all.aim, all.uneven, all.follow), (Some(Aim::Distance), Some(Uneven::Keep), Some(false)));
        assert_eq!(all.accept, [FindingId::ForkAngle]);
        let given = all.allowance.in_mm(all.unit.unwrap());
        let of = [SeamRole::Hem, SeamRole::Inseam, SeamRole::Waist].map(|role| given.get(role).unwrap());
        assert_eq!(of, [40.0, 50.8, 25.4].map(Mm));
    }
}
