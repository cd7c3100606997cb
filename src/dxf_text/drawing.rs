//! The structure of a drawing: its sections and blocks, as places in its bytes.

use super::pairs::{line_at, line_end_of, printable};
use super::{DxfError, Entities, Entity, Pair, Pairs, Span, encoding, number};
use encoding_rs::Encoding;
use std::borrow::Cow;
use std::sync::OnceLock;

/// A `SECTION … ENDSEC`.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Section {
    /// Its name, such as `ENTITIES`.
    pub name: Span,
    /// Everything between the name and `ENDSEC`.
    pub body: Span,
}

/// A `BLOCK … ENDBLK`, or entities of the drawing itself that belong together like those of a block.
#[derive(Clone, Debug, PartialEq)]
pub struct Block {
    /// Its name (code 2); empty if it has none.
    pub name: Span,
    /// From the code 0 of `BLOCK` to the end of `ENDBLK` with its own pairs.
    pub whole: Span,
    /// The entities between `BLOCK` and `ENDBLK`.
    pub body: Span,
    /// If no `BLOCK` holds the entities: their stretches, in the order of the file. Other things may lie between them.
    pub parts: Vec<Span>,
}

/// A stretch of a block that is contiguous in the file.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Part {
    /// The whole stretch, with the head and the end of a `BLOCK`.
    pub whole: Span,
    /// The entities only.
    pub body: Span,
}

impl Block {
    /// A block made of entities of the drawing itself, given by their stretches in the order of the file.
    #[must_use]
    pub fn of_entities(parts: Vec<Span>) -> Self {
        let start = parts.first().map_or(0, |p| p.start);
        let around = Span { start, end: parts.last().map_or(start, |p| p.end) };
        Block { name: Span::default(), whole: around, body: around, parts }
    }

    /// Whether its entities belong to the drawing itself and not to a `BLOCK`.
    #[must_use]
    pub fn is_plain(&self) -> bool {
        !self.parts.is_empty()
    }

    /// The stretches of the file that it consists of: one, or those of its entities.
    pub fn parts(&self) -> impl Iterator<Item = Part> + '_ {
        let whole = Part { whole: self.whole, body: self.body };
        let one = (!self.is_plain()).then_some(whole);
        one.into_iter().chain(self.parts.iter().map(|&span| Part { whole: span, body: span }))
    }

    /// The bytes of its stretches, one after another.
    #[must_use]
    pub fn bytes<'a>(&self, drawing: &Drawing<'a>) -> Cow<'a, [u8]> {
        if self.is_plain() {
            self.parts.iter().flat_map(|p| p.of(drawing.bytes)).copied().collect::<Vec<u8>>().into()
        } else {
            self.whole.of(drawing.bytes).into()
        }
    }
}

/// An `INSERT`, in the entities section or in a block.
#[derive(Clone, Debug, PartialEq)]
pub struct Insert {
    /// The name of the block that it places.
    pub block: Span,
    /// The point at which the block's base point is placed.
    pub at: [f64; 2],
    /// The scale along X and Y.
    pub scale: [f64; 2],
    /// The rotation in degrees, counter-clockwise.
    pub rotation: f64,
    /// Whether its extrusion direction points away from the viewer.
    pub from_behind: bool,
    /// Its place in the file.
    pub span: Span,
}

/// A scanned drawing: the bytes of the file, and the places of its parts.
#[derive(Clone, Debug)]
pub struct Drawing<'a> {
    /// The file as it is.
    pub bytes: &'a [u8],
    /// Its sections in order.
    pub sections: Vec<Section>,
    /// Its blocks in order.
    pub blocks: Vec<Block>,
    encoding: &'static Encoding,
    line_end: u8,
    /// The number of lines before each stretch of [`COUNTED`] bytes; counted at the first request for a line number.
    lines: OnceLock<Vec<usize>>,
}

/// Line numbers are stored for stretches of this many bytes, so that a request counts through no more than one stretch. A drawing
/// with many findings makes many requests.
const COUNTED: usize = 1 << 12;

