//! One nest is read one way. The legs are drawn here; their rises are a straight centre seam and the chords of a quarter of an
//! ellipse. That a bib is none of the crotch seam, and that backs have the longer rise, is common practice, no source.

use crate::outside::{Folder, json, said, truerise};
use serde_json::Value;
use std::fmt::Write;

type Line = Vec<(f64, f64)>;

/// From where the curve begins to the fork, without the first point.
fn curve(extension: f64) -> Line {
    let at = |a: f64| (extension * (1.0 - a.cos()), 95.0 * (1.0 - a.sin()));
    (1..=18_u32).map(|k| at(f64::from(k) * std::f64::consts::PI / 36.0)).collect()
}

/// A leg from the begin of the curve over fork, hem and side to the waist at the side.
fn below_waist(extension: f64) -> Line {
    let (knee, hem) = (extension - 38.0, extension - 50.0);
    let mut line = vec![(0.0, 95.0)];
    line.extend(curve(extension));
    line.extend([(knee, -330.0), (hem, -700.0), (hem - 200.0, -700.0), (knee - 230.0, -330.0)]);
    line.extend([(-230.0, 80.0), (-190.0, 258.0)]);
    line
}

/// The rise up to a waist at y = 250.
fn rise(extension: f64) -> f64 {
    let mut run = vec![(0.0, 95.0)];
    run.extend(curve(extension));
    155.0 + run.windows(2).map(|w| (w[1].0 - w[0].0).hypot(w[1].1 - w[0].1)).sum::<f64>()
}

fn plain(extension: f64) -> Line {
    [below_waist(extension), vec![(0.0, 250.0)]].concat()
}

/// A front that goes on above its waist as a bib, whose centre turns by so many degrees at the waist.
fn bib(turn: f64) -> Line {
    let (sin, cos) = turn.to_radians().sin_cos();
    let top = (-250.0 * sin, 250.0 + 250.0 * cos);
    let armhole = [(-150.0, 275.0), (-120.0, 310.0), (-102.0, 370.0), (-95.0, 440.0)];
    [below_waist(48.0), armhole.to_vec(), vec![(top.0 - 95.0, top.1), top, (0.0, 250.0)]].concat()
}

fn polyline(layer: &str, points: &[(f64, f64)], closed: bool) -> String {
    let mut text =
        format!("  0\nPOLYLINE\n  8\n{layer}\n 66\n1\n 70\n{}\n 10\n0\n 20\n0\n", u8::from(closed));
    for (x, y) in points {
        let _ = write!(text, "  0\nVERTEX\n  8\n{layer}\n 10\n{x:.4}\n 20\n{y:.4}\n");
    }
    text + "  0\nSEQEND\n  8\n" + layer + "\n"
}

fn block(name: &str, size: u32, sew: &[(f64, f64)], more: &str) -> String {
    let text =
        |y: f64, value: &str| format!("  0\nTEXT\n  8\n1\n 10\n-120\n 20\n{y}\n 40\n5\n  1\n{value}\n");
    let texts =
        [text(-200.0, &format!("Piece Name: {name}")), text(-212.0, &format!("Size: {size}"))].concat();
    let grain = "  0\nLINE\n  8\n7\n 10\n-70\n 20\n-280\n 11\n-70\n 21\n120\n";
    let sew = polyline("14", sew, true);
    format!(
        "  0\nBLOCK\n  8\n1\n  2\n{name}-{size}\n 70\n0\n 10\n0\n 20\n0\n{texts}{grain}{sew}{more}  0\nENDBLK\n"
    )
}

fn drawing(blocks: &[String]) -> String {
    let unit = "  0\nTEXT\n  8\n1\n 10\n0\n 20\n400\n 40\n5\n  1\nUnits: METRIC\n";
    let blocks = blocks.concat();
    let ends = "  0\nENDSEC\n";
    format!("  0\nSECTION\n  2\nBLOCKS\n{blocks}{ends}  0\nSECTION\n  2\nENTITIES\n{unit}{ends}  0\nEOF\n")
}

