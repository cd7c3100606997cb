//! Closed polylines: turning, corners, lengths.

use kurbo::{Affine, Line, ParamCurveNearest, Point, Vec2};

/// How far, in mm, to look along a line for the direction in which it runs there. With 0.2 mm of a
/// digitiser's noise, or coordinates rounded to 0.01 mm, the direction of a shorter stretch says
/// more about the noise than about the line.
const STEADY: f64 = 2.0;

/// A line so many times longer than the one through vertices [`STEADY`] apart is rough: drawn with
/// noise that is large beside the spacing of its vertices.
const ROUGH: f64 = 1.05;

/// How many times further to look along a rough line.
const ROUGH_STEADY: f64 = 3.0;

/// More vertices than this within [`STEADY`] have no direction: 0.01 mm apart there are 200.
const MOST: usize = 500;

/// The least turn, in degrees, that makes a vertex stand for the others within [`STEADY`] of it.
/// Noise of 0.2 mm turns a line by some 12° over that.
const STANDS_OUT: f64 = 15.0;

/// How near to a vertex, in mm, a turn point that is meant to be on it lies.
const ON_VERTEX: f64 = 0.05;

/// The least turn, in degrees, of a corner between two seams. Trouser corners turn by 50° to 110°;
/// the coarsest curves in use turn by some 20° at a vertex.
pub const CORNER: f64 = 32.0;

/// Signed turns, in degrees, at every point of a closed line; positive where it turns towards its
/// inside, so at convex corners. They add up to what the whole line turns by.
///
/// A corner is the vertex where the line turns, whatever the spacing of its vertices: the turn is
/// that of the line through the vertices that [`carrying`] names, and the others have none.
#[must_use]
pub fn turns(points: &[Point]) -> Vec<f64> {
    turns_told(points, &[])
}

