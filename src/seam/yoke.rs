//! Yokes: the centre edge of a yoke is part of the rise of the leg that it is sewn to.

use super::{SeamRole, allowance, ring, shape};
use crate::finding::{Finding, FindingId};
use crate::job::{Allowances, LabelTexts};
use crate::pattern::{LayerUse, Piece};
use crate::units::Mm;
use kurbo::{Line, ParamCurveNearest, Point};

/// How far, in mm, a label may stand from the edge it names.
const LABEL_REACH: f64 = 30.0;

/// An end that is longer than the other one by this factor is the centre: yokes grow towards the
/// centre back (*common practice, no source*).
const DEEPER: f64 = 1.08;

/// Ends that differ by less than this share are alike: a straight strip, or both halves in one.
const ALIKE: f64 = 0.02;

/// The length of a yoke's centre edge on the sew line.
pub(super) fn centre(piece: &Piece, words: &LabelTexts, allowances: &Allowances) -> Result<Mm, Finding> {
    let unknown = |why: &str| {
        Finding::error(
            FindingId::SeamAmbiguous,
            format!(
                "which edge of the yoke is its centre is not known ({why}); put a text that names the crotch seam at it \
                 ([labels] crotch)"
            ),
        )
        .piece(&piece.name)
    };
    let sew = piece.outline(LayerUse::Sew);
    let path =
        sew.or_else(|| piece.outline(LayerUse::Cut)).ok_or_else(|| unknown("it has no closed outline"))?;
    let corners = shape::corners(&ring::turns(&path.points));
    let [a, b, c, d] = corners[..] else {
        return Err(unknown(&format!("it has {} corners in place of four", corners.len())));
    };
    let n = path.points.len();
    let mut points = path.points.clone();
    let edge = |points: &[Point], from: usize, to: usize| -> Vec<Point> {
        (0..=(to + n - from) % n).map(|k| points[(from + k) % n]).collect()
    };
    let long = |from, to| ring::length(&edge(&path.points, from, to));
    // The ends are the shorter pair of opposite edges.
    let (ends, sides) = if long(a, b) + long(c, d) < long(b, c) + long(d, a) {
        ([(a, b), (c, d)], [(b, c), (d, a)])
    } else {
        ([(b, c), (d, a)], [(a, b), (c, d)])
    };
    if sew.is_none() {
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
        let within = |(from, to): (usize, usize), i: usize| (i + n - from) % n < (to + n - from) % n;
        let edges: Vec<f64> = (0..n)
            .map(|i| match i {
                i if ends.iter().any(|&e| within(e, i)) => across,
                // Which of the two is the top makes no difference to the ends.
                i if within(sides[0], i) => top,
                _ => other,
            })
            .collect();
        points = allowance::inside(&path.points, &edges)
            .ok_or_else(|| unknown("its allowances leave nothing inside the cut line"))?
            .into();
    }
    let end = |k: usize| edge(&points, ends[k].0, ends[k].1);
    if let Some(mirror) = piece.paths_of(LayerUse::Mirror).next() {
        let middle = mirror.points[0].midpoint(mirror.points[mirror.points.len() - 1]);
        let k = usize::from(distance(&end(1), middle) < distance(&end(0), middle));
        return Ok(Mm(ring::length(&end(k))));
    }
    let is_centre = |t: &&crate::pattern::Text| super::find::names(&t.value, SeamRole::Crotch, words);
    if let Some(text) = piece.texts.iter().find(is_centre) {
        let far = [distance(&end(0), text.at), distance(&end(1), text.at)];
        let k = usize::from(far[1] < far[0]);
        if far[k] > LABEL_REACH {
            return Err(unknown(&format!("'{}' stands at neither end", text.value)));
        }
        return Ok(Mm(ring::length(&end(k))));
    }
    let lengths = [ring::length(&end(0)), ring::length(&end(1))];
    let (less, more) = (lengths[0].min(lengths[1]), lengths[0].max(lengths[1]));
    if more >= DEEPER * less {
        return Ok(Mm(more));
    }
    if more - less <= ALIKE * more {
        let middle = |k: usize| halfway(&edge(&points, sides[k].0, sides[k].1));
        return Ok(Mm((middle(0) - middle(1)).hypot()));
    }
    Err(unknown(&format!("its ends are {less:.1} and {more:.1} mm long")))
}

fn distance(run: &[Point], p: Point) -> f64 {
    let segment = |w: &[Point]| Line::new(w[0], w[1]).nearest(p, 1e-6).distance_sq.sqrt();
    run.windows(2).map(segment).fold(f64::MAX, f64::min)
}

/// The point halfway along a run.
fn halfway(run: &[Point]) -> Point {
    let stations = ring::stations(run);
    let half = stations[stations.len() - 1] / 2.0;
    let i = stations.partition_point(|&s| s < half).clamp(1, run.len() - 1);
    run[i - 1].lerp(run[i], (half - stations[i - 1]) / (stations[i] - stations[i - 1]).max(1e-9))
}
