//! Gives new rule numbers to points that share a number but have different deltas, and writes the drawing of the base size with
//! the numbers of its table.

use super::GradeError;
use super::base::Base;
use crate::dxf_text::splice::Edits;
use crate::dxf_text::{Drawing, Entities, Span};
use crate::output;
use crate::pattern::{Pattern, Reading, SizeName, Text};
use kurbo::Vec2;
use std::collections::{BTreeMap, BTreeSet};

/// The rule text of a point that gets a new number.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Renumbered {
    /// The index of the piece in the pattern.
    pub piece: usize,
    /// The index of the text in the piece.
    pub text: usize,
    /// The new number.
    pub number: u32,
}

/// The deltas of the graded points of a base piece in one size.
pub(super) struct Seen {
    /// The index of the base piece.
    pub base: usize,
    /// The index of the size.
    pub size: usize,
    /// The delta of each graded point; `None` if the size does not have the point.
    pub deltas: Vec<Option<Vec2>>,
    /// Deltas that differ by no more than this, in mm, count as equal.
    pub same: f64,
}

/// One set of deltas of points that share a drawn rule number.
struct Way {
    deltas: Vec<Option<Vec2>>,
    /// The number given to points with these deltas.
    number: u32,
}

/// The rule numbers of all graded points of all base pieces.
pub(super) struct Numbers(Vec<Vec<u32>>);

impl Numbers {
    /// The numbers as they are drawn.
    pub fn drawn(bases: &[Base]) -> Self {
        Numbers(bases.iter().map(|base| base.graded.iter().map(|g| g.rule).collect()).collect())
    }

    /// Gives out the numbers. Among points that share a drawn number, the first and all with equal deltas in every size keep it.
    /// The others get new numbers above all that are in use, in the order of the drawing; those with equal deltas share one.
    pub fn given(bases: &[Base], seen: &[Seen]) -> Self {
        let mut numbers = Numbers::drawn(bases);
        let mut next = numbers.0.iter().flatten().copied().max().unwrap_or(0);
        // For each number as drawn, the different sets of deltas of its points.
        let mut ways: BTreeMap<u32, Vec<Way>> = BTreeMap::new();
        for (b, base) in bases.iter().enumerate() {
            let of_base: Vec<&Seen> = seen.iter().filter(|s| s.base == b).collect();
            for (i, g) in base.graded.iter().enumerate() {
                let deltas: Vec<Option<Vec2>> = of_base.iter().map(|s| s.deltas[i]).collect();
                let alike = |other: &[Option<Vec2>]| {
                    let mut pairs = deltas.iter().zip(other).zip(&of_base);
                    pairs.all(|((a, b), s)| match (a, b) {
                        (Some(a), Some(b)) => (*a - *b).hypot() <= s.same,
                        // A point missing in a size has been reported elsewhere.
                        _ => true,
                    })
                };
                let known = ways.entry(g.rule).or_default();
                if let Some(way) = known.iter().find(|way| alike(&way.deltas)) {
                    numbers.0[b][i] = way.number;
                    continue;
                }
                let number = if known.is_empty() {
                    g.rule
                } else {
                    next = next.saturating_add(1);
                    next
                };
                known.push(Way { deltas, number });
                numbers.0[b][i] = number;
            }
        }
        numbers
    }

    /// The number of a graded point of a base piece.
    pub fn of(&self, base: usize, graded: usize) -> u32 {
        self.0[base][graded]
    }

    /// The texts whose number differs from the drawn one; `pieces` are the indices of the base pieces in the pattern.
    pub fn changed(&self, bases: &[Base], pieces: &[usize]) -> Vec<Renumbered> {
        let all = bases.iter().zip(&self.0).zip(pieces).flat_map(|((base, numbers), &piece)| {
            let of = base.graded.iter().zip(numbers);
            of.filter(|(g, number)| g.rule != **number).map(move |(g, &number)| Renumbered {
                piece,
                text: g.text,
                number,
            })
        });
        all.collect()
    }
}

/// The drawing with only the sample size, with the new numbers in these texts; all other bytes stay the same.
pub fn base_drawing(
    drawing: &Drawing<'_>,
    pattern: &Pattern,
    renumbered: &[Renumbered],
    reading: &Reading,
) -> Result<Vec<u8>, GradeError> {
    let mut edits = Edits::default();
    for one in renumbered {
        let text = &pattern.pieces[one.piece].texts[one.text];
        let digits = number_of(drawing, pattern.pieces[one.piece].block, text)?;
        edits.replace(digits, one.number.to_string().as_bytes());
    }
    let mut bytes = Vec::with_capacity(drawing.bytes.len());
    let whole = Span::new(0, drawing.bytes.len());
    edits.apply(drawing.bytes, whole, &mut bytes);
    let sample = pattern.sample_size.as_deref().map(SizeName::new);
    let other = |size: &SizeName| Some(size) != sample.as_ref();
    let left: BTreeSet<usize> =
        pattern.pieces.iter().filter(|p| p.size.as_ref().is_some_and(other)).map(|p| p.block).collect();
    Ok(output::leave_out(&bytes, &left, reading)?.to_vec())
}

/// The bytes of the number in a rule text.
fn number_of(drawing: &Drawing<'_>, block: usize, text: &Text) -> Result<Span, GradeError> {
    let place = text.place.x;
    let mut entities = drawing.entities_of(&drawing.blocks[block]);
    let mut e = Entities::buffer();
    while entities.read(&mut e)? {
        if e.span.start > place.start || e.span.end < place.end {
            continue;
        }
        let values = e.pairs.iter().filter(|p| matches!(p.code, 1 | 3)).map(|p| p.value);
        let digits = |value: Span| {
            let bytes = value.of(drawing.bytes);
            let first = bytes.iter().position(|b| *b == b'#')? + 1;
            let blanks = bytes[first..].iter().take_while(|b| b.is_ascii_whitespace()).count();
            let count = bytes[first + blanks..].iter().take_while(|b| b.is_ascii_digit()).count();
            let start = value.start as usize + first + blanks;
            let place = Span::new(start, start + count);
            // These bytes must be the number that was read, and not something that only looks like it.
            let said = std::str::from_utf8(place.of(drawing.bytes)).ok()?.parse().ok();
            (said.is_some() && said == text.rule()).then_some(place)
        };
        if let Some(place) = values.into_iter().find_map(digits) {
            return Ok(place);
        }
    }
    Err(GradeError::RuleText { line: drawing.line(place.start), text: text.value.trim().to_owned() })
}
