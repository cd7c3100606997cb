//! Drawings with vertices 0.1 to 3 mm apart, exact, rounded, turned, noisy: corners are found where they are, against lengths
//! that a program sharing no code with this one took from the line it drew.

use crate::outside::{python, run, said, truerise};
use std::fs;
use std::path::Path;

/// Measures every NAME.dxf of a folder into NAME.json.
fn measure_all(folder: &Path) {
    for path in fs::read_dir(folder).unwrap().map(|e| e.unwrap().path()) {
        if path.extension().is_none_or(|e| e != "dxf") {
            continue;
        }
        let mut program = truerise();
        program.arg("measure").arg(&path).args(["--format", "json"]);
        if path.file_name().unwrap().to_string_lossy().starts_with("cut") {
            program.args(["--allowance", "all=10mm"]);
        }
        let output = program.output().unwrap();
        assert!(output.status.code().is_some_and(|c| c < 2), "{}: {}", path.display(), said(&output));
        fs::write(path.with_extension("json"), output.stdout).unwrap();
    }
}

#[test]
fn corners_are_found_whatever_the_spacing_of_vertices() {
    let Some(python) = python() else { return };
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().to_string_lossy().into_owned();
    let drawn = run(&python, "dense.py", &["draw", &path]);
    assert!(drawn.status.success(), "{}", said(&drawn));
    measure_all(folder.path());
    let compared = run(&python, "dense.py", &["compare", &path]);
    assert!(compared.status.success(), "{}", said(&compared));
}

/// Where a body measure is asked for, a length that is the noise's stops the size; where a change is asked for it is said.
#[test]
fn a_length_of_noise_is_not_held_against_the_body() {
    let Some(python) = python() else { return };
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().to_string_lossy().into_owned();
    assert!(run(&python, "dense.py", &["draw", &path]).status.success());
    let alter = |row: &str| {
        fs::write(folder.path().join("sizes.csv"), row).unwrap();
        let mut program = truerise();
        program.current_dir(folder.path()).args(["alter", "noise-0.5.dxf", "--sizes", "sizes.csv"]);
        program.args(["--dry-run", "--report", "report.json", "--overwrite", "--quiet"]).output().unwrap();
        fs::read_to_string(folder.path().join("report.json")).unwrap()
    };
    let severity = |report: &str| {
        let report: serde_json::Value = serde_json::from_str(report).unwrap();
        let findings = report["sizes"][0]["findings"].as_array().unwrap().clone();
        let rough = findings.into_iter().find(|f| f["id"] == "line-rough").unwrap();
        (
            rough["severity"].as_str().unwrap().to_owned(),
            report["sizes"][0]["status"].as_str().unwrap().to_owned(),
        )
    };
    let (as_measure, refused) = severity(&alter("size,crotch_length\n40,700mm\n"));
    assert_eq!((as_measure.as_str(), refused.as_str()), ("error", "refused"));
    assert_eq!(severity(&alter("size,change\n40,5mm\n")).0, "warning");
}
