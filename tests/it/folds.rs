//! Casings and hems that are cut in one with the leg: seams are measured to the fold, and what may be a fold is asked for. The
//! lengths are those that `tests/python/shapes.py` draws (closed forms and sums of chords); that what is turned in counts in no
//! length is common practice, no source.

use crate::outside::{Folder, errors, json, root, said, truerise};
use serde_json::Value;
use std::path::Path;

/// The rises of `pull-on-*`: straight centre seams and the chords of an arc, as the script that drew them says.
const RISES: [f64; 2] = [265.379_397, 301.160_025];
/// What is turned in at their waist.
const CASING: f64 = 35.0;
/// Their inseams.
const INSEAM: f64 = 702.441_072;

fn shape(name: &str) -> String {
    let path = root().join("samples/shapes").join(name).with_extension("dxf");
    std::fs::read_to_string(path).unwrap()
}

/// What `measure` says of a drawing, and its exit code.
fn measured(drawing: &Path, options: &[&str]) -> (Option<i32>, Value) {
    let output =
        truerise().arg("measure").arg(drawing).args(["--format", "json"]).args(options).output().unwrap();
    assert!(!output.stdout.is_empty(), "{}", said(&output));
    (output.status.code(), json(&output.stdout))
}

/// The messages of `fold-unclear`, by size.
fn unclear(report: &Value) -> Vec<(String, String)> {
    let sizes = report["sizes"].as_array().unwrap();
    let all = sizes.iter().flat_map(|s| s["findings"].as_array().unwrap());
    let unclear = all.filter(|f| f["id"] == "fold-unclear" && f["severity"] == "error");
    let text = |f: &Value, key: &str| f[key].as_str().unwrap_or_default().to_owned();
    unclear.map(|f| (text(f, "size"), text(f, "message"))).collect()
}

fn near(value: &Value, expected: f64) {
    let value = value.as_f64().unwrap();
    assert!((value - expected).abs() < 1e-3, "{value} in place of {expected}");
}

/// A line across the leg near a waist that is as wide as the hip: nothing tells whether it is a fold, and the crotch length
/// would be 70 mm more or less. Both readings are shown; each can be chosen in every way that the message names.
#[test]
fn a_line_that_may_be_a_fold_is_asked_for_and_settled() {
    let folder = Folder::new();
    let drawing = folder.write("legs.dxf", shape("pull-on-with-a-line-that-may-be-a-fold").as_bytes());
    let (code, report) = measured(&drawing, &[]);
    let asked = unclear(&report);
    assert_eq!((code, asked.len()), (Some(1), 1), "{report}");
    let [folded, plain] =
        [RISES[0] + RISES[1], RISES[0] + RISES[1] + 2.0 * CASING].map(|l| format!("{l:.2}"));
    for part in [&folded, &plain, "--fold waist=35.0mm", "--fold waist=0"] {
        assert!(asked[0].1.contains(part), "{part}: {}", asked[0].1);
    }
    assert!(report["sizes"][0]["measures"].is_null());

    // A text at it; a layer; said; said in the job file.
    let text = "  0\nTEXT\n  8\n8\n 10\n-80\n 20\n245\n 40\n5\n  1\nFold\n  0\nENDBLK\n";
    let said = shape("pull-on-with-a-line-that-may-be-a-fold").replace("  0\nENDBLK\n", text);
    let labelled = folder.write("labelled.dxf", said.as_bytes());
    let layer = folder.write("layer.toml", b"[layers]\nfold = [\"8\"]\n");
    let job = folder.write("stated.toml", b"[fold]\nwaist = \"3.5 cm\"\n");
    let (layer, job) = (layer.to_str().unwrap(), job.to_str().unwrap());
    for (drawing, options, by) in [
        (&labelled, &[][..], "label"),
        (&drawing, &["--job", layer], "layer"),
        (&drawing, &["--fold", "waist=35mm"], "stated"),
        (&drawing, &["--job", job], "stated"),
    ] {
        let (code, report) = measured(drawing, options);
        assert_eq!(code, Some(0), "{by}: {report}");
        let measures = &report["sizes"][0]["measures"];
        for (part, rise) in [("front", RISES[0]), ("back", RISES[1])] {
            near(&measures[part]["rise_mm"], rise);
            near(&measures[part]["inseam_mm"], INSEAM);
            near(&measures[part]["turned_in"]["waist"]["depth_mm"], CASING);
            assert_eq!(measures[part]["turned_in"]["waist"]["found"], by);
        }
    }
    let (code, report) = measured(&drawing, &["--fold", "waist=0"]);
    assert_eq!(code, Some(0), "{report}");
    near(&report["sizes"][0]["measures"]["front"]["rise_mm"], RISES[0] + CASING);
    assert!(report["sizes"][0]["measures"]["front"]["turned_in"].is_null());
}

