//! Trousers drawn at random: two legs in mm, and the closed forms that their measures have.

use kurbo::{Point, Vec2};
use proptest::prelude::*;

/// How far apart the vertices of a curve are drawn, in mm.
const SPACING: f64 = 6.0;

/// How many edges the inseam has from the fork to the knee.
pub const THIGH_EDGES: u32 = 24;

/// A leg, the waist up, the fork to the right; travelled clockwise from the centre waist.
#[derive(Clone, Debug)]
pub struct Leg {
    /// How far the fork lies outside the beginning of the crotch curve.
    pub extension: f64,
    /// Lean of the centre seam to the grain, degrees.
    pub lean: f64,
    /// Length of the straight centre seam.
    pub straight: f64,
    /// Height of the beginning of the crotch curve above the fork.
    pub begin: f64,
    /// Fork level to knee, and knee to hem.
    pub knee: f64,
    pub shin: f64,
    /// How far the inseam is hollow above the knee.
    pub hollow: f64,
    /// Width of the hem; the knee is wider by an eighth.
    pub hem: f64,
    pub waist: f64,
}

/// Front and back of a size.
#[derive(Clone, Debug)]
pub struct Trousers {
    pub front: Leg,
    pub back: Leg,
}

/// Proportions as drafts have them: the back leans more, its fork reaches further out, the knee is near the middle of the
/// inseam (common practice, no source). No centre seam leans so much that a slide in these tests turns it by 1.5° where it
/// enters the curve, which is refused.
pub fn trousers() -> impl Strategy<Value = Trousers> {
    let tops = ((42.0..60.0, 0.0..3.0), (0.94..1.0, 3.0..6.0), 140.0..165.0, 80.0..105.0);
    let leg = (290.0..360.0, 0.95..1.1, 1.0..6.0, 180.0..240.0, 190.0..240.0);
    (tops, leg).prop_map(|(((fe, fl), (be, bl), straight, begin), (knee, below, hollow, hem, waist))| {
        let shin = below * knee;
        // The crotch curve of the back turns by a right angle at most, so that the fork is its lowest point.
        let be = be * begin;
        let front = Leg { extension: fe, lean: fl, straight, begin, knee, shin, hollow, hem, waist };
        let back = Leg { extension: be, lean: bl, waist: waist + 10.0, ..front.clone() };
        Trousers { front, back }
    })
}

/// These trousers as sizes of one style: their heights are the first ones', a hundredth more from size to size. Sizes whose
/// heights have nothing to do with each other are no nest, and are told so.
pub fn one_style(mut sizes: Vec<Trousers>) -> Vec<Trousers> {
    let first = sizes[0].front.clone();
    for (k, trousers) in sizes.iter_mut().enumerate().skip(1) {
        let grown = 1.0 + 0.01 * k as f64;
        for leg in [&mut trousers.front, &mut trousers.back] {
            let begin = first.begin * grown;
            // An extension is no more than the curve is high.
            leg.extension *= begin / leg.begin;
            leg.begin = begin;
            leg.straight = first.straight * grown;
            leg.knee = first.knee * grown;
            leg.shin = first.shin * grown;
        }
    }
    sizes
}

/// A corner's place in a sew line.
#[derive(Clone, Copy, Debug)]
pub struct Corners {
    pub begin: usize,
    pub fork: usize,
    pub knee: usize,
    pub hem_in: usize,
    pub hem_out: usize,
    pub side: usize,
}

impl Leg {
    /// Unit vector down the centre seam.
    pub fn down(&self) -> Vec2 {
        Vec2::new(self.lean.to_radians().sin(), -self.lean.to_radians().cos())
    }

    fn chord(&self) -> Vec2 {
        Vec2::new(self.extension, -self.begin)
    }

    /// Half of what the crotch curve turns: the angle between its first tangent and its chord.
    pub fn half_turn(&self) -> f64 {
        self.down().cross(self.chord()).atan2(self.down().dot(self.chord()))
    }

    /// Bulge of the crotch curve, an arc tangent to the centre seam: the tangent of a quarter of its angle (DXF reference).
    pub fn bulge(&self) -> f64 {
        (self.half_turn() / 2.0).tan()
    }

