//! CSV, one row a size; safe to open in a spreadsheet.

use super::{Advice, CheckReport, MeasureReport, Report, SizeReport, Verdict};
use crate::finding::Severity;
use crate::job::sheet::not_a_formula;
use crate::seam::Measures;
use crate::units::Mm;

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
    format!("{:.3}", length.0 + 0.0)
}

/// What `measure` found.
pub fn measures(reports: &[MeasureReport]) -> Result<String, csv::Error> {
    let mut writer = csv::Writer::from_writer(Vec::new());
    let heads = ["drawing", "size"].iter().chain(&MEASURES).chain(&["fork_angle_deg", "findings"]);
    writer.write_record(heads)?;
    for report in reports {
        for size in &report.sizes {
            let mut row = vec![not_a_formula(&report.drawing.path), not_a_formula(&size.size)];
            row.extend(measure_cells(size.measures.as_ref()));
            row.push(size.measures.as_ref().map(|m| format!("{:.3}", m.fork_angle)).unwrap_or_default());
            row.push(ids(&size.findings));
            writer.write_record(&row)?;
        }
    }
    text(writer)
}

/// What `alter` did.
pub fn alterations(reports: &[&Report]) -> Result<String, csv::Error> {
    let mut writer = csv::Writer::from_writer(Vec::new());
    writer.write_record(["drawing"].map(String::from).into_iter().chain(size_heads()))?;
    for report in reports {
        for size in &report.sizes {
            let drawing = not_a_formula(&report.drawing.path);
            writer.write_record(std::iter::once(drawing).chain(size_cells(size)))?;
        }
    }
    text(writer)
}

/// What `alter --advise` says.
pub fn advice(advice: &[Advice]) -> Result<String, csv::Error> {
    let mut writer = csv::Writer::from_writer(Vec::new());
    let heads = ["drawing", "uneven", "verdict"].map(String::from);
    writer.write_record(heads.into_iter().chain(size_heads()))?;
    for advice in advice {
        for way in advice.sizes.iter().flat_map(|s| &s.ways) {
            let verdict = if way.verdict == Verdict::Pass { "pass" } else { "fail" };
            let first = [not_a_formula(&advice.drawing.path), way.uneven.to_string(), verdict.to_owned()];
            writer.write_record(first.into_iter().chain(size_cells(&way.result)))?;
        }
    }
    text(writer)
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
    let mut row = vec![not_a_formula(&size.size), size.status.word().to_owned()];
    match &size.asked {
        Some(a) => row.extend([
            number(a.crotch_length),
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
    row.push(not_a_formula(size.asked.as_ref().and_then(|a| a.note.as_deref()).unwrap_or_default()));
    row
}

/// What `check` found, one row a finding.
pub fn checks(report: &CheckReport) -> Result<String, csv::Error> {
    let mut writer = csv::Writer::from_writer(Vec::new());
    writer.write_record(["drawing", "severity", "id", "size", "piece", "x", "y", "line", "message"])?;
    for f in &report.findings {
        let place = |i: usize| f.at.map(|at| format!("{:.4}", at[i] + 0.0)).unwrap_or_default();
        writer.write_record([
            not_a_formula(&report.drawing.path),
            f.severity.word().to_owned(),
            f.id.to_string(),
            not_a_formula(f.size.as_deref().unwrap_or_default()),
            not_a_formula(f.piece.as_deref().unwrap_or_default()),
            place(0),
            place(1),
            f.line.map(|l| l.to_string()).unwrap_or_default(),
            not_a_formula(&f.message),
        ])?;
    }
    text(writer)
}

/// The findings of a size that are more than notes.
pub(super) fn ids(findings: &[crate::finding::Finding]) -> String {
    let ids = findings.iter().filter(|f| f.severity > Severity::Note);
    ids.map(|f| format!("{} {}", f.severity.word(), f.id)).collect::<Vec<_>>().join("; ")
}

pub(super) fn text(writer: csv::Writer<Vec<u8>>) -> Result<String, csv::Error> {
    let bytes = writer.into_inner().map_err(csv::IntoInnerError::into_error)?;
    Ok(String::from_utf8_lossy(&bytes).into_owned())
}
