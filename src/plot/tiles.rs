//! Which cells of the sheet have something on them.

use super::ink;
use super::paper::Frame;
use super::piece::Drawn;
use super::title;
use kurbo::{Point, Rect, Shape, Vec2};
use std::collections::BTreeSet;

/// The pages to print, by row and column from the top left.
pub(super) struct Tiles<'f> {
    frame: &'f Frame,
    cells: BTreeSet<(usize, usize)>,
}

impl<'f> Tiles<'f> {
    /// No pages yet.
    pub fn new(frame: &'f Frame) -> Self {
        Tiles { frame, cells: BTreeSet::new() }
    }

    /// Adds the pages a piece is on: those that a line of it crosses and those within it, since a
    /// pattern with a hole where a page was left out cannot be cut.
    pub fn add(&mut self, piece: &Drawn, shift: Vec2) {
        for item in &piece.ink {
            for (a, b) in item.segments() {
                let (a, b) = (a + shift, b + shift);
                self.take(Rect::from_points(a, b), |cell| ink::touches(a, b, cell));
            }
        }
        let shape = title::closed(&piece.outline);
        // No line crosses a cell that is not taken by now: it is within or without as a whole.
        self.take(piece.bounds + shift, |cell| shape.contains(cell.center() - shift));
    }

    /// Adds the pages of a whole rectangle.
    pub fn cover(&mut self, r: Rect) {
        self.take(r, |_| true);
    }

    fn take(&mut self, around: Rect, wanted: impl Fn(Rect) -> bool) {
        let cell = self.frame.cell();
        #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)] // a few hundred at most
        let index = |v: f64| v.max(0.0).floor() as usize;
        for row in index(-around.y1 / cell.height)..=index(-around.y0 / cell.height) {
            for column in index(around.x0 / cell.width)..=index(around.x1 / cell.width) {
                if !self.has(row, column) && wanted(self.frame.cell_at(row, column)) {
                    self.cells.insert((row, column));
                }
            }
        }
    }

    /// Whether a page is printed.
    pub fn has(&self, row: usize, column: usize) -> bool {
        self.cells.contains(&(row, column))
    }

    /// The pages, row by row.
    pub fn iter(&self) -> impl Iterator<Item = (usize, usize)> {
        self.cells.iter().copied()
    }

    /// How many pages are printed.
    pub fn printed(&self) -> usize {
        self.cells.len()
    }

    /// How many rows and columns the sheet has.
    pub fn extent(&self) -> (usize, usize) {
        let end = |part: fn(&(usize, usize)) -> usize| self.cells.iter().map(part).max().map_or(0, |n| n + 1);
        (end(|c| c.0), end(|c| c.1))
    }

    /// The whole sheet.
    pub fn sheet(&self) -> Rect {
        let (rows, columns) = self.extent();
        let cell = self.frame.cell();
        Rect::from_points(Point::ZERO, (columns as f64 * cell.width, -(rows as f64) * cell.height))
    }
}

/// A page's name: letters for the row, a number for the column.
pub(super) fn name(row: usize, column: usize) -> String {
    format!("{}{}", row_name(row), column + 1)
}

/// A, B … Z, AA, AB …
pub(super) fn row_name(row: usize) -> String {
    let mut rest = row + 1;
    let mut letters = Vec::new();
    while rest > 0 {
        #[allow(clippy::cast_possible_truncation)] // below 26
        letters.push(char::from(b'A' + ((rest - 1) % 26) as u8));
        rest = (rest - 1) / 26;
    }
    letters.iter().rev().collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn rows_are_lettered_like_a_table() {
        let named: Vec<String> = [0, 25, 26, 51, 52, 701, 702].map(row_name).into();
        assert_eq!(named, ["A", "Z", "AA", "AZ", "BA", "ZZ", "AAA"]);
    }
}
