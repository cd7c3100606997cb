//! `truerise alter`

use super::args::{AlterArgs, Format};
use super::asked;
use super::inputs::{self, DrawingFile, TextFile};
use super::reports::{Ending, ending};
use super::watch::Watch;
use super::write::{self, Before, NotWritten, Pending};
use super::{End, Failure, files, terminal};
use crate::job::Job;
use crate::order::{self, Altered, Opened, Settings};
use crate::report::html::Sheet;
use crate::report::{self, OutputInfo, Report, Verdict};
use crate::seam;
use crate::units::Unit;
use std::path::{Path, PathBuf};

pub(super) fn run(args: &AlterArgs) -> Result<End, Failure> {
    let places = places(args)?;
    let table_file = TextFile::read(&args.table, &args.common)?;
    let rules_file = args.how.rules.as_deref();
    let rules_file = rules_file.map(|path| TextFile::read(path, &args.common)).transpose()?;
    let rules = rules_file.as_ref().map(TextFile::rules).transpose()?;
    let options = args.how.options(&args.common)?;
    let read = |path: &PathBuf| {
        let job_file = inputs::job_file(path, &args.common)?;
        let job = inputs::job(&options, job_file.as_ref())?;
        let drawing = DrawingFile::read(path, &args.common)?;
        Ok(Given { drawing: drawing.graded(rules.as_ref(), &args.how.grading, &job)?, job, job_file })
    };
    let given: Vec<Given> = args.drawings.iter().map(read).collect::<Result<_, Failure>>()?;
    let opened: Vec<Opened<'_>> =
        given.iter().map(|given| given.drawing.open_by(&given.job)).collect::<Result<_, _>>()?;
    let sizes = given.iter().zip(&opened).map(|(given, o)| seam::sizes(&o.pattern, &given.job.labels));
    let sizes: Vec<_> = sizes.collect();
    let all: Vec<_> = sizes.iter().flatten().cloned().collect();
    let table = asked::table(&table_file, &all, &options.only)?;

    let drawn = args.report.iter().any(|path| matches!(ending(path), Ok(Ending::Page)));
    let (mut done, mut described) = (Vec::new(), Vec::new());
    let mut advice = Vec::new();
    for ((given, opened), sizes) in given.iter().zip(&opened).zip(&sizes) {
        let settings = Settings::of(&given.job, opened.plain());
        let settings = Settings { figures: drawn, only_asked: args.only_asked, ..settings };
        let table = table.in_mm(opened.plain());
        if args.advise {
            advice.push(order::advise(opened, sizes, &table, &settings));
            continue;
        }
        asked::at_odds(&settings)?;
        done.push(order::alter_sizes(opened, (sizes, &given.job.labels), &table, &settings));
        let (rules, job) = (rules_file.as_ref(), given.job_file.as_ref());
        described.push(asked::run_settings(&table_file, rules, job, &opened.pattern, &settings));
    }
    if args.advise {
        let text = match args.common.format {
            Format::Text => report::text::advice(&advice, &terminal::style(&args.common)),
            Format::Json => report::json::several(&advice)?,
            Format::Csv => report::csv::advice(&advice)?,
        };
        terminal::print(&args.common, &text)?;
        return Ok(End::Sound);
    }
    let end = finish(args, &places, &given, &mut done, &described)?;
    // The program ends after this. Freeing a large nest piece by piece would take as long as reading a tenth of it.
    std::mem::forget((done, opened));
    Ok(end)
}

/// A drawing, with its job.
struct Given {
    drawing: DrawingFile,
    job: Job,
    job_file: Option<TextFile>,
}

