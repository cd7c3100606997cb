//! Paper and the frame that every page has.

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
    /// Its name as it stands on a print.
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
    /// Sheets that are taped together.
    Sheets(PaperSize),
    /// One long page, as long as the pieces need.
    Roll {
        /// The roll's width.
        width: Mm,
    },
}

impl Paper {
    /// The paper in words, its width in the unit asked for.
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

/// The strip at each edge of a sheet that is left free. Home printers leave 3 mm to 6.4 mm (common
/// practice, no source); 10 mm also lets a sheet be fed askew.
const SHEET_MARGIN: f64 = 10.0;

/// The same for a roll, whose printers reach further out.
const ROLL_MARGIN: f64 = 5.0;

/// How far neighbouring pages overlap: enough to glue, and to see both halves of a mark.
const OVERLAP: f64 = 10.0;

/// The room for the heading in mm. It fits on the smallest sheets: A4 is the narrower, Letter the shorter.
pub(super) const HEADING: Size = Size::new(188.0, 254.0);

/// The longest side of a page. A page side may have 14,400 units of 1/72 in (ISO 32000-1, annex C),
/// which is 5,080 mm; longer rolls are printed as several pages.
pub(super) const LONGEST: f64 = 5000.0;

/// The narrowest roll: the heading, the margins and the overlap.
const NARROWEST: f64 = HEADING.width + 2.0 * ROLL_MARGIN + OVERLAP;

impl Paper {
    /// Whether it can be printed on.
    pub(super) fn check(self) -> Result<(), PlotError> {
        match self {
            Paper::Roll { width } if !(NARROWEST..=LONGEST).contains(&width.0) => {
                Err(PlotError::RollWidth { width, least: Mm(NARROWEST), most: Mm(LONGEST) })
            }
            _ => Ok(()),
        }
    }

    /// The frame of its pages; a roll's page has room for `length` mm of pieces.
    pub(super) fn frame(self, length: f64) -> Frame {
        match self {
            Paper::Sheets(size) => Frame { page: size.size(), margin: SHEET_MARGIN },
            Paper::Roll { width } => {
                // A little more than the pieces need, so that rounding does not begin a second page.
                let height = length + 2.0 * ROLL_MARGIN + OVERLAP + 0.1;
                Frame { page: Size::new(width.0, height.min(LONGEST)), margin: ROLL_MARGIN }
            }
        }
    }
}

/// How a page is divided: a margin, a band that the neighbour prints too, and inside it the page's
/// own cell. Cells touch; the joint between two pages is the middle of their overlap.
///
/// The sheet that the pages are cut from has its corner at the top left, X to the right and Y up, so
/// all of it lies at negative Y.
#[derive(Clone, Copy, Debug)]
pub(super) struct Frame {
    /// The page.
    pub page: Size,
    /// The strip left free at each edge.
    pub margin: f64,
}

impl Frame {
    /// The size of a cell.
    pub fn cell(&self) -> Size {
        let around = 2.0 * self.margin + OVERLAP;
        Size::new(self.page.width - around, self.page.height - around)
    }

    /// The cell of this row and column on the sheet.
    pub fn cell_at(&self, row: usize, column: usize) -> Rect {
        let cell = self.cell();
        let corner = Point::new(column as f64 * cell.width, -((row + 1) as f64) * cell.height);
        Rect::from_origin_size(corner, cell)
    }

    /// What the page of a cell shows of the sheet.
    pub fn window(cell: Rect) -> Rect {
        cell.inflate(OVERLAP / 2.0, OVERLAP / 2.0)
    }

    /// The shift from the sheet to the page of this cell, whose corner is at its bottom left.
    pub fn page_shift(&self, cell: Rect) -> Vec2 {
        let inset = self.margin + OVERLAP / 2.0;
        Vec2::new(inset - cell.x0, inset - cell.y0)
    }
}
