//! A form to be filled in by hand, as a PDF: texts, a picture, and tables with room for writing.

use super::PlotError;
use super::document;
use super::fonts::Fonts;
use super::ink::{Ink, LineKind};
use super::page::{self, Page};
use kurbo::{Affine, BezPath, PathEl, Point, Rect, Size, Vec2};

/// A4 (ISO 216), in mm.
const PAGE: Size = Size::new(210.0, 297.0);

/// The area that may be printed on, in mm; it fits both on A4 and on Letter, which is shorter.
const ROOM: Rect = Rect::new(12.0, 297.0 - 267.0, 198.0, 285.0);

/// At least this much of what follows a heading, in mm, is on the same page as the heading.
const HEADED: f64 = 45.0;

/// The height, in mm, of a row that is filled in by hand.
const ROW: f64 = 8.5;

/// A part of a form, from top to bottom.
pub enum Part<'f> {
    /// The title.
    Title(&'f str),
    /// A heading.
    Heading(&'f str),
    /// A paragraph.
    Text(&'f str),
    /// A picture, in mm with `y` pointing down, with numbered steps beside it.
    Held {
        /// The lines, and whether each is dashed.
        lines: Vec<(bool, BezPath)>,
        /// Words at a place, each with the share of the text that lies before that place.
        labels: Vec<(Point, f64, &'f str)>,
        /// The size of the picture.
        size: Size,
        /// The steps.
        steps: &'f [&'f str],
    },
    /// A table, which continues on further pages where it has to.
    Table {
        /// The columns, with their widths in mm.
        columns: Vec<(&'f str, f64)>,
        /// The cells of each row; a row with fewer cells than columns is filled up with empty ones.
        rows: Vec<Vec<String>>,
    },
}

/// Writes a form. Equal parts give equal bytes.
pub fn form(title: &str, parts: &[Part<'_>]) -> Result<Vec<u8>, PlotError> {
    let mut fonts = Fonts::new(None)?;
    let mut sheet = Sheet { fonts: &fonts, pages: vec![Vec::new()], y: ROOM.y1 };
    for part in parts {
        match part {
            Part::Title(text) => sheet.lines(text, 7.0, ROOM.x0, ROOM.width(), 2.0),
            Part::Heading(text) => {
                sheet.room_for(HEADED);
                sheet.down(4.0);
                sheet.lines(text, 5.0, ROOM.x0, ROOM.width(), 1.5);
            }
            Part::Text(text) => sheet.lines(text, 3.2, ROOM.x0, ROOM.width(), 1.5),
            Part::Held { lines, labels, size, steps } => sheet.held(lines, labels, *size, steps),
            Part::Table { columns, rows } => sheet.table(columns, rows),
        }
    }
    let inks = sheet.pages;
    let pages: Vec<Page> = inks.iter().map(|ink| page::single(ink, PAGE, &mut fonts)).collect();
    document::write(&pages, fonts, title)
}

/// What has been laid out so far, and the height that has been reached on the page.
struct Sheet<'f, 'd> {
    fonts: &'f Fonts<'d>,
    pages: Vec<Vec<Ink>>,
    y: f64,
}

impl Sheet<'_, '_> {
    fn add(&mut self, ink: Ink) {
        if let Some(page) = self.pages.last_mut() {
            page.push(ink);
        }
    }

    fn down(&mut self, by: f64) {
        self.y -= by;
    }

    /// Begins a new page if this height does not fit on the current one; returns whether it did.
    fn room_for(&mut self, height: f64) -> bool {
        let new = self.y - height < ROOM.y0;
        if new {
            self.pages.push(Vec::new());
            self.y = ROOM.y1;
        }
        new
    }

    /// Sets a text broken into lines, with some room below it.
    fn lines(&mut self, text: &str, size: f64, x: f64, width: f64, below: f64) {
        for line in self.broken(text, size, width) {
            self.room_for(1.35 * size);
            self.down(1.35 * size);
            let words = self.fonts.words(Point::new(x, self.y + 0.3 * size), size, line);
            self.add(Ink::Words(words));
        }
        self.down(below);
    }

    /// Breaks a text into lines no wider than this.
    fn broken(&self, text: &str, size: f64, width: f64) -> Vec<String> {
        let mut lines: Vec<String> = Vec::new();
        for word in text.split_whitespace() {
            let longer = lines.last().map(|line| format!("{line} {word}"));
            let fits = |line: &String| self.fonts.words(Point::ZERO, size, line.as_str()).width <= width;
            match longer.filter(fits) {
                Some(longer) => {
                    lines.pop();
                    lines.push(longer);
                }
                None => lines.push(word.to_owned()),
            }
        }
        lines
    }

    fn held(&mut self, lines: &[(bool, BezPath)], labels: &[(Point, f64, &str)], size: Size, steps: &[&str]) {
        /// The width of the picture on paper, and the room between it and the steps, in mm.
        const WIDTH: f64 = 78.0;
        const BESIDE: f64 = 6.0;
        let scale = WIDTH / size.width;
        self.room_for(size.height * scale);
        let (top, page) = (self.y, self.pages.len());
        let place = Affine::translate(Vec2::new(ROOM.x0, top)) * Affine::scale_non_uniform(scale, -scale);
        for (dashed, path) in lines {
            let line = if *dashed { LineKind::Sew } else { LineKind::Check };
            self.add(Ink::open(line, flat(path).into_iter().map(|p| place * p).collect::<Vec<_>>()));
        }
        for (at, before, text) in labels {
            let mut words = self.fonts.words(place * *at, 3.0, *text);
            words.at.x -= words.width * before;
            self.add(Ink::Words(words));
        }
        for (i, step) in steps.iter().enumerate() {
            let x = ROOM.x0 + WIDTH + BESIDE;
            let number = self.fonts.words(Point::new(x, self.y - 3.3), 3.2, format!("{}.", i + 1));
            self.add(Ink::Words(number));
            self.lines(step, 3.2, x + 6.0, ROOM.x1 - x - 6.0, 1.4);
        }
        if self.pages.len() == page {
            self.y = self.y.min(top - size.height * scale);
        }
    }

    fn table(&mut self, columns: &[(&str, f64)], rows: &[Vec<String>]) {
        self.head(columns);
        for row in rows {
            if self.room_for(ROW) {
                self.head(columns);
            }
            let top = self.y;
            self.down(ROW);
            let mut x = ROOM.x0;
            for ((_, width), cell) in
                columns.iter().zip(row.iter().map(String::as_str).chain(std::iter::repeat("")))
            {
                let lines = self.broken(cell, 3.0, width - 2.0);
                let first = top - (ROW - 3.6 * lines.len() as f64) / 2.0 - 2.8;
                for (i, line) in lines.into_iter().enumerate() {
                    let words = self.fonts.words(Point::new(x + 1.0, first - 3.6 * i as f64), 3.0, line);
                    self.add(Ink::Words(words));
                }
                self.add(Ink::frame(LineKind::Thin, Rect::new(x, self.y, x + width, top)));
                x += width;
            }
        }
        self.down(2.0);
    }

    fn head(&mut self, columns: &[(&str, f64)]) {
        self.room_for(6.0 + ROW);
        self.down(4.5);
        let mut x = ROOM.x0;
        for (name, width) in columns {
            let words = self.fonts.words(Point::new(x + 1.0, self.y + 1.2), 3.0, *name);
            self.add(Ink::Words(words));
            x += width;
        }
    }
}

/// A curve as a series of points.
fn flat(path: &BezPath) -> Vec<Point> {
    let mut points = Vec::new();
    kurbo::flatten(path, 0.1, |element| {
        if let PathEl::MoveTo(p) | PathEl::LineTo(p) = element {
            points.push(p);
        }
    });
    points
}
