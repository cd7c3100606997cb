//! Reports as JSON: the model as it is, indented by two blanks, with the keys in the model's order and a line end at the end.
//! Characters that would steer a terminal or turn the reading direction are written as JSON escapes, so a reader gets the
//! original text.

use crate::words::steers;
use serde::Serialize;
use std::fmt::Write;

/// A report as JSON text.
pub fn render<R: Serialize>(report: &R) -> Result<String, serde_json::Error> {
    Ok(escaped(serde_json::to_string_pretty(report)?) + "\n")
}

/// Adds the escapes that `serde_json` leaves out, since JSON requires them only for characters below the blank. Outside of
/// strings the only such characters are line ends, and inside of strings line ends are escaped already.
fn escaped(json: String) -> String {
    let bare = |c: char| c != '\n' && steers(c);
    if !json.contains(bare) {
        return json;
    }
    let mut clean = String::with_capacity(json.len() + 16);
    for c in json.chars() {
        if bare(c) {
            for unit in c.encode_utf16(&mut [0; 2]) {
                // Writing to a String cannot fail.
                let _ = write!(clean, "\\u{unit:04x}");
            }
        } else {
            clean.push(c);
        }
    }
    clean
}

/// The reports of a command: the report itself, or a list where several drawings were given.
pub fn several<R: Serialize>(reports: &[R]) -> Result<String, serde_json::Error> {
    match reports {
        [one] => render(one),
        many => render(&many),
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;

    #[test]
    fn what_steers_is_escaped_and_comes_back() {
        let texts = ["a\u{202e}b\u{85}\u{7f}\u{e0041}\n\u{1b}", "\u{e9} \u{1f9f5}"];
        let json = render(&texts).unwrap();
        assert!(
            json.contains(r"a\u202eb\u0085\u007f\udb40\udc41\n\u001b") && json.contains("\u{e9} \u{1f9f5}"),
            "{json}"
        );
        assert_eq!(serde_json::from_str::<Vec<String>>(&json).unwrap(), texts);
    }
}
