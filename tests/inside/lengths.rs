//! Lengths of drawn curves, as the reader flattens them, against closed forms.

use crate::geometry::line;
use crate::pattern::{LayerUse, Reading};
use crate::{dxf_text::Drawing, pattern};

/// A drawing with one piece whose internal line (layer 8) is this entity, in mm.
fn drawing(entity: &str) -> String {
    let cut = "0\nLWPOLYLINE\n8\n1\n90\n3\n70\n1\n10\n0\n20\n0\n10\n9\n20\n0\n10\n0\n20\n9\n";
    format!(
        "0\nSECTION\n2\nBLOCKS\n0\nBLOCK\n8\n0\n2\nPIECE\n{cut}{entity}0\nENDBLK\n8\n0\n0\nENDSEC\n0\nSECTION\n2\nENTITIES\n\
         0\nTEXT\n8\n1\n1\nUnits: METRIC\n0\nENDSEC\n0\nEOF\n"
    )
}

/// The length in mm of the one internal line.
fn length(entity: &str) -> f64 {
    let text = drawing(entity);
    let scanned = Drawing::scan(text.as_bytes()).unwrap();
    let pattern = pattern::read(&scanned, &Reading::default()).unwrap();
    let paths: Vec<_> = pattern.pieces[0].paths_of(LayerUse::Internal).collect();
    assert_eq!(paths.len(), 1);
    line::length(&paths[0].points)
}

/// A tenth of the 0.05 mm to which a crotch length has to be met.
const CLOSE: f64 = 0.005;

fn assert_close(measured: f64, expected: f64) {
    assert!((measured - expected).abs() < CLOSE, "{measured} in place of {expected}");
}

fn spline(degree: usize, knots: &[f64], controls: &[(f64, f64)], weights: &[f64]) -> String {
    let mut text =
        format!("0\nSPLINE\n8\n8\n70\n0\n71\n{degree}\n72\n{}\n73\n{}\n", knots.len(), controls.len());
    text.extend(knots.iter().map(|k| format!("40\n{k}\n")));
    text.extend(weights.iter().map(|w| format!("41\n{w}\n")));
    text.extend(controls.iter().map(|(x, y)| format!("10\n{x}\n20\n{y}\n30\n0.0\n")));
    text
}

/// A line of straight segments through these points.
fn polyline(points: impl Iterator<Item = (f64, f64)>) -> String {
    let vertices: String =
        points.map(|(x, y)| format!("0\nVERTEX\n8\n8\n10\n{x:.9}\n20\n{y:.9}\n")).collect();
    format!("0\nPOLYLINE\n8\n8\n66\n1\n70\n0\n{vertices}0\nSEQEND\n8\n8\n")
}

/// A quarter of an ellipse with half axes `a` ≥ `b`: a·E(k), the complete elliptic integral of the second kind by the
/// arithmetic-geometric mean (NIST Digital Library of Mathematical Functions, 19.8.6; the formula from memory).
fn ellipse_quarter(a: f64, b: f64) -> f64 {
    let k2 = 1.0 - (b / a).powi(2);
    let (mut x, mut y, mut sum, mut power) = (1.0, (1.0 - k2).sqrt(), k2, 1.0);
    while (x - y).abs() > 1e-15 {
        let half = f64::midpoint(x, -y);
        (x, y) = (f64::midpoint(x, y), (x * y).sqrt());
        power *= 2.0;
        sum += power * half * half;
    }
    let first_kind = std::f64::consts::FRAC_PI_2 / x;
    a * first_kind * (1.0 - sum / 2.0)
}

#[test]
fn quarter_circle_by_arc_bulge_and_rational_spline() {
    // Closed form: r π/2.
    let expected = 100.0 * std::f64::consts::FRAC_PI_2;
    assert_close(length("0\nARC\n8\n8\n10\n0.0\n20\n0.0\n40\n100.0\n50\n0.0\n51\n90.0\n"), expected);
    // The bulge is the tangent of a quarter of the angle swept (DXF reference, group code 42).
    let bulge = (std::f64::consts::FRAC_PI_8).tan();
    let light = format!(
        "0\nLWPOLYLINE\n8\n8\n90\n2\n70\n0\n10\n100.0\n20\n0.0\n42\n{bulge:.15}\n10\n0.0\n20\n100.0\n"
    );
    assert_close(length(&light), expected);
    let heavy = format!(
        "0\nPOLYLINE\n8\n8\n66\n1\n70\n0\n0\nVERTEX\n8\n8\n10\n100.0\n20\n0.0\n42\n-{bulge:.15}\n0\nVERTEX\n8\n8\n10\n0.0\n20\n100.0\n0\nSEQEND\n8\n8\n"
    );
    assert_close(length(&heavy), expected);
    // A circle is a rational quadratic with middle weight cos 45° (any text on NURBS).
    let weights = [1.0, 0.5f64.sqrt(), 1.0];
    let knots = [0.0, 0.0, 0.0, 1.0, 1.0, 1.0];
    assert_close(
        length(&spline(2, &knots, &[(100.0, 0.0), (100.0, 100.0), (0.0, 100.0)], &weights)),
        expected,
    );
}

