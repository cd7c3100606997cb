//! A line as it is redrawn: how its vertices move, and which are added.

use kurbo::{Point, Vec2};

/// A line that is redrawn.
#[derive(Clone, Debug, PartialEq)]
pub struct Redrawn {
    /// The piece's path.
    pub path: usize,
    /// For each of its points, its movement in mm.
    pub moves: Vec<Vec2>,
    /// The vertices to add, in the path's order.
    pub added: Vec<Added>,
}

/// A vertex to add.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Added {
    /// The point of the path after which it comes.
    pub after: u32,
    /// Its place on the old edge, as a share of the edge.
    pub share: f64,
    /// Its new position, in mm.
    pub at: Point,
}

impl Redrawn {
    /// The line after the alteration, and the new index of each old point.
    #[must_use]
    pub fn line(&self, points: &[Point]) -> (Vec<Point>, Vec<usize>) {
        let mut line = Vec::with_capacity(points.len() + self.added.len());
        let mut index = Vec::with_capacity(points.len());
        let mut added = self.added.iter().peekable();
        for (i, (&p, &shift)) in points.iter().zip(&self.moves).enumerate() {
            index.push(line.len());
            line.push(p + shift);
            while let Some(new) = added.next_if(|a| a.after as usize == i) {
                line.push(new.at);
            }
        }
        (line, index)
    }

    /// The line before the alteration, with a vertex on its edges wherever one is added.
    #[must_use]
    pub fn divided(&self, points: &[Point]) -> Vec<Point> {
        let mut line = Vec::with_capacity(points.len() + self.added.len());
        let mut added = self.added.iter().peekable();
        for (i, &p) in points.iter().enumerate() {
            line.push(p);
            let next = points[(i + 1) % points.len()];
            while let Some(new) = added.next_if(|a| a.after as usize == i) {
                line.push(p.lerp(next, new.share));
            }
        }
        line
    }

    /// The position on the new line of the place at `share` of the old edge after point `i`.
    #[must_use]
    pub fn carried(&self, points: &[Point], i: usize, share: f64) -> Point {
        let n = points.len();
        let j = (i + 1) % n;
        let mut a = (0.0, points[i] + self.moves[i]);
        let mut b = (1.0, points[j] + self.moves[j]);
        for new in self.added.iter().filter(|a| a.after as usize == i) {
            if new.share <= share {
                a = (new.share, new.at);
            } else {
                b = (new.share, new.at);
                break;
            }
        }
        a.1.lerp(b.1, (share - a.0) / (b.0 - a.0))
    }
}
