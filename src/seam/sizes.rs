//! Sizes: which pieces of a nest are the front and the back of each size.

use super::fold::{self, Folds};
use super::names::{part, says};
use super::panels::{Gusset, Panels};
use super::size::{LegPiece, Size};
use super::{
    Above, Leg, NoLeg, SeamRole, SewLine, bib, cut, exchanged, find, in_one, one_reading, side, turned, yokes,
};
use super::{Pair, Part};
use crate::finding::{Finding, FindingId, Severity};
use crate::pattern::{LayerUse, Pattern, Piece, SizeName};
use crate::trousers::{Allowances, LEGS, LabelKey, LabelTexts};
use crate::units::{self, Mm, outside};
use rayon::prelude::*;
use std::collections::HashMap;
use std::ops::RangeInclusive;

/// Finds the trousers of every size, in parallel; the sizes come in the drawing's order. A size without a leg, such as one that
/// holds only a pocket for all sizes, is left out.
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
    let band = |of: &SizeName| {
        let mut pieces = pieces.get(of).into_iter().flatten();
        pieces.find(|p| says(&p.name, LabelKey::Waistband, labels)).map(|p| p.name.clone())
    };
    let gusset = |of: &SizeName| pieces.get(of).into_iter().flatten().find_map(|p| cut::gusset(p, labels));
    let all = SizeName::new("");
    let (band_of_all, gusset_of_all) = (band(&all), gusset(&all));
    let with_others = |mut size: Size<'p>| {
        size.waistband = band(&size.name).or_else(|| band_of_all.clone());
        size.gusset = gusset(&size.name).or_else(|| gusset_of_all.clone());
        size.findings.extend(size.gusset.as_ref().map(|gusset| over_gusset(gusset).size(size.name.as_str())));
        size
    };
    let of_name = |name: SizeName| size(&pieces[&name], name, labels, pattern).map(with_others);
    let mut sizes: Vec<Size<'p>> = order.into_par_iter().filter_map(of_name).collect();
    yokes::settle(&mut sizes);
    fold::alike(&mut sizes);
    sizes.iter_mut().for_each(side::by_mate);
    one_reading::alike(&mut sizes);
    sizes
}

/// The finding that a gusset is not measured.
fn over_gusset(gusset: &Gusset) -> Finding {
    let message = format!(
        "the crotch length runs over the gusset {} as well, which is no part of these measures",
        gusset.worded()
    );
    Finding::note(FindingId::ReadAs, message).about(gusset)
}

