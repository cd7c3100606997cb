//! Segments next to straight: a digitiser's arc fit leaves bulges such as 7e-17 on lines that are straight. They measure and alter
//! as what they are.

use crate::common::small_nest;
use crate::outside::{Folder, said, truerise};
use serde_json::Value;

/// The nest with this bulge at every vertex.
fn bulged(bulge: &str) -> Vec<u8> {
    let text = String::from_utf8(small_nest()).unwrap();
    let lines: Vec<&str> = text.lines().collect();
    let (mut out, mut in_vertex) = (String::new(), false);
    for pair in lines.chunks(2) {
        let (code, value) = (pair[0].trim(), pair[1]);
        if code == "0" {
            in_vertex = value.trim() == "VERTEX";
        }
        out.push_str(&format!("{}\n{value}\n", pair[0]));
        if in_vertex && code == "20" {
            out.push_str(&format!(" 42\n{bulge}\n"));
        }
    }
    out.into_bytes()
}

/// Every number below a value, with its keys, in order.
fn numbers(value: &Value, at: &str, out: &mut Vec<(String, f64)>) {
    match value {
        Value::Number(n) => out.push((at.to_owned(), n.as_f64().unwrap())),
        Value::Array(all) => all.iter().enumerate().for_each(|(i, v)| numbers(v, &format!("{at}.{i}"), out)),
        Value::Object(all) => all.iter().for_each(|(k, v)| numbers(v, &format!("{at}.{k}"), out)),
        _ => {}
    }
}

fn measured(folder: &Folder, name: &str) -> Vec<(String, f64)> {
    let args = ["measure", name, "--format", "json"];
    let output = truerise().current_dir(folder.path("")).args(args).output().unwrap();
    assert_eq!(output.status.code(), Some(0), "{name}: {}", said(&output));
    let json: Value = serde_json::from_slice(&output.stdout).unwrap();
    let mut all = Vec::new();
    numbers(&json["sizes"], "", &mut all);
    assert!(all.len() > 10, "{json}");
    all
}

#[test]
fn bulges_next_to_nothing_measure_and_alter_as_straight_segments() {
    let folder = Folder::new();
    folder.write("plain.dxf", &small_nest());
    folder.write("sizes.csv", b"size,change\n38,10mm\n");
    let plain = measured(&folder, "plain.dxf");
    for bulge in ["7e-17", "-7e-17", "1e-14", "-1e-12", "1e-11", "1e-10", "-1e-9"] {
        let name = format!("bulge{bulge}.dxf");
        folder.write(&name, &bulged(bulge));
        let seen = measured(&folder, &name);
        assert_eq!(plain.len(), seen.len(), "{bulge}");
        for ((at, a), (of, b)) in plain.iter().zip(&seen) {
            assert!(at == of && (a - b).abs() < 2e-4, "{bulge}: {at} {a}, {of} {b}");
        }
        let out = format!("out{bulge}.dxf");
        let args = ["alter", &name, "--sizes", "sizes.csv", "-o", &out];
        let output = truerise().current_dir(folder.path("")).args(args).output().unwrap();
        assert_eq!(output.status.code(), Some(0), "{bulge}: {}", said(&output));
        folder.write("plain-out.dxf", b"");
        let args = ["alter", "plain.dxf", "--sizes", "sizes.csv", "-o", "plain-out.dxf", "--overwrite"];
        assert!(truerise().current_dir(folder.path("")).args(args).output().unwrap().status.success());
        for ((at, a), (_, b)) in measured(&folder, "plain-out.dxf").iter().zip(&measured(&folder, &out)) {
            assert!((a - b).abs() < 0.011, "{bulge} altered: {at} {a} {b}");
        }
    }
}
