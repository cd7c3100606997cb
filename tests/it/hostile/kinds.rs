//! Drawings made to be slow to read: sound DXF around a sound pair of legs, and `n` of something that no pattern has so many of.
//! And tables, for the sound drawing.

#[path = "trousers.rs"]
mod trousers;

use super::cost::{DRAWING, RULE_TABLE, SIZE_TABLE};
use std::f64::consts::TAU;
use std::fmt::Write;

/// A kind of input.
pub struct Kind {
    /// Its name.
    pub name: &'static str,
    /// The file that is spoilt.
    pub file: &'static str,
    /// Draws it with `n` of what it has too many of. Takes the sound drawing, whose blocks are those of a front and a back.
    pub draw: fn(&str, usize) -> String,
}

const fn drawing(name: &'static str, draw: fn(&str, usize) -> String) -> Kind {
    Kind { name, file: DRAWING, draw }
}

/// Every kind.
pub const ALL: [Kind; 68] = [
    drawing("blocks nested in a circle", nested),
    drawing("placings at many scales", placings),
    drawing("short lines in a row", row_of_lines),
    drawing("short lines from one point", star_of_lines),
    drawing("short lines from nearly one point", cluster_of_lines),
    drawing("outline of many vertices", outline),
    drawing("outline that crosses itself", crossing),
    drawing("outline of one point", one_point),
    drawing("outline to and fro", to_and_fro),
    drawing("arcs", arcs),
    drawing("leg of many vertices", dense_leg),
    drawing("pieces of one name", pieces),
    drawing("pieces of many names", named_pieces),
    drawing("pieces of a name and a size each", various_pieces),
    drawing("legs of one size", legs),
    drawing("legs of many sizes", sizes),
    drawing("layers", layers),
    drawing("labels", labels),
    drawing("notes", notes),
    drawing("notches", notches),
    drawing("grain lines", grain_lines),
    drawing("line of text", long_line),
    drawing("nested groups", groups),
    drawing("blocks that place two more each", doubling),
    drawing("placings in a block", placed_inside),
    drawing("blocks with nothing in them", empty_blocks),
    drawing("blocks of one name", same_blocks),
    drawing("sections", sections),
    drawing("variables of the header", variables),
    drawing("comments", comments),
    drawing("unknown entities", unknown),
    drawing("groups of an unknown entity", long_unknown),
    drawing("line of a comment", long_comment),
    drawing("digits of a number", long_number),
    drawing("short polylines", polylines),
    drawing("arc entities", arc_entities),
    drawing("wide arcs", wide_arcs),
    drawing("splines", splines),
    drawing("spline of many points", spline),
    drawing("ellipses", ellipses),
    drawing("lines that cross one another", mesh),
    drawing("cut-outs", cut_outs),
    drawing("mirror lines", mirrors),
    drawing("notches on an outline of as many vertices", notched_outline),
    drawing("notes in an outline of as many vertices", noted_outline),
    drawing("sew line of many vertices", sew_line),
    drawing("leg of many vertices and as many notches", notched_leg),
    drawing("zigzag", zigzag),
    drawing("zigzag turned", zigzag_turned),
    drawing("zigzag of ten metres", large_zigzag),
    drawing("pieces of ten metres", large_pieces),
    drawing("rule numbers", rule_numbers),
    drawing("letters", letters),
    drawing("leg in one piece of many vertices", trousers::in_one_piece),
    drawing("sizes in one piece", trousers::sizes_in_one_piece),
    drawing("casing of many vertices", trousers::casing),
    drawing("fold lines", trousers::fold_lines),
    drawing("fold labels", trousers::fold_labels),
    drawing("linings of one leg", trousers::linings),
    drawing("facings of one leg", trousers::facings),
    drawing("facing of many vertices", trousers::dense_facing),
    drawing("facing and leg of many vertices", trousers::dense_facing_and_leg),
    drawing("outlines without blocks", trousers::outlines_without_blocks),
    drawing("outlines within one another without blocks", trousers::outlines_within_one_another),
    drawing("notes without blocks", trousers::notes_without_blocks),
    drawing("legs without blocks", trousers::legs_without_blocks),
    Kind { name: "rows of a size table", file: SIZE_TABLE, draw: size_rows },
    Kind { name: "sizes of a rule table", file: RULE_TABLE, draw: rule_sizes },
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

fn cluster_of_lines(base: &str, n: usize) -> String {
    // No two begin in one point, and all of them within a gap.
    let from = |i: usize| ((i % 400) as f64 / 1e4, (i / 400 % 400) as f64 / 1e4);
    with_blocks(base, &block("STAR", &of(n, |i| line("1", from(i), round(i as f64 / n as f64)))))
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

fn various_pieces(base: &str, n: usize) -> String {
    let one = |i: usize| {
        let labels = text(&format!("Piece Name: POCKET {}", i / 2 * (i % 2))) + &text(&format!("Size: {i}"));
        block(&format!("P{i}"), &square(&labels))
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

fn insert(name: &str) -> String {
    format!("  0\nINSERT\n  8\n1\n  2\n{name}\n 10\n0.0\n 20\n0.0\n")
}

fn doubling(base: &str, n: usize) -> String {
    let two = |i: usize| block(&format!("N{i}"), &insert(&format!("N{}", i + 1)).repeat(2));
    let blocks = of(n, two) + &block(&format!("N{n}"), &square("")) + &block("ALL", &insert("N0"));
    with_blocks(base, &blocks)
}

fn placed_inside(base: &str, n: usize) -> String {
    with_blocks(base, &block("PLACED", &insert("FRONT-38").repeat(n)))
}

fn empty_blocks(base: &str, n: usize) -> String {
    with_blocks(base, &of(n, |i| block(&format!("E{i}"), "")))
}

fn same_blocks(base: &str, n: usize) -> String {
    with_blocks(base, &block("FRONT-38", &square(&text("Size: 38"))).repeat(n))
}

fn sections(base: &str, n: usize) -> String {
    "  0\nSECTION\n  2\nTHUMBNAIL\n  0\nENDSEC\n".repeat(n) + base
}

fn variables(base: &str, n: usize) -> String {
    let variables = of(n, |i| format!("  9\n$SHOP{i}\n 40\n1.0\n"));
    format!("  0\nSECTION\n  2\nHEADER\n{variables}  0\nENDSEC\n{base}")
}

fn comments(base: &str, n: usize) -> String {
    in_front(base, &"999\nCUT ON THE FOLD\n".repeat(n))
}

fn unknown(base: &str, n: usize) -> String {
    in_front(base, &"  0\nSHOPMARK\n  8\n1\n".repeat(n))
}

fn long_unknown(base: &str, n: usize) -> String {
    in_front(base, &format!("  0\nSHOPMARK\n  8\n1\n{}", of(n, |i| format!(" 10\n{i}.5\n"))))
}

fn long_comment(base: &str, n: usize) -> String {
    in_front(base, &format!("999\n{}\n", "long ".repeat(20 * n)))
}

fn long_number(base: &str, n: usize) -> String {
    in_front(base, &format!("  0\nPOINT\n  8\n13\n 10\n1.{}\n 20\n1.0\n", "3".repeat(n)))
}

fn polylines(base: &str, n: usize) -> String {
    let at = |i: usize| round(i as f64 / n as f64);
    in_front(base, &of(n, |i| polyline([at(i), at(i + 1)].into_iter(), "").replace("  8\n1\n", "  8\n8\n")))
}

fn arc_entities(base: &str, n: usize) -> String {
    let arc = |i: usize| {
        let (x, y) = round(i as f64 / n as f64);
        format!("  0\nARC\n  8\n8\n 10\n{x:.4}\n 20\n{y:.4}\n 40\n1.0\n 50\n0.0\n 51\n90.0\n")
    };
    in_front(base, &of(n, arc))
}

fn wide_arcs(base: &str, n: usize) -> String {
    let at = |i: usize| if i.is_multiple_of(2) { (0.0, 0.0) } else { (900.0, 0.0) };
    with_blocks(base, &block("WIDE", &polyline((0..n).map(at), " 42\n1.0\n")))
}

/// A cubic spline through these control points on the layer of internal lines.
fn cubic(points: &[(f64, f64)]) -> String {
    let n = points.len();
    let mut out = format!("  0\nSPLINE\n  8\n8\n 70\n8\n 71\n3\n 72\n{}\n 73\n{n}\n", n + 4);
    for i in 0..n + 4 {
        writeln!(out, " 40\n{}.0", i.clamp(3, n) - 3).unwrap();
    }
    for (x, y) in points {
        write!(out, " 10\n{x:.4}\n 20\n{y:.4}\n").unwrap();
    }
    out
}

fn splines(base: &str, n: usize) -> String {
    let one = |i: usize| {
        let (x, y) = round(i as f64 / n as f64);
        cubic(&[(x, y), (x + 1.0, y), (x + 1.0, y + 1.0), (x, y + 1.0)])
    };
    in_front(base, &of(n, one))
}

fn spline(base: &str, n: usize) -> String {
    in_front(base, &cubic(&(0..n.max(4)).map(|i| round(i as f64 / n as f64)).collect::<Vec<_>>()))
}

fn ellipses(base: &str, n: usize) -> String {
    let one = |i: usize| {
        let (x, y) = round(i as f64 / n as f64);
        format!(
            "  0\nELLIPSE\n  8\n8\n 10\n{x:.4}\n 20\n{y:.4}\n 11\n5.0\n 21\n0.0\n 40\n0.5\n 41\n0.0\n 42\n6.2831\n"
        )
    };
    in_front(base, &of(n, one))
}

fn mesh(base: &str, n: usize) -> String {
    let half = n as f64 / 2.0;
    let one = |i: usize| {
        let at = 200.0 * (i / 2) as f64 / half;
        if i.is_multiple_of(2) {
            line("8", (at, 0.0), (at, 200.0))
        } else {
            line("8", (0.0, at), (200.0, at))
        }
    };
    in_front(base, &of(n, one))
}

fn cut_outs(base: &str, n: usize) -> String {
    let one = |i: usize| {
        let (x, y) = round(i as f64 / n as f64);
        polyline([(x, y), (x + 1.0, y), (x, y + 1.0)].into_iter(), "").replace("  8\n1\n", "  8\n11\n")
    };
    with_blocks(base, &block("HOLES", &(square("") + &of(n, one))))
}

fn mirrors(base: &str, n: usize) -> String {
    in_front(base, &of(n, |i| line("6", (i as f64 / 1e3, -300.0), (i as f64 / 1e3, -100.0))))
}

fn notched_outline(base: &str, n: usize) -> String {
    let at = |i: usize| round(i as f64 / n as f64);
    let notch = |i: usize| format!("  0\nPOINT\n  8\n4\n 10\n{:.4}\n 20\n{:.4}\n", at(i).0, at(i).1);
    let labels = text("Piece Name: ROUND") + &text("Size: 38");
    with_blocks(base, &block("ROUND", &(polyline((0..n).map(at), "") + &of(n, notch) + &labels)))
}

fn noted_outline(base: &str, n: usize) -> String {
    let labels = text("Piece Name: ROUND") + &text("Size: 38");
    let outline = polyline((0..n).map(|i| round(i as f64 / n as f64)), "");
    with_blocks(base, &block("ROUND", &(outline + &of(n, |i| text(&format!("note {i}"))) + &labels)))
}

fn sew_line(base: &str, n: usize) -> String {
    let cut = polyline((0..n).map(|i| round(i as f64 / n as f64)), "");
    let sew = cut.replace("  8\n1\n", "  8\n14\n");
    let labels = text("Piece Name: ROUND") + &text("Size: 38");
    with_blocks(base, &block("ROUND", &(cut + &sew + &line("7", (0.0, 0.0), (0.0, 100.0)) + &labels)))
}

fn zigzag(base: &str, n: usize) -> String {
    let at = |i: usize| (i as f64 / n as f64 * 400.0, if i.is_multiple_of(2) { 0.0 } else { 200.0 });
    let labels = text("Piece Name: ZIGZAG") + &text("Size: 38");
    with_blocks(base, &block("ZIGZAG", &(polyline((0..n).map(at), "") + &labels)))
}

/// The teeth lie along the longer side of the box around them.
fn zigzag_turned(base: &str, n: usize) -> String {
    let at = |i: usize| (i as f64 / n as f64 * 200.0, if i.is_multiple_of(2) { 0.0 } else { 400.0 });
    let labels = text("Piece Name: ZIGZAG") + &text("Size: 38");
    with_blocks(base, &block("ZIGZAG", &(polyline((0..n).map(at), "") + &labels)))
}

fn large_zigzag(base: &str, n: usize) -> String {
    let at = |i: usize| (i as f64 / n as f64 * 9000.0, if i.is_multiple_of(2) { 0.0 } else { 9000.0 });
    let labels = text("Piece Name: ZIGZAG") + &text("Size: 38");
    with_blocks(base, &block("ZIGZAG", &(polyline((0..n).map(at), "") + &labels)))
}

fn large_pieces(base: &str, n: usize) -> String {
    let corners = [(0.0, 0.0), (9000.0, 0.0), (9000.0, 9000.0), (0.0, 9000.0)];
    let one = |i: usize| {
        let labels = text(&format!("Piece Name: SAIL {i}")) + &text("Size: 38");
        block(&format!("SAIL{i}"), &(polyline(corners.into_iter(), "") + &labels))
    };
    with_blocks(base, &of(n, one))
}

fn notched_leg(base: &str, n: usize) -> String {
    let notch = |i: usize| {
        let (x, y) = (i as f64 / n as f64 * 400.0 - 200.0, (i * 7 % n) as f64 / n as f64 * 700.0 - 600.0);
        format!("  0\nPOINT\n  8\n4\n 10\n{x:.4}\n 20\n{y:.4}\n")
    };
    in_front(&dense_leg(base, n), &of(n, notch))
}

fn rule_numbers(base: &str, n: usize) -> String {
    let at = |i: usize| round(i as f64 / n as f64);
    let turn = |i: usize| {
        let (x, y) = at(i);
        format!(
            "  0\nPOINT\n  8\n2\n 10\n{x:.4}\n 20\n{y:.4}\n  0\nTEXT\n  8\n2\n 10\n{x:.4}\n 20\n{y:.4}\n 40\n3.0\n  1\n# 1\n"
        )
    };
    let labels = text("Piece Name: ROUND") + &text("Size: 38");
    let reference = line("5", (0.0, 0.0), (100.0, 0.0));
    with_blocks(base, &block("ROUND", &(polyline((0..n).map(at), "") + &of(n, turn) + &reference + &labels)))
}

fn letters(base: &str, n: usize) -> String {
    let letter = |i: usize| char::from_u32(0x4E00 + u32::try_from(i % 0x5000).unwrap()).unwrap();
    in_front(base, &of(n / 100, |i| text(&(0..100).map(|j| letter(100 * i + j)).collect::<String>())))
}

fn size_rows(_: &str, n: usize) -> String {
    format!("size,change\n38,12 mm\n{}", of(n, |i| format!("{},12 mm\n", 100 + i)))
}

fn rule_sizes(_: &str, n: usize) -> String {
    let sizes = of(n, |i| format!(" {}", 100 + i));
    let deltas = of(n, |i| format!(" {}.0,1.0", i % 40));
    format!(
        "UNITS: METRIC\nGRADE RULE TABLE: HARBOUR\nSAMPLE SIZE: 38\nNUMBER OF SIZES: {}\nSIZE LIST: 38{sizes}\nRULE: DELTA 1\n0.0,0.0{deltas}\nEND\n",
        n + 1
    )
}
