//! The seam allowance along each edge of a piece.

use crate::check::steps::median;
use crate::geometry::{Nearest, Segments, corners, line};
use crate::pattern::{LayerUse, Piece};
use kurbo::Point;

/// The distance, in mm, between measurements of the allowance: less than that between the vertices of most curves.
const SPACING: f64 = 6.0;

/// Of fewer samples than these it is not told how the allowance changes.
const LEAST_SAMPLES: usize = 9;

/// A place where the allowance was measured.
#[derive(Clone, Copy, Debug)]
pub struct Sample {
    /// The distance from the edge's first corner, along the sew line.
    pub at: f64,
    /// The distance between sew line and cut line.
    pub allowance: f64,
    /// The place of the measurement, in mm.
    pub place: Point,
    /// The layer of the vertex at which, or after which, it was measured.
    pub layer_use: LayerUse,
    /// That vertex.
    pub vertex: usize,
}

/// The allowance along an edge of the sew line, between two of its corners.
#[derive(Clone, Debug)]
pub struct Profile {
    /// The samples away from the corners, in order. Near a corner the cut line is mitred or turned back as the sewing
    /// requires.
    pub samples: Vec<Sample>,
    /// The usual allowance.
    pub base: f64,
    /// The edge's share of the whole sew line.
    share: f64,
}

/// How an allowance changes along its edge.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Shape {
    /// The allowance does not change.
    Even,
    /// It runs steadily from one width at one end to another at the other end, by this much: in proportion to the distance, or as
    /// an outlet, which runs out to the usual width and keeps it from there on.
    Taper(f64),
    /// It steps to another constant width towards one end, as at a grown-on fly.
    Step,
    /// Anything else: it is off by this much at this sample.
    Bump(usize, f64),
}

/// The profile of every edge of a piece that has both a sew line and a cut line, in the order of the sew line.
#[must_use]
pub fn of(piece: &Piece) -> Option<Vec<Profile>> {
    between(&piece.outline(LayerUse::Sew)?.points, &piece.outline(LayerUse::Cut)?.points)
}

/// The profile of every edge of a sew line; `None` where the line has fewer than two corners.
fn between(points: &[Point], cut: &[Point]) -> Option<Vec<Profile>> {
    let n = points.len();
    let turns = corners::turns(points);
    let corners: Vec<usize> = (0..n).filter(|&i| turns[i].abs() >= corners::CORNER).collect();
    if corners.len() < 2 {
        return None;
    }
    let mut edges: Vec<SewEdge> = (0..corners.len())
        .map(|k| SewEdge::new(points, corners[k], corners[(k + 1) % corners.len()]))
        .collect();
    let near = Segments::of(cut, true);
    for edge in &mut edges {
        edge.measure_along(points, |p| near.distance(p));
    }
    // A narrow bump of the cut line may lie between two samples of the sew line, so the cut line's vertices are measured as
    // well.
    let back = Segments::of(points, true);
    let mut of_segment = vec![(0, 0); n];
    for (e, edge) in edges.iter().enumerate() {
        for (k, &i) in edge.vertices.iter().enumerate() {
            if k + 1 < edge.vertices.len() {
                of_segment[i] = (e, k);
            }
        }
    }
    for (vertex, &p) in cut.iter().enumerate() {
        let Some(Nearest { edge: i, share: t, away: allowance, .. }) = back.nearest(p) else { continue };
        let (e, k) = of_segment[i];
        let edge = &mut edges[e];
        let at = edge.stations[k] + (edge.stations[k + 1] - edge.stations[k]) * t;
        edge.samples.push(Sample { at, allowance, place: p, layer_use: LayerUse::Cut, vertex });
    }
    let middles: Vec<f64> = edges.iter().map(SewEdge::middle).collect();
    let m = edges.len();
    let around: f64 = edges.iter().map(SewEdge::length).sum();
    Some(
        edges
            .into_iter()
            .enumerate()
            .map(|(k, edge)| edge.profile(around, middles[k], middles[(k + m - 1) % m], middles[(k + 1) % m]))
            .collect(),
    )
}

