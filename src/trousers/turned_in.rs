//! How much of a leg is turned in at its ends: casings and hems that are cut in one with it.

use super::SeamRole;
use crate::units::Mm;

/// What a person says is turned in beyond the folds at waist and hem; 0 says that there is no fold, `None` leaves it
/// to the drawing.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct TurnedIn {
    /// Beyond the fold at the waist, from the waist edge of the sew line.
    pub waist: Option<Mm>,
    /// Beyond the fold at the hem, from the hem edge of the sew line.
    pub hem: Option<Mm>,
}

impl TurnedIn {
    /// The edges that can be turned in.
    pub const EDGES: [SeamRole; 2] = [SeamRole::Waist, SeamRole::Hem];

    /// What is said of an edge.
    #[must_use]
    pub fn get(&self, edge: SeamRole) -> Option<Mm> {
        match edge {
            SeamRole::Waist => self.waist,
            SeamRole::Hem => self.hem,
            _ => None,
        }
    }

    /// This with what `other` says in its place, wherever it says something.
    #[must_use]
    pub fn overlaid(self, other: TurnedIn) -> TurnedIn {
        TurnedIn { waist: other.waist.or(self.waist), hem: other.hem.or(self.hem) }
    }
}
