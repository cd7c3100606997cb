//! Entities: sequences of pairs that begin with group code 0.

use super::{DxfError, Pair, Pairs, Span};

/// One entity with its pairs. The pairs do not include the leading code 0.
#[derive(Clone, Debug)]
pub struct Entity<'a> {
    /// The entity's kind, such as `LINE`, without surrounding blanks.
    pub kind: &'a [u8],
    /// The whole entity, from its code 0 up to the next entity's code 0.
    pub span: Span,
    /// The pairs after the kind.
    pub pairs: Vec<Pair>,
}

impl Entity<'_> {
    /// The first pair with this code.
    #[must_use]
    pub fn get(&self, code: i16) -> Option<&Pair> {
        self.pairs.iter().find(|p| p.code == code)
    }

    /// Whether the entity is of this kind.
    #[must_use]
    pub fn is(&self, kind: &str) -> bool {
        self.kind.eq_ignore_ascii_case(kind.as_bytes())
    }
}

/// The entities of several stretches, one after another, each read into the same buffer.
pub struct Entities<'a> {
    bytes: &'a [u8],
    line_end: u8,
    pairs: Pairs<'a>,
    waiting: Option<Pair>,
    started: bool,
    next: std::vec::IntoIter<Span>,
}

impl<'a> Entities<'a> {
    /// Reads the entities of these stretches. No entity may extend from one stretch into the next.
    #[must_use]
    pub fn new(bytes: &'a [u8], stretches: Vec<Span>, line_end: u8) -> Self {
        let mut next = stretches.into_iter();
        let pairs = Pairs::new(bytes, next.next().unwrap_or_default(), line_end);
        Entities { bytes, line_end, pairs, waiting: None, started: false, next }
    }

    /// Reads the next entity into `entity`; returns false at the end. Pairs before the first code 0, such as the head of a BLOCK,
    /// are skipped.
    pub fn read(&mut self, entity: &mut Entity<'a>) -> Result<bool, DxfError> {
        if !self.started {
            self.started = true;
            self.waiting = self.next_zero()?;
        }
        while self.waiting.is_none() {
            let Some(stretch) = self.next.next() else { return Ok(false) };
            self.pairs = Pairs::new(self.bytes, stretch, self.line_end);
            self.waiting = self.next_zero()?;
        }
        let Some(head) = self.waiting.take() else { return Ok(false) };
        entity.kind = head.text(self.bytes);
        entity.pairs.clear();
        let mut end = head.end;
        for pair in self.pairs.by_ref() {
            let pair = pair?;
            if pair.code == 0 {
                self.waiting = Some(pair);
                break;
            }
            end = pair.end;
            entity.pairs.push(pair);
        }
        entity.span = Span { start: head.start, end };
        Ok(true)
    }

    fn next_zero(&mut self) -> Result<Option<Pair>, DxfError> {
        for pair in self.pairs.by_ref() {
            let pair = pair?;
            if pair.code == 0 {
                return Ok(Some(pair));
            }
        }
        Ok(None)
    }

    /// A buffer to read into.
    #[must_use]
    pub fn buffer() -> Entity<'a> {
        Entity { kind: b"", span: Span::default(), pairs: Vec::new() }
    }
}
