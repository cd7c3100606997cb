//! The page with the list of measures: every size, the steps between sizes, tolerances, and columns to fill in.

use super::say::{degrees, length, printable, signed, unit};
use super::{STYLE, VERSION};
use crate::finding::Finding;
use crate::job::{ToleranceTable, tolerance_table};
use crate::report::MeasureReport;
use crate::report::columns::{Column, columns};
use crate::trousers::MEASURES;
use crate::units::{Mm, Shown, Unit};
use crate::words::counted;
use askama::Template;

#[derive(Template)]
#[template(path = "measures.html", config = "src/report/templates/askama.toml")]
struct MeasuresPage {
    style: &'static str,
    version: &'static str,
    title: String,
    unit: &'static str,
    drawings: Vec<(String, String)>,
    sizes: Vec<String>,
    rows: Vec<Row>,
    angles: Vec<String>,
    /// A sheet to write on for each size, where tolerances are given.
    sheets: Vec<SizeSheet>,
    findings: Vec<Found>,
}

/// One measure in every size.
struct Row {
    name: String,
    /// For each size its length, and the step from the size before.
    cells: Vec<(String, String)>,
    minus: String,
    plus: String,
}

/// The sheet for one size, for measuring the piece or the garment again.
struct SizeSheet {
    size: String,
    rows: Vec<[String; 4]>,
}

struct Found {
    severity: &'static str,
    id: &'static str,
    place: String,
    message: String,
}

/// The page with the list of measures. Where no tolerances are given, their columns are left empty to be filled in.
pub fn measures(
    reports: &[MeasureReport],
    tolerances: &ToleranceTable,
    show: Option<Unit>,
) -> Result<String, askama::Error> {
    let show = Shown::asked(show, reports.first().map_or(Unit::Mm, |r| r.drawing.unit));
    let sizes = columns(reports);
    let values: Vec<Vec<Option<Mm>>> = sizes
        .iter()
        .map(|s| s.measures.map_or_else(|| vec![None; MEASURES.len()], |m| m.values().to_vec()))
        .collect();
    let optional = |l: Option<Mm>| l.map_or_else(|| "–".to_owned(), |l| length(show, l));
    let tolerance = |name: &str| {
        let t = tolerances.of(name);
        [t.map(|t| t.minus), t.map(|t| t.plus)].map(|l| l.map(|l| length(show, l)).unwrap_or_default())
    };
    let row = |(i, name): (usize, &&str)| {
        let step = |k: usize| {
            let before = sizes[k].before.and_then(|k| values[k][i]);
            before.zip(values[k][i]).map(|(a, b)| signed(show, b - a)).unwrap_or_default()
        };
        let [minus, plus] = tolerance(name);
        let cells = (0..sizes.len()).map(|k| (optional(values[k][i]), step(k))).collect();
        Row { name: tolerance_table::worded(name), cells, minus, plus }
    };
    let sheet = |(s, values): (&Column<'_>, &Vec<Option<Mm>>)| SizeSheet {
        size: printable(&s.label),
        rows: MEASURES
            .iter()
            .zip(values)
            .filter(|(name, _)| tolerances.of(name).is_some())
            .map(|(name, value)| {
                let [minus, plus] = tolerance(name);
                [tolerance_table::worded(name), optional(*value), minus, plus]
            })
            .collect(),
    };
    let sheets =
        if tolerances.is_empty() { Vec::new() } else { sizes.iter().zip(&values).map(sheet).collect() };
    let angle = |s: &Column<'_>| s.measures.map_or_else(|| "–".to_owned(), |m| degrees(m.fork_angle));
    let title = match reports {
        [one] => printable(one.drawing.style.as_deref().unwrap_or(&one.drawing.path)),
        many => counted(many.len(), "drawing", "drawings"),
    };
    MeasuresPage {
        style: STYLE,
        version: VERSION,
        title,
        unit: unit(show),
        drawings: reports.iter().map(|r| (printable(&r.drawing.path), r.drawing.sha256.clone())).collect(),
        sizes: sizes.iter().map(|s| printable(&s.label)).collect(),
        rows: MEASURES.iter().enumerate().map(row).collect(),
        angles: sizes.iter().map(angle).collect(),
        sheets,
        findings: reports.iter().flat_map(MeasureReport::all_findings).map(found).collect(),
    }
    .render()
}

fn found(f: &Finding) -> Found {
    let size = f.size.as_ref().map(|s| format!("size {}", printable(s)));
    let place: Vec<String> = size.into_iter().chain(f.piece.as_ref().map(|p| printable(p))).collect();
    Found {
        severity: f.severity.word(),
        id: f.id.as_str(),
        place: place.join(", "),
        message: printable(&f.message),
    }
}
