//! `truerise grade`

use super::args::{Format, GradeArgs};
use super::inputs::{self, DrawingFile, TextFile};
use super::{End, Failure, files, terminal, write};
use crate::grade::{Options, Shared};
use crate::order;
use crate::pattern::SizeName;
use crate::report::{self, OutputInfo, Verdict};
use std::path::Path;

pub(super) fn run(args: &GradeArgs) -> Result<End, Failure> {
    let mut given: Vec<&Path> = vec![&args.drawing];
    given.extend(args.rules.as_deref());
    given.extend(args.common.job.as_deref());
    let place = args.derive_rules.as_ref().or(args.output.as_ref());
    // Together with --derive-rules, -o names the file for the base size's drawing.
    let base = args.derive_rules.as_ref().and(args.output.as_ref());
    let mut outputs = files::Outputs::new(&given, args.overwrite);
    for place in place.into_iter().chain(base).filter(|_| !args.dry_run) {
        outputs.add(place)?;
    }
    let output = place.map(|p| files::display(p)).unwrap_or_default();
    let file = DrawingFile::read(&args.drawing, &args.common)?;
    let table = args.rules.as_deref().map(|path| TextFile::read(path, &args.common)?.rules()).transpose()?;
    let (job, opened) = file.open(&args.common)?;
    let options = Options { no_reread: args.no_reread, ..inputs::grading(&args.grading, &job) };
    let here = |e: crate::grade::GradeError| format!("{}: {e}", file.shown);
    let mut graded = if let Some(table) = &table {
        let there = table.sizes.iter().map(SizeName::as_str);
        inputs::sizes_there(&options.only, there, "is not in the rule table, which has")?;
        order::grade(&opened, &job, table, &options, &args.accept, &output).map_err(here)?
    } else {
        let shared = if base.is_some() { Shared::Renumbered } else { Shared::Told };
        order::derive(&opened, &options, shared, &args.accept, &output).map_err(here)?
    };
    let drawn = base.zip(graded.base.as_ref());
    graded.report.base =
        drawn.map(|(place, bytes)| OutputInfo { path: files::display(place), sha256: order::sha256(bytes) });
    if args.dry_run {
        (graded.report.output, graded.report.base) = (None, None);
    }
    let style = terminal::style(&args.common);
    let printed = match args.common.format {
        Format::Text => report::grade::text(&graded.report, &style),
        Format::Json => report::json::render(&graded.report)?,
        Format::Csv => report::grade::csv(&graded.report)?,
    };
    if let (Some(bytes), Some(place), false) = (&graded.bytes, place, args.dry_run) {
        let drawn = base.zip(graded.base.as_ref()).map(|(place, bytes)| (place.as_path(), bytes.as_slice()));
        let files = [(place.as_path(), bytes.as_slice())].into_iter().chain(drawn);
        write::watched(files, write::Before::asked(args.overwrite))?;
        if let Some(drawing) = args.output.as_ref().filter(|_| file.is_binary()) {
            let drawing = files::display(drawing);
            let remark = format!("{} is binary DXF; {drawing} was written as ASCII DXF", file.shown);
            terminal::remark(&args.common, &remark);
        }
    }
    terminal::print(&args.common, &printed)?;
    Ok(if graded.report.verdict == Verdict::Pass { End::Sound } else { End::Findings })
}
