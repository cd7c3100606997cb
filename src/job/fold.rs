//! Reads how much cloth is turned in beyond a fold, as people write it: `waist=35mm`.

use super::length::{self, LengthError};
use crate::trousers::{SeamRole, TurnedIn};
use crate::units::Length;
use crate::words::{self, escaped};

/// Why a text cannot be read as `SEAM=LENGTH` for a fold.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum FoldError {
    /// There is no `=` in it.
    #[error("{} is no fold: write waist=LENGTH or hem=LENGTH, such as waist=35mm; waist=0 says that there is none", super::diagnostic::quoted(.0))]
    Form(String),
    /// The edge is not one at which cloth is turned in.
    #[error("'{}' is no edge that is turned in; {}there are waist, hem", escaped(.0), words::perhaps(.0, EDGES))]
    Edge(String),
    /// The length cannot be read.
    #[error("{0}")]
    Length(LengthError),
    /// The same edge was given before.
    #[error("the fold at the {0} is given twice: give it once")]
    Twice(SeamRole),
}

/// The names of the edges at which cloth can be turned in.
pub const EDGES: [&str; 2] = ["waist", "hem"];

impl TurnedIn<Length> {
    /// Reads several texts of the form `SEAM=LENGTH`; each edge may be given only once.
    pub fn parse<'a>(texts: impl IntoIterator<Item = &'a str>) -> Result<Self, FoldError> {
        let mut turned_in = TurnedIn::default();
        for text in texts {
            let (edge, length) = text.split_once('=').ok_or_else(|| FoldError::Form(text.to_owned()))?;
            let length = length::parse(length, None).map_err(FoldError::Length)?;
            turned_in.set(edge, length)?;
        }
        Ok(turned_in)
    }

    /// Sets how much is turned in at the named edge.
    pub fn set(&mut self, edge: &str, length: Length) -> Result<(), FoldError> {
        let role = edge.parse().ok().filter(|role| TurnedIn::EDGES.contains(role));
        let slot = match role {
            Some(SeamRole::Waist) => &mut self.waist,
            Some(SeamRole::Hem) => &mut self.hem,
            _ => return Err(FoldError::Edge(edge.trim().to_owned())),
        };
        let twice = slot.replace(length).is_some();
        role.filter(|_| twice).map_or(Ok(()), |role| Err(FoldError::Twice(role)))
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;
    use crate::units::{Mm, Unit};

    #[test]
    fn folds_are_read_as_they_are_written() {
        // An inch is 25.4 mm.
        let read = TurnedIn::parse(["waist=1in", " Hem = 4"]).unwrap();
        assert_eq!(read.in_mm(Unit::Cm), TurnedIn { waist: Some(Mm(25.4)), hem: Some(Mm(40.0)) });
        let none = TurnedIn::parse(["waist=0"]).unwrap();
        assert_eq!(none.or(read).in_mm(Unit::Cm), TurnedIn { waist: Some(Mm(0.0)), hem: Some(Mm(40.0)) });
        for (texts, part) in [
            (vec!["35mm"], "waist=LENGTH"),
            (vec!["wiast=35mm"], "did you mean 'waist'?"),
            (vec!["crotch=35mm"], "there are waist, hem"),
            (vec!["hem=-4"], "is negative"),
            (vec!["hem=1", "HEM=1"], "given twice"),
        ] {
            let error = TurnedIn::parse(texts).unwrap_err().to_string();
            assert!(error.contains(part), "{error}");
        }
    }
}
