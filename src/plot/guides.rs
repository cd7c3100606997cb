//! Guides for putting pages together: each page's name, and at each joint which of the two pages is cut and which lies below.
//!
//! A page is cut along its left and upper joints and laid on the pages to the left of it and above it. So at every joint one
//! page ends in a cut edge, and the other one runs on below it. Words keep clear of what is drawn wherever there is room.

use super::fonts::Fonts;
use super::ink::{self, Ink, LineKind, Words};
use super::tiles::{self, Tiles};
use crate::geometry::Segments;
use kurbo::{Affine, Point, Rect, Size, Vec2};
use std::f64::consts::FRAC_PI_2;

/// How far the diamond at a joint reaches, in mm: less than half of the overlap, so that both pages show all of it.
const DIAMOND: f64 = 4.0;

/// The font size, in mm, of words at a joint.
const SMALL: f64 = 2.8;

/// The font sizes for a page's name, in mm; the largest that fits is taken.
const NAMES: [f64; 4] = [11.0, 8.0, 5.5, 3.8];

/// The distance that words keep from joints and from lines, in mm.
const CLEAR: f64 = 1.0;

/// The spacing, in mm, at which places for a page's name are tried.
const GRID: f64 = 4.0;

/// A page, given by its row and column.
type Place = (usize, usize);

/// The guides of all pages.
pub(super) struct Guides<'g> {
    pub tiles: &'g Tiles<'g>,
    /// The lines drawn on the sheet.
    pub drawn: &'g Segments,
    /// The text below each page's name.
    pub caption: &'g str,
    pub fonts: &'g Fonts<'g>,
}

/// The joint between two pages.
struct Joint {
    /// The middle of the joint, and its direction: to the right or upwards.
    middle: Point,
    along: Vec2,
    length: f64,
    /// The left or upper page, and the page that is cut and laid on it.
    below: Place,
    above: Place,
}

impl Guides<'_> {
    /// The guides of a page whose cell is `cell`.
    pub fn of(&self, page: Place, cell: Rect) -> Vec<Ink> {
        let mut guides = Vec::new();
        for joint in self.joints(page, cell) {
            let cut = joint.above == page;
            let ends = [-0.5, 0.5].map(|part| joint.middle + joint.along * joint.length * part);
            guides.push(Ink::open(if cut { LineKind::Trim } else { LineKind::Joint }, ends));
            guides.extend(self.mark(&joint, cut));
        }
        guides.extend(self.name(page, cell, &guides));
        guides
    }

    fn joints(&self, (row, column): Place, cell: Rect) -> Vec<Joint> {
        let middle = cell.center();
        let (right, up) = (Vec2::new(1.0, 0.0), Vec2::new(0.0, 1.0));
        let there =
            |below: Place, above: Place| self.tiles.has(below.0, below.1) && self.tiles.has(above.0, above.1);
        let upright = |x: f64, below, above| Joint {
            middle: Point::new(x, middle.y),
            along: up,
            length: cell.height(),
            below,
            above,
        };
        let level = |y: f64, below, above| Joint {
            middle: Point::new(middle.x, y),
            along: right,
            length: cell.width(),
            below,
            above,
        };
        let here = (row, column);
        let mut joints = Vec::new();
        joints.extend(column.checked_sub(1).map(|c| upright(cell.x0, (row, c), here)));
        joints.push(upright(cell.x1, here, (row, column + 1)));
        joints.extend(row.checked_sub(1).map(|r| level(cell.y1, (r, column), here)));
        joints.push(level(cell.y0, here, (row + 1, column)));
        joints.retain(|joint| there(joint.below, joint.above));
        joints
    }

    /// The diamond of a joint, with the instruction beside it, at the place nearest to the middle of the joint where the
    /// marks of both pages keep clear of lines. The place depends on the joint alone, so that both pages have the diamond at
    /// the same place.
    fn mark(&self, joint: &Joint, cut: bool) -> Vec<Ink> {
        let told = |cut: bool| {
            let (below, above) =
                (tiles::name(joint.below.0, joint.below.1), tiles::name(joint.above.0, joint.above.1));
            let value =
                if cut { format!("cut here and lay on {below}") } else { format!("{above} is laid on here") };
            // The text of the page that is cut is below a level joint or to the right of an upright one; along an upright
            // joint it is read from the right.
            let y = if cut { -CLEAR - SMALL } else { CLEAR + 0.25 * SMALL };
            Words { gray: 0.35, ..self.fonts.words(Point::new(DIAMOND + CLEAR, y), SMALL, value) }
        };
        let both = [told(true), told(false)];
        let long = both.iter().map(|w| w.width).fold(0.0, f64::max) + DIAMOND + CLEAR;
        let room = |right: f64| Rect::new(-DIAMOND, -DIAMOND, right, DIAMOND).inflate(CLEAR, CLEAR);
        // Turns the mark along the joint, so that the left or upper page is on its left-hand side.
        let turn = if joint.along.x > 0.0 { 0.0 } else { FRAC_PI_2 };
        let at = |shift: f64| {
            Affine::translate((joint.middle + joint.along * shift).to_vec2()) * Affine::rotate(turn)
        };
        let spot = |room: Rect| {
            let reach = joint.length / 2.0 - room.x1;
            outward(reach).find(|&shift| self.clear(at(shift).transform_rect_bbox(room)))
        };
        let worded = spot(room(long));
        let mut mark = vec![
            Ink::closed(
                LineKind::Thin,
                [(-DIAMOND, 0.0), (0.0, DIAMOND), (DIAMOND, 0.0), (0.0, -DIAMOND)].map(Point::from),
            ),
            Ink::open(LineKind::Thin, [(0.0, -DIAMOND), (0.0, DIAMOND)].map(Point::from)),
        ];
        // Where there is no room for words, only the dashes say which page is cut.
        let [first, second] = both;
        mark.extend(worded.map(|_| Ink::Words(if cut { first } else { second })));
        let spot = worded.or_else(|| spot(room(DIAMOND))).unwrap_or(0.0);
        ink::apply(&mut mark, at(spot));
        mark
    }

    /// The page's name and the caption, at the place nearest to the upper left corner where they keep clear of lines.
    fn name(&self, (row, column): Place, cell: Rect, guides: &[Ink]) -> Vec<Ink> {
        let own = Segments::new(guides.iter().flat_map(Ink::segments));
        let inside = cell.inset(-(DIAMOND + CLEAR));
        let block = |size: f64, told: bool| {
            let mut lines =
                vec![Words { gray: 0.72, ..self.fonts.words(Point::ZERO, size, tiles::name(row, column)) }];
            if told {
                let place = format!("row {}, column {}", tiles::row_name(row), column + 1);
                lines.extend([(4.5, place), (8.5, self.caption.to_owned())].map(|(down, value)| Words {
                    gray: 0.5,
                    ..self.fonts.words(Point::new(0.0, -down), SMALL, value)
                }));
            }
            lines
        };
        let tries =
            NAMES.iter().map(|&size| block(size, true)).chain(NAMES.iter().map(|&size| block(size, false)));
        let mut last = (Vec::new(), inside.origin());
        for lines in tries {
            let Some(bounds) =
                lines.iter().filter_map(|w| ink::bounds(&w.corners())).reduce(|a, b| a.union(b))
            else {
                continue;
            };
            let spot = corners(inside, bounds.size()).find(|&corner| {
                let there = Rect::from_points(corner, corner + Vec2::new(bounds.width(), -bounds.height()));
                self.clear(there.inflate(CLEAR, CLEAR)) && clear(&own, there)
            });
            last = (lines, Point::new(inside.x0, inside.y1 - bounds.height()));
            if let Some(corner) = spot {
                last.1 = corner + Vec2::new(-bounds.x0, -bounds.y1);
                break;
            }
        }
        let (lines, at) = last;
        let mut ink: Vec<Ink> = lines.into_iter().map(Ink::Words).collect();
        ink::apply(&mut ink, Affine::translate(at.to_vec2()));
        ink
    }

    fn clear(&self, r: Rect) -> bool {
        clear(self.drawn, r)
    }
}

