//! The report of `grade`: the model and its forms.

use super::rows::Rows;
use super::table::Table;
use super::text::{Style, findings};
use super::{DrawingInfo, OutputInfo, Verdict};
use crate::finding::{self, Finding, Severity};
use crate::job::Deltas;
use crate::job::diagnostic::escaped;
use schemars::JsonSchema;
use serde::Serialize;
use std::fmt::Write as _;

/// What `grade` says. Field names and their order are part of the interface.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct GradeReport {
    /// `truerise-grade/1`.
    #[schemars(extend("const" = "truerise-grade/1"))]
    pub format: &'static str,
    /// The drawing that was read.
    pub drawing: DrawingInfo,
    /// The drawing or table that was written; none where it was not.
    pub output: Option<OutputInfo>,
    /// The base size's drawing that was written with a table; none where it was not.
    pub base: Option<OutputInfo>,
    /// Whether the result may be used.
    pub verdict: Verdict,
    /// What the table's deltas are counted from.
    pub deltas: Deltas,
    /// The table's sizes in its order.
    pub sizes: Vec<GradedSize>,
    /// How many rules the table has.
    pub rules: usize,
    /// What was noticed.
    pub findings: Vec<Finding>,
}

/// A size of the table.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct GradedSize {
    /// The size.
    pub size: String,
    /// What was done with it.
    pub status: Status,
}

/// What was done with a size.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, JsonSchema)]
#[serde(rename_all = "lowercase")]
pub enum Status {
    /// The others are drawn from it, or their rules counted from it.
    Base,
    /// It was drawn from the base.
    Added,
    /// It was drawn already.
    Drawn,
    /// It was not asked for.
    Skipped,
}

impl Status {
    /// The word used in every report.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Status::Base => "base",
            Status::Added => "added",
            Status::Drawn => "drawn",
            Status::Skipped => "skipped",
        }
    }
}

/// The report as text for people.
#[must_use]
pub fn text(report: &GradeReport, style: &Style) -> String {
    let mut out = String::new();
    let from = match report.deltas {
        Deltas::Base => "from the base size",
        Deltas::Step => "from size to size",
    };
    // Writing to a String cannot fail.
    let _ = writeln!(out, "{}: {} rules, deltas {from}.\n", escaped(&report.drawing.path), report.rules);
    let mut table = Table::new(&["size", ""]);
    for size in &report.sizes {
        table.row(vec![escaped(&size.size).into_owned(), size.status.word().to_owned()]);
    }
    out += &table.render(style.width);
    findings(&mut out, report.findings.iter(), style);
    out.push('\n');
    let accepted = finding::accepted(&report.findings);
    if !accepted.is_empty() {
        let ids = finding::ids(&accepted);
        let _ = writeln!(out, "Errors were let through ({ids}); look at them above before anything is cut.");
    }
    let _ = match (&report.output, report.verdict) {
        (Some(o), _) => writeln!(
            out,
            "{}: written: {}{}\nSew a trial garment of the base and of the outermost sizes before cutting production fabric.",
            style.bold("pass", 32),
            escaped(&o.path),
            report.base.as_ref().map(|b| format!(", {}", escaped(&b.path))).unwrap_or_default()
        ),
        (None, Verdict::Pass) => writeln!(out, "{}: nothing was written.", style.bold("pass", 32)),
        (None, Verdict::Fail) => writeln!(
            out,
            "{}: nothing was written; see the errors above for what to do.",
            style.bold("fail", 31)
        ),
    };
    out
}

/// The report as CSV: one row for each size, with the ids of the findings that concern it, or that concern no single size.
pub fn csv(report: &GradeReport) -> Result<String, csv::Error> {
    let mut rows = Rows::headed(["drawing", "size", "status", "deltas", "verdict", "findings"])?;
    for size in &report.sizes {
        let here =
            |f: &&Finding| f.size.as_ref().is_none_or(|s| *s == size.size) && f.severity != Severity::Note;
        let ids: Vec<&str> = report.findings.iter().filter(here).map(|f| f.id.as_str()).collect();
        let verdict = if report.verdict == Verdict::Pass { "pass" } else { "fail" };
        rows.push([
            report.drawing.path.as_str(),
            &size.size,
            size.status.word(),
            report.deltas.as_str(),
            verdict,
            &ids.join(" "),
        ])?;
    }
    rows.text()
}
