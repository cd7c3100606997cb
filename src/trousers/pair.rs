//! Front and back.

use schemars::JsonSchema;
use serde::Serialize;

/// Which part of the trousers a piece is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Part {
    /// The front leg.
    Front,
    /// The back leg.
    Back,
}

impl Part {
    /// Both, front first.
    pub const ALL: [Part; 2] = [Part::Front, Part::Back];

    /// The word used in the trade.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Part::Front => "front",
            Part::Back => "back",
        }
    }

    /// The other one.
    #[must_use]
    pub fn other(self) -> Part {
        match self {
            Part::Front => Part::Back,
            Part::Back => Part::Front,
        }
    }
}

/// What there is of the front and of the back alike.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, JsonSchema)]
pub struct Pair<T> {
    /// The front.
    pub front: T,
    /// The back.
    pub back: T,
}

impl<T> Pair<T> {
    /// The value for one part.
    pub fn of(&self, part: Part) -> &T {
        match part {
            Part::Front => &self.front,
            Part::Back => &self.back,
        }
    }

    /// The value for one part, for changing it.
    pub fn of_mut(&mut self, part: Part) -> &mut T {
        match part {
            Part::Front => &mut self.front,
            Part::Back => &mut self.back,
        }
    }

    /// References to both values.
    pub fn as_ref(&self) -> Pair<&T> {
        Pair { front: &self.front, back: &self.back }
    }

    /// Applies a function to each value, front first.
    pub fn map<U>(self, mut of: impl FnMut(T) -> U) -> Pair<U> {
        Pair { front: of(self.front), back: of(self.back) }
    }

    /// Combines each value with the corresponding one of another pair.
    pub fn zip<U>(self, other: Pair<U>) -> Pair<(T, U)> {
        Pair { front: (self.front, other.front), back: (self.back, other.back) }
    }

    /// Both, front first.
    pub fn both(self) -> [T; 2] {
        [self.front, self.back]
    }

    /// References to both values, front first.
    pub fn iter(&self) -> impl Iterator<Item = &T> {
        [&self.front, &self.back].into_iter()
    }
}

impl<T, E> Pair<Result<T, E>> {
    /// Both values, or the first error.
    pub fn transpose(self) -> Result<Pair<T>, E> {
        Ok(Pair { front: self.front?, back: self.back? })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn front_stays_front() {
        let mut pair = Pair { front: 1, back: 2 };
        assert_eq!(Part::ALL.map(|part| *pair.of(part)), [1, 2]);
        *pair.of_mut(Part::Back) += 5;
        let both = pair.map(|n| n * 10).zip(pair).map(|(a, b)| a + b);
        assert_eq!((both.both(), both.iter().sum::<i32>()), ([11, 77], 88));
        let one_fails = Pair { front: Ok(3), back: Err("no back") };
        assert_eq!((one_fails.transpose(), Part::Front.other()), (Err("no back"), Part::Back));
    }
}