impl<'a> Drawing<'a> {
    /// Finds sections and blocks. If the file ends before `ENDBLK`, `ENDSEC` or `EOF`, this is an error, because the drawing is
    /// incomplete. Anything after `EOF` is ignored.
    pub fn scan(bytes: &'a [u8]) -> Result<Self, DxfError> {
        if u32::try_from(bytes.len()).is_err() {
            return Err(DxfError::TooLarge);
        }
        if bytes.trim_ascii().is_empty() {
            return Err(DxfError::Foreign { why: "it is empty" });
        }
        let line_end = line_end_of(bytes);
        let whole = Span::new(0, bytes.len());
        let mut walk = Walk::new(bytes);
        let mut pairs = Pairs::new(bytes, whole, line_end);
        while let Some(pair) = pairs.next() {
            let pair = pair.map_err(|e| walk.foreign(e))?;
            if walk.step(&pair)? {
                break;
            }
            // The pairs of a block are read together with its entities; here only its end is searched for.
            if walk.begins_body(&pair) {
                let end = end_of_block(bytes, pair.end as usize, line_end).unwrap_or(bytes.len());
                pairs = Pairs::new(bytes, Span::new(end, bytes.len()), line_end);
            }
        }
        let (sections, blocks) = walk.finish()?;
        let (encoding, lines) = (encoding_rs::UTF_8, OnceLock::new());
        let mut drawing = Drawing { bytes, sections, blocks, encoding, line_end, lines };
        let code_page = drawing.header("$DWGCODEPAGE")?.map(|span| span.of(bytes));
        drawing.encoding = encoding::of(bytes, code_page);
        Ok(drawing)
    }

    /// Fails if an entity in a block is a keyword of the file's structure. The scan only searches for the end of a block, so a
    /// block without an end is detected here.
    pub fn inside_block(&self, entity: &Entity<'_>) -> Result<(), DxfError> {
        let what = match entity.kind {
            b"BLOCK" => "a BLOCK begins inside another, which has no ENDBLK",
            b"SECTION" | b"ENDSEC" => "a section begins or ends inside a BLOCK",
            b"EOF" => "the file ends inside a BLOCK",
            _ => return Ok(()),
        };
        Err(DxfError::Structure { line: self.line(entity.span.start), what: what.to_owned() })
    }

    /// Reads a block that is not used, to find out whether its text is valid.
    pub fn sound(&self, block: &Block) -> Result<(), DxfError> {
        let mut entities = self.entities_of(block);
        let mut e = Entities::buffer();
        while entities.read(&mut e)? {
            self.inside_block(&e)?;
        }
        Ok(())
    }

    /// The byte that ends a line.
    #[must_use]
    pub fn line_end(&self) -> u8 {
        self.line_end
    }

    /// The number of the line, counted from 1, on which a place lies.
    #[must_use]
    pub fn line(&self, offset: u32) -> usize {
        let ends = |bytes: &[u8]| memchr::memchr_iter(self.line_end, bytes).count();
        let lines = self.lines.get_or_init(|| {
            let mut before = vec![0];
            for (i, stretch) in self.bytes.chunks(COUNTED).enumerate() {
                before.push(before[i] + ends(stretch));
            }
            before
        });
        let offset = (offset as usize).min(self.bytes.len());
        let stretch = offset / COUNTED;
        lines[stretch] + ends(&self.bytes[stretch * COUNTED..offset]) + 1
    }

    /// The section with this name.
    #[must_use]
    pub fn section(&self, name: &str) -> Option<&Section> {
        self.sections
            .iter()
            .find(|s| s.name.of(self.bytes).trim_ascii().eq_ignore_ascii_case(name.as_bytes()))
    }

