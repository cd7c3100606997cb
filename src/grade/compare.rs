//! Compares sizes that are already drawn with their rules.

use super::base::{self, Base, Graded};
use super::{Deltas, GradeError, Options, RuleTable, common_name, from_sample, rows_from_sample};
use crate::dxf_text::Drawing;
use crate::finding::{Finding, FindingId};
use crate::pattern::{Pattern, SizeName};
use kurbo::{Point, Vec2};
use std::collections::{HashMap, VecDeque};

/// Deltas that differ by less than this, in mm, count as equal: half of the 0.01 mm within which a graded point is placed.
pub(super) const SAME: f64 = 0.005;

/// A drawn point fits its rule if it lies within this distance, in mm, of where the rule puts it. Tables are written with at
/// least one decimal, whose rounding adds up over some four steps from size to size. Grades themselves are 1 mm and more.
const FITS: f64 = 0.2;

/// A graded point in a size that is already drawn.
#[derive(Clone, Copy, Debug)]
pub(super) struct DrawnPoint {
    /// The indices of the base piece, of its graded point, and of the size in the table.
    pub base: usize,
    pub graded: usize,
    pub size: usize,
    /// Where it is drawn, in mm.
    pub at: Point,
}

/// For each graded point of a base piece, the same point in another drawing of the piece. It has the same rule on the same layer;
/// if there are several, they are matched in the order drawn. `None` if the other drawing does not have it.
pub(super) fn partners<'o>(base: &Base, other: &'o Base) -> Vec<Option<&'o Graded>> {
    let kind = |g: &Graded| (g.rule, g.layer.trim().to_ascii_lowercase());
    let mut others: HashMap<(u32, String), VecDeque<&Graded>> = HashMap::new();
    for g in &other.graded {
        others.entry(kind(g)).or_default().push_back(g);
    }
    base.graded.iter().map(|g| others.get_mut(&kind(g))?.pop_front()).collect()
}

/// The graded points of every drawn size that the table has.
pub(super) fn drawn(
    drawing: &Drawing<'_>,
    pattern: &Pattern,
    table: &RuleTable,
    bases: &[Base],
    options: &Options,
) -> Vec<DrawnPoint> {
    let mut found = Vec::new();
    let mut places: HashMap<SizeName, usize> = HashMap::new();
    for (b, base) in bases.iter().enumerate() {
        if let Some(name) = common_name(&base.piece) {
            places.entry(name).or_insert(b);
        }
    }
    let in_table: HashMap<&SizeName, usize> = table.sizes.iter().enumerate().map(|(i, s)| (s, i)).collect();
    for piece in &pattern.pieces {
        let Some(&size) = piece.size.as_ref().and_then(|s| in_table.get(s)) else { continue };
        let Some(&b) = places.get(&SizeName::new(&*piece.name)) else { continue };
        if table.sizes[size] == table.sample {
            continue;
        }
        // Faults of a drawn size are reported by the check and not here.
        let other = base::prepare(drawing, piece, &pattern.layers, options.reference, &mut Vec::new());
        let points = partners(&bases[b], &other).into_iter().enumerate();
        found.extend(points.filter_map(|(graded, o)| Some(DrawnPoint { base: b, graded, size, at: o?.at })));
    }
    found
}

/// How far drawn points are from the positions given by their rules.
#[derive(Clone, Copy, Debug)]
struct Residual {
    worst: f64,
    /// The drawn point with the largest deviation.
    which: DrawnPoint,
    rms: f64,
    count: usize,
}

fn residual(
    table: &RuleTable,
    sample: usize,
    bases: &[Base],
    drawn: &[DrawnPoint],
    deltas: Deltas,
) -> Option<Residual> {
    let mut all: Option<Residual> = None;
    let rows = rows_from_sample(table, sample, deltas);
    for point in drawn {
        let base = &bases[point.base];
        let graded = &base.graded[point.graded];
        let Some(row) = rows.get(&graded.rule) else { continue };
        let shift = base.axes.outward(row[point.size]);
        let off = (graded.at + shift - point.at).hypot();
        let so_far = all.get_or_insert(Residual { worst: -1.0, which: *point, rms: 0.0, count: 0 });
        so_far.rms += off * off;
        so_far.count += 1;
        if off > so_far.worst {
            (so_far.worst, so_far.which) = (off, *point);
        }
    }
    all.map(|r| Residual { rms: (r.rms / r.count as f64).sqrt(), ..r })
}

