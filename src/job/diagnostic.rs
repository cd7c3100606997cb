//! Problems with what a person wrote, shown with the line they wrote it on.
//!
//! A [`Diagnostic`] keeps only the piece of the line it needs, made harmless when it is built: no
//! control character of the input reaches a terminal, and no odd span, tab or wide character can
//! trip the renderer, which always gets one short clean line.

pub use crate::words::escaped;
use crate::words::steers;
use annotate_snippets::{AnnotationKind, Group, Level, Origin, Renderer, Snippet};
use std::cell::Cell;
use std::fmt;
use std::ops::Range;

/// The longest line that is shown, in bytes. The renderer cuts what is wider than a terminal, but has to see the line
/// from its start to count the column; a file of one line of megabytes would be kept whole for each of its problems.
const LONGEST_SHOWN: usize = 4000;
/// How many problems are shown; a damaged file can have one for each of its bytes.
const MOST_SHOWN: usize = 100;
/// How many problems of a text get their column and their line shown: both cost as much as the line is long.
const LOOKED_AT: usize = 2 * MOST_SHOWN;
/// How much of a cell is quoted within a message; the excerpt shows more.
const QUOTED: usize = 60;

/// One thing that is wrong with a text, its place and what to do about it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Diagnostic {
    path: String,
    message: String,
    place: Option<Place>,
    help: Option<String>,
}

/// Where in the text; line and column count from 1, the column in characters.
#[derive(Clone, Debug, PartialEq, Eq)]
struct Place {
    line: usize,
    /// None where it was not counted.
    column: Option<usize>,
    excerpt: Option<Excerpt>,
}

/// A line made harmless, character for character, and the bytes of it that are marked.
#[derive(Clone, Debug, PartialEq, Eq)]
struct Excerpt {
    line: String,
    marked: Range<usize>,
}

impl Diagnostic {
    /// A problem with the whole of a file.
    pub fn new(path: &str, message: &str) -> Self {
        Diagnostic {
            path: escaped(path).into_owned(),
            message: escaped(message).into_owned(),
            place: None,
            help: None,
        }
    }

    /// The problem with what to do about it.
    #[must_use]
    pub fn help(mut self, help: &str) -> Self {
        self.help = Some(escaped(help).into_owned());
        self
    }

    /// What is wrong, in one line.
    pub fn message(&self) -> &str {
        &self.message
    }

    /// The file it is in.
    pub fn path(&self) -> &str {
        &self.path
    }

    /// The line, counted from 1.
    pub fn line(&self) -> Option<usize> {
        self.place.as_ref().map(|place| place.line)
    }

    /// The column in characters, counted from 1.
    pub fn column(&self) -> Option<usize> {
        self.place.as_ref().and_then(|place| place.column)
    }

    /// The text that is marked in the line; `None` where the line is too long to be shown.
    pub fn marked(&self) -> Option<&str> {
        let excerpt = self.place.as_ref()?.excerpt.as_ref()?;
        excerpt.line.get(excerpt.marked.clone())
    }

    /// The problem as a person reads it: message, `file:line:column`, the line with the place underlined, help.
    /// With `color`, as a terminal shows it; no line end at the end.
    #[must_use]
    pub fn render(&self, color: bool) -> String {
        let mut group = Group::with_title(Level::ERROR.primary_title(self.message.as_str()));
        let origin = Origin::path(self.path.as_str());
        group = match &self.place {
            None => group.element(origin),
            Some(Place { line, column: Some(column), excerpt: None }) => {
                group.element(origin.line(*line).char_column(*column))
            }
            Some(Place { line, column: None, excerpt: None }) => group.element(origin.line(*line)),
            Some(Place { line, excerpt: Some(excerpt), .. }) => group.element(
                Snippet::source(excerpt.line.as_str())
                    .path(self.path.as_str())
                    .line_start(*line)
                    .annotation(AnnotationKind::Primary.span(excerpt.marked.clone())),
            ),
        };
        if let Some(help) = &self.help {
            group = group.element(Level::HELP.message(help.as_str()));
        }
        let renderer = if color { Renderer::styled() } else { Renderer::plain() };
        renderer.render(&[group])
    }
}

