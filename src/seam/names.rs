//! Reading names: which part of the trousers a piece is, and which seam a text stands for.

use super::{SeamRole, Size};
use crate::pattern::Piece;
use crate::trousers::{LabelKey, LabelTexts, Part};

/// The part that a piece's name states, found by the words for front and back.
pub(super) fn part(name: &str, labels: &LabelTexts) -> Option<Part> {
    match (says(name, LabelKey::Front, labels), says(name, LabelKey::Back, labels)) {
        (true, false) => Some(Part::Front),
        (false, true) => Some(Part::Back),
        _ => None,
    }
}

/// Whether a piece's name contains one of the words for `key`. A word of up to three letters has to stand by itself; a longer one
/// may be part of a compound.
pub(super) fn says(name: &str, key: LabelKey, labels: &LabelTexts) -> bool {
    let name = name.to_lowercase();
    let tokens: Vec<&str> = name.split(|c: char| !c.is_alphanumeric()).collect();
    labels.get(&key).into_iter().flatten().any(|word| {
        let word = word.to_lowercase();
        let long = word.chars().count() > 3 || !word.is_ascii();
        if long { name.contains(&word) } else { tokens.contains(&word.as_str()) }
    })
}

/// A piece's name without the name of its size, which it may contain: the same for a piece in every size.
pub(super) fn without_size(name: &str, size: &Size<'_>) -> String {
    name.to_lowercase().replace(&size.name.as_str().to_lowercase(), "")
}

/// Whether a piece is a yoke that is sewn to this part: to the back, unless its name says front.
pub(super) fn is_yoke_of(piece: &Piece, part: Part, labels: &LabelTexts) -> bool {
    let front = says(&piece.name, LabelKey::Front, labels);
    says(&piece.name, LabelKey::Yoke, labels) && front == (part == Part::Front)
}

/// Whether a text is one of the words for a seam, case aside.
pub(super) fn is_seam(text: &str, role: SeamRole, labels: &LabelTexts) -> bool {
    let key = LabelKey::ALL.iter().find(|key| key.seam() == Some(role));
    key.is_some_and(|&key| is_label(text, key, labels))
}

/// Whether a text is one of the words for this, case aside.
pub(super) fn is_label(text: &str, key: LabelKey, labels: &LabelTexts) -> bool {
    let text = text.trim().to_lowercase();
    labels.get(&key).into_iter().flatten().any(|word| word.to_lowercase() == text)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Words of up to three letters occur by accident inside other words ("WB" in "JAWBONE"), so they have to stand alone. Longer
    /// words may be parts of compounds ("YOKE" in "BACKYOKE"). Scripts that do not separate words have no whole words to look
    /// for.
    #[test]
    fn short_words_stand_by_themselves() {
        let words = |list: &[&str]| {
            LabelTexts::from([(LabelKey::Back, list.iter().map(|&w| w.to_owned()).collect())])
        };
        let back = |name: &str, word: &str| says(name, LabelKey::Back, &words(&[word]));
        for (name, word, says) in [
            ("Left-bk 2", "BK", true),
            ("BKR", "BK", false),
            ("ABK", "BK", false),
            ("HIND", "HND", false),
            ("HND_1", "hnd", true),
            ("BHNDER", "HND", false),
            ("LEFTBACKS", "Back", true),
            ("LEFT BAC", "BACK", false),
            ("\u{e9}l\u{f6}l", "\u{f6}", true),
        ] {
            assert_eq!(back(name, word), says, "{word} in {name}");
        }
        assert!(says("x bk", LabelKey::Back, &words(&["HIND", "BK"])));
        assert!(!says("x bk", LabelKey::Front, &words(&["BK"])));
        assert_eq!([Part::Front.word(), Part::Back.word()], ["front", "back"]);
    }
}
