//! `truerise measure`

use super::args::{Common, Format, MeasureArgs};
use super::inputs::{self, DrawingFile};
use super::reports::{Ending, ending};
use super::write::Before;
use super::{End, Failure, files, terminal, write};
use crate::job::{ToleranceTable, template};
use crate::order::{self, Settings};
use crate::pattern::SizeName;
use crate::plot::{self, Part};
use crate::report::measuring::{self, PictureLine};
use crate::report::text::Style;
use crate::report::{self, MeasureReport, Verdict};
use crate::units::{Shown, Unit};
use std::path::Path;

pub(super) fn run(args: &MeasureArgs) -> Result<End, Failure> {
    let mut inputs: Vec<&Path> = args.drawings.iter().map(std::path::PathBuf::as_path).collect();
    inputs.extend([&args.tolerance_table, &args.common.job].into_iter().filter_map(Option::as_deref));
    let mut outputs = files::Outputs::new(&inputs, args.overwrite);
    if let Some(table) = &args.write_sizes {
        form(table)?;
        outputs.add(table)?;
    }
    for path in &args.report {
        ending(path)?;
        outputs.add(path)?;
    }
    let mut reports: Vec<MeasureReport> = Vec::new();
    for path in &args.drawings {
        let file = DrawingFile::read(path, &args.common)?;
        let (job, opened) = file.open(&args.common)?;
        // Every size is measured, because only then is it known which sizes there are.
        let settings = Settings { only: Vec::new(), ..Settings::of(&job, opened.plain()) };
        reports.push(order::measure(&opened, &job, &settings));
    }
    let there = reports.iter().flat_map(|r| &r.sizes).map(|s| s.size.as_str());
    let wanted = args.common.only();
    inputs::sizes_there(&wanted, there, "no drawing has trouser legs in that size; there are")?;
    for report in &mut reports {
        report.sizes.retain(|s| wanted.is_empty() || wanted.contains(&SizeName::from(s.size.as_str())));
    }
    let mut text = render(args.common.format, &reports, &terminal::style(&args.common))?;
    let mut written = rendered(args, &reports)?;
    if let Some(table) = &args.write_sizes {
        written.push((table, size_table(table, &reports, &args.common)?));
        if args.common.format == Format::Text {
            let next = match form(table)? {
                Form::Page | Form::Print => {
                    "print it at 100 %, take the measures, and write them into the table that --write-sizes TABLE.xlsx (or .csv) makes"
                }
                Form::Text | Form::Sheets => {
                    "fill in crotch_length, and ease and waistband (0 where there is none), or a column change in place of \
                     the three, and give it to alter --sizes"
                }
            };
            text += &["\nWritten: ", &files::display(table), "; ", next, "\n"].concat();
        }
    }
    write::watched(written.iter().map(|(path, bytes)| (*path, &bytes[..])), Before::asked(args.overwrite))?;
    terminal::print(&args.common, &text)?;
    let verdict = Verdict::on(reports.iter().flat_map(MeasureReport::all_findings));
    Ok(if verdict == Verdict::Pass { End::Sound } else { End::Findings })
}

fn render(format: Format, reports: &[MeasureReport], style: &Style) -> Result<String, Failure> {
    Ok(match format {
        Format::Text => report::text::measures(reports, style),
        Format::Json => report::json::several(reports)?,
        Format::Csv => report::csv::measures(reports)?,
    })
}

/// The reports asked for, with their places.
fn rendered<'a>(
    args: &'a MeasureArgs,
    reports: &[MeasureReport],
) -> Result<Vec<(&'a Path, Vec<u8>)>, Failure> {
    let tolerances = match &args.tolerance_table {
        Some(path) => {
            let plain = args.common.unit.map(Unit::from).or(reports.first().map(|r| r.drawing.unit));
            let bytes = args.common.inputs().read(path, files::Input::Other)?;
            ToleranceTable::read(&bytes, &files::display(path), plain.unwrap_or(Unit::Mm))?
        }
        None => ToleranceTable::default(),
    };
    let mut written: Vec<(&Path, Vec<u8>)> = Vec::new();
    for path in &args.report {
        let bytes = match ending(path)? {
            Ending::Printed(format) => {
                render(format, reports, &Style::plain().showing(args.common.display_unit()))?.into_bytes()
            }
            Ending::Page => {
                report::html::measures(reports, &tolerances, args.common.display_unit())?.into_bytes()
            }
            Ending::Sheets => report::grid::workbook(&report::csv::measure_sheets(reports, &tolerances))?,
        };
        written.push((path, bytes));
    }
    Ok(written)
}

