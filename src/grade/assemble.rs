//! Adds copies of blocks to the drawing, each placed and listed like its original.

use super::GradeError;
use super::copy::{self, Copier, Fresh, HandleMap, Noticed, Resize};
use crate::dxf_text::splice::Edits;
use crate::dxf_text::{Drawing, DxfError, Entities, Span};
use crate::output;
use kurbo::{Point, Vec2};
use std::collections::{BTreeSet, HashMap};

/// The drawing as it is, and everything that will be added to it.
pub(super) struct Assembly<'d, 'a> {
    drawing: &'d Drawing<'a>,
    fresh: Fresh,
    /// The names of all blocks in lower case, because names are compared without regard to case.
    names: BTreeSet<Vec<u8>>,
    /// For each original block, the `INSERT`s that place it.
    inserts: HashMap<usize, Vec<Span>>,
    records: Option<Records>,
    /// The copies that are added before the first original and after the last.
    blocks: Around,
    placings: Around,
    listed: Vec<u8>,
    copies: u64,
}

/// Bytes to add before and after a stretch of the file.
#[derive(Default)]
struct Around {
    stretch: Option<Span>,
    before: Vec<u8>,
    after: Vec<u8>,
}

impl Around {
    fn reach(&mut self, span: Span) {
        let all = self.stretch.unwrap_or(span);
        self.stretch = Some(Span { start: all.start.min(span.start), end: all.end.max(span.end) });
    }

    fn side(&mut self, before: bool) -> &mut Vec<u8> {
        if before { &mut self.before } else { &mut self.after }
    }

    fn insert(&self, edits: &mut Edits) {
        let Some(stretch) = self.stretch else { return };
        edits.replace(Span { start: stretch.start, end: stretch.start }, &self.before);
        edits.replace(Span { start: stretch.end, end: stretch.end }, &self.after);
    }
}

/// The table of block records, which drawings of release 13 and later have.
struct Records {
    /// For each original its record.
    of: HashMap<usize, Span>,
    /// The place where new records are added.
    end: u32,
    /// The number of records, if the table states it, and its place.
    count: Option<(Span, u64)>,
}

impl<'d, 'a> Assembly<'d, 'a> {
    /// Prepares to add copies of the blocks with these indices.
    pub fn new(drawing: &'d Drawing<'a>, originals: &[usize]) -> Result<Self, GradeError> {
        let lower = |span: Span| span.of(drawing.bytes).trim_ascii().to_ascii_lowercase();
        let mut by_name: HashMap<Vec<u8>, usize> = HashMap::new();
        for &b in originals {
            by_name.entry(lower(drawing.blocks[b].name)).or_insert(b);
        }
        let index = |name: Span| by_name.get(&lower(name)).copied();
        let (mut blocks, mut placings) = (Around::default(), Around::default());
        for &b in originals {
            blocks.reach(drawing.blocks[b].whole);
        }
        let placed = placed(drawing, &index)?;
        let mut inserts: HashMap<usize, Vec<Span>> = HashMap::new();
        for (block, span) in placed {
            placings.reach(span);
            inserts.entry(block).or_default().push(span);
        }
        let records = records(drawing, &index)?;
        if let Some(records) = &records {
            for &b in originals {
                if !records.of.contains_key(&b) {
                    let name = drawing.block_name(&drawing.blocks[b]).into_owned();
                    return Err(GradeError::NoRecord { name });
                }
            }
        }
        Ok(Assembly {
            drawing,
            fresh: Fresh::above(output::largest(drawing)),
            names: drawing.blocks.iter().map(|b| lower(b.name)).collect(),
            inserts,
            records,
            blocks,
            placings,
            listed: Vec::new(),
            copies: 0,
        })
    }

