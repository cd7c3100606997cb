//! Edges of other pieces that lie on a line on both sides of a corner of it: a facing along waist and centre front, a fly facing
//! down the centre front. Such edges are too gently bent for their form to tell of them; the corner that they begin at does, with
//! what lies on either side of it.

use super::form::{OTHER_STEP, WITHIN, resampled};
use super::hanging::{closest, fit};
use crate::geometry::{Run, direction, line};
use kurbo::{Affine, Point, Vec2};

/// The least turn of such a corner, in degrees.
const CORNER: f64 = 35.0;
/// By how many degrees the corners of two lines that lie on each other may differ: from the lengths of the edges beside them.
const ALIKE: f64 = 3.0;
/// The least length, in mm, over which the lines agree on either side of the corner, and on one of them.
const LEAST: [f64; 2] = [20.0, 72.0];
/// The least offset from its chord, in mm, of one of the two stretches: the corner of any straight-edged pocket fits elsewhere.
const BOWED: f64 = 1.0;
/// The least length and offset from its chord, in mm, of one stretch alone that begins at the corner: what lies beside it may be the other
/// piece's own, as the top edge of a fly shield is.
const ALONE: [f64; 2] = [120.0, 2.0];
/// How far, in mm, the corners of two lines that lie on each other by one stretch alone may be from each other.
const AT_CORNER: f64 = 1.0;
/// The share of these lengths and of this offset that the lines have to agree over as they are first laid on each other.
const BEGUN: f64 = 0.4;
/// A line with more corners than this is no pattern piece, and is left out.
const MOST: usize = 40;
/// The length, in mm, along either side of a corner by which one line is first laid on the other.
const ARM: f64 = 30.0;

/// A corner of a line with the line on either side of it, from the corner outwards as far as the next one.
#[derive(Debug)]
pub(super) struct Corner {
    at: Point,
    /// The turn at the corner, in degrees, in the line's direction.
    turn: f64,
    arms: [Vec<Point>; 2],
    /// The largest offset of an arm from its chord, and the arms' lengths, the shorter one first.
    bow: f64,
    long: [f64; 2],
}

/// An edge of another line that lies on a line on both sides of a corner.
pub(super) struct Laid {
    /// The places of the edge on the other line, at every [`OTHER_STEP`].
    pub edge: Vec<Point>,
    /// The motion that lays it on the line.
    pub motion: Affine,
    /// Whether it lies on one side of the corner alone: it could be slid along the line.
    pub alone: bool,
}

impl Corner {
    /// The corners of a line; none where there are very many.
    pub fn all(points: &[Point], closed: bool) -> Vec<Corner> {
        let mut points = points.to_vec();
        points.dedup();
        if closed && points.len() > 1 && points[0] == points[points.len() - 1] {
            points.pop();
        }
        let n = points.len();
        let turn = |i: usize| {
            let (a, b) = (points[(i + n - 1) % n], points[(i + 1) % n]);
            direction::angle(points[i] - a, b - points[i])
        };
        let inner = if closed { 0..n } else { 1..n.saturating_sub(1) };
        let corners: Vec<usize> = inner.filter(|&i| n > 2 && turn(i).abs() >= CORNER).collect();
        if corners.len() > MOST {
            return Vec::new();
        }
        let arm = |from: usize, back: bool| {
            let at = |k: usize| if back { (from + n - k) % n } else { (from + k) % n };
            let ends = |k: &usize| {
                corners.binary_search(&at(*k)).is_ok() || !closed && (at(*k) == 0 || at(*k) == n - 1)
            };
            let last = (1..n).find(ends).unwrap_or(n - 1);
            (0..=last).map(|k| points[at(k)]).collect::<Vec<Point>>()
        };
        let corner = |&i: &usize| {
            let arms = [true, false].map(|back| arm(i, back));
            let bow = arms.iter().map(|arm| bow(arm)).fold(0.0, f64::max);
            let [a, b] = arms.each_ref().map(|arm| line::length(arm));
            Corner { at: points[i], turn: turn(i), arms, bow, long: [a.min(b), a.max(b)] }
        };
        corners.iter().map(corner).collect()
    }

    /// How another line lies on this one at a corner of it, as it is drawn (`side` 1) or mirrored (−1).
    fn laid(&self, other: &Corner, side: f64) -> Option<Laid> {
        // A part of an arm is offset from its chord by no more than twice what the whole arm is.
        let may_lie = |corner: &Corner| {
            let long = corner.long.iter().zip(LEAST).all(|(long, least)| *long >= least - WITHIN);
            long && 2.0 * corner.bow >= BOWED - 4.0 * WITHIN
        };
        let alike = (self.turn.abs() - other.turn.abs()).abs() <= ALIKE;
        if !(alike && may_lie(self) && 2.0 * other.bow >= BOWED && may_lie(other)) {
            return None;
        }
        let arms = self.beside(other, side);
        let mirror = Affine::scale_non_uniform(1.0, side);
        let tips = |[one, two]: [&Vec<Point>; 2]| [one, two].map(|arm| point_at(arm, ARM));
        let own = tips([&self.arms[0], &self.arms[1]]);
        let theirs = tips(arms).map(|p| mirror * p);
        let pairs = [(mirror * other.at, self.at), (theirs[0], own[0]), (theirs[1], own[1])];
        let mut laid = fit(&pairs) * mirror;
        let whole: Vec<Point> = self.arms[0].iter().rev().chain(&self.arms[1][1..]).copied().collect();
        let mut found = self.grown(arms, laid)?;
        if !is_enough(&found, BEGUN) {
            return None;
        }
        for _ in 0..2 {
            let points: Vec<Point> = found.concat().iter().map(|p| laid * *p).collect();
            laid = closest(&points, &whole, Affine::IDENTITY) * laid;
            found = self.grown(arms, laid)?;
        }
        let enough = is_enough(&found, 1.0);
        let [before, after] = found;
        let edge = before.into_iter().rev().chain(after.into_iter().skip(1)).collect();
        enough.then_some(Laid { edge, motion: laid, alone: false })
    }

