//! A trouser leg piece whose seams are known.

use super::SeamRole;
use super::one_piece::{OnePiece, OtherPart};
use crate::geometry::direction;
use crate::geometry::line::{self, Measured};
use crate::units::Mm;
use kurbo::{Point, Vec2};
use std::borrow::Cow;
use std::ops::{Range, RangeInclusive};

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

/// How the points of a leg's ring correspond to the points of a line of its piece.
#[derive(Clone, Debug, PartialEq)]
pub struct RingOnLine {
    /// The index of the piece's path: the sew line, or the cut line that the sew line is derived from.
    pub(super) path: usize,
    /// For each point of the ring, the index of the path's point that it is. If the ring starts on an edge, the first entry is
    /// the path's point before that edge, in the ring's direction.
    pub(super) order: Vec<u32>,
    /// Where on that edge the ring starts, as a share of the edge in the ring's direction; `None` if it starts at a point of the
    /// path.
    pub(super) start: Option<f64>,
    /// Points of the path that the ring leaves out, in the ring's direction: those around a fly extension.
    pub(super) fly: Vec<u32>,
    /// The cut line and its allowances, where the sew line is derived from them.
    pub(super) derived: Option<Derived>,
}

/// A cut line with its allowances.
#[derive(Clone, Debug, PartialEq)]
pub struct Derived {
    /// The points of the cut line in mm, in the path's order.
    pub points: Vec<Point>,
    /// The allowance of the edge after each point, in mm.
    pub allowances: Vec<f64>,
}

impl RingOnLine {
    /// A ring that consists of these points of a path, with these points around a fly. For tests in other modules.
    #[cfg(test)]
    pub fn of_points(path: usize, order: Vec<u32>, fly: Vec<u32>) -> Self {
        RingOnLine { path, order, start: None, fly, derived: None }
    }

    /// The index of the piece's path: the sew line, or the cut line that the sew line is derived from.
    pub fn path(&self) -> usize {
        self.path
    }

    /// The cut line and its allowances, where the sew line is derived from them.
    pub fn derived(&self) -> Option<&Derived> {
        self.derived.as_ref()
    }

    /// Whether the ring starts between two points of the path at which nothing leads away from it: below a bib, where the outline runs
    /// straight on.
    pub fn starts_below_more(&self) -> bool {
        self.start.is_some() && self.fly.is_empty()
    }

    /// Whether the ring starts between two points of the path.
    pub fn starts_on_edge(&self) -> bool {
        self.start.is_some()
    }

    /// The index of the path's point for a point of the ring; if the ring starts on an edge, its first point gives the path's
    /// point before that edge.
    pub fn vertex(&self, k: usize) -> usize {
        self.order[k] as usize
    }

    /// The points of the ring that are points of the path, as pairs of their index in the ring and in the path.
    pub fn vertices(&self) -> impl Iterator<Item = (usize, usize)> {
        let first = usize::from(self.start.is_some());
        self.order.iter().map(|&i| i as usize).enumerate().skip(first)
    }

    /// The points of the path around the fly extension, from the waist down.
    pub fn fly(&self) -> impl Iterator<Item = usize> {
        self.fly.iter().map(|&i| i as usize)
    }

    /// Converts a place on the ring's edge after point `k` into the path's point before it and the share of the path's edge.
    /// `points` is the number of points of the path.
    pub fn on_edge(&self, k: usize, share: f64, points: usize) -> (u32, f64) {
        let n = self.order.len();
        let closing = k + 1 == n;
        // The ring starts on this edge of the path, so that only a part of the edge follows the ring's last point, and the rest its
        // first one, unless a fly lies between.
        let share = match self.start {
            Some(start) if closing => share * start,
            Some(start) if k == 0 && self.fly.is_empty() => start + share * (1.0 - start),
            _ => share,
        };
        let from = self.order[k];
        if self.forward(points) {
            return (from, share);
        }
        let count = u32::try_from(points).unwrap_or(u32::MAX);
        let starts = closing && self.start.is_some();
        let end = if starts { (from + count - 1) % count } else { self.order[(k + 1) % n] };
        (end, 1.0 - share)
    }

