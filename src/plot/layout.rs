//! Lays pieces out beside and below each other.
//!
//! Each piece goes as high up as it can, and at that height as far to the left as it can ("bottom-left fill"; Chazelle, IEEE
//! Trans. Comput. C-32, 1983). Pieces are compared strip by strip, so that narrow pieces fill the room that long pieces leave
//! beside them. The result is not a marker: no piece is turned, and it says nothing about cloth.

use super::ink::Ink;
use super::paper::{Frame, Paper};
use crate::units::Mm;
use kurbo::{Point, Rect, Size};

/// The space, in mm, between two pieces, which gives room for scissors. It is also the height of a strip.
const GAP: f64 = 10.0;

/// The space, in mm, to the edge of the sheet, so that no line lies on the edge.
const EDGE: f64 = 2.0;

/// Sheets are tried from the narrowest possible width up to this many pages more. A sheet wider than a table is hard to tape
/// together.
const WIDER: usize = 6;

/// This many pieces are laid out together; the next ones all lie below them. Laying out more at once would take long, and the
/// pieces would be hard to find on the paper.
const TOGETHER: usize = 40;

/// The places of the pieces on the sheet, as their top left corners.
pub(super) struct Places {
    pub corners: Vec<Point>,
    pub frame: Frame,
}

/// The shape of a piece: for each strip from the top down, how far its drawing reaches to the left and to the right.
pub(super) struct Shape {
    size: Size,
    /// The reach of each strip, from the left side of the box. In an empty strip the right end is before the left one.
    strips: Vec<(f64, f64)>,
}

impl Shape {
    /// The shape of a full rectangle.
    pub fn boxed(size: Size) -> Self {
        Shape { size, strips: vec![(0.0, size.width); strips(size.height)] }
    }

    /// The shape of what is drawn; `bounds` is its box.
    pub fn of(ink: &[Ink], bounds: Rect) -> Self {
        let mut reach = vec![(f64::INFINITY, f64::NEG_INFINITY); strips(bounds.height())];
        for (a, b) in ink.iter().flat_map(Ink::segments) {
            let (upper, lower) = if a.y > b.y { (a, b) } else { (b, a) };
            let (top, bottom) = (bounds.y1 - upper.y, bounds.y1 - lower.y);
            if bottom <= top {
                // Both ends of a horizontal line lie in the same strip.
                let last = reach.len() - 1;
                let level = &mut reach[strip(top).min(last)];
                *level =
                    [a.x, b.x].iter().fold(*level, |(l, r), x| (l.min(x - bounds.x0), r.max(x - bounds.x0)));
                continue;
            }
            let x_at = |depth: f64| {
                let part = ((depth - top) / (bottom - top)).clamp(0.0, 1.0);
                upper.x + part * (lower.x - upper.x) - bounds.x0
            };
            let (first, last) = (strip(top), strip(bottom).min(reach.len() - 1));
            for (i, strip) in reach.iter_mut().enumerate().take(last + 1).skip(first) {
                let ends = [x_at(i as f64 * GAP), x_at((i + 1) as f64 * GAP)];
                *strip = ends.iter().fold(*strip, |(l, r), &x| (l.min(x), r.max(x)));
            }
        }
        Shape { size: bounds.size(), strips: reach }
    }
}

#[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)] // at most 10 m in strips of 10 mm
fn strip(depth: f64) -> usize {
    (depth / GAP).max(0.0) as usize
}

fn strips(height: f64) -> usize {
    strip(height) + 1
}

/// Lays out pieces. On sheets, the number of pages across is chosen that gives the fewest pages, which `pages` counts. On a
/// roll the pieces lie across its width; the error is a piece that is too wide, and the width of roll that it needs.
pub(super) fn places(
    shapes: &[Shape],
    paper: Paper,
    pages: impl Fn(&[Point], &Frame) -> usize,
) -> Result<Places, (usize, Mm)> {
    let widest = shapes.iter().map(|s| s.size.width).fold(0.0, f64::max) + 2.0 * EDGE;
    let frame = paper.frame(0.0);
    let across = frame.cell().width;
    if let Paper::Roll { width } = paper {
        if let Some(i) = shapes.iter().position(|s| s.size.width + 2.0 * EDGE > across) {
            return Err((i, Mm((shapes[i].size.width + 2.0 * EDGE + width.0 - across).ceil())));
        }
        let (corners, length) = packed(shapes, across);
        return Ok(Places { corners, frame: paper.frame(length) });
    }
    #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)] // at most 10 m over 15 cm
    let least = (widest / across).ceil() as usize;
    let mut best: Option<(usize, Vec<Point>)> = None;
    for columns in least..=least + WIDER {
        let (corners, _) = packed(shapes, columns as f64 * across);
        if best.as_ref().is_some_and(|(_, fewest)| *fewest == corners) {
            continue;
        }
        let count = pages(&corners, &frame);
        if best.as_ref().is_none_or(|(fewest, _)| count < *fewest) {
            best = Some((count, corners));
        }
    }
    Ok(Places { corners: best.map(|(_, corners)| corners).unwrap_or_default(), frame })
}

