//! What a command costs on a drawing.
#![allow(dead_code, reason = "the bench and the test each use a part")]

use std::path::{Path, PathBuf};
use std::process::{Command, Output};
use std::time::Instant;

/// The commands that read a drawing.
pub const COMMANDS: [&str; 5] = ["measure", "alter", "check", "plot", "grade"];

/// Rules for a nest of three sizes.
const RULES: &str = "UNITS: METRIC\nGRADE RULE TABLE: HARBOUR\nSAMPLE SIZE: 38\nNUMBER OF SIZES: 3\nSIZE LIST: 36 38 40\n\
                     RULE: DELTA 1\n-2.0,1.0 0.0,0.0 2.0,-1.0\nEND\n";

/// What is counted.
#[derive(Clone, Copy, Debug)]
pub enum Yard {
    /// Instructions, by valgrind.
    Instructions,
    /// Seconds from start to end; the least of three runs.
    Time,
}

/// How the cost of a kind of drawing grows.
#[derive(Clone, Copy, Debug)]
pub struct Growth {
    /// The cost at 4n over the cost at n, less the cost of the sound drawing.
    pub ratio: f64,
    /// The cost at 4n.
    pub cost: f64,
    /// The code the program ended with at 4n.
    pub code: i32,
}

/// Runs the program and counts.
pub struct Meter {
    program: PathBuf,
    yard: Yard,
    folder: tempfile::TempDir,
    sound: String,
}

impl Meter {
    pub fn new(program: &str, yard: Yard) -> Self {
        let folder = tempfile::tempdir().unwrap();
        let sample = Path::new(env!("CARGO_MANIFEST_DIR")).join("samples/seam-layers.dxf");
        std::fs::write(folder.path().join("rules.rul"), RULES).unwrap();
        std::fs::write(folder.path().join("sizes.csv"), "size,change\n38,12 mm\n").unwrap();
        Meter { program: program.into(), yard, folder, sound: std::fs::read_to_string(sample).unwrap() }
    }

    /// What a command costs on the sound drawing.
    pub fn sound(&self, command: &str) -> f64 {
        self.cost(command, &self.sound).0
    }

    /// How a command's cost, `sound` on the sound drawing, grows from `n` to `4n`.
    pub fn growth(&self, command: &str, sound: f64, draw: fn(&str, usize) -> String, n: usize) -> Growth {
        let (one, _) = self.cost(command, &draw(&self.sound, n));
        let (cost, code) = self.cost(command, &draw(&self.sound, 4 * n));
        Growth { ratio: (cost - sound) / (one - sound), cost, code }
    }

    /// What a command costs, and the code it ends with.
    pub fn cost(&self, command: &str, drawing: &str) -> (f64, i32) {
        let at = |name: &str| self.folder.path().join(name);
        std::fs::write(at("in.dxf"), drawing).unwrap();
        let more: &[&str] = match command {
            "alter" => &["--sizes", "sizes.csv", "-o", "out.dxf", "--overwrite"],
            "plot" => &["--size", "38", "-o", "out.pdf", "--overwrite"],
            "grade" => &["--rules", "rules.rul", "-o", "out.dxf", "--overwrite"],
            _ => &[],
        };
        let run = |mut program: Command| -> Output {
            program.current_dir(self.folder.path()).env("NO_COLOR", "1");
            program.args([command, "in.dxf", "--threads", "1"]).args(more).output().unwrap()
        };
        let code = |output: &Output| {
            let code = output.status.code().unwrap_or(-1);
            assert!((0..=2).contains(&code), "{command}: {}", String::from_utf8_lossy(&output.stderr));
            code
        };
        match self.yard {
            Yard::Instructions => {
                let mut valgrind = Command::new("valgrind");
                valgrind.args(["--tool=cachegrind", "--cache-sim=no", "--cachegrind-out-file=/dev/null"]);
                let output = run({
                    valgrind.arg(&self.program);
                    valgrind
                });
                (instructions(&String::from_utf8_lossy(&output.stderr)), code(&output))
            }
            Yard::Time => {
                let timed = || {
                    let start = Instant::now();
                    let output = run(Command::new(&self.program));
                    (start.elapsed().as_secs_f64(), code(&output))
                };
                (0..3).map(|_| timed()).min_by(|a, b| a.0.total_cmp(&b.0)).unwrap()
            }
        }
    }
}

/// The count in valgrind's summary.
fn instructions(said: &str) -> f64 {
    let line =
        said.lines().find(|l| l.contains("I ") && l.contains("refs:")).unwrap_or_else(|| panic!("{said}"));
    let digits: String = line.rsplit(':').next().unwrap().chars().filter(char::is_ascii_digit).collect();
    digits.parse().unwrap()
}
