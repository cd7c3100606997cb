//! Seam allowances, for drawings that have no sew line.

use super::length::{self, LengthError};
use crate::trousers::Allowances;
use crate::units::Length;
use crate::words::UnknownWord;

/// The word that stands for every seam without an allowance of its own.
pub const ALL: &str = "all";

/// Why a text cannot be read as `SEAM=LENGTH`.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum AllowanceError {
    /// There is no `=` in it.
    #[error("{} is no allowance: write SEAM=LENGTH, such as all=5/8in or hem=40mm", super::diagnostic::quoted(.0))]
    Form(String),
    /// The seam is not known.
    #[error("{0}; or all for every other seam")]
    Seam(UnknownWord),
    /// The length cannot be read.
    #[error("{0}")]
    Length(LengthError),
    /// The same seam was given before.
    #[error("the allowance of {0} is given twice: give it once")]
    Twice(String),
}

impl Allowances<Length> {
    /// Reads several texts of the form `SEAM=LENGTH`, where the seam may be `all`; each seam may be given only once.
    pub fn parse<'a>(texts: impl IntoIterator<Item = &'a str>) -> Result<Self, AllowanceError> {
        let mut allowances = Allowances::default();
        for text in texts {
            let (seam, length) = text.split_once('=').ok_or_else(|| AllowanceError::Form(text.to_owned()))?;
            let length = length::parse(length, None).map_err(AllowanceError::Length)?;
            let before = allowances.set(seam, length).map_err(AllowanceError::Seam)?;
            if before.is_some() {
                return Err(AllowanceError::Twice(seam.trim().to_owned()));
            }
        }
        Ok(allowances)
    }

    /// Sets the allowance of the named seam, or of `all`, and returns the previous one.
    pub fn set(&mut self, seam: &str, length: Length) -> Result<Option<Length>, UnknownWord> {
        if seam.trim().eq_ignore_ascii_case(ALL) {
            return Ok(self.all.replace(length));
        }
        Ok(self.seam.insert(seam.parse()?, length))
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;
    use crate::trousers::SeamRole;
    use crate::units::{Mm, Unit};

    #[test]
    fn a_named_seam_goes_before_all() {
        let a = Allowances::parse(["all=5/8in", "Hem = 40mm", "inseam=0"]).unwrap().in_mm(Unit::Mm);
        assert_eq!(a.get(SeamRole::Crotch), Some(Mm(15.875)));
        assert_eq!(a.get(SeamRole::Hem), Some(Mm(40.0)));
        assert_eq!(a.get(SeamRole::Inseam), Some(Mm(0.0)));
        assert_eq!(Allowances::<Mm>::default().get(SeamRole::Hem), None);
    }

    #[test]
    fn what_is_given_later_goes_before_what_a_file_says() {
        let file = Allowances::parse(["all=10", "hem=40"]).unwrap();
        let typed = Allowances::parse(["all=15"]).unwrap();
        let both = typed.or(&file).in_mm(Unit::Mm);
        assert_eq!((both.get(SeamRole::Waist), both.get(SeamRole::Hem)), (Some(Mm(15.0)), Some(Mm(40.0))));
    }

    #[test]
    fn what_is_no_allowance_is_refused() {
        for (texts, part) in [
            (vec!["10mm"], "SEAM=LENGTH"),
            (vec!["side=10mm"], "there are waist, crotch, inseam, hem, outseam; or all"),
            (vec!["hem=-1"], "is negative"),
            (vec!["hem="], "a length is missing"),
            (vec!["hem=1", "HEM=2"], "given twice"),
            (vec!["all=1", "all=1"], "given twice"),
        ] {
            let error = Allowances::parse(texts).unwrap_err().to_string();
            assert!(error.contains(part), "{error}");
        }
    }
}
