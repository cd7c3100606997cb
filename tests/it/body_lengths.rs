//! Front and back crotch length of the body in place of one length and a share: each rise gets its own part.
//!
//! The arithmetic is worked by hand from the trade's: each part of the body and half of the ease, less the waistband, which
//! is sewn on at either end, less what the piece measures (common practice, no source).

use crate::outside::{Folder, root, said, truerise};
use serde_json::Value;

const HEADER: &str = "size,front_crotch_length,back_crotch_length,ease,waistband\n";

/// The report on the harbour trousers altered by a table, and what was said.
fn altered(table: &str, options: &[&str]) -> (Value, String) {
    let folder = Folder::new();
    let table = folder.write("t.csv", table.as_bytes());
    let mut program = truerise();
    program.args(["alter", "--sizes"]).arg(table).arg(root().join("samples/harbour-nest.dxf"));
    program.args(["--dry-run", "--format", "json"]).args(options);
    let output = program.output().unwrap();
    (serde_json::from_slice(&output.stdout).unwrap_or_else(|_| panic!("{}", said(&output))), said(&output))
}

fn number(value: &Value, path: &str) -> f64 {
    value.pointer(path).and_then(Value::as_f64).unwrap_or_else(|| panic!("{path}: {value}"))
}

#[test]
fn each_rise_gets_its_part_of_the_body() {
    // Harbour, size 38: front rise 232.5 and back rise 310.4 or so, in all 542.94; the band is 40, the ease 25.
    let (report, said) = altered(&format!("{HEADER}38,270,352,25,40\n"), &["--uneven", "fork"]);
    assert_eq!(report["verdict"], "pass", "{said}");
    let size = &report["sizes"][0];
    for (part, body) in [("front", 270.0), ("back", 352.0)] {
        let rise = number(size, &format!("/after/{part}/rise_mm"));
        assert!((rise - (body + 12.5 - 40.0)).abs() <= 0.05, "{part}: {rise}");
        assert!((number(size, &format!("/asked/{part}_crotch_length_mm")) - body).abs() < 1e-9);
    }
    let before = number(size, "/before/crotch_length_mm");
    assert!((number(size, "/asked/crotch_length_mm") - 622.0).abs() < 1e-9);
    assert!((number(size, "/asked/change_mm") - (622.0 + 25.0 - 80.0 - before)).abs() < 1e-6);
    let front = 270.0 + 12.5 - 40.0 - number(size, "/before/front/rise_mm");
    assert!((number(size, "/asked/front_share") - front / number(size, "/asked/change_mm")).abs() < 1e-6);
    assert!(number(size, "/residual_mm").abs() <= 0.05);
}

/// A share of the change and the two lengths that come to the same give the same moves.
#[test]
fn lengths_and_share_that_say_the_same_do_the_same() {
    let (shared, _) = altered("size,change,front_share\n38,20,40/60\n", &["--uneven", "fork"]);
    let rise = |part: &str| number(&shared["sizes"][0], &format!("/before/{part}/rise_mm"));
    let table = format!("{HEADER}38,{},{},0,0\n", rise("front") + 8.0, rise("back") + 12.0);
    let (parts, said) = altered(&table, &["--uneven", "fork"]);
    assert_eq!(parts["verdict"], "pass", "{said}");
    for path in
        ["/moves/front/along_mm", "/moves/back/along_mm", "/moves/back/across_mm", "/after/crotch_length_mm"]
    {
        let off = number(&shared["sizes"][0], path) - number(&parts["sizes"][0], path);
        // Rises are reported to a millionth.
        assert!(off.abs() < 1e-4, "{path}: {off}");
    }
}

/// One part longer and the other shorter, by as much: the seam keeps its length and the fork goes to where the body has it.
#[test]
fn front_and_back_may_change_in_opposite_ways() {
    let (before, _) = altered("size,change\n38,0\n", &[]);
    let rise = |part: &str| number(&before["sizes"][0], &format!("/before/{part}/rise_mm"));
    let table = format!("{HEADER}38,{},{},0,0\n", rise("front") + 5.0, rise("back") - 5.0);
    let (report, said) = altered(&table, &["--uneven", "fork"]);
    let size = &report["sizes"][0];
    assert_eq!(report["verdict"], "pass", "{said}");
    assert!(size["asked"]["front_share"].is_null(), "{said}");
    assert_eq!(size["status"], "altered");
    assert!((number(size, "/after/front/rise_mm") - rise("front") - 5.0).abs() <= 0.05);
    assert!((number(size, "/after/back/rise_mm") - rise("back") + 5.0).abs() <= 0.05);
    // Without a remedy the inseams would come apart, and that is said with both remedies.
    let (report, said) = altered(&table, &[]);
    assert_eq!(report["verdict"], "fail");
    assert!(said.contains("inseam-mismatch") && said.contains("--uneven fork"), "{said}");
}

#[test]
fn parts_that_cannot_be_meant_are_doubted() {
    for (row, part) in [
        ("38,342,276,25,40", "look whether the two are exchanged"),
        ("38,10.9,13.5,25,40", "if both are meant in in (619.76 mm together)"),
        ("38,150,460,25,40", "would change the back rise by"),
    ] {
        let (report, said) = altered(&format!("{HEADER}{row}\n"), &[]);
        let findings = report["sizes"][0]["findings"].as_array().unwrap();
        let doubt =
            findings.iter().find(|f| f["id"] == "measure-doubtful").unwrap_or_else(|| panic!("{said}"));
        assert!(doubt["severity"] == "error" && doubt["message"].as_str().unwrap().contains(part), "{doubt}");
    }
}
