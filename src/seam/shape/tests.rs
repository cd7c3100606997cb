//! Tests shapes on both sides of every limit, placed away from the origin and with odd numbers. Expected values follow from right
//! triangles and circles.

#![allow(
    clippy::unwrap_used,
    clippy::float_cmp,
    reason = "tests stop at the first surprise; whole numbers are meant exactly"
)]

use super::*;
use crate::geometry::corners;
use kurbo::Affine;

const UP: Vec2 = Vec2::new(0.0, 1.0);
const ORIGIN: Vec2 = Vec2::new(37.0, -23.0);

fn points(all: &[(f64, f64)]) -> Vec<Point> {
    all.iter().map(|&(x, y)| Point::new(x, y) + ORIGIN).collect()
}

/// A leg with straight edges: the crotch edge leans from the waist at (0, 100) out to the fork at (21, 0); `top` is the waist
/// at the side, `bottom` the hem.
fn leg(top: f64, bottom: f64) -> Vec<Point> {
    points(&[(0.0, 100.0), (21.0, 0.0), (7.0, bottom), (-83.0, bottom), (-71.0, top)])
}

fn crotch(length: f64) -> Candidate {
    Candidate { waist: 0, fork: 1, forward: true, fly: None, length, depth: 100.0 }
}

#[test]
fn a_crotch_seam_rises_reaches_out_begins_at_the_top_and_has_a_leg_below() {
    const CORNERS: [usize; 5] = [0, 1, 2, 3, 4];
    let is = |points: &[Point], length: f64| is_crotch(points, &CORNERS, &crotch(length), UP);
    let fits = |top: f64, bottom: f64, length: f64| is(&leg(top, bottom), length);
    assert!(fits(103.0, -500.0, 110.0));
    // The rise of 100 mm has to be more than 0.4 of the length: it is for 249 mm, but not for 251 mm.
    assert!(fits(103.0, -500.0, 249.0) && !fits(103.0, -500.0, 251.0));
    // The top of the piece lies less than 1.3 times the rise above its waist, or less than 0.4 times where a corner comes before
    // the hem, here at 420 or 430 of 500 mm.
    assert!(fits(229.0, -500.0, 110.0) && !fits(231.0, -500.0, 110.0));
    let stepped = |top: f64, corner: f64| {
        let at = [(0.0, 100.0), (21.0, 0.0), (7.0, -corner), (-60.0, -500.0), (-71.0, top)];
        is(&points(&at), 110.0)
    };
    assert!(stepped(139.0, 420.0) && !stepped(141.0, 420.0) && stepped(141.0, 430.0));
    // The leg reaches more than 0.03 of the rise below the fork.
    assert!(fits(103.0, -3.1, 110.0) && !fits(103.0, -2.9, 110.0));
    // The fork reaches out by more than 0.04 of the seam's length: 4.4 mm of 110.
    let reach =
        |x: f64| points(&[(0.0, 100.0), (x, 0.0), (x - 14.0, -500.0), (-83.0, -500.0), (-71.0, 103.0)]);
    assert!(is(&reach(4.5), 110.0) && !is(&reach(4.3), 110.0));
    assert!(!is(&reach(-21.0), 110.0), "the fork on the leg's own side");
}

#[test]
fn up_is_to_the_waist_and_out_is_from_the_leg_to_the_fork() {
    let near = |a: Vec2, x: f64, y: f64| (a - Vec2::new(x, y)).hypot() < 1e-12;
    for grain in [UP, -UP] {
        let (up, out) = axes(&leg(103.0, -500.0), &crotch(110.0), grain);
        assert!(near(up, 0.0, 1.0) && near(out, 1.0, 0.0), "{up:?} {out:?}");
        let mirrored: Vec<Point> = leg(103.0, -500.0).iter().map(|p| Point::new(-p.x, p.y)).collect();
        let (up, out) = axes(&mirrored, &crotch(110.0), grain);
        assert!(near(up, 0.0, 1.0) && near(out, -1.0, 0.0), "{up:?} {out:?}");
        // After a quarter turn counter-clockwise, "up" points left and "out" points up.
        let turned = leg(103.0, -500.0).into_iter().map(|p| Affine::rotate(90f64.to_radians()) * p);
        let grain = Vec2::new(-grain.y, grain.x);
        let (up, out) = axes(&turned.collect::<Vec<_>>(), &crotch(110.0), grain);
        assert!(near(up, -1.0, 0.0) && near(out, 0.0, 1.0), "{up:?} {out:?}");
    }
    // The fork stands out from the middle of the leg even where the waist lies further out.
    let leaning = points(&[(40.0, 100.0), (21.0, 0.0), (7.0, -500.0), (-83.0, -500.0), (-71.0, 103.0)]);
    assert!(near(axes(&leaning, &crotch(110.0), UP).1, 1.0, 0.0));
}

