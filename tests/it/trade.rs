//! Facts of the trade that the results have to agree with.

use crate::common::plain;
use crate::outside::{Folder, json, report_of, root, truerise};
use serde_json::Value;
use std::fs;

fn sample(name: &str) -> std::path::PathBuf {
    root().join("samples").join(name)
}

fn number(value: &Value, path: &str) -> f64 {
    value.pointer(path).and_then(Value::as_f64).unwrap_or_else(|| panic!("{path} in {value}"))
}

fn measures() -> Vec<Value> {
    let output = truerise()
        .arg("measure")
        .arg(sample("harbour-nest.dxf"))
        .args(["--format", "json"])
        .output()
        .unwrap();
    let report = json(&output.stdout);
    report["sizes"].as_array().unwrap().clone()
}

/// Home sewing allows 5/8 in (common practice, no source); pieces laid with their inseam sew lines on top of each other
/// overlap by 1 1/4 in with it, which is why a pattern is measured on the sew lines (common practice, no source).
#[test]
fn two_allowances_of_five_eighths_overlap_by_an_inch_and_a_quarter() {
    let nest = fs::read(sample("harbour-nest.dxf")).unwrap();
    let blocks = plain::blocks(&nest);
    let report = measures();
    let size = report.iter().find(|s| s["size"] == "38").unwrap();
    let mut overlap = 0.0;
    for (name, part) in [("FRONT-38", "front"), ("BACK-38", "back")] {
        let edges = |layer: &str| -> Vec<kurbo::Line> {
            let points: Vec<kurbo::Point> =
                plain::polyline(&blocks[name], layer).into_iter().map(|(x, y)| (x, y).into()).collect();
            (0..points.len()).map(|i| kurbo::Line::new(points[i], points[(i + 1) % points.len()])).collect()
        };
        // The middle of the inseam's longest edge, from knee to hem; its allowance square across.
        let fork = kurbo::Point::new(
            number(size, &format!("/measures/{part}/fork/0")),
            number(size, &format!("/measures/{part}/fork/1")),
        );
        let shins: Vec<kurbo::Line> =
            edges("14").into_iter().filter(|e| (e.p1 - e.p0).hypot() > 300.0).collect();
        let shin = shins.iter().min_by(|a, b| distance(a, fork).total_cmp(&distance(b, fork))).unwrap();
        let middle = shin.p0.midpoint(shin.p1);
        overlap += edges("1").iter().map(|e| distance(e, middle)).fold(f64::MAX, f64::min);
    }
    let folder = Folder::new();
    let table = folder.write("sizes.csv", b"size,change\n38,1 1/4 in\n");
    let asked = report_of(&folder, &sample("harbour-nest.dxf"), &table, &[]);
    let asked = number(&asked["sizes"][0], "/asked/change_mm");
    assert!((asked - 31.75).abs() < 1e-9 && (overlap - asked).abs() < 2e-4, "{overlap} {asked}");
}

fn distance(edge: &kurbo::Line, p: kurbo::Point) -> f64 {
    let d = edge.p1 - edge.p0;
    let t = ((p - edge.p0).dot(d) / d.hypot2()).clamp(0.0, 1.0);
    (edge.p0 + d * t - p).hypot()
}

/// The difference is shared evenly between front and back unless the figure says otherwise (common practice, no source).
#[test]
fn the_difference_is_split_evenly() {
    let folder = Folder::new();
    let table = folder.write("sizes.csv", b"size,change\n38,1 in\n");
    let report = report_of(&folder, &sample("harbour-nest.dxf"), &table, &[]);
    let size = &report["sizes"][0];
    for part in ["front", "back"] {
        let rise = |when: &str| number(size, &format!("/{when}/{part}/rise_mm"));
        let gained = rise("after") - rise("before");
        assert!((gained - 12.7).abs() < 0.025, "{part} gained {gained}");
    }
}

/// Each piece is slid along the grain by its share of the difference (common practice, no source).
#[test]
fn a_slide_by_distance_is_the_share_as_it_stands() {
    let folder = Folder::new();
    let table = folder.write("sizes.csv", b"size,change\n38,1 in\n40,-9\n");
    let report = report_of(&folder, &sample("harbour-nest.dxf"), &table, &["--aim", "distance"]);
    for (i, share) in [(0, 12.7), (1, -4.5)] {
        for part in ["front", "back"] {
            let along = number(&report["sizes"][i], &format!("/moves/{part}/along_mm"));
            assert!((along - share).abs() < 1e-6, "{part} slid by {along}");
        }
    }
}

