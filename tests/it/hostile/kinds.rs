//! Drawings made to be slow to read: sound DXF around a sound pair of legs, and `n` of something that no pattern has so many of.

use std::f64::consts::TAU;
use std::fmt::Write;

/// A kind of drawing: its name, and how it is drawn with `n` of what it has too many of.
pub type Kind = (&'static str, fn(&str, usize) -> String);

/// Every kind; each takes the drawing to spoil, whose blocks are those of a front and a back.
pub const ALL: [Kind; 21] = [
    ("blocks nested in a circle", nested),
    ("placings at many scales", placings),
    ("short lines in a row", row_of_lines),
    ("short lines from one point", star_of_lines),
    ("outline of many vertices", outline),
    ("outline that crosses itself", crossing),
    ("outline of one point", one_point),
    ("outline to and fro", to_and_fro),
    ("arcs", arcs),
    ("leg of many vertices", dense_leg),
    ("pieces of one name", pieces),
    ("pieces of many names", named_pieces),
    ("legs of one size", legs),
    ("legs of many sizes", sizes),
    ("layers", layers),
    ("labels", labels),
    ("notes", notes),
    ("notches", notches),
    ("grain lines", grain_lines),
    ("line of text", long_line),
    ("nested groups", groups),
];

/// Puts text at the end of the block section.
fn with_blocks(base: &str, blocks: &str) -> String {
    let at = base.find("  0\nENDSEC\n").unwrap();
    [&base[..at], blocks, &base[at..]].concat()
}

/// Puts entities at the end of the first block, the front.
fn in_front(base: &str, entities: &str) -> String {
    let at = base.find("  0\nENDBLK\n").unwrap();
    [&base[..at], entities, &base[at..]].concat()
}

fn block(name: &str, entities: &str) -> String {
    format!("  0\nBLOCK\n  8\n1\n  2\n{name}\n 70\n0\n 10\n0.0\n 20\n0.0\n{entities}  0\nENDBLK\n  8\n1\n")
}

fn line(layer: &str, a: (f64, f64), b: (f64, f64)) -> String {
    format!("  0\nLINE\n  8\n{layer}\n 10\n{:.4}\n 20\n{:.4}\n 11\n{:.4}\n 21\n{:.4}\n", a.0, a.1, b.0, b.1)
}

fn text(value: &str) -> String {
    format!("  0\nTEXT\n  8\n1\n 10\n1.0\n 20\n1.0\n 40\n3.0\n  1\n{value}\n")
}

/// A closed outline on the cut line's layer, each vertex with further pairs.
fn polyline(points: impl Iterator<Item = (f64, f64)>, more: &str) -> String {
    let mut out = String::from("  0\nPOLYLINE\n  8\n1\n 66\n1\n 70\n1\n");
    for (x, y) in points {
        write!(out, "  0\nVERTEX\n  8\n1\n 10\n{x:.4}\n 20\n{y:.4}\n{more}").unwrap();
    }
    out + "  0\nSEQEND\n  8\n1\n"
}

/// A point of a circle of 200 mm.
fn round(share: f64) -> (f64, f64) {
    (200.0 * (share * TAU).cos(), 200.0 * (share * TAU).sin())
}

fn of(n: usize, each: impl FnMut(usize) -> String) -> String {
    (0..n).map(each).collect()
}

fn nested(base: &str, n: usize) -> String {
    let insert =
        |i: usize| format!("  0\nINSERT\n  8\n1\n  2\nN{}\n 10\n0.0\n 20\n0.0\n", if i < n { i } else { 0 });
    with_blocks(base, &of(n, |i| block(&format!("N{i}"), &insert(i + 1))))
}

fn placings(base: &str, n: usize) -> String {
    let insert = |i: usize| {
        format!(
            "  0\nINSERT\n  8\n1\n  2\nFRONT-38\n 10\n0.0\n 20\n0.0\n 41\n{}.5\n 42\n{}.5\n",
            i + 1,
            i + 1
        )
    };
    let at = base.rfind("  0\nENDSEC\n").unwrap();
    [&base[..at], &of(n, insert), &base[at..]].concat()
}

fn row_of_lines(base: &str, n: usize) -> String {
    let at = |i: usize| round(i as f64 / n as f64);
    with_blocks(base, &block("ROW", &of(n, |i| line("1", at(i), at(i + 1)))))
}

fn star_of_lines(base: &str, n: usize) -> String {
    with_blocks(base, &block("STAR", &of(n, |i| line("1", (0.0, 0.0), round(i as f64 / n as f64)))))
}

fn outline(base: &str, n: usize) -> String {
    with_blocks(base, &block("ROUND", &polyline((0..n).map(|i| round(i as f64 / n as f64)), "")))
}

fn crossing(base: &str, n: usize) -> String {
    // A little less than half the way round each time: every edge crosses nearly every other.
    let step = (n / 2).saturating_sub(1);
    let at = |i: usize| round((i * step % n) as f64 / n as f64);
    with_blocks(base, &block("CROSSED", &polyline((0..n).map(at), "")))
}

fn one_point(base: &str, n: usize) -> String {
    with_blocks(base, &block("POINT", &polyline((0..n).map(|_| (1.0, 1.0)), "")))
}

fn to_and_fro(base: &str, n: usize) -> String {
    let at = |i: usize| if i.is_multiple_of(2) { (1.0, 1.0) } else { (200.0, 90.0) };
    with_blocks(base, &block("FRO", &polyline((0..n).map(at), "")))
}

fn arcs(base: &str, n: usize) -> String {
    with_blocks(base, &block("ARCS", &polyline((0..n).map(|i| round(i as f64 / n as f64)), " 42\n0.5\n")))
}

/// The front's lines with `n` vertices more, spread evenly over their edges.
fn dense_leg(base: &str, n: usize) -> String {
    let (front, rest) = base.split_at(base.find("  0\nENDBLK\n").unwrap());
    let vertices: Vec<&str> = front.split_inclusive("  0\nVERTEX\n").collect();
    let place = |v: &str| -> Option<(f64, f64)> {
        let lines: Vec<&str> = v.lines().collect();
        let of = |code| lines.chunks(2).find(|p| p[0] == code)?.get(1)?.parse().ok();
        Some((of(" 10")?, of(" 20")?))
    };
    let each = n / vertices.len();
    let mut out = vertices[0].to_owned();
    for pair in vertices[1..].windows(2) {
        out += pair[0];
        let layer = pair[0].lines().nth(1).unwrap();
        // A vertex, and the next one of the same line: the entities are only what the sample draws.
        let same = pair[0].lines().filter(|l| *l == "  0").count() == 1;
        if let (true, Some(a), Some(b)) = (same, place(pair[0]), place(pair[1])) {
            for i in 1..=each {
                let t = i as f64 / (each + 1) as f64;
                let (x, y) = (a.0 + (b.0 - a.0) * t, a.1 + (b.1 - a.1) * t);
                write!(out, "  8\n{layer}\n 10\n{x:.4}\n 20\n{y:.4}\n  0\nVERTEX\n").unwrap();
            }
        }
    }
    out + vertices[vertices.len() - 1] + rest
}

fn square(labels: &str) -> String {
    polyline([(0.0, 0.0), (100.0, 0.0), (100.0, 100.0), (0.0, 100.0)].into_iter(), "") + labels
}

fn pieces(base: &str, n: usize) -> String {
    let one = |i: usize| {
        block(&format!("P{i}"), &square(&(text("Piece Name: POCKET") + &text(&format!("Size: {i}")))))
    };
    with_blocks(base, &of(n, one))
}

fn named_pieces(base: &str, n: usize) -> String {
    let one = |i: usize| {
        block(&format!("P{i}"), &square(&(text(&format!("Piece Name: POCKET {i}")) + &text("Size: 38"))))
    };
    with_blocks(base, &of(n, one))
}

/// The blocks of the drawing.
fn both(base: &str) -> &str {
    &base[base.find("  0\nBLOCK\n").unwrap()..base.find("  0\nENDSEC\n").unwrap()]
}

fn legs(base: &str, n: usize) -> String {
    with_blocks(base, &of(n / 100, |i| both(base).replace("-38", &format!("-38-{i}"))))
}

fn sizes(base: &str, n: usize) -> String {
    let size = |i: usize| {
        both(base).replace("-38", &format!("-{}", 100 + i)).replace("Size: 38", &format!("Size: {}", 100 + i))
    };
    with_blocks(base, &of(n / 100, size))
}

fn layers(base: &str, n: usize) -> String {
    in_front(base, &of(n, |i| line(&format!("MARKING {i}"), (0.0, i as f64 / 1e3), (1.0, i as f64 / 1e3))))
}

fn labels(base: &str, n: usize) -> String {
    in_front(base, &of(n, |_| text("Size: 38") + &text("Piece Name: FRONT")))
}

fn notes(base: &str, n: usize) -> String {
    in_front(base, &of(n, |i| text(&format!("Annotation: note {i}"))))
}

fn notches(base: &str, n: usize) -> String {
    let mark = |i: usize| {
        let (x, y) = round(i as f64 / n as f64);
        format!("  0\nPOINT\n  8\n{}\n 10\n{x:.4}\n 20\n{y:.4}\n", 2 + i % 3)
    };
    in_front(base, &of(n, mark))
}

fn grain_lines(base: &str, n: usize) -> String {
    in_front(base, &of(n, |i| line("7", (i as f64 / 1e3, -300.0), (i as f64 / 1e3, -100.0))))
}

fn long_line(base: &str, n: usize) -> String {
    in_front(base, &text(&format!("Annotation: {}", "long ".repeat(10 * n))))
}

fn groups(base: &str, n: usize) -> String {
    let pairs = "102\n{SHOP\n".repeat(n) + &"102\n}\n".repeat(n);
    in_front(base, &format!("  0\nPOINT\n  8\n13\n{pairs} 10\n1.0\n 20\n1.0\n"))
}
