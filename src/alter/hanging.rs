//! Edges of other pieces that lay on a line before it was redrawn: of a lining, a facing, a fly shield. They are found by their
//! shape, wherever the piece is drawn, rotated or mirrored.
//!
//! Every stretch of 60 mm of a line has a form that no motion changes, see `form`. Where the forms of two lines agree over a
//! stretch that is not straight, one line lies on the other.

use super::cornered::{self, Corner, Laid, bow};
pub use super::form::Other;
use super::form::{BOWED, Form, LENGTH, OTHER_STEP, STEP, WITHIN, Way, every, resampled, steps};
use crate::geometry::{Run, corners, direction, line};
use kurbo::{Affine, Point, Vec2};

/// The least length, in mm, of an edge that is reported: over less, curves agree by accident.
const LEAST: f64 = 72.0;
/// A stretch over which two lines agree is not reported if it deviates from its chord by less than this, in mm: many edges share
/// a gentle curve by accident.
const BOWED_IN_ALL: f64 = 6.0;
/// By how much the length of the line over the stretch may change, in mm, without being reported: a seam is matched to 1/16 in.
const LONGER: f64 = 1.0;
/// The change of length is only considered for edges of at least this length, in mm: shorter ones, whose form agrees by accident,
/// would be reported as too short.
const LONG: f64 = 120.0;
/// A stretch with at least this share of the longest one's length might be the intended one as well.
const RIVAL: f64 = 0.9;
/// Two positions of an edge count as different if they are more than this many mm apart.
const APART: f64 = 5.0;
/// An edge that is off by less than this, in mm, still lies on the line: the line was moved there without changing its form.
const OFF: f64 = 0.4;
/// The same for an edge that begins at a corner, most of which is straight: half of what seams are matched to, 1/16 in.
const OFF_AT_CORNER: f64 = 0.8;
/// No seams of a leg are longer than this, in mm; over longer ones, of a drawing in another unit, laying pieces on them takes hours.
const LONGEST: f64 = 5000.0;
/// A place that moved by no more than this, in mm, was not redrawn.
const MOVED: f64 = 1e-6;

/// An edge that lay on a redrawn line.
#[derive(Clone, Debug, PartialEq)]
pub struct Hanging {
    /// The length over which it lay on it, in mm.
    pub length: f64,
    /// The largest distance of the edge from the new line, in mm, after the best fit.
    pub off: f64,
    /// How much longer the new line is over that stretch, in mm.
    pub longer: f64,
    /// The middle of that stretch, on the other piece.
    pub at: Point,
    /// The motion that lays the other piece on the old line, mirrored where it is drawn mirrored.
    pub laid: Affine,
    /// Whether it no longer lies on the line; else it lies on the new one as it did on the old one.
    pub leaves: bool,
    /// Whether this position is the only one: an arc, for example, fits anywhere on an arc of the same radius.
    pub settled: bool,
}

/// A closed line before and after it was redrawn, prepared for laying other pieces on it.
#[derive(Debug)]
pub struct Redrawing {
    /// The places of the old line at every [`STEP`], and the corresponding places of the new line.
    old: Vec<Point>,
    new: Vec<Point>,
    /// The longest step of each from one place to the next, in mm.
    longest: [f64; 2],
    /// The places at which a distinctive form begins, grouped by the key of the offset at the second place and sorted within each
    /// group by the offset at the third place.
    by_bow: Vec<Vec<(usize, Form)>>,
    /// The places at which the line turns sharply.
    corners: Vec<usize>,
    /// The corners of the old line itself.
    cornered: Vec<Corner>,
}

impl Redrawing {
    /// `old` is the closed line before, `new` has the same vertices afterwards. `None` where no redrawn part has a distinctive
    /// form, or where it is longer than any leg.
    #[must_use]
    pub fn new(old: &[Point], new: &[Point]) -> Option<Redrawing> {
        let moved = moved(old, new)?;
        let [old, new] = [old, new].map(|line| moved.iter().map(|&i| line[i]).collect::<Vec<Point>>());
        if line::length(&old) > LONGEST {
            return None;
        }
        let places = every(&old, STEP, false);
        let span = steps(STEP);
        let mut by_bow: Vec<Vec<(usize, Form)>> = vec![Vec::new(); Form::KEYS];
        let mut bowed = false;
        // Stretches with a corner are left out: corners between two straight edges agree by accident, as straight edges do.
        let corners = corners(&places);
        for i in 0..places.len().saturating_sub(span) {
            let form = Form::of(&places, i, span);
            if form.bow() >= BOWED && !corners.iter().any(|c| (i..=i + span).contains(c)) {
                by_bow[form.key()].push((i, form));
                bowed = true;
            }
        }
        for alike in &mut by_bow {
            alike.sort_by(|(_, a), (_, b)| a.offsets[2].total_cmp(&b.offsets[2]));
        }
        let cornered = Corner::all(&old, false);
        let told = bowed || !cornered.is_empty();
        told.then(|| {
            let new = resampled(&old, &new, STEP);
            let longest = [&places, &new].map(|line| Run::step(line));
            Redrawing { new, old: places, longest, by_bow, corners, cornered }
        })
    }