/// Settles from which size the deltas are counted: as stated, otherwise as the table says, otherwise as the drawn sizes show. If
/// sizes are drawn, a finding says how well they fit.
pub(super) fn settle(
    table: &RuleTable,
    sample: usize,
    bases: &[Base],
    drawn: &[DrawnPoint],
    stated: Option<Deltas>,
    findings: &mut Vec<Finding>,
) -> Result<Deltas, GradeError> {
    if let (Some(stated), Some(says)) = (stated, table.deltas())
        && stated != says
    {
        let message = "the table's head says that its deltas are counted otherwise than --deltas states; what is stated was taken. Leave \
                       --deltas out, or mend the head";
        findings.push(Finding::warning(FindingId::RuleMismatch, message));
    }
    let of = |deltas| residual(table, sample, bases, drawn, deltas);
    let (base, step) = (of(Deltas::Base), of(Deltas::Step));
    let chosen = match (stated.or(table.deltas()), base, step) {
        (Some(deltas), ..) => deltas,
        _ if alike(table, sample) => Deltas::Base,
        (None, Some(base), Some(step)) => {
            let shown =
                format!("from the sample size {:.3} mm, from size to size {:.3} mm", base.worst, step.worst);
            match (base.worst <= FITS, step.worst <= FITS) {
                (true, false) => Deltas::Base,
                (false, true) => Deltas::Step,
                (true, true) => {
                    return Err(GradeError::DeltasOpen {
                        why: format!(", and the drawn sizes fit both ({shown} at most)"),
                    });
                }
                (false, false) => {
                    findings.push(Finding::error(
                        FindingId::RuleMismatch,
                        format!("the drawn sizes fit the rules neither way ({shown} at most); give the table that belongs to the drawing, or say --deltas and leave the drawn sizes out"),
                    ));
                    Deltas::Base
                }
            }
        }
        _ => return Err(GradeError::DeltasOpen { why: ", and no other size is drawn to tell".to_owned() }),
    };
    if let Some(residual) = if chosen == Deltas::Base { base } else { step } {
        findings.push(deltas_found(table, bases, chosen, residual));
    }
    Ok(chosen)
}

fn deltas_found(table: &RuleTable, bases: &[Base], deltas: Deltas, residual: Residual) -> Finding {
    let Residual { worst, which, rms, count } = residual;
    let (base, size) = (&bases[which.base], &table.sizes[which.size]);
    let rule = base.graded[which.graded].rule;
    let how = if deltas == Deltas::Base { "from the sample size" } else { "from size to size" };
    let message = format!(
        "deltas taken {how}: {count} points of sizes that are drawn already lie {rms:.3} mm (root mean square) and at most {worst:.3} mm from where their rules put them, the latter at rule {rule}"
    );
    if worst <= FITS {
        return Finding::note(FindingId::ReadAs, message);
    }
    let message = format!("{message}. The drawn sizes stay as they are; check the table");
    let at = base.piece.drawn(which.at);
    Finding::warning(FindingId::RuleMismatch, message).about(&base.piece).size(size.clone()).at(at)
}

/// Whether both ways of counting the deltas give the same sizes.
fn alike(table: &RuleTable, sample: usize) -> bool {
    let differ = |row: &Vec<Vec2>| {
        let (base, step) = (from_sample(row, sample, Deltas::Base), from_sample(row, sample, Deltas::Step));
        base.iter().zip(&step).any(|(a, b)| (*a - *b).hypot() > SAME)
    };
    !table.rules.values().any(differ)
}
