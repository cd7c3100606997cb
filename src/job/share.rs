//! Reads shares of a whole: `50%`, `0.5`, `1/2`, `40/60`.
//!
//! People write a share in two ways: as a part of the whole (`1/2`, `0.4`), and as both parts side by side (`40/60`, `50:50`).
//! Two numbers that add up to a hundred are always both parts, never a quotient. A text that can be read in both ways with
//! different results (`4/6` is two thirds, or four parts of ten) is refused, and the message gives both readings.

use super::diagnostic::quoted;
use super::number::{self, NumberError};
use serde::Serialize;

/// How a share is written, for messages.
pub const ACCEPTED: &str =
    "write a share such as 50%, 0.5, 1/2, or 40/60 for 40% to the front and 60% to the back, from 0 to 100%";

/// The signs that may stand between the two parts of a whole.
const BETWEEN: [char; 8] = ['/', '\u{2044}', '\u{2215}', ':', '\u{2236}', '-', '\u{2013}', '\u{2212}'];

/// A share of a whole, from 0 to 1.
#[derive(Clone, Copy, Debug, PartialEq, PartialOrd, Serialize)]
#[serde(transparent)]
pub struct Share(f64);

impl Share {
    /// One half, the share of the front unless another one is given.
    pub const HALF: Share = Share(0.5);

    /// The share of this many hundredths; more than a hundred count as the whole.
    #[must_use]
    pub const fn of_hundred(hundredths: u8) -> Share {
        Share(if hundredths > 100 { 1.0 } else { hundredths as f64 / 100.0 })
    }

    /// The share with this factor; `None` unless the factor is from 0 to 1.
    #[must_use]
    pub fn new(factor: f64) -> Option<Share> {
        (0.0..=1.0).contains(&factor).then_some(Share(factor))
    }

    /// The factor from 0 to 1.
    #[must_use]
    pub fn factor(self) -> f64 {
        self.0
    }

    /// The remaining share of the whole.
    #[must_use]
    pub fn rest(self) -> Share {
        Share(1.0 - self.0)
    }
}

/// Why a text cannot be read as a share.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("{}; {ACCEPTED}", self.problem())]
pub struct ShareError {
    /// The text that was read.
    pub read: String,
    /// Why it cannot be read as a share.
    pub reason: ShareReason,
}

impl ShareError {
    /// What is wrong, without the part that says what is accepted.
    #[must_use]
    pub fn problem(&self) -> String {
        if self.reason == ShareReason::Empty {
            return self.reason.to_string();
        }
        format!("{} {}", quoted(&self.read), self.reason)
    }
}

/// Why a text cannot be read as a share.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum ShareReason {
    /// Nothing but blanks.
    #[error("a share is missing")]
    Empty,
    /// The number in it cannot be read.
    #[error("{0}")]
    Number(NumberError),
    /// A plain number above one. It probably means per cent, but that would be a guess.
    #[error("is more than the whole: without a % sign, 1 is the whole")]
    MoreThanWhole,
    /// More than 100 per cent.
    #[error("is more than 100%")]
    MoreThanHundred,
    /// Below zero.
    #[error("is negative")]
    Negative,
    /// Something other than a % sign after the number.
    #[error("has {} behind the number", quoted(.0))]
    Behind(String),
    /// Less than one per cent: either a factor with a % sign too many, or a share that nobody uses.
    #[error("is less than one per cent: leave the % sign out if {}% is meant", .0)]
    LessThanOne(String),
    /// Two numbers that can be read as a quotient or as two parts, with different results.
    #[error("can be read as a fraction, {}%, or as parts, {}% to the front: write the one that is meant", .0, .1)]
    Ambiguous(String, String),
    /// Two numbers that look like parts of a hundred but do not add up to a hundred.
    #[error("looks like the parts for front and back, which add up to 100; these add up to {0}")]
    NotTheWhole(String),
}