    /// The edge of another piece's closed line that lay on the old line and is off the new one; the longest of them.
    #[must_use]
    pub fn leaves(&self, other: &Other) -> Option<Hanging> {
        let leaving = self.lies(other).into_iter().filter(|found| found.leaves);
        leaving.max_by(|a, b| a.length.total_cmp(&b.length))
    }

    /// The edges of another piece's closed line that lay on the old line.
    #[must_use]
    pub fn lies(&self, other: &Other) -> Vec<Hanging> {
        let ways = other.ways.iter().flat_map(|way| [(way, 1.0), (way, -1.0)]);
        let lays: Vec<Lay> = ways.flat_map(|(way, side)| self.lays(way, side)).collect();
        let hanging = lays.iter().map(|found| self.hanging(found, &lays));
        let cornered: Vec<(usize, Laid)> = cornered::all(&self.cornered, &other.corners).collect();
        let at_corners = cornered.iter().filter_map(|found| self.at_corner(found, &cornered));
        hanging.chain(at_corners).collect()
    }

    /// What is reported of an edge that begins at a corner, given all of them; `None` where too little of it was redrawn.
    fn at_corner(&self, (corner, found): &(usize, Laid), all: &[(usize, Laid)]) -> Option<Hanging> {
        let old = Run::with_step(&self.old, self.longest[0]);
        let has_moved = |p: &&Point| {
            let k = old.point(found.motion * **p);
            (self.new[k] - self.old[k]).hypot() > MOVED
        };
        let redrawn = |edge: &Laid| edge.edge.iter().filter(has_moved).count() as f64 * OTHER_STEP;
        let (length, edge) = (redrawn(found), &found.edge);
        if length < LEAST {
            return None;
        }
        // Along a straight seam that is stretched, the edge still lies where it lay.
        let off = off((edge, found.motion), &self.old, &self.new);
        let longer = self.longer((edge, found.motion));
        // What begins at the corner hangs from it, though it would fit further down.
        let leaves = off > OFF_AT_CORNER || found.alone && longer.abs() > LONGER;
        let at = edge[edge.len() / 2];
        let elsewhere = |(other, way): &(usize, Laid)| {
            let rivals = other == corner && way.edge.len() as f64 >= RIVAL * edge.len() as f64;
            rivals && (way.motion * at - found.motion * at).hypot() > APART
        };
        let settled = !all.iter().any(elsewhere);
        Some(Hanging { length, off, longer, at, laid: found.motion, leaves, settled })
    }

    /// What is reported of an edge, given all edges found.
    fn hanging(&self, found: &Lay, all: &[Lay]) -> Hanging {
        let off = off((&found.edge, found.laid), &self.old, &self.new);
        let longer = self.longer((&found.edge, found.laid));
        let leaves = off > OFF || (longer.abs() > LONGER && found.length >= LONG);
        let at = found.edge[found.edge.len() / 2];
        let elsewhere = |other: &Lay| {
            other.seam == found.seam
                && other.rivals(found)
                && (other.laid * at - found.laid * at).hypot() > APART
        };
        let settled = found.settled && !all.iter().any(elsewhere);
        let laid = fitted(found, &self.old);
        Hanging { length: found.length, off, longer, at, laid, leaves, settled }
    }

    /// How much longer the new line is than the old one beside an edge: an edge that was stretched along itself keeps its form.
    fn longer(&self, (edge, laid): (&[Point], Affine)) -> f64 {
        let old = Run::with_step(&self.old, self.longest[0]);
        let ends = [edge[0], edge[edge.len() - 1]].map(|p| old.point(laid * p));
        let (from, to) = (ends[0].min(ends[1]), ends[0].max(ends[1]));
        line::length(&self.new[from..=to]) - line::length(&self.old[from..=to])
    }

