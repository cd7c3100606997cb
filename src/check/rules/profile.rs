//! The seam allowance along each edge of a piece.

use crate::check::steps::median;
use crate::pattern::{LayerUse, Piece};
use crate::seam::ring;
use kurbo::Point;

/// How far apart, in mm, the allowance is measured: closer than the vertices of most curves.
const SPACING: f64 = 6.0;

/// A place where the allowance was measured.
#[derive(Clone, Copy, Debug)]
pub struct Sample {
    /// How far from the edge's first corner, on the sew line.
    pub at: f64,
    /// The distance between sew line and cut line.
    pub allowance: f64,
    /// Where, in mm.
    pub place: Point,
    /// The layer of the vertex it was measured at or after.
    pub layer_use: LayerUse,
    /// That vertex.
    pub vertex: usize,
}

/// The allowance along an edge of the sew line, between two of its corners.
#[derive(Clone, Debug)]
pub struct Profile {
    /// The samples away from the corners, in order. Around a corner the cut line is mitred or turned back
    /// as the sewing asks for.
    pub samples: Vec<Sample>,
    /// The usual allowance.
    pub base: f64,
    /// The edge's share of the whole sew line.
    share: f64,
}

/// How an allowance changes along its edge.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Shape {
    /// It does not.
    Even,
    /// From one end to the other, steadily, by so much.
    Taper(f64),
    /// It is another, constant one towards one end, as at a grown-on fly.
    Step,
    /// Anything else: out by so much at this sample.
    Bump(usize, f64),
}

/// The profile of every edge of a piece that has both lines, in the sew line's order.
#[must_use]
pub fn of(piece: &Piece) -> Option<Vec<Profile>> {
    let (sew, cut) = (piece.outline(LayerUse::Sew)?, piece.outline(LayerUse::Cut)?);
    let points = &sew.points;
    let n = points.len();
    let turns = ring::turns(points);
    let corners: Vec<usize> = (0..n).filter(|&i| turns[i].abs() >= ring::CORNER).collect();
    if corners.len() < 2 {
        return None;
    }
    let mut edges: Vec<Edge> =
        (0..corners.len()).map(|k| Edge::new(points, corners[k], corners[(k + 1) % corners.len()])).collect();
    let near = Boxes::new(&cut.points);
    for edge in &mut edges {
        edge.along(points, |p| near.nearest(p).0);
    }
    // A narrow bump of the cut line hides between samples of the sew line; its vertex does not.
    let back = Boxes::new(points);
    let mut of_segment = vec![(0, 0); n];
    for (e, edge) in edges.iter().enumerate() {
        for (k, &i) in edge.vertices.iter().enumerate() {
            if k + 1 < edge.vertices.len() {
                of_segment[i] = (e, k);
            }
        }
    }
    for (vertex, &p) in cut.points.iter().enumerate() {
        let (allowance, i, t) = back.nearest(p);
        let (e, k) = of_segment[i];
        let edge = &mut edges[e];
        let at = edge.stations[k] + (edge.stations[k + 1] - edge.stations[k]) * t;
        edge.samples.push(Sample { at, allowance, place: p, layer_use: LayerUse::Cut, vertex });
    }
    let middles: Vec<f64> = edges.iter().map(Edge::middle).collect();
    let m = edges.len();
    let around: f64 = edges.iter().map(Edge::length).sum();
    Some(
        edges
            .into_iter()
            .enumerate()
            .map(|(k, edge)| edge.profile(around, middles[k], middles[(k + m - 1) % m], middles[(k + 1) % m]))
            .collect(),
    )
}

/// For each edge of a piece the same edge of the piece in another size, which may be drawn from another
/// corner on, the other way round, or mirrored: the assignment by which the edges' shares of the sew line
/// differ least; of those that differ as little (a rectangle has several), the one with the most like
/// allowances. `None` where they have not as many edges.
#[must_use]
pub fn matched(own: &[Profile], other: &[Profile]) -> Option<Vec<usize>> {
    /// Assignments whose shares differ by no more than this over the best are as good.
    const AS_GOOD: f64 = 0.03;
    let m = own.len();
    if other.len() != m {
        return None;
    }
    let ways = (0..m).flat_map(|shift| [true, false].map(|forward| (shift, forward)));
    let all: Vec<(f64, f64, Vec<usize>)> = ways
        .map(|(shift, forward)| {
            let edges: Vec<usize> =
                (0..m).map(|k| if forward { (shift + k) % m } else { (shift + m - k) % m }).collect();
            let differ = |value: fn(&Profile) -> f64| -> f64 {
                own.iter().zip(&edges).map(|(p, &e)| (value(p) - value(&other[e])).abs()).sum()
            };
            (differ(|p| p.share), differ(|p| p.base), edges)
        })
        .collect();
    let least = all.iter().map(|a| a.0).fold(f64::INFINITY, f64::min);
    let good = all.into_iter().filter(|a| a.0 <= least + AS_GOOD);
    good.min_by(|a, b| a.1.total_cmp(&b.1)).map(|(.., edges)| edges)
}

/// An edge of the sew line.
struct Edge {
    vertices: Vec<usize>,
    stations: Vec<f64>,
    samples: Vec<Sample>,
}

impl Edge {
    fn new(points: &[Point], from: usize, to: usize) -> Self {
        let n = points.len();
        let count = if from == to { n } else { (to + n - from) % n };
        let vertices: Vec<usize> = (0..=count).map(|k| (from + k) % n).collect();
        let run: Vec<Point> = vertices.iter().map(|&i| points[i]).collect();
        Edge { stations: ring::stations(&run), vertices, samples: Vec::new() }
    }

    fn length(&self) -> f64 {
        self.stations[self.stations.len() - 1]
    }

