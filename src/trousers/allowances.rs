//! Seam allowances, for drawings that have no sew line.

use super::SeamRole;
use crate::units::{Length, Mm, Unit};
use serde::Serialize;
use std::collections::BTreeMap;

/// The seam allowances by seam, in [`Mm`] or as a person wrote them ([`Length`]).
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Allowances<L = Mm> {
    /// The allowance of every seam without one of its own.
    pub all: Option<L>,
    /// The allowances of single seams.
    pub seam: BTreeMap<SeamRole, L>,
}

impl<L> Default for Allowances<L> {
    /// No allowance for any seam.
    fn default() -> Self {
        Allowances { all: None, seam: BTreeMap::new() }
    }
}

impl Allowances<Length> {
    /// The same in mm, plain numbers being of the unit `plain`.
    #[must_use]
    pub fn in_mm(&self, plain: Unit) -> Allowances {
        self.map(|length| length.in_mm(plain))
    }
}

impl<L: Copy> Allowances<L> {
    /// The same with something else in place of every length.
    #[must_use]
    pub fn map<M>(&self, of: impl Fn(L) -> M) -> Allowances<M> {
        let seam = self.seam.iter().map(|(role, length)| (*role, of(*length))).collect();
        Allowances { all: self.all.map(&of), seam }
    }

    /// The allowance of a seam: its own, otherwise the one for all seams; `None` if neither is known.
    pub fn get(&self, role: SeamRole) -> Option<L> {
        self.seam.get(&role).copied().or(self.all)
    }

    /// These allowances, completed by those of `below` where they have none.
    #[must_use]
    pub fn or(mut self, below: &Self) -> Self {
        self.all = self.all.or(below.all);
        below.seam.iter().for_each(|(role, length)| {
            self.seam.entry(*role).or_insert(*length);
        });
        self
    }
}
