//! Pieces with an edge that lay on a redrawn one: if they are forgotten, they no longer fit when sewn. They are reported, or
//! redrawn in the same way where that is asked for.

use super::Settings;
use super::leg::AlteredLeg;
use crate::alter::hanging::{Hanging, Other, Redrawing};
use crate::alter::{self, Change};
use crate::check::invariants;
use crate::finding::{Finding, FindingId, Severity};
use crate::geometry::line;
use crate::pattern::{LayerUse, Path, Pattern, Piece};
use crate::report::{FollowedReport, SizeReport, Status};
use crate::seam::{Part, Size};
use crate::units::{Mm, against};
use kurbo::{Affine, Point};
use std::collections::HashSet;

/// How far, in mm, a vertex may be off a line that it lies on: the line is known every mm, which cuts its corners off by up to half of
/// that.
const ON: f64 = 0.5;

/// A piece redrawn along a leg that it hangs on.
pub(super) struct Followed<'p> {
    pub piece: &'p Piece,
    pub change: Change,
    pub report: FollowedReport,
}

/// A leg's outline with what was done to it.
struct LegOutline<'a, 's> {
    altered: &'a AlteredLeg<'s>,
    /// The back, where the leg is the front of a piece on which both are drawn.
    with: Option<&'a AlteredLeg<'s>>,
    redrawing: Redrawing,
}

/// An edge of a piece that lay on a redrawn line.
struct HangingEdge<'a, 's> {
    path: &'a Path,
    line: &'a LegOutline<'a, 's>,
    found: Hanging,
    /// The name of another leg on which it lies over as long a stretch, and as closely.
    or: Option<&'s str>,
}

/// Finds every other piece of the size, or of all sizes, with an edge that lay on a redrawn line of these legs and no longer
/// does. Such a piece is redrawn in the same way if the settings ask for it, otherwise a finding reports it.
pub(super) fn follow_all<'p>(
    pattern: &'p Pattern,
    size: &Size<'_>,
    altered: &[&AlteredLeg<'_>],
    settings: &Settings,
) -> (Vec<Followed<'p>>, Vec<Finding>) {
    let legs = size.all_legs().map(|on| on.piece.block);
    let ours: HashSet<usize> = legs.chain(size.yokes.iter().map(|y| y.piece.block)).collect();
    let others = pattern.pieces.iter().filter(|p| !ours.contains(&p.block));
    let others: Vec<&Piece> =
        others.filter(|p| p.size.as_ref().is_none_or(|own| *own == size.name)).collect();
    let (mut followed, mut findings) = (Vec::new(), Vec::new());
    if others.is_empty() {
        return (followed, findings);
    }
    let other_part =
        |a: &&&AlteredLeg<'_>| a.part_of_piece() == Some(Part::Back) && a.on().leg.other_part().is_some();
    let back = altered.iter().find(other_part).copied();
    let own = altered.iter().filter(|a| a.part_of_piece() != Some(Part::Back));
    let lines: Vec<LegOutline<'_, '_>> = own.flat_map(|a| lines(a, back)).collect();
    for piece in others {
        // What is named front or back hangs on that, however much the waist of the other is like it.
        let own: Vec<&LegOutline<'_, '_>> =
            lines.iter().filter(|line| size.may_hang(piece, line.altered.on().piece)).collect();
        let Some(edge) = longest(piece, &own) else {
            let lining = size.linings.iter().any(|lining| std::ptr::eq(*lining, piece));
            findings.extend(lining.then(|| apart(piece)));
            continue;
        };
        if !settings.follow || !edge.found.settled || edge.or.is_some() {
            findings.push(not_redrawn(piece, &edge, settings.follow));
            continue;
        }
        let edge = settled(piece, edge, &own);
        let elsewhere = own.iter().find_map(|line| hangs_too(piece, &edge, line));
        let done = match elsewhere {
            Some(leg) => {
                Err(format!("another edge of it ran along {leg}, and it would follow one of the two only"))
            }
            None => follow(piece, &edge),
        };
        match done {
            Ok((change, report)) => {
                findings.push(done_along(piece, &edge, &report));
                followed.push(Followed { piece, change, report });
            }
            Err(why) => findings.push(cannot(piece, &edge, &why)),
        }
    }
    (followed, findings)
}

