//! Tests on a leg whose edges are hypotenuses of right triangles with whole millimetres (9-40-41, 20-99-101, 36-323-325 and so
//! on), so that every length below is exact and can be added up by hand.

#![allow(
    clippy::unwrap_used,
    clippy::float_cmp,
    reason = "tests stop at the first surprise; whole numbers are meant exactly"
)]
#![allow(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "counts of small drawings")]

use super::bend::{Joint, bend};
use super::displacement::Displacement;
use super::inseam::FLAT;
use super::redraw::{Goes, redraw_line};
use super::redrawn::{Added, Redrawn};
use super::solve::near_zero;
use super::*;
use crate::geometry::{direction, edge, line};
use crate::seam::station::{self, Station};
use crate::seam::{Found, How, RingOnLine, SeamRole, SewLine};
use SeamRole::{Crotch, Hem, Inseam, Outseam, Waist};
use kurbo::{Point, Vec2};

const ORIGIN: Vec2 = Vec2::new(41.0, -19.0);

/// The ring: straight centre seam of 120 mm, crotch curve of 82 and 75 mm, inseam of 123, 101 and 421 mm, hem of 200 mm,
/// outseam of 325, 388 and 195 mm, waist of 172 mm.
const RING: [(f64, f64); 12] = [
    (0.0, 260.0),
    (0.0, 200.0),
    (0.0, 140.0),
    (18.0, 60.0),
    (63.0, 0.0),
    (36.0, -120.0),
    (16.0, -219.0),
    (16.0, -640.0),
    (-184.0, -640.0),
    (-220.0, -317.0),
    (-220.0, 71.0),
    (-172.0, 260.0),
];

fn points(all: &[(f64, f64)]) -> Vec<Point> {
    all.iter().map(|&(x, y)| Point::new(x, y) + ORIGIN).collect()
}

fn leg() -> Leg {
    let order = (0..12).collect();
    Leg {
        ring: points(&RING),
        fly: vec![],
        drawn: RingOnLine::of_points(0, order, vec![]),
        up: Vec2::new(0.0, 1.0),
        out: Vec2::new(1.0, 0.0),
        fork: 4,
        hem_in: 7,
        hem_out: 8,
        side: 11,
        curve_begin: 2,
        one_piece: None,
        mirror: None,
        found: Found { grain: How::Layer, crotch: How::Shape, inseam: How::Shape, sew_line: SewLine::Drawn },
    }
}

fn at(role: SeamRole, at: f64) -> Station {
    Station { role, at }
}

fn same(found: &[Station], expected: &[Station]) {
    close(found, expected, 1e-9);
}

fn close(found: &[Station], expected: &[Station], mm: f64) {
    assert_eq!(found.len(), expected.len());
    for (i, (found, expected)) in found.iter().zip(expected).enumerate() {
        let near = found.role == expected.role && (found.at - expected.at).abs() < mm;
        assert!(near, "point {i}: {found:?} in place of {expected:?}");
    }
}

fn of_ring() -> Vec<Station> {
    [
        (Crotch, [0.0, 60.0, 120.0, 202.0, 277.0].as_slice()),
        (Inseam, &[123.0, 224.0, 645.0]),
        (Hem, &[200.0]),
        (Outseam, &[325.0, 713.0, 908.0]),
    ]
    .into_iter()
    .flat_map(|(role, ways)| ways.iter().map(move |way| at(role, *way)))
    .collect()
}

/// The line at a distance outside a closed line, with mitred corners.
fn outside(line: &[Point], away: f64) -> Vec<Point> {
    let n = line.len();
    let normal = |i: usize| {
        let d = (line[(i + 1) % n] - line[i % n]).normalize();
        Vec2::new(-d.y, d.x)
    };
    (0..n)
        .map(|i| {
            let (a, b) = (normal(i + n - 1), normal(i));
            line[i] + (a + b) * (away / (1.0 + a.dot(b)))
        })
        .collect()
}

