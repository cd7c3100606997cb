//! Yokes: the centre edge of a yoke is part of the rise of the leg that it is sewn to.

use super::{SeamRole, allowance, names, ring, shape};
use crate::finding::{Finding, FindingId};
use crate::pattern::{LayerUse, Piece};
use crate::trousers::{Allowances, LabelTexts};
use crate::units::Mm;
use kurbo::Point;
use std::borrow::Cow;

/// How far, in mm, a label may stand from the edge it names.
const LABEL_REACH: f64 = 30.0;

/// An end that is longer than the other one by this factor is the centre: yokes grow towards the
/// centre back (*common practice, no source*).
const DEEPER: f64 = 1.08;

/// Ends that differ by less than this share are alike: a straight strip, or both halves in one.
const ALIKE: f64 = 0.02;

/// The length of a yoke's centre edge on the sew line.
pub(super) fn centre(piece: &Piece, words: &LabelTexts, allowances: &Allowances) -> Result<Mm, Finding> {
    let sew = piece.outline(LayerUse::Sew);
    let path = sew
        .or_else(|| piece.outline(LayerUse::Cut))
        .ok_or_else(|| unknown(piece, "it has no closed outline"))?;
    let edges = Edges::of(piece, &path.points)?;
    let line = match sew {
        Some(_) => Cow::Borrowed(&path.points[..]),
        None => Cow::Owned(sew_line(piece, &path.points, &edges, allowances)?),
    };
    let [ends, sides] = [edges.ends, edges.sides].map(|two| two.map(|(a, b)| ring::run(&line, a, b)));
    match said(piece, &ends, words)? {
        Some(k) => Ok(Mm(ring::length(&ends[k]))),
        None => by_lengths(piece, &ends, &sides),
    }
}

/// Refuses a yoke whose centre edge is not known.
fn unknown(piece: &Piece, why: &str) -> Finding {
    Finding::error(
        FindingId::SeamAmbiguous,
        format!(
            "which edge of the yoke is its centre is not known ({why}); put a text that names the crotch seam at it \
             ([labels] crotch)"
        ),
    )
    .piece(&piece.name)
}

/// The four edges of a yoke, each as the corners of the line where it begins and ends, running forward.
struct Edges {
    /// The shorter pair of opposite edges.
    ends: [(usize, usize); 2],
    /// The longer pair: the top and the edge that is sewn to the leg.
    sides: [(usize, usize); 2],
}

impl Edges {
    /// The edges between the four corners of a yoke's line.
    fn of(piece: &Piece, line: &[Point]) -> Result<Self, Finding> {
        let corners = shape::corners(&ring::turns(line));
        let [a, b, c, d] = corners[..] else {
            return Err(unknown(piece, &format!("it has {} corners in place of four", corners.len())));
        };
        let long = |from, to| ring::length(&ring::run(line, from, to));
        let (one, other) = ([(a, b), (c, d)], [(b, c), (d, a)]);
        Ok(if long(a, b) + long(c, d) < long(b, c) + long(d, a) {
            Edges { ends: one, sides: other }
        } else {
            Edges { ends: other, sides: one }
        })
    }
}

/// The sew line of a yoke that has only a cut line, point for point.
fn sew_line(
    piece: &Piece,
    cut: &[Point],
    edges: &Edges,
    allowances: &Allowances,
) -> Result<Vec<Point>, Finding> {
    let of = |role| allowances.get(role).map(|a| a.0);
    let (Some(across), Some(top), Some(other)) =
        (of(SeamRole::Crotch), of(SeamRole::Waist), allowances.all.map(|a| a.0).or(of(SeamRole::Crotch)))
    else {
        return Err(Finding::error(
            FindingId::AllowanceMissing,
            "the yoke has a cut line but no sew line (layer 14), and its allowance is not known; say it with \
             --allowance all=LENGTH",
        )
        .piece(&piece.name));
    };
    let n = cut.len();
    let within = |(from, to): (usize, usize), i: usize| (i + n - from) % n < (to + n - from) % n;
    let of_edges: Vec<f64> = (0..n)
        .map(|i| match i {
            i if edges.ends.iter().any(|&e| within(e, i)) => across,
            // Which of the two is the top makes no difference to the ends.
            i if within(edges.sides[0], i) => top,
            _ => other,
        })
        .collect();
    allowance::inside(cut, &of_edges)
        .ok_or_else(|| unknown(piece, "its allowances leave nothing inside the cut line"))
}

/// Which end the drawing says is the centre: the one on the fold, else the one with a text for the
/// crotch seam.
fn said(piece: &Piece, ends: &[Vec<Point>; 2], words: &LabelTexts) -> Result<Option<usize>, Finding> {
    let far = |p: Point| [ring::distance(&ends[0], p), ring::distance(&ends[1], p)];
    let nearer = |far: [f64; 2]| usize::from(far[1] < far[0]);
    if let Some(mirror) = piece.paths_of(LayerUse::Mirror).next() {
        let middle = mirror.points[0].midpoint(mirror.points[mirror.points.len() - 1]);
        return Ok(Some(nearer(far(middle))));
    }
    let Some(text) = piece.texts.iter().find(|t| names::is_seam(&t.value, SeamRole::Crotch, words)) else {
        return Ok(None);
    };
    let far = far(text.at);
    let k = nearer(far);
    if far[k] > LABEL_REACH {
        return Err(unknown(piece, &format!("'{}' stands at neither end", text.value)));
    }
    Ok(Some(k))
}

/// The centre of a yoke that says nothing: the deeper end, or the middle where both ends are side seams.
fn by_lengths(piece: &Piece, ends: &[Vec<Point>; 2], sides: &[Vec<Point>; 2]) -> Result<Mm, Finding> {
    let lengths = [ring::length(&ends[0]), ring::length(&ends[1])];
    let (less, more) = (lengths[0].min(lengths[1]), lengths[0].max(lengths[1]));
    if more >= DEEPER * less {
        return Ok(Mm(more));
    }
    if more - less <= ALIKE * more {
        return Ok(Mm((halfway(&sides[0]) - halfway(&sides[1])).hypot()));
    }
    Err(unknown(piece, &format!("its ends are {less:.1} and {more:.1} mm long")))
}

/// The point halfway along a run.
fn halfway(run: &[Point]) -> Point {
    let stations = ring::stations(run);
    let half = stations[stations.len() - 1] / 2.0;
    let i = stations.partition_point(|&s| s < half).max(1);
    run[i - 1].lerp(run[i], (half - stations[i - 1]) / (stations[i] - stations[i - 1]).max(1e-9))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// 10 and 50 mm (3-4-5), so that the middle is 20 mm along the second edge.
    #[test]
    fn the_middle_of_a_run_lies_half_of_its_length_along() {
        let at = |run: &[(f64, f64)]| halfway(&run.iter().map(|&p| p.into()).collect::<Vec<Point>>());
        assert_eq!(at(&[(7.0, 3.0), (17.0, 3.0), (47.0, 43.0)]), Point::new(29.0, 19.0));
        assert_eq!(at(&[(47.0, 43.0), (17.0, 3.0), (7.0, 3.0)]), Point::new(29.0, 19.0));
        assert_eq!(at(&[(7.0, 3.0), (37.0, 3.0), (37.0, 33.0)]), Point::new(37.0, 3.0));
        assert_eq!(at(&[(7.0, 3.0), (9.0, 3.0), (12.0, 7.0), (12.0, 14.0)]), Point::new(12.0, 7.0));
        assert_eq!(at(&[(7.0, 3.0), (15.0, 9.0)]), Point::new(11.0, 6.0));
    }
}
