//! `truerise plot`

use super::args::{Format, PlotArgs};
use super::inputs::DrawingFile;
use super::{End, Failure, files, terminal, write};
use crate::finding::{Finding, FindingId};
use crate::order::{self, Opened};
use crate::pattern::Piece;
use crate::plot::{self, Paper, PlotOptions, PlotPiece};
use crate::report::plot::PlotReport;
use crate::report::{self, OutputInfo, Verdict};
use crate::units::Unit;
use std::collections::{HashMap, HashSet};
use std::path::Path;

/// Prints the pieces of the sizes asked for, if nothing is wrong with them.
pub(super) fn run(args: &PlotArgs) -> Result<End, Failure> {
    let mut inputs: Vec<&Path> = vec![&args.drawing];
    inputs.extend([&args.against, &args.font, &args.common.job].into_iter().filter_map(Option::as_deref));
    files::Outputs::new(&inputs, args.overwrite).add(&args.output)?;

    let inputs = args.common.inputs();
    let font = args.font.as_deref().map(|path| inputs.read(path, files::Input::Other)).transpose()?;
    let file = DrawingFile::read(&args.drawing, &args.common)?;
    let (_, opened) = file.open(&args.common)?;
    let paper = paper(args, opened.plain());
    let here = |e: plot::PlotError| format!("{}: {e}", file.shown);
    let sizes = sizes(args, &opened)?;
    let size = &*sizes.join(", ");
    let selected = plot::select(&opened.pattern, &sizes, args.piece.as_deref()).map_err(here)?;

    let original_file = args.against.as_deref();
    let original_file = original_file.map(|path| DrawingFile::read(path, &args.common)).transpose()?;
    let original = original_file.as_ref().map(|f| f.open(&args.common)).transpose()?;
    let mut findings = selected.findings;
    let pieces: Vec<PlotPiece<'_>> = match &original {
        Some((_, original)) => {
            // Of several pieces with one block name the first counts.
            let originals = original.pattern.pieces.iter().rev().map(|p| (&*p.block_name, p)).collect();
            let before = |piece| with_old_lines(piece, &originals, size, &mut findings);
            selected.pieces.into_iter().map(before).collect()
        }
        None => selected.pieces.into_iter().map(|piece| PlotPiece { piece, before: None }).collect(),
    };
    findings.extend(about(&opened, &pieces));

    let style = opened.pattern.style.as_deref();
    let options = PlotOptions { paper, style, size, show: args.common.display_unit(), font: font.as_deref() };
    let print = plot::plot(&pieces, &options).map_err(here)?;
    findings.extend(print.findings);
    let verdict = Verdict::on(&findings);
    let mut output = None;
    if verdict == Verdict::Pass {
        write::file(&args.output, &print.pdf, write::Before::asked(args.overwrite))?;
        output = Some(OutputInfo { path: files::display(&args.output), sha256: order::sha256(&print.pdf) });
    }
    let report = PlotReport {
        format: "truerise-plot/1",
        drawing: opened.info(),
        output,
        size: size.to_owned(),
        paper: paper.described(args.common.display_unit()),
        pages: print.pages,
        pieces: pieces.iter().map(|p| p.piece.name.clone()).collect(),
        verdict,
        findings,
    };
    let text = match args.common.format {
        Format::Text => report.text(&terminal::style(&args.common)),
        Format::Json => report::json::render(&report)?,
        Format::Csv => report.csv()?,
    };
    terminal::print(&args.common, &text)?;
    Ok(if verdict == Verdict::Pass { End::Sound } else { End::Findings })
}

/// A piece, together with the piece of the original from which it was made.
fn with_old_lines<'p>(
    piece: &'p Piece,
    originals: &HashMap<&str, &'p Piece>,
    size: &str,
    findings: &mut Vec<Finding>,
) -> PlotPiece<'p> {
    let before = originals.get(&*piece.block_name).copied();
    if before.is_none() {
        let said =
            "the original has no such piece, so no old line is drawn; check that it is the right original";
        findings.push(Finding::warning(FindingId::ReadAs, said).size(size).about(piece));
    }
    PlotPiece { piece, before }
}

/// The word that stands for every size, unless a size has that name.
const ALL: &str = "all";

/// The sizes to be printed: those asked for, or the only one there is.
fn sizes<'a>(args: &'a PlotArgs, opened: &'a Opened<'_>) -> Result<Vec<&'a str>, Failure> {
    let known = plot::sizes(&opened.pattern);
    let asked: Vec<&str> = args.common.sizes.iter().map(String::as_str).collect();
    match asked.as_slice() {
        [] if known.len() == 1 => Ok(known),
        [] => {
            let known = known.join(", ");
            Err(format!(
                "{}: say which sizes to print with --size, or --size all; its sizes are: {known}",
                opened.path
            )
            .into())
        }
        [one] if one.eq_ignore_ascii_case(ALL) && !known.contains(one) => Ok(known),
        _ => Ok(asked),
    }
}

/// The paper asked for.
fn paper(args: &PlotArgs, plain: Unit) -> Paper {
    args.roll.map_or(Paper::Sheets(args.paper), |width| Paper::Roll { width: width.in_mm(plain) })
}

/// The findings from reading that concern the drawing as a whole or one of these pieces.
fn about(opened: &Opened<'_>, pieces: &[PlotPiece<'_>]) -> Vec<Finding> {
    let blocks: HashSet<usize> = pieces.iter().map(|p| p.piece.block).collect();
    let ours = |block: usize| blocks.contains(&block);
    opened.pattern.findings.iter().filter(|f| f.block().is_none_or(ours)).cloned().collect()
}
