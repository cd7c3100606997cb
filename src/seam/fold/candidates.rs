//! Lines that are or may be folds: lines drawn across the leg near one of its ends, or places where the edges of the leg mirror
//! each other.

use super::edge::EndEdge;
use super::mirror::{mirrored, turning};
use super::{Fold, FoldBy, Shown};
use crate::geometry::{line, line::Measured};
use crate::pattern::{LayerUse, MarkKind, Path, Piece};
use crate::seam::{SeamRole, names};
use crate::trousers::{LabelKey, LabelTexts};
use crate::units::Mm;
use kurbo::Point;
use std::ops::RangeInclusive;

/// How much may be turned in, in mm, where nothing states it: from a narrow hem to a turn-up (common practice, no source).
const DEEP: RangeInclusive<f64> = 6.0..=160.0;
/// The same where a layer or a text marks the line as a fold.
const DEEP_AS_SAID: RangeInclusive<f64> = 2.0..=250.0;
/// Up to this depth, in mm, a hem without a drawn line is recognised by its edges alone.
const DEEP_ALONE: f64 = 80.0;
/// How far from the sew line, in mm, a line may end: on the cut line beyond the widest allowance, or a little short of the sew
/// line.
const REACH: f64 = 60.0;
/// The least share of the leg's width that the line has to span.
const ACROSS: f64 = 0.8;
/// How far, in mm, a text may stand from the line it names.
const LABEL_REACH: f64 = 20.0;
/// How far, in mm, a mirrored edge may be off. Seams are matched to 1/16 in; half of that is allowed to either side.
const MIRRORED: f64 = 0.8;
/// The same for a hem whose edges turn outwards and are cut by eye, as a share of the hem's depth.
const BY_EYE: f64 = 0.15;
/// If an edge turns at the line by at least this much, in mm, its mirroring is no accident.
const TURNS: f64 = 2.0;
/// The least turn, in degrees, of an edge at a fold where no line is drawn.
const TURN: f64 = 3.0;
/// The same where it is asked about.
const SLIGHT_TURN: f64 = 0.9;
/// If both edges turn by this much, in mm, at the same distance from the hem and mirror themselves, it may be a fold.
const SLIGHTLY: f64 = 0.5;
/// How deep a hem or turn-up is, in mm, that only slight turns or notches show: narrower ones are the width of an allowance.
const DEEP_UNDRAWN: RangeInclusive<f64> = 18.0..=DEEP_ALONE;
/// How far from the sew line, in mm, a notch may stand that belongs to it: at the edge of the widest allowance of a side.
const NOTCH_REACH: f64 = 30.0;
/// A vertex that is nearer to a notch's place than this, in mm, is that place.
const AT_VERTEX: f64 = 1.0;
/// The factor on that limit where only one edge turns.
const PLAIN: f64 = 2.0;
/// By how much the depths of a fold's two ends may differ: in mm, and in addition as a share of the depth.
const PARALLEL: (f64, f64) = (2.0, 0.03);
/// The same where a layer or a text marks the line as a fold: a waist may be shaped.
const PARALLEL_AS_SAID: (f64, f64) = (6.0, 0.3);
/// A line counts as straight if it deviates by less than this share of its length.
const STRAIGHT: f64 = 0.01;
/// An allowance of this width or more, in mm, is itself what is turned in.
const WIDE: f64 = 18.0;
/// The most lines, and the most texts that name folds, that are looked at in one piece.
const MOST: usize = 32;

/// A line that is or may be a fold.
#[derive(Clone, Copy)]
pub(super) struct Candidate {
    pub fold: Fold,
    /// Whether it is certainly a fold.
    pub sure: bool,
    /// What shows it.
    pub shown: Shown,
}

/// Whether two depths can belong to the same fold: on front and back, or at both of its ends.
pub(super) fn alike(one: f64, other: f64) -> bool {
    (one - other).abs() <= PARALLEL.0 + PARALLEL.1 * one
}

