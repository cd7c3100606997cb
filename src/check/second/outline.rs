//! The closed line that is made by joining drawn lines, and places on it.

use super::trace::Trace;
use crate::pattern::ends_at_mirror;
use kurbo::Point;
use std::collections::{HashMap, VecDeque};

/// A closed line.
#[derive(Debug)]
pub(super) struct Outline {
    points: Vec<Point>,
    /// The length of the line up to each point, and at the end the length of the whole line.
    stations: Vec<f64>,
    /// Twice the area it encloses, positive where it runs counter-clockwise.
    pub doubled_area: f64,
    /// The sum of the widths of the gaps that were closed, in mm.
    pub gaps: f64,
}

/// Joins lines whose ends lie within `gap` mm of each other, and returns the closed line that encloses the largest area. A line that ends
/// at the mirror line of a half piece at both its ends is closed by it.
pub(super) fn largest(traces: Vec<Trace>, gap: f64, mirror: Option<[Point; 2]>) -> Option<Outline> {
    let mut ends = Ends::new(&traces, gap);
    let mut left: Vec<Option<Trace>> = traces.into_iter().map(Some).collect();
    let mut best: Option<Outline> = None;
    for i in 0..left.len() {
        let Some(first) = left[i].take() else { continue };
        let Some(outline) = joined(first, &mut left, (&mut ends, gap), mirror) else { continue };
        if best.as_ref().is_none_or(|b| outline.doubled_area.abs() > b.doubled_area.abs()) {
            best = Some(outline);
        }
    }
    best
}

/// The line that grows from the first one at both of its ends; `None` where it does not close.
fn joined(
    first: Trace,
    left: &mut [Option<Trace>],
    (ends, gap): (&mut Ends, f64),
    mirror: Option<[Point; 2]>,
) -> Option<Outline> {
    let [mut head, mut tail] = first.ends()?;
    let mut closed = first.closed || (first.long && (head - tail).hypot() <= gap);
    let (mut before, mut after): (Vec<Trace>, Vec<Trace>) = (Vec::new(), vec![first]);
    while !closed {
        let at_tail = ends.nearest(tail, left, gap);
        let at_head = ends.nearest(head, left, gap);
        let (at_the_tail, (_, j, backwards)) = match (at_tail, at_head) {
            (Some(t), Some(h)) if (h.0, h.1) < (t.0, t.1) => (false, h),
            (Some(t), _) => (true, t),
            (None, Some(h)) => (false, h),
            (None, None) if mirror.is_some_and(|mirror| ends_at_mirror([head, tail], mirror)) => break,
            (None, None) => return None,
        };
        let next = left[j].take()?;
        // At the tail the next line is appended from its near end on; at the head it is put in front so that it ends there.
        let next = if backwards == at_the_tail { next.reversed() } else { next };
        let [from, to] = next.ends()?;
        if at_the_tail {
            tail = to;
            after.push(next);
        } else {
            head = from;
            before.push(next);
        }
        closed = (head - tail).hypot() <= gap;
    }
    before.reverse();
    before.append(&mut after);
    Some(Outline::of(&before, gap))
}

impl Outline {
    fn of(parts: &[Trace], gap: f64) -> Self {
        let mut outline = Outline { points: Vec::new(), stations: vec![0.0], doubled_area: 0.0, gaps: 0.0 };
        let mut length = 0.0;
        for part in parts {
            if let Some(last) = outline.points.last() {
                let open = (part.points[0] - *last).hypot();
                outline.gaps += open;
                length += open;
                outline.stations.push(length);
            }
            outline.points.extend(&part.points);
            for step in &part.lengths {
                length += step;
                outline.stations.push(length);
            }
            outline.doubled_area += 2.0 * part.bow;
        }
        let n = outline.points.len();
        let open = (outline.points[n - 1] - outline.points[0]).hypot();
        outline.gaps += if open <= gap { open } else { 0.0 };
        outline.stations.push(length + open);
        outline.doubled_area += (0..n)
            .map(|i| outline.points[i].to_vec2().cross(outline.points[(i + 1) % n].to_vec2()))
            .sum::<f64>();
        outline
    }

    /// The length of the whole line.
    pub fn length(&self) -> f64 {
        self.stations[self.points.len()]
    }

    /// The first point of this line or of another one that is further than `within` off the other of the two, and how far. The
    /// other line is closed too and runs along this one, either way round.
    pub fn apart(&self, other: &[Point], within: f64) -> Option<(Point, f64)> {
        beside(&self.points, other, within).or_else(|| beside(other, &self.points, within))
    }

    /// The first of these points, which run along the line, that is further than `within` off every point of it.
    pub fn lacks(&self, points: impl Iterator<Item = Point>, within: f64) -> Option<Point> {
        let n = self.points.len();
        let mut at = 0;
        for p in points {
            let mut to_both_sides = (0..=n / 2).flat_map(|k| [(at + k) % n, (at + n - k) % n]);
            let Some(found) = to_both_sides.find(|&i| (self.points[i] - p).hypot() <= within) else {
                return Some(p);
            };
            at = found;
        }
        None
    }

