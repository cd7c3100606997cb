//! The text of a table or job file with its lines and columns, and a collection of the problems found in it.

use super::diagnostic::{Diagnostic, Excerpt, LONGEST_SHOWN, MOST_SHOWN, Place, Problems, escaped};
use super::workbook::Workbook;
use crate::words::steers;
use std::cell::OnceCell;
use std::collections::BTreeMap;
use std::ops::Range;

/// The number of characters is counted once for every block of this many bytes, so that finding a column far along a long line
/// costs no more than finding one at its start.
const COUNTED_BY: usize = 1024;

impl std::error::Error for Problems {}
impl std::error::Error for Diagnostic {}

/// Collects problems as they are found. Only those that come first in the text are kept, and a later one costs only the
/// computation of its place: a table can have a problem in each of its millions of rows.
#[derive(Default)]
pub(crate) struct Found {
    /// Sorted by line, by column, and by the order in which they were found.
    kept: BTreeMap<(Option<usize>, usize, usize), Diagnostic>,
    count: usize,
}

impl Found {
    /// How many there are.
    pub(crate) fn count(&self) -> usize {
        self.count
    }

    /// Adds a problem with these bytes of the text, and its remedy.
    pub(crate) fn at(&mut self, source: &Source, span: Range<usize>, message: &str, help: &str) {
        let (line, column) = source.place(span.start);
        self.keep((Some(line), column), || source.at(span, message).help(help));
    }

    /// Adds a problem that already has its place.
    pub(crate) fn push(&mut self, one: Diagnostic) {
        self.keep((one.line(), one.column().unwrap_or(0)), || one);
    }

    /// Adds all problems of another reader.
    pub(crate) fn extend(&mut self, problems: Problems) {
        problems.into_iter().for_each(|one| self.push(one));
    }

    fn keep(&mut self, (line, column): (Option<usize>, usize), make: impl FnOnce() -> Diagnostic) {
        self.count += 1;
        let key = (line, column, self.count);
        let full = self.kept.len() == MOST_SHOWN;
        if full && self.kept.last_key_value().is_some_and(|(last, _)| *last < key) {
            return;
        }
        self.kept.insert(key, make());
        if full {
            self.kept.pop_last();
        }
    }

    /// Returns the value if there are no problems, otherwise the problems.
    pub(crate) fn or<T>(self, value: T) -> Result<T, Problems> {
        let Some((_, first)) = self.kept.first_key_value() else { return Ok(value) };
        let message = format!("{} more problems are not shown", self.count - self.kept.len());
        let help = "correct those above first; where there are so many, look whether it is the right file";
        let more = (self.count > self.kept.len()).then(|| first.also(&message).help(help));
        Err(self.kept.into_values().chain(more).collect::<Vec<_>>().into())
    }
}

/// A text with its path and the positions of its lines, without any byte order mark at the start.
pub(crate) struct Source<'a> {
    path: &'a str,
    text: &'a str,
    /// The byte at which each line starts; never empty.
    starts: Vec<usize>,
    /// The number of characters that start before each multiple of [`COUNTED_BY`] bytes.
    counts: OnceCell<Vec<usize>>,
    /// The spreadsheet that the text was made from, if it was made from one.
    book: Option<&'a Workbook>,
}

impl<'a> Source<'a> {
    /// The text of the file `path`.
    pub(crate) fn new(path: &'a str, text: &'a str) -> Self {
        let text = text.strip_prefix('\u{feff}').unwrap_or(text);
        let bytes = text.as_bytes();
        let ends = memchr::memchr2_iter(b'\n', b'\r', bytes)
            .filter(|&at| bytes[at] == b'\n' || bytes.get(at + 1) != Some(&b'\n'));
        let starts = std::iter::once(0).chain(ends.map(|at| at + 1)).collect();
        Source { path, text, starts, counts: OnceCell::new(), book: None }
    }

    /// The text made from the cells of a spreadsheet.
    pub(super) fn of(path: &'a str, book: &'a Workbook) -> Self {
        Source { book: Some(book), ..Source::new(path, &book.text) }
    }