#[test]
fn rivals_are_nearly_as_long_and_nearly_as_deep_or_share_the_fork() {
    let one = |fork: usize, length: f64, depth: f64| Candidate { fork, depth, ..crotch(length) };
    let count = |length: f64, depth: f64| rivals(&[one(1, 300.0, 250.0), one(3, length, depth)]).len();
    // 0.62 of 300 mm are 186 mm, 0.8 of 250 mm are 200 mm.
    assert_eq!(count(187.0, 201.0), 2);
    assert_eq!([count(185.0, 201.0), count(187.0, 199.0), count(400.0, 199.0)], [1, 1, 1]);
    assert!(rivals(&[]).is_empty());
    // An inseam and the crotch seam at its upper end: neither can be recognised as what it is.
    assert_eq!(rivals(&[one(1, 600.0, 590.0), one(1, 266.0, 250.0)]).len(), 2);
    // A short candidate between two rivals does not hide the second one.
    let all = [one(1, 300.0, 250.0), one(3, 90.0, 240.0), one(5, 290.0, 230.0)];
    assert_eq!(rivals(&all), [all[0], all[2]]);
}

#[test]
fn of_an_edge_the_end_that_lies_more_across_the_grain_is_the_fork() {
    let at = |degrees: f64| Vec2::from_angle(degrees.to_radians());
    // A straight start that leans by `a` to the grain, then a straight end that leans by `b`, each with a vertex in its middle.
    let bent = |a: f64, b: f64| {
        let p = Point::new(0.0, 0.0) + ORIGIN;
        let q = p + at(270.0 + a) * 110.0;
        let r = q + at(270.0 + b) * 130.0;
        [p, p.midpoint(q), q, q.midpoint(r), r, r + Vec2::new(-300.0, -40.0)]
    };
    let line = bent(5.0, 19.0);
    assert_eq!(edge(&line, 0, 4, UP), None, "14° apart is alike");
    let line = bent(5.0, 21.0);
    let found = edge(&line, 0, 4, UP).unwrap();
    assert_eq!((found.waist, found.fork, found.forward), (0, 4, true));
    assert!((found.length - 240.0).abs() < 1e-9);
    let depth = 110.0 * 5f64.to_radians().cos() + 130.0 * 21f64.to_radians().cos();
    assert!((found.depth - depth).abs() < 1e-9);
    let line = bent(25.0, 3.0);
    let found = edge(&line, 0, 4, UP).unwrap();
    assert_eq!((found.waist, found.fork, found.forward), (4, 0, false));
    // Which way up the grain points makes no difference.
    assert_eq!(edge(&line, 0, 4, -UP), Some(found));
}

/// A seam that runs straight down for `straight` mm in one edge, then turns by `turn` degrees at each of the points that follow
/// in distances `ways`, and closes far away on the leg's side.
fn seam(straight: f64, ways: &[f64], turn: f64) -> Vec<Point> {
    let mut p = Point::new(0.0, 0.0) + ORIGIN;
    let mut all = vec![p];
    let mut direction = -90.0f64;
    p += Vec2::from_angle(direction.to_radians()) * straight;
    all.push(p);
    for way in ways {
        direction += turn;
        p += Vec2::from_angle(direction.to_radians()) * *way;
        all.push(p);
    }
    all.extend(
        [Point::new(-20.0, p.y - 400.0), Point::new(-140.0, p.y - 400.0), Point::new(-130.0, 0.0)]
            .map(|q| q + ORIGIN),
    );
    all
}

