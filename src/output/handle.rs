//! Handles for new entities.

use crate::dxf_text::{Drawing, Span};
use std::sync::OnceLock;

/// The number of handles reserved for each block, so that the same drawing gets the same handles whatever the number of threads.
const EACH: u64 = 1 << 16;

/// The source of new handles for a drawing. Finding the largest existing one means reading the whole file, so this is done only
/// when an entity with a handle is copied.
#[derive(Debug, Default)]
pub struct Handles {
    largest: OnceLock<u64>,
}

/// The new handles of one block.
#[derive(Debug)]
pub struct BlockHandles<'h> {
    all: &'h Handles,
    block: u64,
    given: u64,
}

impl Handles {
    /// The new handles for the block with this index.
    #[must_use]
    pub fn of_block(&self, block: usize) -> BlockHandles<'_> {
        BlockHandles { all: self, block: block as u64, given: 0 }
    }

    /// Whether handles were given out.
    #[must_use]
    pub fn given(&self) -> bool {
        self.largest.get().is_some()
    }

    /// The place of the header's next free handle and its new value, if handles were given out.
    #[must_use]
    pub fn seed(&self, drawing: &Drawing<'_>) -> Option<(Span, String)> {
        let largest = *self.largest.get()?;
        let seed = largest + 1 + EACH * drawing.blocks.len() as u64;
        Some((seed_place(drawing)?, format!("{seed:X}")))
    }
}

/// The place of the next free handle in the header.
pub(crate) fn seed_place(drawing: &Drawing<'_>) -> Option<Span> {
    let mut next = false;
    for pair in drawing.pairs(drawing.section("HEADER")?.body) {
        let pair = pair.ok()?;
        if next {
            return Some(pair.value.trimmed(drawing.bytes));
        }
        next = pair.code == 9 && pair.text(drawing.bytes) == b"$HANDSEED";
    }
    None
}

impl BlockHandles<'_> {
    /// A handle that the drawing does not have.
    pub fn next(&mut self, drawing: &Drawing<'_>) -> String {
        let largest = *self.all.largest.get_or_init(|| largest(drawing));
        self.given += 1;
        format!("{:X}", largest + EACH * self.block + self.given)
    }
}

/// The largest handle of the file (group codes 5 and 105, hexadecimal).
pub(crate) fn largest(drawing: &Drawing<'_>) -> u64 {
    let whole = Span::new(0, drawing.bytes.len());
    drawing
        .pairs(whole)
        .map_while(Result::ok)
        .filter(|p| matches!(p.code, 5 | 105))
        .filter_map(|p| u64::from_str_radix(std::str::from_utf8(p.text(drawing.bytes)).ok()?, 16).ok())
        .max()
        .unwrap_or(0)
}
