//! The displacement of a place inside a piece when the piece's outline is graded.
//!
//! Marks, texts and lines without rules of their own follow the outline around them: their displacement is the mean of the
//! outline's displacements weighted with mean value coordinates (M. S. Floater, *Computer Aided Geometric Design* 20 (2003),
//! 19–27; the formula as in K. Hormann, M. S. Floater, *ACM Transactions on Graphics* 25 (2006), 1424–1441). These need no grid,
//! pass continuously into the displacement of the edge itself, and move everything by the same amount where the outline does.
//! Weighting by distance alone was rejected, because the opposite edge of a narrow piece then counts as much as the near one.

use crate::geometry::{line, within::contains};
use kurbo::{Point, Vec2};

/// A place nearer to the edge than this, in mm, moves exactly with the edge.
const ON_EDGE: f64 = 0.05;

/// An outline and the displacements of its vertices, in mm.
#[derive(Clone, Copy, Debug)]
pub struct Field<'f> {
    /// The vertices; the last is joined to the first.
    pub points: &'f [Point],
    /// The displacement of each vertex.
    pub moves: &'f [Vec2],
}

impl Field<'_> {
    /// The displacement of a place. Outside the outline it is that of the nearest place on the edge.
    #[must_use]
    pub fn at(&self, p: Point) -> Vec2 {
        let (distance, on_edge) = self.nearest(p);
        if distance <= ON_EDGE || !contains(self.points, p) {
            return on_edge;
        }
        let n = self.points.len();
        // The tangent of half the angle that each edge subtends at the place.
        let half = |i: usize| {
            let (a, b) = (self.points[i] - p, self.points[(i + 1) % n] - p);
            (a.hypot() * b.hypot() - a.dot(b)) / a.cross(b)
        };
        let mut sum = Vec2::ZERO;
        let mut weights = 0.0;
        let mut before = half(n - 1);
        for i in 0..n {
            let after = half(i);
            let weight = (finite(before) + finite(after)) / (self.points[i] - p).hypot();
            sum += self.moves[i] * weight;
            weights += weight;
            before = after;
        }
        if weights.abs() > 1e-12 { sum / weights } else { on_edge }
    }

    /// The distance to the nearest place on the edge, and the displacement of that place.
    #[must_use]
    pub fn nearest(&self, p: Point) -> (f64, Vec2) {
        let (i, t, distance) = line::nearest(self.points, true, p);
        (distance, self.on_edge(i, t))
    }

    /// The displacement of the place at this share of the edge that starts at vertex `i`.
    #[must_use]
    pub fn on_edge(&self, i: usize, share: f64) -> Vec2 {
        self.moves[i] * (1.0 - share) + self.moves[(i + 1) % self.moves.len()] * share
    }
}

/// An edge of length zero, or one in line with the place, has no weight of its own.
fn finite(x: f64) -> f64 {
    if x.is_finite() { x } else { 0.0 }
}

#[cfg(test)]
mod tests {
    use super::*;

    const SQUARE: [Point; 4] =
        [Point::new(0.0, 0.0), Point::new(100.0, 0.0), Point::new(100.0, 60.0), Point::new(0.0, 60.0)];

    /// Mean value coordinates reproduce every affine map exactly (Floater 2003, linear precision).
    #[test]
    fn an_affine_move_of_the_outline_is_one_inside() {
        let map = |p: Point| Vec2::new(0.1 * p.x - 0.05 * p.y + 2.0, 0.02 * p.x + 0.2 * p.y - 1.0);
        let notched = [(0.0, 0.0), (100.0, 0.0), (100.0, 60.0), (50.0, 20.0), (0.0, 60.0)].map(Point::from);
        for outline in [&SQUARE[..], &notched[..]] {
            let moves: Vec<Vec2> = outline.iter().map(|&p| map(p)).collect();
            let field = Field { points: outline, moves: &moves };
            for p in [(10.0, 10.0), (50.0, 10.0), (95.0, 5.0), (50.0, 0.0), (70.0, 0.0), (0.02, 30.0)]
                .map(Point::from)
            {
                assert!((field.at(p) - map(p)).hypot() < 0.02, "{p:?}: {:?} {:?}", field.at(p), map(p));
            }
        }
    }

    #[test]
    fn outside_it_is_the_edge_that_counts() {
        let moves = [Vec2::ZERO, Vec2::new(10.0, 0.0), Vec2::new(10.0, 6.0), Vec2::new(0.0, 6.0)];
        let field = Field { points: &SQUARE, moves: &moves };
        assert_eq!(field.at(Point::new(50.0, -20.0)), Vec2::new(5.0, 0.0));
        assert_eq!(field.at(Point::new(120.0, 80.0)), Vec2::new(10.0, 6.0));
    }
}