#[test]
fn stations_count_along_each_seam_from_its_first_corner() {
    let leg = leg();
    same(&station::of_ring(&leg), &of_ring());
    same(&station::of_path(&leg), &of_ring());
    let lengths = [Crotch, Inseam, Hem, Outseam, Waist].map(|role| leg.length(role).0);
    assert_eq!(lengths, [277.0, 645.0, 200.0, 908.0, 172.0]);
}

#[test]
fn the_cut_line_has_the_stations_of_the_corners_it_mitres() {
    let leg = leg();
    let expected = of_ring();
    let cut = outside(&leg.ring, 12.0);
    assert!((cut[0] - (Point::new(12.0, 272.0) + ORIGIN)).hypot() < 1e-9, "{:?}", cut[0]);
    // A mitred point in a hollow is equally near to both edges: its perpendicular feet are no further from the corner than the
    // allowance times the tangent of half the turn, which is at most 24.3°.
    let foot = 12.0 * 12.2_f64.to_radians().tan();
    close(&station::of_line(&leg, &cut, true), &expected, foot);
    // The same with another first point, and in the opposite direction.
    let (mut turned, mut shifted) = (cut.clone(), expected.clone());
    turned.rotate_left(5);
    shifted.rotate_left(5);
    close(&station::of_line(&leg, &turned, true), &shifted, foot);
    turned.reverse();
    shifted.reverse();
    close(&station::of_line(&leg, &turned, true), &shifted, foot);
}

/// A dart of 16 by 150 mm with legs of 150.2 mm that only the sew line has: the cut line runs straight across above it.
#[test]
fn a_cut_line_runs_on_beyond_a_dart_that_it_does_not_have() {
    let mut leg = leg();
    leg.ring.extend(points(&[(-108.0, 260.0), (-100.0, 110.0), (-92.0, 260.0)]));
    leg.drawn = RingOnLine::of_points(0, (0..15).collect(), vec![]);
    let mut cut = outside(&leg.ring[..12], 12.0);
    cut.extend(points(&[(-140.0, 272.0), (-80.0, 272.0), (-60.0, 272.0), (-40.0, 272.0), (-20.0, 272.0)]));
    let found = station::of_line(&leg, &cut, true);
    // Measured from the centre; beyond the dart the length of both its legs is included.
    let legs = 2.0 * 8.0_f64.hypot(150.0);
    let expected = [140.0 - 16.0 + legs, 80.0, 60.0, 40.0, 20.0].map(|place| at(Waist, place));
    same(&found[12..], &expected);
}

#[test]
fn a_point_beside_a_seam_has_the_station_of_its_foot() {
    let leg = leg();
    let beside =
        [(19.0, -400.0), (-3.0, 230.0), (-80.0, 263.0), (-100.0, -650.0), (-224.0, -17.0), (17.0, -420.0)];
    let found = station::of_line(&leg, &points(&beside), false);
    let by_hand = [
        at(Inseam, 405.0),
        at(Crotch, 30.0),
        at(Waist, 80.0),
        at(Hem, 116.0),
        at(Outseam, 625.0),
        at(Inseam, 425.0),
    ];
    same(&found, &by_hand);
}

#[test]
fn the_extension_of_a_fly_goes_with_the_line_beside_it() {
    let with = |fly: &[(f64, f64)]| {
        let mut leg = leg();
        leg.ring.remove(1);
        for corner in [&mut leg.fork, &mut leg.hem_in, &mut leg.hem_out, &mut leg.side, &mut leg.curve_begin]
        {
            *corner -= 1;
        }
        leg.fly = points(fly);
        leg.drawn = RingOnLine::of_points(0, (0..11).collect(), (11..).take(fly.len()).collect());
        station::of_path(&leg)[11..].to_vec()
    };
    // The centre front line beside it is 120 mm long. The edge from the corner, level with the waist, to 90 mm below it
    // corresponds to all of that, in proportion.
    same(&with(&[(30.0, 260.0), (30.0, 200.0), (30.0, 170.0)]), &[0.0, 80.0, 120.0].map(|a| at(Crotch, a)));
    // The slanted part down to the foot moves with the foot.
    let slanting = [(30.0, 260.0), (30.0, 200.0), (30.0, 170.0), (20.0, 155.0)];
    same(&with(&slanting), &[0.0, 80.0, 120.0, 120.0].map(|a| at(Crotch, a)));
    // A rounded top within 0.15 of the height, 18 mm, counts as top; the straight edge begins at its end, 10 mm down.
    let rounded = [(28.0, 261.0), (30.0, 250.0), (30.0, 200.0), (30.0, 170.0)];
    same(&with(&rounded), &[0.0, 0.0, 75.0, 120.0].map(|a| at(Crotch, a)));
    // If it leans by more than 12° it has no straight edge: it moves in proportion from its corner, 10 mm down, to the foot at
    // 120 mm.
    same(&with(&[(30.0, 250.0), (12.0, 190.0)]), &[0.0, 120.0 * 60.0 / 110.0].map(|a| at(Crotch, a)));
}

