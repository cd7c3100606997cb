//! JSON: the model as it is, two blanks deep, keys in the model's order, a line end at the end. What would steer a terminal
//! or turn the reading direction is written as the escapes that JSON has for it, so a reader gets the text as it was.

use crate::words::steers;
use serde::Serialize;
use std::fmt::Write;

/// A report as JSON text.
pub fn render<R: Serialize>(report: &R) -> Result<String, serde_json::Error> {
    Ok(escaped(serde_json::to_string_pretty(report)?) + "\n")
}

/// JSON text with the escapes that `serde_json` leaves out, since only those below a blank have to be written. Outside of
/// texts nothing but line ends is of this kind, and within them a line end is escaped already.
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

/// The reports of a command: the one there is, or a list where several drawings were given.
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
