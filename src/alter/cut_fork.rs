//! The cut line's corner at the fork, where the sew line is derived from the cut line.
//!
//! The fork that has to slide along the grain is the sew line's: where the shifted edges of the cut
//! line cross. An edge that turns, as a straight inseam drawn with two vertices does when its fork
//! is lowered, would carry that crossing off the grain if the corner of the cut line went by the law
//! itself. The corner goes where both edges, shifted inwards by their allowances, meet in the fork.

use crate::seam::Leg;
use kurbo::{Line, Point, Vec2};

/// A neighbour nearer to the fork than this many allowances says too little about the direction of
/// the edge; it moves as the corner does there, and the edge with it.
const FAR: f64 = 2.0;

/// The fork lies at the allowances of both edges, in mm, or they are not what made it.
const SAME: f64 = 1e-6;

/// Edges that turn by less than this between them, as a cross product of unit vectors, are no corner.
const CORNER: f64 = 0.1;

/// The fork of a derived sew line on its cut line.
#[derive(Clone, Copy, Debug)]
pub(super) struct CutFork {
    /// The cut line's point at the fork.
    pub corner: usize,
    /// The fork.
    sew: Point,
    /// The allowances of the edges before and after the corner, in mm.
    allowances: [f64; 2],
}

impl CutFork {
    /// The corner of a leg; `None` where the sew line is drawn, and where the corner of the cut line
    /// is shaped, so that the fork lies between edges further off.
    pub fn new(leg: &Leg) -> Option<Self> {
        let derived = leg.drawn.derived.as_ref()?;
        let n = derived.points.len();
        let corner = *leg.drawn.order.get(leg.fork)? as usize;
        let sew = leg.fork_point();
        let sides = [(corner + n - 1) % n, corner];
        let fork = CutFork { corner, sew, allowances: sides.map(|i| derived.allowances[i]) };
        let beside = sides.iter().zip(fork.allowances).all(|(&i, allowance)| {
            let (a, b) = (derived.points[i], derived.points[(i + 1) % n]);
            ((b - a).normalize().cross(sew - a).abs() - allowance).abs() < SAME
        });
        beside.then_some(fork)
    }

    /// Where the corner belongs, the fork being shifted by `shift`, with its neighbours on the line as
    /// they then are, in the line's order.
    pub fn at(&self, corner: Point, neighbours: [Point; 2], shift: Vec2) -> Point {
        let by_law = corner + shift;
        let fork = self.sew + shift;
        let edges = [0, 1].map(|k| edge(neighbours[k], by_law, fork, self.allowances[k]));
        let directions = edges.map(|e| (e.p1 - e.p0).normalize());
        if directions[0].cross(directions[1]).abs() < CORNER {
            return by_law;
        }
        edges[0].crossing_point(edges[1]).unwrap_or(by_law)
    }
}

/// The edge from a neighbour past the fork at the distance of the allowance, on the side where the
/// corner lies by the law.
fn edge(neighbour: Point, by_law: Point, fork: Point, allowance: f64) -> Line {
    let way = fork - neighbour;
    let reach = way.hypot();
    if reach < FAR * allowance || allowance == 0.0 {
        return Line::new(neighbour, by_law);
    }
    // The tangent from a point to a circle about the fork.
    let turn = (allowance / reach).asin() * way.cross(by_law - neighbour).signum();
    Line::new(neighbour, neighbour + Vec2::from_angle(way.atan2() + turn) * reach)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn both_edges_pass_the_fork_at_their_allowances() {
        // By hand: an upright edge comes down 12 mm right of the fork; from the corner the other edge
        // runs left to a point that stays.
        let fork = CutFork { corner: 1, sew: Point::new(0.0, 0.0), allowances: [12.0, 15.0] };
        let (before, after) = (Point::new(12.0, 200.0), Point::new(-600.0, -15.0));
        let corner = Point::new(12.0, -15.0);
        let shift = Vec2::new(0.0, -25.0);
        let at = fork.at(corner, [before + shift, after], shift);
        assert!((at.x - 12.0).abs() < 1e-9, "the edge that only slides stays upright: {at:?}");
        let off = Line::new(after, at);
        let along = (off.p1 - off.p0).normalize();
        let distance = along.cross(Point::new(0.0, -25.0) - after);
        assert!((distance - 15.0).abs() < 1e-9, "{distance}");
        // Where all move as one, the corner does.
        let level = fork.at(corner, [before + shift, after + shift], shift);
        assert!((level - (corner + shift)).hypot() < 1e-9, "{level:?}");
    }
}
