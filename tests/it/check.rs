//! The command: its forms and its exit codes.

use crate::common::dxf::Dxf;
use crate::outside::{Folder, json, root, said, truerise};
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

/// A plain allowance in the job file is the same length in both drawings, whichever unit each of them is in.
#[test]
fn the_original_may_be_in_another_unit() {
    let folder = Folder::new();
    let metric = std::fs::read_to_string(root().join("samples/dialects/cut-line-only.dxf")).unwrap();
    let mut lines: Vec<String> = metric.lines().map(str::to_owned).collect();
    let mut scaled = 0;
    for at in (0..lines.len() - 1).step_by(2) {
        let code: i32 = lines[at].trim().parse().unwrap();
        let value = lines[at + 1].trim().parse::<f64>();
        if let (10..=21, Ok(value)) = (code, value) {
            lines[at + 1] = format!("{}", value / 25.4);
            scaled += 1;
        } else if lines[at + 1].contains("METRIC") {
            lines[at + 1] = lines[at + 1].replace("METRIC", "ENGLISH");
        }
    }
    assert!(scaled > 100);
    folder.write("mm.dxf", metric.as_bytes());
    folder.write("in.dxf", (lines.join("\n") + "\n").as_bytes());
    // 12 mm in a drawing in mm.
    folder.write("job.toml", b"[allowance]\nall = 12\n");
    folder.write("sizes.csv", b"size,change\n38,10\n");
    let run = |args: &[&str]| {
        truerise().current_dir(folder.path("")).args(args).args(["--job", "job.toml"]).output().unwrap()
    };
    let altered = run(&["alter", "mm.dxf", "--sizes", "sizes.csv", "-o", "new.dxf"]);
    assert_eq!(altered.status.code(), Some(0), "{}", said(&altered));
    let output = run(&["check", "new.dxf", "--against", "in.dxf"]);
    assert!(matches!(output.status.code(), Some(0 | 1)), "{}", said(&output));
    // Numbers in another unit are written otherwise, which is told of; what was altered is known as the seams all the same.
    for word in ["crotch", "inseam"] {
        assert!(!said(&output).contains(&format!("on the {word}, outside")), "{}", said(&output));
    }
    assert!(said(&output).contains("outside the altered seams"), "{}", said(&output));
}
