//! Finding the seams of a piece: by layer, else by label, else by turn points and shape.

use super::leg::{Derived, Drawn, Found, How, Leg, SewLine};
use super::shape::{self, Candidate};
use super::{SeamRole, allowance, fly, ring};
use crate::finding::{Finding, FindingId};
use crate::job::{Allowances, LabelTexts};
use crate::pattern::{LayerUse, Path, Piece};
use kurbo::{Line, ParamCurveNearest, Point, Vec2};

/// How far, in mm, the end of a seam on a layer of its own may lie from the sew line's vertex.
const ON_VERTEX: f64 = 0.5;

/// How far, in mm, it may lie from a corner of the cut line: the mitre of the widest allowances.
const CUT_CORNER: f64 = 75.0;

/// A stretch of centre front line below the foot of a fly that is shorter than this, in mm, about
/// the widest allowance, cannot take a part of the slide of its own.
const CLOSE_FOOT: f64 = 25.0;

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

/// The line of a piece that its sew line is or is derived from.
#[derive(Clone, Copy)]
struct Base<'p> {
    index: usize,
    path: &'p Path,
    /// Whether it is the cut line, for want of a sew line.
    cut: bool,
}

/// Finds the seams of a piece. `allowances` are those of a piece that has no sew line.
pub fn find(piece: &Piece, words: &LabelTexts, allowances: &Allowances) -> Result<Leg, NoLeg> {
    let base = base(piece)?;
    let path = base.path;
    let Some(grain) = piece.grain() else {
        return Err(Finding::error(
            FindingId::GrainMissing,
            "the piece has no grain line, so the direction of a slide is not known; draw one on the grain layer (7)",
        )
        .into());
    };
    let turns = ring::turns(&path.points);
    let (crotch, how) = crotch(piece, base, &turns, grain, words)?;
    if piece.paths_of(LayerUse::Mirror).next().is_some() {
        return Err(Finding::error(
            FindingId::HalfPiece,
            "the leg is drawn as a half piece on the fold (it has a mirror line, layer 6): the other half would have to \
             move with it. Unfold it, and take the mirror line out",
        )
        .at(piece.drawn(path.points[crotch.fork]))
        .into());
    }
    leg(piece, base, &turns, grain, crotch, how, words, allowances)
}

/// The closed sew line, else the closed cut line.
fn base(piece: &Piece) -> Result<Base<'_>, NoLeg> {
    let index = |path: &Path| piece.paths.iter().position(|p| std::ptr::eq(p, path));
    let closed = |layer_use, cut| {
        let path = piece.outline(layer_use)?;
        Some(Base { index: index(path)?, path, cut })
    };
    if let Some(base) = closed(LayerUse::Sew, false) {
        return Ok(base);
    }
    let open = piece.paths_of(LayerUse::Sew).filter(|p| p.points.len() > 2);
    match open.max_by_key(|p| p.points.len()) {
        Some(path) => {
            let (a, b) = (path.points[0], path.points[path.points.len() - 1]);
            Err(Finding::error(
                FindingId::OpenOutline,
                format!(
                    "the sew line does not close: its ends are {:.2} mm apart; close it",
                    (a - b).hypot()
                ),
            )
            .at(piece.drawn(a))
            .into())
        }
        None => closed(LayerUse::Cut, true).ok_or(NoLeg::OtherPiece),
    }
}

fn crotch(
    piece: &Piece,
    base: Base<'_>,
    turns: &[f64],
    grain: Vec2,
    words: &LabelTexts,
) -> Result<(Candidate, How), NoLeg> {
    let path = base.path;
    let candidates = shape::candidates(&path.points, turns, grain);
    if let Some(seam) = piece.paths_of(LayerUse::Crotch).next() {
        return by_layer(piece, base, seam, turns, grain, &candidates).map(|c| (c, How::Layer));
    }
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
    let (w, f) = (piece.drawn(c.centre(&path.points)), piece.drawn(path.points[c.fork]));
    format!("{:.1} mm from waist ({:.2}, {:.2}) to fork ({:.2}, {:.2})", c.length, w.x, w.y, f.x, f.y)
}

