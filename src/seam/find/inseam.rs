//! The inseam of a leg whose crotch seam is known.

use super::{Base, CUT_CORNER, Corners, LABEL_REACH, NoLeg, ON_VERTEX};
use crate::finding::{Finding, FindingId};
use crate::geometry::line;
use crate::pattern::{LayerUse, Path};
use crate::seam::leg::How;
use crate::seam::{SeamRole, names};
use crate::trousers::LabelTexts;
use kurbo::Point;

/// The inner hem corner, and how it was found; `corners` are those found by shape.
pub(super) fn find(
    base: &Base<'_>,
    ring: &[Point],
    corners: Corners,
    words: &LabelTexts,
) -> Result<(usize, How), NoLeg> {
    if let Some(seam) = base.piece.paths_of(LayerUse::Inseam).next() {
        return by_layer(base, seam, ring, corners).map(|hem_in| (hem_in, How::Layer));
    }
    let labelled = by_label(base, ring, corners, words)?;
    Ok((corners.hem_in, if labelled { How::Label } else { How::Shape }))
}

/// The inner hem corner by the seam on the inseam layer.
fn by_layer(base: &Base<'_>, seam: &Path, ring: &[Point], corners: Corners) -> Result<usize, NoLeg> {
    let reach = if base.cut { CUT_CORNER } else { ON_VERTEX };
    let fork = ring[corners.fork];
    let far = [seam.points[0], seam.points[seam.points.len() - 1]]
        .into_iter()
        .max_by(|a, b| (*a - fork).hypot().total_cmp(&(*b - fork).hypot()))
        .and_then(|p| nearest(ring, p));
    match far {
        Some((i, d)) if d <= reach && i > corners.fork && i < corners.hem_out => Ok(i),
        _ => Err(Finding::error(
            FindingId::SeamAmbiguous,
            "the seam on the inseam layer does not end on a vertex of the sew line between fork and hem",
        )
        .at(base.piece.drawn(seam.points[0]))
        .into()),
    }
}

/// The point nearest to a place, and its distance in mm.
fn nearest(points: &[Point], to: Point) -> Option<(usize, f64)> {
    let distance = |i: usize| (points[i] - to).hypot();
    (0..points.len()).map(|i| (i, distance(i))).min_by(|a, b| a.1.total_cmp(&b.1))
}

/// Whether a label stands at the inseam. A label that stands at another seam contradicts the shape and is an error.
fn by_label(base: &Base<'_>, ring: &[Point], corners: Corners, words: &LabelTexts) -> Result<bool, NoLeg> {
    let Some(text) = base.piece.texts.iter().find(|t| names::is_seam(&t.value, SeamRole::Inseam, words))
    else {
        return Ok(false);
    };
    let inseam = line::distance(&ring[corners.fork..=corners.hem_in], false, text.at);
    let outseam = line::distance(&ring[corners.hem_out..=corners.side], false, text.at);
    if inseam <= LABEL_REACH && inseam <= outseam {
        return Ok(true);
    }
    Err(Finding::error(
        FindingId::SeamAmbiguous,
        format!(
            "the label '{}' does not stand at the edge from fork to hem, which the shape says is the inseam; move the \
             label to the seam, or put the seam on a layer of its own ([layers] inseam)",
            text.value
        ),
    )
    .at(base.piece.drawn(text.at))
    .into())
}
