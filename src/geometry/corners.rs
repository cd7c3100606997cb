//! Finds the corners of a closed line, whatever the spacing of its vertices. The directions between vertices closer together than
//! 2 mm depend more on noise than on the line.

use super::direction::{STEADY, angle};
use super::ring::doubled_area;
use kurbo::Point;
use std::f64::consts::FRAC_PI_2;

/// A line is rough if it is longer by this factor than the line through vertices 2 mm apart: its noise is then large compared
/// with the spacing of its vertices.
const ROUGH: f64 = 1.05;

/// The factor by which one has to look further along a rough line.
const ROUGH_STEADY: f64 = 3.0;

/// If more vertices than this lie within 2 mm, no direction is determined. At a spacing of 0.01 mm there are 200.
const MOST: usize = 500;

/// By how much, in mm, lengths that were summed in another order may differ.
const ROUNDING: f64 = 1e-6;

/// The least turn, in degrees, at which a vertex represents the others within 2 mm of it. Over that length, noise of 0.2 mm turns
/// a line by some 12°.
const STANDS_OUT: f64 = 15.0;

/// How near, in mm, a turn point must lie to a vertex to count as lying on it.
const ON_VERTEX: f64 = 0.05;

/// The least turn, in degrees, of a corner between two seams. Trouser corners turn by 50° to 110°;
/// the coarsest curves in use turn by some 20° at a vertex.
pub const CORNER: f64 = 32.0;

/// Drawn turn points, in order, because a drawing may have as many of them as vertices.
#[derive(Clone, Debug, Default)]
pub struct TurnPoints(Vec<Point>);

impl TurnPoints {
    /// The turn points at these places.
    #[must_use]
    pub fn new(mut places: Vec<Point>) -> Self {
        places.sort_by(|a, b| a.x.total_cmp(&b.x));
        TurnPoints(places)
    }

    /// Whether one lies on this vertex.
    #[must_use]
    pub fn on(&self, vertex: Point) -> bool {
        let from = self.0.partition_point(|p| p.x < vertex.x - ON_VERTEX);
        let mut near = self.0[from..].iter().take_while(|p| p.x <= vertex.x + ON_VERTEX);
        near.any(|p| (*p - vertex).hypot() <= ON_VERTEX)
    }
}

/// The signed turn, in degrees, at every point of a closed line; positive where the line turns towards its inside, that is, at
/// convex corners. The turns add up to the total turn of the line.
///
/// So that a corner is found whatever the spacing of the vertices, the turns are those of the line through the vertices that
/// [`carrying`] selects; all other vertices have a turn of zero.
#[must_use]
pub fn turns(points: &[Point]) -> Vec<f64> {
    turns_told(points, &TurnPoints::default())
}

/// The same with drawn turn points: among the vertices that may be a corner, the one on which a turn point lies is chosen.
#[must_use]
pub fn turns_told(points: &[Point], turn_points: &TurnPoints) -> Vec<f64> {
    let inward = if doubled_area(points) < 0.0 { -1.0 } else { 1.0 };
    let carrying = carrying(points, turn_points);
    let m = carrying.len();
    let mut turns = vec![0.0; points.len()];
    for k in 0..m {
        let [a, b, c] = [(k + m - 1) % m, k, (k + 1) % m].map(|k| points[carrying[k]]);
        turns[carrying[k]] = inward * angle(b - a, c - b);
    }
    turns
}

