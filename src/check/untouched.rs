//! Checks that a new drawing is the same as the old one, byte for byte, outside the blocks that were altered, that each
//! altered block is in its old place, and that added entities got handles that nothing else has.
//!
//! The new drawing is compared as it will be written, by code that shares nothing with the code that put it together.

use crate::dxf_text::{Drawing, Pairs, Part, Span};
use crate::finding::{Finding, FindingId};
use std::collections::HashSet;

/// A block that was altered, or a part of one.
#[derive(Clone, Copy, Debug)]
pub struct InPlace {
    /// Where it is in the old drawing.
    pub part: Part,
    /// How many bytes take its place in the new drawing.
    pub length: usize,
}

/// Handles that were given out.
#[derive(Clone, Debug)]
pub struct Given {
    /// The place in the header where the next free handle stands, and its new value.
    pub seed: Option<(Span, String)>,
}

/// Compares a new drawing, given in the stretches in which it will be written, with the old one. `altered` are in the order
/// of the drawing. Where no handles were given out (`given` is `None`), no number that the writer wrote is a handle, so
/// handles are not looked at.
#[must_use]
pub fn compare<'c>(
    old: &Drawing<'_>,
    new: impl Iterator<Item = &'c [u8]>,
    altered: &[InPlace],
    given: Option<&Given>,
) -> Option<Finding> {
    let (at, what) = walk(old, &mut Stream { chunks: new, rest: b"" }, altered, given).err()?;
    let line = old.line(u32::try_from(at).unwrap_or(u32::MAX));
    let message = format!("{what}, so the new drawing is not written; please report it with the drawing");
    Some(Finding::error(FindingId::ChangedElsewhere, message).line(line))
}

/// Where in the old drawing the new one goes wrong, and what is wrong.
type Wrong = (usize, &'static str);

fn walk<'c>(
    old: &Drawing<'_>,
    new: &mut Stream<'c, impl Iterator<Item = &'c [u8]>>,
    altered: &[InPlace],
    given: Option<&Given>,
) -> Result<(), Wrong> {
    let mut at = 0;
    let mut handles = Handles::default();
    if let Some((place, text)) = given.and_then(|g| g.seed.as_ref()) {
        new.same(old, at..place.range().start)?;
        new.expect(text.as_bytes())
            .map_err(|_| (place.range().start, "the next free handle was not written"))?;
        at = place.range().end;
    }
    for &InPlace { part, length } in altered {
        let (whole, body) = (part.whole.range(), part.body.range());
        new.same(old, at..whole.start)?;
        new.same(old, whole.start..body.start)?;
        let (head, tail) = (body.start - whole.start, whole.end - body.end);
        let written = length.checked_sub(head + tail).and_then(|length| new.take(length));
        let written = written.ok_or((whole.start, "an altered piece was cut short"))?;
        new.same(old, body.end..whole.end)?;
        if given.is_some() && !handles.sound(old, &old.bytes[body], &written.concat()) {
            return Err((whole.start, "what was added to a piece got a handle that is taken"));
        }
        at = whole.end;
    }
    new.same(old, at..old.bytes.len())?;
    if new.take(1).is_some() {
        return Err((old.bytes.len(), "something was written behind the end"));
    }
    Ok(())
}

/// The stretches of a file, one after the other.
struct Stream<'c, I> {
    chunks: I,
    rest: &'c [u8],
}

