//! Prints, measured on the page: by a renderer (Poppler's `pdftoppm`), by a text extractor
//! (`pdftotext`) and by reading the operators with `lopdf`. None of them shares code with the drawing.

use crate::dxf_text::Drawing;
use crate::finding::FindingId;
use crate::inside::common;
use crate::inside::common::paper::{Segment, dashed, drawing, grain, polyline, poppler, rectangle};
use crate::pattern::{Pattern, read};
use crate::plot::{Paper, PaperSize, Plot, PlotError, PlotOptions, PlotPiece, plot, select};
use crate::units::Mm;
use lopdf::Document;
use std::f64::consts::PI;

/// Pixels in a millimetre at 508 dpi.
const PIXELS: f64 = 20.0;

/// How far, in mm, a line may be off and still be found as the one that is looked for.
const TOLERANCE: f64 = 0.9;

fn pattern(dxf: &[u8]) -> Pattern {
    read(&Drawing::scan(dxf).unwrap(), &crate::pattern::Reading::default()).unwrap()
}

fn print_with(dxf: &[u8], paper: Paper, piece: Option<&str>) -> Result<Plot, PlotError> {
    let pattern = pattern(dxf);
    let selected = select(&pattern, &["38"], piece)?;
    let pieces: Vec<PlotPiece<'_>> =
        selected.pieces.iter().map(|&piece| PlotPiece { piece, before: None }).collect();
    let options = PlotOptions { paper, style: pattern.style.as_deref(), size: "38", show: None, font: None };
    plot(&pieces, &options)
}

fn print(dxf: &[u8], paper: Paper) -> Plot {
    print_with(dxf, paper, None).unwrap()
}

/// A page at 508 dpi.
struct Raster {
    width: usize,
    height: usize,
    gray: Vec<u8>,
}

impl Raster {
    fn of(plot: &Plot, page: usize) -> Option<Raster> {
        let page = page.to_string();
        let pgm = poppler("pdftoppm", &plot.pdf, &["-r", "508", "-gray", "-f", &page, "-l", &page])?;
        // "P5", width, height, 255, one blank, then the pixels.
        let head: Vec<&[u8]> = pgm.splitn(4, u8::is_ascii_whitespace).take(3).collect();
        let number = |bytes: &[u8]| std::str::from_utf8(bytes).unwrap().parse::<usize>().unwrap();
        assert_eq!(head[0], b"P5");
        let (width, height) = (number(head[1]), number(head[2]));
        let gray = pgm[pgm.len() - width * height..].to_vec();
        Some(Raster { width, height, gray })
    }

    fn dark(&self, x: usize, y: usize) -> bool {
        self.gray[y * self.width + x] < 128
    }

    /// The upright or level straight lines of about this length in mm: the middle of each line, and
    /// its two ends.
    fn lines(&self, upright: bool, about: f64) -> Vec<[f64; 3]> {
        let (lanes, length) = if upright { (self.width, self.height) } else { (self.height, self.width) };
        let dark = |lane: usize, i: usize| if upright { self.dark(lane, i) } else { self.dark(i, lane) };
        let mut lines: Vec<(f64, f64, f64, f64)> = Vec::new();
        // Every run of the least length holds one of these samples; from there it is followed both ways.
        #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)] // a few thousand
        let step = ((about - TOLERANCE) * PIXELS) as usize;
        for lane in 0..lanes {
            let mut reached = 0;
            for sample in (0..length).step_by(step) {
                if sample < reached || !dark(lane, sample) {
                    continue;
                }
                let from = (0..sample).rev().find(|&i| !dark(lane, i)).map_or(0, |i| i + 1);
                reached = (sample..length).find(|&i| !dark(lane, i)).unwrap_or(length);
                let (from, to, at) = (from as f64, reached as f64, lane as f64);
                if ((to - from) / PIXELS - about).abs() > TOLERANCE {
                    continue;
                }
                match lines.iter_mut().find(|l| (l.1 - at).abs() < 0.5 && (l.2 - from).abs() < 20.0) {
                    // Corners are round: the middle of a line reaches furthest.
                    Some(line) => *line = (line.0, at + 1.0, line.2.min(from), line.3.max(to)),
                    None => lines.push((at, at + 1.0, from, to)),
                }
            }
        }
        // A line's ends reach past the middles of its neighbours by half its width.
        lines
            .iter()
            .map(|&(a, b, from, to)| {
                let half = (b - a) / 2.0;
                [f64::midpoint(a, b), from + half, to - half].map(|pixels| pixels / PIXELS)
            })
            .collect()
    }

