//! Lengths, and the units in which they are written.
//!
//! All lengths are in millimetres once a drawing has been read. A drawing's own numbers are called *drawing units*; they occur
//! only in [`crate::dxf_text`] and in the reader and writer of [`crate::pattern`]. [`Unit::in_mm`] is the only conversion between
//! the two.

use schemars::{JsonSchema, Schema, SchemaGenerator, json_schema};
use serde::{Deserialize, Serialize};
use std::borrow::Cow;
use std::fmt;
use std::iter::Sum;
use std::ops::{Add, AddAssign, Div, Mul, Neg, RangeInclusive, Sub};

/// A length in millimetres.
#[derive(Clone, Copy, Debug, Default, PartialEq, PartialOrd, Deserialize)]
#[serde(transparent)]
pub struct Mm(pub f64);

impl Serialize for Mm {
    /// Serialized as a number rounded to 1e-6 mm, because further digits are rounding errors of the arithmetic. A zero is never
    /// negative.
    fn serialize<S: serde::Serializer>(&self, s: S) -> Result<S::Ok, S::Error> {
        s.serialize_f64((self.0 * 1e6).round() / 1e6 + 0.0)
    }
}

impl Mm {
    /// The inch of 1959: exactly 25.4 mm.
    pub const INCH: Mm = Mm(25.4);

    /// The length without its sign.
    #[must_use]
    pub fn abs(self) -> Mm {
        Mm(self.0.abs())
    }

    /// The length in inches.
    #[must_use]
    pub fn inches(self) -> f64 {
        self.0 / Self::INCH.0
    }
}

impl JsonSchema for Mm {
    fn inline_schema() -> bool {
        true
    }
    fn schema_name() -> Cow<'static, str> {
        "Mm".into()
    }
    fn json_schema(_: &mut SchemaGenerator) -> Schema {
        json_schema!({ "type": "number" })
    }
}

impl fmt::Display for Mm {
    /// Millimetres with the requested number of decimals, two by default, and the unit.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let decimals = f.precision().unwrap_or(2);
        write!(f, "{} mm", plain(self.0, decimals))
    }
}

impl Add for Mm {
    type Output = Mm;
    fn add(self, other: Mm) -> Mm {
        Mm(self.0 + other.0)
    }
}
impl AddAssign for Mm {
    fn add_assign(&mut self, other: Mm) {
        self.0 += other.0;
    }
}
impl Sub for Mm {
    type Output = Mm;
    fn sub(self, other: Mm) -> Mm {
        Mm(self.0 - other.0)
    }
}
impl Neg for Mm {
    type Output = Mm;
    fn neg(self) -> Mm {
        Mm(-self.0)
    }
}
impl Mul<f64> for Mm {
    type Output = Mm;
    fn mul(self, factor: f64) -> Mm {
        Mm(self.0 * factor)
    }
}
impl Div<f64> for Mm {
    type Output = Mm;
    fn div(self, divisor: f64) -> Mm {
        Mm(self.0 / divisor)
    }
}
impl Sum for Mm {
    fn sum<I: Iterator<Item = Mm>>(lengths: I) -> Mm {
        Mm(lengths.map(|l| l.0).sum())
    }
}

/// A unit a drawing or a person writes lengths in.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "lowercase")]
pub enum Unit {
    /// Millimetres: `Units: METRIC` in a drawing.
    Mm,
    /// Centimetres: only in what a person writes.
    Cm,
    /// Inches: `Units: ENGLISH` in a drawing.
    In,
}

impl Unit {
    /// The number of millimetres in one of this unit.
    #[must_use]
    pub fn in_mm(self) -> f64 {
        match self {
            Unit::Mm => 1.0,
            Unit::Cm => 10.0,
            Unit::In => Mm::INCH.0,
        }
    }

    /// The length of `value` in this unit.
    #[must_use]
    pub fn mm(self, value: f64) -> Mm {
        Mm(value * self.in_mm())
    }

