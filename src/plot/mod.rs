//! Prints pieces at 1:1 on paper, as a PDF: pieces go in, bytes come out.
//!
//! A piece takes these steps to the page, each in a file of its own: `select` picks the pieces of a size, `piece` draws each
//! of them as ink in mm with its grain upright, `layout` places the pieces beside each other on one large sheet, and `tiles`
//! cuts the sheet into overlapping pages and leaves out the empty ones. `heading` draws the test squares, the key and the map
//! of pages, `guides` what helps to join the pages, `page` writes ink as PDF operators, and `document` puts the file around
//! them.
//!
//! Everything is computed in mm as `f64`. A number in a PDF is an `f32`, so each page is moved to its own corner before its
//! numbers are shortened; there they are exact to about 0.0001 mm.
//!
//! Not drawn are turn and curve points, grade rule numbers, the grade reference line, and the second outlines that only
//! validate curves: they are of no use to a person with scissors.

mod document;
mod error;
mod fonts;
mod form;
mod guides;
mod heading;
mod ink;
mod layout;
mod notch;
mod page;
mod paper;
mod piece;
mod select;
mod tiles;
mod title;

pub use error::PlotError;
pub use form::{Part, form};
pub use paper::{Paper, PaperSize};
pub use select::{select, sizes};

use crate::finding::{Finding, FindingId};
use crate::pattern::Piece;
use crate::units::Unit;
use fonts::Fonts;
use heading::Heading;
use ink::Ink;
use kurbo::{Affine, Point, Rect, Vec2};
use layout::{Places, Shape};
use paper::{Frame, HEADING};
use piece::DrawnPiece;
use tiles::Tiles;

/// The most pieces that a print holds: some ten times those of the largest garment.
const MOST_PIECES: usize = 1000;

/// The most points in all lines, marks and texts of the pieces: even a garment drawn as finely as possible has only some
/// hundred thousand.
const MOST_POINTS: usize = 4_000_000;

/// The most pages of a print: a single piece of the largest size allowed has some 1700.
const MOST_PAGES: usize = 3000;

/// A piece to print.
#[derive(Clone, Copy, Debug)]
pub struct PlotPiece<'a> {
    /// The piece.
    pub piece: &'a Piece,
    /// The same piece before it was altered, in the same axes. Where the two differ, the old lines are drawn dotted.
    pub before: Option<&'a Piece>,
}

/// What to print on, and what the heading says.
#[derive(Clone, Debug)]
pub struct PlotOptions<'a> {
    /// The paper.
    pub paper: Paper,
    /// The style's name, if it has one.
    pub style: Option<&'a str>,
    /// The size's name, or those of several sizes.
    pub size: &'a str,
    /// The unit that lengths are shown in; mm where none is asked for.
    pub show: Option<Unit>,
    /// A font file (TrueType or OpenType) for letters that the built-in font does not have.
    pub font: Option<&'a [u8]>,
}

/// A print.
#[derive(Clone, Debug)]
pub struct Plot {
    /// The PDF file. Equal pieces and options give equal bytes.
    pub pdf: Vec<u8>,
    /// How many pages it has.
    pub pages: usize,
    /// What was noticed while drawing it.
    pub findings: Vec<Finding>,
}

