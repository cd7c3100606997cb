//! Tolerances that a job file may set.
//!
//! One list: a line added to `tolerances!` below is a field with its default, a key of the job file, and known
//! to messages and documents.

use super::length::{self, LengthError};
use super::share::{self, ShareError};
use crate::units::{Mm, Unit};
use serde::Serialize;

/// An angle in degrees, zero or more.
#[derive(Clone, Copy, Debug, Default, PartialEq, PartialOrd, Serialize)]
#[serde(transparent)]
pub struct Degrees(pub f64);

/// What a tolerance can be: a length, an angle or a share.
pub trait Tolerance: Sized {
    /// How a value is written, for messages.
    const ACCEPTED: &'static str;

    /// Reads a value; a length without a unit is of the unit `plain`. The error says what is wrong with the text.
    fn parse(text: &str, plain: Unit) -> Result<Self, String>;
}

impl Tolerance for Mm {
    const ACCEPTED: &'static str = length::ACCEPTED;

    fn parse(text: &str, plain: Unit) -> Result<Self, String> {
        length::parse(text, plain).map_err(|error: LengthError| error.problem())
    }
}

impl Tolerance for Degrees {
    const ACCEPTED: &'static str = "write an angle in degrees, such as 0.5 or \"0.5°\", from 0 to 360";

    fn parse(text: &str, _: Unit) -> Result<Self, String> {
        let trimmed = text.trim();
        let fail = |why: &str| format!("{} {why}", super::diagnostic::quoted(trimmed));
        let (value, len) = super::number::leading(trimmed).map_err(|(error, _)| fail(&error.to_string()))?;
        match trimmed[len..].trim() {
            "" | "°" | "deg" | "degrees" if value <= 360.0 => Ok(Degrees(value)),
            "" | "°" | "deg" | "degrees" => Err(fail("is more than a full turn")),
            _ => Err(fail("is no angle")),
        }
    }
}

impl Tolerance for share::Share {
    const ACCEPTED: &'static str = share::ACCEPTED;

    fn parse(text: &str, _: Unit) -> Result<Self, String> {
        share::parse(text).map_err(|error: ShareError| error.problem())
    }
}

/// Why a value was not taken.
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
        pub struct Tolerances { $($(#[doc = $doc])* pub $key: $kind,)* }

        impl Default for Tolerances {
            fn default() -> Self {
                Tolerances { $($key: $default,)* }
            }
        }

        impl Tolerances {
            /// Every key with what it means.
            pub const KEYS: &'static [(&'static str, &'static str)] =
                &[$((stringify!($key), concat!($($doc),*)),)*];

            /// Reads the value of that key; a length without a unit is of the unit `plain`.
            pub fn set(&mut self, key: &str, text: &str, plain: Unit) -> Result<(), SetError> {
                match key {
                    $(stringify!($key) => {
                        self.$key = <$kind as Tolerance>::parse(text, plain)
                            .map_err(|problem| SetError::Value(problem, <$kind as Tolerance>::ACCEPTED))?;
                        Ok(())
                    })*
                    _ => Err(SetError::UnknownKey),
                }
            }
        }
    };
}

tolerances! {
    /// How much the difference of back and front inseam may change.
    // 1/16 in: matched seams in drafting books (from memory).
    inseam: Mm = Mm(1.5),
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;
    use crate::job::Share;

    #[test]
    fn a_tolerance_is_set_by_its_key() {
        let mut t = Tolerances::default();
        assert_eq!(t.inseam, Mm(1.5));
        t.set("inseam", "1/8 in", Unit::Mm).unwrap();
        assert_eq!(t.inseam, Mm(3.175));
        assert_eq!(t.set("ease", "1", Unit::Mm), Err(SetError::UnknownKey));
        let error = t.set("inseam", "-1", Unit::Mm).unwrap_err();
        assert_eq!(error, SetError::Value("'-1' is negative".to_owned(), length::ACCEPTED));
        assert!(Tolerances::KEYS.iter().all(|(_, doc)| !doc.is_empty()));
    }

    #[test]
    fn angles_and_shares_are_read_as_such() {
        for text in ["0.5", "1/2°", "0,5 deg"] {
            assert_eq!(Degrees::parse(text, Unit::In), Ok(Degrees(0.5)), "{text}");
        }
        for text in ["361", "-1", "5 mm", "", "nan"] {
            assert!(Degrees::parse(text, Unit::In).is_err(), "{text}");
        }
        assert_eq!(<Share as Tolerance>::parse("10%", Unit::In), Ok(Share::new(0.1).unwrap()));
        assert!(<Share as Tolerance>::parse("10", Unit::In).is_err());
    }
}