/// The indices, in order, of the vertices that determine the course of a closed line: its corners, and between them vertices that
/// are at least 2 mm apart, or further on a rough line. If no vertices are closer than 2 mm, these are all vertices.
#[must_use]
pub fn carrying(points: &[Point], turn_points: &TurnPoints) -> Vec<usize> {
    let n = points.len();
    if !(0..n).any(|i| (points[(i + 1) % n] - points[i]).hypot2() < STEADY * STEADY) {
        return (0..n).collect();
    }
    let steady = if is_rough(points) { ROUGH_STEADY * STEADY } else { STEADY };
    let near = |i: usize, j: usize| (points[j] - points[i]).hypot2() < steady * steady;
    // No vertex is further away than the line to it is long.
    let (lengths, long) = (lengths_twice_round(points), steady - ROUNDING);
    // The number of steps along the line, backward or forward, to the first vertex that is far enough away.
    let reach = |i: usize, step: usize| {
        let least = if step == 1 {
            lengths.partition_point(|&at| at < lengths[i] + long) - i
        } else {
            (i + n + 1) - lengths.partition_point(|&at| at <= lengths[i + n] - long)
        };
        (least.max(1)..n.min(MOST)).find(|k| !near(i, (i + k * step) % n))
    };
    let may_stand_out = may_stand_out(points, &lengths, steady);
    let mut outstanding: Vec<(bool, f64, usize, [usize; 2])> = (0..n)
        .filter(|&i| may_stand_out[i])
        .filter_map(|i| {
            let (back, on) = (reach(i, n - 1)?, reach(i, 1)?);
            let [a, b] = [(n - 1, back), (1, on)].map(|(step, far)| {
                let [inside, outside] = [far - 1, far].map(|k| points[(i + k * step) % n]);
                leaves_circle(points[i], steady, inside, outside)
            });
            let turn = angle(points[i] - a, b - points[i]).abs();
            (turn >= STANDS_OUT).then(|| (turn_points.on(points[i]), turn, i, [back, on]))
        })
        .collect();
    outstanding.sort_by(|a, b| b.0.cmp(&a.0).then(b.1.total_cmp(&a.1)).then(a.2.cmp(&b.2)));
    let (mut taken, mut corner) = (vec![false; n], vec![false; n]);
    for (_, _, i, [back, on]) in outstanding {
        if !taken[i] {
            corner[i] = true;
            (0..back).for_each(|k| taken[(i + n - k) % n] = true);
            (0..on).for_each(|k| taken[(i + k) % n] = true);
        }
    }
    let first = corner.iter().position(|c| *c).unwrap_or(0);
    let mut kept = vec![first];
    let mut last = first;
    for i in (first + 1..first + n).map(|i| i % n) {
        if corner[i] || !(taken[i] || near(last, i)) {
            kept.push(i);
            last = i;
        }
    }
    // Without a corner in between, the last vertex may be too close to the first.
    if kept.len() > 1 && !corner[last] && near(last, first) {
        kept.pop();
    }
    kept.sort_unstable();
    kept
}

/// The lengths of a closed line up to each of its vertices, going round twice.
fn lengths_twice_round(points: &[Point]) -> Vec<f64> {
    let n = points.len();
    let mut lengths = vec![0.0; 2 * n + 1];
    for i in 0..2 * n {
        lengths[i + 1] = lengths[i] + (points[(i + 1) % n] - points[i % n]).hypot();
    }
    lengths
}

/// Whether the line may turn by [`STANDS_OUT`] or more over `steady` before and after each vertex. It does not where the vertices
/// there turn by less than that in all, which is so at most of them and takes less to tell.
fn may_stand_out(points: &[Point], lengths: &[f64], steady: f64) -> Vec<bool> {
    /// A line that turns by less than [`STANDS_OUT`] is longer than its chord by less than this factor.
    const CURVED: f64 = 1.05;
    /// In radians, for a turn of more than 90° and for edges without a length, which have no direction.
    const SHARP: f64 = 10.0;
    let (n, within) = (points.len(), CURVED * steady);
    let mut turned = Vec::with_capacity(2 * n + 1);
    turned.push(0.0);
    let edge = |i: usize| (points[(i + 1) % n] - points[i % n], lengths[i + 1] - lengths[i]);
    for i in 0..2 * n {
        let ((a, before), (b, after)) = (edge((i + n - 1) % n), edge(i % n));
        let both = before * after;
        // An angle of less than 90° is at most as many times its sine.
        let turn = if both > 0.0 && a.dot(b) >= 0.0 { FRAC_PI_2 * a.cross(b).abs() / both } else { SHARP };
        turned.push(turned[i] + turn);
    }
    let (mut from, mut to) = (0, 0);
    let may = |i: usize| {
        while from + 1 < i + n && lengths[from + 1] <= lengths[i + n] - within {
            from += 1;
        }
        while to < 2 * n && lengths[to] < lengths[i] + within {
            to += 1;
        }
        let (before, after) = (turned[i + n + 1] - turned[from + 1], turned[to] - turned[i + 1]);
        before + after >= STANDS_OUT.to_radians()
    };
    (0..n).map(may).collect()
}

/// Where an edge from inside a circle to a point that is not inside it leaves the circle; the point itself where it lies near by.
fn leaves_circle(centre: Point, radius: f64, inside: Point, outside: Point) -> Point {
    /// As a multiple of the radius.
    const NEAR: f64 = 1.5;
    if (outside - centre).hypot() <= NEAR * radius {
        return outside;
    }
    let (way, from) = (outside - inside, inside - centre);
    let (a, b, c) = (way.hypot2(), from.dot(way), from.hypot2() - radius * radius);
    inside + way * ((b * b - a * c).max(0.0).sqrt() - b) / a
}

