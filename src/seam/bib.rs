//! Bibs: a front that continues above its waist, cut in one with the bib of an overall.
//!
//! The side waist is the corner that gives the outseam the length of the back's, or a vertex that does where the outseam runs on into
//! the edge of the bib without a corner. The outline does not show where the waist meets
//! the centre front; a notch or a turn point there shows it, or a line across the piece from the side waist (common practice, no
//! source). If one of these marks a single place, the crotch seam begins there; otherwise a finding asks for it.

use super::find::from_waist;
use super::fold::Folds;
use super::size::{LegPiece, Size};
use super::{Leg, SeamRole};
use crate::finding::{Finding, FindingId};
use crate::geometry::{corners, line};
use crate::pattern::{LayerUse, MarkKind, Piece};
use crate::trousers::{Allowances, LabelTexts};
use crate::units::Mm;
use kurbo::{Line, ParamCurve, ParamCurveNearest, Point};

/// A front rise longer than the back's by this factor, and by this many mm, includes something above the waist. Backs have 1.05
/// to 1.4 times the front's rise, and fronts for a full abdomen a little more than the back's (from memory).
const LONGER: (f64, f64) = (1.2, 50.0);

/// Outseams that are sewn together differ by no more than this, in mm: 1/2 in, more than on any that were trued (common practice,
/// no source).
const SEWN: f64 = 12.7;

/// From the side to the centre a waist falls or rises by no more than this, in mm; a scooped front is not a bib (common practice,
/// no source).
const LEVEL: f64 = 80.0;

/// A mark belongs to the sew line if it is no further from it than this, in mm: the widest allowance.
const REACH: f64 = 40.0;

/// Places closer together than this, in mm, count as one.
const ONE: f64 = 4.0;

/// Reads a front with a bib from its waist down, where something marks the waist.
pub(super) fn by_marks(size: &mut Size<'_>, labels: &LabelTexts, allowances: &Allowances) {
    let ([front], [back]) = (&size.legs.front[..], &size.legs.back[..]) else { return };
    if front.leg.one_piece.is_some() {
        return;
    }
    if !is_longer(front, back) {
        return;
    }
    let Some(side) = side_waist(&front.leg, back.length(SeamRole::Outseam).0) else { return };
    let Some(place) = marked(front.piece, &front.leg, front.leg.ring[side]) else { return };
    let Some(leg) = from_waist(front.piece, &front.leg, place, labels, allowances) else { return };
    // The new reading has to match the back. What may be turned in at the top of the bib does not concern the waist.
    let folds = Folds { waist: None, unclear: Vec::new(), ..front.folds.clone() };
    let mut anew = LegPiece { leg, folds, ..front.clone() };
    let vertex = front.leg.drawn.vertex(side);
    if let Some((at, _)) = anew.leg.drawn.vertices().find(|(_, i)| *i == vertex) {
        anew.leg.side = at;
    }
    let off = (anew.length(SeamRole::Outseam) - back.length(SeamRole::Outseam)).abs();
    if off.0 > SEWN || is_longer(&anew, back) {
        return;
    }
    let message = format!(
        "the front goes on above its waist, as a bib; its crotch seam ({}) begins where the centre front is marked, and the waist counts \
         all round the bib",
        anew.length(SeamRole::Crotch)
    );
    let note = Finding::note(FindingId::ReadAs, message).about(anew.piece).at(anew.piece.drawn(place));
    size.legs.front = vec![anew];
    size.findings.push(note);
}

fn rise(on: &LegPiece<'_>) -> Mm {
    on.length(SeamRole::Crotch)
}

/// Whether a front's rise is so much longer than the back's that something above the waist was included, or something of the back
/// was left out.
fn is_longer(front: &LegPiece<'_>, back: &LegPiece<'_>) -> bool {
    let (f, b) = (rise(front).0, rise(back).0);
    f > LONGER.0 * b && f > b + LONGER.1
}

/// The finding that asks about such a rise.
pub(super) fn in_the_rise(front: &LegPiece<'_>, back: &LegPiece<'_>) -> Option<Finding> {
    let message = format!(
        "the front rise is {} and the back rise {}: no front is so much longer. If the front goes on above the waist, as the bib of an \
         overall does, that is none of the crotch seam: set a notch or a turn point on the centre front where the waist is, or draw \
         the crotch seam from fork to waist on a layer of its own ([layers] crotch). If a yoke is sewn to the back, name it so \
         ([labels] yoke)",
        rise(front),
        rise(back),
    );
    let finding = Finding::error(FindingId::SeamAmbiguous, message).about(front.piece);
    is_longer(front, back).then(|| finding.at(front.piece.drawn(front.leg.ring[0])))
}

/// The corner above the hem that gives the outseam about this length, or the vertex nearest to it, as a point of the ring.
fn side_waist(leg: &Leg, length: f64) -> Option<usize> {
    let turns = corners::turns(&leg.ring);
    let at = line::stations(&leg.ring[leg.hem_out..]);
    let off = |i: &usize| (at[i - leg.hem_out] - length).abs();
    let nearest = |least: f64| {
        let vertices = (leg.hem_out + 1..leg.ring.len()).filter(|&i| turns[i].abs() >= least);
        vertices.min_by(|a, b| off(a).total_cmp(&off(b))).filter(|i| off(i) <= SEWN)
    };
    nearest(corners::CORNER).or_else(|| nearest(0.0))
}

/// The place on the centre front that is marked as its waist; `None` unless there is exactly one.
fn marked(piece: &Piece, leg: &Leg, side: Point) -> Option<Point> {
    let seam = &leg.ring[..=leg.fork];
    let on_seam = |p: Point| {
        let near = seam.windows(2).map(|w| {
            let line = Line::new(w[0], w[1]);
            let near = line.nearest(p, 1e-9);
            (near.distance_sq.sqrt(), line.eval(near.t))
        });
        let (off, on) = near.min_by(|a, b| a.0.total_cmp(&b.0))?;
        (off <= REACH && (on - side).dot(leg.up).abs() <= LEVEL).then_some(on)
    };
    let is_mark = |kind: MarkKind| matches!(kind, MarkKind::Notch { .. } | MarkKind::Turn);
    let marks = piece.marks.iter().filter(|m| is_mark(m.kind)).map(|m| m.at);
    let slits = piece.paths_of(LayerUse::Notch).map(|slit| slit.points[0]);
    let across = piece.paths_of(LayerUse::Internal).filter_map(|line| {
        let ends = [line.points[0], line.points[line.points.len() - 1]];
        let from = ends.iter().position(|end| (*end - side).hypot() <= REACH)?;
        Some(ends[1 - from])
    });
    let mut places = marks.chain(slits).chain(across).filter_map(on_seam);
    let first = places.next()?;
    places.all(|p| (p - first).hypot() <= ONE).then_some(first)
}
