//! Grading a base into a nest, and reading the rules off a nest.

mod made_by_ezdxf;
mod rectangle;
mod sample;

use crate::dxf_text::Drawing;
use crate::finding::{Finding, FindingId, Severity};
use crate::grade::{self, Deltas, GradeError, Nest, Options, RuleTable, Shared};
use crate::pattern::{self, Reading};

pub fn nest(base: &[u8], table: &RuleTable, deltas: Option<Deltas>) -> Result<Nest, GradeError> {
    let drawing = Drawing::scan(base).unwrap();
    let read = pattern::read(&drawing, &Reading::default()).unwrap();
    grade::nest(&drawing, &read, table, &Options { deltas, ..Options::default() })
}

pub fn derive(nest: &[u8], deltas: Option<Deltas>) -> Result<grade::Derived, GradeError> {
    let drawing = Drawing::scan(nest).unwrap();
    let read = pattern::read(&drawing, &Reading::default()).unwrap();
    grade::derive(&drawing, &read, &Options { deltas, ..Options::default() }, Shared::Told)
}

pub fn ids(findings: &[Finding], severity: Severity) -> Vec<FindingId> {
    findings.iter().filter(|f| f.severity == severity).map(|f| f.id).collect()
}
