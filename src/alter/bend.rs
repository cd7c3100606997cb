//! Bends a line whose end is moved, with the least possible change of bending.
//!
//! A stretch of line keeps its directions at both ends while one of them is moved. The result is the line with the same vertices,
//! evenly stretched, whose turns at the vertices differ least from the old ones, weighted by the old turns. Without the weights
//! this is the spline of least bending energy (the draughtsman's spline; I. Schoenberg, *Quart. Appl. Math.* 4 (1946)). As in
//! that spline, the change of turn is a linear function of the place. Bounds for each vertex cut this function off, so that no
//! vertex turns more sharply than it may, or the other way. The rejected alternative, adding a polynomial to the old line, makes
//! a flat line wavy even where the line's own bend has room for the change.

use kurbo::{Point, Vec2};

/// The remaining distance to the target, as a share of the line's length, that counts as met.
const MET: f64 = 1e-13;

/// The same where no step comes nearer any more, because of rounding.
const NEAR: f64 = 1e-10;

/// The most Newton steps; a line that can be bent needs about ten.
const STEPS: usize = 60;

/// A step is short if it is less than this share of Newton's, because the bounds of some vertices are in the way. After so many of
/// them they are not got past; of 3,850 lines that could be bent none took more than five.
const SHORT: (f64, usize) = (1.0 / 16.0, 10);

/// How the turn of a vertex may change: its weight, and the bounds of the change in radians, counter-clockwise.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Joint {
    pub weight: f64,
    pub least: f64,
    pub most: f64,
}

impl Joint {
    /// A vertex whose turn stays as it is.
    pub const FIXED: Joint = Joint { weight: 0.0, least: 0.0, most: 0.0 };
}

/// Bends a line so that its first point moves by `first`, its last by `last`, and its direction at the end turns by `turn`, in
/// radians; there is a joint for each point. `None` where the bounds allow no such line.
pub(super) fn bend(
    points: &[Point],
    joints: &[Joint],
    [first, last]: [Vec2; 2],
    turn: f64,
) -> Option<Vec<Point>> {
    let target = (*points.last()? + last) - (points[0] + first);
    let line = BentLine::new(points, joints, target.normalize());
    let rest = |z: [f64; 3]| {
        let (turned, end) = line.end(z);
        line.rest(turned - turn, end - target)
    };
    let size = |r: [f64; 3]| r[0] * r[0] + r[1] * r[1] + r[2] * r[2];
    let mut z = [0.0; 3];
    let mut r = rest(z);
    let mut short = 0;
    'solving: for _ in 0..STEPS {
        if size(r).sqrt() <= MET || short > SHORT.1 {
            break;
        }
        let step = solve(line.slopes(z), r)?;
        let mut share = 1.0;
        loop {
            let tried = [0, 1, 2].map(|k| z[k] - share * step[k]);
            let left = rest(tried);
            if size(left) < size(r) {
                (z, r) = (tried, left);
                short += usize::from(share < SHORT.0);
                break;
            }
            // As near as rounding lets it come, or it cannot be bent.
            if size(r).sqrt() <= NEAR || share < 1e-4 {
                break 'solving;
            }
            share /= 2.0;
        }
    }
    (size(r).sqrt() <= NEAR).then(|| line.bent(z, points[0] + first))
}

/// A line in units of its length, bent by three parameters: a constant change of turn at each joint, a change proportional to the
/// joint's distance from the end, and the logarithm of the stretch.
struct BentLine<'l> {
    joints: &'l [Joint],
    edges: Vec<Vec2>,
    /// For each point its distance from the end, along the chord.
    levers: Vec<f64>,
    length: f64,
}

impl<'l> BentLine<'l> {
    fn new(points: &[Point], joints: &'l [Joint], chord: Vec2) -> Self {
        let edges: Vec<Vec2> = points.windows(2).map(|w| w[1] - w[0]).collect();
        let length = edges.iter().map(|e| e.hypot()).sum();
        let end = points[points.len() - 1];
        let levers = points.iter().map(|p| (end - *p).dot(chord) / length).collect();
        BentLine { joints, edges, levers, length }
    }

