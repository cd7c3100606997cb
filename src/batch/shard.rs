//! Decides which orders a machine takes.

use std::fmt;
use std::str::FromStr;

/// One of several equal parts of a batch, such as `2/4`.
///
/// The orders, sorted by name, are dealt out one by one, so the parts depend on the list alone, and not on which of them have
/// run or where. A hash of the name would divide long lists as well, but short lists unevenly.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Shard {
    /// The number of this part, counted from 1.
    number: usize,
    /// How many parts there are.
    of: usize,
}

/// The error for a text that does not name a shard.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error(
    "'{}' is no shard: write which and of how many, counted from 1, such as 2/4",
    crate::job::diagnostic::escaped(.0)
)]
pub struct ShardError(String);

impl Shard {
    /// All shards of a batch that is divided into this many parts.
    pub fn all(of: usize) -> impl Iterator<Item = Shard> {
        (1..=of).map(move |number| Shard { number, of })
    }

    /// How many parts there are.
    #[must_use]
    pub fn of(self) -> usize {
        self.of
    }

    /// Whether this shard takes the order at that position, counted from 0.
    #[must_use]
    pub fn takes(self, position: usize) -> bool {
        position % self.of == self.number - 1
    }

    /// The shard as part of a summary's file name, such as `2-of-4`.
    #[must_use]
    pub fn file_part(self) -> String {
        format!("{}-of-{}", self.number, self.of)
    }

    /// The shard that is named by part of a file name.
    #[must_use]
    pub fn from_file_part(part: &str) -> Option<Shard> {
        let (number, of) = part.split_once("-of-")?;
        let shard: Shard = format!("{number}/{of}").parse().ok()?;
        // Another way of writing the numbers, such as "02-of-4", is not accepted, since no shard writes it.
        (shard.file_part() == part).then_some(shard)
    }
}

impl FromStr for Shard {
    type Err = ShardError;
    fn from_str(text: &str) -> Result<Self, ShardError> {
        let read = || {
            let (number, of) = text.trim().split_once('/')?;
            let shard = Shard { number: number.parse().ok()?, of: of.parse().ok()? };
            (1..=shard.of).contains(&shard.number).then_some(shard)
        };
        read().ok_or_else(|| ShardError(text.to_owned()))
    }
}

impl fmt::Display for Shard {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}/{}", self.number, self.of)
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;

    #[test]
    fn every_order_is_in_one_shard() {
        for of in 1..9 {
            for position in 0..30 {
                assert_eq!(Shard::all(of).filter(|s| s.takes(position)).count(), 1);
            }
        }
    }

    #[test]
    fn shards_are_read_and_nothing_else() {
        let shard: Shard = "2/4".parse().unwrap();
        assert_eq!((shard.to_string(), shard.file_part()), ("2/4".to_owned(), "2-of-4".to_owned()));
        assert_eq!(Shard::from_file_part("2-of-4"), Some(shard));
        for text in ["0/4", "5/4", "1/0", "1", "a/b", "-1/4", "1/4/2", "", "1/"] {
            assert!(text.parse::<Shard>().is_err(), "{text}");
        }
        for part in ["02-of-4", "5-of-4", "1-of-", "x"] {
            assert_eq!(Shard::from_file_part(part), None, "{part}");
        }
    }
}
