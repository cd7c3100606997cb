//! A leg whose edges are all right triangles of whole millimetres (9-40-41, 20-99-101, 36-323-325 and so on), so that every
//! length below is exact and can be added up by hand.

#![allow(
    clippy::unwrap_used,
    clippy::float_cmp,
    reason = "tests stop at the first surprise; whole numbers are meant exactly"
)]
#![allow(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "counts of small drawings")]

use super::law::Law;
use super::redraw::{Added, Redrawn, on_one_seam, redraw};
use super::solve::{SeamLength, root, slide};
use super::station::{self, Station};
use super::*;
use crate::pattern::{Path, StrokePoint};
use crate::seam::{Drawn, Found, How, SeamRole, SewLine};
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
        drawn: Drawn { path: 0, order, start: None, fly: vec![], derived: None },
        up: Vec2::new(0.0, 1.0),
        out: Vec2::new(1.0, 0.0),
        fork: 4,
        hem_in: 7,
        hem_out: 8,
        side: 11,
        curve_begin: 2,
        found: Found { grain: How::Layer, crotch: How::Shape, inseam: How::Shape, sew_line: SewLine::Drawn },
    }
}

fn at(role: SeamRole, at: f64) -> Station {
    Station { role, at }
}

fn same(found: &[Station], expected: &[Station]) {
    assert_eq!(found.len(), expected.len());
    for (i, (found, expected)) in found.iter().zip(expected).enumerate() {
        let near = found.role == expected.role && (found.at - expected.at).abs() < 1e-9;
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

/// The line at this distance outside a closed line, mitred.
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
    let mut expected = of_ring();
    // The straight part is taken in proportion to the cut line's own: 72 mm to the second point, down to the mitre at the
    // foot of the straight part, which turns by the angle of 9, 40 and 41.
    let foot = 132.0 - 12.0 * ((9.0f64 / 40.0).atan() / 2.0).tan();
    expected[1].at = 120.0 * 72.0 / foot;
    let cut = outside(&leg.ring, 12.0);
    assert!((cut[0] - (Point::new(12.0, 272.0) + ORIGIN)).hypot() < 1e-9, "{:?}", cut[0]);
    same(&station::along(&leg, &cut), &expected);
    // Begun elsewhere, and the other way round.
    let (mut turned, mut shifted) = (cut.clone(), expected.clone());
    turned.rotate_left(5);
    shifted.rotate_left(5);
    same(&station::along(&leg, &turned), &shifted);
    turned.reverse();
    shifted.reverse();
    same(&station::along(&leg, &turned), &shifted);
}

#[test]
fn a_point_beside_a_seam_has_the_station_of_its_foot() {
    let leg = leg();
    let found = station::nearest(
        &leg,
        &points(&[
            (19.0, -400.0),
            (-3.0, 230.0),
            (-80.0, 263.0),
            (-100.0, -650.0),
            (-224.0, -17.0),
            (16.2, -219.0),
        ]),
    );
    // The last lies within rounding of square to the corner at 224 mm: its partner.
    let by_hand = [
        at(Inseam, 405.0),
        at(Crotch, 30.0),
        at(Waist, 80.0),
        at(Hem, 116.0),
        at(Outseam, 625.0),
        at(Inseam, 224.0),
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
        leg.drawn.order = (0..11).collect();
        leg.drawn.fly = (11..).take(fly.len()).collect();
        station::of_path(&leg)[11..].to_vec()
    };
    // The centre front line is 120 mm long beside it. The edge from the corner, level with the waist, to 90 mm below it
    // takes all of that, in proportion.
    same(&with(&[(30.0, 260.0), (30.0, 200.0), (30.0, 170.0)]), &[0.0, 80.0, 120.0].map(|a| at(Crotch, a)));
    // What slants on to the foot moves with the foot.
    let slanting = [(30.0, 260.0), (30.0, 200.0), (30.0, 170.0), (20.0, 155.0)];
    same(&with(&slanting), &[0.0, 80.0, 120.0, 120.0].map(|a| at(Crotch, a)));
    // A rounded top within 0.15 of the height, 18 mm, is all top; the rest begins at its end, 10 mm down.
    let rounded = [(28.0, 261.0), (30.0, 250.0), (30.0, 200.0), (30.0, 170.0)];
    same(&with(&rounded), &[0.0, 0.0, 75.0, 120.0].map(|a| at(Crotch, a)));
    // Leaning by more than 12° it has no straight edge: in proportion from its corner, 10 mm down, to the foot at 120 mm.
    same(&with(&[(30.0, 250.0), (12.0, 190.0)]), &[0.0, 120.0 * 60.0 / 110.0].map(|a| at(Crotch, a)));
}

#[test]
fn the_line_comes_back_at_a_vertex_close_by() {
    let leg = leg();
    let moves = |along: f64| Moves { along: Mm(along), ..Moves::default() };
    // How far down the inseam the slide is still whole.
    let copied = |law: &Law| {
        let whole = |way: &u32| law.displacement(at(Inseam, f64::from(*way) / 10.0), moves(1.0)).y == -1.0;
        f64::from((0..6450).take_while(whole).last().unwrap()) / 10.0
    };
    for (wanted, end, copy) in [
        // The vertex at 224 mm is within a twentieth of 230; three tenths are a copy.
        (230.0, 224.0, 67.2),
        (235.7, 224.0, 67.2),
        // It is not of 236; with the next vertex far down, at 645 mm, half the way is a copy.
        (236.0, 236.0, 118.0),
        (300.0, 300.0, 150.0),
        // Short of it, three tenths of the way to the vertex.
        (210.0, 210.0, 67.2),
        (640.0, 645.0, 193.5),
    ] {
        let law = Law::new(&leg, Mm(wanted));
        assert!((law.end().0 - end).abs() < 1e-9 && law.bends(), "{wanted}: {}", law.end());
        assert!((copied(&law) - copy).abs() <= 0.1 + 1e-9, "{wanted}: {}", copied(&law));
        assert!((law.straight().0 - 120.0).abs() < 1e-9);
    }
    // A first segment of 123 mm is more than six tenths of 200 mm, and less than those of 206 mm: two vertices.
    let law = Law::new(&leg, Mm(204.0));
    assert_eq!((law.end(), law.bends()), (Mm(123.0), false));
    assert!(Law::new(&leg, Mm(206.0)).bends());
    // The waist is moved along the centre seam.
    let up =
        Law::new(&leg, Mm(230.0)).displacement(at(Crotch, 0.0), Moves { waist: Mm(3.0), ..Moves::default() });
    assert_eq!(up, Vec2::new(0.0, 3.0));
}

#[test]
fn the_knee_is_halfway_down_or_at_a_vertex_close_by() {
    let (front, mut back) = (leg(), leg());
    back.ring[7] = Point::new(16.0, -630.0) + ORIGIN;
    assert_eq!(blend(&front, &back, BlendTo::Hem), Mm(635.0));
    assert_eq!(blend(&front, &back, BlendTo::Length(Mm(211.0))), Mm(211.0));
    assert_eq!(blend(&front, &back, BlendTo::Length(Mm(700.0))), Mm(635.0));
    // Half of 635 mm; the vertex at 224 mm is no nearer than 0.15 of that.
    assert_eq!(blend(&front, &back, BlendTo::Knee), Mm(317.5));
    // Of half of 526 mm, 263, the vertex at 224 mm is within 0.15; but the front rise of 277 mm comes first, from which
    // it is further.
    back.ring[7] = Point::new(16.0, -521.0) + ORIGIN;
    assert_eq!(blend(&front, &back, BlendTo::Knee), Mm(277.0));
    let mut short = front.clone();
    short.ring[0] = Point::new(0.0, 240.0) + ORIGIN;
    assert_eq!(blend(&short, &back, BlendTo::Knee), Mm(224.0));
}

fn path(points: Vec<Point>, closed: bool) -> Path {
    let from = (0..).take(points.len()).map(|point| StrokePoint { stroke: 0, point }).collect();
    Path { layer_use: crate::pattern::LayerUse::Sew, points: points.into(), from, twins: vec![], closed }
}

#[test]
fn vertices_are_added_where_an_edge_would_leave_the_law_and_nowhere_else() {
    let leg = leg();
    let law = Law::new(&leg, Mm(300.0));
    let moves = Moves { along: Mm(25.4), ..Moves::default() };
    let line = path(leg.ring.clone(), true);
    let new = redraw(0, &line, &of_ring(), &law, moves);
    for (shift, station) in new.moves.iter().zip(of_ring()) {
        assert_eq!(*shift, law.displacement(station, moves));
    }
    // Copied are 150 mm, so the bend lies on the edges after points 5 and 6; at 300 mm, 76 mm down the last, it is back.
    assert!(new.added.iter().all(|a| [5, 6].contains(&a.after)), "{:?}", new.added);
    let back = new.added.last().unwrap();
    assert!((back.share - 76.0 / 421.0).abs() < 1e-12 && back.after == 6);
    assert!((back.at - (Point::new(16.0, -295.0) + ORIGIN)).hypot() < 1e-9, "{:?}", back.at);
    let way = |a: &Added| (a.after, a.share);
    assert!(new.added.windows(2).all(|w| way(&w[0]) < way(&w[1])));
    // Every place of the two edges lies where the law has it, to 0.08 mm; without any one vertex it would not to 0.03 mm.
    let ring = points(&RING);
    let by_law = |i: usize, share: f64| {
        let (from, length) = if i == 5 { (123.0, 101.0) } else { (224.0, 421.0) };
        ring[i].lerp(ring[i + 1], share) + law.displacement(at(Inseam, from + share * length), moves)
    };
    let furthest = |i: usize, new: &Redrawn| {
        let (line, index) = new.line(&ring);
        let run = &line[index[i]..=index[i + 1]];
        (0..=400).map(|k| ring::distance(run, by_law(i, f64::from(k) / 400.0))).fold(0.0, f64::max)
    };
    for i in [5, 6] {
        assert!(furthest(i, &new) <= 0.08, "{}", furthest(i, &new));
    }
    for k in 0..new.added.len() - 1 {
        let mut less = new.clone();
        let gone = less.added.remove(k);
        assert!(furthest(gone.after as usize, &less) > 0.02, "{gone:?} is not needed");
    }
    // Nothing moves, nothing is added.
    assert!(redraw(0, &line, &of_ring(), &law, Moves::default()).added.is_empty());
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

#[test]
fn an_edge_is_on_one_seam_with_the_fork_on_the_inseam_and_the_centre_on_the_waist() {
    let s = at;
    for (from, to, expected) in [
        (s(Crotch, 5.0), s(Crotch, 9.0), Some((s(Crotch, 5.0), s(Crotch, 9.0)))),
        (s(Crotch, 277.0), s(Inseam, 9.0), Some((s(Inseam, 0.0), s(Inseam, 9.0)))),
        (s(Inseam, 9.0), s(Crotch, 277.0), Some((s(Inseam, 9.0), s(Inseam, 0.0)))),
        (s(Crotch, 0.0), s(Waist, 9.0), Some((s(Waist, 0.0), s(Waist, 9.0)))),
        (s(Waist, 9.0), s(Crotch, 0.0), Some((s(Waist, 9.0), s(Waist, 0.0)))),
        (s(Crotch, 9.0), s(Hem, 9.0), None),
        (s(Inseam, 645.0), s(Hem, 9.0), None),
        (s(Hem, 200.0), s(Outseam, 9.0), None),
        (s(Outseam, 908.0), s(Waist, 9.0), None),
    ] {
        assert_eq!(on_one_seam(from, to), expected, "{from:?} {to:?}");
    }
}

#[test]
fn a_seam_along_the_grain_gains_what_it_slides() {
    let leg = leg();
    let law = Law::new(&leg, Mm(300.0));
    let crotch = SeamLength::new(&leg, &law, Crotch);
    // The straight part is upright, so the crotch seam gains the slide itself.
    for way in [-30.0, 12.7, 25.4] {
        let change = crotch.change(Moves { along: Mm(way), ..Moves::default() });
        assert!((change.0 - way).abs() < 1e-9, "{change}");
        assert!((slide(&crotch, Mm(way), Moves::default()).unwrap().0 - way).abs() < 1e-6);
    }
    // With the waist raised by 4 mm, as much less is left to slide.
    let raised = Moves { waist: Mm(4.0), ..Moves::default() };
    assert!((slide(&crotch, Mm(20.0), raised).unwrap().0 - 16.0).abs() < 1e-6);
    // 0.7 of the straight part may go, and no more.
    let out = slide(&crotch, Mm(-90.0), Moves::default()).unwrap_err();
    assert!((out.limit.0 + 70.0).abs() < 1e-9 && (out.most.0 + 70.0).abs() < 1e-9, "{out:?}");
    let out = slide(&crotch, Mm(90.0), Moves::default()).unwrap_err();
    assert!((out.limit.0 - 70.0).abs() < 1e-9 && (out.most.0 - 70.0).abs() < 1e-9, "{out:?}");
    // The inseam's length is that of the line bent by the law, summed over steps of a twentieth of a millimetre.
    let inseam = SeamLength::new(&leg, &law, Inseam);
    let moves = Moves { along: Mm(25.4), across: Mm(6.0), ..Moves::default() };
    let ends = points(&RING[4..8]);
    let mut bent = vec![];
    for (w, (from, length)) in ends.windows(2).zip([(0.0, 123.0), (123.0, 101.0), (224.0, 421.0)]) {
        let steps = (length * 20.0) as u32;
        let place = |k: u32| {
            let share = f64::from(k) / f64::from(steps);
            w[0].lerp(w[1], share) + law.displacement(at(Inseam, from + share * length), moves)
        };
        bent.extend((0..=steps).map(place));
    }
    let change = inseam.change(moves).0;
    assert!((change - (ring::length(&bent) - 645.0)).abs() < 0.01, "{change}");
}

#[test]
fn a_root_is_found_or_the_nearer_limit_told() {
    assert!((root(|x| x * x * x - 5.0, 0.0, 3.0).unwrap() - 5f64.cbrt()).abs() < 1e-6);
    assert_eq!(root(|x| x - 5.0, 1.0, 3.0), Err(3.0));
    assert_eq!(root(|x| x + 5.0, 1.0, 3.0), Err(1.0));
    assert_eq!(root(|x| x - 3.0, 1.0, 3.0).map(|x| (x - 3.0).abs() < 1e-6), Ok(true));
    assert_eq!(root(|x| x - 1.0, 1.0, 3.0).map(|x| (x - 1.0).abs() < 1e-6), Ok(true));
}