/// The crotch seam and the inseam of the leg after a slide.
fn slid(leg: &Leg, blend: f64, moves: Moves) -> (Vec<Point>, super::inseam::CameBack) {
    let applied = Displacement::new(leg, Mm(blend));
    let applied = applied.apply(leg, moves).unwrap();
    (applied.crotch.clone(), applied.inseam.clone())
}

const DOWN: Moves = Moves { along: Mm(25.4), across: Mm(0.0), waist: Mm(0.0) };

#[test]
fn the_line_comes_back_at_a_vertex_close_by_and_begins_with_a_copy() {
    let leg = leg();
    for (wanted, end) in [
        // The vertex at 224 mm is within a tenth of 230 and of 248.
        (230.0, 224.0),
        (248.0, 224.0),
        (250.0, 250.0),
        (640.0, 645.0),
    ] {
        let displacement = Displacement::new(&leg, Mm(wanted));
        assert!((displacement.end().0 - end).abs() < 1e-9, "{wanted}: {}", displacement.end());
        let (_, back) = slid(&leg, wanted, DOWN);
        for (i, (new, old)) in back.points.iter().zip(&leg.ring[4..]).enumerate() {
            let way = [0.0, 123.0, 224.0, 645.0][i];
            // At least a quarter of the way is a copy; where the line has come back it is equal to the last bit.
            assert!(way > 0.25 * end || *new == *old + Vec2::new(0.0, -25.4), "{wanted} {way}");
            assert!(way < end || new == old, "{wanted} {way}");
        }
    }
    // A first segment of 123 mm is more than six tenths of 204 mm and less than six tenths of 206 mm: in the first case the seam
    // counts as drawn with two vertices.
    assert_eq!(Displacement::new(&leg, Mm(204.0)).end(), Mm(123.0));
    assert!(Displacement::new(&leg, Mm(206.0)).end().0 > 200.0);
    let (_, back) = slid(&leg, 204.0, DOWN);
    assert_eq!((back.points[1], back.added.len()), (leg.ring[5], 0));
}

/// Carrying the fork across bends the slid line: by next to nothing where it is carried by next to nothing, and hardly along the grain.
#[test]
fn the_inseam_slides_alike_whether_its_fork_is_carried_or_not() {
    let leg = leg();
    let displacement = Displacement::new(&leg, Mm(600.0));
    let line = |across: f64| displacement.apply(&leg, Moves { across: Mm(across), ..DOWN }).unwrap().inseam;
    let slid = line(0.0);
    for (across, along) in [(1e-4, 1e-4), (8.0, 1.0)] {
        for (i, (new, old)) in line(across).points.iter().zip(&slid.points).enumerate() {
            let moved = *new - *old;
            assert!(moved.hypot() <= 1.01 * across && moved.dot(leg.up).abs() <= along, "{i}: {moved:?}");
        }
    }
}

