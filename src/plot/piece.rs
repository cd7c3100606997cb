//! Draws a piece as ink, with its grain upright.

use super::fonts::Fonts;
use super::ink::{self, Ink, LineKind, Words};
use super::{PlotError, PlotPiece, notch, title};
use crate::finding::{Finding, FindingId};
use crate::geometry::Segments;
use crate::pattern::{Labels, LayerUse, MarkKind, Path, Piece};
use kurbo::{Affine, Point, Rect, Vec2};
use std::collections::BTreeMap;
use std::f64::consts::{FRAC_PI_2, PI};

/// The largest size of a piece, in mm, which is more than any garment piece has. Anything larger comes from a wrong unit and
/// would make thousands of pages.
const LARGEST: f64 = 10_000.0;

/// How far, in mm, a line must have moved for its old place to be drawn as well. Two lines nearer to each other than their
/// own width cannot be told apart.
const MOVED: f64 = 0.3;

/// The font sizes, in mm, for texts that are part of the drawing; their heights in the drawing are meant for a screen.
const TEXT: [f64; 3] = [4.0, 3.0, 2.2];

/// A piece as ink.
#[derive(Clone, Debug)]
pub(super) struct DrawnPiece {
    /// Its name.
    pub name: String,
    /// Everything drawn of it.
    pub ink: Vec<Ink>,
    /// The line along which its paper is cut.
    pub outline: Vec<Point>,
    /// The box around it.
    pub bounds: Rect,
}

impl DrawnPiece {
    /// The shift that moves the piece's top left corner to this place.
    pub fn shift_to(&self, corner: Point) -> Vec2 {
        corner - Point::new(self.bounds.x0, self.bounds.y1)
    }

    /// Moves the piece.
    pub fn shift(&mut self, by: Vec2) {
        ink::apply(&mut self.ink, Affine::translate(by));
        self.outline.iter_mut().for_each(|p| *p += by);
        self.bounds = self.bounds + by;
    }
}

/// Draws a piece.
pub(super) fn draw(
    one: &PlotPiece<'_>,
    fonts: &Fonts<'_>,
    findings: &mut Vec<Finding>,
) -> Result<DrawnPiece, PlotError> {
    let piece = one.piece;
    let mut ink = lines(piece);
    if let Some(before) = one.before {
        ink.extend(moved(before, piece));
    }
    let outline = piece.outline(LayerUse::Cut).or_else(|| piece.outline(LayerUse::Sew));
    ink.extend(marks(piece, outline));
    ink.extend(texts(piece, outline, fonts));
    notice(piece, findings);

    let turn = Affine::rotate(upright(piece));
    ink::apply(&mut ink, turn);
    let outline: Vec<Point> =
        outline.map(|o| o.points.iter().map(|&p| turn * p).collect()).unwrap_or_default();
    ink.extend(title::draw(piece, &outline, &ink, fonts));

    let bounds = ink.iter().filter_map(Ink::bounds).reduce(|a, b| a.union(b));
    match bounds {
        // The comparison is written so that NaN is refused as well.
        Some(r) if r.width() <= LARGEST && r.height() <= LARGEST => {
            Ok(DrawnPiece { name: piece.name.clone(), ink, outline, bounds: r })
        }
        _ => Err(PlotError::TooLarge { piece: piece.name.clone() }),
    }
}

/// The rotation that makes the grain upright, in either direction: the smaller one, and of two equal ones the one to the
/// left.
fn upright(piece: &Piece) -> f64 {
    let Some(grain) = piece.grain() else { return 0.0 };
    let turn = (FRAC_PI_2 - grain.atan2()).rem_euclid(PI);
    // A grain slightly over a quarter turn is one drawn along X whose end was rounded.
    if turn > FRAC_PI_2 + 1e-6 { turn - PI } else { turn }
}

/// The kind of line for this use; `None` where lines of this use are not drawn.
fn line_of(layer_use: LayerUse) -> Option<LineKind> {
    match layer_use {
        LayerUse::Cut => Some(LineKind::Cut),
        LayerUse::Sew
        | LayerUse::Waist
        | LayerUse::Crotch
        | LayerUse::Inseam
        | LayerUse::Hem
        | LayerUse::Outseam => Some(LineKind::Sew),
        LayerUse::Grain => Some(LineKind::Grain),
        LayerUse::Mirror => Some(LineKind::Fold),
        LayerUse::Notch => Some(LineKind::Notch),
        LayerUse::Internal | LayerUse::Fold => Some(LineKind::Internal),
        LayerUse::GradeReference
        | LayerUse::Turn
        | LayerUse::Curve
        | LayerUse::CutValidation
        | LayerUse::SewValidation => None,
    }
}

/// The piece's lines.
fn lines(piece: &Piece) -> Vec<Ink> {
    let mut drawn = Vec::new();
    for path in &piece.paths {
        let Some(line) = line_of(path.layer_use) else { continue };
        drawn.push(Ink::Stroke { line, points: path.points.to_vec(), closed: path.closed });
        if let (LineKind::Grain, [first, .., last]) = (line, &*path.points) {
            drawn.extend(arrowheads(*first, *last));
        }
    }
    drawn
}

/// Arrowheads at both ends of a grain line: the piece may be laid in either direction unless the cloth has a nap, which
/// drawings do not say.
pub(super) fn arrowheads(a: Point, b: Point) -> Vec<Ink> {
    let length = (b - a).hypot();
    if length < 1e-6 {
        return Vec::new();
    }
    let along = (b - a) / length * 6.0_f64.min(length / 3.0);
    let across = Vec2::new(-along.y, along.x) * 0.3;
    [(a, along), (b, -along)]
        .map(|(tip, back)| Ink::Fill {
            points: vec![tip, tip + back + across, tip + back - across],
            gray: 0.0,
        })
        .into()
}

