//! Writes a drawing without some of its blocks: the blocks and whatever places them are cut out, all other bytes stay the same.

use super::NewDrawing;
use crate::dxf_text::{Block, Drawing, DxfError, Entities, Span};
use crate::pattern::{self, ReadError, Reading};
use std::borrow::Cow;
use std::collections::{BTreeSet, HashSet};

/// The drawing without these blocks (given by index), without the `INSERT`s that place them and without their entries in the
/// table of blocks. The result is checked: the remaining blocks, and every entity outside of blocks.
///
/// Fails if the rest can no longer be read as before.
pub fn leave_out(
    drawing: &[u8],
    left: &BTreeSet<usize>,
    reading: &Reading,
) -> Result<NewDrawing<'static>, LeftOutError> {
    let mut old = Drawing::scan(drawing)?;
    // Pieces that are not in a BLOCK are added to the blocks by gathering them.
    let plain = left.iter().any(|&i| i >= old.blocks.len());
    if plain {
        pattern::gather(&mut old, reading)?;
    }
    let gone = places(&old, left)?;
    let mut bytes = Vec::with_capacity(drawing.len());
    let mut at = 0;
    for span in &gone {
        bytes.extend_from_slice(&drawing[at..span.range().start]);
        at = span.range().end;
    }
    bytes.extend_from_slice(&drawing[at..]);
    let mut new = Drawing::scan(&bytes)?;
    if plain {
        pattern::gather(&mut new, reading)?;
    }
    same(&old, &new, left)?;
    Ok(NewDrawing { chunks: vec![Cow::Owned(bytes)] })
}

/// Why blocks could not be left out.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum LeftOutError {
    /// The text is bad.
    #[error(transparent)]
    Text(#[from] DxfError),
    /// The rest of a drawing without blocks cannot be read.
    #[error(transparent)]
    Read(#[from] ReadError),
    /// The rest differs from what was there before.
    #[error("what is left is not what was there ({0})")]
    Differs(&'static str),
}

/// The names of the blocks that are left out. A name that a remaining block shares stays, because that block still has to be
/// placed.
fn names<'a>(drawing: &Drawing<'a>, left: &BTreeSet<usize>) -> HashSet<&'a [u8]> {
    let name = |i: &usize| drawing.blocks[*i].name.of(drawing.bytes).trim_ascii();
    let stays: HashSet<&[u8]> =
        (0..drawing.blocks.len()).filter(|i| !left.contains(i)).map(|i| name(&i)).collect();
    left.iter().map(name).filter(|name| !stays.contains(name)).collect()
}

/// The stretches that are cut out of the file, in the file's order.
fn places(drawing: &Drawing<'_>, left: &BTreeSet<usize>) -> Result<Vec<Span>, DxfError> {
    let names = names(drawing, left);
    let mut gone: Vec<Span> =
        left.iter().flat_map(|&i| drawing.blocks[i].parts()).map(|part| part.whole).collect();
    let staying = (0..drawing.blocks.len()).filter(|i| !left.contains(i)).map(|i| &drawing.blocks[i]);
    let staying = staying.filter(|block| !block.is_plain()).map(|block| block.body);
    let entities = drawing.section("ENTITIES").map(|s| s.body);
    for stretch in staying.chain(entities) {
        entries(drawing, stretch, "INSERT", &names, &mut gone)?;
    }
    if let Some(tables) = drawing.section("TABLES") {
        entries(drawing, tables.body, "BLOCK_RECORD", &names, &mut gone)?;
    }
    gone.sort_by_key(|span| span.start);
    Ok(gone)
}

/// Collects the entities of a kind in a stretch that name one of these blocks, together with the attributes that follow them.
fn entries(
    drawing: &Drawing<'_>,
    stretch: Span,
    kind: &str,
    names: &HashSet<&[u8]>,
    gone: &mut Vec<Span>,
) -> Result<(), DxfError> {
    let mut entities = drawing.entities(stretch);
    let mut e = Entities::buffer();
    let mut following = false;
    while entities.read(&mut e)? {
        if following && (e.is("ATTRIB") || e.is("SEQEND")) {
            gone.push(e.span);
            following = !e.is("SEQEND");
            continue;
        }
        let name = e.get(2).map(|p| p.value.of(drawing.bytes).trim_ascii());
        following = e.is(kind) && name.is_some_and(|name| names.contains(name));
        if following {
            gone.push(e.span);
            following = e.get(66).is_some_and(|p| p.text(drawing.bytes) == b"1");
        }
    }
    Ok(())
}

