//! What each command writes beside its first file: every form of report, tables and sheets, prints, base sizes, manual pages. All of
//! it goes through the same faults as in `each_call`.

use super::each_call::{OLD, TABLE, every_call, files};
use super::{Files, Job, library};
use crate::common::{plain, small_nest};
use crate::outside::root;

/// Faults of the disk, and ends of the program.
const FAULTS: [&str; 5] = ["ENOSPC", "EIO", "HALF", "KILLHALF", "TERM"];

const REPORTS: [&str; 5] = ["r.txt", "r.json", "r.csv", "r.html", "r.xlsx"];

/// The inputs, with an old file in the place of every result.
fn over_old(inputs: &[(&str, &[u8])], results: &[&str]) -> Files {
    let mut all = files(inputs);
    all.extend(results.iter().map(|name| ((*name).to_owned(), OLD.to_vec())));
    all
}

fn sample(name: &str) -> Vec<u8> {
    std::fs::read(root().join("samples").join(name)).unwrap()
}

/// Meets every fault over old files, and ends of the program where there were none.
fn written(inputs: &[(&str, &[u8])], results: &[&str], line: &'static str, least: usize) {
    if library().is_none() {
        return;
    }
    let job = Job { before: over_old(inputs, results), line };
    let new = job.clean();
    assert!(results.iter().all(|name| new[*name] != OLD), "{line}");
    assert_eq!(new.len(), inputs.len() + results.len(), "{line}");
    assert!(every_call(&job, &FAULTS) >= least);
    let job = Job { before: files(inputs), line };
    assert!(every_call(&job, &["ENOSPC", "KILL"]) >= least / 5);
}

#[test]
fn alter_with_every_report() {
    let reports = [&["out.dxf"][..], &REPORTS].concat();
    written(
        &[("in.dxf", &sample("dialects/fly.dxf")), ("sizes.csv", TABLE)],
        &reports,
        "alter in.dxf --sizes sizes.csv -o out.dxf --report r.txt --report r.json --report r.csv --report r.html \
         --report r.xlsx --say-altered --only-asked --follow --overwrite",
        100,
    );
}

#[test]
fn alter_that_writes_reports_only() {
    written(
        &[("in.dxf", &small_nest()), ("sizes.csv", TABLE)],
        &["r.html"],
        "alter in.dxf --sizes sizes.csv --dry-run --report r.html --overwrite",
        20,
    );
}

#[test]
fn measure_with_every_report() {
    let tolerances: &[u8] = b"measure,plus,minus\nfront rise,3mm,2mm\n";
    let results = [&["sizes.xlsx"][..], &REPORTS].concat();
    written(
        &[("in.dxf", &small_nest()), ("t.csv", tolerances)],
        &results,
        "measure in.dxf --write-sizes sizes.xlsx --report r.txt --report r.json --report r.csv --report r.html \
         --report r.xlsx --tolerance-table t.csv --overwrite",
        100,
    );
}

#[test]
fn sheets_to_take_measures_on() {
    let nest = small_nest();
    let inputs: [(&str, &[u8]); 1] = [("in.dxf", &nest)];
    written(&inputs, &["s.html"], "measure in.dxf --write-sizes s.html --overwrite", 20);
    written(&inputs, &["s.pdf"], "measure in.dxf --write-sizes s.pdf --overwrite", 20);
}

#[test]
fn check_with_every_report() {
    let nest = sample("cut-only.dxf");
    let job = sample("cut-only.toml");
    written(
        &[("in.dxf", &nest), ("old.dxf", &nest), ("truerise.toml", &job)],
        &REPORTS,
        "check in.dxf --against old.dxf --report r.txt --report r.json --report r.csv --report r.html \
         --report r.xlsx --overwrite",
        100,
    );
}

#[test]
fn rules_that_are_read_off_with_the_base_size() {
    let nest = sample("harbour-nest.dxf");
    let few = plain::with_blocks(&nest, "\r\n", |n| n.ends_with("-36") || n.ends_with("-38"));
    written(
        &[("nest.dxf", &few)],
        &["out.rul", "base.dxf"],
        "grade nest.dxf --derive-rules out.rul -o base.dxf --overwrite",
        40,
    );
}

#[test]
fn prints_of_every_size_and_on_a_roll() {
    let nest = small_nest();
    let inputs: [(&str, &[u8]); 1] = [("in.dxf", &nest)];
    written(&inputs, &["out.pdf"], "plot in.dxf --size all --paper a0 -o out.pdf --overwrite", 20);
    written(&inputs, &["out.pdf"], "plot in.dxf --roll 900mm --against in.dxf -o out.pdf --overwrite", 20);
}

#[test]
fn manual_pages() {
    if library().is_none() {
        return;
    }
    let names =
        ["", "-measure", "-alter", "-check", "-batch", "-grade", "-plot", "-schema", "-completions", "-man"];
    let pages: Vec<String> = names.iter().map(|name| format!("truerise{name}.1")).collect();
    let job =
        Job { before: pages.iter().map(|p| (p.clone(), OLD.to_vec())).collect(), line: "man . --overwrite" };
    assert!(job.clean().values().all(|page| page != OLD) && job.clean().len() == names.len());
    assert!(every_call(&job, &["ENOSPC", "HALF", "KILLHALF", "TERM"]) > 50);
}
