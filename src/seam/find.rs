//! Finding the seams of a piece: by layer, else by label, else by turn points and shape.

use super::leg::{Found, How, Leg, SewLine};
use super::shape::{self, Candidate};
use super::{SeamRole, ring};
use crate::finding::{Finding, FindingId};
use crate::job::LabelTexts;
use crate::pattern::{LayerUse, Path, Piece};
use kurbo::{Point, Vec2};

/// How far, in mm, the end of a seam on a layer of its own may lie from the sew line's vertex.
const ON_VERTEX: f64 = 0.5;

/// How far, in mm, a label may stand from the seam it names. Wider than any allowance and about
/// two lines of the tallest lettering in use.
const LABEL_REACH: f64 = 60.0;

/// Why a piece has no leg.
#[derive(Clone, Debug, PartialEq)]
pub enum NoLeg {
    /// Nothing about it looks like a trouser leg.
    OtherPiece,
    /// It may be one, but cannot be used.
    Unusable(Box<Finding>),
}

impl From<Finding> for NoLeg {
    fn from(finding: Finding) -> Self {
        NoLeg::Unusable(Box::new(finding))
    }
}

/// Finds the seams of a piece.
pub fn find(piece: &Piece, words: &LabelTexts) -> Result<Leg, NoLeg> {
    let Some(path) = piece.outline(LayerUse::Sew) else {
        return Err(without_sew_line(piece));
    };
    let Some(grain) = piece.grain() else {
        return Err(Finding::error(
            FindingId::GrainMissing,
            "the piece has no grain line, so the direction of a slide is not known; draw one on the grain layer (7)",
        )
        .into());
    };
    let turns = ring::turns(&path.points);
    let (crotch, how) = crotch(piece, path, &turns, grain, words)?;
    let leg = leg(piece, path, &turns, grain, crotch, how)?;
    Ok(leg)
}

fn without_sew_line(piece: &Piece) -> NoLeg {
    let open = piece.paths_of(LayerUse::Sew).find(|p| p.points.len() > 2);
    match (open, piece.outline(LayerUse::Cut)) {
        (Some(path), _) => {
            let (a, b) = (path.points[0], path.points[path.points.len() - 1]);
            Finding::error(
                FindingId::OpenOutline,
                format!("the sew line does not close: its ends are {:.2} mm apart; close it", (a - b).hypot()),
            )
            .at(piece.drawn(a))
            .into()
        }
        (None, Some(_)) => Finding::error(
            FindingId::AllowanceMissing,
            "the piece has a cut line but no sew line (layer 14), and its allowance is not known; say it with \
             --allowance all=LENGTH, or for each seam under [allowance] in the job file",
        )
        .into(),
        (None, None) => NoLeg::OtherPiece,
    }
}

fn crotch(
    piece: &Piece,
    path: &Path,
    turns: &[f64],
    grain: Vec2,
    words: &LabelTexts,
) -> Result<(Candidate, How), NoLeg> {
    if let Some(seam) = piece.paths_of(LayerUse::Crotch).next() {
        return by_layer(piece, path, seam, grain).map(|c| (c, How::Layer));
    }
    let candidates = shape::candidates(&path.points, turns, grain);
    if let Some(c) = by_label(piece, path, turns, grain, &candidates, words)? {
        return Ok((c, How::Label));
    }
    match shape::rivals(&candidates) {
        [] => Err(NoLeg::OtherPiece),
        [one] => Ok((*one, How::Shape)),
        several => {
            let shown: Vec<String> = several.iter().map(|c| shown(piece, path, c)).collect();
            let message = format!(
                "{} edges could be the crotch seam: {}. Name the right one by a text at it ([labels] crotch) or put it \
                 on a layer of its own ([layers] crotch)",
                several.len(),
                shown.join("; ")
            );
            let place = piece.drawn(path.points[several[0].fork]);
            Err(Finding::error(FindingId::SeamAmbiguous, message).at(place).into())
        }
    }
}

/// A candidate with its length and the drawing's coordinates of its ends.
fn shown(piece: &Piece, path: &Path, c: &Candidate) -> String {
    let (w, f) = (piece.drawn(path.points[c.waist]), piece.drawn(path.points[c.fork]));
    format!("{:.1} mm from waist ({:.2}, {:.2}) to fork ({:.2}, {:.2})", c.length, w.x, w.y, f.x, f.y)
}

/// The seam drawn on the crotch layer; its ends lie on vertices of the sew line.
fn by_layer(piece: &Piece, path: &Path, seam: &Path, grain: Vec2) -> Result<Candidate, NoLeg> {
    let ends = [seam.points[0], seam.points[seam.points.len() - 1]];
    let mut found = [0; 2];
    for (end, slot) in ends.iter().zip(&mut found) {
        let Some((i, d)) = nearest(&path.points, *end) else { return Err(NoLeg::OtherPiece) };
        if d > ON_VERTEX {
            return Err(Finding::error(
                FindingId::SeamAmbiguous,
                format!(
                    "the seam on layer {} ends {d:.1} mm from the nearest vertex of the sew line; end it on a vertex",
                    piece.strokes[seam.from[0].stroke as usize].layer
                ),
            )
            .at(piece.drawn(*end))
            .into());
        }
        *slot = i;
    }
    // The side on which the sew line runs with the seam.
    let middle = seam.points[seam.points.len() / 2];
    let n = path.points.len();
    let distance = |a: usize, b: usize| {
        (0..=(b + n - a) % n).map(|k| (path.points[(a + k) % n] - middle).hypot()).fold(f64::MAX, f64::min)
    };
    let [a, b] = found;
    let (a, b) = if distance(a, b) <= distance(b, a) { (a, b) } else { (b, a) };
    shape::edge(&path.points, a, b, grain).ok_or_else(|| {
        Finding::error(
            FindingId::SeamAmbiguous,
            "the seam on the crotch layer lies alike at both ends, so waist and fork cannot be told apart",
        )
        .at(piece.drawn(middle))
        .into()
    })
}

