//! Writes changes as bytes: the drawing with the numbers of moved points replaced.
//!
//! A block is written by copying it and replacing the values of moved points. Only where an entity cannot represent its new line
//! is the whole entity replaced. Blocks without a change are copied with the rest of the file.

mod handle;
mod leave_out;
mod meant;
mod numbers;
mod stroke;

pub use handle::Handles;
pub(crate) use handle::{largest, seed_place};
pub use leave_out::{LeftOutError, leave_out};
pub use meant::{Kind, Meant};
pub use numbers::Numbers;

use crate::alter::{Change, Redrawn};
use crate::dxf_text::splice::Edits;
use crate::dxf_text::{Drawing, Part};
use crate::pattern::{Path, Piece, StrokePoint};
use kurbo::Vec2;
use std::borrow::Cow;
use stroke::StrokeChange;

/// A block as it is to be written.
#[derive(Clone, Debug)]
pub struct Written {
    /// The block's index in the drawing.
    pub block: usize,
    /// The bytes that replace the whole block, one of its parts after the other.
    pub bytes: Vec<u8>,
    /// Where each part ends in the bytes.
    pub ends: Vec<usize>,
}

impl Written {
    /// A block that is written as a single part.
    #[cfg(any(test, fuzzing))]
    pub fn whole(block: usize, bytes: Vec<u8>) -> Self {
        let ends = vec![bytes.len()];
        Written { block, bytes, ends }
    }

    /// The parts of the drawing with the bytes that replace them.
    pub fn parts<'w>(&'w self, drawing: &'w Drawing<'_>) -> impl Iterator<Item = (Part, &'w [u8])> {
        let starts = std::iter::once(0).chain(self.ends.iter().copied());
        let bytes = starts.zip(&self.ends).map(|(start, &end)| &self.bytes[start..end]);
        drawing.blocks[self.block].parts().zip(bytes)
    }
}

/// A drawing as it is to be written: stretches of the input alternating with new ones. It is never assembled in memory, where a
/// large nest would then be held three times.
///
/// ```
/// # use std::io::Write;
/// # use truerise::{Job, Nest, SizeTable};
/// # fn main() -> Result<(), Box<dyn std::error::Error>> {
/// # let bytes = std::fs::read("samples/harbour-nest.dxf")?;
/// # let nest = Nest::read("harbour-nest.dxf", &bytes, &Job::default())?;
/// # let table = SizeTable::from_csv("size,change\n38,1in\n", "changes.csv")?;
/// # let altered = nest.alter(&table, &nest.settings());
/// # let mut file = Vec::new();
/// let drawing = altered.drawing().unwrap();
/// for chunk in drawing.chunks() {
///     file.write_all(chunk)?;
/// }
/// # assert_eq!(file, drawing.to_vec());
/// # Ok(()) }
/// ```
#[derive(Clone, Debug)]
pub struct NewDrawing<'a> {
    chunks: Vec<Cow<'a, [u8]>>,
}

impl NewDrawing<'_> {
    /// Puts bytes in front of everything else, except for a byte order mark.
    #[must_use]
    pub(crate) fn beginning_with(mut self, first: Vec<u8>) -> Self {
        const MARK: &[u8] = b"\xEF\xBB\xBF";
        let marked = self.chunks.first().is_some_and(|chunk| chunk.starts_with(MARK));
        if marked && !first.is_empty() {
            let rest = self.chunks[0][MARK.len()..].to_vec();
            self.chunks[0] = Cow::Owned(rest);
            self.chunks.insert(0, Cow::Owned([MARK, &first].concat()));
        } else if !first.is_empty() {
            self.chunks.insert(0, Cow::Owned(first));
        }
        self
    }

    /// Its bytes, one stretch after the other.
    pub fn chunks(&self) -> impl Iterator<Item = &[u8]> {
        self.chunks.iter().map(AsRef::as_ref)
    }

    /// Its bytes in one piece.
    #[must_use]
    pub fn to_vec(&self) -> Vec<u8> {
        self.chunks.concat()
    }
}

