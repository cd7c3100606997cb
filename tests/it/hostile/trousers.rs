//! Legs made to be slow to read: drawn in one piece, with folds, with pieces that hang on them, and without blocks.

use super::{block, both, in_front, line, of, polyline, text, with_blocks};
use std::path::Path;

type Xy = (f64, f64);

/// A sample's text.
fn sample(name: &str) -> String {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("samples/shapes").join(name);
    std::fs::read_to_string(path).unwrap().replace('\r', "")
}

/// The vertices of the longest line on a layer in the piece of that number.
fn line_on(layer: &str, text: &str, block: usize) -> Vec<Xy> {
    let block = text.split("\nBLOCK\n").filter(|b| b.contains("Piece Name")).nth(block).unwrap();
    let lines = block.split("\nLWPOLYLINE\n").skip(1).filter(|l| l.contains(&format!("\n  8\n{layer}\n")));
    let points = lines.map(|l| {
        let values: Vec<&str> = l.split("\n  0\n").next().unwrap().lines().collect();
        let of = |code: &'static str| {
            let pairs = values.chunks(2).filter(move |p| p[0].trim() == code);
            pairs.map(|p| p[1].trim().parse::<f64>().unwrap()).collect::<Vec<f64>>()
        };
        of("10").into_iter().zip(of("20")).collect::<Vec<Xy>>()
    });
    points.max_by_key(Vec::len).unwrap()
}

/// The line with `n` vertices more, spread evenly over its edges.
fn denser(line: &[Xy], n: usize) -> Vec<Xy> {
    let each = n / line.len();
    let edge = |i: usize| {
        let (a, b) = (line[i], line[(i + 1) % line.len()]);
        (0..=each).map(move |k| {
            let t = k as f64 / (each + 1) as f64;
            (a.0 + (b.0 - a.0) * t, a.1 + (b.1 - a.1) * t)
        })
    };
    (0..line.len()).flat_map(edge).collect()
}

/// A sew line with its name, its size and a grain line, all of them within it.
fn drawn(name: &str, sew: &[Xy]) -> String {
    let middle = |of: fn(&Xy) -> f64| sew.iter().map(of).sum::<f64>() / sew.len() as f64;
    let (x, y) = (middle(|p| p.0), middle(|p| p.1));
    let outline = polyline(sew.iter().copied(), "").replace("  8\n1\n", "  8\n14\n");
    let labels = text(&format!("Piece Name: {name}")) + &text("Size: 38");
    let labels = labels.replace(" 10\n1.0\n 20\n1.0\n", &format!(" 10\n{x:.1}\n 20\n{y:.1}\n"));
    outline + &line("7", (x, y - 100.0), (x, y + 100.0)) + &labels
}

fn piece(name: &str, sew: &[Xy], more: &str) -> String {
    block(&format!("{name}-38"), &(drawn(name, sew) + more))
}

/// The sound drawing with other blocks in place of its own.
fn instead(base: &str, blocks: &str) -> String {
    base.replace(both(base), blocks)
}

pub fn in_one_piece(base: &str, n: usize) -> String {
    let sample = sample("leggings-with-the-back-raised.dxf");
    instead(base, &piece("LEGGINGS", &denser(&line_on("14", &sample, 0), n), ""))
}

/// Each of them in a size of its own, the first in that which is altered.
pub fn sizes_in_one_piece(base: &str, n: usize) -> String {
    let leg = line_on("14", &sample("leggings.dxf"), 0);
    let size = |i: usize| {
        let name = format!("-{}", 38 + i);
        piece("LEGGINGS", &leg, "").replace("-38", &name).replace("Size: 38", &format!("Size: {}", 38 + i))
    };
    instead(base, &of((n / 100).max(1), size))
}

/// Front and back with a casing, drawn densely.
pub fn casing(base: &str, n: usize) -> String {
    let sample = sample("casing-with-a-fold-line.dxf");
    let legs = [("FRONT", 0), ("BACK", 1)].map(|(name, at)| {
        let fold = line_on("FOLD", &sample, at);
        piece(name, &denser(&line_on("14", &sample, at), n / 2), &line("FOLD", fold[0], fold[1]))
    });
    instead(base, &legs.concat())
}

