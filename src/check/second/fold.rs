//! The lines that folds were read from, a second time: where a seam ends at a fold, its length is measured to where the fold's line
//! meets it.

use super::{BESIDE, differs, layers, lines};
use crate::dxf_text::Drawing;
use crate::finding::Finding;
use crate::geometry::line;
use crate::pattern::{LayerUse, Path};
use crate::seam::fold::Fold;
use crate::seam::{FoldBy, LegPiece};
use kurbo::Point;

/// How far, in mm, a line may end from the seam that it marks a fold on: it ends on the cut line, or short of the sew line.
const REACH: f64 = 60.0;

/// What differs in the lines of the folds of a leg; an error says why that is not known.
pub(super) fn compare(drawing: &Drawing<'_>, on: &LegPiece<'_>) -> Result<Option<Finding>, String> {
    let piece = on.piece;
    for fold in read(on) {
        let Some(path) = piece.paths.iter().find(|path| shows(path, &fold)) else { continue };
        let (of, block) = (layers(piece, path), &drawing.blocks[piece.block]);
        let traces = lines::read(drawing, block, |layer| of.contains(&layer), piece.scale)?;
        let met = |p: &Point| traces.iter().any(|trace| meets(&trace.points, *p));
        if let Some(&end) = fold.ends.iter().find(|p| !met(p)) {
            return Ok(Some(differs("finds no line where the first found a fold").at(piece.drawn(end))));
        }
    }
    Ok(None)
}

/// Whether a fold was read from the edges of the leg alone.
pub(super) fn shown(on: &LegPiece<'_>) -> bool {
    read(on).any(|fold| !on.piece.paths.iter().any(|path| shows(path, &fold)))
}

/// The folds that were read from the drawing.
fn read(on: &LegPiece<'_>) -> impl Iterator<Item = Fold> {
    [on.folds.waist, on.folds.hem].into_iter().flatten().filter(|fold| fold.by != FoldBy::Stated)
}

/// Whether a fold was read from this line: there are folds without one, which the edges show.
fn shows(path: &Path, fold: &Fold) -> bool {
    let may = matches!(path.layer_use, LayerUse::Fold | LayerUse::Internal) && !path.closed;
    may && fold.ends.iter().all(|p| meets(&path.points, *p))
}

/// Whether an open line, with its ends extended straight, runs through a place.
fn meets(points: &[Point], at: Point) -> bool {
    let [first, .., last] = points else { return false };
    let near = line::distance(points, false, at) <= BESIDE;
    near || beyond(points[1], *first, at) || beyond(points[points.len() - 2], *last, at)
}

/// Whether a place lies straight beyond the end of an edge.
fn beyond(from: Point, end: Point, at: Point) -> bool {
    let along = (end - from).normalize();
    let (way, off) = ((at - end).dot(along), (at - end).cross(along).abs());
    (0.0..=REACH).contains(&way) && off <= BESIDE
}