#[test]
fn hollow_at_the_foot_is_what_turns_in_the_last_eighth() {
    // 150 mm straight, then five edges of 10 mm, each turned by 11°: at 10, 20, 30, 40 and 50 mm from the fork the seam turns.
    let line = seam(150.0, &[10.0; 5], 11.0);
    let turns = corners::turns(&line);
    let whole = Candidate { waist: 0, fork: 6, forward: true, fly: None, length: 200.0, depth: 190.0 };
    // 0.12 of 200 mm are 24 mm: two of the points.
    assert!((hollow_at_foot(&line, &turns, &whole) - 22.0).abs() < 1e-9);
    // 0.12 of 258 mm are 31 mm: three of the points.
    let longer = Candidate { length: 258.0, ..whole };
    assert!((hollow_at_foot(&line, &turns, &longer) - 33.0).abs() < 1e-9);
    // The search ends at the waist, however short the edge is.
    let short = Candidate { waist: 4, length: 900.0, ..whole };
    assert!((hollow_at_foot(&line, &turns, &short) - 11.0).abs() < 1e-9);
    // The same line the other way round.
    let back: Vec<Point> = line.iter().rev().copied().collect();
    let n = back.len();
    let turned = Candidate { waist: n - 1, fork: n - 7, forward: false, ..whole };
    assert!((hollow_at_foot(&back, &corners::turns(&back), &turned) - 22.0).abs() < 1e-9);
}

#[test]
fn the_corners_of_a_leg_are_its_extremes() {
    // A ring from the waist: crotch, fork at 2, inner hem, outer hem with a slit, side waist and a blunt corner at the hip.
    let ring = points(&[
        (0.0, 260.0),
        (5.0, 110.0),
        (70.0, 0.0),
        (40.0, -700.0),
        (-150.0, -705.0),
        (-150.0, -640.0),
        (-158.0, -640.0),
        (-175.0, 100.0),
        (-160.0, 262.0),
    ]);
    let turns = corners::turns(&ring);
    let out = Vec2::new(1.0, 0.0);
    assert_eq!(others(&ring, &turns, &|_| false, 2, UP, out), Some([3, 4, 8]));
    // Without a corner at the side waist, it is the sharpest vertex above the fork that turns by at least 12°. The directions are
    // those of the outseam's edges, from the waist downwards.
    let blunt = |directions: [f64; 5], vent: &[Point]| {
        let mut back = vec![ring[0]];
        for (degrees, way) in directions.iter().zip([100.0, 40.0, 40.0, 60.0, 700.0]) {
            back.push(back[back.len() - 1] - Vec2::from_angle(degrees.to_radians()) * way);
        }
        let up = vent.iter().copied().chain(back[1..back.len() - 1].iter().rev().copied());
        let ring: Vec<Point> = ring[..4].iter().chain(back.last()).copied().chain(up).collect();
        let found = others(&ring, &corners::turns(&ring), &|_| false, 2, UP, out);
        assert!(found.is_none_or(|f| f[..2] == [3, 4]), "{found:?}");
        found.map(|f| f[2])
    };
    assert_eq!(blunt([8.0, 36.0, 54.0, 84.0, 90.0], &[]), Some(6), "turned by 6, 30, 18 and 28 degrees");
    assert_eq!(blunt([16.0, 42.0, 72.0, 84.0, 90.0], &[]), Some(7), "turned by 6, 12, 30 and 26 degrees");
    assert_eq!(blunt([50.0, 61.0, 72.0, 83.0, 90.0], &[]), None, "turned by less than 12 degrees");
    // The upper corner of a vent, sharp and far below the fork, is not taken for the waist although the waist's corner is blunt.
    let vent = points(&[(-150.0, -560.0), (-130.0, -550.0)]);
    assert_eq!(blunt([8.0, 36.0, 54.0, 84.0, 90.0], &vent), Some(8), "two vertices more up the outseam");
    // If no vertex turns, there are no corners.
    assert_eq!(others(&ring, &vec![0.0; ring.len()], &|_| false, 2, UP, out), None);
}

/// A hip of one sharp vertex lies further up and out than the corner of the waist: without turn points it is taken for that corner.
/// A turn point stands at a corner and none within a curve (ASTM D6673, from memory).
#[test]
fn where_turn_points_tell_the_corners_the_side_waist_is_one_of_them() {
    let ring = points(&[
        (0.0, 160.0),
        (5.0, 100.0),
        (70.0, 0.0),
        (52.0, -750.0),
        (-180.0, -750.0),
        (-262.0, 0.0),
        (-265.0, 60.0),
        (-240.0, 96.0),
        (-174.0, 140.0),
        (-120.0, 130.0),
    ]);
    let turns = corners::turns(&ring);
    let side = |told: &[usize]| others(&ring, &turns, &|i| told.contains(&i), 2, UP, Vec2::new(1.0, 0.0));
    assert_eq!(side(&[]), Some([3, 4, 6]));
    assert_eq!(side(&[0, 2, 3, 4, 8]), Some([3, 4, 8]));
    // Turn points at some corners only, or on every vertex, tell nothing; neither does one on a vertex that hardly turns.
    assert_eq!(side(&[0, 8]), Some([3, 4, 6]));
    assert_eq!(side(&[0, 1, 2, 3, 4, 5, 6, 7, 8, 9]), Some([3, 4, 6]));
    assert_eq!(side(&[0, 2, 3, 4, 5]), Some([3, 4, 6]));
}

