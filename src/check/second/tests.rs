#![allow(clippy::unwrap_used, reason = "tests stop at the first surprise")]

use super::outline::{Outline, largest};
use super::trace::{Spline, Trace};
use super::*;
use crate::finding::Severity;
use crate::job::Job;
use crate::opened::{self, Opened};
use crate::pattern::Reading;
use crate::seam;
use crate::seam::Pair;
use kurbo::Vec2;
use std::f64::consts::{FRAC_1_SQRT_2, FRAC_PI_2, PI};
use std::fmt::Write;

fn near(is: f64, should: f64, within: f64) {
    assert!((is - should).abs() <= within, "{is} in place of {should}");
}

fn length(trace: &Trace) -> f64 {
    trace.lengths.iter().sum()
}

fn closed(mut trace: Trace) -> Outline {
    trace.closed = true;
    largest(vec![trace], 0.05, None).unwrap()
}

/// Length and area of a semicircle of radius 90 mm, drawn in both directions, compared with π.
#[test]
fn an_arc_is_as_long_as_its_circle_says() {
    for bulge in [1.0, -1.0] {
        let mut trace = Trace::at(Point::new(31.0, -17.0));
        trace.arc_to(Point::new(211.0, -17.0), bulge);
        near(length(&trace), 90.0 * PI, 1e-9);
        let half = closed(trace);
        near(0.5 * half.doubled_area, bulge * 90.0 * 90.0 * FRAC_PI_2, 1e-3);
        // The lowest point of the semicircle below the chord, or the highest point of the one above it.
        let (off, station) = half.nearest(Point::new(121.0, -17.0 - 90.0 * bulge));
        assert!(off < 1e-3, "{off}");
        near(station, 45.0 * PI, 1e-6);
    }
    let whole = Trace::circle(Point::new(5.0, 3.0), 40.0, 90.0, 90.0);
    near(length(&whole), 80.0 * PI, 1e-9);
    near(0.5 * closed(whole).doubled_area, 1600.0 * PI, 1e-3);
    let part = Trace::circle(Point::ORIGIN, 40.0, 350.0, 20.0);
    near(length(&part), 40.0 * PI / 6.0, 1e-9);
}

/// An arc too flat to be told from a straight line is as long as its chord, however it is written.
#[test]
fn a_bulge_next_to_nothing_is_a_straight_line() {
    for bulge in [0.0, 7e-17, -7e-17, 1e-14, 1e-12, -1e-10, 1e-8, f64::MIN_POSITIVE, 5e-324] {
        let mut trace = Trace::at(Point::new(0.0, 0.0));
        trace.arc_to(Point::new(300.0, 400.0), bulge);
        near(length(&trace), 500.0, 1e-9);
        assert_eq!(trace.points.len(), 2);
    }
}

/// The perimeter of an ellipse of 2 by 1 is 9.688448220547675 (elliptic integral, from memory); its area is 2π.
#[test]
fn an_ellipse_is_integrated() {
    let axes = [Vec2::new(0.0, 200.0), Vec2::new(-100.0, 0.0)];
    let trace = Trace::ellipse(Point::new(7.0, 9.0), axes, 1.0, 2.0 * PI);
    near(length(&trace), 968.844_822_054_767_5, 1e-6);
    near(0.5 * closed(trace).doubled_area, 20_000.0 * PI, 1e-3);
    // The direction is reversed about an axis that points down.
    let trace = Trace::ellipse(Point::new(7.0, 9.0), [axes[0], -axes[1]], 1.0, 2.0 * PI);
    near(0.5 * closed(trace).doubled_area, -20_000.0 * PI, 1e-3);
}