    /// The distances, in mm, of a point laid on the old line from the old line, and of a point laid on the new line from the new
    /// line.
    #[must_use]
    pub fn away(&self, [old, new]: [Point; 2]) -> [f64; 2] {
        let off = |line: &[Point], step: f64, p: Point| (Run::with_step(line, step).nearest(p) - p).hypot();
        [off(&self.old, self.longest[0], old), off(&self.new, self.longest[1], new)]
    }
}

/// The moved vertices of a closed line in one run, together with a stretch before and after it.
fn moved(old: &[Point], new: &[Point]) -> Option<Vec<usize>> {
    let n = old.len();
    let still = |i: usize| old[i % n] == new[i % n];
    let first = (0..n).find(|&i| still(i) && !still(i + 1))?;
    // The run ends at the last moved vertex; single vertices within it may be unmoved.
    let last = (first + 1..first + n).rev().find(|&i| !still(i))?;
    let mut run: Vec<usize> = (first..=last + 1).map(|i| i % n).collect();
    // Include some of the line before and after it, so that an edge that extends beyond the moved part can be followed.
    let beyond = |from: usize, most: usize, step: usize| {
        let (mut way, mut all, mut i) = (0.0, Vec::new(), from);
        while way < LENGTH && all.len() < most {
            let next = (i + step) % n;
            way += (old[next] - old[i]).hypot();
            all.push(next);
            i = next;
        }
        all
    };
    let before = beyond(first, n - run.len().min(n), n - 1);
    let after = beyond((last + 1) % n, n - (run.len() + before.len()).min(n), 1);
    run.splice(0..0, before.into_iter().rev());
    run.extend(after);
    Some(run)
}

/// The indices at which a line with a place at every [`STEP`] turns sharply.
fn corners(places: &[Point]) -> Vec<usize> {
    /// The number of places on either side over which the turn is taken.
    const REACH: usize = 3;
    (REACH..places.len().saturating_sub(REACH))
        .filter(|&i| {
            direction::turns_by(places[i] - places[i - REACH], places[i + REACH] - places[i], corners::CORNER)
        })
        .collect()
}

impl Redrawing {
    /// For each seam of the old line, the longest stretch of another line that lies on it.
    fn lays(&self, Way { line, forms }: &Way, side: f64) -> Vec<Lay> {
        let mut best: Vec<Lay> = Vec::new();
        let mut i = 0;
        while i < forms.len() {
            let Some(own) = forms[i] else {
                i += 1;
                continue;
            };
            let form = if side < 0.0 { own.mirrored() } else { own };
            let all: Vec<Lay> =
                self.places_like(&form).into_iter().map(|j| self.grown(j, line, i, side)).collect();
            let longest = all.iter().max_by(|a, b| a.length.total_cmp(&b.length));
            let found = longest.map(|found| {
                let p = line[i];
                let elsewhere = |l: &Lay| l.rivals(found) && (l.laid * p - found.laid * p).hypot() > APART;
                Lay { settled: !all.iter().any(elsewhere), ..found.clone() }
            });
            let length = found.as_ref().map_or(0.0, |f| f.length);
            if let Some(found) = found {
                match best.iter_mut().find(|b| b.seam == found.seam) {
                    None => best.push(found),
                    Some(b) if found.length > b.length => *b = found,
                    Some(_) => {}
                }
            }
            // Skip what the found stretch already covers.
            #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
            let covered = ((length - LENGTH).max(0.0) / OTHER_STEP) as usize;
            i += 1 + covered;
        }
        for found in &mut best {
            *found = self.regrown(found, line);
        }
        best.retain(|b| b.length >= LEAST && bow(&b.edge) >= BOWED_IN_ALL);
        best
    }

    /// The places of the old line at which such a form begins.
    fn places_like(&self, form: &Form) -> Vec<usize> {
        let key = form.key();
        let mut places = Vec::new();
        for alike in &self.by_bow[key.saturating_sub(1)..(key + 2).min(Form::KEYS)] {
            let from = alike.partition_point(|(_, theirs)| theirs.offsets[2] < form.offsets[2] - WITHIN);
            let near = alike[from..].iter().take_while(|(_, t)| t.offsets[2] <= form.offsets[2] + WITHIN);
            let first = places.len();
            places.extend(near.filter(|(_, theirs)| theirs.like(form)).map(|&(j, _)| j));
            places[first..].sort_unstable();
        }
        places
    }

