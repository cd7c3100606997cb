//! Draws notches as short strokes.

use crate::geometry::Segments;
use crate::pattern::Path;
use kurbo::{ParamCurve, Point, Vec2};

/// The depth, in mm, of a notch that does not give one: about ¼ in, within the usual allowances (common practice, no source).
const DEPTH: f64 = 6.0;

/// The two ends of a notch: it begins at its place and runs by its depth in its direction. A notch without a direction runs
/// into the piece, square to the line on which it stands.
pub(super) fn tick(
    at: Point,
    depth: Option<f64>,
    direction: Option<f64>,
    edge: Option<&NotchedEdge>,
) -> [Point; 2] {
    let depth = depth.map(f64::abs).filter(|d| *d > 0.0).unwrap_or(DEPTH);
    let along = match direction {
        Some(degrees) => Vec2::from_angle(degrees.to_radians()),
        None => edge.and_then(|e| e.inward(at)).unwrap_or(Vec2::new(0.0, 1.0)),
    };
    [at, at + along * depth]
}

/// The edge that notches are cut into.
pub(super) struct NotchedEdge {
    segments: Segments,
    /// On which side of a segment the inside lies: 1 where it is the left side, −1 where it is the right one.
    left: f64,
}

impl NotchedEdge {
    /// The edge of a closed line.
    pub fn new(outline: &Path) -> Self {
        let ends = outline.points.iter().zip(outline.points.iter().cycle().skip(1));
        let segments = Segments::new(ends.filter(|(a, b)| a != b).map(|(&a, &b)| (a, b)));
        NotchedEdge { segments, left: if outline.doubled_area() < 0.0 { -1.0 } else { 1.0 } }
    }

    /// The direction square to the nearest segment, towards the inside.
    fn inward(&self, at: Point) -> Option<Vec2> {
        let nearest = self.segments.nearest(at)?.line;
        let along = nearest.end() - nearest.start();
        Some(Vec2::new(-along.y, along.x).normalize() * self.left)
    }
}
