//! Prints, measured on the page: by a renderer (Poppler's `pdftoppm`), by a text extractor
//! (`pdftotext`) and by reading the operators with `lopdf`. None of them shares code with the drawing.

use crate::outside;
use lopdf::{Document, Object};
use std::f64::consts::PI;
use std::fmt::Write;
use std::process::Command;
use truerise::dxf_text::Drawing;
use truerise::finding::FindingId;
use truerise::pattern::{Pattern, read};
use truerise::plot::{Paper, PaperSize, Plot, PlotError, PlotOptions, PlotPiece, plot, select};
use truerise::units::Mm;

/// Millimetres in a PDF unit, 1/72 in (ISO 32000-1, 8.3.2.3).
const MM: f64 = 25.4 / 72.0;

/// Pixels in a millimetre at 508 dpi.
const PIXELS: f64 = 20.0;

/// How far, in mm, a line may be off and still be found as the one that is looked for.
const TOLERANCE: f64 = 0.9;

/// A closed polyline; each vertex has its bulge (code 42).
fn polyline(layer: &str, vertices: &[(f64, f64, f64)]) -> String {
    let mut text = format!("0\nPOLYLINE\n8\n{layer}\n66\n1\n70\n1\n");
    for (x, y, bulge) in vertices {
        write!(text, "0\nVERTEX\n8\n{layer}\n10\n{x}\n20\n{y}\n42\n{bulge}\n").unwrap();
    }
    text + "0\nSEQEND\n"
}

fn text(layer: &str, value: &str) -> String {
    format!("0\nTEXT\n8\n{layer}\n10\n0\n20\n0\n40\n1\n1\n{value}\n")
}

/// A metric drawing with one block for each list of entities, each piece of size 38.
fn drawing(pieces: &[(&str, String)]) -> Vec<u8> {
    let mut dxf = "0\nSECTION\n2\nBLOCKS\n".to_owned();
    for (i, (name, entities)) in pieces.iter().enumerate() {
        write!(dxf, "0\nBLOCK\n8\n0\n2\nP{i}\n70\n0\n10\n0\n20\n0\n{entities}").unwrap();
        dxf += &(text("1", &format!("Piece Name: {name}")) + &text("1", "Size: 38") + "0\nENDBLK\n");
    }
    dxf += "0\nENDSEC\n0\nSECTION\n2\nENTITIES\n";
    dxf += &(text("1", "Style Name: HARBOUR TRIAL") + &text("1", "Units: METRIC"));
    (dxf + "0\nENDSEC\n0\nEOF\n").into_bytes()
}

/// A rectangle turned by an angle, on a layer, with its grain along its height.
fn rectangle(layer: &str, width: f64, height: f64, inset: f64, degrees: f64) -> String {
    let (sin, cos) = degrees.to_radians().sin_cos();
    let corner = |x: f64, y: f64| (x * cos - y * sin, x * sin + y * cos, 0.0);
    let (w, h) = (width - inset, height - inset);
    polyline(layer, &[corner(inset, inset), corner(w, inset), corner(w, h), corner(inset, h)])
}

fn grain(length: f64, degrees: f64) -> String {
    let (sin, cos) = degrees.to_radians().sin_cos();
    format!("0\nLINE\n8\n7\n10\n0\n20\n0\n11\n{}\n21\n{}\n", -length * sin, length * cos)
}

