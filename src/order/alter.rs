//! Altering a drawing according to a size table.

use super::{Opened, Settings, doubt, hanging, plausible, read_again, sha256_of, size};
use crate::check::untouched::{self, Given, InPlace};
use crate::dxf_text::Drawing;
use crate::finding::{Finding, FindingId, Severity};
use crate::history;
use crate::job::{Aim, LabelTexts, SizeRow, SizeTable, Uneven};
use crate::output::{self, Handles, NewDrawing, Written};
use crate::pattern::Piece;
use crate::report::figure::SizeFigure;
use crate::report::{Advice, AdvisedSize, AdvisedWay, OutputInfo, Report, SizeReport, Status, Verdict};
use crate::seam::{self, Measures, Size};
use crate::units::Mm;
use rayon::prelude::*;

/// A report, and the new drawing where all checks hold.
#[derive(Debug)]
pub struct Altered<'a> {
    /// What was found and done.
    pub report: Report,
    /// The new drawing.
    pub drawing: Option<NewDrawing<'a>>,
    /// The lines of every size that could be measured, in the drawing's order; empty where the
    /// settings do not ask for them.
    pub figures: Vec<SizeFigure>,
}

/// Alters the sizes of the table as [`alter_sizes`] does, and names the new drawing in the report: `output` is its path.
#[must_use]
pub fn alter<'a>(
    opened: &Opened<'a>,
    read: (&[Size<'_>], &LabelTexts),
    table: &SizeTable<Mm>,
    settings: &Settings,
    output: &str,
) -> Altered<'a> {
    let mut altered = alter_sizes(opened, read, table, settings);
    let sha256 = altered.drawing.as_ref().map(|d| sha256_of(d.chunks()));
    altered.report.output = sha256.map(|sha256| OutputInfo { path: output.to_owned(), sha256 });
    altered
}

/// Alters the sizes of the table in parallel; the report does not name the new drawing yet. `sizes` are those of the drawing, as they
/// are read by these words for seams and parts. Rows of other sizes are ignored, because they may be for other drawings (rows that no drawing has are reported when the table
/// is read).
#[must_use]
pub fn alter_sizes<'a>(
    opened: &Opened<'a>,
    (sizes, labels): (&[Size<'_>], &LabelTexts),
    table: &SizeTable<Mm>,
    settings: &Settings,
) -> Altered<'a> {
    let rows = asked_rows(sizes, table, settings);
    let handles = Handles::default();
    let (mut report, of_sizes) = reported(opened, sizes, &rows, &handles, settings);
    let mut drawing = None;
    if report.verdict == Verdict::Pass {
        let asked: Vec<&SizeRow<Mm>> = rows.iter().map(|(row, _)| *row).collect();
        let made = put_together(&opened.drawing, of_sizes.written, &handles);
        let made =
            if settings.only_asked { made.and_then(|all| of_asked(opened, &asked, &all)) } else { made };
        let said = history::comments(&opened.drawing, &of_sizes.said);
        let made = made.and_then(|new| {
            let altered = |report: &SizeReport| report.status == Status::Altered;
            if settings.reread && report.sizes.iter().any(altered) {
                read_again::compare(opened, (sizes, labels), &new.to_vec(), settings, &mut report.sizes)?;
            }
            Ok(new)
        });
        match made {
            Ok(made) => drawing = Some(made.beginning_with(said)),
            Err(finding) => report.findings.push(finding),
        }
        report.verdict = Verdict::on(report.all_findings());
        drawing = drawing.filter(|_| report.verdict == Verdict::Pass);
    }
    Altered { report, drawing, figures: of_sizes.figures }
}

/// A row of the table with the size that it is for.
type Asked<'t, 's, 'p> = (&'t SizeRow<Mm>, &'s Size<'p>);

/// The rows of the table that are for sizes of the drawing and wanted.
fn asked_rows<'t, 's, 'p>(
    sizes: &'s [Size<'p>],
    table: &'t SizeTable<Mm>,
    settings: &Settings,
) -> Vec<Asked<'t, 's, 'p>> {
    let of_row = |row: &'t SizeRow<Mm>| Some((row, sizes.iter().find(|s| s.name == row.size)?));
    table.rows.iter().filter_map(of_row).filter(|(row, _)| settings.wants(&row.size)).collect()
}