/// Warns of pieces that hang on a leg in some sizes, and on which nothing was found in another that was altered by as much: the same
/// piece is sewn to the same seam in every size, and an edge that is bent just too gently to be told by is forgotten.
pub(super) fn in_some_sizes(pattern: &Pattern, reports: &mut [SizeReport]) {
    let told = |report: &SizeReport, name: &str| {
        let of = |f: &Finding| f.id == FindingId::PieceToFollow && f.piece.as_deref() == Some(name);
        report.findings.iter().any(of)
    };
    let by = |report: &SizeReport| report.asked.as_ref().map_or(0.0, |asked| asked.change.0.abs());
    let altered: Vec<usize> = (0..reports.len()).filter(|&k| reports[k].status == Status::Altered).collect();
    let missed = |piece: &&Piece| {
        let (told_in, not_in): (Vec<usize>, Vec<usize>) =
            altered.iter().partition(|&&k| told(&reports[k], &piece.name));
        let least = told_in.iter().map(|&k| by(&reports[k])).min_by(f64::total_cmp)?;
        let own = |k: &usize| piece.size.as_ref().is_some_and(|size| size.as_str() == reports[*k].size);
        let k = not_in.into_iter().find(|k| own(k) && by(&reports[*k]) >= least)?;
        let sizes: Vec<&str> = told_in.iter().map(|&k| reports[k].size.as_str()).collect();
        let (word, sizes) = (if sizes.len() == 1 { "size" } else { "sizes" }, sizes.join(", "));
        let message = format!(
            "in {word} {sizes} an edge of this piece ran along what was redrawn, and here none was found that does: lay the piece on \
             the altered leg, and trace the edge again where it is off"
        );
        let finding = Finding::warning(FindingId::PieceToFollow, message).about(piece);
        Some((k, Finding { size: Some(reports[k].size.clone()), ..finding }))
    };
    let missed: Vec<(usize, Finding)> = pattern.pieces.iter().filter_map(|p| missed(&p)).collect();
    for (k, finding) in missed {
        reports[k].findings.push(finding);
    }
}

/// The redrawn outlines of a leg; `with` is the back of the same piece, if the piece is both.
fn lines<'a, 's>(altered: &'a AlteredLeg<'s>, with: Option<&'a AlteredLeg<'s>>) -> Vec<LegOutline<'a, 's>> {
    let piece = altered.on().piece;
    let of = |layer_use: LayerUse| {
        let outline = piece.outline(layer_use)?;
        let redrawn =
            altered.change.redrawn.iter().find(|r| std::ptr::eq(&raw const piece.paths[r.path], outline))?;
        let (old, new) = (redrawn.divided(&outline.points), redrawn.line(&outline.points).0);
        Some(LegOutline { altered, with, redrawing: Redrawing::new(&old, &new)? })
    };
    [LayerUse::Sew, LayerUse::Cut].into_iter().filter_map(of).collect()
}

/// The edge of a piece that lay on one of the lines and no longer does, over the longest stretch. Of two legs on which it lay over about
/// as much, since their seams begin alike or are bent alike, it is the one on which it lay more closely; on which it may lie still.
fn longest<'a, 's>(piece: &'a Piece, lines: &[&'a LegOutline<'a, 's>]) -> Option<HangingEdge<'a, 's>> {
    /// A stretch of at least this share of the longest one's length is about as long.
    const AS_LONG: f64 = 0.9;
    /// It lies more closely if it is nearer by this, in mm: more than what rounding to three decimals does.
    const NEARER: f64 = 0.01;
    let outlines = [LayerUse::Sew, LayerUse::Cut].into_iter().filter_map(|u| piece.outline(u));
    let edges = outlines.flat_map(|path| {
        let other = Other::new(&path.points);
        let on = move |line: &'a LegOutline<'a, 's>| {
            let found = line.redrawing.lies(&other).into_iter();
            found.map(move |found| HangingEdge { path, line, found, or: None })
        };
        lines.iter().copied().flat_map(on).collect::<Vec<_>>()
    });
    let mut edges: Vec<HangingEdge<'_, '_>> = edges.collect();
    edges.sort_by(|a, b| b.found.length.total_cmp(&a.found.length));
    let first = edges.iter().position(|e| e.found.leaves)?;
    let best = &edges[first];
    let leg = |e: &HangingEdge<'a, 's>| e.line.altered.on().piece;
    let rivals = |e: &HangingEdge<'a, 's>| {
        leg(e).block != leg(best).block && e.found.length >= AS_LONG * best.found.length
    };
    let Some(rival) = edges.iter().position(rivals) else { return Some(edges.swap_remove(first)) };
    let [own, other] = [first, rival].map(|k| edges[k].away());
    if other + NEARER < own {
        // Where it lies on its own leg still, it does not hang on the other one.
        let nearer = edges.swap_remove(rival);
        return nearer.found.leaves.then_some(nearer);
    }
    let or = (other < own + NEARER).then(|| leg(&edges[rival]).name.as_str());
    Some(HangingEdge { or, ..edges.swap_remove(first) })
}

