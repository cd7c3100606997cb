//! Words for the garment.

/// Words that stand for trousers in a style, category or piece name.
const WORDS: [&str; 11] = [
    "trouser", "pants", "pant", "jean", "shorts", "breeches", "overall", "legging", "crotch", "inseam",
    "hose",
];

/// Whether a text says that something is of trousers.
#[must_use]
pub fn says_trousers(text: &str) -> bool {
    let text = text.to_lowercase();
    WORDS.iter().any(|w| text.contains(w))
}
