//! Draws the sample drawings, their size tables and their grade rule table.
//!
//! `cargo run --example draw-samples` writes them where they are kept; `--out DIR` writes them elsewhere. The same
//! bytes every time. `--big PATH --megabytes N` writes a nest of about that size instead, for measuring speed.
//! Nothing here uses the library, so that it can be tested against what is drawn here.
#![allow(clippy::print_stdout, reason = "a program that reports what it drew")]
#![allow(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "counts of vertices are small and positive"
)]

mod big;
mod draft;
mod dxf_out;
mod figures;
mod outline;
mod piece;
mod rules;
mod scenario;
mod style;
mod trousers;

use std::path::{Path, PathBuf};
use std::process::ExitCode;
use std::{env, fs};
use style::Style;

/// Distance between the vertices of curves, mm.
const SPACING: f64 = 6.0;

/// What was asked for on the command line.
enum Task {
    Samples(PathBuf),
    Big(PathBuf, f64),
}

fn main() -> ExitCode {
    match task(env::args().skip(1)).and_then(|t| run(&t)) {
        Ok(()) => ExitCode::SUCCESS,
        Err(message) => {
            println!("{message}");
            ExitCode::from(2)
        }
    }
}

fn task(mut args: impl Iterator<Item = String>) -> Result<Task, String> {
    let mut out = Path::new(env!("CARGO_MANIFEST_DIR")).join("samples");
    let (mut big, mut megabytes) = (None, 20.0);
    while let Some(arg) = args.next() {
        let value = args.next().ok_or(format!("{arg} needs a value"))?;
        match arg.as_str() {
            "--out" => out = PathBuf::from(value),
            "--big" => big = Some(PathBuf::from(value)),
            "--megabytes" => {
                megabytes = value
                    .parse()
                    .ok()
                    .filter(|m| (0.5..=1000.0).contains(m))
                    .ok_or(format!("--megabytes {value}: give a number from 0.5 to 1000"))?;
            }
            _ => return Err(format!("{arg}: not known; use --out, --big, --megabytes")),
        }
    }
    Ok(big.map_or(Task::Samples(out), |path| Task::Big(path, megabytes)))
}

fn run(task: &Task) -> Result<(), String> {
    match task {
        Task::Samples(dir) => samples(dir),
        Task::Big(path, megabytes) => write(path, &big::nest(*megabytes)),
    }
}

fn write(path: &Path, text: &str) -> Result<(), String> {
    fs::write(path, text).map_err(|e| format!("{}: cannot be written: {e}", path.display()))?;
    println!("{:>9} bytes  {}", text.len(), path.display());
    Ok(())
}

fn samples(dir: &Path) -> Result<(), String> {
    let sizes = scenario::range();
    let nest: Vec<_> = sizes.iter().flat_map(|&size| trousers::pieces(size, SPACING)).collect();
    let plain: Vec<_> = [36.0, 38.0, 40.0]
        .iter()
        .flat_map(|&size| trousers::pieces(size, SPACING))
        .filter(|p| ["FRONT", "BACK"].contains(&p.name))
        .collect();
    let one: Vec<_> =
        trousers::pieces(38.0, SPACING).into_iter().filter(|p| ["FRONT", "BACK"].contains(&p.name)).collect();
    let files = [
        ("harbour-nest.dxf", dxf_out::drawing(&nest, &Style::USUAL)),
        ("harbour.rul", rules::table(&nest, &sizes)),
        ("harbour-sizes.csv", scenario::size_table()),
        ("harbour-changes.csv", scenario::change_table()),
        ("plain-inch.dxf", dxf_out::drawing(&plain, &Style::PLAIN_INCH)),
        ("cut-only.dxf", dxf_out::drawing(&one, &Style::CUT_ONLY)),
        ("cut-only.toml", scenario::allowances()),
        ("seam-layers.dxf", dxf_out::drawing(&one, &Style::SEAM_LAYERS)),
    ];
    fs::create_dir_all(dir).map_err(|e| format!("{}: cannot be made: {e}", dir.display()))?;
    for (name, text) in files {
        write(&dir.join(name), &text)?;
    }
    print!("{}", figures::table(&sizes, SPACING));
    Ok(())
}