/// A turn-up of 40 mm below a fold at 605 mm, whose edge turns by 27° there: it is mirrored, so its corner says nothing of how
/// sharply the inseam may bend. Above it the sharpest vertex turns by 11.4°, and the fork is carried across.
#[test]
fn the_corner_at_a_fold_is_none_of_the_inseam() {
    let mut leg = leg();
    leg.ring.insert(7, Point::new(16.0, -600.0) + ORIGIN);
    leg.ring[8] = Point::new(36.0, -640.0) + ORIGIN;
    leg.drawn = RingOnLine::of_points(0, (0..13).collect(), vec![]);
    (leg.hem_in, leg.hem_out, leg.side) = (8, 9, 12);
    let carried = Moves { along: Mm(10.0), across: Mm(45.0), waist: Mm(0.0) };
    let sharpest = |inseam: f64| {
        let displacement = Displacement::between(&leg, (None, Mm(inseam)), Mm(400.0));
        let applied = displacement.apply(&leg, carried).ok()?;
        let (points, mut line) = (&applied.inseam.points, Vec::new());
        for (k, p) in points[..4].iter().enumerate() {
            let added = applied.inseam.added.iter().filter(|(place, _)| place.edge == leg.fork + k);
            line.push(*p);
            line.extend(added.map(|(_, p)| *p));
        }
        let turns = line.windows(3).map(|w| direction::angle(w[1] - w[0], w[2] - w[1]).abs());
        Some(turns.fold(0.0, f64::max))
    };
    let own = (99.0_f64 / 101.0).acos().to_degrees();
    assert!((own - 11.42).abs() < 0.01);
    let whole = line::length(&leg.seam(Inseam));
    assert!(sharpest(whole).is_some_and(|turn| turn > own + 1.0), "{:?}", sharpest(whole));
    assert!(sharpest(whole - 20.0_f64.hypot(40.0)).is_none_or(|turn| turn <= own + 1.0));
}

#[test]
fn the_knee_is_halfway_down_or_at_a_vertex_close_by() {
    let (front, mut back) = (leg(), leg());
    back.ring[7] = Point::new(16.0, -630.0) + ORIGIN;
    assert_eq!(blend(Pair { front: &front, back: &back }, BlendTo::Hem), Mm(635.0));
    assert_eq!(blend(Pair { front: &front, back: &back }, BlendTo::Length(Mm(211.0))), Mm(211.0));
    assert_eq!(blend(Pair { front: &front, back: &back }, BlendTo::Length(Mm(700.0))), Mm(635.0));
    // Half of 635 mm; the vertex at 224 mm is not within 0.15 of that.
    assert_eq!(blend(Pair { front: &front, back: &back }, BlendTo::Knee), Mm(317.5));
    // The vertex at 224 mm is within 0.15 of half of 526 mm, 263 mm; but the front rise of 277 mm is larger and applies, and the
    // vertex is too far from that.
    back.ring[7] = Point::new(16.0, -521.0) + ORIGIN;
    assert_eq!(blend(Pair { front: &front, back: &back }, BlendTo::Knee), Mm(277.0));
    let mut short = front.clone();
    short.ring[0] = Point::new(0.0, 240.0) + ORIGIN;
    assert_eq!(blend(Pair { front: &short, back: &back }, BlendTo::Knee), Mm(224.0));
}

#[test]
fn a_place_on_an_old_edge_goes_in_proportion_between_its_new_vertices() {
    let old = points(&[(0.0, 0.0), (100.0, 0.0), (100.0, 50.0)]);
    let added = |share, x, y| Added { after: 0, share, at: Point::new(x, y) + ORIGIN };
    let moves = vec![Vec2::new(0.0, 7.0), Vec2::new(5.0, 3.0), Vec2::ZERO];
    let new = Redrawn { path: 0, moves, added: vec![added(0.3, 31.0, 11.0), added(0.7, 75.0, 9.0)] };
    let (line, index) = new.line(&old);
    assert_eq!(line, points(&[(0.0, 7.0), (31.0, 11.0), (75.0, 9.0), (105.0, 3.0), (100.0, 50.0)]));
    assert_eq!(index, [0, 3, 4]);
    for (i, share, x, y) in [
        (0, 0.0, 0.0, 7.0),
        (0, 0.15, 15.5, 9.0),
        (0, 0.3, 31.0, 11.0),
        (0, 0.4, 42.0, 10.5),
        (0, 0.8, 85.0, 7.0),
        (1, 0.5, 102.5, 26.5),
        (2, 0.25, 75.0, 39.25),
    ] {
        let found = new.carried(&old, i, share);
        assert!((found - (Point::new(x, y) + ORIGIN)).hypot() < 1e-9, "{i} {share}: {found:?}");
    }
}

