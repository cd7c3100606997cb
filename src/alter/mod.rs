//! The alteration: it computes new positions for a leg's lines and marks and touches no file.
//!
//! [`displacement`] gives how far each place of the seams moves, [`solve`] finds the slide, and [`remedy`] finds what is needed
//! besides the slide where the shares are uneven. [`redraw`] and [`carry`] apply all of it to the lines and marks of a piece.
//! [`hanging`] finds other pieces with an edge that lay on a redrawn line, [`mod@follow`] redraws them in the same way. [`yoke`]
//! raises the waist where a yoke has it.

mod bend;
pub mod carry;
mod casing;
mod cornered;
pub mod displacement;
mod fairing;
pub mod follow;
mod form;
pub mod hanging;
mod inseam;
mod joints;
mod merged;
mod moves;
mod outline;
pub mod redraw;
mod redrawn;
pub mod remedy;
pub mod solve;
mod truing;
mod waist;
pub mod yoke;

pub use carry::Carried;
pub use displacement::{Applied, Displacement, Unsound};
pub use merged::merged;
pub use moves::Moves;
pub use redrawn::{Added, Redrawn};
pub use truing::TooLarge;

use crate::geometry::{line, offset};
use crate::job::BlendTo;
use crate::pattern::{LayerUse, Path, Piece};
use crate::seam::one_piece::OtherPart;
use crate::seam::station::{self, Station};
use crate::seam::{Derived, Leg, Pair, SeamRole};
use crate::units::Mm;
use kurbo::{Point, Vec2};
use outline::Outline;
use std::collections::HashSet;

/// Everything that changes in a piece.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Change {
    /// Lines redrawn.
    pub redrawn: Vec<Redrawn>,
    /// Marks, texts and notches that move along with these lines.
    pub carried: Carried,
    /// Where the inseam has come back, unless it does so at its end.
    pub back: Vec<Point>,
}

/// The distance below the fork at which the redrawn inseam rejoins the old line, the same for a front and its back.
///
/// The knee is not drawn. It is assumed halfway down the inseam, but at least one front rise below the fork (*common practice, no
/// source*: drafts put the knee at half the inseam or a little above, and on shorts it lies below the hem). The hem is the limit
/// in any case.
#[must_use]
pub fn blend(legs: Pair<&Leg>, to: BlendTo) -> Mm {
    use crate::seam::SeamRole::{Crotch, Inseam};
    let shorter = Mm(legs.front.length(Inseam).0.min(legs.back.length(Inseam).0));
    let wanted = match to {
        BlendTo::Knee => knee(legs.front, Mm((shorter.0 / 2.0).max(legs.front.length(Crotch).0))),
        BlendTo::Length(l) => l,
        BlendTo::Hem => shorter,
    };
    Mm(wanted.0.min(shorter.0))
}

/// The vertex of the inseam nearest to the assumed knee: where the inseam has few vertices, one of them is at the knee.
fn knee(front: &Leg, guess: Mm) -> Mm {
    /// How far from the assumed knee that vertex may be, as a share.
    const CLOSE: f64 = 0.15;
    let stations = line::stations(&front.ring[front.fork..=front.hem_in]);
    let nearest = stations.into_iter().min_by(|a, b| (a - guess.0).abs().total_cmp(&(b - guess.0).abs()));
    nearest.map(Mm).filter(|s| (*s - guess).abs() <= guess * CLOSE).unwrap_or(guess)
}

/// A leg's sew line under a displacement.
struct Displaced {
    ring: Vec<Point>,
    fly: Vec<Point>,
    /// For each edge of the ring the vertices to add.
    added: Vec<Vec<Added>>,
    outline: Outline,
}

impl Displaced {
    fn new(leg: &Leg, applied: &Applied<'_>) -> Self {
        let mut ring = leg.ring.clone();
        ring[..=leg.fork].copy_from_slice(&applied.crotch);
        ring[leg.fork + 1..=leg.hem_in].copy_from_slice(&applied.inseam.points[1..]);
        let waist = line::stations(&leg.seam(SeamRole::Waist));
        for (i, at) in (leg.side..ring.len()).zip(&waist) {
            ring[i] += applied.on_waist(waist[waist.len() - 1] - at);
        }
        let fly = outline::fly(leg, applied);
        let added = redraw::added_on_ring(leg, applied);
        let outline = Outline::new(leg, applied, &ring, &fly, added.clone());
        Displaced { ring, fly, added, outline }
    }
}