/// An error for allowances that no seam has, where a sew line is derived from them: the number was probably meant in another
/// unit.
#[must_use]
pub fn doubtful_allowances(pattern: &Pattern, sizes: &[Size<'_>]) -> Option<Finding> {
    /// From the overlock allowance of a knit to the deepest hem (common practice, no source); 0 means that the drawn line is the
    /// sew line.
    const USUAL: RangeInclusive<Mm> = Mm(2.0)..=Mm(100.0);
    /// The allowance that the number has to give in another unit for that unit to be suggested.
    const MEANT: RangeInclusive<Mm> = Mm(4.0)..=Mm(60.0);
    let legs = sizes.iter().flat_map(Size::all_legs);
    if !legs.into_iter().any(|on| on.leg.found.sew_line == SewLine::Allowance) {
        return None;
    }
    let mut doubtful: Vec<(Mm, Vec<&str>)> = Vec::new();
    for &role in SeamRole::ALL {
        let given = pattern.allowances.get(role);
        let Some(length) = given.filter(|l| *l != Mm(0.0) && !USUAL.contains(l)) else { continue };
        match doubtful.iter_mut().find(|(same, _)| *same == length) {
            Some((_, seams)) => seams.push(role.as_str()),
            None => doubtful.push((length, vec![role.as_str()])),
        }
    }
    let meant = |length| units::in_other_units(length, pattern.unit, |l| MEANT.contains(&l)).into_iter();
    let hints = doubtful.iter().flat_map(|(length, _)| meant(*length));
    let mut hints: Vec<String> = hints
        .map(|(text, length)| format!("if {text} ({length:.1}) is meant, write it with its unit"))
        .collect();
    hints.push("look at --allowance and [allowance] of the job file".to_owned());
    let said: Vec<String> = doubtful
        .iter()
        .map(|(length, seams)| format!("{} for {}", outside(*length, &USUAL, 3).0, seams.join(", ")))
        .collect();
    if said.is_empty() {
        return None;
    }
    let message = format!(
        "the allowance of {} is not to be believed (0, or {}), and every length follows from it: {}",
        said.join("; "),
        outside(doubtful[0].0, &USUAL, 3).1,
        hints.join("; ")
    );
    Some(Finding::error(FindingId::MeasureDoubtful, message))
}

/// An error for trousers of a size that nobody has: their drawing was probably meant in another unit.
#[must_use]
pub fn doubtful_unit(pattern: &Pattern, sizes: &[Size<'_>]) -> Option<Finding> {
    let long = |on: &LegPiece<'_>| Mm((on.leg.ring[0] - on.leg.ring[on.leg.hem_in]).dot(on.leg.up));
    let (on, length) =
        sizes.iter().flat_map(Size::all_legs).map(|on| (on, long(on))).find(|(_, l)| !LEGS.contains(l))?;
    let (length, range) = outside(length, &LEGS, 1);
    let message = format!(
        "a trouser leg is {length} long from waist to hem ({range} are to be believed): the drawing says that its unit is {}; correct its \
         'Units:' text or its scale",
        pattern.unit.sign()
    );
    Some(Finding::error(FindingId::UnitDoubtful, message).about(on.piece))
}

/// The pieces of a size that are not named legs, by what they turned out to be.
#[derive(Default)]
pub(super) struct Others<'p> {
    /// Legs whose names say neither front nor back.
    pub unnamed: Vec<LegPiece<'p>>,
    /// Legs drawn as half up to a mirror line at the outer edge, each with the part that its name says.
    pub halves: Vec<(LegPiece<'p>, Option<Part>)>,
    /// Pieces that may be legs but cannot be used, with the reason.
    pub unusable: Vec<(&'p Piece, Option<Part>, Finding)>,
    /// Pieces called front or back that have no crotch seam, such as pockets.
    shapeless: Vec<(&'p Piece, Part)>,
}

/// The trousers of one size; none where its pieces have nothing to do with legs.
fn size<'p>(
    pieces: &[&'p Piece],
    name: SizeName,
    labels: &LabelTexts,
    pattern: &Pattern,
) -> Option<Size<'p>> {
    let (mut size, mut others) = sorted(pieces, name, labels, pattern);
    in_one::find(&mut size, &mut others, pieces, labels, pattern);
    by_shape(&mut size, &mut others.unnamed);
    settled_by_mate(&mut size, &mut others, pieces, labels, pattern);
    exchanged::by_mate(&mut size, pieces, labels, pattern);
    let no_leg = size.all_legs().next().is_none() && others.unnamed.is_empty() && others.unusable.is_empty();
    if no_leg && others.shapeless.is_empty() {
        return None;
    }
    size.findings.extend(others.unnamed.iter().map(part_unknown));
    for part in [Part::Front, Part::Back] {
        missing(&mut size, part, &others, |piece| Some(turned(piece, labels, &pattern.allowances).next()?.0));
        doubted(&mut size, part, &others);
    }
    cut::find_parts(&mut size, &others.shapeless, labels);
    yokes::find(&mut size, pieces, labels, &pattern.allowances);
    bib::by_marks(&mut size, labels, &pattern.allowances);
    unusable(&mut size, others.unusable);
    if let (Some(front), Some(back)) = (size.legs.front.first(), size.legs.back.first()) {
        size.findings.extend(mates(front, back, labels, &pattern.allowances));
        size.findings.extend(bib::in_the_rise(front, back));
    }
    let notes = size.all_legs().flat_map(|on| cut_double(on).into_iter().chain(beside_vent(on)));
    let notes: Vec<Finding> = notes.collect();
    size.findings.extend(notes);
    fold::settle_folds(&mut size);
    let text = size.name.to_string();
    for finding in &mut size.findings {
        finding.size = Some(text.clone());
    }
    if no_leg && size.findings.iter().all(|f| f.severity != Severity::Error) {
        return None;
    }
    if text.is_empty() && !no_leg {
        size.findings.push(Finding::error(
            FindingId::LabelMissing,
            "trouser legs without a 'Size:' text; add one to each piece",
        ));
    }
    Some(size)
}

/// The note about a leg whose mirror line is its waist edge or its hem.
fn cut_double(on: &LegPiece<'_>) -> Option<Finding> {
    let role = on.leg.mirror.filter(|role| *role != SeamRole::Outseam)?;
    let message = format!(
        "the mirror line lies at the {role} edge, so that the leg is cut double and this edge is its fold: seams are measured to it, it has \
         no allowance, and the mirror image changes with the half that is drawn"
    );
    Some(Finding::note(FindingId::ReadAs, message).about(on.piece).at(on.piece.drawn(on.leg.fork_point())))
}

/// The note about a leg whose outseam ends in a vent or a slit.
fn beside_vent(on: &LegPiece<'_>) -> Option<Finding> {
    let vent = on.leg.vent()?;
    let step = if vent.cut_away { "a step inwards" } else { "an extension" };
    let message = format!(
        "the outseam ends in {step} at the hem, {} wide and {} high, as for a {}: it is measured along its own line, straight on to the hem",
        vent.wide,
        vent.high,
        if vent.cut_away { "slit" } else { "vent" }
    );
    let at = on.piece.drawn(on.leg.ring[vent.inner]);
    Some(Finding::note(FindingId::ReadAs, message).about(on.piece).at(at))
}

/// The part that a piece belongs to by its name. A fly is in the front (common practice, no source).
fn of_part(name: &str, labels: &LabelTexts) -> Option<Part> {
    let fly = || name.split(|c: char| !c.is_alphanumeric()).any(|word| word.eq_ignore_ascii_case("fly"));
    part(name, labels).or_else(|| fly().then_some(Part::Front))
}

/// The legs of a size whose names say front or back, and its other pieces.
fn sorted<'p>(
    pieces: &[&'p Piece],
    name: SizeName,
    labels: &LabelTexts,
    pattern: &Pattern,
) -> (Size<'p>, Others<'p>) {
    let mut size = Size {
        name,
        legs: Pair::default(),
        yokes: Vec::new(),
        linings: Vec::new(),
        named: pieces.iter().filter_map(|p| Some((p.block, of_part(&p.name, labels)?))).collect(),
        waistband: None,
        gusset: None,
        doubted: Vec::new(),
        side_unsure: false,
        findings: Vec::new(),
    };
    let mut others = Others::default();
    // Linings come last, so that a lining called front or back follows the leg that it is sewn behind.
    let is_lining = |piece: &Piece| says(&piece.name, LabelKey::Lining, labels);
    let (linings, outer): (Vec<&Piece>, Vec<&Piece>) = pieces.iter().copied().partition(|p| is_lining(p));
    // A lining behind complete legs never makes the size unusable.
    let behind =
        |size: &Size<'_>, piece: &Piece| is_lining(piece) && size.legs.iter().all(|legs| !legs.is_empty());
    for piece in outer.into_iter().chain(linings) {
        let found = find(piece, labels, &pattern.allowances).and_then(|leg| {
            let folds = Folds::find(piece, &leg, labels, pattern.turned_in)?;
            Ok(LegPiece { piece, leg, above: Above::default(), folds, panels: Panels::default() })
        });
        match (found, part(&piece.name, labels)) {
            (Ok(_), None) if behind(&size, piece) => size.linings.push(piece),
            // Opened, it is front and back in one.
            (Ok(leg), part) if leg.leg.one_piece.is_some() => others.halves.push((leg, part)),
            (Ok(leg), Some(part)) => size.legs.of_mut(part).push(leg),
            (Ok(leg), None) => others.unnamed.push(leg),
            // Seam texts at a yoke are about the yoke.
            (Err(_), _) if says(&piece.name, LabelKey::Yoke, labels) => {}
            (Err(NoLeg::Unusable(_)), _) if behind(&size, piece) => size.linings.push(piece),
            (Err(NoLeg::OtherPiece), _) if behind(&size, piece) => {}
            (Err(NoLeg::Unusable(finding)), part) => others.unusable.push((piece, part, *finding)),
            // A block that only places another one has no lines.
            (Err(NoLeg::OtherPiece), Some(part)) if !piece.paths.is_empty() => {
                others.shapeless.push((piece, part));
            }
            (Err(NoLeg::OtherPiece), _) => {}
        }
    }
    half_linings(&mut size, is_lining);
    without_small(&mut size);
    (size, others)
}

/// Linings that are called front and back are legs of their own where both are lined alike. A half lining, of the front alone or
/// shorter than its mate, is sewn to no other lining: it only lies behind its leg.
fn half_linings(size: &mut Size<'_>, is_lining: impl Fn(&Piece) -> bool) {
    let lined = |part| size.legs.of(part).iter().filter(|on| is_lining(on.piece)).collect::<Vec<_>>();
    let (fronts, backs) = (lined(Part::Front), lined(Part::Back));
    let alike = |(front, back): (&&LegPiece<'_>, &&LegPiece<'_>)| {
        !exchanged::are_apart(front.length(SeamRole::Inseam), back.length(SeamRole::Inseam))
    };
    let both = fronts.len() == backs.len() && fronts.iter().zip(&backs).all(alike);
    let is_outer = |part| size.legs.of(part).iter().any(|on| !is_lining(on.piece));
    if both || !is_outer(Part::Front) || !is_outer(Part::Back) {
        return;
    }
    let linings: Vec<&Piece> = fronts.iter().chain(&backs).map(|on| on.piece).collect();
    for part in [Part::Front, Part::Back] {
        size.legs.of_mut(part).retain(|on| !is_lining(on.piece));
    }
    size.linings.extend(linings);
}

/// Decides with the help of the mating leg how a leg is read whose seams could be read in two ways.
fn settled_by_mate<'p>(
    size: &mut Size<'p>,
    others: &mut Others<'p>,
    all: &[&Piece],
    labels: &LabelTexts,
    pattern: &Pattern,
) {
    for part in [Part::Front, Part::Back] {
        let of_part = |(_, of, finding): &&(&Piece, Option<Part>, Finding)| {
            *of == Some(part) && finding.id == FindingId::SeamAmbiguous
        };
        let ([mate], []) = (&size.legs.of(part.other())[..], &size.legs.of(part)[..]) else { continue };
        let doubted = others.unusable.iter().filter(of_part).map(|&(piece, ..)| piece);
        let shapeless = others.shapeless.iter().filter(|(_, of)| *of == part).map(|&(piece, _)| piece);
        let mut pieces = doubted.chain(shapeless);
        let (Some(piece), None) = (pieces.next(), pieces.next()) else { continue };
        let Some(leg) = exchanged::read((piece, part), mate, all, labels, &pattern.allowances) else {
            continue;
        };
        let Ok(folds) = Folds::find(piece, &leg, labels, pattern.turned_in) else { continue };
        let on = LegPiece { piece, leg, above: Above::default(), folds, panels: Panels::default() };
        size.findings.push(exchanged::note(&on));
        size.legs.of_mut(part).push(on);
        others.unusable.retain(|(other, ..)| !std::ptr::eq(*other, piece));
        others.shapeless.retain(|(other, _)| !std::ptr::eq(*other, piece));
    }
}

/// Asks for the name of a leg that is not known to be front or back.
fn part_unknown(leg: &LegPiece<'_>) -> Finding {
    Finding::error(
        FindingId::PartUnknown,
        format!(
            "'{}' has the shape of a trouser leg, but its name says neither front nor back; name it so, or \
             give its word under [labels] front or back in the job file",
            leg.piece.name
        ),
    )
    .about(leg.piece)
    .at(leg.piece.drawn(leg.leg.fork_point()))
}

/// Whether a piece is too small to be a leg beside the largest leg of its part: left and right differ by little, and a facing of a
/// front, whose edges run along the same seams, covers a tenth of it. How much a piece covers is not known where its outline is open.
fn is_small(piece: &Piece, legs: &[LegPiece<'_>]) -> bool {
    const SHARE: f64 = 0.4;
    let area = |piece: &Piece| {
        let outline = piece.outline(LayerUse::Sew).or_else(|| piece.outline(LayerUse::Cut))?;
        Some(outline.doubled_area().abs())
    };
    let largest = legs.iter().filter_map(|on| area(on.piece)).fold(0.0, f64::max);
    area(piece).is_some_and(|area| area < SHARE * largest)
}

/// Takes out what is called front or back and is too small beside a leg of that part.
fn without_small(size: &mut Size<'_>) {
    for part in [Part::Front, Part::Back] {
        let legs = size.legs.of_mut(part);
        let small: Vec<bool> = legs.iter().map(|on| is_small(on.piece, legs)).collect();
        let mut small = small.into_iter();
        legs.retain(|_| !small.next().unwrap_or_default());
    }
}

/// Adds the reason why pieces cannot be used, where the size may need them. If both legs are there, a piece called front or back
/// without a sew line or a grain line is a pocket and does not concern the seams, nor does one that is too small.
fn unusable(size: &mut Size<'_>, pieces: Vec<(&Piece, Option<Part>, Finding)>) {
    let complete = size.legs.iter().all(|legs| !legs.is_empty());
    for (piece, part, finding) in pieces {
        let of_a_pocket = matches!(finding.id, FindingId::AllowanceMissing | FindingId::GrainMissing);
        let may_be_leg = |part: &Part| !of_a_pocket && !is_small(piece, size.legs.of(*part));
        if !complete || part.as_ref().is_some_and(may_be_leg) {
            size.findings.push(finding.about(piece));
        }
    }
}

/// A finding where the inseams cannot belong together: a seam was read wrongly, or the pieces are not mates.
fn mates(
    front: &LegPiece<'_>,
    back: &LegPiece<'_>,
    labels: &LabelTexts,
    allowances: &Allowances,
) -> Option<Finding> {
    let length = |l: &LegPiece<'_>| l.length(SeamRole::Inseam);
    let (f, b) = (length(front), length(back));
    if !exchanged::are_apart(f, b) {
        return None;
    }
    // A grain line across the leg can make the wrong edges look like seams. Check whether the inseams belong together once the
    // grain line is turned along the leg.
    let laid = |one: &LegPiece<'_>, mate: &LegPiece<'_>| {
        let length = mate.leg.length(SeamRole::Inseam);
        let fits = |leg: &Leg| !exchanged::are_apart(leg.length(SeamRole::Inseam), length);
        let (off, _) = turned(one.piece, labels, allowances).find(|(_, leg)| fits(leg))?;
        Some(grain_across(one.piece, off))
    };
    if exchanged::is_misread(f, b)
        && let Some(finding) = laid(back, front).or_else(|| laid(front, back))
    {
        return Some(finding);
    }
    let message = format!(
        "the front inseam is {f} and the back inseam {b}: a seam was read wrongly, or the pieces do not belong together. \
         Name the seams by texts at them ([labels]) or put them on layers of their own ([layers])"
    );
    let finding = if exchanged::is_misread(f, b) {
        Finding::error(FindingId::SeamAmbiguous, message)
    } else {
        Finding::warning(FindingId::InseamMismatch, message)
    };
    Some(finding.about(back.piece).at(back.piece.drawn(back.leg.fork_point())))
}

/// Tells two unnamed legs apart by what always differs between back and front: the back has the longer rise and reaches further
/// out at the fork.
fn by_shape<'p>(size: &mut Size<'p>, unnamed: &mut Vec<LegPiece<'p>>) {
    /// The least ratio of the rises, and of the reaches at the fork, at which the reading is sure. Drafts give the back 1.15 to
    /// 1.4 times the front's rise and 1.5 to 2.5 times its reach (from memory).
    const SURE: f64 = 1.06;
    if size.all_legs().next().is_some() || unnamed.len() != 2 {
        return;
    }
    let rise = |l: &LegPiece<'_>| l.length(SeamRole::Crotch).0;
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
            .about(unnamed[i].piece),
        );
    }
    let mut two = std::mem::take(unnamed);
    let (second, first) = (two.pop(), two.pop());
    let (f, b) = if front == 0 { (first, second) } else { (second, first) };
    size.legs.front.extend(f);
    size.legs.back.extend(b);
}

