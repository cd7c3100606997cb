//! Measuring every size of a drawing.

use super::{Opened, Settings};
use crate::check::second;
use crate::finding::{Finding, FindingId, Severity};
use crate::job::Job;
use crate::report::{MeasureReport, MeasuredSize};
use crate::seam::{self, Measures};

/// Measures the sizes asked for.
#[must_use]
pub fn measure(opened: &Opened<'_>, job: &Job, settings: &Settings) -> MeasureReport {
    let mut findings = opened.pattern.findings.clone();
    let sizes = seam::sizes(&opened.pattern, &job.labels);
    findings.extend(seam::doubtful_allowances(&opened.pattern, &sizes));
    // Lengths are right as the drawing states them, whatever wears them.
    let unit = seam::doubtful_unit(&opened.pattern, &sizes);
    findings.extend(unit.map(|finding| Finding { severity: Severity::Warning, ..finding }));
    let sizes: Vec<MeasuredSize> = sizes
        .into_iter()
        .filter(|s| settings.wants(&s.name))
        .map(|mut s| {
            let (again, fork) = (second::reread(&opened.drawing, &s), second::fork(&s));
            s.findings.extend(again.into_iter().chain(fork).chain(second::rough(&s)));
            MeasuredSize {
                size: s.name.to_string(),
                measures: s.pair().map(Measures::of),
                other_sides: s.pairs().skip(1).map(Measures::of).collect(),
                findings: s.findings,
            }
        })
        .collect();
    if sizes.is_empty() {
        findings.push(Finding::error(
            FindingId::SizeMissing,
            "the drawing has no trouser legs in the sizes asked for; look at the pieces' names and 'Size:' texts",
        ));
    }
    MeasureReport { format: "truerise-measures/1", drawing: opened.info(), sizes, findings }
}
