//! An end of a leg that may be turned in: its edge, and the two seams that run into it.

use super::{Fold, FoldBy};
use crate::geometry::{direction, line, line::Measured};
use crate::seam::{Leg, SeamRole};
use crate::units::Mm;
use kurbo::{Line, ParamCurveNearest, Point};

/// Waist or hem of a leg.
#[derive(Clone)]
pub(super) struct EndEdge {
    pub role: SeamRole,
    /// The edge, from one corner to the other.
    pub line: Vec<Point>,
    /// The crotch seam or inseam, and the outseam, each starting from the edge.
    pub runs: [Measured; 2],
}

impl EndEdge {
    pub fn of(leg: &Leg, role: SeamRole) -> Self {
        let reversed = |role| {
            let mut seam = leg.seam(role);
            seam.reverse();
            seam
        };
        let (edge, runs) = match role {
            SeamRole::Waist => (reversed(role), [leg.seam(SeamRole::Crotch), reversed(SeamRole::Outseam)]),
            _ => (leg.seam(role), [reversed(SeamRole::Inseam), leg.seam(SeamRole::Outseam)]),
        };
        EndEdge { role, line: edge, runs: runs.map(Measured::new) }
    }

    /// The leg without what is turned in beyond a fold.
    pub fn within(&self, fold: &Fold) -> EndEdge {
        let [a, b] = [0, 1].map(|i| {
            let run = &self.runs[i];
            Measured::new(run.part(run.station(fold.ends[i]), f64::MAX))
        });
        EndEdge { role: self.role, line: fold.ends.to_vec(), runs: [a, b] }
    }

    /// The distance of a point from the edge, whose ends are extended straight.
    pub fn away(&self, p: Point) -> f64 {
        /// The length of the extension: more than the width of a leg, in mm.
        const ON: f64 = 1000.0;
        let (edge, n) = (&self.line, self.line.len());
        let mut back = edge[n.saturating_sub(8)..].to_vec();
        back.reverse();
        let ends =
            [(edge[0], direction::tangent_at_start(edge)), (edge[n - 1], direction::tangent_at_start(&back))];
        let on = ends.map(|(end, inwards)| Line::new(end, end - inwards * ON));
        let off = |line: &Line| line.nearest(p, 1e-9).distance_sq.sqrt();
        on.iter().map(off).fold(line::distance(edge, false, p), f64::min)
    }

    /// The first place of a run that has this distance from the edge.
    pub fn at(&self, run: usize, depth: f64) -> Option<Point> {
        /// The number of steps in which the run is searched.
        const STEPS: u32 = 64;
        /// Halving a step this often leaves less than a micrometre of it.
        const HALVED: u32 = 24;
        let way = &self.runs[run];
        let far = way.length().min(4.0 * depth);
        let station = |k: u32| far * f64::from(k) / f64::from(STEPS);
        let beyond = |s: f64| self.away(way.at(s)) >= depth;
        let k = (1..=STEPS).find(|&k| beyond(station(k)))?;
        let (mut near, mut further) = (station(k - 1), station(k));
        for _ in 0..HALVED {
            let middle = f64::midpoint(near, further);
            if beyond(middle) { further = middle } else { near = middle }
        }
        Some(way.at(further))
    }

    /// The fold at this distance from the edge, as stated by the user.
    pub fn stated(&self, turned_in: Mm) -> Option<Fold> {
        let ends = [self.at(0, turned_in.0)?, self.at(1, turned_in.0)?];
        Some(Fold { ends, turned_in, by: FoldBy::Stated })
    }
}
