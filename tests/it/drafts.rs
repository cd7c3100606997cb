//! Drafts drawn at random, altered, and verified vertex by vertex by a program that shares no code with this one.

use crate::outside::{errors, python, run, said, truerise};
use std::fs;
use std::path::Path;

/// Alters every NAME.dxf of a folder by its NAME.csv; gives the names of those refused, and why.
fn alter_all(folder: &Path) -> Vec<String> {
    let mut refused = Vec::new();
    let mut drawings: Vec<_> = fs::read_dir(folder).unwrap().map(|e| e.unwrap().path()).collect();
    drawings.retain(|p| p.to_string_lossy().ends_with(".dxf") && !p.to_string_lossy().ends_with(".out.dxf"));
    drawings.sort();
    for path in drawings {
        let mut program = truerise();
        program.arg("alter").arg(&path).arg("--sizes").arg(path.with_extension("csv"));
        program.arg("-o").arg(path.with_extension("out.dxf"));
        program.arg("--report").arg(path.with_extension("report.json")).args(["--quiet", "--overwrite"]);
        let output = program.output().unwrap();
        match output.status.code() {
            Some(0) => {}
            Some(1) => refused.extend(errors(&path.with_extension("report.json"))),
            _ => panic!("{}: {}", path.display(), said(&output)),
        }
    }
    refused
}

#[test]
fn random_drafts_hold_what_must_hold() {
    let Some(python) = python() else { return };
    let kept = std::env::var_os("DRAFTS_FOLDER");
    let temporary = tempfile::tempdir().unwrap();
    let folder = kept.as_ref().map_or(temporary.path(), Path::new);
    let count = std::env::var("DRAFTS").unwrap_or("24".to_owned());
    let drawn =
        run(&python, "draft_trousers.py", &[&folder.to_string_lossy(), "--seed", "7", "--count", &count]);
    assert!(drawn.status.success(), "{}", said(&drawn));
    let refused = alter_all(folder);
    let verified = run(&python, "verify_alteration.py", &["--folder", &folder.to_string_lossy()]);
    eprintln!("{}\n{}", refused.join("\n"), said(&verified));
    assert!(verified.status.success(), "{}", said(&verified));
}
