//! Finds crotch seams that are drawn so roughly that noise makes up part of their length.

use crate::finding::{Finding, FindingId};
use crate::geometry::{corners, line};
use crate::seam::{Leg, LegPiece, Pair, Size};
use kurbo::Point;

/// By how much, in mm, front and back together may be longer than the line they stand for: the amount by which mating seams
/// may differ.
const LONGER: f64 = 1.5;

/// The finding for a crotch seam whose vertices lie so close together, with so much noise on them, that the crotch length
/// comes out too long: a tape laid along the seam does not follow them. The line is compared with the one through its corners
/// and vertices 2 mm apart.
#[must_use]
pub fn rough(size: &Size<'_>) -> Option<Finding> {
    let Pair { front, back } = size.pair()?;
    let longer = |on: &LegPiece<'_>| longer(&on.leg);
    let (f, b) = (longer(front), longer(back));
    if f + b <= LONGER {
        return None;
    }
    let on = if f > b { front } else { back };
    let message = format!(
        "the crotch seam is drawn with so much noise on vertices so close together that front and back measure {:.1} mm \
         longer than the line through vertices further apart (at most {LONGER:.1} mm; front {f:.1}, back {b:.1}). A tape \
         would not follow it: draw the seam again with fewer vertices, or ask for a change in place of a body measure",
        f + b
    );
    let finding = Finding::warning(FindingId::LineRough, message);
    Some(finding.size(size.name.to_string()).about(on.piece).at(on.piece.drawn(on.leg.fork_point())))
}

/// How much longer a leg's crotch seam is than the line through the vertices that carry it.
fn longer(leg: &Leg) -> f64 {
    let seam = &leg.ring[..=leg.fork];
    let carrying = corners::carrying(&leg.ring, &corners::TurnPoints::default());
    let inner = carrying.into_iter().filter(|&i| i > 0 && i < leg.fork);
    let line: Vec<Point> = std::iter::once(0).chain(inner).chain([leg.fork]).map(|i| leg.ring[i]).collect();
    line::length(seam) - line::length(&line)
}
