//! Shards: parts of a batch that run anywhere, in any order, and are joined.

use super::{Desk, PROGRAM, assert_same, installed};
use crate::outside::{root, said};
use std::collections::BTreeMap;
use std::fs;
use std::path::Path;
use std::process::Command;

/// The results without the summaries of shards, which a single run does not have.
pub fn joined(desk: &Desk, out: &str) -> BTreeMap<String, Vec<u8>> {
    let of_shard = |name: &String| name.starts_with("summary.") && name.contains("-of-");
    desk.tree(out).into_iter().filter(|(name, _)| !of_shard(name)).collect()
}

/// The search path with the program's folder in front.
pub fn path_with_program() -> std::ffi::OsString {
    let own = Path::new(PROGRAM).parent().unwrap().to_owned();
    let path = std::env::var_os("PATH").unwrap_or_default();
    std::env::join_paths(std::iter::once(own).chain(std::env::split_paths(&path))).unwrap()
}

/// Of ten orders, that at position 6 has no drawing yet; it is in shard 3 of 4.
pub const LATE: &str = "order 06,late.dxf";

/// A desk with ten orders, one of which cannot be done before its drawing arrives.
pub fn desk_with_a_late_drawing() -> Desk {
    let desk = Desk::with_orders(10);
    let list = fs::read_to_string(desk.path("orders.csv")).unwrap();
    desk.write("orders.csv", &list.replace("order 06,nest.dxf", LATE));
    desk
}

/// The late drawing arrives.
pub fn arrives(desk: &Desk) {
    fs::copy(desk.path("nest.dxf"), desk.path("late.dxf")).unwrap();
}

#[test]
fn shards_in_any_order_join_to_what_a_single_run_gives() {
    let desk = Desk::with_orders(10);
    assert!(desk.run("single", &[]).status.success());
    let nothing = desk.run("out", &["--collect"]);
    assert_ne!(nothing.status.code(), Some(0));
    for shard in ["3/4", "1/4", "4/4"] {
        let run = desk.run("out", &["--shard", shard]);
        assert_eq!(run.status.code(), Some(0), "{}", said(&run));
    }
    let missing = desk.run("out", &["--collect"]);
    assert_eq!(missing.status.code(), Some(1));
    assert!(said(&missing).contains("shard 2/4 has not finished"), "{}", said(&missing));
    assert!(!said(&missing).contains("shard 1/4") && !desk.path("out/summary.json").exists());

    assert!(desk.run("out", &["--shard", "2/4"]).status.success());
    let whole = desk.run("out", &["--collect"]);
    assert_eq!(whole.status.code(), Some(0), "{}", said(&whole));
    assert_same(&joined(&desk, "out"), &desk.tree("single"));
    // What was done in shards need not be done again in one run.
    assert!(said(&desk.run("out", &[])).contains("10 had been done before"));
}

#[test]
fn shards_of_another_list_are_not_joined() {
    let desk = Desk::with_orders(4);
    for shard in ["1/2", "2/2"] {
        assert!(desk.run("out", &["--shard", shard]).status.success());
    }
    let list = fs::read_to_string(desk.path("orders.csv")).unwrap();
    desk.write("orders.csv", &list.replace("20cm", "hem"));
    assert!(desk.run("out", &["--shard", "1/2"]).status.success());
    let run = desk.run("out", &["--collect"]);
    assert_eq!(run.status.code(), Some(1));
    assert!(said(&run).contains("shard 2/2 ran with another order list"), "{}", said(&run));
}

#[test]
fn what_is_no_shard_is_refused() {
    let desk = Desk::with_orders(1);
    for shard in ["0/4", "5/4", "2", "x"] {
        let run = desk.run("out", &["--shard", shard]);
        assert_eq!(run.status.code(), Some(2));
        assert!(said(&run).contains("such as 2/4"), "{}", said(&run));
    }
}

#[test]
fn four_shards_run_under_gnu_parallel() {
    if !installed(&["parallel"], "parallel") {
        return;
    }
    let desk = desk_with_a_late_drawing();
    let script = root().join("samples/parallel.sh");
    let parallel = |more: &[&str]| {
        let mut command = Command::new("sh");
        command.arg(&script).args(["orders.csv", "out", "4"]).args(more);
        command.current_dir(desk.dir.path()).env("PATH", path_with_program()).env("HOME", desk.dir.path());
        command.output().unwrap()
    };
    let run = parallel(&[]);
    assert_eq!(run.status.code(), Some(1), "{}", said(&run));
    assert!(said(&run).contains("order 'order 06' failed: late.dxf: cannot be read"), "{}", said(&run));
    let other = |name: &str| fs::metadata(desk.path("out").join(name)).unwrap().modified().unwrap();
    let before = ["summary.1-of-4.json", "summary.2-of-4.json", "summary.4-of-4.json"].map(other);

    arrives(&desk);
    let run = parallel(&["3"]);
    assert_eq!(run.status.code(), Some(0), "{}", said(&run));
    let after = ["summary.1-of-4.json", "summary.2-of-4.json", "summary.4-of-4.json"].map(other);
    assert_eq!(after, before, "only shard 3 ran again");
    assert!(desk.run("single", &[]).status.success());
    assert_same(&joined(&desk, "out"), &desk.tree("single"));
}
