//! What may be read, and who gets a place that two runs want. That opening a pipe waits for its other end, and that a lock
//! ends with its program, is POSIX's and the system's word.
#![cfg(unix)]

use crate::batch::{Desk, Running};
use crate::common::small_nest;
use crate::outside::{Folder, root, said, truerise};
use std::fs::File;
use std::io::Write;
use std::process::{Command, Output, Stdio};

const TABLE: &[u8] = b"size,change\n38,10mm\n";

/// Runs the program in a folder, for at most ten seconds: what hangs ends with code 124.
fn within_seconds(folder: &Folder, args: &[&str]) -> Output {
    let mut command = Command::new("timeout");
    command.current_dir(folder.path("")).arg("10").arg(truerise().get_program()).args(args);
    command.stdin(Stdio::null()).output().unwrap()
}

fn laid_out() -> Folder {
    let folder = Folder::new();
    folder.write("in.dxf", &small_nest());
    folder.write("sizes.csv", TABLE);
    let made = Command::new("mkfifo").arg(folder.path("pipe")).status();
    assert!(made.unwrap().success());
    folder
}

/// Both have found the place free before either writes: they wait for a table that is larger than a pipe holds.
#[test]
fn of_two_runs_that_write_one_file_one_wins_and_the_other_says_so() {
    let folder = laid_out();
    let begun = || {
        let mut program = truerise();
        program
            .current_dir(folder.path(""))
            .stdin(Stdio::piped())
            .stderr(Stdio::piped())
            .stdout(Stdio::null());
        let args = ["alter", "in.dxf", "--sizes", "-", "-o", "same.dxf"];
        let mut child = program.args(args).spawn().unwrap();
        let blank = vec![b'\n'; 1 << 20];
        child.stdin.as_mut().unwrap().write_all(&blank).unwrap();
        child
    };
    let ended: Vec<Output> = [begun(), begun()]
        .into_iter()
        .map(|mut child| {
            child.stdin.take().unwrap().write_all(TABLE).unwrap();
            child.wait_with_output().unwrap()
        })
        .collect();
    let codes: Vec<_> = ended.iter().map(|o| o.status.code()).collect();
    assert_eq!(codes, [Some(0), Some(2)], "{}{}", said(&ended[0]), said(&ended[1]));
    assert!(
        said(&ended[1]).contains("same.dxf: ") && said(&ended[1]).contains("there now"),
        "{}",
        said(&ended[1])
    );
    // Nothing is left beside it.
    assert_eq!(folder.contents().len(), 3);
}

#[test]
fn a_second_batch_leaves_the_folder_to_the_first_and_a_killed_one_keeps_nobody_out() {
    let desk = Desk::with_orders(2);
    std::fs::create_dir(desk.path("out")).unwrap();
    let held = File::create(desk.path("out/.lock")).unwrap();
    held.lock().unwrap();
    let run = desk.run("out", &[]);
    assert_eq!(run.status.code(), Some(2), "{}", said(&run));
    assert!(said(&run).contains("another run is at work in this folder"), "{}", said(&run));
    assert!(desk.tree("out").is_empty(), "nothing was begun");
    drop(held);
    let mut killed = Running::start(desk.command("out", &[]).stderr(Stdio::null()).stdout(Stdio::null()));
    killed.0.kill().unwrap();
    killed.0.wait().unwrap();
    let run = desk.run("out", &[]);
    assert_eq!(run.status.code(), Some(0), "{}", said(&run));
}

#[test]
fn shards_of_one_number_share_the_folder_and_others_do_not() {
    let desk = Desk::with_orders(4);
    std::fs::create_dir(desk.path("out")).unwrap();
    let [whole, own] =
        [".lock", ".lock.1-of-2"].map(|name| File::create(desk.path("out").join(name)).unwrap());
    whole.lock_shared().unwrap();
    own.lock().unwrap();
    for (more, code) in [(["--shard", "2/2"], 0), (["--shard", "1/2"], 2), (["--shard", "1/4"], 2)] {
        let run = desk.run("out", &more);
        assert_eq!(run.status.code(), Some(code), "{more:?}: {}", said(&run));
    }
    assert_eq!(desk.run("out", &[]).status.code(), Some(2));
}

#[test]
fn pipes_devices_and_folders_are_refused_and_not_waited_for() {
    let folder = laid_out();
    std::fs::create_dir(folder.path("folder")).unwrap();
    for (bad, says) in
        [("pipe", "is no plain file"), ("/dev/zero", "is no plain file"), ("folder", "is a folder")]
    {
        let lines: [&[&str]; 7] = [
            &["measure", bad],
            &["check", bad],
            &["alter", "in.dxf", "--dry-run", "--sizes", bad],
            &["measure", "in.dxf", "--job", bad],
            &["grade", "in.dxf", "--dry-run", "--rules", bad],
            &["plot", "in.dxf", "--size", "38", "-o", "out.pdf", "--font", bad],
            &["batch", bad, "--out", "out"],
        ];
        for line in lines {
            let run = within_seconds(&folder, line);
            assert_eq!(run.status.code(), Some(2), "{line:?}: {}", said(&run));
            assert!(said(&run).contains(bad) && said(&run).contains(says), "{line:?}: {}", said(&run));
        }
    }
    // In a batch it is the order's own fault.
    folder.write("orders.csv", b"order,drawing,sizes\na,pipe,sizes.csv\nb,in.dxf,pipe\nc,in.dxf,sizes.csv\n");
    let run = within_seconds(&folder, &["batch", "orders.csv", "--out", "out"]);
    assert_eq!(run.status.code(), Some(1), "{}", said(&run));
    assert!(folder.path("out/c/drawing.dxf").exists());
}

#[test]
fn what_is_piped_in_is_read_where_asked_for_and_inputs_have_a_limit() {
    let folder = laid_out();
    let piped = |args: &[&str]| {
        let nest = File::open(root().join("samples/harbour-nest.dxf")).unwrap();
        truerise().current_dir(folder.path("")).args(args).stdin(nest).output().unwrap()
    };
    let run = piped(&["measure", "-"]);
    assert_eq!(run.status.code(), Some(0), "{}", said(&run));
    let run = piped(&["check", "-", "--against", "-"]);
    assert_eq!(run.status.code(), Some(2));
    assert!(said(&run).contains("one file only"), "{}", said(&run));
    // Larger than a megabyte, and of no end.
    folder.write("large.csv", &vec![b'\n'; 1_000_001]);
    for (args, from) in [
        (["alter", "in.dxf", "--dry-run", "--largest-input", "1", "--sizes", "large.csv"], "/dev/null"),
        (["alter", "in.dxf", "--dry-run", "--largest-input", "1", "--sizes", "-"], "/dev/zero"),
    ] {
        let stdin = File::open(from).unwrap();
        let run = truerise().current_dir(folder.path("")).args(args).stdin(stdin).output().unwrap();
        assert_eq!(run.status.code(), Some(2), "{}", said(&run));
        assert!(
            said(&run).contains("larger than 1 MB") && said(&run).contains("--largest-input"),
            "{}",
            said(&run)
        );
    }
}