/// The edge as it lies once the whole piece is laid on the leg, on the sew line rather than on the cut line: a cut line may have been
/// found on the leg's that has another allowance.
fn settled<'a, 's>(
    piece: &'a Piece,
    mut edge: HangingEdge<'a, 's>,
    lines: &[&'a LegOutline<'a, 's>],
) -> HangingEdge<'a, 's> {
    /// The share of the longest stretch that is enough.
    const ENOUGH: f64 = 0.5;
    let leg = edge.line.altered.on().piece;
    edge.found.laid = alter::follow::settled(piece, leg, edge.found.laid);
    let paths = [LayerUse::Sew, LayerUse::Cut].into_iter().filter_map(|u| piece.outline(u));
    let of_leg = || lines.iter().filter(|line| line.altered.on().piece.block == leg.block);
    let all = paths.flat_map(|path| of_leg().map(move |line| (path, *line)));
    let on = |(path, line)| {
        let edge = HangingEdge { path, line, found: edge.found.clone(), or: None };
        let length = Run::of(&edge, &path.points).ok()?.length;
        Some((length, edge))
    };
    let mut found: Vec<(Mm, HangingEdge<'_, '_>)> = all.filter_map(on).collect();
    let most = found.iter().map(|(length, _)| length.0).fold(0.0, f64::max);
    let longest = found.iter().position(|(length, _)| length.0 >= ENOUGH * most);
    longest.map_or(edge, |k| found.swap_remove(k).1)
}

impl HangingEdge<'_, '_> {
    /// How far, in mm, the vertices of the edge lay from the old line, in the mean.
    fn away(&self) -> f64 {
        let off = |p: &Point| self.line.redrawing.away([self.found.laid * *p; 2])[0];
        let all: Vec<f64> = self.path.points.iter().map(off).filter(|off| *off <= ON).collect();
        all.iter().sum::<f64>() / all.len().max(1) as f64
    }
}

/// The name of another leg that the piece lay on as well, with a different edge.
fn hangs_too<'s>(piece: &Piece, edge: &HangingEdge<'_, '_>, line: &LegOutline<'_, 's>) -> Option<&'s str> {
    /// An edge that lies on this leg to within this, in mm, is the same edge; it fits on the other leg by accident.
    const ON: f64 = 1.0;
    /// So does an edge that is shorter than this share of the one found.
    const SHORT: f64 = 0.5;
    let leg = line.altered.on().piece;
    if std::ptr::eq(leg, edge.line.altered.on().piece) {
        return None;
    }
    let outlines = [LayerUse::Sew, LayerUse::Cut].into_iter().filter_map(|u| piece.outline(u));
    let mut found = outlines.filter_map(|path| line.redrawing.leaves(&Other::new(&path.points)));
    let own = |other: &Hanging| {
        let p = edge.found.laid * other.at;
        edge.line.redrawing.away([p, p])[0] > ON
    };
    found
        .any(|other| other.settled && other.length >= SHORT * edge.found.length && own(&other))
        .then_some(leg.name.as_str())
}

/// The piece redrawn along the leg, with the old and new length of its edge; or the reason why it has to be done by hand.
fn follow(piece: &Piece, edge: &HangingEdge<'_, '_>) -> Result<(Change, FollowedReport), String> {
    if piece.size.is_none() {
        return Err("it says no size, so that every size is cut by it".to_owned());
    }
    let altered = edge.line.altered;
    let along = |leg: &AlteredLeg<'_>| {
        let applied = leg.applied().ok_or("its leg was not redrawn")?;
        Ok::<_, String>(alter::follow::change(piece, leg.on(), &applied, edge.found.laid))
    };
    let mut change = along(altered)?;
    if let Some(back) = edge.line.with {
        change = alter::merged(piece, &change, &along(back)?);
    }
    let was = Run::of(edge, &edge.path.points)?;
    let redrawn = change
        .redrawn
        .iter()
        .find(|r| std::ptr::eq(&raw const piece.paths[r.path], edge.path))
        .ok_or("its edge was not redrawn")?;
    let (line, index) = redrawn.line(&edge.path.points);
    was.lies_on(edge, &line, &index)?;
    if let Some(finding) = invariants::check_followed(piece, &change).into_iter().next() {
        return Err(finding.message);
    }
    let report = FollowedReport {
        piece: piece.name.clone(),
        block: piece.block_name.clone(),
        along: altered.on().piece.block_name.clone(),
        before: was.length,
        after: was.length_now(&line, &index),
    };
    Ok((change, report))
}

/// The note about a piece that was redrawn.
fn done_along(piece: &Piece, edge: &HangingEdge<'_, '_>, report: &FollowedReport) -> Finding {
    let message = format!(
        "redrawn along {}: its edge ran along it over {} and runs along it over {} now",
        edge.line.altered.on().piece.name,
        report.before,
        report.after
    );
    Finding::note(FindingId::PieceToFollow, message).about(piece).at(piece.drawn(edge.found.at))
}

/// The consecutive vertices of a piece's line that lay on a leg's line.
struct Run {
    vertices: Vec<usize>,
    length: Mm,
}

