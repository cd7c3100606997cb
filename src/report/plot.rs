//! The report of `plot`: the model, and its forms as text and CSV.

use super::rows::Rows;
use super::{DrawingInfo, OutputInfo, Verdict, csv, text};
use crate::finding::Finding;
use crate::job::diagnostic::escaped;
use schemars::JsonSchema;
use serde::Serialize;
use std::fmt::Write;

/// What `plot` says.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct PlotReport {
    /// `truerise-plot/1`.
    #[schemars(extend("const" = "truerise-plot/1"))]
    pub format: &'static str,
    /// The drawing.
    pub drawing: DrawingInfo,
    /// The print; none where none was written.
    pub output: Option<OutputInfo>,
    /// The sizes, parted by commas.
    pub size: String,
    /// The paper as it stands on the print.
    pub paper: String,
    /// How many pages the print has.
    pub pages: usize,
    /// The names of its pieces.
    pub pieces: Vec<String>,
    /// Whether it may be printed.
    pub verdict: Verdict,
    /// What was noticed.
    pub findings: Vec<Finding>,
}

impl PlotReport {
    /// The report for a terminal.
    #[must_use]
    pub fn text(&self, style: &text::Style) -> String {
        let mut pieces: Vec<_> = Vec::new();
        for piece in self.pieces.iter().map(|p| escaped(p)) {
            // Where several sizes have the piece, it is named once.
            if !pieces.contains(&piece) {
                pieces.push(piece);
            }
        }
        let mut out = String::new();
        let size = format!("size{} {}", if self.size.contains(", ") { "s" } else { "" }, escaped(&self.size));
        // Writing to a String cannot fail.
        let _ = match &self.output {
            Some(output) => writeln!(
                out,
                "{}: {size}: {} on {} {} of {}",
                escaped(&output.path),
                pieces.join(", "),
                self.pages,
                if self.pages == 1 { "page" } else { "pages" },
                self.paper
            ),
            None => writeln!(out, "{}: {size} was not printed", escaped(&self.drawing.path)),
        };
        if self.output.is_some() {
            out +=
                "Print at 100 % and measure both squares; sew a trial garment before cutting good cloth.\n";
        }
        text::findings(&mut out, self.findings.iter(), style);
        out
    }

    /// The report as CSV: one row.
    pub fn csv(&self) -> Result<String, ::csv::Error> {
        let columns = ["drawing", "size", "output", "paper", "pages", "pieces", "findings"];
        let mut rows = Rows::headed(columns)?;
        let output = self.output.as_ref().map(|o| o.path.as_str()).unwrap_or_default();
        rows.push([
            self.drawing.path.as_str(),
            &self.size,
            output,
            &self.paper,
            &self.pages.to_string(),
            &self.pieces.join("; "),
            &csv::ids(&self.findings),
        ])?;
        rows.text()
    }
}
