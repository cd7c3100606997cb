//! The remarks in a drawing about earlier alterations.
//!
//! A DXF drawing can hold remarks in comments (group code 999 of the DXF reference), which programs skip. If it is asked for,
//! each altered size leaves such a line, and an alteration that would write the same line again is reported before it is done.

use crate::dxf_text::Drawing;
use crate::finding::{Finding, FindingId};
use crate::pattern::SizeName;
use crate::units::Mm;
use memchr::memmem;

/// The beginning of each such line.
const WORDS: &str = "altered by truerise: ";

/// All such lines of a drawing.
pub(crate) fn lines(bytes: &[u8]) -> Vec<String> {
    let end = |from: &[u8]| from.iter().position(|b| matches!(b, b'\r' | b'\n')).unwrap_or(from.len());
    memmem::find_iter(bytes, WORDS)
        .map(|at| String::from_utf8_lossy(&bytes[at..at + end(&bytes[at..])]).trim_end().to_owned())
        .collect()
}

/// Whether a comment is such a line.
pub(crate) fn is_line(comment: &[u8]) -> bool {
    comment.starts_with(WORDS.as_bytes())
}

/// The beginning of the lines about a size.
fn of(size: &SizeName) -> String {
    // Characters outside of ASCII are written as in DXF.
    let plain = |c: char| c.is_ascii_graphic() || c == ' ';
    let letter = |c| if plain(c) { c.to_string() } else { format!("\\U+{:04X}", u32::from(c)) };
    let name: String = size.as_str().chars().map(letter).collect();
    format!("{WORDS}size {name}, ")
}

/// The line about a size for which these changes of front and back rise were asked for, and these were made: others where the slides
/// were in the ratio of the shares.
pub(crate) fn line(size: &SizeName, asked: [Mm; 2], made: [Mm; 2]) -> String {
    let line = asked_for(size, asked);
    if made == asked {
        return line;
    }
    let [front, back] = made.map(shown);
    format!("{line}{BY_SLIDES}{front} and {back}")
}

/// What follows where the rises changed otherwise than they were asked for.
const BY_SLIDES: &str = "; shared by the slides, so that the rises changed by ";

/// The line about a size whose front and back rises are to change by these amounts.
fn asked_for(size: &SizeName, changes: [Mm; 2]) -> String {
    let [front, back] = changes.map(shown);
    format!("{}front rise {front}, back rise {back}", of(size))
}

fn shown(by: Mm) -> String {
    format!("{:+.3} mm", by.0 + 0.0)
}

/// The finding for a size that was altered before: an error if by the same amounts, else a note.
pub(crate) fn altered_before(said: &[String], size: &SizeName, changes: [Mm; 2]) -> Option<Finding> {
    let now = asked_for(size, changes);
    let asked = |said: &String| said.split(BY_SLIDES).next() == Some(now.as_str());
    if said.iter().any(asked) {
        let message = format!(
            "the drawing says that this was done to it already ('{now}'); done again it is added a second time. Give the drawing as \
             it was before, or --accept altered-before"
        );
        return Some(Finding::error(FindingId::AlteredBefore, message));
    }
    let earlier = said.iter().rfind(|line| line.starts_with(&of(size)))?;
    let message =
        format!("the drawing says that it was altered before ('{earlier}'); this comes on top of it");
    Some(Finding::note(FindingId::AlteredBefore, message))
}

/// These lines as DXF comments, to be written in front of everything else.
pub(crate) fn comments(drawing: &Drawing<'_>, lines: &[String]) -> Vec<u8> {
    let first = drawing.bytes.iter().position(|&b| b == drawing.line_end()).unwrap_or(0);
    let before = first.checked_sub(1).map(|i| drawing.bytes[i]);
    let end: &[u8] = match (drawing.line_end(), before) {
        (b'\n', Some(b'\r')) => b"\r\n",
        (b'\r', _) => b"\r",
        _ => b"\n",
    };
    let pairs = lines.iter().map(|line| [&b"999"[..], end, line.as_bytes(), end].concat());
    pairs.collect::<Vec<_>>().concat()
}