/// A quarter of a circle as a rational curve of the second degree (weights 1, √½, 1), with one and with two knot spans; and a
/// straight cubic curve with coinciding control points.
#[test]
fn a_spline_is_integrated() {
    let quarter = Spline {
        degree: 2,
        knots: vec![0.0, 0.0, 0.0, 1.0, 1.0, 1.0],
        controls: [(100.0, 0.0), (100.0, 100.0), (0.0, 100.0)].map(Point::from).to_vec(),
        weights: vec![1.0, FRAC_1_SQRT_2, 1.0],
    };
    let trace = Trace::spline(&quarter).unwrap();
    near(length(&trace), 50.0 * PI, 1e-9);
    near(trace.points[trace.points.len() / 2].to_vec2().hypot(), 100.0, 1e-9);
    // The area between the curve and its chord: a quarter of a circle less a triangle.
    near(0.5 * closed(trace).doubled_area, 2500.0 * PI - 5000.0, 1e-3);
    let straight = Spline {
        degree: 3,
        knots: vec![0.0, 0.0, 0.0, 0.0, 0.25, 1.0, 1.0, 1.0, 1.0],
        controls: [(0.0, 0.0), (0.0, 0.0), (30.0, 40.0), (60.0, 80.0), (60.0, 80.0)]
            .map(Point::from)
            .to_vec(),
        weights: Vec::new(),
    };
    near(length(&Trace::spline(&straight).unwrap()), 100.0, 1e-6);
    assert!(Trace::spline(&Spline { knots: vec![0.0; 4], ..straight }).is_none());
}

/// The lengths are those of `ezdxf` 1.4 (`fit_points_to_cad_cv`, flattened within 1e-6 mm), without and with directions at
/// the ends; and a straight line through two points.
#[test]
fn a_spline_through_points_is_solved_for_its_control_points() {
    let points =
        || [(0.0, 0.0), (30.0, 12.0), (55.0, 60.0), (50.0, 140.0), (90.0, 150.0)].map(Point::from).to_vec();
    let long =
        |points: Vec<Point>, ends| length(&Trace::spline(&Spline::through(points, ends).unwrap()).unwrap());
    near(long(points(), [Vec2::ZERO; 2]), 212.8325, 1e-3);
    near(long(points(), [Vec2::new(2.0, 0.0), Vec2::new(0.0, 0.5)]), 221.0470, 1e-3);
    near(long(points()[..2].to_vec(), [Vec2::ZERO; 2]), 30.0_f64.hypot(12.0), 1e-9);
    assert!(Spline::through(vec![Point::ORIGIN; 3], [Vec2::ZERO; 2]).is_none());
}

/// Each line is one side of a square; two of them run backwards, and one is 0.04 mm short.
#[test]
fn lines_join_at_their_ends() {
    let side = |a: (f64, f64), b: (f64, f64)| {
        let mut trace = Trace::at(a.into());
        trace.arc_to(b.into(), 0.0);
        trace
    };
    let sides = vec![
        side((0.0, 0.0), (100.0, 0.0)),
        side((100.0, 100.0), (100.0, 0.0)),
        side((0.0, 0.04), (0.0, 100.0)),
        side((100.0, 100.0), (0.0, 100.0)),
        side((20.0, 20.0), (80.0, 20.0)),
    ];
    let square = largest(sides.clone(), 0.05, None).unwrap();
    near(square.gaps, 0.04, 1e-12);
    near(square.length(), 400.0, 1e-9);
    near(square.doubled_area.abs(), 20_000.0, 1e-9);
    let at = |x: f64, y: f64| square.nearest(Point::new(x, y)).1;
    let corners = [at(0.0, 0.0), at(30.0, 0.0), at(100.0, 100.0), at(0.0, 100.0)];
    let lengths = square.between(&corners).unwrap();
    for (is, should) in lengths.iter().zip([30.0, 170.0, 100.0, 100.0]) {
        near(*is, should, 1e-9);
    }
    assert!(square.between(&[corners[0], corners[2], corners[1], corners[3]]).is_none());
    assert!(largest(sides, 0.03, None).is_none());
}

/// The entities with which the sew line of a leg is drawn.
#[derive(Clone, Copy, Debug, PartialEq)]
enum As {
    Polyline,
    LwPolyline,
    /// An arc and a spline for the curves, and lines between them.
    Parts,
}

/// The sew line of a leg, in mm, beginning at the centre waist: vertices, each with the bulge of the edge after it. `out` is
/// how far the fork reaches beyond the centre line.
fn leg_line(out: f64) -> Vec<(f64, f64, f64)> {
    // The crotch curve is a quarter of a circle that leaves the fork horizontally.
    let quarter = (PI / 8.0).tan();
    vec![
        (200.0, 1050.0, 0.0),
        (200.0, 800.0 + out, quarter),
        (200.0 + out, 800.0, 0.0),
        (200.0 + out, 760.0, 0.01),
        (190.0, 0.0, 0.0),
        (20.0, 0.0, 0.0),
        (0.0, 500.0, 0.0),
        (0.0, 800.0, -0.02),
        (10.0, 1050.0, 0.0),
    ]
}

