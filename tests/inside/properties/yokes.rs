//! The centre edge of a yoke counts in the rise of the leg it is sewn to (common practice, no source).

use super::Case;
use super::dialect::{Dialect, PLAIN};
use super::draft::{Trousers, outside_each};
use super::seams::{line, measured, sample};
use crate::job::Job;
use crate::seam::Measures;
use kurbo::{Affine, Point};

/// A yoke of four corners, clockwise from its lower end at the centre: centre edge, top, side edge, seam to the back.
fn strip(side: f64, centre: f64) -> Vec<Point> {
    [(0.0, 0.0), (-190.0, 10.0), (-190.0, 10.0 + side), (0.0, centre)].map(Point::from).to_vec()
}

/// The sample's trousers in which a yoke is drawn as well, on the layer of sew or cut lines.
fn with_yoke(name: &str, layer: &str, points: &[Point], more: &str, job: &str) -> Case {
    let trousers: Trousers = sample();
    let mut case = Case::new(&PLAIN, &[("38", &trousers)]);
    case.job = Job::from_toml(job, "job").unwrap();
    add_yoke(&mut case, (name, "38"), (layer, points), more);
    case
}

/// Draws a yoke of a size as well, and `more` in its block.
fn add_yoke(case: &mut Case, (name, size): (&str, &str), (layer, points): (&str, &[Point]), more: &str) {
    let closed: Vec<Point> = points.iter().chain(points.first()).copied().collect();
    let label = |text: &str| format!("  0\nTEXT\n  8\n1\n 10\n-90.0\n 20\n25.0\n 40\n5.0\n  1\n{text}\n");
    let grain = "  0\nLINE\n  8\n7\n 10\n-90.0\n 20\n15.0\n 11\n-90.0\n 21\n35.0\n";
    let block = format!(
        "  0\nBLOCK\n  8\n1\n  2\nYOKE-{size}\n 70\n0\n 10\n0.0\n 20\n0.0\n{}{}{grain}{}{more}  0\nENDBLK\n  8\n1\n  0\nENDSEC",
        label(&format!("Piece Name: {name}")),
        label(&format!("Size: {size}")),
        line(layer, &closed),
    );
    let text = std::str::from_utf8(&case.bytes).unwrap().replacen("  0\nENDSEC", &block, 1);
    case.bytes = text.into_bytes();
}

/// What a yoke adds to the rises of front and back, mm.
fn added(case: &Case) -> Result<[f64; 2], String> {
    let trousers = sample();
    let plain = measured(&Case::new(&Dialect { ..PLAIN }, &[("38", &trousers)])).unwrap();
    let here = measured(case)?;
    Ok([here.front.rise.0 - plain.front.rise.0, here.back.rise.0 - plain.back.rise.0])
}

fn adds(case: &Case, centre: f64) {
    let [front, back] = added(case).unwrap();
    assert!(
        front.abs() < 1e-6 && (back - centre).abs() < 1e-5,
        "adds {front} and {back}, drawn are {centre}"
    );
}

fn refused(case: &Case, why: &str) {
    let pair = case.with(|_, sizes| sizes[0].findings.iter().map(|f| f.message.clone()).collect::<Vec<_>>());
    assert!(pair.iter().any(|m| m.contains(why)), "no '{why}' in {pair:?}");
}

/// Every way of drawing the same closed line: from any corner, either way round, turned and turned over.
fn ways(points: &[Point]) -> Vec<Vec<Point>> {
    let mut all = Vec::new();
    for place in [Affine::IDENTITY, Affine::rotate(2.0), Affine::scale_non_uniform(-1.0, 1.0)] {
        for first in 0..points.len() {
            let mut line: Vec<Point> = points.iter().map(|p| place * *p).collect();
            line.rotate_left(first);
            all.push(line.clone());
            line.reverse();
            all.push(line);
        }
    }
    all
}

/// Yokes grow towards the centre back (common practice, no source).
#[test]
fn the_deeper_end_is_the_centre() {
    for points in ways(&strip(28.0, 60.0)) {
        adds(&with_yoke("BACK YOKE", "14", &points, "", ""), 60.0);
    }
    // By a name that says front, the front's.
    let [front, back] = added(&with_yoke("FRONT YOKE", "14", &strip(28.0, 60.0), "", "")).unwrap();
    assert!((front - 60.0).abs() < 1e-5 && back.abs() < 1e-6);
}

/// Less the allowances that it was cut with: centre and side edge those of the crotch seam.
#[test]
fn a_yoke_with_a_cut_line_only() {
    let sew = strip(28.0, 60.0);
    // Travelled clockwise: up the centre edge last.
    let own = |i: usize| if i % 2 == 1 { 12.0 } else { 9.0 };
    let cut = outside_each(&sew, own);
    let job = "[allowance]\nall = 9\ncrotch = 12\n";
    for points in ways(&cut) {
        adds(&with_yoke("BACK YOKE", "1", &points, "", job), 60.0);
    }
    // With 6 mm more along the top, which slopes by 22 in 190, the centre edge is longer by 6 mm over the slope's cosine.
    let longer = 6.0 * (1.0 + (22.0f64 / 190.0).powi(2)).sqrt();
    let top = outside_each(&sew, |i| [9.0, 12.0, 15.0, 12.0][i]);
    adds(
        &with_yoke("BACK YOKE", "1", &top, "", "[allowance]\nall = 9\ncrotch = 12\nwaist = 9\n"),
        60.0 + longer,
    );
    refused(&with_yoke("BACK YOKE", "1", &cut, "", ""), "the yoke has a cut line but no sew line");
    refused(
        &with_yoke("BACK YOKE", "1", &cut, "", "[allowance]\nall = 40\n"),
        "leave nothing inside the cut line",
    );
}

