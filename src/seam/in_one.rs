//! The pieces of a size that are front and back of a leg in one.
//!
//! Such a piece is looked for only where no piece is a leg by its name: the sleeve of a top that is drawn beside trousers can have the
//! same shape (a raglan sleeve has two hollow seams, two seams of one length and two edges).

use super::exchanged::are_apart;
use super::fold::Folds;
use super::leg::How;
use super::names::{part, says};
use super::one_piece::OnePiece;
use super::panels::Panels;
use super::size::{LegPiece, Size};
use super::sizes::Others;
use super::{Above, Leg, Pair, Part, SeamRole, front_and_back};
use crate::finding::{Finding, FindingId};
use crate::pattern::{Pattern, Piece};
use crate::trousers::{LabelKey, LabelTexts, says_trousers};
use crate::units::Mm;

/// What other pieces are called that are no legs.
const NO_LEGS: [LabelKey; 4] = [LabelKey::Yoke, LabelKey::Waistband, LabelKey::Lining, LabelKey::Gusset];

/// Left and right piece are mirrored copies; rises that differ by more than this share are those of another piece.
const COPIES: f64 = 0.05;

/// A piece that is front and back in one, with a note on how the two are told apart.
struct InOne<'p> {
    legs: Pair<LegPiece<'p>>,
    note: Finding,
}

/// Finds the legs of a size whose front and back are in one piece, where no piece is a leg by its name.
pub(super) fn find<'p>(
    size: &mut Size<'p>,
    others: &mut Others<'p>,
    pieces: &[&'p Piece],
    labels: &LabelTexts,
    pattern: &Pattern,
) {
    let halves = std::mem::take(&mut others.halves);
    if let Some(leg) = size.all_legs().next() {
        others.unusable.extend(halves.iter().map(|(half, part)| (half.piece, *part, beside_leg(half, leg))));
        return;
    }
    if let (Some(front), Some(back)) = (named(&halves, Part::Front), named(&halves, Part::Back)) {
        others.unusable.push((front.piece, None, both_named(front, back)));
        return;
    }
    let is_other = |piece: &Piece| NO_LEGS.iter().any(|key| says(&piece.name, *key, labels));
    let unnamed = pieces.iter().filter(|p| part(&p.name, labels).is_none() && !is_other(p));
    let mut found: Vec<InOne<'_>> = Vec::new();
    for &piece in unnamed {
        let Some(read) = read(piece, labels, pattern) else { continue };
        others.unnamed.retain(|on| !std::ptr::eq(on.piece, piece));
        others.unusable.retain(|(other, ..)| !std::ptr::eq(*other, piece));
        match read {
            Ok(in_one) => found.push(in_one),
            Err(finding) => others.unusable.push((piece, None, finding)),
        }
    }
    let halves = halves.iter().filter(|(half, _)| !is_other(half.piece));
    found.extend(halves.map(|(half, _)| InOne::opened(half)));
    // A drawing that says which edges are crotch seams, or which pieces are of trousers, says which are legs.
    for told in [InOne::is_told, InOne::is_named] {
        if found.iter().any(told) {
            found.retain(told);
        }
    }
    if let Some([one, other]) = unlike(&found) {
        others.unusable.push((other.legs.front.piece, None, several(one, other)));
        return;
    }
    for InOne { legs, note } in found {
        size.findings.push(note.about(legs.front.piece));
        size.legs.front.push(legs.front);
        size.legs.back.push(legs.back);
    }
}

/// Front and back of a piece that is both; `None` for any other piece.
fn read<'p>(piece: &'p Piece, labels: &LabelTexts, pattern: &Pattern) -> Option<Result<InOne<'p>, Finding>> {
    let on = |leg: Leg| {
        let folds = Folds::find(piece, &leg, labels, pattern.turned_in)?;
        Ok(LegPiece { piece, leg, above: Above::default(), folds, panels: Panels::default() })
    };
    let found = front_and_back(piece, labels, &pattern.allowances)?;
    Some(found.and_then(|(legs, note)| Ok(InOne { legs: legs.map(on).transpose()?, note })))
}

