//! The program itself: grade, alter, read the rules off, grade again.

use crate::common::plain::{self, near};
use crate::common::sha256;
use crate::outside::{json, root, said, truerise};
use std::path::Path;
use std::process::Output;

/// The sample's base size in a folder of its own.
fn folder() -> tempfile::TempDir {
    let dir = tempfile::tempdir().unwrap();
    let sample = std::fs::read(root().join("samples/harbour-nest.dxf")).unwrap();
    let base = plain::with_blocks(&sample, "\r\n", |n| n.ends_with("-38"));
    std::fs::write(dir.path().join("base.dxf"), base).unwrap();
    for name in ["harbour.rul", "harbour-changes.csv"] {
        std::fs::copy(root().join("samples").join(name), dir.path().join(name)).unwrap();
    }
    dir
}

fn run(dir: &Path, line: &str) -> Output {
    truerise().current_dir(dir).args(line.split_whitespace()).output().unwrap()
}

fn done(dir: &Path, line: &str) {
    let out = run(dir, line);
    assert_eq!(out.status.code(), Some(0), "{line}: {}", said(&out));
}

#[test]
fn an_altered_nest_is_stored_as_base_and_rules() {
    let dir = folder();
    let dir = dir.path();
    let read = |name: &str| std::fs::read(dir.join(name)).unwrap();
    done(dir, "grade base.dxf --rules harbour.rul --deltas base -o nest.dxf");
    done(dir, "grade nest.dxf --derive-rules again.rul");
    // The table that comes back says besides what its deltas are counted from.
    let again = String::from_utf8(read("again.rul")).unwrap();
    let (head, rest) = again.split_once("DELTAS: FROM THE SAMPLE SIZE\r\n").unwrap();
    assert!([head, rest].concat().as_bytes() == read("harbour.rul"));

    // In two steps and in one: the same drawing.
    done(dir, "alter nest.dxf --sizes harbour-changes.csv -o altered.dxf");
    done(dir, "alter base.dxf --rules harbour.rul --deltas base --sizes harbour-changes.csv -o one.dxf");
    assert!(read("one.dxf") == read("altered.dxf"));

    done(dir, "grade altered.dxf --derive-rules altered.rul");
    let base = plain::with_blocks(&read("altered.dxf"), "\r\n", |n| n.ends_with("-38"));
    std::fs::write(dir.join("altered-base.dxf"), base).unwrap();
    done(dir, "grade altered-base.dxf --rules altered.rul -o altered-nest.dxf");
    // Counted from size to size the table says so, and gives the same nest.
    done(dir, "grade altered.dxf --derive-rules step.rul --deltas step");
    assert!(String::from_utf8(read("step.rul")).unwrap().contains("DELTAS: FROM SIZE TO SIZE\r\n"));
    done(dir, "grade altered-base.dxf --rules step.rul -o step-nest.dxf");
    let against = run(dir, "grade altered-base.dxf --rules step.rul --deltas base -o against.dxf");
    assert!(
        said(&against).contains("the table's head says that its deltas are counted otherwise"),
        "{}",
        said(&against)
    );
    let (one, other) = (plain::blocks(&read("altered-nest.dxf")), plain::blocks(&read("step-nest.dxf")));
    for (name, block) in &one {
        let there = plain::graded(&other[name]);
        for (key, at) in plain::graded(block) {
            assert!(near(there[&key], at) <= 0.01, "{name}");
        }
    }
    let (ours, wanted) = (plain::blocks(&read("altered-nest.dxf")), plain::blocks(&read("altered.dxf")));
    let unaltered = plain::blocks(&read("nest.dxf"));
    let (mut worst, mut moved) = (0.0f64, 0.0f64);
    for (name, block) in &wanted {
        let (found, before) = (plain::graded(&ours[name]), plain::graded(&unaltered[name]));
        for (key, at) in plain::graded(block) {
            worst = worst.max(near(found[&key], at));
            moved = moved.max(near(before[&key], at));
        }
    }
    assert!(moved > 10.0, "{moved} mm");
    assert!(worst <= 0.01, "{worst} mm");
}