/// How a leg is written.
struct Style {
    drawn: As,
    /// The number of millimetres in one unit of its numbers.
    unit: f64,
    mirrored: bool,
}

impl Style {
    fn leg(&self, name: &str, line: &[(f64, f64, f64)]) -> String {
        let mut text = format!("0\nBLOCK\n8\n1\n2\n{name}\n70\n0\n10\n0\n20\n0\n");
        for label in [format!("Piece Name: {name}"), "Size: 38".to_owned()] {
            let _ = write!(text, "0\nTEXT\n8\n1\n10\n0\n20\n0\n40\n1\n1\n{label}\n");
        }
        let x = |v: f64| if self.mirrored { -v / self.unit } else { v / self.unit };
        let y = |v: f64| v / self.unit;
        let _ = write!(
            text,
            "0\nLINE\n8\n7\n10\n{}\n20\n{}\n11\n{}\n21\n{}\n",
            x(100.0),
            y(100.0),
            x(100.0),
            y(900.0)
        );
        let turned = |b: f64| if self.mirrored { -b } else { b };
        let vertex = |v: &(f64, f64, f64)| format!("10\n{}\n20\n{}\n42\n{:e}\n", x(v.0), y(v.1), turned(v.2));
        match self.drawn {
            As::Polyline => {
                text += "0\nPOLYLINE\n8\n14\n66\n1\n70\n1\n";
                text.extend(line.iter().map(|v| format!("0\nVERTEX\n8\n14\n{}", vertex(v))));
                text += "0\nSEQEND\n8\n14\n";
            }
            As::LwPolyline => {
                let _ = write!(text, "0\nLWPOLYLINE\n8\n14\n90\n{}\n70\n1\n", line.len());
                text.extend(line.iter().map(vertex));
            }
            As::Parts => {
                for (i, a) in line.iter().enumerate() {
                    let b = line[(i + 1) % line.len()];
                    if a.2 == 0.0 {
                        let _ = write!(
                            text,
                            "0\nLINE\n8\n14\n10\n{}\n20\n{}\n11\n{}\n21\n{}\n",
                            x(a.0),
                            y(a.1),
                            x(b.0),
                            y(b.1)
                        );
                    } else {
                        text += &self.spline(*a, b);
                    }
                }
            }
        }
        text + "0\nENDBLK\n8\n1\n"
    }

    /// An arc as a rational curve of the second degree; its control point lies where the tangents meet.
    fn spline(&self, a: (f64, f64, f64), b: (f64, f64, f64)) -> String {
        let half = 2.0 * a.2.atan();
        let (dx, dy) = (b.0 - a.0, b.1 - a.1);
        let rise = 0.5 * half.tan();
        let middle = (f64::midpoint(a.0, b.0) + dy * rise, f64::midpoint(a.1, b.1) - dx * rise);
        let mut text = "0\nSPLINE\n8\n14\n70\n4\n71\n2\n72\n6\n73\n3\n".to_owned();
        text.extend([0, 0, 0, 1, 1, 1].map(|k| format!("40\n{k}\n")));
        text.extend([1.0, half.cos(), 1.0].map(|w| format!("41\n{w}\n")));
        for p in [(a.0, a.1), middle, (b.0, b.1)] {
            let x = if self.mirrored { -p.0 } else { p.0 };
            let _ = write!(text, "10\n{}\n20\n{}\n", x / self.unit, p.1 / self.unit);
        }
        text
    }

    fn drawing(&self, back: &[(f64, f64, f64)]) -> String {
        let unit = if self.unit > 1.0 { "ENGLISH" } else { "METRIC" };
        let mut text = "0\nSECTION\n2\nBLOCKS\n".to_owned();
        text += &self.leg("FRONT", &leg_line(50.0));
        text += &self.leg("BACK", back);
        text += "0\nENDSEC\n0\nSECTION\n2\nENTITIES\n0\nTEXT\n8\n1\n10\n0\n20\n0\n40\n1\n1\n";
        text + &format!("Units: {unit}\n0\nENDSEC\n0\nEOF\n")
    }
}

