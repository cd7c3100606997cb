//! The slide that gives a rise the length asked for.

use super::law::{Law, Moves};
use super::station::{self, Station};
use crate::seam::{Leg, ring};
use crate::units::Mm;
use kurbo::Point;
use kurbo::common::solve_itp;

/// The slide is solved to this many mm; a crotch length is to be met to 0.05 mm.
const EXACT: f64 = 1e-7;

/// No slide within reach gives the change asked for.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct OutOfReach {
    /// The change of the rise that the largest sound slide gives.
    pub most: Mm,
}

/// The slide along the grain that changes the rise by `change`, other moves given. Found between
/// sound limits by the ITP method (I. Oliveira, R. Takahashi, *ACM Transactions on Mathematical
/// Software* 47 (2021)), which keeps its bracket.
pub fn slide(leg: &Leg, law: &Law, change: Mm, other: Moves) -> Result<Mm, OutOfReach> {
    let rise = Rise::new(leg, law);
    let target = rise.drawn + change.0;
    let miss = |along: f64| rise.after(Moves { along: Mm(along), ..other }) - target;
    let (low, high) = law.reach();
    let (miss_low, miss_high) = (miss(low.0), miss(high.0));
    if miss_low > 0.0 {
        return Err(OutOfReach { most: Mm(miss_low) + change });
    }
    if miss_high < 0.0 {
        return Err(OutOfReach { most: Mm(miss_high) + change });
    }
    Ok(Mm(solve_itp(miss, low.0, high.0, EXACT, 1, 0.2 / (high.0 - low.0), miss_low, miss_high)))
}

/// A leg's rise as a function of its moves.
pub struct Rise<'l> {
    points: &'l [Point],
    stations: Vec<Station>,
    law: &'l Law,
    drawn: f64,
}

impl<'l> Rise<'l> {
    /// The rise of this leg under this law.
    #[must_use]
    pub fn new(leg: &'l Leg, law: &'l Law) -> Self {
        let points = &leg.ring[..=leg.fork];
        let mut stations = station::of_ring(leg);
        stations.truncate(points.len());
        Rise { points, stations, law, drawn: ring::length(points) }
    }

    /// The length of the crotch seam after these moves.
    #[must_use]
    pub fn after(&self, moves: Moves) -> f64 {
        let moved = |i: usize| self.points[i] + self.law.displacement(self.stations[i], moves);
        let mut before = moved(0);
        (1..self.points.len())
            .map(|i| {
                let p = moved(i);
                let step = (p - before).hypot();
                before = p;
                step
            })
            .sum()
    }
}
