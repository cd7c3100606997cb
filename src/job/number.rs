//! Numbers as people write them: decimals, fractions and whole numbers with a fraction.
//!
//! Signs, exponents and thousands separators are not accepted. A text that could be read in two ways (`1,250`) is an error.

use std::ops::Range;

/// Why a text cannot be read as a number.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum NumberError {
    /// There are no digits where a number belongs.
    #[error("does not start with a number")]
    Missing,
    /// A point or comma without a digit after it.
    #[error("has no digit after the decimal point")]
    NoDecimals,
    /// A comma before exactly three digits, which may be a decimal comma or a thousands separator.
    #[error("can be read as a decimal comma or as thousands: write a point, or another number of decimals")]
    Ambiguous,
    /// More than one point or comma.
    #[error("has more than one decimal point or comma")]
    Separators,
    /// A fraction after a number with decimals.
    #[error("has decimals and a fraction: write one or the other")]
    DecimalFraction,
    /// Two numbers with only a blank between them.
    #[error("has two numbers")]
    TwoNumbers,
    /// A fraction without a divisor, or with one of more than six digits.
    #[error("has a fraction that is not complete")]
    Fraction,
    /// A fraction of one or more after a whole number.
    #[error("has a fraction of one or more behind a whole number")]
    Improper,
    /// A division by zero.
    #[error("divides by zero")]
    ZeroDivisor,
}

/// Fractions that are a single character, each with its numerator and denominator.
const FRACTIONS: [(char, f64, f64); 19] = [
    ('½', 1.0, 2.0),
    ('⅓', 1.0, 3.0),
    ('⅔', 2.0, 3.0),
    ('¼', 1.0, 4.0),
    ('¾', 3.0, 4.0),
    ('⅕', 1.0, 5.0),
    ('⅖', 2.0, 5.0),
    ('⅗', 3.0, 5.0),
    ('⅘', 4.0, 5.0),
    ('⅙', 1.0, 6.0),
    ('⅚', 5.0, 6.0),
    ('⅐', 1.0, 7.0),
    ('⅛', 1.0, 8.0),
    ('⅜', 3.0, 8.0),
    ('⅝', 5.0, 8.0),
    ('⅞', 7.0, 8.0),
    ('⅑', 1.0, 9.0),
    ('⅒', 1.0, 10.0),
    ('↉', 0.0, 3.0),
];

/// Reads the number at the start of the text; returns its value and its length in bytes. The value is never negative or NaN, but
/// hundreds of digits make it infinite, so callers check an upper bound.
pub(super) fn leading(text: &str) -> Result<(f64, usize), (NumberError, Range<usize>)> {
    let whole_len = digits(text);
    let rest = &text[whole_len..];
    if rest.starts_with(['.', ',']) {
        return decimal(text, whole_len);
    }
    let whole = (whole_len > 0).then(|| value(&text[..whole_len]));
    let gap = rest.len() - rest.trim_start().len();
    let behind = &rest[gap..];

    if let Some((value, len)) = fraction_char(behind) {
        return Ok((whole.unwrap_or(0.0) + value, whole_len + gap + len));
    }
    let Some(whole) = whole else {
        return Err((NumberError::Missing, 0..text.len()));
    };
    if slash(behind).is_some() && gap == 0 {
        let (value, len) = fraction(text, 0)?;
        return Ok((value, len));
    }
    let next_len = digits(behind);
    if next_len == 0 {
        return Ok((whole, whole_len));
    }
    let at = whole_len + gap;
    if slash(&behind[next_len..]).is_none() {
        return Err((NumberError::TwoNumbers, 0..at + next_len));
    }
    let (part, len) = fraction(behind, at)?;
    if part >= 1.0 {
        return Err((NumberError::Improper, at..at + len));
    }
    Ok((whole + part, at + len))
}

/// Reads a decimal number: `12.5`, `12,5` or `.5`.
fn decimal(text: &str, whole_len: usize) -> Result<(f64, usize), (NumberError, Range<usize>)> {
    let rest = &text[whole_len + 1..];
    let part_len = digits(rest);
    let len = whole_len + 1 + part_len;
    let behind = rest[part_len..].trim_start();
    let error = if whole_len + part_len == 0 {
        NumberError::Missing
    } else if part_len == 0 {
        NumberError::NoDecimals
    } else if behind.starts_with(['.', ',']) {
        NumberError::Separators
    } else if behind.starts_with(|c: char| c.is_ascii_digit())
        || slash(behind).is_some()
        || fraction_char(behind).is_some()
    {
        NumberError::DecimalFraction
    } else if text[whole_len..].starts_with(',')
        && part_len == 3
        && (1..=3).contains(&whole_len)
        && !text.starts_with('0')
    {
        NumberError::Ambiguous
    } else {
        let number = format!("{}.{}", &text[..whole_len], &rest[..part_len]);
        return Ok((value(&number), len));
    };
    Err((error, 0..len))
}

/// Reads a fraction such as `5/8` at the start of the text. The text starts at byte `at` of the whole input, to which the ranges
/// of errors refer.
fn fraction(text: &str, at: usize) -> Result<(f64, usize), (NumberError, Range<usize>)> {
    let above_len = digits(text);
    let slash_len = slash(&text[above_len..]).unwrap_or(0);
    let below = &text[above_len + slash_len..];
    let below_len = digits(below);
    let len = above_len + slash_len + below_len;
    let divisor = value(&below[..below_len]);
    // A divisor of six digits means a millionth of a unit; a longer one is a typing error.
    if below_len == 0 || below_len > 6 || slash(&below[below_len..]).is_some() {
        return Err((NumberError::Fraction, at..at + len));
    }
    if divisor == 0.0 {
        return Err((NumberError::ZeroDivisor, at..at + len));
    }
    Ok((value(&text[..above_len]) / divisor, len))
}

fn fraction_char(text: &str) -> Option<(f64, usize)> {
    let first = text.chars().next()?;
    let (c, above, below) = FRACTIONS.iter().find(|(c, ..)| *c == first)?;
    Some((above / below, c.len_utf8()))
}

/// The length in bytes of a fraction stroke at the start of the text: `/`, or one of the two strokes used in typesetting.
fn slash(text: &str) -> Option<usize> {
    text.chars().next().filter(|c| matches!(c, '/' | '\u{2044}' | '\u{2215}')).map(char::len_utf8)
}

fn digits(text: &str) -> usize {
    text.bytes().take_while(u8::is_ascii_digit).count()
}

/// The value of a run of digits, which may contain one decimal point.
fn value(digits: &str) -> f64 {
    digits.parse().unwrap_or(0.0)
}
