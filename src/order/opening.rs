//! The front opening for the zip: from the waist down to the foot of the fly, or to a notch on the centre front.
//!
//! A slide stretches the upper part of the crotch seam and the opening with it, but the zip keeps its length (common practice, no
//! source).

use super::leg::AlteredLeg;
use crate::finding::{Finding, FindingId};
use crate::geometry::{Segments, line::Measured};
use crate::pattern::{LayerUse, MarkKind};
use crate::seam::Leg;
use crate::units::Mm;
use kurbo::{Point, Rect, Vec2};

/// A notch belongs to the sew line if it is no further from it than this, in mm: the widest allowance.
const REACH: f64 = 40.0;

/// An opening has at least this share of the crotch seam; a notch above that marks something else (common practice, no source).
const LEAST: f64 = 0.25;

/// A zip ends at the latest this far, in mm, inside the crotch curve; a notch further down belongs to the curve (common practice,
/// no source).
const INTO_CURVE: f64 = 15.0;

/// A change of the opening by more than this, in mm, is reported: zips come in steps of a centimetre or half an inch.
const TOLD: f64 = 1.0;

/// The finding with the old and new length of the opening, where the drawing shows it and it changes.
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
    let finding = Finding::note(FindingId::FrontOpening, message).about(on.piece);
    Some(finding.at(on.piece.drawn(on.leg.ring[0])))
}

/// The distance from the waist to the lowest notch above the curve, before and after.
fn to_notch(front: &AlteredLeg<'_>) -> Option<(f64, f64)> {
    let leg = &front.on().leg;
    let seam = Measured::new(leg.ring[..=leg.fork].to_vec());
    let (least, lowest) = (LEAST * seam.length(), seam.stations()[leg.curve_begin] + INTO_CURVE);
    // A finely drawn leg has as many notches as vertices; most of them are ruled out by their position.
    let upper = seam.stations().partition_point(|&s| s < lowest).min(leg.fork);
    let first = Rect::from_points(leg.ring[0], leg.ring[0]);
    let around = leg.ring[..=upper].iter().fold(first, |r, &p| r.union_pt(p)).inflate(REACH, REACH);
    let near = notches(front).into_iter().filter(|(at, _)| around.contains(*at));
    let fits = |(at, shift): (Point, Vec2)| {
        let (was, off) = seam.nearest(at)?;
        (off <= REACH && was > least && was < lowest).then_some((was, off, at, at + shift))
    };
    let mut places: Vec<_> = near.filter_map(fits).collect();
    places.sort_by(|a, b| b.0.total_cmp(&a.0));
    // A notch nearer to another seam belongs to that seam.
    let others = Segments::of(&leg.ring[leg.fork..], false);
    let (was, .., now) = places.into_iter().find(|&(_, off, at, _)| others.distance(at) >= off)?;
    let new = Measured::new(front.after.ring[..=front.after.fork].to_vec());
    Some((was, new.nearest(now)?.0))
}

/// The notches of a piece, each with its movement.
fn notches(front: &AlteredLeg<'_>) -> Vec<(Point, Vec2)> {
    let (piece, carried) = (front.on().piece, &front.change.carried);
    // The carried marks are sorted by index.
    let shift = |all: &[(usize, Vec2)], i: usize| {
        all.binary_search_by_key(&i, |(k, _)| *k).map_or(Vec2::ZERO, |found| all[found].1)
    };
    let marks = piece.marks.iter().enumerate().filter(|(_, m)| matches!(m.kind, MarkKind::Notch { .. }));
    let marks = marks.map(|(i, mark)| (mark.at, shift(&carried.marks, i)));
    let slits = piece
        .paths_of(LayerUse::Notch)
        .map(|slit| (slit.points[0], shift(&carried.strokes, slit.from[0].stroke as usize)));
    marks.chain(slits).collect()
}
