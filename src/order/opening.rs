//! The front opening, into which the zip goes: from the waist down to the fly, or to a notch on the centre front.
//!
//! A slide stretches the upper part of the crotch seam, and the opening with it; the zip that was bought does not grow
//! (common practice, no source).

use super::leg::AlteredLeg;
use crate::finding::{Finding, FindingId};
use crate::pattern::{LayerUse, MarkKind, Piece};
use crate::seam::{Leg, ring};
use crate::units::Mm;
use kurbo::{Line, ParamCurveNearest, Point, Vec2};

/// No further than this from the sew line, in mm, a notch is one of it: the widest allowance.
const REACH: f64 = 40.0;

/// An opening is this share of the crotch seam at least; a notch above it marks something else.
const LEAST: f64 = 0.25;

/// A zip ends at the latest so far, in mm, into the crotch curve; a notch further down is the curve's own.
const INTO_CURVE: f64 = 15.0;

/// A change of the opening by more than this, in mm, is told of: zips come in steps of a centimetre or half an inch.
const TOLD: f64 = 1.0;

/// Says how long the opening was and is, where the drawing shows it and it changes.
pub(super) fn changed(front: &AlteredLeg<'_>) -> Option<Finding> {
    let (on, after) = (front.on(), &front.after);
    let (was, is, end) = if on.leg.fly.is_empty() {
        let (was, is) = to_notch(front)?;
        (was, is, "the notch on the centre front")
    } else {
        let foot = |leg: &Leg| (leg.ring[1] - leg.ring[0]).hypot();
        (foot(&on.leg), foot(after), "the foot of the fly")
    };
    if (is - was).abs() <= TOLD {
        return None;
    }
    let message = format!(
        "the front opening, from the waist to {end}, is {} long and was {}: look whether the zip and its facing still fit it",
        Mm(is),
        Mm(was)
    );
    let finding = Finding::note(FindingId::FrontOpening, message).piece(&on.piece.name);
    Some(finding.at(on.piece.drawn(on.leg.ring[0])))
}

/// How far down the lowest notch above the curve lies, before and after.
fn to_notch(front: &AlteredLeg<'_>) -> Option<(f64, f64)> {
    let (on, after) = (front.on(), &front.after);
    let seam = &on.leg.ring[..=on.leg.fork];
    let whole = ring::length(seam);
    let lowest = ring::length(&on.leg.ring[..=on.leg.curve_begin]) + INTO_CURVE;
    let places = notches(on.piece, front).into_iter().filter_map(|(at, shift)| {
        let (was, off) = station(seam, at);
        let nearer = ring::distance(&on.leg.ring[on.leg.fork..], at) < off;
        let fits = off <= REACH && !nearer && was > LEAST * whole && was < lowest;
        fits.then(|| (was, station(&after.ring[..=after.fork], at + shift).0))
    });
    places.max_by(|a, b| a.0.total_cmp(&b.0))
}

/// The notches of a piece, each with how far it is carried.
fn notches(piece: &Piece, front: &AlteredLeg<'_>) -> Vec<(Point, Vec2)> {
    let carried = &front.change.carried;
    let shift =
        |all: &[(usize, Vec2)], i: usize| all.iter().find(|(k, _)| *k == i).map_or(Vec2::ZERO, |s| s.1);
    let marks = piece.marks.iter().enumerate().filter(|(_, m)| matches!(m.kind, MarkKind::Notch { .. }));
    let marks = marks.map(|(i, mark)| (mark.at, shift(&carried.marks, i)));
    let slits = piece
        .paths_of(LayerUse::Notch)
        .map(|slit| (slit.points[0], shift(&carried.strokes, slit.from[0].stroke as usize)));
    marks.chain(slits).collect()
}

/// How far along a line the place nearest to a point lies, and how far off that is.
fn station(line: &[Point], p: Point) -> (f64, f64) {
    let at = ring::stations(line);
    let on = line.windows(2).zip(&at).map(|(w, start)| {
        let near = Line::new(w[0], w[1]).nearest(p, 1e-9);
        (start + near.t * (w[1] - w[0]).hypot(), near.distance_sq.sqrt())
    });
    on.min_by(|a, b| a.1.total_cmp(&b.1)).unwrap_or((0.0, f64::INFINITY))
}
