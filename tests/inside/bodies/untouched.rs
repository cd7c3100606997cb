//! What an alteration may not touch, told from the bytes alone: everything outside the blocks but the next free handle, and
//! inside them everything but the places of lines, points and texts.

use crate::dxf_text::{Block, Drawing, Pair, Span, number};

/// Entities whose points may move.
const MAY_MOVE: [&[u8]; 9] =
    [b"LINE", b"POLYLINE", b"VERTEX", b"LWPOLYLINE", b"ARC", b"SPLINE", b"POINT", b"TEXT", b"MTEXT"];

/// An entity as its pairs.
struct Part<'a> {
    bytes: &'a [u8],
    pairs: Vec<Pair>,
}

impl Part<'_> {
    fn kind(&self) -> &[u8] {
        self.pairs[0].text(self.bytes)
    }

    fn whole(&self) -> &[u8] {
        &self.bytes[self.pairs[0].start as usize..self.pairs[self.pairs.len() - 1].end as usize]
    }

    /// The pairs that are no geometry.
    fn rest(&self) -> Vec<(i16, &[u8])> {
        let kept = self.pairs.iter().filter(|p| !matches!(p.code, 10..=59 | 90 | 91));
        kept.map(|p| (p.code, p.value.of(self.bytes))).collect()
    }
}

fn parts<'a>(drawing: &Drawing<'a>, stretch: Span) -> Vec<Part<'a>> {
    let mut parts: Vec<Part<'a>> = Vec::new();
    for pair in drawing.pairs(stretch).map_while(Result::ok) {
        match parts.last_mut() {
            Some(part) if pair.code != 0 => part.pairs.push(pair),
            _ => parts.push(Part { bytes: drawing.bytes, pairs: vec![pair] }),
        }
    }
    parts
}

/// Compares the drawing with what was made of it.
pub fn outside_of_what_moves(old: &Drawing<'_>, new: &Drawing<'_>) {
    if old.blocks.iter().any(Block::is_plain) {
        return between_its_entities(old, new);
    }
    assert_eq!(old.blocks.len(), new.blocks.len());
    let (mut o, mut n) = (0, 0);
    for (i, (a, b)) in old.blocks.iter().zip(&new.blocks).enumerate() {
        let (before, after) = (&old.bytes[o..a.whole.range().start], &new.bytes[n..b.whole.range().start]);
        assert!(before == after || i == 0 && seed_aside(before) == seed_aside(after), "before block {i}");
        block(old, a.whole, new, b.whole);
        (o, n) = (a.whole.range().end, b.whole.range().end);
    }
    // A drawing may have its header after its blocks.
    let (before, after) = (&old.bytes[o..], &new.bytes[n..]);
    assert!(before == after || seed_aside(before) == seed_aside(after), "after the blocks");
}

/// A drawing whose pieces are drawn by its own entities: each of them may have moved.
fn between_its_entities(old: &Drawing<'_>, new: &Drawing<'_>) {
    let own = |drawing: &Drawing<'_>| drawing.section("ENTITIES").map(|s| s.body).unwrap_or_default();
    let (a, b) = (own(old), own(new));
    let (before, after) = (&old.bytes[..a.range().start], &new.bytes[..b.range().start]);
    assert!(before == after || seed_aside(before) == seed_aside(after), "before the entities");
    block(old, a, new, b);
    assert!(old.bytes[a.range().end..] == new.bytes[b.range().end..], "after the entities");
}

/// The lines without the value of `$HANDSEED`.
fn seed_aside(bytes: &[u8]) -> Vec<&[u8]> {
    let mut lines: Vec<&[u8]> = bytes.split(|b| matches!(b, b'\n' | b'\r')).collect();
    if let Some(i) = lines.iter().position(|l| l.trim_ascii() == b"$HANDSEED") {
        let seed = lines.iter().enumerate().skip(i + 1).filter(|(_, l)| !l.trim_ascii().is_empty()).nth(1);
        if let Some((i, _)) = seed {
            lines[i] = b"";
        }
    }
    lines
}

fn block(old: &Drawing<'_>, a: Span, new: &Drawing<'_>, b: Span) {
    if a.of(old.bytes) == b.of(new.bytes) {
        return;
    }
    let (before, after) = (parts(old, a), parts(new, b));
    let (mut i, mut j) = (0, 0);
    while i < before.len() {
        let o = &before[i];
        let n = after.get(j).unwrap_or_else(|| panic!("an entity is missing: {}", shown(o.whole())));
        let replaced = matches!(o.kind(), b"ARC" | b"ELLIPSE" | b"SPLINE")
            && matches!(n.kind(), b"POLYLINE" | b"LWPOLYLINE");
        if o.whole() == n.whole() || MAY_MOVE.contains(&o.kind()) && moved(o, n) {
            (i, j) = (i + 1, j + 1);
        } else if matches!(n.kind(), b"VERTEX" | b"LINE") {
            // One that was added, after one that moved.
            assert!(j > 0 && after[j - 1].kind() == n.kind(), "{} was added", shown(n.whole()));
            j += 1;
        } else {
            assert!(replaced, "{} became {}", shown(o.whole()), shown(n.whole()));
            (i, j) = (i + 1, j + 1);
            while n.kind() == b"POLYLINE"
                && after.get(j).is_some_and(|p| matches!(p.kind(), b"VERTEX" | b"SEQEND"))
            {
                j += 1;
            }
        }
    }
    while after.get(j).is_some_and(|n| n.kind() == b"LINE") {
        j += 1;
    }
    assert_eq!(j, after.len(), "entities were added");
}

/// Whether two entities are one with other numbers.
fn moved(o: &Part<'_>, n: &Part<'_>) -> bool {
    if o.kind() != n.kind() || o.rest() != n.rest() {
        return false;
    }
    if o.kind() == b"LWPOLYLINE" {
        return true;
    }
    let same = |(a, b): (&Pair, &Pair)| {
        let (x, y) = (a.value.of(o.bytes), b.value.of(n.bytes));
        a.code == b.code && (x == y || number::parse(x).is_some() && number::parse(y).is_some())
    };
    o.pairs.len() == n.pairs.len() && o.pairs.iter().zip(&n.pairs).all(same)
}

fn shown(bytes: &[u8]) -> String {
    String::from_utf8_lossy(bytes).replace(['\n', '\r'], " ")
}
