//! From millimetres to an entity's own numbers.

use crate::dxf_text::splice::Edits;
use crate::pattern::Place;
use kurbo::{Point, Vec2};

/// What the numbers of an entity are.
#[derive(Clone, Copy, Debug)]
pub struct Numbers {
    /// The millimetres to one of them.
    pub scale: f64,
    /// Whether the entity's plane is seen from behind, so that X counts the other way.
    pub mirrored: bool,
}

impl Numbers {
    /// A position in these numbers.
    #[must_use]
    pub fn of(self, mm: Point) -> Point {
        let x = if self.mirrored { -mm.x } else { mm.x };
        Point::new(x / self.scale, mm.y / self.scale)
    }

    /// Moves a point of the file; a coordinate that does not change keeps its bytes.
    pub(super) fn shift(self, edits: &mut Edits, place: Place, at: Point, shift: Vec2) {
        /// Less than this, in mm, is no movement but the rounding of the arithmetic.
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