impl Run {
    /// Finds the longest run of such vertices.
    fn of(edge: &HangingEdge<'_, '_>, points: &[Point]) -> Result<Run, String> {
        let n = points.len();
        let on = |i: usize| {
            let p = edge.found.laid * points[i % n];
            edge.line.redrawing.away([p, p])[0] <= ON
        };
        let starts = (0..n).filter(|&i| on(i) && !on(i + n - 1));
        let runs = starts.map(|i| (i..i + n).take_while(|&k| on(k)).map(|k| k % n).collect::<Vec<usize>>());
        // A lining that is cut at the leg's own lines lies on them all round.
        let all_round = (0..n).all(on).then(|| (0..n).collect());
        let vertices = runs.chain(all_round).max_by_key(Vec::len).filter(|run| run.len() >= 2);
        let vertices = vertices.ok_or("its edge has too few vertices on the leg's line")?;
        let length = Mm(line::length(&vertices.iter().map(|&i| points[i]).collect::<Vec<_>>()));
        Ok(Run { vertices, length })
    }

    /// Checks that each of them lies on the leg's new line as it lay on the old one.
    fn lies_on(&self, edge: &HangingEdge<'_, '_>, line: &[Point], index: &[usize]) -> Result<(), String> {
        /// In mm: the trade's limit for an allowance along a redrawn edge, and as much again for the different vertices of the
        /// lines.
        const MOST: f64 = 0.1;
        let laid: Affine = edge.found.laid;
        let off = |&i: &usize| {
            let [was, is] = edge.line.redrawing.away([laid * edge.path.points[i], laid * line[index[i]]]);
            is - was
        };
        let off = self.vertices.iter().map(off).fold(0.0, f64::max);
        if off <= MOST {
            return Ok(());
        }
        let (off, most) = against(off, MOST, 2);
        Err(format!("redrawn alike, its edge would be {off} mm off the leg's new line (at most {most} mm)"))
    }

    fn length_now(&self, line: &[Point], index: &[usize]) -> Mm {
        let (first, last) = (index[self.vertices[0]], index[self.vertices[self.vertices.len() - 1]]);
        let n = line.len();
        let count = (last + n - first) % n;
        Mm(line::length(&(0..=count).map(|k| line[(first + k) % n]).collect::<Vec<_>>()))
    }
}

/// A text that says how the edge differs from the new line.
fn leaves(found: &Hanging) -> String {
    let off = format!("and is off it now by up to {:.1} mm", found.off);
    let way = if found.longer < 0.0 { "shorter" } else { "longer" };
    if found.longer.abs() < 0.05 {
        off
    } else {
        format!("which is {:.1} mm {way} now, {off}", found.longer.abs())
    }
}

/// The warning about a piece that is not redrawn.
fn not_redrawn(piece: &Piece, edge: &HangingEdge<'_, '_>, asked: bool) -> Finding {
    let found = &edge.found;
    let leg = &edge.line.altered.on().piece.name;
    let along = edge.or.map_or_else(|| leg.clone(), |or| format!("{leg} or {or}, on which it lies alike"));
    let why = match edge.or {
        _ if !asked => "",
        Some(_) => {
            ". On which of the two it hangs is not known, so that it is not redrawn (--follow): say front or back in its name"
        }
        None => {
            ". It lies on the redrawn seam in more than one place, as an arc does, so that it is not redrawn (--follow)"
        }
    };
    let message = format!(
        "an edge of this piece ran along {along}, over {:.0} mm of what was redrawn, {}: lay the piece on the altered leg and \
         trace the edge again, notches too{why}",
        found.length,
        leaves(found)
    );
    Finding::warning(FindingId::PieceToFollow, message).about(piece).at(piece.drawn(found.at))
}

/// The warning about a lining that may have the shape of a leg but lies on neither leg.
fn apart(piece: &Piece) -> Finding {
    let message = "a lining by its name, which may have the shape of a leg, and no edge of it lies on a redrawn one: it is left as it is. Alter it \
                   for itself, its pieces named front and back"
        .to_owned();
    Finding::warning(FindingId::PieceToFollow, message).about(piece)
}

/// The error for a piece that was to be redrawn and cannot be.
fn cannot(piece: &Piece, edge: &HangingEdge<'_, '_>, why: &str) -> Finding {
    let found = &edge.found;
    let message = format!(
        "an edge of this piece ran along {}, over {:.0} mm of what was redrawn, {}, and it cannot be redrawn alike: {why}. Lay it on the \
         altered leg, trace the edge again, and --accept piece-to-follow",
        edge.line.altered.on().piece.name,
        found.length,
        leaves(found)
    );
    let finding = Finding::warning(FindingId::PieceToFollow, message);
    Finding { severity: Severity::Error, ..finding.about(piece).at(piece.drawn(found.at)) }
}
