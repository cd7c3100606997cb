//! Legs whose front and back are drawn in one piece, as those of leggings: with two crotch seams, two inseams, one hem, one waist edge
//! and no outseam.
//!
//! Each part is a leg of its own on the same piece. Waist, hem and thigh are divided between the two at the side. If such a piece is
//! drawn as half, up to a mirror line where an outseam would be, front and back are alike: both are the half that is drawn.

use super::fold::Fold;
use super::{Leg, Part, SeamRole};
use crate::geometry::line::Measured;
use crate::units::Mm;
use kurbo::{Line, ParamCurveNearest, Point};

/// What a leg has in place of an outseam.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct OnePiece {
    /// Which part of the piece the leg is.
    pub part: Part,
    /// The other part, as it is drawn; `None` if the piece is drawn as half, so that the other part is its mirror image.
    pub other: Option<OtherPart>,
}

/// The other part of a piece that is front and back in one.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct OtherPart {
    /// The index of its fork in the leg's ring.
    pub fork: usize,
    /// Where front and back meet.
    pub side: Side,
}

/// The side of a piece that is front and back in one, between its waist edge and its hem.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Side {
    /// Its place on the waist edge of the sew line.
    pub waist: Point,
    /// Its place on the hem of the sew line.
    pub hem: Point,
    /// How its place on the waist edge was found.
    pub by: SideBy,
}

/// How the side of a piece was found.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum SideBy {
    /// By a line from the waist edge to the hem.
    Line,
    /// By a notch on the waist edge.
    Notch,
    /// Nothing marks it; it is taken at the middle of the waist edge.
    Middle,
}

impl SideBy {
    /// A description for use in a sentence.
    #[must_use]
    pub fn worded(self) -> &'static str {
        match self {
            SideBy::Line => "at the line from waist to hem",
            SideBy::Notch => "at the notch on the waist",
            SideBy::Middle => "at the middle of the waist, since nothing marks it",
        }
    }
}

impl OnePiece {
    /// The length of the leg's own part of the waist or the hem; `fold` is where that edge is turned in. There is no outseam: its
    /// length is 0. `None` for seams that are the leg's own.
    #[must_use]
    pub fn own_length(&self, leg: &Leg, role: SeamRole, fold: Option<&Fold>) -> Option<Mm> {
        let place = match role {
            SeamRole::Waist => self.other?.side.waist,
            SeamRole::Hem => self.other?.side.hem,
            SeamRole::Outseam => return Some(Mm(0.0)),
            SeamRole::Crotch | SeamRole::Inseam => return None,
        };
        if let Some(fold) = fold {
            let across = Line::new(fold.ends[0], fold.ends[1]);
            let share = across.nearest(place, 1e-9).t;
            return Some(Mm(share * (fold.ends[1] - fold.ends[0]).hypot()));
        }
        let edge = Measured::new(leg.seam(role));
        let station = edge.station(place);
        // On the ring the waist runs towards the leg's own centre, the hem away from its own inseam.
        Some(Mm(if role == SeamRole::Waist { edge.length() - station } else { station }))
    }
}