    pub fn radius(&self) -> f64 {
        self.chord().hypot() / (2.0 * self.half_turn().sin())
    }

    /// Centre of the arc of the crotch curve: square to the centre seam from where the curve begins, on the fork's side.
    pub fn centre(&self) -> Point {
        let d = self.down();
        self.begin_point() + Vec2::new(-d.y, d.x) * self.radius()
    }

    pub fn begin_point(&self) -> Point {
        Point::new(0.0, self.begin)
    }

    pub fn fork_point(&self) -> Point {
        Point::new(self.extension, 0.0)
    }

    /// Into how many chords the crotch curve is drawn.
    fn chords(&self) -> u32 {
        (self.radius() * 2.0 * self.half_turn() / SPACING).round() as u32
    }

    /// The rise in closed form: a straight line and an arc, or the chords of the arc.
    pub fn rise(&self, arc: bool) -> f64 {
        let turn = 2.0 * self.half_turn();
        let n = f64::from(self.chords());
        let curve = if arc { turn } else { 2.0 * n * (turn / (2.0 * n)).sin() };
        self.straight + self.radius() * curve
    }

    /// The sew line with a vertex each few millimetres on the crotch curve; its corners. The centre seam has three vertices
    /// of its own, so that what grows along it shows.
    pub fn line(&self) -> (Vec<Point>, Corners) {
        let waist = self.begin_point() - self.down() * self.straight;
        let mut points: Vec<Point> =
            (0..4).map(|i| waist.lerp(self.begin_point(), f64::from(i) / 4.0)).collect();
        let begin = points.len();
        let n = self.chords();
        let from = self.begin_point() - self.centre();
        points.extend((0..n).map(|i| {
            let turned = 2.0 * self.half_turn() * f64::from(i) / f64::from(n);
            self.centre() + Vec2::from_angle(turned + from.atan2()) * from.hypot()
        }));
        let fork = points.len();
        let knee = self.fork_point() - Vec2::new(30.0, self.knee);
        points.extend((0..THIGH_EDGES).map(|i| {
            let t = f64::from(i) / f64::from(THIGH_EDGES);
            self.fork_point().lerp(knee, t) - Vec2::new(self.hollow * (std::f64::consts::PI * t).sin(), 0.0)
        }));
        let knee_at = points.len();
        let hem = knee - Vec2::new(8.0, self.shin);
        let hip = Point::new(-self.waist - 25.0, self.begin);
        let side = waist - Vec2::new(self.waist, self.waist * self.lean.to_radians().sin() - 6.0);
        points.extend([
            knee,
            hem,
            hem - Vec2::new(self.hem, 0.0),
            knee - Vec2::new(self.hem * 1.125, 0.0),
            hip,
            side,
        ]);
        let hem_in = knee_at + 1;
        let corners = Corners { begin, fork, knee: knee_at, hem_in, hem_out: hem_in + 1, side: hem_in + 4 };
        (points, corners)
    }
}

/// Every edge of a closed line, travelled clockwise, shifted outwards, neighbours joined where they cross.
pub fn outside(line: &[Point], allowance: f64) -> Vec<Point> {
    outside_each(line, |_| allowance)
}

/// As [`outside`], each edge by its own allowance: the new corner lies a of one edge and b of the other outside.
pub fn outside_each(line: &[Point], allowance: impl Fn(usize) -> f64) -> Vec<Point> {
    let n = line.len();
    let outward = |i: usize| {
        let d = (line[(i + 1) % n] - line[i % n]).normalize();
        Vec2::new(-d.y, d.x)
    };
    (0..n)
        .map(|i| {
            let before = (i + n - 1) % n;
            let (u, v, a, b) = (outward(before), outward(i), allowance(before), allowance(i));
            // With a = b any two directions do, a straight line too; else u and v are those of a corner.
            let cross = u.cross(v);
            let reach = if a == b {
                (u + v) * (a / (1.0 + u.dot(v)))
            } else {
                Vec2::new(a * v.y - b * u.y, b * u.x - a * v.x) / cross
            };
            line[i] + reach
        })
        .collect()
}