    /// The arms of another corner, each as it lies beside the arm of this one: whether both lines run the same way past the corner; the
    /// one that is not mirrored keeps the sense of its turn.
    fn beside<'o>(&self, other: &'o Corner, side: f64) -> [&'o Vec<Point>; 2] {
        let along = (self.turn > 0.0) == (other.turn * side > 0.0);
        let [one, two] = other.arms.each_ref();
        if along { [one, two] } else { [two, one] }
    }

    /// How another line lies on this one from a corner of it on, on one side of the corner alone.
    fn laid_alone(&self, other: &Corner, side: f64) -> Option<Laid> {
        let mirror = Affine::scale_non_uniform(1.0, side);
        let arms = self.beside(other, side);
        self.arms.iter().zip(arms).find_map(|(own, theirs)| {
            if [own, theirs].iter().any(|arm| line::length(arm) < ALONE[0] || bow(arm) < ALONE[1]) {
                return None;
            }
            let [from, to] = [theirs, own].map(|arm| point_at(arm, ALONE[0]));
            let mut laid = fit(&[(mirror * other.at, self.at), (mirror * from, to)]) * mirror;
            let mut edge = grown(own, theirs, laid);
            for _ in 0..2 {
                if line::length(&edge) < BEGUN * ALONE[0] {
                    return None;
                }
                let points: Vec<Point> = edge.iter().map(|p| laid * *p).collect();
                laid = closest(&points, own, Affine::IDENTITY) * laid;
                edge = grown(own, theirs, laid);
            }
            let at_corner = (laid * other.at - self.at).hypot() <= AT_CORNER;
            let enough = at_corner && line::length(&edge) >= ALONE[0] && bow(&edge) >= ALONE[1];
            enough.then_some(Laid { edge, motion: laid, alone: true })
        })
    }

    /// The places on either side of the other corner, from it outwards, as far as they lie on this line.
    fn grown(&self, arms: [&Vec<Point>; 2], laid: Affine) -> Option<[Vec<Point>; 2]> {
        let found = [0, 1].map(|k| grown(&self.arms[k], arms[k], laid));
        found.iter().all(|run| run.len() > 1).then_some(found)
    }
}

/// The places of an arm from its corner on, as far as they lie on another arm.
fn grown(own: &[Point], arm: &[Point], laid: Affine) -> Vec<Point> {
    let seam = Run::new(own);
    let on = |p: &Point| seam.lies_on(laid * *p, WITHIN);
    resampled(arm, arm, OTHER_STEP).into_iter().take_while(on).collect()
}

/// Whether two stretches on either side of a corner are a share of what tells that lines lie on each other.
fn is_enough(found: &[Vec<Point>; 2], share: f64) -> bool {
    let long = found.each_ref().map(|run| line::length(run));
    let enough = long[0].min(long[1]) >= share * LEAST[0] && long[0].max(long[1]) >= share * LEAST[1];
    enough && found.iter().any(|run| bow(run) >= share * BOWED)
}

/// Every way in which the corners of one line lie on those of another, each with the corner's number.
pub(super) fn all<'c>(line: &'c [Corner], other: &'c [Corner]) -> impl Iterator<Item = (usize, Laid)> + 'c {
    let pairs = line.iter().enumerate().flat_map(move |own| other.iter().map(move |theirs| (own, theirs)));
    pairs.flat_map(|((k, own), theirs)| {
        [1.0, -1.0].into_iter().filter_map(move |side| {
            Some((k, own.laid(theirs, side).or_else(|| own.laid_alone(theirs, side))?))
        })
    })
}

/// The point of a run so far from its first one, or its last one.
fn point_at(run: &[Point], way: f64) -> Point {
    let mut left = way;
    for w in run.windows(2) {
        let length = (w[1] - w[0]).hypot();
        if left <= length {
            return w[0].lerp(w[1], left / length.max(1e-9));
        }
        left -= length;
    }
    run[run.len() - 1]
}

/// The largest distance of a run from its chord.
pub(super) fn bow(run: &[Point]) -> f64 {
    let chord: Vec2 = run[run.len() - 1] - run[0];
    let off = |p: &Point| chord.cross(*p - run[0]).abs() / chord.hypot().max(1e-9);
    run.iter().map(off).fold(0.0, f64::max)
}
