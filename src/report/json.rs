//! JSON: the model as it is, two blanks deep, keys in the model's order, a line end at the end.

use serde::Serialize;

/// A report as JSON text.
pub fn render<R: Serialize>(report: &R) -> Result<String, serde_json::Error> {
    Ok(serde_json::to_string_pretty(report)? + "\n")
}

/// The reports of a command: the one there is, or a list where several drawings were given.
pub fn several<R: Serialize>(reports: &[R]) -> Result<String, serde_json::Error> {
    match reports {
        [one] => render(one),
        many => render(&many),
    }
}
