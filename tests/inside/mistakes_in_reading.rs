//! Mistakes planted in what the first reading is given, as a bug in it would make them: a number read wrongly, a vertex lost or read
//! twice, a bulge dropped or turned over, another degree or knot. The second reading has the drawing as it is, and must catch
//! every mistake that changes a length.

use crate::check::second;
use crate::dxf_text::Drawing;
use crate::finding::Severity;
use crate::inside::common::{self, root};
use crate::job::Job;
use crate::opened::{self, Opened};
use crate::pattern::LayerUse;
use crate::seam::{self, LegPiece, Size};
use crate::trousers::SeamRole;
use rayon::prelude::*;
use std::collections::{BTreeMap, BTreeSet};

/// A mistake is worth catching from this many mm of a seam on; where the sew line is derived from the cut line, whose corners turn an
/// error beside them into one and a half of it.
const OFF: [f64; 2] = [0.1, 0.15];

/// Drawings of the samples in which lines are drawn by different entities, and how many mistakes are planted in each. A leg is never
/// drawn as a half piece or by a circle.
const DRAWINGS: [(&str, usize); 26] = [
    ("dialects/lwpolyline", 300),
    ("dialects/polyline-release-12", 300),
    ("dialects/bulge", 375),
    ("dialects/bulge-release-12", 375),
    ("dialects/bulge-release-12-seen-from-behind", 300),
    ("dialects/line-and-arc-chain", 450),
    ("dialects/line-and-ellipse-chain", 450),
    ("dialects/spline-chain", 450),
    ("dialects/spline-through-points", 450),
    ("dialects/chain-seen-from-behind", 450),
    ("dialects/inches-askew-mirrored", 225),
    ("dialects/cut-line-only", 300),
    ("dialects/fly", 225),
    ("dialects/placed-at-twice-its-numbers", 225),
    ("dialects/placed-in-a-block-that-is-placed", 150),
    ("dialects/yoke", 150),
    ("shapes/leggings", 150),
    ("shapes/leggings-askew-mirrored-in-inches", 150),
    ("shapes/leggings-on-the-cut-line-only", 150),
    ("shapes/leggings-with-a-casing", 150),
    ("shapes/casing-with-a-fold-line", 225),
    ("shapes/pull-on-with-a-stated-casing", 150),
    ("shapes/turned-up-hem", 150),
    ("shapes/turn-up-folded-three-times", 150),
    // Without blocks.
    ("dialects/bulge", 225),
    ("dialects/line-and-arc-chain", 300),
];

/// So many of them, the last, are drawn without blocks.
const WITHOUT_BLOCKS: usize = 2;

/// The drawing with its legs in the drawing itself, the second beside the first, in place of their blocks.
fn without_blocks(text: &str) -> String {
    let (_, blocks, _) = common::blocks(text);
    let mut out = "0\nSECTION\n2\nENTITIES\n".to_owned();
    for (at, (_, block)) in blocks.iter().filter(|(_, b)| b.contains("Piece Name: ")).enumerate() {
        let lines: Vec<&str> = block.lines().collect();
        let starts: Vec<usize> = (0..lines.len()).step_by(2).filter(|&i| lines[i].trim() == "0").collect();
        // Neither BLOCK nor ENDBLK.
        for k in 1..starts.len() - 1 {
            for pair in lines[starts[k]..starts[k + 1]].chunks(2) {
                let beside = |x: &str| format!("{}", x.trim().parse::<f64>().unwrap() + 2000.0 * at as f64);
                let is_x = ["10", "11"].contains(&pair[0].trim());
                let value = if is_x { beside(pair[1]) } else { pair[1].to_owned() };
                out += &format!("{}\n{value}\n", pair[0]);
            }
        }
    }
    out + "0\nTEXT\n8\n1\n10\n0\n20\n0\n40\n5\n1\nUnits: METRIC\n0\nENDSEC\n0\nEOF\n"
}

/// A generator of numbers (Marsaglia's xorshift, 2003), the same in every run.
struct Dice(u64);

impl Dice {
    fn below(&mut self, n: usize) -> usize {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        usize::try_from((self.0 >> 33) % n as u64).unwrap()
    }
}

/// An entity that draws a part of a leg's line: its kind, its layer and its pairs as lines of the file.
struct Part<'t> {
    kind: &'t str,
    layer: &'t str,
    lines: std::ops::Range<usize>,
}

