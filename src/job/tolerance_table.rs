//! The table with the tolerances of a list of measures.

use super::diagnostic::{Problems, quoted};
use super::length;
use super::sheet::{self, Row};
use super::source::{Found, Source, utf8};
use super::workbook::Workbook;
use crate::trousers::MEASURES;
use crate::units::{Mm, Unit};
use crate::words;

const COLUMNS: &[&str] = &["measure", "plus", "minus"];

/// How far a measure may be from its nominal value when it is taken on the garment or the piece.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct MeasureTolerance {
    /// How much too long it may be.
    pub plus: Mm,
    /// How much too short it may be.
    pub minus: Mm,
}

/// The tolerances by the names of the measures; empty if none were given.
///
/// ```
/// use truerise::{Form, Job, Nest, ToleranceTable, Unit};
/// # fn main() -> Result<(), Box<dyn std::error::Error>> {
/// # let bytes = std::fs::read("samples/harbour-nest.dxf")?;
/// # let nest = Nest::read("harbour-nest.dxf", &bytes, &Job::default())?;
/// let tolerances = ToleranceTable::read(b"measure,plus,minus\nfront rise,3mm,2mm\n", "tolerances.csv", Unit::Mm)?;
/// let list: Vec<u8> = nest.measure().render(Form::Sheets, &tolerances)?;
/// # assert!(!tolerances.is_empty() && !list.is_empty());
/// # Ok(()) }
/// ```
#[derive(Clone, Debug, Default, PartialEq)]
pub struct ToleranceTable(Vec<(&'static str, MeasureTolerance)>);

impl ToleranceTable {
    /// Reads CSV or a spreadsheet with the columns `measure`, `plus` and `minus`; a measure is named as in the reports, such as
    /// `front rise` or `front_rise_mm`. A number without a unit takes the unit `plain`. If only one of `plus` and `minus` is
    /// given, it holds for both.
    pub fn read(bytes: &[u8], path: &str, plain: Unit) -> Result<Self, Problems> {
        if Workbook::is(bytes, path) {
            let book = Workbook::read(bytes, path, "measure")?;
            let source = Source::of(path, &book);
            let mut problems = Found::default();
            let rows = sheet::read_workbook(&source, &book, COLUMNS, &mut problems);
            return of_rows(&source, rows, problems, plain);
        }
        let source = Source::new(path, utf8(bytes, path)?);
        let mut problems = Found::default();
        let rows = sheet::read_csv(&source, COLUMNS, &mut problems);
        of_rows(&source, rows, problems, plain)
    }

    /// The tolerance of the measure with this name.
    pub(crate) fn of(&self, measure: &str) -> Option<MeasureTolerance> {
        self.0.iter().find(|(name, _)| *name == measure).map(|(_, tolerance)| *tolerance)
    }

    /// Whether it has no tolerances.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.0.is_empty()
    }
}

/// The name of a measure without its unit, its words separated by blanks.
pub(crate) fn worded(measure: &str) -> String {
    measure.trim_end_matches("_mm").replace('_', " ")
}

fn of_rows(
    source: &Source,
    rows: Vec<Row>,
    mut problems: Found,
    plain: Unit,
) -> Result<ToleranceTable, Problems> {
    let mut table = ToleranceTable::default();
    for row in rows {
        let Some(cell) = row.cell("measure") else {
            let help = "name the measure in the column measure, such as front rise";
            problems.at(source, row.span.clone(), "the row names no measure", help);
            continue;
        };
        let asked = worded(&cell.text.to_lowercase().replace('-', " "));
        let Some(&name) = MEASURES.iter().find(|name| worded(name) == asked) else {
            let known: Vec<String> = MEASURES.iter().map(|name| worded(name)).collect();
            let known = known.iter().map(String::as_str);
            let help = format!("{}there are {}", words::perhaps(&asked, known.clone()), words::listed(known));
            problems.at(source, cell.span.clone(), &format!("{} is no measure", quoted(&cell.text)), &help);
            continue;
        };
        if table.of(name).is_some() {
            let message = format!("{} is there twice", quoted(&cell.text));
            problems.at(source, cell.span.clone(), &message, "leave one row for each measure");
            continue;
        }
        let mut read = |column: &str| {
            let cell = row.cell(column)?;
            match length::parse(&cell.text, Some(plain)) {
                Ok(length) => Some(length.in_mm(plain)),
                Err(error) => {
                    let message = format!("{column}: {}", error.problem());
                    problems.at(source, cell.span.clone(), &message, length::ACCEPTED);
                    None
                }
            }
        };
        let (plus, minus) = (read("plus"), read("minus"));
        match (plus.or(minus), minus.or(plus)) {
            (Some(plus), Some(minus)) => table.0.push((name, MeasureTolerance { plus, minus })),
            _ if row.cell("plus").is_some() || row.cell("minus").is_some() => {}
            _ => {
                let help = "write it in plus, minus or both";
                problems.at(source, row.span.clone(), "the row gives no tolerance", help);
            }
        }
    }
    problems.or(table)
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;

    #[test]
    fn measures_are_named_as_people_do() {
        let table = ToleranceTable::read(
            b"measure,plus,minus\nFront rise,1/4in,\nback_inseam_mm,6,3\n",
            "t.csv",
            Unit::Mm,
        )
        .unwrap();
        // 1/4 in is 6.35 mm.
        let quarter = MeasureTolerance { plus: Mm(6.35), minus: Mm(6.35) };
        assert_eq!(table.of("front_rise_mm"), Some(quarter));
        assert_eq!(table.of("back_inseam_mm"), Some(MeasureTolerance { plus: Mm(6.0), minus: Mm(3.0) }));
        assert_eq!(table.of("back_rise_mm"), None);
    }

    #[test]
    fn what_is_no_tolerance_is_said_with_its_place() {
        for (row, said) in [
            ("front rice,6,6", "'front rice' is no measure"),
            ("front rise,-6,6", "plus: '-6' is negative"),
            ("front rise,,", "gives no tolerance"),
            (",6,6", "names no measure"),
            ("front rise,six,6", "plus: "),
            ("hip,1,1\nhip,1,1", "no measure"),
            ("front rise,1,1\nfront_rise,1,1", "there twice"),
        ] {
            let text = format!("measure,plus,minus\n{row}\n");
            let problems = ToleranceTable::read(text.as_bytes(), "t.csv", Unit::Mm).unwrap_err().to_string();
            assert!(problems.contains(said) && problems.contains("t.csv:"), "{problems}");
        }
    }
}