/// Reads a share: a number from 0 to 1, a fraction, a percentage with its sign, or the parts of front and back.
pub fn parse(text: &str) -> Result<Share, ShareError> {
    let trimmed = text.trim();
    let fail = |reason| ShareError { read: trimmed.to_owned(), reason };
    if trimmed.is_empty() {
        return Err(fail(ShareReason::Empty));
    }
    if trimmed.starts_with(['-', '\u{2212}', '\u{2013}']) {
        return Err(fail(ShareReason::Negative));
    }
    if let Some(read) =
        trimmed.match_indices(BETWEEN).find_map(|(at, sign)| Parts::read(trimmed, at, sign)?.share())
    {
        return read.map_err(fail);
    }
    let (value, len) = number::leading(trimmed).map_err(|(error, _)| fail(ShareReason::Number(error)))?;
    let (factor, too_much) = match trimmed[len..].trim() {
        "" => (value, ShareReason::MoreThanWhole),
        "%" if value > 0.0 && value < 1.0 => return Err(fail(ShareReason::LessThanOne(percent(value)))),
        "%" => (value / 100.0, ShareReason::MoreThanHundred),
        behind => return Err(fail(ShareReason::Behind(behind.to_owned()))),
    };
    Share::new(factor).ok_or_else(|| fail(too_much))
}

/// Two numbers with a sign between them.
struct Parts {
    front: f64,
    back: f64,
    /// Whether a quotient may be meant, which needs a stroke between whole numbers.
    fraction: bool,
    /// Whether the first is written with a % sign.
    percent: bool,
}

impl Parts {
    /// The numbers before and after the sign at that byte, if the text consists of nothing else.
    fn read(text: &str, at: usize, sign: &str) -> Option<Parts> {
        let (before, behind) = (&text[..at], &text[at + sign.len()..]);
        let number = |text: &str| {
            let text = text.trim();
            let plain = text.strip_suffix('%').map_or(text, str::trim_end);
            let (value, len) = number::leading(plain).ok()?;
            (len == plain.len()).then_some((
                value,
                plain.len() < text.len(),
                plain.bytes().all(|b| b.is_ascii_digit()),
            ))
        };
        let ((front, front_percent, front_whole), (back, _, back_whole)) = (number(before)?, number(behind)?);
        let stroke = !matches!(sign, ":" | "\u{2236}" | "-" | "\u{2013}" | "\u{2212}");
        Some(Parts { front, back, fraction: stroke && front_whole && back_whole, percent: front_percent })
    }

    /// The front's share; `None` if the two numbers are an ordinary fraction.
    fn share(&self) -> Option<Result<Share, ShareReason>> {
        /// How far the sum may differ from a hundred when the parts are written with few decimals, as in 33.3/66.6. The parts are
        /// used as written.
        const ROUNDED: f64 = 0.11;
        let sum = self.front + self.back;
        let part = self.front / sum;
        let of_hundred = (sum - 100.0).abs() < ROUNDED;
        let of_one = !self.fraction && !self.percent && (sum - 1.0).abs() < ROUNDED / 100.0;
        if of_hundred || of_one {
            return Some(Share::new(part).ok_or(ShareReason::MoreThanWhole));
        }
        if self.percent || (90.0..=110.0).contains(&sum) {
            return Some(Err(ShareReason::NotTheWhole(shortest(sum))));
        }
        let quotient = self.front / self.back;
        // Parts of ten are as usual as parts of a hundred, and a fraction is never written with a sign other than a stroke.
        let near = |a: f64, b: f64| (a - b).abs() < 1e-9;
        let parts = near(sum, 10.0) || near(self.front, self.back) || !self.fraction;
        (parts && sum > 0.0 && self.back > 0.0)
            .then(|| Err(ShareReason::Ambiguous(percent(quotient), percent(part))))
    }
}

/// A factor in per cent, rounded to a tenth.
fn percent(factor: f64) -> String {
    shortest((factor * 1000.0).round() / 10.0)
}