/// Writes the drawings and reports, and prints the results.
fn finish(
    args: &AlterArgs,
    places: &[Option<PathBuf>],
    given: &[Given],
    done: &mut [Altered<'_>],
    described: &[Vec<(&'static str, String)>],
) -> Result<End, Failure> {
    // The drawings are one range of sizes, so if one of them fails, none is written.
    let sound = done.iter().all(|d| d.report.verdict == Verdict::Pass);
    let watch = Watch::begin()?;
    let mut pending = Vec::new();
    if sound && !args.dry_run {
        for (altered, place) in done.iter_mut().zip(places) {
            pending.extend(written(altered, place.as_deref())?);
        }
    }
    let drawn = pending.len();
    let reports: Vec<&Report> = done.iter().map(|d| &d.report).collect();
    let printed = render(args.common.format, &reports, &terminal::style(&args.common))?;
    for path in &args.report {
        let bytes = match ending(path)? {
            Ending::Printed(format) => {
                let style = report::text::Style::plain().showing(args.common.display_unit());
                render(format, &reports, &style)?.into_bytes()
            }
            Ending::Page => {
                report::html::render(&sheets(done, described, args.common.display_unit()))?.into_bytes()
            }
            Ending::Sheets => report::grid::workbook(&report::csv::alteration_sheets(&reports))?,
        };
        pending.push(Pending::write(path, [&bytes[..]])?);
    }
    watch.go_on()?;
    write::place(pending, Before::asked(args.overwrite))?;
    let binary = given.iter().map(|given| &given.drawing).zip(places).take(drawn);
    let binary = binary.filter(|(from, _)| from.is_binary());
    for (from, to) in binary {
        let to = to.as_deref().map(files::display).unwrap_or_default();
        let message = format!("{} is binary DXF; {to} was written as ASCII DXF", from.shown);
        terminal::remark(&args.common, &message);
    }
    terminal::print(&args.common, &printed)?;
    Ok(if sound { End::Sound } else { End::Findings })
}

/// Writes the new drawing beside its place, while its hash for the report is computed in parallel.
fn written<'p>(
    altered: &mut Altered<'_>,
    place: Option<&'p Path>,
) -> Result<Option<Pending<'p>>, NotWritten> {
    let (Some(drawing), Some(place)) = (&altered.drawing, place) else { return Ok(None) };
    let (sha256, pending) =
        rayon::join(|| order::sha256_of(drawing.chunks()), || Pending::write(place, drawing.chunks()));
    altered.report.output = Some(OutputInfo { path: files::display(place), sha256 });
    pending.map(Some)
}

/// The place of each new drawing, after a check that every output may be written.
fn places(args: &AlterArgs) -> Result<Vec<Option<PathBuf>>, Failure> {
    let mut inputs: Vec<&Path> = args.drawings.iter().map(PathBuf::as_path).collect();
    inputs.push(&args.table);
    inputs.extend(args.common.job.as_deref());
    inputs.extend(args.how.rules.as_deref());
    let mut outputs = files::Outputs::new(&inputs, args.overwrite);
    let mut places = Vec::new();
    for drawing in &args.drawings {
        let place = match &args.output {
            Some(folder) if args.drawings.len() > 1 => {
                if !folder.is_dir() {
                    return Err(format!(
                        "{}: is no folder; with several drawings -o names a folder for the new ones, make it first",
                        files::display(folder)
                    )
                    .into());
                }
                Some(folder.join(drawing.file_name().unwrap_or_default()))
            }
            other => other.clone(),
        };
        if let Some(place) = place.as_ref().filter(|_| !args.dry_run) {
            outputs.add(place)?;
        }
        places.push(place);
    }
    for path in &args.report {
        ending(path)?;
        outputs.add(path)?;
    }
    Ok(places)
}

/// What the page shows of each drawing.
fn sheets<'a>(
    done: &'a [Altered],
    described: &[Vec<(&'static str, String)>],
    show: Option<Unit>,
) -> Vec<Sheet<'a>> {
    let sheet = |(a, settings): (&'a Altered, &Vec<_>)| Sheet {
        report: &a.report,
        figures: &a.figures,
        settings: settings.clone(),
        show,
    };
    done.iter().zip(described).map(sheet).collect()
}

fn render(format: Format, reports: &[&Report], style: &report::text::Style) -> Result<String, Failure> {
    Ok(match format {
        Format::Text => report::text::alterations(reports, style),
        Format::Json => report::json::several(reports)?,
        Format::Csv => report::csv::alterations(reports)?,
    })
}
