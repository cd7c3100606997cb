//! Lengths and the units they are written in.
//!
//! Everything past the reader is in millimetres. A drawing's own numbers are called *drawing
//! units* and are only met in [`crate::dxf_text`] and in the reader and writer of
//! [`crate::pattern`]; [`Unit::in_mm`] is the only way from one to the other.

use schemars::{JsonSchema, Schema, SchemaGenerator, json_schema};
use serde::{Deserialize, Serialize};
use std::borrow::Cow;
use std::fmt;
use std::iter::Sum;
use std::ops::{Add, AddAssign, Div, Mul, Neg, Sub};

/// A length in millimetres.
#[derive(Clone, Copy, Debug, Default, PartialEq, PartialOrd, Deserialize)]
#[serde(transparent)]
pub struct Mm(pub f64);

impl Serialize for Mm {
    /// As a number, to 1e-6 mm: what is beyond is rounding of the arithmetic. Never a negative zero.
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
    /// Millimetres with the decimals asked for, two by default, and the unit.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let decimals = f.precision().unwrap_or(2);
        // A rounded zero has no sign: "-0.00 mm" makes a reader look for a difference.
        let text = format!("{:.decimals$}", self.0);
        let text = match text.strip_prefix('-') {
            Some(rest) if rest.bytes().all(|b| b == b'0' || b == b'.') => rest,
            _ => &text,
        };
        write!(f, "{text} mm")
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
    /// How many millimetres one of this unit is.
    #[must_use]
    pub fn in_mm(self) -> f64 {
        match self {
            Unit::Mm => 1.0,
            Unit::Cm => 10.0,
            Unit::In => Mm::INCH.0,
        }
    }

    /// `value` of this unit as a length.
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

/// The lengths that a number read in a unit would be in another, where that `fits`: each as it would be written, with what
/// it is.
pub(crate) fn meant(length: Mm, read: Unit, fits: impl Fn(Mm) -> bool) -> Vec<(String, Mm)> {
    let number = length.0 / read.in_mm();
    let others = Unit::ALL.into_iter().filter(|other| *other != read);
    let others = others.map(|unit| (format!("{} {}", shortest(number), unit.sign()), unit.mm(number)));
    others.filter(|(_, length)| fits(*length)).collect()
}

/// A number with the decimals it has, four at most.
fn shortest(number: f64) -> String {
    ((number * 1e4).round() / 1e4).to_string()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn another_unit_is_found_for_a_number_that_cannot_be_meant() {
        let body = |l: Mm| (500.0..=800.0).contains(&l.0);
        let texts = |length, likely| -> Vec<String> {
            meant(length, likely, body).into_iter().map(|(text, _)| text).collect()
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
