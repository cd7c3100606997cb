//! The trousers of one size, with the seams of their legs.

use super::fold::Folds;
use super::panels::{Gusset, Panels};
use super::{Above, Leg, Pair, Part, SeamRole, Yoke};
use crate::finding::{Finding, Severity};
use crate::pattern::{Piece, SizeName};
use crate::units::Mm;

/// A piece that is a leg, with its seams.
#[derive(Clone, Debug)]
pub struct LegPiece<'p> {
    /// The piece.
    pub piece: &'p Piece,
    /// Its seams.
    pub leg: Leg,
    /// The edges of the yoke that is sewn to its top; 0 where there is none.
    pub above: Above,
    /// Where its ends are turned in.
    pub folds: Folds,
    /// The other pieces of the leg, if it is cut into panels.
    pub panels: Panels,
}

impl LegPiece<'_> {
    /// Whether its outer edge is the outseam: no panel lies beside it, and front and back are not drawn in one piece.
    #[must_use]
    pub fn has_outseam(&self) -> bool {
        !self.panels.beside && self.leg.one_piece.is_none()
    }

    /// The length of a seam over all panels of the leg and the yoke above it. Where an end is turned in, it is measured to the fold, and
    /// an outseam without the step of a vent. If front and back are in one piece, waist and hem end at the side, and the outseam,
    /// which is not there, is 0.
    #[must_use]
    pub fn length(&self, role: SeamRole) -> Mm {
        self.length_with(&self.leg, role)
    }

    /// Like [`LegPiece::length`], but measured on `leg` instead of the leg as drawn.
    #[must_use]
    pub fn length_with(&self, leg: &Leg, role: SeamRole) -> Mm {
        let own = leg.one_piece.as_ref().and_then(|one| one.own_length(leg, role, self.folds.at(role)));
        if let Some(own) = own {
            return own;
        }
        let more = match role {
            SeamRole::Crotch => self.above.centre,
            // A vent's step is none of the seam.
            SeamRole::Outseam => self.above.side - leg.vent().map_or(Mm(0.0), |vent| vent.more),
            _ => Mm(0.0),
        };
        self.panels.length(role, self.folds.length(leg, role)) + more
    }
}

/// The trousers of one size.
#[derive(Clone, Debug)]
pub struct Size<'p> {
    /// The size as the drawing writes it.
    pub name: SizeName,
    /// The fronts and the backs: one of each, or a left and a right one.
    pub legs: Pair<Vec<LegPiece<'p>>>,
    /// The yokes that are sewn to them.
    pub yokes: Vec<Yoke<'p>>,
    /// Linings, which may have the shape of a leg but are not altered as one.
    pub linings: Vec<&'p Piece>,
    /// The blocks of its pieces whose names say front or back, with the part that they say.
    pub named: Vec<(usize, Part)>,
    /// The name of a waistband that is drawn for the size, or for every size.
    pub waistband: Option<String>,
    /// A gusset between the forks, drawn for the size or for every size.
    pub gusset: Option<Gusset>,
    /// Parts for which no leg was found, each with the name of a piece that may be that leg.
    pub doubted: Vec<(Part, String)>,
    /// Whether the side waist was found at another place in other sizes.
    pub side_unsure: bool,
    /// Findings about the size. If one of them is an error, the size cannot be measured.
    pub findings: Vec<Finding>,
}

impl<'p> Size<'p> {
    /// Every leg, the fronts first.
    pub fn all_legs(&self) -> impl Iterator<Item = &LegPiece<'p>> {
        self.legs.iter().flatten()
    }

    /// Whether a piece that is no leg may hang on a leg: on any, unless its name says front or back.
    #[must_use]
    pub fn may_hang(&self, piece: &Piece, leg: &Piece) -> bool {
        let named = self.named.iter().find(|(block, _)| *block == piece.block);
        named.is_none_or(|(_, part)| self.legs.of(*part).iter().any(|on| on.piece.block == leg.block))
    }

    /// The first front and the first back, if the size can be measured.
    #[must_use]
    pub fn pair(&self) -> Option<Pair<&LegPiece<'p>>> {
        let sound = self.findings.iter().all(|f| f.severity != Severity::Error);
        let Pair { front, back } = self.legs.as_ref().map(|legs| legs.first());
        Some(Pair { front: front?, back: back? }).filter(|_| sound)
    }

    /// The legs that are sewn together, if the size can be measured: left and right each with its own mate. Where one of the two is
    /// drawn once, it serves both sides.
    pub fn pairs(&self) -> impl Iterator<Item = Pair<&LegPiece<'p>>> {
        let sides = self.pair().map_or(0, |_| self.legs.front.len().max(self.legs.back.len()));
        (0..sides).map(|i| self.legs.as_ref().map(|legs| &legs[i.min(legs.len() - 1)]))
    }
}
