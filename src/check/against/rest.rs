//! Compares everything outside the blocks: header, tables, entities, and whatever stands between blocks.

use super::elsewhere;
use crate::dxf_text::{Block, Drawing, Pair, Span};
use crate::finding::Finding;
use crate::history;

/// The first place outside the blocks at which the two drawings differ. The value of `$HANDSEED`, the next free handle, may
/// differ.
pub(super) fn compare(old: &Drawing<'_>, new: &Drawing<'_>) -> Vec<Finding> {
    let (a, b) = (outside(old), outside(new));
    if bytes(old, &a) == bytes(new, &b) {
        return Vec::new();
    }
    // Comments in which a drawing records earlier alterations are left out of the comparison.
    let said = |drawing: &Drawing<'_>, p: &Pair| p.code == 999 && history::is_line(p.text(drawing.bytes));
    let mut before = a.iter().flat_map(|s| old.pairs(*s)).map_while(Result::ok).filter(|p| !said(old, p));
    let mut after = b.iter().flat_map(|s| new.pairs(*s)).map_while(Result::ok).filter(|p| !said(new, p));
    let mut next_is_seed = false;
    let mut same_written = true;
    loop {
        let (p, q) = match (before.next(), after.next()) {
            (None, None) => break,
            (Some(p), Some(q)) => (p, q),
            (Some(p), None) => return vec![lacking(old, &p)],
            (None, Some(q)) => return vec![too_many(new, &q)],
        };
        let values = p.code == q.code && p.text(old.bytes) == q.text(new.bytes);
        let aside = next_is_seed && p.code == q.code;
        if !values && !aside {
            return vec![other(old, &p, new, &q)];
        }
        same_written &= next_is_seed || p.span().of(old.bytes) == q.span().of(new.bytes);
        next_is_seed = names_seed(new, &q);
    }
    if same_written {
        return Vec::new();
    }
    let message = "outside the pieces the file is written otherwise than the original (blanks or line ends); copy it as it was";
    vec![elsewhere(message.to_owned())]
}

/// Whether a pair is the header variable that names the next free handle, whose value follows.
fn names_seed(drawing: &Drawing<'_>, pair: &Pair) -> bool {
    pair.code == 9 && pair.text(drawing.bytes) == b"$HANDSEED"
}

/// The finding for a pair that has another value, or another pair in its place.
fn other(old: &Drawing<'_>, p: &Pair, new: &Drawing<'_>, q: &Pair) -> Finding {
    let message = format!(
        "outside the pieces group code {} '{}' differs from the original's {} '{}' (line {}); put it back",
        q.code,
        new.text(q.value),
        p.code,
        old.text(p.value),
        old.line(p.start)
    );
    elsewhere(message).line(new.line(q.start))
}

/// The finding for pairs missing at the end: the original has these from `p` on.
fn lacking(old: &Drawing<'_>, p: &Pair) -> Finding {
    elsewhere(format!(
        "what follows line {} of the original outside the pieces is missing",
        old.line(p.start)
    ))
}

/// The finding for added pairs at the end: the original does not have these from `q` on.
fn too_many(new: &Drawing<'_>, q: &Pair) -> Finding {
    let message = "what stands here outside the pieces is not in the original; take it out";
    elsewhere(message.to_owned()).line(new.line(q.start))
}

/// The stretches of the file outside the blocks, including whatever follows `EOF`.
fn outside(drawing: &Drawing<'_>) -> Vec<Span> {
    let mut stretches = Vec::with_capacity(drawing.blocks.len() + 1);
    let mut from = 0;
    let mut parts: Vec<Span> = drawing.blocks.iter().flat_map(Block::parts).map(|part| part.whole).collect();
    parts.sort_by_key(|span| span.start);
    for part in parts {
        stretches.push(Span { start: from, end: part.start });
        from = part.end;
    }
    stretches.push(Span { start: from, end: Span::new(0, drawing.bytes.len()).end });
    stretches
}

fn bytes(drawing: &Drawing<'_>, stretches: &[Span]) -> Vec<u8> {
    stretches.iter().flat_map(|s| s.of(drawing.bytes)).copied().collect()
}
