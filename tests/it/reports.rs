//! Reports of `check` and `measure`, in every form: what they say is what the command says.

use crate::outside::{Folder, json, root, said, truerise};
use calamine::{Data, Range, Reader, Xlsx};
use serde_json::Value;
use std::fs;
use std::io::Cursor;

/// Runs the program in a folder; gives what it printed.
fn run(folder: &Folder, args: &[&str], code: i32) -> Vec<u8> {
    let output = truerise().current_dir(folder.path("")).args(args).output().unwrap();
    assert_eq!(output.status.code(), Some(code), "{args:?}: {}", said(&output));
    output.stdout
}

fn sample(folder: &Folder, from: &str, to: &str) {
    folder.write(to, &fs::read(root().join("samples").join(from)).unwrap());
}

/// A sheet, as another library than the one that wrote it reads it.
fn sheet(bytes: &[u8], name: &str) -> Range<Data> {
    let mut book: Xlsx<_> = Xlsx::new(Cursor::new(bytes.to_vec())).unwrap();
    book.worksheet_range(name).unwrap()
}

#[test]
fn check_reports_every_finding_with_its_place_in_every_form() {
    let folder = Folder::new();
    sample(&folder, "harbour-nest.dxf", "sound.dxf");
    sample(&folder, "shapes/pleats.dxf", "faulty.dxf");
    let mut args = vec!["check", "sound.dxf", "faulty.dxf", "--format", "json"];
    for report in ["r.html", "r.json", "r.csv", "r.txt", "r.xlsx"] {
        args.extend(["--report", report]);
    }
    let printed = run(&folder, &args, 1);
    assert_eq!(fs::read(folder.path("r.json")).unwrap(), printed);
    let both: Value = json(&printed);
    assert_eq!((both[0]["verdict"].as_str(), both[1]["verdict"].as_str()), (Some("pass"), Some("fail")));
    let findings: Vec<&Value> =
        both.as_array().unwrap().iter().flat_map(|r| r["findings"].as_array().unwrap()).collect();
    assert!(findings.len() > 2);

    let page = fs::read_to_string(folder.path("r.html")).unwrap();
    let placed = findings.iter().filter(|f| !f["at"].is_null()).count();
    assert!(placed > 0);
    assert_eq!(page.matches("class=\"ring\"").count(), placed);
    for f in &findings {
        assert!(page.contains(&format!("<code>{}</code>", f["id"].as_str().unwrap())));
    }
    // The ring stands where the finding says, Y running down on a page.
    let at = findings.iter().find_map(|f| f["at"].as_array()).unwrap();
    let written = |v: f64| format!("{:.4}", v + 0.0);
    let circle =
        format!("cx=\"{}\" cy=\"{}\"", written(at[0].as_f64().unwrap()), written(-at[1].as_f64().unwrap()));
    assert!(page.contains(&circle), "{circle}");
    assert!(page.contains("Looked at and found right") && page.contains("Signature"));
    // What was found wrong is not among what was found right.
    let of_faulty = page.rsplit("<h2>faulty.dxf</h2>").next().unwrap();
    assert!(of_faulty.contains("<code>outseam-mismatch</code>"));
    assert!(!of_faulty.contains("Front and back outseams can be sewn together"));

    let book = fs::read(folder.path("r.xlsx")).unwrap();
    assert_eq!(sheet(&book, "Findings").height(), findings.len() + 1);
    assert_eq!(fs::read_to_string(folder.path("r.csv")).unwrap().lines().count(), findings.len() + 1);
    assert!(fs::read_to_string(folder.path("r.txt")).unwrap().contains("faulty.dxf"));

    // Nothing is replaced unasked, and a report is never an input.
    run(&folder, &["check", "sound.dxf", "--report", "r.csv"], 2);
    run(&folder, &["check", "sound.dxf", "--report", "r.csv", "--overwrite"], 0);
    run(&folder, &["check", "sound.dxf", "faulty.dxf", "--against", "sound.dxf"], 2);
    run(&folder, &["check", "sound.dxf", "--report", "r.doc"], 2);
}

