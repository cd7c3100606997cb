//! Copies a block, its placing and its table record for another size.
//!
//! A copy has the original's bytes, with the name, the size and the handles replaced; anything that is not understood is copied
//! as it is. Only an entity's extension dictionary and reactors are left out, because they belong to the original alone and the
//! format forbids a second owner.

use crate::dxf_text::splice::Edits;
use crate::dxf_text::{DxfError, Entities, Entity, Pair, Pairs, Span};
use crate::pattern::{SizeName, label_of};
use kurbo::{Point, Vec2};
use std::collections::{BTreeSet, HashMap};

/// The sizes of the original and of its copy.
#[derive(Clone, Copy, Debug)]
pub(super) struct Resize<'s> {
    /// The size of the original.
    pub from: &'s SizeName,
    /// The size of the copy.
    pub to: &'s SizeName,
}

/// Gives out handles that the drawing does not use, in ascending order.
#[derive(Debug)]
pub(super) struct Fresh {
    last: u64,
}

impl Fresh {
    /// Starts with the handle after this one.
    pub fn above(last: u64) -> Self {
        Fresh { last }
    }

    /// The largest handle given out.
    pub fn last(&self) -> u64 {
        self.last
    }

    fn next(&mut self) -> u64 {
        self.last += 1;
        self.last
    }
}

/// The handles of the copied entities, each with the handle of its copy.
pub(super) type HandleMap = HashMap<u64, u64>;

/// What was noticed in copying.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub(super) struct Noticed {
    /// Kinds of entities that were copied without being moved, because their meaning is unknown.
    pub unmoved: BTreeSet<String>,
    /// The number of other texts that name the size and were changed.
    pub retitled: usize,
    /// The number of extension dictionaries and reactors that were left out.
    pub left_out: usize,
    /// Whether the block's `Size:` text was found.
    pub size_text: bool,
}

/// Copies stretches of bytes.
pub(super) struct Copier<'c> {
    /// The bytes copied from.
    pub bytes: &'c [u8],
    /// The byte that ends a line.
    pub line_end: u8,
    /// The new name of the block.
    pub name: &'c [u8],
}