/// The change that a displacement makes to a piece.
#[must_use]
pub fn change(piece: &Piece, leg: &Leg, applied: &Applied<'_>) -> Change {
    let Displaced { ring, fly, added, outline } = Displaced::new(leg, applied);
    let mut redrawn = Vec::new();
    let mut done = HashSet::new();
    for path in follow(piece, leg) {
        let line = &piece.paths[path];
        // If a sew line was joined from seams on separate layers, these strokes are paths of their own as well.
        if !line.from.iter().map(|f| f.stroke).fold(true, |new, stroke| new & !done.contains(&stroke)) {
            continue;
        }
        done.extend(line.from.iter().chain(line.twins.iter().map(|(_, f)| f)).map(|f| f.stroke));
        let own = |points: &[Point]| redraw::own(leg, points, &ring, &fly, &added);
        redrawn.push(match leg.drawn.derived() {
            _ if path != leg.drawn.path() => redraw::beside(leg, &outline, path, line),
            None => own(&line.points),
            Some(derived) => {
                let followed = redraw::following(leg, &outline, path, line);
                match offset::inside(&derived.points, &derived.allowances) {
                    Some(sew) => {
                        redraw::around(leg, followed, derived, (&own(&sew), applied.turns_at_hem), &sew)
                    }
                    None => followed,
                }
            }
        });
    }
    if let Some(other) = leg.other_part()
        && applied.begin == 0
        && applied.raised != Vec2::ZERO
    {
        for line in
            redrawn.iter_mut().filter(|line| line.path != leg.drawn.path() || leg.drawn.derived().is_some())
        {
            hold_other_part(leg, other, &outline, &piece.paths[line.path], line);
        }
    }
    let back = Vec::from_iter(applied.back);
    let carried = carry::carry(piece, &redrawn, &back);
    Change { redrawn, carried, back }
}

/// Keeps a line beside the sew line where it is along the other part of a piece that is front and back in one, from its hem corner to
/// the side: at the edge on which a raised waist comes back, it would turn by a few hundredths.
fn hold_other_part(leg: &Leg, other: &OtherPart, outline: &Outline, path: &Path, line: &mut Redrawn) {
    let arc = &outline.arc;
    let [hem, waist] = [leg.hem_out, leg.side].map(|k| arc.at[k + leg.fly.len()]);
    let side = arc.nearest(other.side.waist, waist, arc.whole() - waist);
    for (moved, at) in line.moves.iter_mut().zip(arc.along(leg, &path.points, path.closed)) {
        if hem < at && at < side {
            *moved = Vec2::ZERO;
        }
    }
}

/// The paths of a piece that follow its seams: first the line of the leg itself, then the outlines, then every path that draws a
/// part of them again. The mirror line of a half piece stays.
#[must_use]
pub fn follow(piece: &Piece, leg: &Leg) -> Vec<usize> {
    let mut paths = vec![leg.drawn.path()];
    let outline = |layer_use: LayerUse| {
        let outline = piece.outline(layer_use)?;
        piece.paths.iter().position(|p| std::ptr::eq(p, outline))
    };
    paths.extend([LayerUse::Sew, LayerUse::Cut].into_iter().filter_map(outline));
    let again = |u: LayerUse| u.is_seam() || matches!(u, LayerUse::SewValidation | LayerUse::CutValidation);
    paths.extend((0..piece.paths.len()).filter(|&i| again(piece.paths[i].layer_use)));
    let mut seen = HashSet::new();
    paths.retain(|p| seen.insert(*p));
    paths
}

/// The station of every point of a path that follows the seams.
#[must_use]
pub fn stations(piece: &Piece, leg: &Leg, path: usize) -> Vec<Station> {
    let line = &piece.paths[path];
    if path == leg.drawn.path() {
        station::of_path(leg)
    } else {
        station::of_line(leg, &line.points, line.closed)
    }
}

/// The leg as it is after a change: the same seams on the redrawn line.
#[must_use]
pub fn after(leg: &Leg, piece: &Piece, change: &Change) -> Leg {
    let Some(redrawn) = change.redrawn.iter().find(|r| r.path == leg.drawn.path()) else {
        return leg.clone();
    };
    let old = &piece.paths[redrawn.path].points;
    let (line, index) = redrawn.line(old);
    let derived = leg.drawn.derived().map(|d| Derived {
        allowances: redraw::spread(&d.allowances, &index, line.len()),
        points: line.clone(),
    });
    let sew = match &derived {
        Some(d) => offset::inside(&line, &d.allowances),
        None => Some(line.clone()),
    };
    // If the allowances leave nothing inside the cut line, return the leg as it was; the check of the measures then reports that
    // the target was missed.
    let Some(sew) = sew else { return leg.clone() };
    leg.on_line(&sew, &index, derived)
}

#[cfg(test)]
mod tests;