/// Draws pieces at 1:1.
///
/// Fails if there is nothing or too much to draw, if a piece does not fit on the roll or is impossibly large, or if the given
/// font cannot be used.
pub fn plot(pieces: &[PlotPiece<'_>], options: &PlotOptions<'_>) -> Result<Plot, PlotError> {
    options.paper.check()?;
    if pieces.len() > MOST_PIECES {
        return Err(PlotError::TooManyPieces { found: pieces.len(), most: MOST_PIECES });
    }
    let of =
        |p: &Piece| p.paths.iter().map(|l| l.points.len()).sum::<usize>() + p.marks.len() + p.texts.len();
    let points: usize = pieces.iter().flat_map(|one| [Some(one.piece), one.before]).flatten().map(of).sum();
    if points > MOST_POINTS {
        return Err(PlotError::TooManyLines { found: points, most: MOST_POINTS });
    }
    let mut fonts = Fonts::new(options.font)?;
    let mut findings = Vec::new();
    let drawn: Result<Vec<DrawnPiece>, PlotError> =
        pieces.iter().map(|one| piece::draw(one, &fonts, &mut findings)).collect();
    let mut drawn = drawn?;
    if drawn.is_empty() {
        return Err(PlotError::NoPieces);
    }
    let Places { corners, frame } = places(&drawn, options.paper)?;
    let mut tiles = Tiles::new(&frame);
    for (one, &corner) in drawn.iter_mut().zip(&corners) {
        one.shift(one.shift_to(corner));
        tiles.add(one, Vec2::ZERO);
    }
    if tiles.printed() > MOST_PAGES {
        return Err(PlotError::TooManyPages { found: tiles.printed(), most: MOST_PAGES });
    }
    // On a roll, the last corner is that of the heading.
    let heading_at = corners.get(drawn.len()).copied();
    if let Some(at) = heading_at {
        tiles.cover(Rect::from_points(at, at + Vec2::new(HEADING.width, -HEADING.height)));
    }
    let heading = Heading {
        style: options.style,
        size: options.size,
        paper: options.paper,
        show: options.show,
        pieces: &drawn,
        frame: &frame,
        tiles: &tiles,
    };
    let mut heading = heading.draw(&fonts);
    let mut ink: Vec<Ink> = drawn.into_iter().flat_map(|d| d.ink).collect();
    let mut pages = Vec::new();
    if let Some(at) = heading_at {
        ink::apply(&mut heading, Affine::translate(at.to_vec2()));
        ink.append(&mut heading);
    } else {
        let corner = Vec2::new((frame.page.width - HEADING.width) / 2.0, frame.page.height - frame.margin);
        ink::apply(&mut heading, Affine::translate(corner));
        pages.push(page::single(&heading, frame.page, &mut fonts));
    }
    let title = format!("{} · size {}", options.style.unwrap_or("Pattern"), options.size);
    pages.extend(page::tiled(&ink, &title, &tiles, &frame, &mut fonts)?);
    if !fonts.missing().is_empty() {
        findings.push(letters_missing(&fonts));
    }
    Ok(Plot { pages: pages.len(), pdf: document::write(&pages, fonts, &title)?, findings })
}

/// The places of the pieces on the sheet. A roll has no separate page for the heading, which is laid out beside the pieces as
/// the last one.
fn places(drawn: &[DrawnPiece], paper: Paper) -> Result<Places, PlotError> {
    let mut shapes: Vec<Shape> = drawn.iter().map(|d| Shape::of(&d.ink, d.bounds)).collect();
    shapes.extend(matches!(paper, Paper::Roll { .. }).then(|| Shape::boxed(HEADING)));
    let pages = |corners: &[Point], frame: &Frame| {
        let mut tiles = Tiles::new(frame);
        drawn.iter().zip(corners).for_each(|(d, &corner)| tiles.add(d, d.shift_to(corner)));
        tiles.printed()
    };
    layout::places(&shapes, paper, pages).map_err(|(i, least)| PlotError::RollTooNarrow {
        // The heading always fits, so what does not fit is a piece.
        piece: drawn.get(i).map(|d| d.name.clone()).unwrap_or_default(),
        least,
    })
}

/// The finding for letters that are drawn as boxes.
fn letters_missing(fonts: &Fonts<'_>) -> Finding {
    let letters: Vec<String> =
        fonts.missing().iter().map(|&c| format!("{} (U+{:04X})", c.escape_debug(), u32::from(c))).collect();
    Finding::warning(
        FindingId::LettersMissing,
        format!(
            "{} cannot be printed and {} drawn as a box: {}. Name a font file that has them with --font; scripts written from right to left cannot be printed yet",
            if letters.len() == 1 { "a letter" } else { "letters" },
            if letters.len() == 1 { "is" } else { "are" },
            letters.join(", ")
        ),
    )
}