/// Whether a line is much longer than the line through vertices 2 mm apart.
fn is_rough(points: &[Point]) -> bool {
    let (mut long, mut short, mut last) = (0.0, 0.0, points[0]);
    for (i, &p) in points.iter().enumerate().skip(1) {
        long += (p - points[i - 1]).hypot();
        let step = (p - last).hypot();
        if step >= STEADY {
            short += step;
            last = p;
        }
    }
    long > ROUGH * (short + STEADY)
}

/// The signed turns, in degrees, from each edge of a closed line to the next, however short the edges are.
#[must_use]
pub fn turns_of_edges(points: &[Point]) -> Vec<f64> {
    let n = points.len();
    let inward = if doubled_area(points) < 0.0 { -1.0 } else { 1.0 };
    let turn = |[a, b, c]: [Point; 3]| inward * angle(b - a, c - b);
    (0..n).map(|i| turn([(i + n - 1) % n, i, (i + 1) % n].map(|i| points[i]))).collect()
}

#[cfg(test)]
mod tests {
    #![allow(clippy::float_cmp, reason = "whole numbers are meant exactly")]
    use super::super::by_hand::*;
    use super::*;
    use kurbo::Vec2;

    #[test]
    fn a_line_turns_by_its_outer_angles() {
        // A right triangle of 3, 4 and 5: by hand 90°, 180° less atan(3/4), 180° less atan(4/3); they add up to 360°.
        let triangle = points(&[(0.0, 0.0), (4.0, 0.0), (0.0, 3.0)]);
        let expected =
            [90.0, 180.0 - 0.75f64.atan().to_degrees(), 180.0 - (4.0f64 / 3.0).atan().to_degrees()];
        for (turn, by_hand) in turns(&triangle).into_iter().zip(expected) {
            assert!(near(turn, by_hand), "{turn} {by_hand}");
        }
        assert!(near(doubled_area(&triangle), 12.0));
        // In reverse order the turns are the same and the area is negative.
        let back: Vec<Point> = triangle.iter().rev().copied().collect();
        assert!(turns(&back).iter().zip(expected.iter().rev()).all(|(a, b)| near(*a, *b)));
        assert!(near(doubled_area(&back), -12.0));
        // The turn at a concave corner is negative, and a vertex 0.2 mm from another has no direction of its own.
        let hollow = points(&[(0.0, 0.0), (40.0, 0.0), (10.0, 10.0), (0.0, 50.0)]);
        assert!(turns(&hollow)[2] < 0.0);
        let doubled = points(&[(0.0, 0.0), (4.0, 0.0), (4.0, 0.2), (0.0, 3.2)]);
        // Of two close vertices the sharper one is the corner, from (0, 0) to (4, 0) and on to (0, 3.2); the other has no turn.
        let by_hand = 180.0 - (3.2f64 / 4.0).atan().to_degrees();
        assert!(near(turns(&doubled)[1], by_hand), "{}", turns(&doubled)[1]);
        assert!(near(turns(&doubled)[2], 0.0));
        assert!(turns(&points(&[(1.0, 1.0); 3])).iter().all(|t| *t == 0.0));
    }

    /// A rectangle of 100 by 60 whose long and short sides are divided into the given numbers of edges.
    fn rectangle([long, short]: [u32; 2]) -> Vec<Point> {
        let corners = points(&[(0.0, 0.0), (100.0, 0.0), (100.0, 60.0), (0.0, 60.0)]);
        let side = |i: usize| {
            let (a, b) = (corners[i], corners[(i + 1) % 4]);
            let steps = if i.is_multiple_of(2) { long } else { short };
            (0..steps).map(move |k| a.lerp(b, f64::from(k) / f64::from(steps)))
        };
        (0..4).flat_map(side).collect()
    }

    #[test]
    fn a_corner_is_where_the_line_turns_whatever_the_spacing() {
        // Closed form: there are four corners of 90° and no turns between them. Rounding to 0.01 mm adds no other corners.
        for (edges, decimals) in
            [(2000, 1e6), (1000, 1e6), (1000, 1e2), (285, 1e2), (200, 1e3), (100, 1e2), (20, 1e2)]
        {
            let round = |v: f64| (v * decimals).round() / decimals;
            let line: Vec<Point> = rectangle([edges, edges * 3 / 5])
                .iter()
                .map(|p| Point::new(round(p.x), round(p.y)))
                .collect();
            let turned = turns(&line);
            let corners: Vec<Point> =
                (0..line.len()).filter(|&i| turned[i] > CORNER).map(|i| line[i]).collect();
            assert_eq!(corners.len(), 4, "{edges}");
            for corner in [(31.0, -17.0), (131.0, -17.0), (131.0, 43.0), (31.0, 43.0)] {
                assert!(
                    corners.iter().any(|c| (*c - Point::from(corner)).hypot() < 1e-9),
                    "{edges} {corner:?}"
                );
            }
            assert!((turned.iter().sum::<f64>() - 360.0).abs() < 1e-6);
        }
    }