#[test]
fn parabola_as_a_quadratic_spline() {
    // y = x²/(2p) from 0 to x: (p/2) (t √(1+t²) + asinh t) with t = x/p.
    let (p, x) = (60.0, 150.0);
    let t: f64 = x / p;
    let expected = p / 2.0 * (t * (1.0 + t * t).sqrt() + t.asinh());
    let controls = [(0.0, 0.0), (x / 2.0, 0.0), (x, x * x / (2.0 * p))];
    assert_close(length(&spline(2, &[0.0, 0.0, 0.0, 1.0, 1.0, 1.0], &controls, &[])), expected);
    // Raising the degree does not change the curve: inner control points two thirds of the way.
    let third = |a: (f64, f64), b: (f64, f64)| ((a.0 + 2.0 * b.0) / 3.0, (a.1 + 2.0 * b.1) / 3.0);
    let cubic = [controls[0], third(controls[0], controls[1]), third(controls[2], controls[1]), controls[2]];
    assert_close(length(&spline(3, &[0.0, 0.0, 0.0, 0.0, 1.0, 1.0, 1.0, 1.0], &cubic, &[])), expected);
}

#[test]
fn quarter_ellipse_against_the_elliptic_integral() {
    // About the size of a back's crotch curve.
    let (a, b) = (120.0, 70.0);
    let expected = ellipse_quarter(a, b);
    // The integral itself, against known values: a circle, and E at k² = 1/2, 1.35064388… (tables; from memory).
    assert!((ellipse_quarter(100.0, 100.0) - 100.0 * std::f64::consts::FRAC_PI_2).abs() < 1e-9);
    assert!((ellipse_quarter(100.0, 100.0 * 0.5f64.sqrt()) - 135.064_388_104_767_5).abs() < 1e-9);
    let weights = [1.0, 0.5f64.sqrt(), 1.0];
    let knots = [0.0, 0.0, 0.0, 1.0, 1.0, 1.0];
    assert_close(length(&spline(2, &knots, &[(a, 0.0), (a, b), (0.0, b)], &weights)), expected);
    // As vertices 0.2 mm apart; the chords of so short steps are shorter by less than a thousandth.
    let at = |i: u32| {
        let t = std::f64::consts::FRAC_PI_2 * f64::from(i) / 800.0;
        (a * t.cos(), b * t.sin())
    };
    assert_close(length(&polyline((0..=800).map(at))), expected);
}

#[test]
fn elliptic_integral_agrees_with_scipy() {
    const CODE: &str = "from scipy.special import ellipe\nfor a, b in ((120, 70), (90, 85), (150, 20)): print(a * ellipe(1 - (b / a) ** 2))";
    let Some(python) = crate::inside::common::python() else { return };
    let output = std::process::Command::new(python).args(["-c", CODE]).output().unwrap();
    assert!(output.status.success(), "{}", crate::inside::common::said(&output));
    let text = String::from_utf8_lossy(&output.stdout).into_owned();
    let values: Vec<f64> = text.lines().map(|l| l.trim().parse().unwrap()).collect();
    for (value, (a, b)) in values.iter().zip([(120.0, 70.0), (90.0, 85.0), (150.0, 20.0)]) {
        assert!((value - ellipse_quarter(a, b)).abs() < 1e-9, "{value} {}", ellipse_quarter(a, b));
    }
    assert_eq!(values.len(), 3);
}

#[test]
fn an_ellipse_seen_from_behind_runs_the_other_way() {
    // Its points are the drawing's own; the minor axis is normal × major (DXF reference, ELLIPSE, from memory), so that with the
    // normal pointing away a quarter from (100, 0) leads to (0, −50).
    for (normal, end) in [("", 50.0), ("210\n0\n220\n0\n230\n-1\n", -50.0)] {
        let quarter = std::f64::consts::FRAC_PI_2;
        let entity = format!(
            "0\nELLIPSE\n8\n8\n10\n0\n20\n0\n11\n100\n21\n0\n{normal}40\n0.5\n41\n0\n42\n{quarter}\n"
        );
        let text = drawing(&entity);
        let pattern = pattern::read(&Drawing::scan(text.as_bytes()).unwrap(), &Reading::default()).unwrap();
        let path = pattern.pieces[0].paths_of(LayerUse::Internal).next().unwrap();
        let last = path.points[path.points.len() - 1];
        assert!(last.x.abs() < 1e-9 && (last.y - end).abs() < 1e-9, "{last:?}");
    }
}

#[test]
fn arcs_that_may_be_all_or_nothing_are_refused_with_their_line() {
    for (entity, says) in [
        ("0\nARC\n8\n8\n10\n5\n20\n5\n40\n4\n50\n90\n51\n89.9999999999\n", "all the way round or nothing"),
        ("0\nARC\n8\n8\n10\n5\n20\n5\n40\n-4\n50\n0\n51\n90\n", "no radius"),
        ("0\nARC\n8\n8\n10\n5\n20\n5\n50\n0\n51\n90\n", "no radius"),
    ] {
        let text = drawing(entity);
        let error = pattern::read(&Drawing::scan(text.as_bytes()).unwrap(), &Reading::default())
            .unwrap_err()
            .to_string();
        assert!(error.contains("line ") && error.contains(says), "{error}");
    }
}
