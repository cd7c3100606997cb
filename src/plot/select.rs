//! Selects the pieces of a size for printing.

use super::PlotError;
use crate::finding::{Finding, FindingId};
use crate::pattern::{LayerUse, Pattern, Piece, SizeName};
use std::collections::HashSet;

/// The pieces to print.
#[derive(Clone, Debug)]
pub struct Selection<'a> {
    /// The pieces in the order of the drawing.
    pub pieces: Vec<&'a Piece>,
    /// What was left out, or taken along with every size.
    pub findings: Vec<Finding>,
}

/// Selects the pieces of the given sizes, or those among them with the given name. A piece without a size belongs to every
/// size. Names are compared without regard to case.
pub fn select<'a>(
    pattern: &'a Pattern,
    sizes: &[&str],
    name: Option<&str>,
) -> Result<Selection<'a>, PlotError> {
    let wanted: Vec<SizeName> = sizes.iter().copied().map(SizeName::from).collect();
    let has_outline =
        |p: &Piece| p.paths.iter().any(|p| matches!(p.layer_use, LayerUse::Cut | LayerUse::Sew));
    let (pieces, without): (Vec<&Piece>, Vec<&Piece>) = pattern.pieces.iter().partition(|p| has_outline(p));
    let there = |size: &SizeName| pieces.iter().any(|p| p.size.as_ref() == Some(size));
    if let Some(size) = wanted.iter().find(|size| !there(size)) {
        return Err(PlotError::UnknownSize {
            size: size.to_string(),
            known: self::sizes(pattern).into_iter().map(str::to_owned).collect(),
        });
    }
    let of_size_or_none = |p: &Piece| p.size.as_ref().is_none_or(|s| wanted.contains(s));
    let of_size: Vec<&Piece> = pieces.into_iter().filter(|p| of_size_or_none(p)).collect();
    let same = |p: &Piece, name: &str| p.name.trim().to_lowercase() == name.trim().to_lowercase();
    let pieces: Vec<&Piece> = match name {
        Some(name) => of_size.iter().copied().filter(|p| same(p, name)).collect(),
        None => of_size.clone(),
    };
    if let (true, Some(name)) = (pieces.is_empty(), name) {
        return Err(PlotError::UnknownPiece {
            size: sizes.join(", "),
            piece: name.to_owned(),
            known: of_size.iter().map(|p| p.name.clone()).collect(),
        });
    }
    let of_every_size = pieces.iter().filter(|p| p.size.is_none()).map(|p| {
        Finding::note(FindingId::ReadAs, "the piece says no size; it is printed with every size").about(p)
    });
    // A block of texts alone is no piece; one that says a size is meant as one.
    let asked = |p: &&&Piece| p.size.is_some() && of_size_or_none(p) && name.is_none_or(|name| same(p, name));
    let left_out = without.iter().filter(asked).map(|p| {
        let message = "the piece has no line on the cut or sew line layer, so it is not printed; name its layers under [layers] in \
                       the job file";
        Finding::warning(FindingId::ReadAs, message).about(p)
    });
    let findings = of_every_size.chain(left_out).collect();
    Ok(Selection { pieces, findings })
}

/// The sizes of a drawing's pieces, each once, in the order of the drawing.
#[must_use]
pub fn sizes(pattern: &Pattern) -> Vec<&str> {
    let mut seen = HashSet::new();
    let sizes = pattern.pieces.iter().filter_map(|p| p.size.as_ref()).map(SizeName::as_str);
    sizes.filter(|s| seen.insert(*s)).collect()
}
