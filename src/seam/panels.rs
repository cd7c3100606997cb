//! The other pieces of a leg that is cut into panels, and the gusset between two legs.

use super::SeamRole;
use crate::units::Mm;

/// The other pieces that belong to a leg cut into panels.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Panels {
    /// The piece that is sewn to the leg's lower end.
    pub below: Option<Below>,
    /// Whether a piece is sewn along the leg's outer edge, so that this edge is not the outseam.
    pub beside: bool,
}

/// Edge lengths of a piece that is sewn to the lower end of a leg.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Below {
    /// The edge that continues the inseam.
    pub inseam: Mm,
    /// The edge that continues the outseam.
    pub outseam: Mm,
    /// The lower edge of the piece: the hem of the whole leg.
    pub hem: Mm,
}

impl Panels {
    /// The length of a seam over all panels; `own` is its length on the leg's own piece.
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
    /// Its extent along its grain, and across it.
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
    /// A description of the gusset for use in a sentence.
    #[must_use]
    pub fn worded(&self) -> String {
        format!("'{}' ({} along its grain, {} across it)", self.name, self.reach[0], self.reach[1])
    }
}
