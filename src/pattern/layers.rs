//! The uses of layers: the standard's layer numbers, and the names that a job file adds.

words! {
    /// What a layer is used for; the words are the keys of a job file.
    LayerUse, "layer":
    /// The piece boundary, normally the cut line, with the style and piece texts.
    Cut = "cut",
    /// The sew line.
    Sew = "sew",
    /// The grain line.
    Grain = "grain",
    /// The grade reference line and its alternates.
    GradeReference = "grade_reference",
    /// The mirror line of a half piece.
    Mirror = "mirror",
    /// Turn points.
    Turn = "turn",
    /// Curve points.
    Curve = "curve",
    /// Notches of any form.
    Notch = "notch",
    /// Internal lines, cut-outs and drill holes.
    Internal = "internal",
    /// A second drawing of the cut line to validate curves.
    CutValidation = "cut_validation",
    /// A second drawing of the sew line to validate curves.
    SewValidation = "sew_validation",
    /// A waist seam of its own.
    Waist = "waist",
    /// A crotch seam of its own.
    Crotch = "crotch",
    /// An inseam of its own.
    Inseam = "inseam",
    /// A hem of its own.
    Hem = "hem",
    /// An outseam of its own.
    Outseam = "outseam",
    /// The line along which a casing or a hem is turned in.
    Fold = "fold",
}

/// Which layers have which use.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct LayerMap {
    uses: Vec<(String, LayerUse)>,
}

impl Default for LayerMap {
    /// The layer numbers of ASTM D6673 as they are commonly given (from memory), and the seams'
    /// plain names for drawings that put a seam on a layer of its own.
    fn default() -> Self {
        use LayerUse::{
            Crotch, Curve, Cut, CutValidation, Fold, GradeReference, Grain, Hem, Inseam, Internal, Mirror,
            Notch, Outseam, Sew, SewValidation, Turn, Waist,
        };
        let uses = [
            ("1", Cut),
            ("2", Turn),
            ("3", Curve),
            ("4", Notch),
            ("5", GradeReference),
            ("6", Mirror),
            ("7", Grain),
            ("8", Internal),
            ("9", Internal),
            ("10", Internal),
            ("11", Internal),
            ("13", Internal),
            ("14", Sew),
            ("80", Notch),
            ("81", Notch),
            ("82", Notch),
            ("83", Notch),
            ("84", CutValidation),
            ("87", SewValidation),
            ("WAIST", Waist),
            ("CROTCH", Crotch),
            ("INSEAM", Inseam),
            ("HEM", Hem),
            ("OUTSEAM", Outseam),
            ("FOLD", Fold),
        ];
        LayerMap { uses: uses.iter().map(|&(name, u)| (name.to_owned(), u)).collect() }
    }
}

impl LayerUse {
    /// The uses of layers that hold one seam each, in the order in which the seams join.
    pub const SEAMS: [LayerUse; 5] =
        [LayerUse::Waist, LayerUse::Crotch, LayerUse::Inseam, LayerUse::Hem, LayerUse::Outseam];

    /// Whether such a layer holds one seam.
    #[must_use]
    pub fn is_seam(self) -> bool {
        LayerUse::SEAMS.contains(&self)
    }
}

impl LayerMap {
    /// Assigns to a use the layers that a job file names for it; they replace the standard's.
    pub fn set(&mut self, layer_use: LayerUse, names: &[String]) {
        self.uses.retain(|(name, u)| *u != layer_use && !names.iter().any(|n| same(n, name)));
        self.uses.extend(names.iter().map(|n| (n.clone(), layer_use)));
    }

    /// The layers that only a job file names, with their uses.
    pub(super) fn named(&self) -> impl Iterator<Item = (&str, LayerUse)> {
        let usual = LayerMap::default();
        let named = self.uses.iter().filter(move |(name, _)| usual.of(name).is_none());
        named.map(|(name, layer_use)| (name.as_str(), *layer_use))
    }

    /// What a layer is used for, if anything.
    #[must_use]
    pub fn of(&self, layer: &str) -> Option<LayerUse> {
        self.uses.iter().find(|(name, _)| same(name, layer)).map(|&(_, u)| u)
    }
}

fn same(a: &str, b: &str) -> bool {
    a.trim().eq_ignore_ascii_case(b.trim())
}
