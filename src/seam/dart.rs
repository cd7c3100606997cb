//! Darts cut into the waist edge of a leg.

use crate::geometry::{corners, line};
use kurbo::Point;

/// The least turn at the point of a dart, in degrees, into the piece.
const POINT: f64 = 60.0;

/// The least turn of the corners at the mouth of a dart, in degrees.
const MOUTH: f64 = 20.0;

/// The legs of a dart have the same length to within this share, because they are sewn together.
const ALIKE: f64 = 0.25;

/// A dart: the points of a ring at the two corners of its mouth, in the ring's direction. The last one may be the ring's first point,
/// which is counted as the ring's length.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Dart {
    pub from: usize,
    pub to: usize,
}

/// The darts on the waist edge of a ring, which runs from the point `side` to the ring's first point, from the centre to the side.
#[must_use]
pub fn darts(ring: &[Point], side: usize) -> Vec<Dart> {
    let turns = corners::turns(ring);
    let n = ring.len();
    let closed: Vec<Point> = ring[side..].iter().chain(ring.first()).copied().collect();
    let at = line::stations(&closed);
    let mouth = |k: &usize| turns[k % n] >= MOUTH;
    let mut darts: Vec<Dart> = Vec::new();
    for tip in (side + 1..n).rev().filter(|&k| turns[k] <= -POINT) {
        let Some(to) = (tip + 1..=n).find(mouth) else { continue };
        let Some(from) = (side..tip).rfind(mouth) else { continue };
        let [from_tip, to_tip] = [from, to].map(|k| (at[k - side] - at[tip - side]).abs());
        let free = darts.last().is_none_or(|dart| to <= dart.from);
        if (from_tip - to_tip).abs() <= ALIKE * from_tip.max(to_tip) && free {
            darts.push(Dart { from, to });
        }
    }
    darts
}
