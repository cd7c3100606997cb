//! The name of a size, as a drawing or a table writes it.

use serde::{Deserialize, Serialize};
use std::cmp::Ordering;
use std::fmt;
use std::hash::{Hash, Hasher};

/// The name of a size: `38`, `M`, `38 long`.
///
/// It is kept as written but compared without regard to blanks and case: `38 Long` and `38LONG` are the same size. Leading zeros
/// count, because `04` and `4` do occur as two sizes of one range.
///
/// ```
/// use truerise::SizeName;
/// assert_eq!(SizeName::new("38 Long"), SizeName::new("38LONG"));
/// assert_ne!(SizeName::new("04"), SizeName::new("4"));
/// ```
#[derive(Clone, Debug, Serialize, Deserialize)]
#[serde(from = "String", into = "String")]
pub struct SizeName {
    written: String,
    key: String,
}

impl SizeName {
    /// The size of that name.
    pub fn new(written: impl Into<String>) -> Self {
        let written = written.into();
        let key = written.chars().filter(|c| !c.is_whitespace()).flat_map(char::to_lowercase).collect();
        SizeName { written, key }
    }

    /// The name as it was written.
    #[must_use]
    pub fn as_str(&self) -> &str {
        &self.written
    }

    /// Whether the name is empty or consists of blanks.
    #[must_use]
    pub fn is_blank(&self) -> bool {
        self.key.is_empty()
    }
}

impl From<String> for SizeName {
    fn from(written: String) -> Self {
        SizeName::new(written)
    }
}
impl From<&str> for SizeName {
    fn from(written: &str) -> Self {
        SizeName::new(written)
    }
}
impl From<SizeName> for String {
    fn from(size: SizeName) -> Self {
        size.written
    }
}
impl fmt::Display for SizeName {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(&self.written)
    }
}
impl PartialEq for SizeName {
    fn eq(&self, other: &Self) -> bool {
        self.key == other.key
    }
}
impl Eq for SizeName {}
impl PartialOrd for SizeName {
    fn partial_cmp(&self, other: &Self) -> Option<Ordering> {
        Some(self.cmp(other))
    }
}
impl Ord for SizeName {
    fn cmp(&self, other: &Self) -> Ordering {
        self.key.cmp(&other.key)
    }
}
impl Hash for SizeName {
    fn hash<H: Hasher>(&self, state: &mut H) {
        self.key.hash(state);
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;
    use std::collections::HashSet;

    #[test]
    fn blanks_and_case_do_not_make_another_size() {
        let one = SizeName::new("38 Long");
        assert_eq!(one, SizeName::new(" 38long "));
        assert_eq!(one.cmp(&SizeName::new("38LONG")), Ordering::Equal);
        assert_eq!(HashSet::from([one, SizeName::new("38LONG")]).len(), 1);
        assert_ne!(SizeName::new("4"), SizeName::new("04"));
    }

    #[test]
    fn the_name_stays_as_written() {
        let size = SizeName::new("38 Long");
        assert_eq!(size.to_string(), "38 Long");
        let json = serde_json::to_string(&size).unwrap();
        assert_eq!(json, "\"38 Long\"");
        assert_eq!(serde_json::from_str::<SizeName>(&json).unwrap().as_str(), "38 Long");
        assert!(SizeName::new(" \t").is_blank());
    }
}