impl fmt::Display for Diagnostic {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.render(false))
    }
}

/// All that is wrong with a text, in the order of the text; never empty. Of very many problems the first, and how many
/// more there are.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Problems(Vec<Diagnostic>);

impl Problems {
    /// The value if nothing is wrong, else all that is.
    pub(crate) fn or<T>(mut problems: Vec<Diagnostic>, value: T) -> Result<T, Problems> {
        if problems.is_empty() {
            return Ok(value);
        }
        // Where no column was counted, problems of the line that have one come first.
        problems.sort_by_key(|one| (one.line(), one.column().unwrap_or(usize::MAX)));
        if problems.len() > MOST_SHOWN {
            let more = problems.len() - MOST_SHOWN;
            problems.truncate(MOST_SHOWN);
            let message = format!("{more} more problems are not shown");
            let path = problems[0].path.clone();
            let help =
                "correct those above first; where there are so many, look whether it is the right file";
            problems.push(Diagnostic { path, ..Diagnostic::new("", &message).help(help) });
        }
        Err(Problems(problems))
    }

    /// The problems one by one.
    pub fn iter(&self) -> std::slice::Iter<'_, Diagnostic> {
        self.0.iter()
    }

    /// The problems as a person reads them, a blank line between two.
    #[must_use]
    pub fn render(&self, color: bool) -> String {
        let all: Vec<String> = self.0.iter().map(|one| one.render(color)).collect();
        all.join("\n\n")
    }
}

impl From<Diagnostic> for Problems {
    fn from(one: Diagnostic) -> Self {
        Problems(vec![one])
    }
}
impl<'a> IntoIterator for &'a Problems {
    type Item = &'a Diagnostic;
    type IntoIter = std::slice::Iter<'a, Diagnostic>;
    fn into_iter(self) -> Self::IntoIter {
        self.iter()
    }
}
impl fmt::Display for Problems {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.render(false))
    }
}
impl std::error::Error for Problems {}
impl std::error::Error for Diagnostic {}

/// A text with its path and the places of its lines. A byte order mark at the front is left out.
pub(crate) struct Source<'a> {
    path: &'a str,
    text: &'a str,
    /// Where each line starts, in bytes; never empty.
    starts: Vec<usize>,
    /// How many problems with a place have been made.
    made: Cell<usize>,
}

impl<'a> Source<'a> {
    /// The text of the file `path`.
    pub(crate) fn new(path: &'a str, text: &'a str) -> Self {
        let text = text.strip_prefix('\u{feff}').unwrap_or(text);
        let bytes = text.as_bytes();
        let ends = memchr::memchr2_iter(b'\n', b'\r', bytes)
            .filter(|&at| bytes[at] == b'\n' || bytes.get(at + 1) != Some(&b'\n'));
        let starts = std::iter::once(0).chain(ends.map(|at| at + 1)).collect();
        Source { path, text, starts, made: Cell::new(0) }
    }

    /// The text, without byte order mark.
    pub(crate) fn text(&self) -> &'a str {
        self.text
    }

    /// The line that byte lies on, counted from 1.
    pub(crate) fn line(&self, byte: usize) -> usize {
        self.starts.partition_point(|&start| start <= byte)
    }

    /// A problem with the whole text.
    pub(crate) fn whole(&self, message: &str) -> Diagnostic {
        Diagnostic::new(self.path, message)
    }

    /// A problem with these bytes of the text. What lies outside the text or inside a character is moved to the
    /// nearest sound place; of several lines the first is shown.
    pub(crate) fn at(&self, span: Range<usize>, message: &str) -> Diagnostic {
        let start = self.text.floor_char_boundary(span.start);
        let end = self.text.ceil_char_boundary(span.end);
        let line = self.line(start);
        self.made.set(self.made.get() + 1);
        if self.made.get() > LOOKED_AT {
            let place = Some(Place { line, column: None, excerpt: None });
            return Diagnostic { place, ..Diagnostic::new(self.path, message) };
        }
        let line_start = self.starts[line - 1];
        let line_end = self.starts.get(line).copied().unwrap_or(self.text.len());
        let line_text = self.text[line_start..line_end].trim_end_matches(['\r', '\n']);
        // A place on the line end itself is shown behind the last character.
        let mark_start = (start - line_start).min(line_text.len());
        let mark_end = end.saturating_sub(line_start).clamp(mark_start, line_text.len());
        let column = Some(line_text[..mark_start].chars().count() + 1);

        let excerpt = (line_text.len() <= LONGEST_SHOWN).then(|| {
            let clean = |text: &str| -> String { text.chars().map(drawable).collect() };
            let before = clean(&line_text[..mark_start]);
            let marked = clean(&line_text[mark_start..mark_end]);
            let span = before.len()..before.len() + marked.len();
            Excerpt { line: before + &marked + &clean(&line_text[mark_end..]), marked: span }
        });
        let place = Some(Place { line, column, excerpt });
        Diagnostic { place, ..Diagnostic::new(self.path, message) }
    }
}

