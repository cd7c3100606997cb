//! What the CSV says is what the JSON says, cell for cell; both to be read by other programs.

use crate::outside::{Folder, root, said, truerise};
use serde_json::Value;
use std::collections::BTreeMap;

/// Runs the program in a folder and gives what it printed.
fn printed(folder: &Folder, args: &[&str]) -> String {
    let output = truerise().current_dir(folder.path("")).args(args).output().unwrap();
    assert!(matches!(output.status.code(), Some(0 | 1)), "{}", said(&output));
    String::from_utf8(output.stdout).unwrap()
}

/// The rows of a CSV by the names of its columns, as the `csv` crate reads it.
fn rows(text: &str) -> Vec<BTreeMap<String, String>> {
    csv::Reader::from_reader(text.as_bytes()).deserialize().map(Result::unwrap).collect()
}

/// A cell against a number of the JSON; both are absent where one is.
fn agree(row: &BTreeMap<String, String>, column: &str, json: &Value, path: &str) {
    let cell = row.get(column).unwrap_or_else(|| panic!("no column {column}"));
    match json.pointer(path).and_then(Value::as_f64) {
        Some(value) => {
            let said: f64 =
                cell.parse().unwrap_or_else(|_| panic!("{column} is '{cell}', {path} is {value}"));
            assert!((said - value).abs() <= 0.0005 + 1e-9, "{column} is {cell}, {path} is {value}");
        }
        None => assert_eq!(cell, "", "{column}"),
    }
}

/// Columns of measures and where the JSON has them.
const MEASURES: [(&str, &str); 14] = [
    ("crotch_length_mm", "/crotch_length_mm"),
    ("front_rise_mm", "/front/rise_mm"),
    ("back_rise_mm", "/back/rise_mm"),
    ("front_inseam_mm", "/front/inseam_mm"),
    ("back_inseam_mm", "/back/inseam_mm"),
    ("inseam_difference_mm", "/inseam_difference_mm"),
    ("front_outseam_mm", "/front/outseam_mm"),
    ("back_outseam_mm", "/back/outseam_mm"),
    ("front_waist_mm", "/front/waist_mm"),
    ("back_waist_mm", "/back/waist_mm"),
    ("front_thigh_mm", "/front/thigh_mm"),
    ("back_thigh_mm", "/back/thigh_mm"),
    ("front_hem_mm", "/front/hem_mm"),
    ("back_hem_mm", "/back/hem_mm"),
];

const SIZE: [(&str, &str); 12] = [
    ("body_mm", "/asked/crotch_length_mm"),
    ("change_mm", "/asked/change_mm"),
    ("front_share", "/asked/front_share"),
    ("ease_mm", "/asked/ease_mm"),
    ("waistband_mm", "/asked/waistband_mm"),
    ("front_along_mm", "/moves/front/along_mm"),
    ("front_across_mm", "/moves/front/across_mm"),
    ("front_waist_move_mm", "/moves/front/waist_mm"),
    ("back_along_mm", "/moves/back/along_mm"),
    ("back_across_mm", "/moves/back/across_mm"),
    ("back_waist_move_mm", "/moves/back/waist_mm"),
    ("residual_mm", "/residual_mm"),
];

fn size_agrees(row: &BTreeMap<String, String>, size: &Value) {
    assert_eq!(row["size"], size["size"].as_str().unwrap());
    assert_eq!(row["status"], size["status"].as_str().unwrap());
    for (column, path) in SIZE {
        agree(row, column, size, path);
    }
    for (column, path) in MEASURES {
        for when in ["before", "after"] {
            agree(row, &format!("{when}_{column}"), &size[when], path);
        }
    }
    let ids = size["findings"].as_array().unwrap().iter().filter(|f| f["severity"] != "note");
    let ids: Vec<String> =
        ids.map(|f| format!("{} {}", f["severity"].as_str().unwrap(), f["id"].as_str().unwrap())).collect();
    assert_eq!(row["findings"], ids.join("; "));
    let note = size["asked"]["note"].as_str().unwrap_or_default();
    // A cell that a spreadsheet would take for a formula begins with an apostrophe (OWASP, CSV injection, from memory).
    let harmless = if note.starts_with('=') { format!("'{note}") } else { note.to_owned() };
    assert_eq!(row["note"], harmless);
}

#[test]
fn every_report_says_the_same_in_csv_and_json() {
    let folder = Folder::new();
    let nest = root().join("samples/plain-inch.dxf").to_string_lossy().into_owned();
    let both = |args: &[&str]| {
        let of = |format: &str| printed(&folder, &[args, &["--format", format]].concat());
        (rows(&of("csv")), serde_json::from_str::<Value>(&of("json")).unwrap())
    };

    let (csv, json) = both(&["measure", &nest]);
    let sizes = json["sizes"].as_array().unwrap();
    assert!(csv.len() == sizes.len() && !csv.is_empty());
    for (row, size) in csv.iter().zip(sizes) {
        assert_eq!((&*row["size"], &*row["drawing"]), (size["size"].as_str().unwrap(), &*nest));
        for (column, path) in MEASURES {
            agree(row, column, &size["measures"], path);
        }
        agree(row, "fork_angle_deg", &size["measures"], "/fork_angle_deg");
    }

    // One altered, one refused, one left alone.
    folder.write(
        "sizes.csv",
        b"size,change,front_share,ease,waistband,note\n36,0.5in,50%,0,1in,=1+1\n40,9in,20%,0,0,\"so, so\"\n",
    );
    for uneven in ["keep", "fork"] {
        let alter = ["alter", &nest, "--sizes", "sizes.csv", "--uneven", uneven, "--dry-run"];
        let (csv, json) = both(&alter);
        let sizes = json["sizes"].as_array().unwrap();
        assert_eq!(csv.len(), sizes.len());
        csv.iter().zip(sizes).for_each(|(row, size)| size_agrees(row, size));
    }

    let (csv, json) = both(&["alter", &nest, "--sizes", "sizes.csv", "--advise"]);
    let ways = json["sizes"].as_array().unwrap().iter().flat_map(|s| s["ways"].as_array().unwrap());
    let ways: Vec<&Value> = ways.collect();
    assert!(csv.len() == ways.len() && csv.len() == 6, "{}", csv.len());
    for (row, way) in csv.iter().zip(ways) {
        assert_eq!(row["uneven"], way["uneven"].as_str().unwrap());
        assert_eq!(row["verdict"], way["verdict"].as_str().unwrap());
        size_agrees(row, &way["result"]);
    }

    let (csv, json) = both(&["check", &nest]);
    let findings = json["findings"].as_array().unwrap();
    assert_eq!(csv.len(), findings.len());
    for (row, finding) in csv.iter().zip(findings) {
        for column in ["severity", "id", "size", "piece", "message"] {
            assert_eq!(row[column], finding[column].as_str().unwrap_or_default());
        }
        agree(row, "x", finding, "/at/0");
        agree(row, "y", finding, "/at/1");
    }
}