/// What of a drawing's text draws the lines that its legs are measured on, and the lines of their folds.
fn parts<'t>(text: &str, lines: &[&'t str], original: &Opened<'_>, job: &Job) -> Vec<Part<'t>> {
    let sizes = seam::sizes(&original.pattern, &job.labels);
    // Layers, by the stretches of the file in which they draw a leg.
    let mut wanted: Vec<(std::ops::Range<usize>, String)> = Vec::new();
    for on in sizes.iter().flat_map(Size::all_legs) {
        let folds = on.piece.paths.iter().filter(|path| path.layer_use == LayerUse::Fold);
        let own = [&on.piece.paths[on.leg.drawn.path()]].into_iter().chain(folds);
        let of = own.flat_map(|path| path.from.iter());
        let layers: BTreeSet<String> =
            of.map(|f| on.piece.strokes[f.stroke as usize].layer.to_string()).collect();
        for part in original.drawing.blocks[on.piece.block].parts() {
            wanted.extend(layers.iter().map(|layer| (part.body.range(), layer.clone())));
        }
    }
    let mut at = Vec::new();
    text.split_inclusive('\n').fold(0, |byte, line| {
        at.push(byte);
        byte + line.len()
    });
    let mut all: Vec<Part<'t>> = Vec::new();
    let starts: Vec<usize> = (0..lines.len() - 1).step_by(2).filter(|&i| lines[i].trim() == "0").collect();
    for (k, &from) in starts.iter().enumerate() {
        let to = starts.get(k + 1).copied().unwrap_or(lines.len());
        let kind = lines[from + 1].trim();
        let layer =
            (from..to).step_by(2).find(|&i| lines[i].trim() == "8").map_or("", |i| lines[i + 1].trim());
        let ours = wanted.iter().any(|(stretch, of)| of == layer && stretch.contains(&at[from]));
        if ours && ["VERTEX", "LWPOLYLINE", "LINE", "ARC", "ELLIPSE", "SPLINE"].contains(&kind) {
            all.push(Part { kind, layer, lines: from..to });
        }
    }
    all
}

/// A drawing in which mistakes are planted.
struct Given<'t> {
    lines: Vec<&'t str>,
    parts: Vec<Part<'t>>,
}

