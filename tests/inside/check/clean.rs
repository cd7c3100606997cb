//! Clean drawings: nothing above a note.

use super::{errors, shown};
use crate::inside::common::dxf::Dxf;

#[test]
fn the_samples_are_clean() {
    for name in ["harbour-nest.dxf", "plain-inch.dxf"] {
        let found = errors(&Dxf::read(name).text());
        assert!(found.is_empty(), "{name}\n{}", shown(&found));
    }
}

/// A piece drawn as a polygon on layer 1 with its sew line, grain line and texts. Code 70 closes it.
fn piece(name: &str, size: &str, cut: &[(f64, f64)], sew: &[(f64, f64)], grain: [(f64, f64); 2]) -> String {
    use std::fmt::Write as _;
    let mut out = format!("  0\nBLOCK\n  2\n{name}-{size}\n 70\n0\n 10\n0.0\n 20\n0.0\n");
    for (layer, line) in [("1", cut), ("14", sew)] {
        let _ = write!(out, "  0\nPOLYLINE\n  8\n{layer}\n 66\n1\n 70\n1\n");
        for (x, y) in line {
            let _ = write!(out, "  0\nVERTEX\n  8\n{layer}\n 10\n{x:.3}\n 20\n{y:.3}\n");
        }
        out += "  0\nSEQEND\n";
    }
    let [a, b] = grain;
    let _ = write!(out, "  0\nLINE\n  8\n7\n 10\n{}\n 20\n{}\n 11\n{}\n 21\n{}\n", a.0, a.1, b.0, b.1);
    let texts = [
        format!("Piece Name: {name}"),
        format!("Size: {size}"),
        "Quantity: 2".into(),
        "Material: SHELL".into(),
    ];
    for text in texts {
        let _ = write!(out, "  0\nTEXT\n  8\n1\n 10\n0.0\n 20\n0.0\n 40\n2.0\n  1\n{text}\n");
    }
    out + "  0\nENDBLK\n"
}

/// A drawing of these blocks.
fn drawing(blocks: &str) -> String {
    format!(
        "  0\nSECTION\n  2\nBLOCKS\n{blocks}  0\nENDSEC\n  0\nSECTION\n  2\nENTITIES\n  0\nTEXT\n  8\n1\n 10\n0.0\n 20\n0.0\n 40\n2.0\n  1\nUnits: METRIC\n  0\nENDSEC\n  0\nEOF\n"
    )
}

/// Points on an arc, from one angle to another in degrees.
fn arc(centre: (f64, f64), radii: (f64, f64), from: f64, to: f64, steps: i32) -> Vec<(f64, f64)> {
    (0..=steps)
        .map(|k| (from + (to - from) * f64::from(k) / f64::from(steps)).to_radians())
        .map(|t| (centre.0 + radii.0 * t.cos(), centre.1 + radii.1 * t.sin()))
        .collect()
}

/// The front of a bodice, grain upwards: its armhole is as hollow as a crotch seam.
fn bodice(name: &str, size: &str, grow: f64) -> String {
    let width = 240.0 + grow;
    let mut sew = vec![(0.0, 0.0), (width, 0.0), (width, 210.0)];
    sew.extend(arc((width, 400.0), (60.0, 190.0), 270.0, 180.0, 12).into_iter().skip(1));
    sew.push((80.0, 440.0));
    sew.extend(arc((0.0, 440.0), (80.0, 85.0), 0.0, -90.0, 10).into_iter().skip(1));
    let cut = offset(&sew, 10.0);
    piece(name, size, &cut, &sew, [(60.0, 40.0), (60.0, 300.0)])
}

/// The outline shifted outwards by one allowance, corners mitred (closed form: crossing of the shifted edges).
fn offset(line: &[(f64, f64)], by: f64) -> Vec<(f64, f64)> {
    let n = line.len();
    (0..n)
        .map(|i| {
            let (a, b, c) = (line[(i + n - 1) % n], line[i], line[(i + 1) % n]);
            let unit = |p: (f64, f64), q: (f64, f64)| {
                let length = (q.0 - p.0).hypot(q.1 - p.1);
                ((q.0 - p.0) / length, (q.1 - p.1) / length)
            };
            let (u, v) = (unit(a, b), unit(b, c));
            // Counter-clockwise: outwards is to the right.
            let (m, k) = ((u.1, -u.0), (v.1, -v.0));
            let scale = by / (1.0 + m.0 * k.0 + m.1 * k.1);
            (b.0 + (m.0 + k.0) * scale, b.1 + (m.1 + k.1) * scale)
        })
        .collect()
}

#[test]
fn other_garments_are_clean() {
    let mut blocks = String::new();
    // Sizes by letters whose steps get wider at the top, as is usual.
    for (size, grow) in [("S", 0.0), ("M", 10.0), ("L", 20.0), ("XL", 32.5), ("2XL", 45.0)] {
        blocks += &bodice("FRONT", size, grow);
        blocks += &bodice("BACK", size, grow + 4.0);
        let half = 90.0 + grow / 4.0;
        let mut collar = arc((0.0, 0.0), (2.0 * half, 2.0 * half), 60.0, 120.0, 16);
        collar.extend(arc((0.0, 0.0), (2.0 * half - 60.0, 2.0 * half - 60.0), 120.0, 60.0, 16));
        blocks += &piece(
            "COLLAR",
            size,
            &offset(&collar, 7.0),
            &collar,
            [(0.0, 2.0 * half - 50.0), (0.0, 2.0 * half - 10.0)],
        );
    }
    // One piece for all sizes.
    let tab = [(0.0, 0.0), (40.0, 0.0), (40.0, 70.0), (0.0, 70.0)];
    blocks += &piece("TAB", "ONE SIZE", &offset(&tab, 6.0), &tab, [(20.0, 10.0), (20.0, 60.0)]);
    let found = errors(&drawing(&blocks));
    assert!(found.is_empty(), "{}", shown(&found));

    // A skirt: a front and a back without any crotch seam.
    let mut blocks = String::new();
    for (k, size) in ["36", "38", "40", "42"].iter().enumerate() {
        let grow = 10.0 * k as f64;
        for name in ["FRONT", "BACK"] {
            let skirt =
                [(0.0, 0.0), (290.0 + grow, 0.0), (250.0 + grow, 400.0), (190.0 + grow, 600.0), (0.0, 590.0)];
            blocks += &piece(name, size, &offset(&skirt, 12.0), &skirt, [(100.0, 60.0), (100.0, 500.0)]);
        }
    }
    let found = errors(&drawing(&blocks));
    assert!(found.is_empty(), "{}", shown(&found));
}
