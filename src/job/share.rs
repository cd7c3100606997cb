//! Shares of a whole: `50%`, `0.5`, `1/2`.

use super::diagnostic::quoted;
use super::number::{self, NumberError};
use serde::Serialize;

/// How a share is written, for messages.
pub const ACCEPTED: &str = "write a share such as 50%, 0.5 or 1/2, from 0 to 100%";

/// A share of a whole, from 0 to 1.
#[derive(Clone, Copy, Debug, PartialEq, PartialOrd, Serialize)]
#[serde(transparent)]
pub struct Share(f64);

impl Share {
    /// One half, the share of the front where nothing else is asked for.
    pub const HALF: Share = Share(0.5);

    /// That many hundredths; more than a hundred are the whole.
    #[must_use]
    pub const fn of_hundred(hundredths: u8) -> Share {
        Share(if hundredths > 100 { 1.0 } else { hundredths as f64 / 100.0 })
    }

    /// The share as a factor from 0 to 1; `None` outside of that.
    #[must_use]
    pub fn new(factor: f64) -> Option<Share> {
        (0.0..=1.0).contains(&factor).then_some(Share(factor))
    }

    /// The factor from 0 to 1.
    #[must_use]
    pub fn factor(self) -> f64 {
        self.0
    }

    /// What is left of the whole.
    #[must_use]
    pub fn rest(self) -> Share {
        Share(1.0 - self.0)
    }
}

/// A text that is no share.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("{}; {ACCEPTED}", self.problem())]
pub struct ShareError {
    /// The text that was read.
    pub read: String,
    /// Why it is no share.
    pub reason: ShareReason,
}

impl ShareError {
    /// What is wrong, without what is accepted.
    #[must_use]
    pub fn problem(&self) -> String {
        if self.reason == ShareReason::Empty {
            return self.reason.to_string();
        }
        format!("{} {}", quoted(&self.read), self.reason)
    }
}

/// Why a text is no share.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum ShareReason {
    /// Nothing but blanks.
    #[error("a share is missing")]
    Empty,
    /// The number in it cannot be read.
    #[error("{0}")]
    Number(NumberError),
    /// A plain number above one: per cent were probably meant, but that would be a guess.
    #[error("is more than the whole: without a % sign, 1 is the whole")]
    MoreThanWhole,
    /// More than 100 per cent.
    #[error("is more than 100%")]
    MoreThanHundred,
    /// Below zero.
    #[error("is negative")]
    Negative,
    /// Something other than a % sign behind the number.
    #[error("has {} behind the number", quoted(.0))]
    Behind(String),
}

/// A share: a number from 0 to 1, a fraction, or per cent with their sign.
pub fn parse(text: &str) -> Result<Share, ShareError> {
    let trimmed = text.trim();
    let fail = |reason| ShareError { read: trimmed.to_owned(), reason };
    if trimmed.is_empty() {
        return Err(fail(ShareReason::Empty));
    }
    if trimmed.starts_with(['-', '\u{2212}', '\u{2013}']) {
        return Err(fail(ShareReason::Negative));
    }
    let (value, len) = number::leading(trimmed).map_err(|(error, _)| fail(ShareReason::Number(error)))?;
    let (factor, too_much) = match trimmed[len..].trim() {
        "" => (value, ShareReason::MoreThanWhole),
        "%" => (value / 100.0, ShareReason::MoreThanHundred),
        behind => return Err(fail(ShareReason::Behind(behind.to_owned()))),
    };
    Share::new(factor).ok_or_else(|| fail(too_much))
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

    #[test]
    fn what_is_no_share_is_refused() {
        for text in ["", "101%", "-1%", "half", "0.5x", "1/0", "nan", "5 mm", "1.0001", "50%%"] {
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
