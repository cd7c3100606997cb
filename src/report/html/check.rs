//! The page of a look-over: every finding, its place in a drawing of the piece, and what was found right.

use super::say::{coordinate, path, printable};
use super::{STYLE, VERSION};
use crate::finding::{Finding, Severity};
use crate::pattern::{LayerUse, Pattern, Piece};
use crate::report::{CheckReport, Verdict};
use crate::words::counted;
use askama::Template;
use kurbo::{Point, Rect};

/// The largest number of pieces that are drawn; the findings of further pieces are listed without a drawing.
const MOST_DRAWN: usize = 60;

/// What the page of a look-over needs for each drawing.
#[derive(Clone, Copy, Debug)]
pub struct CheckSheet<'a> {
    /// What was found.
    pub report: &'a CheckReport,
    /// The drawing's pieces.
    pub pattern: &'a Pattern,
}

#[derive(Template)]
#[template(path = "check.html", config = "src/report/templates/askama.toml")]
struct CheckPage {
    style: &'static str,
    version: &'static str,
    title: String,
    drawings: Vec<DrawingView>,
    pass: bool,
    verdict: String,
    errors: usize,
    warnings: usize,
}

/// What the page shows of one drawing.
struct DrawingView {
    path: String,
    style: String,
    unit: &'static str,
    hash: String,
    against: Option<(String, String)>,
    findings: Vec<Found>,
    pieces: Vec<PieceView>,
    not_drawn: usize,
    right: Vec<&'static str>,
}

/// The findings of one piece, with their numbers on the page.
type Numbered<'f> = Vec<(usize, &'f Finding)>;

/// A finding with its number on the page.
struct Found {
    number: usize,
    severity: &'static str,
    id: &'static str,
    place: String,
    message: String,
    picture: Option<String>,
}

/// The drawing of one piece, with the places of its findings.
struct PieceView {
    id: String,
    name: String,
    numbers: String,
    view_box: String,
    unit: String,
    cut: String,
    sew: String,
    inside: String,
    grain: String,
    notches: Vec<(String, String)>,
    rings: Vec<Ring>,
}

/// The ring around the place of a finding.
struct Ring {
    number: usize,
    severity: &'static str,
    x: String,
    y: String,
    label_x: String,
    label_y: String,
}

/// The page for drawings that were looked over.
pub fn checks(sheets: &[CheckSheet<'_>]) -> Result<String, askama::Error> {
    let all = || sheets.iter().flat_map(|s| &s.report.findings);
    let many = |severity| all().filter(|f: &&Finding| f.severity == severity).count();
    let (errors, warnings) = (many(Severity::Error), many(Severity::Warning));
    let pass = sheets.iter().all(|s| s.report.verdict == Verdict::Pass);
    let verdict = if pass {
        "nothing was found that keeps the drawing from marker making.".to_owned()
    } else {
        format!("{} to put right before marker making.", counted(errors, "error", "errors"))
    };
    let title = match sheets {
        [one] => printable(one.report.drawing.style.as_deref().unwrap_or(&one.report.drawing.path)),
        many => counted(many.len(), "drawing", "drawings"),
    };
    let mut numbered = 0;
    let drawings = sheets.iter().enumerate().map(|(i, s)| drawing(i, s, &mut numbered)).collect();
    CheckPage { style: STYLE, version: VERSION, title, drawings, pass, verdict, errors, warnings }.render()
}

fn drawing(index: usize, sheet: &CheckSheet<'_>, numbered: &mut usize) -> DrawingView {
    let report = sheet.report;
    let mut findings: Vec<Found> = Vec::new();
    let mut places: Vec<(&Piece, Numbered<'_>)> = Vec::new();
    let mut not_drawn = 0;
    let piece_id = |at: usize| format!("piece-{}-{}", index + 1, at + 1);
    for f in &report.findings {
        *numbered += 1;
        let piece = piece_of(sheet.pattern, f);
        let picture = piece.and_then(|piece| {
            let known = places.iter().position(|(p, _)| std::ptr::eq(*p, piece));
            let at = known.or_else(|| {
                (places.len() < MOST_DRAWN).then(|| {
                    places.push((piece, Vec::new()));
                    places.len() - 1
                })
            });
            not_drawn += usize::from(at.is_none());
            places[at?].1.push((*numbered, f));
            at.map(piece_id)
        });
        findings.push(Found {
            number: *numbered,
            severity: f.severity.word(),
            id: f.id.as_str(),
            place: place(f),
            message: printable(&f.message),
            picture,
        });
    }
    let pieces = places.iter().enumerate().map(|(at, (p, of))| piece_view(piece_id(at), p, of)).collect();
    DrawingView {
        path: printable(&report.drawing.path),
        style: printable(report.drawing.style.as_deref().unwrap_or_default()),
        unit: report.drawing.unit.sign(),
        hash: report.drawing.sha256.clone(),
        against: report.original.as_ref().map(|o| (printable(&o.path), o.sha256.clone())),
        findings,
        pieces,
        not_drawn,
        right: report.right.clone(),
    }
}

/// The piece a finding is about.
fn piece_of<'p>(pattern: &'p Pattern, finding: &Finding) -> Option<&'p Piece> {
    pattern.pieces.iter().find(|p| Some(p.block) == finding.block())
}