/// Checks that the remaining blocks are unchanged, and every entity outside of blocks except those that place removed blocks.
fn same(old: &Drawing<'_>, new: &Drawing<'_>, left: &BTreeSet<usize>) -> Result<(), LeftOutError> {
    let names = names(old, left);
    let (mut kept, mut there) = (Vec::new(), Vec::new());
    for (_, block) in old.blocks.iter().enumerate().filter(|(i, _)| !left.contains(i)) {
        kept.push((block.name.of(old.bytes), others(old, all_of(block), &names)?));
    }
    for block in &new.blocks {
        there.push((block.name.of(new.bytes), others(new, all_of(block), &names)?));
    }
    if kept != there {
        return Err(LeftOutError::Differs("a piece"));
    }
    let outside = |drawing: &Drawing<'_>| {
        let stretch = drawing.section("ENTITIES").map_or(Span::default(), |s| s.body);
        let mut pieces: Vec<Span> = drawing.blocks.iter().flat_map(|b| b.parts.iter().copied()).collect();
        pieces.sort_by_key(|span| span.start);
        let mut between = Vec::with_capacity(pieces.len() + 1);
        let mut from = stretch.start;
        for piece in pieces {
            between.push(Span { start: from, end: piece.start });
            from = piece.end;
        }
        between.push(Span { start: from, end: stretch.end });
        others(drawing, between, &names)
    };
    if outside(old)? != outside(new)? {
        return Err(LeftOutError::Differs("an entity outside of pieces"));
    }
    let sections = |drawing: &Drawing<'_>| -> Vec<Vec<u8>> {
        drawing.sections.iter().map(|s| s.name.of(drawing.bytes).to_vec()).collect()
    };
    if sections(old) == sections(new) { Ok(()) } else { Err(LeftOutError::Differs("a section")) }
}

/// The stretches of a block, including its head and end.
fn all_of(block: &Block) -> Vec<Span> {
    block.parts().map(|part| part.whole).collect()
}

/// The bytes of the entities of some stretches, without those that place one of these blocks; attributes are not compared.
fn others(
    drawing: &Drawing<'_>,
    stretches: Vec<Span>,
    names: &HashSet<&[u8]>,
) -> Result<Vec<Vec<u8>>, DxfError> {
    let mut entities = Entities::new(drawing.bytes, stretches, drawing.line_end());
    let mut e = Entities::buffer();
    let mut all = Vec::new();
    while entities.read(&mut e)? {
        let places = e.is("INSERT")
            && e.get(2).is_some_and(|p| names.contains(p.value.of(drawing.bytes).trim_ascii()));
        if !places && !e.is("ATTRIB") && !e.is("SEQEND") {
            all.push(e.span.of(drawing.bytes).to_vec());
        }
    }
    Ok(all)
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;

    const DRAWING: &str = "0\nSECTION\n2\nTABLES\n0\nTABLE\n2\nBLOCK_RECORD\n0\nBLOCK_RECORD\n2\nA\n0\nBLOCK_RECORD\n2\nB\n0\n\
        ENDTAB\n0\nENDSEC\n0\nSECTION\n2\nBLOCKS\n0\nBLOCK\n8\n1\n2\nA\n0\nPOINT\n8\n2\n10\n1\n20\n2\n0\nENDBLK\n8\n1\n0\nBLOCK\n8\n1\n\
        2\nB\n0\nENDBLK\n8\n1\n0\nENDSEC\n0\nSECTION\n2\nENTITIES\n0\nINSERT\n8\n1\n2\nB\n66\n1\n0\nATTRIB\n1\nx\n0\nSEQEND\n8\n1\n0\n\
        INSERT\n8\n1\n2\nA\n0\nTEXT\n8\n1\n1\nUnits: METRIC\n0\nENDSEC\n0\nEOF\n";

    #[test]
    fn a_block_goes_with_what_places_it_and_nothing_else_does() {
        let new = leave_out(DRAWING.as_bytes(), &BTreeSet::from([1]), &Reading::default()).unwrap();
        let expected = DRAWING
            .replace("0\nBLOCK_RECORD\n2\nB\n", "")
            .replace("0\nBLOCK\n8\n1\n2\nB\n0\nENDBLK\n8\n1\n", "")
            .replace("0\nINSERT\n8\n1\n2\nB\n66\n1\n0\nATTRIB\n1\nx\n0\nSEQEND\n8\n1\n", "");
        assert_eq!(String::from_utf8(new.to_vec()).unwrap(), expected);
        assert_eq!(
            leave_out(DRAWING.as_bytes(), &BTreeSet::new(), &Reading::default()).unwrap().to_vec(),
            DRAWING.as_bytes()
        );
    }
}
