//! Derives sew lines from cut lines: every edge is shifted inwards by its own allowance.

use super::{corners, ring};
use kurbo::{Line, Point, Vec2};

/// The greatest distance of a shifted corner from the drawn one, in allowances. Without this limit the tip of a dart cut into the
/// outline would move far away.
const MITRE: f64 = 6.0;

/// The sew line of a closed cut line, point for point. `allowances` holds the allowance of the edge
/// after each point, in mm.
///
/// Neighbouring edges are shifted and joined where they cross. An edge for which its neighbours leave no room (such as the short
/// edges of a shaped hem) vanishes: both of its points are moved to the crossing of the neighbours. `None` if too little is left.
///
/// Where vertices lie close together, the directions of the edges between them are noise. Then only the line through the vertices
/// selected by [`carrying`] is shifted, and the other vertices keep their positions relative to its edges.
#[must_use]
pub fn inside(points: &[Point], allowances: &[f64]) -> Option<Vec<Point>> {
    let n = points.len();
    let carrying = carrying(points, allowances);
    if carrying.len() == n {
        return shifted(points, allowances);
    }
    let line: Vec<Point> = carrying.iter().map(|&i| points[i]).collect();
    let of_line: Vec<f64> = carrying.iter().map(|&i| allowances[i]).collect();
    let sewn = shifted(&line, &of_line)?;
    let mut inside = vec![Point::ZERO; n];
    for k in 0..carrying.len() {
        inside[carrying[k]] = sewn[k];
    }
    for (k, i) in between(&carrying, n) {
        inside[i] = alike(points[i], edge(points, &carrying, k), edge(&inside, &carrying, k));
    }
    Some(inside)
}

/// The vertices between which the edges are shifted; the vertices in between keep their positions relative to these edges. On a
/// line that bends evenly all vertices are used even if they lie close together, because their edges describe it better than a
/// line through fewer vertices.
#[must_use]
pub fn carrying(points: &[Point], allowances: &[f64]) -> Vec<usize> {
    let n = points.len();
    let mut carrying = corners::carrying(points, &corners::TurnPoints::default());
    if carrying.len() < n {
        let even = bends_evenly(points, &carrying);
        // A vertex at which the allowance changes is always used.
        let changes = (0..n).filter(|&i| allowances[i].to_bits() != allowances[(i + n - 1) % n].to_bits());
        carrying.extend(changes.chain((0..n).filter(|&i| even[i])));
        carrying.sort_unstable();
        carrying.dedup();
    }
    carrying
}

/// For each vertex, whether the line around it turns in one direction only, by a little at each vertex.
fn bends_evenly(points: &[Point], carrying: &[usize]) -> Vec<bool> {
    /// The greatest turn in the other direction, in degrees. The noise of a digitiser, or rounding, turns short edges by more.
    const BACK: f64 = 0.3;
    /// The greatest turn, in degrees, at a vertex of an even bend: the coarsest curves in use turn by some 20°.
    const LITTLE: f64 = 22.0;
    let n = points.len();
    let turns = corners::turns_of_edges(points);
    let m = carrying.len();
    let mut even = vec![false; n];
    for k in 0..m {
        let (from, to) = (carrying[k], carrying[(k + 1) % m]);
        let steps = (to + n - from - 1) % n + 1;
        // One more vertex before and after is included. The corners of the line are left out, because they are not part of a
        // bend.
        let around = (0..=steps + 2)
            .map(|step| turns[(from + n - 1 + step) % n])
            .filter(|t| t.abs() < corners::CORNER);
        let (low, high) = around.fold((0.0_f64, 0.0_f64), |(l, h), t| (l.min(t), h.max(t)));
        if low >= -LITTLE && high <= LITTLE && (low >= -BACK || high <= BACK) {
            (1..steps).for_each(|step| even[(from + step) % n] = true);
        }
    }
    even
}

