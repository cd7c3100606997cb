//! Pieces with an edge that lay on a redrawn one: forgotten, they no longer fit at the sewing machine.

use super::size::Altered;
use crate::alter::hanging::{Hanging, Redrawing};
use crate::finding::{Finding, FindingId};
use crate::pattern::{LayerUse, Pattern, Piece};
use crate::seam::Size;
use kurbo::Point;
use std::collections::HashSet;

/// A warning for every other piece of the size, or of all sizes, with an edge that lay on a redrawn line of these legs and is off it now.
pub(super) fn look(pattern: &Pattern, size: &Size<'_>, altered: &[&Altered<'_>]) -> Vec<Finding> {
    let legs = size.front.iter().chain(&size.back).map(|on| on.piece.block);
    let ours: HashSet<usize> = legs.chain(size.yokes.iter().map(|y| y.piece.block)).collect();
    let others = pattern.pieces.iter().filter(|p| !ours.contains(&p.block));
    let others: Vec<&Piece> =
        others.filter(|p| p.size.as_ref().is_none_or(|own| *own == size.name)).collect();
    if others.is_empty() {
        return Vec::new();
    }
    let lines: Vec<(&str, Redrawing)> = altered.iter().flat_map(|a| lines(a)).collect();
    let of_piece = |piece: &&Piece| -> Option<Finding> {
        let edges = [LayerUse::Sew, LayerUse::Cut].into_iter().filter_map(|u| piece.outline(u));
        let found = edges
            .flat_map(|edge| lines.iter().filter_map(|(leg, line)| Some((*leg, line.leaves(&edge.points)?))));
        let (leg, found) = found.max_by(|a, b| a.1.length.total_cmp(&b.1.length))?;
        Some(finding(piece, leg, &found))
    };
    others.iter().filter_map(of_piece).collect()
}

/// The redrawn outlines of a leg, with its piece's name.
fn lines<'s>(altered: &Altered<'s>) -> Vec<(&'s str, Redrawing)> {
    let piece = altered.on().piece;
    let outline = |u| piece.outline(u);
    let outlines: Vec<_> = [LayerUse::Sew, LayerUse::Cut].into_iter().filter_map(outline).collect();
    let of = |r: &crate::alter::Redrawn| {
        let path = &piece.paths[r.path];
        if !outlines.iter().any(|o| std::ptr::eq(*o, path)) {
            return None;
        }
        let new: Vec<Point> = path.points.iter().zip(&r.moves).map(|(p, v)| *p + *v).collect();
        Some((piece.name.as_str(), Redrawing::new(&path.points, &new)?))
    };
    altered.change().redrawn.iter().filter_map(of).collect()
}

fn finding(piece: &Piece, leg: &str, found: &Hanging) -> Finding {
    let message = format!(
        "an edge of this piece ran along {leg}, over {:.0} mm of what was redrawn, and is off it now by up to {:.1} mm: lay the piece on the \
         altered leg and trace the edge again, notches too",
        found.length, found.off
    );
    Finding::warning(FindingId::PieceToFollow, message).piece(&piece.name).at(piece.drawn(found.at))
}
