//! Problems with what a person wrote, shown with the line they wrote it on.
//!
//! A [`Diagnostic`] keeps only the part of the line it needs, and cleans it when it is built. No control character of the input
//! reaches a terminal, and the renderer always gets one short clean line, so that no unusual span, tab or wide character can
//! break it.

pub use crate::words::escaped;
use annotate_snippets::{AnnotationKind, Group, Level, Origin, Renderer, Snippet};
use std::fmt;
use std::ops::Range;

/// The longest line that is shown, in bytes. The renderer cuts lines that are wider than a terminal, but needs the line from its
/// start to count the column; without this limit, a file that is one line of megabytes would be kept whole for each of its
/// problems.
pub(super) const LONGEST_SHOWN: usize = 4000;
/// The largest number of problems shown; a damaged file can have one for each of its bytes.
pub(super) const MOST_SHOWN: usize = 100;
/// How many characters of a cell are quoted within a message; the excerpt shows more.
const QUOTED: usize = 60;

/// One problem with a text: what is wrong, where, and what to do about it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Diagnostic {
    path: String,
    message: String,
    place: Option<Place>,
    help: Option<String>,
}

/// A place in the text. Line and column are counted from 1, the column in characters.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Place {
    pub(super) line: usize,
    pub(super) column: usize,
    /// The address of the cell in a spreadsheet; line and column are then its row and column.
    pub(super) address: Option<String>,
    pub(super) excerpt: Option<Excerpt>,
}

/// A line without control characters, replaced one for one, and the range of its bytes that is marked.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Excerpt {
    pub(super) line: String,
    pub(super) marked: Range<usize>,
}

impl Diagnostic {
    /// A problem with a file as a whole.
    pub(crate) fn new(path: &str, message: &str) -> Self {
        Diagnostic {
            path: escaped(path).into_owned(),
            message: escaped(message).into_owned(),
            place: None,
            help: None,
        }
    }

    /// The same problem with its place added.
    pub(super) fn placed(mut self, place: Place) -> Self {
        self.place = Some(place);
        self
    }

    /// A problem with the same file as a whole.
    pub(super) fn also(&self, message: &str) -> Self {
        Diagnostic { path: self.path.clone(), ..Diagnostic::new("", message) }
    }

    /// The same problem with a remedy added.
    #[must_use]
    pub(crate) fn help(mut self, help: &str) -> Self {
        self.help = Some(escaped(help).into_owned());
        self
    }

    /// What is wrong, in one line.
    pub fn message(&self) -> &str {
        &self.message
    }

    /// The path of the file with the problem.
    pub fn path(&self) -> &str {
        &self.path
    }

    /// The line, counted from 1.
    pub fn line(&self) -> Option<usize> {
        self.place.as_ref().map(|place| place.line)
    }

    /// The column in characters, counted from 1.
    pub fn column(&self) -> Option<usize> {
        self.place.as_ref().map(|place| place.column)
    }

    /// The file and the place in it: `sizes.csv:3:7`, or `sizes.xlsx:Sizes!B3` in a spreadsheet.
    pub fn place(&self) -> String {
        match &self.place {
            None => self.path.clone(),
            Some(Place { address: Some(address), .. }) => format!("{}:{address}", self.path),
            Some(Place { line, column, .. }) => format!("{}:{line}:{column}", self.path),
        }
    }

    /// The marked part of the line; `None` if the line is too long to be shown.
    pub fn marked(&self) -> Option<&str> {
        let excerpt = self.place.as_ref()?.excerpt.as_ref()?;
        excerpt.line.get(excerpt.marked.clone())
    }

    /// The problem as a person reads it: the message, `file:line:column`, the line with the place underlined, and the remedy.
    /// With `color` it contains the colour codes of a terminal. There is no line end at the end.
    #[must_use]
    pub fn render(&self, color: bool) -> String {
        let mut group = Group::with_title(Level::ERROR.primary_title(self.message.as_str()));
        let origin = Origin::path(self.path.as_str());
        group = match &self.place {
            None => group.element(origin),
            Some(Place { address: Some(_), line, excerpt, .. }) => {
                let place = group.element(Origin::path(self.place()));
                match excerpt {
                    None => place,
                    Some(excerpt) => place.element(
                        Snippet::source(excerpt.line.as_str())
                            .line_start(*line)
                            .annotation(AnnotationKind::Primary.span(excerpt.marked.clone())),
                    ),
                }
            }
            Some(Place { line, column, excerpt: None, .. }) => {
                group.element(origin.line(*line).char_column(*column))
            }
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
        let shown = renderer.render(&[group]);
        if self.place.as_ref().is_none_or(|place| place.address.is_none()) {
            return shown;
        }
        // The renderer puts a line of colons before an excerpt that has no file of its own.
        let kept: Vec<&str> = shown.lines().filter(|line| !line.contains(":::")).collect();
        kept.join("\n")
    }
}

impl fmt::Display for Diagnostic {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.render(false))
    }
}

/// All problems with a text, in the order of the text; never empty. If there are very many, only the first ones and the number of
/// the others.
///
/// ```
/// let problems = truerise::SizeTable::from_csv("size,change\n38,5 furlongs\n", "changes.csv").unwrap_err();
/// let first = problems.iter().next().unwrap();
/// assert_eq!((first.line(), first.column()), (Some(2), Some(4)));
/// assert!(problems.to_string().contains("unknown unit 'furlongs'"));
/// ```
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Problems(Vec<Diagnostic>);

impl Problems {
    /// The problems one by one.
    pub fn iter(&self) -> std::slice::Iter<'_, Diagnostic> {
        self.0.iter()
    }

    /// The first problem in one line, with its remedy and the number of further problems.
    #[must_use]
    pub fn brief(&self) -> String {
        let Some(first) = self.0.first() else { return String::new() };
        let help = first.help.as_ref().map(|help| format!("; {help}")).unwrap_or_default();
        let more = match self.0.len() - 1 {
            0 => String::new(),
            more => format!(" (and {more} more)"),
        };
        format!("{}: {}{help}{more}", first.place(), first.message)
    }

    /// The problems as a person reads them, separated by blank lines.
    #[must_use]
    pub fn render(&self, color: bool) -> String {
        let all: Vec<String> = self.0.iter().map(|one| one.render(color)).collect();
        all.join("\n\n")
    }
}

impl From<Vec<Diagnostic>> for Problems {
    fn from(all: Vec<Diagnostic>) -> Self {
        Problems(all)
    }
}

impl IntoIterator for Problems {
    type Item = Diagnostic;
    type IntoIter = std::vec::IntoIter<Diagnostic>;
    fn into_iter(self) -> Self::IntoIter {
        self.0.into_iter()
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

/// The text of a cell quoted for a message: escaped, and shortened if it is long.
pub(crate) fn quoted(text: &str) -> String {
    let end = nth(text, QUOTED);
    let dots = if end < text.len() { "…" } else { "" };
    format!("'{}{dots}'", escaped(&text[..end]))
}

/// The byte at which character number `count` (from 0) of the text starts, or the length of the text if it is shorter.
fn nth(text: &str, count: usize) -> usize {
    text.char_indices().nth(count).map_or(text.len(), |(at, _)| at)
}
