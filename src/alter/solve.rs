//! The slide that gives a rise the length asked for.

use super::cut_fork::CutFork;
use super::law::{Law, Moves};
use super::station::Station;
use crate::seam::{Derived, Leg, SeamRole, allowance, ring};
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
    /// The points that move: the seam's own, or the whole cut line that the sew line is derived from.
    points: Vec<Point>,
    stations: Vec<Station>,
    /// For a derived sew line what makes it out of the moved points.
    derived: Option<DerivedSeam>,
    law: &'l Law,
    drawn: f64,
}

/// A seam of a derived sew line, on the points of a [`SeamLength`].
struct DerivedSeam {
    allowances: Vec<f64>,
    /// The seam's points, first and last included.
    seam: std::ops::RangeInclusive<usize>,
    /// Where the seam begins if that is not one of the points, but a share of the way between two of
    /// them: the centre front beside a fly.
    start: Option<(usize, usize, f64)>,
    /// The corner at the fork, with its place and those of its neighbours, in the cut line's order.
    fork: Option<(CutFork, usize, [usize; 2])>,
}

impl<'l> SeamLength<'l> {
    /// The length of this seam of a leg under this law.
    #[must_use]
    pub fn new(leg: &Leg, law: &'l Law, role: SeamRole) -> Self {
        if let Some(derived) = &leg.drawn.derived {
            return Self::derived(leg, derived, law, role);
        }
        let drawn = leg.seam(role);
        let mut line = Line::default();
        let mut at = 0.0;
        for w in drawn.windows(2) {
            let length = (w[1] - w[0]).hypot();
            let station = |at| Station { role, at };
            line.edge(w[0], w[1], Some((station(at), station(at + length))));
            at += length;
        }
        line.points.extend(drawn.last());
        line.stations.push(Station { role, at });
        let Line { points, stations, .. } = line;
        SeamLength { drawn: ring::length(&drawn), points, stations, derived: None, law }
    }

    fn derived(leg: &Leg, derived: &Derived, law: &'l Law, role: SeamRole) -> Self {
        let (cut, n) = (&derived.points, derived.points.len());
        let of_cut = super::station::of_path(leg);
        let forward = leg.drawn.forward(n);
        // In the ring's direction, from its first point on the path.
        let from = leg.drawn.order[1] as usize;
        let step = |k: usize| if forward { (from + k) % n } else { (from + n - k % n) % n };
        let mut line = Line::default();
        let mut allowances = Vec::new();
        let mut place = vec![0; n];
        for k in 0..n {
            let (i, j) = (step(k), step(k + 1));
            place[i] = line.points.len();
            // Nothing but the way back along the inseam bends an edge.
            let bends = super::redraw::on_one_seam(of_cut[i], of_cut[j]);
            line.edge(cut[i], cut[j], bends.filter(|(from, _)| from.role == SeamRole::Inseam && law.bends()));
            line.stations[place[i]] = of_cut[i];
            allowances.resize(line.points.len(), derived.allowances[if forward { i } else { j }]);
        }
        let range = leg.range(role);
        let at = |k: usize| place[leg.drawn.order[k % leg.drawn.order.len()] as usize];
        // The ring's first point comes last here, after it the extension of a fly.
        let start = (*range.start() == 0).then(|| {
            let next = leg.drawn.fly.first().unwrap_or(&leg.drawn.order[1]);
            (at(0), place[*next as usize], leg.drawn.start.unwrap_or(0.0))
        });
        let seam = at((*range.start()).max(1))..=at(*range.end());
        let Line { points, stations, .. } = line;
        let fork = CutFork::new(leg).map(|fork| {
            let (i, m) = (at(leg.fork), points.len());
            let (before, after) = ((i + m - 1) % m, (i + 1) % m);
            (fork, i, if forward { [before, after] } else { [after, before] })
        });
        let derived = Some(DerivedSeam { allowances, seam, start, fork });
        let mut length = SeamLength { points, stations, derived, law, drawn: 0.0 };
        length.drawn = length.after(Moves::default());
        length
    }

    /// How much longer the seam is after these moves.
    #[must_use]
    pub fn change(&self, moves: Moves) -> Mm {
        Mm(self.after(moves) - self.drawn)
    }

    fn after(&self, moves: Moves) -> f64 {
        let mut moved: Vec<Point> = self
            .points
            .iter()
            .zip(&self.stations)
            .map(|(p, &s)| *p + self.law.displacement(s, moves))
            .collect();
        let Some(seam) = &self.derived else { return ring::length(&moved) };
        if let Some((fork, i, beside)) = &seam.fork {
            moved[*i] = fork.at(self.points[*i], beside.map(|k| moved[k]), moved[*i] - self.points[*i]);
        }
        let Some(sew) = allowance::inside(&moved, &seam.allowances) else { return f64::INFINITY };
        ring::length(
            &seam
                .start
                .map(|(a, b, share)| sew[a].lerp(sew[b], share))
                .into_iter()
                .chain(seam.seam.clone().map(|i| sew[i]))
                .collect::<Vec<_>>(),
        )
    }
}

/// Points with their stations, in the making.
#[derive(Default)]
struct Line {
    points: Vec<Point>,
    stations: Vec<Station>,
}

impl Line {
    /// Adds an edge without its end, in steps where it is on one seam.
    fn edge(&mut self, a: Point, b: Point, seam: Option<(Station, Station)>) {
        let parts = match seam {
            #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)] // a piece is under a km
            Some(_) => ((b - a).hypot() / STEP).ceil().max(1.0) as u32,
            None => 1,
        };
        for k in 0..parts {
            let share = f64::from(k) / f64::from(parts);
            self.points.push(a.lerp(b, share));
            self.stations.push(match seam {
                Some((from, to)) => Station { role: from.role, at: from.at + (to.at - from.at) * share },
                None => Station { role: SeamRole::Hem, at: 0.0 },
            });
        }
    }
}
