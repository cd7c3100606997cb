//! The reverse of grading: derives the rule table from a nest in which every size is drawn.

use super::base::{self, Base};
use super::compare::{SAME, partners};
use super::effort;
use super::renumber::{Numbers, Renumbered, Seen};
use super::rules::LONGEST;
use super::{Deltas, GradeError, Options, RuleTable, common_name, sizes_of};
use crate::dxf_text::{Drawing, DxfError, Entities};
use crate::finding::{Finding, FindingId};
use crate::pattern::{Pattern, Piece, SizeName, label_of};
use crate::units::{Unit, plain};
use kurbo::Vec2;
use std::collections::{BTreeMap, HashMap};

/// A rule table derived from a nest.
#[derive(Clone, Debug)]
pub struct Derived {
    /// The table. It must not be used if a finding is an error.
    pub table: RuleTable,
    /// What was noticed.
    pub findings: Vec<Finding>,
    /// The rule texts of the sample size that need another number for this table.
    pub renumbered: Vec<Renumbered>,
}

/// The deltas of a rule while they are collected from its points.
#[derive(Default)]
struct Gathered {
    /// For each size, the sum of those deltas that agree with the first one, and their number.
    sums: Vec<(Vec2, usize)>,
    /// For each size, the delta of the first point.
    first: Vec<Option<Vec2>>,
}

/// What is done if points with the same rule number have different deltas.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Shared {
    /// It is reported as an error.
    Told,
    /// The points that differ get new numbers, which then have to be written into the drawing of the base size.
    Renumbered,
}

/// Derives the rules from a nest. For each rule number `# n` and each size, the delta is the displacement of its points from
/// their position in the sample size, along and across the piece's grade reference line in the sample size. If points with the
/// same number have different deltas, this is a finding, or they get new numbers, as `shared` says. A point or piece that is
/// missing in a size is a finding. The deltas of the table are counted from the sample size unless the options say otherwise. If
/// all sizes are numbers, they are sorted; otherwise they keep the order of the drawing.
pub fn derive(
    drawing: &Drawing<'_>,
    pattern: &Pattern,
    options: &Options,
    shared: Shared,
) -> Result<Derived, GradeError> {
    let sample = SizeName::new(pattern.sample_size.as_deref().ok_or(GradeError::NoSample)?);
    let of_sample = |p: &&Piece| p.size.as_ref() == Some(&sample);
    let pieces: Vec<usize> =
        pattern.pieces.iter().enumerate().filter(|(_, p)| of_sample(p)).map(|(i, _)| i).collect();
    let originals: Vec<&Piece> = pieces.iter().map(|&i| &pattern.pieces[i]).collect();
    let sizes = in_order(sizes_of(pattern));
    if originals.is_empty() {
        return Err(GradeError::NoBase { sample, drawn: sizes_of(pattern) });
    }
    if sizes.len() < 2 {
        return Err(GradeError::OneSize { sample });
    }
    effort::within_limits(drawing, pattern, &originals, &sizes, options)?;
    let mut findings = Vec::new();
    let prepared = |p: &&Piece, findings: &mut Vec<Finding>| {
        base::prepare(drawing, p, &pattern.layers, options.reference, findings)
    };
    let mut bases = Vec::with_capacity(originals.len());
    let mut seen = Vec::new();
    let there = by_name(pattern);
    for (b, piece) in originals.iter().enumerate() {
        bases.push(prepared(piece, &mut findings));
        for (i, size) in sizes.iter().enumerate() {
            let drawn = || there.get(&(SizeName::new(&*piece.name), size)).copied();
            let Some(twin) = (if *size == sample { Some(*piece) } else { drawn() }) else {
                if !bases[b].graded.is_empty() {
                    let message = "the piece is not drawn in this size, so its rules have no delta for it and are left out; draw it, or take the size out of the drawing";
                    let finding = Finding::error(FindingId::SizeMissing, message);
                    findings.push(finding.about(piece).size(size.clone()));
                }
                continue;
            };
            let other = prepared(&twin, &mut Vec::new());
            seen.push(deviations(&bases[b], &other, (b, i), size, &mut findings));
        }
    }
    let numbers = match shared {
        Shared::Told => Numbers::drawn(&bases),
        Shared::Renumbered => Numbers::given(&bases, &seen),
    };
    let mut rules: BTreeMap<u32, Gathered> = BTreeMap::new();
    for one in &seen {
        gather(&bases[one.base], one, &sizes, &numbers, &mut rules, &mut findings);
    }
    let rules = table_rules(rules, &sizes, &sample, options.deltas, &mut findings)?;
    let unit = if pattern.unit == Unit::In { Unit::In } else { Unit::Mm };
    let name = table_name(drawing)?.unwrap_or_default();
    let others = vec![RuleTable::counted_from(options.deltas.unwrap_or(Deltas::Base))];
    let table = RuleTable { unit, name, sample, sizes, rules, others };
    Ok(Derived { table, findings, renumbered: numbers.changed(&bases, &pieces) })
}

/// Sorts the sizes if all of them are numbers; otherwise keeps their order.
fn in_order(mut sizes: Vec<SizeName>) -> Vec<SizeName> {
    let number = |s: &SizeName| s.as_str().trim().parse::<f64>().ok().filter(|n| n.is_finite());
    if sizes.iter().all(|s| number(s).is_some()) {
        sizes.sort_by(|a, b| number(a).unwrap_or(0.0).total_cmp(&number(b).unwrap_or(0.0)));
    }
    sizes
}

