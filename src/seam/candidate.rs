//! An edge of a line that may be the crotch seam.

use crate::geometry::ring;
use kurbo::Point;

/// An edge that may be the crotch seam.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Candidate {
    /// The corner at the waist, as an index of the line. Beside a fly it is the last point of the waist before the centre front.
    pub waist: usize,
    /// The corner at the fork.
    pub fork: usize,
    /// Whether the line runs from waist to fork.
    pub forward: bool,
    /// The fly extension beside the centre front line, if there is one.
    pub fly: Option<Fly>,
    /// Its length in mm.
    pub length: f64,
    /// How far its fork lies below its waist, along the grain, in mm.
    pub depth: f64,
}

/// A fly extension. The outline runs around it, so the upper part of the centre front line is not drawn: that line continues
/// straight from the crotch curve to the waist.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Fly {
    /// The uppermost drawn point of the centre front line, at the foot of the extension.
    pub base: usize,
    /// Where the centre front line meets the waist: on the edge that follows the candidate's waist point in the direction of the
    /// fork, as a share of that edge.
    pub share: f64,
}

impl Candidate {
    /// The centre waist point.
    #[must_use]
    pub fn centre(&self, points: &[Point]) -> Point {
        let n = points.len();
        let next = if self.forward { (self.waist + 1) % n } else { (self.waist + n - 1) % n };
        self.fly.map_or(points[self.waist], |fly| points[self.waist].lerp(points[next], fly.share))
    }

    /// The points of the line between its corners, in the line's direction.
    #[must_use]
    pub fn run(&self, points: &[Point]) -> Vec<Point> {
        let (a, b) = if self.forward { (self.waist, self.fork) } else { (self.fork, self.waist) };
        ring::run(points, a, b)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A quarter of the way from the waist point to the next one in the direction of the fork, over the line's first point as well.
    #[test]
    fn beside_a_fly_the_centre_lies_on_the_edge_towards_the_fork() {
        let points = [(0.0, 0.0), (8.0, 0.0), (8.0, 4.0), (0.0, 4.0)].map(Point::from);
        let fly = Some(Fly { base: 2, share: 0.25 });
        for (waist, forward, expected) in
            [(0, true, (2.0, 0.0)), (1, false, (6.0, 0.0)), (3, true, (0.0, 3.0)), (0, false, (0.0, 1.0))]
        {
            let edge = Candidate { waist, fork: 2, forward, fly, length: 100.0, depth: 90.0 };
            assert_eq!(edge.centre(&points), Point::from(expected), "{waist} {forward}");
            assert_eq!(Candidate { fly: None, ..edge }.centre(&points), points[waist]);
        }
    }
}