    /// Whether the ring runs in the direction of the path.
    pub(super) fn forward(&self, points: usize) -> bool {
        self.order[2] as usize == (self.order[1] as usize + 1) % points
    }

    /// The points of the ring on a line that corresponds to the path point by point.
    pub(super) fn ring(&self, line: &[Point]) -> Vec<Point> {
        let mut ring: Vec<Point> = self.order.iter().map(|&i| line[i as usize]).collect();
        if let Some(share) = self.start {
            let n = line.len();
            let i = self.order[0] as usize;
            let next = if self.forward(n) { (i + 1) % n } else { (i + n - 1) % n };
            ring[0] = line[i].lerp(line[next], share);
        }
        ring
    }

    /// The same correspondence after the path was redrawn with `new` points instead of `old`; `index` gives the new index of each
    /// old point, `begun` that of a vertex that was added where the ring starts.
    fn redrawn(
        &self,
        [old, new]: [usize; 2],
        index: &[usize],
        begun: Option<usize>,
        derived: Option<Derived>,
    ) -> RingOnLine {
        let forward = self.forward(old);
        let number = |i: usize| u32::try_from(i).unwrap_or(u32::MAX);
        let all_from = |from: usize, to: usize| {
            let steps = if forward { (to + new - from) % new } else { (from + new - to) % new };
            (0..=steps).map(move |k| number(if forward { (from + k) % new } else { (from + new - k) % new }))
        };
        let at = |k: usize| index[self.order[k] as usize];
        let last = self.order.len() - 1;
        let mut order: Vec<u32> = Vec::with_capacity(new + 1);
        if let Some(begun) = begun {
            let before = if forward { (begun + new - 1) % new } else { (begun + 1) % new };
            order.extend(all_from(begun, before));
        } else if self.start.is_some() {
            order.push(number(at(0)));
            order.extend(all_from(at(1), at(last)));
        } else {
            // Points added on the edge that closes the ring come last.
            let before = if forward { (at(0) + new - 1) % new } else { (at(0) + 1) % new };
            if self.fly.is_empty() {
                order.extend(all_from(at(0), before));
            } else {
                order.push(number(at(0)));
                order.extend(all_from(at(1), before));
            }
        }
        let fly = self.fly.iter().map(|&i| number(index[i as usize])).collect();
        let start = self.start.filter(|_| begun.is_none());
        RingOnLine { path: self.path, order, start, fly, derived }
    }
}

/// The sew line of a trouser leg, in mm, with its seams.
///
/// The ring begins at the centre waist and runs down the crotch seam to the fork, down the inseam,
/// along the hem, and up the outseam to the waist, whichever way the drawing runs. If front and back are drawn in one piece, each
/// has a ring of its own around the whole piece, on which the other part's inseam and crotch seam stand in place of an outseam.
#[derive(Clone, Debug, PartialEq)]
pub struct Leg {
    /// The points of the ring.
    pub ring: Vec<Point>,
    /// The points of the sew line around a fly extension, from the waist down; the ring leaves them out.
    pub fly: Vec<Point>,
    /// How ring and fly correspond to a line of the piece.
    pub drawn: RingOnLine,
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
    /// What the leg has in place of an outseam, if front and back are drawn in one piece.
    pub one_piece: Option<OnePiece>,
    /// The edge that is a mirror line, if the piece is drawn as half: nothing is sewn there, and there is no allowance.
    pub mirror: Option<SeamRole>,
    /// How the parts of the leg were found.
    pub found: Found,
}

