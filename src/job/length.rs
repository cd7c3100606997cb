//! Reads lengths, wherever a person writes one.
//!
//! `12.5`, `12.5mm`, `1.25 cm`, `5/8in`, `1 1/4"`, `23 1/2 in`, `12,5 mm`. The inch is the international one of
//! 1959, exactly 25.4 mm.

use super::diagnostic::quoted;
use super::number::{self, NumberError};
use crate::units::{Length, Mm, Unit};
use std::ops::Range;

/// The longest length accepted: 1 km, with a number without a unit read as mm. No pattern comes near it. Read as inches, such a
/// number can become 25 times as long, and up to there the geometry stays exact.
pub const LONGEST: Mm = Mm(1e6);

/// How a length is written, for messages.
pub const ACCEPTED: &str =
    "write a length such as 12.5, 12.5 mm, 1.25 cm, 5/8 in, 1 1/4\" or 12,5 mm (units: mm, cm, in)";

/// Why a text cannot be read as a length; the message also says what is accepted.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("{}; {ACCEPTED}", self.problem())]
pub struct LengthError {
    /// The text that was read.
    pub read: String,
    /// The range of bytes in the text that is wrong.
    pub span: Range<usize>,
    /// Why it cannot be read as a length.
    pub reason: LengthReason,
}

impl LengthError {
    /// What is wrong, without the part that says what is accepted.
    #[must_use]
    pub fn problem(&self) -> String {
        if self.reason == LengthReason::Empty {
            return self.reason.to_string();
        }
        format!("{} {}", quoted(&self.read), self.reason)
    }
}

/// Why a text cannot be read as a length.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum LengthReason {
    /// Nothing but blanks.
    #[error("a length is missing")]
    Empty,
    /// The number in it cannot be read.
    #[error("{0}")]
    Number(NumberError),
    /// The unit is none of mm, cm and in.
    #[error("has the unknown unit {}", quoted(.0))]
    Unit(String),
    /// Below zero, where a negative length has no meaning.
    #[error("is negative")]
    Negative,
    /// Longer than [`LONGEST`].
    #[error("is longer than 1 km")]
    TooLong,
}

/// Reads a length of zero or more. A number without a unit takes the unit `plain` if that is already known.
pub fn parse(text: &str, plain: Option<Unit>) -> Result<Length, LengthError> {
    read(text, plain, false)
}

/// Reads a length with or without a sign. A number without a unit takes the unit `plain` if that is already known.
pub fn parse_signed(text: &str, plain: Option<Unit>) -> Result<Length, LengthError> {
    read(text, plain, true)
}

fn read(text: &str, plain: Option<Unit>, signed: bool) -> Result<Length, LengthError> {
    let fail = |reason, span| LengthError { read: text.trim().to_owned(), span, reason };
    let end = text.trim_end().len();
    let mut at = end - text[..end].trim_start().len();
    if at == end {
        return Err(fail(LengthReason::Empty, 0..text.len()));
    }
    let start = at;
    // The typographic minus sign, and the dash into which word processors turn a hyphen, count as a minus.
    let minus = text[at..].starts_with(['-', '\u{2212}', '\u{2013}']);
    if minus || text[at..].starts_with('+') {
        at += text[at..].chars().next().map_or(0, char::len_utf8);
        at = end - text[at..end].trim_start().len();
    }
    let (value, len) = number::leading(&text[at..end])
        .map_err(|(error, span)| fail(LengthReason::Number(error), at + span.start..at + span.end))?;
    if minus && !signed {
        return Err(fail(LengthReason::Negative, start..end));
    }
    let unit_text = text[at + len..end].trim_start();
    let unit = if unit_text.is_empty() {
        plain
    } else {
        let span = end - unit_text.len()..end;
        Some(unit(unit_text).ok_or_else(|| fail(LengthReason::Unit(unit_text.to_owned()), span))?)
    };
    // "-0" is zero without a sign.
    let length = Length::new(if minus && value > 0.0 { -value } else { value }, unit);
    if length.in_mm(Unit::Mm).abs() > LONGEST {
        return Err(fail(LengthReason::TooLong, start..end));
    }
    Ok(length)
}