/// A nest in which one number stands at points that move differently is stored as a base with new numbers and its rules; graded
/// again, every numbered point is where it was.
#[test]
fn points_that_share_a_rule_and_move_unlike_get_new_numbers() {
    let dir = folder();
    let dir = dir.path();
    let nest = std::fs::read_to_string(root().join("samples/harbour-nest.dxf")).unwrap();
    std::fs::write(dir.join("shared.dxf"), nest.replace("# 5\r\n", "# 4\r\n")).unwrap();
    let told = run(dir, "grade shared.dxf --derive-rules told.rul");
    assert_eq!(told.status.code(), Some(1), "{}", said(&told));
    assert!(said(&told).contains("points of rule 4 do not move alike"), "{}", said(&told));

    let written = run(dir, "grade shared.dxf --derive-rules new.rul -o base-new.dxf --format json");
    assert_eq!(written.status.code(), Some(0), "{}", said(&written));
    let written = json(&written.stdout);
    let hashed = |name: &str| sha256(&dir.join(name));
    for (what, name) in [("output", "new.rul"), ("base", "base-new.dxf")] {
        assert_eq!((&written[what]["path"], &written[what]["sha256"]), (&name.into(), &hashed(name).into()));
    }
    let read = |name: &str| std::fs::read(dir.join(name)).unwrap();
    let (shared, new) = (plain::blocks(&read("shared.dxf")), plain::blocks(&read("base-new.dxf")));
    let names: Vec<&String> = shared.keys().filter(|name| name.ends_with("-38")).collect();
    assert_eq!(new.keys().collect::<Vec<_>>(), names, "the base size and no other");
    // Of the bytes of the base nothing changed but numbers of rules.
    let lines = |bytes: &[u8]| -> Vec<String> {
        String::from_utf8(bytes.to_vec()).unwrap().lines().map(str::to_owned).collect()
    };
    let base = lines(&plain::with_blocks(&read("shared.dxf"), "\r\n", |n| n.ends_with("-38")));
    let ours = lines(&read("base-new.dxf"));
    assert_eq!(base.len(), ours.len());
    let changed: Vec<(&String, &String)> = base.iter().zip(&ours).filter(|(a, b)| a != b).collect();
    assert!(
        !changed.is_empty() && changed.iter().all(|(a, b)| *a == "# 4" && b.starts_with("# ")),
        "{changed:?}"
    );

    done(dir, "grade base-new.dxf --rules new.rul --deltas base -o again.dxf");
    let (again, mut worst) = (plain::blocks(&read("again.dxf")), 0.0_f64);
    for (name, block) in &shared {
        let places = |block| plain::graded(block).into_values().collect::<Vec<_>>();
        let found = places(&again[name]);
        for at in places(block) {
            worst = worst.max(found.iter().map(|p| near(*p, at)).fold(f64::INFINITY, f64::min));
        }
    }
    assert!(worst <= 0.01, "{worst} mm");
    let out = run(dir, "grade shared.dxf --derive-rules new.rul -o shared.dxf --overwrite");
    assert!(said(&out).contains("the input is never overwritten"), "{}", said(&out));
}

