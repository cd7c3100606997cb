//! The page of one order of alteration.

use super::chart::{Chart, chart};
use super::drawing::{Drawing, GAP, View, bounds, drawing, placed};
use super::joined::{Joined, joined};
use super::say::{self, coordinate, degrees, length, printable, signed};
use super::{STYLE, VERSION};
use crate::alter::Moves;
use crate::finding::{self, Finding, Severity};
use crate::report::figure::{LegFigure, SizeFigure};
use crate::report::{Asked, Report, SizeReport, Status, Trued, Verdict};
use crate::seam::{How, LegMeasures, Measures, Pair, SeamRole, SewLine};
use crate::units::{Mm, Shown, Unit, plain};
use crate::words::counted;
use askama::Template;
use kurbo::{Rect, Vec2};

/// What the page of an alteration is made from: one sheet for each drawing of the range.
#[derive(Clone, Debug)]
pub struct Sheet<'a> {
    /// What was found and done.
    pub report: &'a Report,
    /// The lines of the sizes, in the drawing's order.
    pub figures: &'a [SizeFigure],
    /// The settings, each with its name and its value.
    pub settings: Vec<(&'static str, String)>,
    /// The unit that lengths are shown in; mm where none is asked for.
    pub show: Option<Unit>,
}

#[derive(Template)]
#[template(path = "page.html", config = "src/report/templates/askama.toml")]
struct PageView {
    style: &'static str,
    version: &'static str,
    title: String,
    files: String,
    written: String,
    pass: bool,
    /// Whether the page only shows what would be done: nothing was written although all is well.
    ahead: bool,
    /// What was accepted, as a list of ids.
    accepted: String,
    verdict: String,
    errors: usize,
    warnings: usize,
    trial: String,
    unit: &'static str,
    rows: Vec<Row>,
    findings: Vec<Found>,
    sizes: Vec<SizeView>,
    nest: Option<Nest>,
    chart: Option<Chart>,
    how: Vec<HowRow>,
    traces: Vec<Trace>,
}