impl Copier<'_> {
    fn pairs(&self, of: Span) -> Pairs<'_> {
        Pairs::new(self.bytes, of, self.line_end)
    }

    /// Assigns a new handle to every entity in the stretch that has one.
    pub fn handles(&self, of: Span, fresh: &mut Fresh, map: &mut HandleMap) -> Result<(), DxfError> {
        for pair in self.pairs(of) {
            let pair = pair?;
            if pair.code == 5
                && let Some(old) = hex(pair.text(self.bytes))
            {
                map.entry(old).or_insert_with(|| fresh.next());
            }
        }
        Ok(())
    }

    /// Adds the replacements that every copy needs: the handles, and the block's name at code 2 (and at code 3 of a BLOCK).
    fn common(
        &self,
        of: Span,
        map: &HandleMap,
        edits: &mut Edits,
        noticed: &mut Noticed,
    ) -> Result<(), DxfError> {
        let mut kind: &[u8] = b"";
        let mut group: Option<u32> = None;
        let mut named = false;
        for pair in self.pairs(of) {
            let pair = pair?;
            let text = pair.text(self.bytes);
            if let Some(start) = group {
                if pair.code == 102 && text == b"}" {
                    edits.replace(Span { start, end: pair.end }, b"");
                    noticed.left_out += 1;
                    group = None;
                }
                continue;
            }
            match pair.code {
                0 => kind = text,
                102 if text.starts_with(b"{ACAD_") || text.starts_with(b"{BLKREFS") => {
                    group = Some(pair.start);
                }
                // An INSERT within the block keeps its name. Attributes have a code 2 of their own, which is not the block's
                // name.
                2 if !named && matches!(kind, b"BLOCK" | b"INSERT" | b"BLOCK_RECORD") => {
                    edits.replace(pair.value.trimmed(self.bytes), self.name);
                    named = true;
                }
                3 if kind == b"BLOCK" => edits.replace(pair.value.trimmed(self.bytes), self.name),
                5 | 320..=369 | 390..=399 | 480 | 481 | 1005 => {
                    if let Some(new) = hex(text).and_then(|old| map.get(&old)) {
                        edits.replace(pair.value.trimmed(self.bytes), format!("{new:X}").as_bytes());
                    }
                }
                _ => {}
            }
        }
        Ok(())
    }

    /// Appends a copy of an INSERT with its attributes, or of a table record.
    pub fn plain(&self, of: Span, map: &HandleMap, out: &mut Vec<u8>) -> Result<(), DxfError> {
        let mut edits = Edits::default();
        self.common(of, map, &mut edits, &mut Noticed::default())?;
        edits.apply(self.bytes, of, out);
        Ok(())
    }

    /// Appends a copy of a whole block whose known entities have already been moved. `along` gives the displacement of a place,
    /// both in the block's own coordinates; circles and inserted blocks move by it.
    pub fn block(
        &self,
        of: Span,
        map: &HandleMap,
        resize: Resize<'_>,
        along: &dyn Fn(Point) -> Vec2,
        out: &mut Vec<u8>,
    ) -> Result<Noticed, DxfError> {
        let mut edits = Edits::default();
        let mut noticed = Noticed::default();
        self.common(of, map, &mut edits, &mut noticed)?;
        let mut entities = Entities::new(self.bytes, vec![of], self.line_end);
        let mut e = Entities::buffer();
        while entities.read(&mut e)? {
            match e.kind {
                b"TEXT" | b"MTEXT" => self.text(&e, resize, &mut edits, &mut noticed),
                b"CIRCLE" | b"INSERT" => self.carry(&e, false, along, &mut edits),
                b"ATTDEF" | b"ATTRIB" => self.carry(&e, true, along, &mut edits),
                // These have already been moved, or have no position.
                b"BLOCK" | b"ENDBLK" | b"POLYLINE" | b"VERTEX" | b"SEQEND" | b"LWPOLYLINE" | b"LINE"
                | b"ARC" | b"ELLIPSE" | b"SPLINE" | b"POINT" => {}
                kind => {
                    noticed.unmoved.insert(String::from_utf8_lossy(kind).into_owned());
                }
            }
        }
        edits.apply(self.bytes, of, out);
        Ok(noticed)
    }

    /// Replaces the old size by the new one in a text that names it.
    fn text(&self, e: &Entity<'_>, resize: Resize<'_>, edits: &mut Edits, noticed: &mut Noticed) {
        let Some(pair) = e.get(1) else { return };
        let value = pair.value.trimmed(self.bytes);
        // Only ASCII is searched for, so the code page does not matter.
        let text = String::from_utf8_lossy(value.of(self.bytes)).into_owned();
        if let Some((key, word)) = label_of(&text)
            && key == "size"
            && SizeName::new(word) == *resize.from
        {
            // The value is trimmed, so the size is at its end.
            let end = value.end as usize;
            edits.replace(Span::new(end - word.len(), end), &escaped(resize.to.as_str()));
            noticed.size_text = true;
            return;
        }
        for at in size_words(value.of(self.bytes), resize.from.as_str().as_bytes()) {
            let start = value.start as usize + at;
            edits.replace(Span::new(start, start + resize.from.as_str().len()), &escaped(resize.to.as_str()));
            noticed.retitled += 1;
        }
    }

    /// Moves the insertion point of an entity, and the alignment point of a text by the same amount.
    fn carry(&self, e: &Entity<'_>, aligned: bool, along: &dyn Fn(Point) -> Vec2, edits: &mut Edits) {
        let number = |p: &Pair| crate::dxf_text::number::parse(p.text(self.bytes));
        let read = |code: i16| {
            let (x, y) = (e.get(code)?, e.get(code + 10)?);
            Some((x.value.trimmed(self.bytes), number(x)?, y.value.trimmed(self.bytes), number(y)?))
        };
        let Some((_, x, _, y)) = read(10) else { return };
        let shift = along(Point::new(x, y));
        for code in [Some(10), aligned.then_some(11)].into_iter().flatten() {
            let Some((x_span, x, y_span, y)) = read(code) else { continue };
            if shift.x != 0.0 {
                edits.number(x_span, x + shift.x);
            }
            if shift.y != 0.0 {
                edits.number(y_span, y + shift.y);
            }
        }
    }
}

fn hex(text: &[u8]) -> Option<u64> {
    u64::from_str_radix(std::str::from_utf8(text).ok()?, 16).ok()
}

