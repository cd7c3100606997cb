//! Writes pages: ink as PDF operators.

use super::PlotError;
use super::fonts::Fonts;
use super::guides::Guides;
use super::ink::{Ink, LineKind, Words, touches};
use super::paper::Frame;
use super::tiles::Tiles;
use crate::geometry::Segments;
use kurbo::{Point, Rect, Size, Vec2};
use pdf_writer::types::{LineCapStyle, LineJoinStyle};
use pdf_writer::{Content, Name, Str};

/// PDF units (1/72 in) in a millimetre.
const UNITS: f64 = 72.0 / 25.4;

/// How far outside a page, in mm, the middle of a line may run so that its edge still shows on the page.
const HALF_WIDTH: f64 = 0.5;

/// The greatest total size of the pages, in MB. A piece is on a few pages only, so this allows for some millions of lines.
const MOST: usize = 256;

/// A line is divided into stretches of this many segments; one whose box is off the page is passed over as a whole.
const STRETCH: usize = 128;

/// A page.
pub(super) struct Page {
    /// Its size in mm.
    pub size: Size,
    /// Its operators.
    pub content: Vec<u8>,
}

/// A page whose ink is given in the page's own axes.
pub(super) fn single(ink: &[Ink], size: Size, fonts: &mut Fonts<'_>) -> Page {
    let mut pen = Pen::new(fonts);
    let window = Rect::from_origin_size(Point::ZERO, size);
    for item in ink {
        pen.draw(&Boxed::of(item), Vec2::ZERO, window);
    }
    Page { size, content: pen.finish() }
}

/// Something drawn, with the boxes that show when it is off a page.
struct Boxed<'i> {
    ink: &'i Ink,
    /// For each stretch of a line its box, and the length of the line before it.
    stretches: Vec<(Rect, f64)>,
}

impl<'i> Boxed<'i> {
    fn of(ink: &'i Ink) -> Self {
        let mut stretches = Vec::new();
        if let Ink::Stroke { points, .. } = ink {
            let mut travelled = 0.0;
            for start in (0..points.len()).step_by(STRETCH) {
                // The end of a segment. The last segment of a closed line leads to its first point; in an open line that
                // segment is not used.
                let end = |i: usize| points[(i + 1) % points.len()];
                let segments = start..points.len().min(start + STRETCH);
                let first = Rect::from_points(points[start], points[start]);
                stretches.push((segments.clone().fold(first, |r, i| r.union_pt(end(i))), travelled));
                segments.for_each(|i| travelled += (end(i) - points[i]).hypot());
            }
        }
        Boxed { ink, stretches }
    }
}