/// A slide by the difference does not lengthen a leaning seam by the difference. A straight seam of length L that leans by θ
/// to the grain, its lower end slid by s, measures √(L² + 2 L s cos θ + s²) (law of cosines), and the curve below it is a copy.
/// The turn of the seam is trued into the curve, whose upper end is then a little off the slide.
/// Practice says that a back seam that leans 8° gains about 25.2 mm for 25.4 mm (common practice, no source).
#[test]
fn a_leaning_back_seam_gains_less_than_its_slide() {
    let lean = 8.0f64.to_radians();
    let folder = Folder::new();
    let (straight, drawing) = leaning(lean);
    let drawing = folder.write("leaning.dxf", drawing.as_bytes());
    let table = folder.write("sizes.csv", b"size,change\n38,50.8\n");
    let report = report_of(&folder, &drawing, &table, &["--aim", "distance"]);
    let size = &report["sizes"][0];
    let slide = number(size, "/moves/back/along_mm");
    assert!((slide - 25.4).abs() < 1e-9);
    let gained = number(size, "/after/back/rise_mm") - number(size, "/before/back/rise_mm");
    let law = (straight * straight + 2.0 * straight * slide * lean.cos() + slide * slide).sqrt() - straight;
    assert!((gained - law).abs() < 0.1, "gained {gained} mm, the law of cosines says {law} mm");
    assert!(gained < slide - 0.15, "gained {gained}");
}

/// A front without lean and a back whose centre seam leans by `lean` radians, with the length of the straight part, in mm.
fn leaning(lean: f64) -> (f64, String) {
    let straight = 150.0;
    let mut blocks = String::new();
    for (name, lean) in [("FRONT", 0.0), ("BACK", lean)] {
        let extension = if name == "FRONT" { 55.0 } else { 110.0 };
        let begin = (0.0, 90.0);
        let waist = (begin.0 - straight * lean.sin(), begin.1 + straight * lean.cos());
        let mut points = vec![waist];
        // A quarter of an ellipse in the oblique axes of its end tangents: from the seam's direction to level.
        let corner = (begin.0 + begin.1 * lean.tan(), 0.0);
        for i in 0..=24 {
            let t = std::f64::consts::FRAC_PI_2 * f64::from(i) / 24.0;
            let (a, b) = (1.0 - t.cos(), 1.0 - t.sin());
            points.push((
                corner.0 + b * (begin.0 - corner.0) + a * (extension - corner.0),
                corner.1 + b * (begin.1 - corner.1),
            ));
        }
        points.extend((1..8).map(|i| (extension - 6.0 * f64::from(i), -50.0 * f64::from(i))));
        points.extend([
            (extension - 60.0, -760.0),
            (extension - 270.0, -760.0),
            (-250.0, 60.0),
            (-235.0, 235.0),
        ]);
        let line = |layer: &str| {
            let vertices: String = points.iter().map(|(x, y)| format!("10\n{x:.9}\n20\n{y:.9}\n")).collect();
            format!("0\nLWPOLYLINE\n8\n{layer}\n90\n{}\n70\n1\n{vertices}", points.len())
        };
        blocks += &format!("0\nBLOCK\n8\n0\n2\n{name}\n{}", line("14"));
        for text in [format!("Piece Name: {name}"), "Size: 38".to_owned()] {
            blocks += &format!("0\nTEXT\n8\n1\n10\n-90\n20\n-90\n1\n{text}\n");
        }
        blocks += "0\nLINE\n8\n7\n10\n-100\n20\n-500\n11\n-100\n21\n0\n0\nENDBLK\n8\n0\n";
    }
    let units = "0\nTEXT\n8\n1\n10\n0\n20\n0\n1\nUnits: METRIC\n";
    let text = format!(
        "0\nSECTION\n2\nBLOCKS\n{blocks}0\nENDSEC\n0\nSECTION\n2\nENTITIES\n{units}0\nENDSEC\n0\nEOF\n"
    );
    (straight, text)
}

