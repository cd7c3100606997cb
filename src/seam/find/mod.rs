//! Finding the seams of a piece: by layer, else by label, else by turn points and shape.

mod allowances;
mod crotch;
mod half;
mod inseam;
mod one_piece;

use super::candidate::{Candidate, Fly};
use super::leg::{Found, How, Leg, RingOnLine};
use super::one_piece::{OnePiece, OtherPart, Side, SideBy};
use super::shape;
use super::{Part, SeamRole, names};
use crate::finding::{Finding, FindingId};
use crate::geometry::{corners, line};
use crate::pattern::{LayerUse, MarkKind, Path, Piece};
use crate::trousers::{Allowances, LabelTexts};
use kurbo::{Line, ParamCurveNearest, Point, Vec2};

/// How far, in mm, the end of a seam on a layer of its own may lie from the sew line's vertex.
const ON_VERTEX: f64 = 0.5;

/// How far, in mm, the end of such a seam may lie from a corner of the cut line: the mitre of the widest allowances.
const CUT_CORNER: f64 = 75.0;

/// If the stretch of centre front line below the foot of a fly is shorter than this, in mm, it cannot take up a part of the slide
/// by itself. About the widest allowance.
const CLOSE_FOOT: f64 = 25.0;

/// How far, in mm, a label may stand from the seam that it names: more than any allowance, and about two lines of the tallest
/// lettering in use.
const LABEL_REACH: f64 = 60.0;

pub use one_piece::front_and_back;

/// Why a piece has no leg.
#[derive(Clone, Debug, PartialEq)]
pub enum NoLeg {
    /// Nothing about it looks like a trouser leg.
    OtherPiece,
    /// It may be a leg, but cannot be used.
    Unusable(Box<Finding>),
}

impl From<Finding> for NoLeg {
    fn from(finding: Finding) -> Self {
        NoLeg::Unusable(Box::new(finding))
    }
}

/// A piece with its sew line, or with the cut line from which the sew line is derived.
#[derive(Clone)]
struct Base<'p> {
    piece: &'p Piece,
    index: usize,
    path: &'p Path,
    /// Whether the line is the cut line, because no sew line is drawn.
    cut: bool,
    /// How the line turns at each of its points, in degrees.
    turns: Vec<f64>,
    turn_points: corners::TurnPoints,
    grain: Vec2,
    /// Whether the outline goes on above the centre waist in line with the crotch seam, as that of a bib does.
    below_more: bool,
}

/// The corners of a leg besides the centre waist, as indices of its ring.
#[derive(Clone, Copy)]
struct Corners {
    fork: usize,
    hem_in: usize,
    hem_out: usize,
    side: usize,
    /// The fork of the other part, if front and back are drawn in one piece.
    other_fork: Option<usize>,
    /// The edge that is a mirror line.
    mirror: Option<SeamRole>,
}

/// Finds the seams of a piece. `allowances` are used if the piece has no sew line.
pub fn find(piece: &Piece, words: &LabelTexts, allowances: &Allowances) -> Result<Leg, NoLeg> {
    let base = Base::of(piece)?;
    let (crotch, how) = crotch::find(&base, words)?;
    leg(&base, crotch, how, words, allowances)
}

/// The legs that a piece would be if its grain line had another direction, each with the degrees by which it is turned. They
/// reveal a grain line that lies across the leg.
pub fn turned(
    piece: &Piece,
    words: &LabelTexts,
    allowances: &Allowances,
) -> impl Iterator<Item = (f64, Leg)> {
    /// First a right angle, for a grain line that lies across the leg; then the angles between across and along.
    const TURNED: [f64; 7] = [90.0, 75.0, -75.0, 60.0, -60.0, 45.0, -45.0];
    let base = Base::of(piece).ok();
    base.into_iter().flat_map(|base| TURNED.map(|degrees| (degrees, base.clone()))).filter_map(
        |(degrees, base)| {
            let (sin, cos) = f64::to_radians(degrees).sin_cos();
            let along = base.grain;
            let grain = Vec2::new(cos * along.x - sin * along.y, sin * along.x + cos * along.y);
            let turned = Base { grain, ..base };
            let (crotch, how) = crotch::find(&turned, words).ok()?;
            Some((degrees.abs(), leg(&turned, crotch, how, words, allowances).ok()?))
        },
    )
}

