//! Every command that writes, with every call on a file going wrong in turn.

use super::{Files, Job, Met, library};
use crate::batch::{assert_same, tree};
use crate::common::plain;
use crate::common::small_nest;
use crate::outside::{root, said};
use serde_json::Value;

pub const OLD: &[u8] = b"yesterday's work";
pub const TABLE: &[u8] = b"size,change\n38,10mm\n";

pub fn files(list: &[(&str, &[u8])]) -> Files {
    list.iter().map(|(name, bytes)| ((*name).to_owned(), bytes.to_vec())).collect()
}

/// Whether every file is the one before or the one of a clean run, whole, and there is no other.
fn old_or_new(met: &Met, found: &Files, before: &Files, new: &Files) {
    for (name, bytes) in found {
        let one_of = [before, new].iter().any(|files| files.get(name) == Some(bytes));
        assert!(one_of, "{}: {name} is neither the old file nor the new one", met.told());
    }
    for name in before.keys() {
        assert!(found.contains_key(name), "{}: {name} is gone", met.told());
    }
}

/// What holds after a call failed: exit code 2 and a message that says what, where and what to do, old files or new
/// ones, nothing left beside them.
fn failed(met: &Met, before: &Files, new: &Files) {
    let said = String::from_utf8_lossy(&met.output.stderr).into_owned();
    if met.code() == 0 {
        // Whose the file is does not matter as much as that it is there.
        assert!(met.after == *new && met.call == "owner", "{}", met.told());
        return;
    }
    assert_eq!(met.code(), 2, "{}", met.told());
    let (of_system, to_do): (&str, &[&str]) = match met.kind {
        "ENOSPC" | "HALF" => ("No space left on device", &["make room"]),
        "EROFS" => ("Read-only file system", &["use a folder that can be written"]),
        "ENOENT" => ("No such file", &["check the path", "make the folder first"]),
        _ => ("Input/output error", &["run it again"]),
    };
    assert!(said.contains(of_system), "{}", met.told());
    assert!(to_do.iter().any(|to_do| said.contains(to_do)), "{}", met.told());
    assert!(new.keys().any(|name| said.contains(&format!("{name}: "))), "names no file: {}", met.told());
    old_or_new(met, &met.after, before, new);
    let changed = met.after != *before;
    let says_so = said.contains("written before it") || said.contains("is written, but");
    assert_eq!(changed, says_so, "{}", met.told());
}

/// What holds after a signal: all old, or all new where the files were taking their places already.
fn signalled(met: &Met, before: &Files, new: &Files) {
    let stopped = if met.kind == "TERM" { 143 } else { 130 };
    match met.code() {
        0 => assert!(met.after == *new, "{}", met.told()),
        code => {
            assert_eq!(code, stopped, "{}", met.told());
            assert!(met.after == *before, "{}", met.told());
        }
    }
}