/// Nothing is altered before it is settled; settled, the length asked for is met at the fold.
#[test]
fn nothing_is_altered_before_a_fold_is_settled() {
    let folder = Folder::new();
    let drawing = folder.write("legs.dxf", shape("pull-on-with-a-line-that-may-be-a-fold").as_bytes());
    let body = RISES[0] + RISES[1] + 25.0;
    let table = folder.write("sizes.csv", format!("size,crotch_length\n38,{body}mm\n").as_bytes());
    let alter = |options: &[&str]| {
        let mut program = truerise();
        program.arg("alter").arg(&drawing).arg("--sizes").arg(&table).arg("-o").arg(folder.path("out.dxf"));
        program.arg("--report").arg(folder.path("report.json")).args(["--overwrite", "--quiet"]);
        program.args(options).output().unwrap()
    };
    let refused = alter(&[]);
    assert_eq!(refused.status.code(), Some(1), "{}", said(&refused));
    assert!(!folder.path("out.dxf").exists());
    assert!(errors(&folder.path("report.json")).iter().any(|e| e.contains("fold-unclear")));
    let done = alter(&["--fold", "waist=35mm"]);
    assert_eq!(done.status.code(), Some(0), "{}", said(&done));
    let (_, after) = measured(&folder.path("out.dxf"), &["--fold", "waist=35mm"]);
    let length = after["sizes"][0]["measures"]["crotch_length_mm"].as_f64().unwrap();
    assert!((length - body).abs() < 0.05, "{length}");
}

/// What is turned in goes along with the seam that it lies on, and has its depth: the drawings are verified by `shapely` with the
/// other shapes. A raised waist would have to move the fold, and is refused for what it is.
#[test]
fn a_waist_that_is_turned_in_is_not_raised() {
    let folder = Folder::new();
    let drawing = folder.write("legs.dxf", shape("casing-with-a-fold-line").as_bytes());
    let table = folder.write("sizes.csv", b"size,change,front_share\n38,20mm,35%\n");
    let alter = |uneven: &str| {
        let mut program = truerise();
        program.arg("alter").arg(&drawing).arg("--sizes").arg(&table).arg("-o").arg(folder.path("out.dxf"));
        program.args(["--uneven", uneven, "--overwrite"]).output().unwrap()
    };
    let refused = alter("waist");
    assert_eq!(refused.status.code(), Some(1), "{}", said(&refused));
    assert!(said(&refused).contains("remedy-impossible") && said(&refused).contains("turned in at a fold"));
    assert!(!folder.path("out.dxf").exists());
    let done = alter("fork");
    assert_eq!(done.status.code(), Some(0), "{}", said(&done));
    let depth = |drawing: &Path, part: &str| {
        measured(drawing, &[]).1["sizes"][0]["measures"][part]["turned_in"]["waist"]["depth_mm"]
            .as_f64()
            .unwrap()
    };
    for part in ["front", "back"] {
        let (was, is) = (depth(&drawing, part), depth(&folder.path("out.dxf"), part));
        assert!((is - was).abs() < 0.05, "{part}: {is} in place of {was}");
    }
}

/// Blocks of another size, made of those of size 38 with a change to their text.
fn second_size(drawing: &str, change: impl Fn(&str) -> String) -> String {
    let blocks = drawing.find("  0\nBLOCK\n").unwrap();
    let end = drawing[blocks..].find("  0\nENDSEC\n").unwrap() + blocks;
    let own: String = drawing[blocks..end]
        .split_inclusive("  0\nENDBLK\n")
        .filter(|block| block.contains("Size: 38"))
        .map(|block| change(&block.replace("-38", "-40").replace("Size: 38", "Size: 40")))
        .collect();
    format!("{}{own}{}", &drawing[..end], &drawing[end..])
}

