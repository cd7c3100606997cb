//! Grading: from a base size and its grade rules to a nest of sizes, and back.
//!
//! [`nest`] draws every size of a rule table ([`RuleTable`]) from the pieces of the sample size. Graded points move by their
//! rules, [`interpolate`] moves the line between them, and [`mean_value`] moves the rest. Every block is a copy of the original's
//! bytes with new numbers (`copy`). [`derive()`] derives the rules from a nest.
//!
//! In: a scanned drawing and its pieces. Out: bytes or a table, with findings. If a finding is an error, the bytes must not be
//! used. Lengths are in mm; deltas run along and across the piece's grade reference line, from its first point to its last.

mod assemble;
mod base;
mod compare;
mod copy;
mod derive;
mod effort;
pub mod interpolate;
pub mod mean_value;
pub mod offset;
mod renumber;
mod rules;
mod shift;
pub mod through_notches;

#[cfg(test)]
pub use derive::Derived;
pub use derive::{Shared, derive};
pub use renumber::{Renumbered, base_drawing};
pub use rules::RuleTable;

use crate::check::reread;
use crate::dxf_text::{Drawing, DxfError};
use crate::finding::{Finding, FindingId};
pub use crate::job::Deltas;
use crate::output;
use crate::pattern::{Pattern, Piece, SizeName};
use assemble::Assembly;
use base::Base;
use copy::{Noticed, Resize};
use kurbo::{Point, Vec2};
use shift::Shifts;
use std::collections::{BTreeMap, HashSet};

/// The settings for grading.
#[derive(Clone, Debug, Default)]
pub struct Options {
    /// From which size the deltas are counted, if that is known.
    pub deltas: Option<Deltas>,
    /// The sizes to draw; empty means all.
    pub only: Vec<SizeName>,
    /// The number of the grade reference line to use if those of a piece have different directions, from 1 in the order drawn.
    pub reference: Option<usize>,
    /// Skip the second, independent reading of every piece that was drawn.
    pub no_reread: bool,
}

/// A nest that was drawn.
#[derive(Clone, Debug)]
pub struct Nest {
    /// The drawing with every size. It must not be used if a finding is an error.
    pub bytes: Vec<u8>,
    /// What was noticed.
    pub findings: Vec<Finding>,
    /// From which size the deltas were counted.
    pub deltas: Deltas,
    /// The sizes that were added, in the table's order.
    pub added: Vec<SizeName>,
}

/// Why a drawing cannot be graded at all.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum GradeError {
    /// The text is bad.
    #[error(transparent)]
    Text(#[from] DxfError),
    /// No piece is drawn in the sample size.
    #[error("no piece of the drawing is in the sample size {sample}; it has {}. Give the table that belongs to it, or put right the 'Size:' texts", listed(.drawn))]
    NoBase {
        /// The sample size.
        sample: SizeName,
        /// The sizes the drawing has.
        drawn: Vec<SizeName>,
    },
    /// The drawing does not say its sample size.
    #[error("the drawing does not say which size is the base; add a text 'Sample Size: …' on layer 1")]
    NoSample,
    /// A nest of one size has no rules.
    #[error("the drawing has no size beside the sample size {sample}; rules can only be read off a nest")]
    OneSize {
        /// The sample size.
        sample: SizeName,
    },
    /// It is unknown from which size the deltas are counted.
    #[error(
        "it is open whether the deltas run from the sample size or from size to size{why}; say --deltas base or --deltas step"
    )]
    DeltasOpen {
        /// Why it could not be found out.
        why: String,
    },
    /// A piece has more points, rules and texts than can be processed.
    #[error(
        "the piece {piece} has so many points, rules, notches and texts that its sizes would take too long to draw; look for what is drawn many times"
    )]
    TooFine {
        /// The piece.
        piece: String,
    },
    /// A point is too far from its position in the sample size.
    #[error(
        "points of rule {rule} lie more than {most} mm from one size to size {size}, which is no grade; look whether both are the same piece, and at the unit"
    )]
    FarApart {
        /// The rule.
        rule: u32,
        /// The size.
        size: SizeName,
        /// The most that a delta may be, in mm.
        most: f64,
    },
    /// The nest would be too large.
    #[error(
        "{pieces} pieces in {sizes} sizes are more than one nest can hold ({most} MB or {pairs} pieces); grade fewer sizes at a time with --size, or look whether the drawing and its table belong together"
    )]
    TooLarge {
        /// The pieces in the sample size.
        pieces: usize,
        /// The sizes.
        sizes: usize,
        /// The most megabytes.
        most: usize,
        /// The most pieces in all sizes.
        pairs: usize,
    },
    /// The name of a copy is already in use.
    #[error("the drawing has a block named {name} already, and it is not that piece in that size; rename it")]
    NameTaken {
        /// The name.
        name: String,
    },
    /// No BLOCK holds the pieces.
    #[error(
        "the pieces are no blocks (closed outlines in ENTITIES); to be graded each has to be a BLOCK of its own"
    )]
    NoBlocks,
    /// The number in a rule text cannot be replaced.
    #[error(
        "line {line}: the number of the rule text '{text}' cannot be replaced; write it as a TEXT of its own in plain letters"
    )]
    RuleText {
        /// Where it stands.
        line: usize,
        /// What it says.
        text: String,
    },
    /// The other sizes cannot be removed from the drawing of the base size.
    #[error("the base size's drawing: {0}")]
    LeftOut(#[from] output::LeftOutError),
    /// A block is not in the table of block records.
    #[error(
        "the block {name} is missing from the table of block records; the drawing is damaged. Export it again"
    )]
    NoRecord {
        /// The block.
        name: String,
    },
}