/// Steps are differences (arithmetic), and a tolerance stands where the table gives one: 1/4 in is 6.35 mm.
#[test]
fn the_list_of_measures_has_steps_and_tolerances() {
    let folder = Folder::new();
    sample(&folder, "harbour-nest.dxf", "nest.dxf");
    folder.write("t.csv", b"measure,plus,minus\nfront rise,1/4in,3\n");
    let args = ["measure", "nest.dxf", "--format", "json", "--report", "m.xlsx", "--report", "m.html"];
    let printed = run(&folder, &[&args[..], &["--tolerance-table", "t.csv"]].concat(), 0);
    let sizes = json(&printed)["sizes"].as_array().unwrap().clone();
    let rise = |i: usize| sizes[i]["measures"]["front"]["rise_mm"].as_f64().unwrap();
    let book = fs::read(folder.path("m.xlsx")).unwrap();
    let (list, steps) = (sheet(&book, "Measures"), sheet(&book, "Steps"));
    let row = |range: &Range<Data>| -> Vec<Data> {
        range.rows().find(|r| r[0] == Data::String("front_rise_mm".into())).unwrap().to_vec()
    };
    let near = |cell: &Data, value: f64| matches!(cell, Data::Float(v) if (v - value).abs() < 2e-3);
    for i in 0..sizes.len() {
        assert!(near(&row(&list)[i + 1], rise(i)), "{i}");
        assert!(i == 0 || near(&row(&steps)[i + 1], rise(i) - rise(i - 1)), "{i}");
    }
    assert!(near(&row(&list)[sizes.len() + 1], 3.0) && near(&row(&list)[sizes.len() + 2], 6.35));
    let page = fs::read_to_string(folder.path("m.html")).unwrap();
    assert!(page.contains("Size 38") && page.contains("measured"));
    run(&folder, &["measure", "nest.dxf", "--tolerance-table", "t.csv"], 2);
}

#[test]
fn an_alteration_is_reported_as_a_spreadsheet() {
    let folder = Folder::new();
    sample(&folder, "harbour-nest.dxf", "nest.dxf");
    sample(&folder, "harbour-changes.csv", "changes.csv");
    let args = ["alter", "nest.dxf", "--sizes", "changes.csv", "--dry-run", "--format", "json"];
    let report = json(&run(&folder, &[&args[..], &["--report", "a.xlsx"]].concat(), 0));
    let book = fs::read(folder.path("a.xlsx")).unwrap();
    let sizes = report["sizes"].as_array().unwrap();
    assert_eq!(sheet(&book, "Sizes").height(), sizes.len() + 1);
    let measures = sheet(&book, "Measures");
    for size in sizes {
        for when in ["before", "after"] {
            let length = size[when]["crotch_length_mm"].as_f64().unwrap();
            let is = |r: &&[Data]| r[1] == *size["size"].as_str().unwrap() && r[2] == *when;
            let row = measures.rows().find(is).unwrap();
            assert!(matches!(row[3], Data::Float(v) if (v - length).abs() < 2e-3), "{row:?}");
        }
    }
}

#[test]
fn a_page_made_ahead_says_that_nothing_was_written_and_names_no_file_to_hand_on() {
    let folder = Folder::new();
    sample(&folder, "harbour-nest.dxf", "nest.dxf");
    sample(&folder, "harbour-sizes.csv", "sizes.csv");
    let alter = ["alter", "nest.dxf", "--sizes", "sizes.csv", "--report", "r.html"];
    run(&folder, &[&alter[..], &["--dry-run"]].concat(), 0);
    let ahead = fs::read_to_string(folder.path("r.html")).unwrap();
    run(&folder, &[&alter[..], &["-o", "new.dxf", "--overwrite"]].concat(), 0);
    let done = fs::read_to_string(folder.path("r.html")).unwrap();
    for (page, is_ahead) in [(ahead, true), (done, false)] {
        assert_eq!(page.contains("no drawing was written"), is_ahead);
        assert_eq!(page.contains("sizes would be altered"), is_ahead);
        assert_eq!(page.contains("on to marker making, with this page"), !is_ahead);
    }
}

/// The right front of the sample is drawn 3 mm shorter at the waist than the left one (`tests/python/shapes.py`).
#[test]
fn left_and_right_are_measured_each() {
    let folder = Folder::new();
    sample(&folder, "shapes/right-front-with-a-lower-waist.dxf", "legs.dxf");
    let args = ["measure", "legs.dxf", "--format", "json", "--report", "r.csv", "--report", "r.html"];
    let report: Value = json(&run(&folder, &args, 0));
    let size = &report["sizes"][0];
    let [other] = size["other_sides"].as_array().unwrap().as_slice() else { panic!("{size}") };
    let rise = |measures: &Value, part: &str| measures[part]["rise_mm"].as_f64().unwrap();
    assert!((rise(&size["measures"], "front") - rise(other, "front") - 3.0).abs() < 1e-3, "{size}");
    assert!((rise(&size["measures"], "back") - rise(other, "back")).abs() < 1e-3, "{size}");
    assert_eq!(other["front"]["block"], "FRONT-R-38");
    let table = fs::read_to_string(folder.path("r.csv")).unwrap();
    assert!(table.lines().count() == 3 && table.contains("38 (FRONT-R-38, BACK-R-38)"), "{table}");
    assert!(fs::read_to_string(folder.path("r.html")).unwrap().contains("38 (FRONT-R-38, BACK-R-38)"));
    let words = String::from_utf8(run(&folder, &["measure", "legs.dxf"], 0)).unwrap();
    assert!(words.contains("FRONT-R-38"), "{words}");
}
