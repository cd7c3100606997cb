//! Grading a drawing by a rule table, and reading the table off a drawing.

use super::{Opened, sha256};
use crate::finding::{Finding, FindingId, Severity};
use crate::grade::{self, Deltas, GradeError, Options, RuleTable};
use crate::pattern::SizeName;
use crate::report::grade::{GradeReport, GradedSize, Status};
use crate::report::{OutputInfo, Verdict};
use std::collections::HashSet;

/// A report, and the bytes of the nest or the table where they may be used.
#[derive(Clone, Debug)]
pub struct Graded {
    /// What was found and done.
    pub report: GradeReport,
    /// The new file.
    pub bytes: Option<Vec<u8>>,
}

/// Weighs accepted errors less.
pub fn accept(findings: &mut [Finding], accepted: &[FindingId]) {
    for finding in findings.iter_mut() {
        if finding.severity == Severity::Error && accepted.contains(&finding.id) {
            finding.severity = Severity::Warning;
            finding.message.push_str(" (accepted)");
        }
    }
}

/// Draws the sizes of the table. `output` is the path the report names.
pub fn grade(
    opened: &Opened<'_>,
    table: &RuleTable,
    options: &Options,
    accepted: &[FindingId],
    output: &str,
) -> Result<Graded, GradeError> {
    let nest = grade::nest(&opened.drawing, &opened.pattern, table, options)?;
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

/// Reads the rules off the drawing. `output` is the path the report names.
pub fn derive(
    opened: &Opened<'_>,
    options: &Options,
    accepted: &[FindingId],
    output: &str,
) -> Result<Graded, GradeError> {
    let derived = grade::derive(&opened.drawing, &opened.pattern, options)?;
    let table = derived.table;
    let status = |size: &SizeName| if *size == table.sample { Status::Base } else { Status::Drawn };
    let deltas = options.deltas.unwrap_or(Deltas::Base);
    let bytes = table.write();
    Ok(report(opened, &table, deltas, &status, (derived.findings, bytes), accepted, output))
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
        verdict,
        deltas,
        sizes: sizes.collect(),
        rules: table.rules.len(),
        findings,
    };
    Graded { report, bytes }
}
