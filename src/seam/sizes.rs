//! Sizes: which pieces of a nest are the front and the back of each size.

use super::{Leg, NoLeg, find, yoke};
use crate::finding::{Finding, FindingId, Severity};
use crate::job::{Allowances, LabelKey, LabelTexts};
use crate::pattern::{LayerUse, Path, Pattern, Piece, SizeName};
use crate::units::Mm;
use kurbo::Vec2;
use rayon::prelude::*;
use std::collections::HashMap;

/// Which part of the trousers a piece is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Part {
    /// The front leg.
    Front,
    /// The back leg.
    Back,
}

impl Part {
    /// The trade's word.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Part::Front => "front",
            Part::Back => "back",
        }
    }
}

/// A piece that is a leg, with its seams.
#[derive(Clone, Debug)]
pub struct LegPiece<'p> {
    /// The piece.
    pub piece: &'p Piece,
    /// Its seams.
    pub leg: Leg,
    /// The centre edge of the yoke that is sewn to its top; 0 where there is none.
    pub above: Mm,
}

/// The trousers of one size.
#[derive(Clone, Debug)]
pub struct Size<'p> {
    /// The size as the drawing writes it.
    pub name: SizeName,
    /// The fronts: one, or the left and the right one.
    pub front: Vec<LegPiece<'p>>,
    /// The backs: one, or the left and the right one.
    pub back: Vec<LegPiece<'p>>,
    /// What was noticed; with an error among them the size cannot be measured.
    pub findings: Vec<Finding>,
}

impl Size<'_> {
    /// The first front and the first back, if the size can be measured.
    #[must_use]
    pub fn pair(&self) -> Option<(&LegPiece<'_>, &LegPiece<'_>)> {
        let sound = self.findings.iter().all(|f| f.severity != Severity::Error);
        Some((self.front.first()?, self.back.first()?)).filter(|_| sound)
    }
}

/// Finds the trousers of every size, in parallel; sizes come in the drawing's order. Sizes that have
/// no leg, such as a pocket that serves all, are no sizes of the trousers.
#[must_use]
pub fn sizes<'p>(pattern: &'p Pattern, labels: &LabelTexts) -> Vec<Size<'p>> {
    let mut order: Vec<SizeName> = Vec::new();
    let mut pieces: HashMap<SizeName, Vec<&'p Piece>> = HashMap::new();
    for piece in &pattern.pieces {
        let name = piece.size.clone().unwrap_or_else(|| SizeName::new(""));
        let entry = pieces.entry(name.clone()).or_default();
        if entry.is_empty() {
            order.push(name);
        }
        entry.push(piece);
    }
    order.into_par_iter().filter_map(|name| size(&pieces[&name], name, labels, &pattern.allowances)).collect()
}

/// What a piece turned out to be.
struct Read<'p> {
    piece: &'p Piece,
    part: Option<Part>,
    leg: Result<Leg, NoLeg>,
}

