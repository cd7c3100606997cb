//! How a page writes texts and numbers.

use crate::job::diagnostic::escaped;
use crate::units::Mm;
use kurbo::Point;
use std::fmt::Write;

/// A text from elsewhere, its control characters made visible. The template escapes the rest.
pub(super) fn shown(text: &str) -> String {
    escaped(text).into_owned()
}

/// A number with two decimals and a true minus sign.
fn number(value: f64) -> String {
    let text = format!("{value:.2}");
    match text.strip_prefix('-') {
        Some("0.00") => "0.00".to_owned(),
        Some(rest) => format!("−{rest}"),
        None => text,
    }
}

/// A length in mm, without its unit.
pub(super) fn mm(length: Mm) -> String {
    number(length.0)
}

/// A difference in mm with its sign, without its unit.
pub(super) fn signed(length: Mm) -> String {
    let text = number(length.0);
    if text.starts_with('−') || text == "0.00" { text } else { format!("+{text}") }
}

/// An angle in degrees to a tenth.
pub(super) fn degrees(angle: f64) -> String {
    let text = format!("{:.1}", angle.abs());
    let minus = if angle < 0.0 && text != "0.0" { "−" } else { "" };
    format!("{minus}{text}°")
}

/// A coordinate of a drawing: two decimals at most, none that are zero.
pub(super) fn coordinate(value: f64) -> String {
    let text = format!("{value:.2}");
    let text = text.trim_end_matches('0').trim_end_matches('.');
    if text == "-0" { "0".to_owned() } else { text.to_owned() }
}

/// Path data of a run of points.
pub(super) fn path(points: impl IntoIterator<Item = Point>) -> String {
    let mut d = String::new();
    for (i, p) in points.into_iter().enumerate() {
        let before = match i {
            0 => "M",
            1 => "L",
            _ => " ",
        };
        // Writing to a String cannot fail.
        let _ = write!(d, "{before}{} {}", coordinate(p.x), coordinate(p.y));
    }
    d
}

/// A count with its noun.
pub(super) fn count(n: usize, one: &str, many: &str) -> String {
    if n == 1 { format!("1 {one}") } else { format!("{n} {many}") }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_are_written_with_a_true_minus_and_no_negative_zero() {
        assert_eq!(signed(Mm(-3.267)), "−3.27");
        assert_eq!(signed(Mm(-0.001)), "0.00");
        assert_eq!(signed(Mm(12.7)), "+12.70");
        assert_eq!(degrees(-0.04), "0.0°");
        assert_eq!(degrees(-1.25), "−1.2°");
        assert_eq!(coordinate(-0.001), "0");
        assert_eq!(coordinate(100.0), "100");
        assert_eq!(path([Point::new(0.0, -1.5), Point::new(2.254, 3.0)]), "M0 -1.5L2.25 3");
    }

    #[test]
    fn what_would_steer_a_terminal_or_turn_the_writing_round_is_made_visible() {
        assert_eq!(shown("a\u{1b}[2Jb\u{202e}c"), "a\\u{1b}[2Jb\\u{202e}c");
    }
}
