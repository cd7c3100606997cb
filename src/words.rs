//! Words: enums that are words in the interface, where one list gives the variants, their text, reading and writing; and
//! texts from elsewhere, made fit to be shown.

use std::borrow::Cow;

/// Text that is none of the words an enum knows.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("{what} '{}' is not known; there are {known}", escaped(.read))]
pub struct UnknownWord {
    /// What was to be read, such as `seam`.
    pub what: &'static str,
    /// The text that was read.
    pub read: String,
    /// The words there are, with commas.
    pub known: String,
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
            /// Every one of them, in the order of the interface.
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
            /// Reads the word without regard to case or blanks around it; the error lists the words there are.
            fn from_str(text: &str) -> Result<Self, Self::Err> {
                let word = text.trim();
                $name::ALL.iter().copied().find(|one| one.as_str().eq_ignore_ascii_case(word)).ok_or_else(|| {
                    let known: Vec<&str> = $name::ALL.iter().map(|one| one.as_str()).collect();
                    crate::words::UnknownWord { what: $what, read: word.to_owned(), known: known.join(", ") }
                })
            }
        }
    };
}

/// The text with every character that could steer a terminal, hide itself or turn the reading direction written
/// out, as in `\u{1b}`.
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

/// Whether a terminal would do something else with the character than show it.
pub fn steers(c: char) -> bool {
    c.is_control()
        || matches!(c, '\u{ad}' | '\u{61c}' | '\u{200b}'..='\u{200f}' | '\u{2028}'..='\u{202e}' | '\u{2060}'..='\u{206f}'
            | '\u{feff}' | '\u{fff9}'..='\u{fffb}' | '\u{e0000}'..='\u{e007f}')
}
