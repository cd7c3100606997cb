//! Stations: the seam that a point of an outline belongs to, and the place along it.
//!
//! The slide is a function of the place along the sew line's seams. The station of a sew line's vertex follows from the lengths
//! along the line. The station of a cut line's vertex is that of the nearest point of the sew line, which keeps the allowance.
//! Both lines then move by the same displacement.

use super::{Leg, SeamRole};
use crate::geometry::{corners, direction, edge::nearest_share, line, ring};
use kurbo::{Point, Vec2};

/// How far ahead, in mm beyond the step itself, the nearest point of the sew line is searched. This is more than the stretch of
/// sew line that a mitred corner skips with any usual allowance.
const AHEAD: f64 = 90.0;

/// The distance, in mm, on both sides of a vertex over which its place is averaged: more than a digitiser's noise reaches.
const ARM: f64 = 2.5;

/// A place along a seam: arc length in mm from the seam's first corner, seen in the order of the
/// ring; for the waist, from the centre.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Station {
    /// Which seam.
    pub role: SeamRole,
    /// How far along it.
    pub at: f64,
}

/// The stations of the sew line's own vertices, in the ring's order.
#[must_use]
pub fn of_ring(leg: &Leg) -> Vec<Station> {
    let arc = Arc::new(leg);
    let skip = leg.fly.len();
    (0..leg.ring.len()).map(|i| arc.station(arc.at[if i == 0 { 0 } else { i + skip }])).collect()
}

/// The stations of the points of the path that the leg's ring lies on.
#[must_use]
pub fn of_path(leg: &Leg) -> Vec<Station> {
    let drawn = &leg.drawn;
    let of_ring = of_ring(leg);
    let of_ring = drawn.vertices().map(|(k, i)| (i, of_ring[k]));
    let all: Vec<(usize, Station)> = of_ring.chain(drawn.fly().zip(on_fly(leg))).collect();
    let points = all.iter().map(|(i, _)| i + 1).max().unwrap_or(0);
    let mut own = vec![Station { role: SeamRole::Hem, at: 0.0 }; points];
    for (i, station) in all {
        own[i] = station;
    }
    own
}

/// The stations of a fly extension, which moves with the centre front line beside it: its top stays, its foot moves with the foot
/// of that line, and the straight edge between them moves in proportion.
pub(crate) fn on_fly(leg: &Leg) -> Vec<Station> {
    /// The share of the extension's height, from the waist down, that counts as its top.
    const TOP: f64 = 0.15;
    /// The largest angle, in degrees, between the straight edge and the centre front line.
    const BESIDE_CENTRE: f64 = 12.0;
    let fly = &leg.fly;
    let (centre, foot) = (leg.ring[0], leg.ring[1]);
    let reached = (foot - centre).hypot();
    let down = (foot - centre) / reached;
    let below = |p: Point| (p - centre).dot(down);
    let top = fly.iter().take_while(|&&p| below(p) < TOP * reached).count();
    let corner = if top > 0 { fly[top - 1] } else { centre };
    let beside =
        |w: &&[Point]| direction::lean(w[1] - w[0], down) <= BESIDE_CENTRE && below(w[1]) > below(w[0]);
    let straight = fly[top.saturating_sub(1)..].windows(2).take_while(beside).count();
    // An extension that slants from its corner to its foot has no straight edge.
    let edge = if straight > 0 { fly[top.saturating_sub(1) + straight] } else { foot };
    let share = |k: usize| match k {
        k if k < top => 0.0,
        k if straight > 0 && k + 1 >= top + straight => 1.0,
        k => ((below(fly[k]) - below(corner)) / (below(edge) - below(corner))).clamp(0.0, 1.0),
    };
    (0..fly.len()).map(|k| Station { role: SeamRole::Crotch, at: reached * share(k) }).collect()
}

/// The stations of the points of a line that runs along the sew line, such as the cut line, or of an open line that draws a part
/// of it again, in that line's own order.
#[must_use]
pub fn of_line(leg: &Leg, points: &[Point], closed: bool) -> Vec<Station> {
    let arc = Arc::new(leg);
    arc.along(leg, points, closed).into_iter().map(|at| arc.station(at)).collect()
}

/// The line's corner at the centre waist, or at the top of a fly extension, with the arc length of the sew line's corner: the
/// convex corner nearest to the sew line's corner, else the nearest point.
///
/// Below a bib there is no corner: the first point beside the crotch seam, with its own arc length.
fn start(leg: &Leg, arc: &Arc, points: &[Point]) -> (usize, f64) {
    if leg.drawn.starts_below_more() {
        let at = points.iter().map(|&p| arc.nearest(p, 0.0, arc.whole())).enumerate();
        let beside = at.filter(|(_, at)| (0.0..arc.at[leg.fork]).contains(at));
        return beside.min_by(|a, b| a.1.total_cmp(&b.1)).unwrap_or((0, 0.0));
    }
    let tops = on_fly(leg).iter().take_while(|s| s.at == 0.0).count();
    let turns = corners::turns(points);
    let waist = arc.points[tops];
    let nearest = |among: &mut dyn Iterator<Item = usize>| {
        among.min_by(|&a, &b| (points[a] - waist).hypot2().total_cmp(&(points[b] - waist).hypot2()))
    };
    let any = nearest(&mut (0..points.len())).unwrap_or(0);
    let corner = nearest(&mut (0..points.len()).filter(|&i| turns[i] >= corners::CORNER));
    let start = match corner {
        Some(c) if (points[c] - waist).hypot() < 4.0 * (points[any] - waist).hypot() + 1.0 => c,
        _ => any,
    };
    (start, arc.at[tops])
}