    /// Measures at every vertex and between.
    fn along(&mut self, points: &[Point], allowance: impl Fn(Point) -> f64) {
        for k in 0..self.vertices.len() - 1 {
            let (i, j) = (self.vertices[k], self.vertices[k + 1]);
            let length = self.stations[k + 1] - self.stations[k];
            #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)] // clamped
            let parts = (length / SPACING).ceil().clamp(1.0, 10_000.0) as usize;
            for part in 0..parts {
                let t = part as f64 / parts as f64;
                let place = points[i].lerp(points[j], t);
                let at = self.stations[k] + length * t;
                self.samples.push(Sample {
                    at,
                    allowance: allowance(place),
                    place,
                    layer_use: LayerUse::Sew,
                    vertex: i,
                });
            }
        }
    }

    /// The usual allowance of the middle half.
    fn middle(&self) -> f64 {
        let length = self.length();
        let inner = self.samples.iter().filter(|s| s.at >= 0.25 * length && s.at <= 0.75 * length);
        median(&inner.map(|s| s.allowance).collect::<Vec<_>>())
    }

    /// What lies clear of the corners: further than any mitre of the allowances that meet there.
    fn profile(mut self, around: f64, own: f64, before: f64, after: f64) -> Profile {
        let clear = |other: f64| 1.5 * own.max(other) + 5.0;
        let (from, to) = (clear(before), self.length() - clear(after));
        let share = self.length() / around;
        self.samples.retain(|s| s.at >= from && s.at <= to);
        self.samples.sort_by(|a, b| a.at.total_cmp(&b.at));
        let base = median(&self.samples.iter().map(|s| s.allowance).collect::<Vec<_>>());
        Profile { samples: self.samples, base, share }
    }
}

impl Profile {
    /// How the allowance changes, to a tolerance in mm.
    #[must_use]
    pub fn shape(&self, within: f64) -> Shape {
        let off = |s: &Sample| s.allowance - self.base;
        let out: Vec<usize> =
            (0..self.samples.len()).filter(|&i| off(&self.samples[i]).abs() > within).collect();
        let (Some(&first), Some(&last)) = (out.first(), out.last()) else { return Shape::Even };
        if let Some(change) = self.taper(within) {
            return Shape::Taper(change);
        }
        let at_end = first == 0 || last + 1 == self.samples.len();
        let in_one = last - first + 1 == out.len();
        if at_end && in_one && constant(&self.samples[first..=last], within) {
            return Shape::Step;
        }
        let worst = out
            .into_iter()
            .max_by(|&a, &b| off(&self.samples[a]).abs().total_cmp(&off(&self.samples[b]).abs()));
        worst.map_or(Shape::Even, |i| Shape::Bump(i, off(&self.samples[i])))
    }

    /// By how much the allowance changes, if it does so steadily: in proportion to the way.
    fn taper(&self, within: f64) -> Option<f64> {
        let third = self.samples.len() / 3;
        if third < 3 {
            return None;
        }
        let middle = |run: &[Sample]| {
            let of = |value: fn(&Sample) -> f64| median(&run.iter().map(value).collect::<Vec<_>>());
            (of(|s| s.at), of(|s| s.allowance))
        };
        let (a, b) = (middle(&self.samples[..third]), middle(&self.samples[self.samples.len() - third..]));
        let slope = (b.1 - a.1) / (b.0 - a.0);
        let on_line = |s: &Sample| (s.allowance - a.1 - slope * (s.at - a.0)).abs() <= within;
        let whole = self.samples[self.samples.len() - 1].at - self.samples[0].at;
        (slope.is_finite() && self.samples.iter().all(on_line)).then_some(slope * whole)
    }
}

/// Whether a run is one allowance, over some length, but for where it begins or ends.
fn constant(run: &[Sample], within: f64) -> bool {
    /// Shorter than this, in mm, a stretch is a bump.
    const STRETCH: f64 = 30.0;
    let base = median(&run.iter().map(|s| s.allowance).collect::<Vec<_>>());
    let even = run.iter().filter(|s| (s.allowance - base).abs() <= within).count();
    run[run.len() - 1].at - run[0].at >= STRETCH && even * 5 >= run.len() * 4
}

/// Nearest points on a closed line, by boxes around runs of its edges.
struct Boxes<'p> {
    points: &'p [Point],
    boxes: Vec<kurbo::Rect>,
}

impl<'p> Boxes<'p> {
    /// Edges that share a box.
    const EACH: usize = 16;

    fn new(points: &'p [Point]) -> Self {
        let n = points.len();
        let boxes = (0..n).step_by(Self::EACH).map(|i| {
            let first = kurbo::Rect::from_points(points[i], points[i]);
            (i..=(i + Self::EACH).min(n)).fold(first, |r, k| r.union_pt(points[k % n]))
        });
        Boxes { points, boxes: boxes.collect() }
    }

    /// The distance of the nearest point, the edge it lies on, and its share of it.
    fn nearest(&self, p: Point) -> (f64, usize, f64) {
        let n = self.points.len();
        let mut best = (f64::INFINITY, 0, 0.0);
        for (k, area) in self.boxes.iter().enumerate() {
            let dx = (area.x0 - p.x).max(p.x - area.x1).max(0.0);
            let dy = (area.y0 - p.y).max(p.y - area.y1).max(0.0);
            if dx.hypot(dy) >= best.0 {
                continue;
            }
            for i in k * Self::EACH..((k + 1) * Self::EACH).min(n) {
                let (t, away) = super::walk::nearest(self.points[i], self.points[(i + 1) % n], p);
                if away < best.0 {
                    best = (away, i, t);
                }
            }
        }
        best
    }
}