/// Lays pieces on a sheet of this width, the longest ones first or the widest ones first, whichever gives the shorter sheet;
/// returns their corners and the length of the sheet.
fn packed(shapes: &[Shape], width: f64) -> (Vec<Point>, f64) {
    let by = |side: fn(&Size) -> f64| {
        let mut order: Vec<usize> = (0..shapes.len()).collect();
        order.sort_by(|&a, &b| side(&shapes[b].size).total_cmp(&side(&shapes[a].size)));
        in_order(shapes, &order, width)
    };
    let (long, wide) = (by(|b| b.height), by(|b| b.width));
    if wide.1 < long.1 { wide } else { long }
}

fn in_order(shapes: &[Shape], order: &[usize], width: f64) -> (Vec<Point>, f64) {
    let mut sheet = Sheet { width, taken: Vec::new() };
    let mut corners = vec![Point::ZERO; shapes.len()];
    let mut length = 0.0_f64;
    for together in order.chunks(TOGETHER) {
        let top = sheet.taken.len();
        for &i in together {
            corners[i] = sheet.take(&shapes[i], top);
            length = length.max(shapes[i].size.height - corners[i].y);
        }
    }
    (corners, length + EDGE)
}

/// A sheet in strips from the top down, each with the stretches of it that are taken.
struct Sheet {
    width: f64,
    taken: Vec<Vec<(f64, f64)>>,
}

impl Sheet {
    /// Takes the highest place for a shape from this strip on; returns its top left corner.
    fn take(&mut self, shape: &Shape, from: usize) -> Point {
        let place = (from..self.taken.len()).find_map(|top| Some((self.leftmost(shape, top)?, top)));
        let (x, top) = place.unwrap_or((EDGE, self.taken.len()));
        // Takes the space around the shape as well: beside each strip, and in the strips above and below.
        for (i, &(left, right)) in shape.strips.iter().enumerate().filter(|(_, (left, right))| left <= right)
        {
            let rows = (top + i).saturating_sub(1)..=top + i + 1;
            self.taken.resize_with(self.taken.len().max(rows.end() + 1), Vec::new);
            self.taken[rows].iter_mut().for_each(|row| row.push((x + left - GAP, x + right + GAP)));
        }
        Point::new(x, -EDGE - top as f64 * GAP)
    }

    /// The leftmost place of a shape whose top lies in this strip; `None` where it does not fit there.
    fn leftmost(&self, shape: &Shape, top: usize) -> Option<f64> {
        let mut x = EDGE;
        loop {
            let before = x;
            for (&(left, right), row) in shape.strips.iter().zip(self.taken.get(top..).unwrap_or_default()) {
                for &(from, to) in row {
                    if x + left < to && x + right > from {
                        x = to - left;
                    }
                }
                if x + shape.size.width + EDGE > self.width {
                    return None;
                }
            }
            if x <= before {
                return Some(x);
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::plot::ink::LineKind;

    fn boxes(sizes: impl IntoIterator<Item = (f64, f64)>) -> Vec<Shape> {
        sizes.into_iter().map(|(w, h)| Shape::boxed(Size::new(w, h))).collect()
    }

    #[test]
    fn boxes_neither_overlap_nor_leave_the_sheet() {
        let boxes = boxes((1_i32..100).map(|i| (f64::from(i * 37 % 180 + 10), f64::from(i * 53 % 900 + 10))));
        let (corners, height) = packed(&boxes, 500.0);
        let placed: Vec<Rect> = boxes
            .iter()
            .zip(&corners)
            .map(|(b, c)| Rect::new(c.x, c.y - b.size.height, c.x + b.size.width, c.y))
            .collect();
        for (i, a) in placed.iter().enumerate() {
            assert!(a.x0 >= 0.0 && a.x1 <= 500.0 && a.y1 <= 0.0 && a.y0 >= -height, "{a:?}");
            for b in &placed[..i] {
                let apart = a.x0 >= b.x1 || b.x0 >= a.x1 || a.y0 >= b.y1 || b.y0 >= a.y1;
                assert!(apart, "{a:?} and {b:?}");
            }
        }
    }

    #[test]
    fn small_pieces_fill_the_room_beside_a_long_one() {
        let boxes = boxes([(400.0, 1000.0), (90.0, 300.0), (90.0, 300.0), (90.0, 300.0)]);
        let (_, length) = packed(&boxes, 510.0);
        assert!((length - (1000.0 + 2.0 * EDGE)).abs() < 1e-9, "{length}");
    }

    #[test]
    fn a_narrow_piece_lies_beside_the_narrow_end_of_another() {
        // A triangle that is 300 wide at the top and pointed at the bottom, and a band 100 wide, both on a sheet 320 wide.
        let triangle = [(0.0, 900.0), (300.0, 900.0), (0.0, 0.0)].map(Point::from);
        let ink = [Ink::closed(LineKind::Cut, triangle)];
        let shapes =
            [Shape::of(&ink, Rect::new(0.0, 0.0, 300.0, 900.0)), Shape::boxed(Size::new(100.0, 400.0))];
        let (corners, length) = packed(&shapes, 320.0);
        assert!(length < 1000.0, "{length}");
        // At the height of the band's upper left corner, the triangle's slope lies to the left of it by at least the space
        // (less 1 mm).
        let slope = 300.0 * (1.0 + corners[1].y / 900.0);
        assert!(corners[1].x - slope >= GAP - 1.0, "{:?}, {slope}", corners[1]);
    }
}
