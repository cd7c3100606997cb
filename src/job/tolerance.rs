//! Tolerances that a job file may set.
//!
//! There is one list: a line added to `tolerances!` below becomes a field with its default and a key of the job file, and appears
//! in messages and documents.

use super::length::{self, LengthError};
use super::share::{self, Share, ShareError};
use crate::trousers::LEGS;
use crate::units::{Length, Mm, Unit};
use serde::Serialize;

/// An angle in degrees, zero or more.
#[derive(Clone, Copy, Debug, Default, PartialEq, PartialOrd, Serialize)]
#[serde(transparent)]
pub struct Degrees(pub f64);

/// What a tolerance can be: a length, an angle or a share.
trait Tolerance: Sized {
    /// The same kind of value once its unit is known.
    type Known;

    /// How a value is written, for messages.
    const ACCEPTED: &'static str;

    /// Reads a value. A length without a unit takes the unit `plain` if that is already known. The error says what is wrong with
    /// the text.
    fn parse(text: &str, plain: Option<Unit>) -> Result<Self, String>;

    /// The value with its unit known; a length without a unit takes the unit `plain`.
    fn known(self, plain: Unit) -> Self::Known;
}

impl Tolerance for Length {
    type Known = Mm;
    const ACCEPTED: &'static str = length::ACCEPTED;

    fn parse(text: &str, plain: Option<Unit>) -> Result<Self, String> {
        length::parse(text, plain).map_err(|error: LengthError| error.problem())
    }

    fn known(self, plain: Unit) -> Mm {
        self.in_mm(plain)
    }
}

impl Tolerance for Degrees {
    type Known = Self;
    const ACCEPTED: &'static str = "write an angle in degrees, such as 0.5 or \"0.5°\", from 0 to 360";

    fn parse(text: &str, _: Option<Unit>) -> Result<Self, String> {
        let trimmed = text.trim();
        let fail = |why: &str| format!("{} {why}", super::diagnostic::quoted(trimmed));
        let (value, len) = super::number::leading(trimmed).map_err(|(error, _)| fail(&error.to_string()))?;
        match trimmed[len..].trim() {
            "" | "°" | "deg" | "degrees" if value <= 360.0 => Ok(Degrees(value)),
            "" | "°" | "deg" | "degrees" => Err(fail("is more than a full turn")),
            _ => Err(fail("is no angle")),
        }
    }

    fn known(self, _: Unit) -> Self {
        self
    }
}

impl Tolerance for Share {
    type Known = Self;
    const ACCEPTED: &'static str = share::ACCEPTED;

    fn parse(text: &str, _: Option<Unit>) -> Result<Self, String> {
        share::parse(text).map_err(|error: ShareError| error.problem())
    }

    fn known(self, _: Unit) -> Self {
        self
    }
}

/// Why a value was not accepted.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum SetError {
    /// There is no tolerance of that name.
    UnknownKey,
    /// The value cannot be read: what is wrong, and what is accepted.
    Value(String, &'static str),
}

