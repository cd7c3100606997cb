//! How a page writes texts and numbers.

use crate::job::diagnostic::escaped;
use crate::units::{Mm, Shown};
use kurbo::Point;
use std::fmt::Write;

/// A text from elsewhere with its control characters made visible. The template escapes everything else.
pub(super) fn printable(text: &str) -> String {
    escaped(text).into_owned()
}

/// A length without its unit, with a true minus sign.
pub(super) fn length(show: Shown, length: Mm) -> String {
    true_minus(show.length(length))
}

/// A difference with its sign, without its unit.
pub(super) fn signed(show: Shown, length: Mm) -> String {
    true_minus(show.signed(length))
}

fn true_minus(text: String) -> String {
    text.strip_prefix('-').map(|rest| format!("−{rest}")).unwrap_or(text)
}

/// The name of a unit in the words of a page.
pub(super) fn unit(show: Shown) -> &'static str {
    show.unit_word()
}

/// An angle in degrees to a tenth.
pub(super) fn degrees(angle: f64) -> String {
    let text = format!("{:.1}", angle.abs());
    let minus = if angle < 0.0 && text != "0.0" { "−" } else { "" };
    format!("{minus}{text}°")
}

/// A coordinate of a drawing, with at most two decimals and without trailing zeros.
pub(super) fn coordinate(value: f64) -> String {
    let mut text = String::new();
    push(&mut text, value);
    text
}

/// Appends a coordinate to a text; a page has thousands of them, so none gets a string of its own.
fn push(text: &mut String, value: f64) {
    let start = text.len();
    // Writing to a String cannot fail.
    let _ = write!(text, "{value:.2}");
    let short = text.trim_end_matches('0').trim_end_matches('.').len();
    text.truncate(short);
    if &text[start..] == "-0" {
        text.replace_range(start.., "0");
    }
}

/// The path data for a series of points.
pub(super) fn path(points: impl IntoIterator<Item = Point>) -> String {
    let mut d = String::new();
    for (i, p) in points.into_iter().enumerate() {
        let before = match i {
            0 => "M",
            1 => "L",
            _ => " ",
        };
        d.push_str(before);
        push(&mut d, p.x);
        d.push(' ');
        push(&mut d, p.y);
    }
    d
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::units::Unit;

    #[test]
    fn numbers_are_written_with_a_true_minus_and_no_negative_zero() {
        let mm = Shown::decimals(Unit::Mm);
        assert_eq!(signed(mm, Mm(-3.267)), "−3.27");
        assert_eq!(signed(mm, Mm(-0.001)), "0.00");
        assert_eq!(signed(mm, Mm(12.7)), "+12.70");
        assert_eq!(signed(Shown::asked(Some(Unit::In), Unit::Mm), Mm(-3.175)), "−1/8");
        assert_eq!(degrees(-0.04), "0.0°");
        assert_eq!(degrees(-1.25), "−1.2°");
        assert_eq!(coordinate(-0.001), "0");
        assert_eq!(coordinate(100.0), "100");
        assert_eq!(path([Point::new(0.0, -1.5), Point::new(2.254, 3.0)]), "M0 -1.5L2.25 3");
    }

    #[test]
    fn what_would_steer_a_terminal_or_turn_the_writing_round_is_made_visible() {
        assert_eq!(printable("a\u{1b}[2Jb\u{202e}c"), "a\\u{1b}[2Jb\\u{202e}c");
    }
}
