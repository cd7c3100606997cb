//! Finds the angle by which the outline of one piece has to be turned to lie on that of another.
//!
//! Both outlines are resampled at even steps of their length. For each point to begin at, the turn that lays one outline best
//! on the other is that of orthogonal Procrustes analysis (in the plane: the argument of the sum of products of points and
//! conjugates; P. H. Schönemann, *Psychometrika* 31 (1966), 1–10). The result is the turn with the best fit, and every other
//! one that fits as well: a rectangle lies on itself in two ways, a disc in any.

use crate::geometry::{line, ring};
use kurbo::{Point, Vec2};

/// The number of points that stand for an outline: on a leg they are some 4 cm apart.
const STEPS: usize = 64;

/// A fit below this is no fit; 1 means that the outlines are alike, and two sizes of a piece fit to 0.999 and more.
const FIT: f64 = 0.985;

/// Two fits that differ by more than this are never equally good.
const AS_GOOD: f64 = 0.004;

/// A fit leaves a remainder, its difference from 1. One fit counts as good as the best if its remainder is at most this many
/// times that of the best fit (first number), plus an amount that is always allowed (second number). A leg laid on the next
/// size end for end leaves a hundred times as much as one laid right (measured).
const LEFT_OVER: (f64, f64) = (8.0, 2e-4);

/// A way to lay one outline on another.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Turn {
    /// The turn in degrees, from −180 to 180; it comes after the mirroring, if there is one.
    pub degrees: f64,
    /// Whether the outline has to be mirrored (X reversed) first.
    pub mirrored: bool,
}

impl Turn {
    /// The direction on the second piece, in degrees, that corresponds to a direction on the first one.
    #[must_use]
    pub fn of(self, direction: f64) -> f64 {
        self.degrees + if self.mirrored { 180.0 - direction } else { direction }
    }
}

/// An outline resampled in even steps around its centre, counter-clockwise.
#[derive(Clone, Debug)]
pub struct Stepped {
    points: Vec<Point>,
    /// The length of the outline up to each point.
    stations: Vec<f64>,
    /// The points of the even steps, scaled to a common size.
    steps: Vec<Vec2>,
    /// The points in the order in which they are drawn, relative to their centre and scaled to a common size.
    drawn: Vec<Vec2>,
    /// Whether the points are drawn clockwise.
    clockwise: bool,
}

impl Stepped {
    /// The outline; `None` where it has no extent.
    #[must_use]
    pub fn new(outline: &[Point]) -> Option<Self> {
        let mut points = outline.to_vec();
        let clockwise = ring::doubled_area(&points) < 0.0;
        if clockwise {
            points.reverse();
        }
        points.push(*points.first()?);
        let stations = line::stations(&points);
        let mut drawn: Vec<Vec2> = outline.iter().map(|p| p.to_vec2()).collect();
        centred(&mut drawn);
        let mut stepped = Stepped { points, stations, steps: Vec::new(), drawn, clockwise };
        stepped.steps = stepped.from(0.0);
        stepped.steps.iter().all(|s| s.is_finite()).then_some(stepped)
    }

    /// The same outline, mirrored.
    #[must_use]
    pub fn mirrored(&self) -> Option<Self> {
        let points: Vec<Point> = self.points[1..].iter().map(|p| Point::new(-p.x, p.y)).collect();
        Stepped::new(&points)
    }

    /// Even steps around the centre; the first one is this share of a step after the first point.
    fn from(&self, share: f64) -> Vec<Vec2> {
        let total = self.stations[self.stations.len() - 1];
        let mut k = 0;
        let mut steps: Vec<Vec2> = (0..STEPS)
            .map(|i| {
                let at = (i as f64 + share.rem_euclid(1.0)) / STEPS as f64 * total;
                while k + 2 < self.stations.len() && self.stations[k + 1] <= at {
                    k += 1;
                }
                let length = self.stations[k + 1] - self.stations[k];
                let t = if length > 0.0 { (at - self.stations[k]) / length } else { 0.0 };
                self.points[k].lerp(self.points[k + 1], t).to_vec2()
            })
            .collect();
        centred(&mut steps);
        steps
    }