fn clear(drawn: &Segments, r: Rect) -> bool {
    !drawn.any(r, |s| ink::touches(s.p0, s.p1, r))
}

/// Shifts from the middle outwards, alternating between the two sides.
fn outward(reach: f64) -> impl Iterator<Item = f64> {
    let steps = (0..).map(|i| f64::from(i) * GRID).take_while(move |&shift| shift <= reach);
    steps.flat_map(|shift| [shift, -shift])
}

/// Top left corners for a box of this size within another box, from the upper left one outwards.
fn corners(within: Rect, size: Size) -> impl Iterator<Item = Point> {
    let steps = |room: f64| (0..).map(|i| f64::from(i) * GRID).take_while(move |&step| step <= room);
    let (wide, high) = (within.width() - size.width, within.height() - size.height);
    let mut all: Vec<(f64, f64)> = steps(high).flat_map(|y| steps(wide).map(move |x| (x, y))).collect();
    all.sort_by(|a, b| a.0.hypot(a.1).total_cmp(&b.0.hypot(b.1)));
    all.into_iter().map(move |(x, y)| Point::new(within.x0 + x, within.y1 - y))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::plot::paper::{Paper, PaperSize};

    /// Two A4 pages side by side, with lines across the places that names and marks would take first.
    #[test]
    fn words_stand_clear_of_lines_and_both_pages_have_the_diamond_at_one_place() {
        let frame = Paper::Sheets(PaperSize::A4).frame(0.0);
        let mut tiles = Tiles::new(&frame);
        let cell = frame.cell();
        tiles.cover(Rect::new(1.0, -cell.height + 1.0, 2.0 * cell.width - 1.0, -1.0));
        let lines = [
            (Point::new(0.0, -20.0), Point::new(400.0, -25.0)),
            (Point::new(10.0, -cell.height / 2.0), Point::new(400.0, -cell.height / 2.0 - 3.0)),
        ];
        let drawn = Segments::new(lines.into_iter());
        let fonts = Fonts::new(None).expect("the built-in font");
        let guides = Guides { tiles: &tiles, drawn: &drawn, caption: "HARBOUR · size 38", fonts: &fonts };
        let [left, right] = [0, 1].map(|column| guides.of((0, column), frame.cell_at(0, column)));
        let mut told = Vec::new();
        for ink in left.iter().chain(&right) {
            if let Ink::Words(words) = ink {
                told.push(words.value.clone());
                let box_of = ink.bounds().expect("words have a box");
                assert!(lines.iter().all(|&(a, b)| !ink::touches(a, b, box_of)), "{words:?}");
            }
        }
        for value in ["A1", "A2", "A2 is laid on here", "cut here and lay on A1"] {
            assert!(told.iter().any(|t| t == value), "{value}: {told:?}");
        }
        let diamond = |ink: &[Ink]| {
            ink.iter().find_map(|i| match i {
                Ink::Stroke { line: LineKind::Thin, points, closed: true } => Some(points.clone()),
                _ => None,
            })
        };
        assert!(diamond(&left).is_some() && diamond(&left) == diamond(&right));
    }
}
