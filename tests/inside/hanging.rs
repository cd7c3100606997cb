//! Pieces with an edge that lay on a redrawn one are told of, wherever and however they are drawn; others are not.

use crate::check::By;
use crate::dxf_text::Drawing;
use crate::geometry::offset;
use crate::inside::common::draft::{Draft, drawing};
use crate::inside::common::root;
use crate::job::Job;
use crate::job::Uneven;
use crate::pattern::{self, Reading};
use crate::seam::Pair;
use crate::{FindingId, Nest, Settings, Severity, SizeTable, seam};
use kurbo::{Affine, Point, Vec2};
use std::fs;

/// Front and back of size 38.
fn size_38(bytes: &[u8]) -> [seam::Leg; 2] {
    let drawing = Drawing::scan(bytes).unwrap();
    let pattern = pattern::read(&drawing, &Reading::default()).unwrap();
    let sizes = seam::sizes(&pattern, &Job::default().labels);
    let size = sizes.iter().find(|s| s.name.as_str() == "38").unwrap();
    let Pair { front, back } = size.pair().unwrap();
    [front, back].map(|on| on.leg.clone())
}

/// Their sew lines from the waist over the fork and on.
fn legs(bytes: &[u8]) -> [Vec<Point>; 2] {
    size_38(bytes).map(|leg| leg.ring[..=leg.hem_in].to_vec())
}

/// Their whole sew lines.
fn whole(bytes: &[u8]) -> [Vec<Point>; 2] {
    size_38(bytes).map(|leg| leg.ring)
}

/// A piece of size 38 that is drawn as this closed line.
fn piece(name: &str, points: &[Point]) -> String {
    let vertices: String =
        points.iter().map(|p| format!("0\nVERTEX\n8\n1\n10\n{:.4}\n20\n{:.4}\n", p.x, p.y)).collect();
    let middle = points.iter().map(|p| p.to_vec2()).sum::<Vec2>() / points.len() as f64;
    let text = |n: i32, says: &str| {
        format!(
            "0\nTEXT\n8\n1\n10\n{:.2}\n20\n{:.2}\n40\n3\n1\n{says}\n",
            middle.x,
            middle.y - f64::from(4 * n)
        )
    };
    let texts = text(0, &format!("Piece Name: {name}"))
        + &text(1, "Size: 38")
        + &text(2, "Quantity: 1")
        + &text(3, "Material: A");
    let grain = format!(
        "0\nLINE\n8\n7\n10\n{:.2}\n20\n{:.2}\n11\n{:.2}\n21\n{:.2}\n",
        middle.x,
        middle.y,
        middle.x,
        middle.y + 30.0
    );
    format!(
        "0\nBLOCK\n8\n1\n2\n{name}-38\n70\n0\n10\n0\n20\n0\n0\nPOLYLINE\n8\n1\n66\n1\n70\n1\n{vertices}0\nSEQEND\n{texts}{grain}0\n\
         ENDBLK\n8\n1\n"
    )
}

/// The sample with pieces more.
fn with(bytes: &[u8], more: &[String]) -> String {
    let text = String::from_utf8(bytes.to_vec()).unwrap();
    let first = Drawing::scan(bytes).unwrap().blocks[0].whole.start as usize;
    [&text[..first], &more.concat(), &text[first..]].concat()
}

/// The sample with pieces more, altered by two inches in size 38; the pieces that are told of.
fn told(bytes: &[u8], more: &[String]) -> Vec<String> {
    let drawing = with(bytes, more);
    let job = Job::default();
    let nest = Nest::read("nest.dxf", drawing.as_bytes(), &job).unwrap();
    let table = SizeTable::from_csv("size,change\n38,2in\n", "t.csv").unwrap();
    let altered = nest.alter(&table, &nest.settings());
    assert!(altered.drawing().is_some());
    let found = altered.report().all_findings().filter(|f| f.id == FindingId::PieceToFollow);
    found
        .map(|f| {
            assert_eq!((f.severity, f.size.as_deref()), (Severity::Warning, Some("38")));
            f.piece.clone().unwrap()
        })
        .collect()
}