/// The places at which the size stands as a separate word after the word `size`, as in `FRONT SIZE 38`.
fn size_words(text: &[u8], size: &[u8]) -> Vec<usize> {
    let word = |b: Option<&u8>| b.is_some_and(u8::is_ascii_alphanumeric);
    let found = memchr::memmem::find_iter(text, size).filter(|&at| {
        let before = text[..at].trim_ascii_end();
        let before = before.strip_suffix(b":").unwrap_or(before).trim_ascii_end();
        let stem = before.len().saturating_sub(4);
        before[stem..].eq_ignore_ascii_case(b"size")
            && !word(stem.checked_sub(1).and_then(|i| before.get(i)))
            && at > 0
            && !word(text.get(at - 1))
            && !word(text.get(at + size.len()))
    });
    if size.is_empty() { Vec::new() } else { found.collect() }
}

/// A text as a value of the drawing. Characters beyond ASCII are written with the format's own escape, whatever the code page.
pub(super) fn escaped(text: &str) -> Vec<u8> {
    let mut out = Vec::with_capacity(text.len());
    for unit in text.encode_utf16() {
        match u8::try_from(unit).ok().filter(u8::is_ascii) {
            Some(b) => out.push(b),
            None => out.extend_from_slice(format!("\\U+{unit:04X}").as_bytes()),
        }
    }
    out
}

/// The name of a block's copy. If the size stands as a separate part in the name, its last occurrence is replaced; otherwise the
/// new size is added at the end.
pub(super) fn block_name(name: &[u8], resize: Resize<'_>) -> Vec<u8> {
    let forms: [fn(&str) -> String; 3] = [str::to_owned, |s| s.replace(' ', ""), |s| s.replace(' ', "_")];
    let part = |b: Option<&u8>| b.is_some_and(u8::is_ascii_alphanumeric);
    for form in forms {
        let (from, to) = (form(resize.from.as_str()), escaped(&form(resize.to.as_str())));
        let to: Vec<u8> = to.into_iter().map(|b| if b == b' ' { b'_' } else { b }).collect();
        let lower = name.to_ascii_lowercase();
        let at = memchr::memmem::rfind_iter(&lower, from.to_ascii_lowercase().as_bytes()).find(|&at| {
            let end = at + from.len();
            !part(at.checked_sub(1).and_then(|i| name.get(i))) && !part(name.get(end))
        });
        if let Some(at) = at.filter(|_| !from.is_empty()) {
            return [&name[..at], &to, &name[at + from.len()..]].concat();
        }
    }
    let to = escaped(&resize.to.as_str().replace(' ', "_"));
    [name, b"-", &to].concat()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn named(name: &str, from: &str, to: &str) -> String {
        let (from, to) = (SizeName::new(from), SizeName::new(to));
        String::from_utf8_lossy(&block_name(name.as_bytes(), Resize { from: &from, to: &to })).into_owned()
    }

    #[test]
    fn the_size_in_a_blocks_name_is_replaced() {
        assert_eq!(named("FRONT-38", "38", "40"), "FRONT-40");
        assert_eq!(named("38_FRONT", "38", "40"), "40_FRONT");
        assert_eq!(named("A38-FRONT-38", "38", "40"), "A38-FRONT-40");
        assert_eq!(named("FRONT1380", "38", "40"), "FRONT1380-40");
        assert_eq!(named("FRONT_38_LONG", "38 long", "40 long"), "FRONT_40_long");
        assert_eq!(named("FRONT", "M", "XL"), "FRONT-XL");
        assert_eq!(named("FRONT-S", "S", "M"), "FRONT-M");
    }

    #[test]
    fn only_a_size_named_as_such_is_replaced() {
        assert_eq!(size_words(b"MH-214 FRONT SIZE 38", b"38"), [18]);
        assert_eq!(size_words(b"size: 38 38 mm SIZE 380", b"38"), [6]);
        assert!(size_words(b"38 mm from OVERSIZE 38", b"38").is_empty());
        assert!(size_words(b"SIZE38", b"38").is_empty());
    }

    #[test]
    fn letters_beyond_ascii_are_escaped() {
        assert_eq!(escaped("38 \u{c5}"), b"38 \\U+00C5");
    }
}