/// The text of a file, or a message that says which byte is not UTF-8 and what to do.
pub(crate) fn utf8<'a>(bytes: &'a [u8], path: &str) -> Result<&'a str, Problems> {
    let error = match std::str::from_utf8(bytes) {
        Ok(text) => return Ok(text),
        Err(error) => error,
    };
    if bytes.starts_with(b"\xff\xfe") || bytes.starts_with(b"\xfe\xff") {
        let one = Diagnostic::new(path, "the file is in UTF-16, not in UTF-8");
        return Err(one.help("save it as plain text in UTF-8").into());
    }
    let (sound, rest) = bytes.split_at(error.valid_up_to());
    // One line of what follows is enough to show the place.
    let lossy = String::from_utf8_lossy(sound) + String::from_utf8_lossy(&rest[..rest.len().min(400)]);
    let source = Source::new(path, &lossy);
    let at = sound.len() - (lossy.len() - source.text().len());
    let message = format!("byte {:#04x} is not UTF-8", rest.first().copied().unwrap_or_default());
    let help = "save the file as UTF-8 (a spreadsheet offers it when saving as CSV)";
    Err(source.at(at..at + 1, &message).help(help).into())
}

/// The text of a cell for quoting in a message: escaped, and cut where it is long.
pub(crate) fn quoted(text: &str) -> String {
    let end = nth(text, QUOTED);
    let dots = if end < text.len() { "…" } else { "" };
    format!("'{}{dots}'", escaped(&text[..end]))
}

/// One character for one character, so that columns stay what they are: control characters as their pictures.
fn drawable(c: char) -> char {
    match c {
        '\t' => ' ',
        '\0'..='\x1f' => char::from_u32(0x2400 + u32::from(c)).unwrap_or('\u{fffd}'),
        '\x7f' => '\u{2421}',
        _ if steers(c) => '\u{fffd}',
        _ => c,
    }
}