/// All fold candidates at an edge.
pub(super) fn of(piece: &Piece, edge: &EndEdge, labels: &LabelTexts) -> Vec<Candidate> {
    let lines: Vec<(&Path, FoldBy)> = lines(piece, edge, labels);
    let mut found = Vec::new();
    // What the drawing states is looked at first; if it states something, nothing else is looked at.
    for by in [FoldBy::Layer, FoldBy::Label, FoldBy::Shape] {
        let said = lines.iter().filter(|(_, said)| *said == by).take(MOST);
        found.extend(said.filter_map(|(path, _)| drawn(&path.points, edge, by)));
        if !found.is_empty() {
            break;
        }
    }
    if !found.iter().any(|c| c.sure) {
        found.extend(turned(edge));
    }
    if !found.iter().any(|c| c.sure) && edge.role == SeamRole::Hem {
        found.extend(notched(piece, edge));
    }
    // Where the allowance itself is wide enough to be turned in, any other line is a row of stitches.
    if found.iter().any(|c| !c.sure) && allowance(piece, edge) >= WIDE {
        found.retain(|c| c.sure);
    }
    found
}

/// A further fold in a part that is already turned in, as in a turn-up, whose edges zigzag. `edge` is that of the leg without
/// what lies beyond the first fold.
pub(super) fn folded_again(edge: &EndEdge, before: f64) -> Option<Fold> {
    /// Such a fold is at most this many times as deep as the one before it.
    const DEEPER: f64 = 2.5;
    let deep = |c: &Candidate| c.sure && c.fold.turned_in.0 <= (DEEPER * before).min(DEEP_ALONE);
    let there = to_and_fro(edge, TURN, &|turns| both_turn(turns.map(f64::abs)));
    there.into_iter().find(deep).map(|c| c.fold)
}

/// The open lines that may be folds, each with how it is marked.
fn lines<'p>(piece: &'p Piece, edge: &EndEdge, labels: &LabelTexts) -> Vec<(&'p Path, FoldBy)> {
    let named: Vec<Point> = piece
        .texts
        .iter()
        .filter(|t| names::is_label(&t.value, LabelKey::Fold, labels))
        .map(|t| t.at)
        .take(MOST)
        .collect();
    let across = (edge.line[edge.line.len() - 1] - edge.line[0]).hypot();
    let said_by = |path: &Path| {
        let (first, last) = (*path.points.first()?, *path.points.last()?);
        // Leave out lines that are closed or too short to run across the leg.
        if path.closed || (last - first).hypot() < 0.5 * across {
            return None;
        }
        match path.layer_use {
            LayerUse::Fold => Some(FoldBy::Layer),
            LayerUse::Internal
                if named.iter().any(|&t| line::distance(&path.points, false, t) <= LABEL_REACH) =>
            {
                Some(FoldBy::Label)
            }
            LayerUse::Internal => Some(FoldBy::Shape),
            _ => None,
        }
    };
    piece.paths.iter().filter_map(|path| Some((path, said_by(path)?))).collect()
}

/// A drawn line as a fold candidate, if it has the position of a fold.
fn drawn(line: &[Point], edge: &EndEdge, by: FoldBy) -> Option<Candidate> {
    let said = by != FoldBy::Shape;
    let (a, b) = (line[0], line[line.len() - 1]);
    let bow = STRAIGHT * (b - a).hypot();
    if !said && line.iter().any(|p| ((*p - a).cross(b - a) / (b - a).hypot()).abs() > bow) {
        return None;
    }
    let ends = [crossing(line, &edge.runs[0])?, crossing(line, &edge.runs[1])?];
    if line::length(line) < ACROSS * (ends[1] - ends[0]).hypot() {
        return None;
    }
    let fold = lying(edge, ends, by)?;
    if said {
        return Some(Candidate { fold, sure: true, shown: Shown::Line });
    }
    let [one, other] = mirrored(edge, &fold);
    if one.off > MIRRORED || other.off > MIRRORED {
        return None;
    }
    // A leg that is widest at the line may simply be shaped so.
    let hollow = one.turns.min(other.turns) > -MIRRORED;
    Some(Candidate { fold, sure: hollow && one.turns.max(other.turns) >= TURNS, shown: Shown::Line })
}