/// The edge of a leg from one place to another and a line 35 mm beside it, as a facing has.
fn facing(leg: &[Point], from: usize, to: usize, motion: Affine) -> Vec<Point> {
    let inner = (from..=to).rev().map(|i| {
        let way = (leg[i + 1] - leg[i - 1]).normalize();
        leg[i] + Vec2::new(-way.y, way.x) * 35.0
    });
    leg[from..=to].iter().copied().chain(inner).map(|p| motion * p).collect()
}

/// A leg's sew line from the middle of the straight centre seam on.
fn from_the_straight(leg: &[Point]) -> Vec<Point> {
    let begin: Vec<Point> = (5..10).map(|k| leg[0].lerp(leg[1], f64::from(k) / 10.0)).collect();
    [&begin[..], &leg[1..]].concat()
}

/// A facing that lies alike on front and back, which are bent alike: on which of the two it hangs is said to be unknown, unless its name
/// says it, and it is not redrawn by one of the two that the program picks.
#[test]
fn a_facing_that_fits_front_and_back_is_asked_for() {
    let leg = Draft { lean: 4.0, extension: 62.0, begin: 75.0, rise: 300.0 };
    let drawn = drawing(&leg, &leg).into_bytes();
    let line = legs(&drawn)[0].clone();
    // In the middle of the curve the copy ends, and the edge leaves it.
    let facing = |name: &str| {
        piece(name, &facing(&from_the_straight(&line), 1, 60, Affine::translate((900.0, 300.0))))
    };
    let said = |name: &str| {
        let text = with(&drawn, &[facing(name)]);
        let nest = Nest::read("nest.dxf", text.as_bytes(), &Job::default()).unwrap();
        let table = SizeTable::from_csv("size,change\n38,-70mm\n", "t.csv").unwrap();
        let altered = nest.alter(&table, &Settings { follow: true, ..nest.settings() });
        let found = altered.report().all_findings().filter(|f| f.id == FindingId::PieceToFollow);
        found.map(|f| (f.severity, f.message.clone())).collect::<Vec<_>>()
    };
    let unnamed = said("FACING");
    let [(Severity::Warning, message)] = &unnamed[..] else { panic!("{unnamed:?}") };
    assert!(message.contains("ran along FRONT or BACK, on which it lies alike, over"), "{message}");
    assert!(message.ends_with("say front or back in its name"), "{message}");
    for part in ["FRONT", "BACK"] {
        let named = said(&format!("{part} FACING"));
        let along = format!("redrawn along {part}: ");
        assert!(matches!(&named[..], [(Severity::Note, m)] if m.starts_with(&along)), "{named:?}");
    }
}

#[test]
fn a_facing_that_lay_on_the_crotch_curve_is_told_of_in_whatever_turn_or_mirror() {
    let bytes = fs::read(root().join("samples/harbour-nest.dxf")).unwrap();
    let [_, back] = legs(&bytes);
    let fork = (1..back.len()).max_by(|&a, &b| sharp(&back, a).total_cmp(&sharp(&back, b))).unwrap();
    let motions = [
        Affine::translate((900.0, -300.0)),
        Affine::translate((-400.0, 800.0)) * Affine::rotate(2.2),
        Affine::scale_non_uniform(-1.0, 1.0) * Affine::rotate(0.4),
    ];
    for motion in motions {
        let shield = piece("SHIELD", &facing(&from_the_straight(&back), 1, fork + 2, motion));
        assert_eq!(told(&bytes, &[shield]), ["SHIELD"]);
    }
    // A lining is the whole leg once more.
    let lining: Vec<Point> = back.iter().map(|p| Affine::translate((1500.0, 0.0)) * *p).collect();
    assert_eq!(told(&bytes, &[piece("BACKING", &lining)]), ["BACKING"]);
}

