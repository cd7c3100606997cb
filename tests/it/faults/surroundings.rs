//! What a run does not choose: the clock, the largest file it may write, other runs at the same time.

use super::each_call::{OLD, TABLE, files};
use super::{Job, library};
use crate::batch::tree;
use crate::common::small_nest;
use crate::outside::{said, truerise};
use std::process::{Child, Command, Stdio};

const ALTER: &str = "alter in.dxf --sizes sizes.csv -o out.dxf --report r.html --report r.xlsx --report r.json --report r.txt \
                     --say-altered --overwrite";

fn job(line: &'static str) -> Job {
    Job { before: files(&[("in.dxf", &small_nest()), ("sizes.csv", TABLE)]), line }
}

/// The same order gives the same bytes whenever and wherever it is run, so that a result can be compared with that of another day.
/// The days are the first that a clock of seconds shows, one of today's, and the last of the century.
#[test]
fn the_clock_changes_no_byte() {
    const DAYS: [&str; 3] = ["0", "1770000000", "4102444799"];
    let Some(library) = library() else { return };
    for line in [
        ALTER,
        "measure in.dxf --write-sizes out.xlsx --report r.xlsx --report r.html",
        "measure in.dxf --write-sizes out.pdf --report r.csv",
        "check in.dxf --report r.html --report r.xlsx",
        "plot in.dxf --size 38 -o out.pdf",
    ] {
        let job = job(line);
        let run = |day: &str, zone: &str| {
            let folder = job.laid_out();
            let mut program = truerise();
            program.current_dir(folder.path()).args(line.split_whitespace());
            program
                .env("LD_PRELOAD", library)
                .env("FAULT_CLOCK", day)
                .env("SOURCE_DATE_EPOCH", day)
                .env("TZ", zone);
            let output = program.output().unwrap();
            assert!(output.status.code().is_some_and(|code| code < 2), "{line}: {}", said(&output));
            tree(folder.path())
        };
        let now = run(DAYS[1], "UTC");
        assert!(now.len() > job.before.len(), "{line}");
        for (day, zone) in [(DAYS[0], "UTC"), (DAYS[2], "Pacific/Kiritimati")] {
            assert!(run(day, zone) == now, "{line}: another day, other bytes");
        }
    }
    // Without this the clock could be one that nobody looks at.
    let date = |day: &str| {
        let mut date = Command::new("date");
        date.arg("+%Y").env("LD_PRELOAD", library).env("FAULT_CLOCK", day).env("TZ", "UTC");
        String::from_utf8(date.output().unwrap().stdout).unwrap().trim().to_owned()
    };
    assert_eq!(DAYS.map(date), ["1970", "2026", "2099"]);
}

/// A shell's `ulimit -f` (POSIX: in units of 512 bytes) sends a signal to whoever writes more than that, and makes the write fail.
#[test]
fn a_file_that_may_not_be_so_large_is_told_and_nothing_is_left() {
    for (line, largest) in
        [(ALTER, "2"), (ALTER, "20"), ("plot in.dxf --size 38 -o out.dxf --overwrite", "4")]
    {
        let mut job = job(line);
        job.before.extend(files(&[("out.dxf", OLD), ("r.html", OLD)]));
        let folder = job.laid_out();
        let mut shell = Command::new("sh");
        shell.args(["-c", &format!("ulimit -f {largest}; exec \"$@\""), "sh"]);
        shell.arg(truerise().get_program()).args(line.split_whitespace()).current_dir(folder.path());
        let output = shell.output().unwrap();
        let told = said(&output);
        assert_eq!(output.status.code(), Some(2), "{line}: {:?} {told}", output.status);
        assert!(told.contains("File too large") && told.contains("make room"), "{told}");
        assert!(tree(folder.path()) == job.before, "{line}: {told}");
    }
}

/// Runs that replace the same files at the same time: each file is the whole one of one of them, and nothing is left beside it.
#[test]
fn of_runs_at_the_same_time_each_file_is_one_of_theirs() {
    const ROUNDS: usize = 6;
    let tables: [&[u8]; 3] = [TABLE, b"size,change\n38,-8mm\n", b"size,change\n38,14mm\n"];
    let line = "-o out.dxf --report r.json --report r.html --overwrite --sizes";
    let started = |folder: &std::path::Path, table: usize| -> Child {
        let mut program = truerise();
        program.current_dir(folder).args(["alter", "in.dxf"]).args(line.split_whitespace());
        program.arg(format!("{table}.csv")).stdout(Stdio::null()).stderr(Stdio::piped()).spawn().unwrap()
    };
    let laid_out = || {
        let mut job = Job { before: files(&[("in.dxf", &small_nest())]), line };
        job.before.extend(tables.iter().enumerate().map(|(i, table)| (format!("{i}.csv"), table.to_vec())));
        job.laid_out()
    };
    let alone: Vec<_> = (0..tables.len())
        .map(|table| {
            let folder = laid_out();
            assert!(started(folder.path(), table).wait().unwrap().success());
            tree(folder.path())
        })
        .collect();
    assert!(alone[0]["out.dxf"] != alone[1]["out.dxf"] && alone[1]["out.dxf"] != alone[2]["out.dxf"]);
    let folder = laid_out();
    for _ in 0..ROUNDS {
        let all: Vec<Child> = (0..tables.len()).map(|table| started(folder.path(), table)).collect();
        for child in all {
            let output = child.wait_with_output().unwrap();
            assert!(output.status.success(), "{}", said(&output));
        }
        let found = tree(folder.path());
        assert!(found.keys().eq(alone[0].keys()), "{:?}", found.keys());
        for (name, bytes) in found {
            assert!(alone.iter().any(|one| one[&name] == bytes), "{name} is nobody's");
        }
    }
}
