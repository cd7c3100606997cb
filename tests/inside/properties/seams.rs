//! How seams are told: allowances of each seam, texts beside a seam, seams drawn again on layers of their own.

use super::dialect::{Form, PLAIN, dialects};
use super::draft::{self, trousers};
use super::{Case, cases};
use crate::finding::FindingId;
use crate::job::Job;
use crate::seam::Pair;
use crate::seam::{How, Measures};
use kurbo::{Point, Vec2};
use proptest::prelude::*;

/// A hundred vertices rounded to six decimals.
const ROUNDED: f64 = 0.002;

/// The plain drawing of a pair of trousers with these entities in the front's block, what they say being in mm.
fn marked(trousers: &draft::Trousers, entities: &str) -> Case {
    let mut case = Case::new(&PLAIN, &[("38", trousers)]);
    let text = String::from_utf8(case.bytes).unwrap();
    case.bytes = text.replacen("  0\nENDBLK", &format!("{entities}  0\nENDBLK"), 1).into_bytes();
    case
}

pub fn label(text: &str, at: Point) -> String {
    format!("  0\nTEXT\n  8\n15\n 10\n{:.6}\n 20\n{:.6}\n 40\n5.0\n  1\n{text}\n", at.x, at.y)
}

pub fn line(layer: &str, points: &[Point]) -> String {
    let vertices =
        points.iter().map(|p| format!("  0\nVERTEX\n  8\n{layer}\n 10\n{:.6}\n 20\n{:.6}\n", p.x, p.y));
    let vertices: String = vertices.collect();
    format!("  0\nPOLYLINE\n  8\n{layer}\n 66\n1\n 70\n0\n{vertices}  0\nSEQEND\n")
}

/// The measures of size 38, else what is wrong with it.
pub fn measured(case: &Case) -> Result<Measures, String> {
    case.with(|_, sizes| {
        if let Some(Pair { front, back }) = sizes[0].pair() {
            return Ok(Measures::of(Pair { front, back }));
        }
        let ambiguous = sizes[0].findings.iter().find(|f| f.id == FindingId::SeamAmbiguous);
        Err(ambiguous.map_or_else(|| format!("{:?}", sizes[0].findings), |f| f.message.clone()))
    })
}

pub fn sample() -> draft::Trousers {
    let leg = draft::Leg {
        extension: 50.0,
        lean: 2.0,
        straight: 150.0,
        begin: 90.0,
        knee: 320.0,
        shin: 330.0,
        hollow: 4.0,
        hem: 200.0,
        waist: 210.0,
    };
    draft::Trousers {
        front: leg.clone(),
        back: draft::Leg { extension: 88.0, lean: 5.0, waist: 220.0, ..leg },
    }
}

proptest! {
    #![proptest_config(cases())]

    /// A cut line drawn with an allowance of its own for each seam measures as the sew line it was drawn around.
    #[test]
    fn a_cut_line_less_each_seams_own_allowance_is_the_sew_line(
        trousers in trousers(),
        dialect in dialects(&[Form::CutOnly]),
        // Unlike, but by so little that no edge at a corner turns round.
        own in prop::collection::vec(9.0..14.0f64, 5),
        change in prop_oneof![-20.0..-2.0f64, 2.0..30.0],
    ) {
        let whole: Vec<f64> = own.iter().map(|a| a.round()).collect();
        let plain = measured(&Case::new(&PLAIN, &[("38", &trousers)])).unwrap();
        let cut = |leg: &draft::Leg| {
            let (line, c) = leg.line();
            let of = |i: usize| match i {
                i if i < c.fork => whole[0],
                i if i < c.hem_in => whole[1],
                i if i < c.hem_out => whole[2],
                i if i < c.side => whole[3],
                _ => whole[4],
            };
            draft::outside_each(&line, of)
        };
        let job = format!(
            "unit = \"mm\"\n[allowance]\ncrotch = {}\ninseam = {}\nhem = {}\noutseam = {}\nwaist = {}\n",
            whole[0], whole[1], whole[2], whole[3], whole[4]
        );
        let case = Case {
            bytes: dialect.draw_lines(&[("38", &trousers)], |leg| Some(cut(leg))),
            job: Job::from_toml(&job, "job").unwrap(),
        };
        let here = measured(&case).unwrap();
        for (a, b) in [(&plain.front, &here.front), (&plain.back, &here.back)] {
            let pairs = [(a.rise, b.rise), (a.inseam, b.inseam), (a.outseam.unwrap(), b.outseam.unwrap()), (a.waist, b.waist), (a.hem, b.hem)];
            for (i, (a, b)) in pairs.into_iter().enumerate() {
                prop_assert!((a.0 - b.0).abs() <= ROUNDED, "seam {i} measures {b} in place of {a}: {whole:?} {dialect:?}");
            }
        }
        let (_, written) = case.altered(&format!("size,change\n38,{change}\n"), |_| {});
        let gained = measured(&written).unwrap().crotch_length.0 - plain.crotch_length.0;
        prop_assert!((gained - change).abs() <= 0.05, "gained {gained} in place of {change}");
    }
}