/// What becomes of every size, as the report says it, and what is to be written; the drawing is not put together yet.
fn reported(
    opened: &Opened<'_>,
    sizes: &[Size<'_>],
    rows: &[Asked<'_, '_, '_>],
    handles: &Handles,
    settings: &Settings,
) -> (Report, OfSizes) {
    let (mut of_sizes, info) =
        rayon::join(|| every_size(opened, sizes, rows, handles, settings), || opened.info());
    hanging::in_some_sizes(&opened.pattern, &mut of_sizes.reports);
    let mut findings = opened.pattern.findings.clone();
    findings.extend(seam::doubtful_allowances(&opened.pattern, sizes));
    findings.extend(seam::doubtful_unit(&opened.pattern, sizes));
    let asked: Vec<&SizeRow<Mm>> = rows.iter().map(|(row, _)| *row).collect();
    findings.extend(doubt::without_ease(&asked));
    findings.extend(plausible::oddities(&asked, &of_sizes.reports));
    super::accept(&mut findings, &settings.accept);
    let verdict = Verdict::on(of_sizes.reports.iter().flat_map(|r| &r.findings).chain(&findings));
    let report = Report {
        format: "truerise-report/1",
        drawing: info,
        output: None,
        verdict,
        sizes: std::mem::take(&mut of_sizes.reports),
        findings,
    };
    (report, of_sizes)
}

/// The results for all sizes.
#[derive(Default)]
struct OfSizes {
    /// In the order of the table, followed by the sizes that it does not ask for.
    reports: Vec<SizeReport>,
    written: Vec<Written>,
    /// In the drawing's order.
    figures: Vec<SizeFigure>,
    /// The remarks about them for the new drawing.
    said: Vec<String>,
}

/// Alters the sizes of the rows in parallel, and reports the other sizes as unchanged.
fn every_size(
    opened: &Opened<'_>,
    sizes: &[Size<'_>],
    rows: &[Asked<'_, '_, '_>],
    handles: &Handles,
    settings: &Settings,
) -> OfSizes {
    let outcomes: Vec<size::Outcome> =
        rows.par_iter().map(|(row, size)| size::alter(opened, handles, size, row, settings)).collect();
    let mut all = OfSizes::default();
    for outcome in outcomes {
        all.written.extend(outcome.written);
        all.reports.push(outcome.report);
        all.figures.extend(outcome.figure);
        all.said.extend(outcome.said);
    }
    let asked = |size: &Size<'_>| rows.iter().any(|(row, _)| row.size == size.name);
    for size in sizes.iter().filter(|size| !asked(size)) {
        all.reports.push(untouched(size, settings));
        all.figures.extend(size::figure(size, settings));
    }
    all.figures.sort_by_key(|f| sizes.iter().position(|s| s.name.as_str() == f.size));
    all
}

/// The new drawing, once it has been compared with the old one.
fn put_together<'a>(
    old: &Drawing<'a>,
    written: Vec<Written>,
    handles: &Handles,
) -> Result<NewDrawing<'a>, Finding> {
    let parts = written.iter().flat_map(|w| w.parts(old));
    let mut altered: Vec<InPlace> =
        parts.map(|(part, bytes)| InPlace { part, length: bytes.len() }).collect();
    altered.sort_by_key(|a| a.part.whole.start);
    let given = handles.given().then(|| Given { seed: handles.seed(old) });
    let new = output::file(old, written, handles);
    untouched::compare(old, new.chunks(), &altered, given.as_ref()).map_or(Ok(new), Err)
}

/// The new drawing with only the pieces of the sizes asked for and those without a size.
fn of_asked<'a>(
    opened: &Opened<'_>,
    asked: &[&SizeRow<Mm>],
    all: &NewDrawing<'_>,
) -> Result<NewDrawing<'a>, Finding> {
    let wanted = |p: &Piece| p.size.as_ref().is_none_or(|size| asked.iter().any(|row| row.size == *size));
    let left = opened.pattern.pieces.iter().filter(|p| !wanted(p)).map(|p| p.block).collect();
    output::leave_out(&all.to_vec(), &left, &opened.reading).map_err(|error| {
        let message = format!(
            "the sizes that were not asked for cannot be left out: {error}. Write the drawing without --only-asked"
        );
        Finding::error(FindingId::ChangedElsewhere, message)
    })
}

/// What each way of dealing with uneven shares would do to every size of the table; nothing is written.
#[must_use]
pub fn advise(opened: &Opened<'_>, sizes: &[Size<'_>], table: &SizeTable<Mm>, settings: &Settings) -> Advice {
    let ways: Vec<Report> = Uneven::ALL
        .iter()
        .map(|&uneven| {
            let settings =
                Settings { uneven, aim: Aim::Length, reread: false, figures: false, ..settings.clone() };
            let rows = asked_rows(sizes, table, &settings);
            reported(opened, sizes, &rows, &Handles::default(), &settings).0
        })
        .collect();
    let asked =
        ways[0].sizes.iter().enumerate().filter(|(_, s)| s.asked.is_some() || s.status == Status::Refused);
    let advised = asked.map(|(i, size)| AdvisedSize {
        size: size.size.clone(),
        ways: Uneven::ALL
            .iter()
            .zip(&ways)
            .map(|(&uneven, way)| AdvisedWay {
                uneven,
                verdict: Verdict::on(&way.sizes[i].findings),
                result: way.sizes[i].clone(),
            })
            .collect(),
    });
    Advice { format: "truerise-advice/1", drawing: opened.info(), sizes: advised.collect() }
}

/// The report of a size that was not asked for: it stays as it is, whatever is wrong with it. For a size that was left out on
/// purpose there are no findings.
fn untouched(size: &Size<'_>, settings: &Settings) -> SizeReport {
    let measures = size.pair().map(Measures::of);
    let mut findings = Vec::new();
    if settings.wants(&size.name) {
        findings.clone_from(&size.findings);
        for finding in findings.iter_mut().filter(|f| f.severity == Severity::Error) {
            finding.severity = Severity::Warning;
        }
        let message = if settings.only_asked {
            "the size table does not ask for this size, which the new drawing leaves out (--only-asked)"
        } else {
            "the size table does not ask for this size, which was left as it is; add a row if it is to be altered too"
        };
        findings.push(Finding::note(FindingId::LeftAlone, message).size(size.name.to_string()));
    }
    SizeReport {
        size: size.name.to_string(),
        status: Status::Unchanged,
        asked: None,
        after: measures.clone(),
        before: measures,
        moves: None,
        truing: None,
        followed: Vec::new(),
        residual: None,
        findings,
    }
}