fn size<'p>(
    pieces: &[&'p Piece],
    name: SizeName,
    labels: &LabelTexts,
    allowances: &Allowances,
) -> Option<Size<'p>> {
    let read: Vec<Read<'p>> = pieces
        .iter()
        .map(|&piece| Read { piece, part: part(&piece.name, labels), leg: find(piece, labels, allowances) })
        .collect();
    let mut size = Size { name, front: Vec::new(), back: Vec::new(), findings: Vec::new() };
    let mut unnamed = Vec::new();
    let mut unusable = Vec::new();
    let mut shapeless = Vec::new();
    for Read { piece, part, leg } in read {
        match (leg, part) {
            (Ok(leg), Some(Part::Front)) => size.front.push(LegPiece { piece, leg, above: Mm(0.0) }),
            (Ok(leg), Some(Part::Back)) => size.back.push(LegPiece { piece, leg, above: Mm(0.0) }),
            (Ok(leg), None) => unnamed.push(LegPiece { piece, leg, above: Mm(0.0) }),
            // Seam texts at a yoke are about the yoke.
            (Err(_), _) if is(piece, LabelKey::Yoke, labels) => {}
            (Err(NoLeg::Unusable(finding)), part) => unusable.push((piece, part, *finding)),
            (Err(NoLeg::OtherPiece), Some(part)) => shapeless.push((piece, part)),
            (Err(NoLeg::OtherPiece), None) => {}
        }
    }
    by_shape(&mut size, &mut unnamed);
    let none = size.front.is_empty() && size.back.is_empty() && unnamed.is_empty() && unusable.is_empty();
    if none && shapeless.is_empty() {
        return None;
    }
    for leg in &unnamed {
        size.findings.push(
            Finding::error(
                FindingId::PartUnknown,
                format!(
                    "'{}' has the shape of a trouser leg, but its name says neither front nor back; name it so, or \
                     give its word under [labels] front or back in the job file",
                    leg.piece.name
                ),
            )
            .piece(&leg.piece.name)
            .at(leg.piece.drawn(leg.leg.fork_point())),
        );
    }
    for part in [Part::Front, Part::Back] {
        missing(&mut size, part, &unusable, &shapeless);
        cut_in_two(&mut size, part, &shapeless, labels);
    }
    yokes(&mut size, pieces, labels, allowances);
    // A front pocket without a sew line is no matter of the trousers' seams.
    let complete = !size.front.is_empty() && !size.back.is_empty();
    for (piece, part, finding) in unusable {
        let about_other_piece = complete
            && (part.is_none()
                || matches!(finding.id, FindingId::AllowanceMissing | FindingId::GrainMissing));
        if !about_other_piece && (part.is_some() || !complete) {
            size.findings.push(finding.piece(&piece.name));
        }
    }
    if let (Some(front), Some(back)) = (size.front.first(), size.back.first()) {
        size.findings.extend(mates(front, back));
    }
    let text = size.name.to_string();
    for finding in &mut size.findings {
        finding.size = Some(text.clone());
    }
    if none && size.findings.iter().all(|f| f.severity != Severity::Error) {
        return None;
    }
    if text.is_empty() && !none {
        size.findings.push(Finding::error(
            FindingId::LabelMissing,
            "trouser legs without a 'Size:' text; add one to each piece",
        ));
    }
    Some(size)
}

/// Inseams that cannot belong together: a seam was read wrongly, or the pieces are no mates.
fn mates(front: &LegPiece<'_>, back: &LegPiece<'_>) -> Option<Finding> {
    /// A difference that no easing explains, as a share of the inseam and in mm.
    const DOUBTFUL: (f64, f64) = (0.05, 25.0);
    /// A difference, as a share, at which it is certain.
    const WRONG: f64 = 0.2;
    let length = |l: &LegPiece<'_>| l.leg.length(super::SeamRole::Inseam);
    let (f, b) = (length(front), length(back));
    let apart = (b - f).abs().0;
    let longer = f.0.max(b.0);
    if apart <= (DOUBTFUL.0 * longer).max(DOUBTFUL.1) {
        return None;
    }
    let message = format!(
        "the front inseam is {f} and the back inseam {b}: a seam was read wrongly, or the pieces do not belong together. \
         Name the seams by texts at them ([labels]) or put them on layers of their own ([layers])"
    );
    let finding = if apart > WRONG * longer {
        Finding::error(FindingId::SeamAmbiguous, message)
    } else {
        Finding::warning(FindingId::InseamMismatch, message)
    };
    Some(finding.piece(&back.piece.name).at(back.piece.drawn(back.leg.fork_point())))
}

