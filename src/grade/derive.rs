//! The other way round: the rule table of a nest whose sizes are all drawn.

use super::base::{self, Base};
use super::compare::{SAME, partners};
use super::effort;
use super::rules::LONGEST;
use super::{Deltas, GradeError, Options, RuleTable, common_name, in_size, sizes_of};
use crate::dxf_text::{Drawing, DxfError, Entities};
use crate::finding::{Finding, FindingId};
use crate::pattern::{Pattern, Piece, SizeName, label_of};
use crate::units::{Unit, plain};
use kurbo::Vec2;
use std::collections::{BTreeMap, HashMap};

/// A rule table read off a nest.
#[derive(Clone, Debug)]
pub struct Derived {
    /// The table. Not to be used where a finding is an error.
    pub table: RuleTable,
    /// What was noticed.
    pub findings: Vec<Finding>,
}

/// A rule while its points are gathered.
#[derive(Default)]
struct Gathered {
    /// For each size the sum of the deltas of its points that agree, and their number.
    sums: Vec<(Vec2, usize)>,
    /// For each size the first point's delta.
    first: Vec<Option<Vec2>>,
}

/// Reads the rules off a nest: for each number `# n` how far its points lie in each size from where they lie in
/// the sample size, along and across the piece's grade reference line in the sample size. Points of one
/// number that do not move alike, and points or pieces a size lacks, are findings. The table's deltas are
/// counted from the sample size unless the options say otherwise. Sizes that are all numbers are put in their
/// order, others stay in the drawing's.
pub fn derive(drawing: &Drawing<'_>, pattern: &Pattern, options: &Options) -> Result<Derived, GradeError> {
    let sample = SizeName::new(pattern.sample_size.as_deref().ok_or(GradeError::NoSample)?);
    let originals = in_size(pattern, &sample);
    let mut sizes = sizes_of(pattern);
    if originals.is_empty() {
        return Err(GradeError::NoBase { sample, drawn: sizes });
    }
    if sizes.len() < 2 {
        return Err(GradeError::OneSize { sample });
    }
    let number = |s: &SizeName| s.as_str().trim().parse::<f64>().ok().filter(|n| n.is_finite());
    if sizes.iter().all(|s| number(s).is_some()) {
        sizes.sort_by(|a, b| number(a).unwrap_or(0.0).total_cmp(&number(b).unwrap_or(0.0)));
    }
    effort::bearable(drawing, pattern, &originals, &sizes, options)?;
    let mut findings = Vec::new();
    let mut rules: BTreeMap<u32, Gathered> = BTreeMap::new();
    let mut there: HashMap<(SizeName, &SizeName), &Piece> = HashMap::new();
    for piece in &pattern.pieces {
        if let (Some(name), Some(size)) = (common_name(piece), &piece.size) {
            there.entry((name, size)).or_insert(piece);
        }
    }
    for piece in originals {
        let base = base::prepare(drawing, piece, &options.layers, options.reference, &mut findings);
        for (i, size) in sizes.iter().enumerate() {
            let drawn = || there.get(&(SizeName::new(&*piece.name), size)).copied();
            let twin = if *size == sample { Some(piece) } else { drawn() };
            let Some(twin) = twin else {
                if !base.graded.is_empty() {
                    let message = "the piece is not drawn in this size, so its rules have no delta for it and are left out; draw it, or take the size out of the drawing";
                    findings.push(
                        Finding::error(FindingId::SizeMissing, message)
                            .piece(&*piece.name)
                            .size(size.clone()),
                    );
                }
                continue;
            };
            let other = base::prepare(drawing, twin, &options.layers, options.reference, &mut Vec::new());
            gather(&base, &other, (i, size, sizes.len()), &mut rules, &mut findings);
        }
    }
    let at_sample = sizes.iter().position(|s| *s == sample).unwrap_or(0);
    let rules: BTreeMap<u32, Vec<Vec2>> =
        rules.into_iter().filter_map(|(n, g)| Some((n, row(&g, at_sample, options.deltas)?))).collect();
    // What rounding adds counts as well: the table is to be read again.
    let far = |d: &Vec2| d.x.abs().max(d.y.abs()) + 0.001 > LONGEST;
    if let Some((rule, i)) = rules.iter().find_map(|(&n, row)| Some((n, row.iter().position(far)?))) {
        return Err(GradeError::FarApart { rule, size: sizes[i].clone(), most: LONGEST });
    }
    if rules.is_empty() {
        let message = "no grade rule ('# n' at turn and curve points) is there in every size, so there is no table; add the rules";
        findings.push(Finding::error(FindingId::RuleMissing, message));
    }
    let unit = if pattern.unit == Unit::In { Unit::In } else { Unit::Mm };
    let name = table_name(drawing)?.unwrap_or_default();
    let table = RuleTable { unit, name, sample, sizes, rules, others: Vec::new() };
    Ok(Derived { table, findings })
}

/// Adds a piece's points in one size to their rules.
fn gather(
    base: &Base,
    other: &Base,
    (index, size, count): (usize, &SizeName, usize),
    rules: &mut BTreeMap<u32, Gathered>,
    findings: &mut Vec<Finding>,
) {
    let piece = &base.piece;
    let same = SAME.max(2.0 * piece.resolution.max(other.piece.resolution));
    for (g, partner) in base.graded.iter().zip(partners(base, other)) {
        let rule = rules
            .entry(g.rule)
            .or_insert_with(|| Gathered { sums: vec![(Vec2::ZERO, 0); count], first: vec![None; count] });
        let place = |f: Finding| f.piece(&*piece.name).size(size.clone()).at(piece.drawn(g.at));
        let Some(partner) = partner else {
            let message = format!(
                "the size lacks this point of rule {} (shown where it is in the sample size); add it with its text '# {}'",
                g.rule, g.rule
            );
            findings.push(place(Finding::error(FindingId::GradePointMissing, message)));
            continue;
        };
        let delta = base.axes.inward(partner.at - g.at);
        let first = *rule.first[index].get_or_insert(delta);
        if (delta - first).hypot() > same {
            let message = format!(
                "points of rule {} do not move alike: this one by {},{} mm, another by {},{} mm. Give it a rule number of its own",
                g.rule,
                plain(delta.x, 3),
                plain(delta.y, 3),
                plain(first.x, 3),
                plain(first.y, 3)
            );
            findings.push(place(Finding::error(FindingId::RuleMismatch, message)));
            continue;
        }
        rule.sums[index].0 += delta;
        rule.sums[index].1 += 1;
    }
}

/// A rule's deltas; `None` where a size has none.
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

/// The name of the rule table, as the drawing's own text says it.
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