/// The unit with this name or sign.
#[must_use]
pub fn unit(text: &str) -> Option<Unit> {
    Some(match text.trim().to_lowercase().as_str() {
        "mm" | "millimetre" | "millimetres" | "millimeter" | "millimeters" => Unit::Mm,
        "cm" | "centimetre" | "centimetres" | "centimeter" | "centimeters" => Unit::Cm,
        "in" | "in." | "inch" | "inches" | "\"" | "''" | "\u{2033}" | "\u{2032}\u{2032}" | "\u{201d}"
        | "\u{2019}\u{2019}" => Unit::In,
        _ => return None,
    })
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;

    /// Reads a length and gives it in mm; a number without a unit takes the unit `plain`.
    fn read_in(text: &str, plain: Unit) -> Result<Mm, LengthError> {
        parse(text, None).map(|length| length.in_mm(plain))
    }

    fn signed(text: &str, plain: Unit) -> Result<Mm, LengthError> {
        parse_signed(text, None).map(|length| length.in_mm(plain))
    }

    use proptest::prelude::*;

    // Expected values: the inch is exactly 25.4 mm by the international yard and pound agreement of 1959;
    // 1 cm = 10 mm (SI). The products below are worked by hand from these.
    #[test]
    fn lengths_are_read_as_people_write_them() {
        let cases = [
            ("12.5mm", 12.5),
            ("1.25 cm", 12.5),
            ("12,5 mm", 12.5),
            ("5/8in", 15.875),
            ("5/8 inch", 15.875),
            ("1 1/4\"", 31.75),
            ("1 1/4 \"", 31.75),
            ("23 1/2 in", 596.9),
            ("23½\u{2033}", 596.9),
            ("23 ½ inches", 596.9),
            ("1 1/4''", 31.75),
            ("1\u{a0}1/4\u{a0}in", 31.75),
            ("3\u{2044}8 IN", 9.525),
            ("10/8 in", 31.75),
            (".5in", 12.7),
            ("0,125 in", 3.175),
            ("+3 mm", 3.0),
            ("  40 mm\t", 40.0),
            ("0", 0.0),
            ("1234,5", 1234.5),
        ];
        for (text, mm) in cases {
            let read = read_in(text, Unit::Mm).unwrap_or_else(|e| panic!("{e}"));
            assert!((read.0 - mm).abs() < 1e-9, "{text}: {read}");
        }
    }

    #[test]
    fn a_plain_number_is_open_until_its_unit_is_known() {
        assert_eq!(parse("12.5", None).unwrap().unit(), None);
        assert_eq!(parse("12.5", Some(Unit::Cm)), Ok(Length::new(12.5, Some(Unit::Cm))));
        assert_eq!(parse("12.5 mm", Some(Unit::Cm)), Ok(Length::from(Mm(12.5))));
        assert_eq!(read_in("12.5", Unit::Mm), Ok(Mm(12.5)));
        assert_eq!(read_in("12.5", Unit::Cm), Ok(Mm(125.0)));
        assert_eq!(read_in("1/2", Unit::In), Ok(Mm(12.7)));
        assert_eq!(read_in("12.5 mm", Unit::In), Ok(Mm(12.5)));
    }

    #[test]
    fn signs_count_only_where_they_mean_something() {
        for minus in ["-", "\u{2212}", "\u{2013}", "- "] {
            let text = format!("{minus}1/2 in");
            assert_eq!(signed(&text, Unit::Mm), Ok(Mm(-12.7)));
            assert_eq!(read_in(&text, Unit::Mm).unwrap_err().reason, LengthReason::Negative);
        }
        let zero = signed("-0", Unit::Mm).unwrap().0;
        assert!(zero == 0.0 && zero.is_sign_positive());
    }

    #[test]
    fn what_is_no_length_is_refused_with_its_reason() {
        use NumberError as N;
        let number = |error| LengthReason::Number(error);
        let unit = |text: &str| LengthReason::Unit(text.to_owned());
        let cases = [
            ("", LengthReason::Empty),
            (" \t", LengthReason::Empty),
            ("mm", number(N::Missing)),
            ("nan", number(N::Missing)),
            ("inf", number(N::Missing)),
            ("-", number(N::Missing)),
            (".", number(N::Missing)),
            ("--5", number(N::Missing)),
            ("1/0", number(N::ZeroDivisor)),
            ("1 1/0 in", number(N::ZeroDivisor)),
            ("1/", number(N::Fraction)),
            ("1/2/3", number(N::Fraction)),
            ("1/10000000", number(N::Fraction)),
            ("1 5/4 in", number(N::Improper)),
            ("1.5 1/4 in", number(N::DecimalFraction)),
            ("1.5½", number(N::DecimalFraction)),
            ("12.", number(N::NoDecimals)),
            ("12,in", number(N::NoDecimals)),
            ("1,250", number(N::Ambiguous)),
            ("711,625 mm", number(N::Ambiguous)),
            ("1.250,5", number(N::Separators)),
            ("1 250", number(N::TwoNumbers)),
            ("1e3", unit("e3")),
            ("1e999", unit("e999")),
            ("0x10", unit("x10")),
            ("5 ft", unit("ft")),
            ("5'", unit("'")),
            ("5 mm 3", unit("mm 3")),
            ("5 \u{1b}[31m", unit("\u{1b}[31m")),
            ("1000001", LengthReason::TooLong),
            ("40000 in", LengthReason::TooLong),
            (&"9".repeat(400), LengthReason::TooLong),
        ];
        for (text, reason) in cases {
            let error = read_in(text, Unit::Mm).unwrap_err();
            assert_eq!(error.reason, reason, "{text}");
            let message = error.to_string();
            assert!(message.contains("units: mm, cm, in"), "{message}");
            assert!(!message.contains('\u{1b}'), "{message:?}");
        }
    }

    #[test]
    fn an_error_names_the_place_in_the_text() {
        let text = "  12 1/0 in ";
        let error = read_in(text, Unit::Mm).unwrap_err();
        assert_eq!(&text[error.span.clone()], "1/0");
        assert_eq!(error.problem(), "'12 1/0 in' divides by zero");
        let text = " 5 elle";
        let error = read_in(text, Unit::Mm).unwrap_err();
        assert_eq!(&text[error.span.clone()], "elle");
    }

    proptest! {
        #[test]
        fn any_text_is_a_sound_length_or_an_error(text in "(?s).{0,30}|[-+0-9 .,/½\"'incm]{0,20}") {
            for plain in [Unit::Mm, Unit::Cm, Unit::In] {
                match signed(&text, plain) {
                    Ok(length) => prop_assert!(length.0.is_finite() && length.abs() <= LONGEST * 25.4),
                    Err(error) => prop_assert!(text.get(error.span.clone()).is_some(), "{:?}", error),
                }
                if let Ok(length) = read_in(&text, plain) {
                    prop_assert!(length.0 >= 0.0);
                }
            }
        }

        #[test]
        fn a_length_written_in_any_unit_comes_back(mm in -1e6f64..1e6) {
            // std writes the shortest decimal that reads back as the same number.
            prop_assert_eq!(signed(&format!("{mm} mm"), Unit::In), Ok(Mm(mm)));
            let inches = mm / 25.4;
            let back = signed(&format!("{inches}\""), Unit::Mm);
            prop_assert!(back.is_ok_and(|b| (b.0 - mm).abs() < 1e-9));
        }

        #[test]
        fn fractions_of_the_inch_are_exact_to_rounding(whole in 0u32..100, above in 0u32..64, power in 0u32..7) {
            let below = 2u32.pow(power);
            prop_assume!(above < below);
            let read = read_in(&format!("{whole} {above}/{below} in"), Unit::Mm);
            // 25.4 mm to the inch, in whole numbers: 254 (whole*below + above) / (10 below).
            let expected = f64::from(254 * (whole * below + above)) / f64::from(10 * below);
            prop_assert!(read.is_ok_and(|r| (r.0 - expected).abs() < 1e-9));
        }
    }
}
