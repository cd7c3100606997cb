//! A trouser leg piece whose seams are known.

use super::{SeamRole, ring};
use crate::units::Mm;
use kurbo::{Point, Vec2};
use std::ops::RangeInclusive;

/// How something was found. Part of the interface.
#[derive(Clone, Copy, Debug, PartialEq, Eq, serde::Serialize, schemars::JsonSchema)]
#[serde(rename_all = "lowercase")]
pub enum How {
    /// By a layer of its own.
    Layer,
    /// By a label at it.
    Label,
    /// By turn points and shape.
    Shape,
}

/// Where the sew line comes from. Part of the interface.
#[derive(Clone, Copy, Debug, PartialEq, Eq, serde::Serialize, schemars::JsonSchema)]
#[serde(rename_all = "lowercase")]
pub enum SewLine {
    /// It is drawn.
    Drawn,
    /// The cut line less the allowances.
    Allowance,
    /// The boundary is the sew line.
    Boundary,
}

/// How the parts of a leg were found.
#[derive(Clone, Copy, Debug, PartialEq, Eq, serde::Serialize, schemars::JsonSchema)]
pub struct Found {
    /// The grain line.
    pub grain: How,
    /// The crotch seam.
    pub crotch: How,
    /// The inseam.
    pub inseam: How,
    /// The sew line.
    pub sew_line: SewLine,
}

/// The sew line of a trouser leg, in mm, with its seams.
///
/// The ring begins at the centre waist and runs down the crotch seam to the fork, down the inseam,
/// along the hem, and up the outseam to the waist, whichever way the drawing runs.
#[derive(Clone, Debug, PartialEq)]
pub struct Leg {
    /// The points of the ring.
    pub ring: Vec<Point>,
    /// For each the point of the sew path it is.
    pub order: Vec<u32>,
    /// Unit vector up the grain, from hem to waist.
    pub up: Vec2,
    /// Unit vector across the grain, from the leg outwards over the fork.
    pub out: Vec2,
    /// The index of the fork.
    pub fork: usize,
    /// The index of the inner hem corner.
    pub hem_in: usize,
    /// The index of the outer hem corner.
    pub hem_out: usize,
    /// The index of the waist corner at the side.
    pub side: usize,
    /// The index where the crotch curve begins.
    pub curve_begin: usize,
    /// How it was found.
    pub found: Found,
}

impl Leg {
    /// The indices of a seam; the waist's last stands for the ring's first point again.
    #[must_use]
    pub fn range(&self, role: SeamRole) -> RangeInclusive<usize> {
        match role {
            SeamRole::Crotch => 0..=self.fork,
            SeamRole::Inseam => self.fork..=self.hem_in,
            SeamRole::Hem => self.hem_in..=self.hem_out,
            SeamRole::Outseam => self.hem_out..=self.side,
            SeamRole::Waist => self.side..=self.ring.len(),
        }
    }

    /// The points of a seam, from its first corner to its last.
    #[must_use]
    pub fn seam(&self, role: SeamRole) -> Vec<Point> {
        self.range(role).map(|i| self.ring[i % self.ring.len()]).collect()
    }

    /// The length of a seam on the sew line.
    #[must_use]
    pub fn length(&self, role: SeamRole) -> Mm {
        Mm(ring::length(&self.seam(role)))
    }

    /// The fork.
    #[must_use]
    pub fn fork_point(&self) -> Point {
        self.ring[self.fork]
    }

    /// The width at fork level: across the grain from the fork to the outseam. `None` where the
    /// outseam does not reach that level.
    #[must_use]
    pub fn thigh(&self) -> Option<Mm> {
        let fork = self.fork_point();
        let level = |p: Point| (p - fork).dot(self.up);
        let crossings = self
            .seam(SeamRole::Outseam)
            .windows(2)
            .filter_map(|w| {
                let (a, b) = (level(w[0]), level(w[1]));
                (a <= 0.0 && b >= 0.0 && a < b).then(|| w[0].lerp(w[1], a / (a - b)))
            })
            .map(|p| (fork - p).dot(self.out))
            .collect::<Vec<_>>();
        crossings.into_iter().reduce(f64::max).map(Mm)
    }

    /// The inside angle at the fork between crotch seam and inseam, in degrees, between the
    /// tangents of the two curves there.
    #[must_use]
    pub fn fork_angle(&self) -> f64 {
        let inseam = ring::tangent_at_start(&self.ring[self.fork..=self.hem_in]);
        let mut crotch: Vec<Point> = self.ring[..=self.fork].to_vec();
        crotch.reverse();
        ring::angle(ring::tangent_at_start(&crotch), inseam).abs()
    }
}