fn nearest(points: &[Point], to: Point) -> Option<(usize, f64)> {
    let distance = |i: usize| (points[i] - to).hypot();
    (0..points.len()).map(|i| (i, distance(i))).min_by(|a, b| a.1.total_cmp(&b.1))
}

/// The edge that a label names: among the shape's candidates, else among all edges between corners.
fn by_label(
    piece: &Piece,
    path: &Path,
    turns: &[f64],
    grain: Vec2,
    candidates: &[Candidate],
    words: &LabelTexts,
) -> Result<Option<Candidate>, NoLeg> {
    let Some(text) = piece.texts.iter().find(|t| names(&t.value, SeamRole::Crotch, words)) else {
        return Ok(None);
    };
    let corners = shape::corners(turns);
    let all: Vec<Candidate> = if candidates.is_empty() {
        let edges = (0..corners.len()).map(|k| (corners[k], corners[(k + 1) % corners.len()]));
        edges.filter_map(|(a, b)| shape::edge(&path.points, a, b, grain)).collect()
    } else {
        candidates.to_vec()
    };
    let n = path.points.len();
    let distance = |c: &Candidate| {
        let (a, b) = if c.forward { (c.waist, c.fork) } else { (c.fork, c.waist) };
        (0..(b + n - a) % n)
            .map(|k| segment_distance(path.points[(a + k) % n], path.points[(a + k + 1) % n], text.at))
            .fold(f64::MAX, f64::min)
    };
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
        .at(piece.drawn(text.at))
        .into()),
    }
}

fn segment_distance(a: Point, b: Point, p: Point) -> f64 {
    let d = b - a;
    let t = if d.hypot2() == 0.0 { 0.0 } else { ((p - a).dot(d) / d.hypot2()).clamp(0.0, 1.0) };
    (a + d * t - p).hypot()
}

/// Whether a text is one of the words for a seam, case aside.
fn names(text: &str, role: SeamRole, words: &LabelTexts) -> bool {
    let text = text.trim().to_lowercase();
    let keys = words.iter().filter(|(key, _)| key.seam() == Some(role));
    keys.flat_map(|(_, list)| list).any(|word| word.to_lowercase() == text)
}

/// Turns the sew path so that it begins at the waist and runs over the fork, and finds the corners.
fn leg(piece: &Piece, path: &Path, turns: &[f64], grain: Vec2, c: Candidate, how: How) -> Result<Leg, NoLeg> {
    let n = path.points.len();
    let order: Vec<u32> = (0..n)
        .map(|k| if c.forward { (c.waist + k) % n } else { (c.waist + n - k) % n })
        .map(|i| u32::try_from(i).unwrap_or(u32::MAX))
        .collect();
    let ring: Vec<Point> = order.iter().map(|&i| path.points[i as usize]).collect();
    let turns: Vec<f64> = order.iter().map(|&i| turns[i as usize]).collect();
    let fork = if c.forward { (c.fork + n - c.waist) % n } else { (c.waist + n - c.fork) % n };
    let (up, out) = shape::axes(&path.points, &c, grain);
    let Some([mut hem_in, hem_out, side]) = shape::others(&ring, &turns, fork, up, out) else {
        return Err(Finding::error(
            FindingId::SeamAmbiguous,
            format!(
                "the crotch seam was found ({}), but not the corners at hem and side; mark them with turn points on \
                 sharp corners, or check the outline",
                shown(piece, path, &c)
            ),
        )
        .at(piece.drawn(ring[fork]))
        .into());
    };
    let mut inseam = How::Shape;
    if let Some(seam) = piece.paths_of(LayerUse::Inseam).next() {
        let far = [seam.points[0], seam.points[seam.points.len() - 1]]
            .into_iter()
            .max_by(|a, b| (*a - ring[fork]).hypot().total_cmp(&(*b - ring[fork]).hypot()))
            .and_then(|p| nearest(&ring, p));
        match far {
            Some((i, d)) if d <= ON_VERTEX && i > fork && i < hem_out => {
                hem_in = i;
                inseam = How::Layer;
            }
            _ => {
                return Err(Finding::error(
                    FindingId::SeamAmbiguous,
                    "the seam on the inseam layer does not end on a vertex of the sew line between fork and hem",
                )
                .at(piece.drawn(seam.points[0]))
                .into());
            }
        }
    }
    let curve_begin = shape::curve_begin(&ring, &turns, fork, piece.resolution);
    let found = Found { grain: How::Layer, crotch: how, inseam, sew_line: SewLine::Drawn };
    Ok(Leg { ring, order, up, out, fork, hem_in, hem_out, side, curve_begin, found })
}