    /// The entities of a stretch.
    #[must_use]
    pub fn entities(&self, stretch: Span) -> Entities<'a> {
        Entities::new(self.bytes, vec![stretch], self.line_end)
    }

    /// The entities of a block.
    #[must_use]
    pub fn entities_of(&self, block: &Block) -> Entities<'a> {
        Entities::new(self.bytes, block.parts().map(|p| p.body).collect(), self.line_end)
    }

    /// The pairs of a stretch.
    #[must_use]
    pub fn pairs(&self, stretch: Span) -> Pairs<'a> {
        Pairs::new(self.bytes, stretch, self.line_end)
    }

    /// The first value of a header variable such as `$INSUNITS`.
    pub fn header(&self, variable: &str) -> Result<Option<Span>, DxfError> {
        let Some(header) = self.section("HEADER") else { return Ok(None) };
        let mut next = false;
        for pair in self.pairs(header.body) {
            let pair = pair?;
            if next {
                return Ok(Some(pair.value.trimmed(self.bytes)));
            }
            next = pair.code == 9 && pair.text(self.bytes) == variable.as_bytes();
        }
        Ok(None)
    }

    /// A text value in the drawing's encoding; `\U+XXXX` is the format's own escape.
    #[must_use]
    pub fn text(&self, span: Span) -> Cow<'a, str> {
        let raw = span.of(self.bytes).trim_ascii();
        let text = self.encoding.decode_without_bom_handling(raw).0;
        if text.contains("\\U+") { Cow::Owned(unescaped(&text)) } else { text }
    }

    /// A block's name.
    #[must_use]
    pub fn block_name(&self, block: &Block) -> Cow<'a, str> {
        self.text(block.name)
    }

    /// The `INSERT`s in a stretch of the file.
    pub fn inserts(&self, stretch: Span) -> Result<Vec<Insert>, DxfError> {
        let mut found = Vec::new();
        let mut entities = self.entities(stretch);
        let mut e = Entities::buffer();
        while entities.read(&mut e)? {
            if !e.is("INSERT") {
                continue;
            }
            let Some(name) = e.get(2) else { continue };
            let x = self.number_or(&e, 41, 1.0)?;
            let y = self.number_or(&e, 42, 1.0)?;
            found.push(Insert {
                block: name.value,
                at: [self.number_or(&e, 10, 0.0)?, self.number_or(&e, 20, 0.0)?],
                scale: [x, y],
                rotation: self.number_or(&e, 50, 0.0)?,
                from_behind: self.number_or(&e, 230, 1.0)? < 0.0,
                span: e.span,
            });
        }
        Ok(found)
    }

    /// A block's base point.
    pub fn base(&self, block: &Block) -> Result<[f64; 2], DxfError> {
        let mut base = [0.0; 2];
        let head = Span { start: block.whole.start, end: block.body.start };
        for pair in self.pairs(head) {
            let pair = pair?;
            match pair.code {
                10 => base[0] = self.number(&pair)?,
                20 => base[1] = self.number(&pair)?,
                _ => {}
            }
        }
        Ok(base)
    }

    /// The text of a `TEXT` or `MTEXT`, with one line for each paragraph; `None` for any other entity.
    #[must_use]
    pub fn text_of(&self, entity: &Entity<'_>) -> Option<Cow<'a, str>> {
        if entity.is("TEXT") {
            return entity.get(1).map(|p| self.text(p.value));
        }
        // A long text is divided into parts: code 1 holds the last part, code 3 each of the others.
        let parts = entity.pairs.iter().filter(|p| entity.is("MTEXT") && matches!(p.code, 1 | 3));
        let content = parts.map(|p| self.text(p.value)).reduce(|all, part| all + part)?;
        Some(if content.contains(['\\', '{']) { super::mtext::plain(&content).into() } else { content })
    }

    /// The number of the first pair with this code, or `default` if there is none.
    pub fn number_or(&self, entity: &Entity<'_>, code: i16, default: f64) -> Result<f64, DxfError> {
        entity.get(code).map_or(Ok(default), |p| self.number(p))
    }

    /// A pair's value as a finite number.
    pub fn number(&self, pair: &Pair) -> Result<f64, DxfError> {
        let text = pair.text(self.bytes);
        number::parse(text).ok_or_else(|| DxfError::Number {
            line: self.line(pair.value.start),
            code: pair.code,
            text: printable(text),
        })
    }

    /// A pair's value as a coordinate, which must be finite and within [`number::REACH`].
    #[inline]
    pub fn coordinate(&self, pair: &Pair) -> Result<f64, DxfError> {
        let value = self.number(pair)?;
        if value.abs() > number::REACH {
            return Err(DxfError::TooFar {
                line: self.line(pair.value.start),
                text: printable(pair.text(self.bytes)),
            });
        }
        Ok(value)
    }
}

