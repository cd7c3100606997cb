//! What folds were read from, a second time: where a seam ends at a fold, its length is measured to where the fold's line meets it,
//! or to the vertex at which its edge turns back.

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

/// What differs at the folds of a leg; an error says why that is not known.
pub(super) fn compare(drawing: &Drawing<'_>, on: &LegPiece<'_>) -> Result<Option<Finding>, String> {
    let piece = on.piece;
    let folds = [on.folds.waist, on.folds.hem].into_iter().flatten();
    for fold in folds.filter(|fold| fold.by != FoldBy::Stated) {
        let line = piece.paths.iter().find(|path| shows(path, &fold));
        let own = &piece.paths[on.leg.drawn.path()];
        let of = layers(piece, line.unwrap_or(own));
        let block = &drawing.blocks[piece.block];
        let traces = lines::read(drawing, block, |layer| of.contains(&layer), piece.scale)?;
        let met = |p: &Point| match line {
            Some(_) => traces.iter().any(|trace| meets(&trace.points, *p)),
            None => !turns(&own.points, *p) || traces.iter().any(|trace| is_vertex(&trace.points, *p)),
        };
        if let Some(&end) = fold.ends.iter().find(|p| !met(p)) {
            return Ok(Some(differs("finds nothing where the first found a fold").at(piece.drawn(end))));
        }
    }
    Ok(None)
}

/// Whether a fold was read from this line: there are folds without one, which the edges show.
fn shows(path: &Path, fold: &Fold) -> bool {
    let may = matches!(path.layer_use, LayerUse::Fold | LayerUse::Internal) && !path.closed;
    may && fold.ends.iter().all(|p| meets(&path.points, *p))
}

/// Whether a place is a vertex of a closed line at which it turns, as at a fold that only the edges show. By less than this, in
/// degrees, a curve turns from one of the chords to the next by which it was read.
fn turns(points: &[Point], at: Point) -> bool {
    const LEAST: f64 = 1.0;
    let n = points.len();
    let Some(i) = points.iter().position(|p| (*p - at).hypot() < 1e-6) else { return false };
    let (before, after) = (points[i] - points[(i + n - 1) % n], points[(i + 1) % n] - points[i]);
    before.cross(after).atan2(before.dot(after)).to_degrees().abs() >= LEAST
}

fn is_vertex(points: &[Point], at: Point) -> bool {
    points.iter().any(|p| (*p - at).hypot() <= BESIDE)
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
