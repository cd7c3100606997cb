//! A run of points by how far along it something lies.

use crate::seam::ring;
use kurbo::{Line, ParamCurveNearest, Point};

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
