//! Finds out which cells of the sheet have anything on them.

use super::ink;
use super::paper::Frame;
use super::piece::DrawnPiece;
use crate::geometry::within::Within;
use kurbo::{Point, Rect, Vec2};

/// The pages to be printed, by row and column, counted from the top left.
pub(super) struct Tiles<'f> {
    frame: &'f Frame,
    /// For each row and each cell in it, whether the cell has anything on it.
    cells: Vec<Vec<bool>>,
    /// How many cells have anything on them.
    printed: usize,
}

impl<'f> Tiles<'f> {
    /// No pages yet.
    pub fn new(frame: &'f Frame) -> Self {
        Tiles { frame, cells: Vec::new(), printed: 0 }
    }

    /// Adds the pages of a piece: those that one of its lines crosses, and those inside it, because a pattern with a hole in
    /// place of a page cannot be cut out.
    pub fn add(&mut self, piece: &DrawnPiece, shift: Vec2) {
        for item in &piece.ink {
            for (a, b) in item.segments() {
                let (a, b) = (a + shift, b + shift);
                self.take(Rect::from_points(a, b), |_| (), |(), cell| ink::touches(a, b, cell));
            }
        }
        // No line crosses a cell that is still free, so it lies inside or outside as a whole.
        let within = |height: f64| Within::at(&piece.outline, height - shift.y);
        self.take(piece.bounds + shift, within, |within, cell| within.has(cell.center().x - shift.x));
    }

    /// Adds the pages of a whole rectangle.
    pub fn cover(&mut self, r: Rect) {
        self.take(r, |_| (), |(), _| true);
    }

    /// Takes those free cells of a box that are wanted. `row_at` is called once for each row, with the height of its middle,
    /// and `wanted` decides by its result.
    fn take<R>(&mut self, around: Rect, row_at: impl Fn(f64) -> R, wanted: impl Fn(&R, Rect) -> bool) {
        let cell = self.frame.cell();
        #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)] // a few hundred at most
        let index = |v: f64| v.max(0.0).floor() as usize;
        for row in index(-around.y1 / cell.height)..=index(-around.y0 / cell.height) {
            let mut known = None;
            for column in index(around.x0 / cell.width)..=index(around.x1 / cell.width) {
                if self.has(row, column) {
                    continue;
                }
                let at = self.frame.cell_at(row, column);
                if wanted(known.get_or_insert_with(|| row_at(at.center().y)), at) {
                    self.print(row, column);
                }
            }
        }
    }

    fn print(&mut self, row: usize, column: usize) {
        self.cells.resize_with(self.cells.len().max(row + 1), Vec::new);
        let cells = &mut self.cells[row];
        cells.resize(cells.len().max(column + 1), false);
        cells[column] = true;
        self.printed += 1;
    }

    /// Whether a page is printed.
    pub fn has(&self, row: usize, column: usize) -> bool {
        self.cells.get(row).and_then(|cells| cells.get(column)) == Some(&true)
    }

    /// The pages, row by row.
    pub fn iter(&self) -> impl Iterator<Item = (usize, usize)> {
        let there = |(row, cells): (usize, &Vec<bool>)| -> Vec<(usize, usize)> {
            cells.iter().enumerate().filter(|(_, there)| **there).map(|(column, _)| (row, column)).collect()
        };
        self.cells.iter().enumerate().flat_map(there)
    }

    /// How many pages are printed.
    pub fn printed(&self) -> usize {
        self.printed
    }

    /// The numbers of rows and columns of the sheet.
    pub fn extent(&self) -> (usize, usize) {
        (self.cells.len(), self.cells.iter().map(Vec::len).max().unwrap_or(0))
    }

    /// The whole sheet.
    pub fn sheet(&self) -> Rect {
        let (rows, columns) = self.extent();
        let cell = self.frame.cell();
        Rect::from_points(Point::ZERO, (columns as f64 * cell.width, -(rows as f64) * cell.height))
    }
}

/// A page's name: letters for its row and a number for its column.
pub(super) fn name(row: usize, column: usize) -> String {
    format!("{}{}", row_name(row), column + 1)
}

/// The letters of a row: A, B … Z, AA, AB …
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
