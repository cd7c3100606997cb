//! Paper sizes, and how every page is divided.

use super::PlotError;
use crate::units::{Mm, Shown, Unit};
use kurbo::{Point, Rect, Size, Vec2};
use std::fmt;

words! {
    /// A size of paper sheets, upright.
    PaperSize, "paper":
    /// 210 × 297 mm (ISO 216).
    A4 = "a4",
    /// 8½ × 11 in (ANSI/ASME Y14.1, size A).
    Letter = "letter",
    /// 297 × 420 mm (ISO 216).
    A3 = "a3",
    /// 8½ × 14 in (common practice, no source).
    Legal = "legal",
    /// 11 × 17 in (ANSI/ASME Y14.1, size B).
    Tabloid = "tabloid",
    /// 420 × 594 mm (ISO 216).
    A2 = "a2",
    /// 594 × 841 mm (ISO 216).
    A1 = "a1",
    /// 841 × 1189 mm (ISO 216).
    A0 = "a0",
}

impl PaperSize {
    /// The name of the paper as it is printed.
    #[must_use]
    pub fn title(self) -> &'static str {
        match self {
            PaperSize::A4 => "A4",
            PaperSize::Letter => "Letter",
            PaperSize::A3 => "A3",
            PaperSize::Legal => "Legal",
            PaperSize::Tabloid => "Tabloid",
            PaperSize::A2 => "A2",
            PaperSize::A1 => "A1",
            PaperSize::A0 => "A0",
        }
    }

    fn size(self) -> Size {
        match self {
            PaperSize::A4 => Size::new(210.0, 297.0),
            PaperSize::Letter => Size::new(8.5 * 25.4, 11.0 * 25.4),
            PaperSize::A3 => Size::new(297.0, 420.0),
            PaperSize::Legal => Size::new(8.5 * 25.4, 14.0 * 25.4),
            PaperSize::Tabloid => Size::new(11.0 * 25.4, 17.0 * 25.4),
            PaperSize::A2 => Size::new(420.0, 594.0),
            PaperSize::A1 => Size::new(594.0, 841.0),
            PaperSize::A0 => Size::new(841.0, 1189.0),
        }
    }
}

/// What to print on.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Paper {
    /// Sheets to be taped together.
    Sheets(PaperSize),
    /// One long page, as long as the pieces need.
    Roll {
        /// The width of the roll.
        width: Mm,
    },
}

impl Paper {
    /// The paper in words, with its width in the unit asked for.
    #[must_use]
    pub fn described(self, show: Option<Unit>) -> String {
        match (self, show) {
            (Paper::Roll { width }, Some(_)) => {
                format!("a roll {} wide", Shown::asked(show, Unit::Mm).worded(width))
            }
            _ => self.to_string(),
        }
    }
}

impl fmt::Display for Paper {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Paper::Sheets(size) => f.write_str(size.title()),
            Paper::Roll { width } => write!(f, "a roll {width:.0} wide"),
        }
    }
}

/// The strip, in mm, that is left free at each edge of a sheet. Home printers leave 3 mm to 6.4 mm
/// (common practice, no source); 10 mm also allows for a sheet that is fed askew.
const SHEET_MARGIN: f64 = 10.0;

/// The same for a roll; its printers print nearer to the edge.
const ROLL_MARGIN: f64 = 5.0;

/// By how much neighbouring pages overlap, in mm: enough for glueing, and for seeing both halves of a mark.
const OVERLAP: f64 = 10.0;

/// The size of the heading, in mm. It fits on the smallest sheets: A4 is the narrower one, Letter the shorter one.
pub(super) const HEADING: Size = Size::new(188.0, 254.0);

/// The longest side of a page, in mm. A page side may have 14,400 units of 1/72 in (ISO 32000-1, annex C), which is 5,080 mm;
/// longer rolls are printed as several pages.
pub(super) const LONGEST: f64 = 5000.0;

/// The width of the narrowest roll, in mm: the heading, the margins and the overlap.
const NARROWEST: f64 = HEADING.width + 2.0 * ROLL_MARGIN + OVERLAP;

impl Paper {
    /// Checks that the paper can be printed on.
    pub(super) fn check(self) -> Result<(), PlotError> {
        match self {
            Paper::Roll { width } if !(NARROWEST..=LONGEST).contains(&width.0) => {
                Err(PlotError::RollWidth { width, least: Mm(NARROWEST), most: Mm(LONGEST) })
            }
            _ => Ok(()),
        }
    }

    /// The frame of the pages of this paper; on a roll, a page has room for `length` mm of pieces.
    pub(super) fn frame(self, length: f64) -> Frame {
        match self {
            Paper::Sheets(size) => Frame { page: size.size(), margin: SHEET_MARGIN },
            Paper::Roll { width } => {
                // The page is a little longer than the pieces need, so that rounding does not begin a second one.
                let height = length + 2.0 * ROLL_MARGIN + OVERLAP + 0.1;
                Frame { page: Size::new(width.0, height.min(LONGEST)), margin: ROLL_MARGIN }
            }
        }
    }
}

/// How a page is divided: a margin, inside it a band that the neighbouring page prints as well, and inside that the page's
/// own cell. Cells touch each other; the joint between two pages is in the middle of their overlap.
///
/// The sheet that is cut into pages has its origin at the top left, X pointing to the right and Y upwards, so all of the
/// sheet lies at negative Y.
#[derive(Clone, Copy, Debug)]
pub(super) struct Frame {
    /// The size of the page.
    pub page: Size,
    /// The strip that is left free at each edge.
    pub margin: f64,
}

impl Frame {
    /// The size of a cell.
    pub fn cell(&self) -> Size {
        let around = 2.0 * self.margin + OVERLAP;
        Size::new(self.page.width - around, self.page.height - around)
    }

    /// The cell in this row and column of the sheet.
    pub fn cell_at(&self, row: usize, column: usize) -> Rect {
        let cell = self.cell();
        let corner = Point::new(column as f64 * cell.width, -((row + 1) as f64) * cell.height);
        Rect::from_origin_size(corner, cell)
    }

    /// The part of the sheet that the page of a cell shows.
    pub fn window(cell: Rect) -> Rect {
        cell.inflate(OVERLAP / 2.0, OVERLAP / 2.0)
    }

    /// The shift from the sheet to the page of this cell; the page's origin is at its bottom left.
    pub fn page_shift(&self, cell: Rect) -> Vec2 {
        let inset = self.margin + OVERLAP / 2.0;
        Vec2::new(inset - cell.x0, inset - cell.y0)
    }
}
