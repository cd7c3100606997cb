//! The look-over before marker making: for every check a drawing that it catches and a near miss that it
//! lets pass; clean drawings; comparison with an original.

mod against;
mod allowed;
mod beside;
mod clean;
mod counted;
pub mod differs;
mod drawn;
mod marked;
mod notched;
mod outlined;
mod planted;
mod sewn;
mod sized;
mod steps;
mod turned_up;
mod whole;

use crate::check;
use crate::finding::{Finding, Severity};
use crate::job::Job;
use crate::order::{self, Opened};
use crate::pattern::Reading;

/// Opens a drawing.
pub fn open(text: &str) -> Opened<'_> {
    let drawing = crate::dxf_text::Drawing::scan(text.as_bytes()).unwrap();
    order::open("drawing.dxf", text.as_bytes(), drawing, &Reading::default()).unwrap()
}

/// Everything that a drawing is found at fault for.
fn errors(text: &str) -> Vec<Finding> {
    check::run(&open(text), &Job::default(), None)
        .findings
        .into_iter()
        .filter(|f| f.severity > Severity::Note)
        .collect()
}

/// The same against an original.
fn errors_against(text: &str, original: &str) -> Vec<Finding> {
    let report = check::run(&open(text), &Job::default(), Some((&open(original), crate::check::By::Text)));
    report.findings.into_iter().filter(|f| f.severity > Severity::Note).collect()
}

/// The findings in a line each, for messages.
fn shown(findings: &[Finding]) -> String {
    let one =
        |f: &Finding| format!("{} {:?} {:?} {:?} {:?}: {}", f.id, f.size, f.piece, f.at, f.line, f.message);
    findings.iter().map(one).collect::<Vec<_>>().join("\n")
}
