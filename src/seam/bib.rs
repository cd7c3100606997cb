//! Bibs: a front that goes on above its waist, cut in one with the bib of an overall.
//!
//! The side waist is the corner that gives the outseam the back's length. Where the waist meets the centre front no outline shows;
//! a notch or a turn point there does, or a line across from the side waist (common practice, no source). Where one of them
//! settles it, the crotch seam begins there; else it stays a question.

use super::find::from_waist;
use super::size::{LegPiece, Size};
use super::{Leg, SeamRole, ring};
use crate::finding::{Finding, FindingId};
use crate::pattern::{LayerUse, MarkKind, Piece};
use crate::trousers::{Allowances, LabelTexts};
use kurbo::{Line, ParamCurve, ParamCurveNearest, Point};

/// A rise longer than the back's by so many times, and so many mm, has a bib in it: no front is.
const LONGER: (f64, f64) = (1.2, 50.0);

/// Outseams that are sewn together differ by no more, in mm.
const SEWN: f64 = 12.7;

/// A waist falls or rises from the side to the centre by no more than this, in mm; scoops are no bibs.
const LEVEL: f64 = 80.0;

/// No further than this from the sew line, in mm, a mark is one of it: the widest allowance.
const REACH: f64 = 40.0;

/// Places closer than this, in mm, are one.
const ONE: f64 = 4.0;

/// Reads the front of a bib from its waist, where something marks it.
pub(super) fn by_marks(size: &mut Size<'_>, labels: &LabelTexts, allowances: &Allowances) {
    let ([front], [back]) = (&size.front[..], &size.back[..]) else { return };
    let rise = |on: &LegPiece<'_>| on.length(SeamRole::Crotch).0 + on.above.0;
    if rise(front) <= LONGER.0 * rise(back) || rise(front) <= rise(back) + LONGER.1 {
        return;
    }
    let Some(side) = side_waist(&front.leg, back.length(SeamRole::Outseam).0) else { return };
    let Some(place) = marked(front.piece, &front.leg, side) else { return };
    let Some(leg) = from_waist(front.piece, place, labels, allowances) else { return };
    // What was found has to belong to the back.
    let alike = (leg.length(SeamRole::Outseam).0 - back.length(SeamRole::Outseam).0).abs() <= SEWN;
    if !alike || leg.length(SeamRole::Crotch).0 > LONGER.0 * rise(back) {
        return;
    }
    let message = format!(
        "the front goes on above its waist, as a bib; its crotch seam ({}) begins where the centre front is marked, and the waist counts \
         all round the bib",
        leg.length(SeamRole::Crotch)
    );
    if let [front] = &mut size.front[..] {
        let at = front.piece.drawn(place);
        front.leg = leg;
        size.findings.push(Finding::note(FindingId::ReadAs, message).piece(&front.piece.name).at(at));
    }
}

/// The corner above the hem that gives the outseam this length.
fn side_waist(leg: &Leg, length: f64) -> Option<Point> {
    let turns = ring::turns(&leg.ring);
    let at = ring::stations(&leg.ring[leg.hem_out..]);
    let off = |i: &usize| (at[i - leg.hem_out] - length).abs();
    let corners = (leg.hem_out + 1..leg.ring.len()).filter(|&i| turns[i].abs() >= ring::CORNER);
    let nearest = corners.min_by(|a, b| off(a).total_cmp(&off(b)))?;
    (off(&nearest) <= SEWN).then(|| leg.ring[nearest])
}

/// The one place of the centre front that something marks as its waist.
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