/// Writes a piece's block with its change. Also returns, in order, the entities with points that the bytes are meant to hold.
#[must_use]
pub fn block(
    drawing: &Drawing<'_>,
    piece: &Piece,
    change: &Change,
    handles: &Handles,
) -> (Written, Vec<Meant>) {
    let mut edits = Edits::default();
    let mut meant = Vec::with_capacity(piece.strokes.len() + piece.marks.len() + piece.texts.len());
    lines(drawing, piece, change, handles, &mut edits, &mut meant);
    marks(piece, &change.carried.marks, &mut edits, &mut meant);
    texts(piece, &change.carried.texts, &mut edits, &mut meant);
    meant.sort_by_key(|m| m.start);
    let (mut bytes, mut ends) = (Vec::new(), Vec::new());
    let mut edits = edits.in_order();
    for part in drawing.blocks[piece.block].parts() {
        edits.apply(drawing.bytes, part.whole, &mut bytes);
        ends.push(bytes.len());
    }
    bytes.shrink_to_fit();
    (Written { block: piece.block, bytes, ends }, meant)
}

/// Writes the strokes: redrawn ones, notches that are carried along, and the others as they are.
fn lines(
    drawing: &Drawing<'_>,
    piece: &Piece,
    change: &Change,
    handles: &Handles,
    edits: &mut Edits,
    meant: &mut Vec<Meant>,
) {
    let mut strokes: Vec<StrokeChange> = Vec::new();
    for redrawn in &change.redrawn {
        collect(&mut strokes, piece, redrawn);
    }
    for &(stroke, shift) in &change.carried.strokes {
        let moves = vec![shift; piece.strokes[stroke].points.len()];
        strokes.push(StrokeChange { stroke, moves, added: Vec::new() });
    }
    let mut fresh = handles.of_block(piece.block);
    for (i, stroke) in piece.strokes.iter().enumerate() {
        match strokes.iter().find(|c| c.stroke == i) {
            Some(change) => {
                let numbers = Numbers { scale: piece.scale, mirrored: stroke.mirrored };
                meant.extend(change.write(drawing, stroke, numbers, &mut fresh, edits));
            }
            None => meant.push(Meant::of(drawing, stroke)),
        }
    }
}

/// Writes the marks, with those in `carried` at their new places.
fn marks(piece: &Piece, carried: &[(usize, Vec2)], edits: &mut Edits, meant: &mut Vec<Meant>) {
    for (i, mark) in piece.marks.iter().enumerate() {
        // The coordinates of a POINT are the drawing's own, whatever its extrusion direction.
        let numbers = Numbers { scale: piece.scale, mirrored: mark.mirrored };
        let shift = shift_of(carried, i);
        numbers.shift(edits, mark.place, mark.at, shift);
        let kind = if mark.symbol { Kind::Symbol } else { Kind::Point };
        meant.push(Meant::at(&mark.layer, mark.place, kind, mark.at + shift, mark.mirrored));
    }
}

/// Writes the texts, with those in `carried` at their new places.
fn texts(piece: &Piece, carried: &[(usize, Vec2)], edits: &mut Edits, meant: &mut Vec<Meant>) {
    for (i, text) in piece.texts.iter().enumerate() {
        let shift = shift_of(carried, i);
        let numbers = Numbers { scale: piece.scale, mirrored: text.mirrored };
        for (place, at) in text.points() {
            numbers.shift(edits, place, at, shift);
        }
        meant.push(Meant::at(&text.layer, text.place, Kind::Text, text.at + shift, text.mirrored));
    }
}

/// The movement of a mark or text, in mm; `carried` is sorted by index.
fn shift_of(carried: &[(usize, Vec2)], i: usize) -> Vec2 {
    carried.binary_search_by_key(&i, |&(k, _)| k).map_or(Vec2::ZERO, |found| carried[found].1)
}