/// One nest is read one way: a fold that one size has and another has not stops both.
#[test]
fn a_fold_in_some_sizes_only_stops_them_all() {
    let folder = Folder::new();
    let text = shape("pull-on-with-a-line-that-may-be-a-fold");
    let nest = second_size(&text, |block| block.replace("\n  8\n8\n", "\n  8\nELSEWHERE\n"));
    let drawing = folder.write("nest.dxf", nest.as_bytes());
    let job = folder.write("layer.toml", b"[layers]\nfold = [\"8\"]\n");
    let (code, report) = measured(&drawing, &["--job", job.to_str().unwrap()]);
    let asked = unclear(&report);
    assert_eq!(code, Some(1), "{report}");
    for size in ["38", "40"] {
        assert!(asked.iter().any(|(of, message)| of == size && message.contains("one way")), "{asked:?}");
    }
    // The same with the line in both, and with what both have in common said.
    let both = folder.write("both.dxf", second_size(&text, ToOwned::to_owned).as_bytes());
    assert_eq!(measured(&both, &["--job", job.to_str().unwrap()]).0, Some(0));
    assert_eq!(measured(&drawing, &["--fold", "waist=35"]).0, Some(0));
}

/// A back that is turned in beside a front that is not: the outseams tell that one of them was read wrongly.
#[test]
fn a_fold_on_one_leg_alone_is_held_against_the_outseams() {
    let folder = Folder::new();
    let text = shape("pull-on-with-a-line-that-may-be-a-fold");
    let blocks = text.find("  0\nBLOCK\n").unwrap();
    let (front, back) = text.split_at(blocks + text[blocks..].find("BACK-38").unwrap());
    let one = format!("{front}{}", back.replace("\n  8\n8\n", "\n  8\nELSEWHERE\n"));
    assert_ne!(one, text);
    let drawing = folder.write("one.dxf", one.as_bytes());
    let job = folder.write("layer.toml", b"[layers]\nfold = [\"8\"]\n");
    let (code, report) = measured(&drawing, &["--job", job.to_str().unwrap()]);
    let asked = unclear(&report);
    assert_eq!((code, asked.len()), (Some(1), 1), "{report}");
    assert!(asked[0].1.contains("outseam"), "{asked:?}");
}

/// A style line across a leg that narrows towards its waist, and a row of stitches above a hem that is turned in as its
/// allowance: neither is a fold.
#[test]
fn style_lines_and_stitches_are_no_folds() {
    let folder = Folder::new();
    let path = root().join("samples/dialects/lwpolyline.dxf");
    let text = std::fs::read_to_string(path).unwrap();
    let line = |y: f64| format!("  0\nLINE\n  8\n8\n 10\n-300\n 20\n{y}\n 11\n120\n 21\n{y}\n");
    let more = format!("{}{}{}  0\nENDBLK\n", line(215.0), line(190.0), line(-660.0));
    let drawing = folder.write("lines.dxf", text.replace("  0\nENDBLK\n", &more).as_bytes());
    let (code, with) = measured(&drawing, &[]);
    let (_, without) = measured(&folder.write("plain.dxf", text.as_bytes()), &[]);
    assert_eq!(code, Some(0), "{with}");
    assert_eq!(with["sizes"][0]["measures"], without["sizes"][0]["measures"]);
}

/// A line that ends on the sew line, as drawn with a snap to it: rounding leaves its ends a hair before or beyond.
#[test]
fn a_line_that_ends_on_the_sew_line_crosses_it() {
    let path = root().join("samples/dialects/lwpolyline.dxf");
    let text = std::fs::read_to_string(path).unwrap();
    // On the straight lines from the knee, at y = -330, to the hem, at y = -700.
    let share = (700.0 - 660.0) / (700.0 - 330.0);
    let with_line = |block: &str| {
        let knee = if block.contains("FRONT-38") { 48.0 - 38.0 } else { 92.0 - 38.0 };
        let (hem, side) = (knee - 12.0, knee - 230.0);
        let (inner, outer) = (hem + share * (knee - hem), hem - 200.0 + share * (side - hem + 200.0));
        let line = format!("  0\nLINE\n  8\nFOLD\n 10\n{outer}\n 20\n-660\n 11\n{inner}\n 21\n-660\n");
        block.replace("  0\nENDBLK\n", &format!("{line}  0\nENDBLK\n"))
    };
    let drawn: String = text.split_inclusive("  0\nENDBLK\n").map(with_line).collect();
    let folder = Folder::new();
    let (code, report) = measured(&folder.write("lines.dxf", drawn.as_bytes()), &[]);
    assert_eq!(code, Some(0), "{report}");
    for part in ["front", "back"] {
        near(&report["sizes"][0]["measures"][part]["turned_in"]["hem"]["depth_mm"], 40.0);
    }
}