/// The same, where turn points are drawn: of the vertices that may be a corner, the one on which a
/// turn point lies is it.
#[must_use]
pub fn turns_told(points: &[Point], turn_points: &[Point]) -> Vec<f64> {
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

/// The vertices of a closed line that say how it runs, in order: its corners, and between them
/// vertices that are at least 2 mm apart, further on a rough line. All of them where none are
/// closer.
#[must_use]
pub fn carrying(points: &[Point], turn_points: &[Point]) -> Vec<usize> {
    let n = points.len();
    if !(0..n).any(|i| (points[(i + 1) % n] - points[i]).hypot2() < STEADY * STEADY) {
        return (0..n).collect();
    }
    let steady = if is_rough(points) { ROUGH_STEADY * STEADY } else { STEADY };
    let near = |i: usize, j: usize| (points[j] - points[i]).hypot2() < steady * steady;
    // How many steps back and forward the line is followed to where it is far enough away.
    let reach = |i: usize, step: usize| (1..n.min(MOST)).find(|k| !near(i, (i + k * step) % n));
    // A drawing may have as many turn points as vertices.
    let mut by_x = turn_points.to_vec();
    by_x.sort_by(|a, b| a.x.total_cmp(&b.x));
    let mut outstanding: Vec<(bool, f64, usize, [usize; 2])> = (0..n)
        .filter_map(|i| {
            let (back, on) = (reach(i, n - 1)?, reach(i, 1)?);
            let [a, b] = [(i + n - back) % n, (i + on) % n];
            let turn = angle(points[i] - points[a], points[b] - points[i]).abs();
            let told = || {
                let from = by_x.partition_point(|p| p.x < points[i].x - ON_VERTEX);
                let mut near = by_x[from..].iter().take_while(|p| p.x <= points[i].x + ON_VERTEX);
                near.any(|p| (*p - points[i]).hypot() <= ON_VERTEX)
            };
            (turn >= STANDS_OUT).then(|| (told(), turn, i, [back, on]))
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
    // The last of them may be too close to the first, where no corner keeps its neighbours away.
    if kept.len() > 1 && !corner[last] && near(last, first) {
        kept.pop();
    }
    kept.sort_unstable();
    kept
}

/// Whether a line is much longer than the one through vertices that are [`STEADY`] apart.
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

/// Signed turns, in degrees, from each edge of a closed line to the next, however short they are.
#[must_use]
pub fn turns_of_edges(points: &[Point]) -> Vec<f64> {
    let n = points.len();
    let inward = if doubled_area(points) < 0.0 { -1.0 } else { 1.0 };
    let turn = |[a, b, c]: [Point; 3]| inward * angle(b - a, c - b);
    (0..n).map(|i| turn([(i + n - 1) % n, i, (i + 1) % n].map(|i| points[i]))).collect()
}

/// The angle in degrees from `a` to `b`, in −180..180.
#[must_use]
pub fn angle(a: Vec2, b: Vec2) -> f64 {
    a.cross(b).atan2(a.dot(b)).to_degrees()
}

/// Twice the signed area.
#[must_use]
pub fn doubled_area(points: &[Point]) -> f64 {
    let n = points.len();
    (0..n).map(|i| points[i].to_vec2().cross(points[(i + 1) % n].to_vec2())).sum()
}

/// The reflection in the line through a point along a direction.
#[must_use]
pub fn reflection(through: Point, along: Vec2) -> Affine {
    let line = along.normalize();
    let (double, cross) = (2.0 * line.x * line.x - 1.0, 2.0 * line.x * line.y);
    let about = Affine::new([double, cross, cross, -double, 0.0, 0.0]);
    Affine::translate(through.to_vec2()) * about * Affine::translate(-through.to_vec2())
}

/// The points of a closed line from one to another, both included, running forward.
#[must_use]
pub fn run(points: &[Point], from: usize, to: usize) -> Vec<Point> {
    let n = points.len();
    (0..=(to + n - from) % n).map(|k| points[(from + k) % n]).collect()
}

/// How far, in mm, a point is from an open run of points.
#[must_use]
pub fn distance(run: &[Point], p: Point) -> f64 {
    let segment = |w: &[Point]| Line::new(w[0], w[1]).nearest(p, 1e-6).distance_sq.sqrt();
    run.windows(2).map(segment).fold(f64::MAX, f64::min)
}

/// The length of an open run of points.
#[must_use]
pub fn length(points: &[Point]) -> f64 {
    points.windows(2).map(|w| (w[1] - w[0]).hypot()).sum()
}

/// The arc length from the first point to each.
#[must_use]
pub fn stations(points: &[Point]) -> Vec<f64> {
    let mut at = 0.0;
    let mut before = points.first().copied().unwrap_or_default();
    points
        .iter()
        .map(|&p| {
            at += (p - before).hypot();
            before = p;
            at
        })
        .collect()
}

/// The unsigned angle, in degrees 0..90, between a direction and an axis.
#[must_use]
pub fn lean(direction: Vec2, axis: Vec2) -> f64 {
    direction.cross(axis).abs().atan2(direction.dot(axis).abs()).to_degrees()
}

/// The tangent at the first point of a sampled curve, to second order. Where vertices lie close
/// together it is that of the parabola through the first point that fits the next best, since the
/// directions of short edges are noise; else the chord of the first segment turned back by what the
/// curve turns in half of it.
#[must_use]
pub fn tangent_at_start(points: &[Point]) -> Vec2 {
    if let Some(fitted) = tangent_of_fit(points) {
        return fitted;
    }
    let Some(a) = points.iter().position(|p| (*p - points[0]).hypot() >= STEADY) else {
        return points.last().map_or(Vec2::ZERO, |p| direction(*p - points[0]));
    };
    let first = points[a] - points[0];
    let Some(second) = points[a..].iter().map(|p| *p - points[a]).find(|v| v.hypot() >= STEADY) else {
        return first.normalize();
    };
    let turn = angle(first, second);
    // A real corner or a much longer neighbour says nothing about the curve in this segment.
    if turn.abs() > 20.0 {
        return first.normalize();
    }
    let back = turn * first.hypot() / (first.hypot() + second.hypot());
    (Vec2::from_angle(first.atan2() - back.to_radians())).normalize()
}

/// The tangent at the first point of the parabola, by distance from that point and through it, that fits
/// the points of the next stretch in the least squares. `None` where they are too few, or no part
/// of one curve.
fn tangent_of_fit(points: &[Point]) -> Option<Vec2> {
    /// The stretch in mm: the tightest crotch curves have a radius of some 20 mm, and leave a
    /// parabola over this by 0.1 mm.
    const STRETCH: f64 = 12.0;
    /// The least points besides the first: two would be met by any parabola.
    const LEAST: usize = 5;
    /// How far, in mm, a point may be off the parabola: noise, but no corner.
    const OFF: f64 = 0.5;
    let start = *points.first()?;
    // The way along a rough line is longer than the line it stands for; the distance is not.
    let way = points[1..].iter().map(|p| ((*p - start).hypot(), *p - start));
    let near: Vec<(f64, Vec2)> = way.take_while(|(s, _)| *s <= STRETCH).collect();
    if near.len() < LEAST {
        return None;
    }
    // The normal equations of a·s + b·s².
    let sum = |power: i32| near.iter().map(|(s, _)| s.powi(power)).sum::<f64>();
    let by = |power: i32| near.iter().map(|(s, d)| *d * s.powi(power)).sum::<Vec2>();
    let (s2, s3, s4, d1, d2) = (sum(2), sum(3), sum(4), by(1), by(2));
    let det = s2 * s4 - s3 * s3;
    let (a, b) = ((d1 * s4 - d2 * s3) / det, (d2 * s2 - d1 * s3) / det);
    let off = |&(s, d): &(f64, Vec2)| (d - a * s - b * s * s).hypot();
    (det > 0.0 && a.hypot() > 0.0 && near.iter().all(|n| off(n) <= OFF)).then(|| a.normalize())
}

/// The unit vector of a vector; none has none.
fn direction(v: Vec2) -> Vec2 {
    if v.hypot2() > 0.0 { v.normalize() } else { Vec2::ZERO }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::float_cmp, reason = "whole numbers are meant exactly")]
    use super::*;

    const ORIGIN: Vec2 = Vec2::new(31.0, -17.0);

    fn points(all: &[(f64, f64)]) -> Vec<Point> {
        all.iter().map(|&(x, y)| Point::new(x, y) + ORIGIN).collect()
    }

    fn near(a: f64, b: f64) -> bool {
        (a - b).abs() < 1e-9
    }

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
        // The other way round the corners are the same, the area negative.
        let back: Vec<Point> = triangle.iter().rev().copied().collect();
        assert!(turns(&back).iter().zip(expected.iter().rev()).all(|(a, b)| near(*a, *b)));
        assert!(near(doubled_area(&back), -12.0));
        // Hollow is negative, and a vertex 0.2 mm beside another has no direction of its own.
        let hollow = points(&[(0.0, 0.0), (40.0, 0.0), (10.0, 10.0), (0.0, 50.0)]);
        assert!(turns(&hollow)[2] < 0.0);
        let doubled = points(&[(0.0, 0.0), (4.0, 0.0), (4.0, 0.2), (0.0, 3.2)]);
        // Of twins the sharper one is the corner, from (0, 0) to (4, 0) and on to (0, 3.2); the other has no turn.
        let by_hand = 180.0 - (3.2f64 / 4.0).atan().to_degrees();
        assert!(near(turns(&doubled)[1], by_hand), "{}", turns(&doubled)[1]);
        assert!(near(turns(&doubled)[2], 0.0));
        assert!(turns(&points(&[(1.0, 1.0); 3])).iter().all(|t| *t == 0.0));
    }

    /// A rectangle of 100 by 60 whose sides are divided into so many edges.
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
        // Closed form: four corners of 90°, nothing between them; rounding to 0.01 mm leaves no others.
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

    #[test]
    fn a_turn_point_settles_which_vertex_is_the_corner() {
        // A corner cut off by 0.4 mm: either end of the cut may be it.
        let mut line = rectangle([250, 150]);
        let corner = line.iter().position(|p| *p == Point::new(131.0, -17.0)).unwrap_or_default();
        line.remove(corner);
        for told in [corner - 1, corner] {
            let turned = turns_told(&line, &[line[told]]);
            let near = (corner - 3..corner + 3).filter(|&i| turned[i] > CORNER).collect::<Vec<_>>();
            assert_eq!(near, [told]);
        }
    }

    #[test]
    fn noise_on_close_vertices_makes_no_corner() {
        // 0.2 mm to and fro on vertices 0.2 mm apart: the line is half as long again, its corners are four.
        let noisy = rectangle([500, 300]);
        let out = |i: usize| [0.2, -0.1, -0.2, 0.15, 0.0][i * 7 % 5];
        let line: Vec<Point> =
            noisy.iter().enumerate().map(|(i, p)| *p + Vec2::new(out(i), out(i + 1))).collect();
        assert!(is_rough(&line) && !is_rough(&noisy));
        assert_eq!(turns(&line).iter().filter(|t| **t > CORNER).count(), 4);
    }

    #[test]
    fn angles_have_a_sign_and_leans_have_none() {
        let at = |degrees: f64| Vec2::from_angle(degrees.to_radians()) * 7.0;
        for (from, to, angle_of, lean_of) in [
            (10.0, 40.0, 30.0, 30.0),
            (40.0, 10.0, -30.0, 30.0),
            (10.0, 130.0, 120.0, 60.0),
            (10.0, 171.0, 161.0, 19.0),
            (170.0, -170.0, 20.0, 20.0),
        ] {
            assert!(
                near(angle(at(from), at(to)), angle_of) && near(lean(at(from), at(to)), lean_of),
                "{from} {to}"
            );
        }
    }

    #[test]
    fn runs_lengths_stations_and_distances() {
        let line = points(&[(0.0, 0.0), (3.0, 4.0), (3.0, 10.0), (-5.0, 4.0)]);
        assert_eq!(run(&line, 1, 3), line[1..]);
        assert_eq!(run(&line, 3, 1), [line[3], line[0], line[1]]);
        assert!(near(length(&line), 5.0 + 6.0 + 10.0));
        assert_eq!(stations(&line), [0.0, 5.0, 11.0, 21.0]);
        // Beside the edge of 5 the height of the triangle 3, 4, 5; beyond an end the way to the end.
        let off = |x: f64, y: f64| distance(&line, Point::new(x, y) + ORIGIN);
        assert!(near(off(3.0, 0.0), 2.4) && near(off(-3.0, -4.0), 5.0) && near(off(10.0, 6.0), 7.0));
    }

    #[test]
    fn the_tangent_of_a_circle_is_square_to_its_radius() {
        // Chords of a circle: the tangent leads the first chord by half of what that spans, whatever the next one spans.
        for (first, second) in [(4.0, 4.0), (3.0, 8.0), (9.0, 5.0)] {
            let on = |degrees: f64| {
                Point::new(80.0 * degrees.to_radians().cos(), 80.0 * degrees.to_radians().sin())
            };
            let circle = [on(20.0), on(20.0 + first), on(20.0 + first + second)].map(|p| p + ORIGIN);
            let tangent = tangent_at_start(&circle);
            let off = angle(Vec2::from_angle(110f64.to_radians()), tangent);
            assert!(off.abs() < 0.03, "{first} {second}: {off}");
            assert!(near(tangent.hypot(), 1.0));
        }
        // Many vertices close together, rounded to 0.01 mm, say the same of the circle.
        let on = |mm: f64| {
            let (sin, cos) = (mm / 40.0).sin_cos();
            Point::new((4000.0 * cos).round() / 100.0, (4000.0 * sin).round() / 100.0)
        };
        let dense: Vec<Point> = (0..150).map(|k| on(f64::from(k) * 0.2)).collect();
        assert!(angle(Vec2::new(0.0, 1.0), tangent_at_start(&dense)).abs() < 0.3);
        // A vertex 0.2 mm from the first says nothing; a corner of more than 20° is no curve; one edge is its own tangent.
        let near_start = points(&[(0.0, 0.0), (0.1, 0.15), (6.0, 8.0), (9.0, 12.0)]);
        assert!((tangent_at_start(&near_start) - Vec2::new(0.6, 0.8)).hypot() < 1e-9);
        let corner = |degrees: f64| {
            let a = Point::new(5.0, 0.0) + ORIGIN;
            tangent_at_start(&[
                Point::ORIGIN + ORIGIN,
                a,
                a + Vec2::from_angle(f64::to_radians(degrees)) * 5.0,
            ])
            .atan2()
        };
        assert!(near(corner(21.0), 0.0) && near(corner(-21.0), 0.0));
        assert!(near(corner(19.0).to_degrees(), -9.5) && near(corner(-19.0).to_degrees(), 9.5));
        assert_eq!(tangent_at_start(&points(&[(0.0, 0.0), (0.0, 9.0)])), Vec2::new(0.0, 1.0));
        assert_eq!(tangent_at_start(&points(&[(0.0, 0.0), (0.0, 0.1)])), Vec2::new(0.0, 1.0));
        assert_eq!(tangent_at_start(&points(&[(0.0, 0.0)])), Vec2::ZERO);
    }
}
