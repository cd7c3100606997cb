//! Running a batch again: only what is missing or has changed is done.

use super::{Desk, assert_same, sound_orders};
use crate::outside::{json, said};
use std::collections::BTreeMap;
use std::fs;
use std::time::SystemTime;

/// When each order's fingerprint was written: it is written anew whenever the order is done.
fn done_at(desk: &Desk) -> BTreeMap<String, SystemTime> {
    let times = desk.tree("out").into_keys().filter(|name| name.ends_with("/fingerprint.json"));
    times
        .map(|name| (name.clone(), fs::metadata(desk.path("out").join(name)).unwrap().modified().unwrap()))
        .collect()
}

/// The orders that were done by running the batch again.
fn done_again(desk: &Desk) -> Vec<String> {
    let before = done_at(desk);
    let run = desk.run("out", &[]);
    assert_eq!(run.status.code(), Some(0), "{}", said(&run));
    let after = done_at(desk).into_iter();
    let anew = after.filter(|(name, at)| before.get(name) != Some(at));
    anew.map(|(name, _)| name.trim_end_matches("/fingerprint.json").to_owned()).collect()
}

#[test]
fn only_what_changed_is_done_again() {
    // The orders 00 and 03 share a size table, 01 and 02 the other.
    let desk = Desk::with_orders(4);
    assert_eq!(done_again(&desk), ["order 00", "order 01", "order 02", "order 03"]);
    let clean = desk.tree("out");
    assert_eq!(done_again(&desk), [""; 0]);
    // A word about settings in a row.
    let list = fs::read_to_string(desk.path("orders.csv")).unwrap();
    desk.write("orders.csv", &list.replace("22cm", "hem"));
    assert_eq!(done_again(&desk), ["order 02"]);
    desk.write("orders.csv", &list);
    assert_eq!(done_again(&desk), ["order 02"]);
    // A size table.
    desk.write("shorter.csv", "size,change\n36,-6mm\n38,-7mm\n");
    assert_eq!(done_again(&desk), ["order 00", "order 03"]);
    desk.write("shorter.csv", "size,change\n36,-6mm\n38,-8mm\n");
    assert_eq!(done_again(&desk), ["order 00", "order 03"]);
    // A job file that appears beside the drawing.
    desk.write("truerise.toml", "[tolerance]\ninseam = \"2 mm\"\n");
    assert_eq!(done_again(&desk).len(), 4);
    fs::remove_file(desk.path("truerise.toml")).unwrap();
    assert_eq!(done_again(&desk).len(), 4);
    assert_same(&desk.tree("out"), &clean);
    // The drawing, in a way that changes no line.
    let mut nest = fs::read(desk.path("nest.dxf")).unwrap();
    nest.splice(0..0, *b"999\nlooked through\n");
    fs::write(desk.path("nest.dxf"), nest).unwrap();
    assert_eq!(done_again(&desk).len(), 4);
}

#[test]
fn what_is_missing_damaged_or_too_many_is_put_right() {
    let desk = Desk::with_orders(2);
    assert!(desk.run("out", &[]).status.success());
    let clean = desk.tree("out");
    for name in clean.keys() {
        let path = desk.path("out").join(name);
        for bytes in [None, Some(Vec::new()), Some([b"x", &clean[name][1..]].concat())] {
            match bytes {
                None => fs::remove_file(&path).unwrap(),
                Some(bytes) => fs::write(&path, bytes).unwrap(),
            }
            let expected = name.split_once('/').map(|(order, _)| order.to_owned());
            assert_eq!(done_again(&desk), expected.into_iter().collect::<Vec<_>>(), "{name}");
            assert_same(&desk.tree("out"), &clean);
        }
    }
}

#[test]
fn what_a_killed_run_left_beside_its_files_is_cleared_away() {
    let desk = Desk::with_orders(1);
    assert!(desk.run("out", &[]).status.success());
    let clean = desk.tree("out");
    for name in clean.keys() {
        let (folder, file) = name.rsplit_once('/').unwrap_or((".", name));
        desk.write(&format!("out/{folder}/.{file}.a1B2c3"), "half");
    }
    assert!(desk.run("out", &[]).status.success());
    assert_same(&desk.tree("out"), &clean);
    // What is somebody's own stays.
    for name in [".drawing.dxf.bak", ".notes.a1B2c3", "notes.txt"] {
        desk.write(&format!("out/order 00/{name}"), "somebody's");
    }
    assert!(desk.run("out", &[]).status.success());
    assert_eq!(desk.tree("out").len(), clean.len() + 3);
}

