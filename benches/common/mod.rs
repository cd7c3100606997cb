//! What the benchmarks share: drawing a large nest, and a table that changes every size of it.

#![allow(dead_code, reason = "every benchmark uses a part of it")]

use std::path::Path;
use std::process::{Command, Stdio};
use std::{env, fs};

/// What every size is to be lengthened by, in mm.
pub const CHANGE: f64 = 25.4;

/// The value after an option on the command line.
pub fn option<T: std::str::FromStr>(name: &str) -> Option<T> {
    let args: Vec<String> = env::args().collect();
    let at = args.iter().position(|a| a == name)?;
    args.get(at + 1)?.parse().ok()
}

/// Draws a nest of that many megabytes, with more sizes the larger it is; gives its size in bytes.
pub fn draw(nest: &Path, megabytes: f64) -> u64 {
    let cargo = env::var_os("CARGO").unwrap_or("cargo".into());
    let status = Command::new(cargo)
        .args(["run", "--release", "--quiet", "--example", "draw-samples", "--"])
        .args(["--megabytes", &megabytes.to_string(), "--big"])
        .arg(nest)
        .current_dir(env!("CARGO_MANIFEST_DIR"))
        .stdout(Stdio::null())
        .status()
        .unwrap();
    assert!(status.success(), "the nest could not be drawn");
    fs::metadata(nest).unwrap().len()
}

/// Writes a table that changes every size of the nest; gives their number.
pub fn table(nest: &Path, sizes: &Path) -> usize {
    let mut measure = Command::new(env!("CARGO_BIN_EXE_truerise"));
    let output = measure.arg("measure").arg(nest).args(["--format", "json"]).output().unwrap();
    let measured: serde_json::Value = serde_json::from_slice(&output.stdout).unwrap();
    let names: Vec<&str> =
        measured["sizes"].as_array().unwrap().iter().filter_map(|s| s["size"].as_str()).collect();
    let rows: Vec<String> = names.iter().map(|name| format!("{name},{CHANGE}")).collect();
    fs::write(sizes, format!("size,change\n{}\n", rows.join("\n"))).unwrap();
    names.len()
}

/// `truerise alter` of the nest by the table.
pub fn alter(nest: &Path, sizes: &Path, out: &Path, reread: bool) -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_truerise"));
    command.arg("alter").arg(nest).arg("--sizes").arg(sizes).arg("-o").arg(out).arg("--quiet");
    if !reread {
        command.arg("--no-reread");
    }
    command
}

/// The middle one.
pub fn median(mut times: Vec<f64>) -> f64 {
    times.sort_by(f64::total_cmp);
    times[times.len() / 2]
}
