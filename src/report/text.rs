//! Reports for the terminal: plain words and aligned tables. Nothing is conveyed by colour or place alone.

use super::columns::columns;
use super::table::Table;
use super::{Advice, AdvisedWay, Asked, DrawingInfo, MeasureReport, Report, SizeReport, Status, Verdict};
use crate::finding::{self, Finding, Severity};
use crate::job::diagnostic::escaped;
use crate::seam::{How, LegMeasures, Measures, SewLine};
use crate::trousers::Pair;
use crate::units::{Mm, Shown, Unit, plain};
use std::collections::HashMap;
use std::fmt::Write;

/// A column: its heading, and the function that gives its cell.
type Column<T> = (&'static str, fn(&T, Shown) -> String);

/// How the text is laid out.
#[derive(Clone, Copy, Debug)]
pub struct Style {
    /// The number of columns that a line may take.
    pub width: usize,
    /// Whether words may be coloured.
    pub color: bool,
    /// The unit that lengths are shown in, where one is asked for.
    pub show: Option<Unit>,
}

impl Style {
    /// The layout of a text file.
    #[must_use]
    pub fn plain() -> Self {
        Style { width: 160, color: false, show: None }
    }

    /// The same layout, with lengths in this unit.
    #[must_use]
    pub fn showing(self, show: Option<Unit>) -> Self {
        Style { show, ..self }
    }

    fn lengths(self, drawing: Unit) -> Shown {
        Shown::asked(self.show, drawing)
    }

    pub(super) fn bold(self, text: &str, color: u8) -> String {
        if self.color { format!("\x1b[1;{color}m{text}\x1b[0m") } else { text.to_owned() }
    }
}

/// A length, or a dash where there is none.
fn optional(l: Shown, length: Option<Mm>) -> String {
    length.map_or_else(|| "–".to_owned(), |length| l.length(length))
}

/// What `measure` prints.
#[must_use]
pub fn measures(reports: &[MeasureReport], style: &Style) -> String {
    let mut out = String::new();
    for report in reports {
        let l = style.lengths(report.drawing.unit);
        heading(&mut out, &report.drawing, l);
        let mut table = Table::new(&[
            "size",
            "crotch length",
            "front rise",
            "back rise",
            "front inseam",
            "back inseam",
            "back − front",
            "front outseam",
            "back outseam",
            "front thigh",
            "back thigh",
            "fork angle",
        ]);
        let columns = columns(std::slice::from_ref(report));
        for column in &columns {
            let Some(m) = column.measures else {
                let mut cells = vec!["–".to_owned(); 12];
                cells[0] = escaped(&column.label).into_owned();
                cells[1] = String::from("not measured");
                table.row(cells);
                continue;
            };
            table.row(vec![
                escaped(&column.label).into_owned(),
                l.length(m.crotch_length),
                l.length(m.front.rise),
                l.length(m.back.rise),
                l.length(m.front.inseam),
                l.length(m.back.inseam),
                l.signed(m.inseam_difference),
                optional(l, m.front.outseam),
                optional(l, m.back.outseam),
                optional(l, m.front.thigh),
                optional(l, m.back.thigh),
                format!("{:.1}°", m.fork_angle),
            ]);
        }
        out += &table.render(style.width);
        found(&mut out, columns.iter().map(|c| (c.label.as_str(), c.measures)));
        findings(&mut out, report.all_findings(), style);
    }
    out
}

/// What `alter` prints.
#[must_use]
pub fn alterations(reports: &[&Report], style: &Style) -> String {
    let mut out = String::new();
    for report in reports {
        let l = style.lengths(report.drawing.unit);
        heading(&mut out, &report.drawing, l);
        let mut table = Table::new(&SIZE.map(|(head, _)| head));
        for size in &report.sizes {
            table.row(SIZE.iter().map(|(_, cell)| cell(size, l)).collect());
        }
        out += &table.render(style.width);
        for size in &report.sizes {
            if let Some(note) = size.asked.as_ref().and_then(|a| a.note.as_ref()) {
                let _ = writeln!(out, "size {}: {}", escaped(&size.size), escaped(note));
            }
        }
        asked_for(&mut out, &report.sizes, l);
        for size in &report.sizes {
            remedies(&mut out, size, l);
        }
        found(&mut out, report.sizes.iter().map(|s| (s.size.as_str(), s.before.as_ref())));
        findings(&mut out, report.all_findings(), style);
        out.push('\n');
        ending(&mut out, report, style);
    }
    out
}

/// Appends the verdict and what to do next.
fn ending(out: &mut String, report: &Report, style: &Style) {
    let warnings = report.all_findings().filter(|f| f.severity == Severity::Warning).count();
    let accepted = finding::ids(&finding::accepted(report.all_findings()));
    let held = match warnings {
        0 => "every check of the alteration holds".to_owned(),
        1 if !accepted.is_empty() => {
            format!(
                "no check fails but the one that was accepted ({accepted}); look at the warning above before cutting"
            )
        }
        n if !accepted.is_empty() => {
            format!(
                "no check fails but what was accepted ({accepted}); look at the {n} warnings above before cutting"
            )
        }
        1 => "no check fails; look at the warning above before cutting".to_owned(),
        n => format!("no check fails; look at the {n} warnings above before cutting"),
    };
    let _ = match (&report.output, report.verdict) {
        (_, Verdict::Fail) => writeln!(
            out,
            "{}: a check failed. No drawing was written; see the errors above for what to do.",
            style.bold("fail", 31)
        ),
        (None, Verdict::Pass) => writeln!(out, "{}: {held}. No drawing was written.", style.bold("pass", 32)),
        (Some(o), Verdict::Pass) => writeln!(
            out,
            "{}: {held}. Written: {}\nSew a trial garment before cutting production fabric; the tool moves lines and does \
             not judge fit.",
            style.bold("pass", 32),
            escaped(&o.path)
        ),
    };
}

/// What `alter --advise` prints.
#[must_use]
pub fn advice(advice: &[Advice], style: &Style) -> String {
    let mut out = String::new();
    for advice in advice {
        let l = style.lengths(advice.drawing.unit);
        heading(&mut out, &advice.drawing, l);
        let mut table = Table::new(&WAY.map(|(head, _)| head));
        for size in &advice.sizes {
            for way in &size.ways {
                table.row(WAY.iter().map(|(_, cell)| cell(way, l)).collect());
            }
        }
        out += &table.render(style.width);
        out += "\nInseams: back less front, before and after. Thighs and waists: front and back together, before and after.\n";
        for size in &advice.sizes {
            found_by_ways(&mut out, &size.ways, style);
        }
        out += "\nNothing was altered. Choose a way with --uneven keep, fork or waist.\n";
    }
    out
}

/// Appends what was found of a size going each way; what was found going every way is said once.
fn found_by_ways(out: &mut String, ways: &[AdvisedWay], style: &Style) {
    let mut said: Vec<(String, Vec<String>)> = Vec::new();
    for way in ways {
        let mut text = String::new();
        findings(&mut text, way.result.findings.iter().filter(|f| f.severity > Severity::Note), style);
        for line in text.lines() {
            match said.iter_mut().find(|(there, _)| there == line) {
                Some((_, by)) => by.push(way.uneven.to_string()),
                None => said.push((line.to_owned(), vec![way.uneven.to_string()])),
            }
        }
    }
    for (line, by) in said {
        let by = if by.len() == ways.len() { "every way".to_owned() } else { by.join(", ") };
        let _ = writeln!(out, "{by}: {line}");
    }
}

/// Appends how the lengths asked for follow from the body measures, where ease or a waistband come in between.
fn asked_for(out: &mut String, sizes: &[SizeReport], l: Shown) {
    let mut said: Vec<(String, Vec<&str>)> = Vec::new();
    let asked = sizes.iter().filter_map(|s| Some((s.size.as_str(), s.asked.as_ref()?)));
    for (size, asked) in asked.filter(|(_, asked)| asked.crotch_length.is_some()) {
        let text = asked.between(l);
        match said.iter_mut().find(|(there, _)| *there == text) {
            Some((_, list)) => list.push(size),
            None => said.push((text, vec![size])),
        }
    }
    let all = said.len() == 1;
    for (text, list) in said.into_iter().filter(|(text, _)| !text.is_empty()) {
        let list: Vec<_> = list.into_iter().map(escaped).collect();
        let of = if all { String::new() } else { format!(", size {}", list.join(", ")) };
        let _ = writeln!(out, "asked for{of}: body {text}");
    }
}

/// Appends what a remedy did to a size, and to the measures that it changes.
fn remedies(out: &mut String, size: &SizeReport, l: Shown) {
    let (Some(moves), Some(before), Some(after)) = (size.moves, &size.before, &size.after) else { return };
    for (part, m, b, a) in
        [("front", moves.front, &before.front, &after.front), ("back", moves.back, &before.back, &after.back)]
    {
        if m.across != Mm(0.0) {
            let way = if m.across.0 < 0.0 { "in" } else { "out" };
            let _ = writeln!(
                out,
                "size {}: {part} fork carried {way} by {}, {part} thigh {} → {}",
                escaped(&size.size),
                l.length(m.across.abs()),
                optional(l, b.thigh),
                optional(l, a.thigh)
            );
        }
        if m.waist != Mm(0.0) {
            let way = if m.waist.0 < 0.0 { "lowered" } else { "raised" };
            let _ = writeln!(
                out,
                "size {}: {part} centre waist {way} by {}, {part} waist {} → {}",
                escaped(&size.size),
                l.length(m.waist.abs()),
                l.length(b.waist),
                l.length(a.waist)
            );
        }
    }
}

/// The text for the front's share of the change.
fn share(asked: &Asked) -> String {
    asked.front_share.map_or_else(|| "–".to_owned(), |share| format!("{:.0} %", share * 100.0))
}

/// The columns of the table of ways, each with its heading and the function that gives its cell.
const WAY: [Column<AdvisedWay>; 11] = [
    ("size", |way, _| escaped(&way.result.size).into_owned()),
    ("way", |way, _| way.uneven.to_string()),
    ("front", |way, _| or_dash(way.result.asked.as_ref(), share)),
    ("slide front", |way, l| or_dash(way.result.moves, |m| l.signed(m.front.along))),
    ("slide back", |way, l| or_dash(way.result.moves, |m| l.signed(m.back.along))),
    ("fork across", |way, l| or_dash(way.result.moves, |m| of_either(m.map(|m| m.across), l))),
    ("waist moves", |way, l| or_dash(way.result.moves, |m| of_either(m.map(|m| m.waist), l))),
    ("inseams differ by", |way, l| before_and_after(way, |m| l.signed(m.inseam_difference))),
    ("thighs", |way, l| {
        before_and_after(way, |m| optional(l, m.front.thigh.zip(m.back.thigh).map(|(f, b)| f + b)))
    }),
    ("waists", |way, l| before_and_after(way, |m| l.length(m.front.waist + m.back.waist))),
    ("verdict", |way, _| {
        let word = match (way.result.status, way.verdict) {
            (Status::Refused, _) => "impossible",
            (_, Verdict::Pass) => "holds",
            (_, Verdict::Fail) => "fails",
        };
        word.to_owned()
    }),
];

/// The text of a move that at most one of the two pieces makes.
fn of_either(moves: Pair<Mm>, l: Shown) -> String {
    l.signed(if moves.front == Mm(0.0) { moves.back } else { moves.front })
}

fn before_and_after(way: &AdvisedWay, of: impl Fn(&Measures) -> String) -> String {
    or_dash(way.result.before.as_ref().zip(way.result.after.as_ref()), |(b, a)| {
        format!("{} → {}", of(b), of(a))
    })
}

fn heading(out: &mut String, drawing: &DrawingInfo, l: Shown) {
    if !out.is_empty() {
        out.push('\n');
    }
    let style = drawing.style.as_deref().map(|s| format!(", style {}", escaped(s))).unwrap_or_default();
    let _ = writeln!(
        out,
        "{}{style}. Lengths on the sew lines, in {}.\n",
        escaped(&drawing.path),
        if l.unit() == Unit::In { "inches" } else { l.unit().sign() }
    );
}

/// The columns of the table of sizes, each with its heading and the function that gives its cell.
const SIZE: [Column<SizeReport>; 13] = [
    ("size", |size, _| escaped(&size.size).into_owned()),
    ("body", |size, l| or_dash(size.asked.as_ref().and_then(|a| a.crotch_length), |body| l.length(body))),
    ("before", |size, l| or_dash(size.before.as_ref(), |m| l.length(m.crotch_length))),
    ("change", |size, l| or_dash(size.asked.as_ref(), |a| l.signed(a.change))),
    ("front", |size, _| or_dash(size.asked.as_ref(), share)),
    ("slide front", |size, l| or_dash(size.moves, |m| l.signed(m.front.along))),
    ("slide back", |size, l| or_dash(size.moves, |m| l.signed(m.back.along))),
    ("after", |size, l| or_dash(size.after.as_ref(), |m| l.length(m.crotch_length))),
    ("inseams before", |size, l| or_dash(size.before.as_ref(), |m| inseams(m, l))),
    ("differed", |size, l| or_dash(size.before.as_ref(), |m| l.signed(m.inseam_difference))),
    ("inseams after", |size, l| or_dash(size.after.as_ref(), |m| inseams(m, l))),
    ("differ", |size, l| or_dash(size.after.as_ref(), |m| l.signed(m.inseam_difference))),
    ("verdict", |size, _| {
        let failing = size.findings.iter().any(|f| f.severity == Severity::Error);
        let altered = size.status == Status::Altered;
        if altered && failing { "altered, fails" } else { size.status.word() }.to_owned()
    }),
];

fn or_dash<T>(value: Option<T>, cell: impl FnOnce(T) -> String) -> String {
    value.map_or_else(|| "–".to_owned(), cell)
}

fn inseams(m: &Measures, l: Shown) -> String {
    format!("{} / {}", l.length(m.front.inseam), l.length(m.back.inseam))
}

/// Appends how the seams were found; sizes whose seams were found in the same way are put together.
fn found<'m>(out: &mut String, sizes: impl Iterator<Item = (&'m str, Option<&'m Measures>)>) {
    let mut said: Vec<(String, Vec<&str>)> = Vec::new();
    for (size, measures) in sizes {
        let Some(m) = measures else { continue };
        let one = |m: &LegMeasures| {
            let f = &m.found;
            format!(
                "grain by {}, crotch by {}, inseam by {}, sew line {}{}",
                how(f.grain),
                how(f.crotch),
                how(f.inseam),
                sew(f.sew_line),
                folds(m)
            )
        };
        let (f, b) = (one(&m.front), one(&m.back));
        let text = if f == b { format!("front and back: {f}") } else { format!("front: {f}; back: {b}") };
        match said.iter_mut().find(|(t, _)| *t == text) {
            Some((_, list)) => list.push(size),
            None => said.push((text, vec![size])),
        }
    }
    out.push('\n');
    let all = said.len() == 1;
    for (text, list) in said {
        let list: Vec<_> = list.into_iter().map(escaped).collect();
        let which = if all { "every size".to_owned() } else { format!("size {}", list.join(", ")) };
        let _ = writeln!(out, "Found in {which}: {text}.");
    }
}

