//! What is told of orders: nothing better than it is.

use super::Desk;
use crate::outside::{json, said};
use std::fs;

/// The text of a file at the desk.
fn text(desk: &Desk, name: &str) -> String {
    fs::read_to_string(desk.path(name)).unwrap()
}

/// The row of an order on the page over all orders.
fn row(index: &str, order: &str) -> String {
    let rows = index.lines().filter(|line| line.starts_with("<tr class="));
    rows.filter(|line| line.contains(&format!(">{order}<"))).collect()
}

#[test]
fn an_order_that_passes_since_an_error_was_accepted_says_so_wherever_it_is_told_of() {
    let list = "order,drawing,sizes,tolerance,accept\n\
                let through,nest.dxf,longer.csv,0.0001mm,inseam-mismatch; fork-angle\n\
                sound,nest.dxf,longer.csv,,inseam-mismatch\n";
    let desk = Desk::new(list);
    let run = desk.run("out", &[]);
    assert_eq!(run.status.code(), Some(0), "{}", said(&run));
    assert!(said(&run).contains("2 passed (1 of them with errors accepted), 0 failed"), "{}", said(&run));

    let index = text(&desk, "out/index.html");
    assert!(index.contains("2 of 2 orders passed, 1 of them with errors accepted"), "{index}");
    assert!(row(&index, "let through").starts_with("<tr class=\"accepted\">"), "{index}");
    assert!(row(&index, "let through").contains("let through: inseam-mismatch<"), "{index}");
    assert!(row(&index, "sound").starts_with("<tr class=\"pass\">"), "{index}");

    let summary = json(&fs::read(desk.path("out/summary.json")).unwrap());
    assert_eq!(summary["orders"][0]["accepted"], serde_json::json!(["inseam-mismatch"]));
    assert_eq!(summary["orders"][1]["accepted"], serde_json::json!([]));
    let rows = text(&desk, "out/summary.csv");
    assert!(rows.lines().nth(1).unwrap().ends_with(",inseam-mismatch,"), "{rows}");

    let report = json(&fs::read(desk.path("out/let through/report.json")).unwrap());
    let findings = report["sizes"][0]["findings"].as_array().unwrap();
    let accepted: Vec<_> = findings.iter().filter(|f| f["accepted"] == true).map(|f| &f["id"]).collect();
    assert_eq!(accepted, ["inseam-mismatch"]);
    let page = text(&desk, "out/let through/report.html");
    assert!(page.contains("<section class=\"verdict accepted\""), "{page}");
    assert!(page.contains("All checks hold but what was accepted: inseam-mismatch."), "{page}");
    assert!(text(&desk, "out/sound/report.html").contains("All checks hold. 3 sizes altered."));

    // What was done before keeps what is told of it.
    let again = desk.run("out", &[]);
    assert!(said(&again).contains("2 had been done before"), "{}", said(&again));
    assert_eq!(text(&desk, "out/index.html"), index);

    let args = ["alter", "nest.dxf", "--sizes", "longer.csv", "--tolerance", "0.0001mm"];
    let more = ["--accept", "inseam-mismatch", "--dry-run"];
    for (format, part) in [
        ("text", "pass: no check fails but what was accepted (inseam-mismatch); look at the"),
        ("csv", "warning inseam-mismatch (accepted)"),
    ] {
        let alone = desk.program(&args).args(more).args(["--format", format]).output().unwrap();
        assert!(said(&alone).contains(part), "{}", said(&alone));
    }
}
