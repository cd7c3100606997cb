//! Reports as CSV, one row for each size, safe to open in a spreadsheet and to print on a terminal.

use super::columns::columns;
use super::grid::Grid;
use super::rows::Rows;
use super::{Advice, Asked, CheckReport, MeasureReport, Report, SizeReport, Verdict};
use crate::alter::Moves;
use crate::finding::{Finding, Severity};
use crate::job::ToleranceTable;
use crate::seam::Measures;
use crate::trousers::{MEASURES, Pair};
use crate::units::{Mm, plain};

fn measure_cells(m: Option<&Measures>) -> Vec<String> {
    let Some(m) = m else { return vec![String::new(); MEASURES.len()] };
    m.values().into_iter().map(|length| length.map(number).unwrap_or_default()).collect()
}

/// A column: its heading, and the function that gives its cell.
type Column<T> = (&'static str, fn(&T) -> String);

/// A length in millimetres, to three decimals.
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
    // The sheet of sizes leaves out the columns that the sheet of measures has.
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

/// The columns with which the row of a size begins: each one's heading and the function that gives its cell.
const SIZE: [Column<SizeReport>; 14] = [
    ("size", |size| size.size.clone()),
    ("status", |size| size.status.word().to_owned()),
    ("body_mm", |size| asked(size, |a| a.crotch_length.map(number))),
    ("change_mm", |size| asked(size, |a| Some(number(a.change)))),
    ("front_share", |size| asked(size, |a| a.front_share.map(|share| share.to_string()))),
    ("ease_mm", |size| asked(size, |a| Some(number(a.ease)))),
    ("waistband_mm", |size| asked(size, |a| Some(number(a.waistband)))),
    ("front_along_mm", |size| moved(size, |m| m.front.along)),
    ("front_across_mm", |size| moved(size, |m| m.front.across)),
    ("front_waist_move_mm", |size| moved(size, |m| m.front.waist)),
    ("back_along_mm", |size| moved(size, |m| m.back.along)),
    ("back_across_mm", |size| moved(size, |m| m.back.across)),
    ("back_waist_move_mm", |size| moved(size, |m| m.back.waist)),
    ("residual_mm", |size| size.residual.map(number).unwrap_or_default()),
];

/// The columns with which it ends, after the measures before and after.
const SIZE_END: [Column<SizeReport>; 2] =
    [("findings", |size| ids(&size.findings)), ("note", |size| asked(size, |a| a.note.clone()))];

fn asked(size: &SizeReport, cell: impl FnOnce(&Asked) -> Option<String>) -> String {
    size.asked.as_ref().and_then(cell).unwrap_or_default()
}

fn moved(size: &SizeReport, by: impl FnOnce(&Pair<Moves>) -> Mm) -> String {
    size.moves.as_ref().map(by).map(number).unwrap_or_default()
}

/// The headings of the row of a size.
fn size_heads() -> impl Iterator<Item = String> {
    let measures = ["before", "after"].into_iter().flat_map(|when| MEASURES.map(|h| format!("{when}_{h}")));
    let of = |(head, _): &(&str, _)| (*head).to_owned();
    SIZE.iter().map(of).chain(measures).chain(SIZE_END.iter().map(of))
}

fn size_cells(size: &SizeReport) -> Vec<String> {
    let measures = [&size.before, &size.after].into_iter().flat_map(|m| measure_cells(m.as_ref()));
    let of = |(_, cell): &Column<SizeReport>| cell(size);
    SIZE.iter().map(of).chain(measures).chain(SIZE_END.iter().map(of)).collect()
}

/// What `check` found, one row for each finding.
pub fn checks(reports: &[&CheckReport]) -> Result<String, csv::Error> {
    check_findings(reports).csv()
}

/// What `check` found, as the sheets of a spreadsheet: the findings, and the verdicts with what was found right.
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

/// The columns of a finding, after that of its drawing: each one's heading and the function that gives its cell.
const FINDING: [Column<Finding>; 8] = [
    ("severity", |f| f.severity.word().to_owned()),
    ("id", |f| f.id.as_str().to_owned()),
    ("size", |f| f.size.clone().unwrap_or_default()),
    ("piece", |f| f.piece.clone().unwrap_or_default()),
    ("x", |f| f.at.map(|[x, _]| plain(x, 4)).unwrap_or_default()),
    ("y", |f| f.at.map(|[_, y]| plain(y, 4)).unwrap_or_default()),
    ("line", |f| f.line.map(|l| l.to_string()).unwrap_or_default()),
    ("message", |f| f.message.clone()),
];

/// A table with one row for each finding of a drawing.
fn finding_rows<'f>(findings: impl Iterator<Item = (&'f str, &'f Finding)>) -> Grid {
    let mut grid = Grid::new("Findings", std::iter::once("drawing").chain(FINDING.map(|(head, _)| head)));
    for (drawing, f) in findings {
        let cells = FINDING.iter().map(|(_, cell)| cell(f));
        grid.rows.push(std::iter::once(drawing.to_owned()).chain(cells).collect());
    }
    grid
}

/// The ids of the findings of a size, without notes.
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
