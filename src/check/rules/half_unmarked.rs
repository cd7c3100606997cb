//! # What it finds
//! A half piece that is not marked as such, or whose mirror line does not lie on its edge.
//! # Why it matters on the cutting table
//! Only half of the piece is cut, or it is unfolded at the wrong edge.
//! # How it is measured
//! A piece has to have a mirror line (layer 6) if its texts say that it is cut on the fold, or if it has a mirror line in
//! other sizes. Both ends and the middle of a mirror line have to lie on the outline. Each half piece is noted.
//! # Tolerance
//! `mirror`, 1 mm.
//! # Where the tolerance comes from
//! As for notches: rounding, and chords in place of curves (common practice, no source).

use super::{Look, Rule};
use crate::check::sheet::{Nest, Sheet, boundary};
use crate::finding::{Finding, FindingId};
use crate::geometry::line;
use crate::pattern::{LayerUse, Path, Piece};

/// The check.
pub const RULE: Rule = Rule {
    name: "half-unmarked",
    right: "Half pieces are marked as such.",
    lengths: true,
    of_legs: false,
    look: Look::Drawing(find),
};

/// Texts that say that a piece is a half one (common practice, no source). A text about folding while sewing is not among
/// them: such a piece is whole.
const SAYS_HALF: [&str; 5] = ["on fold", "on the fold", "half piece", "half pattern", "mirror piece"];

fn find(sheet: &Sheet<'_>) -> Vec<Finding> {
    sheet.nests.iter().flat_map(|nest| of_nest(sheet, nest)).collect()
}

fn of_nest(sheet: &Sheet<'_>, nest: &Nest<'_>) -> Vec<Finding> {
    let mut findings = Vec::new();
    let half: Vec<&Piece> = nest.pieces.iter().copied().filter(|p| mirror(p).is_some()).collect();
    if let Some(first) = half.first() {
        let message = format!(
            "half piece in {} of {} sizes: it is opened at its mirror line",
            half.len(),
            nest.pieces.len()
        );
        findings.push(sheet.at_block(Finding::note(FindingId::HalfUnmarked, message), first));
    }
    for &piece in &nest.pieces {
        let error = |message: String| Finding::error(FindingId::HalfUnmarked, message);
        match mirror(piece) {
            Some(line) => {
                let Some((i, away)) = off_edge(piece, line) else { continue };
                if away > sheet.tolerance.mirror.0 {
                    let message = format!(
                        "the mirror line lies {away:.2} mm from the edge of its half piece; draw it on the edge that \
                         comes to the fold"
                    );
                    findings.push(sheet.on_path(error(message), piece, line, i, line.points[i]));
                }
            }
            None if !half.is_empty() => {
                let message = "other sizes of the piece are half ones with a mirror line, this one has none; draw it on \
                               layer 6";
                findings.push(sheet.at_block(error(message.to_owned()), piece));
            }
            None => {
                let Some(text) = says_half(piece) else { continue };
                let message = format!(
                    "'{text}' says that the piece is cut on the fold, and it has no mirror line; draw it on layer 6"
                );
                findings.push(sheet.at_block(error(message), piece));
            }
        }
    }
    findings
}

fn mirror(piece: &Piece) -> Option<&Path> {
    piece.paths_of(LayerUse::Mirror).find(|p| p.points.len() > 1)
}

/// The point of the mirror line, end or middle, that is furthest from the outline, and its distance.
fn off_edge(piece: &Piece, line: &Path) -> Option<(usize, f64)> {
    let outlines: Vec<&Path> = boundary(piece).into_iter().chain(piece.outline(LayerUse::Sew)).collect();
    let last = line.points.len() - 1;
    let away = |outline: &Path| {
        let middle = line.points[0].midpoint(line.points[last]);
        let ends = [(0, line.points[0]), (last, line.points[last]), (0, middle)];
        let all = ends.map(|(i, p)| (i, line::distance(&outline.points, true, p)));
        all.into_iter().max_by(|a, b| a.1.total_cmp(&b.1))
    };
    outlines.into_iter().filter_map(away).min_by(|a, b| a.1.total_cmp(&b.1))
}

fn says_half(piece: &Piece) -> Option<&str> {
    let labels = &piece.labels;
    let texts = labels.annotations.iter().chain(&labels.category).chain([&piece.name]);
    let texts = texts.chain(piece.texts.iter().map(|t| &t.value));
    texts.map(String::as_str).find(|text| {
        let text = text.to_lowercase();
        SAYS_HALF.iter().any(|words| text.contains(words))
    })
}
