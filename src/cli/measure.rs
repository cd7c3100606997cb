//! `truerise measure`

use super::args::{Common, Format, MeasureArgs};
use super::inputs::{self, DrawingFile};
use super::reports::{Ending, ending};
use super::write::{Before, Pending};
use super::{End, Failure, files, terminal, write};
use crate::job::{ToleranceTable, template};
use crate::order::{self, Settings};
use crate::pattern::SizeName;
use crate::report::text::Style;
use crate::report::{self, MeasureReport, Verdict};
use crate::units::{Shown, Unit};
use std::path::Path;

pub(super) fn run(args: &MeasureArgs) -> Result<End, Failure> {
    let mut inputs: Vec<&Path> = args.drawings.iter().map(std::path::PathBuf::as_path).collect();
    inputs.extend([&args.tolerance_table, &args.common.job].into_iter().filter_map(Option::as_deref));
    let mut outputs = files::Outputs::new(&inputs, args.overwrite);
    if let Some(table) = &args.write_sizes {
        as_workbook(table)?;
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
        reports.push(order::measure(&opened, &job, &Settings::of(&job)));
    }
    let there = reports.iter().flat_map(|r| &r.sizes).map(|s| s.size.as_str());
    inputs::sizes_there(&args.common.sizes, there, "no drawing has trouser legs in that size; there are")?;
    let wanted: Vec<SizeName> = args.common.sizes.iter().map(SizeName::new).collect();
    for report in &mut reports {
        report.sizes.retain(|s| wanted.is_empty() || wanted.contains(&SizeName::from(s.size.as_str())));
    }
    let mut text = render(args.common.format, &reports, &terminal::style(&args.common))?;
    write_reports(args, &reports)?;
    if let Some(table) = &args.write_sizes {
        let bytes = size_table(table, &reports, &args.common)?;
        write::file(table, &bytes, write::Before::asked(args.overwrite))?;
        if args.common.format == Format::Text {
            let next = "fill in crotch_length, and ease and waistband (0 where there is none), or a column change in place of \
                        the three, and give it to alter --sizes";
            text += &["\nWritten: ", &files::shown(table), "; ", next, "\n"].concat();
        }
    }
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

/// Writes the reports asked for.
fn write_reports(args: &MeasureArgs, reports: &[MeasureReport]) -> Result<(), Failure> {
    let tolerances = match &args.tolerance_table {
        Some(path) => {
            let plain = args.common.unit.map(Unit::from).or(reports.first().map(|r| r.drawing.unit));
            let bytes = args.common.inputs().read(path, files::Input::Other)?;
            ToleranceTable::read(&bytes, &files::shown(path), plain.unwrap_or(Unit::Mm))?
        }
        None => ToleranceTable::default(),
    };
    let mut pending = Vec::new();
    for path in &args.report {
        let bytes = match ending(path)? {
            Ending::Printed(format) => {
                render(format, reports, &Style::plain().showing(args.common.shown()))?.into_bytes()
            }
            Ending::Page => report::html::measures(reports, &tolerances, args.common.shown())?.into_bytes(),
            Ending::Sheets => report::grid::workbook(&report::csv::measure_sheets(reports, &tolerances))?,
        };
        pending.push(Pending::write(path, [&bytes[..]])?);
    }
    Ok(write::place(pending, Before::asked(args.overwrite))?)
}

/// What a table to fill in is written as.
fn as_workbook(table: &Path) -> Result<bool, Failure> {
    let ending = table.extension().map(|e| e.to_string_lossy().to_lowercase()).unwrap_or_default();
    match ending.as_str() {
        "xlsx" => Ok(true),
        "csv" | "txt" | "" => Ok(false),
        _ => Err(format!("{}: a size table to fill in ends in .csv or .xlsx", files::shown(table)).into()),
    }
}

/// A size table to fill in, in the unit asked for or the drawing's.
fn size_table(table: &Path, reports: &[MeasureReport], common: &Common) -> Result<Vec<u8>, Failure> {
    let unit = common.unit.map(Unit::from).or_else(|| Some(reports.first()?.drawing.unit));
    let show = Shown::asked(common.shown(), unit.unwrap_or(Unit::Mm));
    let sizes: Vec<_> = reports
        .iter()
        .flat_map(|r| &r.sizes)
        .map(|s| (SizeName::new(&s.size), s.measures.as_ref().map(|m| m.crotch_length)))
        .collect();
    let sizes = sizes.iter().map(|(name, length)| (name, *length));
    Ok(if as_workbook(table)? {
        template::size_workbook(sizes, show)?
    } else {
        template::size_table(sizes, show)?.into_bytes()
    })
}
