//! The heading of a print: what it shows, the test squares, the key, and the map of pages.

use super::fonts::Fonts;
use super::ink::{Ink, LineKind, Words};
use super::paper::{Frame, HEADING, Paper};
use super::piece::{DrawnPiece, arrowheads, cross};
use super::tiles::{self, Tiles};
use crate::units::Unit;
use kurbo::{Affine, Point, Rect, Vec2};

/// The height at which the squares, the key and the map begin, below the title lines.
const BELOW_TITLE: f64 = -43.0;

/// The left edge of the column with the key and the map.
const COLUMN: f64 = 112.0;

/// The spacing of the key's lines.
const KEY_LINE: f64 = 6.5;

/// What the heading is made from.
pub(super) struct Heading<'h> {
    pub style: Option<&'h str>,
    pub size: &'h str,
    pub paper: Paper,
    pub show: Option<Unit>,
    pub pieces: &'h [DrawnPiece],
    pub frame: &'h Frame,
    pub tiles: &'h Tiles<'h>,
}

impl Heading<'_> {
    /// Draws the heading with its top left corner at the origin.
    pub fn draw(&self, fonts: &Fonts<'_>) -> Vec<Ink> {
        let mut ink = self.title(fonts);
        ink.extend(squares(fonts));
        let (key, bottom) = self.key(fonts);
        ink.extend(key);
        if self.tiles.printed() > 1 {
            ink.extend(self.map(fonts, bottom - 8.0));
        }
        ink
    }

    fn title(&self, fonts: &Fonts<'_>) -> Vec<Ink> {
        let pieces = count(self.pieces.len(), "piece");
        let n = self.tiles.printed();
        let on = self.paper.described(self.show);
        let paper = match self.paper {
            Paper::Sheets(_) => format!("{} of {on}, this one included", count(n + 1, "page")),
            Paper::Roll { .. } => format!("{} on {on}", count(n, "page")),
        };
        let name = match self.style {
            Some(style) => format!("{style} · {} {}", sizes(self.size).to_lowercase(), self.size),
            None => format!("{} {}", sizes(self.size), self.size),
        };
        let mut lines = vec![
            format!("{pieces}, {paper}."),
            "Print at 100 % (actual size), never fitted to the page. Measure both squares before you cut."
                .to_owned(),
        ];
        if self.tiles.printed() > 1 {
            let how = "Row by row, A1, A2 and on: cut each page at its dashed joints (left, top), lay it on the dotted ones; diamonds meet.";
            lines.push(how.to_owned());
        }
        lines.push("Sew a trial garment from this print first. Only then cut the good cloth.".to_owned());
        let mut ink = vec![Ink::Words(fitted(fonts, Point::new(0.0, -7.0), 7.0, &name))];
        ink.extend(
            lines.iter().enumerate().map(|(i, line)| {
                Ink::Words(fitted(fonts, Point::new(0.0, -14.5 - 5.8 * i as f64), 3.8, line))
            }),
        );
        ink
    }

    /// The key, with a named sample of each kind of line that is drawn, and the height at which it ends.
    fn key(&self, fonts: &Fonts<'_>) -> (Vec<Ink>, f64) {
        let mut kinds: Vec<LineKind> = self
            .pieces
            .iter()
            .flat_map(|p| &p.ink)
            .filter_map(|i| if let Ink::Stroke { line, .. } = i { Some(*line) } else { None })
            .collect();
        if self.tiles.printed() > 1 {
            kinds.extend([LineKind::Joint, LineKind::Trim]);
        }
        kinds.sort();
        kinds.dedup();
        let mut y = BELOW_TITLE - 3.0;
        let mut ink = vec![Ink::Words(fonts.words(Point::new(COLUMN, y), 4.2, "Key"))];
        for kind in kinds {
            let Some(title) = kind.title() else { continue };
            y -= KEY_LINE;
            let (a, b) = (Point::new(COLUMN, y + 1.3), Point::new(COLUMN + 24.0, y + 1.3));
            match kind {
                LineKind::Notch => {
                    ink.push(Ink::open(LineKind::Cut, [a, b]));
                    ink.push(Ink::open(kind, [a.midpoint(b), a.midpoint(b) - Vec2::new(0.0, 4.0)]));
                }
                LineKind::Mark => ink.extend(cross(a.midpoint(b))),
                _ => ink.push(Ink::open(kind, [a, b])),
            }
            if kind == LineKind::Grain {
                ink.extend(arrowheads(a, b));
            }
            ink.push(Ink::Words(fonts.words(Point::new(COLUMN + 28.0, y), 3.6, title)));
        }
        (ink, y)
    }

    /// The map: the sheet on a small scale with pieces, joints and the names of the pages. A page that is not printed is
    /// crossed out.
    fn map(&self, fonts: &Fonts<'_>, top: f64) -> Vec<Ink> {
        let mut ink = vec![Ink::Words(fonts.words(Point::new(COLUMN, top - 3.0), 4.2, "Pages"))];
        let room = Rect::new(COLUMN, 2.0 - HEADING.height, HEADING.width, top - 7.0);
        let sheet = self.tiles.sheet();
        let scale = (room.width() / sheet.width()).min(room.height() / sheet.height());
        let to_map = Affine::translate(Vec2::new(room.x0, room.y1)) * Affine::scale(scale);
        for piece in self.pieces {
            let points: Vec<Point> = piece.outline.iter().map(|&p| to_map * p).collect();
            ink.push(Ink::Fill { points: points.clone(), gray: 0.9 });
            ink.push(Ink::closed(LineKind::Check, points));
        }
        let (rows, columns) = self.tiles.extent();
        for row in 0..rows {
            for column in 0..columns {
                let cell = to_map.transform_rect_bbox(self.frame.cell_at(row, column));
                ink.push(Ink::frame(LineKind::Thin, cell));
                if self.tiles.has(row, column) {
                    let size = (cell.height() / 3.0).min(cell.width() / 3.0).min(3.2);
                    let mut words = fonts.words(cell.center(), size, tiles::name(row, column));
                    words.at -= Vec2::new(words.width / 2.0, size / 3.0);
                    ink.push(Ink::Words(words));
                } else {
                    ink.push(Ink::open(
                        LineKind::Thin,
                        [(cell.x0, cell.y0), (cell.x1, cell.y1)].map(Point::from),
                    ));
                    ink.push(Ink::open(
                        LineKind::Thin,
                        [(cell.x0, cell.y1), (cell.x1, cell.y0)].map(Point::from),
                    ));
                }
            }
        }
        ink
    }
}

