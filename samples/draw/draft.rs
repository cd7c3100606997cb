//! Drafts the sew lines of a front and a back by simple proportions of body measures.
//!
//! Axes: x across from the side to the fork, y up the grain; the crease line is x = 0, the front's fork is at y = 0. All
//! lengths in mm. The proportions (fork extensions, leans, where the back is wider) are common practice, no source.
//!
//! What the two pieces owe each other is solved, not hoped for:
//! - the back fork is lowered until the back inseam is [`BACK_SHORTER`] shorter than the front's, to be stretched on;
//! - the slopes of the two crotch curves at the fork are chosen so that the angles of front and back there add up to 180°;
//! - the back's side is as long as the front's;
//! - the waist leaves both centre seams at 90°, and front and back meet at the side with angles that add up to 180°.

use crate::outline::{Outline, Seam};
use crate::scenario::Body;
use kurbo::{CubicBez, Line, ParamCurveArclen, Point, Vec2};

/// How much shorter the back inseam is than the front's.
pub const BACK_SHORTER: f64 = 4.0;

/// Lengths of the curves in the sample size. A curve is cut into the same number of pieces in every size, so that a vertex of
/// one size has its own in each other.
mod nominal {
    pub const FRONT_CROTCH: f64 = 96.0;
    pub const BACK_CROTCH: f64 = 172.0;
    pub const INSEAM: f64 = 345.0;
    pub const THIGH: f64 = 425.0;
    pub const HIP: f64 = 150.0;
    pub const WAIST: f64 = 215.0;
}

/// The crotch curve is the tightest: its vertices are set closer, by this share of the usual distance.
const CROTCH_SPACING: f64 = 0.7;

/// Half a draft: what differs between front and back.
#[derive(Clone, Copy)]
struct Half {
    /// Width at hip level.
    hip: f64,
    /// Width of the waist edge, dart open.
    waist: f64,
    /// Fork beyond the centre line.
    extension: f64,
    /// Fork's distance from the crease.
    fork: f64,
    /// Lean of the centre seam to the grain, radians.
    lean: f64,
    /// Where the crotch curve leaves the straight centre seam, above the fork level.
    curve_start: f64,
    /// Fullness of the crotch curve: how far its handles reach to where the tangents meet.
    fullness: f64,
    /// Half width at the knee.
    knee: f64,
    /// Half width at the hem.
    hem: f64,
    /// Angle of the piece at waist and side, radians.
    side_angle: f64,
    /// Vertices of the crotch curve.
    crotch_nominal: f64,
}

/// Front and back of a size.
pub struct Pair {
    pub front: Outline,
    pub back: Outline,
    /// How far the back fork lies below the front's.
    pub drop: f64,
    /// Angles of front and back at the fork between the tangents of the drafted curves, degrees.
    pub fork_angles: (f64, f64),
}

/// The back's dart takes this much out of the waist.
pub const DART: f64 = 20.0;

fn front_half(body: Body) -> Half {
    let hip = body.hip / 4.0;
    let extension = body.hip / 16.0 - 2.0;
    Half {
        hip,
        waist: body.waist / 4.0 + 12.0,
        extension,
        fork: f64::midpoint(hip, extension),
        lean: 1.5_f64.to_radians(),
        curve_start: 0.33 * body.depth,
        fullness: 0.6,
        knee: body.knee / 4.0 - 5.0,
        hem: body.hem / 4.0 - 5.0,
        side_angle: 89_f64.to_radians(),
        crotch_nominal: nominal::FRONT_CROTCH,
    }
}

fn back_half(body: Body, front: Half) -> Half {
    Half {
        hip: body.hip / 4.0 + 17.0,
        waist: body.waist / 4.0 - 6.0 + DART,
        extension: 2.0 * front.extension,
        fork: front.fork + 0.75 * front.extension,
        lean: 9.5_f64.to_radians(),
        curve_start: 0.46 * body.depth,
        fullness: 0.62,
        knee: body.knee / 4.0 + 5.0,
        hem: body.hem / 4.0 + 5.0,
        side_angle: 91_f64.to_radians(),
        crotch_nominal: nominal::BACK_CROTCH,
    }
}

