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

#[cfg(test)]
mod tests {
    use super::*;

    /// A rectangle whose upper edge is the waist, from the side at the left to the centre at the right, with what is cut into it or put
    /// on it at 100 mm.
    fn waist(more: &[(f64, f64)]) -> Vec<Dart> {
        let corners = [(200.0, 300.0), (200.0, 0.0), (0.0, 0.0), (0.0, 300.0)];
        let ring: Vec<Point> = corners.iter().chain(more).map(|&p| Point::from(p)).collect();
        darts(&ring, 3)
    }

    #[test]
    fn a_dart_has_two_legs_of_a_length_and_points_into_the_piece() {
        assert_eq!(waist(&[(92.0, 300.0), (100.0, 180.0), (108.0, 300.0)]), [Dart { from: 4, to: 6 }]);
        // A pleat points out of the piece, and legs of 120 and 80 mm are not sewn together.
        assert_eq!(waist(&[(92.0, 300.0), (100.0, 308.0), (108.0, 300.0)]), []);
        assert_eq!(waist(&[(92.0, 300.0), (100.0, 180.0), (110.0, 260.0), (180.0, 300.0)]), []);
        // Two darts, from the centre to the side.
        let two =
            [(60.0, 300.0), (66.0, 200.0), (72.0, 300.0), (120.0, 300.0), (126.0, 180.0), (132.0, 300.0)];
        assert_eq!(waist(&two), [Dart { from: 7, to: 9 }, Dart { from: 4, to: 6 }]);
    }
}
