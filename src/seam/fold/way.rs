//! A run of points by how far along it something lies.

use crate::seam::ring;
use kurbo::{Line, ParamCurveNearest, Point, Vec2};

/// A run of points, each with its way from the first.
#[derive(Clone)]
pub(super) struct Way {
    pub points: Vec<Point>,
    pub stations: Vec<f64>,
}

impl Way {
    pub fn new(points: Vec<Point>) -> Self {
        let stations = ring::stations(&points);
        Way { points, stations }
    }

    pub fn length(&self) -> f64 {
        self.stations.last().copied().unwrap_or(0.0)
    }

    /// The point so far along.
    pub fn at(&self, s: f64) -> Point {
        let i = self.stations.partition_point(|&at| at < s).clamp(1, self.points.len() - 1);
        let (from, to) = (self.stations[i - 1], self.stations[i]);
        let share = if to > from { ((s - from) / (to - from)).clamp(0.0, 1.0) } else { 0.0 };
        self.points[i - 1].lerp(self.points[i], share)
    }

    /// The part between two lengths along it.
    pub fn part(&self, from: f64, to: f64) -> Vec<Point> {
        let (from, to) = (from.max(0.0), to.min(self.length()));
        let first = self.stations.partition_point(|&at| at <= from);
        let last = self.stations.partition_point(|&at| at < to).max(first);
        let within = self.points[first..last].iter().copied();
        std::iter::once(self.at(from)).chain(within).chain([self.at(to)]).collect()
    }

    /// The direction in which it runs between two lengths along it, as a unit vector, and by how many
    /// radians noise may have turned that: of the straight line that fits the points there in the
    /// least squares; of the chord, and no doubt, where they are few.
    pub fn direction(&self, from: f64, to: f64) -> (Vec2, f64) {
        /// From so many points on.
        const MANY: usize = 5;
        /// So many standard errors of the slope are not exceeded at any of some hundred places.
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

    /// How far along its point nearest to a place lies.
    pub fn nearest(&self, to: Point) -> f64 {
        let mut best = (f64::MAX, 0.0);
        for (i, w) in self.points.windows(2).enumerate() {
            let near = Line::new(w[0], w[1]).nearest(to, 1e-9);
            if near.distance_sq < best.0 {
                best = (near.distance_sq, self.stations[i] + near.t * (w[1] - w[0]).hypot());
            }
        }
        best.1
    }
}
