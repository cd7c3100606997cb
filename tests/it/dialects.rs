//! One pair of legs in many dialects, drawn by another writer (`ezdxf`): measured against closed forms, altered, and
//! verified by `ezdxf` and `shapely`.

use crate::outside::{self, Folder, python, report_of, root, run, said, truerise};
use serde_json::Value;
use std::fs;
use std::path::Path;

/// Half of the 0.05 mm to which a crotch length has to be met: arcs are flattened for measuring.
const CLOSE: f64 = 0.025;

/// What the drawer says of a drawing it made.
fn json(path: &Path) -> Value {
    serde_json::from_slice(&fs::read(path).unwrap()).unwrap()
}

/// Every dialect of the folder, by name.
fn names(folder: &Folder) -> Vec<String> {
    let files = folder.contents().into_keys();
    files.filter_map(|f| f.strip_suffix(".expect.json").map(ToOwned::to_owned)).collect()
}

/// Alters a dialect; what is wrong with the result.
fn alter(folder: &Folder, name: &str) -> Vec<String> {
    let file = |ending: &str| folder.path(&format!("{name}.{ending}"));
    let mut program = truerise();
    program.arg("alter").arg(file("dxf")).arg("--sizes").arg(file("csv")).arg("-o").arg(file("out.dxf"));
    program.arg("--report").arg(file("report.json")).arg("--quiet");
    if file("toml").exists() {
        program.arg("--job").arg(file("toml"));
    }
    let output = program.output().unwrap();
    let expect = json(&file("expect.json"));
    if !file("report.json").exists() {
        return vec![said(&output)];
    }
    let report = outside::json(&fs::read(file("report.json")).unwrap());
    let size = &report["sizes"][0];
    let findings = size["findings"].as_array().unwrap();
    if let Some(id) = expect["refused"].as_str() {
        let refused = output.status.code() == Some(1) && !file("out.dxf").exists();
        let says = findings.iter().any(|f| f["id"] == id && f["severity"] == "error");
        return if refused && says {
            Vec::new()
        } else {
            vec![format!("is not refused for {id}: {findings:?}")]
        };
    }
    if !output.status.success() {
        return vec![format!("{} {findings:?}", said(&output))];
    }
    let mut wrong = misread(&size["before"], &expect);
    let warned = findings.iter().filter(|f| f["severity"] == "warning").map(|f| &f["message"]);
    let warned: Vec<&str> = warned.filter_map(Value::as_str).collect();
    if let Some(warning) = expect["warned"].as_str()
        && !warned.iter().any(|message| message.contains(warning))
    {
        wrong.push(format!("there is no warning that {warning}: {warned:?}"));
    }
    if let Some(fork) = expect["front_fork"].as_array() {
        let seen = &size["before"]["front"]["fork"];
        let off = |k: usize| (fork[k].as_f64().unwrap() - seen[k].as_f64().unwrap()).abs();
        if off(0) > 1e-4 || off(1) > 1e-4 {
            wrong.push(format!("the front fork is said to be at {seen} in place of {fork:?}"));
        }
    }
    wrong
}

/// What is wrong with the measures of the legs as they are drawn, and with how their seams were found.
fn misread(before: &Value, expect: &Value) -> Vec<String> {
    let mut wrong = Vec::new();
    for (part, i) in [("front", 0), ("back", 1)] {
        let before = &before[part];
        for (seam, key, drawn) in [("rise", "rise_mm", "rises"), ("inseam", "inseam_mm", "inseams")] {
            let (read, drawn) = (before[key].as_f64().unwrap(), expect[drawn][i].as_f64().unwrap());
            if (read - drawn).abs() > CLOSE {
                wrong.push(format!("the {part} {seam} is measured as {read}, drawn are {drawn}"));
            }
        }
        for found in ["crotch", "inseam", "sew_line"] {
            let plain = if found == "sew_line" { "drawn" } else { "shape" };
            let expected = expect[found].as_str().unwrap_or(plain);
            let by = &before["found"][found];
            if by != expected {
                wrong.push(format!("{part} {found} is found by {by} in place of {expected}"));
            }
        }
    }
    wrong
}

/// Alters every sample that a script knows, and verifies by the same script. The samples are what it drew once; what it draws
/// today only says what is expected of them, and that none is missing.
fn all_hold(script: &str, samples: &str, least: usize) {
    let Some(python) = python() else { return };
    let folder = Folder::new();
    let here = folder.path("").to_string_lossy().into_owned();
    let drawn = run(&python, script, &["draw", &here]);
    assert!(drawn.status.success(), "{}", said(&drawn));
    let names = names(&folder);
    assert!(names.len() >= least, "{names:?}");
    let samples = root().join("samples").join(samples);
    for file in folder.contents().into_keys().filter(|file| !file.contains(".expect.")) {
        let sample = fs::read(samples.join(&file));
        folder.write(&file, &sample.unwrap_or_else(|e| panic!("{file} is no sample: {e}")));
    }
    let mut wrong = Vec::new();
    for name in &names {
        wrong.extend(alter(&folder, name).into_iter().map(|w| format!("{name}: {w}")));
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
    let verified = run(&python, script, &["verify", &here]);
    assert!(verified.status.success(), "{}", said(&verified));
}

#[test]
fn every_dialect_measures_and_alters_alike() {
    all_hold("dialects.py", "dialects", 32);
}

/// Darts, pleats, vents, hems, waists, pocket mouths, leans and few vertices.
#[test]
fn every_shape_measures_and_alters() {
    all_hold("shapes.py", "shapes", 24);
}

/// The rises of front and back of size 38, measured on a drawing.
fn rises(drawing: &Path, options: &[&str]) -> [f64; 2] {
    let mut program = truerise();
    program.arg("measure").arg(drawing).args(["--size", "38", "--format", "json"]).args(options);
    let output = program.output().unwrap();
    assert!(output.status.success(), "{}", said(&output));
    let measures = outside::json(&output.stdout)["sizes"][0]["measures"].clone();
    ["front", "back"].map(|part| measures[part]["rise_mm"].as_f64().unwrap())
}

/// The samples of one size hold the same trousers as the nest: cut lines alone, shifted inwards by the allowances they were
/// drawn with, and seams on layers of their own.
#[test]
fn the_same_trousers_measure_and_alter_the_same() {
    let sample = |name: &str| root().join("samples").join(name);
    let job = sample("cut-only.toml").to_string_lossy().into_owned();
    let nest = rises(&sample("harbour-nest.dxf"), &[]);
    for (name, options) in [("cut-only.dxf", vec!["--job", &job]), ("seam-layers.dxf", vec![])] {
        // Coordinates are written to 0.0001 mm; a mitre carries them some times as far.
        for (rise, same) in rises(&sample(name), &options).into_iter().zip(nest) {
            assert!((rise - same).abs() < 0.001, "{name}: {rise} in place of {same}");
        }
        let folder = Folder::new();
        let table = folder.write("sizes.csv", b"size,change\n38,20 mm\n");
        report_of(&folder, &sample(name), &table, &options);
        for (rise, same) in rises(&folder.path("out.dxf"), &options).into_iter().zip(nest) {
            assert!((rise - same - 10.0).abs() < 0.001, "{name}: {rise} after, {same} before");
        }
    }
}