fn place(f: &Finding) -> String {
    let size = f.size.as_ref().map(|s| format!("size {}", printable(s)));
    let piece = f.piece.as_ref().map(|p| printable(p));
    let line = f.line.map(|l| format!("line {l}"));
    [size, piece, line].into_iter().flatten().collect::<Vec<_>>().join(", ")
}

fn piece_view(id: String, piece: &Piece, found: &Numbered<'_>) -> PieceView {
    // In a picture Y points down.
    let flip = |p: Point| Point::new(p.x, -p.y);
    let on_page = |p: Point| flip(piece.drawn(p));
    let lines = |uses: &[LayerUse]| -> String {
        let of = piece.paths.iter().filter(|p| uses.contains(&p.layer_use));
        of.map(|p| path(p.points.iter().map(|q| on_page(*q))) + if p.closed { "Z" } else { "" }).collect()
    };
    let places: Vec<(usize, &Finding, Point)> = found
        .iter()
        .filter_map(|(n, f)| Some((*n, *f, flip(f.at.map(|[x, y]| Point::new(x, y))?))))
        .collect();
    let drawn = piece.paths.iter().flat_map(|p| p.points.iter()).map(|p| on_page(*p));
    let all: Vec<Point> = drawn.chain(places.iter().map(|(_, _, at)| *at)).collect();
    let first = all.first().copied().unwrap_or_default();
    let bounds = all.iter().fold(Rect::from_points(first, first), |area, p| area.union_pt(*p));
    let longest = bounds.width().max(bounds.height()).max(1e-6);
    // The size of a pixel where the picture is about 480 pixels high or wide.
    let unit = longest / 480.0;
    let frame = bounds.inflate(30.0 * unit, 22.0 * unit);
    let rings = places.iter().map(|(number, f, at)| Ring {
        number: *number,
        severity: f.severity.word(),
        x: coordinate_fine(at.x),
        y: coordinate_fine(at.y),
        label_x: coordinate_fine(at.x + 11.0 * unit),
        label_y: coordinate_fine(at.y - 9.0 * unit),
    });
    let notch = |m: &&crate::pattern::Mark| matches!(m.kind, crate::pattern::MarkKind::Notch { .. });
    let size = piece.size.as_ref().map(|s| format!(", size {}", printable(s.as_str())));
    let numbers: Vec<String> = found.iter().map(|(n, _)| n.to_string()).collect();
    PieceView {
        id,
        name: printable(&piece.name) + &size.unwrap_or_default(),
        numbers: numbers.join(", "),
        view_box: [frame.x0, frame.y0, frame.width(), frame.height()].map(coordinate_fine).join(" "),
        unit: format!("{unit:.6}"),
        cut: lines(&[LayerUse::Cut]),
        sew: lines(&[LayerUse::Sew]),
        inside: lines(&[LayerUse::Internal, LayerUse::Mirror]),
        grain: lines(&[LayerUse::Grain]),
        notches: piece
            .marks
            .iter()
            .filter(notch)
            .map(|m| on_page(m.at))
            .map(|p| (coordinate_fine(p.x), coordinate_fine(p.y)))
            .collect(),
        rings: rings.collect(),
    }
}

/// A coordinate of a drawing whose numbers may be in inches.
fn coordinate_fine(value: f64) -> String {
    // Adding 0.0 removes the sign of a negative zero.
    if value.abs() < 100.0 { format!("{:.4}", (value * 1e4).round() / 1e4 + 0.0) } else { coordinate(value) }
}