/// Smooths the places of vertices that lie closer together than their noise: each is nearest to some protruding vertex of the sew
/// line, so that they would move in steps. Each gets its place from a straight line fitted through those around it (least
/// squares); vertices at a corner of the sew line keep their place.
fn evened(at: &mut [f64], points: &[Point], corners: &[f64]) {
    /// With fewer vertices than this within [`ARM`] on either side, the line does not count as dense.
    const CLOSE: usize = 6;
    /// The most vertices used on either side, however dense the line is.
    const ENOUGH: usize = 200;
    let n = points.len();
    let raw = at.to_vec();
    let near_corner = |place: f64| corners.iter().any(|c| (place - c).abs() < ARM);
    let gap = |i: usize| (points[(i + 1) % n] - points[i]).hypot();
    // A jump along the sew line, as around a corner, interrupts the run.
    let runs_on = |i: usize| (raw[(i + 1) % n] - raw[i]).abs() <= 2.0 * gap(i) + 1.0;
    for (i, place) in at.iter_mut().enumerate().filter(|(_, place)| !near_corner(**place)) {
        let (mut ahead, mut behind) = (Vec::new(), Vec::new());
        let most = ENOUGH.min(n / 2);
        let (mut s, mut k) = (0.0, i);
        while runs_on(k) && s + gap(k) <= ARM && ahead.len() < most {
            s += gap(k);
            k = (k + 1) % n;
            ahead.push((s, raw[k]));
        }
        (s, k) = (0.0, (i + n - 1) % n);
        while runs_on(k) && s + gap(k) <= ARM && behind.len() < most {
            s += gap(k);
            behind.push((-s, raw[k]));
            k = (k + n - 1) % n;
        }
        if ahead.len().min(behind.len()) < CLOSE {
            continue;
        }
        let about = || ahead.iter().chain(&behind).copied().chain([(0.0, raw[i])]);
        let count = about().count() as f64;
        let mean = |of: &dyn Fn((f64, f64)) -> f64| about().map(of).sum::<f64>() / count;
        let (s, t) = (mean(&|p| p.0), mean(&|p| p.1));
        let spread = mean(&|p| (p.0 - s).powi(2));
        if spread > 0.0 {
            *place = t - s * mean(&|p| (p.0 - s) * (p.1 - t)) / spread;
        }
    }
}

/// Arc length around the ring, the extension of a fly included.
pub(crate) struct Arc {
    pub points: Vec<Point>,
    /// Arc length from the first point to each, and the whole at the end.
    pub at: Vec<f64>,
    /// For each edge the stations of its ends, on the seam that it belongs to.
    edges: Vec<(Station, Station)>,
}

impl Arc {
    pub fn new(leg: &Leg) -> Self {
        let (n, ring) = (leg.ring.len(), &leg.ring);
        let own = line::stations(ring);
        let whole = own[n - 1] + (ring[0] - ring[n - 1]).hypot();
        let edge = |k: usize| {
            let end = if k + 1 == n { whole } else { own[k + 1] };
            let role = leg.role_of(k);
            if role == SeamRole::Waist {
                // The waist is seen from the centre.
                return (Station { role, at: whole - own[k] }, Station { role, at: whole - end });
            }
            let from = own[*leg.range(role).start()];
            (Station { role, at: own[k] - from }, Station { role, at: end - from })
        };
        let mut points = ring.clone();
        let mut edges: Vec<(Station, Station)> = (0..n).map(edge).collect();
        let reached = edges[0].1;
        let ends: Vec<Station> = std::iter::once(edges[0].0).chain(on_fly(leg)).chain([reached]).collect();
        edges.splice(0..1, ends.windows(2).map(|w| (w[0], w[1])));
        points.splice(1..1, leg.fly.iter().copied());
        let mut at = line::stations(&points);
        at.push(at[at.len() - 1] + (points[0] - points[points.len() - 1]).hypot());
        Arc { points, at, edges }
    }

    /// The line of a piece that is no leg and has no seams: its points alone.
    pub fn of_line(points: &[Point]) -> Arc {
        let mut at = line::stations(points);
        at.extend(at.last().map(|last| last + (points[0] - points[points.len() - 1]).hypot()));
        Arc { points: points.to_vec(), at, edges: Vec::new() }
    }