/// The foot of a fly, whose lower edge runs along the hypotenuse of 3-4-5, with an allowance of 10 mm: the corner of the cut line lies
/// 10 mm from both edges, opposite a place of the seam 5 mm below the foot. The seam is stretched below the foot, without turning or
/// with a turn at the vertex 3 mm below it.
#[test]
fn the_inner_corner_at_a_foot_keeps_its_allowance_from_both_edges() {
    let line = |all: &[(f64, f64)]| -> Vec<Point> { all.iter().map(|p| Point::from(*p)).collect() };
    let (upper, foot, below) = (Point::new(100.0, 130.0), Point::new(60.0, 100.0), Point::new(60.0, 97.0));
    let sew = [&line(&[(0.0, 0.0), (60.0, 0.0), (60.0, 60.0)]), &[below, foot, upper][..]].concat();
    let sew = [&sew, &line(&[(100.0, 250.0), (0.0, 250.0)])[..]].concat();
    let cut = [
        (-10.0, -10.0),
        (70.0, -10.0),
        (70.0, 50.0),
        (70.0, 95.0),
        (110.0, 125.0),
        (110.0, 260.0),
        (-10.0, 260.0),
    ];
    let down = |by: f64| Vec2::new(0.0, -by);
    for aside in [0.0, -3.0] {
        let bent = down(19.0) + Vec2::new(aside, 0.0);
        let moves =
            [Vec2::ZERO, Vec2::ZERO, bent, down(14.0), down(13.0), down(13.0), Vec2::ZERO, Vec2::ZERO];
        let outline = Outline::of_line(&sew, &Redrawn { path: 0, moves: moves.to_vec(), added: vec![] });
        let cut = line(&cut);
        let corner = cut[3] + redrawn_beside(&outline, &cut).moves[3];
        let away = |a: Point, b: Point| (b - a).normalize().cross(corner - a).abs();
        let edges = [(foot + down(13.0), upper + down(13.0)), (sew[2] + bent, below + down(14.0))];
        for (a, b) in edges {
            assert!(
                (away(a, b) - 10.0).abs() < 1e-9,
                "{aside}: {corner:?} is {} mm from the edge",
                away(a, b)
            );
        }
    }
}

/// A closed line that runs at a distance from another one, redrawn with it.
fn redrawn_beside(outline: &Outline, cut: &[Point]) -> Redrawn {
    let at: Vec<f64> = cut.iter().map(|&p| outline.arc.nearest(p, 0.0, outline.arc.whole())).collect();
    let goes = Goes { place: &|p, at| outline.follow(p, at), own: &|_| false, flat: FLAT };
    redraw_line(outline, 0, (cut, true), &at, &goes)
}

/// A cut line drawn with few vertices, none of them opposite those of a sew line that is drawn with few as well and turns by 14° at
/// the one in the middle. Of the edges there one is moved by 25 mm, the other is stretched by 8 mm: the cut edge needs a vertex
/// opposite the sew line's, where it keeps the allowance that it has there.
#[test]
fn a_coarse_edge_is_divided_opposite_a_vertex_of_the_sew_line() {
    let closed = |all: &[(f64, f64)]| -> Vec<Point> { all.iter().map(|&p| Point::from(p)).collect() };
    let sew = closed(&[(28.3, 49.0), (17.0, 22.6), (12.6, -5.9), (-90.0, -5.9), (-90.0, 49.0)]);
    let cut = closed(&[
        (39.9, 47.5),
        (30.9, 32.2),
        (25.1, 13.5),
        (22.6, -6.7),
        (22.6, -16.0),
        (-100.0, -16.0),
        (-100.0, 59.0),
    ]);
    let moves = [(0.0, 25.5), (0.0, 25.5), (-0.3, 17.2), (-0.3, 17.2), (0.0, 25.5)].map(Vec2::from).to_vec();
    let outline = Outline::of_line(&sew, &Redrawn { path: 0, moves, added: vec![] });
    let (new, _) = redrawn_beside(&outline, &cut).line(&cut);
    let away = |line: &[Point], by: Vec2| line::nearest(line, true, sew[1] + by).2;
    let (was, is) = (away(&cut, Vec2::ZERO), away(&new, Vec2::new(0.0, 25.5)));
    assert!((is - was).abs() < 0.05, "{is} mm in place of {was} mm");
}

