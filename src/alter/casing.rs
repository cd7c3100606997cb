//! A casing cut in one with the leg: the part above the fold is turned in and has to lie on the leg after the leg is redrawn.
//!
//! The seam stays in place where the fold meets it, and the displacement begins there. Beyond the fold the edge is the mirror
//! image of the seam that it is turned onto: each place of it turns with the seam at the same depth below the fold (common
//! practice, no source).

use crate::geometry::direction;
use crate::seam::{Leg, LegPiece};
use kurbo::{Affine, Point, Vec2};

/// How near to the fold, in mm, a vertex of the seam has to be to count as the one at which the edge turns. Without such a vertex
/// the seam runs straight through the fold, perpendicular to it.
const AT_FOLD: f64 = 0.3;

/// The part of a ring that is turned in above the crotch seam.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Casing {
    /// The vertex of the ring at the fold.
    pub fold: usize,
    /// The reflection in the fold.
    over: Affine,
}

impl Casing {
    /// The casing of a leg, if its edge has a vertex at the fold.
    pub fn of(on: &LegPiece<'_>) -> Option<Casing> {
        let [centre, side] = on.folds.waist?.ends;
        let leg: &Leg = &on.leg;
        let off = |i: usize| (leg.ring[i] - centre).hypot();
        let fold = (1..leg.curve_begin).min_by(|&a, &b| off(a).total_cmp(&off(b)))?;
        let over = direction::reflection(leg.ring[fold], side - centre);
        (off(fold) <= AT_FOLD).then_some(Casing { fold, over })
    }

    /// The new edge beyond the fold. `goes` gives the movement of a place below the fold.
    pub fn follow(&self, ring: &[Point], goes: impl Fn(Point) -> Vec2) -> Vec<Point> {
        let image = |p: Point| self.over * p;
        ring[..self.fold].iter().map(|&p| image(image(p) + goes(image(p)))).collect()
    }
}