/// The seam that the edge after a point of a ring belongs to, where the ring has these corners: fork, inner and outer hem, side waist.
pub(super) fn role_of(edge: usize, [fork, hem_in, hem_out, side]: [usize; 4]) -> SeamRole {
    match edge {
        k if k < fork => SeamRole::Crotch,
        k if k < hem_in => SeamRole::Inseam,
        k if k < hem_out => SeamRole::Hem,
        k if k < side => SeamRole::Outseam,
        _ => SeamRole::Waist,
    }
}

impl Leg {
    /// The same seams on a redrawn line with the sew line `sew`. `index` gives, for each point of the old path, its index on the
    /// new line.
    #[must_use]
    pub fn on_line(&self, sew: &[Point], index: &[usize], derived: Option<Derived>) -> Leg {
        /// How far, in mm, an added vertex may be off the place where the ring starts: rounding.
        const AT_START: f64 = 1e-6;
        let added = |k: &usize| (sew[*k] - self.ring[0]).hypot() <= AT_START && !index.contains(k);
        let begun = (0..sew.len()).find(|k| self.drawn.starts_below_more() && added(k));
        let drawn = self.drawn.redrawn([index.len(), sew.len()], index, begun, derived);
        let mut place = vec![0; sew.len()];
        drawn.vertices().for_each(|(k, i)| place[i] = k);
        let moved = |corner: usize| place[index[self.drawn.vertex(corner)]];
        Leg {
            ring: drawn.ring(sew),
            fly: drawn.fly().map(|i| sew[i]).collect(),
            fork: moved(self.fork),
            hem_in: moved(self.hem_in),
            hem_out: moved(self.hem_out),
            side: moved(self.side),
            curve_begin: moved(self.curve_begin),
            one_piece: self.one_piece.map(|one| OnePiece {
                other: one.other.map(|other| OtherPart { fork: moved(other.fork), ..other }),
                ..one
            }),
            drawn,
            ..self.clone()
        }
    }

    /// The indices of a seam's points. The last index of the waist is the number of points, which stands for the ring's first
    /// point.
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

    /// The seam that the edge after a point of the ring belongs to.
    #[must_use]
    pub fn role_of(&self, edge: usize) -> SeamRole {
        role_of(edge, [self.fork, self.hem_in, self.hem_out, self.side])
    }

    /// The points of a seam, from its first corner to its last.
    #[must_use]
    pub fn seam(&self, role: SeamRole) -> Vec<Point> {
        self.range(role).map(|i| self.ring[i % self.ring.len()]).collect()
    }

    /// The part of the ring's waist that is the leg's own: its points from the side on. If front and back are drawn in one piece,
    /// the side lies within the waist edge.
    #[must_use]
    pub fn own_waist(&self) -> Range<usize> {
        let Some(other) = self.other_part() else { return self.side..self.ring.len() };
        let edge = Measured::new(self.seam(SeamRole::Waist));
        let from = edge.station(other.side.waist);
        self.side + edge.stations().partition_point(|&at| at < from)..self.ring.len()
    }

    /// The other part of a piece that is front and back in one, if it is drawn.
    #[must_use]
    pub fn other_part(&self) -> Option<&OtherPart> {
        self.one_piece.as_ref()?.other.as_ref()
    }