/// Finds for each edge of a piece the same edge of the piece in another size, whose drawing may begin at another corner, run
/// the other way round, or be mirrored. The assignment is chosen for which the edges' shares of the sew line differ least; of
/// several that are about equally good (as for a rectangle), the one whose allowances are most alike. `None` where the
/// numbers of edges differ.
#[must_use]
pub fn matched(own: &[Profile], other: &[Profile]) -> Option<Vec<usize>> {
    /// Assignments whose sum of differences is at most this much above the least are equally good.
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
struct SewEdge {
    vertices: Vec<usize>,
    stations: Vec<f64>,
    samples: Vec<Sample>,
}

impl SewEdge {
    fn new(points: &[Point], from: usize, to: usize) -> Self {
        let n = points.len();
        let count = if from == to { n } else { (to + n - from) % n };
        let vertices: Vec<usize> = (0..=count).map(|k| (from + k) % n).collect();
        let run: Vec<Point> = vertices.iter().map(|&i| points[i]).collect();
        SewEdge { stations: line::stations(&run), vertices, samples: Vec::new() }
    }

    fn length(&self) -> f64 {
        self.stations[self.stations.len() - 1]
    }

    /// Measures the allowance at every vertex and at even steps between them.
    fn measure_along(&mut self, points: &[Point], allowance: impl Fn(Point) -> f64) {
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

    /// The usual allowance (the median) in the middle half of the edge.
    fn middle(&self) -> f64 {
        let length = self.length();
        let inner = self.samples.iter().filter(|s| s.at >= 0.25 * length && s.at <= 0.75 * length);
        median(&inner.map(|s| s.allowance).collect::<Vec<_>>())
    }

    /// The part of the edge away from its corners: further off than any mitre of the allowances that meet there reaches.
    fn profile(mut self, around: f64, own: f64, before: f64, after: f64) -> Profile {
        let length = self.length();
        // Beside a corner, the neighbour's cut line may be nearer than the edge's own, where that is much wider at its end.
        let wide = |is_there: &dyn Fn(f64) -> bool| {
            let there = self.samples.iter().filter(|s| is_there(s.at));
            there.map(|s| s.allowance).fold(0.0, f64::max)
        };
        let clear = |other: f64, wide: f64| (1.5 * own.max(other)).max(wide - other) + 5.0;
        let (from, to) = (
            clear(before, wide(&|at| at <= 0.25 * length)),
            length - clear(after, wide(&|at| at >= 0.75 * length)),
        );
        let share = self.length() / around;
        self.samples.retain(|s| s.at >= from && s.at <= to);
        self.samples.sort_by(|a, b| a.at.total_cmp(&b.at));
        let base = median(&self.samples.iter().map(|s| s.allowance).collect::<Vec<_>>());
        Profile { samples: self.samples, base, share }
    }
}

impl Profile {
    /// How the allowance changes, to a tolerance of `within` mm.
    #[must_use]
    pub fn shape(&self, within: f64) -> Shape {
        // Where a stretch of another width takes up nearly half of the edge, the median of all is a value of its foot.
        let near = self.samples.iter().map(|s| s.allowance).filter(|a| (a - self.base).abs() <= within);
        let base = median(&near.collect::<Vec<_>>());
        let off = |s: &Sample| s.allowance - base;
        let out: Vec<usize> =
            (0..self.samples.len()).filter(|&i| off(&self.samples[i]).abs() > within).collect();
        let (Some(&first), Some(&last)) = (out.first(), out.last()) else { return Shape::Even };
        let more = |change: &f64| change.abs() > within;
        if let Some(change) = self.taper(within).filter(more) {
            return Shape::Taper(change);
        }
        let at_end = first == 0 || last + 1 == self.samples.len();
        if at_end && constant(&self.samples[first..=last], base, within) {
            return Shape::Step;
        }
        if let Some(change) = self.runs_out(within).filter(more) {
            return Shape::Taper(change);
        }
        let worst = out
            .into_iter()
            .max_by(|&a, &b| off(&self.samples[a]).abs().total_cmp(&off(&self.samples[b]).abs()));
        worst.map_or(Shape::Even, |i| Shape::Bump(i, off(&self.samples[i])))
    }

    /// By how much the allowance changes over the edge, if it grows all the way or shrinks all the way, and nowhere by a step. Where
    /// one line leans to the other, the distance from it is not the distance to it, so that each line is looked at for itself.
    fn runs_out(&self, within: f64) -> Option<f64> {
        let of = |layer_use| self.samples.iter().filter(move |s| s.layer_use == layer_use);
        let sew: Vec<&Sample> = of(LayerUse::Sew).collect();
        let change = sew.last()?.allowance - sew.first()?.allowance;
        let both = [sew.clone(), of(LayerUse::Cut).collect()];
        let enough = sew.len() >= LEAST_SAMPLES;
        (enough && both.iter().all(|run| is_steady(run, change.signum(), within))).then_some(change)
    }

    /// The narrowest allowance along the edge.
    #[must_use]
    pub fn narrowest(&self) -> f64 {
        self.samples.iter().map(|s| s.allowance).fold(f64::INFINITY, f64::min)
    }

    /// By how much the allowance changes over the edge, if it changes steadily, in proportion to the distance.
    fn taper(&self, within: f64) -> Option<f64> {
        let third = self.samples.len() / 3;
        if self.samples.len() < LEAST_SAMPLES {
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

/// Whether the allowance of a run of samples grows or shrinks, by `sign`, all the way and nowhere by a step.
fn is_steady(run: &[&Sample], sign: f64, within: f64) -> bool {
    /// The steepest that a cut line runs out, over the way along it; what is steeper is a step (common practice, no source).
    const STEEPEST: f64 = 0.4;
    let grows = |w: &[&Sample]| {
        let grown = (w[1].allowance - w[0].allowance) * sign;
        grown <= STEEPEST * (w[1].at - w[0].at) + 0.5 * within
    };
    // Samples may fall back a little behind the furthest before them.
    let mut furthest = f64::MIN;
    let onwards = |s: &&Sample| {
        let way = s.allowance * sign;
        furthest = furthest.max(way);
        way >= furthest - 0.5 * within
    };
    run.windows(2).all(grows) && run.iter().all(onwards)
}

/// Whether a run of samples has one constant allowance, other than `base`, over some length, apart from where it begins and
/// ends. Near a square step, and near a corner, the nearest point of the cut line is that of the smaller allowance; so up to a
/// distance as large as the larger allowance, the measured values lie between the two.
fn constant(run: &[Sample], base: f64, within: f64) -> bool {
    /// A stretch shorter than this, in mm, is a bump.
    const STRETCH: f64 = 30.0;
    /// At least this length of the stretch, in mm, has the one allowance without a break.
    const UNBROKEN: f64 = 20.0;
    let extent = |run: &[Sample]| run.last().map_or(0.0, |last| last.at - run[0].at);
    let off = |s: &Sample| (s.allowance - base).abs();
    let most = run.iter().map(off).fold(0.0, f64::max);
    let outer: Vec<f64> = run.iter().filter(|s| most - off(s) <= 2.0 * within).map(|s| s.allowance).collect();
    let own = median(&outer);
    let is_own = |s: &Sample| (s.allowance - own).abs() <= within;
    let between = |s: &Sample| (base.min(own) - within..=base.max(own) + within).contains(&s.allowance);
    // In a long stretch a slanted foot may be longer.
    let foot = base.max(own).max(extent(run) / 5.0);
    let on_the_way = |s: &Sample| {
        let from_ends = (s.at - run[0].at).min(run[run.len() - 1].at - s.at);
        between(s) && from_ends <= foot
    };
    extent(run) >= STRETCH
        && run.iter().all(|s| is_own(s) || on_the_way(s))
        && run.split(|s| !is_own(s)).any(|part| extent(part) >= UNBROKEN)
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, clippy::float_cmp, reason = "the numbers are exact in binary")]
    use super::*;

    fn points(list: &[(f64, f64)]) -> Vec<Point> {
        list.iter().map(|&p| p.into()).collect()
    }

    fn sample(at: f64, allowance: f64) -> Sample {
        Sample { at, allowance, place: Point::ZERO, layer_use: LayerUse::Sew, vertex: 0 }
    }

    /// A profile with samples every 8 mm, the first at 24 mm.
    fn profile(allowances: &[f64]) -> Profile {
        let samples: Vec<Sample> =
            (3_u32..).zip(allowances).map(|(k, &a)| sample(8.0 * f64::from(k), a)).collect();
        Profile { base: median(allowances), samples, share: 0.25 }
    }

    /// Sixteen allowances of 10 mm, with another allowance at some of the places.
    fn changed(places: std::ops::Range<usize>, allowance: f64) -> Vec<f64> {
        (0..16).map(|i| if places.contains(&i) { allowance } else { 10.0 }).collect()
    }

    fn shape(allowances: &[f64]) -> Shape {
        profile(allowances).shape(1.0)
    }

    #[test]
    fn an_allowance_is_even_within_the_tolerance() {
        assert_eq!(shape(&changed(4..5, 11.0)), Shape::Even);
        assert_eq!(shape(&changed(4..5, 9.0)), Shape::Even);
        assert_eq!(shape(&changed(4..5, 11.25)), Shape::Bump(4, 1.25));
        assert_eq!(shape(&changed(4..5, 8.75)), Shape::Bump(4, -1.25));
        // Where it widens by no more than the tolerance, it is no taper, and what is off is told by itself.
        let widens: Vec<f64> =
            (0..16).map(|k| if k == 13 { 11.5 } else { 10.0 + 0.06 * f64::from(k) }).collect();
        assert!(matches!(shape(&widens), Shape::Bump(13, _)));
        // The worst of several bumps counts, whether it is too wide or too narrow.
        let mut two = changed(4..5, 12.0);
        two[9] = 7.5;
        assert_eq!(shape(&two), Shape::Bump(9, -2.5));
        two[4] = 13.0;
        assert_eq!(shape(&two), Shape::Bump(4, 3.0));
    }

    /// Where a stretch takes up half of an edge, the middle one of all allowances may be one of the foot between them.
    #[test]
    fn a_grown_on_stretch_of_half_the_edge_is_one() {
        let mut half = changed(9..16, 14.0);
        (half[2], half[7], half[8]) = (9.85, 10.9, 10.9);
        assert_eq!(profile(&half).base, 10.9);
        assert_eq!(shape(&half), Shape::Step);
    }

    #[test]
    fn a_grown_on_stretch_reaches_to_an_end_and_is_constant() {
        // Five samples extend over 32 mm, more than the least stretch of 30 mm; four extend over 24 mm.
        assert_eq!(shape(&changed(0..5, 14.0)), Shape::Step);
        assert_eq!(shape(&changed(11..16, 14.0)), Shape::Step);
        assert_eq!(shape(&changed(12..16, 14.0)), Shape::Bump(15, 4.0));
        assert_eq!(shape(&changed(5..11, 14.0)), Shape::Bump(10, 4.0));
        // A step at each end is two steps.
        let mut both = changed(0..5, 14.0);
        both[15] = 14.0;
        assert_eq!(shape(&both), Shape::Bump(15, 4.0));
        // At the beginning of the stretch a sample may lie between the two allowances.
        let mut ramp = changed(11..16, 14.0);
        ramp[11] = 12.0;
        assert_eq!(shape(&ramp), Shape::Step);
        // Sixteen millimetres of the one allowance are too few, but this one runs out steadily.
        ramp[12] = 12.5;
        assert_eq!(shape(&ramp), Shape::Taper(4.0));
        // Half a millimetre is not noticed, more is unsteady.
        ramp[13] = 12.0;
        assert_eq!(shape(&ramp), Shape::Taper(4.0));
        ramp[13] = 11.9;
        assert_eq!(shape(&ramp), Shape::Bump(15, 4.0));
    }

    /// From 35 mm at the waist to 10 mm where the curve begins: 2.5 mm every 8 mm, then even.
    #[test]
    fn an_outlet_runs_out_to_the_usual_width() {
        let outlet = |n: u32| (0..n).map(|k| (35.0 - 2.5 * f64::from(k)).max(10.0)).collect::<Vec<_>>();
        assert_eq!(shape(&outlet(20)), Shape::Taper(-25.0));
        let mut other = outlet(20);
        other.reverse();
        assert_eq!(shape(&other), Shape::Taper(25.0));
        // Steeper than two in five, and half a millimetre, is a step: 3.7 mm in 8 mm.
        let steeper = |step: f64| (0..20).map(|k| (35.0 - step * f64::from(k)).max(10.0)).collect::<Vec<_>>();
        assert_eq!(shape(&steeper(3.6)), Shape::Taper(-25.0));
        assert!(matches!(shape(&steeper(3.8)), Shape::Bump(..)));
        // One that widens again is no outlet.
        let mut unsteady = outlet(20);
        unsteady[15] = 12.0;
        assert!(matches!(shape(&unsteady), Shape::Bump(..)));
    }

    #[test]
    fn a_stretch_is_constant_over_some_length() {
        let run = |list: &[(f64, f64)]| {
            constant(&list.iter().map(|&(at, a)| sample(at, a)).collect::<Vec<_>>(), 10.0, 1.0)
        };
        assert!(run(&[(50.0, 4.0), (65.0, 4.0), (80.0, 4.0)]));
        assert!(!run(&[(50.0, 4.0), (65.0, 4.0), (79.5, 4.0)]));
        // Each sample is within 1 mm of the run's own allowance, or lies between the two allowances near an end of the run:
        // at most as far off as the wider allowance, 10 mm.
        assert!(run(&[(7.0, 5.0), (17.0, 4.0), (27.0, 4.0), (37.0, 4.0), (47.0, 9.0)]));
        assert!(run(&[(7.0, 8.0), (17.0, 4.0), (27.0, 4.0), (37.0, 4.0), (47.0, 9.0)]));
        assert!(!run(&[(7.0, 8.0), (17.5, 6.0), (27.0, 4.0), (37.0, 4.0), (47.0, 4.0)]));
        // A sample beyond both allowances is not accepted.
        assert!(run(&[(7.0, 10.5), (17.0, 4.0), (27.0, 4.0), (37.0, 4.0)]));
        assert!(!run(&[(7.0, 11.5), (17.0, 4.0), (27.0, 4.0), (37.0, 4.0)]));
        // The foot may take a fifth of the stretch where that is longer.
        let foot = |at: f64| run(&[(0.0, 7.0), (at, 6.0), (40.0, 4.0), (75.0, 4.0)]);
        assert!(foot(15.0) && !foot(15.5));
        // 20 mm of the stretch have to be without a break.
        assert!(run(&[(0.0, 7.0), (10.0, 4.0), (30.0, 4.0), (35.0, 7.0)]));
        assert!(!run(&[(0.0, 7.0), (10.0, 4.0), (29.5, 4.0), (35.0, 7.0)]));
    }

    #[test]
    fn a_taper_widens_in_proportion_to_the_way() {
        // Half a millimetre every 8 mm: 4 mm over the 64 mm of nine samples.
        let line = |n: u32, step: f64| (0..n).map(|k| 10.0 + step * f64::from(k)).collect::<Vec<_>>();
        assert_eq!(shape(&line(9, 0.5)), Shape::Taper(4.0));
        assert_eq!(shape(&line(9, -0.5)), Shape::Taper(-4.0));
        assert_eq!(shape(&line(20, 0.5)), Shape::Taper(9.5));
        // A taper of 2 mm in all leaves every sample within 1 mm of the usual allowance.
        assert_eq!(shape(&line(9, 0.25)), Shape::Even);
        // Eight samples are too few to recognise a taper.
        assert_eq!(shape(&line(8, 0.5)), Shape::Bump(7, 1.75));
        // The medians of the outer thirds give the line, so one sample in the middle may be out by 1 mm.
        let mut bent = line(9, 0.5);
        bent[4] += 1.0;
        assert!(matches!(shape(&bent), Shape::Taper(c) if (c - 4.0).abs() < 1e-12));
        bent[4] += 0.25;
        assert!(matches!(shape(&bent), Shape::Bump(..)));
        bent[4] -= 2.5;
        assert!(matches!(shape(&bent), Shape::Bump(..)));
        // Samples in one place have no slope.
        let samples: Vec<Sample> = (0..9).map(|k| sample(40.0, if k < 4 { 10.0 } else { 14.0 })).collect();
        assert!(Profile { samples, base: 14.0, share: 0.25 }.taper(1.0).is_none());
    }

    #[test]
    fn an_edge_runs_from_corner_to_corner() {
        // A 3-4-5 triangle, ten times as large, with a vertex on its first leg.
        let line = points(&[(70.0, 20.0), (90.0, 20.0), (110.0, 20.0), (110.0, 50.0)]);
        let edge = |from, to| {
            let edge = SewEdge::new(&line, from, to);
            (edge.vertices.clone(), edge.stations.clone(), edge.length())
        };
        assert_eq!(edge(0, 2), (vec![0, 1, 2], vec![0.0, 20.0, 40.0], 40.0));
        assert_eq!(edge(3, 1), (vec![3, 0, 1], vec![0.0, 50.0, 70.0], 70.0));
        assert_eq!(edge(2, 2), (vec![2, 3, 0, 1, 2], vec![0.0, 30.0, 80.0, 100.0, 120.0], 120.0));
    }

    #[test]
    fn an_edge_is_measured_every_six_millimetres() {
        // A stretch of 12 mm is divided into two steps of 6, one of 15 mm into three of 5, one of 0.5 mm not at all.
        let line = points(&[(31.0, 7.0), (43.0, 7.0), (43.0, 22.0), (43.0, 22.5), (20.0, 22.5)]);
        let mut edge = SewEdge::new(&line, 0, 3);
        edge.measure_along(&line, |p| p.x + 100.0 * p.y);
        let found: Vec<(f64, f64, Point, usize)> =
            edge.samples.iter().map(|s| (s.at, s.allowance, s.place, s.vertex)).collect();
        let meant = [
            (0.0, 31.0, 7.0, 0),
            (6.0, 37.0, 7.0, 0),
            (12.0, 43.0, 7.0, 1),
            (17.0, 43.0, 12.0, 1),
            (22.0, 43.0, 17.0, 1),
            (27.0, 43.0, 22.0, 2),
        ];
        assert_eq!(found.len(), meant.len());
        for (found, (at, x, y, vertex)) in found.iter().zip(meant) {
            let off = (found.0 - at).abs()
                + (found.1 - (x + 100.0 * y)).abs()
                + (found.2 - Point::new(x, y)).hypot();
            assert!(off < 1e-9 && found.3 == vertex, "{found:?}");
        }
    }

    #[test]
    fn an_edge_counts_clear_of_its_corners() {
        let samples = |list: &[(f64, f64)]| list.iter().map(|&(at, a)| sample(at, a)).collect::<Vec<_>>();
        let edge = |list: &[(f64, f64)], length: f64| SewEdge {
            vertices: vec![4, 5],
            stations: vec![0.0, length],
            samples: samples(list),
        };
        // The middle half of 80 mm is that from 20 mm to 60 mm.
        let whole = [(19.0, 90.0), (20.0, 11.0), (38.0, 13.0), (60.0, 17.0), (61.0, 90.0), (62.0, 90.0)];
        assert_eq!(edge(&whole, 80.0).middle(), 13.0);
        // One and a half times the larger allowance, plus 5 mm: 20 mm at one end and 35 mm at the other.
        let long = [(66.0, 1.0), (65.0, 8.0), (40.0, 10.0), (19.0, 2.0), (20.0, 12.0)];
        let found = edge(&long, 100.0).profile(400.0, 10.0, 4.0, 20.0);
        let at: Vec<f64> = found.samples.iter().map(|s| s.at).collect();
        assert_eq!((at, found.base, found.share), (vec![20.0, 40.0, 65.0], 10.0, 0.25));
    }

    #[test]
    fn the_same_edge_is_found_in_another_size() {
        let all = |list: &[(f64, f64)]| -> Vec<Profile> {
            list.iter().map(|&(share, base)| Profile { samples: Vec::new(), base, share }).collect()
        };
        let own = all(&[(0.5, 10.0), (0.3125, 10.0), (0.1875, 10.0)]);
        // Drawn from the second corner on, and drawn the other way round.
        assert_eq!(matched(&own, &all(&[(0.3125, 1.0), (0.1875, 1.0), (0.5, 1.0)])), Some(vec![2, 0, 1]));
        assert_eq!(matched(&own, &all(&[(0.3125, 1.0), (0.5, 1.0), (0.1875, 1.0)])), Some(vec![1, 0, 2]));
        assert_eq!(matched(&own, &all(&[(0.5, 10.0), (0.5, 10.0)])), None);
        // For a rectangle the allowances decide between the possible assignments.
        let band = all(&[(0.375, 10.0), (0.125, 6.0), (0.375, 25.0), (0.125, 8.0)]);
        let turned = all(&[(0.375, 25.0), (0.125, 8.0), (0.375, 10.0), (0.125, 6.0)]);
        assert_eq!(matched(&band, &turned), Some(vec![2, 3, 0, 1]));
        let mirrored = all(&[(0.125, 6.0), (0.375, 10.0), (0.125, 8.0), (0.375, 25.0)]);
        assert_eq!(matched(&band, &mirrored), Some(vec![1, 0, 3, 2]));
        // They do not decide where the shares differ by more than three hundredths in all.
        let near = |more: f64| all(&[(0.5 - more, 10.0), (0.25, 7.0), (0.25 + more, 20.0)]);
        let other = all(&[(0.5, 10.0), (0.25, 20.0), (0.25, 7.0)]);
        assert_eq!(matched(&near(0.01), &other), Some(vec![0, 2, 1]));
        let far = all(&[(0.5, 10.0), (0.23, 7.0), (0.27, 20.0)]);
        assert_eq!(matched(&far, &all(&[(0.5, 10.0), (0.23, 20.0), (0.27, 7.0)])), Some(vec![0, 1, 2]));
    }

    /// A rectangle of 120 by 80 mm, begun within its lower edge, with an allowance of its own on each side: 10 below, 6 on
    /// the right, 16 above, 8 on the left.
    #[test]
    fn every_edge_has_its_profile() {
        let sew = points(&[(70.0, 40.0), (150.0, 40.0), (150.0, 120.0), (30.0, 120.0), (30.0, 40.0)]);
        // The cut line has a bump 4 mm further out between two samples, in the middle of the lower edge.
        let cut = points(&[
            (89.0, 30.0),
            (90.0, 26.0),
            (91.0, 30.0),
            (156.0, 30.0),
            (156.0, 136.0),
            (22.0, 136.0),
            (22.0, 30.0),
        ]);
        let found = between(&sew, &cut).unwrap();
        // Edges are numbered from the first corner on: right, upper, left, lower edge. The parts near a corner that are left
        // out measure one and a half times the wider allowance plus 5 mm.
        let meant = [
            (0.2, 6.0, 80.0, 20.0, 29.0),
            (0.3, 16.0, 120.0, 29.0, 29.0),
            (0.2, 8.0, 80.0, 29.0, 20.0),
            (0.3, 10.0, 120.0, 20.0, 20.0),
        ];
        assert_eq!(found.len(), 4);
        for (profile, (share, base, length, before, after)) in found.iter().zip(meant) {
            assert!(
                (profile.share - share).abs() < 1e-12 && (profile.base - base).abs() < 1e-12,
                "{profile:?}"
            );
            let (first, last) = (profile.samples[0].at, profile.samples[profile.samples.len() - 1].at);
            assert!(first >= before && first <= before + SPACING, "{first} {before}");
            assert!(last <= length - after && last >= length - after - SPACING, "{last}");
        }
        // The bump's tip is the cut line's vertex 1, 60 mm from the lower left corner.
        let tip = found[3].samples.iter().find(|s| s.allowance == 14.0).unwrap();
        assert_eq!(
            (tip.at, tip.place, tip.layer_use, tip.vertex),
            (60.0, Point::new(90.0, 26.0), LayerUse::Cut, 1)
        );
        assert_eq!(found[3].samples[0].layer_use, LayerUse::Sew);
        // A round piece has no corners, and there have to be at least two.
        let round: Vec<Point> = (0..30)
            .map(|k| {
                Point::new(50.0, 60.0)
                    + kurbo::Vec2::from_angle(f64::from(k) / 30.0 * std::f64::consts::TAU) * 40.0
            })
            .collect();
        assert!(between(&round, &cut).is_none());
        let half: Vec<Point> = round[..16].to_vec();
        assert_eq!(between(&half, &half).unwrap().len(), 2);
    }
}