#[test]
fn a_deeply_hollow_inseam_is_told_from_the_crotch_seam_by_how_it_lies_at_the_fork() {
    // From the waist straight down, then a curve that reaches the fork leaning by `crotch` degrees to the grain; from there an
    // inseam that begins leaning by 45° and straightens in nine bends of 5°.
    let leg = |crotch: f64| {
        let mut all = vec![Point::new(0.0, 260.0) + ORIGIN, Point::new(0.0, 90.0) + ORIGIN];
        let mut go = |degrees: f64, way: f64| {
            let last = all[all.len() - 1];
            all.push(last + Vec2::from_angle((degrees - 90.0).to_radians()) * way);
        };
        (1..=8).for_each(|k| go(f64::from(k) * crotch / 8.0, 12.0));
        (0..10).for_each(|k| go(f64::from(k) * 5.0 - 45.0, 40.0));
        go(0.0, 200.0);
        let hem = all[all.len() - 1];
        all.extend([hem - Vec2::new(160.0, 0.0), Point::new(-150.0, 262.0) + ORIGIN]);
        let found = candidates(&all, &corners::turns(&all), UP);
        found.iter().map(|c| (c.waist, c.fork, c.forward)).collect::<Vec<_>>()
    };
    // Across the grain at the fork the crotch seam leans by some 80°, the inseam by 45°.
    assert_eq!(leg(80.0), [(0, 9, true)]);
    // Where both lean at similar angles they cannot be told apart.
    assert_eq!(leg(55.0), [(20, 9, false), (0, 9, true)]);
}

/// A ring whose centre seam is straight for `straight` mm in edges of `edge` mm, then follows a circle of `radius` in steps of 2°
/// up to 70°; all coordinates are rounded to `decimal`.
fn circle(straight: f64, edge: f64, radius: f64, decimal: f64) -> (Vec<Point>, usize, usize) {
    let mut all = vec![];
    let mut way = 0.0;
    while way < straight - 1e-9 {
        all.push(Point::new(0.0, -way));
        way += edge;
    }
    let begin = all.len();
    for k in 0..=35 {
        let angle = (2.0 * f64::from(k)).to_radians();
        all.push(Point::new(radius * (1.0 - angle.cos()), -straight - radius * angle.sin()));
    }
    let fork = all.len() - 1;
    let foot = all[fork].y;
    all.extend([Point::new(-20.0, foot - 400.0), Point::new(-160.0, foot - 400.0), Point::new(-150.0, 0.0)]);
    let round = |v: f64| (v / decimal).round() * decimal;
    let all = all.into_iter().map(|p| Point::new(round(p.x + ORIGIN.x), round(p.y + ORIGIN.y))).collect();
    (all, begin, fork)
}

#[test]
fn the_crotch_curve_begins_where_the_circle_leaves_its_tangent() {
    for (straight, edge, radius, decimal) in [
        (150.0, 10.0, 90.0, 1e-4),
        (150.0, 10.0, 90.0, 1e-2),
        (153.0, 9.0, 130.0, 1e-3),
        (150.0, 150.0, 90.0, 1e-4),
        (150.0, 50.0, 61.0, 1e-2),
        (60.0, 20.0, 90.0, 1e-4),
    ] {
        let (ring, begin, fork) = circle(straight, edge, radius, decimal);
        let found = curve_begin(&ring, &corners::turns(&ring), fork, decimal);
        assert_eq!(found, begin, "{straight} mm in steps of {edge}, radius {radius}, rounded to {decimal}");
    }
    // A kink further up in the centre seam is not part of the curve.
    let (mut ring, begin, fork) = circle(150.0, 10.0, 90.0, 1e-4);
    for p in &mut ring[..5] {
        p.x -= (p.y - ORIGIN.y + 40.0) * 0.03;
    }
    assert_eq!(curve_begin(&ring, &corners::turns(&ring), fork, 1e-4), begin);
    // A seam that bends gently, by at most 0.003 of its length, counts as straight where no part is straighter.
    let (mut ring, begin, fork) = circle(150.0, 10.0, 90.0, 1e-4);
    for p in &mut ring[..begin] {
        let way = ORIGIN.y - p.y;
        p.x += way * (150.0 - way) * 2.2e-5;
    }
    let found = curve_begin(&ring, &corners::turns(&ring), fork, 1e-4);
    assert!((begin - 1..=begin + 1).contains(&found), "{found} for {begin}");
}