/// Adds a finding where a size has no leg of this part. `across` gives the angle by which the grain line of a piece is off the
/// leg's length.
fn missing(
    size: &mut Size<'_>,
    part: Part,
    Others { unusable, shapeless, .. }: &Others<'_>,
    across: impl Fn(&Piece) -> Option<f64>,
) {
    let (own, other) = (size.legs.of(part), size.legs.of(part.other()));
    if !own.is_empty() || unusable.iter().any(|(_, p, _)| *p == Some(part) || p.is_none()) {
        return;
    }
    let mate_missing = || {
        let message = format!(
            "the size has no {} leg to go with its other one; add the piece, or correct its name",
            part.word()
        );
        other.first().map(|o| Finding::error(FindingId::MateMissing, message).about(o.piece))
    };
    let finding = no_crotch_seam(part, shapeless, across).or_else(mate_missing);
    size.findings.extend(finding);
}

/// The finding that the grain line of a leg is `off` degrees off its length.
fn grain_across(piece: &Piece, off: f64) -> Finding {
    let lies = if off > 80.0 {
        "across the leg".to_owned()
    } else {
        format!("about {off:.0}° off the leg's length")
    };
    let message = format!(
        "the grain line of '{}' lies {lies}, so its seams cannot be told by it; turn the grain line along the leg",
        piece.name
    );
    Finding::error(FindingId::GrainAskew, message).about(piece)
}

