//! Grading a drawing by a rule table, and reading the table off a drawing.

use super::{Opened, open, sha256};
use crate::check;
use crate::dxf_text::Drawing;
use crate::finding::{Finding, FindingId, Severity};
use crate::grade::{self, Deltas, GradeError, Nest, Options, Renumbered, RuleTable, Shared};
use crate::job::Job;
use crate::pattern::{ReadError, Reading, SizeName};
use crate::report::grade::{GradeReport, GradedSize, Status};
use crate::report::{OutputInfo, Verdict};
use std::collections::{BTreeMap, HashSet};

/// A report, and the bytes of the nest or the table where they may be used.
#[derive(Clone, Debug)]
pub struct Graded {
    /// What was found and done.
    pub report: GradeReport,
    /// The new nest or table.
    pub bytes: Option<Vec<u8>>,
    /// The drawing of the base size that belongs to a table read off a nest, if it was asked for.
    pub base: Option<Vec<u8>>,
}

/// Lowers the severity of accepted errors.
pub fn accept(findings: &mut [Finding], accepted: &[FindingId]) {
    for finding in findings {
        finding.accept(accepted);
    }
}

/// Draws the sizes of the table and checks the new nest; accepted errors get a lower severity.
pub fn nest(
    opened: &Opened<'_>,
    job: &Job,
    table: &RuleTable,
    options: &Options,
    accepted: &[FindingId],
) -> Result<Nest, GradeError> {
    let mut nest = grade::nest(&opened.drawing, &opened.pattern, table, options)?;
    accept(&mut nest.findings, accepted);
    // A nest that cannot be used for another reason is not checked.
    if !nest.added.is_empty() && Verdict::on(&nest.findings) == Verdict::Pass {
        nest.findings.extend(look_over(opened, job, &nest.bytes));
        accept(&mut nest.findings, accepted);
    }
    Ok(nest)
}

/// The errors that the checks before marker making find in a nest drawn from a drawing. An error that is in that drawing as well
/// is not a result of grading: it is reported once, as a warning.
fn look_over(opened: &Opened<'_>, job: &Job, bytes: &[u8]) -> Vec<Finding> {
    let reading = Reading { unit: Some(opened.plain()), ..job.reading() };
    let read = || -> Result<Vec<Finding>, ReadError> {
        let new = open(opened.path, bytes, Drawing::scan(bytes)?, &reading)?;
        Ok(check::run(&new, job, None).findings)
    };
    let found = match read() {
        Ok(found) => found,
        Err(error) => {
            let message = format!("the new nest cannot be read again: {error}");
            return vec![Finding::error(FindingId::RereadDiffers, message)];
        }
    };
    let what = |f: &Finding| (f.id, f.piece.clone());
    let is_error = |f: &Finding| f.severity == Severity::Error;
    let mut before: BTreeMap<_, Finding> = BTreeMap::new();
    for finding in check::run(opened, job, None).findings.into_iter().filter(is_error) {
        before.entry(what(&finding)).or_insert(finding);
    }
    let mut findings = Vec::new();
    for mut finding in found.into_iter().filter(is_error) {
        if let Some(old) = before.get_mut(&what(&finding)) {
            if old.severity == Severity::Error {
                old.severity = Severity::Warning;
                let message = format!("so it is in the drawing that was graded: {}", old.message);
                findings.push(Finding { message, ..old.clone() });
            }
            continue;
        }
        // The table decides which sizes there are.
        if finding.id == FindingId::SizeMissing {
            finding.severity = Severity::Warning;
        }
        // Line numbers are left out, because the file may never be written.
        findings.push(Finding { line: None, ..finding });
    }
    findings
}

/// Draws the sizes of the table. `output` is the path that the report names.
pub fn grade(
    opened: &Opened<'_>,
    job: &Job,
    table: &RuleTable,
    options: &Options,
    accepted: &[FindingId],
    output: &str,
) -> Result<Graded, GradeError> {
    let nest = nest(opened, job, table, options, accepted)?;
    let added: HashSet<&SizeName> = nest.added.iter().collect();
    let drawn: HashSet<&SizeName> = opened.pattern.pieces.iter().filter_map(|p| p.size.as_ref()).collect();
    let status = |size: &SizeName| {
        if *size == table.sample {
            Status::Base
        } else if added.contains(size) {
            Status::Added
        } else if drawn.contains(size) {
            Status::Drawn
        } else {
            Status::Skipped
        }
    };
    Ok(report(opened, table, nest.deltas, &status, (nest.findings, nest.bytes), accepted, output))
}

/// Reads the rules off the drawing. If points may be renumbered, the drawing of the base size comes with the table. `output` is
/// the path that the report names.
pub fn derive(
    opened: &Opened<'_>,
    options: &Options,
    shared: Shared,
    accepted: &[FindingId],
    output: &str,
) -> Result<Graded, GradeError> {
    let (drawing, pattern) = (&opened.drawing, &opened.pattern);
    let mut derived = grade::derive(drawing, pattern, options, shared)?;
    derived.findings.extend(derived.renumbered.iter().map(|one| new_number(opened, one)));
    let table = derived.table;
    let status = |size: &SizeName| if *size == table.sample { Status::Base } else { Status::Drawn };
    let deltas = options.deltas.unwrap_or(Deltas::Base);
    let bytes = table.write();
    let mut graded = report(opened, &table, deltas, &status, (derived.findings, bytes), accepted, output);
    if shared == Shared::Renumbered && graded.bytes.is_some() {
        graded.base = Some(grade::base_drawing(drawing, pattern, &derived.renumbered, &opened.reading)?);
    }
    Ok(graded)
}

/// The note about a point that gets another rule number.
fn new_number(opened: &Opened<'_>, one: &Renumbered) -> Finding {
    let piece = &opened.pattern.pieces[one.piece];
    let text = &piece.texts[one.text];
    let message = format!(
        "'{}' is '# {}' now: the point does not move as others of its rule do",
        text.value.trim(),
        one.number
    );
    Finding::note(FindingId::RuleMismatch, message).about(piece).at(piece.drawn(text.at))
}

fn report(
    opened: &Opened<'_>,
    table: &RuleTable,
    deltas: Deltas,
    status: &dyn Fn(&SizeName) -> Status,
    (noticed, bytes): (Vec<Finding>, Vec<u8>),
    accepted: &[FindingId],
    output: &str,
) -> Graded {
    let mut findings = opened.pattern.findings.clone();
    findings.extend(noticed);
    accept(&mut findings, accepted);
    let verdict = Verdict::on(&findings);
    let bytes = (verdict == Verdict::Pass).then_some(bytes);
    let sizes = table.sizes.iter().map(|s| GradedSize { size: s.to_string(), status: status(s) });
    let report = GradeReport {
        format: "truerise-grade/1",
        drawing: opened.info(),
        output: bytes.as_ref().map(|b| OutputInfo { path: output.to_owned(), sha256: sha256(b) }),
        base: None,
        verdict,
        deltas,
        sizes: sizes.collect(),
        rules: table.rules.len(),
        findings,
    };
    Graded { report, bytes, base: None }
}
