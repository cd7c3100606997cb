//! The page of one order.

use super::chart::{Chart, chart};
use super::drawing::{Drawing, View, drawing, placed};
use super::joined::{Joined, joined};
use super::say::{count, degrees, mm, shown, signed};
use super::{STYLE, VERSION};
use crate::finding::{Finding, Severity};
use crate::report::figure::SizeFigure;
use crate::report::{Report, SizeReport, Verdict};
use crate::seam::{How, LegMeasures, Measures, SewLine};
use crate::units::Mm;
use askama::Template;
use kurbo::{Rect, Vec2};

/// What a page is made of.
#[derive(Clone, Copy, Debug)]
pub struct Page<'a> {
    /// What was found and done.
    pub report: &'a Report,
    /// The lines of the sizes, in the drawing's order.
    pub figures: &'a [SizeFigure],
    /// The settings: what each is called, and its value.
    pub settings: &'a [(&'static str, String)],
}

#[derive(Template)]
#[template(path = "page.html", config = "src/report/templates/askama.toml")]
struct PageView {
    style: &'static str,
    version: &'static str,
    title: String,
    drawing: String,
    unit: &'static str,
    input_hash: String,
    output: Option<(String, String)>,
    pass: bool,
    verdict: String,
    errors: usize,
    warnings: usize,
    trial: String,
    rows: Vec<Row>,
    findings: Vec<Found>,
    sizes: Vec<Size>,
    nest: Option<Nest>,
    chart: Option<Chart>,
    how: Vec<HowRow>,
    settings: Vec<(&'static str, String)>,
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

struct Size {
    id: String,
    size: String,
    status: &'static str,
    sentence: String,
    moved: bool,
    drawing: Drawing,
    joined: Joined,
    measures: Vec<Measure>,
}

/// A measure before and after.
struct Measure {
    name: &'static str,
    before: String,
    after: String,
    difference: String,
}

/// All sizes on top of each other.
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
pub fn render(page: &Page<'_>) -> Result<String, askama::Error> {
    let report = page.report;
    let findings: Vec<&Finding> = report.all_findings().collect();
    let of = |severity| findings.iter().filter(|f| f.severity == severity).count();
    let (errors, warnings) = (of(Severity::Error), of(Severity::Warning));
    let pass = report.verdict == Verdict::Pass;
    let number = |size: &str| page.figures.iter().position(|f| f.size == size);
    let wide = page
        .figures
        .iter()
        .map(|f| placed(f).1.size())
        .fold(Vec2::ZERO, |most, s| Vec2::new(most.x.max(s.width), most.y.max(s.height)));
    let mut in_order: Vec<&SizeReport> = report.sizes.iter().collect();
    in_order.sort_by_key(|s| number(&s.size));
    let sizes: Vec<Size> = in_order
        .iter()
        .filter_map(|s| {
            let i = number(&s.size)?;
            size(i, s, &page.figures[i], wide)
        })
        .collect();
    PageView {
        style: STYLE,
        version: VERSION,
        title: shown(report.drawing.style.as_deref().unwrap_or(&report.drawing.path)),
        drawing: shown(&report.drawing.path),
        unit: report.drawing.unit.sign(),
        input_hash: report.drawing.sha256.clone(),
        output: report.output.as_ref().map(|o| (shown(&o.path), o.sha256.clone())),
        pass,
        verdict: verdict(report, errors),
        errors,
        warnings,
        trial: trial(report),
        rows: report.sizes.iter().map(|s| row(s, number(&s.size))).collect(),
        findings: listed(&findings, report.drawing.unit.sign()),
        nest: nest(page.figures),
        chart: chart(&in_order),
        how: how(&in_order),
        settings: page.settings.iter().map(|(name, value)| (*name, shown(value))).collect(),
        sizes,
    }
    .render()
}

fn verdict(report: &Report, errors: usize) -> String {
    let altered = report.sizes.iter().filter(|s| s.after.is_some() && s.moves.is_some()).count();
    match report.verdict {
        Verdict::Pass => {
            format!("All checks hold. {} altered.", count(altered, "size", "sizes"))
        }
        Verdict::Fail => format!("{} to put right before anything is cut.", count(errors, "error", "errors")),
    }
}

/// The size for the trial garment: the altered size in the middle of the table.
fn trial(report: &Report) -> String {
    let altered: Vec<&SizeReport> = report.sizes.iter().filter(|s| s.moves.is_some()).collect();
    altered.get(altered.len() / 2).map(|s| shown(&s.size)).unwrap_or_default()
}

const NONE: &str = "–";

fn row(size: &SizeReport, number: Option<usize>) -> Row {
    let none = || NONE.to_owned();
    let asked = size.asked.as_ref();
    let length = |m: &Option<Measures>| m.as_ref().map_or_else(none, |m| mm(m.crotch_length));
    let inseams = |m: &Option<Measures>| m.as_ref().map_or_else(none, |m| signed(m.inseam_difference));
    Row {
        size: shown(&size.size),
        link: number.map(|i| format!("s{i}")),
        status: size.status.word(),
        body: asked.map_or_else(none, |a| mm(a.crotch_length)),
        change: asked.map_or_else(none, |a| signed(a.change)),
        before: length(&size.before),
        after: length(&size.after),
        residual: size.residual.map_or_else(none, signed),
        front: size.moves.map_or_else(none, |m| signed(m.front.along)),
        back: size.moves.map_or_else(none, |m| signed(m.back.along)),
        inseams: format!("{} → {}", inseams(&size.before), inseams(&size.after)),
        note: asked.and_then(|a| a.note.as_deref()).map(shown).unwrap_or_default(),
    }
}

/// The findings, the heaviest first, otherwise in the order found.
fn listed(findings: &[&Finding], unit: &str) -> Vec<Found> {
    let mut sorted = findings.to_vec();
    sorted.sort_by_key(|f| std::cmp::Reverse(f.severity));
    let place = |f: &Finding| {
        let parts = [
            f.size.as_deref().map(|s| format!("size {}", shown(s))),
            f.piece.as_deref().map(|p| format!("piece {}", shown(p))),
            f.at.map(|[x, y]| format!("at x {x:.2}, y {y:.2} {unit}")),
            f.line.map(|l| format!("line {l}")),
        ];
        parts.into_iter().flatten().collect::<Vec<_>>().join(", ")
    };
    sorted
        .iter()
        .map(|f| Found {
            severity: f.severity.word(),
            id: f.id.as_str(),
            place: place(f),
            message: shown(&f.message),
        })
        .collect()
}

fn size(i: usize, report: &SizeReport, figure: &SizeFigure, wide: Vec2) -> Option<Size> {
    let before = report.before.as_ref()?;
    let after = report.after.as_ref();
    let id = format!("s{i}");
    let sentence = match (after, &report.asked) {
        (Some(after), Some(asked)) => {
            let residual = report.residual.unwrap_or_default();
            format!(
                "Crotch length {} → {} mm; asked for a change of {} mm, off by {} mm.",
                mm(before.crotch_length),
                mm(after.crotch_length),
                signed(asked.change),
                mm(residual.abs())
            )
        }
        _ => format!("Crotch length {} mm, as it was.", mm(before.crotch_length)),
    };
    Some(Size {
        size: shown(&report.size),
        status: report.status.word(),
        sentence,
        moved: figure.front.after.is_some(),
        drawing: drawing(&id, figure, report.moves.as_ref(), wide),
        joined: joined(figure, before, after),
        measures: measures(before, after),
        id,
    })
}

type Take = fn(&Measures) -> Option<Mm>;

/// The measures that are shown, by name.
const MEASURES: [(&str, Take); 14] = [
    ("crotch length", |m| Some(m.crotch_length)),
    ("front rise", |m| Some(m.front.rise)),
    ("back rise", |m| Some(m.back.rise)),
    ("front inseam", |m| Some(m.front.inseam)),
    ("back inseam", |m| Some(m.back.inseam)),
    ("back less front inseam", |m| Some(m.inseam_difference)),
    ("front outseam", |m| Some(m.front.outseam)),
    ("back outseam", |m| Some(m.back.outseam)),
    ("front waist", |m| Some(m.front.waist)),
    ("back waist", |m| Some(m.back.waist)),
    ("front thigh", |m| m.front.thigh),
    ("back thigh", |m| m.back.thigh),
    ("front hem", |m| Some(m.front.hem)),
    ("back hem", |m| Some(m.back.hem)),
];

fn measures(before: &Measures, after: Option<&Measures>) -> Vec<Measure> {
    let none = || NONE.to_owned();
    let lengths = MEASURES.map(|(name, take)| {
        let (old, new) = (take(before), after.and_then(take));
        Measure {
            name,
            before: old.map_or_else(none, mm),
            after: new.map_or_else(none, mm),
            difference: old.zip(new).map_or_else(none, |(old, new)| signed(new - old)),
        }
    });
    let angle = Measure {
        name: "angles at the fork, together",
        before: degrees(before.fork_angle),
        after: after.map_or_else(none, |m| degrees(m.fork_angle)),
        difference: after.map_or_else(none, |m| degrees(m.fork_angle - before.fork_angle)),
    };
    lengths.into_iter().chain([angle]).collect()
}

/// All sizes, hems on each other and grain lines upright, so that before and after lie alike.
fn nest(figures: &[SizeFigure]) -> Option<Nest> {
    if figures.len() < 2 {
        return None;
    }
    let mut around: Option<Rect> = None;
    // The widest size says where front and back stand.
    let most = figures.iter().map(|f| placed(f).0).fold([0.0f64; 2], |m, [f, b]| [m[0].min(f), m[1].max(b)]);
    let mut sizes = Vec::new();
    for (i, figure) in figures.iter().enumerate() {
        let mut legs = Vec::new();
        for (leg, letter, x) in [(&figure.front, 'f', most[0]), (&figure.back, 'b', most[1])] {
            let hem = leg.before.seam(crate::seam::SeamRole::Hem);
            let middle = hem.iter().map(|p| p.to_vec2()).sum::<Vec2>() / hem.len().max(1) as f64;
            let shift = Vec2::new(x, 0.0) - middle;
            let lines = std::iter::once(&leg.before).chain(&leg.after);
            for p in lines.flat_map(|l| l.seams.iter().flat_map(|(_, line)| line)) {
                let at = *p + shift;
                around =
                    Some(around.map_or(Rect::from_points(at, at), |r| r.union(Rect::from_points(at, at))));
            }
            legs.push(NestLeg {
                id: format!("s{i}{letter}"),
                x: super::say::coordinate(shift.x),
                y: super::say::coordinate(shift.y),
                moved: leg.after.is_some(),
            });
        }
        sizes.push(NestSize { size: shown(&figure.size), legs });
    }
    Some(Nest { view: View::new(around?.inflate(20.0, 20.0), 460.0), sizes })
}

fn how(sizes: &[&SizeReport]) -> Vec<HowRow> {
    let word = |how: How| match how {
        How::Layer => "layer",
        How::Label => "label",
        How::Shape => "shape",
    };
    let row = |size: &SizeReport, part, m: &LegMeasures| HowRow {
        size: shown(&size.size),
        part,
        block: shown(&m.block),
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
