//! Reads TOML and keeps the place of every key and value.
//!
//! The tables are walked by hand rather than through serde, which stops at the first thing it does not know and does not say
//! where it is.

use super::diagnostic::{Problems, quoted};
use super::source::{Found, Source};
use std::ops::Range;
use toml::Spanned;
use toml::de::{DeString, DeTable, DeValue};

/// A key with its place.
pub(super) type Key<'a> = Spanned<DeString<'a>>;
/// A value with its place.
pub(super) type Value<'a> = Spanned<DeValue<'a>>;

/// The tables and values of a text, or every place where the text is not valid TOML.
pub(super) fn parse<'a>(source: &Source<'a>) -> Result<DeTable<'a>, Problems> {
    let (table, errors) = DeTable::parse_recoverable(source.text());
    let mut problems = Found::default();
    let help = "a line of TOML is `key = value`; text stands in quotes, a section in [brackets]";
    for error in &errors {
        let message = format!("not TOML: {}", error.message());
        match error.span() {
            Some(span) => problems.at(source, span, &message, help),
            None => problems.push(source.whole(&message).help(help)),
        }
    }
    problems.or(table.into_inner())
}

/// The tables under `[[name]]` with the places of their headings; anything else in the text is a problem.
pub(super) fn tables<'a>(
    source: &Source<'a>,
    name: &str,
    problems: &mut Found,
) -> Vec<(DeTable<'a>, Range<usize>)> {
    let top = match parse(source) {
        Ok(top) => top,
        Err(found) => {
            problems.extend(found);
            return Vec::new();
        }
    };
    let mut found = Vec::new();
    let help = format!("each row is a table with the heading [[{name}]]");
    for (key, value) in top {
        let span = value.span();
        if key.get_ref() != name {
            let message = format!("{} is not known here", quoted(key.get_ref()));
            problems.at(source, key.span(), &message, &help);
            continue;
        }
        let DeValue::Array(rows) = value.into_inner() else {
            problems.at(source, span, &format!("{name} is not a list of tables"), &help);
            continue;
        };
        for row in rows {
            let span = row.span();
            match row.into_inner() {
                DeValue::Table(table) => found.push((table, span)),
                _ => problems.at(source, span, "not a table", &help),
            }
        }
    }
    found
}

/// The keys and values of a table in the order in which they are written; the table itself is sorted alphabetically.
pub(super) fn in_order<'t, 'a>(table: &'t DeTable<'a>) -> Vec<(&'t Key<'a>, &'t Value<'a>)> {
    let mut entries: Vec<_> = table.iter().collect();
    entries.sort_by_key(|(key, _)| key.span().start);
    entries
}

/// A value as it is written, if it is a text or a plain decimal number.
pub(super) fn scalar<'a>(value: &'a DeValue<'_>) -> Option<&'a str> {
    match value {
        DeValue::String(text) => Some(text),
        DeValue::Integer(number) if number.radix() == 10 => Some(number.as_str()),
        DeValue::Float(number) => Some(number.as_str()),
        _ => None,
    }
}