/// Drafts a size with about `spacing` mm between the vertices of its curves.
pub fn pair(body: Body, spacing: f64) -> Pair {
    let (front, knee_y) = (front_half(body), 50.0 - body.leg / 2.0);
    let back = back_half(body, front);

    let front_leg = Leg::new(body, front, 0.0, knee_y);
    let target = front_leg.inseam.arclen(1e-9) + front_leg.shin() - BACK_SHORTER;
    let drop = bisect(0.0, 40.0, |drop| {
        let leg = Leg::new(body, back, drop, knee_y);
        target - leg.inseam.arclen(1e-9) - leg.shin()
    });
    let back_leg = Leg::new(body, back, drop, knee_y);

    // The joined curve is smooth where the two slopes make up for the two inseams' leans.
    let slopes = front_leg.fork_lean + back_leg.fork_lean;
    let front_slope = 0.46 * slopes;
    let back_slope = slopes - front_slope;

    let front_top = Top::new(body, front, body.depth);
    let side = front_top.side_length(&front_leg);
    let rise = bisect(body.depth - 25.0, body.depth + 25.0, |rise| {
        Top::new(body, back, rise).side_length(&back_leg) - side
    });
    let back_top = Top::new(body, back, rise);

    let angle = |slope: f64, leg: &Leg| 90.0 + (slope - leg.fork_lean).to_degrees();
    Pair {
        front: outline(front, &front_leg, &front_top, front_slope, spacing),
        back: outline(back, &back_leg, &back_top, back_slope, spacing),
        drop,
        fork_angles: (angle(front_slope, &front_leg), angle(back_slope, &back_leg)),
    }
}

/// Everything below the fork.
struct Leg {
    fork: Point,
    /// Lean of the inseam at the fork, inwards going down, radians.
    fork_lean: f64,
    inseam: CubicBez,
    knee_in: Point,
    hem_in: Point,
    hem_out: Point,
    knee_out: Point,
    /// Lean of the leg from knee to hem, inwards going down.
    shin_lean: f64,
}

impl Leg {
    fn new(body: Body, half: Half, drop: f64, knee_y: f64) -> Self {
        let fork = Point::new(half.fork, -drop);
        let knee_in = Point::new(half.knee, knee_y);
        let hem_in = Point::new(half.hem, -body.leg);
        let shin_lean = lean(knee_in, hem_in);
        // Turning as much above the chord's middle as below it: the hollow of the thigh is close to an arc.
        let fork_lean = 2.0 * lean(fork, knee_in) - shin_lean;
        Self {
            fork,
            fork_lean,
            inseam: smooth(fork, down(fork_lean), knee_in, down(shin_lean)),
            knee_in,
            hem_in,
            hem_out: mirror(hem_in),
            knee_out: mirror(knee_in),
            shin_lean,
        }
    }

    fn shin(&self) -> f64 {
        self.knee_in.distance(self.hem_in)
    }
}

/// Everything above the fork but the crotch curve.
struct Top {
    centre: Point,
    hip: Point,
    side: Point,
    waist: CubicBez,
    upper: CubicBez,
    /// Lean of the side at hip level, towards the crease going down.
    hip_lean: f64,
}

impl Top {
    /// `rise`: height of the waist at the side above the fork level.
    fn new(body: Body, half: Half, rise: f64) -> Self {
        let hip_y = 0.36 * body.depth;
        let base = Point::new(half.fork - half.extension, 0.0);
        let on_centre = |y: f64| base + Vec2::new(-half.lean.tan() * y, y);
        let hip = on_centre(hip_y) - Vec2::new(half.hip, 0.0);
        // Half of what the side leans from hip to knee.
        let hip_lean = 0.5 * lean(mirror(hip), Point::new(half.knee, 50.0 - body.leg / 2.0));

        let mut centre_y = rise;
        let mut side = Point::new(hip.x, rise);
        // Lean of the side where it meets the waist: such that the hip curve runs out straight there.
        let mut inset = 0.0;
        // Centre, side and lean depend on each other. With half as many rounds every digit written is the same already.
        for _ in 0..200 {
            inset = 1.5 * (side.x - hip.x).atan2(side.y - hip.y) + 0.5 * hip_lean;
            // Directions of travel from centre to side as angles to -x, upwards positive.
            let (start, end) = (-half.lean, waist_end(inset, half.side_angle));
            let turn = end - start;
            let chord = half.waist * (1.0 - turn * turn / 24.0);
            let slope = f64::midpoint(start, end);
            side = on_centre(centre_y) + chord * Vec2::new(-slope.cos(), slope.sin());
            centre_y += rise - side.y;
        }
        let centre = on_centre(centre_y);
        let end = waist_end(inset, half.side_angle);
        Self {
            centre,
            hip,
            side,
            waist: smooth(
                centre,
                Vec2::new(-half.lean.cos(), -half.lean.sin()),
                side,
                Vec2::new(-end.cos(), end.sin()),
            ),
            upper: smooth(
                hip,
                Vec2::new(-hip_lean.sin(), hip_lean.cos()),
                side,
                Vec2::new(inset.sin(), inset.cos()),
            ),
            hip_lean,
        }
    }