/// The cut line from which a sew line was derived, point for point; the inverse of [`inside`]. `None` for a point that cannot be
/// recovered because an edge beside it has vanished or has no length.
#[must_use]
pub fn outside(sew: &[Point], allowances: &[f64], carrying: &[usize]) -> Vec<Option<Point>> {
    /// The least length, in mm, of an edge with a direction.
    const EDGE: f64 = 1e-6;
    let (n, m) = (sew.len(), carrying.len());
    let inward = if ring::doubled_area(sew) < 0.0 { -1.0 } else { 1.0 };
    let edges: Vec<Option<Edge>> = (0..m)
        .map(|k| {
            let [from, to] = edge(sew, carrying, k);
            let along = to - from;
            let allowance = allowances[carrying[k]];
            (along.hypot() > EDGE).then(|| Edge::new(from, along.normalize(), inward, -allowance))
        })
        .collect();
    let mut cut = vec![None; n];
    for k in 0..m {
        if let (Some(before), Some(after)) = (&edges[(k + m - 1) % m], &edges[k]) {
            cut[carrying[k]] = Some(corner(before, after, sew[carrying[k]]));
        }
    }
    for (k, i) in between(carrying, n) {
        if let (Some(from), Some(to)) = (cut[carrying[k]], cut[carrying[(k + 1) % m]]) {
            cut[i] = Some(alike(sew[i], edge(sew, carrying, k), [from, to]));
        }
    }
    cut
}

/// The ends of the edge after the selected vertex number `k`.
fn edge(points: &[Point], carrying: &[usize], k: usize) -> [Point; 2] {
    [points[carrying[k]], points[carrying[(k + 1) % carrying.len()]]]
}

/// The vertices between the selected ones, each with the number of the selected vertex before it.
fn between(carrying: &[usize], n: usize) -> impl Iterator<Item = (usize, usize)> + '_ {
    (0..carrying.len()).flat_map(move |k| {
        let (from, to) = (carrying[k], carrying[(k + 1) % carrying.len()]);
        (1..=(to + n - from - 1) % n).map(move |step| (k, (from + step) % n))
    })
}

/// Moves a point so that it keeps its position relative to an edge that has been moved.
fn alike(p: Point, old: [Point; 2], new: [Point; 2]) -> Point {
    let from = p - old[0];
    let (old, along) = (old[1] - old[0], new[1] - new[0]);
    let (share, left) = (from.dot(old) / old.hypot2(), old.cross(from) / old.hypot());
    let direction = along / along.hypot().max(1e-9);
    new[0] + along * share + Vec2::new(-direction.y, direction.x) * left
}

/// The sew line of a closed cut line whose edges have meaningful directions.
fn shifted(points: &[Point], allowances: &[f64]) -> Option<Vec<Point>> {
    let n = points.len();
    let inward = if ring::doubled_area(points) < 0.0 { -1.0 } else { 1.0 };
    let edges: Vec<Edge> = (0..n)
        .map(|i| {
            let d = points[(i + 1) % n] - points[i];
            let along = if d.hypot() > 0.0 { d / d.hypot() } else { Vec2::ZERO };
            Edge::new(points[i], along, inward, allowances[i])
        })
        .collect();
    let mut live: Vec<usize> = (0..n).filter(|&i| edges[i].along != Vec2::ZERO).collect();
    loop {
        let m = live.len();
        if m < 3 {
            return None;
        }
        // The shifted corner before each remaining edge.
        let corners: Vec<Point> =
            (0..m).map(|k| corner(&edges[live[(k + m - 1) % m]], &edges[live[k]], points[live[k]])).collect();
        let left = |k: usize| (corners[(k + 1) % m] - corners[k]).dot(edges[live[k]].along);
        let worst = (0..m).map(|k| (left(k), k)).filter(|(l, _)| *l < -1e-9);
        if let Some((_, k)) = worst.min_by(|a, b| a.0.total_cmp(&b.0)) {
            live.remove(k);
            continue;
        }
        // All points between two remaining edges lie at their common corner, whatever has vanished in between.
        let mut inside = vec![Point::ZERO; n];
        for k in 0..m {
            let (from, to) = (live[(k + m - 1) % m], live[k]);
            let mut i = (from + 1) % n;
            loop {
                inside[i] = corners[k];
                if i == to {
                    break;
                }
                i = (i + 1) % n;
            }
        }
        return (ring::doubled_area(&inside) * inward > 0.0).then_some(inside);
    }
}