/// The origin of a drawing, where it was written, and the settings.
struct Trace {
    path: String,
    unit: &'static str,
    input_hash: String,
    output: Option<(String, String)>,
    settings: Vec<(&'static str, String)>,
}

/// A size of one of the drawings, with its figure and the figure's number if it has one.
#[derive(Clone, Copy)]
struct Numbered<'a> {
    report: &'a SizeReport,
    unit: Unit,
    show: Shown,
    figure: Option<(usize, &'a SizeFigure)>,
}

/// A row of the table of sizes.
struct Row {
    size: String,
    link: Option<String>,
    status: &'static str,
    body: String,
    before: String,
    change: String,
    after: String,
    residual: String,
    front: String,
    back: String,
    inseams: String,
    note: String,
}

struct Found {
    severity: &'static str,
    id: &'static str,
    place: String,
    message: String,
}

struct SizeView {
    id: String,
    size: String,
    status: &'static str,
    sentence: String,
    moved: bool,
    drawing: Drawing,
    joined: Joined,
    pieces: Vec<PieceMeasure>,
    together: [(&'static str, Compared); 3],
}

/// A measure of both pieces, before and after.
struct PieceMeasure {
    name: &'static str,
    front: Compared,
    back: Compared,
}

/// A measure before and after the alteration.
struct Compared {
    before: String,
    after: String,
    difference: String,
}

/// The picture with all sizes on top of each other.
struct Nest {
    view: View,
    sizes: Vec<NestSize>,
}

struct NestSize {
    size: String,
    legs: Vec<NestLeg>,
}

struct NestLeg {
    id: String,
    x: String,
    y: String,
    moved: bool,
}

struct HowRow {
    size: String,
    part: &'static str,
    block: String,
    grain: &'static str,
    crotch: &'static str,
    inseam: &'static str,
    sew_line: &'static str,
}

/// The page as HTML.
pub fn render(sheets: &[Sheet<'_>]) -> Result<String, askama::Error> {
    let reports: Vec<&Report> = sheets.iter().map(|s| s.report).collect();
    let findings: Vec<(&Report, &Finding)> =
        reports.iter().flat_map(|r| r.all_findings().map(move |f| (*r, f))).collect();
    let of = |severity| findings.iter().filter(|(_, f)| f.severity == severity).count();
    let (errors, warnings) = (of(Severity::Error), of(Severity::Warning));
    let figures: Vec<&SizeFigure> = sheets.iter().flat_map(|s| s.figures).collect();
    let largest = figures
        .iter()
        .map(|f| placed(f).1.size())
        .fold(Vec2::ZERO, |most, s| Vec2::new(most.x.max(s.width), most.y.max(s.height)));
    let numbered = numbered(sheets);
    let show = Shown::asked(sheets.first().and_then(|s| s.show), Unit::Mm);
    let mut in_order = numbered.clone();
    in_order.sort_by_key(|n| n.figure.map(|(i, _)| i));
    let measured: Vec<&SizeReport> = in_order.iter().map(|n| n.report).collect();
    let written: Vec<String> =
        reports.iter().filter_map(|r| r.output.as_ref()).map(|o| printable(&o.path)).collect();
    let pass = reports.iter().all(|r| r.verdict == Verdict::Pass);
    let ahead = pass && written.is_empty();
    let accepted = finding::ids(&finding::accepted(findings.iter().map(|(_, f)| *f)));
    PageView {
        style: STYLE,
        version: VERSION,
        title: title(&reports),
        files: reports.iter().map(|r| printable(&r.drawing.path)).collect::<Vec<_>>().join(", "),
        written: written.join(", "),
        pass,
        verdict: verdict(&numbered, (pass, ahead), &accepted, errors),
        ahead,
        accepted,
        errors,
        warnings,
        trial: trial(&numbered),
        unit: say::unit(show),
        rows: numbered.iter().map(row).collect(),
        findings: listed(findings, sheets.len() > 1, show),
        sizes: in_order.iter().filter_map(|n| size(n, largest)).collect(),
        nest: nest(&figures, show),
        chart: chart(&measured, show),
        how: how(&measured),
        traces: sheets.iter().map(trace).collect(),
    }
    .render()
}

/// The sizes of all drawings in the order of the reports, with their figures numbered consecutively.
fn numbered<'a>(sheets: &[Sheet<'a>]) -> Vec<Numbered<'a>> {
    let mut all = Vec::new();
    let mut first = 0;
    for sheet in sheets {
        all.extend(sheet.report.sizes.iter().map(|report| {
            let i = sheet.figures.iter().position(|f| f.size == report.size);
            Numbered {
                report,
                unit: sheet.report.drawing.unit,
                show: Shown::asked(sheet.show, Unit::Mm),
                figure: i.map(|i| (first + i, &sheet.figures[i])),
            }
        }));
        first += sheet.figures.len();
    }
    all
}

/// The title: the style names, or the paths of drawings without one, each only once.
fn title(reports: &[&Report]) -> String {
    let mut names: Vec<String> = Vec::new();
    for report in reports {
        let name = printable(report.drawing.style.as_deref().unwrap_or(&report.drawing.path));
        if !names.contains(&name) {
            names.push(name);
        }
    }
    names.join(", ")
}

fn trace(sheet: &Sheet<'_>) -> Trace {
    let report = sheet.report;
    let show = Shown::asked(sheet.show, Unit::Mm);
    Trace {
        path: printable(&report.drawing.path),
        unit: match report.drawing.unit {
            Unit::Mm => "millimetres",
            Unit::Cm => "centimetres",
            Unit::In => "inches",
        },
        input_hash: report.drawing.sha256.clone(),
        output: report.output.as_ref().map(|o| (printable(&o.path), o.sha256.clone())),
        settings: sheet
            .settings
            .iter()
            .map(|(name, value)| (*name, printable(&show.sentence(value))))
            .collect(),
    }
}

fn verdict(sizes: &[Numbered<'_>], (pass, ahead): (bool, bool), accepted: &str, errors: usize) -> String {
    if pass {
        let altered = sizes.iter().filter(|n| n.report.status == Status::Altered).count();
        let altered = counted(altered, "size", "sizes") + if ahead { " would be" } else { "" };
        if accepted.is_empty() {
            format!("All checks hold. {altered} altered.")
        } else {
            format!("All checks hold but what was accepted: {accepted}. {altered} altered.")
        }
    } else {
        format!("{} to put right before anything is cut.", counted(errors, "error", "errors"))
    }
}

/// The size for the trial garment: the altered size in the middle of the table.
fn trial(sizes: &[Numbered<'_>]) -> String {
    let altered: Vec<&Numbered<'_>> = sizes.iter().filter(|n| n.report.status == Status::Altered).collect();
    altered.get(altered.len() / 2).map(|n| printable(&n.report.size)).unwrap_or_default()
}

/// What is written where there is no value.
fn none() -> String {
    "–".to_owned()
}

fn row(&Numbered { report: size, figure, show, .. }: &Numbered<'_>) -> Row {
    let asked = size.asked.as_ref();
    let crotch = |m: &Option<Measures>| m.as_ref().map_or_else(none, |m| length(show, m.crotch_length));
    let inseams = |m: &Option<Measures>| m.as_ref().map_or_else(none, |m| signed(show, m.inseam_difference));
    Row {
        size: printable(&size.size),
        link: figure.map(|(i, _)| format!("s{i}")),
        status: size.status.word(),
        body: asked.and_then(|a| a.crotch_length).map_or_else(none, |body| length(show, body)),
        change: asked.map_or_else(none, |a| signed(show, a.change)),
        before: crotch(&size.before),
        after: crotch(&size.after),
        residual: size.residual.map_or_else(none, |l| signed(show, l)),
        front: size.moves.map_or_else(none, |m| moves(m.front, show)),
        back: size.moves.map_or_else(none, |m| moves(m.back, show)),
        inseams: format!("{} → {}", inseams(&size.before), inseams(&size.after)),
        note: asked.and_then(|a| a.note.as_deref()).map(printable).unwrap_or_default(),
    }
}

/// The text of the slide, and of the remedy if there is one.
fn moves(moves: Moves, show: Shown) -> String {
    let remedies = [("across ", moves.across), ("waist ", moves.waist)];
    let made = remedies.into_iter().filter(|(_, amount)| *amount != Mm(0.0));
    let parts = std::iter::once(("", moves.along)).chain(made);
    parts.map(|(name, amount)| format!("{name}{}", signed(show, amount))).collect::<Vec<_>>().join(", ")
}

/// The findings, most severe first, otherwise in the order in which they were found. Findings that differ only in their size
/// are listed once.
fn listed(mut findings: Vec<(&Report, &Finding)>, several: bool, show: Shown) -> Vec<Found> {
    findings.sort_by_key(|(_, f)| std::cmp::Reverse(f.severity));
    let mut groups: Vec<(&Report, &Finding, Vec<String>)> = Vec::new();
    for (report, f) in findings {
        let size = f.size.as_deref().map(printable);
        let alike = |(r, g, _): &&mut (&Report, &Finding, Vec<String>)| {
            std::ptr::eq(*r, report) && Finding { size: f.size.clone(), block: f.block, ..(*g).clone() } == *f
        };
        match groups.iter_mut().find(alike) {
            Some((.., sizes)) => sizes.extend(size),
            None => groups.push((report, f, size.into_iter().collect())),
        }
    }
    groups
        .iter()
        .map(|(report, f, sizes)| Found {
            severity: f.severity.word(),
            id: f.id.as_str(),
            place: place(report, f, sizes, several),
            message: printable(&show.sentence(&f.message)),
        })
        .collect()
}

fn place(report: &Report, f: &Finding, sizes: &[String], several: bool) -> String {
    let sizes = match sizes {
        [] => None,
        [one] => Some(format!("size {one}")),
        many => Some(format!("sizes {}", many.join(", "))),
    };
    let parts = [
        several.then(|| printable(&report.drawing.path)),
        sizes,
        f.piece.as_deref().map(|p| format!("piece {}", printable(p))),
        f.at.map(|[x, y]| format!("at x {}, y {} {}", plain(x, 2), plain(y, 2), report.drawing.unit.sign())),
        f.line.map(|l| format!("line {l}")),
    ];
    parts.into_iter().flatten().collect::<Vec<_>>().join(", ")
}

fn size(&Numbered { report, unit, show, figure }: &Numbered<'_>, largest: Vec2) -> Option<SizeView> {
    let (i, figure) = figure?;
    let before = report.before.as_ref()?;
    let after = report.after.as_ref();
    let id = format!("s{i}");
    let sign = show.unit().sign();
    let sentence = match (after, &report.asked) {
        (Some(after), Some(asked)) => {
            let residual = report.residual.unwrap_or_default();
            format!(
                "Crotch length {} → {} {sign}{}; asked for a change of {} {sign}{}, off by {} {sign}.",
                length(show, before.crotch_length),
                length(show, after.crotch_length),
                inches(unit, show, before.crotch_length, after.crotch_length),
                signed(show, asked.change),
                reckoned(asked, show),
                length(show, residual.abs())
            )
        }
        _ => format!("Crotch length {} {sign}, as it was.", length(show, before.crotch_length)),
    };
    Some(SizeView {
        size: printable(&report.size),
        status: report.status.word(),
        sentence: sentence + &trued(report.truing.as_ref(), show),
        moved: figure.legs.front.after.is_some(),
        drawing: drawing(&id, figure, report.moves.as_ref(), largest, show),
        joined: joined(figure, before, after, show),
        pieces: pieces(before, after, show),
        together: together(before, after, show),
        id,
    })
}

/// How the length asked for follows from the body measure, where ease or a waistband come in between.
fn reckoned(asked: &Asked, show: Shown) -> String {
    let between = asked.between(show);
    match asked.crotch_length {
        Some(body) if !between.is_empty() => format!(" (body {} {between})", length(show, body)),
        _ => String::new(),
    }
}

/// The text that says by how much the slide turned the centre seams, and where one would lay the curved ruler when truing by
/// hand.
fn trued(truing: Option<&Pair<Trued>>, show: Shown) -> String {
    /// A turn of less than this, in degrees, cannot be seen.
    const SEEN: f64 = 0.05;
    let Some(truing) = truing else { return String::new() };
    let part = |name: &str, t: &Trued| {
        (t.turned >= SEEN).then(|| {
            format!(
                "{name} {}, from {} to {} {} below the waist",
                degrees(t.turned),
                length(show, t.from),
                length(show, t.to),
                show.unit().sign()
            )
        })
    };
    let parts: Vec<String> =
        [part("front", &truing.front), part("back", &truing.back)].into_iter().flatten().collect();
    if parts.is_empty() {
        return String::new();
    }
    format!(" Turn of the centre seam trued into the upper curve: {}, along the seam.", parts.join("; "))
}

/// The same lengths in inches, where the drawing is in inches and they are shown in another unit.
fn inches(unit: Unit, show: Shown, before: Mm, after: Mm) -> String {
    if unit == Unit::In && show.unit() != Unit::In {
        format!(" ({:.3} → {:.3} in)", before.inches(), after.inches())
    } else {
        String::new()
    }
}

fn pieces(before: &Measures, after: Option<&Measures>, show: Shown) -> Vec<PieceMeasure> {
    type Take = fn(&LegMeasures) -> Option<Mm>;
    const PIECE: [(&str, Take); 6] = [
        ("rise", |m| Some(m.rise)),
        ("inseam", |m| Some(m.inseam)),
        ("outseam", |m| m.outseam),
        ("waist", |m| Some(m.waist)),
        ("thigh", |m| m.thigh),
        ("hem", |m| Some(m.hem)),
    ];
    let row = |(name, take): (&'static str, Take)| PieceMeasure {
        name,
        front: lengths(take(&before.front), after.and_then(|m| take(&m.front)), show),
        back: lengths(take(&before.back), after.and_then(|m| take(&m.back)), show),
    };
    PIECE.map(row).into()
}

fn together(before: &Measures, after: Option<&Measures>, show: Shown) -> [(&'static str, Compared); 3] {
    let both = |take: fn(&Measures) -> Mm| lengths(Some(take(before)), after.map(take), show);
    let angle = Compared {
        before: degrees(before.fork_angle),
        after: after.map_or_else(none, |m| degrees(m.fork_angle)),
        difference: after.map_or_else(none, |m| degrees(m.fork_angle - before.fork_angle)),
    };
    [
        ("crotch length", both(|m| m.crotch_length)),
        ("back less front inseam", both(|m| m.inseam_difference)),
        ("angles at the fork", angle),
    ]
}

fn lengths(before: Option<Mm>, after: Option<Mm>, show: Shown) -> Compared {
    let written = |l| length(show, l);
    Compared {
        before: before.map_or_else(none, written),
        after: after.map_or_else(none, written),
        difference: before.zip(after).map_or_else(none, |(old, new)| signed(show, new - old)),
    }
}

/// All sizes with their hems on each other and their grain lines upright, so that before and after lie in the same way.
fn nest(figures: &[&SizeFigure], show: Shown) -> Option<Nest> {
    if figures.len() < 2 {
        return None;
    }
    let box_of = |leg: fn(&SizeFigure) -> &LegFigure| {
        let boxes = figures.iter().map(|f| bounds_from_hem(leg(f)));
        boxes.reduce(|a, b| a.union(b)).unwrap_or_default()
    };
    let (fronts, backs) = (box_of(|f| &f.legs.front), box_of(|f| &f.legs.back));
    let [front, back] = [Vec2::new(-GAP / 2.0 - fronts.x1, 0.0), Vec2::new(GAP / 2.0 - backs.x0, 0.0)];
    let around = (fronts + front).union(backs + back);
    let leg = |i: usize, letter, leg: &LegFigure, shift: Vec2| {
        let shift = shift - hem_middle(leg);
        NestLeg {
            id: format!("s{i}{letter}"),
            x: coordinate(shift.x),
            y: coordinate(shift.y),
            moved: leg.after.is_some(),
        }
    };
    let sizes = figures.iter().enumerate().map(|(i, f)| NestSize {
        size: printable(&f.size),
        legs: vec![leg(i, 'f', &f.legs.front, front), leg(i, 'b', &f.legs.back, back)],
    });
    Some(Nest { sizes: sizes.collect(), view: View::new(around.inflate(22.0, 26.0), 520.0, show) })
}

fn hem_middle(leg: &LegFigure) -> Vec2 {
    let hem = leg.before.seam(SeamRole::Hem);
    hem.iter().map(|p| p.to_vec2()).sum::<Vec2>() / hem.len().max(1) as f64
}

/// The box around a leg, relative to the middle of its hem.
fn bounds_from_hem(leg: &LegFigure) -> Rect {
    bounds(leg) - hem_middle(leg)
}

fn how(sizes: &[&SizeReport]) -> Vec<HowRow> {
    let word = |how: How| match how {
        How::Layer => "layer",
        How::Label => "label",
        How::Shape => "shape",
    };
    let row = |size: &SizeReport, part, m: &LegMeasures| HowRow {
        size: printable(&size.size),
        part,
        block: printable(&m.block),
        grain: word(m.found.grain),
        crotch: word(m.found.crotch),
        inseam: word(m.found.inseam),
        sew_line: match m.found.sew_line {
            SewLine::Drawn => "drawn",
            SewLine::Allowance => "allowance",
            SewLine::Boundary => "boundary",
        },
    };
    let both =
        |s: &SizeReport| s.before.as_ref().map(|m| [row(s, "front", &m.front), row(s, "back", &m.back)]);
    sizes.iter().filter_map(|s| both(s)).flatten().collect()
}