macro_rules! tolerances {
    ($($(#[doc = $doc:literal])* $key:ident: $kind:ty = $default:expr,)*) => {
        /// How far things may be off before a check says so.
        #[derive(Clone, Debug, PartialEq)]
        pub struct Tolerances<L = Mm> { $($(#[doc = $doc])* pub $key: $kind,)* }

        impl<L: From<Mm>> Default for Tolerances<L> {
            fn default() -> Self {
                Tolerances { $($key: $default.into(),)* }
            }
        }

        impl Tolerances {
            /// Every key with what it means.
            pub const KEYS: &'static [(&'static str, &'static str)] =
                &[$((stringify!($key), concat!($($doc),*)),)*];
        }

        impl Tolerances<Length> {
            /// Reads the value of that key. A length without a unit takes the unit `plain` if that is already known.
            pub fn set(&mut self, key: &str, text: &str, plain: Option<Unit>) -> Result<(), SetError> {
                match key {
                    $(stringify!($key) => {
                        let read = Tolerance::parse(text, plain);
                        self.$key = read.map_err(|problem| SetError::Value(problem, accepted(&self.$key)))?;
                        Ok(())
                    })*
                    _ => Err(SetError::UnknownKey),
                }
            }

            /// The same in mm; a length without a unit takes the unit `plain`.
            #[must_use]
            pub fn in_mm(&self, plain: Unit) -> Tolerances {
                Tolerances { $($key: Tolerance::known(self.$key, plain),)* }
            }
        }
    };
}

/// How a value of this kind is written.
fn accepted<T: Tolerance>(_: &T) -> &'static str {
    T::ACCEPTED
}

tolerances! {
    /// How much the difference of back and front inseam may change.
    // 1/16 in: matched seams in drafting books (from memory).
    inseam: L = Mm(1.5),
    /// How much shorter than the front's the back inseam may be.
    // 6 mm, stretched on, in drafting books (from memory), and what an alteration may add to it: about 5/16 in.
    inseam_shorter: L = Mm(7.9),
    /// How much longer than the front's the back inseam may be.
    // 1/8 in on long seams (from memory).
    inseam_longer: L = Mm(3.2),
    /// How much front and back outseam may differ.
    // 1/4 in, what buyers' sheets allow a finished leg seam (from memory).
    outseam: L = Mm(6.4),
    /// How far the difference of two mating seams may be out of line with the other sizes'.
    // 1/8 in on long seams (from memory); an alteration may use half of it in one size.
    between_sizes: L = Mm(3.2),
    /// How far two notches that are sewn together may be apart, or off what they are apart in the other sizes.
    // 1/8 in on long seams (from memory).
    notch_pair: L = Mm(3.2),
    /// How far a notch may stand from the edge.
    // A notch drawn on the curve of which the outline has the chords; a cutter's notch is 4 to 6 mm deep (common practice).
    notch_edge: L = Mm(1.0),
    /// How much the seam allowance may change along an edge, or from size to size.
    // A little more than 1/32 in: a quarter of what one sees when sewing along the guide of a machine (common practice, no source).
    allowance: L = Mm(1.0),
    /// How far the ends of an outline may lie apart.
    // What reading joins; a cutter follows a gap of ten times as much.
    gap: L = crate::pattern::Reading::GAP,
    /// How small a crossing may be and still be the rounding of coordinates.
    // Exports round to 0.01 mm or to 0.001 in.
    crossing: L = Mm(0.05),
    /// How far an end of the grain line may lie outside its piece.
    // A line drawn up to the edge, rounded.
    grain_edge: L = Mm(1.0),
    /// The least length of a grain line, as a share of its piece along it.
    // Laid to 1 mm by eye, a line of this share turns the piece by 1/2 in over its length at most (derived).
    grain_length: Share = Share::of_hundred(8),
    /// By how much the grain line of a size may lie at another angle than in the other sizes.
    // Derived: over a leg of 1 m it is 17 mm, a little more than the 1/2 in that is put up with (from memory).
    grain_turn: Degrees = Degrees(1.0),
    /// How far a mark or an internal line may lie outside its piece.
    // As for notches.
    mark_edge: L = Mm(1.0),
    /// How high a spike, or how deep a dent, of an outline may be.
    // As for the allowance along an edge.
    spike: L = Mm(1.0),
    /// How far the angles of front and back at the fork may be from 180 degrees together.
    // Derived: the joined curve is smooth. 5 degrees show as a corner; an alteration may add 3.
    fork_angle: Degrees = Degrees(5.0),
    /// How far the angle of a centre seam at the waist may be from 90 degrees.
    // Derived: the edges mirror, so twice as much is the corner in the joined waist. Half of it is noted.
    corner: Degrees = Degrees(10.0),
    /// How far a mirror line may lie from the edge of its half piece.
    // As for notches.
    mirror: L = Mm(1.0),
    /// How far a size's step may be out of line before anything is said.
    // 1/8 in: less than the rounding of grade rules to 1/8 in, as is usual (from memory).
    grade_step: L = Mm(3.2),
    /// How far a size's step may be out of line, as a share of the usual step.
    // Size runs that grow by 2 in where they grew by 1 1/2 in before are usual, twice the step is not (from memory).
    grade_share: Share = Share::HALF,
    /// The least length of a trouser leg from waist to hem.
    // Shorts of the smallest babies' size.
    leg_least: L = *LEGS.start(),
    /// The greatest length of a trouser leg from waist to hem.
    // A very tall man's outseam is shorter.
    leg_most: L = *LEGS.end(),
    /// The least length that the largest piece of a drawing may have.
    // The palm of a glove is twice as long (from memory).
    piece_least: L = Mm(50.0),
    /// The greatest length that a piece of a drawing may have.
    // Common lay tables are 6 to 12 m long (from memory); 1 m taken for inches is 25 m.
    piece_most: L = Mm(12000.0),
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;

    #[test]
    fn a_tolerance_is_set_by_its_key() {
        assert_eq!(Tolerances::<Mm>::default().inseam, Mm(1.5));
        let mut t = Tolerances::<Length>::default();
        t.set("inseam", "1/8 in", None).unwrap();
        t.set("spike", "2", None).unwrap();
        t.set("gap", "2", Some(Unit::Mm)).unwrap();
        let known = t.in_mm(Unit::Cm);
        assert_eq!((known.inseam, known.spike, known.gap), (Mm(3.175), Mm(20.0), Mm(2.0)));
        assert_eq!(t.set("ease", "1", None), Err(SetError::UnknownKey));
        let error = t.set("inseam", "-1", None).unwrap_err();
        assert_eq!(error, SetError::Value("'-1' is negative".to_owned(), length::ACCEPTED));
        assert!(Tolerances::KEYS.iter().all(|(_, doc)| !doc.is_empty()));
    }

    #[test]
    fn angles_and_shares_are_read_as_such() {
        for text in ["0.5", "1/2°", "0,5 deg"] {
            assert_eq!(Degrees::parse(text, None), Ok(Degrees(0.5)), "{text}");
        }
        for text in ["361", "-1", "5 mm", "", "nan"] {
            assert!(Degrees::parse(text, None).is_err(), "{text}");
        }
        assert_eq!(<Share as Tolerance>::parse("10%", None), Ok(Share::new(0.1).unwrap()));
        assert!(<Share as Tolerance>::parse("10", None).is_err());
    }
}
