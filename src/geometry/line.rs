//! A line through points: its length, and positions along it.

use super::{Nearest, Segments, edge};
use kurbo::{Point, Vec2};

/// The length of an open line.
#[must_use]
pub fn length(points: &[Point]) -> f64 {
    points.windows(2).map(|w| (w[1] - w[0]).hypot()).sum()
}

/// The length of an open line from its first point to each of its points.
#[must_use]
pub fn stations(points: &[Point]) -> Vec<f64> {
    let mut at = 0.0;
    let mut before = points.first().copied().unwrap_or_default();
    points
        .iter()
        .map(|&p| {
            at += (p - before).hypot();
            before = p;
            at
        })
        .collect()
}

/// The distance from a point to a line; infinite if the line has no edge.
#[must_use]
pub fn distance(points: &[Point], closed: bool, p: Point) -> f64 {
    nearest(points, closed, p).2
}

/// The place on a line that is nearest to `p`, or the first of equally near ones: the index of the vertex before it, its share of
/// the edge after that vertex, and its distance. Every edge is examined; for many queries use [`Segments`].
#[must_use]
pub fn nearest(points: &[Point], closed: bool, p: Point) -> (usize, f64, f64) {
    let n = points.len();
    let last = if closed { n } else { n.saturating_sub(1) };
    let mut best = (0, 0.0, f64::INFINITY);
    for i in 0..last {
        let (share, square) = edge::nearest_squared(points[i], points[(i + 1) % n], p);
        if square < best.2 {
            best = (i, share, square);
        }
    }
    (best.0, best.1, best.2.sqrt())
}

/// An open line with the lengths along it.
#[derive(Clone, Debug)]
pub struct Measured {
    points: Vec<Point>,
    stations: Vec<f64>,
    segments: Segments,
}

impl Measured {
    /// A line through at least one point.
    #[must_use]
    pub fn new(points: Vec<Point>) -> Self {
        let (stations, segments) = (stations(&points), Segments::of(&points, false));
        Measured { points, stations, segments }
    }

    /// Its points.
    #[must_use]
    pub fn points(&self) -> &[Point] {
        &self.points
    }

    /// The length along the line to each of its points.
    #[must_use]
    pub fn stations(&self) -> &[f64] {
        &self.stations
    }

    /// Its length.
    #[must_use]
    pub fn length(&self) -> f64 {
        self.stations.last().copied().unwrap_or(0.0)
    }

    /// The point at length `s` along the line.
    #[must_use]
    pub fn at(&self, s: f64) -> Point {
        let i = self.stations.partition_point(|&at| at < s).clamp(1, self.points.len() - 1);
        let (from, to) = (self.stations[i - 1], self.stations[i]);
        let share = if to > from { ((s - from) / (to - from)).clamp(0.0, 1.0) } else { 0.0 };
        self.points[i - 1].lerp(self.points[i], share)
    }

    /// The part between two lengths along it.
    #[must_use]
    pub fn part(&self, from: f64, to: f64) -> Vec<Point> {
        let (from, to) = (from.max(0.0), to.min(self.length()));
        let first = self.stations.partition_point(|&at| at <= from);
        let last = self.stations.partition_point(|&at| at < to).max(first);
        let within = self.points[first..last].iter().copied();
        std::iter::once(self.at(from)).chain(within).chain([self.at(to)]).collect()
    }

    /// The direction of the line between two lengths along it, as a unit vector, and by how many radians noise may have turned
    /// it. It is the direction of the least-squares line through the points there. If there are only a few points, it is that of
    /// the chord, with an uncertainty of zero.
    #[must_use]
    pub fn direction(&self, from: f64, to: f64) -> (Vec2, f64) {
        /// The least number of points for the least-squares line.
        const MANY: usize = 5;
        /// The uncertainty in standard errors of the slope. It is not exceeded at any of some hundred places.
        const ERRORS: f64 = 4.0;
        let points = self.part(from, to);
        let (chord, within) = (points[points.len() - 1] - points[0], points.len() - 2);
        let unit = |v: Vec2| v / v.hypot().max(1e-9);
        if within < MANY {
            return (unit(chord), 0.0);
        }
        let first = self.stations.partition_point(|&at| at <= from.max(0.0));
        let stations = &self.stations[first..first + within];
        let n = within as f64;
        let middle = stations.iter().sum::<f64>() / n;
        let centre = points[1..=within].iter().map(|p| *p - points[0]).sum::<Vec2>() / n;
        let off = |p: &Point| *p - points[0] - centre;
        let fit = stations.iter().zip(&points[1..]).map(|(s, p)| off(p) * (s - middle)).sum();
        let direction = unit(fit);
        let beside: f64 = points[1..=within].iter().map(|p| off(p).cross(direction).powi(2)).sum();
        let along: f64 = points[1..=within].iter().map(|p| off(p).dot(direction).powi(2)).sum();
        (direction, ERRORS * (beside / ((n - 2.0) * along.max(1e-9))).sqrt())
    }

