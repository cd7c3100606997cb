//! `truerise check`

use super::args::{CheckArgs, Format};
use super::inputs::{self, DrawingFile};
use super::{End, Failure, terminal};
use crate::check;
use crate::pattern::SizeName;
use crate::report::{self, Verdict};

pub(super) fn run(args: &CheckArgs) -> Result<End, Failure> {
    let file = DrawingFile::read(&args.drawing, &args.common)?;
    let (job, opened) = file.open(&args.common)?;
    let before = args.against.as_ref().map(|path| DrawingFile::read(path, &args.common)).transpose()?;
    // The original is read by the same job, so that the two are read alike.
    let original = before.as_ref().map(|b| b.open_by(&job, &args.common)).transpose()?;
    let only: Vec<SizeName> = args.common.sizes.iter().map(SizeName::new).collect();
    let there = opened.pattern.pieces.iter().filter_map(|p| p.size.as_ref());
    inputs::sizes_there(
        &args.common.sizes,
        there.map(SizeName::as_str),
        "the drawing has no piece in that size; there are",
    )?;
    let report = check::run(&opened, &job, original.as_ref()).only(&only);
    let text = match args.common.format {
        Format::Text => report::check_text::render(&report, &terminal::style(&args.common)),
        Format::Json => report::json::render(&report)?,
        Format::Csv => report::csv::checks(&report)?,
    };
    terminal::print(&args.common, &text)?;
    Ok(if report.verdict == Verdict::Pass { End::Sound } else { End::Findings })
}
