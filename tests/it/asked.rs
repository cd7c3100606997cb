//! What was asked for and what was not, as it is told.

use crate::common;
use crate::outside::{Folder, json, root, said, truerise};
use serde_json::Value;
use std::process::Output;

const SIZES: [&str; 7] = ["34", "36", "38", "40", "42", "44", "46"];

/// Alters the sample nest by a table, without writing a drawing.
fn tried(folder: &Folder, table: &str, more: &[&str]) -> Output {
    let table = folder.write("sizes.csv", table.as_bytes());
    let mut program = truerise();
    program
        .arg("alter")
        .arg(root().join("samples/harbour-nest.dxf"))
        .arg("--sizes")
        .arg(table)
        .arg("--dry-run");
    let run = program.args(more).output().unwrap();
    assert_eq!(run.status.code(), Some(0), "{}", said(&run));
    run
}

fn told(folder: &Folder, table: &str, more: &[&str]) -> Value {
    json(&tried(folder, table, &[more, &["--format", "json"]].concat()).stdout)
}

/// The sizes that are said to have been left alone.
fn left_alone(report: &Value) -> Vec<&str> {
    let sizes = report["sizes"].as_array().unwrap();
    let alone = |s: &&Value| s["findings"].as_array().unwrap().iter().any(|f| f["id"] == "left-alone");
    sizes.iter().filter(alone).map(|s| s["size"].as_str().unwrap()).collect()
}

fn full_table() -> String {
    SIZES.iter().fold("size,change\n".to_owned(), |table, size| format!("{table}{size},8mm\n"))
}

#[test]
fn sizes_that_the_table_lacks_are_left_alone_and_said_so_in_one_line() {
    let folder = Folder::new();
    let table = "size,change\n38,8mm\n42,8mm\n";
    let report = told(&folder, table, &[]);
    assert_eq!(left_alone(&report), ["34", "36", "40", "44", "46"]);
    for size in report["sizes"].as_array().unwrap() {
        let alone = left_alone(&report).contains(&size["size"].as_str().unwrap());
        assert_eq!(size["status"], if alone { "unchanged" } else { "altered" });
        assert!(!size["findings"].to_string().contains("size-missing"), "{size}");
    }
    let text = said(&tried(&folder, table, &[]));
    assert_eq!(text.matches("[left-alone]").count(), 1, "{text}");
    assert!(
        text.contains("note [left-alone] sizes 34, 36, 40, 44, 46: the size table does not ask"),
        "{text}"
    );
}

#[test]
fn of_sizes_that_were_left_out_by_the_option_nothing_is_found() {
    let folder = Folder::new();
    for table in [full_table(), "size,change\n38,8mm\n42,8mm\n".to_owned()] {
        let report = told(&folder, &table, &["--size", "38"]);
        let sizes = report["sizes"].as_array().unwrap();
        assert_eq!(sizes.len(), SIZES.len());
        for size in sizes.iter().filter(|s| s["size"] != "38") {
            assert_eq!((&size["status"], &size["findings"]), (&"unchanged".into(), &Value::Array(vec![])));
        }
        let text = said(&tried(&folder, &table, &["--size", "38"]));
        assert!(!text.contains("34:") && !text.contains("left-alone"), "{text}");
    }
}

#[test]
fn a_row_that_asks_for_a_change_shows_no_body_measure() {
    let folder = Folder::new();
    let table = "size,change,crotch_length,ease,waistband\n38,8mm,,,\n40,,580mm,,\n42,8mm,,10mm,30mm\n";
    let page = folder.path("page.html");
    let report = told(&folder, table, &["--report", page.to_str().unwrap()]);
    let asked = |at: usize| &report["sizes"][at]["asked"];
    assert_eq!((&asked(0)["crotch_length_mm"], &asked(0)["change_mm"]), (&Value::Null, &8.0.into()));
    assert_eq!(asked(1)["crotch_length_mm"], 580.0);
    assert_eq!((&asked(2)["crotch_length_mm"], &asked(2)["change_mm"]), (&Value::Null, &8.0.into()));

    let text = said(&tried(&folder, table, &[]));
    let body = |size: &str| {
        let row =
            text.lines().find(|l| l.starts_with(&format!("{size} ")) && l.ends_with("altered")).unwrap();
        row.split_whitespace().nth(1).unwrap()
    };
    assert_eq!(["38", "40", "42"].map(body), ["–", "580.00", "–"]);
    let rows = said(&tried(&folder, table, &["--format", "csv"]));
    let mut rows = csv::Reader::from_reader(rows.as_bytes());
    let column = rows.headers().unwrap().iter().position(|head| head == "body_mm").unwrap();
    let bodies: Vec<String> = rows.records().map(|row| row.unwrap()[column].to_owned()).take(3).collect();
    assert_eq!(bodies, ["", "580.000", ""]);

    // The plot has one body measure, and its key says what that is; without any there is nothing of it.
    let dots = |page: &str| page.matches("<path class=\"dot\" d=\"M-6 0L0 -6").count();
    let both = std::fs::read_to_string(&page).unwrap();
    assert!(dots(&both) == 1 && both.contains("</svg> body measure"));
    tried(&folder, "size,change\n38,8mm\n", &["--report", page.to_str().unwrap(), "--overwrite"]);
    let changes = std::fs::read_to_string(&page).unwrap();
    assert!(dots(&changes) == 0 && !changes.contains("</svg> body measure"));
}