/// Both halves drawn in one: the middle is the centre.
#[test]
fn a_yoke_of_both_halves_has_its_centre_in_the_middle() {
    let whole = [(-190.0, 0.0), (-190.0, 28.0), (0.0, 60.0), (190.0, 28.0), (190.0, 0.0), (0.0, 0.0)]
        .map(Point::from);
    for points in ways(&whole) {
        adds(&with_yoke("YOKE BACK", "14", &points, "", ""), 60.0);
    }
    let straight = [(0.0, 0.0), (0.0, 40.0), (380.0, 40.5), (380.0, 0.0)].map(Point::from);
    // Halfway between two ends that differ by rounding.
    adds(&with_yoke("BACK YOKE", "14", &straight, "", ""), 40.25);
}

#[test]
fn a_mirror_line_or_a_text_says_which_end_it_is() {
    let points = strip(28.0, 60.0);
    for (x, centre) in [(0.0, 60.0), (-190.0, 28.0)] {
        let ends = [Point::new(x, 10.0), Point::new(x, 35.0)];
        adds(&with_yoke("BACK YOKE", "14", &points, &line("6", &ends), ""), centre);
        for off in [-8.0, 8.0, 25.0] {
            let text = super::seams::label("CROTCH", Point::new(x + off, 20.0));
            adds(&with_yoke("BACK YOKE", "14", &points, &text, ""), centre);
        }
    }
    // Two lines of lettering away is at neither end (30 mm: common practice, no source).
    let text = super::seams::label("CROTCH", Point::new(35.0, 20.0));
    refused(&with_yoke("BACK YOKE", "14", &points, &text, ""), "'CROTCH' stands at neither end");
}

#[test]
fn what_does_not_say_its_centre_is_refused() {
    refused(&with_yoke("BACK YOKE", "14", &strip(40.0, 42.5), "", ""), "its ends are 40.0 and 42.5 mm long");
    let five = [(0.0, 0.0), (-190.0, 10.0), (-190.0, 38.0), (-95.0, 130.0), (0.0, 60.0)].map(Point::from);
    refused(&with_yoke("BACK YOKE", "14", &five, "", ""), "it has 5 corners in place of four");
    refused(&with_yoke("BACK YOKE", "8", &strip(28.0, 60.0), "", ""), "it has no closed outline");
}

/// What the yokes of a nest add to the back rises, mm: these strips, one a size, each with its depths at side and centre.
fn nest_adds(strips: &[(f64, f64)]) -> Vec<Result<f64, String>> {
    let trousers = sample();
    let names = ["36", "38", "40", "42"];
    let sizes: Vec<(&str, &Trousers)> = names[..strips.len()].iter().map(|name| (*name, &trousers)).collect();
    let mut case = Case::new(&PLAIN, &sizes);
    let plain = measured(&case).unwrap().back.rise.0;
    for ((name, _), &(side, centre)) in sizes.iter().zip(strips) {
        add_yoke(&mut case, ("BACK YOKE", name), ("14", &strip(side, centre)), "");
    }
    let rise = |size: &crate::seam::Size<'_>| match size.pair() {
        Some(pair) => Ok(Measures::of(pair).back.rise.0 - plain),
        None => Err(size.findings.iter().map(|f| f.message.as_str()).collect::<Vec<_>>().join("; ")),
    };
    case.with(|_, sizes| sizes.iter().map(rise).collect())
}

/// A centre waist that was lowered in one size makes the side the deeper end, or both ends alike. A nest is graded from one piece,
/// which lies the same way in every size (common practice, no source).
#[test]
fn a_yoke_is_read_like_that_of_the_other_sizes() {
    let near = |found: &[Result<f64, String>], adds: &[f64]| {
        assert!(found.len() == adds.len(), "{found:?}");
        for (found, adds) in found.iter().zip(adds) {
            assert!(found.as_ref().is_ok_and(|found| (found - adds).abs() < 1e-5), "{found:?}, {adds} mm");
        }
    };
    near(&nest_adds(&[(44.0, 60.0), (46.0, 41.0), (48.0, 64.0), (49.0, 66.0)]), &[60.0, 41.0, 64.0, 66.0]);
    near(&nest_adds(&[(44.0, 60.0), (45.0, 43.0), (48.0, 64.0), (49.0, 66.0)]), &[60.0, 43.0, 64.0, 66.0]);
    // Of two sizes neither is known to be right.
    let found = nest_adds(&[(44.0, 60.0), (46.0, 41.0)]);
    let why = "its deeper end lies at one side in some sizes and at the other side in others";
    assert!(found.iter().all(|found| found.as_ref().is_err_and(|e| e.contains(why))), "{found:?}");
    let found = nest_adds(&[(44.0, 60.0), (45.0, 43.0)]);
    assert!(found[1].as_ref().is_err_and(|e| e.contains("its ends are 43.0 and 45.0 mm long")), "{found:?}");
    assert!(found[0].is_ok(), "{found:?}");
}