/// The pieces by size and by the name they have in all sizes.
fn by_name(pattern: &Pattern) -> HashMap<(SizeName, &SizeName), &Piece> {
    let mut there = HashMap::new();
    for piece in &pattern.pieces {
        if let (Some(name), Some(size)) = (common_name(piece), &piece.size) {
            there.entry((name, size)).or_insert(piece);
        }
    }
    there
}

/// The rows of the rule table.
fn table_rules(
    gathered: BTreeMap<u32, Gathered>,
    sizes: &[SizeName],
    sample: &SizeName,
    deltas: Option<Deltas>,
    findings: &mut Vec<Finding>,
) -> Result<BTreeMap<u32, Vec<Vec2>>, GradeError> {
    let at_sample = sizes.iter().position(|s| s == sample).unwrap_or(0);
    let rules: BTreeMap<u32, Vec<Vec2>> =
        gathered.into_iter().filter_map(|(n, g)| Some((n, row(&g, at_sample, deltas)?))).collect();
    // The rounding in writing the table is added, because the table has to stay readable.
    let far = |d: &Vec2| d.x.abs().max(d.y.abs()) + 0.001 > LONGEST;
    if let Some((rule, i)) = rules.iter().find_map(|(&n, row)| Some((n, row.iter().position(far)?))) {
        return Err(GradeError::FarApart { rule, size: sizes[i].clone(), most: LONGEST });
    }
    if rules.is_empty() {
        let message = "no grade rule ('# n' at turn and curve points) is there in every size, so there is no table; add the rules";
        findings.push(Finding::error(FindingId::RuleMissing, message));
    }
    Ok(rules)
}

/// The deltas of a piece's points in one size from the sample size. A point missing in the size is a finding.
fn deviations(
    base: &Base,
    other: &Base,
    (b, size): (usize, usize),
    name: &SizeName,
    findings: &mut Vec<Finding>,
) -> Seen {
    let piece = &base.piece;
    let mut deltas = Vec::with_capacity(base.graded.len());
    for (g, partner) in base.graded.iter().zip(partners(base, other)) {
        if partner.is_none() {
            let message = format!(
                "the size lacks this point of rule {} (shown where it is in the sample size); add it with its text '# {}'",
                g.rule, g.rule
            );
            let finding = Finding::error(FindingId::GradePointMissing, message);
            findings.push(finding.about(piece).size(name.clone()).at(piece.drawn(g.at)));
        }
        deltas.push(partner.map(|partner| base.axes.inward(partner.at - g.at)));
    }
    let same = SAME.max(2.0 * piece.resolution.max(other.piece.resolution));
    Seen { base: b, size, deltas, same }
}

/// Adds the deltas of a piece's points in one size to their rules.
fn gather(
    base: &Base,
    seen: &Seen,
    sizes: &[SizeName],
    numbers: &Numbers,
    rules: &mut BTreeMap<u32, Gathered>,
    findings: &mut Vec<Finding>,
) {
    let (piece, index, count) = (&base.piece, seen.size, sizes.len());
    for (i, (g, delta)) in base.graded.iter().zip(&seen.deltas).enumerate() {
        let number = numbers.of(seen.base, i);
        let rule = rules
            .entry(number)
            .or_insert_with(|| Gathered { sums: vec![(Vec2::ZERO, 0); count], first: vec![None; count] });
        let Some(delta) = *delta else { continue };
        let first = *rule.first[index].get_or_insert(delta);
        if (delta - first).hypot() > seen.same {
            let message = format!(
                "points of rule {number} do not move alike: this one by {},{} mm, another by {},{} mm. Give it a rule number of \
                 its own, or say where to draw the base size with new numbers (-o)",
                plain(delta.x, 3),
                plain(delta.y, 3),
                plain(first.x, 3),
                plain(first.y, 3)
            );
            let finding = Finding::error(FindingId::RuleMismatch, message);
            findings.push(finding.about(piece).size(sizes[index].clone()).at(piece.drawn(g.at)));
            continue;
        }
        rule.sums[index].0 += delta;
        rule.sums[index].1 += 1;
    }
}

/// The deltas of a rule for all sizes; `None` if a size has no delta for it.
fn row(gathered: &Gathered, sample: usize, deltas: Option<Deltas>) -> Option<Vec<Vec2>> {
    let mean = |&(sum, n): &(Vec2, usize)| (n > 0).then(|| sum / n as f64);
    let row: Vec<Vec2> = gathered.sums.iter().map(mean).collect::<Option<_>>()?;
    if deltas != Some(Deltas::Step) {
        return Some(row);
    }
    let step = |i: usize| match i.cmp(&sample) {
        std::cmp::Ordering::Less => row[i] - row[i + 1],
        std::cmp::Ordering::Equal => Vec2::ZERO,
        std::cmp::Ordering::Greater => row[i] - row[i - 1],
    };
    Some((0..row.len()).map(step).collect())
}

/// The name of the rule table according to the drawing's own text.
fn table_name(drawing: &Drawing<'_>) -> Result<Option<String>, DxfError> {
    let Some(section) = drawing.section("ENTITIES") else { return Ok(None) };
    let mut entities = drawing.entities(section.body);
    let mut e = Entities::buffer();
    while entities.read(&mut e)? {
        let Some(value) = (e.is("TEXT") || e.is("MTEXT")).then(|| e.get(1)).flatten() else { continue };
        let text = drawing.text(value.value);
        if let Some((key, name)) = label_of(&text)
            && matches!(key.as_str(), "graderuletable" | "gradingruletable")
        {
            return Ok(Some(name.to_owned()));
        }
    }
    Ok(None)
}