    /// Every unit.
    pub const ALL: [Unit; 3] = [Unit::Mm, Unit::Cm, Unit::In];

    /// The unit's usual sign: `mm`, `cm` or `in`.
    #[must_use]
    pub fn sign(self) -> &'static str {
        match self {
            Unit::Mm => "mm",
            Unit::Cm => "cm",
            Unit::In => "in",
        }
    }
}

/// A length as a person wrote it: a number, and its unit if one is written. The unit of a number without one is known only once
/// the drawing has been read.
///
/// ```
/// use truerise::{Length, Mm, Unit};
/// assert_eq!(Length::new(1.5, Some(Unit::Cm)).in_mm(Unit::In), Mm(15.0));
/// assert_eq!(Length::new(1.5, None).in_mm(Unit::In), Unit::In.mm(1.5));
/// ```
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Length {
    number: f64,
    unit: Option<Unit>,
}

impl Length {
    /// A number with that unit, or without a unit.
    #[must_use]
    pub const fn new(number: f64, unit: Option<Unit>) -> Self {
        Length { number, unit }
    }

    /// The number as it is written.
    #[must_use]
    pub fn number(self) -> f64 {
        self.number
    }

    /// The unit, if one is written.
    #[must_use]
    pub fn unit(self) -> Option<Unit> {
        self.unit
    }

    /// The same length with a unit; a number without one takes the unit `plain`.
    #[must_use]
    pub(crate) fn known(self, plain: Unit) -> Self {
        Length { unit: Some(self.unit.unwrap_or(plain)), ..self }
    }

    /// The length in mm; a number without a unit takes the unit `plain`.
    #[must_use]
    pub fn in_mm(self, plain: Unit) -> Mm {
        self.unit.unwrap_or(plain).mm(self.number)
    }
}

impl From<Mm> for Length {
    fn from(length: Mm) -> Self {
        Length::new(length.0, Some(Unit::Mm))
    }
}

impl fmt::Display for Length {
    /// The length as a person would write it.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.number.fmt(f)?;
        self.unit.map_or(Ok(()), |unit| write!(f, " {}", unit.sign()))
    }
}

impl Serialize for Length {
    /// Serialized as text.
    fn serialize<S: serde::Serializer>(&self, s: S) -> Result<S::Ok, S::Error> {
        s.collect_str(self)
    }
}

/// How lengths are shown to people: in which unit, and inches with decimals or as fractions. The unit is not written after each
/// length, because a table states it once.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Shown {
    unit: Unit,
    fractions: bool,
}

impl Shown {
    /// With decimals in that unit, as in a drawing.
    #[must_use]
    pub fn decimals(unit: Unit) -> Self {
        Shown { unit, fractions: false }
    }

    /// In the unit that a person asks for, with inches as fractions; if none is asked for, with decimals in the usual unit.
    #[must_use]
    pub fn asked(unit: Option<Unit>, usual: Unit) -> Self {
        unit.map_or(Shown::decimals(usual), |unit| Shown { unit, fractions: unit == Unit::In })
    }

    /// The unit.
    #[must_use]
    pub fn unit(self) -> Unit {
        self.unit
    }