/// Every leg that a piece may be by its shape, with any of its edges as the crotch seam; none where the drawing says which edge
/// that is.
pub fn readings(piece: &Piece, words: &LabelTexts, allowances: &Allowances) -> Vec<Leg> {
    /// The least hollow in degrees; a crotch seam that leans over its whole length down to the fork is hardly hollow.
    const HOLLOW: f64 = 8.0;
    let Ok(base) = Base::of(piece) else { return Vec::new() };
    let named = |role| piece.texts.iter().any(|text| names::is_seam(&text.value, role, words));
    let drawn = |layer_use| piece.paths_of(layer_use).next().is_some();
    if named(SeamRole::Crotch)
        || named(SeamRole::Inseam)
        || drawn(LayerUse::Crotch)
        || drawn(LayerUse::Inseam)
    {
        return Vec::new();
    }
    let possible = shape::possible(&base.path.points, &base.turns, base.grain, HOLLOW);
    let read = |crotch| leg(&base, crotch, How::Shape, words, allowances).ok();
    possible.into_iter().flatten().filter_map(read).collect()
}

/// The leg whose crotch seam begins at a given place of the edge found for it, below a bib. `whole` is the same piece read as a leg up to
/// the top of the bib.
pub fn from_waist(
    piece: &Piece,
    whole: &Leg,
    place: Point,
    words: &LabelTexts,
    allowances: &Allowances,
) -> Option<Leg> {
    /// A vertex this near, in mm, is taken as the place: the mark is a notch on the cut line, placed perpendicular to the seam by
    /// eye.
    const AT_VERTEX: f64 = 2.0;
    let base = Base { below_more: true, ..Base::of(piece).ok()? };
    let (crotch, how) = crotch::find(&base, words).ok().filter(|(crotch, _)| crotch.fly.is_none())?;
    // The sew line, point by point as the line that is drawn.
    let mut points = base.path.points.to_vec();
    whole.drawn.vertices().for_each(|(k, i)| points[i] = whole.ring[k]);
    let n = points.len();
    let step = |i: usize| if crotch.forward { (i + 1) % n } else { (i + n - 1) % n };
    let edges = std::iter::successors(Some(crotch.waist), |&i| Some(step(i)));
    let on = |i: usize| {
        let near = Line::new(points[i], points[step(i)]).nearest(place, 1e-9);
        (near.distance_sq, i, near.t)
    };
    let near = edges.take_while(|&i| i != crotch.fork).map(on).min_by(|a, b| a.0.total_cmp(&b.0));
    let (_, edge, share) = near?;
    let vertex = [edge, step(edge)].into_iter().find(|&i| (points[i] - place).hypot() <= AT_VERTEX);
    let begun = match vertex {
        Some(waist) => Candidate { waist, ..crotch },
        None => Candidate { waist: edge, fly: Some(Fly { base: step(edge), share }), ..crotch },
    };
    leg(&base, begun, how, words, allowances).ok()
}

/// The leg with this crotch seam: the ring, which begins at the waist and runs over the fork, and its corners.
fn leg(
    base: &Base<'_>,
    crotch: Candidate,
    how: How,
    words: &LabelTexts,
    allowances: &Allowances,
) -> Result<Leg, NoLeg> {
    let drawn = base.drawn(&crotch);
    let ring = drawn.ring(&base.path.points);
    let mut corners = base.corners(&crotch, &drawn, &ring)?;
    let (hem_in, inseam) = inseam::find(base, &ring, corners, words)?;
    corners.hem_in = hem_in;
    corners.mirror = half::mirror(base, &ring, corners)?;
    finished(base, (crotch, how), (drawn, corners, inseam), allowances)
}

