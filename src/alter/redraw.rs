//! Lines redrawn by the law: vertices moved, and added only where an edge is too coarse.

use super::cut_fork::CutFork;
use super::law::{Law, Moves};
use super::station::Station;
use crate::pattern::Path;
use crate::seam::SeamRole;
use kurbo::{Point, Vec2};

/// How far, in mm, the drawn line may be from the law's. The trade asks for 0.1 mm; what is left
/// is for the rounding of the coordinates.
const TRUE_TO: f64 = 0.08;

/// How far, in mm, once an edge is divided. Where the line comes back its last chord turns off by
/// twice the root of this times the bend; at 0.08 mm that passes the half degree a join may turn.
const FINE: f64 = 0.03;

/// Edges shorter than this, in mm, are not divided.
const SHORTEST: f64 = 2.0;

/// A line that is redrawn.
#[derive(Clone, Debug, PartialEq)]
pub struct Redrawn {
    /// The piece's path.
    pub path: usize,
    /// For each of its points how far it moves, in mm.
    pub moves: Vec<Vec2>,
    /// The vertices to add, in the path's order.
    pub added: Vec<Added>,
}

/// A vertex to add.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Added {
    /// The point of the path it follows.
    pub after: u32,
    /// Where it lay on the old edge, as a share of it.
    pub share: f64,
    /// Where it lies now, in mm.
    pub at: Point,
}

/// Redraws a line of a piece whose points have these stations.
#[must_use]
pub fn redraw(path: usize, line: &Path, stations: &[Station], law: &Law, moves: Moves) -> Redrawn {
    let points = &line.points;
    let n = points.len();
    let shifts: Vec<Vec2> = stations.iter().map(|&s| law.displacement(s, moves)).collect();
    let mut added = Vec::new();
    let edges = if line.closed { n } else { n.saturating_sub(1) };
    for i in 0..edges {
        let j = (i + 1) % n;
        let Some((from, to)) = on_one_seam(stations[i], stations[j]) else { continue };
        if shifts[i] == shifts[j] {
            continue;
        }
        let edge = Edge { a: points[i], b: points[j], from, to, law, moves };
        let after = u32::try_from(i).unwrap_or(u32::MAX);
        let ends = ((0.0, points[i] + shifts[i]), (1.0, points[j] + shifts[j]));
        let Some(come_back) = edge.come_back() else {
            edge.refine(TRUE_TO, ends.0, ends.1, after, &mut added);
            continue;
        };
        let middle = (come_back, edge.at(come_back));
        edge.refine(FINE, ends.0, middle, after, &mut added);
        added.push(Added { after, share: middle.0, at: middle.1 });
        edge.refine(FINE, middle, ends.1, after, &mut added);
    }
    Redrawn { path, moves: shifts, added }
}

/// The stations of an edge's ends on one seam: the fork belongs to the inseam as well, and the centre
/// waist to the waist. An edge across any other corner is straight between its moved ends.
pub(super) fn on_one_seam(from: Station, to: Station) -> Option<(Station, Station)> {
    let start = |role| Station { role, at: 0.0 };
    match (from.role, to.role) {
        (a, b) if a == b => Some((from, to)),
        (SeamRole::Crotch, role @ (SeamRole::Inseam | SeamRole::Waist)) => Some((start(role), to)),
        (role @ (SeamRole::Inseam | SeamRole::Waist), SeamRole::Crotch) => Some((from, start(role))),
        _ => None,
    }
}

/// An edge between two old points.
struct Edge<'l> {
    a: Point,
    b: Point,
    from: Station,
    to: Station,
    law: &'l Law,
    moves: Moves,
}

impl Edge<'_> {
    /// The share of the edge at which the line has come back, where that is well within it: without
    /// a vertex there the new line would go on beside the old one to the edge's end, by less than
    /// [`TRUE_TO`], and be nowhere back.
    fn come_back(&self) -> Option<f64> {
        let length = (self.b - self.a).hypot();
        let share = (self.law.end().0 - self.from.at) / (self.to.at - self.from.at);
        let inside = share > SHORTEST / length && share < 1.0 - SHORTEST / length;
        (self.from.role == SeamRole::Inseam && inside).then_some(share)
    }

    /// Where the law puts the point at this share of the edge.
    fn at(&self, share: f64) -> Point {
        let at = self.from.at + (self.to.at - self.from.at) * share;
        self.a.lerp(self.b, share) + self.law.displacement(Station { role: self.from.role, at }, self.moves)
    }

    /// Adds the point that is furthest from the chord, if it is too far, and goes on in both halves.
    /// (U. Ramer, *Computer Graphics and Image Processing* 1 (1972); D. Douglas, T. Peucker,
    /// *Cartographica* 10 (1973).)
    fn refine(&self, within: f64, a: (f64, Point), b: (f64, Point), after: u32, added: &mut Vec<Added>) {
        /// Samples an edge is tested at; the law's bends are far wider than a sixteenth of it.
        const SAMPLES: u32 = 16;
        let chord = b.1 - a.1;
        let length = chord.hypot();
        if length == 0.0 || (self.b - self.a).hypot() * (b.0 - a.0) < SHORTEST {
            return;
        }
        let away = |share: f64| ((self.at(share) - a.1).cross(chord) / length).abs();
        let worst = (1..SAMPLES)
            .map(|k| a.0 + (b.0 - a.0) * f64::from(k) / f64::from(SAMPLES))
            .map(|share| (share, away(share)))
            .max_by(|p, q| p.1.total_cmp(&q.1));
        if let Some((share, distance)) = worst
            && distance > within
        {
            let middle = (share, self.at(share));
            self.refine(FINE, a, middle, after, added);
            added.push(Added { after, share, at: middle.1 });
            self.refine(FINE, middle, b, after, added);
        }
    }
}

impl Redrawn {
    /// The line as it is after the alteration, and for each old point its new index.
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

    /// Moves the corner of the cut line at the fork so that the fork lies where the law puts it.
    pub(super) fn meet(&mut self, fork: &CutFork, points: &[Point]) {
        let (line, index) = self.line(points);
        let (i, n) = (index[fork.corner], line.len());
        let (before, after) = (line[(i + n - 1) % n], line[(i + 1) % n]);
        let old = points[fork.corner];
        self.moves[fork.corner] = fork.at(old, [before, after], self.moves[fork.corner]) - old;
    }

    /// Where a point on the old edge after point `i` at `share` of it lies on the new line.
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