    /// The unit as a word in a sentence.
    #[must_use]
    pub fn unit_word(self) -> &'static str {
        if self.unit() == Unit::In { "inches" } else { self.unit().sign() }
    }

    /// A length as text. A length that rounds to zero has no sign.
    #[must_use]
    pub fn length(self, length: Mm) -> String {
        let value = length.0 / self.unit.in_mm();
        if self.fractions { fraction(value) } else { plain(value, self.places()) }
    }

    /// A difference as text, with its sign.
    #[must_use]
    pub fn signed(self, length: Mm) -> String {
        let text = self.length(length);
        let bare = text.starts_with('-') || text.bytes().all(|b| matches!(b, b'0' | b'.'));
        if bare { text } else { format!("+{text}") }
    }

    /// A length with its unit, for a sentence. It is written with decimals if a fraction would round it by more than a twentieth.
    #[must_use]
    pub fn worded(self, length: Mm) -> String {
        let value = length.0 / self.unit.in_mm();
        let rounded = (value * THIRTY_SECONDS).round() / THIRTY_SECONDS;
        let coarse = self.fractions && (rounded - value).abs() > value.abs() / 20.0;
        let text = if coarse { Shown::decimals(self.unit).length(length) } else { self.length(length) };
        format!("{text} {}", self.unit.sign())
    }

    /// A sentence in which every length in mm is converted to this form.
    #[must_use]
    pub fn sentence(self, text: &str) -> Cow<'_, str> {
        if self.unit == Unit::Mm || !text.contains(" mm") {
            return Cow::Borrowed(text);
        }
        let mut parts = text.split(" mm").peekable();
        let mut before = Vec::new();
        let mut values = Vec::new();
        let mut shown = String::with_capacity(text.len());
        while let Some(part) = parts.next() {
            let ends = parts.peek().is_some_and(|behind| !behind.starts_with(|c: char| c.is_alphanumeric()));
            let start = part
                .rfind(|c: char| !c.is_ascii_digit() && c != '.')
                .map_or(0, |at| at + part[at..].chars().next().map_or(1, char::len_utf8));
            match part[start..].parse::<f64>() {
                Ok(value) if ends => {
                    shown.push_str(&part[..start]);
                    before.push(std::mem::take(&mut shown));
                    values.push(Mm(value));
                }
                _ => {
                    shown.push_str(part);
                    shown.push_str(if parts.peek().is_some() { " mm" } else { "" });
                }
            }
        }
        let mut sentence = String::with_capacity(text.len());
        for (before, length) in before.iter().zip(self.told_apart(&values)) {
            sentence.push_str(before);
            sentence.push_str(&length);
        }
        Cow::Owned(sentence + &shown)
    }

    /// The lengths of one sentence, with so many decimals that lengths which differ in mm also differ as shown, such as a value
    /// and the limit that it exceeds.
    fn told_apart(self, lengths: &[Mm]) -> Vec<String> {
        let mut texts: Vec<String> = lengths.iter().map(|&length| self.worded(length)).collect();
        for places in self.places()..=MOST_PLACES {
            let alike = |i: usize, j: usize| texts[i] == texts[j] && lengths[i] != lengths[j];
            let unclear: Vec<usize> =
                (0..texts.len()).filter(|&i| (0..texts.len()).any(|j| alike(i, j))).collect();
            for i in unclear {
                texts[i] =
                    format!("{} {}", plain(lengths[i].0 / self.unit.in_mm(), places), self.unit.sign());
            }
        }
        texts
    }

    fn places(self) -> usize {
        if self.unit == Unit::In { 3 } else { 2 }
    }
}

/// The largest number of decimals that is used to distinguish a number from another.
const MOST_PLACES: usize = 9;

/// The number of decimals of a limit, from which trailing zeros are removed; 1/8 in has three in mm.
const LIMIT_PLACES: usize = 4;

/// A number with `places` decimals. A value that rounds to zero has no sign, because "-0.00" makes a reader look for a
/// difference.
pub(crate) fn plain(value: f64, places: usize) -> String {
    let text = format!("{value:.places$}");
    match text.strip_prefix('-') {
        Some(rest) if rest.bytes().all(|b| matches!(b, b'0' | b'.')) => rest.to_owned(),
        _ => text,
    }
}

/// A value and the limit that it breaks, or any two numbers that have to be distinguished. The value has `places` decimals, or
/// as many more as are needed for the larger number to look larger. The limit has no trailing zeros.
pub(crate) fn against(value: f64, limit: f64, places: usize) -> (String, String) {
    let read = |text: &str| text.parse().unwrap_or(f64::NAN);
    let both =
        |places: usize| (plain(value, places), bare(&plain(limit, places.max(LIMIT_PLACES))).to_owned());
    (places..MOST_PLACES)
        .map(both)
        .find(|(told, most)| read(told).partial_cmp(&read(most)) == value.partial_cmp(&limit))
        .unwrap_or_else(|| both(MOST_PLACES))
}