fn listed(sizes: &[SizeName]) -> String {
    let names: Vec<&str> = sizes.iter().map(SizeName::as_str).collect();
    if names.is_empty() { "no 'Size:' texts".to_owned() } else { names.join(", ") }
}

/// Converts the deltas of a rule to displacements from the sample size, in the order of the sizes.
fn from_sample(row: &[Vec2], sample: usize, deltas: Deltas) -> Vec<Vec2> {
    let mut all = row.to_vec();
    if deltas == Deltas::Step {
        for i in sample + 1..all.len() {
            let before = all[i - 1];
            all[i] += before;
        }
        for i in (0..sample.min(all.len())).rev() {
            let after = all[i + 1];
            all[i] += after;
        }
    }
    all
}

/// Converts the rules of a table to displacements from the sample size.
fn rows_from_sample(table: &RuleTable, sample: usize, deltas: Deltas) -> BTreeMap<u32, Vec<Vec2>> {
    table.rules.iter().map(|(&number, row)| (number, from_sample(row, sample, deltas))).collect()
}

/// The pieces of the drawing that are in this size.
fn in_size<'p>(pattern: &'p Pattern, size: &SizeName) -> Vec<&'p Piece> {
    pattern.pieces.iter().filter(|p| p.size.as_ref() == Some(size)).collect()
}

/// The sizes of the drawing, in its order.
fn sizes_of(pattern: &Pattern) -> Vec<SizeName> {
    let mut seen = HashSet::new();
    pattern.pieces.iter().filter_map(|p| p.size.as_ref()).filter(|s| seen.insert(*s)).cloned().collect()
}

/// The name that a piece has in all sizes and by which it is found there, compared without regard to blanks and case. A name
/// taken from the block differs from size to size and gives `None`.
fn common_name(piece: &Piece) -> Option<SizeName> {
    piece.labels.name.is_some().then(|| SizeName::new(&*piece.name))
}