/// The piece's notches and marks.
fn marks(piece: &Piece, outline: Option<&Path>) -> Vec<Ink> {
    let mut drawn = Vec::new();
    let edge = outline.filter(|_| !piece.marks.is_empty()).map(notch::NotchedEdge::new);
    for mark in &piece.marks {
        match mark.kind {
            MarkKind::Notch { depth, direction } => {
                drawn.push(Ink::open(LineKind::Notch, notch::tick(mark.at, depth, direction, edge.as_ref())));
            }
            MarkKind::Internal => {
                drawn.extend(cross(mark.at));
            }
            MarkKind::Turn | MarkKind::Curve | MarkKind::Symbol => {}
        }
    }
    drawn
}

/// A cross that marks a point.
pub(super) fn cross(at: Point) -> [Ink; 2] {
    [Vec2::new(3.0, 0.0), Vec2::new(0.0, 3.0)].map(|arm| Ink::open(LineKind::Mark, [at - arm, at + arm]))
}

/// The texts that are part of the drawing, each in the largest font with which it stays inside the piece.
fn texts(piece: &Piece, outline: Option<&Path>, fonts: &Fonts<'_>) -> Vec<Ink> {
    let edges = outline.filter(|_| !piece.texts.is_empty());
    let edges = edges.map(|o| Segments::of(&o.points, true));
    let inside = |words: &Words| {
        let Some((edges, sides)) = edges.as_ref().zip(ink::bounds(&words.corners())) else { return true };
        !edges.any(sides, |s| ink::touches(s.p0, s.p1, sides))
    };
    let mut drawn = Vec::new();
    for text in &piece.texts {
        let value = text.value.trim();
        // Texts that are labels are left out here, since the title shows them.
        let mut label = Labels::default();
        label.take(value);
        if label != Labels::default() || text.rule().is_some() || value.is_empty() {
            continue;
        }
        let mut words = fonts.words(text.at, 1.0, value);
        for size in TEXT {
            words.scale(size / words.size);
            if inside(&words) {
                break;
            }
        }
        drawn.push(Ink::Words(words));
    }
    drawn
}

/// Those parts of the old outlines where there is no outline any more.
fn moved(before: &Piece, after: &Piece) -> Vec<Ink> {
    let mut drawn = Vec::new();
    let mut lines: BTreeMap<LineKind, Segments> = BTreeMap::new();
    for old in &before.paths {
        let Some(line @ (LineKind::Cut | LineKind::Sew | LineKind::Internal)) = line_of(old.layer_use) else {
            continue;
        };
        let now =
            lines.entry(line).or_insert_with(|| {
                let same = after.paths.iter().filter(|p| line_of(p.layer_use) == Some(line));
                Segments::new(same.flat_map(|p| {
                    Ink::Stroke { line, points: p.points.to_vec(), closed: p.closed }.segments()
                }))
            });
        let there = |p: Point| now.distance(p) <= MOVED;
        let mut run: Vec<Point> = Vec::new();
        for (a, b) in (Ink::Stroke { line, points: old.points.to_vec(), closed: old.closed }).segments() {
            if there(a) && there(a.midpoint(b)) && there(b) {
                drawn.extend((run.len() > 1).then(|| Ink::open(LineKind::Before, std::mem::take(&mut run))));
                run.clear();
            } else {
                if run.is_empty() {
                    run.push(a);
                }
                run.push(b);
            }
        }
        drawn.extend((run.len() > 1).then(|| Ink::open(LineKind::Before, run)));
    }
    drawn
}

/// The findings that a person who uses this print should know.
fn notice(piece: &Piece, findings: &mut Vec<Finding>) {
    if piece.grain().is_none() {
        findings.push(about(
            piece,
            Finding::warning(
                FindingId::GrainMissing,
                "the piece has no grain line; it is printed as it stands in the drawing. Find its grain before cutting",
            ),
        ));
    }
    if piece.outline(LayerUse::Cut).is_none() {
        findings.push(about(
            piece,
            Finding::warning(
                FindingId::AllowanceMissing,
                "the piece has no closed cut line; what is printed is without seam allowance. Add it in cutting",
            ),
        ));
    }
}

fn about(piece: &Piece, finding: Finding) -> Finding {
    let finding = finding.about(piece);
    match &piece.size {
        Some(size) => finding.size(size.as_str()),
        None => finding,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_the_moved_part_of_an_old_line_is_drawn() {
        let square = |side: f64| Path {
            layer_use: LayerUse::Cut,
            points: [(0.0, 0.0), (side, 0.0), (side, 100.0), (0.0, 100.0)].map(Point::from).into(),
            from: Vec::new(),
            twins: Vec::new(),
            closed: true,
        };
        let piece = |side: f64| Piece {
            block: 0,
            block_name: "P".into(),
            labels: Labels::default(),
            name: "P".into(),
            size: None,
            scale: 1.0,
            resolution: 0.01,
            placed: kurbo::Affine::IDENTITY,
            strokes: Vec::new(),
            paths: vec![square(side)],
            marks: Vec::new(),
            texts: Vec::new(),
        };
        assert!(moved(&piece(50.0), &piece(50.0)).is_empty());
        // The side at X = 50 lies inside the wider piece; the sides along Y = 0 and Y = 100 are still there.
        let drawn = moved(&piece(50.0), &piece(60.0));
        let [Ink::Stroke { line: LineKind::Before, points, closed: false }] = drawn.as_slice() else {
            panic!("one old line, not {drawn:?}")
        };
        assert_eq!(points, &[Point::new(50.0, 0.0), Point::new(50.0, 100.0)]);
    }
}