/// The crotch length grows with hip girth by 14.3 mm (women) to 17.4 mm (men) for 40 mm, and so does the sample's; its table
/// of body measures lies within two standard deviations of the bodies measured. Source: ANSUR II, 2012 (`tests/data`).
#[test]
fn the_sample_grows_as_bodies_do() {
    let bodies = Bodies::read();
    let (women, men) = (bodies.slope("women"), bodies.slope("men"));
    // From the bins' means; over single persons the survey gives 14.3 and 17.4.
    assert!((women - 14.3).abs() < 0.5 && (men - 17.4).abs() < 0.5, "{women} {men}");
    let lengths: Vec<f64> = measures().iter().map(|s| number(s, "/measures/crotch_length_mm")).collect();
    assert_eq!(lengths.len(), 7);
    for pair in lengths.windows(2) {
        // From one size of the sample to the next hip girth grows by 40 mm.
        let step = pair[1] - pair[0];
        assert!(step > women - 1.0 && step < men + 1.0, "a step of {step} mm");
    }
    let table = fs::read_to_string(sample("harbour-sizes.csv")).unwrap();
    let rows: Vec<&str> = table.lines().skip(1).collect();
    assert_eq!(rows.len(), 7);
    for (i, row) in rows.iter().enumerate() {
        let length: f64 = row.split(',').nth(1).unwrap().parse().unwrap();
        let hip = 880.0 + 40.0 * i as f64;
        let (mean, sd) = bodies.of("women", hip);
        assert!((length - mean).abs() < 2.0 * sd, "hip {hip}: {length} mm, bodies {mean} ± {sd}");
    }
}

struct Bodies(Vec<(String, f64, f64, f64, f64)>);

impl Bodies {
    fn read() -> Self {
        let text = fs::read_to_string(root().join("tests/data/ansur2_crotch_length_by_hip.csv")).unwrap();
        let row = |line: &str| {
            let cells: Vec<&str> = line.split(',').collect();
            let n = |i: usize| cells[i].parse().unwrap();
            (cells[0].to_owned(), n(1), n(2), n(3), n(4))
        };
        Bodies(text.lines().skip(1).map(row).collect())
    }

    /// Growth for 40 mm of hip girth: least squares over the bins' means.
    fn slope(&self, group: &str) -> f64 {
        let rows: Vec<_> = self.0.iter().filter(|r| r.0 == group).collect();
        let n = rows.len() as f64;
        let (mx, my) = (rows.iter().map(|r| r.1).sum::<f64>() / n, rows.iter().map(|r| r.3).sum::<f64>() / n);
        let (xy, xx) = rows
            .iter()
            .fold((0.0, 0.0), |(xy, xx), r| (xy + (r.1 - mx) * (r.3 - my), xx + (r.1 - mx).powi(2)));
        40.0 * xy / xx
    }

    fn of(&self, group: &str, hip: f64) -> (f64, f64) {
        let row = self.0.iter().find(|r| r.0 == group && r.1 == hip).unwrap();
        (row.3, row.4)
    }
}

/// A trouser leg is neither 31 mm nor 31 m long (common practice, no source): drawn so, the message says how long it is.
#[test]
fn a_leg_in_the_wrong_unit_is_said_with_its_length() {
    let folder = Folder::new();
    for (times, says) in [(0.04, " is 40.0 mm long"), (33.0, " is 33.0 m long")] {
        let (_, text) = leaning(0.0);
        let mut code = "";
        let scaled: Vec<String> = text
            .lines()
            .enumerate()
            .map(|(i, line)| {
                let value = i % 2 == 1 && matches!(code, "10" | "20" | "11" | "21");
                code = line;
                if value { format!("{:.6}", line.parse::<f64>().unwrap() * times) } else { line.to_owned() }
            })
            .collect();
        let drawing = folder.write("scaled.dxf", (scaled.join("\n") + "\n").as_bytes());
        let output = truerise().arg("check").arg(drawing).args(["--format", "json"]).output().unwrap();
        let text = String::from_utf8_lossy(&output.stdout).into_owned();
        assert!(text.contains(says), "{says} in {text}");
    }
}
