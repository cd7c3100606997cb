//! Instructions, not seconds: what each command costs for each byte of drawing, counted by valgrind, which a busy machine does
//! not disturb, beside what it cost when the figures were last written down.
//!
//! ```text
//! cargo bench --bench instructions            # counts and compares with benches/instructions.csv
//! cargo bench --bench instructions -- --write # counts and writes it
//! cargo bench --bench instructions -- --hot   # and names the functions that the instructions are spent in
//! ```
//!
//! Two nests are counted and subtracted, so that starting the program does not count. Another compiler counts otherwise:
//! compare with figures of the same one.
#![allow(
    clippy::unwrap_used,
    clippy::print_stdout,
    reason = "a program that measures and prints, and stops when it cannot"
)]

mod common;

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use std::process::Command;
use std::{env, fs};

const COMMANDS: [&str; 4] = ["measure", "alter --no-reread", "alter", "check"];

fn main() {
    let folder = tempfile::tempdir_in(env!("CARGO_TARGET_TMPDIR")).unwrap();
    let known = read();
    let mut counted = BTreeMap::new();
    let nests: Vec<(PathBuf, PathBuf, u64)> = [0.5, 2.0]
        .iter()
        .map(|&megabytes| {
            let nest = folder.path().join(format!("{megabytes}.dxf"));
            let sizes = nest.with_extension("csv");
            let bytes = common::draw(&nest, megabytes);
            common::table(&nest, &sizes);
            (nest, sizes, bytes)
        })
        .collect();
    println!("{:<20} {:>16} {:>12} {:>8}", "command", "instructions/B", "before", "ratio");
    for command in COMMANDS {
        let count = |(nest, sizes, _): &(PathBuf, PathBuf, u64)| count(folder.path(), command, nest, sizes);
        let per_byte = (count(&nests[1]) - count(&nests[0])) / (nests[1].2 - nests[0].2) as f64;
        let before = known.get(command).copied();
        let ratio = before.map_or_else(|| "-".to_owned(), |b| format!("{:.3}", per_byte / b));
        println!(
            "{command:<20} {per_byte:>16.1} {:>12} {ratio:>8}",
            before.map_or_else(|| "-".to_owned(), |b| format!("{b:.1}"))
        );
        if env::args().any(|a| a == "--hot") {
            hot(folder.path());
        }
        counted.insert(command.to_owned(), per_byte);
    }
    if env::args().any(|a| a == "--write") {
        let rows: Vec<String> = COMMANDS.iter().map(|c| format!("{c},{:.1}", counted[*c])).collect();
        fs::write(place(), format!("command,instructions_per_byte\n{}\n", rows.join("\n"))).unwrap();
    }
}

fn place() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("benches/instructions.csv")
}

fn read() -> BTreeMap<String, f64> {
    let text = fs::read_to_string(place()).unwrap_or_default();
    let rows = text.lines().skip(1).filter_map(|row| row.split_once(','));
    rows.filter_map(|(command, count)| Some((command.to_owned(), count.parse().ok()?))).collect()
}

/// The instructions of a whole run with one thread.
fn count(folder: &Path, command: &str, nest: &Path, sizes: &Path) -> f64 {
    let out = folder.join("out.dxf");
    let _ = fs::remove_file(&out);
    let mut words = command.split(' ');
    let mut valgrind = Command::new("valgrind");
    valgrind.args(["--tool=callgrind", "--error-exitcode=99"]);
    valgrind.arg(format!("--callgrind-out-file={}", folder.join("callgrind").display()));
    valgrind.arg(env!("CARGO_BIN_EXE_truerise")).arg(words.next().unwrap()).arg(nest);
    if command.starts_with("alter") {
        valgrind.arg("--sizes").arg(sizes).arg("-o").arg(&out);
    }
    let output = valgrind.args(words).args(["--threads", "1", "--quiet"]).output().unwrap();
    let said = String::from_utf8_lossy(&output.stderr);
    let collected = said.lines().find_map(|line| line.split_once("Collected :"));
    let count = collected.and_then(|(_, count)| count.trim().parse().ok());
    count.unwrap_or_else(|| panic!("{command} was not counted: {said}"))
}

/// The functions that most instructions are spent in, those of what they call not counted.
fn hot(folder: &Path) {
    let output = Command::new("callgrind_annotate").arg(folder.join("callgrind")).output().unwrap();
    let said = String::from_utf8_lossy(&output.stdout);
    let rows = said.lines().skip_while(|line| !line.contains("file:function")).skip(2);
    for row in rows.take(12) {
        let (cost, function) = row.split_once(" ???:").unwrap_or((row, ""));
        println!("    {} {}", cost.trim(), function.split(" [").next().unwrap_or_default());
    }
}