fn pattern(dxf: &[u8]) -> Pattern {
    read(&Drawing::scan(dxf).unwrap(), &truerise::pattern::Reading::default()).unwrap()
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

/// Runs a program of Poppler on a print; `None`, with a message, where there is none and it is not
/// demanded.
pub fn poppler(program: &str, pdf: &[u8], arguments: &[&str]) -> Option<Vec<u8>> {
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("print.pdf");
    std::fs::write(&file, pdf).unwrap();
    let (before, after) = if program == "pdftotext" { (arguments, &["-"][..]) } else { (arguments, &[][..]) };
    match Command::new(program).args(before).arg(&file).args(after).output() {
        Ok(done) => {
            assert!(done.status.success(), "{program}: {}", String::from_utf8_lossy(&done.stderr));
            Some(done.stdout)
        }
        Err(e) if std::env::var_os("CI").is_none() => {
            eprintln!("skipped: {program} (Debian package poppler-utils) cannot be run: {e}");
            None
        }
        Err(e) => panic!("{program} cannot be run: {e}"),
    }
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

/// A straight piece of a stroked line in mm on its page.
type Segment = [(f64, f64); 2];

/// The number in an operand.
fn number(object: &Object) -> f64 {
    match object {
        Object::Integer(i) => *i as f64,
        Object::Real(r) => f64::from(*r),
        other => panic!("{other:?} is not a number"),
    }
}

/// The pages of a print: width and height in mm, and the segments drawn in dashes of these lengths.
fn dashed(pdf: &[u8], dashes: &[f64]) -> Vec<(f64, f64, Vec<Segment>)> {
    let document = Document::load_mem(pdf).unwrap();
    let mut pages = Vec::new();
    for id in document.get_pages().values() {
        let page = document.get_object(*id).unwrap().as_dict().unwrap();
        let media: Vec<f64> = page.get(b"MediaBox").unwrap().as_array().unwrap().iter().map(number).collect();
        let content = document.get_and_decode_page_content(*id).unwrap();
        let (mut wanted, mut path, mut start, mut segments) = (false, Vec::new(), (0.0, 0.0), Vec::new());
        let mut at = start;
        for operation in content.operations {
            let point = || (number(&operation.operands[0]) * MM, number(&operation.operands[1]) * MM);
            match operation.operator.as_str() {
                "d" => {
                    let set: Vec<f64> =
                        operation.operands[0].as_array().unwrap().iter().map(|n| number(n) * MM).collect();
                    wanted = set.len() == dashes.len()
                        && set.iter().zip(dashes).all(|(a, b)| (a - b).abs() < 1e-3);
                }
                "m" => (start, at) = (point(), point()),
                "l" => {
                    path.push([at, point()]);
                    at = point();
                }
                "h" => path.push([at, start]),
                "S" if wanted => segments.append(&mut path),
                "S" | "n" | "f" => path.clear(),
                "c" | "v" | "y" | "cm" => panic!("curves and transformations are not read here"),
                _ => {}
            }
        }
        pages.push((media[2] * MM, media[3] * MM, segments));
    }
    pages
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
    let Some(python) = outside::python() else { return };
    let sample = outside::root().join("samples/harbour-nest.dxf");
    let dxf = std::fs::read(&sample).unwrap();
    for name in ["FRONT", "BACK"] {
        let block = format!("{name}-38");
        let done = outside::run(&python, "sew_lines.py", &[sample.to_str().unwrap(), &block]);
        assert!(done.status.success(), "{}", outside::said(&done));
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
    let Some(python) = outside::python() else { return };
    let folder = tempfile::tempdir().unwrap();
    let pattern = pattern(&drawing(&[("裤", rectangle("1", 150.0, 200.0, 0.0, 0.0))]));
    let piece = PlotPiece { piece: &pattern.pieces[0], before: None };
    for (outlines, kind) in [("quadratic", "CID TrueType"), ("cubic", "CID Type 0C")] {
        let file = folder.path().join(outlines);
        let done = outside::run(&python, "make_font.py", &[outlines, file.to_str().unwrap()]);
        assert!(done.status.success(), "{}", outside::said(&done));
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
fn the_command_writes_a_print_and_replaces_nothing_unasked() {
    let folder = tempfile::tempdir().unwrap();
    let path = |name: &str| folder.path().join(name);
    let piece = |width: f64| drawing(&[("P", rectangle("1", width, 150.0, 0.0, 0.0) + &grain(100.0, 0.0))]);
    std::fs::write(path("new.dxf"), piece(110.0)).unwrap();
    std::fs::write(path("old.dxf"), piece(100.0)).unwrap();
    let run = |size: &str, arguments: &[&str]| {
        let mut command = assert_cmd::Command::from_std(outside::truerise());
        command.current_dir(folder.path()).args(["plot", "new.dxf", "--size", size]).args(arguments).assert()
    };
    run("38", &["-o", "out.pdf", "--paper", "letter"]).success();
    let first = std::fs::read(path("out.pdf")).unwrap();
    run("38", &["-o", "out.pdf"]).code(2);
    assert_eq!(std::fs::read(path("out.pdf")).unwrap(), first);
    run("38", &["-o", "new.dxf", "--overwrite"]).code(2);
    assert_eq!(std::fs::read(path("new.dxf")).unwrap(), piece(110.0));
    run("40", &["-o", "out.pdf", "--overwrite"]).code(2);
    run("38", &["-o", "out.pdf", "--roll", "5 in", "--overwrite"]).code(2);
    assert_eq!(std::fs::read(path("out.pdf")).unwrap(), first);

    run("38", &["-o", "out.pdf", "--roll", "36in", "--against", "old.dxf", "--overwrite"]).success();
    let pages = dashed(&std::fs::read(path("out.pdf")).unwrap(), &[0.0, 1.8]);
    let [(width, _, dotted)] = pages.as_slice() else { panic!("{} pages", pages.len()) };
    assert!((width - 914.4).abs() < 0.01, "{width}");
    // The sample of 24 mm in the key, and the old right edge.
    let mut lengths: Vec<f64> = dotted.iter().map(|[a, b]| (b.0 - a.0).hypot(b.1 - a.1)).collect();
    lengths.sort_by(f64::total_cmp);
    assert!(lengths.len() == 2 && (lengths[1] - 150.0).abs() < 0.01, "{lengths:?}");
}

/// A print of several sizes has the pieces of each; without `--size` a drawing of one size is printed whole.
#[test]
fn several_sizes_are_printed_at_once_and_one_needs_no_name() {
    let folder = outside::Folder::new();
    let nest = std::fs::read(outside::root().join("samples/harbour-nest.dxf")).unwrap();
    folder.write("nest.dxf", &nest);
    let one = drawing(&[("P", rectangle("1", 110.0, 150.0, 0.0, 0.0) + &grain(100.0, 0.0))]);
    folder.write("one.dxf", &one);
    let run = |args: &[&str]| {
        let mut program = outside::truerise();
        program.current_dir(folder.path("")).arg("plot").args(args).args(["-o", "out.pdf", "--overwrite"]);
        program.args(["--format", "json"]).output().unwrap()
    };
    let report = |args: &[&str]| outside::json(&run(args).stdout);
    let two = report(&["nest.dxf", "--size", "38", "--size", "40", "--paper", "a0"]);
    assert_eq!((two["size"].as_str(), two["pieces"].as_array().map(Vec::len)), (Some("38, 40"), Some(10)));
    let all = report(&["nest.dxf", "--size", "all", "--paper", "a0"]);
    assert_eq!(all["pieces"].as_array().map(Vec::len), Some(35));
    assert_eq!(report(&["one.dxf"])["size"].as_str(), Some("38"));
    assert_eq!(run(&["nest.dxf"]).status.code(), Some(2));
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
