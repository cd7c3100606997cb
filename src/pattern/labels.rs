//! The labels of a piece: texts such as `Piece Name: FRONT` and `Size: 38`.

/// The values of a piece's own texts. Keys are compared without regard to case or blanks.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Labels {
    /// `Piece Name:`
    pub name: Option<String>,
    /// `Size:`
    pub size: Option<String>,
    /// `Quantity:`
    pub quantity: Option<String>,
    /// `Category:`
    pub category: Option<String>,
    /// `Material:`
    pub material: Option<String>,
    /// `Annotation:`, one for each text.
    pub annotations: Vec<String>,
}

impl Labels {
    /// Stores the value of a text if it is one of these labels.
    pub fn take(&mut self, text: &str) {
        let Some((key, value)) = split(text) else { return };
        let slot = match key.as_str() {
            "piecename" => &mut self.name,
            "size" => &mut self.size,
            "quantity" => &mut self.quantity,
            "category" => &mut self.category,
            "material" => &mut self.material,
            "annotation" => {
                self.annotations.push(value.to_owned());
                return;
            }
            _ => return,
        };
        // The first one counts: later texts of the same key are usually copies in other places.
        slot.get_or_insert_with(|| value.to_owned());
    }
}

/// Whether each line of a text is one of those by which a drawing says what it is, in the standard's words.
pub(crate) fn is_of_drawing(text: &str) -> bool {
    const KEYS: [&str; 8] = [
        "stylename",
        "creationdate",
        "creationtime",
        "author",
        "samplesize",
        "graderuletable",
        "gradingruletable",
        "units",
    ];
    text.lines().all(|line| split(line).is_some_and(|(key, _)| KEYS.contains(&key.as_str())))
}

/// Splits a text `Key: value` into its key, in lower case without blanks, and its value.
#[must_use]
pub(crate) fn split(text: &str) -> Option<(String, &str)> {
    let (key, value) = text.split_once(':')?;
    let key = key.chars().filter(|c| !c.is_whitespace()).flat_map(char::to_lowercase).collect();
    Some((key, value.trim()))
}
