//! How the cost of an alteration grows with the drawing, from 1 MB to 200 MB, beside that of copying the file.
//!
//! ```text
//! cargo bench --bench scale [-- --rounds 5]
//! ```
//!
//! Whole processes, from start to the file on the disk, the ways in turn. The copy is made as a new drawing is: written beside
//! its place, brought to the disk, renamed. `cp` beside it only hands the bytes to the system. Medians; what is drawn below is
//! the time for each megabyte, which stays level where the cost is linear.
#![allow(
    clippy::unwrap_used,
    clippy::print_stdout,
    reason = "a program that measures and prints, and stops when it cannot"
)]

mod common;

use std::io::Write;
use std::path::Path;
use std::process::{Command, Stdio};
use std::time::Instant;
use std::{env, fs};

const MEGABYTES: [f64; 8] = [1.0, 2.0, 5.0, 10.0, 20.0, 50.0, 100.0, 200.0];
const WAYS: [&str; 4] = ["cp", "copy to the disk", "alter --no-reread", "alter"];

fn main() {
    let rounds = common::option("--rounds").unwrap_or(5_usize).max(1);
    let folder = tempfile::tempdir_in(env!("CARGO_TARGET_TMPDIR")).unwrap();
    let at = |name: &str| folder.path().join(name);
    let (nest, sizes, out) = (at("nest.dxf"), at("sizes.csv"), at("out.dxf"));
    println!("milliseconds, medians of {rounds}; every size lengthened by {} mm", common::CHANGE);
    println!(
        "{:>8} {:>6} {:>9} {:>17} {:>18} {:>9}   without re-reading, times the copy",
        "MB", "sizes", WAYS[0], WAYS[1], WAYS[2], WAYS[3]
    );
    let mut costs = Vec::new();
    for megabytes in MEGABYTES {
        let bytes = common::draw(&nest, megabytes) as f64 / 1e6;
        let count = common::table(&nest, &sizes);
        let mut times = [const { Vec::new() }; 4];
        for _ in 0..rounds {
            for (way, times) in times.iter_mut().enumerate() {
                let _ = fs::remove_file(&out);
                let begun = Instant::now();
                match way {
                    0 => done(Command::new("cp").arg(&nest).arg(&out)),
                    1 => copy(&nest, &out),
                    way => done(&mut common::alter(&nest, &sizes, &out, way == 3)),
                }
                times.push(begun.elapsed().as_secs_f64() * 1e3);
            }
        }
        let [cp, copy, plain, reread] = times.map(common::median);
        println!(
            "{bytes:>8.1} {count:>6} {cp:>9.1} {copy:>17.1} {plain:>18.1} {reread:>9.1}   {:>6.1} to the disk, {:.1} cp",
            plain / copy,
            plain / cp
        );
        costs.push((bytes, plain / bytes, reread / bytes));
    }
    let most = costs.iter().map(|c| c.2).fold(0.0, f64::max);
    println!("\nms for each MB: = alter --no-reread, - what re-reading adds");
    for (bytes, plain, reread) in costs {
        #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)] // up to 60
        let [plain_bar, bar] = [plain, reread].map(|cost| (cost / most * 60.0).round() as usize);
        println!(
            "{bytes:>8.1} |{}{} {plain:.1} + {:.1}",
            "=".repeat(plain_bar),
            "-".repeat(bar.saturating_sub(plain_bar)),
            reread - plain
        );
    }
}

fn done(command: &mut Command) {
    assert!(command.stdout(Stdio::null()).status().unwrap().success(), "{command:?} failed");
}

fn copy(from: &Path, to: &Path) {
    let bytes = fs::read(from).unwrap();
    let beside = to.with_extension("part");
    let mut file = fs::File::create(&beside).unwrap();
    file.write_all(&bytes).unwrap();
    file.sync_all().unwrap();
    fs::rename(&beside, to).unwrap();
}
