//! The seams of a trouser leg.

words! {
    /// Which seam of a trouser leg an edge belongs to.
    SeamRole, "seam":
    /// The upper edge, where the waistband is sewn on.
    Waist = "waist",
    /// From the waist to the fork; front and back crotch seam together make the crotch length.
    Crotch = "crotch",
    /// The inside leg seam, from the fork to the hem.
    Inseam = "inseam",
    /// The lower edge of the leg.
    Hem = "hem",
    /// The outside leg seam, from the waist to the hem.
    Outseam = "outseam",
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;

    #[test]
    fn a_seam_is_read_as_it_is_written() {
        for &role in SeamRole::ALL {
            assert_eq!(role.to_string().parse(), Ok(role));
            assert_eq!(serde_json::to_string(&role).unwrap(), format!("\"{role}\""));
        }
        assert_eq!(" Inseam ".parse(), Ok(SeamRole::Inseam));
        let error = "side".parse::<SeamRole>().unwrap_err().to_string();
        assert_eq!(error, "seam 'side' is not known; there are waist, crotch, inseam, hem, outseam");
    }
}
