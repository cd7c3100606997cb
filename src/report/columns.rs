//! The sizes of lists of measures: a column for each, and one for the other side of a pair that is drawn left and right.

use super::{MeasureReport, MeasuredSize};
use crate::seam::Measures;

/// A column of a list of measures, or a row of a table.
#[derive(Clone, Debug)]
pub(crate) struct Column<'r> {
    /// The size; of another side with the blocks that it is drawn in.
    pub label: String,
    /// The drawing.
    pub report: &'r MeasureReport,
    /// The size, where this is not another side of it.
    pub size: Option<&'r MeasuredSize>,
    /// The measures; none where they could not be taken.
    pub measures: Option<&'r Measures>,
    /// The column with which it is compared: that of the size before, in the same drawing.
    pub before: Option<usize>,
}

/// The columns of drawings.
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
                label: format!("{} ({}, {})", size.size, m.front.block, m.back.block),
                report,
                size: None,
                measures: Some(m),
                before: None,
            }));
        }
    }
    columns
}