    /// The places between the corners before and after a place: across a corner, edges agree by accident.
    fn seam_at(&self, j: usize) -> (usize, &[Point]) {
        let from = self.corners.iter().rev().find(|&&c| c <= j).copied().unwrap_or(0);
        let to = self.corners.iter().find(|&&c| c > j).copied().unwrap_or(self.old.len() - 1);
        (from, &self.old[from..=to])
    }

    /// The stretch around a place with agreeing forms, extended as far as the one line lies on the other's seam.
    fn grown(&self, j: usize, line: &[Point], i: usize, side: f64) -> Lay {
        let (span, other_span) = (steps(STEP), steps(OTHER_STEP));
        let ends = [line[i], line[(i + other_span) % line.len()]];
        let laid = motion(ends, [self.old[j], self.old[j + span]], side);
        self.grown_from(line, (i, other_span), laid, j)
    }

    /// Extends a stretch again after fitting it as well as possible: two places 60 mm apart do not determine the position well
    /// far away from them.
    fn regrown(&self, lay: &Lay, line: &[Point]) -> Lay {
        const ROUNDS: usize = 4;
        let (_, seam) = self.seam_at(lay.seam);
        let mut best = lay.clone();
        for _ in 0..ROUNDS {
            let points: Vec<Point> = best.edge.iter().map(|p| best.laid * *p).collect();
            let laid = closest(&points, seam, Affine::IDENTITY) * best.laid;
            let middle = (best.from + best.edge.len() / 2) % line.len();
            let new = self.grown_from(line, (middle, 0), laid, lay.seam);
            if new.length < best.length {
                break;
            }
            let done = new.length <= best.length;
            best = Lay { settled: lay.settled, ..new };
            if done {
                break;
            }
        }
        best
    }

    /// Extends a stretch of `span` steps to both sides as far as the line lies on the seam at place `j`.
    fn grown_from(&self, line: &[Point], (i, span): (usize, usize), laid: Affine, j: usize) -> Lay {
        let (seam_from, seam) = self.seam_at(j);
        let n = line.len();
        let seam = Run::new(seam);
        let on = |k: usize| seam.lies_on(laid * line[k % n], WITHIN);
        let after = (span..n).find(|&k| !on(i + k)).unwrap_or(n - 1).saturating_sub(1);
        let before = (1..n - after.min(n - 1)).find(|&k| !on(i + n - k)).unwrap_or(1) - 1;
        let from = (i + n - before) % n;
        let edge: Vec<Point> = (0..=before + after).map(|k| line[(from + k) % n]).collect();
        Lay { length: (edge.len() - 1) as f64 * OTHER_STEP, from, edge, laid, seam: seam_from, settled: true }
    }
}

/// A stretch of another line that lay on the old one.
#[derive(Clone)]
struct Lay {
    /// The index of its first place on the other line.
    from: usize,
    edge: Vec<Point>,
    /// The motion that laid it there.
    laid: Affine,
    length: f64,
    /// The index at which the seam begins on which it lies.
    seam: usize,
    /// Whether there is no other position with about the same length.
    settled: bool,
}

impl Lay {
    /// Whether it is about as long as another one or longer.
    fn rivals(&self, other: &Lay) -> bool {
        self.length >= RIVAL * other.length
    }
}

/// The motion, mirrored where `side` is negative, that takes two points to two others; their midpoint is met exactly.
fn motion(from: [Point; 2], to: [Point; 2], side: f64) -> Affine {
    let (a, b) = (from[1] - from[0], to[1] - to[0]);
    let mirror = Affine::scale_non_uniform(1.0, side);
    let turned = b.atan2() - (mirror * a.to_point()).to_vec2().atan2();
    let turn = Affine::rotate(turned) * mirror;
    let shift = to[0].midpoint(to[1]) - turn * from[0].midpoint(from[1]);
    Affine::translate(shift) * turn
}

/// The largest distance of an edge from the new line after the best fit, which starts from where the edge lay on the old line.
fn off((edge, laid): (&[Point], Affine), old: &[Point], new: &[Point]) -> f64 {
    let laid: Vec<Point> = edge.iter().map(|p| laid * *p).collect();
    let places = Run::new(old);
    let pairs: Vec<(Point, Point)> = laid.iter().map(|&p| (p, new[places.point(p)])).collect();
    let motion = closest(&laid, new, fit(&pairs));
    let new = Run::new(new);
    laid.iter().map(|&p| (motion * p - new.nearest(motion * p)).hypot()).fold(0.0, f64::max)
}

