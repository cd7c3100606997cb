//! What the written bytes are meant to hold, for comparison with the second reading.

use crate::dxf_text::{Drawing, Span, number};
use crate::pattern::{Place, Shape, Stroke};
use kurbo::Point;
use std::sync::Arc;

/// The kinds of entities with points that can be part of a piece.
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
    /// `INSERT`, by its insertion point.
    Symbol,
}

/// An entity as it is meant to be written.
#[derive(Clone, Debug, PartialEq)]
pub struct Meant {
    /// The position of the entity in the input.
    pub start: u32,
    /// Its layer.
    pub layer: Arc<str>,
    /// Its kind.
    pub kind: Kind,
    /// Its points in mm.
    pub points: Vec<Point>,
    /// Whether its plane is seen from behind, so that its X coordinates have the opposite sign.
    pub mirrored: bool,
    /// Whether it is closed by its flag.
    pub closed: bool,
    /// The vertices at which an arc begins, with their bulges, by rising index.
    pub bulges: Vec<(usize, f64)>,
}

impl Meant {
    /// A stroke as an entity of this kind with other points; open, and without arcs.
    #[must_use]
    pub fn new(stroke: &Stroke, kind: Kind, points: Vec<Point>) -> Meant {
        let layer = Arc::clone(&stroke.layer);
        let (start, mirrored) = (stroke.span.start, stroke.mirrored);
        Meant { start, layer, kind, points, mirrored, closed: false, bulges: Vec::new() }
    }

    /// A mark or text, given by its point.
    #[must_use]
    pub fn at(layer: &Arc<str>, place: Place, kind: Kind, at: Point, mirrored: bool) -> Meant {
        let (layer, start) = (Arc::clone(layer), place.x.start);
        Meant { start, layer, kind, points: vec![at], mirrored, closed: false, bulges: Vec::new() }
    }

    /// A stroke as it is.
    #[must_use]
    pub fn of(drawing: &Drawing<'_>, stroke: &Stroke) -> Meant {
        let vertices = |at: &[u32]| match at {
            [] => stroke.points.to_vec(),
            at => at.iter().map(|&i| stroke.points[i as usize]).collect(),
        };
        let (kind, points, bulges): (_, _, &[_]) = match &stroke.shape {
            Shape::Polyline { at, bulges, .. } => (Kind::Polyline, vertices(at), bulges),
            Shape::LwPolyline { at, bulges, .. } => (Kind::LwPolyline, vertices(at), bulges),
            Shape::Line => (Kind::Line, stroke.points.to_vec(), &[]),
            Shape::Arc { at, .. } => (Kind::Arc, vec![*at], &[]),
            Shape::Ellipse { at, .. } => (Kind::Ellipse, vec![*at], &[]),
            Shape::Spline { controls } => (Kind::Spline, controls.iter().map(|&(_, p)| p).collect(), &[]),
        };
        let bulges = bulges.iter().map(|&(v, place)| (v as usize, bulge(drawing, place))).collect();
        let closed = stroke.closed && matches!(kind, Kind::Polyline | Kind::LwPolyline);
        Meant { closed, bulges, ..Meant::new(stroke, kind, points) }
    }
}

/// The bulge at this place; the reader has already parsed it successfully once.
pub(super) fn bulge(drawing: &Drawing<'_>, place: Span) -> f64 {
    number::parse(place.of(drawing.bytes)).unwrap_or(f64::NAN)
}