/// A straight centre seam of three long edges of which a digitiser's noise of 0.1 mm puts two vertices aside: its first edge is long, but
/// the seam is as straight below it. Where the curve begins is then told to the 0.3 mm (0.003 of 100 mm) that a circle of 90 mm leaves
/// its tangent by in 7 mm, some two of its edges.
#[test]
fn noise_on_a_straight_seam_of_few_edges_is_no_curve() {
    let (mut ring, begin, fork) = circle(180.0, 60.0, 90.0, 1e-4);
    (ring[1].x, ring[2].x) = (ring[1].x - 0.1, ring[2].x - 0.08);
    let found = curve_begin(&ring, &corners::turns(&ring), fork, 1e-4);
    assert!((begin..=begin + 3).contains(&found), "{found} for {begin}");
}

/// A back that leans much: its crotch seam turns by 35°, less than most do, and its inseam by 39°, as crotch seams do. At the fork the one
/// runs 60° across the grain and the other 34°, so it is told which is which.
#[test]
fn an_inseam_more_hollow_than_the_crotch_seam_is_none() {
    let along = |from: Point, edge: f64, leans: &[f64]| -> Vec<Point> {
        let down = |lean: f64| Vec2::new(lean.to_radians().sin(), -lean.to_radians().cos());
        let next = |at: &mut Point, lean: &f64| {
            *at += down(*lean) * edge;
            Some(*at)
        };
        leans.iter().scan(from, next).collect()
    };
    let waist = Point::new(0.0, 200.0) + ORIGIN;
    let crotch = along(waist, 48.0, &[25.0, 34.0, 43.0, 52.0, 60.0]);
    let inseam = along(crotch[4], 92.0, &[-34.0, -24.0, -14.0, -4.0, 5.0]);
    let hem = inseam[4] - Vec2::new(200.0, 0.0);
    let side = Point::new(hem.x + 30.0, waist.y);
    let points: Vec<Point> = std::iter::once(waist).chain(crotch).chain(inseam).chain([hem, side]).collect();
    let found = candidates(&points, &corners::turns(&points), UP);
    assert_eq!(found.iter().map(|c| (c.waist, c.fork)).collect::<Vec<_>>(), [(0, 5)]);
}

#[test]
fn a_seam_hollow_from_the_waist_on_is_straight_where_the_first_eighth_turns() {
    // A circle of 20 edges that turn by 4° each: an eighth of the turn, 10° of 80°, is reached at the third inner point, but a
    // fifth of the seam is longer, four edges.
    let ring = seam(17.0, &[17.0; 20], 4.0);
    let turns = corners::turns(&ring);
    assert_eq!(curve_begin(&ring, &turns, 21, 1e-4), 5);
    // If the upper part turns less, the eighth reaches further down: of 2·10 + 10·8 = 100 degrees it is reached at the sixth
    // inner point.
    let mut p = Point::new(0.0, 0.0) + ORIGIN;
    let mut line = vec![p];
    let mut direction = -90.0f64;
    for k in 0..21 {
        direction += match k {
            0 => 0.0,
            1..=10 => 2.0,
            _ => 8.0,
        };
        p += Vec2::from_angle(direction.to_radians()) * 17.0;
        line.push(p);
    }
    line.extend([
        p + Vec2::new(-60.0, -500.0),
        p + Vec2::new(-300.0, -500.0),
        Point::new(-200.0, 0.0) + ORIGIN,
    ]);
    let turns = corners::turns(&line);
    assert_eq!(curve_begin(&line, &turns, 21, 1e-4), 7);
}

#[test]
fn a_first_segment_is_the_centre_seam_if_it_is_much_longer_than_the_next_or_a_fifth_of_all() {
    // 30 mm of 200 are 0.15 of the seam: enough for a segment three times as long as the next, too little for one like the
    // others.
    let begin = |first: f64, ways: &[f64]| {
        let ring = seam(first, ways, 4.0);
        curve_begin(&ring, &corners::turns(&ring), ways.len() + 1, 1e-4)
    };
    assert_eq!(begin(30.0, &[10.0; 17]), 1);
    assert_eq!(begin(30.0, &[13.0; 13]), 2, "an eighth of 52 degrees is turned at the second point");
    // 43 mm of 199 are more than a fifth: enough whatever comes next.
    assert_eq!(begin(43.0, &[26.0; 6]), 1);
    // 18 mm of 200 are less than a tenth.
    assert_ne!(begin(18.0, &[7.0; 26]), 1);
}