    /// Asserts that there is one rectangle of this size, to 0.1 mm, from middle to middle of its lines.
    fn assert_rectangle(&self, width: f64, height: f64) {
        for (upright, long, apart) in [(true, height, width), (false, width, height)] {
            let lines = self.lines(upright, long);
            let [a, b] = lines.as_slice() else { panic!("two sides of {long} mm, not {lines:?}") };
            eprintln!(
                "{long} mm by {apart} mm: {:.3}, {:.3} by {:.3}",
                a[2] - a[1],
                b[2] - b[1],
                b[0] - a[0]
            );
            assert!((b[0] - a[0] - apart).abs() < 0.1, "{} mm apart, not {apart}", b[0] - a[0]);
            for side in [a, b] {
                assert!((side[2] - side[1] - long).abs() < 0.1, "{} mm long, not {long}", side[2] - side[1]);
            }
        }
    }
}

#[test]
fn squares_and_a_piece_measure_right_on_rendered_pages() {
    let dxf = drawing(&[("CARD", rectangle("1", 130.0, 160.0, 0.0, 0.0) + &grain(100.0, 0.0))]);
    for paper in [PaperSize::A4, PaperSize::Letter, PaperSize::A3] {
        let plot = print(&dxf, Paper::Sheets(paper));
        let Some(first) = Raster::of(&plot, 1) else { return };
        first.assert_rectangle(100.0, 100.0);
        // The inch of 1959 is 25.4 mm.
        first.assert_rectangle(101.6, 101.6);
        assert_eq!(plot.pages, 2);
        Raster::of(&plot, 2).unwrap().assert_rectangle(130.0, 160.0);
    }
    let plot = print(&dxf, Paper::Roll { width: Mm(380.0) });
    let only = Raster::of(&plot, 1).unwrap();
    only.assert_rectangle(100.0, 100.0);
    only.assert_rectangle(101.6, 101.6);
    only.assert_rectangle(130.0, 160.0);
}

/// How much of a segment lies within the box from `low` to `high`.
fn within([a, b]: Segment, low: (f64, f64), high: (f64, f64)) -> f64 {
    let (dx, dy) = (b.0 - a.0, b.1 - a.1);
    let (mut from, mut to) = (0.0_f64, 1.0_f64);
    for (d, start, low, high) in [(dx, a.0, low.0, high.0), (dy, a.1, low.1, high.1)] {
        if d == 0.0 {
            if start < low || start > high {
                return 0.0;
            }
        } else {
            let (s, t) = ((low - start) / d, (high - start) / d);
            (from, to) = (from.max(s.min(t)), to.min(s.max(t)));
        }
    }
    dx.hypot(dy) * (to - from).max(0.0)
}

/// The length of the sew lines over all pages but the first, each page up to its joints: the margin of
/// 10 mm and half of the overlap of 10 mm are the neighbour's.
fn sew_length_on_sheets(plot: &Plot) -> f64 {
    let pages = dashed(&plot.pdf, &[6.0, 2.0]);
    let lengths = pages[1..].iter().flat_map(|(w, h, segments)| {
        segments.iter().map(move |&s| within(s, (15.0, 15.0), (w - 15.0, h - 15.0)))
    });
    lengths.sum()
}

