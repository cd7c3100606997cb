//! From millimetres to an entity's own numbers.

use crate::dxf_text::splice::Edits;
use crate::pattern::Place;
use kurbo::{Point, Vec2};

/// How the numbers of an entity relate to millimetres.
#[derive(Clone, Copy, Debug)]
pub struct Numbers {
    /// The number of millimetres in one unit of these numbers.
    pub scale: f64,
    /// Whether the entity's plane is seen from behind, so that its X coordinates have the opposite sign.
    pub mirrored: bool,
}

impl Numbers {
    /// Converts a position in mm to these numbers.
    #[must_use]
    pub fn of(self, mm: Point) -> Point {
        let x = if self.mirrored { -mm.x } else { mm.x };
        Point::new(x / self.scale, mm.y / self.scale)
    }

    /// Moves a point of the file; a coordinate that does not change keeps its bytes.
    pub(super) fn shift(self, edits: &mut Edits, place: Place, at: Point, shift: Vec2) {
        /// A smaller movement, in mm, is only a rounding error.
        const NOTHING: f64 = 1e-9;
        let new = self.of(at + shift);
        if shift.x.abs() > NOTHING {
            edits.number(place.x, new.x);
        }
        if shift.y.abs() > NOTHING {
            edits.number(place.y, new.y);
        }
    }
}