/// The motion that fits an edge to the old line best.
fn fitted(lay: &Lay, old: &[Point]) -> Affine {
    let laid: Vec<Point> = lay.edge.iter().map(|p| lay.laid * *p).collect();
    closest(&laid, old, Affine::IDENTITY) * lay.laid
}

/// The motion that fits points to a line best. It alternates between finding the nearest points of the line and the small motion
/// that brings the points onto the line's tangents there, free to slide along them. (Y. Chen, G. Medioni, *Image and Vision
/// Computing* 10 (1992), 145–155.)
pub(super) fn closest(points: &[Point], line: &[Point], mut motion: Affine) -> Affine {
    const ROUNDS: usize = 8;
    /// The iteration ends at a step of no more than this, in mm and radians.
    const ARRIVED: f64 = 1e-10;
    let mut line = line.to_vec();
    line.dedup();
    let line = Run::new(&line);
    for _ in 0..ROUNDS {
        let mut before = 0;
        let mut on = |p: Point| {
            let Some((edge, near, way)) = line.edge(p, before) else { return (p, p, Vec2::ZERO) };
            before = edge;
            (p, near, way.normalize())
        };
        let laid: Vec<(Point, Point, Vec2)> = points.iter().map(|&p| on(motion * p)).collect();
        let step = onto(&laid);
        motion = step * motion;
        let moved = |(p, ..): &(Point, Point, Vec2)| (step * *p - *p).hypot() <= ARRIVED;
        if laid.first().is_none_or(moved) && laid.last().is_none_or(moved) {
            break;
        }
    }
    motion
}

/// The small motion that brings points onto lines through other points, by a Gauss-Newton step; along directions that the lines
/// leave free it does not move.
fn onto(laid: &[(Point, Point, Vec2)]) -> Affine {
    /// The damping of the matrix, relative to the number of points: in free directions nothing moves.
    const DAMPED: f64 = 1e-9;
    let n = laid.len().max(1) as f64;
    let middle = (laid.iter().map(|(p, ..)| p.to_vec2()).sum::<Vec2>() / n).to_point();
    let arm = laid.iter().map(|(p, ..)| (*p - middle).hypot()).fold(1.0, f64::max);
    let (mut matrix, mut right) = ([[0.0; 3]; 3], [0.0; 3]);
    for (p, on, way) in laid {
        let across = Vec2::new(-way.y, way.x);
        let from = *p - middle;
        let row = [across.dot(Vec2::new(-from.y, from.x)) / arm, across.x, across.y];
        let off = across.dot(*on - *p);
        for i in 0..3 {
            right[i] += row[i] * off;
            for j in 0..3 {
                matrix[i][j] += row[i] * row[j];
            }
        }
    }
    for (i, row) in matrix.iter_mut().enumerate() {
        row[i] += DAMPED * n;
    }
    // Cramer's rule.
    let det = |m: [[f64; 3]; 3]| {
        let minor = |a: usize, b: usize| m[1][a] * m[2][b] - m[1][b] * m[2][a];
        m[0][0] * minor(1, 2) - m[0][1] * minor(0, 2) + m[0][2] * minor(0, 1)
    };
    let whole = det(matrix);
    let solved = [0, 1, 2].map(|k| {
        let mut with = matrix;
        for i in 0..3 {
            with[i][k] = right[i];
        }
        det(with) / whole
    });
    let shift = middle.to_vec2() + Vec2::new(solved[1], solved[2]);
    Affine::translate(shift) * Affine::rotate(solved[0] / arm) * Affine::translate(-middle.to_vec2())
}

