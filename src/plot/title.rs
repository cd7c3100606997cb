//! The texts that name a piece, and their place on it.

use super::fonts::Fonts;
use super::ink::{self, Ink, Words};
use crate::geometry::{Segments, within::Within};
use crate::pattern::Piece;
use kurbo::{Affine, Line, ParamCurveNearest, Point, Rect, Vec2};

/// The font sizes, in mm, for a piece's texts; the largest one that fits is taken.
const SIZES: [f64; 5] = [6.0, 5.0, 4.0, 3.0, 2.2];

/// The least distance from a text to any line, as a multiple of the font size.
const CLEAR: f64 = 0.5;

/// A distance to lines, in mm, beyond which more room is no better.
const AMPLE: f64 = 12.0;

/// The line spacing, as a multiple of the font size.
const LEADING: f64 = 1.35;

/// The most lines that are looked at in searching for a place; a piece so full of lines that it takes more has no room.
const LOOKED_AT: usize = 20_000_000;

/// How many times larger than the other texts the name is.
const NAME: f64 = 1.5;

/// The texts of a piece that lies with its grain upright. They are placed within the outline, clear of everything drawn so
/// far, or below the piece if they fit nowhere within it.
pub(super) fn draw(piece: &Piece, outline: &[Point], drawn: &[Ink], fonts: &Fonts<'_>) -> Vec<Ink> {
    let lines: Vec<Words> =
        texts(piece).into_iter().map(|line| fonts.words(Point::ZERO, 1.0, line)).collect();
    let obstacles = Segments::new(drawn.iter().flat_map(Ink::segments));
    let mut left = LOOKED_AT;
    for size in SIZES {
        let (block, bounds) = set(&lines, size);
        if let Some(corner) = place(bounds, size * CLEAR, outline, (&obstacles, &mut left)) {
            return moved(block, corner);
        }
    }
    let (block, _) = set(&lines, SIZES[SIZES.len() - 1]);
    let all = drawn.iter().filter_map(Ink::bounds).reduce(|a, b| a.union(b)).unwrap_or(Rect::ZERO);
    moved(block, Point::new(all.x0, all.y0 - 2.0))
}

/// The lines of text: the name, then the size and the piece's other texts.
fn texts(piece: &Piece) -> Vec<String> {
    let labels = &piece.labels;
    let mut lines = vec![piece.name.clone()];
    lines.extend(piece.size.as_ref().map(|s| format!("Size {s}")));
    lines.extend(labels.quantity.as_ref().map(|q| format!("Quantity {q}")));
    lines.extend(labels.material.clone());
    lines.extend(labels.category.clone());
    lines.extend(labels.annotations.iter().cloned());
    lines
}

/// Sets the lines, which are given in size 1, one below the other from the origin downwards.
fn set(lines: &[Words], size: f64) -> (Vec<Ink>, Rect) {
    let mut y = 0.0;
    let mut bounds = Rect::ZERO;
    let mut block = Vec::new();
    for (i, line) in lines.iter().enumerate() {
        let size = if i == 0 { size * NAME } else { size };
        y -= if i == 0 { size } else { size * LEADING };
        let mut words = line.clone();
        words.at.y = y;
        words.scale(size);
        bounds = ink::bounds(&words.corners()).map_or(bounds, |b| bounds.union(b));
        block.push(Ink::Words(words));
    }
    (block, bounds)
}

fn moved(mut block: Vec<Ink>, corner: Point) -> Vec<Ink> {
    ink::apply(&mut block, Affine::translate(corner.to_vec2()));
    block
}

/// The best place for the top left corner of a block: the one with the most room around it, up to [`AMPLE`], and of equal
/// ones the one nearest to the middle. The places of a grid are tried, since a piece with any room usually has plenty.
fn place(
    block: Rect,
    least: f64,
    outline: &[Point],
    (obstacles, left): (&Segments, &mut usize),
) -> Option<Point> {
    const STEPS: u32 = 32;
    let around = ink::bounds(outline)?;
    let room = Vec2::new(around.width() - block.width(), around.height() - block.height());
    if room.x < 0.0 || room.y < 0.0 {
        return None;
    }
    let part = |i: u32| f64::from(i) / f64::from(STEPS);
    let top = |j: u32| around.y1 - room.y * part(j);
    let rows: Vec<Within> = (0..=STEPS).map(|j| Within::at(outline, top(j) + block.center().y)).collect();
    let mut best: Option<(f64, f64, Point)> = None;
    for i in 0..=STEPS {
        for j in 0..=STEPS {
            let corner = Point::new(around.x0 + room.x * part(i), top(j));
            let there = block + corner.to_vec2();
            if !rows[j as usize].has(there.center().x) {
                continue;
            }
            let off = (there.center() - around.center()).hypot();
            if best.is_some_and(|(c, o, _)| c >= AMPLE && off >= o) {
                continue;
            }
            // If a line is nearer than this, the place is not the best one.
            let wanted = best.map_or(least, |(c, ..)| least.max(c));
            let mut clear = AMPLE;
            obstacles.any(there.inflate(AMPLE, AMPLE), |segment| {
                clear = clear.min(gap(there, segment));
                *left = left.saturating_sub(1);
                clear < wanted || *left == 0
            });
            if *left == 0 {
                return None;
            }
            let better = best.is_none_or(|(c, o, _)| clear > c || (clear >= c && off < o));
            if clear >= least && better {
                best = Some((clear, off, corner));
            }
        }
    }
    best.map(|(.., corner)| corner)
}

/// The distance of a segment from a rectangle.
fn gap(r: Rect, s: Line) -> f64 {
    if ink::touches(s.p0, s.p1, r) {
        return 0.0;
    }
    let corners = [(r.x0, r.y0), (r.x1, r.y0), (r.x1, r.y1), (r.x0, r.y1)];
    let from_corners = corners.map(|c| s.nearest(Point::from(c), 1e-6).distance_sq.sqrt());
    let from_ends = [s.p0, s.p1].map(|p| {
        let outside = |v: f64, low: f64, high: f64| (low - v).max(v - high).max(0.0);
        outside(p.x, r.x0, r.x1).hypot(outside(p.y, r.y0, r.y1))
    });
    from_corners.into_iter().chain(from_ends).fold(f64::INFINITY, f64::min)
}