/// A leg slid by 10 mm, whose centre waist is raised by 20 mm.
fn raised(leg: &Leg) -> Displaced {
    let displacement = Displacement::new(leg, Mm(224.0));
    let moves = Moves { along: Mm(10.0), across: Mm(0.0), waist: Mm(20.0) };
    Displaced::new(leg, &displacement.apply(leg, moves).unwrap())
}

/// A dart of 16 by 150 mm that only the sew line has, below a cut edge along the whole waist, whose centre is raised by 20 mm: beside
/// the mouth of the dart the cut line keeps its 12 mm.
#[test]
fn a_cut_line_is_redrawn_above_a_dart_that_it_does_not_have() {
    let mut leg = leg();
    let cut = outside(&leg.ring, 12.0);
    leg.ring.extend(points(&[(-108.0, 260.0), (-100.0, 110.0), (-92.0, 260.0)]));
    leg.drawn = RingOnLine::of_points(0, (0..15).collect(), vec![]);
    let Displaced { ring, outline, .. } = raised(&leg);
    let (new, _) = redrawn_beside(&outline, &cut).line(&cut);
    for corner in [ring[12], ring[14]] {
        let is = line::nearest(&new, true, corner).2;
        assert!((is - 12.0).abs() < 0.05, "{is} mm in place of 12 mm at {corner:?}");
    }
}

/// A pleat drawn as a peak of 32 by 16 mm in both lines, that of the cut line moved up by 8 mm, which puts the corners of its mouth nearer
/// to the slanting edges of the sew line's peak than to the waist. Its centre is raised by 20 mm; a little before the mouth and behind
/// it the cut line keeps its 8 mm.
#[test]
fn a_pleat_does_not_turn_the_cut_line_beside_it() {
    let mut leg = leg();
    let peak = [(-116.0, 260.0), (-100.0, 276.0), (-84.0, 260.0)];
    leg.ring.extend([-150.0, -130.0, -70.0, -50.0, -30.0].map(|x| Point::new(x, 260.0) + ORIGIN));
    let mut cut = outside(&leg.ring, 8.0);
    cut.splice(14..14, points(&peak.map(|(x, y)| (x, y + 8.0))));
    leg.ring.splice(14..14, points(&peak));
    leg.drawn = RingOnLine::of_points(0, (0..20).collect(), vec![]);
    let Displaced { ring, outline, .. } = raised(&leg);
    let (new, index) = redrawn_beside(&outline, &cut).line(&cut);
    let [before, behind] =
        [[index[14] - 1, index[14]], [index[16], index[16] + 1]].map(|k| k.map(|k| new[k]));
    for ([a, b], p) in [([13, 14], before), ([16, 17], behind)].map(|(k, p)| (k.map(|k| ring[k]), p)) {
        let is = edge::off(a, b, p[0].midpoint(p[1]));
        assert!((is - 8.0).abs() < 0.05, "{is} mm in place of 8 mm beside {a:?}");
    }
}

/// A crotch seam with a straight part of 150 mm that leans by `degrees`, followed by 80° of a circle with a vertex every degree.
fn leaning(degrees: f64) -> Leg {
    let (up, lean) = (Vec2::new(0.0, 1.0), degrees.to_radians());
    let down = Vec2::new(lean.sin(), -lean.cos());
    let mut ring = vec![Point::new(0.0, 0.0), Point::ZERO + down * 75.0, Point::ZERO + down * 150.0];
    let mut direction = down;
    for _ in 0..80 {
        direction = Vec2::from_angle(direction.atan2() + 1f64.to_radians());
        let at = ring[ring.len() - 1] + direction * 1.5;
        ring.push(at);
    }
    let fork = ring.len() - 1;
    let rest = [(80.0, -420.0), (80.0, -900.0), (-150.0, -900.0), (-200.0, 0.0)];
    ring.extend(rest.map(Point::from));
    let order = (0..).take(ring.len()).collect();
    Leg {
        ring,
        drawn: RingOnLine::of_points(0, order, vec![]),
        up,
        fork,
        hem_in: fork + 2,
        hem_out: fork + 3,
        side: fork + 4,
        curve_begin: 2,
        one_piece: None,
        mirror: None,
        ..leg()
    }
}

