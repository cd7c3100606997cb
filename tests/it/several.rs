//! One size a drawing: several drawings given to one command.

use crate::common::draft::{Draft, drawing, near, number};
use crate::outside::{Folder, json, python, run, said, truerise};
use serde_json::Value;
use std::path::PathBuf;
use std::process::Output;

/// Sizes, and the rises of front and back they are drawn with.
const SIZES: [(&str, f64, f64); 3] = [("36", 280.0, 358.0), ("38", 290.0, 370.0), ("40", 300.0, 382.0)];

/// Draws every size on its own; gives the paths.
fn range(folder: &Folder) -> Vec<PathBuf> {
    let one = |&(size, front, back): &(&str, f64, f64)| {
        let front = Draft { lean: 2.0, extension: 62.0, begin: 75.0, rise: front };
        let back = Draft { lean: 6.0, extension: 112.0, begin: 95.0, rise: back };
        let text = drawing(&front, &back);
        let text = text.replace("-38\n", &format!("-{size}\n")).replace("Size: 38", &format!("Size: {size}"));
        folder.write(&format!("size-{size}.dxf"), text.as_bytes())
    };
    SIZES.iter().map(one).collect()
}

/// Alters the range into a folder of its own, with a report in JSON.
fn alter(folder: &Folder, drawings: &[PathBuf], table: &str) -> Output {
    let table = folder.write("sizes.csv", table.as_bytes());
    std::fs::create_dir_all(folder.path("new")).unwrap();
    let mut program = truerise();
    program.arg("alter").args(drawings).arg("--sizes").arg(table).arg("-o").arg(folder.path("new"));
    program.arg("--report").arg(folder.path("report.json")).args(["--quiet", "--overwrite"]).output().unwrap()
}

fn written(folder: &Folder) -> Vec<String> {
    let entries = std::fs::read_dir(folder.path("new")).unwrap();
    let mut names: Vec<String> =
        entries.map(|e| e.unwrap().file_name().to_string_lossy().into_owned()).collect();
    names.sort();
    names
}

fn reports(folder: &Folder) -> Value {
    json(&std::fs::read(folder.path("report.json")).unwrap())
}

/// Ends that coincide join with no gap allowed; ends 1 mm apart do where the job file says so.
#[test]
fn how_far_apart_ends_may_lie_is_the_job_files_business() {
    let folder = Folder::new();
    let seams = std::fs::read_to_string(crate::outside::root().join("samples/seam-layers.dxf")).unwrap();
    let none = folder.write("none.toml", b"[tolerance]\ngap = 0\n");
    let wide = folder.write("wide.toml", b"[tolerance]\ngap = \"2 mm\"\n");
    let measured = |name: &str, bytes: &str, job: Option<&std::path::Path>| {
        let path = folder.write(name, bytes.as_bytes());
        let mut program = truerise();
        program.arg("measure").arg(path).args(["--format", "json"]);
        job.map(|job| program.arg("--job").arg(job));
        let output = program.output().unwrap();
        assert!(matches!(output.status.code(), Some(0 | 1)), "{}", said(&output));
        json(&output.stdout)["sizes"].as_array().unwrap().iter().all(|s| s["measures"].is_object())
    };
    assert!(measured("exact.dxf", &seams, None) && measured("exact.dxf", &seams, Some(&none)));
    // One millimetre of gap: the first vertex of the first seam, after the polyline's own mention of the layer.
    let (at, _) = seams.match_indices("CROTCH").nth(1).unwrap();
    let x = at + seams[at..].find("\n 10\r\n").or_else(|| seams[at..].find("\n 10\n")).unwrap();
    let line = x + 1 + seams[x + 1..].find('\n').unwrap() + 1;
    let end = line + seams[line..].find(['\r', '\n']).unwrap();
    let moved: f64 = seams[line..end].trim().parse::<f64>().unwrap() + 1.0;
    let apart = format!("{}{moved}{}", &seams[..line], &seams[end..]);
    assert!(!measured("apart.dxf", &apart, None), "1 mm is no gap that is joined unasked");
    assert!(measured("apart.dxf", &apart, Some(&wide)));
}

#[test]
fn several_drawings_are_measured_together() {
    let folder = Folder::new();
    let drawings = range(&folder);
    let output = truerise().arg("measure").args(&drawings).args(["--format", "json"]).output().unwrap();
    assert!(output.status.success(), "{}", said(&output));
    let measured = json(&output.stdout);
    assert_eq!(measured.as_array().unwrap().len(), SIZES.len());
    for (i, (size, front, back)) in SIZES.iter().enumerate() {
        let at = |path: &str| number(&measured, &format!("/{i}/sizes/0/measures/{path}"));
        assert_eq!(measured[i]["sizes"][0]["size"], *size);
        // The curve of a draft is drawn with 60 chords, shorter than it by some thousandths.
        near("front rise", at("front/rise_mm"), *front, 0.02);
        near("back rise", at("back/rise_mm"), *back, 0.02);
    }
}

#[test]
fn several_drawings_are_altered_into_a_folder() {
    let folder = Folder::new();
    let drawings = range(&folder);
    let output = alter(&folder, &drawings, "size,change\n36,18 mm\n38,20 mm\n40,22 mm\n");
    assert_eq!(output.status.code(), Some(0), "{}", said(&output));
    assert_eq!(written(&folder), ["size-36.dxf", "size-38.dxf", "size-40.dxf"]);
    let reports = reports(&folder);
    for (i, change) in [18.0, 20.0, 22.0].into_iter().enumerate() {
        let at = |path: &str| number(&reports, &format!("/{i}/sizes/0/{path}/crotch_length_mm"));
        near("change", at("after") - at("before"), change, 0.05);
    }
    let Some(python) = python() else { return };
    for (i, old) in drawings.iter().enumerate() {
        let new = folder.path("new").join(old.file_name().unwrap());
        let report = folder.write("one.json", reports[i].to_string().as_bytes());
        let paths = [old, &new, &report].map(|p| p.to_string_lossy().into_owned());
        let verified = run(&python, "verify_alteration.py", &[&paths[0], &paths[1], &paths[2]]);
        assert!(verified.status.success(), "{}", said(&verified));
    }
}

/// They are one range of sizes: with one that fails nothing is written.
#[test]
fn one_that_fails_keeps_all_from_being_written() {
    let folder = Folder::new();
    let drawings = range(&folder);
    let output = alter(&folder, &drawings, "size,change\n36,18 mm\n38,20 mm\n40,600 mm\n");
    assert_eq!(output.status.code(), Some(1), "{}", said(&output));
    assert!(written(&folder).is_empty(), "{:?}", written(&folder));
    let reports = reports(&folder);
    let verdicts: Vec<&Value> = reports.as_array().unwrap().iter().map(|r| &r["verdict"]).collect();
    assert_eq!(verdicts, ["pass", "pass", "fail"]);
    assert!(reports.as_array().unwrap().iter().all(|r| r["output"].is_null()));
    // Without it the others are.
    let output = alter(&folder, &drawings[..2], "size,change\n36,18 mm\n38,20 mm\n");
    assert_eq!(output.status.code(), Some(0), "{}", said(&output));
    assert_eq!(written(&folder), ["size-36.dxf", "size-38.dxf"]);
}