    /// The turn that lays each point of this outline on the point of the same number in another, if the outlines fit like
    /// that.
    #[must_use]
    pub fn as_drawn(&self, other: &Stepped) -> Option<Turn> {
        if self.drawn.len() != other.drawn.len() {
            return None;
        }
        let mirrored = self.clockwise != other.clockwise;
        let own: Vec<Vec2> =
            self.drawn.iter().map(|p| Vec2::new(if mirrored { -p.x } else { p.x }, p.y)).collect();
        let sum = product(&own, &other.drawn, 0);
        (sum.hypot() >= FIT).then(|| Turn { degrees: sum.y.atan2(sum.x).to_degrees(), mirrored })
    }

    /// The turns that lay this outline on another with the best fit.
    #[must_use]
    pub fn onto(&self, other: &Stepped) -> Vec<Turn> {
        let mut found = self.unmirrored(other, false);
        if let Some(mirrored) = self.mirrored() {
            found.extend(mirrored.unmirrored(other, true));
        }
        let best = found.iter().map(|f| f.1).fold(0.0, f64::max);
        found.retain(|f| f.1 >= FIT && as_good(f.1, best));
        found.into_iter().map(|f| f.0).collect()
    }

    /// The turns at which the fit is better than at the steps before and after, each with its fit.
    fn unmirrored(&self, other: &Stepped, mirrored: bool) -> Vec<(Turn, f64)> {
        let fits: Vec<f64> = (0..STEPS).map(|k| product(&self.steps, &other.steps, k).hypot()).collect();
        let best = fits.iter().copied().fold(0.0, f64::max);
        let peak = |&k: &usize| {
            let (before, after) = (fits[(k + STEPS - 1) % STEPS], fits[(k + 1) % STEPS]);
            fits[k] >= before && fits[k] > after && fits[k] >= best - 4.0 * AS_GOOD
        };
        let turn = |k: usize| {
            // The best place between two steps: where the parabola through the three fits is highest.
            let (a, b, c) = (fits[(k + STEPS - 1) % STEPS], fits[k], fits[(k + 1) % STEPS]);
            let bend = a - 2.0 * b + c;
            let share = if bend < 0.0 { (0.5 * (a - c) / bend).clamp(-0.5, 0.5) } else { 0.0 };
            // `from` counts a negative share from the step before, so `k` has to go back by one step.
            let k = if share < 0.0 { (k + STEPS - 1) % STEPS } else { k };
            let sum = product(&self.steps, &other.from(share), k);
            let degrees = sum.y.atan2(sum.x).to_degrees();
            (Turn { degrees, mirrored }, sum.hypot())
        };
        (0..STEPS).filter(peak).map(turn).collect()
    }
}

/// Moves points so that their centre is the origin, and scales them to a common size.
fn centred(points: &mut [Vec2]) {
    let centre = points.iter().fold(Vec2::ZERO, |sum, p| sum + *p) / points.len() as f64;
    let size = points.iter().map(|p| (*p - centre).hypot2()).sum::<f64>().sqrt();
    for p in points {
        *p = (*p - centre) / size;
    }
}

/// Whether a fit is as good as the best one.
fn as_good(fit: f64, best: f64) -> bool {
    let left = 1.0 - best;
    1.0 - fit <= (LEFT_OVER.0 * left + LEFT_OVER.1).min(left + AS_GOOD)
}

