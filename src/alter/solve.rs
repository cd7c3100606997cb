//! The slide that gives a rise the length asked for.

use super::law::{Law, Moves};
use super::station::Station;
use crate::seam::{Leg, SeamRole, ring};
use crate::units::Mm;
use kurbo::Point;
use kurbo::common::solve_itp;

/// Unknowns are solved to this many mm; a crotch length is to be met to 0.05 mm.
const EXACT: f64 = 1e-7;

/// Long edges are followed in steps of this many mm: where the law bends one, vertices are added in
/// drawing it, and its length is that of the bent line.
const STEP: f64 = 8.0;

/// No slide within reach gives the change asked for.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct OutOfReach {
    /// The slide at the limit.
    pub limit: Mm,
    /// The change of the rise that it gives.
    pub most: Mm,
}

/// The slide along the grain that changes the rise by `change`, other moves given.
pub fn slide(rise: &SeamLength<'_>, change: Mm, other: Moves) -> Result<Mm, OutOfReach> {
    let miss = |along: f64| (rise.change(Moves { along: Mm(along), ..other }) - change).0;
    let (low, high) = rise.law.reach();
    root(miss, low.0, high.0).map(Mm).map_err(|at| OutOfReach { limit: Mm(at), most: Mm(miss(at)) + change })
}

/// The root of a rising function between sound limits, by the ITP method, which keeps its bracket
/// (I. Oliveira, R. Takahashi, *ACM Transactions on Mathematical Software* 47 (2021)). Where there
/// is none, the limit that lies nearer to it.
pub(super) fn root(f: impl Fn(f64) -> f64, low: f64, high: f64) -> Result<f64, f64> {
    let (at_low, at_high) = (f(low), f(high));
    if at_low > 0.0 {
        return Err(low);
    }
    if at_high < 0.0 {
        return Err(high);
    }
    Ok(solve_itp(f, low, high, EXACT, 1, 0.2 / (high - low), at_low, at_high))
}

/// The length of a leg's seam as a function of its moves.
pub struct SeamLength<'l> {
    points: Vec<Point>,
    stations: Vec<Station>,
    law: &'l Law,
    drawn: f64,
}

impl<'l> SeamLength<'l> {
    /// The length of this seam of a leg under this law.
    #[must_use]
    pub fn new(leg: &Leg, law: &'l Law, role: SeamRole) -> Self {
        let drawn = leg.seam(role);
        let mut points = Vec::with_capacity(drawn.len());
        let mut stations = Vec::with_capacity(drawn.len());
        let mut at = 0.0;
        for w in drawn.windows(2) {
            let length = (w[1] - w[0]).hypot();
            #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)] // a piece is under a km
            let parts = (length / STEP).ceil().max(1.0) as u32;
            for k in 0..parts {
                let share = f64::from(k) / f64::from(parts);
                points.push(w[0].lerp(w[1], share));
                stations.push(Station { role, at: at + length * share });
            }
            at += length;
        }
        points.extend(drawn.last());
        stations.push(Station { role, at });
        SeamLength { drawn: ring::length(&drawn), points, stations, law }
    }

    /// How much longer the seam is after these moves.
    #[must_use]
    pub fn change(&self, moves: Moves) -> Mm {
        let moved = |i: usize| self.points[i] + self.law.displacement(self.stations[i], moves);
        let mut before = moved(0);
        let after: f64 = (1..self.points.len())
            .map(|i| {
                let p = moved(i);
                let step = (p - before).hypot();
                before = p;
                step
            })
            .sum();
        Mm(after - self.drawn)
    }
}