/// The fold between two places, if it is parallel to the edge and its depth is that of a fold.
fn lying(edge: &EndEdge, ends: [Point; 2], by: FoldBy) -> Option<Fold> {
    let said = by != FoldBy::Shape;
    let [one, other] = ends.map(|p| edge.away(p));
    let deep = f64::midpoint(one, other);
    let (apart, share) = if said { PARALLEL_AS_SAID } else { PARALLEL };
    let range = if said { DEEP_AS_SAID } else { DEEP };
    let lies = range.contains(&deep) && (one - other).abs() <= apart + share * deep;
    lies.then_some(Fold { ends, turned_in: Mm(deep), by })
}

/// The first place at which a line, with its ends extended straight, crosses a run.
fn crossing(line: &[Point], run: &Measured) -> Option<Point> {
    let n = line.len();
    let on = |from: Point, to: Point| to + (to - from).normalize() * REACH;
    let first = (line[1] != line[0]).then(|| on(line[1], line[0]))?;
    let last = (line[n - 2] != line[n - 1]).then(|| on(line[n - 2], line[n - 1]))?;
    // The extended ends replace the line's own: an end that lies exactly on the sew line could be missed because of rounding.
    let whole: Vec<Point> =
        std::iter::once(first).chain(line[1..n - 1].iter().copied()).chain([last]).collect();
    let near = |p: &Point| line::distance(&whole, false, *p);
    let part = run.part(0.0, *DEEP_AS_SAID.end());
    // A fold line has two points or a few. Of a line with many points, only the nearest place is used.
    if whole.len() > MOST {
        let nearest = part.iter().min_by(|a, b| near(a).total_cmp(&near(b))).copied()?;
        return (near(&nearest) <= MIRRORED).then_some(nearest);
    }
    for w in part.windows(2) {
        let along = w[1] - w[0];
        for v in whole.windows(2) {
            let across = v[1] - v[0];
            let square = along.cross(across);
            let (s, t) = ((v[0] - w[0]).cross(across) / square, (v[0] - w[0]).cross(along) / square);
            if square != 0.0 && (0.0..=1.0).contains(&s) && (0.0..=1.0).contains(&t) {
                return Some(w[0].lerp(w[1], s));
            }
        }
    }
    None
}

/// Folds without a drawn line: both edges turn outwards at the same depth, and the part beyond mirrors the part before. At the
/// hem that is certain, because nothing else gives a leg this form; above a waist, trousers may be shaped like this without being
/// turned in.
fn turned(edge: &EndEdge) -> Vec<Candidate> {
    let mut found = to_and_fro(edge, TURN, &both_turn);
    if !found.iter().any(|c| c.sure) {
        found.extend(one_turned(edge));
    }
    if found.is_empty() && edge.role == SeamRole::Hem {
        let slight = to_and_fro(edge, SLIGHT_TURN, &both_turn_slightly);
        let deep = |c: &Candidate| DEEP_UNDRAWN.contains(&c.fold.turned_in.0);
        found.extend(slight.into_iter().filter(deep).map(|c| Candidate { sure: false, ..c }));
    }
    found
}

/// Whether both edges turn at the same place, though by little.
fn both_turn_slightly([one, other]: [f64; 2]) -> bool {
    one.min(other) >= SLIGHTLY
}