/// A form that is written to be filled in.
#[derive(Clone, Copy)]
enum Form {
    /// A size table as CSV.
    Text,
    /// A size table as a spreadsheet.
    Sheets,
    /// A sheet for taking measures, as a page.
    Page,
    /// A sheet for taking measures, as a print.
    Print,
}

fn form(table: &Path) -> Result<Form, Failure> {
    let ending = table.extension().map(|e| e.to_string_lossy().to_lowercase()).unwrap_or_default();
    match ending.as_str() {
        "xlsx" => Ok(Form::Sheets),
        "csv" | "txt" | "" => Ok(Form::Text),
        "html" => Ok(Form::Page),
        "pdf" => Ok(Form::Print),
        _ => Err(format!(
            "{}: a size table to fill in ends in .csv or .xlsx, a sheet to take measures on in .html or .pdf",
            files::display(table)
        )
        .into()),
    }
}

/// A size table to be filled in, or a sheet for taking measures, in the unit asked for or that of the drawing.
fn size_table(table: &Path, reports: &[MeasureReport], common: &Common) -> Result<Vec<u8>, Failure> {
    let unit = common.unit.map(Unit::from).or_else(|| Some(reports.first()?.drawing.unit));
    let show = Shown::asked(common.display_unit(), unit.unwrap_or(Unit::Mm));
    let measured = || {
        let sizes = reports.iter().flat_map(|r| &r.sizes);
        sizes.map(|s| (s.size.as_str(), s.measures.as_ref().map(|m| m.crotch_length)))
    };
    let names: Vec<SizeName> = measured().map(|(size, _)| SizeName::new(size)).collect();
    let sizes = names.iter().zip(measured()).map(|(name, (_, length))| (name, length));
    let title = reports.first().map(|r| r.drawing.style.as_ref().unwrap_or(&r.drawing.path).clone());
    let title = title.unwrap_or_default();
    Ok(match form(table)? {
        Form::Text => template::size_table(sizes, show)?.into_bytes(),
        Form::Sheets => template::size_workbook(sizes, show)?,
        Form::Page => {
            report::html::measuring(&title, measuring::rows(measured(), show), &measuring::written_in(show))?
                .into_bytes()
        }
        Form::Print => {
            let unit = measuring::written_in(show);
            plot::form(&title, &parts(&title, measuring::rows(measured(), show), &unit))?
        }
    })
}

/// The sheet for taking measures, as the parts of a form to be printed.
fn parts<'f>(title: &'f str, rows: Vec<measuring::Row>, unit: &'f str) -> Vec<Part<'f>> {
    let last = measuring::COLUMNS.len() - 1;
    let row = |r: measuring::Row| {
        let mut cells = vec![String::new(); last + 1];
        (cells[0], cells[last]) = (r.size, r.pattern);
        cells
    };
    let shows = measuring::SHOWS.iter().map(|cells| cells.map(str::to_owned).to_vec()).collect();
    vec![
        Part::Title(title),
        Part::Heading(measuring::HEADINGS[0]),
        Part::Held {
            lines: measuring::picture()
                .into_iter()
                .map(|(d, path)| (matches!(d, PictureLine::Tape), path))
                .collect(),
            labels: measuring::labels(),
            size: measuring::PICTURE.into(),
            steps: &measuring::STEPS,
        },
        Part::Heading(measuring::HEADINGS[1]),
        Part::Text(unit),
        Part::Table { columns: measuring::COLUMNS.to_vec(), rows: rows.into_iter().map(row).collect() },
        Part::Heading(measuring::HEADINGS[2]),
        Part::Text(measuring::NOTED),
        Part::Table {
            columns: vec![
                ("what is seen", 96.0),
                ("the seam is", 32.0),
                ("size or person", 34.0),
                ("by", 24.0),
            ],
            rows: shows,
        },
        Part::Text(measuring::CAUTION),
    ]
}
