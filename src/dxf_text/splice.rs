//! Writes outputs: the bytes of the input with chosen places replaced.

use super::{Span, number};

/// What is written in a place.
#[derive(Clone, Copy, Debug)]
enum With {
    /// A number, written in the style of the number that stands there.
    Number(f64),
    /// Bytes from the side buffer.
    Bytes(Span),
}

/// Replacements for one stretch of a file, in any order.
#[derive(Debug, Default)]
pub struct Edits {
    list: Vec<(Span, With)>,
    side: Vec<u8>,
}

impl Edits {
    /// Puts `value` in the place of the number at `span`, written in that number's style.
    pub fn number(&mut self, span: Span, value: f64) {
        self.list.push((span, With::Number(value)));
    }

    /// Puts `bytes` in the place of `span`; an empty span inserts before it.
    pub fn replace(&mut self, span: Span, bytes: &[u8]) {
        let start = self.side.len();
        self.side.extend_from_slice(bytes);
        self.list.push((span, With::Bytes(Span::new(start, self.side.len()))));
    }

    /// Appends `stretch` of `bytes` to `out` with every replacement made. Places must not overlap; several insertions at one
    /// place appear in the order in which they were given.
    pub fn apply(self, bytes: &[u8], stretch: Span, out: &mut Vec<u8>) {
        let mut all = self.in_order();
        all.apply(bytes, stretch, out);
        debug_assert_eq!(all.made, all.edits.list.len(), "a place lies outside the stretch");
    }

    /// The replacements in the order of the file, to be made stretch by stretch.
    #[must_use]
    pub fn in_order(mut self) -> InOrder {
        self.list.sort_by_key(|(span, _)| (span.start, span.end));
        InOrder { edits: self, made: 0 }
    }
}

/// Replacements that are made in one stretch after another.
#[derive(Debug)]
pub struct InOrder {
    edits: Edits,
    made: usize,
}

impl InOrder {
    /// Appends `stretch` of `bytes` to `out` with every replacement that lies in it. Stretches must be given in the order of the
    /// file.
    pub fn apply(&mut self, bytes: &[u8], stretch: Span, out: &mut Vec<u8>) {
        let Edits { list, side } = &self.edits;
        out.reserve(stretch.range().len() + stretch.range().len() / 8);
        let mut at = stretch.start as usize;
        let here = list[self.made..].iter().take_while(|(span, _)| span.end <= stretch.end);
        for (span, with) in here {
            debug_assert!(span.start as usize >= at, "places overlap");
            self.made += 1;
            out.extend_from_slice(&bytes[at..span.start as usize]);
            match with {
                With::Number(value) => number::write_like(out, span.of(bytes), *value),
                With::Bytes(place) => out.extend_from_slice(place.of(side)),
            }
            at = span.end as usize;
        }
        out.extend_from_slice(&bytes[at..stretch.end as usize]);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn replaces_only_what_it_is_told() {
        let bytes = b" 10\n1.50\n 20\n2.50\nrest";
        let mut edits = Edits::default();
        edits.number(Span::new(13, 17), 7.0);
        edits.number(Span::new(4, 8), -1.0);
        edits.replace(Span::new(18, 18), b"new ");
        let mut out = Vec::new();
        edits.apply(bytes, Span::new(0, bytes.len()), &mut out);
        assert_eq!(out, b" 10\n-1.00\n 20\n7.00\nnew rest");
    }
}