/// Draws every size of the table from the pieces in its sample size. Sizes that are already drawn are not changed, but compared
/// with their rules.
pub fn nest(
    drawing: &Drawing<'_>,
    pattern: &Pattern,
    table: &RuleTable,
    options: &Options,
) -> Result<Nest, GradeError> {
    let no_base = || GradeError::NoBase { sample: table.sample.clone(), drawn: sizes_of(pattern) };
    let sample = table.sample_index().ok_or_else(no_base)?;
    let originals = in_size(pattern, &table.sample);
    if originals.is_empty() {
        return Err(no_base());
    }
    if originals.iter().any(|p| drawing.blocks[p.block].is_plain()) {
        return Err(GradeError::NoBlocks);
    }
    effort::within_limits(drawing, pattern, &originals, &table.sizes, options)?;
    let mut findings = Vec::new();
    inspect(pattern, table, &originals, &mut findings);
    let bases: Vec<Base> = originals
        .iter()
        .map(|p| base::prepare(drawing, p, &pattern.layers, options.reference, &mut findings))
        .collect();
    missing_rules(drawing, table, &bases, &mut findings);
    let drawn = compare::drawn(drawing, pattern, table, &bases, options);
    let deltas = compare::settle(table, sample, &bases, &drawn, options.deltas, &mut findings)?;

    let mut assembly = Assembly::new(drawing, &originals.iter().map(|p| p.block).collect::<Vec<_>>())?;
    let mut noticed: Vec<Option<Noticed>> = vec![None; bases.len()];
    // A piece that is already drawn in a size is left as it is.
    let there: HashSet<(SizeName, &SizeName)> =
        pattern.pieces.iter().filter_map(|p| Some((common_name(p)?, p.size.as_ref()?))).collect();
    let rows = rows_from_sample(table, sample, deltas);
    let run = Run { drawing, table, sample, rows, reread: !options.no_reread };
    let mut added = Vec::new();
    for (i, size) in table.sizes.iter().enumerate().filter(|(i, _)| *i != sample) {
        if !options.only.is_empty() && !options.only.contains(size) {
            continue;
        }
        for (base, noticed) in bases.iter().zip(&mut noticed) {
            if there.contains(&(SizeName::new(&*base.piece.name), size)) {
                continue;
            }
            *noticed = Some(run.draw(base, i, &mut assembly, &mut findings)?);
            if added.last() != Some(size) {
                added.push(size.clone());
            }
        }
    }
    for (base, noticed) in bases.iter().zip(&noticed) {
        if let Some(noticed) = noticed {
            report(base, noticed, &table.sample, &mut findings);
        }
    }
    Ok(Nest { bytes: assembly.finish(), findings, deltas, added })
}

/// The data used to draw every size.
struct Run<'r, 'd> {
    drawing: &'r Drawing<'d>,
    table: &'r RuleTable,
    /// The sample size's index in the table.
    sample: usize,
    /// For each rule the displacements from the sample size.
    rows: BTreeMap<u32, Vec<Vec2>>,
    /// Whether every copy is checked by the second reader.
    reread: bool,
}

impl Run<'_, '_> {
    /// Adds a piece in the size with this index.
    fn draw(
        &self,
        base: &Base,
        size: usize,
        assembly: &mut Assembly<'_, '_>,
        findings: &mut Vec<Finding>,
    ) -> Result<Noticed, GradeError> {
        let piece = &base.piece;
        let resize = Resize { from: &self.table.sample, to: &self.table.sizes[size] };
        let place = |f: Finding| f.about(piece).size(resize.to.clone());
        let shift_of = |rule: &u32| Some(base.axes.outward(*self.rows.get(rule)?.get(size)?));
        let graded: Vec<Option<Vec2>> = base.graded.iter().map(|g| shift_of(&g.rule)).collect();
        let shifts = Shifts::new(base, &graded);
        for (i, by) in shifts.strayed(&graded) {
            let g = &base.graded[i];
            let at = piece.drawn(g.at + graded[i].unwrap_or_default());
            let message = format!(
                "rule {} puts a notch {by:.1} mm off its edge; grade a curve point near it, or put right the rule",
                g.rule
            );
            findings.push(place(Finding::warning(FindingId::NotchOffEdge, message)).at(at));
        }
        let (moved, meant) =
            output::block(self.drawing, piece, &shifts.change(&graded), &output::Handles::default());
        findings.extend(reread::beyond(&meant, piece.scale).map(place));
        let along = |p: Point| shifts.at((p.to_vec2() * piece.scale).to_point()) / piece.scale;
        let (noticed, bytes) = assembly.add(piece.block, size < self.sample, resize, &moved.bytes, &along)?;
        if self.reread {
            findings.extend(reread::block(&bytes, &meant, self.drawing.line_end(), piece.scale).map(place));
        }
        Ok(noticed)
    }
}