/// The whole file with these blocks in their places.
#[must_use]
pub fn file<'a>(drawing: &Drawing<'a>, blocks: Vec<Written>, handles: &Handles) -> NewDrawing<'a> {
    let mut chunks: Vec<Cow<'a, [u8]>> = Vec::with_capacity(2 * blocks.len() + 3);
    let mut at = 0;
    if let Some((span, next)) = handles.seed(drawing) {
        chunks.push(Cow::Borrowed(&drawing.bytes[..span.start as usize]));
        chunks.push(Cow::Owned(next.into_bytes()));
        at = span.end as usize;
    }
    let mut parts: Vec<(Part, Vec<u8>)> = Vec::with_capacity(blocks.len());
    for written in blocks {
        if let [_] = written.ends[..] {
            parts.extend(drawing.blocks[written.block].parts().next().map(|part| (part, written.bytes)));
        } else {
            parts.extend(written.parts(drawing).map(|(part, bytes)| (part, bytes.to_vec())));
        }
    }
    parts.sort_by_key(|(part, _)| part.whole.start);
    for (part, bytes) in parts {
        let place = part.whole.range();
        chunks.push(Cow::Borrowed(&drawing.bytes[at..place.start]));
        chunks.push(Cow::Owned(bytes));
        at = place.end;
    }
    chunks.push(Cow::Borrowed(&drawing.bytes[at..]));
    NewDrawing { chunks }
}

/// Distributes a redrawn line's moves to the strokes it is made of.
fn collect(strokes: &mut Vec<StrokeChange>, piece: &Piece, redrawn: &Redrawn) {
    let path = &piece.paths[redrawn.path];
    let base = strokes.len();
    let slot = |strokes: &mut Vec<StrokeChange>, stroke: u32| -> usize {
        let stroke = stroke as usize;
        let known = strokes[base..].iter().position(|s| s.stroke == stroke);
        known.map_or_else(
            || {
                let moves = vec![Vec2::ZERO; piece.strokes[stroke].points.len()];
                strokes.push(StrokeChange { stroke, moves, added: Vec::new() });
                strokes.len() - 1
            },
            |i| base + i,
        )
    };
    let mut at = None;
    for (from, &shift) in path.from.iter().zip(&redrawn.moves) {
        let i = match at {
            Some((stroke, i)) if stroke == from.stroke => i,
            _ => slot(strokes, from.stroke),
        };
        at = Some((from.stroke, i));
        strokes[i].moves[from.point as usize] = shift;
    }
    for &(point, twin) in &path.twins {
        let i = slot(strokes, twin.stroke);
        strokes[i].moves[twin.point as usize] = redrawn.moves[point as usize];
    }
    for added in &redrawn.added {
        let Some((stroke, after, backwards)) = drawn_edge(piece, path, added.after as usize) else {
            continue;
        };
        let i = slot(strokes, stroke);
        let share = if backwards { 1.0 - added.share } else { added.share };
        strokes[i].added.push(stroke::Added { after, share, at: added.at });
    }
    for change in &mut strokes[base..] {
        change.added.sort_by(|a, b| a.after.cmp(&b.after).then(a.share.total_cmp(&b.share)));
    }
}

/// The stroke that draws the edge after point `i` of a path, the stroke's point before that edge, and whether the stroke runs in
/// the opposite direction.
fn drawn_edge(piece: &Piece, path: &Path, i: usize) -> Option<(u32, u32, bool)> {
    let j = (i + 1) % path.points.len();
    let all = |i: usize| -> Vec<StrokePoint> {
        let twins = path.twins.iter().filter(|(t, _)| *t as usize == i).map(|&(_, p)| p);
        std::iter::once(path.from[i]).chain(twins).collect()
    };
    for a in all(i) {
        for b in all(j).into_iter().filter(|b| b.stroke == a.stroke) {
            let stroke = &piece.strokes[a.stroke as usize];
            let last = u32::try_from(stroke.points.len() - 1).unwrap_or(u32::MAX);
            if b.point == a.point + 1 || (stroke.closed && a.point == last && b.point == 0) {
                return Some((a.stroke, a.point, false));
            }
            if a.point == b.point + 1 || (stroke.closed && b.point == last && a.point == 0) {
                return Some((a.stroke, b.point, true));
            }
        }
    }
    None
}
