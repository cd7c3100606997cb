//! `truerise check`

use super::args::{CheckArgs, Format};
use super::inputs::{self, DrawingFile};
use super::reports::{Ending, ending};
use super::write::{self, Before};
use super::{End, Failure, files, terminal};
use crate::check;
use crate::job::Job;
use crate::order::Opened;
use crate::pattern::SizeName;
use crate::report::html::CheckSheet;
use crate::report::text::Style;
use crate::report::{self, CheckReport, Verdict};
use std::path::{Path, PathBuf};

pub(super) fn run(args: &CheckArgs) -> Result<End, Failure> {
    let mut inputs: Vec<&Path> = args.drawings.iter().map(PathBuf::as_path).collect();
    inputs.extend([&args.against, &args.common.job].into_iter().filter_map(Option::as_deref));
    let mut outputs = files::Outputs::new(&inputs, args.overwrite);
    for path in &args.report {
        ending(path)?;
        outputs.add(path)?;
    }
    if args.against.is_some() && args.drawings.len() > 1 {
        return Err("--against names the original of one drawing; give one drawing with it".into());
    }
    let read = |path: &PathBuf| DrawingFile::read(path, &args.common);
    let files: Vec<DrawingFile> = args.drawings.iter().map(read).collect::<Result<_, _>>()?;
    let opened: Vec<(Job, Opened<'_>)> =
        files.iter().map(|file| file.open(&args.common)).collect::<Result<_, _>>()?;
    let before = args.against.as_ref().map(|path| DrawingFile::read(path, &args.common)).transpose()?;
    let only = args.common.only();
    let there = opened.iter().flat_map(|(_, o)| o.pattern.pieces.iter().filter_map(|p| p.size.as_ref()));
    inputs::sizes_there(
        &only,
        there.map(SizeName::as_str),
        "the drawing has no piece in that size; there are",
    )?;
    let mut reports: Vec<CheckReport> = Vec::new();
    for (job, opened) in &opened {
        // The original is read with the same job, so that both drawings are read in the same way, also if their units differ.
        let reading = job.reading().settled(opened.plain());
        let original = before.as_ref().map(|b| b.open_as(&reading)).transpose()?;
        let by = if args.strict { check::By::Text } else { check::By::Drawn };
        let original = original.as_ref().map(|original| (original, by));
        reports.push(check::run(opened, job, original).only(&only));
    }
    let mut written: Vec<(&Path, Vec<u8>)> = Vec::new();
    for path in &args.report {
        let bytes = match ending(path)? {
            Ending::Printed(format) => render(format, &reports, &Style::plain())?.into_bytes(),
            Ending::Page => {
                let pairs = reports.iter().zip(&opened);
                let sheets: Vec<CheckSheet<'_>> =
                    pairs.map(|(report, (_, o))| CheckSheet { report, pattern: &o.pattern }).collect();
                report::html::checks(&sheets)?.into_bytes()
            }
            Ending::Sheets => {
                let all: Vec<&CheckReport> = reports.iter().collect();
                report::grid::workbook(&report::csv::check_sheets(&all))?
            }
        };
        written.push((path, bytes));
    }
    write::watched(written.iter().map(|(path, bytes)| (*path, &bytes[..])), Before::asked(args.overwrite))?;
    terminal::print(&args.common, &render(args.common.format, &reports, &terminal::style(&args.common))?)?;
    let sound = reports.iter().all(|r| r.verdict == Verdict::Pass);
    Ok(if sound { End::Sound } else { End::Findings })
}

fn render(format: Format, reports: &[CheckReport], style: &Style) -> Result<String, Failure> {
    Ok(match format {
        Format::Text => {
            let texts: Vec<String> =
                reports.iter().map(|report| report::check_text::render(report, style)).collect();
            texts.join("\n")
        }
        Format::Json => report::json::several(reports)?,
        Format::Csv => report::csv::checks(&reports.iter().collect::<Vec<_>>())?,
    })
}
