//! CSV, one row a size; safe to open in a spreadsheet and to print on a terminal.

use super::{Advice, CheckReport, MeasureReport, Report, SizeReport, Verdict};
use crate::finding::{Finding, Severity};
use crate::job::diagnostic::escaped;
use crate::job::sheet::not_a_formula;
use crate::seam::Measures;
use crate::units::{Mm, plain};

/// What the measures' columns are called.
const MEASURES: [&str; 14] = [
    "crotch_length_mm",
    "front_rise_mm",
    "back_rise_mm",
    "front_inseam_mm",
    "back_inseam_mm",
    "inseam_difference_mm",
    "front_outseam_mm",
    "back_outseam_mm",
    "front_waist_mm",
    "back_waist_mm",
    "front_thigh_mm",
    "back_thigh_mm",
    "front_hem_mm",
    "back_hem_mm",
];

fn measure_cells(m: Option<&Measures>) -> Vec<String> {
    let Some(m) = m else { return vec![String::new(); MEASURES.len()] };
    let optional = |l: Option<Mm>| l.map(number).unwrap_or_default();
    vec![
        number(m.crotch_length),
        number(m.front.rise),
        number(m.back.rise),
        number(m.front.inseam),
        number(m.back.inseam),
        number(m.inseam_difference),
        number(m.front.outseam),
        number(m.back.outseam),
        number(m.front.waist),
        number(m.back.waist),
        optional(m.front.thigh),
        optional(m.back.thigh),
        number(m.front.hem),
        number(m.back.hem),
    ]
}

/// Millimetres to three decimals.
fn number(length: Mm) -> String {
    plain(length.0, 3)
}

/// Rows of a report that is read by people, spreadsheets and programs. Every cell goes through here, so that a text from a
/// drawing or a table neither steers a terminal nor runs as a formula where it is opened; numbers stay as they are.
pub(crate) struct Rows(csv::Writer<Vec<u8>>);

impl Rows {
    /// A report with these columns.
    pub fn headed<S: AsRef<str>>(columns: impl IntoIterator<Item = S>) -> Result<Self, csv::Error> {
        let mut rows = Rows(csv::Writer::from_writer(Vec::new()));
        rows.push(columns)?;
        Ok(rows)
    }

    /// Adds a row.
    pub fn push<S: AsRef<str>>(&mut self, cells: impl IntoIterator<Item = S>) -> Result<(), csv::Error> {
        self.0.write_record(cells.into_iter().map(|cell| clean(cell.as_ref())))
    }

    /// The whole as text.
    pub fn text(self) -> Result<String, csv::Error> {
        let bytes = self.0.into_inner().map_err(csv::IntoInnerError::into_error)?;
        Ok(String::from_utf8_lossy(&bytes).into_owned())
    }
}

fn clean(cell: &str) -> String {
    let number = cell.strip_prefix('-').unwrap_or(cell);
    if number.bytes().all(|b| b.is_ascii_digit() || b == b'.')
        && number.contains(|c: char| c.is_ascii_digit())
    {
        cell.to_owned()
    } else {
        not_a_formula(&escaped(cell))
    }
}

/// What `measure` found.
pub fn measures(reports: &[MeasureReport]) -> Result<String, csv::Error> {
    let heads = ["drawing", "size"].iter().chain(&MEASURES).chain(&["fork_angle_deg", "findings"]);
    let mut rows = Rows::headed(heads)?;
    for report in reports {
        for size in &report.sizes {
            let mut row = vec![report.drawing.path.clone(), size.size.clone()];
            row.extend(measure_cells(size.measures.as_ref()));
            row.push(size.measures.as_ref().map(|m| plain(m.fork_angle, 3)).unwrap_or_default());
            row.push(ids(&size.findings));
            rows.push(row)?;
        }
    }
    rows.text()
}

/// What `alter` did.
pub fn alterations(reports: &[&Report]) -> Result<String, csv::Error> {
    let mut rows = Rows::headed(["drawing"].map(String::from).into_iter().chain(size_heads()))?;
    for report in reports {
        for size in &report.sizes {
            let drawing = report.drawing.path.clone();
            rows.push(std::iter::once(drawing).chain(size_cells(size)))?;
        }
    }
    rows.text()
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
pub fn checks(report: &CheckReport) -> Result<String, csv::Error> {
    let columns = ["drawing", "severity", "id", "size", "piece", "x", "y", "line", "message"];
    let mut rows = Rows::headed(columns)?;
    for f in &report.findings {
        let place = |i: usize| f.at.map(|at| plain(at[i], 4)).unwrap_or_default();
        rows.push([
            report.drawing.path.as_str(),
            f.severity.word(),
            f.id.as_str(),
            f.size.as_deref().unwrap_or_default(),
            f.piece.as_deref().unwrap_or_default(),
            &place(0),
            &place(1),
            &f.line.map(|l| l.to_string()).unwrap_or_default(),
            &f.message,
        ])?;
    }
    rows.text()
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
