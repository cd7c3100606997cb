//! Legs that are drawn as half, up to a mirror line. The pieces are a small back whose outer edge is straight, of which every length is
//! the sum of the chords that are drawn. That what is opened at its outer edge is front and back alike follows from the mirror.

use crate::finding::{Finding, FindingId, Severity};
use crate::inside::check::differs::{BACK, FRONT, block, drawing, entity, line};
use crate::inside::check::open;
use crate::inside::common::dxf::Xy;
use crate::job::Job;
use crate::seam::{self, Measures};
use crate::units::Mm;
use crate::{Nest, SizeTable};

/// Up to the inner corner of the hem, and up to the fork.
const TO_HEM: usize = 13;
const FORK: usize = 7;

/// The outer corner of the hem and the side of the waist.
const LOW: Xy = (455.0, 90.0);
const TOP: Xy = (455.0, 1085.0);

fn half() -> Vec<Xy> {
    BACK[..TO_HEM].iter().copied().chain([LOW, TOP]).collect()
}

fn from_to((ax, ay): Xy, (bx, by): Xy) -> String {
    entity("LINE", "6", &format!("10\n{ax}\n20\n{ay}\n11\n{bx}\n21\n{by}\n"))
}

fn piece(name: &str, points: &[Xy], more: &str) -> String {
    let grain = entity("LINE", "7", "10\n600.00\n20\n200.00\n11\n600.00\n21\n700.00\n");
    block(name, name, &(grain + &line("14", points, true) + more))
}

fn mirrored(name: &str) -> String {
    piece(name, &half(), &from_to(LOW, TOP))
}

/// The measures of a drawing of these pieces, and the errors that are found of it.
fn read(blocks: &[String]) -> (Option<Measures>, Vec<Finding>) {
    let text = drawing(blocks);
    let opened = open(&text);
    let sizes = seam::sizes(&opened.pattern, &Job::default().labels);
    let errors = sizes[0].findings.iter().filter(|f| f.severity == Severity::Error).cloned().collect();
    (sizes[0].pair().map(Measures::of), errors)
}

fn length(points: &[Xy]) -> f64 {
    points.windows(2).map(|w| (w[1].0 - w[0].0).hypot(w[1].1 - w[0].1)).sum()
}

#[test]
fn a_half_is_front_and_back_alike() {
    let (measures, errors) = read(&[mirrored("PYJAMA LEG")]);
    let measures = measures.unwrap_or_else(|| panic!("{errors:?}"));
    let near = |a: Mm, b: f64| assert!((a.0 - b).abs() < 1e-6, "{a} {b}");
    for leg in [&measures.front, &measures.back] {
        near(leg.rise, length(&BACK[..=FORK]));
        near(leg.inseam, length(&BACK[FORK..TO_HEM]));
        near(leg.waist, BACK[0].0 - TOP.0);
        near(leg.hem, BACK[TO_HEM - 1].0 - LOW.0);
        near(leg.thigh.unwrap(), BACK[FORK].0 - LOW.0);
        assert_eq!(leg.outseam, None);
    }
    near(measures.crotch_length, 2.0 * length(&BACK[..=FORK]));
    // A mirror line that is shorter than the edge, or drawn from the other end, says the same.
    let short = piece("LEG", &half(), &from_to((455.0, 900.0), (455.0, 200.0)));
    assert_eq!(read(&[short]).0.map(|m| m.crotch_length), Some(measures.crotch_length));
}

/// Only the crotch seam and the upper inseam of the half are redrawn; the mirror line keeps its bytes.
#[test]
fn a_half_stays_a_half() {
    let text = drawing(&[mirrored("PYJAMA LEG")]);
    let nest = Nest::read("half.dxf", text.as_bytes(), &Job::default()).unwrap();
    let altered = |change: &str| {
        let table =
            SizeTable::from_csv(&format!("size,change,front_share\n38,{change}\n"), "sizes.csv").unwrap();
        let altered = nest.alter(&table, &nest.settings());
        let new = altered.drawing().map(|new| String::from_utf8(new.to_vec()).unwrap());
        (new, altered.report().sizes[0].clone())
    };
    let (new, report) = altered("10 mm,50%");
    let new = new.unwrap_or_else(|| panic!("{:?}", report.findings));
    assert!(new.contains(&from_to(LOW, TOP)), "{new}");
    let after = report.after.unwrap();
    assert!((after.front.rise.0 - after.back.rise.0).abs() < 1e-9);
    assert!((after.crotch_length.0 - 2.0 * length(&BACK[..=FORK]) - 10.0).abs() < 0.05);
    // Its mirror image cannot change otherwise than it does.
    let (new, report) = altered("10 mm,40%");
    let half = report.findings.iter().find(|f| f.id == FindingId::HalfPiece).unwrap();
    assert!(new.is_none() && half.message.contains("4.00 mm at the front"), "{}", half.message);
}

/// A mirror line says that a piece is half of one; which legs there are then has to be certain.
#[test]
fn a_half_that_is_no_leg_by_itself_is_refused() {
    let says = |blocks: &[String], what: &str| {
        let (measures, errors) = read(blocks);
        let said = |f: &Finding| f.id == FindingId::HalfPiece && f.message.contains(what);
        assert!(measures.is_none() && errors.iter().any(said), "{errors:?}");
    };
    says(&[mirrored("FRONT"), mirrored("BACK")], "both drawn as half");
    says(&[mirrored("FRONT"), piece("BACK", &BACK, "")], "'BACK' is a leg of the size as well");
    // Called front alone, with no other leg beside it, it is both.
    assert!(read(&[mirrored("FRONT")]).0.is_some());
    // Across the piece, at the inseam, and two of them.
    says(
        &[piece("LEG", &half(), &from_to((455.0, 1040.0), (655.0, 1040.0)))],
        "none of its edges lies on it",
    );
    let straight: Vec<Xy> = [&BACK[..=FORK], &[BACK[12], LOW, TOP]].concat();
    says(&[piece("LEG", &straight, &from_to(BACK[FORK], BACK[12]))], "at the inseam seam");
    let two = from_to(LOW, TOP) + &from_to((500.0, 90.0), (700.0, 90.0));
    says(&[piece("LEG", &half(), &two)], "more than one mirror line");
}

/// Cut double, with the waist as the fold, front and back are legs like others, except that the waist is not raised.
#[test]
fn a_mirror_line_at_the_waist_is_a_fold() {
    let at_waist = |name: &str, points: &[Xy]| {
        let (centre, side) = (points[0], points[points.len() - 1]);
        piece(name, points, &from_to(centre, side))
    };
    let plain = read(&[piece("FRONT", &FRONT, ""), piece("BACK", &BACK, "")]).0.unwrap();
    let blocks = [at_waist("FRONT", &FRONT), at_waist("BACK", &BACK)];
    let double = read(&blocks).0.unwrap();
    assert_eq!((double.crotch_length, double.front.outseam), (plain.crotch_length, plain.front.outseam));
    let text = drawing(&blocks);
    let nest = Nest::read("double.dxf", text.as_bytes(), &Job::default()).unwrap();
    let table = SizeTable::from_csv("size,change,front_share\n38,10 mm,30%\n", "sizes.csv").unwrap();
    let mut settings = nest.settings();
    settings.uneven = crate::job::Uneven::Waist;
    let altered = nest.alter(&table, &settings);
    let found =
        altered.report().sizes[0].findings.iter().find(|f| f.id == FindingId::RemedyImpossible).cloned();
    assert!(found.is_some_and(|f| f.message.contains("turned in at a fold")));
}