/// Records which pieces may be the leg of this part, where none was found.
fn doubted(size: &mut Size<'_>, part: Part, others: &Others<'_>) {
    if !size.legs.of(part).is_empty() {
        return;
    }
    let ambiguous = others.unusable.iter().filter(|(_, _, finding)| finding.id == FindingId::SeamAmbiguous);
    let ambiguous = ambiguous.filter(|(_, of, _)| *of == Some(part)).map(|(piece, ..)| piece);
    let shapeless = others.shapeless.iter().filter(|(_, of)| *of == part).map(|(piece, _)| piece);
    size.doubted.extend(ambiguous.chain(shapeless).map(|piece| (part, piece.name.clone())));
}

/// The finding that the pieces called front or back have no crotch seam, if there are such pieces.
fn no_crotch_seam(
    part: Part,
    shapeless: &[(&Piece, Part)],
    across: impl Fn(&Piece) -> Option<f64>,
) -> Option<Finding> {
    let named: Vec<&Piece> = shapeless.iter().filter(|(_, p)| *p == part).map(|(piece, _)| *piece).collect();
    if let Some(piece) = named.iter().find(|p| p.paths_of(LayerUse::Mirror).next().is_some()) {
        let message = format!(
            "'{}' is drawn as a half piece on the fold (it has a mirror line, layer 6), and no crotch seam was found \
             on the half; unfold it, and take the mirror line out",
            piece.name
        );
        return Some(Finding::error(FindingId::HalfPiece, message).about(piece));
    }
    if let Some((piece, off)) = named.iter().find_map(|p| Some((*p, across(p)?))) {
        return Some(grain_across(piece, off));
    }
    let names: Vec<&str> = named.iter().map(|p| p.name.as_str()).collect();
    let message = format!(
        "no crotch seam was found on '{}': no edge is hollow between a corner at the waist and one at the \
         fork. If the outline is right, name the seam by a text at it ([labels] crotch) or put it on a layer \
         of its own ([layers] crotch)",
        names.join("', '")
    );
    named.first().map(|piece| Finding::error(FindingId::SeamAmbiguous, message).about(piece))
}