/// A nest of these fronts with plain backs, from size 34 on, each with more drawn in the front.
fn nest(fronts: &[Line], more: &str) -> String {
    let sizes = (34..).step_by(2).zip(fronts);
    let of = |(size, front): (u32, &Line)| {
        block("FRONT", size, front, more) + &block("BACK", size, &plain(92.0), "")
    };
    drawing(&sizes.map(of).collect::<Vec<_>>())
}

fn measured(text: &str) -> Value {
    let folder = Folder::new();
    let drawing = folder.write("nest.dxf", text.as_bytes());
    let output = truerise().arg("measure").arg(drawing).args(["--format", "json"]).output().unwrap();
    assert!(!output.stdout.is_empty(), "{}", said(&output));
    json(&output.stdout)
}

/// Sizes that were measured, and the messages of `seam-ambiguous`.
fn read(report: &Value) -> (Vec<&str>, Vec<&str>) {
    let sizes = report["sizes"].as_array().unwrap();
    let measured = sizes.iter().filter(|s| s["measures"].is_object());
    let findings = sizes.iter().flat_map(|s| s["findings"].as_array().unwrap());
    let ambiguous = findings.filter(|f| f["id"] == "seam-ambiguous" && f["severity"] == "error");
    (
        measured.filter_map(|s| s["size"].as_str()).collect(),
        ambiguous.filter_map(|f| f["message"].as_str()).collect(),
    )
}

#[test]
fn a_plain_nest_is_measured() {
    let report = measured(&nest(&[plain(48.0), plain(50.0), plain(52.0)], ""));
    assert_eq!(read(&report), (vec!["34", "36", "38"], Vec::new()));
}

/// Where some sizes of a bib show a corner at its waist and others do not, the others are not to be believed either.
#[test]
fn what_is_not_certain_in_one_size_is_in_none() {
    let report = measured(&nest(&[8.0, 12.0, 16.0, 40.0].map(bib), ""));
    let (measured, ambiguous) = read(&report);
    assert!(measured.is_empty() && ambiguous.len() >= 4, "{report}");
    assert!(
        ambiguous.iter().any(|message| message.contains("the same place in every size")),
        "{ambiguous:?}"
    );
}

/// A crotch seam that shows in some sizes only: drawn straight in one, no shape tells of it there.
#[test]
fn what_shows_in_some_sizes_only_is_known_in_none() {
    let straight: Line =
        plain(50.0).into_iter().filter(|&(_, y)| !(0.5..249.0).contains(&y) || y == 80.0).collect();
    let report = measured(&nest(&[plain(48.0), straight, plain(52.0)], ""));
    let (measured, ambiguous) = read(&report);
    assert!(measured.is_empty(), "{report}");
    assert!(ambiguous.iter().any(|message| message.contains("a nest is read one way")), "{ambiguous:?}");
}

/// A corner at another place in one size stops all of them.
#[test]
fn a_seam_found_elsewhere_in_one_size_stops_all() {
    let report = measured(&nest(&[plain(48.0), bib(0.0), plain(52.0)], ""));
    let (measured, ambiguous) = read(&report);
    assert!(measured.is_empty(), "{report}");
    let same = ambiguous.iter().filter(|message| message.contains("the same place")).count();
    assert_eq!(same, 3, "{ambiguous:?}");
}

/// A bib read as rise in every size alike shows by the back's rise; named on its layer, the seam ends at the waist.
#[test]
fn a_bib_is_none_of_the_crotch_seam() {
    let report = measured(&nest(&[bib(0.0), bib(0.0)], ""));
    let (measured_sizes, ambiguous) = read(&report);
    assert!(measured_sizes.is_empty(), "{report}");
    assert!(ambiguous.iter().all(|message| message.contains("bib")), "{ambiguous:?}");

    let seam = [vec![(0.0, 250.0), (0.0, 95.0)], curve(48.0)].concat();
    let report = measured(&nest(&[bib(0.0), bib(0.0)], &polyline("CROTCH", &seam, false)));
    for size in report["sizes"].as_array().unwrap() {
        let front = size["measures"]["front"]["rise_mm"].as_f64().unwrap_or_else(|| panic!("{report}"));
        assert!((front - rise(48.0)).abs() < 0.01, "{front}");
    }
}