#[test]
fn offsets_from_the_tangent_point_back_to_where_the_curve_began() {
    // A parabola with a radius of 70 mm at its vertex: its offset from the tangent is exactly the square of the distance over 140
    // mm.
    let ways: Vec<f64> = (0..30).map(|k| 5.0 * f64::from(k)).collect();
    let curve = |begin: usize, last: usize| -> Vec<Point> {
        let off = |way: f64| (way - ways[begin]).max(0.0).powi(2) / 140.0;
        ways[..=last].iter().map(|&way| Point::new(off(way), -way) + ORIGIN).collect()
    };
    // With a rounding of 0.05 mm, an offset of eight times that is reached 7.5 mm below the beginning and four times that offset
    // at twice the distance: at the third and fourth points. The curve began at the eleventh point, even if the first visible
    // point is found up to four too late.
    for found in 11..15 {
        let line = curve(11, 29);
        assert_eq!(tangent_point(&line, &ways, found, 29, 0.05), 11, "{found}");
    }
    // The result is at most four points further back, and never after the point found.
    assert_eq!(tangent_point(&curve(9, 29), &ways, 14, 29, 0.05), 10);
    assert_eq!(tangent_point(&curve(13, 29), &ways, 12, 29, 0.05), 12);
    // If the curve is too short to show the further offset, the point found stays.
    assert_eq!(tangent_point(&curve(11, 15), &ways, 13, 15, 0.05), 13);
    assert_eq!(tangent_point(&curve(11, 13), &ways, 13, 13, 0.05), 13);
}

#[test]
fn a_coarse_curve_begins_at_the_end_of_a_long_segment_just_above() {
    // The points lie on a straight line, since only lengths count here; the turn at the point found is set separately.
    let begin = |lengths: &[f64], found: usize, turn: f64, strict: f64| {
        let mut at = 0.0;
        let mut ring = vec![Point::ORIGIN + ORIGIN];
        for length in lengths {
            at += length;
            ring.push(Point::new(0.0, -at) + ORIGIN);
        }
        let mut turns = vec![0.0; ring.len()];
        turns[found] = -turn;
        after_long_segment(&ring, &turns, found, lengths.len(), strict)
    };
    let with = |first: f64, second: f64| [first, second, 5.0, 5.0, 5.0, 5.0];
    // Ten millimetres at 1.5° deviate by 10 · 0.0262 / 2 = 0.131 mm; three times the rounding hides 0.132 mm.
    assert_eq!(begin(&with(100.0, 5.0), 3, 1.5, 0.044), 1);
    assert_eq!(begin(&with(100.0, 5.0), 3, 1.5, 0.043), 3);
    // The segment has to be at least five times as long as the curve's own, of 5 mm.
    assert_eq!([begin(&with(26.0, 5.0), 3, 1.5, 0.1), begin(&with(24.0, 5.0), 3, 1.5, 0.1)], [1, 3]);
    // A segment in between is at most half as long again.
    assert_eq!([begin(&with(100.0, 7.4), 3, 1.5, 0.1), begin(&with(100.0, 7.6), 3, 1.5, 0.1)], [1, 3]);
    // It ends at most three points further up.
    assert_eq!([begin(&with(100.0, 5.0), 4, 1.0, 0.1), begin(&with(100.0, 5.0), 5, 1.0, 0.1)], [1, 5]);
    // The comparison is with the longest segment below the point.
    assert_eq!(begin(&[40.0, 5.0, 5.0, 5.0, 9.0, 5.0], 3, 1.5, 0.1), 3);
}

/// Going round a ring of ten points, forward or backward, over its first point as well.
#[test]
fn the_corner_after_the_fork_is_the_next_one_in_the_direction_of_the_edge() {
    const CORNERS: [usize; 3] = [1, 4, 8];
    for (forward, fork, expected) in
        [(true, 4, 8), (true, 8, 1), (true, 1, 4), (false, 8, 4), (false, 4, 1), (false, 1, 8)]
    {
        let edge = Candidate { waist: 0, fork, forward, fly: None, length: 100.0, depth: 90.0 };
        assert_eq!(after_fork(10, &CORNERS, &edge), expected, "{forward} {fork}");
    }
}