/// The same on a roll of one page, without the level sample of 24 mm in the key.
fn sew_length_on_roll(plot: &Plot) -> f64 {
    let pages = dashed(&plot.pdf, &[6.0, 2.0]);
    assert_eq!(pages.len(), 1);
    let all: f64 = pages[0].2.iter().map(|&[a, b]| (b.0 - a.0).hypot(b.1 - a.1)).sum();
    all - 24.0
}

#[track_caller]
fn assert_length(what: &str, measured: f64, true_length: f64) {
    eprintln!("{what}: {measured:.4} mm, true length {true_length:.4} mm");
    assert!((measured - true_length).abs() < 0.1, "{what}: {measured} mm, not {true_length} mm");
}

#[test]
fn sew_lines_keep_their_length_over_pages_and_on_a_roll() {
    // A rectangle at an angle, its sew line 15 mm inside; a circle of two half circles (bulge 1).
    let panel = rectangle("1", 330.0, 780.0, 0.0, 27.0)
        + &rectangle("14", 330.0, 780.0, 15.0, 27.0)
        + &grain(500.0, 27.0);
    let round = polyline("1", &[(215.0, 0.0, 1.0), (-215.0, 0.0, 1.0)])
        + &polyline("14", &[(200.0, 0.0, 1.0), (-200.0, 0.0, 1.0)])
        + &grain(100.0, 0.0);
    // Closed forms: two sides twice, and twice pi times the radius.
    let true_length = 2.0 * (300.0 + 750.0) + 2.0 * PI * 200.0;
    let dxf = drawing(&[("PANEL", panel), ("ROUND", round)]);
    for paper in [PaperSize::A4, PaperSize::Letter, PaperSize::A3] {
        assert_length(paper.title(), sew_length_on_sheets(&print(&dxf, Paper::Sheets(paper))), true_length);
    }
    assert_length("roll", sew_length_on_roll(&print(&dxf, Paper::Roll { width: Mm(914.0) })), true_length);
}

#[test]
fn grain_is_upright_on_the_page() {
    let dxf = drawing(&[("P", rectangle("1", 100.0, 150.0, 0.0, 63.0) + &grain(100.0, 63.0))]);
    let document = print(&dxf, Paper::Sheets(PaperSize::A4));
    // With its grain upright the rectangle stands straight, as a renderer sees it.
    if let Some(page) = Raster::of(&document, 2) {
        page.assert_rectangle(100.0, 150.0);
    }
}

#[test]
fn trouser_legs_keep_their_sew_line_by_ezdxf_and_shapely() {
    let Some(python) = common::python() else { return };
    let sample = common::root().join("samples/harbour-nest.dxf");
    let dxf = std::fs::read(&sample).unwrap();
    for name in ["FRONT", "BACK"] {
        let block = format!("{name}-38");
        let done = common::run(&python, "sew_lines.py", &[sample.to_str().unwrap(), &block]);
        assert!(done.status.success(), "{}", common::said(&done));
        let true_length: f64 = String::from_utf8(done.stdout).unwrap().trim().parse().unwrap();
        let sheets = print_with(&dxf, Paper::Sheets(PaperSize::A4), Some(name)).unwrap();
        assert_length(name, sew_length_on_sheets(&sheets), true_length);
        let roll = print_with(&dxf, Paper::Roll { width: Mm(914.0) }, Some(name)).unwrap();
        assert_length(name, sew_length_on_roll(&roll), true_length);
    }
}