/// Up to which folds the lengths are measured, where something is turned in.
fn folds(m: &LegMeasures) -> String {
    let Some(turned_in) = m.turned_in else { return String::new() };
    let ends = [("waist", turned_in.waist), ("hem", turned_in.hem)];
    let said = ends.into_iter().filter_map(|(edge, at)| Some((edge, at?)));
    let said = said.map(|(edge, at)| {
        format!(", measured to the fold {:.1} from the {edge} edge ({})", at.depth, at.found.word())
    });
    said.collect::<Vec<_>>().concat()
}

fn how(how: How) -> &'static str {
    match how {
        How::Layer => "layer",
        How::Label => "label",
        How::Shape => "shape",
    }
}

fn sew(line: SewLine) -> &'static str {
    match line {
        SewLine::Drawn => "drawn",
        SewLine::Allowance => "from the allowance",
        SewLine::Boundary => "is the boundary",
    }
}

/// Findings with their sizes; findings that say the same of several sizes and name no place are joined.
fn alike(all: Vec<&Finding>) -> Vec<(&Finding, Vec<&str>)> {
    let mut joined: Vec<(&Finding, Vec<&str>)> = Vec::new();
    let mut said = HashMap::new();
    for f in all {
        let Some(size) = f.size.as_deref() else {
            joined.push((f, Vec::new()));
            continue;
        };
        let next = joined.len();
        let of_no_place = f.at.is_none() && f.line.is_none();
        let at = if of_no_place {
            *said.entry((f.severity, f.id, &f.piece, &f.message)).or_insert(next)
        } else {
            next
        };
        if at == next {
            joined.push((f, Vec::new()));
        }
        joined[at].1.push(size);
    }
    joined
}

