//! What a command costs on a drawing.
#![allow(dead_code, reason = "the bench and the test each use a part")]

use super::kinds::Kind;
use std::path::{Path, PathBuf};
use std::process::{Command, Output, Stdio};
use std::time::Instant;

/// What the program does with a drawing: `follow`, `against` and `derive` are `alter`, `check` and `grade` by their options.
pub const COMMANDS: [&str; 8] = ["measure", "alter", "follow", "check", "against", "plot", "grade", "derive"];

/// The drawing, as each command finds it.
pub const DRAWING: &str = "in.dxf";
/// The rule table, as `grade` finds it.
pub const RULE_TABLE: &str = "rules.rul";
/// The size table, as `alter` finds it.
pub const SIZE_TABLE: &str = "sizes.csv";

/// The most processor time of a run, in seconds, and its memory in bytes, where both are measured.
const PATIENCE: u32 = 120;
const MEMORY: u64 = 12 << 30;

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
    /// The cost at 4n over the cost at n, each less the cost with next to none.
    pub ratio: f64,
    /// The cost at 4n.
    pub cost: f64,
    /// The code the program ended with at 4n.
    pub code: i32,
}

/// What one run took.
#[derive(Clone, Copy, Debug)]
pub struct Taken {
    /// Processor time.
    pub seconds: f64,
    /// The most memory that was in use at once, in bytes.
    pub bytes: f64,
    /// The code the program ended with; -1 where it was broken off.
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
        let meter =
            Meter { program: program.into(), yard, folder, sound: std::fs::read_to_string(sample).unwrap() };
        meter.lay_out();
        meter
    }

    /// Writes the sound drawing and the tables that go with it.
    pub fn lay_out(&self) {
        self.put(DRAWING, &self.sound);
        self.put(RULE_TABLE, RULES);
        self.put(SIZE_TABLE, "size,change\n38,12 mm\n");
    }

    /// Writes one of the files that the commands read.
    pub fn put(&self, file: &str, text: &str) {
        std::fs::write(self.folder.path().join(file), text).unwrap();
    }

    /// A file of a kind with `n` of what it has too many of.
    pub fn drawn(&self, kind: &Kind, n: usize) -> String {
        (kind.draw)(&self.sound, n)
    }

    /// How a command's cost grows from `n` to `4n`, less what it costs with next to none: a drawing that is
    /// refused early lacks what a sound one costs.
    pub fn growth(&self, command: &str, kind: &Kind, n: usize) -> Growth {
        /// This share of `n` is next to none.
        const FEW: usize = 50;
        self.lay_out();
        let cost = |n: usize| {
            self.put(kind.file, &self.drawn(kind, n));
            self.cost(command)
        };
        let (few, _) = cost((n / FEW).max(1));
        let (one, _) = cost(n);
        let (four, code) = cost(4 * n);
        Growth { ratio: (four - few) / (one - few), cost: four, code }
    }

    /// Runs the program, or another with it as the argument, on the files as they lie there.
    pub fn run(&self, mut program: Command, command: &str) -> Output {
        program.current_dir(self.folder.path()).env("NO_COLOR", "1");
        program.args(Meter::arguments(command)).output().unwrap()
    }

    /// The arguments of a command.
    fn arguments(command: &str) -> Vec<&str> {
        let (command, more): (&str, &[&str]) = match command {
            "alter" => ("alter", &["--sizes", SIZE_TABLE, "-o", "out.dxf", "--overwrite"]),
            "follow" => ("alter", &["--sizes", SIZE_TABLE, "-o", "out.dxf", "--overwrite", "--follow"]),
            "against" => ("check", &["--against", DRAWING]),
            "plot" => ("plot", &["--size", "38", "-o", "out.pdf", "--overwrite"]),
            "grade" => ("grade", &["--rules", RULE_TABLE, "-o", "out.dxf", "--overwrite"]),
            "derive" => ("grade", &["--derive-rules", "out.rul", "--overwrite"]),
            other => (other, &[]),
        };
        [&[command, DRAWING, "--threads", "1"], more].concat()
    }

    /// The time and the memory of a command on the files as they lie there.
    pub fn taken(&self, command: &str) -> Taken {
        let mut timed = Command::new("sh");
        let script = format!(
            "ulimit -v {} && ulimit -t {PATIENCE} && exec /usr/bin/time -f '%U %S %M %x' \"$@\"",
            MEMORY >> 10
        );
        timed.args(["-c", &script, "sh"]).arg(&self.program).args(Meter::arguments(command));
        timed.current_dir(self.folder.path()).env("NO_COLOR", "1").stdout(Stdio::null());
        let output = timed.output().unwrap();
        let said = String::from_utf8_lossy(&output.stderr);
        let last = said.lines().last().unwrap_or_default();
        let figures: Vec<f64> = last.split(' ').filter_map(|v| v.parse().ok()).collect();
        let [user, system, kilobytes, _] = figures[..] else { panic!("install GNU time: {said}") };
        // Where a signal ended it, `time` says so and not which.
        let broken = said.contains("Command terminated by signal");
        let code = output.status.code().unwrap_or(-1);
        Taken { seconds: user + system, bytes: kilobytes * 1024.0, code: if broken { -1 } else { code } }
    }

    /// What a command costs on the files as they lie there, and the code it ends with.
    pub fn cost(&self, command: &str) -> (f64, i32) {
        let run = |program: Command| self.run(program, command);
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
