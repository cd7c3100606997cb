//! The alteration: new positions for a leg's lines and marks. Touches no file.
//!
//! [`law`] says how far each place of the seams moves, [`solve`] finds the slide and [`remedy`] what
//! goes with it where the shares are uneven, [`redraw`] and [`carry`] apply it to the lines and marks
//! of a piece.

pub mod carry;
pub mod law;
pub mod redraw;
pub mod remedy;
pub mod solve;
pub mod station;

pub use carry::Carried;
pub use law::{Law, Moves};
pub use redraw::{Added, Redrawn};

use crate::job::BlendTo;
use crate::pattern::{LayerUse, Piece};
use crate::seam::{Leg, ring};
use crate::units::Mm;

/// Everything that changes in a piece.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Change {
    /// Lines redrawn.
    pub redrawn: Vec<Redrawn>,
    /// What goes along with them.
    pub carried: Carried,
}

/// How far below the fork the line has come back, the same for a front and its back.
///
/// The knee is not drawn. It is taken halfway down the inseam, but at least one front rise below
/// the fork (*common practice, no source*: drafts put the knee at half the inseam or a little above,
/// and on shorts it lies below the hem); the hem ends the way in any case.
#[must_use]
pub fn blend(front: &Leg, back: &Leg, to: BlendTo) -> Mm {
    use crate::seam::SeamRole::{Crotch, Inseam};
    let shorter = Mm(front.length(Inseam).0.min(back.length(Inseam).0));
    let wanted = match to {
        BlendTo::Knee => knee(front, Mm((shorter.0 / 2.0).max(front.length(Crotch).0))),
        BlendTo::Length(l) => l,
        BlendTo::Hem => shorter,
    };
    Mm(wanted.0.min(shorter.0))
}

/// The inseam's vertex nearest to where the knee is taken to be: where it has few, one is at the knee.
fn knee(front: &Leg, guess: Mm) -> Mm {
    /// How far from the guess the knee may be, as a share.
    const CLOSE: f64 = 0.15;
    let stations = ring::stations(&front.ring[front.fork..=front.hem_in]);
    let nearest = stations.into_iter().min_by(|a, b| (a - guess.0).abs().total_cmp(&(b - guess.0).abs()));
    nearest.map(Mm).filter(|s| (*s - guess).abs() <= guess * CLOSE).unwrap_or(guess)
}

/// The change that these moves make to a piece.
#[must_use]
pub fn change(piece: &Piece, leg: &Leg, law: &Law, moves: Moves) -> Change {
    let outlines = [LayerUse::Sew, LayerUse::Cut, LayerUse::SewValidation, LayerUse::CutValidation];
    let mut redrawn = Vec::new();
    for layer_use in outlines {
        let Some(outline) = piece.outline(layer_use) else { continue };
        let Some(path) = piece.paths.iter().position(|p| std::ptr::eq(p, outline)) else { continue };
        let stations = if layer_use == LayerUse::Sew {
            let mut own =
                vec![station::Station { role: crate::seam::SeamRole::Hem, at: 0.0 }; outline.points.len()];
            for (station, &i) in station::of_ring(leg).into_iter().zip(&leg.order) {
                own[i as usize] = station;
            }
            own
        } else {
            station::along(leg, &outline.points)
        };
        redrawn.push(redraw::redraw(path, &outline.points, &stations, law, moves));
    }
    let carried = carry::carry(piece, &redrawn);
    Change { redrawn, carried }
}

/// The leg as it is after a change: the same seams on the redrawn sew line.
#[must_use]
pub fn after(leg: &Leg, piece: &Piece, change: &Change) -> Leg {
    let sew = change.redrawn.iter().find(|r| piece.paths[r.path].layer_use == LayerUse::Sew);
    let Some(sew) = sew else { return leg.clone() };
    let (line, index) = sew.line(&piece.paths[sew.path].points);
    let n = line.len();
    let first = index[leg.order[0] as usize];
    let forward = leg.order[1] == (leg.order[0] + 1) % u32::try_from(leg.order.len()).unwrap_or(u32::MAX);
    let order: Vec<usize> =
        (0..n).map(|k| if forward { (first + k) % n } else { (first + n - k) % n }).collect();
    let mut place = vec![0; n];
    for (k, &i) in order.iter().enumerate() {
        place[i] = k;
    }
    let moved = |corner: usize| place[index[leg.order[corner] as usize]];
    Leg {
        ring: order.iter().map(|&i| line[i]).collect(),
        order: order.iter().map(|&i| u32::try_from(i).unwrap_or(u32::MAX)).collect(),
        fork: moved(leg.fork),
        hem_in: moved(leg.hem_in),
        hem_out: moved(leg.hem_out),
        side: moved(leg.side),
        curve_begin: moved(leg.curve_begin),
        ..leg.clone()
    }
}
