//! How fast a large nest is altered, side by side with the same job done by a Python script on `ezdxf` and `numpy`.
//!
//! ```text
//! TRUERISE_PYTHON=path/to/python cargo bench --bench alter [-- --megabytes 20 --rounds 5]
//! ```
//!
//! A plain program, not a statistical harness: whole processes are timed, from start to the file on the disk, the three ways in
//! turn so that a busy machine is busy for all of them. Medians are printed with their ratios, and the peak memory against
//! the size of the file. Nothing fails when a figure is missed.
#![allow(
    clippy::unwrap_used,
    clippy::print_stdout,
    reason = "a program that measures and prints, and stops when it cannot"
)]

mod common;

use common::{CHANGE, median, option};
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};
use std::time::Instant;
use std::{env, fs};

struct Setting {
    megabytes: f64,
    rounds: usize,
    python: PathBuf,
    folder: tempfile::TempDir,
}

fn main() {
    let setting = Setting {
        megabytes: option("--megabytes").unwrap_or(20.0),
        rounds: option("--rounds").unwrap_or(5_usize).max(1),
        python: env::var_os("TRUERISE_PYTHON")
            .expect("set TRUERISE_PYTHON to a Python with ezdxf and numpy")
            .into(),
        folder: tempfile::tempdir().unwrap(),
    };
    let nest = setting.folder.path().join("nest.dxf");
    let bytes = common::draw(&nest, setting.megabytes);
    let sizes = setting.folder.path().join("sizes.csv");
    let count = common::table(&nest, &sizes);
    println!(
        "nest of {:.1} MB, {count} sizes, every one lengthened by {CHANGE} mm; {} rounds",
        bytes as f64 / 1e6,
        setting.rounds
    );

    let mut times = [const { Vec::new() }; 3];
    for _ in 0..setting.rounds {
        for (way, times) in times.iter_mut().enumerate() {
            let out = setting.folder.path().join("out.dxf");
            let _ = fs::remove_file(&out);
            let mut command = way_of(way, &setting, &nest, &sizes, &out);
            let start = Instant::now();
            let status = command.stdout(Stdio::null()).status().unwrap();
            times.push(start.elapsed().as_secs_f64());
            assert!(status.success() && out.exists(), "{}: did not write", NAMES[way]);
        }
    }
    let medians = times.map(median);
    for (name, seconds) in NAMES.iter().zip(medians) {
        println!(
            "  {name:<28} {:>9.1} ms   {:>6.1} MB/s   {:>7.1} times as fast",
            seconds * 1e3,
            bytes as f64 / 1e6 / seconds,
            medians[0] / seconds
        );
    }
    for (way, name) in NAMES.iter().enumerate() {
        let out = setting.folder.path().join("out.dxf");
        let _ = fs::remove_file(&out);
        let peak = peak(&setting.python, &way_of(way, &setting, &nest, &sizes, &out));
        println!("  {name:<28} {:>9.1} MB at most, {:.2} times the file", peak / 1e6, peak / bytes as f64);
    }
}

const NAMES: [&str; 3] = ["Python, ezdxf and numpy", "truerise alter --no-reread", "truerise alter"];

fn way_of(way: usize, setting: &Setting, nest: &Path, sizes: &Path, out: &Path) -> Command {
    if way == 0 {
        let mut command = Command::new(&setting.python);
        command
            .arg(Path::new(env!("CARGO_MANIFEST_DIR")).join("benches/peer_ezdxf.py"))
            .args([nest, sizes, out]);
        return command;
    }
    common::alter(nest, sizes, out, way == 2)
}

/// The peak memory of a process in bytes, as the system counts it for a finished child.
fn peak(python: &Path, command: &Command) -> f64 {
    const CODE: &str = "import resource, subprocess, sys; subprocess.run(sys.argv[1:], check=True, stdout=subprocess.DEVNULL); \
                        print(resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss * 1024)";
    let output = Command::new(python)
        .args(["-c", CODE])
        .arg(command.get_program())
        .args(command.get_args())
        .output()
        .unwrap();
    String::from_utf8_lossy(&output.stdout).trim().parse().unwrap()
}