    fn thigh(&self, leg: &Leg) -> CubicBez {
        smooth(
            leg.knee_out,
            Vec2::new(-leg.shin_lean.sin(), leg.shin_lean.cos()),
            self.hip,
            Vec2::new(-self.hip_lean.sin(), self.hip_lean.cos()),
        )
    }

    fn side_length(&self, leg: &Leg) -> f64 {
        leg.shin() + self.thigh(leg).arclen(1e-9) + self.upper.arclen(1e-9)
    }
}

/// Direction in which the waist arrives at a side that leans by `inset`, where the piece's angle there is `angle`.
fn waist_end(inset: f64, angle: f64) -> f64 {
    inset + std::f64::consts::FRAC_PI_2 - angle
}

fn outline(half: Half, leg: &Leg, top: &Top, slope: f64, spacing: f64) -> Outline {
    let pieces = |nominal: f64| (nominal / spacing).round().max(2.0) as usize;
    let down_centre = Vec2::new(half.lean.sin(), -half.lean.cos());
    let base = Point::new(half.fork - half.extension, 0.0);
    let start = base - down_centre * (half.curve_start / half.lean.cos());
    let to_fork = Vec2::new(slope.cos(), -slope.sin());

    let mut line = Outline::default();
    line.corner(top.centre, Seam::Crotch);
    line.join(start, Seam::Crotch);
    let curve = hook(start, down_centre, leg.fork, to_fork, half.fullness);
    line.curve(curve, pieces(half.crotch_nominal / CROTCH_SPACING), Seam::Crotch);
    line.corner(leg.fork, Seam::Inseam);
    line.curve(leg.inseam, pieces(nominal::INSEAM), Seam::Inseam);
    line.join(leg.knee_in, Seam::Inseam);
    line.corner(leg.hem_in, Seam::Hem);
    line.corner(leg.hem_out, Seam::Outseam);
    line.join(leg.knee_out, Seam::Outseam);
    line.curve(top.thigh(leg), pieces(nominal::THIGH), Seam::Outseam);
    line.join(top.hip, Seam::Outseam);
    line.curve(top.upper, pieces(nominal::HIP), Seam::Outseam);
    line.corner(top.side, Seam::Waist);
    line.curve(reverse(top.waist), pieces(nominal::WAIST), Seam::Waist);
    line
}

fn reverse(c: CubicBez) -> CubicBez {
    CubicBez::new(c.p3, c.p2, c.p1, c.p0)
}

fn mirror(p: Point) -> Point {
    Point::new(-p.x, p.y)
}

/// Lean of a line on the fork's side of the crease, towards the crease going down, radians.
fn lean(upper: Point, lower: Point) -> f64 {
    (upper.x - lower.x).atan2(upper.y - lower.y)
}

fn down(lean: f64) -> Vec2 {
    Vec2::new(-lean.sin(), -lean.cos())
}

/// A gentle curve with the given directions at its ends.
fn smooth(p0: Point, d0: Vec2, p1: Point, d1: Vec2) -> CubicBez {
    let handle = p0.distance(p1) / 3.0;
    CubicBez::new(p0, p0 + d0 * handle, p1 - d1 * handle, p1)
}

/// A curve through about a right angle, its handles `fullness` of the way to where the end tangents meet.
fn hook(p0: Point, d0: Vec2, p1: Point, d1: Vec2, fullness: f64) -> CubicBez {
    let meet = Line::new(p0, p0 + d0).crossing_point(Line::new(p1, p1 + d1)).unwrap_or(p0);
    CubicBez::new(p0, p0.lerp(meet, fullness), p1.lerp(meet, fullness), p1)
}

/// Where `f`, growing from `low` to `high`, passes zero.
fn bisect(mut low: f64, mut high: f64, f: impl Fn(f64) -> f64) -> f64 {
    assert!(f(low) <= 0.0 && f(high) >= 0.0, "the draft has no solution within its limits");
    for _ in 0..60 {
        let middle = f64::midpoint(low, high);
        if f(middle) < 0.0 {
            low = middle;
        } else {
            high = middle;
        }
    }
    f64::midpoint(low, high)
}
