//! Compares a drawing with its original: finds what differs, and whether anything differs that should not.
//!
//! An alteration may change the crotch seam and the upper inseam, down to the place where the line has come back to the old
//! one: on all lines that draw these seams (cut, sew and validation lines), together with the notches, turn points, curve
//! points and rule texts on those stretches. Where the centre waist was moved, it may change the waist edge as well. A piece that lay
//! on such a leg may follow it. Everything else has to be the same bytes. The comparison knows nothing of how an alteration is made.
//!
//! Where another program has saved the drawing again, the bytes differ although the same lines are drawn. Unless the text
//! itself is to be compared, pieces that are drawn alike are therefore passed over, and one note says that they were written
//! anew.
//!
//! - `drawn`: what is drawn of a piece, to a few hundredths of a mm;
//! - `rest`: everything outside the blocks, pair by pair;
//! - `block`: what a block holds besides the lines, entity by entity;
//! - [`mod@line`]: the lines, vertex by vertex, by the stretch of seam each lies on;
//! - `follows`: the lines of a piece that lay on a leg, by how that leg is drawn now.

mod block;
mod drawn;
mod follows;
mod line;
mod paired;
mod region;
mod rest;

use crate::check::Sheet;
use crate::check::sheet::named;
use crate::dxf_text::{Block, Drawing};
use crate::finding::{Finding, FindingId};
use crate::job::Job;
use crate::opened::Opened;
use crate::pattern::Piece;
use follows::Follows;
use rayon::prelude::*;
use region::Region;
use std::collections::HashMap;

/// What is compared of two drawings.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum By {
    /// What is drawn, in mm: a piece counts as unchanged where another program wrote it anew with the same lines.
    Drawn,
    /// The text, byte for byte, except on the altered seams.
    Text,
}

/// Everything that differs between the original and the drawing on the sheet.
#[must_use]
pub fn compare(sheet: &Sheet<'_>, original: &Opened<'_>, job: &Job, by: By) -> Vec<Finding> {
    let (old, new) = (&original.drawing, &sheet.opened.drawing);
    let before = Sheet::original(original, job);
    let (mut pairs, mut missing, mut added) = matched(old, new);
    if by == By::Drawn {
        // Model space and paper space are blocks of the drawing itself, which some programs write and others do not.
        let own = |name: &[u8]| matches!(name.first(), Some(b'*' | b'$'));
        missing.retain(|&b| !own(old.blocks[b].name.of(old.bytes)));
        added.retain(|b| !own(b.name.of(new.bytes)));
    }
    let mut findings = Vec::new();
    let mut anew = 0;
    let outside = rest::compare(old, new);
    let left_out = without_sizes(original, &missing);
    if by == By::Drawn && !outside.is_empty() && drawn::placed_alike(original, sheet.opened, &pairs) {
        // Outside the pieces the drawing is written differently but says the same, or it lacks only what places the missing
        // pieces.
        anew += usize::from(missing.is_empty());
    } else {
        findings.extend(outside);
    }
    for (size, blocks) in &left_out {
        let message = format!(
            "the size is not in this drawing at all ({blocks} pieces of the original); right where only the sizes asked for \
             were written, else put it back"
        );
        findings.push(Finding::warning(FindingId::SizeMissing, message).size(size.clone()));
    }
    for &block in missing.iter().filter(|&&b| !is_of(original, b, &left_out)) {
        let name = old.block_name(&old.blocks[block]);
        let message = format!("the block '{name}' of the original is missing; put it back");
        findings.push(elsewhere(message));
    }
    for block in added {
        let name = new.block_name(block);
        let message = format!("the block '{name}' is not in the original; take it out");
        findings.push(elsewhere(message).line(new.line(block.whole.start)));
    }
    let both = Both { old: &before, new: sheet };
    if by == By::Drawn {
        let all = pairs.len();
        let alike: Vec<bool> = pairs.par_iter().map(|&(o, n)| both.written_anew(o, n)).collect();
        let mut alike = alike.into_iter();
        pairs.retain(|_| !alike.next().unwrap_or_default());
        anew += all - pairs.len();
    }
    let of_blocks: Vec<Finding> = pairs.par_iter().flat_map_iter(|&(o, n)| both.blocks(o, n)).collect();
    findings.extend(of_blocks);
    if anew > 0 {
        let message = "the drawing is written otherwise than the original, by other entities, numbers or order, and draws the same \
                       to 0.03 mm, pieces that are told of here aside; --strict compares the text";
        findings.push(Finding::note(FindingId::WrittenAnew, message));
    } else if findings.is_empty() {
        findings.push(Finding::note(FindingId::Changed, "nothing differs from the original"));
    }
    findings
}