#[test]
fn the_file_asks_for_full_size_on_the_right_paper_and_is_always_the_same() {
    let dxf = drawing(&[("P", rectangle("1", 300.0, 400.0, 0.0, 0.0))]);
    // ISO 216 and 8½ by 11 in.
    for (paper, size) in [
        (PaperSize::A4, [210.0, 297.0]),
        (PaperSize::Letter, [215.9, 279.4]),
        (PaperSize::A3, [297.0, 420.0]),
    ] {
        let plot = print(&dxf, Paper::Sheets(paper));
        assert_eq!(plot.pdf, print(&dxf, Paper::Sheets(paper)).pdf);
        let pages = dashed(&plot.pdf, &[]);
        assert_eq!(pages.len(), plot.pages);
        assert!(pages.iter().all(|(w, h, _)| (w - size[0]).abs() < 0.01 && (h - size[1]).abs() < 0.01));
        let document = Document::load_mem(&plot.pdf).unwrap();
        let preferences = document.catalog().unwrap().get(b"ViewerPreferences").unwrap().as_dict().unwrap();
        assert_eq!(preferences.get(b"PrintScaling").unwrap().as_name().unwrap(), b"None");
    }
}

#[test]
fn a_page_within_a_piece_is_printed_and_one_beside_it_is_not() {
    // Five pages wide and five high on A4 (cells of 180 by 267 mm), a triangle that leaves a corner free.
    let triangle = polyline("1", &[(0.0, 0.0, 0.0), (890.0, 0.0, 0.0), (0.0, 1320.0, 0.0)]);
    let plot = print(&drawing(&[("TRIANGLE", triangle)]), Paper::Sheets(PaperSize::A4));
    let Some(text) = poppler("pdftotext", &plot.pdf, &["-f", "2"]) else { return };
    let text = String::from_utf8(text).unwrap();
    let has = |name: &str| text.lines().any(|l| l.trim() == name);
    // D2 lies wholly inside, A5 wholly outside of the slanted side.
    assert!(has("A1") && has("D2") && has("E5"), "{text}");
    assert!(!has("A5"), "{text}");
}

#[test]
fn names_in_other_letters_can_be_read_back() {
    let name = "ПЕРЕД Εμπρός ŻÓŁĆ Վարտիք";
    let dxf = drawing(&[(name, rectangle("1", 150.0, 200.0, 0.0, 0.0))]);
    let plot = print(&dxf, Paper::Sheets(PaperSize::A4));
    assert!(plot.findings.iter().all(|f| f.id != FindingId::LettersMissing), "{:?}", plot.findings);
    let Some(text) = poppler("pdftotext", &plot.pdf, &["-f", "2", "-l", "2"]) else { return };
    let text = String::from_utf8(text).unwrap();
    assert!(text.lines().any(|l| l.trim() == name), "{text}");
}

#[test]
fn letters_without_a_font_are_reported() {
    let dxf = drawing(&[("裤 שלום", rectangle("1", 150.0, 200.0, 0.0, 0.0))]);
    let plot = print(&dxf, Paper::Sheets(PaperSize::A4));
    let finding = plot.findings.iter().find(|f| f.id == FindingId::LettersMissing).unwrap();
    assert!(
        finding.message.contains("裤 (U+88E4)") && finding.message.contains("U+05E9"),
        "{}",
        finding.message
    );
}