    /// By how much the turn of a joint changes.
    fn turn(&self, k: usize, [even, lever, _]: [f64; 3]) -> f64 {
        let joint = self.joints[k];
        (joint.weight * (even + lever * self.levers[k])).clamp(joint.least, joint.most)
    }

    /// An edge after turning and stretching.
    fn edge(&self, k: usize, turned: f64, [.., stretch]: [f64; 3]) -> Vec2 {
        let edge = self.edges[k];
        let (sin, cos) = turned.sin_cos();
        Vec2::new(edge.x * cos - edge.y * sin, edge.x * sin + edge.y * cos) * stretch.exp()
    }

    /// The sum of all changes of turn, and the vector from the first point to the last.
    fn end(&self, z: [f64; 3]) -> (f64, Vec2) {
        let (mut turned, mut way) = (0.0, Vec2::ZERO);
        for k in 0..self.edges.len() {
            turned += self.turn(k, z);
            way += self.edge(k, turned, z);
        }
        (turned + self.turn(self.edges.len(), z), way)
    }

    /// What is left to be met, in radians and as shares of the length.
    fn rest(&self, turned: f64, way: Vec2) -> [f64; 3] {
        [turned, way.x / self.length, way.y / self.length]
    }

    /// By how much that grows with each parameter: a row for each of its numbers, a column for each parameter.
    fn slopes(&self, z: [f64; 3]) -> [[f64; 3]; 3] {
        // A joint at one of its bounds turns no further.
        let turns = |k: usize| {
            let Joint { weight, least, most } = self.joints[k];
            let lever = self.levers[k];
            let free = (least..=most).contains(&(weight * (z[0] + z[1] * lever)));
            if free { [weight, weight * lever] } else { [0.0; 2] }
        };
        let (mut turned, mut turning) = (0.0, [0.0; 2]);
        let (mut way, mut swept) = (Vec2::ZERO, [Vec2::ZERO; 2]);
        let more = |turning: [f64; 2], k: usize| {
            let [even, lever] = turns(k);
            [turning[0] + even, turning[1] + lever]
        };
        for k in 0..self.edges.len() {
            turned += self.turn(k, z);
            turning = more(turning, k);
            let edge = self.edge(k, turned, z);
            way += edge;
            let across = Vec2::new(-edge.y, edge.x);
            swept = [0, 1].map(|i| swept[i] + across * turning[i]);
        }
        turning = more(turning, self.edges.len());
        let columns = [self.rest(turning[0], swept[0]), self.rest(turning[1], swept[1]), self.rest(0.0, way)];
        [0, 1, 2].map(|row| columns.map(|column| column[row]))
    }

    fn bent(&self, z: [f64; 3], first: Point) -> Vec<Point> {
        let mut points = vec![first];
        let (mut turned, mut at) = (0.0, first);
        for k in 0..self.edges.len() {
            turned += self.turn(k, z);
            at += self.edge(k, turned, z);
            points.push(at);
        }
        points
    }
}

/// Solves three linear equations by Cramer's rule; `None` where they are not independent.
fn solve(m: [[f64; 3]; 3], r: [f64; 3]) -> Option<[f64; 3]> {
    let det = |m: &[[f64; 3]; 3]| {
        m[0][0] * (m[1][1] * m[2][2] - m[1][2] * m[2][1]) - m[0][1] * (m[1][0] * m[2][2] - m[1][2] * m[2][0])
            + m[0][2] * (m[1][0] * m[2][1] - m[1][1] * m[2][0])
    };
    let whole = det(&m);
    let column = |k: usize| {
        let mut replaced = m;
        for i in 0..3 {
            replaced[i][k] = r[i];
        }
        det(&replaced) / whole
    };
    let found = [column(0), column(1), column(2)];
    (whole != 0.0 && found.iter().all(|v| v.is_finite())).then_some(found)
}