/// Where the character number `count` of the text starts, or the end.
fn nth(text: &str, count: usize) -> usize {
    text.char_indices().nth(count).map_or(text.len(), |(at, _)| at)
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;

    #[test]
    fn of_very_many_problems_the_first_are_shown() {
        let text = "\0".repeat(5000);
        let source = Source::new("t", &text);
        let all: Vec<Diagnostic> = (0..5000).rev().map(|i| source.at(i..i + 1, "no TOML")).collect();
        let kept: usize =
            all.iter().filter_map(|d| d.place.as_ref()?.excerpt.as_ref()).map(|e| e.line.len()).sum();
        assert!(kept <= LOOKED_AT * text.len() * 3, "{kept}");
        let problems = Problems::or(all, ()).unwrap_err();
        assert_eq!(problems.iter().count(), MOST_SHOWN + 1);
        assert!(problems.render(false).contains("4900 more problems are not shown"));
    }
    use proptest::prelude::*;

    #[test]
    fn a_problem_shows_message_place_line_and_help() {
        let source = Source::new("sizes.csv", "size,change\r\n38,5 furlongs\r\n");
        let shown = source.at(16..26, "unit 'furlongs' is not known").help("write mm, cm or in").to_string();
        let lines: Vec<&str> = shown.lines().map(str::trim_end).collect();
        assert_eq!(
            lines,
            [
                "error: unit 'furlongs' is not known",
                " --> sizes.csv:2:4",
                "  |",
                "2 | 38,5 furlongs",
                "  |    ^^^^^^^^^^",
                "  |",
                "  = help: write mm, cm or in",
            ]
        );
    }

    #[test]
    fn lines_end_in_any_of_the_three_ways() {
        let source = Source::new("x", "a\rb\r\nc\nd");
        let lines: Vec<usize> = "abcd".chars().map(|c| source.line(source.text().find(c).unwrap())).collect();
        assert_eq!(lines, [1, 2, 3, 4]);
    }

    #[test]
    fn a_byte_order_mark_does_not_shift_the_column() {
        let source = Source::new("x", "\u{feff}abc");
        assert_eq!(source.at(1..2, "m").column(), Some(2));
    }

    #[test]
    fn what_is_not_utf8_is_pointed_at() {
        let problems = utf8(b"\xef\xbb\xbfsize,note\n38,f\xfcr\n", "sizes.csv").unwrap_err();
        let one = problems.iter().next().unwrap();
        assert_eq!((one.line(), one.column()), (Some(2), Some(5)));
        assert!(one.message().contains("0xfc"), "{one}");
        let wide = utf8(b"\xff\xfes\0i\0", "sizes.csv").unwrap_err().to_string();
        assert!(wide.contains("UTF-16"), "{wide}");
        let short = utf8(b"ab\xc3", "x").unwrap_err();
        assert_eq!(short.iter().next().unwrap().column(), Some(3));
    }

    #[test]
    fn a_long_line_is_cut_around_the_place_or_left_out() {
        let text = format!("{}HERE{}", "x".repeat(1500), "y".repeat(1500));
        let one = Source::new("x", &text).at(1500..1504, "m");
        assert_eq!(one.marked(), Some("HERE"));
        let shown = one.to_string();
        assert!(shown.contains("x:1:1501") && shown.contains("HERE") && shown.len() < 1000, "{shown}");
        let text = text.repeat(1000);
        let shown = Source::new("x", &text).at(1500..1504, "m").to_string();
        assert!(shown.contains("x:1:1501") && shown.len() < 100, "{shown}");
    }

    #[test]
    fn nothing_that_steers_a_terminal_gets_through() {
        let text = "38\u{1b}[31m\u{202e},\u{9b}2J\u{7}";
        let shown = Source::new("a\u{1b}b", text).at(0..text.len(), text).help(text).to_string();
        assert!(!shown.chars().any(|c| steers(c) && c != '\n'), "{shown:?}");
        assert!(shown.contains("\\u{1b}[31m"), "{shown}");
    }

    proptest! {
        #[test]
        fn any_span_of_any_text_can_be_shown(
            part in "(?s).{0,40}|[a\t\r\u{1f456}\u{301}漢]{0,40}", times in 1usize..20, start in 0usize..2000, len in 0usize..2000, color: bool,
        ) {
            let text = part.repeat(times);
            let one = Source::new("x", &text).at(start..start + len, &text);
            let shown = one.render(color);
            prop_assert!(one.line().unwrap() >= 1);
            if !color {
                prop_assert!(!shown.chars().any(|c| steers(c) && c != '\n'), "{:?}", shown);
            }
        }

        #[test]
        fn the_column_is_counted_in_characters(before in "[a-zäß€\u{1f456}\t]{0,200}", after in "[a-z]{0,200}") {
            let text = format!("first\n{before}X{after}");
            let at = "first\n".len() + before.len();
            let one = Source::new("x", &text).at(at..at + 1, "m");
            prop_assert_eq!(one.line(), Some(2));
            prop_assert_eq!(one.column(), Some(before.chars().count() + 1));
            prop_assert_eq!(one.marked(), Some("X"));
        }

        #[test]
        fn any_bytes_are_text_or_a_problem(bytes in proptest::collection::vec(any::<u8>(), 0..100)) {
            match utf8(&bytes, "x") {
                Ok(text) => prop_assert_eq!(text.as_bytes(), &bytes[..]),
                Err(problems) => prop_assert!(!problems.to_string().is_empty()),
            }
        }
    }
}
