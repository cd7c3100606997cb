//! # What it finds
//! A size that has fewer or more internal lines, drill holes or notches than the other sizes of the piece, or that lacks a
//! sew line which the others have.
//! # Why it matters on the cutting table
//! The pocket of that size is placed by guesswork, or its seam is sewn without the marks by which its edges are matched.
//! # How it is measured
//! Lines and points on the layers of internal lines, and sew lines, are counted layer by layer (lines that meet end to end
//! are one line). Notches of all kinds, drawn as points or as lines, are counted together. A count that holds for several
//! sizes in sequence is graded, and noted. A larger count in the largest size only, or fewer drill holes of a row in the
//! smallest size only, may be graded as well and is a warning. Where the count is right, the places are not compared.
//! # Tolerance
//! None.
//! # Where the tolerance comes from
//! Common practice, no source: all sizes of a piece are the same piece, drawn larger or smaller.

use super::{Look, Rule};
use crate::check::sheet::{Nest, OfSize, Sheet};
use crate::check::unlike::{Unlike, through};
use crate::finding::{Finding, FindingId};
use crate::pattern::{LayerUse, MarkKind, Path, Piece, SizeName};
use crate::words::{escaped, listed};
use kurbo::Point;
use rayon::prelude::*;
use std::collections::{BTreeMap, BTreeSet, HashMap};

/// The check.
pub const RULE: Rule = Rule {
    name: "mark-missing",
    right: "Every size of a piece has the same lines, drill holes and notches.",
    lengths: false,
    of_legs: false,
    look: Look::Drawing(find),
};

/// This many drill holes or more are a row, in which their number may grow with the piece.
const ROW: usize = 4;

/// What is counted.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum What {
    InternalLine,
    SewLine,
    Mark,
    Notch,
}

/// What is counted, and on which layer; `None` for notches, of which all kinds are counted together.
type Kind<'p> = (What, Option<&'p str>);

impl What {
    /// The words for one thing of this kind and for several.
    fn words(self) -> [&'static str; 2] {
        match self {
            What::InternalLine => ["internal line", "internal lines"],
            What::SewLine => ["sew line", "sew lines"],
            What::Mark => ["mark or drill hole", "marks or drill holes"],
            What::Notch => ["notch", "notches"],
        }
    }

    /// The kind under which a thing on this layer is counted.
    fn on(self, layer: &str) -> Kind<'_> {
        (self, (self != What::Notch).then_some(layer.trim()))
    }
}

fn find(sheet: &Sheet<'_>) -> Vec<Finding> {
    sheet.nests.par_iter().flat_map_iter(|nest| of_nest(sheet, nest)).collect()
}

/// A size, the first of its pieces, and how many things of each kind its pieces have.
type Counted<'p> = (&'p SizeName, &'p Piece, BTreeMap<Kind<'p>, usize>);

fn of_nest(sheet: &Sheet<'_>, nest: &Nest<'_>) -> Vec<Finding> {
    let sizes: Vec<Counted<'_>> = nest.by_size().iter().map(|size| counted(sheet, size)).collect();
    let kinds: BTreeSet<Kind<'_>> = sizes.iter().flat_map(|s| s.2.keys().copied()).collect();
    kinds.iter().flat_map(|kind| of_kind(sheet, &sizes, kind)).collect()
}

fn counted<'p>(sheet: &Sheet<'_>, (size, pieces): &OfSize<'p>) -> Counted<'p> {
    let mut counts = BTreeMap::new();
    for piece in pieces {
        count(sheet, piece, &mut counts);
    }
    (*size, pieces[0], counts)
}

fn of_kind(sheet: &Sheet<'_>, sizes: &[Counted<'_>], kind: &Kind<'_>) -> Vec<Finding> {
    let counts: Vec<usize> = sizes.iter().map(|s| s.2.get(kind).copied().unwrap_or_default()).collect();
    let steps = |from: &[usize]| {
        let step =
            |&i: &usize| format!("{} from size {} on", many(counts[i], kind), escaped(sizes[i].0.as_str()));
        from.iter().map(step).collect::<Vec<_>>().join(", ")
    };
    let names: Vec<&SizeName> = sizes.iter().map(|s| s.0).collect();
    let found = |unlike| match unlike {
        Unlike::Alike => Vec::new(),
        Unlike::Odd(odd, usual) => {
            odd.into_iter().map(|i| odd_one(sheet, sizes, &counts, kind, (i, usual))).collect()
        }
        Unlike::Graded(from) => {
            let message = format!("{}; right where it is meant so", steps(&from));
            vec![sheet.at_block(Finding::note(FindingId::MarkMissing, message), sizes[0].1)]
        }
        Unlike::Mixed(from) => {
            let message = format!("to and fro with the size: {}; look whether any is missing", steps(&from));
            vec![sheet.at_block(Finding::warning(FindingId::MarkMissing, message), sizes[0].1)]
        }
    };
    through(&names, &counts).into_iter().flat_map(found).collect()
}