/// A half lining of the front, down to 250 mm below the fork, is no second front: nothing is walked along it, and it is told of.
#[test]
fn a_half_lining_hangs_on_its_leg() {
    let bytes = fs::read(root().join("samples/harbour-nest.dxf")).unwrap();
    let leg = size_38(&bytes)[0].clone();
    let above = |p: &Point| (*p - leg.fork_point()).dot(leg.up) > -250.0;
    let above: Vec<Point> = leg.ring.iter().copied().filter(above).collect();
    let lining = piece("FRONT LINING", &above).replace("POLYLINE\n8\n1\n", "POLYLINE\n8\n14\n");
    let lining = lining.replace("VERTEX\n8\n1\n", "VERTEX\n8\n14\n");
    assert_eq!(told(&bytes, std::slice::from_ref(&lining)), ["FRONT LINING"]);
    let drawing = with(&bytes, &[lining]);
    let nest = Nest::read("nest.dxf", drawing.as_bytes(), &Job::default()).unwrap();
    let seams = [FindingId::InseamMismatch, FindingId::OutseamMismatch];
    assert!(nest.check().report().findings.iter().all(|f| !seams.contains(&f.id)));
}

/// Facings at the front: down the centre front from 40 mm of the waist to where the curve has begun, and along the whole waist, 40 mm
/// wide. Their edges are bent too little to be told by their form; the corner at the centre tells. The one is off where the seam is
/// longer, the other where the waist is raised. A pocket with a square corner fits anything.
#[test]
fn a_facing_is_told_of_by_the_corner_that_it_begins_at() {
    let bytes = fs::read(root().join("samples/harbour-nest.dxf")).unwrap();
    let leg = size_38(&bytes)[0].clone();
    let height = |p: &Point| (*p - leg.fork_point()).dot(leg.up);
    let inwards = |p: &Point, by: f64| *p - leg.out * by;
    let centre: Vec<Point> = leg.ring[..leg.fork].iter().copied().filter(|p| height(p) > 45.0).collect();
    let waist: Vec<Point> = leg.ring[leg.side..].iter().copied().chain([leg.ring[0]]).collect();
    let begun = waist.iter().copied().filter(|p| (*p - leg.ring[0]).hypot() < 40.0);
    let ends = [inwards(&centre[centre.len() - 1], 20.0), inwards(&leg.ring[0], 39.0) - leg.up * 30.0];
    let fly: Vec<Point> = begun.chain(centre[1..].iter().copied()).chain(ends).collect();
    let below = [waist[waist.len() - 1], waist[0]].map(|p| p - leg.up * 40.0);
    let band: Vec<Point> = waist.iter().copied().chain(below).collect();
    let pocket = [(0.0, 0.0), (140.0, 0.0), (140.0, 160.0), (0.0, 160.0)].map(Point::from);
    for motion in [
        Affine::translate((900.0, -300.0)) * Affine::rotate(0.7),
        Affine::translate((-700.0, 90.0)) * Affine::rotate(-2.0) * Affine::scale_non_uniform(-1.0, 1.0),
    ] {
        let drawn = |name: &str, points: &[Point]| {
            piece(name, &points.iter().map(|p| motion * *p).collect::<Vec<_>>())
        };
        let more = [drawn("FLY", &fly), drawn("BAND", &band), drawn("POCKET", &pocket)];
        assert_eq!(told(&bytes, &more), ["FLY"]);
        let drawing = with(&bytes, &more);
        let nest = Nest::read("nest.dxf", drawing.as_bytes(), &Job::default()).unwrap();
        let table = SizeTable::from_csv("size,change,front_share\n38,1in,75%\n", "t.csv").unwrap();
        let altered = nest.alter(&table, &Settings { uneven: Uneven::Waist, ..nest.settings() });
        let found = altered.report().all_findings().filter(|f| f.id == FindingId::PieceToFollow);
        let found: Vec<&str> = found.filter_map(|f| f.piece.as_deref()).collect();
        assert_eq!(found, ["FLY", "BAND"]);
    }
}