/// Two legs without names are told apart where back and front differ as they always do: the back
/// has the longer rise and reaches further out at the fork.
fn by_shape<'p>(size: &mut Size<'p>, unnamed: &mut Vec<LegPiece<'p>>) {
    /// The least ratio of the rises and of the reaches at which the reading is sure. Drafts give the
    /// back 1.15 to 1.4 times the front's rise and 1.5 to 2.5 times its reach (from memory).
    const SURE: f64 = 1.06;
    if !size.front.is_empty() || !size.back.is_empty() || unnamed.len() != 2 {
        return;
    }
    let rise = |l: &LegPiece<'_>| l.leg.length(super::SeamRole::Crotch).0;
    let reach = |l: &LegPiece<'_>| (l.leg.fork_point() - l.leg.ring[l.leg.curve_begin]).dot(l.leg.out);
    let (front, back) = if rise(&unnamed[0]) < rise(&unnamed[1]) { (0, 1) } else { (1, 0) };
    if rise(&unnamed[back]) < SURE * rise(&unnamed[front])
        || reach(&unnamed[back]) < SURE * reach(&unnamed[front])
    {
        return;
    }
    for (i, part) in [(front, Part::Front), (back, Part::Back)] {
        size.findings.push(
            Finding::note(
                FindingId::ReadAs,
                format!(
                    "'{}' is taken for the {} by its shape; its name does not say",
                    unnamed[i].piece.name,
                    part.word()
                ),
            )
            .piece(&unnamed[i].piece.name),
        );
    }
    let mut two = std::mem::take(unnamed);
    let (second, first) = (two.pop(), two.pop());
    let (f, b) = if front == 0 { (first, second) } else { (second, first) };
    size.front.extend(f);
    size.back.extend(b);
}

/// Says what is missing where a size has no leg of this part.
fn missing(
    size: &mut Size<'_>,
    part: Part,
    unusable: &[(&Piece, Option<Part>, Finding)],
    shapeless: &[(&Piece, Part)],
) {
    let (own, other) = match part {
        Part::Front => (&size.front, &size.back),
        Part::Back => (&size.back, &size.front),
    };
    if !own.is_empty() || unusable.iter().any(|(_, p, _)| *p == Some(part) || p.is_none()) {
        return;
    }
    let named: Vec<&str> =
        shapeless.iter().filter(|(_, p)| *p == part).map(|(p, _)| p.name.as_str()).collect();
    let folded = shapeless.iter().find(|(p, q)| *q == part && p.paths_of(LayerUse::Mirror).next().is_some());
    let finding = if let Some((piece, _)) = folded {
        Finding::error(
            FindingId::HalfPiece,
            format!(
                "'{}' is drawn as a half piece on the fold (it has a mirror line, layer 6), and no crotch seam was found \
                 on the half; unfold it, and take the mirror line out",
                piece.name
            ),
        )
        .piece(&piece.name)
    } else if let Some(&name) = named.first() {
        Finding::error(
            FindingId::SeamAmbiguous,
            format!(
                "no crotch seam was found on '{}': no edge is hollow between a corner at the waist and one at the \
                 fork. If the outline is right, name the seam by a text at it ([labels] crotch) or put it on a layer \
                 of its own ([layers] crotch)",
                named.join("', '")
            ),
        )
        .piece(name)
    } else if other.is_empty() {
        return;
    } else {
        Finding::error(
            FindingId::MateMissing,
            format!(
                "the size has no {} leg to go with its other one; add the piece, or correct its name",
                part.word()
            ),
        )
        .piece(&other[0].piece.name)
    };
    size.findings.push(finding);
}

/// Adds the centre edge of a yoke to the legs that it is sewn to: the backs, unless its name says
/// front.
fn yokes(size: &mut Size<'_>, pieces: &[&Piece], labels: &LabelTexts, allowances: &Allowances) {
    /// Left and right yokes are copies; more than this, in mm, is another yoke.
    const SAME: f64 = 0.5;
    for part in [Part::Front, Part::Back] {
        let of_part = |p: &&&Piece| {
            let front = says(&p.name, LabelKey::Front, labels);
            is(p, LabelKey::Yoke, labels) && front == (part == Part::Front)
        };
        let mut found: Option<(Mm, &str)> = None;
        for yoke in pieces.iter().filter(of_part) {
            match (yoke::centre(yoke, labels, allowances), found) {
                (Err(finding), _) => size.findings.push(finding),
                (Ok(centre), Some((other, name))) if (centre - other).abs().0 > SAME => {
                    size.findings.push(
                        Finding::error(
                            FindingId::SeamAmbiguous,
                            format!(
                                "the yokes '{name}' and '{}' have centre edges of {other} and {centre}; which of them \
                                 is part of the rise is not known. Rename the other one",
                                yoke.name
                            ),
                        )
                        .piece(&yoke.name),
                    );
                }
                (Ok(centre), _) => found = found.or(Some((centre, &yoke.name))),
            }
        }
        let Some((centre, name)) = found else { continue };
        let legs = if part == Part::Front { &mut size.front } else { &mut size.back };
        for leg in legs.iter_mut() {
            leg.above = centre;
        }
        if !legs.is_empty() {
            size.findings.push(
                Finding::note(
                    FindingId::ReadAs,
                    format!(
                        "the centre edge of '{name}', {centre}, counts in the {} rise; the alteration stays below it",
                        part.word()
                    ),
                )
                .piece(name),
            );
        }
    }
}