/// A length outside a range, and the range, each with its unit. The length has enough decimals not to look as if it lay within
/// the range.
pub(crate) fn outside(length: Mm, range: &RangeInclusive<Mm>, places: usize) -> (String, String) {
    let nearest = if length < *range.start() { range.start() } else { range.end() };
    let told = against(length.0, nearest.0, places).0;
    let end = |end: &Mm| bare(&plain(end.0, LIMIT_PLACES)).to_owned();
    (format!("{told} mm"), format!("{} mm to {} mm", end(range.start()), end(range.end())))
}

/// A number without trailing zeros after the decimal point.
pub(crate) fn bare(number: &str) -> &str {
    if number.contains('.') { number.trim_end_matches('0').trim_end_matches('.') } else { number }
}

/// The number of parts of an inch where it is shown as a fraction, as on a tape measure.
const THIRTY_SECONDS: f64 = 32.0;

/// Inches as a whole number and a fraction in its lowest terms, to the nearest thirty-second.
fn fraction(inches: f64) -> String {
    let mut above = (inches.abs() * THIRTY_SECONDS).round();
    let whole = (above / THIRTY_SECONDS).floor();
    above -= whole * THIRTY_SECONDS;
    let mut below = THIRTY_SECONDS;
    while above > 0.0 && above % 2.0 == 0.0 {
        (above, below) = (above / 2.0, below / 2.0);
    }
    let sign = if inches < 0.0 && (whole > 0.0 || above > 0.0) { "-" } else { "" };
    match (whole > 0.0, above > 0.0) {
        (_, false) => format!("{sign}{whole}"),
        (false, true) => format!("{sign}{above}/{below}"),
        (true, true) => format!("{sign}{whole} {above}/{below}"),
    }
}

/// The lengths that a number would mean if it had been meant in another unit than that in which it was read, as far as they
/// satisfy `fits`: each as it would be written, and its value.
pub(crate) fn in_other_units(length: Mm, read: Unit, fits: impl Fn(Mm) -> bool) -> Vec<(String, Mm)> {
    let number = length.0 / read.in_mm();
    let others = Unit::ALL.into_iter().filter(|other| *other != read);
    let others = others.map(|unit| (format!("{} {}", shortest(number), unit.sign()), unit.mm(number)));
    others.filter(|(_, length)| fits(*length)).collect()
}

/// A number with at most four decimals and no trailing zeros.
fn shortest(number: f64) -> String {
    ((number * 1e4).round() / 1e4 + 0.0).to_string()
}

#[cfg(test)]
mod tests {
    use super::*;

    // Worked by hand: 1/32 in = 0.79375 mm, 711.2 mm = 28 in, 24 3/8 in = 619.125 mm.
    #[test]
    fn inches_are_shown_as_on_a_tape() {
        let inches = Shown::asked(Some(Unit::In), Unit::Mm);
        for (mm, text, signed) in [
            (0.0, "0", "0"),
            (711.2, "28", "+28"),
            (619.125, "24 3/8", "+24 3/8"),
            (0.79375, "1/32", "+1/32"),
            (-3.175, "-1/8", "-1/8"),
            (-628.65, "-24 3/4", "-24 3/4"),
            (25.3, "1", "+1"),
            (25.0, "31/32", "+31/32"),
            (0.3, "0", "0"),
            (-0.3, "0", "0"),
            (12.7, "1/2", "+1/2"),
        ] {
            assert_eq!(
                (inches.length(Mm(mm)), inches.signed(Mm(mm))),
                (text.to_owned(), signed.to_owned()),
                "{mm}"
            );
        }
        let cm = Shown::asked(Some(Unit::Cm), Unit::Mm);
        assert_eq!((cm.length(Mm(711.63)), cm.signed(Mm(-4.04))), ("71.16".to_owned(), "-0.40".to_owned()));
        assert_eq!(Shown::asked(None, Unit::In).length(Mm(12.7)), "0.500");
    }

