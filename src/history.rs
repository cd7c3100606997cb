//! What a drawing says of earlier alterations.
//!
//! A drawing has room for a remark in a comment (group code 999 of the DXF reference), which readers pass over. Where it is asked
//! for, each altered size leaves a line there, and an alteration that would write the same line again is told before it is done.

use crate::dxf_text::Drawing;
use crate::finding::{Finding, FindingId};
use crate::pattern::SizeName;
use crate::units::Mm;
use memchr::memmem;

/// What each line begins with.
const WORDS: &str = "altered by truerise: ";

/// The lines that a drawing has.
pub(crate) fn lines(bytes: &[u8]) -> Vec<String> {
    let end = |from: &[u8]| from.iter().position(|b| matches!(b, b'\r' | b'\n')).unwrap_or(from.len());
    memmem::find_iter(bytes, WORDS)
        .map(|at| String::from_utf8_lossy(&bytes[at..at + end(&bytes[at..])]).trim_end().to_owned())
        .collect()
}

/// Whether a comment is one of them.
pub(crate) fn is_line(comment: &[u8]) -> bool {
    comment.starts_with(WORDS.as_bytes())
}

/// What begins the lines of a size.
fn of(size: &SizeName) -> String {
    // As DXF writes what is not ASCII.
    let plain = |c: char| c.is_ascii_graphic() || c == ' ';
    let letter = |c| if plain(c) { c.to_string() } else { format!("\\U+{:04X}", u32::from(c)) };
    let name: String = size.as_str().chars().map(letter).collect();
    format!("{WORDS}size {name}, ")
}

/// What is said of a size whose rises, of front and back, are changed by so much.
pub(crate) fn line(size: &SizeName, changes: [Mm; 2]) -> String {
    let [front, back] = changes.map(|by| format!("{:+.3} mm", by.0 + 0.0));
    format!("{}front rise {front}, back rise {back}", of(size))
}

/// What is found where a size was altered before: as it is to be altered now, or otherwise.
pub(crate) fn altered_before(said: &[String], size: &SizeName, changes: [Mm; 2]) -> Option<Finding> {
    let now = line(size, changes);
    if said.contains(&now) {
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

/// The comments with which a drawing says so, as they are written before everything else.
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
