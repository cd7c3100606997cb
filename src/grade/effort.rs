//! Estimates the effort of grading a drawing before it is begun: every graded point, mark and text is compared with every point
//! of the lines (`base`, `shift`, `mean_value`), in every size. A piece has some hundred points and some dozen of the others.

use super::{GradeError, Options};
use crate::dxf_text::Drawing;
use crate::pattern::{LayerUse, Pattern, Piece, SizeName};

/// The largest number of such comparisons. A nest of 30 sizes with 20 pieces, each with 1000 points on each of two lines and 100
/// notches and texts, needs a third of it.
const MOST: usize = 2_000_000_000;

/// The largest size of the new drawing with all sizes, in MB; no drawing can be larger than 4 GB.
const MEGABYTES: usize = 1024;

/// The largest number of pieces in all sizes together, drawn or missing.
const PAIRS: usize = 200_000;

/// Fails if drawing or comparing the sizes of these pieces would take more than any real pattern does.
pub(super) fn within_limits(
    drawing: &Drawing<'_>,
    pattern: &Pattern,
    originals: &[&Piece],
    sizes: &[SizeName],
    options: &Options,
) -> Result<(), GradeError> {
    let wanted = if options.only.is_empty() { sizes.len() } else { options.only.len() };
    let span = |p: &&Piece| drawing.blocks[p.block].whole.range().len();
    let bytes: usize = originals.iter().map(span).sum();
    if originals.len().saturating_mul(wanted) > PAIRS || bytes.saturating_mul(wanted) > MEGABYTES << 20 {
        let (pieces, sizes) = (originals.len(), wanted);
        return Err(GradeError::TooLarge { pieces, sizes, most: MEGABYTES, pairs: PAIRS });
    }
    let mut all: usize = 0;
    let mut heaviest: Option<(usize, &Piece)> = None;
    let drawn = pattern.pieces.iter().map(|p| (p, 0));
    for (piece, sizes) in drawn.chain(originals.iter().map(|p| (*p, wanted))) {
        let of = effort(piece, sizes);
        all = all.saturating_add(of);
        if heaviest.is_none_or(|(most, _)| of > most) {
            heaviest = Some((of, piece));
        }
    }
    match heaviest {
        Some((_, piece)) if all > MOST => Err(GradeError::TooFine { piece: piece.name.clone() }),
        _ => Ok(()),
    }
}

/// The number of comparisons needed to find the points of the rules of a piece, and to draw it in that many sizes.
fn effort(piece: &Piece, sizes: usize) -> usize {
    let rules = piece.texts.iter().filter(|t| t.rule().is_some()).count();
    if rules == 0 {
        return 0;
    }
    let points: usize = piece.strokes.iter().map(|s| s.points.len()).sum();
    let of = |layer_use: LayerUse| piece.paths_of(layer_use).map(|p| p.points.len()).sum::<usize>();
    let (cut, sew) = (of(LayerUse::Cut), of(LayerUse::Sew));
    let others = piece.marks.len() + piece.texts.len() + points.saturating_sub(cut + sew);
    let found = rules.saturating_mul(points + piece.marks.len() + rules);
    let carried = others.saturating_mul(cut + sew).saturating_add(cut.saturating_mul(sew));
    found.saturating_add(carried.saturating_mul(sizes))
}