fn open(text: &str) -> Opened<'_> {
    let drawing = Drawing::scan(text.as_bytes()).unwrap();
    opened::open("drawing.dxf", text.as_bytes(), drawing, &Reading::default()).unwrap()
}

const PLAIN: Style = Style { drawn: As::Polyline, unit: 1.0, mirrored: false };

/// Draws a line in every way, in mm and inches, and seen from both sides: both readings agree with each other and with π.
#[test]
fn sound_drawings_are_measured_alike() {
    for drawn in [As::Polyline, As::LwPolyline, As::Parts] {
        for (unit, mirrored) in [(1.0, false), (25.4, false), (1.0, true), (25.4, true)] {
            let text = Style { drawn, unit, mirrored }.drawing(&leg_line(110.0));
            let opened = open(&text);
            let sizes = seam::sizes(&opened.pattern, &Job::default().labels);
            let size = &sizes[0];
            let Pair { front, back } =
                size.pair().unwrap_or_else(|| panic!("{drawn:?}: {:?}", size.findings));
            near(front.leg.length(SeamRole::Crotch).0, 200.0 + 25.0 * PI, 0.01);
            near(back.leg.length(SeamRole::Crotch).0, 140.0 + 55.0 * PI, 0.01);
            assert_eq!(reread(&opened.drawing, size), [], "{drawn:?} {unit} {mirrored}");
            assert_eq!(fork(size), None);
        }
    }
}

/// Puts mistakes into the result of reading a sound drawing: each one is caught, and its message gives both numbers.
#[test]
fn mistakes_in_reading_are_caught() {
    let text = PLAIN.drawing(&leg_line(110.0));
    let opened = open(&text);
    let sizes = seam::sizes(&opened.pattern, &Job::default().labels);
    let Pair { front, back: _ } = sizes[0].pair().unwrap();
    let found = |change: &dyn Fn(&mut Piece, &mut Leg)| {
        let (mut piece, mut leg) = (front.piece.clone(), front.leg.clone());
        change(&mut piece, &mut leg);
        let on = LegPiece { piece: &piece, leg, ..front.clone() };
        super::leg(&opened.drawing, &on).map(|f| (f.id, f.severity, f.message))
    };
    assert_eq!(found(&|_, _| {}), None);
    let said = |change: &dyn Fn(&mut Piece, &mut Leg), words: &str| {
        let (id, severity, message) = found(change).unwrap_or_else(|| panic!("not caught: {words}"));
        assert_eq!((id, severity), (FindingId::RereadDiffers, Severity::Error), "{message}");
        assert!(message.contains(words), "{message}");
    };
    // The quarter of a circle is replaced by its chord: 50 √2 in place of 25 π.
    said(
        &|_, leg| {
            let last = leg.fork;
            leg.ring.drain(2..last);
            let gone = last - 2;
            for i in [&mut leg.fork, &mut leg.hem_in, &mut leg.hem_out, &mut leg.side] {
                *i -= gone;
            }
        },
        "makes the crotch seam 278.540 mm in place of 270.711 mm",
    );
    // A vertex is thrown out, as happens with an arc about a very distant centre.
    said(&|_, leg| leg.ring[1].x += 4.0, "makes the crotch seam 278.540 mm in place of");
    // A vertex is lost; the fork lies beside the line; the seams are in another order.
    said(
        &|_, leg| leg.ring[leg.hem_out + 1] = leg.ring[leg.hem_out].midpoint(leg.ring[leg.hem_out + 2]),
        "outseam",
    );
    said(&|_, leg| leg.ring[leg.fork].x += 0.5, "finds no line at a corner; the nearest is 0.500 mm off");
    said(&|_, leg| leg.hem_in = leg.fork - 3, "in another order");
    // The area differs by a bow that no seam shows: the numbers of the path change, and the ring is not made of them.
    said(
        &|piece, leg| {
            let path = &mut piece.paths[leg.drawn.path()];
            path.points = path.points.iter().map(|p| Point::new(p.x * 1.001, p.y)).collect();
        },
        "cm² in place of",
    );
    // The scale differs.
    said(&|piece, _| piece.scale = 25.4, "finds no line at a corner");
}