impl Given<'_> {
    /// The values of a code in a part, each with its line.
    fn values(&self, part: &Part<'_>, code: i32) -> Vec<(usize, f64)> {
        let of_code = part.lines.clone().step_by(2).filter(|&i| self.lines[i].trim().parse() == Ok(code));
        of_code.map(|i| (i + 1, self.lines[i + 1].trim().parse().unwrap())).collect()
    }

    fn value(&self, part: &Part<'_>, code: i32) -> f64 {
        self.values(part, code)[0].1
    }

    /// The drawing with lines changed.
    fn with(&self, changes: &[(usize, f64)]) -> String {
        let mut new: Vec<String> = self.lines.iter().map(|l| (*l).to_owned()).collect();
        for &(line, value) in changes {
            new[line] = format!("{value}");
        }
        new.join("\n") + "\n"
    }

    /// The drawing with other lines in the place of some.
    fn replaced(&self, range: std::ops::Range<usize>, by: &str) -> String {
        let (before, after) = (self.lines[..range.start].join("\n"), self.lines[range.end..].join("\n"));
        format!("{before}\n{by}{after}\n")
    }

    /// A mistake in a part: the drawing as it is then read, and what is wrong.
    fn planted(&self, dice: &mut Dice) -> (String, String) {
        let part = &self.parts[dice.below(self.parts.len())];
        let by = [0.3, -0.4, 1.7, -2.5, 12.0, -30.0][dice.below(6)];
        let (text, mistake) = match part.kind {
            "LINE" => self.joint_moved(part, by, dice),
            "ARC" | "ELLIPSE" => self.as_chords(part, dice),
            _ => self.vertices(part, by, dice),
        };
        (text, format!("{} in line {}: {mistake}", part.kind, part.lines.start + 1))
    }

    /// A corner read elsewhere: both lines that meet there end elsewhere.
    fn joint_moved(&self, part: &Part<'_>, by: f64, dice: &mut Dice) -> (String, String) {
        let end = [10, 11][dice.below(2)];
        let [x, y] = [end, end + 10].map(|code| self.value(part, code));
        let here = |a: f64, b: f64| (a - x).abs() < 1e-6 && (b - y).abs() < 1e-6;
        let mut changes = Vec::new();
        let across = dice.below(2) == 0;
        let drawn_by_numbers = |p: &&Part<'_>| !matches!(p.kind, "ARC" | "ELLIPSE");
        for other in self.parts.iter().filter(drawn_by_numbers) {
            for code in [10, 11] {
                let places = self.values(other, code).into_iter().zip(self.values(other, code + 10));
                for ((line_x, a), (line_y, b)) in places.filter(|((_, a), (_, b))| here(*a, *b)) {
                    changes.push(if across { (line_x, a + by) } else { (line_y, b + by) });
                }
            }
        }
        (self.with(&changes), format!("a corner {by} off, {} lines end there", changes.len()))
    }

    /// A curve read as a few chords, or with its middle elsewhere.
    fn as_chords(&self, part: &Part<'_>, dice: &mut Dice) -> (String, String) {
        let value = |code| self.value(part, code);
        let (cx, cy) = (value(10), value(20));
        let at = |share: f64| -> (f64, f64) {
            if part.kind == "ARC" {
                let (from, to) = (value(50), value(51));
                let angle = from + share * (to - from).rem_euclid(360.0);
                (cx + value(40) * angle.to_radians().cos(), cy + value(40) * angle.to_radians().sin())
            } else {
                let t = value(41) + share * (value(42) - value(41));
                let (mx, my) = (value(11), value(21));
                let (nx, ny) = (-my * value(40), mx * value(40));
                (cx + mx * t.cos() + nx * t.sin(), cy + my * t.cos() + ny * t.sin())
            }
        };
        let chords = 1 + dice.below(6);
        let shrunk = 1.0 - 0.002 * dice.below(8) as f64;
        let points: Vec<(f64, f64)> = (0..=chords)
            .map(|k| {
                let (x, y) = at(k as f64 / chords as f64);
                let inner = k > 0 && k < chords;
                if inner { (cx + (x - cx) * shrunk, cy + (y - cy) * shrunk) } else { (x, y) }
            })
            .collect();
        let line = |p: &[(f64, f64)]| {
            let [(ax, ay), (bx, by)] = [p[0], p[1]];
            format!("0\nLINE\n8\n{}\n10\n{ax}\n20\n{ay}\n11\n{bx}\n21\n{by}\n", part.layer)
        };
        let by: String = points.windows(2).map(line).collect();
        (self.replaced(part.lines.clone(), &by), format!("read as {chords} chords, {shrunk} as wide"))
    }

    /// A vertex, control point or fit point read wrongly, lost or read twice; a bulge dropped or turned over; another degree or knot.
    fn vertices(&self, part: &Part<'_>, by: f64, dice: &mut Dice) -> (String, String) {
        let bulges: Vec<(usize, f64)> = self
            .values(part, 42)
            .into_iter()
            .filter(|(_, bulge)| part.kind != "SPLINE" && *bulge != 0.0)
            .collect();
        let way = dice.below(8);
        if !bulges.is_empty() && way < 3 {
            let (line, bulge) = bulges[dice.below(bulges.len())];
            let new = [0.0, -bulge, bulge * 1.2][way];
            return (self.with(&[(line, new)]), format!("a bulge of {new} in place of {bulge}"));
        }
        if part.kind == "SPLINE" && way == 0 {
            let (line, degree) = self.values(part, 71)[0];
            let new = if degree > 2.0 { 2.0 } else { 3.0 };
            return (self.with(&[(line, new)]), format!("degree {new} in place of {degree}"));
        }
        let code = if part.kind == "SPLINE" && self.values(part, 10).is_empty() { 11 } else { 10 };
        let points = self.values(part, code);
        // The ends of a spline meet other lines.
        let ends = usize::from(part.kind == "SPLINE");
        if points.len() <= 2 * ends {
            return (self.with(&[]), "nothing".to_owned());
        }
        let k = ends + dice.below(points.len() - 2 * ends);
        let start = points[k].0 - 1;
        if part.kind == "LWPOLYLINE" && way < 2 {
            let end = points.get(k + 1).map_or(part.lines.end, |(line, _)| line - 1);
            let vertex = self.lines[start..end].join("\n") + "\n";
            return match way {
                0 => (self.replaced(start..end, ""), format!("point {k} lost")),
                _ => {
                    (self.replaced(start..end, &(vertex.clone() + &vertex)), format!("point {k} read twice"))
                }
            };
        }
        let (line, value) = self.values(part, code + if way.is_multiple_of(2) { 0 } else { 10 })[k];
        (self.with(&[(line, value + by)]), format!("point {k} {by} off"))
    }
}

fn open<'t>(text: &'t str, job: &Job) -> Option<Opened<'t>> {
    let drawing = Drawing::scan(text.as_bytes()).ok()?;
    opened::open("drawing.dxf", text.as_bytes(), drawing, &job.reading()).ok()
}

/// The lengths of the seams of a leg, to its folds.
fn lengths(on: &LegPiece<'_>) -> [f64; 5] {
    use SeamRole::{Crotch, Hem, Inseam, Outseam, Waist};
    [Crotch, Inseam, Hem, Outseam, Waist].map(|role| on.folds.length(&on.leg, role).0)
}