/// The test squares: their sides are 100 mm and 4 in (101.6 mm) between the middles of their lines.
fn squares(fonts: &Fonts<'_>) -> Vec<Ink> {
    let mut ink = Vec::new();
    let mut top = BELOW_TITLE;
    for (side, label, hint) in [
        (100.0, "100 mm", "Each side must measure 100 mm."),
        (4.0 * 25.4, "4 in", "Each side must measure 4 inches."),
    ] {
        // The squares lie a little inside the heading's box, so that none of their lines is on its edge.
        let square = Rect::new(1.0, top - side, 1.0 + side, top);
        ink.push(Ink::frame(LineKind::Check, square));
        let label_at = Point::new(10.0, square.center().y);
        ink.push(Ink::Words(fonts.words(label_at, 9.0, label)));
        ink.push(Ink::Words(fonts.words(label_at - Vec2::new(0.0, 8.0), 3.6, hint)));
        top = square.y0 - 7.0;
    }
    ink
}

/// A line of text, made smaller if it would be wider than the heading.
fn fitted(fonts: &Fonts<'_>, at: Point, size: f64, value: &str) -> Words {
    let room = HEADING.width;
    let words = fonts.words(at, size, value);
    if words.width <= room { words } else { fonts.words(at, size * room / words.width, value) }
}

/// The word before the name of one size or the names of several.
fn sizes(names: &str) -> &'static str {
    if names.contains(", ") { "Sizes" } else { "Size" }
}

fn count(n: usize, what: &str) -> String {
    format!("{n} {what}{}", if n == 1 { "" } else { "s" })
}