/// A shifted edge.
struct Edge {
    along: Vec2,
    from: Point,
    square: Vec2,
    allowance: f64,
}

impl Edge {
    /// The edge from a point, shifted by `allowance` to the inside.
    fn new(from: Point, along: Vec2, inward: f64, allowance: f64) -> Self {
        let square = Vec2::new(-along.y, along.x) * inward;
        Edge { along, from: from + square * allowance, square, allowance }
    }
}

/// The point where two shifted neighbouring edges meet; `at` is the drawn corner between them.
fn corner(a: &Edge, b: &Edge, at: Point) -> Point {
    // If the edges are nearly in line, their crossing does not exist or is far away; the corner is then shifted at right angles
    // instead.
    if a.along.cross(b.along).abs() < 1e-4 && a.along.dot(b.along) > 0.0 {
        let shift = f64::midpoint(a.allowance, b.allowance);
        return at + (a.square + b.square) * (0.5 * shift);
    }
    let limit = MITRE * a.allowance.abs().max(b.allowance.abs()) + 1e-9;
    let crossing = Line::new(a.from, a.from + a.along).crossing_point(Line::new(b.from, b.from + b.along));
    let meet = crossing.unwrap_or(at);
    let reach = meet - at;
    if reach.hypot() > limit { at + reach * (limit / reach.hypot()) } else { meet }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;

    fn points(list: &[(f64, f64)]) -> Vec<Point> {
        list.iter().map(|&p| p.into()).collect()
    }

    #[test]
    fn a_rectangle_loses_each_edges_own_allowance() {
        // Closed form: the width and height are reduced by the allowances of the two sides.
        let cut = points(&[(0.0, 0.0), (100.0, 0.0), (100.0, 60.0), (0.0, 60.0)]);
        let sew = inside(&cut, &[40.0, 10.0, 5.0, 15.0]).unwrap();
        assert_eq!(sew, points(&[(15.0, 40.0), (90.0, 40.0), (90.0, 55.0), (15.0, 55.0)]));
        let mut turned = cut;
        turned.reverse();
        let sew = inside(&turned, &[5.0, 10.0, 40.0, 15.0]).unwrap();
        assert_eq!(sew, points(&[(15.0, 55.0), (90.0, 55.0), (90.0, 40.0), (15.0, 40.0)]));
    }

    #[test]
    fn an_edge_without_room_vanishes() {
        // A chamfer of 2 by 2 mm at a corner with 15 mm allowance on every edge: inside, the long
        // edges cross before the chamfer is reached.
        let cut = points(&[(0.0, 0.0), (100.0, 0.0), (100.0, 98.0), (98.0, 100.0), (0.0, 100.0)]);
        let sew = inside(&cut, &[15.0; 5]).unwrap();
        assert_eq!((sew[2], sew[3]), (Point::new(85.0, 85.0), Point::new(85.0, 85.0)));
        assert_eq!(inside(&cut, &[60.0; 5]), None);
    }

    /// [`outside`] restores what [`inside`] has removed, with vertices close together on an even bend.
    #[test]
    fn outside_undoes_inside() {
        let bend = (0..=40).map(|k| {
            Point::new(100.0, 40.0)
                + Vec2::from_angle(f64::from(k - 40) * std::f64::consts::FRAC_PI_2 / 40.0) * 40.0
        });
        let cut: Vec<Point> = bend.chain(points(&[(140.0, 120.0), (0.0, 120.0), (0.0, 0.0)])).collect();
        let allowances = vec![9.0; cut.len()];
        let sew = inside(&cut, &allowances).unwrap();
        assert!(sew.iter().zip(&cut).all(|(a, b)| (*a - *b).hypot() > 8.0));
        let again = outside(&sew, &allowances, &carrying(&cut, &allowances));
        for (was, is) in cut.iter().zip(again) {
            assert!((is.unwrap() - *was).hypot() < 1e-6, "{was:?} {is:?}");
        }
    }

    #[test]
    fn no_allowance_moves_nothing_and_no_room_is_none() {
        let cut = points(&[(7.0, 3.0), (107.0, 13.0), (97.0, 80.0), (60.0, 60.0), (2.0, 71.0)]);
        let sew = inside(&cut, &[0.0; 5]).unwrap();
        assert!(sew.iter().zip(&cut).all(|(a, b)| (*a - *b).hypot() < 1e-9), "{sew:?}");
        // A strip of twice its allowance has no width left.
        let strip = points(&[(5.0, 3.0), (45.0, 3.0), (45.0, 23.0), (5.0, 23.0)]);
        assert_eq!(inside(&strip, &[10.0; 4]), None);
        assert!(inside(&strip, &[9.5; 4]).is_some());
    }

    /// An edge is turned by a right angle, made twice as long and moved. A place keeps its share of the edge and its distance from it.
    #[test]
    fn a_place_beside_an_edge_goes_with_it() {
        let old = points(&[(2.0, 1.0), (12.0, 1.0)]).try_into().unwrap();
        let new = points(&[(5.0, 5.0), (5.0, 25.0)]).try_into().unwrap();
        for (place, expected) in [
            ((5.0, 3.0), (3.0, 11.0)),
            ((5.0, 0.0), (6.0, 11.0)),
            ((2.0, 1.0), (5.0, 5.0)),
            ((12.0, 4.0), (2.0, 25.0)),
        ] {
            let moved = alike(place.into(), old, new);
            assert!((moved - Point::from(expected)).hypot() < 1e-12, "{place:?}: {moved:?}");
        }
    }

    /// A square with one corner rounded or hollowed out by a quarter of a circle of chords of 1.6 mm, in both directions: the chords
    /// bend evenly, and no longer once every other vertex is shifted by 0.05 mm, which turns the chords by 3.6° to and fro.
    #[test]
    fn a_bend_is_even_whichever_way_it_turns_and_noise_is_not() {
        let square = |centre: Point, from: f64, by: f64, noise: f64| {
            let arc = (0..=40_u8).map(|k| {
                let radius = if k % 2 == 1 { 40.0 + noise } else { 40.0 };
                centre + Vec2::from_angle((from + by * f64::from(k) / 40.0).to_radians()) * radius
            });
            let mut all = points(&[(0.0, 0.0), (100.0, 0.0)]);
            all.extend(arc);
            all.push(Point::new(0.0, 100.0));
            all
        };
        for (noise, even) in [(0.0, true), (0.05, false), (-0.05, false)] {
            for (at, from, by) in [(60.0, 0.0, 90.0), (100.0, -90.0, -90.0)] {
                let mut line = square(Point::new(at, at), from, by, noise);
                let carrying = [0, 1, 2, 42, 43];
                let within = bends_evenly(&line, &carrying);
                let expected: Vec<bool> = (0..44).map(|i| even && (3..42).contains(&i)).collect();
                assert_eq!(within, expected, "{noise} {by}");
                line.reverse();
                let back =
                    bends_evenly(&line, &carrying.map(|i| 43 - i).into_iter().rev().collect::<Vec<_>>());
                assert!(back.iter().rev().eq(&expected), "{noise} {by} in reverse");
            }
        }
    }
}
