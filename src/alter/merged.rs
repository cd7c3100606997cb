//! Puts together the changes of a front and a back that are drawn in one piece.

use super::redrawn::{Added, Redrawn};
use super::{Change, carry};
use crate::pattern::{Path, Piece};
use kurbo::Vec2;

/// The change of a piece that is both of these changes at once. Each of them leaves the other part's seams where they are; where
/// both move a place, as at a casing, the movements add up.
#[must_use]
pub fn merged(piece: &Piece, one: &Change, other: &Change) -> Change {
    let of = |change: &Change, path: usize| change.redrawn.iter().find(|r| r.path == path).cloned();
    let mut redrawn = Vec::with_capacity(one.redrawn.len());
    for line in &one.redrawn {
        let path = &piece.paths[line.path];
        redrawn.push(of(other, line.path).map_or_else(|| line.clone(), |mate| both(path, line, &mate)));
    }
    let lacking = |line: &&Redrawn| of(one, line.path).is_none();
    redrawn.extend(other.redrawn.iter().filter(lacking).cloned());
    let back = [&one.back[..], &other.back].concat();
    let carried = carry::carry(piece, &redrawn, &back);
    Change { redrawn, carried, back }
}

fn both(path: &Path, one: &Redrawn, other: &Redrawn) -> Redrawn {
    let moves = one.moves.iter().zip(&other.moves).map(|(a, b)| *a + *b).collect();
    // A vertex that one of them adds goes with the place of the edge that it is added on, if the other moves that.
    let moved = |added: &Added, by: &Redrawn| {
        let (i, n) = (added.after as usize, path.points.len());
        let was = path.points[i].lerp(path.points[(i + 1) % n], added.share);
        let still = by.moves[i] == by.moves[(i + 1) % n] && by.moves[i].hypot2() == 0.0;
        let on_edge = by.added.iter().any(|a| a.after == added.after);
        let shift =
            if still && !on_edge { Vec2::ZERO } else { by.carried(&path.points, i, added.share) - was };
        Added { at: added.at + shift, ..*added }
    };
    let mut added: Vec<Added> = one.added.iter().map(|a| moved(a, other)).collect();
    added.extend(other.added.iter().map(|a| moved(a, one)));
    added.sort_by(|a, b| a.after.cmp(&b.after).then(a.share.total_cmp(&b.share)));
    Redrawn { path: one.path, moves, added }
}