    /// The text, without byte order mark.
    pub(crate) fn text(&self) -> &'a str {
        self.text
    }

    /// The place of the row that begins at that byte, in words: `line 3`, or `row 3` in a spreadsheet.
    pub(crate) fn row(&self, byte: usize) -> String {
        let word = if self.book.is_some() { "row" } else { "line" };
        format!("{word} {}", self.place(byte).0)
    }

    /// The number of the line that contains this byte, counted from 1.
    pub(crate) fn line(&self, byte: usize) -> usize {
        self.starts.partition_point(|&start| start <= byte)
    }

    /// The number of characters that start before this byte.
    fn characters(&self, byte: usize) -> usize {
        let starting = |bytes: &[u8]| bytes.iter().filter(|&&b| b & 0xC0 != 0x80).count();
        let counts = self.counts.get_or_init(|| {
            let counted = self.text.as_bytes().chunks(COUNTED_BY).scan(0, |sum, chunk| {
                *sum += starting(chunk);
                Some(*sum)
            });
            std::iter::once(0).chain(counted).collect()
        });
        let whole = byte / COUNTED_BY;
        counts[whole] + starting(&self.text.as_bytes()[whole * COUNTED_BY..byte])
    }

    /// Line and column of a byte, both counted from 1; in a spreadsheet, row and column of its cell. A byte of the line end
    /// itself gets the column after the last character.
    pub(crate) fn place(&self, byte: usize) -> (usize, usize) {
        if let Some(book) = self.book {
            let (row, column, _) = book.place(byte);
            return (row, column);
        }
        let byte = self.text.floor_char_boundary(byte);
        let line = self.line(byte);
        let (start, text) = self.line_text(line);
        let mark = byte.min(start + text.len());
        (line, self.characters(mark) - self.characters(start) + 1)
    }

    /// The byte at which a line starts, and its text without the line end.
    fn line_text(&self, line: usize) -> (usize, &'a str) {
        let start = self.starts[line - 1];
        let end = self.starts.get(line).copied().unwrap_or(self.text.len());
        (start, self.text[start..end].trim_end_matches(['\r', '\n']))
    }

    /// A problem with the whole text.
    pub(crate) fn whole(&self, message: &str) -> Diagnostic {
        Diagnostic::new(self.path, message)
    }

    /// A problem with these bytes of the text. A bound outside the text or inside a character is moved to the nearest valid
    /// position; of several lines, the first is shown.
    pub(crate) fn at(&self, span: Range<usize>, message: &str) -> Diagnostic {
        let start = self.text.floor_char_boundary(span.start);
        let end = self.text.ceil_char_boundary(span.end);
        let (line, column) = self.place(start);
        let address = self.book.map(|book| escaped(&book.place(start).2).into_owned());
        let (line_start, line_text) = self.line_text(self.line(start));
        let mark_start = (start - line_start).min(line_text.len());
        let mark_end = end.saturating_sub(line_start).clamp(mark_start, line_text.len());

        let excerpt = (line_text.len() <= LONGEST_SHOWN).then(|| {
            let clean = |text: &str| -> String { text.chars().map(drawable).collect() };
            let before = clean(&line_text[..mark_start]);
            let marked = clean(&line_text[mark_start..mark_end]);
            let span = before.len()..before.len() + marked.len();
            Excerpt { line: before + &marked + &clean(&line_text[mark_end..]), marked: span }
        });
        let place = Place { line, column, address, excerpt };
        Diagnostic::new(self.path, message).placed(place)
    }
}

/// The remedy for a text in another encoding.
const SAVE_AGAIN: &str = "open the file in the program that it was written with and save it again as UTF-8: spreadsheets and text \
                          editors offer that as the encoding or character set when saving";

/// The bytes of a file as text, or a problem that names the first byte that is not UTF-8 and the remedy.
pub(crate) fn utf8<'a>(bytes: &'a [u8], path: &str) -> Result<&'a str, Problems> {
    let error = match std::str::from_utf8(bytes) {
        Ok(text) => return Ok(text),
        Err(error) => error,
    };
    if bytes.starts_with(b"\xff\xfe") || bytes.starts_with(b"\xfe\xff") {
        let one =
            Diagnostic::new(path, "the letters of this file were saved as UTF-16, which is not read here");
        return Err(one.help(SAVE_AGAIN).into());
    }
    let (sound, rest) = bytes.split_at(error.valid_up_to());
    // About one line of what follows is enough to show the place.
    let lossy = String::from_utf8_lossy(sound) + String::from_utf8_lossy(&rest[..rest.len().min(400)]);
    let source = Source::new(path, &lossy);
    let at = sound.len() - (lossy.len() - source.text().len());
    let byte = rest.first().copied().unwrap_or_default();
    let message =
        format!("this letter cannot be read: the file was not saved as UTF-8 (its byte is {byte:#04x})");
    Err(source.at(at..at + 1, &message).help(SAVE_AGAIN).into())
}

/// A character that can be shown in place of this one: control characters become their symbols. One character is replaced by one,
/// so that columns do not shift.
fn drawable(c: char) -> char {
    match c {
        '\t' => ' ',
        '\0'..='\x1f' => char::from_u32(0x2400 + u32::from(c)).unwrap_or('\u{fffd}'),
        '\x7f' => '\u{2421}',
        _ if steers(c) => '\u{fffd}',
        _ => c,
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;

    #[test]
    fn of_very_many_problems_the_first_are_shown_each_with_its_line() {
        // Each line has 12 bytes.
        let text = "ä,b,cdefghi\n".repeat(5000);
        for order in [(0..5000).collect::<Vec<usize>>(), (0..5000).rev().collect()] {
            let source = Source::new("t", &text);
            let mut found = Found::default();
            for line in order {
                found.at(&source, line * 13 + 3..line * 13 + 4, "no length", "write one");
            }
            let problems = found.or(()).unwrap_err();
            assert_eq!(problems.iter().count(), MOST_SHOWN + 1);
            assert!(problems.render(false).contains("4900 more problems are not shown"));
            for (at, one) in problems.iter().take(MOST_SHOWN).enumerate() {
                assert_eq!((one.line(), one.column(), one.marked()), (Some(at + 1), Some(3), Some("b")));
            }
        }
    }

    #[test]
    fn of_a_line_of_megabytes_no_copy_is_kept_and_every_column_is_counted() {
        let text = "\0ä".repeat(500_000);
        let source = Source::new("t", &text);
        let mut found = Found::default();
        (0..500_000).for_each(|i| found.at(&source, i * 3..i * 3 + 1, "no TOML", ""));
        let problems = found.or(()).unwrap_err();
        assert!(problems.iter().all(|one| one.marked().is_none()));
        let columns: Vec<usize> = problems.iter().filter_map(Diagnostic::column).collect();
        assert_eq!(columns, (0..100).map(|i| 2 * i + 1).collect::<Vec<_>>());
        assert_eq!(source.place(1_499_997), (1, 999_999));
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
        assert!(
            one.message().starts_with("this letter cannot be read") && one.message().contains("0xfc"),
            "{one}"
        );
        assert!(one.to_string().contains("save it again as UTF-8"), "{one}");
        let wide = utf8(b"\xff\xfes\0i\0", "sizes.csv").unwrap_err().to_string();
        assert!(wide.contains("UTF-16") && wide.contains("save it again as UTF-8"), "{wide}");
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