/// Refuses a leg that has a second long piece beside it: it is cut in two along its length, and what
/// is moved on one part has to be moved on the other.
fn cut_in_two(size: &mut Size<'_>, part: Part, shapeless: &[(&Piece, Part)], labels: &LabelTexts) {
    /// Of the leg's length, what makes another piece a part of the leg; no pocket or facing is that long.
    const LONG: f64 = 0.6;
    /// Of the leg's width; a stripe or a piping is narrower.
    const WIDE: f64 = 0.15;
    let legs = if part == Part::Front { &size.front } else { &size.back };
    let Some(leg) = legs.first() else { return };
    let line = |piece: &'_ Piece| -> Option<Path> {
        piece.outline(LayerUse::Sew).or_else(|| piece.outline(LayerUse::Cut)).cloned()
    };
    let measure = |path: &Path, along: Vec2| {
        let reach = |d: Vec2| {
            let at = path.points.iter().map(|p| p.to_vec2().dot(d));
            let (low, high) = at.fold((f64::MAX, f64::MIN), |(a, b), v| (a.min(v), b.max(v)));
            high - low
        };
        (reach(along), reach(Vec2::new(-along.y, along.x)))
    };
    let Some(own) = line(leg.piece).map(|path| measure(&path, leg.leg.up)) else { return };
    let beside = shapeless.iter().find(|(piece, p)| {
        let other = line(piece).zip(piece.grain()).map(|(path, grain)| measure(&path, grain));
        *p == part
            && !is(piece, LabelKey::Waistband, labels)
            && other.is_some_and(|(long, wide)| long > LONG * own.0 && wide > WIDE * own.1)
    });
    if let Some((piece, _)) = beside {
        size.findings.push(
            Finding::error(
                FindingId::PieceCutInTwo,
                format!(
                    "the {} leg is cut in two along its length, '{}' and '{}': a slide would part them. Join them, alter \
                     the whole, and cut it again",
                    part.word(),
                    leg.piece.name,
                    piece.name
                ),
            )
            .piece(&leg.piece.name),
        );
    }
}

/// Whether a piece's name says that it is this.
fn is(piece: &Piece, key: LabelKey, labels: &LabelTexts) -> bool {
    says(&piece.name, key, labels)
}

/// The part a piece's name says, by the words for front and back: a word of up to three letters has
/// to stand by itself, a longer one may be part of a compound.
fn part(name: &str, labels: &LabelTexts) -> Option<Part> {
    match (says(name, LabelKey::Front, labels), says(name, LabelKey::Back, labels)) {
        (true, false) => Some(Part::Front),
        (false, true) => Some(Part::Back),
        _ => None,
    }
}

/// Whether a name has one of the words for this.
fn says(name: &str, key: LabelKey, labels: &LabelTexts) -> bool {
    let name = name.to_lowercase();
    let tokens: Vec<&str> = name.split(|c: char| !c.is_alphanumeric()).collect();
    labels.get(&key).into_iter().flatten().any(|word| {
        let word = word.to_lowercase();
        let long = word.chars().count() > 3 || !word.is_ascii();
        if long { name.contains(&word) } else { tokens.contains(&word.as_str()) }
    })
}