    /// The arc length on this line at which each point of another line belongs. A closed line is followed from the corner at the
    /// waist, so that opposite sides of a narrow piece are not confused; for an open line it is the nearest place.
    pub fn along(&self, leg: &Leg, points: &[Point], closed: bool) -> Vec<f64> {
        if !closed {
            let whole = self.at[self.at.len() - 1];
            return points.iter().map(|&p| self.nearest(p, 0.0, whole)).collect();
        }
        let n = points.len();
        let same_way = ring::doubled_area(points) * ring::doubled_area(&leg.ring) > 0.0;
        let (start, mut from) = start(leg, self, points);
        let mut at = vec![from; n];
        let (mut before, mut off) = (points[start], 0.0);
        for k in 1..n {
            let i = if same_way { (start + k) % n } else { (start + n - k) % n };
            (off, from) = self.next(points[i], off, from, (points[i] - before).hypot() + AHEAD);
            at[i] = from;
            before = points[i];
        }
        evened(&mut at, points, &self.corners(leg));
        at
    }

    /// The place of the next point of a line that is followed, with the square of its distance. The place is no further along
    /// than `reach`, unless the point lies further off than the one before it because something that only this line has, such as
    /// a dart, lies between.
    fn next(&self, p: Point, off_before: f64, from: f64, reach: f64) -> (f64, f64) {
        /// In mm: both legs of a dart and some room; the longest darts of trousers have legs of some 150 mm (from memory).
        const DART: f64 = 400.0;
        /// How much nearer the place beyond the dart has to be, as a share of the square of the distance.
        const NEARER: f64 = 0.8;
        let here = self.nearest_by(p, from, reach);
        if here.0 * NEARER <= off_before {
            return here;
        }
        let beyond = self.nearest_by(p, from + reach, DART);
        if beyond.0 < here.0 * NEARER { beyond } else { here }
    }

    /// The arc lengths of the sew line's corners.
    fn corners(&self, leg: &Leg) -> Vec<f64> {
        let skip = leg.fly.len();
        let ends = [leg.fork, leg.hem_in, leg.hem_out, leg.side].map(|k| k + skip);
        let all = (0..=skip + 1).chain(ends);
        all.map(|k| self.at[k]).chain([self.whole()]).collect()
    }

    /// The point of the ring at an arc length.
    pub fn point(&self, arc: f64) -> Point {
        let n = self.points.len();
        let k = self.at.partition_point(|&a| a < arc).clamp(1, n) - 1;
        let length = self.at[k + 1] - self.at[k];
        let share = if length > 0.0 { ((arc - self.at[k]) / length).clamp(0.0, 1.0) } else { 1.0 };
        self.points[k].lerp(self.points[(k + 1) % n], share)
    }

    /// The length of the whole ring.
    pub fn whole(&self) -> f64 {
        self.at[self.at.len() - 1]
    }

    fn station(&self, arc: f64) -> Station {
        let k = self.at.partition_point(|&a| a < arc).clamp(1, self.edges.len()) - 1;
        let (from, to) = self.edges[k];
        let length = self.at[k + 1] - self.at[k];
        let share = if length > 0.0 { ((arc - self.at[k]) / length).clamp(0.0, 1.0) } else { 1.0 };
        Station { role: from.role, at: from.at + (to.at - from.at) * share }
    }

    /// Like [`Arc::nearest`], but between `from` and `to`, which may lie beyond the point at which counting along the ring
    /// starts.
    pub fn nearest_on(&self, p: Point, from: f64, to: f64) -> f64 {
        /// In mm: the edge that begins where the stretch ends is none of it.
        const WITHIN: f64 = 1e-6;
        let whole = self.whole();
        let before = self.nearest_by(p, from, to.min(whole) - from - WITHIN);
        if to <= whole {
            return before.1;
        }
        let after = self.nearest_by(p, 0.0, to - whole);
        if after.0 < before.0 { whole + after.1 } else { before.1 }
    }

    /// The arc length of the point of the ring nearest to `p`, between `from` and `reach` further.
    pub fn nearest(&self, p: Point, from: f64, reach: f64) -> f64 {
        self.nearest_by(p, from, reach).1
    }

    /// Like [`Arc::nearest`], together with the square of the distance.
    fn nearest_by(&self, p: Point, from: f64, reach: f64) -> (f64, f64) {
        let n = self.points.len();
        let first = self.at.partition_point(|&a| a <= from).saturating_sub(1).min(n - 1);
        let mut best = (f64::INFINITY, from);
        // Along the line, the distance from `p` decreases no faster than the arc length grows. After a point that is much further
        // away than the best so far, nothing nearer can come before this arc length.
        let mut not_before = f64::NEG_INFINITY;
        for j in first..n {
            if self.at[j] > from + reach {
                break;
            }
            if self.at[j + 1] < not_before {
                continue;
            }
            let (a, b) = (self.points[j], self.points[(j + 1) % n]);
            let d: Vec2 = b - a;
            let t = nearest_share(a, b, p);
            let distance = (a + d * t - p).hypot2();
            if distance < best.0 {
                best = (distance, (self.at[j] + t * d.hypot()).max(from));
            }
            not_before = self.at[j + 1] + (b - p).hypot2().sqrt() - best.0.sqrt();
        }
        best
    }
}
