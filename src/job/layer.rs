//! Which layer of a drawing holds what.

use std::collections::BTreeMap;

words! {
    /// What a layer holds. Seams come first: a seam may have a layer of its own.
    LayerKey, "layer":
    /// The waist seam.
    Waist = "waist",
    /// The crotch seam.
    Crotch = "crotch",
    /// The inseam.
    Inseam = "inseam",
    /// The hem.
    Hem = "hem",
    /// The outseam.
    Outseam = "outseam",
    /// The piece boundary, normally the cut line.
    Cut = "cut",
    /// The sew line.
    Sew = "sew",
    /// The grain line.
    Grain = "grain",
    /// Notches of every shape.
    Notch = "notch",
    /// Turn points.
    Turn = "turn",
    /// Curve points.
    Curve = "curve",
    /// The line that a half piece is mirrored at.
    Mirror = "mirror",
    /// Internal lines, drawn and not cut.
    Internal = "internal",
    /// Internal cutouts.
    Cutout = "cutout",
    /// Drill holes.
    Drill = "drill",
    /// Grade reference lines.
    GradeReference = "grade_reference",
    /// Stripe references.
    Stripe = "stripe",
    /// Plaid references.
    Plaid = "plaid",
    /// Annotation text.
    Annotation = "annotation",
    /// Validation curves of other layers.
    Validation = "validation",
}

impl LayerKey {
    /// The layers of the standard (ASTM D6673). From memory, several recollections agreeing, except that layers 8, 11
    /// and 14 are internal lines, cutouts and sew lines, which was read in its text. Seams have none.
    #[must_use]
    pub fn standard(self) -> &'static [&'static str] {
        match self {
            LayerKey::Waist | LayerKey::Crotch | LayerKey::Inseam | LayerKey::Hem | LayerKey::Outseam => &[],
            LayerKey::Cut => &["1"],
            LayerKey::Sew => &["14"],
            LayerKey::Grain => &["7"],
            LayerKey::Notch => &["4", "80", "81", "82", "83"],
            LayerKey::Turn => &["2"],
            LayerKey::Curve => &["3"],
            LayerKey::Mirror => &["6"],
            LayerKey::Internal => &["8"],
            LayerKey::Cutout => &["11"],
            LayerKey::Drill => &["13"],
            LayerKey::GradeReference => &["5"],
            LayerKey::Stripe => &["9"],
            LayerKey::Plaid => &["10"],
            LayerKey::Annotation => &["15"],
            LayerKey::Validation => &["84", "85", "86", "87"],
        }
    }
}

/// The layers of everything; no layer stands under two keys.
pub type Layers = BTreeMap<LayerKey, Vec<String>>;

/// The standard's layers with those given in the place of the key's own. A standard layer that is given
/// for something else holds that and no longer what the standard says.
pub(super) fn with_defaults(given: Layers) -> Layers {
    super::job_file::with_defaults(given, LayerKey::ALL, LayerKey::standard)
}
