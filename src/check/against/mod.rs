//! Comparing a drawing with its original: what differs, and whether anything does that should not.
//!
//! What an alteration may change is the crotch seam and the upper inseam down to where the line has come
//! back, on the lines drawn of them (cut, sew and validation lines), and the notches, turn points, curve
//! points and rule texts that stand on those stretches; and the waist edge, where the centre waist was
//! moved. Everything else is the same bytes. The comparison knows nothing of how an alteration is made.
//!
//! - `rest`: everything outside the blocks, pair by pair;
//! - `block`: what a block holds besides the lines, entity by entity;
//! - [`line`]: the lines, vertex by vertex, by the stretch of seam each lies on.

mod block;
mod line;
mod region;
mod rest;

use crate::check::Sheet;
use crate::dxf_text::{Block, Drawing};
use crate::finding::{Finding, FindingId};
use crate::job::Job;
use crate::opened::Opened;
use crate::pattern::Piece;
use rayon::prelude::*;
use region::Region;
use std::collections::HashMap;

/// Everything that differs between the original and the drawing on the sheet.
#[must_use]
pub fn compare(sheet: &Sheet<'_>, original: &Opened<'_>, job: &Job) -> Vec<Finding> {
    let (old, new) = (&original.drawing, &sheet.opened.drawing);
    let mut findings = rest::compare(old, new);
    let before = Sheet::original(original, job);
    let (pairs, missing, added) = matched(old, new);
    for block in missing {
        let name = old.block_name(block);
        let message = format!("the block '{name}' of the original is missing; put it back");
        findings.push(elsewhere(message));
    }
    for block in added {
        let name = new.block_name(block);
        let message = format!("the block '{name}' is not in the original; take it out");
        findings.push(elsewhere(message).line(new.line(block.whole.start)));
    }
    let both = Both { old: &before, new: sheet };
    let of_blocks: Vec<Finding> = pairs.par_iter().flat_map_iter(|&(o, n)| both.blocks(o, n)).collect();
    findings.extend(of_blocks);
    if findings.is_empty() {
        findings.push(Finding::note(FindingId::Changed, "nothing differs from the original"));
    }
    findings
}

/// Something differs that was not to.
fn elsewhere(message: String) -> Finding {
    Finding::error(FindingId::ChangedElsewhere, message)
}

/// The blocks by name, those of one name in their order: pairs of indices, those that are missing, those
/// that are new.
fn matched<'d>(
    old: &'d Drawing<'_>,
    new: &'d Drawing<'_>,
) -> (Vec<(usize, usize)>, Vec<&'d Block>, Vec<&'d Block>) {
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
            None => missing.push(block),
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
    /// What differs between two blocks of one name.
    fn blocks(&self, old: usize, new: usize) -> Vec<Finding> {
        let (before, after) = (&self.old.opened.drawing, &self.new.opened.drawing);
        let (o, n) = (&before.blocks[old], &after.blocks[new]);
        if o.whole.of(before.bytes) == n.whole.of(after.bytes) {
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
        let region = Region::of(self.old, a, b);
        let mut findings = Vec::new();
        let lines = line::compare(self, a, b, region.as_ref(), &mut findings);
        let marks = block::compare(self, a, b, region.as_ref(), &mut findings);
        let changed = findings.is_empty();
        let mut parts = lines;
        parts.extend(marks);
        if !parts.is_empty() {
            let message = format!("changed on the seams: {}", parts.join("; "));
            findings.push(self.new.at_block(Finding::note(FindingId::Changed, message), b));
        } else if changed {
            // The same entities with the same numbers, and yet not the same bytes.
            let message = "the block is written otherwise than in the original (blanks, line ends, or the form of \
                           numbers); copy it as it was";
            findings.push(self.new.at_block(elsewhere(message.to_owned()), b));
        }
        findings.into_iter().map(|f| self.new.named(f, b)).collect()
    }
}