/// The finding for a size whose count of a thing differs from the usual one.
fn odd_one(
    sheet: &Sheet<'_>,
    sizes: &[Counted<'_>],
    counts: &[usize],
    kind: &Kind<'_>,
    (i, usual): (usize, usize),
) -> Finding {
    let (own, others) = (counts[i], counts[usual]);
    let more_at_the_end = i + 1 == counts.len() && own > others && others > 0;
    let fewer_of_a_row = i == 0 && own < others && own >= ROW && kind.0 == What::Mark;
    let graded = more_at_the_end || fewer_of_a_row;
    let what_to_do = if graded {
        "right where it is meant so"
    } else if own < others {
        "draw what is missing"
    } else {
        "take out what is too many, or draw it in the other sizes as well"
    };
    let usual = (0..sizes.len()).filter(|&j| counts[j] == others).map(|j| sizes[j].0.as_str());
    let message =
        format!("{} in this size, and {others} in {}; {what_to_do}", many(own, kind), listed(usual));
    let finding = if graded { Finding::warning } else { Finding::error };
    sheet.at_block(finding(FindingId::MarkMissing, message), sizes[i].1)
}

fn many(n: usize, (what, layer): &Kind<'_>) -> String {
    let [one, several] = what.words();
    let word = if n == 1 { one } else { several };
    let n = if n == 0 { "no".to_owned() } else { n.to_string() };
    match layer {
        Some(layer) => format!("{n} {word} on layer {}", escaped(layer)),
        None => format!("{n} {word}"),
    }
}

/// Counts those lines and points of a piece that all its sizes should have.
fn count<'p>(sheet: &Sheet<'_>, piece: &'p Piece, counts: &mut BTreeMap<Kind<'p>, usize>) {
    let mut internal: BTreeMap<&str, Vec<&Path>> = BTreeMap::new();
    for path in &piece.paths {
        let layer = &*piece.strokes[path.from[0].stroke as usize].layer;
        let what = match path.layer_use {
            LayerUse::Internal => {
                internal.entry(layer).or_default().push(path);
                continue;
            }
            LayerUse::Notch => What::Notch,
            LayerUse::Sew if path.closed => What::SewLine,
            _ => continue,
        };
        *counts.entry(what.on(layer)).or_default() += 1;
    }
    for (layer, lines) in internal {
        *counts.entry(What::InternalLine.on(layer)).or_default() += joined(&lines);
    }
    for mark in &piece.marks {
        let what = match mark.kind {
            MarkKind::Notch { .. } => What::Notch,
            MarkKind::Internal if sheet.is_internal(&mark.layer) => What::Mark,
            _ => continue,
        };
        *counts.entry(what.on(&mark.layer)).or_default() += 1;
    }
}

/// How many lines these are if lines that meet end to end count as one: a curve may be drawn in more strokes in one size than
/// in another.
fn joined(lines: &[&Path]) -> usize {
    /// Two ends that lie in the same square of a grid of this width, in mm, or in squares that touch, are one end.
    const GRID: f64 = 0.1;
    #[allow(clippy::cast_possible_truncation, reason = "coordinates are within reach")]
    let square = |p: Point| ((p.x / GRID).floor() as i64, (p.y / GRID).floor() as i64);
    // For each line the first one that it is joined with, as a disjoint-set forest.
    let mut first: Vec<usize> = (0..lines.len()).collect();
    let root = |first: &mut Vec<usize>, mut i: usize| {
        while first[i] != i {
            first[i] = first[first[i]];
            i = first[i];
        }
        i
    };
    let mut ends: HashMap<(i64, i64), usize> = HashMap::new();
    for (i, line) in lines.iter().enumerate().filter(|(_, line)| !line.closed) {
        for end in [line.points.first(), line.points.last()].into_iter().flatten() {
            let (x, y) = square(*end);
            let around = (-1..=1).flat_map(|dx| (-1..=1).map(move |dy| (x + dx, y + dy)));
            for other in around.filter_map(|at| ends.get(&at).copied()).collect::<Vec<_>>() {
                let (a, b) = (root(&mut first, other), root(&mut first, i));
                first[b] = a;
            }
            ends.insert((x, y), i);
        }
    }
    (0..lines.len()).filter(|&i| first[i] == i).count()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn line(points: &[(f64, f64)]) -> Path {
        let points = points.iter().map(|&p| Point::from(p)).collect();
        Path { layer_use: LayerUse::Internal, points, from: Vec::new(), twins: Vec::new(), closed: false }
    }

    #[test]
    fn strokes_end_to_end_are_one_line() {
        let chain = [
            line(&[(0.0, 0.0), (10.0, 0.0)]),
            line(&[(20.0, 5.0), (30.0, 9.0)]),
            line(&[(20.0, 5.02), (10.03, 0.0)]),
            line(&[(0.0, 50.0), (10.0, 50.0)]),
            line(&[(0.0, 50.0), (0.0, 60.0)]),
            line(&[(12.0, 50.0), (22.0, 50.0)]),
        ];
        assert_eq!(joined(&chain.iter().collect::<Vec<_>>()), 3);
    }
}
