//! Standard output that takes nothing.

use crate::outside::{Folder, root, truerise};
use std::fs::File;
use std::process::{Command, Output, Stdio};

/// Commands that print, as words after the program's name.
const LINES: [&str; 14] = [
    "measure samples/harbour-nest.dxf",
    "measure samples/harbour-nest.dxf --format json",
    "check samples/harbour-nest.dxf --format csv",
    "alter samples/harbour-nest.dxf --sizes samples/harbour-sizes.csv --dry-run",
    "alter samples/harbour-nest.dxf --sizes samples/harbour-uneven.csv --advise",
    "schema report",
    "measure samples/harbour-nest.dxf --show in",
    "check samples/harbour-nest.dxf --against samples/harbour-nest.dxf",
    "grade samples/harbour-nest.dxf --derive-rules out.rul --dry-run",
    "completions bash",
    "completions zsh",
    "schema check",
    "--help",
    "alter --help",
];

fn run(line: &str, out: Stdio) -> Output {
    let mut program = truerise();
    program.current_dir(root()).args(line.split_whitespace()).stdout(out).stderr(Stdio::piped());
    program.spawn().unwrap().wait_with_output().unwrap()
}

/// As with `truerise … | head`: the reader has gone before anything is printed.
#[test]
fn a_reader_that_has_gone_is_no_error() {
    for line in LINES {
        let mut gone = Command::new("true").stdin(Stdio::piped()).spawn().unwrap();
        let pipe = gone.stdin.take().unwrap();
        gone.wait().unwrap();
        let output = run(line, pipe.into());
        let said = String::from_utf8_lossy(&output.stderr).into_owned();
        assert_eq!((output.status.code(), said.as_str()), (Some(0), ""), "{line}");
    }
}

/// `/dev/full` refuses every write for want of room.
#[test]
fn results_that_cannot_be_printed_are_an_error() {
    for line in LINES {
        let output = run(line, full());
        let said = String::from_utf8_lossy(&output.stderr).into_owned();
        assert_eq!(output.status.code(), Some(2), "{line}: {said}");
        assert!(said.contains("cannot be printed: No space left"), "{line}: {said}");
        assert!(!said.contains("panicked"), "{line}: {said}");
        if line.contains(' ') && !line.contains("help") {
            assert!(said.contains("Print to another place"), "{line}: {said}");
        }
    }
    // Nothing is to be printed, so nothing is missing.
    assert_eq!(run("measure samples/harbour-nest.dxf --quiet", full()).status.code(), Some(0));
}

fn full() -> Stdio {
    File::options().write(true).open("/dev/full").unwrap().into()
}

/// The drawing and its report are whole although the results could not be printed.
#[test]
fn files_are_whole_though_nothing_could_be_printed() {
    let folder = Folder::new();
    let line = "alter samples/harbour-nest.dxf --sizes samples/harbour-sizes.csv";
    let run = |out: Stdio, name: &str| {
        let mut program = truerise();
        program.current_dir(root()).args(line.split_whitespace()).arg("-o").arg(folder.path(name));
        program.stdout(out).output().unwrap()
    };
    let (full, sound) = (run(full(), "full.dxf"), run(Stdio::null(), "sound.dxf"));
    assert_eq!((full.status.code(), sound.status.code()), (Some(2), Some(0)));
    assert!(
        std::fs::read(folder.path("full.dxf")).unwrap() == std::fs::read(folder.path("sound.dxf")).unwrap()
    );
}