/// The front's inseam leaves its horizontal curve at a right angle, and the back's goes inwards by 30 over 40 mm: 90° and
/// acos(3/5) = 53.1°.
#[test]
fn curves_that_are_not_true_are_said_when_measured() {
    let mut back = leg_line(110.0);
    back[3] = (280.0, 760.0, 0.0);
    let text = PLAIN.drawing(&back);
    let opened = open(&text);
    let sizes = seam::sizes(&opened.pattern, &Job::default().labels);
    let finding = fork(&sizes[0]).unwrap();
    assert_eq!((finding.id, finding.severity), (FindingId::ForkAngle, Severity::Warning));
    assert!(finding.message.contains("53."), "{}", finding.message);
}

/// The vertex 3 mm below the fork is taken for the fork: 180° there, and 90° at the front.
#[test]
fn a_fork_beside_its_corner_is_an_error() {
    let mut back = leg_line(110.0);
    back.insert(3, (310.0, 797.0, 0.0));
    let text = PLAIN.drawing(&back);
    let opened = open(&text);
    let mut sizes = seam::sizes(&opened.pattern, &Job::default().labels);
    let leg = &mut sizes[0].legs.back[0].leg;
    let beside = |p: &Point| (*p - Point::new(310.0, 797.0)).hypot() < 1e-6;
    leg.fork = leg.ring.iter().position(beside).unwrap();
    let finding = fork(&sizes[0]).unwrap();
    assert_eq!((finding.id, finding.severity), (FindingId::ForkAngle, Severity::Error));
    assert!(finding.message.contains("beside the corner"), "{}", finding.message);
    sizes[0].legs.back[0].leg.fork -= 1;
    assert_eq!(fork(&sizes[0]), None);
}

/// An arc that is a straight line except for its last bits: whatever the first reading makes of it, no wrong length is
/// passed.
#[test]
fn no_wrong_length_passes_where_a_bulge_is_next_to_nothing() {
    for bulge in [7e-17, 1e-15, 1e-14, 1e-12, 1e-10] {
        let mut back = leg_line(110.0);
        back[0].2 = bulge;
        let text = PLAIN.drawing(&back);
        let opened = open(&text);
        for size in seam::sizes(&opened.pattern, &Job::default().labels) {
            let error = |f: &Finding| f.severity == Severity::Error;
            match size.pair() {
                Some(Pair { back, .. }) => {
                    let rise = back.leg.length(SeamRole::Crotch).0;
                    let near = (rise - 140.0 - 55.0 * PI).abs() < 0.02;
                    assert!(near || reread(&opened.drawing, &size).iter().any(error), "{bulge:e}: {rise}");
                }
                None => assert!(size.findings.iter().any(error)),
            }
        }
    }
}

/// A zigzag of steps of 0.2 mm down the straight centre seam of the back is longer than it by the factor √(1 + (width / 0.2)²). It is
/// told where that makes more than the 1.5 mm by which mating seams may differ.
#[test]
fn noise_that_makes_up_part_of_the_length_is_told() {
    for (width, stretch, told) in [
        (0.1, 100.0, true),
        (0.1, 10.0, false),
        (0.04, 100.0, true),
        (0.04, 60.0, false),
        (0.0, 100.0, false),
    ] {
        let mut back = leg_line(110.0);
        #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
        let steps = (stretch / 0.2) as u32;
        let at = |k: u32| (200.0 + if k % 2 == 1 { width } else { 0.0 }, 1040.0 - 0.2 * f64::from(k), 0.0);
        back.splice(1..1, (0..=steps).map(at));
        let text = PLAIN.drawing(&back);
        let opened = open(&text);
        let sizes = seam::sizes(&opened.pattern, &Job::default().labels);
        let found = rough(&sizes[0]);
        assert_eq!(found.is_some(), told, "{width} {stretch}: {found:?}");
        let Some(found) = found else { continue };
        assert_eq!((found.id, found.piece.as_deref()), (FindingId::LineRough, Some("BACK")));
        let said = found.message.split_once("back measure ").unwrap().1.split_once(" mm longer").unwrap().0;
        near(said.parse().unwrap(), stretch * ((1.0_f64 + (width / 0.2).powi(2)).sqrt() - 1.0), 0.15);
    }
}