#[test]
fn a_leaning_seam_gains_less_than_it_slides() {
    // The trade's own example: a straight part of 150 mm that leans by 8° gains about 25.2 mm for a slide of 25.4 mm. The seam
    // above turns about the waist, and its length is the third side of a triangle (law of cosines), apart from the effect of
    // truing.
    let leg = leaning(8.0);
    let displacement = Displacement::new(&leg, Mm(400.0));
    let gained = displacement.longer(Mm(25.4)).unwrap().0;
    assert!((gained - 25.2).abs() < 0.05, "{gained}");
    assert!((displacement.slide_for(Mm(gained)).unwrap().0 - 25.4).abs() < 1e-9);
    let applied = displacement.apply(&leg, DOWN).unwrap();
    assert!((applied.rise().0 - line::length(&leg.ring[..=leg.fork]) - gained).abs() < 1e-9);
    // An upright seam gains exactly the slide.
    let upright = leaning(0.0);
    let displacement = Displacement::new(&upright, Mm(400.0));
    for along in [-30.0, 12.7, 25.4] {
        assert!((displacement.longer(Mm(along)).unwrap().0 - along).abs() < 1e-9);
    }
}

#[test]
fn the_turn_of_a_straight_seam_is_trued_into_the_curve() {
    for (lean, along) in [(4.0, 12.7), (8.0, 25.4), (14.0, 38.0), (20.0, -25.0), (20.0, 50.8)] {
        let leg = leaning(lean);
        let displacement = Displacement::new(&leg, Mm(400.0));
        let moves = Moves { along: Mm(along), ..Moves::default() };
        let new = displacement.apply(&leg, moves).unwrap().crotch;
        assert_eq!(new[0], leg.ring[0]);
        // The straight part stays straight.
        let bow = (new[1] - new[0]).cross((new[2] - new[0]).normalize());
        assert!(bow.abs() < 1e-9, "{lean} {along}: {bow}");
        // 35 % of the seam, 94.5 mm of 270, is a moved copy.
        let copied = leg.fork - (0.35_f64 * 270.0 / 1.5) as usize;
        for (i, (new, old)) in new.iter().zip(&leg.ring).enumerate().skip(copied) {
            assert!((*new - *old - Vec2::new(0.0, -along)).hypot() < 1e-9, "{lean} {along} {i}");
        }
        // No vertex turns by half a degree more than before, and none turns the other way.
        for i in 1..leg.fork {
            let turn = direction::angle(new[i] - new[i - 1], new[i + 1] - new[i]);
            assert!((-0.03..1.5).contains(&turn), "{lean} {along} {i}: {turn}");
        }
    }
}

#[test]
fn what_the_upper_curve_cannot_take_is_told() {
    // The upper 35 % of the 80° of curve can be used up: 28 vertices and the first one, each of which may turn by 0.42° more.
    let displacement = Displacement::new(&leaning(40.0), Mm(400.0));
    let large = displacement.slide_for(Mm(120.0)).unwrap_err();
    assert!((large.takes - 29.0 * 0.42).abs() < 1e-6, "{large:?}");
}

#[test]
fn a_bent_line_is_that_of_a_beam_clamped_at_both_ends() {
    // If its end is moved aside by δ, a beam takes the form δ(3x² − 2x³) (beam theory: both ends clamped, one support displaced;
    // handbook formula, from memory). Here 100 edges of 3 mm, the end moved by 2 mm.
    let line: Vec<Point> = (0..=100).map(|k| Point::new(3.0 * f64::from(k), 0.0)).collect();
    let joints: Vec<Joint> = (0..=100).map(|_| Joint { weight: 0.01, least: -1.0, most: 1.0 }).collect();
    let bent = bend(&line, &joints, [Vec2::ZERO, Vec2::new(0.0, 2.0)], 0.0).unwrap();
    for (p, old) in bent.iter().zip(&line) {
        let x = old.x / 300.0;
        assert!((p.y - 2.0 * x * x * (3.0 - 2.0 * x)).abs() < 0.03, "{x}: {p:?}");
    }
    assert!((bent[100] - Point::new(300.0, 2.0)).hypot() < 1e-9);
    // If no joint may turn, there is no such line.
    assert_eq!(bend(&line, &[Joint::FIXED; 101], [Vec2::ZERO, Vec2::new(0.0, 2.0)], 0.0), None);
}

