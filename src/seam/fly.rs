//! The extension of a fly, cut on at the centre front.
//!
//! Seen from the fork, the crotch curve runs up to the centre front line; there the outline turns
//! outwards, around the extension, and comes back along the waist. The crotch seam is measured on
//! the centre front line, which runs on straight to the waist.

use super::ring;
use super::shape::{Candidate, Fly};
use kurbo::{Line, Point, Vec2};

/// The least turn, in degrees, where the outline leaves the centre front line.
const LEAVES: f64 = 30.0;

/// A segment of this length, in mm, is no part of a curve.
const LONG: f64 = 15.0;

/// The widest extension, in mm.
const WIDEST: f64 = 110.0;

/// How near to a point of the waist, in mm, the centre front line has to come to meet it there.
const ON_POINT: f64 = 1.0;

/// The crotch seam that ends in this fork, beside a fly. `forward`: whether the line runs from the
/// waist to the fork.
pub(super) fn find(
    points: &[Point],
    turns: &[f64],
    fork: usize,
    forward: bool,
    grain: Vec2,
) -> Option<Candidate> {
    let n = points.len();
    // Steps away from the fork, up the crotch seam.
    let at = |k: usize| if forward { (fork + n - k) % n } else { (fork + k) % n };
    let up_to_base = (1..n - 2).find(|&k| turns[at(k)] >= ring::CORNER || turns[at(k)] <= -LEAVES)?;
    let base = points[at(up_to_base)];
    if turns[at(up_to_base)] > 0.0 || up_to_base < 3 {
        return None;
    }
    let across = Vec2::new(-grain.y, grain.x);
    let out = if (points[fork] - base).dot(across) < 0.0 { -across } else { across };
    let leaves = points[at(up_to_base + 1)] - base;
    if leaves.dot(out) < 0.35 * leaves.hypot() {
        return None;
    }
    let run: Vec<Point> = (0..=up_to_base).map(|k| points[at(up_to_base - k)]).collect();
    let length = ring::length(&run);
    // A long segment is the straight centre front itself; a short one is part of the curve.
    let first = run[1] - base;
    let down = if first.hypot() >= LONG { first.normalize() } else { ring::tangent_at_start(&run) };
    if ring::lean(down, grain) > 45.0 {
        return None;
    }
    // Around the extension to where the centre front line meets the waist.
    let centre = Line::new(base, base - down);
    let aside = if Vec2::new(-down.y, down.x).dot(out) < 0.0 { -1.0 } else { 1.0 };
    let outwards = |p: Point| down.cross(p - base) * aside;
    let mut walked = leaves.hypot();
    for k in up_to_base + 1..n - 1 {
        let (a, b) = (points[at(k)], points[at(k + 1)]);
        if outwards(a) < -ON_POINT || outwards(a) > WIDEST || walked > 4.0 * length {
            return None;
        }
        walked += (b - a).hypot();
        if outwards(b) > 0.0 {
            continue;
        }
        let meets = Line::new(a, b).crossing_point(centre)?;
        let rise = (base - meets).dot(down);
        if rise < 0.2 * length || ring::lean(b - a, down) < 40.0 {
            return None;
        }
        // In the fork's direction the edge runs from b to a.
        let share = 1.0 - (meets - a).hypot() / (b - a).hypot();
        let (waist, share) = if (meets - a).hypot() <= ON_POINT {
            (at(k), 0.0)
        } else if (meets - b).hypot() <= ON_POINT {
            (at(k + 1), 0.0)
        } else {
            (at(k + 1), share)
        };
        let fly = Some(Fly { base: at(up_to_base), share });
        let depth = (meets - points[fork]).dot(grain).abs();
        return Some(Candidate { waist, fork, forward, fly, length: length + rise, depth });
    }
    None
}