/// A fly shield down the centre front and into the curve, with a straight top of its own, 8 mm higher at the inner end than the waist. It
/// would fit as well further down; hung from the waist it is too short by as much as the seam grew.
#[test]
fn a_shield_with_a_top_edge_of_its_own_is_told_of() {
    let bytes = fs::read(root().join("samples/harbour-nest.dxf")).unwrap();
    let leg = size_38(&bytes)[0].clone();
    let height = |p: &Point| (*p - leg.fork_point()).dot(leg.up);
    let shield = |least: f64| {
        let along = leg.ring[..leg.fork].iter().copied().filter(|p| height(p) > least);
        let along: Vec<Point> = along.collect();
        let ends = [along[along.len() - 1] - leg.out * 20.0, leg.ring[0] - leg.out * 39.0 + leg.up * 8.0];
        [along, ends.to_vec()].concat()
    };
    for motion in [
        Affine::translate((900.0, -300.0)) * Affine::rotate(0.7),
        Affine::translate((-700.0, 90.0)) * Affine::rotate(-2.0) * Affine::scale_non_uniform(-1.0, 1.0),
    ] {
        let drawn = |points: &[Point]| piece("FLY", &points.iter().map(|p| motion * *p).collect::<Vec<_>>());
        assert_eq!(told(&bytes, &[drawn(&shield(42.0))]), ["FLY"]);
        // Down the straight alone it fits anything with a straight edge.
        assert_eq!(told(&bytes, &[drawn(&shield(110.0))]), Vec::<String>::new());
    }
}

fn sharp(line: &[Point], i: usize) -> f64 {
    let (Some(a), Some(b)) = (line.get(i.wrapping_sub(1)), line.get(i + 1)) else { return 0.0 };
    let (u, v) = (line[i] - *a, *b - line[i]);
    u.cross(v).atan2(u.dot(v)).abs()
}

#[test]
fn pieces_that_hang_on_nothing_redrawn_are_not_told_of() {
    let bytes = fs::read(root().join("samples/harbour-nest.dxf")).unwrap();
    // The sample's own pocket, waistband and fly piece.
    assert_eq!(told(&bytes, &[]), Vec::<String>::new());
    // A curved waistband, a pocket bag of two ellipses, and a circle.
    let arc =
        |radius: f64| move |k: i32| Point::new(700.0, 0.0) + Vec2::from_angle(f64::from(k) * 0.02) * radius;
    let waistband: Vec<Point> = (0..50).map(arc(400.0)).chain((0..50).rev().map(arc(440.0))).collect();
    let bag: Vec<Point> = (0..80)
        .map(|k| {
            let (sin, cos) = (f64::from(k) * 0.078_54).sin_cos();
            Point::new(1700.0 + 80.0 * cos, if sin > 0.0 { 130.0 } else { 45.0 } * sin)
        })
        .collect();
    let circle: Vec<Point> =
        (0..60).map(|k| Point::new(1200.0, 0.0) + Vec2::from_angle(f64::from(k) * 0.104_72) * 70.0).collect();
    let others = [piece("BAND", &waistband), piece("BAG", &bag), piece("ROUND", &circle)];
    assert_eq!(told(&bytes, &others), Vec::<String>::new());
}

/// The sample with pieces more, altered in size 38 and the pieces redrawn with it; and what is said of them.
fn followed(bytes: &[u8], more: &[String], change: &str) -> (Vec<u8>, Vec<(Severity, String)>) {
    let drawing = with(bytes, more);
    let job = Job::default();
    let nest = Nest::read("nest.dxf", drawing.as_bytes(), &job).unwrap();
    let table = SizeTable::from_csv(&format!("size,change\n38,{change}\n"), "t.csv").unwrap();
    let altered = nest.alter(&table, &Settings { follow: true, ..nest.settings() });
    let found = altered.report().all_findings().filter(|f| f.id == FindingId::PieceToFollow);
    let found = found.map(|f| (f.severity, f.message.clone())).collect();
    (altered.drawing().map(crate::NewDrawing::to_vec).unwrap_or_default(), found)
}

/// The boundary of a piece that was added to the sample.
fn boundary(bytes: &[u8], name: &str) -> Vec<Point> {
    let drawing = Drawing::scan(bytes).unwrap();
    let pattern = pattern::read(&drawing, &Reading::default()).unwrap();
    let piece = pattern.pieces.iter().find(|p| p.name == name).unwrap();
    piece.outline(pattern::LayerUse::Cut).unwrap().points.to_vec()
}

/// How far a point is from a run of points.
fn from(line: &[Point], p: Point) -> f64 {
    let on = |w: &[Point]| {
        let (d, v) = (w[1] - w[0], p - w[0]);
        (v - d * (v.dot(d) / d.hypot2()).clamp(0.0, 1.0)).hypot()
    };
    line.windows(2).map(on).fold(f64::INFINITY, f64::min)
}