#[test]
fn nothing_is_guessed_or_overwritten() {
    let dir = folder();
    let dir = dir.path();
    let refused = |line: &str, part: &str| {
        let out = run(dir, line);
        assert_eq!(out.status.code(), Some(2), "{line}: {}", said(&out));
        assert!(said(&out).contains(part), "{line}: {}", said(&out));
    };
    refused("grade base.dxf --rules harbour.rul -o nest.dxf", "say --deltas base or --deltas step");
    refused(
        "grade base.dxf --rules harbour.rul --deltas base -o base.dxf --overwrite",
        "the input is never overwritten",
    );
    refused(
        "grade base.dxf --rules harbour.rul --deltas base -o harbour.rul --overwrite",
        "the input is never overwritten",
    );
    refused("grade base.dxf --rules harbour.rul --deltas base", "--output");
    refused("grade base.dxf -o nest.dxf", "--rules");
    refused(
        "grade base.dxf --rules harbour.rul --deltas base --size 50 -o nest.dxf",
        "not in the rule table",
    );
    refused("grade base.dxf --derive-rules new.rul", "rules can only be read off a nest");
    refused("grade base.dxf --rules harbour-changes.csv -o nest.dxf", "harbour-changes.csv:1:1");
    refused(
        "alter base.dxf --deltas base --sizes harbour-changes.csv -o nest.dxf",
        "give the table with --rules",
    );
    assert!(!dir.join("nest.dxf").exists() && !dir.join("new.rul").exists());

    done(dir, "grade base.dxf --rules harbour.rul --deltas base --size 42 -o nest.dxf");
    let nest = std::fs::read(dir.join("nest.dxf")).unwrap();
    assert_eq!(plain::blocks(&nest).len(), 10);
    refused("grade base.dxf --rules harbour.rul --deltas base -o nest.dxf", "--overwrite to replace it");
    assert!(std::fs::read(dir.join("nest.dxf")).unwrap() == nest);

    // A rule that is missing is a finding; the drawing is not written, unless the finding is accepted.
    let rules = std::fs::read_to_string(dir.join("harbour.rul")).unwrap();
    std::fs::write(dir.join("short.rul"), rules.replace("RULE: DELTA 3\r\n", "RULE: DELTA 999\r\n")).unwrap();
    let out = run(dir, "grade base.dxf --rules short.rul --deltas base -o short.dxf --format json");
    assert_eq!(out.status.code(), Some(1), "{}", said(&out));
    let report = json(&out.stdout);
    assert_eq!((&report["verdict"], &report["output"]), (&"fail".into(), &serde_json::Value::Null));
    assert!(
        report["findings"]
            .as_array()
            .unwrap()
            .iter()
            .any(|f| f["id"] == "rule-missing" && f["severity"] == "error")
    );
    assert!(!dir.join("short.dxf").exists());
    done(
        dir,
        "grade base.dxf --rules short.rul --deltas base -o short.dxf --accept rule-missing --accept allowance-uneven",
    );
    assert!(dir.join("short.dxf").exists());
}

/// A nest is looked over before it takes its place: a delta mistyped by a factor of ten, and deltas from the base taken for
/// steps, are refused with what `check` finds in the same nest.
#[test]
fn a_nest_that_the_look_over_fails_is_not_written() {
    let dir = folder();
    let dir = dir.path();
    let rules = std::fs::read_to_string(dir.join("harbour.rul")).unwrap();
    assert_eq!(rules.matches("-8.3275,").count(), 1);
    std::fs::write(dir.join("typed.rul"), rules.replace("-8.3275,", "-88.3275,")).unwrap();
    for (line, size) in [
        ("grade base.dxf --rules typed.rul --deltas base -o nest.dxf", "34"),
        ("grade base.dxf --rules harbour.rul --deltas step -o nest.dxf", "46"),
        ("alter base.dxf --rules typed.rul --deltas base --sizes harbour-changes.csv -o nest.dxf", "34"),
    ] {
        let out = run(dir, line);
        assert_eq!(out.status.code(), Some(1), "{line}: {}", said(&out));
        assert!(!dir.join("nest.dxf").exists(), "{line}");
        let text = said(&out);
        assert!(text.contains("error") && text.contains(size), "{line}: {text}");
        // By the program's own check, the nest written all the same.
        let ids = ["grade-step", "inseam-mismatch", "outseam-mismatch", "notch-mismatch", "fork-angle"];
        let more = ["corner-not-square", "allowance-uneven", "seam-ambiguous", "notch-off-edge"];
        let accept: String = ids.iter().chain(&more).map(|id| format!(" --accept {id}")).collect();
        if line.starts_with("grade") {
            done(dir, &format!("{line}{accept}"));
            assert_eq!(run(dir, "check nest.dxf").status.code(), Some(1), "{line}");
            std::fs::remove_file(dir.join("nest.dxf")).unwrap();
        }
    }
}

/// What is wrong with the base already is no fault of grading: it is told of once and the nest is written.
#[test]
fn faults_of_the_base_do_not_stop_its_nest() {
    let dir = folder();
    let dir = dir.path();
    let base = std::fs::read_to_string(dir.join("base.dxf")).unwrap();
    std::fs::write(dir.join("base.dxf"), base.replacen("Quantity: 2", "Quantity: none", 1)).unwrap();
    assert_eq!(run(dir, "check base.dxf").status.code(), Some(1));
    let out = run(dir, "grade base.dxf --rules harbour.rul --deltas base -o nest.dxf");
    assert_eq!(out.status.code(), Some(0), "{}", said(&out));
    assert_eq!(said(&out).matches("label-missing").count(), 1, "{}", said(&out));
    assert!(dir.join("nest.dxf").exists());
}
