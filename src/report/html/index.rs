//! The page that lists all orders of a batch.

use super::say::printable;
use super::{STYLE, VERSION};
use crate::report::Verdict;
use askama::Template;
use std::fmt::Write;

/// One order of a batch.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct IndexRow {
    /// The order's name.
    pub order: String,
    /// Its drawing.
    pub drawing: String,
    /// Its verdict; none where the order could not be begun.
    pub verdict: Option<Verdict>,
    /// How many of its sizes were altered.
    pub altered: usize,
    /// How many errors were found.
    pub errors: usize,
    /// How many warnings were found.
    pub warnings: usize,
    /// Whether errors were accepted, so that the order passed despite them.
    pub accepted: bool,
    /// Whether an earlier run processed the order.
    pub earlier: bool,
    /// The path of the order's page relative to the index page, with `/` between its parts.
    pub page: Option<String>,
    /// Anything else to be said about the order, such as why it failed.
    pub note: String,
}

#[derive(Template)]
#[template(path = "index.html", config = "src/report/templates/askama.toml")]
struct IndexPage {
    style: &'static str,
    version: &'static str,
    passed: usize,
    done: usize,
    accepted: usize,
    let_through: bool,
    earlier: usize,
    rows: Vec<Row>,
}

struct Row {
    order: String,
    href: Option<String>,
    drawing: String,
    class: &'static str,
    verdict: &'static str,
    earlier: bool,
    altered: usize,
    errors: usize,
    warnings: usize,
    note: String,
}

/// The index page. Orders that did not pass come first, then those with accepted errors; otherwise the given order is kept.
pub fn index(rows: &[IndexRow]) -> Result<String, askama::Error> {
    let passed = |row: &IndexRow| row.verdict == Some(Verdict::Pass);
    let accepted = |row: &IndexRow| passed(row) && row.accepted;
    let own = || rows.iter().filter(|row| !row.earlier);
    let mut sorted: Vec<&IndexRow> = rows.iter().collect();
    sorted.sort_by_key(|row| (passed(row), !accepted(row)));
    IndexPage {
        style: STYLE,
        version: VERSION,
        passed: own().filter(|row| passed(row)).count(),
        done: own().count(),
        accepted: own().filter(|row| accepted(row)).count(),
        let_through: rows.iter().any(accepted),
        earlier: rows.len() - own().count(),
        rows: sorted.into_iter().map(row).collect(),
    }
    .render()
}

fn row(row: &IndexRow) -> Row {
    let (class, verdict) = match row.verdict {
        Some(Verdict::Pass) if row.accepted => ("accepted", "pass, errors accepted"),
        Some(Verdict::Pass) => ("pass", "pass"),
        Some(Verdict::Fail) => ("fail", "fail"),
        None => ("fail", "not done"),
    };
    Row {
        order: printable(&row.order),
        href: row.page.as_deref().map(href),
        drawing: printable(&row.drawing),
        class,
        verdict,
        earlier: row.earlier,
        altered: row.altered,
        errors: row.errors,
        warnings: row.warnings,
        note: printable(&row.note),
    }
}

/// A relative link to a path, which never leads to another scheme or host, whatever the path is called. Every character
/// except the slash and the unreserved ones of RFC 3986, section 2.3, is percent-encoded.
fn href(path: &str) -> String {
    let mut link = String::from("./");
    for byte in path.bytes() {
        if byte.is_ascii_alphanumeric() || b"-._~/".contains(&byte) {
            link.push(char::from(byte));
        } else {
            // Writing to a String cannot fail.
            let _ = write!(link, "%{byte:02X}");
        }
    }
    link
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;

    #[test]
    fn a_link_leads_nowhere_but_below_the_page() {
        assert_eq!(href("a b/38.html"), "./a%20b/38.html");
        assert_eq!(href("javascript:alert(1)"), "./javascript%3Aalert%281%29");
        assert_eq!(href("//host/x"), ".///host/x");
        assert_eq!(href("größe.html"), "./gr%C3%B6%C3%9Fe.html");
    }

    #[test]
    fn what_failed_comes_first_and_names_are_text() {
        let one = |order: &str, verdict, accepted| IndexRow {
            order: order.to_owned(),
            drawing: "nest.dxf".to_owned(),
            verdict,
            altered: 3,
            errors: 0,
            warnings: 1,
            accepted,
            earlier: false,
            page: Some(format!("{order}.html")),
            note: String::new(),
        };
        let rows = [
            one("good", Some(Verdict::Pass), false),
            one("looked-at", Some(Verdict::Pass), true),
            one("<script>alert(1)</script>", Some(Verdict::Fail), true),
        ];
        let page = index(&rows).unwrap();
        assert!(!page.contains("<script"), "{page}");
        let place = |part: &str| page.find(part).unwrap();
        assert!(place("alert(1)") < place(">looked-at<") && place(">looked-at<") < place(">good<"));
        assert!(page.contains("2 of 3 orders passed, 1 of them with errors accepted"), "{page}");
        assert_eq!(page.matches("<tr class=\"pass\">").count(), 1, "{page}");
        assert_eq!(page.matches("<tr class=\"accepted\">").count(), 1, "{page}");
    }
}