/// Runs the faults of these kinds; gives how many runs met one.
pub fn every_call(job: &Job, kinds: &[&'static str]) -> usize {
    let new = job.clean();
    let mut runs = 0;
    for &kind in kinds {
        for met in job.meet_each(kind) {
            runs += 1;
            match kind {
                "TERM" | "INT" => signalled(&met, &job.before, &new),
                "KILL" | "KILLHALF" => {
                    assert_eq!(met.code(), 137, "{}", met.told());
                    old_or_new(&met, &met.without_strays(&new), &job.before, &new);
                    let again = job.run(met.folder.path(), None);
                    assert!(again.status.success(), "after {}", met.told());
                    let after = Met { after: tree(met.folder.path()), ..met };
                    assert!(after.without_strays(&new) == new, "after {}", after.told());
                }
                _ => failed(&met, &job.before, &new),
            }
        }
    }
    eprintln!("{runs} faults: {}", job.line);
    runs
}

#[test]
fn alter() {
    if library().is_none() {
        return;
    }
    let job = Job {
        before: files(&[
            ("in.dxf", &small_nest()),
            ("sizes.csv", TABLE),
            ("out.dxf", OLD),
            ("report.json", OLD),
        ]),
        line: "alter in.dxf --sizes sizes.csv -o out.dxf --report report.json --overwrite",
    };
    let all = ["ENOSPC", "EROFS", "EIO", "ENOENT", "HALF", "KILL", "KILLHALF", "TERM", "INT"];
    assert!(every_call(&job, &all) > 100);
    // Where nothing was before, there is the whole file or none.
    let job = Job {
        before: files(&[("in.dxf", &small_nest()), ("sizes.csv", TABLE)]),
        line: "alter in.dxf --sizes sizes.csv -o out.dxf --overwrite",
    };
    assert!(every_call(&job, &["ENOSPC", "EIO", "HALF", "KILL", "KILLHALF", "TERM"]) > 30);
}

#[test]
fn measure() {
    if library().is_none() {
        return;
    }
    let job = Job {
        before: files(&[("in.dxf", &small_nest()), ("table.csv", OLD)]),
        line: "measure in.dxf --write-sizes table.csv --overwrite",
    };
    assert!(every_call(&job, &["ENOSPC", "EROFS", "EIO", "HALF", "KILL", "KILLHALF", "TERM"]) > 20);
}

#[test]
fn grade() {
    if library().is_none() {
        return;
    }
    let sample = std::fs::read(root().join("samples/harbour-nest.dxf")).unwrap();
    let base = plain::with_blocks(&sample, "\r\n", |n| n.ends_with("-38"));
    let rules = std::fs::read(root().join("samples/harbour.rul")).unwrap();
    let job = Job {
        before: files(&[("base.dxf", &base), ("rules.rul", &rules), ("nest.dxf", OLD)]),
        line: "grade base.dxf --rules rules.rul --deltas base --size 36 -o nest.dxf --overwrite",
    };
    assert!(every_call(&job, &["ENOSPC", "HALF", "KILL", "KILLHALF", "TERM"]) > 20);
}

#[test]
fn plot() {
    if library().is_none() {
        return;
    }
    let job = Job {
        before: files(&[("in.dxf", &small_nest()), ("out.pdf", OLD)]),
        line: "plot in.dxf --size 38 -o out.pdf --overwrite",
    };
    assert!(every_call(&job, &["ENOSPC", "HALF", "KILLHALF"]) > 5);
}

fn batch_job(before: &[(&str, &[u8])]) -> Job {
    let list = b"order,drawing,sizes\nfirst,in.dxf,sizes.csv\n";
    let mut all = files(&[("in.dxf", &small_nest()), ("orders.csv", list)]);
    all.extend(files(before));
    Job { before: all, line: "batch orders.csv --out results --threads 1" }
}

/// Whatever went wrong, the same command gives what a clean run gives.
fn goes_on(job: &Job, kinds: &[&'static str]) -> usize {
    let new = job.clean();
    let mut runs = 0;
    for &kind in kinds {
        for met in job.meet_each(kind) {
            runs += 1;
            broken_off(&met, &job.before, &new);
            let again = job.run(met.folder.path(), None);
            assert!(again.status.success(), "after {}: {}", met.told(), said(&again));
            assert_same(&tree(met.folder.path()), &new);
        }
    }
    eprintln!("{runs} faults: {}", job.line);
    runs
}

/// The exit code says what happened, and every file is the old one or the new one.
fn broken_off(met: &Met, before: &Files, new: &Files) {
    let (expected, found): (&[i32], _) = match met.kind {
        "KILL" => (&[137], met.without_strays(new)),
        "TERM" => (&[143], met.after.clone()),
        _ => (&[1, 2], met.after.clone()),
    };
    // What is only read to see whether an order had been done before is not missed.
    assert!(expected.contains(&met.code()) || met.after == *new, "{}", met.told());
    for (name, bytes) in &found {
        // An empty one says no more than that the folder is the batch's own.
        let begun = name.ends_with("/fingerprint.json") && bytes.is_empty();
        let one_of = [before, new].iter().any(|files| files.get(name) == Some(bytes));
        // These tell of what failed in this run.
        let summary =
            ["results/summary.json", "results/summary.csv", "results/index.html"].contains(&name.as_str());
        assert!(
            begun || one_of || (summary && met.code() == 1),
            "{}: {name} is neither old nor new",
            met.told()
        );
    }
    if met.code() == 1 {
        let summary: Value = serde_json::from_slice(&found["results/summary.json"]).unwrap();
        assert_eq!(summary["verdict"], "fail", "{}", met.told());
    }
}

#[test]
fn batch() {
    if library().is_none() {
        return;
    }
    assert!(goes_on(&batch_job(&[("sizes.csv", TABLE)]), &["TERM"]) > 25);
}

#[test]
fn batch_over_results_of_yesterday() {
    if library().is_none() {
        return;
    }
    let mut yesterday = batch_job(&[("sizes.csv", b"size,change\n38,-5mm\n")]);
    yesterday.before = yesterday.clean();
    yesterday.before.extend(files(&[("sizes.csv", TABLE)]));
    assert!(goes_on(&yesterday, &["ENOSPC", "HALF", "KILL"]) > 50);
}