proptest! {
    #![proptest_config(cases())]

    /// A fly cut on beside the centre front: the rise is measured along the centre front line, which runs on straight to the
    /// waist (common practice, no source), so it is the rise without the fly; and so it is after an alteration.
    #[test]
    fn a_fly_cut_on_changes_no_rise(
        trousers in trousers(),
        dialect in dialects(&[Form::CutOnly]),
        width in 25.0..60.0f64,
        foot in 0.45..0.8f64,
        allowance in prop::sample::select(vec![0.0, 10.0]),
        change in prop_oneof![-16.0..-2.0f64, 2.0..24.0],
    ) {
        let plain = measured(&Case::new(&PLAIN, &[("38", &trousers)])).unwrap();
        let with_fly = |leg: &draft::Leg| {
            let (mut points, _) = leg.line();
            if leg.lean == trousers.front.lean {
                // Out from the waist, down beside the straight centre front, and back to it.
                let (waist, down) = (points[0], leg.down());
                let out = Vec2::new(-down.y, down.x) * width;
                let way = down * (foot * leg.straight);
                let kept: Vec<Point> = points.split_off(4);
                points = vec![waist, waist + out, waist + out + way, waist + way];
                points.extend(kept);
            }
            draft::outside_each(&points, |_| allowance)
        };
        let case = Case {
            bytes: dialect.draw_lines(&[("38", &trousers)], |leg| Some(with_fly(leg))),
            job: Job::from_toml(&format!("[allowance]\nall = \"{allowance} mm\"\n"), "job").unwrap(),
        };
        let here = measured(&case).unwrap();
        for (is, was) in [(here.front.rise, plain.front.rise), (here.back.rise, plain.back.rise), (here.front.inseam, plain.front.inseam), (here.front.waist, plain.front.waist)] {
            prop_assert!((is.0 - was.0).abs() <= 10.0 * ROUNDED, "{is} in place of {was}");
        }
        let (_, written) = case.altered(&format!("size,change\n38,{change}\n"), |_| {});
        let after = measured(&written).unwrap();
        for (is, was) in [(after.front.rise, plain.front.rise), (after.back.rise, plain.back.rise)] {
            prop_assert!((is.0 - was.0 - change / 2.0).abs() <= 0.025, "{is} after {was}, asked for {change} in all");
        }
    }
}

