//! Pieces beside each other in rows.
//!
//! Tallest first, each into the first row with room for it ("first fit, decreasing height"; Coffman,
//! Garey, Johnson and Tarjan, SIAM J. Comput. 9, 1980). It is no marker: pieces are only told apart
//! by the boxes around them.

use super::paper::{Frame, Paper};
use crate::units::Mm;
use kurbo::{Point, Size};

/// The space, in mm, between two pieces: room for the scissors.
const GAP: f64 = 10.0;

/// The space to the edge of the sheet, so that no line lies on it.
const EDGE: f64 = 2.0;

/// Wider sheets than the narrowest are tried up to this many more pages across. A sheet wider than
/// a table is hard to tape.
const WIDER: usize = 6;

/// Where pieces lie on the sheet: their top left corners.
pub(super) struct Places {
    pub corners: Vec<Point>,
    pub frame: Frame,
}

/// Lays out boxes. Sheets: as many pages across as give the fewest pages, which `pages` counts. Roll: across
/// the roll; the error is a box that is too wide and the roll width that it needs.
pub(super) fn places(
    boxes: &[Size],
    paper: Paper,
    pages: impl Fn(&[Point], &Frame) -> usize,
) -> Result<Places, (usize, Mm)> {
    let widest = boxes.iter().map(|b| b.width).fold(0.0, f64::max) + 2.0 * EDGE;
    let frame = paper.frame(0.0);
    let across = frame.cell().width;
    if let Paper::Roll { width } = paper {
        if let Some(i) = boxes.iter().position(|b| b.width + 2.0 * EDGE > across) {
            return Err((i, Mm((boxes[i].width + 2.0 * EDGE + width.0 - across).ceil())));
        }
        let (corners, length) = rows(boxes, across);
        return Ok(Places { corners, frame: paper.frame(length) });
    }
    #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)] // at most 10 m over 15 cm
    let least = (widest / across).ceil() as usize;
    let mut best: Option<(usize, Vec<Point>)> = None;
    for columns in least..=least + WIDER {
        let (corners, _) = rows(boxes, columns as f64 * across);
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

/// A row of pieces.
struct Row {
    top: f64,
    height: f64,
    filled: f64,
}

/// Fills rows of this width; gives the corners and the height of all rows.
fn rows(boxes: &[Size], width: f64) -> (Vec<Point>, f64) {
    let mut order: Vec<usize> = (0..boxes.len()).collect();
    order.sort_by(|&a, &b| boxes[b].height.total_cmp(&boxes[a].height));
    let mut rows: Vec<Row> = Vec::new();
    let mut corners = vec![Point::ZERO; boxes.len()];
    let mut bottom = EDGE;
    for i in order {
        let b = boxes[i];
        let fits = |r: &Row| r.filled + b.width + EDGE <= width && b.height <= r.height;
        let row = rows.iter().position(fits).unwrap_or_else(|| {
            rows.push(Row { top: bottom, height: b.height, filled: EDGE });
            bottom += b.height + GAP;
            rows.len() - 1
        });
        let row = &mut rows[row];
        corners[i] = Point::new(row.filled, -row.top);
        row.filled += b.width + GAP;
    }
    (corners, bottom - GAP + EDGE)
}

#[cfg(test)]
mod tests {
    use super::*;
    use kurbo::Rect;

    #[test]
    fn boxes_neither_overlap_nor_leave_the_sheet() {
        let boxes: Vec<Size> = (1_i32..40)
            .map(|i| Size::new(f64::from(i * 37 % 180 + 10), f64::from(i * 53 % 900 + 10)))
            .collect();
        let (corners, height) = rows(&boxes, 500.0);
        let placed: Vec<Rect> = boxes
            .iter()
            .zip(&corners)
            .map(|(b, c)| Rect::new(c.x, c.y - b.height, c.x + b.width, c.y))
            .collect();
        for (i, a) in placed.iter().enumerate() {
            assert!(a.x0 >= 0.0 && a.x1 <= 500.0 && a.y1 <= 0.0 && a.y0 >= -height, "{a:?}");
            for b in &placed[..i] {
                let apart = a.x0 >= b.x1 || b.x0 >= a.x1 || a.y0 >= b.y1 || b.y0 >= a.y1;
                assert!(apart, "{a:?} and {b:?}");
            }
        }
    }
}
