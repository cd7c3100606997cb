//! The pieces that a leg goes on in, where it is cut into panels, and the gusset between two legs.

use super::SeamRole;
use crate::units::Mm;

/// The pieces that a leg goes on in.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Panels {
    /// What is sewn to its lower end.
    pub below: Option<Below>,
    /// Whether a piece is sewn along its outer edge, so that this is no outseam.
    pub beside: bool,
}

/// The edges of a piece that is sewn to the lower end of a leg.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Below {
    /// The one that goes on from the inseam.
    pub inseam: Mm,
    /// The one that goes on from the outseam.
    pub outseam: Mm,
    /// Its own lower end.
    pub hem: Mm,
}

impl Panels {
    /// By how much a seam is longer than on the leg's own piece.
    #[must_use]
    pub fn length(&self, role: SeamRole, own: Mm) -> Mm {
        match (role, self.below) {
            (SeamRole::Inseam, Some(below)) => own + below.inseam,
            (SeamRole::Outseam, Some(below)) => own + below.outseam,
            (SeamRole::Hem, Some(below)) => below.hem,
            _ => own,
        }
    }
}

/// A piece between the forks of front and back. Its seams are neither crotch seam nor inseam.
#[derive(Clone, Debug, PartialEq)]
pub struct Gusset {
    /// Its name.
    pub name: String,
    /// The index of its block in the drawing.
    pub block: usize,
    /// How far it reaches along its grain, and across it.
    pub reach: [Mm; 2],
}

impl crate::finding::Subject for Gusset {
    fn name(&self) -> &str {
        &self.name
    }

    fn block(&self) -> usize {
        self.block
    }
}

impl Gusset {
    /// What it is, for a sentence.
    #[must_use]
    pub fn worded(&self) -> String {
        format!("'{}' ({} along its grain, {} across it)", self.name, self.reach[0], self.reach[1])
    }
}
