//! Splines that are given by the points through which they run.
//!
//! A `SPLINE` entity may have fit points and no control points. Its curve is then the cubic spline through them with continuous
//! curvature, with the lengths of the chords as parameter; at an end without a given direction its curvature is zero (C. de Boor,
//! *A Practical Guide to Splines* (1978), chapter IV, from memory). The format's reference leaves this to the reader; general
//! drawing programs and `ezdxf` (`fit_points_to_cad_cv`) read it in this way.

use super::EntityError;
use super::curve::{Allowed, FLATNESS};
use kurbo::{CubicBez, ParamCurve, PathEl, Point, Vec2};

/// The data of such a spline.
#[derive(Clone, Debug, Default)]
pub(super) struct Fitted {
    /// The points through which it runs.
    pub points: Vec<Point>,
    /// Its directions at both ends, where they are given.
    pub ends: [Option<Vec2>; 2],
    /// Whether it returns to its first point. How the curve runs there is not defined, so such a spline is not flattened.
    pub closed: bool,
}

impl Fitted {
    /// The points of the curve, including both ends; `None` if the numbers do not define a curve.
    pub fn flatten(&self, allowed: &Allowed) -> Result<Option<Vec<Point>>, EntityError> {
        let mut through = self.points.clone();
        through.dedup();
        if through.len() < 2 || self.closed {
            return Ok(None);
        }
        let chords: Vec<f64> = through.windows(2).map(|w| (w[1] - w[0]).hypot()).collect();
        let slopes = slopes(&through, &chords, self.ends);
        let mut points = vec![through[0]];
        for (i, chord) in chords.iter().enumerate() {
            let (a, b) = (through[i], through[i + 1]);
            let curve = CubicBez::new(a, a + slopes[i] * (chord / 3.0), b - slopes[i + 1] * (chord / 3.0), b);
            let before = points.len();
            let path = [PathEl::MoveTo(a), PathEl::CurveTo(curve.p1, curve.p2, curve.p3)];
            kurbo::flatten(path, FLATNESS, |element| {
                if let PathEl::LineTo(p) = element {
                    points.push(p);
                }
            });
            // The last point is replaced by the exact end of the curve. By rounding there may be two.
            let end = curve.eval(1.0);
            while points.len() > before && (points[points.len() - 1] - end).hypot() < POINT {
                points.pop();
            }
            points.push(end);
            allowed.take(points.len() - before)?;
        }
        Ok(Some(points))
    }
}

/// Points nearer to each other than this, in mm, are one.
const POINT: f64 = 1e-6;

/// The derivative at each point with respect to chord length, found by solving a tridiagonal system with one row for each point.
fn slopes(points: &[Point], chords: &[f64], ends: [Option<Vec2>; 2]) -> Vec<Vec2> {
    let n = points.len();
    let rise = |i: usize| (points[i + 1] - points[i]) / chords[i];
    // The elements below, on and above the diagonal, and the right-hand side.
    let row = |i: usize| -> ([f64; 3], Vec2) {
        let unit = |end: Vec2| end.normalize();
        match i {
            0 => ends[0].map_or(([0.0, 2.0, 1.0], rise(0) * 3.0), |end| ([0.0, 1.0, 0.0], unit(end))),
            i if i + 1 == n => {
                ends[1].map_or(([1.0, 2.0, 0.0], rise(n - 2) * 3.0), |end| ([0.0, 1.0, 0.0], unit(end)))
            }
            i => {
                let (before, after) = (chords[i - 1], chords[i]);
                let right = (rise(i - 1) * after + rise(i) * before) * 3.0;
                ([after, 2.0 * (before + after), before], right)
            }
        }
    };
    let mut above = vec![0.0; n];
    let mut found = vec![Vec2::ZERO; n];
    for i in 0..n {
        let ([below, on, over], right) = row(i);
        let (left, known) = if i == 0 { (0.0, Vec2::ZERO) } else { (above[i - 1], found[i - 1]) };
        let pivot = on - below * left;
        above[i] = over / pivot;
        found[i] = (right - known * below) / pivot;
    }
    for i in (0..n - 1).rev() {
        let after = found[i + 1];
        found[i] -= after * above[i];
    }
    found
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;

    fn length(points: &[Point]) -> f64 {
        points.windows(2).map(|w| (w[1] - w[0]).hypot()).sum()
    }

    fn flat(points: &[(f64, f64)], ends: [Option<Vec2>; 2]) -> Vec<Point> {
        let points = points.iter().map(|&p| p.into()).collect();
        Fitted { points, ends, closed: false }.flatten(&Allowed::of(0)).unwrap().unwrap()
    }

    /// Lengths from `ezdxf` 1.4 (`fit_points_to_cad_cv`, flattened within 1e-6 mm), with and without directions at the ends.
    #[test]
    fn lengths_are_those_of_another_reader() {
        let points = [(0.0, 0.0), (30.0, 12.0), (55.0, 60.0), (50.0, 140.0), (90.0, 150.0)];
        assert!(
            (length(&flat(&points, [None; 2])) - NATURAL).abs() < 0.02,
            "{}",
            length(&flat(&points, [None; 2]))
        );
        let ends = [Some(Vec2::new(2.0, 0.0)), Some(Vec2::new(0.0, 0.5))];
        assert!((length(&flat(&points, ends)) - CLAMPED).abs() < 0.02, "{}", length(&flat(&points, ends)));
    }

    const NATURAL: f64 = 212.8325;
    const CLAMPED: f64 = 221.0470;

    #[test]
    fn no_point_is_there_twice() {
        for k in 0..2000 {
            let bend = f64::from(k) * 0.0371;
            let points = flat(&[(0.0, 0.0), (30.0, bend), (70.0 + bend, 40.0), (80.0, 90.0)], [None; 2]);
            let shortest = points.windows(2).map(|w| (w[1] - w[0]).hypot()).fold(f64::MAX, f64::min);
            assert!(shortest > POINT, "{bend}: {shortest}");
        }
    }

    #[test]
    fn through_two_points_it_is_straight_and_through_one_it_is_nothing() {
        assert!((length(&flat(&[(3.0, 4.0), (3.0, 4.0), (9.0, 12.0)], [None; 2])) - 10.0).abs() < 1e-9);
        let one = |closed, points| Fitted { points, ends: [None; 2], closed };
        let nothing = |fitted: Fitted| fitted.flatten(&Allowed::of(0)).unwrap();
        assert_eq!(nothing(one(false, vec![Point::ORIGIN; 3])), None);
        assert_eq!(nothing(one(true, vec![Point::ORIGIN, Point::new(1.0, 0.0), Point::new(0.0, 1.0)])), None);
    }
}