#[test]
fn a_dry_run_writes_what_its_help_says() {
    let folder = Folder::new();
    let help = |command: &str| {
        let told = said(&truerise().args([command, "--help"]).output().unwrap());
        let words: Vec<&str> = told.split_whitespace().collect();
        let words = words.join(" ");
        let (_, after) = words.split_once("--dry-run ").unwrap();
        after.split(" --").next().unwrap().to_owned()
    };
    assert!(help("alter").contains("write no drawing; reports"), "{}", help("alter"));
    assert!(help("grade").contains("write no file"), "{}", help("grade"));

    let report = folder.path("report.json");
    tried(
        &folder,
        &full_table(),
        &["-o", folder.path("new.dxf").to_str().unwrap(), "--report", report.to_str().unwrap()],
    );
    assert!(json(&std::fs::read(&report).unwrap())["output"].is_null());
    assert_eq!(folder.contents().into_keys().collect::<Vec<_>>(), ["report.json", "sizes.csv"]);

    let mut program = truerise();
    program.current_dir(root().join("samples"));
    program.args(["grade", "harbour-nest.dxf", "--dry-run", "--derive-rules"]).arg(folder.path("rules.rul"));
    assert!(matches!(program.output().unwrap().status.code(), Some(0 | 1)));
    assert!(!folder.path("rules.rul").exists());
}

/// The limit is set a hundred-thousandth of a millimetre below what the program measured itself, for shares that pull the inseams
/// apart however they are counted.
#[test]
fn a_limit_that_is_broken_by_a_hair_does_not_look_met_in_any_unit() {
    let folder = Folder::new();
    let table = "size,change,front_share\n38,8mm,55%\n";
    let report = told(&folder, table, &["--size", "38"]);
    let size = report["sizes"].as_array().unwrap().iter().find(|s| s["size"] == "38").unwrap();
    let difference = |when: &str| size[when]["inseam_difference_mm"].as_f64().unwrap();
    let opened = (difference("after") - difference("before")).abs();
    let limit = format!("{:.6}mm", opened - 0.000_01);
    for unit in ["mm", "cm", "in"] {
        let mut program = truerise();
        program
            .arg("alter")
            .arg(root().join("samples/harbour-nest.dxf"))
            .arg("--sizes")
            .arg(folder.path("sizes.csv"));
        program.args(["--dry-run", "--size", "38", "--tolerance", &limit, "--show", unit]);
        let run = program.output().unwrap();
        assert_eq!(run.status.code(), Some(1), "{}", said(&run));
        let text = said(&run);
        let (before, after) = text.split_once(&format!(" {unit} apart (at most ")).unwrap();
        let number = |text: &str| text.parse::<f64>().unwrap();
        let apart = number(before.rsplit(' ').next().unwrap());
        let most = number(after.split(' ').next().unwrap());
        assert!(apart > most, "{unit}: {apart} does not break {most}: {text}");
    }
}

/// With `--only-asked` the new drawing has the sizes asked for, their blocks the same bytes as without it, and pieces of
/// every size; the original's other blocks and placings are gone, as another reader sees it too.
#[test]
fn only_the_sizes_asked_for_are_written_where_that_is_asked() {
    let folder = Folder::new();
    folder.write("nest.dxf", &std::fs::read(root().join("samples/harbour-nest.dxf")).unwrap());
    folder.write("sizes.csv", b"size,change\n38,10mm\n40,0\n");
    let alter = |out: &str, more: &[&str]| {
        let mut program = truerise();
        program.current_dir(folder.path("")).args(["alter", "nest.dxf", "--sizes", "sizes.csv", "-o", out]);
        let output = program.args(more).output().unwrap();
        assert_eq!(output.status.code(), Some(0), "{}", said(&output));
        std::fs::read(folder.path(out)).unwrap()
    };
    let (all, some) = (alter("all.dxf", &[]), alter("some.dxf", &["--only-asked"]));
    let blocks = |bytes: &[u8]| -> Vec<(String, String)> {
        let text = std::str::from_utf8(bytes).unwrap();
        let (_, blocks, _) = common::blocks(text);
        blocks.iter().map(|(name, block)| ((*name).to_owned(), (*block).to_owned())).collect()
    };
    let wanted =
        |(name, _): &(String, String)| !["34", "36", "42", "44", "46"].iter().any(|s| name.ends_with(s));
    let expected: Vec<_> = blocks(&all).into_iter().filter(wanted).collect();
    assert!(expected.len() == 10 && blocks(&some) == expected);
    let read = dxf::Drawing::load(&mut std::io::Cursor::new(&some)).unwrap();
    let placed =
        read.entities().filter(|e| matches!(e.specific, dxf::entities::EntityType::Insert(_))).count();
    assert_eq!((placed, read.blocks().filter(|b| !b.name.starts_with('*')).count()), (10, 10));
    let check = truerise().current_dir(folder.path("")).args(["check", "some.dxf"]).output().unwrap();
    assert_eq!(check.status.code(), Some(0), "{}", said(&check));
}