/// Common practice, no source: a lining that is the leg once more is the altered leg once more.
#[test]
fn a_lining_follows_its_leg_and_keeps_what_its_leg_keeps() {
    let bytes = fs::read(root().join("samples/harbour-nest.dxf")).unwrap();
    for (which, change) in [(0, "2in"), (1, "2in"), (1, "-1in")] {
        let leg = &whole(&bytes)[which];
        for motion in [
            Affine::translate((1500.0, 0.0)),
            Affine::translate((-900.0, 400.0)) * Affine::rotate(1.0) * Affine::scale_non_uniform(-1.0, 1.0),
        ] {
            let lining: Vec<Point> = leg.iter().map(|p| motion * *p).collect();
            let (new, found) = followed(&bytes, &[piece("LINING", &lining)], change);
            assert_eq!(
                found.iter().map(|f| f.0).collect::<Vec<_>>(),
                [Severity::Note],
                "{which} {change} {found:?}"
            );
            let (drawn, line) = (boundary(&new, "LINING"), &whole(&new)[which]);
            let closed: Vec<Point> = line.iter().chain(&line[..1]).map(|p| motion * *p).collect();
            // Coordinates have four decimals; a vertex that only one of the two has lies within what the line is true to.
            let off = drawn.iter().map(|p| from(&closed, *p)).fold(0.0, f64::max);
            assert!(off < 0.05, "{off} mm off, {which} {change}");
            let moved =
                lining.iter().map(|p| from(&[&drawn[..], &drawn[..1]].concat(), *p)).fold(0.0, f64::max);
            assert!(moved > 5.0, "{moved}");
        }
    }
}

#[test]
fn a_facing_follows_with_its_width() {
    let bytes = fs::read(root().join("samples/harbour-nest.dxf")).unwrap();
    let [_, back] = legs(&bytes);
    let fork = (1..back.len()).max_by(|&a, &b| sharp(&back, a).total_cmp(&sharp(&back, b))).unwrap();
    let motion = Affine::translate((-400.0, 800.0)) * Affine::rotate(2.2);
    let shield = facing(&from_the_straight(&back), 1, fork + 2, motion);
    let count = fork;
    let (new, found) = followed(&bytes, &[piece("SHIELD", &shield)], "1.5in");
    assert_eq!(found[0].0, Severity::Note, "{found:?}");
    let [_, altered] = legs(&new);
    let altered: Vec<Point> = altered.iter().map(|p| motion * *p).collect();
    let drawn = boundary(&new, "SHIELD");
    let edge: Vec<f64> = drawn.iter().map(|p| from(&altered, *p)).collect();
    assert!(edge.iter().filter(|d| **d < 0.05).count() >= count, "{edge:?}");
    // Its outer edge is as far from the seam as it was drawn.
    let outer = edge.iter().filter(|d| **d > 10.0);
    assert!(outer.clone().count() >= count && outer.clone().all(|d| (d - 35.0).abs() < 0.6), "{edge:?}");
}

/// On legs of few vertices whose fork is carried across by the remedy, the lines bend by more from vertex to vertex than they did, and
/// many vertices are added. What followed such a leg still went along with it.
#[test]
fn what_followed_a_leg_of_few_vertices_is_known_again() {
    let bytes = fs::read(root().join("samples/shapes/few-vertices.dxf")).unwrap();
    let [front, _] = legs(&bytes);
    let fork = (1..front.len()).max_by(|&a, &b| sharp(&front, a).total_cmp(&sharp(&front, b))).unwrap();
    let sew = facing(&from_the_straight(&front), 1, fork + 3, Affine::translate((600.0, 0.0)));
    let allowances = vec![10.0; sew.len()];
    let cut = offset::outside(&sew, &allowances, &offset::carrying(&sew, &allowances));
    let cut: Vec<Point> = cut.into_iter().flatten().collect();
    let [outer, inner] = [&cut, &sew].map(|line| piece("FLY SHIELD", line));
    let line = &inner[inner.find("0\nPOLYLINE").unwrap()..inner.find("0\nTEXT").unwrap()];
    let both = line.replace("\n8\n1\n", "\n8\n14\n") + "0\nTEXT";
    let text = with(&bytes, &[outer.replacen("0\nTEXT", &both, 1)]);
    let job = Job::default();
    let nest = Nest::read("nest.dxf", text.as_bytes(), &job).unwrap();
    let table = SizeTable::from_csv("size,change,front_share\n38,-19mm,70%\n", "t.csv").unwrap();
    let altered = nest.alter(&table, &Settings { follow: true, uneven: Uneven::Fork, ..nest.settings() });
    let new = altered.drawing().unwrap().to_vec();
    let now = Nest::read("new.dxf", &new, &job).unwrap();
    let found = now.check_against(&nest, By::Drawn);
    let of_shield = |id| {
        found.report().findings.iter().filter(move |f| f.id == id && f.piece.as_deref() == Some("FLY SHIELD"))
    };
    assert_eq!(of_shield(FindingId::ChangedElsewhere).count(), 0, "{:?}", found.report().findings);
    assert_eq!(of_shield(FindingId::Changed).count(), 1);
}

