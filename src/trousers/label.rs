//! Texts in a drawing that name a seam or a part.

use super::SeamRole;
use std::collections::BTreeMap;

words! {
    /// What a text names.
    LabelKey, "label":
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
    /// The front leg.
    Front = "front",
    /// The back leg.
    Back = "back",
    /// The yoke, whose centre edge counts as part of the back rise.
    Yoke = "yoke",
    /// A separate waistband.
    Waistband = "waistband",
    /// A lining, which is sewn behind a leg and may have its shape.
    Lining = "lining",
    /// A gusset, over which the crotch length runs between the forks.
    Gusset = "gusset",
    /// The line along which a casing or a hem is turned in.
    Fold = "fold",
}

impl LabelKey {
    /// The seam it names, if it names a seam.
    #[must_use]
    pub fn seam(self) -> Option<SeamRole> {
        match self {
            LabelKey::Waist => Some(SeamRole::Waist),
            LabelKey::Crotch => Some(SeamRole::Crotch),
            LabelKey::Inseam => Some(SeamRole::Inseam),
            LabelKey::Hem => Some(SeamRole::Hem),
            LabelKey::Outseam => Some(SeamRole::Outseam),
            LabelKey::Front
            | LabelKey::Back
            | LabelKey::Yoke
            | LabelKey::Waistband
            | LabelKey::Lining
            | LabelKey::Gusset
            | LabelKey::Fold => None,
        }
    }

    /// The texts that are searched for if a job file gives none. Common practice, no source.
    #[must_use]
    pub fn usual(self) -> &'static [&'static str] {
        match self {
            LabelKey::Waist => &["WAIST"],
            LabelKey::Crotch => &["CROTCH", "RISE"],
            LabelKey::Inseam => &["INSEAM", "INSIDE LEG"],
            LabelKey::Hem => &["HEM"],
            LabelKey::Outseam => &["OUTSEAM", "SIDE SEAM", "OUTSIDE LEG"],
            LabelKey::Front => &["FRONT", "FT", "FRT"],
            LabelKey::Back => &["BACK", "BK"],
            LabelKey::Yoke => &["YOKE"],
            LabelKey::Waistband => &["WAISTBAND", "WB"],
            LabelKey::Lining => &["LINING", "INTERFACING"],
            LabelKey::Gusset => &["GUSSET"],
            LabelKey::Fold => &["FOLD", "FOLD LINE"],
        }
    }
}

/// The texts that name a seam or a part, compared without regard to case. No text may stand under two keys.
pub type LabelTexts = BTreeMap<LabelKey, Vec<String>>;

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_seam_can_be_named() {
        let seams: Vec<SeamRole> = LabelKey::ALL.iter().filter_map(|key| key.seam()).collect();
        assert_eq!(seams, SeamRole::ALL);
        assert_eq!(LabelKey::Front.seam(), None);
    }
}