    /// A side drawn closely runs with a digitiser's noise up to a corner, after which the line goes on in one long edge. Each of
    /// the last vertices before the corner looks past it along that edge.
    #[test]
    fn the_corner_of_a_dense_line_before_a_long_edge_is_its_own() {
        let mut line: Vec<Point> = (0..=400)
            .map(|k| Point::new(f64::from(k) * 0.25, if k % 3 == 0 { 0.02 } else { -0.01 }))
            .collect();
        line.extend([Point::new(100.0, 60.0), Point::new(0.0, 60.0)]);
        let turned = turns(&line);
        let corner = (0..line.len()).filter(|&i| turned[i] > CORNER && line[i].x > 90.0 && line[i].y < 30.0);
        assert_eq!(corner.collect::<Vec<_>>(), [400]);
    }

    #[test]
    fn a_turn_point_settles_which_vertex_is_the_corner() {
        // A corner is cut off by 0.4 mm, so either end of the cut may be the corner.
        let mut line = rectangle([250, 150]);
        let corner = line.iter().position(|p| *p == Point::new(131.0, -17.0)).unwrap_or_default();
        line.remove(corner);
        for told in [corner - 1, corner] {
            let turned = turns_told(&line, &TurnPoints::new(vec![line[told]]));
            let near = (corner - 3..corner + 3).filter(|&i| turned[i] > CORNER).collect::<Vec<_>>();
            assert_eq!(near, [told]);
        }
    }

    #[test]
    fn noise_on_close_vertices_makes_no_corner() {
        // With noise of 0.2 mm on vertices 0.2 mm apart the line is half as long again, but it still has four corners.
        let noisy = rectangle([500, 300]);
        let out = |i: usize| [0.2, -0.1, -0.2, 0.15, 0.0][i * 7 % 5];
        let line: Vec<Point> =
            noisy.iter().enumerate().map(|(i, p)| *p + Vec2::new(out(i), out(i + 1))).collect();
        assert!(is_rough(&line) && !is_rough(&noisy));
        assert_eq!(turns(&line).iter().filter(|t| **t > CORNER).count(), 4);
    }

    /// The place lies on the edge and as far from the centre as the radius says; a point that is only a little outside stays.
    #[test]
    fn an_edge_leaves_a_circle_on_the_circle() {
        let centre = Point::new(3.0, 1.0) + ORIGIN;
        for (radius, inside, outside) in [
            (2.0, (1.0, 0.0), (10.0, 0.0)),
            (2.0, (0.5, -1.0), (4.0, 9.0)),
            (6.0, (-3.0, 2.0), (30.0, 40.0)),
            (6.0, (0.0, 0.0), (-12.0, 16.0)),
        ] {
            let (inside, outside) = (centre + Vec2::from(inside), centre + Vec2::from(outside));
            let place = leaves_circle(centre, radius, inside, outside);
            assert!(near((place - centre).hypot(), radius), "{place}");
            assert!(near((place - inside).hypot() + (outside - place).hypot(), (outside - inside).hypot()));
        }
        let close = centre + Vec2::new(0.0, 2.9);
        assert_eq!(leaves_circle(centre, 2.0, centre, close), close);
    }

    /// A zigzag of 0.2 mm steps along the line is longer than it by the factor √(1 + (height / 0.2)²).
    #[test]
    fn a_line_is_rough_where_it_is_longer_by_a_twentieth() {
        for (length, longer, rough) in [(1000.0, 1.03, false), (1000.0, 1.08, true), (10.0, 1.08, false)] {
            let high = 0.2 * (longer * longer - 1.0_f64).sqrt();
            #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
            let steps = (length / 0.2) as u32;
            let at = |k: u32| Point::new(f64::from(k) * 0.2, if k % 2 == 1 { high } else { 0.0 });
            let line: Vec<Point> = (0..=steps).map(at).collect();
            assert_eq!(is_rough(&line), rough, "{length} {longer}");
        }
    }
}