/// The pages of the sheet.
pub(super) fn tiled(
    ink: &[Ink],
    caption: &str,
    tiles: &Tiles<'_>,
    frame: &Frame,
    fonts: &mut Fonts<'_>,
) -> Result<Vec<Page>, PlotError> {
    let boxed: Vec<(Boxed<'_>, Rect)> = ink
        .iter()
        .filter_map(|i| Some((Boxed::of(i), i.bounds()?.inflate(HALF_WIDTH, HALF_WIDTH))))
        .collect();
    let drawn = Segments::new(ink.iter().flat_map(Ink::segments));
    let mut bytes = 0;
    let mut pages = Vec::with_capacity(tiles.printed());
    for (row, column) in tiles.iter() {
        let cell = frame.cell_at(row, column);
        let (window, shift) = (Frame::window(cell), frame.page_shift(cell));
        let guides = Guides { tiles, drawn: &drawn, caption, fonts };
        let guides = if tiles.printed() > 1 { guides.of((row, column), cell) } else { Vec::new() };
        let mut pen = Pen::new(fonts);
        pen.clip(window + shift);
        for item in &guides {
            pen.draw(&Boxed::of(item), shift, window);
        }
        for (one, bounds) in &boxed {
            if bounds.overlaps(window) {
                pen.draw(one, shift, window);
            }
        }
        let content = pen.finish();
        bytes += content.len();
        if bytes > MOST << 20 {
            return Err(PlotError::TooLong { most: MOST });
        }
        pages.push(Page { size: frame.page, content });
    }
    Ok(pages)
}

/// Writes the operators of one page.
struct Pen<'p, 'a> {
    content: Content,
    fonts: &'p mut Fonts<'a>,
}

/// A length in mm as PDF units.
#[allow(clippy::cast_possible_truncation)] // a page's own coordinates, to about 0.0001 mm
pub(super) fn units(mm: f64) -> f32 {
    (mm * UNITS) as f32
}

impl<'p, 'a> Pen<'p, 'a> {
    fn new(fonts: &'p mut Fonts<'a>) -> Self {
        let mut content = Content::new();
        content.set_line_join(LineJoinStyle::RoundJoin);
        Pen { content, fonts }
    }

    /// Clips: from here on only this part of the page is shown.
    fn clip(&mut self, r: Rect) {
        self.content
            .rect(units(r.x0), units(r.y0), units(r.width()), units(r.height()))
            .clip_nonzero()
            .end_path();
    }

    fn draw(&mut self, drawn: &Boxed<'_>, shift: Vec2, window: Rect) {
        match drawn.ink {
            Ink::Stroke { line, points, closed } => {
                self.stroke(*line, (points, *closed), &drawn.stretches, shift, window);
            }
            Ink::Fill { points, gray } => {
                self.content.set_fill_gray(*gray);
                self.trace(points, shift);
                self.content.close_path().fill_nonzero();
            }
            Ink::Words(words) => self.words(words, shift),
        }
    }

    fn trace(&mut self, points: &[Point], shift: Vec2) {
        for (i, &p) in points.iter().enumerate() {
            let p = p + shift;
            let (x, y) = (units(p.x), units(p.y));
            if i == 0 {
                self.content.move_to(x, y)
            } else {
                self.content.line_to(x, y)
            };
        }
    }

    /// Draws those segments of a line that show in the window, as unbroken runs of whole segments. The dashes of a run begin
    /// as they would if the line were drawn from its start, so that they meet at joints.
    fn stroke(
        &mut self,
        line: LineKind,
        (points, closed): (&[Point], bool),
        stretches: &[(Rect, f64)],
        shift: Vec2,
        window: Rect,
    ) {
        let look = line.style();
        let dashed = !look.dashes.is_empty();
        let round = look.dashes.first() == Some(&0.0);
        self.content
            .set_line_width(units(look.width))
            .set_stroke_gray(look.gray)
            .set_line_cap(if round || !dashed { LineCapStyle::RoundCap } else { LineCapStyle::ButtCap });
        let window = window.inflate(HALF_WIDTH, HALF_WIDTH);
        let n = points.len();
        let shows = |i: usize| touches(points[i], points[(i + 1) % n], window);
        let count = if closed { n } else { n.saturating_sub(1) };
        if closed && (0..count).all(shows) {
            self.dash(look.dashes, 0.0);
            self.trace(points, shift);
            self.content.close_path().stroke();
            return;
        }
        let (mut run, mut started) = (Vec::new(), 0.0);
        for (which, &(around, before)) in stretches.iter().enumerate() {
            let meets = around.overlaps(window);
            if !meets && run.is_empty() {
                continue;
            }
            let mut travelled = before;
            for i in which * STRETCH..count.min((which + 1) * STRETCH) {
                let (a, b) = (points[i], points[(i + 1) % n]);
                if meets && shows(i) {
                    if run.is_empty() {
                        started = travelled;
                        run.push(a);
                    }
                    run.push(b);
                } else if !run.is_empty() {
                    self.run(look.dashes, &mut run, started, shift);
                }
                travelled += (b - a).hypot();
            }
        }
        if !run.is_empty() {
            self.run(look.dashes, &mut run, started, shift);
        }
    }

    /// Draws a run of segments and empties it; `before` is the length of the line before the run.
    fn run(&mut self, dashes: &[f64], run: &mut Vec<Point>, before: f64, shift: Vec2) {
        self.dash(dashes, before);
        self.trace(run, shift);
        self.content.stroke();
        run.clear();
    }

    /// Sets the dashes as they stand after this length of line.
    fn dash(&mut self, dashes: &[f64], travelled: f64) {
        let period: f64 = dashes.iter().sum();
        let phase = if period > 0.0 { travelled % period } else { 0.0 };
        self.content.set_dash_pattern(dashes.iter().map(|&d| units(d)), units(phase));
    }

    #[allow(clippy::cast_possible_truncation)] // a sine
    fn words(&mut self, words: &Words, shift: Vec2) {
        let (sin, cos) = words.turn.sin_cos();
        let at = words.at + shift;
        self.content.set_fill_gray(words.gray).begin_text().set_text_matrix([
            cos as f32,
            sin as f32,
            -sin as f32,
            cos as f32,
            units(at.x),
            units(at.y),
        ]);
        for (font, bytes) in self.fonts.encode(&words.value) {
            self.content.set_font(Name(Fonts::name(font)), units(words.size)).show(Str(&bytes));
        }
        self.content.end_text();
    }

    fn finish(self) -> Vec<u8> {
        self.content.finish().to_vec()
    }
}