/// The leg whose crotch seam, corners and inseam are known, each with how it was found.
fn finished(
    base: &Base<'_>,
    (crotch, how): (Candidate, How),
    (drawn, corners, inseam): (RingOnLine, Corners, How),
    allowances: &Allowances,
) -> Result<Leg, NoLeg> {
    let (up, out) = shape::axes(&base.path.points, &crotch, base.grain);
    let sewn = allowances::sewn(base, &crotch, drawn, corners, allowances)?;
    let (ring, drawn) = (sewn.drawn.ring(&sewn.points), sewn.drawn);
    let fly: Vec<Point> = drawn.fly.iter().map(|&i| sewn.points[i as usize]).collect();
    let Corners { fork, hem_in, hem_out, side, other_fork, mirror } = corners;
    let mut curve_begin = shape::curve_begin(&ring, &corners::turns(&ring), fork, base.piece.resolution);
    // The foot of a fly that is close above the curve moves together with the curve.
    if !fly.is_empty() && line::length(&ring[1..=curve_begin.max(1)]) < CLOSE_FOOT {
        curve_begin = 1;
    }
    let found = Found { grain: How::Layer, crotch: how, inseam, sew_line: sewn.from };
    // Part and side are told once both legs are known.
    let [waist, hem] = [ring[side], ring[hem_out]];
    let open = Side { waist, hem, by: SideBy::Middle };
    let other = other_fork.map(|fork| OtherPart { fork, side: open });
    let in_one = other.is_some() || mirror == Some(SeamRole::Outseam);
    let one_piece = in_one.then_some(OnePiece { part: Part::Front, other });
    Ok(Leg { ring, fly, drawn, up, out, fork, hem_in, hem_out, side, curve_begin, one_piece, mirror, found })
}

impl<'p> Base<'p> {
    /// The closed sew line of a piece, else its closed cut line.
    fn of(piece: &'p Piece) -> Result<Self, NoLeg> {
        let line = |layer_use| {
            let path = piece.outline(layer_use)?;
            Some((piece.paths.iter().position(|p| std::ptr::eq(p, path))?, path))
        };
        let sew = line(LayerUse::Sew);
        if sew.is_none() {
            open_sew_line(piece)?;
        }
        let (index, path) = sew.or_else(|| line(LayerUse::Cut)).ok_or(NoLeg::OtherPiece)?;
        let Some(grain) = piece.grain() else {
            return Err(Finding::error(
                FindingId::GrainMissing,
                "the piece has no grain line, so the direction of a slide is not known; draw one on the grain layer (7)",
            )
            .into());
        };
        let turn_points = piece.marks.iter().filter(|m| m.kind == MarkKind::Turn).map(|m| m.at);
        let turn_points = corners::TurnPoints::new(turn_points.collect());
        let turns = corners::turns_told(&path.points, &turn_points);
        Ok(Base { piece, index, path, cut: sew.is_none(), turns, turn_points, grain, below_more: false })
    }

    /// How the ring of a leg with this crotch seam corresponds to the line.
    fn drawn(&self, c: &Candidate) -> RingOnLine {
        let n = self.path.points.len();
        let step = |from: usize, k: usize| if c.forward { (from + k) % n } else { (from + n - k) % n };
        let apart =
            |from: usize, to: usize| if c.forward { (to + n - from) % n } else { (from + n - to) % n };
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
        RingOnLine { path: self.index, order, start, fly, derived: None }
    }

    /// The corners of the ring by its shape.
    fn corners(&self, c: &Candidate, drawn: &RingOnLine, ring: &[Point]) -> Result<Corners, NoLeg> {
        let (up, out) = shape::axes(&self.path.points, c, self.grain);
        let turns: Vec<f64> = drawn.order.iter().map(|&i| self.turns[i as usize]).collect();
        let fork = drawn.order.iter().position(|&i| i as usize == c.fork).unwrap_or(0);
        let told = |k: usize| self.turn_points.on(ring[k]);
        let Some([hem_in, hem_out, side]) = shape::others(ring, &turns, &told, fork, up, out) else {
            return Err(Finding::error(
                FindingId::SeamAmbiguous,
                format!(
                    "the crotch seam was found ({}), but not the corners at hem and side; mark them with turn points on \
                     sharp corners, or check the outline",
                    crotch::described(self, c)
                ),
            )
            .at(self.piece.drawn(ring[fork]))
            .into());
        };
        Ok(Corners { fork, hem_in, hem_out, side, other_fork: None, mirror: None })
    }
}

/// Refuses a sew line that does not close, where a piece has one.
fn open_sew_line(piece: &Piece) -> Result<(), NoLeg> {
    let open = piece.paths_of(LayerUse::Sew).filter(|p| p.points.len() > 2);
    let Some(path) = open.max_by_key(|p| p.points.len()) else { return Ok(()) };
    let (a, b) = (path.points[0], path.points[path.points.len() - 1]);
    let message =
        format!("the sew line does not close: its ends are {:.2} mm apart; close it", (a - b).hypot());
    Err(Finding::error(FindingId::OpenOutline, message).at(piece.drawn(a)).into())
}