pub fn fold_lines(base: &str, n: usize) -> String {
    in_front(base, &of(n, |i| line("FOLD", (-300.0, i as f64 / 1e3), (300.0, i as f64 / 1e3))))
}

pub fn fold_labels(base: &str, n: usize) -> String {
    in_front(base, &text("FOLD").repeat(n))
}

/// The front again, by another name.
fn named(base: &str, name: &str) -> String {
    let front = &both(base)[..both(base).find("  0\nENDBLK\n").unwrap()];
    let front = front.replace("Piece Name: FRONT", &format!("Piece Name: {name}"));
    front.replace("FRONT-38", &format!("{name}-38")) + "  0\nENDBLK\n  8\n1\n"
}

pub fn linings(base: &str, n: usize) -> String {
    with_blocks(base, &of(n / 100, |i| named(base, &format!("FRONT LINING {i}"))))
}

/// A front, a back, and a strip along the front's crotch seam down to the fork; front and strip with as many vertices more.
fn faced(front: usize, strip: usize) -> [String; 3] {
    /// The fork among the front's vertices, which begin at the centre waist.
    const FORK: usize = 18;
    let sample = sample("wide-legs.dxf");
    let leg = line_on("14", &sample, 0);
    let edge = &leg[..=FORK];
    let inner = edge.iter().rev().map(|&(x, y)| (x - 60.0, y + 1.0));
    let around: Vec<Xy> = edge.iter().copied().chain(inner).collect();
    let facing = piece("FACING", &denser(&around, strip), "");
    [piece("FRONT", &denser(&leg, front), ""), piece("BACK", &line_on("14", &sample, 1), ""), facing]
}

pub fn facings(base: &str, n: usize) -> String {
    let [front, back, facing] = faced(0, 0);
    let facings = of(n / 100, |i| facing.replace("FACING", &format!("FACING {i}")));
    instead(base, &[front, back, facings].concat())
}

/// A facing that hangs on the leg with half of its vertices.
pub fn dense_facing(base: &str, n: usize) -> String {
    instead(base, &faced(0, n).concat())
}

/// A facing and a leg that both have as many.
pub fn dense_facing_and_leg(base: &str, n: usize) -> String {
    instead(base, &faced(n / 2, n / 2).concat())
}

/// Entities of the drawing itself, in no block.
fn of_its_own(entities: &str) -> String {
    format!("  0\nSECTION\n  2\nENTITIES\n{}{entities}  0\nENDSEC\n  0\nEOF\n", text("Units: METRIC"))
}

fn at(i: usize, n: usize) -> Xy {
    let row = n.isqrt() + 1;
    ((i % row) as f64 * 150.0, (i / row) as f64 * 150.0)
}

fn square(at: Xy) -> String {
    let corners = [(0.0, 0.0), (100.0, 0.0), (100.0, 100.0), (0.0, 100.0)];
    polyline(corners.into_iter().map(|(x, y)| (at.0 + x, at.1 + y)), "")
}

pub fn outlines_without_blocks(_: &str, n: usize) -> String {
    of_its_own(&of(n, |i| square(at(i, n))))
}

pub fn outlines_within_one_another(_: &str, n: usize) -> String {
    let one = |i: usize| {
        let half = 100.0 + i as f64 / 10.0;
        polyline([(-half, -half), (half, -half), (half, half), (-half, half)].into_iter(), "")
    };
    of_its_own(&of(n, one))
}

pub fn notes_without_blocks(_: &str, n: usize) -> String {
    let note = |i: usize| {
        let (x, y) = at(i, n);
        text(&format!("note {i}")).replace(" 10\n1.0\n 20\n1.0\n", &format!(" 10\n{x:.1}\n 20\n{y:.1}\n"))
    };
    of_its_own(&(of(n.min(100), |i| square(at(i, n.min(100)))) + &of(n, note)))
}

/// Legs without blocks that have as many vertices.
pub fn legs_without_blocks(_: &str, n: usize) -> String {
    let sample = sample("wide-legs.dxf");
    let apart = |at: usize, by: f64| -> Vec<Xy> {
        denser(&line_on("14", &sample, at), n / 2).into_iter().map(|(x, y)| (x + by, y)).collect()
    };
    of_its_own(&(drawn("FRONT", &apart(0, 0.0)) + &drawn("BACK", &apart(1, 2000.0))))
}