/// The seam drawn on the crotch layer; its ends lie on vertices of the sew line, or at corners of
/// the cut line within the reach of an allowance.
fn by_layer(
    piece: &Piece,
    base: Base<'_>,
    seam: &Path,
    turns: &[f64],
    grain: Vec2,
    candidates: &[Candidate],
) -> Result<Candidate, NoLeg> {
    let points = &base.path.points;
    let ends = [seam.points[0], seam.points[seam.points.len() - 1]];
    let near = |p: Point, q: Point| (p - q).hypot() <= if base.cut { CUT_CORNER } else { ON_VERTEX };
    // Beside a fly the seam's upper end lies on an edge; the shape has found it all the same.
    let same = |c: &&Candidate| {
        let (w, f) = (c.centre(points), points[c.fork]);
        (near(w, ends[0]) && near(f, ends[1])) || (near(w, ends[1]) && near(f, ends[0]))
    };
    if let Some(c) = candidates.iter().find(same) {
        return Ok(*c);
    }
    let corners = shape::corners(turns);
    let among: Vec<usize> = if base.cut { corners } else { (0..points.len()).collect() };
    let mut found = [0; 2];
    for (end, slot) in ends.iter().zip(&mut found) {
        let nearest = among
            .iter()
            .copied()
            .min_by(|&a, &b| (points[a] - *end).hypot2().total_cmp(&(points[b] - *end).hypot2()));
        let Some(i) = nearest else { return Err(NoLeg::OtherPiece) };
        if !near(points[i], *end) {
            return Err(Finding::error(
                FindingId::SeamAmbiguous,
                format!(
                    "the seam on layer {} ends {:.1} mm from the nearest vertex of the sew line; end it on a vertex",
                    piece.strokes[seam.from[0].stroke as usize].layer,
                    (points[i] - *end).hypot()
                ),
            )
            .at(piece.drawn(*end))
            .into());
        }
        *slot = i;
    }
    // The side on which the sew line runs with the seam.
    let middle = seam.points[seam.points.len() / 2];
    let n = points.len();
    let distance = |a: usize, b: usize| {
        (0..=(b + n - a) % n).map(|k| (points[(a + k) % n] - middle).hypot()).fold(f64::MAX, f64::min)
    };
    let [a, b] = found;
    let (a, b) = if distance(a, b) <= distance(b, a) { (a, b) } else { (b, a) };
    shape::edge(points, a, b, grain).ok_or_else(|| {
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
        let run: Vec<Point> = (0..=(b + n - a) % n).map(|k| path.points[(a + k) % n]).collect();
        run_distance(&run, text.at)
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

fn run_distance(run: &[Point], p: Point) -> f64 {
    let segment = |w: &[Point]| Line::new(w[0], w[1]).nearest(p, 1e-6).distance_sq.sqrt();
    run.windows(2).map(segment).fold(f64::MAX, f64::min)
}

/// Whether a text is one of the words for a seam, case aside.
pub(super) fn names(text: &str, role: SeamRole, words: &LabelTexts) -> bool {
    let text = text.trim().to_lowercase();
    let keys = words.iter().filter(|(key, _)| key.seam() == Some(role));
    keys.flat_map(|(_, list)| list).any(|word| word.to_lowercase() == text)
}

/// Turns the line so that it begins at the waist and runs over the fork, and finds the corners.
#[allow(clippy::too_many_arguments)] // what has been found so far, one by one
fn leg(
    piece: &Piece,
    base: Base<'_>,
    turns: &[f64],
    grain: Vec2,
    c: Candidate,
    how: How,
    words: &LabelTexts,
    allowances: &Allowances,
) -> Result<Leg, NoLeg> {
    let path = base.path;
    let mut drawn = drawn_on(base, &c);
    let ring = drawn.ring(&path.points);
    let corner_turns: Vec<f64> = drawn.order.iter().map(|&i| turns[i as usize]).collect();
    let fork = drawn.order.iter().position(|&i| i as usize == c.fork).unwrap_or(0);
    let (up, out) = shape::axes(&path.points, &c, grain);
    let Some([mut hem_in, hem_out, side]) = shape::others(&ring, &corner_turns, fork, up, out) else {
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
        hem_in = inseam_by_layer(piece, base, seam, &ring, fork, hem_out)?;
        inseam = How::Layer;
    } else if inseam_by_label(piece, &ring, [fork, hem_in, hem_out, side], words)? {
        inseam = How::Label;
    }
    let mut sew_line = SewLine::Drawn;
    let mut sew = ring;
    let mut extension: Vec<Point> = drawn.fly.iter().map(|&i| path.points[i as usize]).collect();
    if base.cut {
        let edges = edge_allowances(&drawn, path.points.len(), [fork, hem_in, hem_out, side], allowances)
            .map_err(|missing| allowance_missing(&missing))?;
        sew_line = SewLine::Boundary;
        if edges.iter().any(|a| *a != 0.0) {
            sew_line = SewLine::Allowance;
            let Some(line) = allowance::inside(&path.points, &edges) else {
                return Err(Finding::error(
                    FindingId::AllowanceMissing,
                    "the allowances leave nothing of the piece inside its cut line; check --allowance and [allowance]",
                )
                .into());
            };
            // The centre front line of the sew line meets the waist elsewhere than that of the cut line.
            let beside_fly =
                c.fly.and_then(|_| fly::find(&line, &ring::turns(&line), c.fork, c.forward, grain));
            if let Some(c) = beside_fly {
                drawn = drawn_on(base, &c);
            }
            sew = drawn.ring(&line);
            extension = drawn.fly.iter().map(|&i| line[i as usize]).collect();
            drawn.derived = Some(Derived { points: path.points.to_vec(), allowances: edges });
        }
    }
    let sew_turns = ring::turns(&sew);
    let mut curve_begin = shape::curve_begin(&sew, &sew_turns, fork, piece.resolution);
    // The foot of a fly close above the curve moves as one with it.
    if !extension.is_empty() && ring::length(&sew[1..=curve_begin.max(1)]) < CLOSE_FOOT {
        curve_begin = 1;
    }
    let found = Found { grain: How::Layer, crotch: how, inseam, sew_line };
    Ok(Leg { ring: sew, fly: extension, drawn, up, out, fork, hem_in, hem_out, side, curve_begin, found })
}

/// How the ring of a leg with this crotch seam lies on its line.
fn drawn_on(base: Base<'_>, c: &Candidate) -> Drawn {
    let n = base.path.points.len();
    let step = |from: usize, k: usize| if c.forward { (from + k) % n } else { (from + n - k) % n };
    let apart = |from: usize, to: usize| if c.forward { (to + n - from) % n } else { (from + n - to) % n };
    let index = |i: usize| u32::try_from(i).unwrap_or(u32::MAX);
    let left_out = c.fly.map_or(0, |fly| apart(c.waist, fly.base) - 1);
    let mut order = vec![index(c.waist)];
    order.extend((left_out + 1..n).map(|k| index(step(c.waist, k))));
    let start = c.fly.map(|fly| fly.share).filter(|share| *share > 0.0);
    if start.is_some() {
        // The ring starts on the edge after this point, and comes back to the point at its end.
        order.push(index(c.waist));
    }
    let fly = (1..=left_out).map(|k| index(step(c.waist, k))).collect();
    Drawn { path: base.index, order, start, fly, derived: None }
}

/// The allowance of every edge of a path, by the seam it belongs to; else the seams that have none.
fn edge_allowances(
    drawn: &Drawn,
    points: usize,
    [fork, hem_in, hem_out, side]: [usize; 4],
    allowances: &Allowances,
) -> Result<Vec<f64>, Vec<SeamRole>> {
    let missing: Vec<SeamRole> =
        SeamRole::ALL.iter().copied().filter(|&role| allowances.get(role).is_none()).collect();
    if !missing.is_empty() {
        return Err(missing);
    }
    let of = |role| allowances.get(role).map_or(0.0, |a| a.0);
    let forward = drawn.forward(points);
    // An edge is kept at its first point in the path's own direction.
    let edge = |i: u32| if forward { i as usize } else { (i as usize + points - 1) % points };
    let mut edges = vec![of(SeamRole::Waist); points];
    for (k, &i) in drawn.order.iter().enumerate() {
        let role = match k {
            0 if drawn.start.is_some() => SeamRole::Waist,
            k if k < fork => SeamRole::Crotch,
            k if k < hem_in => SeamRole::Inseam,
            k if k < hem_out => SeamRole::Hem,
            k if k < side => SeamRole::Outseam,
            _ => SeamRole::Waist,
        };
        edges[edge(i)] = of(role);
    }
    // The top of the extension is waist, its other edges go on from the crotch seam.
    for &i in &drawn.fly {
        edges[edge(i)] = of(SeamRole::Crotch);
    }
    if !drawn.fly.is_empty() && drawn.start.is_none() {
        edges[edge(drawn.order[0])] = of(SeamRole::Waist);
    }
    Ok(edges)
}

fn allowance_missing(missing: &[SeamRole]) -> Finding {
    let names: Vec<&str> = missing.iter().map(|r| r.as_str()).collect();
    let of = if missing.len() == SeamRole::ALL.len() {
        "its allowance is not known".to_owned()
    } else {
        format!("the allowance of {} is not known", names.join(", "))
    };
    Finding::error(
        FindingId::AllowanceMissing,
        format!(
            "the piece has a cut line but no sew line (layer 14), and {of}; say it with --allowance all=LENGTH or \
             --allowance SEAM=LENGTH, or for each seam under [allowance] in the job file (all=0 where the line drawn is \
             the sew line)"
        ),
    )
}

/// The inner hem corner by the seam on the inseam layer.
fn inseam_by_layer(
    piece: &Piece,
    base: Base<'_>,
    seam: &Path,
    ring: &[Point],
    fork: usize,
    hem_out: usize,
) -> Result<usize, NoLeg> {
    let reach = if base.cut { CUT_CORNER } else { ON_VERTEX };
    let far = [seam.points[0], seam.points[seam.points.len() - 1]]
        .into_iter()
        .max_by(|a, b| (*a - ring[fork]).hypot().total_cmp(&(*b - ring[fork]).hypot()))
        .and_then(|p| nearest(ring, p));
    match far {
        Some((i, d)) if d <= reach && i > fork && i < hem_out => Ok(i),
        _ => Err(Finding::error(
            FindingId::SeamAmbiguous,
            "the seam on the inseam layer does not end on a vertex of the sew line between fork and hem",
        )
        .at(piece.drawn(seam.points[0]))
        .into()),
    }
}

/// Whether a label stands at the inseam. One that stands at another seam contradicts the shape.
fn inseam_by_label(
    piece: &Piece,
    ring: &[Point],
    [fork, hem_in, hem_out, side]: [usize; 4],
    words: &LabelTexts,
) -> Result<bool, NoLeg> {
    let Some(text) = piece.texts.iter().find(|t| names(&t.value, SeamRole::Inseam, words)) else {
        return Ok(false);
    };
    let inseam = run_distance(&ring[fork..=hem_in], text.at);
    let outseam = run_distance(&ring[hem_out..=side], text.at);
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
    .at(piece.drawn(text.at))
    .into())
}
