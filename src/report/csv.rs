//! CSV, one row a size; safe to open in a spreadsheet and to print on a terminal.

use super::columns::columns;
use super::grid::Grid;
use super::rows::Rows;
use super::{Advice, CheckReport, MeasureReport, Report, SizeReport, Verdict};
use crate::finding::{Finding, Severity};
use crate::job::ToleranceTable;
use crate::seam::Measures;
use crate::trousers::MEASURES;
use crate::units::{Mm, plain};

fn measure_cells(m: Option<&Measures>) -> Vec<String> {
    let Some(m) = m else { return vec![String::new(); MEASURES.len()] };
    m.values().into_iter().map(|length| length.map(number).unwrap_or_default()).collect()
}

/// Millimetres to three decimals.
fn number(length: Mm) -> String {
    plain(length.0, 3)
}

/// What `measure` found.
pub fn measures(reports: &[MeasureReport]) -> Result<String, csv::Error> {
    let heads = ["drawing", "size"].iter().chain(&MEASURES).chain(&["fork_angle_deg", "findings"]);
    let mut grid = Grid::new("Measures", heads.copied());
    for column in columns(reports) {
        let mut row = vec![column.report.drawing.path.clone(), column.label];
        row.extend(measure_cells(column.measures));
        row.push(column.measures.map(|m| plain(m.fork_angle, 3)).unwrap_or_default());
        row.push(column.size.map(|size| ids(&size.findings)).unwrap_or_default());
        grid.rows.push(row);
    }
    grid.csv()
}

/// What `alter` did.
pub fn alterations(reports: &[&Report]) -> Result<String, csv::Error> {
    let mut grid = Grid::new("Sizes", ["drawing"].map(String::from).into_iter().chain(size_heads()));
    for report in reports {
        for size in &report.sizes {
            let drawing = report.drawing.path.clone();
            grid.rows.push(std::iter::once(drawing).chain(size_cells(size)).collect());
        }
    }
    grid.csv()
}

/// What `alter` did, as the sheets of a spreadsheet: the sizes, their measures before and after, the findings.
#[must_use]
pub fn alteration_sheets(reports: &[&Report]) -> Vec<Grid> {
    let mut sizes = Grid::new("Sizes", ["drawing"].map(String::from).into_iter().chain(size_heads()));
    // What the sheet of measures has is not in that of the sizes.
    let measure = |head: &String| head.starts_with("before_") || head.starts_with("after_");
    let kept: Vec<bool> = sizes.heads.iter().map(|head| !measure(head)).collect();
    let cut = |row: Vec<String>| -> Vec<String> {
        row.into_iter().zip(&kept).filter(|(_, kept)| **kept).map(|(cell, _)| cell).collect()
    };
    sizes.heads = cut(sizes.heads.clone());
    let mut measures = Grid::new("Measures", ["drawing", "size", "when"].iter().chain(&MEASURES).copied());
    for report in reports {
        for size in &report.sizes {
            let drawing = report.drawing.path.clone();
            sizes.rows.push(cut(std::iter::once(drawing).chain(size_cells(size)).collect()));
            for (when, m) in [("before", &size.before), ("after", &size.after)] {
                let first = [report.drawing.path.clone(), size.size.clone(), when.to_owned()];
                measures.rows.push(first.into_iter().chain(measure_cells(m.as_ref())).collect());
            }
        }
    }
    let findings = reports.iter().flat_map(|r| r.all_findings().map(|f| (r.drawing.path.as_str(), f)));
    vec![sizes, measures, finding_rows(findings)]
}

/// What `measure` found, as the sheets of a spreadsheet: the list of measures with the steps from size to size, and the findings.
#[must_use]
pub fn measure_sheets(reports: &[MeasureReport], tolerances: &ToleranceTable) -> Vec<Grid> {
    let columns = columns(reports);
    let heads = |last: &[&str]| -> Vec<String> {
        let names = columns.iter().map(|c| c.label.clone());
        std::iter::once("measure".to_owned())
            .chain(names)
            .chain(last.iter().map(|h| (*h).to_owned()))
            .collect()
    };
    let mut list = Grid::new("Measures", heads(&["minus_mm", "plus_mm"]));
    let mut steps = Grid::new("Steps", heads(&[]));
    let cells: Vec<Vec<String>> = columns.iter().map(|c| measure_cells(c.measures)).collect();
    for (i, name) in MEASURES.iter().enumerate() {
        let of_sizes: Vec<&String> = cells.iter().map(|row| &row[i]).collect();
        let mut row = vec![(*name).to_owned()];
        row.extend(of_sizes.iter().copied().cloned());
        let tolerance = tolerances.of(name);
        row.extend(
            [tolerance.map(|t| t.minus), tolerance.map(|t| t.plus)]
                .map(|t| t.map(number).unwrap_or_default()),
        );
        list.rows.push(row);
        let value = |k: usize| of_sizes.get(k).and_then(|cell| cell.parse::<f64>().ok());
        let step = |k: usize| {
            let before = columns[k].before.and_then(value);
            before.zip(value(k)).map(|(a, b)| plain(b - a, 3)).unwrap_or_default()
        };
        steps.rows.push(std::iter::once((*name).to_owned()).chain((0..of_sizes.len()).map(step)).collect());
    }
    let findings = reports.iter().flat_map(|r| r.all_findings().map(|f| (r.drawing.path.as_str(), f)));
    vec![list, steps, finding_rows(findings)]
}