/// A number with at most three decimals and no trailing zeros.
fn shortest(value: f64) -> String {
    ((value * 1000.0).round() / 1000.0).to_string()
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn shares_are_read_as_people_write_them() {
        let cases = [
            ("50%", 0.5),
            ("50 %", 0.5),
            ("0.5", 0.5),
            ("0,5", 0.5),
            ("1/2", 0.5),
            ("½", 0.5),
            ("33 1/3%", 1.0 / 3.0),
            ("0,375", 0.375),
            ("0", 0.0),
            ("1", 1.0),
            ("100%", 1.0),
            ("1%", 0.01),
            // Tailor's fractions, whose numbers do not add up to a hundred, are quotients.
            ("5/16", 0.3125),
            ("2/5", 0.4),
            ("2/4", 0.5),
            ("50/100", 0.5),
            ("0/1", 0.0),
        ];
        for (text, factor) in cases {
            assert!((parse(text).unwrap().factor() - factor).abs() < 1e-15, "{text}");
        }
    }

    #[test]
    fn per_cent_without_their_sign_are_not_guessed() {
        let error = parse("50").unwrap_err();
        assert_eq!(error.reason, ShareReason::MoreThanWhole);
        assert!(error.to_string().contains("without a % sign, 1 is the whole"), "{error}");
    }

    // Both parts side by side, as when two people share a bill: the first is the front's, as the column says.
    #[test]
    fn parts_that_add_up_to_a_hundred_are_no_quotient() {
        for (text, factor) in [
            ("50/50", 0.5),
            ("40/60", 0.4),
            ("60/40", 0.6),
            ("25/75", 0.25),
            ("100/0", 1.0),
            ("0/100", 0.0),
            ("1/99", 0.01),
            ("50 / 50", 0.5),
            ("50:50", 0.5),
            ("40 : 60", 0.4),
            ("50-50", 0.5),
            ("50\u{2013}50", 0.5),
            ("40\u{2044}60", 0.4),
            ("40%/60%", 0.4),
            ("40/60%", 0.4),
            ("40 % / 60 %", 0.4),
            ("37.5/62.5", 0.375),
            ("37,5/62,5", 0.375),
            ("33 1/3 / 66 2/3", 1.0 / 3.0),
            ("0.4/0.6", 0.4),
            ("0,4:0,6", 0.4),
        ] {
            let read = parse(text).unwrap_or_else(|e| panic!("{e}"));
            assert!((read.factor() - factor).abs() < 1e-12, "{text}: {read:?}");
        }
    }

    #[test]
    fn what_can_be_read_in_two_ways_is_refused_with_both() {
        for (text, part) in [
            ("4/6", "a fraction, 66.7%, or as parts, 40% to the front"),
            ("3/7", "a fraction, 42.9%, or as parts, 30% to the front"),
            ("1/1", "a fraction, 100%, or as parts, 50% to the front"),
            ("5/5", "a fraction, 100%, or as parts, 50% to the front"),
            ("1:2", "a fraction, 50%, or as parts, 33.3% to the front"),
            ("33/66", "these add up to 99"),
            ("45/50", "these add up to 95"),
            ("60/50", "these add up to 110"),
            ("40%/50%", "these add up to 90"),
            ("0.5%", "leave the % sign out if 50% is meant"),
            ("1/2%", "leave the % sign out if 50% is meant"),
        ] {
            let error = parse(text).unwrap_err().to_string();
            assert!(error.contains(part), "{text}: {error}");
            assert!(error.contains("40/60 for 40% to the front"), "{error}");
        }
    }

    #[test]
    fn what_is_no_share_is_refused() {
        for text in [
            "", "101%", "-1%", "half", "0.5x", "1/0", "nan", "5 mm", "1.0001", "50%%", "60/30", "60% back",
            "-40/60", "40/-60", "40/60/0",
        ] {
            assert!(parse(text).is_err(), "{text}");
        }
    }

    proptest! {
        #[test]
        fn any_text_is_a_sound_share_or_an_error(text in "(?s).{0,20}|[-0-9 .,/%½]{0,12}") {
            if let Ok(share) = parse(&text) {
                prop_assert!((0.0..=1.0).contains(&share.factor()));
                prop_assert!((share.factor() + share.rest().factor() - 1.0).abs() < 1e-15);
            }
        }

        #[test]
        fn a_share_written_out_comes_back(factor in 0.0f64..=1.0) {
            let text = format!("{factor}");
            prop_assert_eq!(parse(&text), Ok(Share(factor)));
        }
    }
}