#[test]
fn a_root_is_found_or_what_stopped_the_search_told() {
    let cube = |x: f64| Ok::<f64, ()>(x * x * x - 5.0);
    assert!((near_zero(cube, 3.0).unwrap() - 5f64.cbrt()).abs() < 1e-6);
    assert_eq!(near_zero(|x| Ok::<f64, ()>(x - 5.0), 3.0), Err(None));
    assert_eq!(near_zero(Ok::<f64, ()>, 3.0), Ok(0.0));
    let stopped = |x: f64| if x > 1.0 { Err("stopped") } else { Ok(x - 2.0) };
    assert_eq!(near_zero(stopped, 3.0), Err(Some("stopped")));
}

/// The ring is 277 + 645 + 200 + 908 + 172 = 2202 mm long, the middle of its hem at 1022 mm and that of its waist at 2116 mm.
#[test]
fn the_nearest_place_is_looked_for_between_two_arc_lengths_and_over_the_beginning() {
    let leg = leg();
    let arc = station::Arc::new(&leg);
    let at = |x: f64, y: f64| Point::new(x, y) + ORIGIN;
    for (p, from, to, expected) in [
        (at(-84.0, -640.0), 400.0, 1500.0, 1022.0),
        // The inseam ends where the hem begins.
        (at(-84.0, -640.0), 400.0, 700.0, 922.0),
        (at(-86.0, 270.0), 2000.0, 2300.0, 2116.0),
        (at(5.0, 230.0), 2000.0, 2300.0, 2232.0),
        (at(5.0, 230.0), 0.0, 200.0, 30.0),
    ] {
        let found = arc.nearest_on(p, from, to);
        assert!((found - expected).abs() < 1e-9, "{p:?} {from} {to}: {found}");
    }
}

/// A centre seam that goes further down than 65 % of the crotch seam, of which 35 % are an exact copy: if it is straight, it turns
/// as a whole about the waist, down to where the curve begins; if it is bowed, only the part above the copy does.
#[test]
fn a_long_bowed_centre_seam_turns_no_further_down_than_to_the_copy() {
    let long = |bowed: f64| {
        let mut leg = leaning(3.0);
        let fork = leg.ring[leg.fork];
        let down = (leg.ring[2] - leg.ring[0]).normalize();
        let across = Vec2::new(-down.y, down.x);
        // 240 mm more above the 150 mm of the centre seam; the curve has 120 mm.
        let above = (0..8).map(|k| {
            let t = f64::from(k) / 8.0;
            leg.ring[0] - down * (240.0 * (1.0 - t)) + across * (bowed * 4.0 * t * (1.0 - t))
        });
        let mut ring: Vec<Point> = above.collect();
        ring.extend(leg.ring.iter().copied());
        leg.ring = ring;
        for corner in [&mut leg.fork, &mut leg.hem_in, &mut leg.hem_out, &mut leg.side, &mut leg.curve_begin]
        {
            *corner += 8;
        }
        assert_eq!(leg.ring[leg.fork], fork);
        leg.drawn = RingOnLine::of_points(0, (0..leg.ring.len() as u32).collect(), vec![]);
        let displacement = Displacement::new(&leg, Mm(400.0));
        (displacement.trued().0.0, leg.length(Crotch).0)
    };
    let (straight, whole) = long(0.0);
    assert!((straight - 390.0).abs() < 1e-9 && straight > 0.65 * whole, "{straight} of {whole}");
    let (bowed, whole) = long(3.0);
    assert!(bowed <= 0.65 * whole, "{bowed} of {whole}");
}