/// A text names the seam it stands at, up to two lines of lettering away from it (60 mm: common practice, no source).
#[test]
fn a_label_names_the_seam_it_stands_at() {
    let trousers = sample();
    let (points, c) = trousers.front.line();
    let beside = |i: usize, off: f64| {
        let d = (points[i + 1] - points[i]).normalize();
        points[i].midpoint(points[i + 1]) + Vec2::new(d.y, -d.x) * off
    };
    for off in [5.0, -20.0, 55.0] {
        let found = measured(&marked(&trousers, &label("crotch", beside(1, off)))).unwrap().front.found;
        assert!(found.crotch == How::Label && found.inseam == How::Shape, "{off}");
        let found =
            measured(&marked(&trousers, &label("Inside Leg", beside(c.fork + 12, off)))).unwrap().front.found;
        assert!(found.inseam == How::Label && found.crotch == How::Shape, "{off}");
    }
    for (text, at) in [
        ("CROTCH", beside(1, -70.0)),
        ("INSEAM", beside(c.knee, 70.0)),
        ("INSEAM", beside(c.hem_out, 10.0)),
        ("INSEAM", Point::new(900.0, -300.0)),
    ] {
        let refused = measured(&marked(&trousers, &label(text, at)));
        let stands = if text == "CROTCH" {
            "stands at no edge"
        } else {
            "does not stand at the edge from fork to hem"
        };
        assert!(refused.as_ref().is_err_and(|m| m.contains(stands)), "{text} at {at}: {refused:?}");
    }
    assert!(
        measured(&marked(&trousers, &label("POCKET MOUTH", beside(1, 5.0)))).unwrap().front.found.crotch
            == How::Shape
    );
}

/// A seam drawn again on a layer of its own ends on vertices of the sew line (half a millimetre: rounding of other programs).
#[test]
fn a_seam_on_its_layer_ends_on_vertices() {
    let trousers = sample();
    let (points, c) = trousers.front.line();
    let (crotch, inseam) = (&points[..=c.fork], &points[c.fork..=c.hem_in]);
    let plain = measured(&Case::new(&PLAIN, &[("38", &trousers)])).unwrap().front;
    let moved = |seam: &[Point], last: bool, by: f64| {
        let mut seam = seam.to_vec();
        let i = if last { seam.len() - 1 } else { 0 };
        seam[i].x += by;
        seam
    };
    let turned = |mut seam: Vec<Point>| {
        seam.reverse();
        seam
    };
    for seam in
        [crotch.to_vec(), turned(crotch.to_vec()), moved(crotch, true, 0.4), moved(crotch, false, -0.4)]
    {
        let front = measured(&marked(&trousers, &line("CROTCH", &seam))).unwrap().front;
        assert!(front.found.crotch == How::Layer && front.found.inseam == How::Shape);
        assert_eq!(front.rise, plain.rise);
    }
    // A seam that the shape would not take: it begins at the second vertex of the centre seam.
    let quarter = trousers.front.straight / 4.0;
    for seam in [crotch[1..].to_vec(), turned(crotch[1..].to_vec())] {
        let shorter = measured(&marked(&trousers, &line("CROTCH", &seam))).unwrap().front;
        assert!(
            (shorter.rise.0 - (plain.rise.0 - quarter)).abs() < 1e-5 && shorter.found.crotch == How::Layer
        );
    }
    for seam in [moved(crotch, false, 0.7), moved(crotch, true, 0.7), turned(moved(crotch, false, 0.7))] {
        let refused = measured(&marked(&trousers, &line("CROTCH", &seam)));
        let says = "ends 0.7 mm from the nearest vertex of the sew line";
        assert!(refused.as_ref().is_err_and(|m| m.contains(says)), "{refused:?}");
    }
    for seam in [inseam.to_vec(), turned(inseam.to_vec()), moved(inseam, true, -0.4)] {
        let front = measured(&marked(&trousers, &line("INSEAM", &seam))).unwrap().front;
        assert!(front.found.inseam == How::Layer && front.inseam == plain.inseam);
    }
    for seam in [moved(inseam, true, -0.7), points[c.hem_out..=c.side].to_vec(), crotch.to_vec()] {
        let refused = measured(&marked(&trousers, &line("INSEAM", &seam)));
        assert!(refused.as_ref().is_err_and(|m| m.contains("between fork and hem")), "{refused:?}");
    }
}
