//! Enums whose variants are words of the interface: one list gives the variants, their texts, and how they are read and written.
//! Also functions that make texts from elsewhere safe to show.

use std::borrow::Cow;
use std::cmp::Ordering;

/// The error for a text that is none of the words of an enum.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("{what} '{}' is not known; {}there are {known}", escaped(.read), did_you_mean(.meant.as_deref()))]
pub struct UnknownWord {
    /// What the word should name, such as `seam`.
    pub what: &'static str,
    /// The text that was read.
    pub read: String,
    /// The word that was probably meant, if there is one.
    pub meant: Option<String>,
    /// The known words, separated by commas.
    pub known: String,
}

impl UnknownWord {
    /// The error for this text, which is none of these words.
    pub(crate) fn new(what: &'static str, read: &str, words: &[&str]) -> Self {
        let meant = closest(read, words.iter().copied()).map(ToOwned::to_owned);
        UnknownWord { what, read: read.to_owned(), meant, known: words.join(", ") }
    }

    /// The remedy, for a message.
    pub(crate) fn help(&self) -> String {
        format!("{}write one of {}", did_you_mean(self.meant.as_deref()), self.known)
    }
}

/// Declares an enum whose variants are words of the interface, read without regard to case.
macro_rules! words {
    ($(#[$doc:meta])* $name:ident, $what:literal: $($(#[$variant_doc:meta])* $variant:ident = $text:literal,)*) => {
        $(#[$doc])*
        #[derive(
            Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, serde::Serialize, serde::Deserialize, schemars::JsonSchema,
        )]
        pub enum $name { $($(#[$variant_doc])* #[serde(rename = $text)] $variant,)* }

        impl $name {
            /// All variants, in the order in which the interface lists them.
            pub const ALL: &'static [$name] = &[$($name::$variant,)*];

            /// The word, as people and reports write it.
            #[must_use]
            pub fn as_str(self) -> &'static str {
                match self { $($name::$variant => $text,)* }
            }
        }

        impl std::fmt::Display for $name {
            fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
                f.pad(self.as_str())
            }
        }

        impl std::str::FromStr for $name {
            type Err = crate::words::UnknownWord;
            /// Reads the word without regard to case or surrounding blanks; the error lists the known words.
            fn from_str(text: &str) -> Result<Self, Self::Err> {
                let word = text.trim();
                $name::ALL.iter().copied().find(|one| one.as_str().eq_ignore_ascii_case(word)).ok_or_else(|| {
                    let known: Vec<&str> = $name::ALL.iter().map(|one| one.as_str()).collect();
                    crate::words::UnknownWord::new($what, word, &known)
                })
            }
        }
    };
}

/// The question "did you mean …?" for messages, followed by a blank; empty if there is no word.
pub(crate) fn did_you_mean(meant: Option<&str>) -> String {
    meant.map_or_else(String::new, |word| format!("did you mean '{}'? ", escaped(word)))
}

/// [`did_you_mean`] with the [`closest`] of the known texts.
pub(crate) fn perhaps<'k>(read: &str, known: impl IntoIterator<Item = &'k str>) -> String {
    did_you_mean(closest(read, known))
}

/// The known text that was probably meant by an unknown one. First comes a text that differs only in case, blanks and dashes.
/// Otherwise it is the one with the fewest typing errors (a letter too many, missing or wrong, or two swapped), of which there
/// may be one for every three letters. Otherwise it is the only text of which the unknown one is a part. If several are equally
/// near, there is none: for size 39, 38 or 40 would be a guess.
pub(crate) fn closest<'k>(read: &str, known: impl IntoIterator<Item = &'k str>) -> Option<&'k str> {
    /// The longest text for which typing errors are considered. The cost of comparing is the product of the lengths.
    const LONGEST: usize = 64;
    /// The least number of letters at which a part of a word shows which word is meant.
    const PART: usize = 3;
    let bare = |text: &str| -> String {
        text.chars().filter(|c| c.is_alphanumeric() || *c == '.').flat_map(char::to_lowercase).collect()
    };
    let read = bare(read);
    let letters = read.chars().count();
    if !(1..=LONGEST).contains(&letters) {
        return None;
    }
    let mut known: Vec<(String, &str)> = known.into_iter().map(|one| (bare(one), one)).collect();
    known.sort();
    known.dedup();
    let only = |mut near: Vec<&'k str>| near.pop().filter(|_| near.is_empty());
    let of_distance = |distance: usize| {
        let near = |(one, _): &&(String, &str)| {
            one.chars().count().abs_diff(letters) <= distance && strsim::osa_distance(one, &read) == distance
        };
        known.iter().filter(near).map(|(_, text)| *text).collect::<Vec<_>>()
    };
    let most = (letters / 3).max(1);
    for distance in 0..=most {
        let near = of_distance(distance);
        if !near.is_empty() {
            return only(near);
        }
    }
    let part = |(one, _): &&(String, &str)| letters >= PART && one.contains(&read);
    only(known.iter().filter(part).map(|(_, text)| *text).collect())
}