#[test]
fn a_piece_of_every_size_cannot_follow_and_stops_the_size() {
    let bytes = fs::read(root().join("samples/harbour-nest.dxf")).unwrap();
    let leg = whole(&bytes)[1].iter().map(|p| Affine::translate((1500.0, 0.0)) * *p).collect::<Vec<_>>();
    let every_size = piece("LINING", &leg).replace("1\nSize: 38\n", "1\nCut one\n");
    let (new, found) = followed(&bytes, &[every_size], "1in");
    assert!(new.is_empty(), "{found:?}");
    assert_eq!(found[0].0, Severity::Error);
    assert!(found[0].1.contains("every size is cut by it"), "{}", found[0].1);
}

/// A lining that is the leg's block once more, with both lines, notches and grade points, becomes the altered leg's block: by the
/// common practice of laying it on the leg (no source).
#[test]
fn a_lining_follows_with_its_cut_line_and_its_notches() {
    let bytes = fs::read(root().join("samples/harbour-nest.dxf")).unwrap();
    let block = |bytes: &[u8], name: &str| {
        let text = String::from_utf8(bytes.to_vec()).unwrap();
        let at = text.find(name).unwrap();
        let (from, to) = (text[..at].rfind("BLOCK").unwrap(), at + text[at..].find("ENDBLK").unwrap());
        text[from..to].to_owned()
    };
    let leg = block(&bytes, "BACK-38");
    let lining = leg.replace("BACK-38", "LINING-38").replace(": BACK", ": LINING");
    assert!(lining.matches("LINING").count() >= 2, "{lining}");
    let (new, found) = followed(&bytes, &[format!("  0\n{lining}ENDBLK\n  8\n1\n")], "2in");
    assert_eq!(found.iter().map(|f| f.0).collect::<Vec<_>>(), [Severity::Note], "{found:?}");
    let (leg, lining) = (block(&new, "BACK-38"), block(&new, "LINING-38"));
    assert_eq!(leg.lines().count(), lining.lines().count());
    let mut off = 0.0_f64;
    for (was, is) in leg.lines().zip(lining.lines()) {
        if let (Ok(was), Ok(is)) = (was.trim().parse::<f64>(), is.trim().parse::<f64>()) {
            off = off.max((was - is).abs());
        }
    }
    assert!(off < 0.05, "{off} mm");
}

