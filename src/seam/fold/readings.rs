//! Folds that are in doubt: all readings are shown to the user, and nothing is measured before one of them is chosen.

use super::edge::EndEdge;
use super::{Fold, FoldBy, Folds, Shown, Unclear, candidates};
use crate::finding::{Finding, FindingId};
use crate::seam::{LegPiece, SeamRole, Size};
use crate::trousers::TurnedIn;
use crate::units::Mm;
use crate::words::listed;

/// Decides doubtful folds of a size where front and back decide them for each other, and adds an error for what stays in doubt.
pub(in crate::seam) fn settle_folds(size: &mut Size<'_>) {
    for role in TurnedIn::EDGES {
        settle(size, role);
        let unclear = of_size(size, role).map(|leg| unclear(size, leg, role));
        let found: Vec<Finding> = unclear.map_or_else(|| one_sided(size, role), |one| vec![one]);
        size.findings.extend(found);
    }
}

/// The first leg of a size with a place that may be a fold.
fn of_size<'s, 'p>(size: &'s Size<'p>, role: SeamRole) -> Option<&'s LegPiece<'p>> {
    let mut legs = size.all_legs();
    legs.find(|leg| leg.folds.unclear.iter().any(|u| u.edge == role))
}

/// Where one leg certainly has a fold, a doubtful place at the same distance from the edge of another leg is a fold as well.
fn settle(size: &mut Size<'_>, role: SeamRole) {
    let legs = || size.all_legs();
    let Some(sure) = legs().find_map(|leg| leg.folds.at(role)).map(|fold| fold.turned_in.0) else { return };
    for leg in size.legs.front.iter_mut().chain(&mut size.legs.back) {
        let same = |u: &&Unclear| u.edge == role && candidates::alike(sure, u.fold.turned_in.0);
        if let Some(fold) = leg.folds.unclear.iter().find(same).map(|u| u.fold) {
            *leg.folds.slot(role) = Some(fold);
            leg.folds.unclear.retain(|u| u.edge != role);
        }
    }
}

/// The finding that asks which of several places is the fold, if any, with the measures for each answer.
fn unclear(size: &Size<'_>, on: &LegPiece<'_>, role: SeamRole) -> Finding {
    let places: Vec<&Unclear> = on.folds.unclear.iter().filter(|u| u.edge == role).collect();
    let deep = |u: &Unclear| format!("{:.1}", u.fold.turned_in.0);
    let all = places.iter().map(|u| deep(u)).collect::<Vec<_>>().join(" and ");
    let (what, seam, measure) = match role {
        SeamRole::Waist => ("casing", SeamRole::Crotch, "crotch length"),
        _ => ("hem", SeamRole::Inseam, "inseams"),
    };
    let all_shown = |by: Shown| places.iter().all(|u| u.shown == by);
    let seen = match (all_shown(Shown::Line), places.len()) {
        _ if all_shown(Shown::Notches) => {
            format!("the notches {all} mm from the {role} edge may mark the fold of a {what}")
        }
        (true, 1) => format!("the line {all} mm from the {role} edge may be the fold of a {what}"),
        (true, _) => format!("one of the lines {all} mm from the {role} edge may be the fold of a {what}"),
        _ => format!("the edges turn {all} mm from the {role} edge, as at the fold of a {what}"),
    };
    let turned_in = |u: &&Unclear| {
        let read = read(size, role, seam, Some(u.fold.turned_in));
        format!(" Turned in at {} mm, {measure}: {read}.", deep(u))
    };
    let folded = places.iter().map(turned_in).collect::<Vec<_>>().concat();
    let say: Vec<String> = places.iter().map(|u| format!("--fold {role}={}mm", deep(u))).collect();
    let message = format!(
        "{seen} that is cut in one with the leg and turned in, and the drawing does not settle it.{folded} With nothing \
         turned in, {measure}: {}. Say which it is: {} or, for none, --fold {role}=0 (in the job file {role} under [fold]); \
         or draw the fold on a layer named under [layers] fold, or put a text FOLD at its line",
        read(size, role, seam, None),
        say.join(" or ")
    );
    let at = on.piece.drawn(places[0].fold.ends[0]);
    Finding::error(FindingId::FoldUnclear, message).about(on.piece).at(at)
}

/// A measure of front and back, to a fold at this distance from the edge, or to the edge itself.
fn read(size: &Size<'_>, role: SeamRole, seam: SeamRole, turned_in: Option<Mm>) -> String {
    let length = |leg: &LegPiece<'_>| {
        let mut folds = Folds { unclear: Vec::new(), ..leg.folds.clone() };
        *folds.slot(role) = turned_in.and_then(|deep| at(leg, role, deep));
        LegPiece { folds, ..leg.clone() }.length(seam)
    };
    let parts: Vec<(&str, Mm)> = [("front", size.legs.front.first()), ("back", size.legs.back.first())]
        .into_iter()
        .filter_map(|(word, leg)| Some((word, length(leg?))))
        .collect();
    let said: Vec<String> = parts.iter().map(|(word, length)| format!("{word} {length}")).collect();
    let whole = parts.iter().fold(Mm(0.0), |sum, (_, length)| sum + *length);
    if seam == SeamRole::Crotch { format!("{whole} ({})", said.join(", ")) } else { said.join(", ") }
}