/// What `alter --advise` says.
pub fn advice(advice: &[Advice]) -> Result<String, csv::Error> {
    let heads = ["drawing", "uneven", "verdict"].map(String::from);
    let mut rows = Rows::headed(heads.into_iter().chain(size_heads()))?;
    for advice in advice {
        for way in advice.sizes.iter().flat_map(|s| &s.ways) {
            let verdict = if way.verdict == Verdict::Pass { "pass" } else { "fail" };
            let first = [advice.drawing.path.clone(), way.uneven.to_string(), verdict.to_owned()];
            rows.push(first.into_iter().chain(size_cells(&way.result)))?;
        }
    }
    rows.text()
}

/// The columns of one size.
fn size_heads() -> Vec<String> {
    let mut heads: Vec<String> = [
        "size",
        "status",
        "body_mm",
        "change_mm",
        "front_share",
        "ease_mm",
        "waistband_mm",
        "front_along_mm",
        "front_across_mm",
        "front_waist_move_mm",
        "back_along_mm",
        "back_across_mm",
        "back_waist_move_mm",
        "residual_mm",
    ]
    .map(String::from)
    .to_vec();
    heads.extend(MEASURES.map(|h| format!("before_{h}")));
    heads.extend(MEASURES.map(|h| format!("after_{h}")));
    heads.extend(["findings".to_owned(), "note".to_owned()]);
    heads
}

fn size_cells(size: &SizeReport) -> Vec<String> {
    let mut row = vec![size.size.clone(), size.status.word().to_owned()];
    match &size.asked {
        Some(a) => row.extend([
            a.crotch_length.map(number).unwrap_or_default(),
            number(a.change),
            a.front_share.map(|share| share.to_string()).unwrap_or_default(),
            number(a.ease),
            number(a.waistband),
        ]),
        None => row.extend(vec![String::new(); 5]),
    }
    match size.moves {
        Some(m) => {
            row.extend([m.front, m.back].iter().flat_map(|m| [m.along, m.across, m.waist]).map(number));
        }
        None => row.extend(vec![String::new(); 6]),
    }
    row.push(size.residual.map(number).unwrap_or_default());
    row.extend(measure_cells(size.before.as_ref()));
    row.extend(measure_cells(size.after.as_ref()));
    row.push(ids(&size.findings));
    row.push(size.asked.as_ref().and_then(|a| a.note.clone()).unwrap_or_default());
    row
}

/// What `check` found, one row a finding.
pub fn checks(reports: &[&CheckReport]) -> Result<String, csv::Error> {
    check_findings(reports).csv()
}

/// What `check` found, as the sheets of a spreadsheet: the findings, and what was found right.
#[must_use]
pub fn check_sheets(reports: &[&CheckReport]) -> Vec<Grid> {
    let mut verdicts = Grid::new("Verdicts", ["drawing", "verdict", "looked at and found right"]);
    for report in reports {
        let verdict = if report.verdict == Verdict::Pass { "pass" } else { "fail" };
        verdicts.rows.push(vec![report.drawing.path.clone(), verdict.to_owned(), String::new()]);
        for right in &report.right {
            verdicts.rows.push(vec![report.drawing.path.clone(), String::new(), (*right).to_owned()]);
        }
    }
    vec![verdicts, check_findings(reports)]
}

fn check_findings(reports: &[&CheckReport]) -> Grid {
    finding_rows(reports.iter().flat_map(|r| r.findings.iter().map(|f| (r.drawing.path.as_str(), f))))
}

/// A row for each finding of a drawing.
fn finding_rows<'f>(findings: impl Iterator<Item = (&'f str, &'f Finding)>) -> Grid {
    let columns = ["drawing", "severity", "id", "size", "piece", "x", "y", "line", "message"];
    let mut grid = Grid::new("Findings", columns);
    for (drawing, f) in findings {
        let place = |i: usize| f.at.map(|at| plain(at[i], 4)).unwrap_or_default();
        grid.rows.push(vec![
            drawing.to_owned(),
            f.severity.word().to_owned(),
            f.id.as_str().to_owned(),
            f.size.clone().unwrap_or_default(),
            f.piece.clone().unwrap_or_default(),
            place(0),
            place(1),
            f.line.map(|l| l.to_string()).unwrap_or_default(),
            f.message.clone(),
        ]);
    }
    grid
}

/// The findings of a size that are more than notes.
pub(super) fn ids(findings: &[Finding]) -> String {
    let ids = findings.iter().filter(|f| f.severity > Severity::Note);
    let said = |f: &Finding| {
        format!("{} {}{}", f.severity.word(), f.id, if f.accepted { " (accepted)" } else { "" })
    };
    ids.map(said).collect::<Vec<_>>().join("; ")
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;

    #[test]
    fn cells_neither_steer_nor_run_and_numbers_stay() {
        let mut rows = Rows::headed(["a"]).unwrap();
        for cell in ["-12.70", "=1+1", "+1", "@A1", "-A1", "\u{202e}=1", "a\u{1b}[2J", "38"] {
            rows.push([cell]).unwrap();
        }
        let expected = "a\n-12.70\n'=1+1\n'+1\n'@A1\n'-A1\n\\u{202e}=1\na\\u{1b}[2J\n38\n";
        assert_eq!(rows.text().unwrap(), expected);
    }
}