    /// The length along the line to the place nearest to a point; 0 if the line has no edge.
    #[must_use]
    pub fn station(&self, p: Point) -> f64 {
        self.nearest(p).map_or(0.0, |(at, _)| at)
    }

    /// The length along the line to the place nearest to a point, or to the first of equally near ones, and the distance of that
    /// place from the point. `None` if the line has no edge.
    #[must_use]
    pub fn nearest(&self, p: Point) -> Option<(f64, f64)> {
        let Nearest { edge, line, share, away } = self.segments.nearest(p)?;
        Some((self.stations[edge] + share * (line.p1 - line.p0).hypot(), away))
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::float_cmp, reason = "whole numbers are meant exactly")]
    use super::super::by_hand::*;
    use super::super::ring::run;
    use super::*;

    #[test]
    fn runs_lengths_stations_and_distances() {
        let line = points(&[(0.0, 0.0), (3.0, 4.0), (3.0, 10.0), (-5.0, 4.0)]);
        assert_eq!(run(&line, 1, 3), line[1..]);
        assert_eq!(run(&line, 3, 1), [line[3], line[0], line[1]]);
        assert!(near(length(&line), 5.0 + 6.0 + 10.0));
        assert_eq!(stations(&line), [0.0, 5.0, 11.0, 21.0]);
        // The distance from the edge of 5 is the height of the 3-4-5 triangle; beyond an end it is the distance to the end.
        let off = |x: f64, y: f64| distance(&line, false, Point::new(x, y) + ORIGIN);
        assert!(near(off(3.0, 0.0), 2.4) && near(off(-3.0, -4.0), 5.0) && near(off(10.0, 6.0), 7.0));
    }

    #[test]
    fn only_a_closed_line_has_its_last_edge() {
        let hook = [(10.0, 20.0), (50.0, 20.0), (50.0, 50.0)].map(Point::from);
        // The middle of the closing edge, 15 mm from the lower edge and 20 mm from the right one.
        let middle = Point::new(30.0, 35.0);
        assert_eq!(distance(&hook, true, middle), 0.0);
        assert_eq!(distance(&hook, false, middle), 15.0);
        assert_eq!(distance(&hook, false, Point::new(47.0, 35.0)), 3.0);
        assert_eq!(distance(&hook[..1], false, middle), f64::INFINITY);
    }

    /// Points 10 mm apart lie alternately 0.1 mm above and below a line that rises by 3 on 4: the least-squares line is that line
    /// but for the ends of the noise, and its uncertainty is four standard errors of a slope: √(Σ off² / ((n − 2) Σ along²)).
    #[test]
    fn noise_leaves_a_direction_uncertain_by_four_standard_errors() {
        let along = Vec2::new(0.8, 0.6);
        let at = |k: i32| {
            let off = if k % 2 == 0 { 0.1 } else { -0.1 };
            Point::ZERO + ORIGIN + along * (10.0 * f64::from(k)) + Vec2::new(-0.6, 0.8) * off
        };
        let line = Measured::new((0..=22).map(at).collect());
        // Without the two ends: 21 points from 10 to 210 mm, whose squares about the middle add up to 100 · 2 · (1² + … + 10²).
        let (direction, error) = line.direction(0.0, line.length());
        let by_hand = 4.0 * (21.0 * 0.01 / (19.0 * 77_000.0_f64)).sqrt();
        assert!((direction - along).hypot() < 1e-4, "{direction:?}");
        assert!((error / by_hand - 1.0).abs() < 0.01, "{error} {by_hand}");
        // Few points: the chord, as it is drawn.
        let (chord, none) = line.direction(0.0, 35.0);
        assert!((chord - along).hypot() < 0.01 && none == 0.0);
    }
}
