//! Drawings without blocks, drawn by another writer (`ezdxf`) from a sample's pieces: they measure and alter as the blocks do.

use crate::outside::{Folder, json, python, root, run, said, truerise};
use serde_json::Value;
use std::path::Path;

/// Two programs round each coordinate of a line to 1e-6 or better; the sample's own have four decimals.
const ROUNDING: f64 = 1e-3;

fn measured(drawing: &Path, more: &[&str]) -> Value {
    let output =
        truerise().arg("measure").arg(drawing).args(["--format", "json"]).args(more).output().unwrap();
    assert!(output.status.success(), "{}", said(&output));
    json(&output.stdout)
}

/// The measures of each size by its name.
fn by_size(report: &Value) -> Vec<(String, Vec<f64>)> {
    let numbers = |size: &Value| {
        let of = |part: &str| {
            ["rise_mm", "inseam_mm", "outseam_mm", "waist_mm", "hem_mm"]
                .map(|m| size["measures"][part][m].as_f64().unwrap())
        };
        [of("front"), of("back")].concat()
    };
    let mut all: Vec<_> = report["sizes"]
        .as_array()
        .unwrap()
        .iter()
        .map(|s| (s["size"].as_str().unwrap().to_owned(), numbers(s)))
        .collect();
    all.sort_by(|a, b| a.0.cmp(&b.0));
    all
}

#[test]
fn pieces_without_blocks_measure_and_alter_as_blocks_do() {
    let Some(python) = python() else { return };
    let nest = root().join("samples/harbour-nest.dxf");
    let folder = Folder::new();
    let table = folder.write("sizes.csv", b"size,change\n38,1in\n40,-12mm\n");
    let expected = by_size(&measured(&nest, &[]));
    for (manner, options) in [
        ("mixed,frame", vec![]),
        ("r12,mixed,words", vec!["--unit", "mm"]),
        ("r12,lines,turned,frame", vec!["--unit", "mm"]),
    ] {
        let [drawing, out] = ["plain.dxf", "plain.out.dxf"].map(|name| folder.path(name));
        let [from, to] = [&nest, &drawing].map(|p| p.to_string_lossy().into_owned());
        let drawn = run(&python, "plain.py", &["draw", &from, &to, manner]);
        assert!(drawn.status.success(), "{}", said(&drawn));
        let found = by_size(&measured(&drawing, &options));
        assert_eq!(found.len(), expected.len(), "{manner}");
        for ((size, is), (_, was)) in found.iter().zip(&expected) {
            let off = is.iter().zip(was).map(|(a, b)| (a - b).abs()).fold(0.0, f64::max);
            assert!(off <= ROUNDING, "{manner}, size {size}: {off} mm off");
        }
        let mut program = truerise();
        program.arg("alter").arg(&drawing).arg("--sizes").arg(&table).arg("-o").arg(&out).arg("--overwrite");
        let altered = program.args(&options).output().unwrap();
        assert!(altered.status.success(), "{manner}: {}", said(&altered));
        let after = by_size(&measured(&out, &options));
        for ((size, is), (_, was)) in after.iter().zip(&expected) {
            let change = (is[0] + is[5]) - (was[0] + was[5]);
            let asked = match size.as_str() {
                "38" => 25.4,
                "40" => -12.0,
                _ => 0.0,
            };
            assert!((change - asked).abs() <= 0.05, "{manner}, size {size}: {change} mm in place of {asked}");
        }
        let [old, new] = [&drawing, &out].map(|p| p.to_string_lossy().into_owned());
        let same = run(&python, "plain.py", &["same", &old, &new, "38", "40"]);
        assert!(same.status.success(), "{manner}: {}", said(&same));
        let against =
            truerise().arg("check").arg(&out).arg("--against").arg(&drawing).args(&options).output().unwrap();
        assert!(!said(&against).contains("changed-elsewhere"), "{manner}: {}", said(&against));
        // The sizes asked for alone: half of the drawing is gone, and they measure the same.
        let mut program = truerise();
        program
            .arg("alter")
            .arg(&drawing)
            .arg("--sizes")
            .arg(&table)
            .arg("-o")
            .arg(&out)
            .args(["--overwrite", "--only-asked"]);
        let altered = program.args(&options).output().unwrap();
        assert!(altered.status.success(), "{manner}: {}", said(&altered));
        let alone = by_size(&measured(&out, &options));
        let of_asked: Vec<_> = after.into_iter().filter(|(size, _)| size == "38" || size == "40").collect();
        assert_eq!(alone, of_asked, "{manner}");
    }
}