#[test]
fn an_order_that_fails_now_leaves_no_drawing_of_before() {
    let desk = Desk::with_orders(2);
    assert!(desk.run("out", &[]).status.success());
    let list = fs::read_to_string(desk.path("orders.csv")).unwrap();
    let failing = list.replace("nest.dxf,longer.csv,21cm", "gone.dxf,longer.csv,21cm");
    desk.write("orders.csv", &failing);
    for _ in 0..2 {
        assert_eq!(desk.run("out", &[]).status.code(), Some(1));
        assert!(!desk.path("out/order 01/drawing.dxf").exists());
        assert!(desk.path("out/order 00/drawing.dxf").exists());
    }
    assert_eq!(desk.run("clean", &[]).status.code(), Some(1));
    assert_same(&desk.tree("out"), &desk.tree("clean"));
}

/// The names of the orders in a summary, those of earlier runs with a star.
fn told_of(desk: &Desk) -> Vec<String> {
    let summary = json(&fs::read(desk.path("out/summary.json")).unwrap());
    let name = |o: &serde_json::Value| {
        let star = if o["earlier"] == true { "*" } else { "" };
        format!("{}{star}", o["order"].as_str().unwrap())
    };
    summary["orders"].as_array().unwrap().iter().map(name).collect()
}

#[test]
fn a_run_of_some_orders_goes_on_telling_of_the_others() {
    let head = "order,drawing,sizes\n";
    let [a, b, c] = ["a,nest.dxf,longer.csv\n", "b,gone.dxf,longer.csv\n", "c,nest.dxf,shorter.csv\n"];
    let desk = Desk::new(&[head, a, b, c].concat());
    assert_eq!(desk.run("out", &[]).status.code(), Some(1));
    let before = desk.tree("out");

    // What failed was not this run's: all of this run passed.
    desk.write("orders.csv", &[head, c].concat());
    let run = desk.run("out", &[]);
    assert_eq!(run.status.code(), Some(0), "{}", said(&run));
    assert!(said(&run).contains("1 order: 1 passed, 0 failed"), "{}", said(&run));
    assert!(said(&run).contains("with 2 orders of earlier runs, marked as such"), "{}", said(&run));
    assert!(!said(&run).contains("order 'b' failed"), "{}", said(&run));
    assert_eq!(told_of(&desk), ["a*", "b*", "c"]);
    let summary = json(&fs::read(desk.path("out/summary.json")).unwrap());
    let count = |key: &str| summary[key].as_u64().unwrap();
    assert_eq!((count("passed"), count("failed"), count("earlier")), (1, 0, 2));
    assert_eq!((&summary["verdict"], &summary["orders"][1]["verdict"]), (&"pass".into(), &"fail".into()));
    let rows = fs::read_to_string(desk.path("out/summary.csv")).unwrap();
    let rows: Vec<&str> = rows.lines().map(|row| row.rsplit_once(',').unwrap().1).collect();
    assert_eq!(rows, ["earlier", "yes", "yes", ""]);
    let index = fs::read_to_string(desk.path("out/index.html")).unwrap();
    assert!(
        index.contains("<h1>1 of 1 orders passed</h1>") && index.contains("2 orders more, marked as earlier")
    );
    assert_eq!(index.matches("</b> (earlier)</td>").count(), 2, "{index}");
    assert!(index.contains("\"./a/report.html\""));

    // Twice is as once, and all of them again as at first.
    desk.run("out", &[]);
    assert_eq!(told_of(&desk), ["a*", "b*", "c"]);
    desk.write("orders.csv", &[head, a, b, c].concat());
    assert_eq!(desk.run("out", &[]).status.code(), Some(1));
    assert_same(&desk.tree("out"), &before);

    // A failure is replaced by what came of its mending.
    desk.write("orders.csv", &[head, "B,nest.dxf,longer.csv\n"].concat());
    assert_eq!(desk.run("out", &[]).status.code(), Some(0));
    assert_eq!(told_of(&desk), ["B", "a*", "c*"]);
}

#[test]
fn earlier_orders_are_told_of_while_their_results_stand_only() {
    let desk = Desk::with_orders(4);
    assert!(desk.run("out", &[]).status.success());
    fs::remove_dir_all(desk.path("out/order 00")).unwrap();
    desk.write("out/order 01/drawing.dxf", "another's");
    let list = sound_orders(4);
    let (header, rows) = list.split_once('\n').unwrap();
    desk.write("orders.csv", &format!("{header}\n{}\n", rows.lines().last().unwrap()));
    let run = desk.run("out", &[]);
    assert_eq!(run.status.code(), Some(0), "{}", said(&run));
    assert_eq!(told_of(&desk), ["order 02*", "order 03"]);
    let told = String::from_utf8_lossy(&run.stderr).into_owned();
    assert!(told.contains("order 'order 01' of an earlier run is left out of the summary"), "{told}");
    assert!(!told.contains("order 00"), "{told}");
    assert_eq!(fs::read(desk.path("out/order 01/drawing.dxf")).unwrap(), b"another's");
}