/// Replaces `\U+XXXX` by the character it stands for; anything malformed is kept as it is.
fn unescaped(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    let mut rest = text;
    while let Some(i) = rest.find("\\U+") {
        out.push_str(&rest[..i]);
        let digits = rest.get(i + 3..i + 7);
        if let Some(c) = digits.and_then(|d| u32::from_str_radix(d, 16).ok()).and_then(char::from_u32) {
            out.push(c);
            rest = &rest[i + 7..];
        } else {
            out.push_str("\\U+");
            rest = &rest[i + 3..];
        }
    }
    out.push_str(rest);
    out
}

/// The byte at which the next pair `0 ENDBLK` after `from` begins. A line `0` above a line `ENDBLK` must be such a pair: if the
/// `0` were the value of another code, a group code would follow it.
fn end_of_block(bytes: &[u8], from: usize, line_end: u8) -> Option<usize> {
    let word = b"ENDBLK";
    for hit in memchr::memmem::find_iter(&bytes[from..], word) {
        let at = from + hit;
        let line = memchr::memrchr(line_end, &bytes[from..at]).map_or(from, |i| from + i + 1);
        let rest = &bytes[at + word.len()..];
        let stop = memchr::memchr(line_end, rest).unwrap_or(rest.len());
        if line == from || !bytes[line..at].trim_ascii().is_empty() || !rest[..stop].trim_ascii().is_empty() {
            continue;
        }
        let above = memchr::memrchr(line_end, &bytes[from..line - 1]).map_or(from, |i| from + i + 1);
        if bytes[above..line].trim_ascii() == b"0" {
            return Some(above);
        }
    }
    None
}

/// The state of the walk over the code pairs.
#[allow(clippy::struct_excessive_bools)] // each is a place in the format's nesting
struct Walk<'a> {
    bytes: &'a [u8],
    sections: Vec<Section>,
    blocks: Vec<Block>,
    /// The open section: its name, once it has been read, and the byte at which its body begins.
    section: Option<Open>,
    in_blocks: bool,
    block: Option<OpenBlock>,
    seen_zero: bool,
    eof: bool,
    /// Whether `ENDBLK` has been read; its own pairs last up to the next code 0.
    closing: bool,
}

struct Open {
    start: u32,
    name: Option<Span>,
    body: u32,
}

struct OpenBlock {
    start: u32,
    name: Option<Span>,
    /// The byte at which the first entity begins.
    body: Option<u32>,
    /// The byte at which `ENDBLK` begins.
    tail: u32,
}

impl<'a> Walk<'a> {
    fn new(bytes: &'a [u8]) -> Self {
        Walk {
            bytes,
            sections: Vec::new(),
            blocks: Vec::new(),
            section: None,
            in_blocks: false,
            block: None,
            seen_zero: false,
            eof: false,
            closing: false,
        }
    }

    /// If the very first group code is invalid, the file is not DXF at all.
    fn foreign(&self, error: DxfError) -> DxfError {
        match error {
            DxfError::GroupCode { .. } if !self.seen_zero => {
                DxfError::Foreign { why: "it does not begin with group codes" }
            }
            other => other,
        }
    }