    #[test]
    fn lengths_within_a_sentence_are_shown_in_the_unit_asked_for() {
        let inches = Shown::asked(Some(Unit::In), Unit::Mm);
        let text =
            "changes by -12.70 mm (at most 0.3 mm): 619.125 mm; 5 mmm, 3 mm2, of mm, the 12 mm. 25.4 mm";
        let shown =
            "changes by -1/2 in (at most 0.012 in): 24 3/8 in; 5 mmm, 3 mm2, of mm, the 15/32 in. 1 in";
        assert_eq!(inches.sentence(text), shown);
        assert_eq!(Shown::asked(Some(Unit::Mm), Unit::In).sentence(text), text);
        assert_eq!(
            Shown::asked(Some(Unit::Cm), Unit::In).sentence("Größe 38: 5 mm – 10 mm"),
            "Größe 38: 0.50 cm – 1.00 cm"
        );
        assert_eq!(inches.sentence(" mm mm"), " mm mm");
        // 0.3004 mm and 0.3 mm are both 0.012 in; 1.53 mm and 1.5 mm are both nearest to 1/16 in, which is too coarse for the limit.
        assert_eq!(
            inches.sentence("by 1.53 mm (at most 1.5 mm) and 0.3004 mm (at most 0.3 mm)"),
            "by 1/16 in (at most 0.059 in) and 0.01183 in (at most 0.01181 in)"
        );
    }

    #[test]
    fn a_limit_that_is_broken_never_looks_met() {
        let told = |value, limit, places| {
            let (value, limit) = against(value, limit, places);
            format!("{value} (at most {limit})")
        };
        assert_eq!(told(0.5, 0.3, 2), "0.50 (at most 0.3)");
        assert_eq!(told(0.3004, 0.3, 2), "0.3004 (at most 0.3)");
        assert_eq!(told(1.594, 1.5875, 1), "1.6 (at most 1.5875)");
        assert_eq!(told(1.5921, 1.5914, 2), "1.592 (at most 1.5914)");
        assert_eq!(told(3.1752, 3.175, 2), "3.18 (at most 3.175)");
        assert_eq!(told(0.123_456_1, 0.123_456, 2), "0.1234561 (at most 0.123456)");
        assert_eq!(told(-3.001, -3.0, 1), "-3.001 (at most -3)");
        assert_eq!(told(100.2, 100.0, 0), "100.2 (at most 100)");
        // The difference is too small to be shown at all, a rounding error of the arithmetic.
        assert_eq!(told(0.3 + 1e-13, 0.3, 2), "0.300000000 (at most 0.3)");
    }

    #[test]
    fn what_rounds_to_zero_has_no_sign() {
        assert_eq!([plain(-0.0004, 3), plain(-0.0006, 3), plain(-0.0, 0)], ["0.000", "-0.001", "0"]);
        assert_eq!(Mm(-0.004).to_string(), "0.00 mm");
    }

    #[test]
    fn another_unit_is_found_for_a_number_that_cannot_be_meant() {
        let body = |l: Mm| (500.0..=800.0).contains(&l.0);
        let texts = |length, likely| -> Vec<String> {
            in_other_units(length, likely, body).into_iter().map(|(text, _)| text).collect()
        };
        // 24 in = 609.6 mm, 61.8 cm = 618 mm.
        assert_eq!(texts(Mm(24.0), Unit::Mm), ["24 in"]);
        assert_eq!(texts(Mm(61.8), Unit::Mm), ["61.8 cm"]);
        assert_eq!(texts(Unit::In.mm(618.0), Unit::In), ["618 mm"]);
        assert_eq!(texts(Unit::In.mm(61.8), Unit::In), ["61.8 cm"]);
        assert_eq!(texts(Unit::Cm.mm(24.0), Unit::Cm), ["24 in"]);
        assert_eq!(texts(Mm(3.0), Unit::Mm), [""; 0]);
    }
}