/// The half of this part, by its name.
fn named<'a, 'p>(halves: &'a [(LegPiece<'p>, Option<Part>)], part: Part) -> Option<&'a LegPiece<'p>> {
    halves.iter().find(|(_, of)| *of == Some(part)).map(|(half, _)| half)
}

/// The error for a half piece beside a leg that is drawn as a whole.
fn beside_leg(half: &LegPiece<'_>, leg: &LegPiece<'_>) -> Finding {
    let message = format!(
        "the piece is drawn as half, with its mirror line (layer 6) at its outer edge: opened, it would be front and back of a leg in one, \
         and '{}' is a leg of the size as well. Open it, and take the mirror line out; or name it so that it is no leg",
        leg.piece.name
    );
    Finding::error(FindingId::HalfPiece, message).at(half.piece.drawn(half.leg.fork_point()))
}

/// The error for a front and a back that are both drawn as half.
fn both_named(front: &LegPiece<'_>, back: &LegPiece<'_>) -> Finding {
    let message = format!(
        "'{}' and '{}' are both drawn as half, with a mirror line (layer 6) at the outer edge: opened, each would be front and back of a \
         leg in one, with two crotch seams that are alike. If they are the front and the back of one leg, take the mirror lines out",
        front.piece.name, back.piece.name
    );
    Finding::error(FindingId::HalfPiece, message).at(front.piece.drawn(front.leg.fork_point()))
}

impl<'p> InOne<'p> {
    /// Front and back of a piece that is drawn as half: one is the mirror image of the other.
    fn opened(half: &LegPiece<'p>) -> Self {
        let message = "front and back are drawn in one piece, and of that the half: at its mirror line it is opened, so that front and back \
                       are alike, and both change as the half does. There is no outseam; waist, hem and thigh are those of the half";
        let note = Finding::note(FindingId::ReadAs, message).at(half.piece.drawn(half.leg.fork_point()));
        let of = |part| {
            let one_piece = Some(OnePiece { part, other: None });
            LegPiece { leg: Leg { one_piece, ..half.leg.clone() }, ..half.clone() }
        };
        InOne { legs: Pair { front: of(Part::Front), back: of(Part::Back) }, note }
    }
}

impl InOne<'_> {
    /// Whether a layer or a label says where its crotch seams are.
    fn is_told(&self) -> bool {
        self.legs.iter().all(|on| on.leg.found.crotch != How::Shape)
    }

    /// Whether its name or category says that it is of trousers.
    fn is_named(&self) -> bool {
        let piece = self.legs.front.piece;
        piece.labels.category.iter().chain([&piece.name]).any(|text| says_trousers(text))
    }

    fn lengths(&self, role: SeamRole) -> [Mm; 2] {
        self.legs.as_ref().map(|on| on.length(role)).both()
    }
}

/// Two of these pieces that are not left and right of one leg, if there are two such.
fn unlike<'f, 'p>(found: &'f [InOne<'p>]) -> Option<[&'f InOne<'p>; 2]> {
    let (first, rest) = found.split_first()?;
    let differ = |other: &InOne<'_>| {
        let rises = first.lengths(SeamRole::Crotch).into_iter().zip(other.lengths(SeamRole::Crotch));
        let inseams = first.lengths(SeamRole::Inseam).into_iter().zip(other.lengths(SeamRole::Inseam));
        rises.into_iter().any(|(a, b)| (a - b).abs().0 > COPIES * a.0.max(b.0))
            || inseams.into_iter().any(|(a, b)| are_apart(a, b))
    };
    rest.iter().find(|other| differ(other)).map(|other| [first, other])
}

/// The finding that shows two pieces that may be the leg.
fn several(one: &InOne<'_>, other: &InOne<'_>) -> Finding {
    let shown = [one, other].map(|in_one| {
        let [front, back] = in_one.lengths(SeamRole::Crotch);
        format!(
            "'{}' (crotch length {}, front {front}, back {back})",
            in_one.legs.front.piece.name,
            front + back
        )
    });
    let message = format!(
        "{} and {} both have the shape of a leg that is front and back in one piece, and are not left and right of one. Put a text at \
         each crotch seam of the leg ([labels] crotch), or call it LEGGINGS, TROUSERS or the like",
        shown[0], shown[1]
    );
    Finding::error(FindingId::SeamAmbiguous, message).about(other.legs.front.piece)
}
