//! What became of an order.

use super::{DRAWING, PAGE, REPORT};
use crate::finding::{self, FindingId, Severity};
use crate::job::Order;
use crate::report::{OutputInfo, Report, Status, Verdict};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// What became of an order, as the summary says it. Paths of results are relative to the batch's
/// folder, those of inputs are as the list has them.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct Outcome {
    /// The order's name.
    pub order: String,
    /// Whether the drawing was altered and all checks hold.
    pub verdict: Verdict,
    /// The drawing as given.
    pub drawing: String,
    /// The size table as given.
    pub sizes: String,
    /// How many sizes were altered.
    pub altered: usize,
    /// How many sizes were left as they are.
    pub unchanged: usize,
    /// How many sizes could not be altered.
    pub refused: usize,
    /// How many findings fail.
    pub errors: usize,
    /// How many findings are to be looked at, those that were let through among them.
    pub warnings: usize,
    /// Which errors were let through, each once: such an order passes, but not because nothing is wrong.
    pub accepted: Vec<FindingId>,
    /// The new drawing; none where none was written.
    pub output: Option<OutputInfo>,
    /// The report for programs; none where the order could not be begun.
    pub report: Option<String>,
    /// The report for people; none where the order could not be begun.
    pub page: Option<String>,
    /// Why the order failed, in one line.
    pub reason: Option<String>,
    /// Whether it is not among this run's orders but was done before, in the same folder, where its results still stand.
    pub earlier: bool,
}

impl Outcome {
    /// The outcome of an order that could not be done.
    #[must_use]
    pub fn refused(order: &Order, reason: &str) -> Self {
        Outcome {
            order: order.name.clone(),
            verdict: Verdict::Fail,
            drawing: order.drawing.clone(),
            sizes: order.sizes.clone(),
            altered: 0,
            unchanged: 0,
            refused: 0,
            errors: 0,
            warnings: 0,
            accepted: Vec::new(),
            output: None,
            report: None,
            page: None,
            reason: Some(one_line(reason)),
            earlier: false,
        }
    }

    /// The outcome of an order for which there is a report.
    #[must_use]
    pub fn reported(order: &Order, report: &Report) -> Self {
        let sizes = |status| report.sizes.iter().filter(|s| s.status == status).count();
        let findings = |severity| report.all_findings().filter(|f| f.severity == severity).count();
        let errors = findings(Severity::Error);
        let first = report.all_findings().find(|f| f.severity == Severity::Error);
        let reason = first.map(|f| {
            let size = f.size.as_ref().map(|s| format!("size {s}: ")).unwrap_or_default();
            let more =
                if errors > 1 { format!(" (and {} more, see {REPORT})", errors - 1) } else { String::new() };
            one_line(&format!("{size}{}: {}{more}", f.id, f.message))
        });
        Outcome {
            verdict: report.verdict,
            altered: sizes(Status::Altered),
            unchanged: sizes(Status::Unchanged),
            refused: sizes(Status::Refused),
            errors,
            warnings: findings(Severity::Warning),
            accepted: finding::accepted(report.all_findings()),
            output: report.output.clone(),
            report: Some(format!("{}/{REPORT}", order.name)),
            page: Some(format!("{}/{PAGE}", order.name)),
            reason,
            ..Outcome::refused(order, "")
        }
    }

    /// The path of an order's new drawing, relative to the batch's folder.
    #[must_use]
    pub fn drawing_path(order: &Order) -> String {
        format!("{}/{DRAWING}", order.name)
    }
}

/// A text without line ends, so that it fits into a cell or a single line.
fn one_line(text: &str) -> String {
    let lines = text.lines().map(str::trim).filter(|line| !line.is_empty());
    crate::job::diagnostic::escaped(&lines.collect::<Vec<_>>().join("; ")).into_owned()
}