/// Appends every finding, most severe first.
pub(super) fn findings<'f>(out: &mut String, findings: impl Iterator<Item = &'f Finding>, style: &Style) {
    let mut all: Vec<&Finding> = findings.collect();
    all.sort_by_key(|f| std::cmp::Reverse(f.severity));
    for (f, sizes) in alike(all) {
        let color = match f.severity {
            Severity::Error => 31,
            Severity::Warning => 33,
            Severity::Note => 36,
        };
        let mut place: Vec<String> = Vec::new();
        place.extend(match sizes.as_slice() {
            [] => None,
            [size] => Some(format!("size {}", escaped(size))),
            sizes => Some(format!("sizes {}", escaped(&sizes.join(", ")))),
        });
        place.extend(f.piece.as_ref().map(|p| escaped(p).into_owned()));
        place.extend(f.at.map(|[x, y]| format!("at ({}, {})", plain(x, 2), plain(y, 2))));
        place.extend(f.line.map(|l| format!("line {l}")));
        let place = if place.is_empty() { String::new() } else { format!(" {}", place.join(", ")) };
        let _ = writeln!(
            out,
            "{} [{}]{place}: {}",
            style.bold(f.severity.word(), color),
            f.id,
            escaped(&Shown::asked(style.show, Unit::Mm).sentence(&f.message))
        );
    }
}
