//! How much of a leg is turned in at its ends, by casings and hems that are cut in one with it.

use super::SeamRole;
use crate::units::{Length, Mm, Unit};
use serde::Serialize;

/// How much is turned in beyond the folds at waist and hem, as given by a person. 0 means that there is no fold; `None` means
/// that the drawing decides.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct TurnedIn<L = Mm> {
    /// Beyond the fold at the waist, from the waist edge of the sew line.
    pub waist: Option<L>,
    /// Beyond the fold at the hem, from the hem edge of the sew line.
    pub hem: Option<L>,
}

impl TurnedIn {
    /// The edges that can be turned in.
    pub const EDGES: [SeamRole; 2] = [SeamRole::Waist, SeamRole::Hem];
}

impl<L> Default for TurnedIn<L> {
    /// Nothing is given for either edge.
    fn default() -> Self {
        TurnedIn { waist: None, hem: None }
    }
}

impl TurnedIn<Length> {
    /// The same in mm, plain numbers being of the unit `plain`.
    #[must_use]
    pub fn in_mm(self, plain: Unit) -> TurnedIn {
        self.map(|length| length.in_mm(plain))
    }
}

impl<L: Copy> TurnedIn<L> {
    /// The same with something else in place of every length.
    #[must_use]
    pub fn map<M>(self, of: impl Fn(L) -> M) -> TurnedIn<M> {
        TurnedIn { waist: self.waist.map(&of), hem: self.hem.map(&of) }
    }

    /// How much is turned in at an edge, if that is given.
    #[must_use]
    pub fn get(&self, edge: SeamRole) -> Option<L> {
        match edge {
            SeamRole::Waist => self.waist,
            SeamRole::Hem => self.hem,
            _ => None,
        }
    }

    /// These values, completed by those of `below` where none is given.
    #[must_use]
    pub fn or(self, below: Self) -> Self {
        TurnedIn { waist: self.waist.or(below.waist), hem: self.hem.or(below.hem) }
    }
}