#[test]
fn a_given_font_has_the_letters_that_the_built_in_one_lacks() {
    let Some(python) = common::python() else { return };
    let folder = tempfile::tempdir().unwrap();
    let pattern = pattern(&drawing(&[("裤", rectangle("1", 150.0, 200.0, 0.0, 0.0))]));
    let piece = PlotPiece { piece: &pattern.pieces[0], before: None };
    for (outlines, kind) in [("quadratic", "CID TrueType"), ("cubic", "CID Type 0C")] {
        let file = folder.path().join(outlines);
        let done = common::run(&python, "make_font.py", &[outlines, file.to_str().unwrap()]);
        assert!(done.status.success(), "{}", common::said(&done));
        let font = std::fs::read(&file).unwrap();
        let paper = Paper::Sheets(PaperSize::A4);
        let options = PlotOptions { paper, style: None, size: "38", show: None, font: Some(&font) };
        let plot = plot(&[piece], &options).unwrap();
        assert!(plot.findings.iter().all(|f| f.id != FindingId::LettersMissing), "{:?}", plot.findings);
        let Some(text) = poppler("pdftotext", &plot.pdf, &["-f", "2"]) else { return };
        let text = String::from_utf8(text).unwrap();
        assert!(text.lines().any(|l| l.trim() == "裤"), "{text}");
        let fonts = String::from_utf8(poppler("pdffonts", &plot.pdf, &[]).unwrap()).unwrap();
        let line = fonts.lines().find(|l| l.contains(&format!("Harbour{outlines}"))).unwrap();
        assert!(line.contains(kind), "{line}");
        // The name is 9 mm high, so its square is 6.3 mm; as one broad line it is as long as broad.
        let page = Raster::of(&plot, 2).unwrap();
        let broad = page.lines(true, 0.7 * 9.0);
        assert!(broad.len() == 1 && (broad[0][2] - broad[0][1]).abs() < 0.2, "no square: {broad:?}");
    }
}

#[test]
fn what_cannot_be_printed_is_said() {
    let dxf = drawing(&[("WIDE", rectangle("1", 700.0, 800.0, 0.0, 0.0) + &grain(500.0, 0.0))]);
    let roll = |width| print_with(&dxf, Paper::Roll { width: Mm(width) }, None);
    let error = roll(610.0).unwrap_err();
    let PlotError::RollTooNarrow { least: Mm(least), .. } = error else { panic!("{error}") };
    assert!(roll(least).is_ok() && roll(least - 1.5).is_err(), "{least}");
    assert!(matches!(roll(100.0), Err(PlotError::RollWidth { .. })));
    assert!(matches!(roll(f64::NAN), Err(PlotError::RollWidth { .. })));

    let pattern = pattern(&dxf);
    let message = select(&pattern, &["40"], None).unwrap_err().to_string();
    assert!(message.contains("'40'") && message.contains("sizes are: 38"), "{message}");
    let message = select(&pattern, &["38"], Some("SLEEVE")).unwrap_err().to_string();
    assert!(message.contains("'SLEEVE'") && message.contains("it has WIDE"), "{message}");
    assert_eq!(select(&pattern, &[" 38"], Some("wide")).unwrap().pieces.len(), 1);

    let huge = drawing(&[("HUGE", rectangle("1", 20_000.0, 800.0, 0.0, 0.0))]);
    assert!(matches!(print_with(&huge, Paper::Sheets(PaperSize::A4), None), Err(PlotError::TooLarge { .. })));

    let options = PlotOptions {
        paper: Paper::Sheets(PaperSize::A4),
        style: None,
        size: "38",
        show: None,
        font: Some(b"no font"),
    };
    let piece = PlotPiece { piece: &pattern.pieces[0], before: None };
    assert!(matches!(plot(&[piece], &options), Err(PlotError::Font { .. })));
}

/// A piece of the size that has no line on the layers of outlines is not printed, and that is said.
#[test]
fn a_piece_without_an_outline_is_told_of() {
    let sound = rectangle("1", 110.0, 150.0, 0.0, 0.0) + &grain(100.0, 0.0);
    let elsewhere = rectangle("91", 60.0, 90.0, 0.0, 0.0) + &grain(50.0, 0.0);
    let dxf = drawing(&[("P", sound), ("LOST", elsewhere)]);
    let pattern = pattern(&dxf);
    let selected = select(&pattern, &["38"], None).unwrap();
    assert_eq!(selected.pieces.len(), 1);
    let told: Vec<_> = selected.findings.iter().map(|f| (f.piece.as_deref().unwrap(), f.severity)).collect();
    assert_eq!(told, [("LOST", crate::finding::Severity::Warning)]);
    assert!(select(&pattern, &["38"], Some("P")).unwrap().findings.is_empty());
}
