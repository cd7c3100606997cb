//! Pieces drawn for prints, and prints taken apart: by Poppler and by `lopdf`.

use lopdf::{Document, Object};
use std::fmt::Write;
use std::process::Command;

/// Millimetres in a PDF unit, 1/72 in (ISO 32000-1, 8.3.2.3).
pub const MM: f64 = 25.4 / 72.0;

/// A closed polyline; each vertex has its bulge (code 42).
pub fn polyline(layer: &str, vertices: &[(f64, f64, f64)]) -> String {
    let mut text = format!("0\nPOLYLINE\n8\n{layer}\n66\n1\n70\n1\n");
    for (x, y, bulge) in vertices {
        write!(text, "0\nVERTEX\n8\n{layer}\n10\n{x}\n20\n{y}\n42\n{bulge}\n").unwrap();
    }
    text + "0\nSEQEND\n"
}

pub fn text(layer: &str, value: &str) -> String {
    format!("0\nTEXT\n8\n{layer}\n10\n0\n20\n0\n40\n1\n1\n{value}\n")
}

/// A metric drawing with one block for each list of entities, each piece of size 38.
pub fn drawing(pieces: &[(&str, String)]) -> Vec<u8> {
    let mut dxf = "0\nSECTION\n2\nBLOCKS\n".to_owned();
    for (i, (name, entities)) in pieces.iter().enumerate() {
        write!(dxf, "0\nBLOCK\n8\n0\n2\nP{i}\n70\n0\n10\n0\n20\n0\n{entities}").unwrap();
        dxf += &(text("1", &format!("Piece Name: {name}")) + &text("1", "Size: 38") + "0\nENDBLK\n");
    }
    dxf += "0\nENDSEC\n0\nSECTION\n2\nENTITIES\n";
    dxf += &(text("1", "Style Name: HARBOUR TRIAL") + &text("1", "Units: METRIC"));
    (dxf + "0\nENDSEC\n0\nEOF\n").into_bytes()
}

/// A rectangle turned by an angle, on a layer, with its grain along its height.
pub fn rectangle(layer: &str, width: f64, height: f64, inset: f64, degrees: f64) -> String {
    let (sin, cos) = degrees.to_radians().sin_cos();
    let corner = |x: f64, y: f64| (x * cos - y * sin, x * sin + y * cos, 0.0);
    let (w, h) = (width - inset, height - inset);
    polyline(layer, &[corner(inset, inset), corner(w, inset), corner(w, h), corner(inset, h)])
}

pub fn grain(length: f64, degrees: f64) -> String {
    let (sin, cos) = degrees.to_radians().sin_cos();
    format!("0\nLINE\n8\n7\n10\n0\n20\n0\n11\n{}\n21\n{}\n", -length * sin, length * cos)
}

/// Runs a program of Poppler on a print; `None`, with a message, where there is none and it is not
/// demanded.
pub fn poppler(program: &str, pdf: &[u8], arguments: &[&str]) -> Option<Vec<u8>> {
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("print.pdf");
    std::fs::write(&file, pdf).unwrap();
    let (before, after) = if program == "pdftotext" { (arguments, &["-"][..]) } else { (arguments, &[][..]) };
    match Command::new(program).args(before).arg(&file).args(after).output() {
        Ok(done) => {
            assert!(done.status.success(), "{program}: {}", String::from_utf8_lossy(&done.stderr));
            Some(done.stdout)
        }
        Err(e) if std::env::var_os("CI").is_none() => {
            super::skipped(&format!("{program} (Debian package poppler-utils) cannot be run: {e}"));
            None
        }
        Err(e) => panic!("{program} cannot be run: {e}"),
    }
}

/// A straight piece of a stroked line in mm on its page.
pub type Segment = [(f64, f64); 2];

/// The number in an operand.
pub fn number(object: &Object) -> f64 {
    match object {
        Object::Integer(i) => *i as f64,
        Object::Real(r) => f64::from(*r),
        other => panic!("{other:?} is not a number"),
    }
}

/// The pages of a print: width and height in mm, and the segments drawn in dashes of these lengths.
pub fn dashed(pdf: &[u8], dashes: &[f64]) -> Vec<(f64, f64, Vec<Segment>)> {
    let document = Document::load_mem(pdf).unwrap();
    let mut pages = Vec::new();
    for id in document.get_pages().values() {
        let page = document.get_object(*id).unwrap().as_dict().unwrap();
        let media: Vec<f64> = page.get(b"MediaBox").unwrap().as_array().unwrap().iter().map(number).collect();
        let content = document.get_and_decode_page_content(*id).unwrap();
        let (mut wanted, mut path, mut start, mut segments) = (false, Vec::new(), (0.0, 0.0), Vec::new());
        let mut at = start;
        for operation in content.operations {
            let point = || (number(&operation.operands[0]) * MM, number(&operation.operands[1]) * MM);
            match operation.operator.as_str() {
                "d" => {
                    let set: Vec<f64> =
                        operation.operands[0].as_array().unwrap().iter().map(|n| number(n) * MM).collect();
                    wanted = set.len() == dashes.len()
                        && set.iter().zip(dashes).all(|(a, b)| (a - b).abs() < 1e-3);
                }
                "m" => (start, at) = (point(), point()),
                "l" => {
                    path.push([at, point()]);
                    at = point();
                }
                "h" => path.push([at, start]),
                "S" if wanted => segments.append(&mut path),
                "S" | "n" | "f" => path.clear(),
                "c" | "v" | "y" | "cm" => panic!("curves and transformations are not read here"),
                _ => {}
            }
        }
        pages.push((media[2] * MM, media[3] * MM, segments));
    }
    pages
}