    /// The ring on the line that is drawn: the sew line itself, or the cut line that it is derived from.
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
        Mm(line::length(&self.seam(role)))
    }

    /// Whether the piece continues far above its centre waist, as the bib of an overall does.
    #[must_use]
    pub fn has_bib(&self) -> bool {
        /// How far, in mm, a bib reaches above the centre waist. A side waist lies less far above it, except on a scooped front,
        /// whose waist falls all the way.
        const ABOVE: f64 = 150.0;
        let over = |p: Point| (p - self.ring[0]).dot(self.up);
        let side = over(self.ring[self.side]);
        self.ring[self.side..].iter().any(|&p| over(p) > side.max(0.0) + ABOVE)
    }

    /// The fork.
    #[must_use]
    pub fn fork_point(&self) -> Point {
        self.ring[self.fork]
    }

    /// The width at fork level: across the grain from the fork to the outseam, or to the side if front and back are in one piece.
    /// `None` where the outseam does not reach that level.
    #[must_use]
    pub fn thigh(&self) -> Option<Mm> {
        let fork = self.fork_point();
        let level = |p: Point| (p - fork).dot(self.up);
        let outer = match self.other_part() {
            Some(other) => vec![other.side.hem, other.side.waist],
            None => self.seam(SeamRole::Outseam),
        };
        let crossings = outer
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
        direction::angle(self.ring[self.fork - 1] - fork, self.ring[self.fork + 1] - fork).abs()
    }

    /// The inside angle at the fork between crotch seam and inseam, in degrees, between the
    /// tangents of the two curves there.
    #[must_use]
    pub fn fork_angle(&self) -> f64 {
        let inseam = direction::tangent_at_start(&self.ring[self.fork..=self.hem_in]);
        let mut crotch: Vec<Point> = self.ring[..=self.fork].to_vec();
        crotch.reverse();
        direction::angle(direction::tangent_at_start(&crotch), inseam).abs()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use kurbo::Affine;

    fn drawn(order: &[u32], start: Option<f64>, fly: &[u32]) -> RingOnLine {
        RingOnLine { path: 3, order: order.to_vec(), start, fly: fly.to_vec(), derived: None }
    }

    /// The ring starts at a quarter of the edge after its first point, in either direction.
    #[test]
    fn a_ring_starts_on_its_edge() {
        let line: Vec<Point> = [(3, 5), (11, 9), (27, 13), (31, 29), (19, 41), (7, 37)]
            .iter()
            .map(|&(x, y)| Point::new(f64::from(x), f64::from(y)))
            .collect();
        for (order, next) in [
            ([5, 0, 1, 2, 3, 4], 0),
            ([2, 3, 4, 5, 0, 1], 3),
            ([0, 5, 4, 3, 2, 1], 5),
            ([3, 2, 1, 0, 5, 4], 2),
        ] {
            let ring = drawn(&order, Some(0.25), &[]).ring(&line);
            let first = line[order[0] as usize];
            assert_eq!(ring[0], first + (line[next] - first) * 0.25, "{order:?}");
            assert_eq!(ring[1..], order.map(|i| line[i as usize])[1..]);
            assert_eq!(drawn(&order, None, &[]).ring(&line)[0], first);
        }
    }

    /// Eight points instead of six: one is added after the second, one after the last but one.
    #[test]
    fn a_redrawn_line_is_walked_as_the_old_one_was() {
        let index = [0, 1, 3, 4, 5, 7];
        let order = |old: &[u32], start, fly: &[u32]| {
            let new = drawn(old, start, fly).redrawn([6, 8], &index, None, None);
            assert_eq!((new.path, new.start), (3, start));
            (new.order, new.fly)
        };
        assert_eq!(order(&[2, 3, 4, 5, 0, 1], None, &[]), (vec![3, 4, 5, 6, 7, 0, 1, 2], vec![]));
        assert_eq!(order(&[1, 0, 5, 4, 3, 2], None, &[]), (vec![1, 0, 7, 6, 5, 4, 3, 2], vec![]));
        assert_eq!(order(&[4, 5, 0, 1, 2, 3], Some(0.3), &[]), (vec![5, 7, 0, 1, 2, 3, 4], vec![]));
        assert_eq!(order(&[1, 3, 4, 5, 0], None, &[2]), (vec![1, 4, 5, 6, 7, 0], vec![3]));
        assert_eq!(order(&[2, 4, 5, 0, 1], None, &[3]), (vec![3, 5, 6, 7, 0, 1, 2], vec![4]));
        assert_eq!(order(&[3, 0, 5, 4], Some(0.3), &[2, 1]), (vec![4, 0, 7, 6, 5], vec![3, 1]));
    }

    /// A leg with its fork at (312, 800), where the chords have the slopes of 7-24-25 and 8-15-17 triangles; turned by 0.5
    /// radians.
    fn leg(outseam: &[(f64, f64)]) -> Leg {
        let front =
            [(260.0, 1050.0), (264.0, 814.0), (288.0, 807.0), (312.0, 800.0), (304.0, 785.0), (296.0, 770.0)];
        let all = front.iter().chain(&[(288.0, 90.0), (84.0, 90.0)]).chain(outseam);
        let place = Affine::rotate(0.5);
        let ring: Vec<Point> = all.map(|&p| place * Point::from(p)).collect();
        let how = How::Shape;
        Leg {
            drawn: drawn(&[], None, &[]),
            up: Vec2::from_angle(0.5 + std::f64::consts::FRAC_PI_2),
            out: Vec2::from_angle(0.5),
            fork: 3,
            hem_in: 6,
            hem_out: 7,
            side: ring.len() - 1,
            curve_begin: 1,
            one_piece: None,
            mirror: None,
            found: Found { grain: how, crotch: how, inseam: how, sew_line: SewLine::Drawn },
            fly: Vec::new(),
            ring,
        }
    }

    #[test]
    fn the_thigh_lies_at_fork_level() {
        let thigh = |outseam: &[(f64, f64)]| leg(outseam).thigh();
        let near = |outseam: &[(f64, f64)], wide: f64| {
            let is = thigh(outseam);
            assert!(is.is_some_and(|is| (is.0 - wide).abs() < 1e-9), "{is:?} in place of {wide}");
        };
        // A third of the way from (41, 780) to (53, 840).
        near(&[(60.0, 470.0), (41.0, 780.0), (53.0, 840.0), (66.0, 1058.0)], 312.0 - 45.0);
        near(&[(60.0, 470.0), (53.0, 780.0), (41.0, 840.0), (66.0, 1058.0)], 312.0 - 49.0);
        // If the outseam crosses the level twice, the thigh is measured to the outermost crossing.
        let twice = [(60.0, 810.0), (58.0, 790.0), (38.0, 810.0), (66.0, 1058.0)];
        near(&twice, 312.0 - 48.0);
        near(&[(24.0, 790.0), (34.0, 810.0), (60.0, 790.0), (40.0, 810.0), (66.0, 1058.0)], 312.0 - 29.0);
        // A side seam that stays below the level of the fork.
        assert_eq!(thigh(&[(60.0, 470.0), (66.0, 790.0)]), None);
    }

    /// The expected angle has the cosine of the angle between (−24, 7) and (−8, −15): 87 of 25 · 17.
    #[test]
    fn the_fork_has_an_inside_angle() {
        let angle = (87.0f64 / 425.0).acos().to_degrees();
        let mut leg = leg(&[(60.0, 470.0), (66.0, 1058.0)]);
        assert!((leg.fork_corner() - angle).abs() < 1e-9, "{}", leg.fork_corner());
        // On both sides two chords lie in one line, so that they have the direction of their curve.
        assert!((leg.fork_angle() - angle).abs() < 1e-9, "{}", leg.fork_angle());
        // Two chords of a circle of 90 mm radius that touches the horizontal at the fork: the tangent there is horizontal.
        let fork = leg.ring[3];
        for (i, turned) in [(2, 0.15), (1, 0.3f64)] {
            let back = Point::new(-90.0 * turned.sin(), 90.0 * (1.0 - turned.cos()));
            leg.ring[i] = fork + (Affine::rotate(0.5) * back).to_vec2();
        }
        let level = (8.0f64 / 17.0).acos().to_degrees();
        assert!((leg.fork_angle() - level).abs() < 1e-9, "{}", leg.fork_angle());
        assert!((leg.fork_corner() - level).abs() > 2.0);
    }
}