/// The sizes of which every piece in the original is among the missing blocks, each with the number of its pieces.
fn without_sizes(original: &Opened<'_>, missing: &[usize]) -> Vec<(String, usize)> {
    let pieces = &original.pattern.pieces;
    let mut sizes: Vec<(String, usize)> = Vec::new();
    for size in pieces.iter().filter_map(|p| p.size.as_ref()) {
        let of: Vec<usize> =
            pieces.iter().filter(|p| p.size.as_ref() == Some(size)).map(|p| p.block).collect();
        let known = sizes.iter().any(|(name, _)| *name == size.to_string());
        if !known && of.iter().all(|block| missing.contains(block)) {
            sizes.push((size.to_string(), of.len()));
        }
    }
    sizes
}

/// Whether a block is a piece of one of these sizes.
fn is_of(original: &Opened<'_>, block: usize, sizes: &[(String, usize)]) -> bool {
    let piece = original.pattern.pieces.iter().find(|p| p.block == block);
    let size = piece.and_then(|p| p.size.as_ref()).map(ToString::to_string);
    size.is_some_and(|size| sizes.iter().any(|(name, _)| *name == size))
}

/// A finding for something that differs and should not.
fn elsewhere(message: String) -> Finding {
    Finding::error(FindingId::ChangedElsewhere, message)
}

/// Matches the blocks by name, and blocks of the same name in their order. Returns pairs of indices, the blocks of the
/// original that are missing, and the blocks that are new.
fn matched<'d>(
    old: &'d Drawing<'_>,
    new: &'d Drawing<'_>,
) -> (Vec<(usize, usize)>, Vec<usize>, Vec<&'d Block>) {
    let mut there: HashMap<&[u8], std::collections::VecDeque<usize>> = HashMap::new();
    for (i, block) in new.blocks.iter().enumerate() {
        there.entry(block.name.of(new.bytes)).or_default().push_back(i);
    }
    let (mut pairs, mut missing) = (Vec::new(), Vec::new());
    let mut used = vec![false; new.blocks.len()];
    for (i, block) in old.blocks.iter().enumerate() {
        match there.get_mut(block.name.of(old.bytes)).and_then(std::collections::VecDeque::pop_front) {
            Some(j) => {
                used[j] = true;
                pairs.push((i, j));
            }
            None => missing.push(i),
        }
    }
    let added = new.blocks.iter().zip(used).filter(|(_, used)| !used).map(|(b, _)| b).collect();
    (pairs, missing, added)
}

/// The original and the drawing made from it.
struct Both<'s> {
    old: &'s Sheet<'s>,
    new: &'s Sheet<'s>,
}

impl Both<'_> {
    /// Whether two blocks of one name differ in their bytes but draw the same.
    fn written_anew(&self, old: usize, new: usize) -> bool {
        let bytes = |sheet: &Sheet<'_>, block: usize| {
            let drawing = &sheet.opened.drawing;
            drawing.blocks[block].bytes(drawing).into_owned()
        };
        let piece = |sheet: &Sheet<'_>, block: usize| {
            sheet.opened.pattern.pieces.iter().position(|p: &Piece| p.block == block)
        };
        bytes(self.old, old) != bytes(self.new, new)
            && piece(self.old, old).zip(piece(self.new, new)).is_some_and(|(a, b)| {
                drawn::alike(&self.old.opened.pattern.pieces[a], &self.new.opened.pattern.pieces[b])
            })
    }

    /// What differs between two blocks of one name.
    fn blocks(&self, old: usize, new: usize) -> Vec<Finding> {
        let (before, after) = (&self.old.opened.drawing, &self.new.opened.drawing);
        let (o, n) = (&before.blocks[old], &after.blocks[new]);
        if o.bytes(before) == n.bytes(after) {
            return Vec::new();
        }
        let find = |sheet: &Sheet<'_>, block| {
            sheet.opened.pattern.pieces.iter().position(|p: &Piece| p.block == block)
        };
        let (Some(a), Some(b)) = (find(self.old, old), find(self.new, new)) else {
            let name = after.block_name(n);
            let message =
                format!("the block '{name}', which is no piece, differs from the original; put it back");
            return vec![elsewhere(message).line(after.line(n.whole.start))];
        };
        let (a, b) = (&self.old.opened.pattern.pieces[a], &self.new.opened.pattern.pieces[b]);
        let regions = Region::all(self.old, a, b);
        let mut findings = Vec::new();
        let follows = if regions.is_empty() { Follows::of(self, a) } else { None };
        let may = (&regions[..], follows.as_ref());
        let lines = line::compare(self, a, b, may, &mut findings);
        let marks = block::compare(self, a, b, may, &mut findings);
        let changed = findings.is_empty();
        let mut parts = lines;
        parts.extend(marks);
        if !parts.is_empty() {
            let leg = follows.map(|f| format!(" as {}, on which it lay", f.leg.name)).unwrap_or_default();
            let message = format!("changed on the seams{leg}: {}", parts.join("; "));
            findings.push(self.new.at_block(Finding::note(FindingId::Changed, message), b));
        } else if changed {
            // The entities and numbers are the same, but the bytes are not.
            let message = "the block is written otherwise than in the original (blanks, line ends, or the form of \
                           numbers); copy it as it was";
            findings.push(self.new.at_block(elsewhere(message.to_owned()), b));
        }
        findings.into_iter().map(|f| named(f, b)).collect()
    }
}