/// The place of a leg that would be the fold at such a depth.
fn at(leg: &LegPiece<'_>, role: SeamRole, deep: Mm) -> Option<Fold> {
    let same = |fold: &Fold| candidates::alike(deep.0, fold.turned_in.0);
    let doubted = leg.folds.unclear.iter().filter(|u| u.edge == role).map(|u| u.fold);
    let known = leg.folds.at(role).copied().into_iter().chain(doubted).find(same);
    known.or_else(|| EndEdge::of(&leg.leg, role).stated(deep))
}

/// Findings for legs without a fold beside a folded one: if their outseams do not match as they are read, one of the two was read
/// wrongly.
fn one_sided(size: &Size<'_>, role: SeamRole) -> Vec<Finding> {
    let legs = || size.all_legs();
    let Some(mate) = legs().find(|leg| leg.folds.at(role).is_some_and(|f| f.by != FoldBy::Stated)) else {
        return Vec::new();
    };
    let Some(fold) = mate.folds.at(role) else { return Vec::new() };
    let outseam = |leg: &LegPiece<'_>| leg.length(SeamRole::Outseam);
    let unlike = |leg: &&LegPiece<'_>| {
        leg.folds.at(role).is_none() && (outseam(leg) - outseam(mate)).abs() > fold.turned_in * 0.5
    };
    let ask = |leg: &LegPiece<'_>| {
        let message = format!(
            "'{}' is turned in at the {role}, {:.1} beyond a fold ({}), and this piece shows no fold there: measured so, its \
             outseam is {} and that of '{}' {}. Say how much is turned in on both with --fold {role}=LENGTH (in the job file \
             {role} under [fold]), 0 for none; or draw the fold on a layer named under [layers] fold on every piece that has it",
            mate.piece.name,
            fold.turned_in,
            fold.by.word(),
            outseam(leg),
            mate.piece.name,
            outseam(mate)
        );
        let finding = Finding::error(FindingId::FoldUnclear, message).about(leg.piece);
        finding.at(leg.piece.drawn(leg.leg.ring[leg.leg.side]))
    };
    legs().filter(unlike).map(ask).collect()
}

/// A nest has to be read in the same way in every size: a fold that only some sizes have, or that lies elsewhere in some, is an
/// error in all of them.
pub(in crate::seam) fn alike(sizes: &mut [Size<'_>]) {
    for role in TurnedIn::EDGES {
        let Some(message) = [true, false].into_iter().find_map(|front| unlike(sizes, role, front)) else {
            continue;
        };
        for size in sizes.iter_mut().filter(|s| !s.legs.front.is_empty() || !s.legs.back.is_empty()) {
            let mut finding = Finding::error(FindingId::FoldUnclear, message.clone());
            finding.size = Some(size.name.to_string());
            size.findings.push(finding);
        }
    }
}

/// The message about a difference in the folds of a nest's sizes, at one edge of front or back, if there is one.
fn unlike(sizes: &[Size<'_>], role: SeamRole, front: bool) -> Option<String> {
    /// By how much the depth of a fold may differ between sizes, in mm and as a share of its depth: casings and hems are not
    /// graded as a rule (common practice, no source).
    const GRADED: (f64, f64) = (6.0, 0.25);
    let leg = |size: &Size<'_>| {
        if front { size.legs.front.first() } else { size.legs.back.first() }.map(|leg| leg.folds.clone())
    };
    let read: Vec<(&str, Folds)> = sizes.iter().filter_map(|s| Some((s.name.as_str(), leg(s)?))).collect();
    let has = |folds: &Folds| folds.at(role).is_some() || folds.unclear.iter().any(|u| u.edge == role);
    let names = |with: bool| listed(read.iter().filter(|(_, f)| has(f) == with).map(|(name, _)| *name));
    let part = if front { "front" } else { "back" };
    let settle = format!(
        "a nest is read one way. Say how much is turned in with --fold {role}=LENGTH (in the job file {role} under [fold]), \
         0 for none; or mark the fold in every size"
    );
    if read.iter().any(|(_, f)| has(f)) && !read.iter().all(|(_, f)| has(f)) {
        return Some(format!(
            "the {part} is or may be turned in along a fold at the {role} in size {} and not in size {}; {settle}",
            names(true),
            names(false)
        ));
    }
    let depths = || read.iter().filter_map(|(name, f)| Some((*name, f.at(role)?.turned_in)));
    let least = depths().min_by(|a, b| a.1.0.total_cmp(&b.1.0))?;
    let most = depths().max_by(|a, b| a.1.0.total_cmp(&b.1.0))?;
    let apart = (most.1 - least.1).0;
    (apart > GRADED.0.max(GRADED.1 * least.1.0)).then(|| {
        format!(
            "the fold at the {role} of the {part} lies {:.1} from the edge in size {} and {:.1} in size {}; {settle}",
            least.1, least.0, most.1, most.0
        )
    })
}