/// Whether some leg that both have measures otherwise.
fn measures_otherwise(before: &Size<'_>, after: &Size<'_>) -> bool {
    let same = |is: &&LegPiece<'_>, was: &LegPiece<'_>| {
        let part = |on: &LegPiece<'_>| on.leg.one_piece.as_ref().map(|one| one.part);
        is.piece.block == was.piece.block && part(is) == part(was)
    };
    before.all_legs().any(|was| {
        let Some(is) = after.all_legs().find(|is| same(is, was)) else { return false };
        let off = OFF[usize::from(was.leg.drawn.derived().is_some())];
        lengths(was).iter().zip(lengths(is)).any(|(a, b)| (a - b).abs() > off)
    })
}

/// What became of a mistake.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
enum Came {
    /// It was caught by the second reading.
    Caught,
    /// The first reading found no trousers, no leg or something wrong.
    Refused,
    /// It changed no length.
    Harmless,
    /// It passed.
    Missed,
}

fn came(original: &Opened<'_>, job: &Job, text: &str) -> Came {
    let Some(wrong) = open(text, job) else { return Came::Refused };
    let is_error = |f: &crate::finding::Finding| f.severity == Severity::Error;
    let before = seam::sizes(&original.pattern, &job.labels);
    let after = seam::sizes(&wrong.pattern, &job.labels);
    let mut came = Came::Harmless;
    for was in &before {
        let Some(is) = after.iter().find(|size| size.name == was.name) else { return Came::Refused };
        if wrong.pattern.findings.iter().chain(&is.findings).any(is_error) || is.pair().is_none() {
            return Came::Refused;
        }
        if measures_otherwise(was, is) {
            let caught = second::reread(&original.drawing, is).iter().any(is_error);
            // One size in which it passes is enough.
            if !caught {
                came = Came::Missed;
            } else if came != Came::Missed {
                came = Came::Caught;
            }
        }
    }
    came
}

/// The kinds of entities, or the drawings, with what became of the mistakes in them.
type Counted = BTreeMap<String, BTreeMap<Came, usize>>;

fn caught(counted: &Counted, of: &String) -> usize {
    counted[of].get(&Came::Caught).copied().unwrap_or_default()
}

/// `cargo test --lib mistakes_in_reading -- --nocapture` prints how many were planted and what became of them.
#[test]
fn every_mistake_in_reading_that_changes_a_length_is_caught() {
    let (mut by_kind, mut by_drawing, mut missed) = (Counted::new(), Counted::new(), Vec::new());
    for (k, (name, count)) in DRAWINGS.into_iter().enumerate() {
        let path = root().join("samples").join(name);
        let mut text = std::fs::read_to_string(path.with_extension("dxf")).unwrap();
        let mut name = name.to_owned();
        if k >= DRAWINGS.len() - WITHOUT_BLOCKS {
            (text, name) = (without_blocks(&text), name + ", without blocks");
        }
        let job = std::fs::read_to_string(path.with_extension("toml"));
        let job = job.map_or_else(|_| Job::default(), |toml| Job::from_toml(&toml, "job.toml").unwrap());
        let original = open(&text, &job).unwrap();
        let lines: Vec<&str> = text.lines().collect();
        let parts = parts(&text, &lines, &original, &job);
        let given = Given { lines, parts };
        let mut dice = Dice(0x9E37_79B9_7F4A_7C15 ^ count as u64);
        let mistakes: Vec<(String, String)> = (0..count).map(|_| given.planted(&mut dice)).collect();
        let all: Vec<Came> = mistakes.par_iter().map(|(text, _)| came(&original, &job, text)).collect();
        for (came, (_, what)) in all.into_iter().zip(&mistakes) {
            let kind = what.split(' ').next().unwrap().to_owned();
            *by_kind.entry(kind).or_default().entry(came).or_default() += 1;
            *by_drawing.entry(name.clone()).or_default().entry(came).or_default() += 1;
            if came == Came::Missed {
                missed.push(format!("{name}: {what}"));
            }
        }
    }
    let all: usize = by_kind.keys().map(|kind| caught(&by_kind, kind)).sum();
    let planted: usize = by_kind.values().flat_map(BTreeMap::values).sum();
    eprintln!("{planted} mistakes planted, {all} caught: {by_kind:?} {by_drawing:#?}");
    assert!(missed.is_empty(), "{}: {missed:#?}", missed.len());
    assert!(all >= 2000 && by_kind.keys().all(|kind| caught(&by_kind, kind) >= 50), "{all} caught");
    assert!(by_drawing.keys().all(|name| caught(&by_drawing, name) >= 20), "{by_drawing:?}");
}
