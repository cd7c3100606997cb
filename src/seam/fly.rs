//! The extension of a fly, cut on at the centre front.
//!
//! Seen from the fork, the crotch curve runs up to the centre front line; there the outline turns
//! outwards, around the extension, and comes back along the waist. The crotch seam is measured on
//! the centre front line, which runs on straight to the waist.

use super::ring;
use super::shape::{Candidate, Fly};
use kurbo::{Line, Point, Vec2};

/// The least turn, in degrees, where the outline leaves the centre front line.
const LEAVES: f64 = 30.0;

/// A segment of this length, in mm, is no part of a curve.
const LONG: f64 = 15.0;

/// The widest extension, in mm.
const WIDEST: f64 = 110.0;

/// How near to a point of the waist, in mm, the centre front line has to come to meet it there.
const ON_POINT: f64 = 1.0;

/// The crotch seam that ends in this fork, beside a fly. `forward`: whether the line runs from the
/// waist to the fork.
pub(super) fn find(
    points: &[Point],
    turns: &[f64],
    fork: usize,
    forward: bool,
    grain: Vec2,
) -> Option<Candidate> {
    let way = Way { points, fork, forward };
    let foot = way.foot(turns)?;
    let centre = way.centre_front(foot, grain)?;
    let top = way.meets_waist(foot, &centre)?;
    let fly = Some(Fly { base: way.index(foot), share: top.share });
    let length = centre.below + centre.rise(top.at);
    let depth = (top.at - points[fork]).dot(grain).abs();
    Some(Candidate { waist: top.waist, fork, forward, fly, length, depth })
}

/// The line as it is walked along from the fork, up the crotch seam; its points are counted from there.
struct Way<'l> {
    points: &'l [Point],
    fork: usize,
    forward: bool,
}

/// The centre front line, from the foot of the extension up.
struct CentreFront {
    foot: Point,
    /// Unit vector down the line.
    down: Vec2,
    /// 1 where the extension lies to the left of that direction, −1 where it lies to the right.
    side: f64,
    /// The length of the crotch seam from the foot to the fork, in mm.
    below: f64,
}

impl CentreFront {
    /// How far above the foot a place lies, in mm.
    fn rise(&self, at: Point) -> f64 {
        (self.foot - at).dot(self.down)
    }

    /// How far off the line a point lies, towards the extension, in mm.
    fn outwards(&self, p: Point) -> f64 {
        self.down.cross(p - self.foot) * self.side
    }
}

/// Where the centre front line meets the waist.
struct Top {
    at: Point,
    /// The point of the line before it in the fork's direction, and where on the edge after that
    /// point it lies, as a share.
    waist: usize,
    share: f64,
}

impl Way<'_> {
    /// The index of a point of the way.
    fn index(&self, k: usize) -> usize {
        let n = self.points.len();
        if self.forward { (self.fork + n - k) % n } else { (self.fork + k) % n }
    }

    fn point(&self, k: usize) -> Point {
        self.points[self.index(k)]
    }

    /// Where the outline turns outwards, off the centre front line: the first corner of the way.
    fn foot(&self, turns: &[f64]) -> Option<usize> {
        let turn = |k: usize| turns[self.index(k)];
        let corner = (1..self.points.len() - 2).find(|&k| turn(k) >= ring::CORNER || turn(k) <= -LEAVES)?;
        (turn(corner) <= 0.0 && corner >= 3).then_some(corner)
    }

    /// The centre front line above this foot; none where the outline does not turn outwards there, or
    /// where the line would not run along the grain.
    fn centre_front(&self, foot: usize, grain: Vec2) -> Option<CentreFront> {
        let at = self.point(foot);
        let across = Vec2::new(-grain.y, grain.x);
        let out = if (self.points[self.fork] - at).dot(across) < 0.0 { -across } else { across };
        let leaves = self.point(foot + 1) - at;
        if leaves.dot(out) < 0.35 * leaves.hypot() {
            return None;
        }
        let run: Vec<Point> = (0..=foot).map(|k| self.point(foot - k)).collect();
        // A long segment is the straight centre front itself; a short one is part of the curve.
        let first = run[1] - at;
        let down = if first.hypot() >= LONG { first.normalize() } else { ring::tangent_at_start(&run) };
        if ring::lean(down, grain) > 45.0 {
            return None;
        }
        let side = if Vec2::new(-down.y, down.x).dot(out) < 0.0 { -1.0 } else { 1.0 };
        Some(CentreFront { foot: at, down, side, below: ring::length(&run) })
    }

    /// Walks around the extension to where the centre front line meets the waist; none where what is
    /// walked around is no extension: too wide, too long, or met too low or at a slant.
    fn meets_waist(&self, foot: usize, centre: &CentreFront) -> Option<Top> {
        let mut walked = (self.point(foot + 1) - centre.foot).hypot();
        for k in foot + 1..self.points.len() - 1 {
            let (a, b) = (self.point(k), self.point(k + 1));
            let outwards = centre.outwards(a);
            if !(-ON_POINT..=WIDEST).contains(&outwards) || walked > 4.0 * centre.below {
                return None;
            }
            walked += (b - a).hypot();
            if centre.outwards(b) > 0.0 {
                continue;
            }
            let line = Line::new(centre.foot, centre.foot - centre.down);
            let at = Line::new(a, b).crossing_point(line)?;
            if centre.rise(at) < 0.2 * centre.below || ring::lean(b - a, centre.down) < 40.0 {
                return None;
            }
            let (waist, share) = if (at - a).hypot() <= ON_POINT {
                (k, 0.0)
            } else if (at - b).hypot() <= ON_POINT {
                (k + 1, 0.0)
            } else {
                // In the fork's direction the edge runs from b to a.
                (k + 1, 1.0 - (at - a).hypot() / (b - a).hypot())
            };
            return Some(Top { at, waist: self.index(waist), share });
        }
        None
    }
}
