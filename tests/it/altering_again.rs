//! A drawing says that it was altered where that is asked for, and is not altered alike a second time unasked.

use crate::outside::{Folder, json, root, said, truerise};
use std::process::Output;

const TABLE: &[u8] = b"size,change,front_share\n38,1in,50%\n40,-10mm,0.6\n";

fn folder() -> Folder {
    let folder = Folder::new();
    folder.write("nest.dxf", &std::fs::read(root().join("samples/harbour-nest.dxf")).unwrap());
    folder.write("sizes.csv", TABLE);
    folder
}

fn altered(folder: &Folder, from: &str, to: &str, more: &[&str]) -> Output {
    let mut program = truerise();
    program.current_dir(folder.path("")).args([
        "alter",
        from,
        "--sizes",
        "sizes.csv",
        "-o",
        to,
        "--uneven",
        "fork",
    ]);
    program.args(["--format", "json"]).args(more).output().unwrap()
}

/// The severities of what is found of earlier alterations, by size.
fn earlier(run: &Output) -> Vec<(String, String)> {
    let report = json(&run.stdout);
    let sizes = report["sizes"].as_array().unwrap();
    let of = |f: &serde_json::Value| {
        (f["size"].as_str().unwrap().to_owned(), f["severity"].as_str().unwrap().to_owned())
    };
    let all = sizes.iter().flat_map(|s| s["findings"].as_array().unwrap());
    all.filter(|f| f["id"] == "altered-before").map(of).collect()
}

/// Comments are group code 999 (DXF reference, "Group codes in numerical order"); everything else stays the same bytes.
#[test]
fn what_was_done_stands_before_everything_else_where_it_is_asked_for() {
    let folder = folder();
    for (out, more) in [("silent.dxf", &[][..]), ("saying.dxf", &["--say-altered"][..])] {
        let run = altered(&folder, "nest.dxf", out, more);
        assert_eq!(run.status.code(), Some(0), "{}", said(&run));
    }
    let [silent, saying] =
        ["silent.dxf", "saying.dxf"].map(|name| std::fs::read_to_string(folder.path(name)).unwrap());
    let first = "999\naltered by truerise: size 38, front rise +12.700 mm, back rise +12.700 mm\n\
                 999\naltered by truerise: size 40, front rise -6.000 mm, back rise -4.000 mm\n";
    let ends = if silent.contains("\r\n") { first.replace('\n', "\r\n") } else { first.to_owned() };
    assert_eq!(saying.strip_prefix(&ends), Some(silent.as_str()));
    // Another reader passes over it.
    let blocks = |text: &str| dxf::Drawing::load(&mut text.as_bytes()).unwrap().blocks().count();
    assert_eq!(blocks(&saying), blocks(&silent));
    let mut check = truerise();
    check.current_dir(folder.path("")).args([
        "check",
        "saying.dxf",
        "--against",
        "nest.dxf",
        "--format",
        "json",
    ]);
    let found = json(&check.output().unwrap().stdout);
    let elsewhere = found["findings"].as_array().unwrap().iter().filter(|f| f["id"] == "changed-elsewhere");
    assert_eq!(elsewhere.count(), 0, "{found}");
}

#[test]
fn the_same_again_is_asked_for_first_and_anything_else_is_noted() {
    let folder = folder();
    assert_eq!(altered(&folder, "nest.dxf", "once.dxf", &["--say-altered"]).status.code(), Some(0));
    let again = altered(&folder, "once.dxf", "twice.dxf", &[]);
    let pair = |size: &str, severity: &str| (size.to_owned(), severity.to_owned());
    assert_eq!(again.status.code(), Some(1));
    assert_eq!(earlier(&again), [pair("38", "error"), pair("40", "error")]);
    assert!(!folder.path("twice.dxf").exists());
    let accepted =
        altered(&folder, "once.dxf", "twice.dxf", &["--accept", "altered-before", "--say-altered"]);
    assert_eq!(accepted.status.code(), Some(0), "{}", said(&accepted));
    // Each alteration has its own line.
    let twice = std::fs::read_to_string(folder.path("twice.dxf")).unwrap();
    assert_eq!(twice.matches("altered by truerise: size 38, front rise +12.700 mm").count(), 2);
    folder.write("sizes.csv", b"size,change\n38,5mm\n42,5mm\n");
    let other = altered(&folder, "once.dxf", "other.dxf", &[]);
    assert_eq!(
        (other.status.code(), earlier(&other)),
        (Some(0), vec![pair("38", "note")]),
        "{}",
        said(&other)
    );
    // Where nothing is to change, nothing comes on top of what was done.
    folder.write("sizes.csv", b"size,change\n38,0\n42,5mm\n");
    let nothing = altered(&folder, "once.dxf", "nothing.dxf", &[]);
    assert_eq!((nothing.status.code(), earlier(&nothing)), (Some(0), vec![]), "{}", said(&nothing));
}
