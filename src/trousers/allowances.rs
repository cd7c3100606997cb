//! Seam allowances, for drawings that have no sew line.

use super::SeamRole;
use crate::units::{Length, Mm, Unit};
use serde::Serialize;
use std::collections::BTreeMap;

/// The allowance of every seam that has one, as [`Mm`] or as somebody wrote it.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Allowances<L = Mm> {
    /// For every seam that is not named.
    pub all: Option<L>,
    /// For the seams that are named.
    pub seam: BTreeMap<SeamRole, L>,
}

impl<L> Default for Allowances<L> {
    /// None for any seam.
    fn default() -> Self {
        Allowances { all: None, seam: BTreeMap::new() }
    }
}

impl<L: Copy> Allowances<L> {
    /// The allowance of a seam: its own, else that of all; `None` where none is known.
    pub fn get(&self, role: SeamRole) -> Option<L> {
        self.seam.get(&role).copied().or(self.all)
    }

    /// These allowances, and those of `below` where they have none.
    #[must_use]
    pub fn or(mut self, below: &Self) -> Self {
        self.all = self.all.or(below.all);
        below.seam.iter().for_each(|(role, length)| {
            self.seam.entry(*role).or_insert(*length);
        });
        self
    }
}

impl Allowances<Length> {
    /// The same in mm, plain numbers being of the unit `plain`.
    #[must_use]
    pub fn in_mm(&self, plain: Unit) -> Allowances {
        let mm = |length: Length| length.in_mm(plain);
        Allowances {
            all: self.all.map(mm),
            seam: self.seam.iter().map(|(role, length)| (*role, mm(*length))).collect(),
        }
    }
}