/// A list of the known texts for messages: each text once, separated by commas. If there are very many, only the first ones and
/// the number of the others.
pub(crate) fn listed<'k>(known: impl IntoIterator<Item = &'k str>) -> String {
    const MOST: usize = 40;
    let mut seen = std::collections::HashSet::new();
    let once: Vec<&str> = known.into_iter().filter(|one| seen.insert(*one)).collect();
    let mut shown: Vec<Cow<'_, str>> = once.iter().take(MOST).map(|one| escaped(one)).collect();
    if shown.is_empty() {
        return "none".to_owned();
    }
    if once.len() > MOST {
        shown.push(format!("and {} more", once.len() - MOST).into());
    }
    shown.join(", ")
}

/// A count with its noun.
pub(crate) fn counted(n: usize, one: &str, many: &str) -> String {
    if n == 1 { format!("1 {one}") } else { format!("{n} {many}") }
}

/// The order of names in which numbers within them count as numbers: `A2` comes before `A10`. Names that differ only in leading
/// zeros are in the order of their letters, so that no two different names are equal.
pub(crate) fn natural_order(a: &str, b: &str) -> Ordering {
    let (mut x, mut y) = (a, b);
    while let (Some(c), Some(d)) = (x.chars().next(), y.chars().next()) {
        let (number, other) = (number_at_start(x), number_at_start(y));
        let order = if number.is_empty() || other.is_empty() {
            (x, y) = (&x[c.len_utf8()..], &y[d.len_utf8()..]);
            c.cmp(&d)
        } else {
            (x, y) = (&x[number.len()..], &y[other.len()..]);
            // Without leading zeros, the longer number is the larger one; names have numbers that no integer type holds.
            let [number, other] = [number, other].map(|n| n.trim_start_matches('0'));
            number.len().cmp(&other.len()).then_with(|| number.cmp(other))
        };
        if order != Ordering::Equal {
            return order;
        }
    }
    x.len().cmp(&y.len()).then_with(|| a.cmp(b))
}

fn number_at_start(text: &str) -> &str {
    &text[..text.find(|c: char| !c.is_ascii_digit()).unwrap_or(text.len())]
}

/// The text in which every character that could control a terminal, is invisible or changes the reading direction is written out,
/// as in `\u{1b}`.
#[must_use]
pub fn escaped(text: &str) -> Cow<'_, str> {
    if !text.contains(steers) {
        return Cow::Borrowed(text);
    }
    let mut clean = String::with_capacity(text.len() + 8);
    for c in text.chars() {
        if steers(c) {
            clean.extend(c.escape_default());
        } else {
            clean.push(c);
        }
    }
    Cow::Owned(clean)
}

/// Whether a character is invisible or makes a terminal do something other than show it.
pub fn steers(c: char) -> bool {
    c.is_control()
        || matches!(c, '\u{ad}' | '\u{61c}' | '\u{200b}'..='\u{200f}' | '\u{2028}'..='\u{202e}' | '\u{2060}'..='\u{206f}'
            | '\u{feff}' | '\u{fff9}'..='\u{fffb}' | '\u{e0000}'..='\u{e007f}')
}

#[cfg(test)]
mod tests {
    use super::{closest, counted, natural_order};
    use std::cmp::Ordering;

    #[test]
    fn one_is_not_many() {
        let vertices = |n| counted(n, "vertex", "vertices");
        assert_eq!([0, 1, 2].map(vertices), ["0 vertices", "1 vertex", "2 vertices"]);
    }

    #[test]
    fn numbers_in_names_count_as_numbers() {
        let sorted =
            ["", "A", "A1", "A01", "A2", "A2b", "A10", "A10 left", "B", "a1", "9999999999999999999999", "Ä1"];
        let mut names = sorted;
        names.reverse();
        names.sort_by(|a, b| natural_order(a, b));
        let digits_first =
            ["", "9999999999999999999999", "A", "A01", "A1", "A2", "A2b", "A10", "A10 left", "B", "a1", "Ä1"];
        assert_eq!(names, digits_first);
        for a in sorted {
            for b in sorted {
                assert_eq!(natural_order(a, b), natural_order(b, a).reverse());
                assert_eq!(natural_order(a, b) == Ordering::Equal, a == b);
            }
        }
    }

    #[test]
    fn what_was_probably_meant_is_found_where_it_is_one() {
        let columns = ["size", "crotch_length", "change", "front_share", "ease", "waistband", "note"];
        let sizes = ["34", "36", "38", "38 Long", "40"];
        for (known, read, expected) in [
            (&columns[..], "chance", Some("change")),
            (&columns, "Crotch Length", Some("crotch_length")),
            (&columns, "crotchlenght", Some("crotch_length")),
            (&columns, "crotch", Some("crotch_length")),
            (&columns, "share", Some("front_share")),
            (&columns, "waist band", Some("waistband")),
            (&columns, "hip", None),
            (&columns, "e", None),
            (&columns, "", None),
            (&sizes, "83", Some("38")),
            (&sizes, "38long", Some("38 Long")),
            (&sizes, "38-L0ng", Some("38 Long")),
            // Equally near to 36 and 38, so there is none.
            (&sizes, "39", None),
            (&sizes, "99", None),
            (&["FRONT", "BACK"], "FRNT", Some("FRONT")),
            (&["FRONT", "BACK"], "Bakc", Some("BACK")),
            (&["FRONT-L", "FRONT-R"], "FRONT", None),
        ] {
            assert_eq!(closest(read, known.iter().copied()), expected, "{read}");
        }
        let long = "x".repeat(100_000);
        assert_eq!(closest(&long, [long.as_str()]), None);
    }
}