    /// Adds a copy of a block, before or after the originals. `moved` are the block's bytes in which the known entities have
    /// already been moved; for `along` see [`Copier::block`]. Returns the bytes of the copy as well.
    pub fn add(
        &mut self,
        block: usize,
        before: bool,
        resize: Resize<'_>,
        moved: &[u8],
        along: &dyn Fn(Point) -> Vec2,
    ) -> Result<(Noticed, Vec<u8>), GradeError> {
        let old = self.drawing.blocks[block].name.of(self.drawing.bytes).trim_ascii();
        let name = copy::block_name(old, resize);
        if !self.names.insert(name.to_ascii_lowercase()) {
            return Err(GradeError::NameTaken { name: String::from_utf8_lossy(&name).into_owned() });
        }
        let line_end = self.drawing.line_end();
        let of_drawing = Copier { bytes: self.drawing.bytes, line_end, name: &name };
        let of_block = Copier { bytes: moved, line_end, name: &name };
        let whole = Span::new(0, moved.len());
        let record = self.records.as_ref().and_then(|r| r.of.get(&block)).copied();
        let mut map = HandleMap::new();
        if let Some(record) = record {
            of_drawing.handles(record, &mut self.fresh, &mut map)?;
        }
        of_block.handles(whole, &mut self.fresh, &mut map)?;
        let mut copy = Vec::new();
        let noticed = of_block.block(whole, &map, resize, along, &mut copy)?;
        self.blocks.side(before).extend_from_slice(&copy);
        if let Some(record) = record {
            of_drawing.plain(record, &map, &mut self.listed)?;
        }
        for &insert in self.inserts.get(&block).into_iter().flatten() {
            let mut own = HandleMap::new();
            of_drawing.handles(insert, &mut self.fresh, &mut own)?;
            of_drawing.plain(insert, &own, self.placings.side(before))?;
        }
        self.copies += 1;
        Ok((noticed, copy))
    }

    /// Writes the whole file.
    pub fn finish(self) -> Vec<u8> {
        let bytes = self.drawing.bytes;
        let mut edits = Edits::default();
        self.blocks.insert(&mut edits);
        self.placings.insert(&mut edits);
        if let Some(records) = &self.records {
            edits.replace(Span { start: records.end, end: records.end }, &self.listed);
            if let Some((span, count)) = records.count {
                edits.replace(span, (count + self.copies).to_string().as_bytes());
            }
        }
        if self.fresh.last() > output::largest(self.drawing)
            && let Some(seed) = output::seed_place(self.drawing)
        {
            edits.replace(seed, format!("{:X}", self.fresh.last() + 1).as_bytes());
        }
        let mut out = Vec::new();
        edits.apply(bytes, Span::new(0, bytes.len()), &mut out);
        out
    }
}

/// The `INSERT`s of the blocks that `index` knows, each with its attributes.
fn placed(
    drawing: &Drawing<'_>,
    index: &dyn Fn(Span) -> Option<usize>,
) -> Result<Vec<(usize, Span)>, DxfError> {
    let mut found: Vec<(usize, Span)> = Vec::new();
    let Some(section) = drawing.section("ENTITIES") else { return Ok(found) };
    let mut entities = drawing.entities(section.body);
    let mut e = Entities::buffer();
    // Whether the attributes of the last `INSERT` found may still follow.
    let mut open = false;
    while entities.read(&mut e)? {
        if open && matches!(e.kind, b"ATTRIB" | b"SEQEND") {
            if let Some((_, span)) = found.last_mut() {
                span.end = e.span.end;
            }
            open = e.is("ATTRIB");
            continue;
        }
        open = false;
        if let Some(block) = e.get(2).filter(|_| e.is("INSERT")).and_then(|name| index(name.value)) {
            found.push((block, e.span));
            open = e.get(66).is_some_and(|p| p.text(drawing.bytes) == b"1");
        }
    }
    Ok(found)
}

fn records(
    drawing: &Drawing<'_>,
    index: &dyn Fn(Span) -> Option<usize>,
) -> Result<Option<Records>, DxfError> {
    let Some(section) = drawing.section("TABLES") else { return Ok(None) };
    let mut entities = drawing.entities(section.body);
    let mut e = Entities::buffer();
    let mut records: Option<Records> = None;
    while entities.read(&mut e)? {
        match (&mut records, e.kind) {
            (None, b"TABLE") if e.get(2).is_some_and(|p| p.text(drawing.bytes) == b"BLOCK_RECORD") => {
                let count = e.get(70).and_then(|p| {
                    let count = std::str::from_utf8(p.text(drawing.bytes)).ok()?.parse().ok()?;
                    Some((p.value.trimmed(drawing.bytes), count))
                });
                records = Some(Records { of: HashMap::new(), end: e.span.end, count });
            }
            (Some(records), b"BLOCK_RECORD") => {
                records.end = e.span.end;
                if let Some(block) = e.get(2).and_then(|name| index(name.value)) {
                    records.of.entry(block).or_insert(e.span);
                }
            }
            (Some(_), _) => break,
            _ => {}
        }
    }
    Ok(records)
}