/// A front with a bib above a crotch curve 55 mm high, which is all within the last eighth of the edge that is drawn; `arm` leads from
/// its side waist to the top of the bib.
fn deep_bib(arm: &[(f64, f64)]) -> Line {
    let at = |a: f64| (48.0 * (1.0 - a.cos()), 55.0 * (1.0 - a.sin()));
    let curve = (0..=12_u32).map(|k| at(f64::from(k) * std::f64::consts::PI / 24.0));
    let below = below_waist(48.0);
    let rest = below[below.iter().position(|p| p.1 < -300.0).unwrap()..].iter().copied();
    curve.chain(rest).chain(arm.iter().copied()).chain([(-95.0, 530.0), (0.0, 530.0)]).collect()
}

/// The bib's edge is scooped out beside the side waist, or runs on from the outseam without a corner: the turn point at the centre says
/// where the waist is, and the back how long the outseam is.
#[test]
fn a_bib_is_read_from_its_waist_down_whatever_its_edge() {
    let scooped = [(-150.0, 256.0), (-120.0, 275.0), (-103.0, 330.0), (-97.0, 420.0)];
    let running_on = [(-183.0, 290.0), (-165.0, 350.0), (-130.0, 430.0), (-105.0, 490.0)];
    let run: Line = deep_bib(&[])[..13].to_vec();
    let chords: f64 = run.windows(2).map(|w| (w[1].0 - w[0].0).hypot(w[1].1 - w[0].1)).sum();
    for arm in [scooped, running_on] {
        let mark = "  0\nPOINT\n  8\n2\n 10\n0\n 20\n250\n";
        let report = measured(&nest(&[deep_bib(&arm), deep_bib(&arm)], mark));
        for size in report["sizes"].as_array().unwrap() {
            let of = |part: &str, seam: &str| {
                size["measures"][part][seam].as_f64().unwrap_or_else(|| panic!("{report}"))
            };
            assert!((of("front", "rise_mm") - 195.0 - chords).abs() < 0.01, "{report}");
            assert!((of("front", "outseam_mm") - of("back", "outseam_mm")).abs() < 90.0, "{report}");
        }
    }
}

/// A front whose side runs on into the waist without a corner; at `hip` it has one lower down.
fn round_side(hip: f64) -> Line {
    let mut line = below_waist(48.0);
    line.truncate(line.len() - 2);
    line.extend([(-230.0 - hip, 80.0), (-222.0, 150.0), (-208.0, 205.0), (-184.0, 240.0), (-150.0, 256.0)]);
    line.extend([(-100.0, 256.0), (0.0, 250.0)]);
    line
}

/// The side waist is found at the hip in one size: what is measured from there is told of, and what runs along it is left alone; a
/// slide does neither, a raised waist comes back there.
#[test]
fn a_side_waist_found_elsewhere_stops_who_raises_the_waist() {
    let text = nest(&[round_side(0.0), round_side(30.0)], "");
    let report = measured(&text);
    let told: Vec<&str> = report["sizes"]
        .as_array()
        .unwrap()
        .iter()
        .flat_map(|s| s["findings"].as_array().unwrap())
        .filter(|f| f["id"] == "seam-ambiguous")
        .map(|f| f["severity"].as_str().unwrap())
        .collect();
    assert!(told.len() >= 2 && told.iter().all(|severity| *severity == "warning"), "{report:#}");
    let folder = Folder::new();
    folder.write("nest.dxf", text.as_bytes());
    folder.write("sizes.csv", b"size,change,front_share\n34,10mm,\n36,10mm,\n");
    let alter = |uneven: &str| {
        let mut program = truerise();
        program.current_dir(folder.path("")).args(["alter", "nest.dxf", "--sizes", "sizes.csv", "--dry-run"]);
        let output = program.args(["--uneven", uneven]).output().unwrap();
        (output.status.code(), said(&output))
    };
    let (keep, waist) = (alter("keep"), alter("waist"));
    assert_eq!(keep.0, Some(0), "{}", keep.1);
    assert_eq!(waist.0, Some(1), "{}", waist.1);
    assert!(waist.1.contains("error [seam-ambiguous]"), "{}", waist.1);
}
