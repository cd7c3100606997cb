//! A drawing that another program saved again is compared by what is drawn.

use crate::outside::{Folder, json, python, root, run, said, truerise};
use serde_json::Value;
use std::fs;

/// The verdict and the ids of what a comparison with the original found.
fn compared(folder: &Folder, drawing: &str, more: &[&str]) -> (String, Vec<String>) {
    let mut program = truerise();
    program.current_dir(folder.path("")).args([
        "check",
        drawing,
        "--against",
        "nest.dxf",
        "--format",
        "json",
    ]);
    let output = program.args(more).output().unwrap();
    assert!(output.status.code().is_some_and(|c| c < 2), "{}", said(&output));
    let report: Value = json(&output.stdout);
    let ids = report["findings"].as_array().unwrap().iter();
    let ids = ids.map(|f| f["id"].as_str().unwrap().to_owned()).collect();
    (report["verdict"].as_str().unwrap().to_owned(), ids)
}

#[test]
fn a_drawing_that_another_program_saved_again_is_the_same() {
    let Some(python) = python() else { return };
    let folder = Folder::new();
    folder.write("nest.dxf", &fs::read(root().join("samples/harbour-nest.dxf")).unwrap());
    let path = |name: &str| folder.path(name).to_string_lossy().into_owned();
    for (name, how) in [("anew.dxf", &[][..]), ("turned.dxf", &["polylines"][..])] {
        let written = run(&python, "written_anew.py", &[&[&*path("nest.dxf"), &path(name)], how].concat());
        assert!(written.status.success(), "{}", said(&written));
        assert_eq!(
            compared(&folder, name, &[]),
            ("pass".to_owned(), vec!["written-anew".to_owned()]),
            "{name}"
        );
        let (verdict, ids) = compared(&folder, name, &["--strict"]);
        assert!(verdict == "fail" && ids.iter().any(|id| id == "changed-elsewhere"), "{name}: {ids:?}");
    }
    // One vertex of the pocket 0.2 mm off is no rounding: it is told, and the other pieces are not.
    let text = fs::read_to_string(folder.path("anew.dxf")).unwrap();
    let pocket = text.find("POCKET-38").and_then(|at| text[at..].find("LWPOLYLINE").map(|i| at + i)).unwrap();
    let x = text[pocket..].find("\n 10\n").map(|i| pocket + i + 5).unwrap();
    let end = x + text[x..].find('\n').unwrap();
    let moved = text[x..end].trim().parse::<f64>().unwrap() + 0.2;
    folder.write("moved.dxf", [&text[..x], &moved.to_string(), &text[end..]].concat().as_bytes());
    let (verdict, ids) = compared(&folder, "moved.dxf", &[]);
    assert!(verdict == "fail" && ids.iter().any(|id| id == "changed-elsewhere"), "{ids:?}");
    assert!(ids.len() < 8, "{ids:?}");
}

/// A drawing of the sizes asked for lacks the others as a whole, which is told once a size and is no fault by itself.
#[test]
fn sizes_that_were_left_out_are_told_once_each() {
    let folder = Folder::new();
    folder.write("nest.dxf", &fs::read(root().join("samples/harbour-nest.dxf")).unwrap());
    folder.write("sizes.csv", b"size,change\n38,10mm\n40,10mm\n");
    let args = ["alter", "nest.dxf", "--sizes", "sizes.csv", "-o", "some.dxf", "--only-asked"];
    let output = truerise().current_dir(folder.path("")).args(args).output().unwrap();
    assert!(output.status.success(), "{}", said(&output));
    let (_, ids) = compared(&folder, "some.dxf", &[]);
    assert_eq!(ids.iter().filter(|id| *id == "size-missing").count(), 5, "{ids:?}");
    assert!(!ids.iter().any(|id| id == "changed-elsewhere"), "{ids:?}");
}