    fn structure(&self, at: u32, what: &str) -> DxfError {
        DxfError::Structure { line: line_at(self.bytes, at as usize), what: what.to_owned() }
    }

    /// Whether this pair, which has just been taken, begins the first entity of a block.
    fn begins_body(&self, pair: &Pair) -> bool {
        !self.closing && self.block.as_ref().is_some_and(|b| b.body == Some(pair.start))
    }

    /// Takes one pair; returns true at `EOF`.
    #[inline]
    fn step(&mut self, pair: &Pair) -> Result<bool, DxfError> {
        if pair.code == 0 {
            return self.zero(pair);
        }
        if pair.code == 2 {
            if let Some(block) = &mut self.block {
                if block.body.is_none() && block.name.is_none() {
                    block.name = Some(pair.value.trimmed(self.bytes));
                }
            } else if let Some(open) = &mut self.section
                && open.name.is_none()
            {
                let name = pair.value.trimmed(self.bytes);
                self.in_blocks = name.of(self.bytes).eq_ignore_ascii_case(b"BLOCKS");
                open.name = Some(name);
                open.body = pair.end;
            }
        }
        Ok(false)
    }

    fn zero(&mut self, pair: &Pair) -> Result<bool, DxfError> {
        self.seen_zero = true;
        if self.closing {
            self.close_block(pair.start);
        }
        let word = pair.text(self.bytes);
        match word {
            b"SECTION" => {
                if self.section.is_some() {
                    return Err(self.structure(pair.start, "a SECTION begins inside another"));
                }
                self.section = Some(Open { start: pair.start, name: None, body: pair.end });
            }
            b"ENDSEC" => {
                if self.block.is_some() {
                    return Err(self.structure(pair.start, "a section ends inside a BLOCK"));
                }
                let Some(open) = self.section.take() else {
                    return Err(self.structure(pair.start, "ENDSEC without SECTION"));
                };
                let Some(name) = open.name else {
                    return Err(self.structure(open.start, "a SECTION has no name"));
                };
                self.in_blocks = false;
                self.sections.push(Section { name, body: Span { start: open.body, end: pair.start } });
            }
            b"EOF" => {
                self.eof = true;
                return Ok(true);
            }
            b"BLOCK" if self.in_blocks => {
                if self.block.is_some() {
                    return Err(self.structure(pair.start, "a BLOCK begins inside another"));
                }
                self.block = Some(OpenBlock { start: pair.start, name: None, body: None, tail: 0 });
            }
            b"ENDBLK" if self.in_blocks => {
                let Some(block) = &mut self.block else {
                    return Err(self.structure(pair.start, "ENDBLK without BLOCK"));
                };
                block.body.get_or_insert(pair.start);
                block.tail = pair.start;
                self.closing = true;
            }
            _ => {
                if let Some(block) = &mut self.block {
                    block.body.get_or_insert(pair.start);
                } else if self.section.is_none() {
                    return Err(self.structure(pair.start, "an entity stands outside every SECTION"));
                }
            }
        }
        Ok(false)
    }

    fn close_block(&mut self, end: u32) {
        self.closing = false;
        if let Some(b) = self.block.take() {
            let body = Span { start: b.body.unwrap_or(b.tail), end: b.tail };
            self.blocks.push(Block {
                name: b.name.unwrap_or_default(),
                whole: Span { start: b.start, end },
                body,
                parts: Vec::new(),
            });
        }
    }

    fn finish(self) -> Result<(Vec<Section>, Vec<Block>), DxfError> {
        let last = line_at(self.bytes, self.bytes.trim_ascii_end().len());
        let missing = if !self.seen_zero {
            return Err(DxfError::Foreign { why: "it has no sections" });
        } else if self.eof && self.section.is_none() {
            return Ok((self.sections, self.blocks));
        } else if self.block.is_some() {
            "ENDBLK"
        } else if self.section.is_some() {
            "ENDSEC"
        } else {
            "EOF"
        };
        Err(DxfError::Truncated { line: last, missing })
    }
}