/// A fold that a notch on either seam marks, at the same distance from the edge. If both edges turn there as well, it is certain.
fn notched(piece: &Piece, edge: &EndEdge) -> Vec<Candidate> {
    let slits = piece.paths_of(LayerUse::Notch).map(|slit| slit.points[0]);
    let marks = piece.marks.iter().filter(|m| matches!(m.kind, MarkKind::Notch { .. })).map(|m| m.at);
    let notches: Vec<Point> =
        marks.chain(slits).filter(|&p| edge.away(p) <= DEEP_UNDRAWN.end() + REACH).collect();
    let [inner, outer] = [0, 1].map(|i| {
        let run = &edge.runs[i];
        let on = |p: &Point| {
            let place = run.nearest(*p).filter(|(_, away)| *away <= NOTCH_REACH).map(|(at, _)| run.at(at))?;
            // Where the seam leans, a notch on the cut line lies a little beside its vertex on the sew line.
            let vertex = run.points().iter().find(|v| (**v - place).hypot() <= AT_VERTEX);
            Some(vertex.copied().unwrap_or(place))
        };
        notches.iter().filter_map(on).take(MOST).collect::<Vec<Point>>()
    });
    let pairs = inner.iter().flat_map(|a| outer.iter().map(move |b| [*a, *b]));
    let fold = |ends: [Point; 2]| {
        let fold = lying(edge, ends, FoldBy::Shape).filter(|f| DEEP_UNDRAWN.contains(&f.turned_in.0))?;
        let beyond = mirrored(edge, &fold);
        let off = beyond[0].off.max(beyond[1].off);
        let sure = off <= MIRRORED && both_turn_slightly(beyond.map(|b| b.turns));
        let by_eye = (BY_EYE * fold.turned_in.0).max(MIRRORED);
        (off <= by_eye).then_some(Candidate { fold, sure, shown: Shown::Notches })
    };
    pairs.filter_map(fold).collect()
}

/// Whether both edges turn by so much that it is no accident.
fn both_turn([one, other]: [f64; 2]) -> bool {
    one.min(other) >= 0.5 * TURNS && one + other >= 1.5 * TURNS
}

/// Folds at which both edges turn.
fn to_and_fro(edge: &EndEdge, least: f64, turns: &dyn Fn([f64; 2]) -> bool) -> Vec<Candidate> {
    let [inner, outer] = [0, 1].map(|i| {
        let places = turning(edge, i, 1.5 * DEEP.end(), least);
        places.into_iter().map(|p| (p, edge.away(p))).collect::<Vec<_>>()
    });
    let mut found = Vec::new();
    for &(a, deep) in &inner {
        for &(b, _) in outer.iter().filter(|(_, other)| alike(deep, *other)) {
            let Some(fold) = lying(edge, [a, b], FoldBy::Shape) else { continue };
            let beyond = mirrored(edge, &fold);
            let off = beyond[0].off.max(beyond[1].off);
            if !turns(beyond.map(|b| b.turns)) {
                continue;
            }
            let (deep, hem) = (fold.turned_in.0, edge.role == SeamRole::Hem);
            if off <= MIRRORED {
                found.push(Candidate { fold, sure: hem && deep <= DEEP_ALONE, shown: Shown::Edges });
            } else if hem && deep <= DEEP_ALONE && off <= BY_EYE * deep {
                found.push(Candidate { fold, sure: false, shown: Shown::Edges });
            }
        }
    }
    found
}

/// Folds at which one edge turns outwards and the other runs perpendicular to the end edge, so that it mirrors itself. At the hem
/// that is certain if the first edge turns clearly.
fn one_turned(edge: &EndEdge) -> Vec<Candidate> {
    let mut found = Vec::new();
    for i in [0, 1] {
        for p in turning(edge, i, DEEP_ALONE, TURN) {
            let Some(mate) = edge.at(1 - i, edge.away(p)) else { continue };
            let ends = if i == 0 { [p, mate] } else { [mate, p] };
            let Some(fold) = lying(edge, ends, FoldBy::Shape) else { continue };
            let beyond = mirrored(edge, &fold);
            if beyond.iter().all(|b| b.off <= MIRRORED) && beyond[i].turns >= TURNS {
                let plain = beyond[i].turns >= PLAIN * TURNS && beyond[1 - i].turns > -MIRRORED;
                let sure = edge.role == SeamRole::Hem && plain;
                found.push(Candidate { fold, sure, shown: Shown::Edges });
            }
        }
    }
    found
}

/// The allowance at the middle of an edge, in mm; 0 where no cut line is drawn beside it.
fn allowance(piece: &Piece, edge: &EndEdge) -> f64 {
    let Some(cut) = piece.outline(LayerUse::Cut) else { return 0.0 };
    let edge = Measured::new(edge.line.clone());
    let closed: Vec<Point> = cut.points.iter().chain(cut.points.first()).copied().collect();
    line::distance(&closed, false, edge.at(0.5 * edge.length()))
}