/// How long the edge ran and runs is in the report, as the lines say that are drawn.
#[test]
fn the_report_says_how_long_the_edge_of_what_followed_was_and_is() {
    let bytes = fs::read(root().join("samples/harbour-nest.dxf")).unwrap();
    let [_, back] = legs(&bytes);
    let fork = (1..back.len()).max_by(|&a, &b| sharp(&back, a).total_cmp(&sharp(&back, b))).unwrap();
    let motion = Affine::translate((-400.0, 800.0)) * Affine::rotate(2.2);
    let shield = facing(&from_the_straight(&back), 1, fork + 2, motion);
    let drawing = with(&bytes, &[piece("SHIELD", &shield)]);
    let job = Job::default();
    let nest = Nest::read("nest.dxf", drawing.as_bytes(), &job).unwrap();
    let table = SizeTable::from_csv("size,change\n38,1.5in\n", "t.csv").unwrap();
    let altered = nest.alter(&table, &Settings { follow: true, ..nest.settings() });
    let report: serde_json::Value = serde_json::to_value(altered.report()).unwrap();
    let size = report["sizes"].as_array().unwrap().iter().find(|s| s["size"] == "38").unwrap();
    let followed = &size["followed"][0];
    assert_eq!((&followed["piece"], &followed["along"]), (&"SHIELD".into(), &"BACK-38".into()));
    let length = |points: &[Point]| points.windows(2).map(|w| (w[1] - w[0]).hypot()).sum::<f64>();
    let new = altered.drawing().unwrap().to_vec();
    let seam: Vec<Point> = legs(&new)[1].iter().map(|p| motion * *p).collect();
    let drawn = boundary(&new, "SHIELD");
    let on: Vec<Point> = drawn.into_iter().filter(|p| from(&seam, *p) < 0.05).collect();
    for (key, wanted) in [("edge_before_mm", length(&shield[..=fork + 1])), ("edge_after_mm", length(&on))] {
        let said = followed[key].as_f64().unwrap();
        assert!((said - wanted).abs() < 0.2, "{key} {said} in place of {wanted}");
    }
}

/// A piece with an edge on the front and another on the back cannot follow both.
#[test]
fn a_piece_that_hangs_on_front_and_back_stops_the_size() {
    let bytes = fs::read(root().join("samples/harbour-nest.dxf")).unwrap();
    let [front, back] = legs(&bytes);
    let end =
        |leg: &[Point]| (1..leg.len()).max_by(|&a, &b| sharp(leg, a).total_cmp(&sharp(leg, b))).unwrap();
    let upright = |leg: &[Point], to: Point, mirrored: bool| -> Vec<Point> {
        let run = &from_the_straight(leg)[..end(leg) + 5];
        let way = run[run.len() - 1] - run[0];
        let turn =
            Affine::rotate(std::f64::consts::FRAC_PI_2 - way.atan2()) * Affine::translate(-run[0].to_vec2());
        let flip = if mirrored { Affine::scale_non_uniform(-1.0, 1.0) } else { Affine::IDENTITY };
        run.iter().map(|p| Affine::translate(to.to_vec2()) * flip * turn * *p).collect()
    };
    let side = |leg: &[Point]| {
        let run = upright(leg, Point::ORIGIN, false);
        run[run.len() / 2].x > 0.0
    };
    // Both hollow inwards, so far apart that they do not cross.
    let left = upright(&front, Point::new(0.0, 0.0), !side(&front));
    let right = upright(&back, Point::new(900.0, 0.0), side(&back));
    let both: Vec<Point> = left.into_iter().chain(right.into_iter().rev()).collect();
    let (new, found) = followed(&bytes, &[piece("BOTH", &both)], "1.5in");
    assert!(new.is_empty(), "it is written all the same");
    assert_eq!(found[0].0, Severity::Error, "{found:?}");
    assert!(found[0].1.contains("another edge of it ran along"), "{found:?}");
}

/// What comparing with the original says of a piece of this name.
fn compared(new: &[u8], old: &str, name: &str) -> Vec<(FindingId, Severity)> {
    let job = Job::default();
    let [new, old] = [new, old.as_bytes()].map(|bytes| Nest::read("nest.dxf", bytes, &job).unwrap());
    let report = new.check_against(&old, crate::check::By::Drawn);
    let of = report.report().findings.iter().filter(|f| f.piece.as_deref() == Some(name));
    let found = of
        .map(|f| (f.id, f.severity))
        .filter(|f| [FindingId::Changed, FindingId::ChangedElsewhere].contains(&f.0));
    found.collect()
}

/// A drawing in which the `k`th vertex of a piece is moved across its line by so many mm.
fn shifted(bytes: &[u8], name: &str, k: usize, by: f64) -> Vec<u8> {
    let line = boundary(bytes, name);
    let n = line.len();
    let way = (line[(k + 1) % n] - line[(k + n - 1) % n]).normalize();
    let new = line[k] + Vec2::new(-way.y, way.x) * by;
    let text = String::from_utf8(bytes.to_vec()).unwrap();
    let from = text.find(&format!("{name}-38")).unwrap();
    let at = text[from..].match_indices("VERTEX").nth(k).unwrap().0 + from;
    let x = at + text[at..].find("\n10\n").unwrap() + 4;
    let lines: Vec<&str> = text[x..].splitn(4, '\n').collect();
    format!("{}{:.4}\n{}\n{:.4}\n{}", &text[..x], new.x, lines[1], new.y, lines[3]).into_bytes()
}

