//! What written bytes are meant to hold, for the second reading to compare with.

use crate::pattern::{Shape, Stroke};
use kurbo::Point;

/// The kinds of entities that have points a piece is made of.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Kind {
    /// `POLYLINE` with its `VERTEX` entities.
    Polyline,
    /// `LWPOLYLINE`.
    LwPolyline,
    /// `LINE`.
    Line,
    /// `ARC`, by its centre.
    Arc,
    /// `ELLIPSE`, by its centre.
    Ellipse,
    /// `SPLINE`, by its control points, then its fit points.
    Spline,
    /// `POINT`.
    Point,
    /// `TEXT` or `MTEXT`, by its insertion point.
    Text,
}

/// An entity as it is meant to be written.
#[derive(Clone, Debug, PartialEq)]
pub struct Meant {
    /// Where the entity stands in the input.
    pub start: u32,
    /// Its kind.
    pub kind: Kind,
    /// Its points in mm.
    pub points: Vec<Point>,
    /// Whether its plane is seen from behind, so that its numbers count X the other way.
    pub mirrored: bool,
}

impl Meant {
    /// A stroke as it is.
    #[must_use]
    pub fn of(stroke: &Stroke) -> Meant {
        let vertices = |at: &[u32]| match at {
            [] => stroke.points.to_vec(),
            at => at.iter().map(|&i| stroke.points[i as usize]).collect(),
        };
        let (kind, points) = match &stroke.shape {
            Shape::Polyline { at, .. } => (Kind::Polyline, vertices(at)),
            Shape::LwPolyline { at, .. } => (Kind::LwPolyline, vertices(at)),
            Shape::Line => (Kind::Line, stroke.points.to_vec()),
            Shape::Arc { at, .. } => (Kind::Arc, vec![*at]),
            Shape::Ellipse { at, .. } => (Kind::Ellipse, vec![*at]),
            Shape::Spline { controls } => (Kind::Spline, controls.iter().map(|&(_, p)| p).collect()),
        };
        Meant { start: stroke.span.start, kind, points, mirrored: stroke.mirrored }
    }
}
