//! Lengths in the unit that a person asks for, in texts, pages and prints; what programs read stays in mm.
//!
//! The inch is 25.4 mm by the agreement of 1959; the tape is parted into thirty-seconds. Fractions are read back here by
//! their own few lines.

use crate::outside::{Folder, root, said, truerise};
use serde_json::Value;

fn run(folder: &Folder, args: &[&str]) -> String {
    let output = truerise().current_dir(folder.path("")).env("COLUMNS", "200").args(args).output().unwrap();
    assert_eq!(output.status.code(), Some(0), "{}", said(&output));
    String::from_utf8(output.stdout).unwrap()
}

fn nest() -> String {
    root().join("samples/harbour-nest.dxf").to_string_lossy().into_owned()
}

fn table() -> String {
    root().join("samples/harbour-sizes.csv").to_string_lossy().into_owned()
}

/// `24 3/8`, `-1/8`, `7` in mm.
fn of_tape(text: &str) -> f64 {
    let (sign, text) =
        text.strip_prefix(['-', '−']).map_or((1.0, text.trim_start_matches('+')), |rest| (-1.0, rest));
    let part = |part: &str| match part.split_once('/') {
        Some((above, below)) => {
            let below: f64 = below.parse().unwrap();
            assert!([2.0, 4.0, 8.0, 16.0, 32.0].contains(&below), "{text}");
            let above: f64 = above.parse().unwrap();
            assert!(above % 2.0 != 0.0 && above < below, "{text} is not in its lowest terms");
            above / below
        }
        None => part.parse().unwrap(),
    };
    sign * 25.4 * text.split(' ').map(part).sum::<f64>()
}

#[test]
fn measures_in_inches_are_fractions_to_a_thirty_second() {
    let folder = Folder::new();
    let json: Value =
        serde_json::from_str(&run(&folder, &["measure", &nest(), "--show", "in", "--format", "json"]))
            .unwrap();
    let plain: Value =
        serde_json::from_str(&run(&folder, &["measure", &nest(), "--format", "json"])).unwrap();
    assert_eq!(json, plain);
    let text = run(&folder, &["measure", &nest(), "--show", "in"]);
    assert!(text.contains("Lengths on the sew lines, in inches."), "{text}");
    let rows = text.lines().skip(3).take(json["sizes"].as_array().unwrap().len());
    for (row, size) in rows.zip(json["sizes"].as_array().unwrap()) {
        // Columns are parted by two blanks, a whole number and its fraction by one.
        let cells: Vec<&str> = row.split("  ").map(str::trim).filter(|cell| !cell.is_empty()).collect();
        assert_eq!(cells[0], size["size"].as_str().unwrap());
        let paths = [
            "/measures/crotch_length_mm",
            "/measures/front/rise_mm",
            "/measures/back/rise_mm",
            "/measures/front/inseam_mm",
            "/measures/back/inseam_mm",
            "/measures/inseam_difference_mm",
        ];
        for (cell, path) in cells[1..].iter().zip(paths) {
            let off = of_tape(cell) - size.pointer(path).unwrap().as_f64().unwrap();
            assert!(off.abs() <= 25.4 / 64.0 + 1e-3, "{path}: {cell} is {off} mm off");
        }
    }
    // Centimetres, and mm of a drawing in inches.
    let text = run(&folder, &["measure", &nest(), "--show", "cm"]);
    assert!(text.contains("in cm.") && text.contains(" 54.29 "), "{text}");
    let inch = root().join("samples/plain-inch.dxf").to_string_lossy().into_owned();
    let text = run(&folder, &["measure", &inch, "--show", "mm"]);
    assert!(text.contains("in mm."), "{text}");
    assert!(run(&folder, &["measure", &inch]).contains("in inches."));
}

