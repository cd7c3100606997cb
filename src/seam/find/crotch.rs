//! The crotch seam of a piece: by layer, else by label, else by shape.

use super::{Base, CUT_CORNER, LABEL_REACH, NoLeg, ON_VERTEX};
use crate::finding::{Finding, FindingId};
use crate::geometry::{line, ring};
use crate::pattern::{LayerUse, Path};
use crate::seam::candidate::Candidate;
use crate::seam::leg::How;
use crate::seam::shape;
use crate::seam::{SeamRole, names};
use crate::trousers::LabelTexts;
use kurbo::Point;

/// Whether two crotch seams lie on opposite sides of a piece, each with its fork outwards and with separate waists.
fn in_one_piece(base: &Base<'_>, candidates: &[Candidate]) -> bool {
    let [one, other] = candidates else { return false };
    let points = &base.path.points;
    let out = |c: &Candidate| shape::axes(points, c, base.grain).1;
    out(one).dot(out(other)) < 0.0 && one.waist != other.waist && one.fork != other.fork
}

/// The crotch seam, and how it was found.
pub(super) fn find(base: &Base<'_>, words: &LabelTexts) -> Result<(Candidate, How), NoLeg> {
    let points = &base.path.points;
    let candidates = shape::candidates(points, &base.turns, base.grain);
    if let Some(seam) = base.piece.paths_of(LayerUse::Crotch).next() {
        return by_layer(base, seam, &candidates).map(|c| (c, How::Layer));
    }
    if let Some(c) = by_label(base, &candidates, words)? {
        return Ok((c, How::Label));
    }
    match shape::rivals(&candidates).as_slice() {
        [] => Err(NoLeg::OtherPiece),
        [one] => Ok((*one, How::Shape)),
        several => {
            let shown: Vec<String> = several.iter().map(|c| described(base, c)).collect();
            let message = if in_one_piece(base, several) {
                format!(
                    "front and back are drawn in one piece without an outseam, with two crotch seams: {}. Such a leg is read where its \
                     name says neither front nor back and no other piece of the size is called so, and where its inseams are of one \
                     length: name it so (LEGGINGS), or look at the inseams",
                    shown.join("; ")
                )
            } else {
                format!(
                    "{} edges could be the crotch seam: {}. Name the right one by a text at it ([labels] crotch) or put it \
                     on a layer of its own ([layers] crotch)",
                    several.len(),
                    shown.join("; ")
                )
            };
            let place = base.piece.drawn(points[several[0].fork]);
            Err(Finding::error(FindingId::SeamAmbiguous, message).at(place).into())
        }
    }
}

/// A candidate with its length and the drawing's coordinates of its ends.
pub(super) fn described(base: &Base<'_>, c: &Candidate) -> String {
    let (piece, points) = (base.piece, &base.path.points);
    let (w, f) = (piece.drawn(c.centre(points)), piece.drawn(points[c.fork]));
    format!("{:.1} mm from waist ({:.2}, {:.2}) to fork ({:.2}, {:.2})", c.length, w.x, w.y, f.x, f.y)
}

/// The seam drawn on the crotch layer. Its ends lie on vertices of the sew line, or near corners of the cut line, within the
/// width of an allowance.
pub(super) fn by_layer(base: &Base<'_>, seam: &Path, candidates: &[Candidate]) -> Result<Candidate, NoLeg> {
    let points = &base.path.points;
    let ends = [seam.points[0], seam.points[seam.points.len() - 1]];
    let near = |p: Point, q: Point| (p - q).hypot() <= reach(base);
    // Beside a fly the upper end of the seam lies on an edge; the candidates found by shape include this case.
    let same = |c: &&Candidate| {
        let (w, f) = (c.centre(points), points[c.fork]);
        (near(w, ends[0]) && near(f, ends[1])) || (near(w, ends[1]) && near(f, ends[0]))
    };
    if let Some(c) = candidates.iter().find(same) {
        return Ok(*c);
    }
    let [a, b] = [end_on(base, seam, ends[0])?, end_on(base, seam, ends[1])?];
    // Take the part of the sew line that runs along the seam.
    let middle = seam.points[seam.points.len() / 2];
    let distance = |a: usize, b: usize| {
        ring::run(points, a, b).iter().map(|p| (*p - middle).hypot()).fold(f64::MAX, f64::min)
    };
    let (a, b) = if distance(a, b) <= distance(b, a) { (a, b) } else { (b, a) };
    shape::edge(points, a, b, base.grain).ok_or_else(|| {
        Finding::error(
            FindingId::SeamAmbiguous,
            "the seam on the crotch layer lies alike at both ends, so waist and fork cannot be told apart",
        )
        .at(base.piece.drawn(middle))
        .into()
    })
}

/// How far, in mm, the end of a seam on the crotch layer may lie from the point it stands for.
fn reach(base: &Base<'_>) -> f64 {
    if base.cut { CUT_CORNER } else { ON_VERTEX }
}

/// The point of the line that an end of the seam on the crotch layer stands for: any point of a sew line, but only a corner of a
/// cut line.
fn end_on(base: &Base<'_>, seam: &Path, end: Point) -> Result<usize, NoLeg> {
    let points = &base.path.points;
    let among: Vec<usize> = if base.cut { shape::corners(&base.turns) } else { (0..points.len()).collect() };
    let nearest =
        among.into_iter().min_by(|&a, &b| (points[a] - end).hypot2().total_cmp(&(points[b] - end).hypot2()));
    let Some(i) = nearest else { return Err(NoLeg::OtherPiece) };
    let off = (points[i] - end).hypot();
    if off > reach(base) {
        return Err(Finding::error(
            FindingId::SeamAmbiguous,
            format!(
                "the seam on layer {} ends {off:.1} mm from the nearest vertex of the sew line; end it on a vertex",
                base.piece.strokes[seam.from[0].stroke as usize].layer
            ),
        )
        .at(base.piece.drawn(end))
        .into());
    }
    Ok(i)
}

/// The edge that a label names: one of the candidates found by shape; if there are none, one of all edges between corners.
fn by_label(
    base: &Base<'_>,
    candidates: &[Candidate],
    words: &LabelTexts,
) -> Result<Option<Candidate>, NoLeg> {
    let Some(text) = base.piece.texts.iter().find(|t| names::is_seam(&t.value, SeamRole::Crotch, words))
    else {
        return Ok(None);
    };
    let points = &base.path.points;
    let all: Vec<Candidate> = if candidates.is_empty() {
        let corners = shape::corners(&base.turns);
        let edges = (0..corners.len()).map(|k| (corners[k], corners[(k + 1) % corners.len()]));
        edges.filter_map(|(a, b)| shape::edge(points, a, b, base.grain)).collect()
    } else {
        candidates.to_vec()
    };
    let distance = |c: &Candidate| line::distance(&c.run(points), false, text.at);
    let best = all.iter().map(|c| (distance(c), *c)).min_by(|a, b| a.0.total_cmp(&b.0));
    match best {
        Some((d, c)) if d <= LABEL_REACH => Ok(Some(c)),
        _ => Err(Finding::error(
            FindingId::SeamAmbiguous,
            format!(
                "the label '{}' stands at no edge that can be a crotch seam; move it to the seam",
                text.value
            ),
        )
        .at(base.piece.drawn(text.at))
        .into()),
    }
}