/// The motion that takes the first point of each pair to the second, by least squares.
pub(super) fn fit(pairs: &[(Point, Point)]) -> Affine {
    let n = pairs.len().max(1) as f64;
    let centre = |of: &dyn Fn(&(Point, Point)) -> Vec2| (pairs.iter().map(of).sum::<Vec2>() / n).to_point();
    let (a, b) = (centre(&|p| p.0.to_vec2()), centre(&|p| p.1.to_vec2()));
    let (mut dot, mut cross) = (0.0, 0.0);
    for (p, q) in pairs {
        dot += (*p - a).dot(*q - b);
        cross += (*p - a).cross(*q - b);
    }
    Affine::translate(b.to_vec2()) * Affine::rotate(cross.atan2(dot)) * Affine::translate(-a.to_vec2())
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;

    fn hanging(old: &[Point], new: &[Point], other: &[Point]) -> Option<Hanging> {
        Redrawing::new(old, new)?.leaves(&Other::new(other))
    }

    /// A quarter circle of radius 90 between two straight edges of 120, closed far away; a vertex every 3 degrees.
    fn line() -> Vec<Point> {
        let mut points = vec![Point::new(0.0, 120.0)];
        for k in 0..=30 {
            let angle = std::f64::consts::FRAC_PI_2 * f64::from(k) / 30.0;
            points.push(Point::new(90.0 - 90.0 * angle.cos(), -90.0 * angle.sin()));
        }
        points.extend([(210.0, -90.0), (210.0, -500.0), (-200.0, -500.0), (-200.0, 120.0)].map(Point::from));
        points
    }

    /// The line with its curve pushed outwards by `by` in the middle; its ends do not move.
    fn redrawn(by: f64) -> Vec<Point> {
        let bulge = |k: usize| {
            let t = (k as f64 - 1.0) / 30.0;
            if (0.0..=1.0).contains(&t) { (std::f64::consts::PI * t).sin() * by } else { 0.0 }
        };
        line().iter().enumerate().map(|(k, p)| *p + Vec2::new(-1.0, -1.0).normalize() * bulge(k)).collect()
    }

    /// A facing: the curve from 20 to 70 degrees, with other vertices, and an outer edge of its own.
    fn facing() -> Vec<Point> {
        let on = |radius: f64, degrees: f64| {
            let angle = degrees.to_radians();
            Point::new(90.0 - radius * angle.cos(), -radius * angle.sin())
        };
        let inner = (0..=20).map(|k| on(90.0, 20.0 + 2.5 * f64::from(k)));
        inner.chain((0..=10).rev().map(|k| on(60.0, 20.0 + 5.0 * f64::from(k)))).collect()
    }

    #[test]
    fn an_edge_is_found_in_whatever_turn_or_mirror() {
        // The arc of 50 degrees of a radius of 90 is 78.5 mm long.
        for motion in [
            Affine::IDENTITY,
            Affine::translate((500.0, -80.0)) * Affine::rotate(1.1),
            Affine::scale_non_uniform(-1.0, 1.0) * Affine::rotate(-2.0),
        ] {
            let mut other: Vec<Point> = facing().iter().map(|p| motion * *p).collect();
            for _ in 0..2 {
                let found = hanging(&line(), &redrawn(6.0), &other).unwrap();
                assert!((found.length - 78.5).abs() < 7.0, "{}", found.length);
                assert!(found.off > 0.4 && found.off < 3.0, "{}", found.off);
                // An arc of 50 degrees fits anywhere on an arc of 90 degrees.
                assert!(!found.settled);
                other.reverse();
            }
        }
    }

    /// A quarter of an ellipse with a straight edge at either end fits on itself in one position only.
    #[test]
    fn an_edge_that_is_no_arc_is_settled_and_laid_where_it_is() {
        let wider = Affine::scale_non_uniform(1.5, 1.0);
        let [old, new] = [line(), redrawn(6.0)].map(|l| l.iter().map(|p| wider * *p).collect::<Vec<_>>());
        let motion = Affine::translate((500.0, -80.0)) * Affine::rotate(1.1);
        let other = old[..=31].iter().copied().chain([(200.0, -90.0), (200.0, 60.0)].map(Point::from));
        let other: Vec<Point> = other.map(|p| motion * p).collect();
        let found = hanging(&old, &new, &other).unwrap();
        assert!(found.settled);
        for p in &old[..=31] {
            assert!((found.laid * (motion * *p) - *p).hypot() < 0.05, "{p}");
        }
    }

    #[test]
    fn what_only_resembles_the_line_or_was_not_changed_is_not_told() {
        // First nothing is redrawn; then the curve is moved as a whole where the facing lies.
        assert_eq!(hanging(&line(), &line(), &facing()), None);
        let moved: Vec<Point> = line()
            .iter()
            .enumerate()
            .map(|(k, p)| if (1..=31).contains(&k) { *p + Vec2::new(0.0, -9.0) } else { *p })
            .collect();
        assert_eq!(hanging(&line(), &moved, &facing()), None);
        // A rectangle has only straight edges, and an arc of another radius does not fit.
        let rectangle = [(0.0, 0.0), (40.0, 0.0), (40.0, 300.0), (0.0, 300.0)].map(Point::from);
        assert_eq!(hanging(&line(), &redrawn(6.0), &rectangle), None);
        let larger: Vec<Point> = facing().iter().map(|p| (p.to_vec2() * 1.2).to_point()).collect();
        assert_eq!(hanging(&line(), &redrawn(6.0), &larger), None);
    }
}
