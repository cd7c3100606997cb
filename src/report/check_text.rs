//! What `check` prints: every finding, then the verdict.

use super::text::{Style, findings};
use super::{CheckReport, Verdict};
use crate::finding::Severity;
use crate::job::diagnostic::escaped;
use crate::words::counted;
use std::fmt::Write;

/// The report for a terminal.
#[must_use]
pub fn render(report: &CheckReport, style: &Style) -> String {
    let mut out = String::new();
    let named = report.drawing.style.as_deref().map(|s| format!(", style {}", escaped(s)));
    let _ = write!(out, "{}{}", escaped(&report.drawing.path), named.unwrap_or_default());
    if let Some(original) = &report.original {
        let _ = write!(out, ", against {}", escaped(&original.path));
    }
    out.push_str("\n\n");
    findings(&mut out, report.findings.iter(), style);
    let count = |severity| report.findings.iter().filter(|f| f.severity == severity).count();
    let (errors, notes) = (count(Severity::Error), count(Severity::Note));
    if !report.findings.is_empty() {
        out.push('\n');
    }
    let notes = if notes == 0 { String::new() } else { format!(" ({})", counted(notes, "note", "notes")) };
    let verdict = match report.verdict {
        Verdict::Pass => format!(
            "{}: nothing was found that keeps the drawing from marker making{notes}. Sew a trial garment before cutting production fabric.\n",
            style.bold("pass", 32),
        ),
        Verdict::Fail => format!(
            "{}: {} to put right before marker making{notes}.\n",
            style.bold("fail", 31),
            counted(errors, "error", "errors"),
        ),
    };
    out + &verdict
}
