//! Drafts drawn at random, altered, and verified vertex by vertex by a program that shares no code with this one.

use crate::outside::{python, run, said};
use std::fs;
use std::path::Path;
use truerise::job::{Job, SizeTable};
use truerise::order::{self, Settings};
use truerise::pattern::Reading;

/// Alters every NAME.dxf of a folder by its NAME.csv; gives what was refused and why.
fn alter_all(folder: &Path) -> Vec<String> {
    let mut refused = Vec::new();
    let mut drawings: Vec<_> = fs::read_dir(folder).unwrap().map(|e| e.unwrap().path()).collect();
    drawings.retain(|p| p.to_string_lossy().ends_with(".dxf") && !p.to_string_lossy().ends_with(".out.dxf"));
    drawings.sort();
    for path in drawings {
        let name = path.file_stem().unwrap().to_string_lossy().into_owned();
        let bytes = fs::read(&path).unwrap();
        let job = Job::from_toml("", "", truerise::units::Unit::Mm).unwrap();
        let opened = order::open(&name, &bytes, &bytes, &Reading::default()).unwrap();
        let table = fs::read(path.with_extension("csv")).unwrap();
        let table = SizeTable::from_csv_bytes(&table, "table", opened.unit()).unwrap();
        let altered = order::alter(&opened, &job.labels, &table, &Settings::of(&job), "out").unwrap();
        fs::write(path.with_extension("report.json"), serde_json::to_string_pretty(&altered.report).unwrap()).unwrap();
        match altered.bytes {
            Some(bytes) => fs::write(path.with_extension("out.dxf"), bytes).unwrap(),
            None => {
                for f in altered.report.all_findings().filter(|f| f.severity == truerise::finding::Severity::Error) {
                    refused.push(format!("{name}: {} {:?} {:?}: {}", f.id.as_str(), f.size, f.piece, f.message));
                }
            }
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
    let drawn = run(&python, "draft_trousers.py", &[&folder.to_string_lossy(), "--seed", "7", "--count", &count]);
    assert!(drawn.status.success(), "{}", said(&drawn));
    let refused = alter_all(folder);
    let verified = run(&python, "verify_alteration.py", &["--folder", &folder.to_string_lossy()]);
    eprintln!("{}\n{}", refused.join("\n"), said(&verified));
    assert!(verified.status.success(), "{}", said(&verified));
}
