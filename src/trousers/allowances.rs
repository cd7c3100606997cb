//! Seam allowances, for drawings that have no sew line.

use super::SeamRole;
use crate::units::Mm;
use std::collections::BTreeMap;

/// The allowance of every seam that has one.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Allowances {
    /// For every seam that is not named.
    pub all: Option<Mm>,
    /// For the seams that are named.
    pub seam: BTreeMap<SeamRole, Mm>,
}

impl Allowances {
    /// The allowance of a seam: its own, else that of all; `None` where none is known.
    pub fn get(&self, role: SeamRole) -> Option<Mm> {
        self.seam.get(&role).copied().or(self.all)
    }

    /// These allowances with those of `other` in their place, wherever it has one.
    #[must_use]
    pub fn overlaid(mut self, other: &Allowances) -> Allowances {
        self.all = other.all.or(self.all);
        self.seam.extend(&other.seam);
        self
    }
}