/// A line on a layer through these places, in the manner of release 12.
fn polyline(layer: &str, points: &[(f64, f64)], closed: bool) -> String {
    let mut text = format!("0\nPOLYLINE\n8\n{layer}\n66\n1\n70\n{}\n", u8::from(closed));
    for (x, y) in points {
        text += &format!("0\nVERTEX\n8\n{layer}\n10\n{x}\n20\n{y}\n");
    }
    text + "0\nSEQEND\n8\n0\n"
}

fn text(at: (f64, f64), says: &str) -> String {
    format!("0\nTEXT\n8\n1\n10\n{}\n20\n{}\n40\n5\n1\n{says}\n", at.0, at.1)
}

fn drawing(entities: &str) -> String {
    format!(
        "0\nSECTION\n2\nENTITIES\n{entities}{}0\nENDSEC\n0\nEOF\n",
        text((-500.0, -500.0), "Units: METRIC")
    )
}

/// A square outline of this width from a corner on.
fn square(x: f64, width: f64, closed: bool) -> String {
    polyline("1", &[(x, 0.0), (x + width, 0.0), (x + width, width), (x, width)], closed)
}

/// What `measure` says of a drawing.
fn said_of(entities: &str) -> String {
    let folder = Folder::new();
    let path = folder.write("plain.dxf", drawing(entities).as_bytes());
    said(&truerise().arg("measure").arg(path).output().unwrap())
}

#[test]
fn what_belongs_to_two_outlines_or_to_none_is_told() {
    // One size upon another: each has texts of its own.
    let stacked =
        [square(0.0, 400.0, true), square(10.0, 380.0, true), text((50.0, 50.0), "Size: 36")].concat();
    let found = said_of(&stacked);
    assert!(found.contains("lies within another one") && found.contains("line"), "{found}");
    // Pieces that touch: the turn point at their common corner is nobody's.
    let point = "0\nPOINT\n8\n2\n10\n300\n20\n0\n";
    let found = said_of(&[square(0.0, 300.0, true), square(300.0, 300.0, true), point.to_owned()].concat());
    assert!(found.contains("two outlines") && found.contains("apart"), "{found}");
    // What the drawing says about itself is no part of a piece, wherever it stands.
    let author = text((300.0, 0.0), "Author: THE ROOM");
    let found = said_of(&[square(0.0, 300.0, true), square(300.0, 300.0, true), author].concat());
    assert!(!found.contains("two outlines"), "{found}");
    // A name beside its piece, and an outline that does not close by a millimetre.
    let open =
        polyline("1", &[(900.0, 0.0), (1300.0, 0.0), (1300.0, 300.0), (900.0, 300.0), (900.0, 1.0)], false);
    let found = said_of(&[square(0.0, 300.0, true), open, text((350.0, 20.0), "Piece Name: FRONT")].concat());
    assert!(found.contains("lies in no outline"), "{found}");
    assert!(found.contains("open-outline") && found.contains("1.00"), "{found}");
    // What stands outside of the blocks that hold the pieces is told of as well.
    let nest = std::fs::read_to_string(root().join("samples/plain-inch.dxf")).unwrap();
    let with = nest.replacen("2\nENTITIES\n", &format!("2\nENTITIES\n{}", square(0.0, 10.0, true)), 1);
    let with = if with == nest {
        nest.replacen(
            "ENTITIES\r\n",
            &format!("ENTITIES\r\n{}", square(0.0, 10.0, true).replace('\n', "\r\n")),
            1,
        )
    } else {
        with
    };
    assert_ne!(with, nest);
    let folder = Folder::new();
    let path = folder.write("both.dxf", with.as_bytes());
    let found = said(&truerise().arg("measure").arg(path).output().unwrap());
    assert!(found.contains("outside of every BLOCK"), "{found}");
}
