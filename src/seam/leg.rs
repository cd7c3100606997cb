//! A trouser leg piece whose seams are known.

use super::{SeamRole, ring};
use crate::units::Mm;
use kurbo::{Point, Vec2};
use std::borrow::Cow;
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

/// How a leg's ring lies on a line of its piece.
#[derive(Clone, Debug, PartialEq)]
pub struct Drawn {
    /// The piece's path: the sew line, or the cut line that it is derived from.
    pub path: usize,
    /// For each point of the ring the path's point that it is; for a ring that starts on an edge,
    /// the first is the path's point before that edge, in the ring's direction.
    pub order: Vec<u32>,
    /// Where on that edge the ring starts, as a share of it in the ring's direction; `None` where it
    /// starts at a point of the path.
    pub start: Option<f64>,
    /// Points of the path that the ring leaves out, in the ring's direction: the extension of a fly.
    pub fly: Vec<u32>,
    /// The cut line and its allowances, where the sew line is derived from them.
    pub derived: Option<Derived>,
}

/// A cut line with its allowances.
#[derive(Clone, Debug, PartialEq)]
pub struct Derived {
    /// The points of the cut line in mm, in the path's order.
    pub points: Vec<Point>,
    /// The allowance of the edge after each point, in mm.
    pub allowances: Vec<f64>,
}

impl Drawn {
    /// Whether the ring runs as the path does.
    #[must_use]
    pub fn forward(&self, points: usize) -> bool {
        self.order[2] as usize == (self.order[1] as usize + 1) % points
    }

    /// The points of the ring on a line that stands in the path's place, point for point.
    #[must_use]
    pub fn ring(&self, line: &[Point]) -> Vec<Point> {
        let mut ring: Vec<Point> = self.order.iter().map(|&i| line[i as usize]).collect();
        if let Some(share) = self.start {
            let n = line.len();
            let i = self.order[0] as usize;
            let next = if self.forward(n) { (i + 1) % n } else { (i + n - 1) % n };
            ring[0] = line[i].lerp(line[next], share);
        }
        ring
    }

    /// How the ring lies on its path once that has been redrawn, from `old` to `new` points; `index`
    /// gives each old point's new one.
    #[must_use]
    pub fn redrawn(&self, old: usize, new: usize, index: &[usize], derived: Option<Derived>) -> Drawn {
        let forward = self.forward(old);
        let number = |i: usize| u32::try_from(i).unwrap_or(u32::MAX);
        let all_from = |from: usize, to: usize| {
            let steps = if forward { (to + new - from) % new } else { (from + new - to) % new };
            (0..=steps).map(move |k| number(if forward { (from + k) % new } else { (from + new - k) % new }))
        };
        let at = |k: usize| index[self.order[k] as usize];
        let last = self.order.len() - 1;
        let mut order: Vec<u32> = Vec::with_capacity(new + 1);
        if self.start.is_some() {
            order.push(number(at(0)));
            order.extend(all_from(at(1), at(last)));
        } else if self.fly.is_empty() {
            // Points added on the edge that closes the ring come last.
            let before = if forward { (at(0) + new - 1) % new } else { (at(0) + 1) % new };
            order.extend(all_from(at(0), before));
        } else {
            order.push(number(at(0)));
            order.extend(all_from(at(1), at(last)));
        }
        let fly = self.fly.iter().map(|&i| number(index[i as usize])).collect();
        Drawn { path: self.path, order, start: self.start, fly, derived }
    }
}

/// The sew line of a trouser leg, in mm, with its seams.
///
/// The ring begins at the centre waist and runs down the crotch seam to the fork, down the inseam,
/// along the hem, and up the outseam to the waist, whichever way the drawing runs.
#[derive(Clone, Debug, PartialEq)]
pub struct Leg {
    /// The points of the ring.
    pub ring: Vec<Point>,
    /// The points of the sew line around the extension of a fly, from the waist down; the ring
    /// leaves them out.
    pub fly: Vec<Point>,
    /// The line of the piece that they are drawn on.
    pub drawn: Drawn,
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

    /// The ring on the line that is drawn: the sew line itself, or the cut line it is derived from.
    #[must_use]
    pub fn drawn_ring(&self) -> Cow<'_, [Point]> {
        match &self.drawn.derived {
            Some(derived) => Cow::Owned(self.drawn.ring(&derived.points)),
            None => Cow::Borrowed(&self.ring),
        }
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

    /// The inside angle at the fork between the two edges that are drawn there, in degrees.
    #[must_use]
    pub fn fork_corner(&self) -> f64 {
        let fork = self.fork_point();
        ring::angle(self.ring[self.fork - 1] - fork, self.ring[self.fork + 1] - fork).abs()
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