/// What followed its leg is a change on the seams; a vertex of it that did not, wherever it is, and a piece that followed another
/// alteration of its leg, are changed elsewhere. What a piece that lies on its leg does is common practice, no source.
#[test]
fn what_followed_its_leg_is_no_change_elsewhere_and_what_did_not_is() {
    let bytes = fs::read(root().join("samples/harbour-nest.dxf")).unwrap();
    let right = [(FindingId::Changed, Severity::Note)];
    let wrong = (FindingId::ChangedElsewhere, Severity::Error);
    let motion =
        Affine::translate((-900.0, 400.0)) * Affine::rotate(1.0) * Affine::scale_non_uniform(-1.0, 1.0);
    let lining: Vec<Point> = whole(&bytes)[1].iter().map(|p| motion * *p).collect();
    let [_, back] = legs(&bytes);
    let fork = (1..back.len()).max_by(|&a, &b| sharp(&back, a).total_cmp(&sharp(&back, b))).unwrap();
    let shield = facing(&from_the_straight(&back), 1, fork + 2, motion);
    for (name, line) in [("LINING", lining), ("SHIELD", shield)] {
        let more = [piece(name, &line)];
        let old = with(&bytes, &more);
        let (new, _) = followed(&bytes, &more, "2in");
        assert_eq!(compared(&new, &old, name), right, "{name}");
        let count = boundary(&new, name).len();
        for k in (0..count).step_by(count / 8) {
            let found = compared(&shifted(&new, name, k, 1.0), &old, name);
            assert!(found.contains(&wrong), "{name} {k} of {count}");
        }
        // As it followed another alteration, beside the leg of this one.
        let (other, _) = followed(&bytes, &more, "1in");
        let block = |bytes: &[u8]| {
            let text = String::from_utf8(bytes.to_vec()).unwrap();
            let from = text.find(&format!("{name}-38")).unwrap();
            text[from..from + text[from..].find("ENDBLK").unwrap()].to_owned()
        };
        let mixed = String::from_utf8(new.clone()).unwrap().replace(&block(&new), &block(&other));
        assert_eq!(compared(mixed.as_bytes(), &old, name), [wrong], "{name}");
    }
}

/// A facing that lies on the curve in size 38 and, drawn straight, on nothing in size 40: the latter is told of where its leg was
/// altered by as much.
#[test]
fn a_piece_that_is_told_of_in_one_size_is_not_forgotten_in_another() {
    let bytes = fs::read(root().join("samples/harbour-nest.dxf")).unwrap();
    let [_, back] = legs(&bytes);
    let fork = (1..back.len()).max_by(|&a, &b| sharp(&back, a).total_cmp(&sharp(&back, b))).unwrap();
    let lies =
        piece("FACING", &facing(&from_the_straight(&back), 1, fork + 2, Affine::translate((900.0, -300.0))));
    let straight = [(0.0, 0.0), (200.0, 0.0), (200.0, 40.0), (0.0, 40.0)].map(Point::from);
    let does_not =
        piece("FACING", &straight).replace("Size: 38", "Size: 40").replace("FACING-38", "FACING-40");
    let drawing = with(&bytes, &[lies, does_not]);
    let told_in = |change: &str| -> Vec<String> {
        let job = Job::default();
        let nest = Nest::read("nest.dxf", drawing.as_bytes(), &job).unwrap();
        let table = SizeTable::from_csv(&format!("size,change\n38,1in\n40,{change}\n"), "t.csv").unwrap();
        let altered = nest.alter(&table, &nest.settings());
        let found = altered.report().all_findings().filter(|f| f.id == FindingId::PieceToFollow);
        found.map(|f| f.size.clone().unwrap()).collect()
    };
    assert_eq!(told_in("1in"), ["38", "40"]);
    assert_eq!(told_in("0.5in"), ["38"]);
}