/// Reports what is wrong with the drawing's sizes, before anything is drawn.
fn inspect(pattern: &Pattern, table: &RuleTable, originals: &[&Piece], findings: &mut Vec<Finding>) {
    if let Some(said) = pattern.sample_size.as_ref().filter(|s| SizeName::new(s.as_str()) != table.sample) {
        findings.push(Finding::warning(
            FindingId::SizeMissing,
            format!("the drawing says 'Sample Size: {said}' and the rule table {}; the table's was used. Check that they belong together", table.sample),
        ));
    }
    for piece in pattern.pieces.iter().filter(|p| p.size.is_none()) {
        let message =
            format!("the piece has no 'Size:' text, so it was not graded; add 'Size: {}'", table.sample);
        findings.push(Finding::error(FindingId::LabelMissing, message).about(piece));
    }
    let in_table: HashSet<&SizeName> = table.sizes.iter().collect();
    for size in sizes_of(pattern).into_iter().filter(|s| !in_table.contains(s)) {
        let message =
            "the size is drawn but not in the rule table; it stays as it is, and nothing compares it";
        findings.push(Finding::warning(FindingId::SizeMissing, message).size(size));
    }
    let mut seen = HashSet::new();
    for piece in originals {
        let name = SizeName::new(&*piece.name);
        let twice = seen.contains(&name);
        seen.extend(common_name(piece));
        if twice {
            let message =
                "the piece is drawn twice in this size; keep one of the two blocks, or give one another name";
            findings
                .push(Finding::error(FindingId::SizeTwice, message).about(piece).size(table.sample.clone()));
        }
    }
}

/// Reports rules that the drawing uses but the table does not have, and points with two different rules.
fn missing_rules(drawing: &Drawing<'_>, table: &RuleTable, bases: &[Base], findings: &mut Vec<Finding>) {
    for base in bases {
        let piece = &base.piece;
        for (i, g) in base.graded.iter().enumerate() {
            let line = drawing.line(piece.texts[g.text].place.x.start);
            let place = |f: Finding| f.about(piece).at(piece.drawn(g.at)).line(line);
            let Some(row) = table.rules.get(&g.rule) else {
                let message = format!(
                    "the rule table has no rule {}; add RULE: DELTA {} or put right the text '# {}'",
                    g.rule, g.rule, g.rule
                );
                findings.push(place(Finding::error(FindingId::RuleMissing, message)));
                continue;
            };
            let rival = base.graded[..i]
                .iter()
                .find(|o| o.rule != g.rule && o.vertices.iter().any(|v| g.vertices.contains(v)));
            if let Some(other) = rival
                && table
                    .rules
                    .get(&other.rule)
                    .is_some_and(|o| o.iter().zip(row).any(|(a, b)| (*a - *b).hypot() > compare::SAME))
            {
                let message = format!(
                    "the point has two rules, {} and {}, that move it differently; keep one",
                    other.rule, g.rule
                );
                findings.push(place(Finding::error(FindingId::RuleMismatch, message)));
            }
        }
    }
}

/// Reports what was noticed in copying a piece's block.
fn report(base: &Base, noticed: &Noticed, sample: &SizeName, findings: &mut Vec<Finding>) {
    if !noticed.size_text {
        let message = format!(
            "the text 'Size: {sample}' could not be replaced in the copies; write it as a TEXT of its own in plain letters"
        );
        findings.push(Finding::error(FindingId::LabelMissing, message).about(&base.piece));
    }
    let mut note = |message: String| {
        findings.push(Finding::note(FindingId::ReadAs, message).about(&base.piece));
    };
    if !noticed.unmoved.is_empty() {
        let kinds: Vec<&str> = noticed.unmoved.iter().map(String::as_str).collect();
        note(format!(
            "entities of kind {} were copied where they stand; look at them in every size",
            kinds.join(", ")
        ));
    }
    if noticed.retitled > 0 {
        let texts = match noticed.retitled {
            1 => "another text says".to_owned(),
            n => format!("{n} other texts say"),
        };
        note(format!("{texts} 'SIZE {sample}'; the copies name their own size there"));
    }
    if noticed.left_out > 0 {
        note(format!(
            "{} extension dictionaries and reactors of entities were not copied; they belong to the original",
            noticed.left_out
        ));
    }
}