#[test]
fn an_alteration_is_told_in_inches_everywhere() {
    let folder = Folder::new();
    let alter = |more: &[&str]| {
        let (nest, table) = (nest(), table());
        let args = [
            "alter",
            nest.as_str(),
            "--sizes",
            &table,
            "--overwrite",
            "--report",
            "r.txt",
            "--report",
            "r.html",
        ];
        run(
            &folder,
            &[&args[..], &["--report", "r.json", "--report", "r.csv", "-o", "o.dxf"], more].concat(),
        );
        ["r.txt", "r.html", "r.json", "r.csv", "o.dxf"].map(|name| std::fs::read(folder.path(name)).unwrap())
    };
    let [text_mm, page_mm, json_mm, csv_mm, drawing_mm] = alter(&[]);
    let [text, page, json, csv, drawing] = alter(&["--show", "in"]);
    assert!(json == json_mm && csv == csv_mm && drawing == drawing_mm, "what programs read changes");
    assert!(text != text_mm && page != page_mm);
    let (text, page) = (String::from_utf8(text).unwrap(), String::from_utf8(page).unwrap());
    // 618 mm = 24 21/64 in, which is nearest to 24 11/32; the change of 20.06 mm to 25/32.
    assert!(text.contains("24 11/32") && text.contains("+25/32"), "{text}");
    for part in ["Lengths in inches", "24 11/32", "asked for a change of +25/32 in", ">slide +", "4 in<"] {
        assert!(page.contains(part), "'{part}' is not on the page");
    }
    // Paths of the drawings are numbers as well; nothing that a person reads says mm.
    for line in page.lines().filter(|line| !line.trim_start().starts_with(['.', '@', '/'])) {
        let bare = !line.contains(" mm<")
            && !line.contains(" mm,")
            && !line.contains(" mm.")
            && !line.contains(" mm ");
        assert!(bare, "{line}");
    }
}

/// Lengths within the words of a finding, too; one that a fraction would lose has decimals.
#[test]
fn findings_speak_in_inches() {
    let folder = Folder::new();
    let table =
        folder.write("t.csv", b"size,change,front_share\n38,2in,25%\n").to_string_lossy().into_owned();
    let mut program = truerise();
    program.args(["alter", &nest(), "--sizes", &table, "--dry-run", "--show", "in"]);
    let text = said(&program.output().unwrap());
    let finding = text.lines().find(|line| line.contains("[inseam-mismatch]")).unwrap();
    // The tolerance of 1.5 mm is 0.059 in; 1/16 in would be 1.59 mm, more than a twentieth off.
    assert!(finding.contains("(at most 0.059 in)"), "{finding}");
    assert!(!finding.contains(" mm"), "{finding}");
}

#[test]
fn prints_and_tables_to_fill_in_show_the_unit_as_well() {
    let folder = Folder::new();
    let plot = |more: &[&str], name: &str| {
        let nest = nest();
        let args = ["plot", nest.as_str(), "--size", "38", "--roll", "36in", "-o", name];
        run(&folder, &[&args[..], more].concat())
    };
    assert!(plot(&["--show", "in"], "a.pdf").contains("a roll 36 in wide"));
    assert!(plot(&[], "b.pdf").contains("a roll 914 mm wide"));
    run(&folder, &["measure", &nest(), "--write-sizes", "t.csv", "--show", "in"]);
    let table = std::fs::read_to_string(folder.path("t.csv")).unwrap();
    // 542.94 mm = 21.376 in, nearest to 21 3/8.
    assert!(table.contains("pattern measured 21 3/8 in"), "{table}");
}

/// A batch done before is done again where its page is to show another unit.
#[test]
fn a_batch_is_done_again_for_another_unit() {
    let folder = Folder::new();
    let batch = |more: &[&str]| {
        let (nest, table) = (nest(), table());
        run(&folder, &[&["batch", "--drawings", &nest, "--sizes", &table, "--out", "o"], more].concat())
    };
    batch(&[]);
    let page = || std::fs::read_to_string(folder.path("o/harbour-nest/report.html")).unwrap();
    assert!(page().contains("Lengths in mm"));
    assert!(batch(&[]).contains("1 had been done before"));
    batch(&["--show", "in"]);
    assert!(page().contains("Lengths in inches"));
}
