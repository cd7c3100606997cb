//! The look-over of a drawing, alone and beside another.

use super::{open, parted, reported};
use crate::check;
use crate::finding::{Finding, FindingId};
use crate::job::Job;
use crate::order::{self, Opened};
use crate::report::{CheckReport, check_text, csv, json, text::Style};

/// Looks a drawing over and compares it with another: the one after the parting line, else itself.
pub fn check(bytes: &[u8]) {
    checked(bytes);
}

/// As [`check`]; whether two drawings were compared.
pub fn checked(bytes: &[u8]) -> bool {
    let (one, other) = parted(bytes);
    let Ok(text) = order::text(one) else { return false };
    let Some(drawing) = open(&text) else { return false };
    let alone = look(&drawing, None);
    let beside_itself = look(&drawing, Some(&drawing)).findings;
    let mut rest = beside_itself.iter().filter(|f| !nothing(f));
    assert!(alone.findings.iter().all(|f| rest.next() == Some(f)), "{beside_itself:#?}");
    assert!(rest.next().is_none() && differs_nowhere(&beside_itself), "{beside_itself:#?}");

    let Some(Ok(other)) = other.map(order::text) else { return false };
    let Some(other) = open(&other) else { return false };
    let (there, back) = (look(&drawing, Some(&other)).findings, look(&other, Some(&drawing)).findings);
    assert!(differs_nowhere(&there) == differs_nowhere(&back), "{there:#?}\n{back:#?}");
    if differs_nowhere(&there) {
        assert_eq!(drawing.drawing.blocks.len(), other.drawing.blocks.len());
    }
    true
}

fn look(drawing: &Opened<'_>, original: Option<&Opened<'_>>) -> CheckReport {
    let report = check::run(drawing, &Job::default(), original.map(|o| (o, check::By::Text)));
    reported(&report.findings, drawing.drawing.bytes);
    let shown = check_text::render(&report, &Style::plain());
    assert!(!shown.contains('\u{1b}'), "a message steers the terminal: {shown:?}");
    json::render(&report).unwrap_or_else(|e| panic!("{e}"));
    csv::checks(&[&report]).unwrap_or_else(|e| panic!("{e}"));
    report
}

fn nothing(finding: &Finding) -> bool {
    finding.id == FindingId::Changed && finding.message == "nothing differs from the original"
}

fn differs_nowhere(findings: &[Finding]) -> bool {
    findings.iter().any(nothing)
}
