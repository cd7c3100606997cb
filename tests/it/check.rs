//! The command: its forms and its exit codes.

use crate::common::dxf::Dxf;
use crate::outside::{json, root, said, truerise};
use std::process::Output;

fn run(args: &[&str]) -> Output {
    truerise().arg("check").args(args).output().unwrap()
}

#[test]
fn exit_codes_and_forms() {
    let folder = tempfile::tempdir().unwrap();
    let nest = root().join("samples/harbour-nest.dxf").to_string_lossy().into_owned();
    let clean = run(&[&nest]);
    assert_eq!(clean.status.code(), Some(0), "{}", said(&clean));
    assert!(said(&clean).contains("pass: nothing was found"));

    let mut dxf = Dxf::sample();
    dxf.change("POCKET-38", "Material: MAIN FABRIC", "Material:");
    let path = folder.path().join("=planted.dxf");
    std::fs::write(&path, dxf.text()).unwrap();
    let path = path.to_string_lossy().into_owned();
    let faulty = run(&[&path]);
    assert_eq!(faulty.status.code(), Some(1));
    assert!(said(&faulty).contains("error [label-missing] size 38, POCKET, line "), "{}", said(&faulty));
    // Of the other sizes nothing is wrong.
    assert_eq!(run(&[&path, "--size", "40"]).status.code(), Some(0));
    assert_eq!(run(&[&path, "--size", "41"]).status.code(), Some(2));

    let json = json(&run(&[&path, "--format", "json"]).stdout);
    let keys: Vec<&String> = json.as_object().unwrap().keys().collect();
    assert_eq!(keys, ["drawing", "findings", "format", "verdict"]);
    assert_eq!((json["format"].as_str(), json["verdict"].as_str()), (Some("truerise-check/1"), Some("fail")));
    let f = &json["findings"][0];
    assert_eq!((f["id"].as_str(), f["severity"].as_str()), (Some("label-missing"), Some("error")));
    assert_eq!((f["size"].as_str(), f["piece"].as_str()), (Some("38"), Some("POCKET")));

    let csv = run(&[&path, "--format", "csv"]).stdout;
    let mut rows = csv::Reader::from_reader(csv.as_slice());
    let heads: Vec<String> = rows.headers().unwrap().iter().map(str::to_owned).collect();
    assert_eq!(heads, ["drawing", "severity", "id", "size", "piece", "x", "y", "line", "message"]);
    assert_eq!(rows.records().map(Result::unwrap).count(), 1);

    let against = run(&[&path, "--against", &nest]);
    assert_eq!(against.status.code(), Some(1));
    assert!(said(&against).contains("[changed-elsewhere]"), "{}", said(&against));
    for bad in [vec!["no-such.dxf"], vec![&nest, "--against", "no-such.dxf"], vec![]] {
        assert_eq!(run(&bad).status.code(), Some(2));
    }
}