/// The sum of the products of the second outline's points, beginning with number `k`, with the conjugates of the first's.
fn product(a: &[Vec2], b: &[Vec2], k: usize) -> Vec2 {
    let pairs = a.iter().zip(b[k..].iter().chain(&b[..k]));
    pairs.fold(Vec2::ZERO, |sum, (p, q)| sum + Vec2::new(p.dot(*q), p.cross(*q)))
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;
    use kurbo::Affine;
    use std::f64::consts::PI;

    fn stepped(points: &[(f64, f64)], place: Affine, from: usize) -> Stepped {
        let n = points.len();
        let turned: Vec<Point> = (0..n).map(|i| place * Point::from(points[(from + i) % n])).collect();
        Stepped::new(&turned).unwrap()
    }

    const FLAP: [(f64, f64); 5] = [(0.0, 0.0), (160.0, 0.0), (160.0, 60.0), (50.0, 85.0), (0.0, 130.0)];

    /// However a piece lies and wherever its outline begins, the turn that is found is the one it was given.
    #[test]
    fn a_turned_outline_is_turned_by_so_much() {
        let first = stepped(&FLAP, Affine::IDENTITY, 0);
        for (degrees, from) in [(0.0, 1), (3.0, 0), (-41.5, 2), (137.0, 4), (179.0, 3)] {
            let place = Affine::translate((900.0, -70.0)) * Affine::rotate(f64::to_radians(degrees));
            let turns = first.onto(&stepped(&FLAP, place, from));
            let [one] = turns[..] else { panic!("{degrees}: {turns:?}") };
            assert!((one.degrees - degrees).abs() < 0.15 && !one.mirrored, "{degrees}: {one:?}");
            // The same, seen from behind.
            let turns = first.onto(&stepped(&FLAP, place * Affine::FLIP_X, from));
            let [one] = turns[..] else { panic!("{degrees}: {turns:?}") };
            assert!((one.degrees - degrees).abs() < 0.15 && one.mirrored, "{degrees}: {one:?}");
        }
    }

    #[test]
    fn a_band_lies_on_itself_in_two_ways_and_another_piece_in_none() {
        let band = [(0.0, 0.0), (400.0, 0.0), (400.0, 70.0), (0.0, 70.0)];
        let place = Affine::rotate(0.1);
        let turns = stepped(&band, Affine::IDENTITY, 0).onto(&stepped(&band, place, 1));
        let mut plain: Vec<f64> = turns.iter().filter(|t| !t.mirrored).map(|t| t.degrees).collect();
        plain.sort_by(f64::total_cmp);
        assert_eq!(plain.len(), 2, "{turns:?}");
        // The order in which the points are drawn tells which of the two turns it is.
        let over = Affine::rotate(PI) * place;
        for (turned, degrees, mirrored) in
            [(place, 0.1f64, false), (over, 0.1 - PI, false), (place * Affine::FLIP_X, 0.1, true)]
        {
            let turn = stepped(&band, Affine::IDENTITY, 0).as_drawn(&stepped(&band, turned, 0)).unwrap();
            assert!((turn.degrees - degrees.to_degrees()).abs() < 0.01, "{turn:?}");
            assert_eq!(turn.mirrored, mirrored);
        }
        assert_eq!(stepped(&band, place, 0).as_drawn(&stepped(&band, place, 1)), None);
        assert!((plain[0] - (0.1f64.to_degrees() - 180.0)).abs() < 0.15, "{plain:?}");
        assert!((plain[1] - 0.1f64.to_degrees()).abs() < 0.15, "{plain:?}");
        let wedge = [(0.0, 0.0), (300.0, 0.0), (0.0, 200.0)];
        assert_eq!(stepped(&band, place, 0).onto(&stepped(&wedge, place, 0)), []);
        // A larger size with a wider end is hardly turned.
        let larger = [(0.0, 0.0), (168.0, 0.0), (168.0, 64.0), (53.0, 90.0), (0.0, 136.0)];
        let turns = stepped(&FLAP, Affine::IDENTITY, 0).onto(&stepped(&larger, Affine::IDENTITY, 0));
        let [one] = turns[..] else { panic!("{turns:?}") };
        assert!(one.degrees.abs() < 0.5, "{one:?}");
    }
}
