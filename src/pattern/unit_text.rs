//! The drawing's unit, as its texts and header say it.

use crate::units::Unit;

/// The unit a `Units:` text names; `None` for a word that is not known.
#[must_use]
pub(crate) fn of(word: &str) -> Option<Unit> {
    match word.trim().to_ascii_uppercase().as_str() {
        "METRIC" | "MM" | "MILLIMETERS" | "MILLIMETRES" | "MILLIMETER" | "MILLIMETRE" => Some(Unit::Mm),
        "ENGLISH" | "IMPERIAL" | "INCH" | "INCHES" | "IN" => Some(Unit::In),
        "CM" | "CENTIMETERS" | "CENTIMETRES" => Some(Unit::Cm),
        _ => None,
    }
}

/// The unit `$INSUNITS` names, by the format's reference: 1 inches, 4 millimetres, 5 centimetres.
#[must_use]
pub(super) fn of_insunits(code: &[u8]) -> Option<Unit> {
    match code {
        b"1" => Some(Unit::In),
        b"4" => Some(Unit::Mm),
        b"5" => Some(Unit::Cm),
        _ => None,
    }
}