impl<'c, I: Iterator<Item = &'c [u8]>> Stream<'c, I> {
    /// The next bytes, at most this many; `None` at the end.
    fn next(&mut self, most: usize) -> Option<&'c [u8]> {
        while self.rest.is_empty() {
            self.rest = self.chunks.next()?;
        }
        let (now, rest) = self.rest.split_at(most.min(self.rest.len()));
        self.rest = rest;
        Some(now)
    }

    /// Exactly this many bytes; `None` if there are fewer.
    fn take(&mut self, mut length: usize) -> Option<Vec<&'c [u8]>> {
        let mut all = Vec::new();
        while length > 0 {
            let now = self.next(length)?;
            length -= now.len();
            all.push(now);
        }
        Some(all)
    }

    /// Checks that these bytes come next; if they do not, the error is the number of bytes that agree, or fewer.
    fn expect(&mut self, mut bytes: &[u8]) -> Result<(), usize> {
        let whole = bytes.len();
        while !bytes.is_empty() {
            let now = self.next(bytes.len()).unwrap_or_default();
            if now.is_empty() || !bytes.starts_with(now) {
                return Err(whole - bytes.len());
            }
            bytes = &bytes[now.len()..];
        }
        Ok(())
    }

    fn same(&mut self, old: &Drawing<'_>, place: std::ops::Range<usize>) -> Result<(), Wrong> {
        let from = place.start;
        let what = "the new drawing differs from the old one where nothing was altered";
        self.expect(&old.bytes[place]).map_err(|off| (from + off, what))
    }
}

/// The handles of the old drawing and those given out; they are gathered once the first block with new handles is met.
#[derive(Default)]
struct Handles {
    taken: Option<HashSet<Vec<u8>>>,
}

impl Handles {
    /// Whether a written block has all its old handles, in their order, and besides them only handles that are new to the
    /// drawing.
    fn sound(&mut self, old: &Drawing<'_>, before: &[u8], written: &[u8]) -> bool {
        let of = |bytes| handles(bytes, old.line_end());
        let there: Vec<Vec<u8>> = of(before).collect();
        let had: HashSet<&Vec<u8>> = there.iter().collect();
        let (kept, fresh): (Vec<_>, Vec<_>) = of(written).partition(|handle| had.contains(handle));
        let taken = self.taken.get_or_insert_with(|| of(old.bytes).collect());
        kept == there && fresh.into_iter().all(|handle| taken.insert(handle))
    }
}

/// The handles of entities in some bytes, as they are written.
fn handles(bytes: &[u8], line_end: u8) -> impl Iterator<Item = Vec<u8>> {
    let pairs = Pairs::new(bytes, Span::new(0, bytes.len()), line_end).map_while(Result::ok);
    pairs.filter(|pair| pair.code == 5).map(|pair| pair.text(bytes).to_ascii_uppercase())
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;

    /// The message names the line of the old drawing from which on the new one differs.
    #[test]
    fn the_stretch_that_differs_is_said_with_its_line() {
        let text = "0\nSECTION\n2\nHEADER\n9\n$ACADVER\n1\nAC1009\n0\nENDSEC\n0\nEOF\n";
        let drawing = Drawing::scan(text.as_bytes()).unwrap();
        let found = |new: &str| compare(&drawing, new.split_inclusive('\n').map(str::as_bytes), &[], None);
        assert_eq!(found(text), None);
        for (new, line, what) in [
            (
                text.replace("AC1009", "AC1012"),
                8,
                "the new drawing differs from the old one where nothing was altered",
            ),
            (
                text.replace("0\nEOF\n", ""),
                11,
                "the new drawing differs from the old one where nothing was altered",
            ),
            (text.to_owned() + "0\n", 13, "something was written behind the end"),
        ] {
            let finding = found(&new).unwrap();
            let message =
                format!("{what}, so the new drawing is not written; please report it with the drawing");
            assert_eq!((finding.line, finding.message), (Some(line), message));
        }
        let mut stream = Stream { chunks: [&b"ab"[..], b"", b"cdef"].into_iter(), rest: b"" };
        assert_eq!(stream.expect(b"abc"), Ok(()));
        assert_eq!(stream.take(2).unwrap().concat(), b"de");
        assert_eq!((stream.take(2), stream.next(1)), (None, None));
        let mut stream = Stream { chunks: [&b"ab"[..], b"cde", b"fgx"].into_iter(), rest: b"" };
        assert_eq!(stream.expect(b"abcdefgh"), Err(5));
    }
}
