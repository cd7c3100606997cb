//! The columns of a list of measures: one for each size, and one for the other side where left and right are drawn.

use super::{MeasureReport, MeasuredSize};
use crate::seam::Measures;

/// A column of a list of measures, or a row of a table.
#[derive(Clone, Debug)]
pub(crate) struct Column<'r> {
    /// The size; for the other side also the blocks in which it is drawn.
    pub label: String,
    /// The report on the drawing.
    pub report: &'r MeasureReport,
    /// The size itself; `None` where the column is for its other side.
    pub size: Option<&'r MeasuredSize>,
    /// The measures; `None` where they could not be taken.
    pub measures: Option<&'r Measures>,
    /// The column to compare it with: that of the previous size in the same drawing.
    pub before: Option<usize>,
}

/// The columns for all sizes of these drawings.
pub(crate) fn columns(reports: &[MeasureReport]) -> Vec<Column<'_>> {
    let mut columns: Vec<Column<'_>> = Vec::new();
    for report in reports {
        let mut before = None;
        for size in &report.sizes {
            let own = columns.len();
            let (label, measures) = (size.size.clone(), size.measures.as_ref());
            columns.push(Column { label, report, size: Some(size), measures, before });
            before = Some(own);
            columns.extend(size.other_sides.iter().map(|m| Column {
                label: format!("{} ({})", size.size, blocks(m)),
                report,
                size: None,
                measures: Some(m),
                before: None,
            }));
        }
    }
    columns
}

/// The names of the blocks of front and back, which may be one.
fn blocks(m: &Measures) -> String {
    let [front, back] = [&m.front.block, &m.back.block];
    if front == back { front.clone() } else { format!("{front}, {back}") }
}