    /// The place of the line nearest to a point: how far off it is, and the length of the line up to there.
    pub fn nearest(&self, p: Point) -> (f64, f64) {
        let n = self.points.len();
        let (mut best, mut station) = (f64::INFINITY, 0.0);
        for i in 0..n {
            let (share, off) = on_edge(&self.points, i, p);
            if off < best {
                best = off;
                station = self.stations[i] + share * (self.stations[i + 1] - self.stations[i]);
            }
        }
        (best.sqrt(), station)
    }

    /// The lengths of the line from each of these stations to the next, and from the last one to the first; `None` where the
    /// stations do not follow one another on the line in either direction.
    pub fn between(&self, stations: &[f64]) -> Option<Vec<f64>> {
        /// Stations nearer to each other than this, in mm, are the same.
        const SAME: f64 = 1e-4;
        let round = self.length();
        let forward = |from: f64, to: f64| {
            let d = (to - from).rem_euclid(round);
            if round - d < SAME { 0.0 } else { d }
        };
        let n = stations.len();
        let lengths = |back: bool| -> Vec<f64> {
            let pair = |k: usize| (stations[k], stations[(k + 1) % n]);
            (0..n).map(pair).map(|(a, b)| if back { forward(b, a) } else { forward(a, b) }).collect()
        };
        let once = |l: &Vec<f64>| (l.iter().sum::<f64>() - round).abs() < 0.5 * round;
        [lengths(false), lengths(true)].into_iter().find(once)
    }
}

/// The share of the edge after point `i` of a closed line at which it is nearest to a point, and the square of the distance there.
fn on_edge(line: &[Point], i: usize, p: Point) -> (f64, f64) {
    let (a, b) = (line[i], line[(i + 1) % line.len()]);
    let (along, square) = (b - a, (b - a).hypot2());
    let share = if square > 0.0 { ((p - a).dot(along) / square).clamp(0.0, 1.0) } else { 0.0 };
    (share, (p - a - along * share).hypot2())
}

/// The first of these points that is further off a closed line than `within`, and how far. The points run along the line, so that
/// each is looked for from where the one before was found, to both sides.
fn beside(line: &[Point], points: &[Point], within: f64) -> Option<(Point, f64)> {
    let n = line.len();
    let mut edge = 0;
    for &p in points {
        let mut to_both_sides = (0..=n / 2).flat_map(|k| [(edge + k) % n, (edge + n - k) % n]);
        let Some(found) = to_both_sides.find(|&i| on_edge(line, i, p).1 <= within * within) else {
            let off = (0..n).map(|i| on_edge(line, i, p).1).fold(f64::INFINITY, f64::min);
            return Some((p, off.sqrt()));
        };
        edge = found;
    }
    None
}

/// The index of a line, whether this is its last point, and the point.
type End = (usize, bool, Point);

/// The ends of the open lines, sorted into the squares of a grid.
struct Ends {
    width: f64,
    squares: HashMap<(i64, i64), VecDeque<End>>,
}

impl Ends {
    fn new(traces: &[Trace], gap: f64) -> Self {
        let mut ends = Ends { width: gap.max(1e-3), squares: HashMap::new() };
        for (j, trace) in traces.iter().enumerate().filter(|(_, t)| !t.closed) {
            for (is_last, at) in trace.ends().into_iter().flatten().enumerate() {
                ends.squares.entry(ends.square(at)).or_default().push_back((j, is_last == 1, at));
            }
        }
        ends
    }

    fn square(&self, at: Point) -> (i64, i64) {
        #[allow(clippy::cast_possible_truncation, reason = "coordinates are within reach")]
        let of = |v: f64| (v / self.width).floor() as i64;
        (of(at.x), of(at.y))
    }

    /// The nearest end within the gap among the lines that are left, and of several equally near the one drawn first: how far
    /// off it is, the index of its line, and whether it is the last point.
    fn nearest(&mut self, at: Point, left: &[Option<Trace>], gap: f64) -> Option<(f64, usize, bool)> {
        let (x, y) = self.square(at);
        let mut best: Option<(f64, usize, bool)> = None;
        for place in (x - 1..=x + 1).flat_map(|x| (y - 1..=y + 1).map(move |y| (x, y))) {
            let Some(square) = self.squares.get_mut(&place) else { continue };
            // Ends of lines that are used up are removed for good, since many short lines may lie in one square.
            while square.pop_front_if(|&mut (j, ..)| left[j].is_none()).is_some() {}
            for &(j, last, end) in square.iter().filter(|(j, ..)| left[*j].is_some()) {
                let d = (end - at).hypot();
                if d <= gap && best.is_none_or(|b| (d, j, last) < b) {
                    best = Some((d, j, last));
                }
                if d == 0.0 {
                    break;
                }
            }
        }
        best
    }
}
