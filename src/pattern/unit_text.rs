//! Reads the drawing's unit from its texts and its header.

use crate::units::Unit;

/// The unit that a `Units:` text names; `None` for an unknown word.
#[must_use]
pub(crate) fn of(word: &str) -> Option<Unit> {
    match word.trim().to_ascii_uppercase().as_str() {
        "METRIC" | "MM" | "MILLIMETERS" | "MILLIMETRES" | "MILLIMETER" | "MILLIMETRE" => Some(Unit::Mm),
        "ENGLISH" | "IMPERIAL" | "INCH" | "INCHES" | "IN" => Some(Unit::In),
        "CM" | "CENTIMETERS" | "CENTIMETRES" => Some(Unit::Cm),
        _ => None,
    }
}

/// The unit that `$INSUNITS` names according to the format's reference: 1 is inches, 4 millimetres, 5 centimetres.
#[must_use]
pub(super) fn of_insunits(code: &[u8]) -> Option<Unit> {
    match code {
        b"1" => Some(Unit::In),
        b"4" => Some(Unit::Mm),
        b"5" => Some(Unit::Cm),
        _ => None,
    }
}
