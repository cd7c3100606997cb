//! What must hold after a slide, checked on the lines as they will be drawn.
//!
//! The bounds are those of the trade; see each constant. The checks measure the new lines anew and do not rely on the
//! displacement that made them.

use super::allowances::{self, CutLine};
use crate::alter::{Added, Change, Displacement, Moves, Redrawn};
use crate::finding::{Finding, FindingId, Severity};
use crate::geometry::{
    Nearest, Segments, corners, crossing::Crossing, crossing::crossing, direction, line, ring,
};
use crate::pattern::{LayerUse, Piece};
use crate::seam::{Leg, SeamRole};
use crate::units::{Mm, against};
use kurbo::{Point, Vec2};
use std::borrow::Cow;
use std::collections::HashSet;
use std::ops::RangeInclusive;

/// The span that is copied exactly has to move as one piece, to this many mm.
const COPY: f64 = 0.001;
/// By how many degrees a vertex may turn more than the sharpest vertex of its seam did before.
const SHARPER: f64 = 0.5;
/// The same bound where the fork is carried across the grain, which bends the curve itself.
const SHARPER_ACROSS: f64 = 1.0;
/// A vertex that turns by this many degrees or more is a corner (of a dart, a pleat or a fly) and not part of a curve.
pub(super) const CORNER: f64 = 35.0;

/// Checks one altered leg piece. `after` is the leg on the redrawn sew line.
#[must_use]
pub fn check(
    piece: &Piece,
    before: &Leg,
    after: &Leg,
    change: &Change,
    moves: Moves,
    displacement: &Displacement,
) -> Vec<Finding> {
    let mut findings = Vec::new();
    copy(piece, before, after, moves, displacement, &mut findings);
    stays(piece, before, after, moves, displacement, &mut findings);
    smooth(piece, before, after, (moves, displacement), &mut findings);
    if let (Some(cut), Some(old)) = (redrawn(piece, change, LayerUse::Cut), piece.outline(LayerUse::Cut)) {
        let turns = corners::turns(&old.points);
        let lines = [before, after].map(closed);
        let line = CutLine { points: &old.points, turns: &turns, redrawn: cut };
        allowances::check(piece, lines, line, &mut findings);
        if before.drawn.derived().is_none() {
            smooth_cut(piece, before, (moves, displacement), cut, (&old.points, &turns), &mut findings);
        }
    }
    // A seam that is drawn again on a layer of its own is no outline.
    for redrawn in change.redrawn.iter().filter(|r| piece.paths[r.path].closed) {
        sound(piece, redrawn, &mut findings);
    }
    findings.into_iter().map(|f| f.about(piece)).collect()
}

/// Checks a yoke whose waist is raised: its lower edge and its side have to stay.
#[must_use]
pub fn check_yoke(piece: &Piece, before: &Leg, after: &Leg, change: &Change) -> Vec<Finding> {
    let mut findings = Vec::new();
    let (old, new) = (before.drawn_ring(), after.drawn_ring());
    // Where the sew line is derived from a cut line, the cut line's corner below the centre moves along the lower edge and is
    // left out.
    let first = before.fork + usize::from(before.drawn.derived().is_some());
    let pairs = old[first..=before.side].iter().zip(&new[after.fork + first - before.fork..]);
    findings.extend(pairs.into_iter().find(|(was, is)| was != is).map(|(was, is)| moved(piece, *was, *is)));
    if let (Some(cut), Some(old)) = (redrawn(piece, change, LayerUse::Cut), piece.outline(LayerUse::Cut)) {
        let turns = corners::turns(&old.points);
        let lines = [before, after].map(closed);
        let line = CutLine { points: &old.points, turns: &turns, redrawn: cut };
        allowances::check(piece, lines, line, &mut findings);
    }
    for redrawn in change.redrawn.iter().filter(|r| piece.paths[r.path].closed) {
        sound(piece, redrawn, &mut findings);
    }
    findings.into_iter().map(|f| f.about(piece)).collect()
}

/// Checks a piece that was redrawn along with a leg: its outlines are sound, and its allowance stays.
#[must_use]
pub fn check_followed(piece: &Piece, change: &Change) -> Vec<Finding> {
    let mut findings = Vec::new();
    for redrawn in change.redrawn.iter().filter(|r| piece.paths[r.path].closed) {
        sound(piece, redrawn, &mut findings);
        kinked(piece, redrawn, &mut findings);
    }
    let outline = |layer_use| piece.outline(layer_use).map(|path| path.points.to_vec());
    let redrawn = |layer_use| Some(redrawn(piece, change, layer_use)?.line(&outline(layer_use)?).0);
    if let (Some(cut), Some(old), Some(sew), Some(new)) = (
        self::redrawn(piece, change, LayerUse::Cut),
        outline(LayerUse::Cut),
        outline(LayerUse::Sew),
        redrawn(LayerUse::Sew),
    ) {
        let closed = |line: Vec<Point>| [&line[..], &line[..1]].concat();
        let turns = corners::turns(&old);
        let line = CutLine { points: &old, turns: &turns, redrawn: cut };
        allowances::check(piece, [closed(sew), closed(new)], line, &mut findings);
    }
    findings.into_iter().map(|f| f.about(piece)).collect()
}

/// Checks that the line of a piece that was redrawn along with a leg has no kink where it had none: that no vertex turns much more
/// than the sharpest bend of the old line.
fn kinked(piece: &Piece, redrawn: &Redrawn, findings: &mut Vec<Finding>) {
    /// In degrees: a coarse line, or one inside of a tight bend, is turned by some degrees more.
    const MORE: f64 = 8.0;
    let points = &piece.paths[redrawn.path].points;
    let (line, index) = redrawn.line(points);
    let [was, is] = [&points[..], &line[..]].map(corners::turns);
    let bends = was.iter().map(|turn| turn.abs()).filter(|turn| *turn < CORNER);
    let sharpest = bends.fold(0.0, f64::max);
    let corners: HashSet<usize> =
        (0..was.len()).filter(|&i| was[i].abs() >= CORNER).map(|i| index[i]).collect();
    let kink = (0..line.len()).find(|k| !corners.contains(k) && is[*k].abs() > sharpest + MORE);
    if let Some(k) = kink {
        let message = format!(
            "its new line would have a kink of {:.0}°, where the old one bends by {sharpest:.0}° at most",
            is[k].abs()
        );
        findings.push(Finding::error(FindingId::LineNotSmooth, message).at(piece.drawn(line[k])));
    }
}

/// The finding for a vertex that moved although it had to stay.
fn moved(piece: &Piece, was: Point, is: Point) -> Finding {
    let message = format!(
        "a vertex of hem, outseam or waist moved by {:.4} mm; nothing there may move",
        (is - was).hypot()
    );
    Finding::error(FindingId::ChangedElsewhere, message).at(piece.drawn(was))
}

/// The redrawn line of this use.
fn redrawn<'c>(piece: &Piece, change: &'c Change, layer_use: LayerUse) -> Option<&'c Redrawn> {
    change.redrawn.iter().find(|r| piece.paths[r.path].layer_use == layer_use)
}

/// Checks that a redrawn line does not cross itself, and runs round its piece in the same direction. A line that crossed itself where
/// it stays is told of.
fn sound(piece: &Piece, redrawn: &Redrawn, findings: &mut Vec<Finding>) {
    let path = &piece.paths[redrawn.path];
    let (line, index) = redrawn.line(&path.points);
    let name = if path.layer_use == LayerUse::Sew { "sew line" } else { "cut line" };
    let crosses = match crossing(&line) {
        Crossing::None => None,
        Crossing::At(i, j, at) => {
            Some((at, [i, j].into_iter().any(|edge| moved_edge(redrawn, &index, edge))))
        }
        Crossing::Untold => Some((line[0], false)),
    };
    let crossed = || crossing(&path.points) != Crossing::None;
    match crosses {
        Some((at, _)) if !crossed() => {
            let message = format!(
                "the altered {name} crosses itself; ask for a smaller change, or let it come back further down (--blend-to)"
            );
            findings.push(Finding::error(FindingId::CrossingOutline, message).at(piece.drawn(at)));
        }
        Some((at, true)) => {
            let message = format!(
                "the {name} crosses or touches itself as it is drawn, at a place that is redrawn: what belongs there is not known; \
                 take the loop out of the drawing"
            );
            findings.push(Finding::error(FindingId::CrossingOutline, message).at(piece.drawn(at)));
        }
        Some((at, false)) => {
            let message = format!(
                "the {name} crosses or touches itself as it is drawn; take the loop out before it is cut"
            );
            findings.push(Finding::warning(FindingId::CrossingOutline, message).at(piece.drawn(at)));
        }
        None => {}
    }
    if let Some(at) = turned_back(&path.points, &line, &index) {
        let message = format!(
            "the altered {name} turns back on itself: beside so tight a bend there is no room for the allowance; ask for a smaller \
             change"
        );
        findings.push(Finding::error(FindingId::CrossingOutline, message).at(piece.drawn(at)));
    }
    if ring::doubled_area(&line) * ring::doubled_area(&path.points) <= 0.0 {
        let message = format!("the altered {name} runs the other way round; ask for a smaller change");
        findings.push(Finding::error(FindingId::CrossingOutline, message));
    }
}

/// Whether an end of an edge of the redrawn line moves, or is added; `index` maps each old point to its new index.
fn moved_edge(redrawn: &Redrawn, index: &[usize], edge: usize) -> bool {
    let moves = |k: usize| index.binary_search(&k).map_or(true, |i| redrawn.moves[i] != Vec2::ZERO);
    let len = redrawn.moves.len() + redrawn.added.len();
    moves(edge) || moves((edge + 1) % len)
}

/// A place where the redrawn line turns back on itself and did not before; `index` maps each old point to its new index.
fn turned_back(old: &[Point], new: &[Point], index: &[usize]) -> Option<Point> {
    /// A vertex that turns by this many degrees or more turns back; the tip of a dart turns by less.
    const BACK: f64 = 172.0;
    /// A vertex has folded over if its turn grew by at least the first number and is now at least the second, both in
    /// degrees.
    const MORE: (f64, f64) = (60.0, 100.0);
    let around = |line: &[Point], k: usize| {
        let n = line.len();
        (line[k] - line[(k + n - 1) % n], line[(k + 1) % n] - line[k])
    };
    let turn = |line: &[Point], k: usize| {
        let (before, after) = around(line, k);
        direction::angle(before, after).abs()
    };
    let folded = |&k: &usize| {
        let (before, after) = around(new, k);
        if before.dot(after) > 0.0 {
            return false;
        }
        // A vertex that was added lay on a straight edge before.
        let was = index.binary_search(&k).map_or(0.0, |i| turn(old, i));
        let is = turn(new, k);
        (is >= BACK && was < BACK) || (is >= MORE.1 && is - was >= MORE.0)
    };
    (0..new.len()).find(folded).map(|k| new[k])
}

/// Checks that hem and outseam stay where they are to the last bit, and the waist too unless its centre is moved: what does
/// not move is copied from the input byte for byte. One point is exempt: where the inseam turns at the hem, and the sew line
/// is derived from the cut line, the cut line's corner moves along the hem.
fn stays(
    piece: &Piece,
    before: &Leg,
    after: &Leg,
    moves: Moves,
    displacement: &Displacement,
    findings: &mut Vec<Finding>,
) {
    let (old, new) = (before.drawn_ring(), after.drawn_ring());
    // Whatever is turned in above a fold moves with the seam, so it does not have to stay.
    let stays = moves.waist == Mm(0.0) && !displacement.carries_waist();
    let own = before.own_waist();
    let hem = (old[before.hem_in + 1] - old[before.hem_in]).normalize();
    let along = displacement.turns_at_hem()
        && before.drawn.derived().is_some()
        && hem.cross(new[after.hem_in] - old[before.hem_in]).abs() <= COPY;
    let first = usize::from(along);
    // If front and back are in one piece, the other part's seams follow the hem, and its part of the waist the other part's seams.
    let outer = if before.other_part().is_some() { before.hem_out } else { before.side };
    let of_hem = (before.hem_in + first..outer).zip(after.hem_in + first..);
    let vertices = of_hem.chain(own.rev().zip((0..new.len()).rev()).filter(|_| stays));
    let gone = vertices.map(|(i, k)| (old[i], new[k])).find(|(was, is)| was != is);
    findings.extend(gone.map(|(was, is)| moved(piece, was, is)));
}

/// Checks that the fork moves by exactly the slide, and that the curve and the first quarter of the way back move with it.
fn copy(
    piece: &Piece,
    before: &Leg,
    after: &Leg,
    moves: Moves,
    displacement: &Displacement,
    findings: &mut Vec<Finding>,
) {
    let wanted = before.up * -moves.along.0 + before.out * moves.across.0;
    let (old, new) = (&before.ring, &after.ring);
    let moved = new[after.fork] - old[before.fork];
    if (moved - wanted).hypot() > COPY {
        let (moved, wanted) = (moved.hypot(), wanted.hypot());
        let (moved, wanted) = (against(moved, wanted, 4).0, against(wanted, moved, 4).0);
        let message = format!("the fork moved by {moved} mm in place of {wanted} mm along the grain");
        findings
            .push(Finding::error(FindingId::ChangedElsewhere, message).at(piece.drawn(after.fork_point())));
    }
    // A fork that is carried across the grain is not an exact copy.
    if moves.across.0 != 0.0 {
        return;
    }
    // Vertices are only added where the slide changes, so the copied span has as many as before.
    let shift = after.curve_begin.abs_diff(before.curve_begin);
    let first = displacement.copied_from();
    let off = (first..=copied_to(before, displacement.end()))
        .filter_map(|i| new.get(i + shift).map(|p| ((*p - old[i]) - wanted, old[i])))
        .find(|(d, _)| d.hypot() > COPY);
    if let Some((d, at)) = off {
        let message =
            format!("the curve is no exact copy: a vertex is {:.4} mm from where it belongs", d.hypot());
        findings.push(Finding::error(FindingId::ChangedElsewhere, message).at(piece.drawn(at)));
    }
}

/// The last vertex of the copied span: the last one on the first quarter of the way back, or the fork itself where the inseam
/// is a straight line of two vertices.
fn copied_to(leg: &Leg, blend: Mm) -> usize {
    let quarter = 0.25 * blend.0;
    let stations = line::stations(&leg.ring[leg.fork..=leg.hem_in]);
    leg.fork + stations.partition_point(|&s| s <= quarter).saturating_sub(1)
}

/// Checks that no vertex of the crotch seam or the inseam turns more than the sharpest vertex of that seam did before, and
/// that none turns the other way unless some did before. This holds for the sew line and for the line that is drawn. The
/// crotch seam begins at the waist or at a fold, and the inseam ends at the hem or at a fold; there the edge turns as it has to.
fn smooth(
    piece: &Piece,
    before: &Leg,
    after: &Leg,
    (moves, displacement): (Moves, &Displacement),
    findings: &mut Vec<Finding>,
) {
    let bound = if moves.across.0 == 0.0 { SHARPER } else { SHARPER_ACROSS };
    let lines = [
        ("sew line", Cow::Borrowed(&before.ring[..]), Cow::Borrowed(&after.ring[..])),
        ("line", before.drawn_ring(), after.drawn_ring()),
    ];
    let drawn = usize::from(before.drawn.derived().is_some());
    for (name, old, new) in &lines[..=drawn] {
        for role in [SeamRole::Crotch, SeamRole::Inseam] {
            // On the drawn line, a cut line that the sew line is derived from, a fly has corners of its own at its foot.
            let first =
                |leg: &Leg| if *name == "line" && role == SeamRole::Crotch { below_fly(leg) } else { 0 };
            // Vertices are added above the end of the inseam only.
            let turned_up = before.hem_in - displacement.inseam_to();
            let seam = |leg: &Leg| match role {
                SeamRole::Crotch => displacement.begin().max(first(leg))..=leg.fork,
                _ => leg.fork..=leg.hem_in - turned_up,
            };
            let (was, is) = (bends(old, seam(before)), bends(new, seam(after)));
            let reach = was.iter().fold((0.0_f64, 0.0_f64), |(l, h), (t, _)| (l.min(*t), h.max(*t)));
            let over = |t: f64| (t - reach.1).max(reach.0 - t);
            let worst = is.iter().copied().max_by(|a, b| over(a.0).total_cmp(&over(b.0)));
            if let Some((turn, at)) = worst.filter(|(turn, _)| over(*turn) > bound) {
                let (more, most) = against(over(turn), bound, 2);
                // Where the inseam comes back is of no help to the curve.
                let (id, or) = if role == SeamRole::Crotch {
                    (FindingId::TruingTooLarge, "draw the curve there with more vertices")
                } else {
                    (FindingId::LineNotSmooth, "let the inseam come back further down (--blend-to)")
                };
                let message = format!(
                    "the altered {name} turns by {:.2}° at a vertex of the {}, more than the original anywhere there by \
                     {more}° (at most {most}°); ask for a smaller change, or {or}",
                    turn.abs(),
                    role.as_str()
                );
                findings.push(Finding::error(id, message).at(piece.drawn(at)));
            } else if role == SeamRole::Inseam {
                findings.extend(other_way(piece, name, &was, &is));
            }
        }
    }
}

/// What is told of an inseam with a bend of its own, whose vertices turned as in `was`, where it bends the other way. One that is straight
/// has to, wherever it comes back.
fn other_way(piece: &Piece, name: &str, was: &[(f64, Point)], is: &[(f64, Point)]) -> Option<Finding> {
    /// A seam that turns by this many degrees in all has a bend of its own.
    const BENT: f64 = 2.0;
    /// By how many degrees a vertex that turns the other way may do so more than the old line did: by as much as rounded coordinates
    /// turn it.
    const MORE: f64 = 0.05;
    /// From this many degrees on it is to be looked at: less cannot be seen, nor cut.
    const SEEN: f64 = 0.2;
    let turned: f64 = was.iter().map(|(turn, _)| turn).sum();
    let against = |(turn, _): &(f64, Point)| -turn * turned.signum();
    let most = was.iter().map(against).fold(0.0, f64::max) * 1.1 + MORE;
    let worst = is.iter().max_by(|a, b| against(a).total_cmp(&against(b)))?;
    if turned.abs() < BENT || against(worst) <= most {
        return None;
    }
    let message = format!(
        "the altered {name} bends the other way by {:.2}° at a vertex of the inseam: its own bend has no room for the way back; look \
         at it, or let the inseam come back further down (--blend-to)",
        against(worst)
    );
    let severity = if against(worst) < SEEN { Severity::Note } else { Severity::Warning };
    Some(Finding::new(FindingId::LineNotSmooth, severity, message).at(piece.drawn(worst.1)))
}

/// How far below the foot of a fly, in mm, the inner corner of its cut line may lie.
const FOOT: f64 = 25.0;

/// The first point of the ring below the corners at the foot of a fly.
fn below_fly(leg: &Leg) -> usize {
    if leg.fly.is_empty() {
        return 0;
    }
    let foot = leg.ring[1];
    (1..leg.fork).find(|&i| (leg.ring[i] - foot).hypot() > FOOT).unwrap_or(1)
}

/// How the vertices of a seam turn, in degrees, positive counter-clockwise; corners are left out.
fn bends(ring: &[Point], seam: RangeInclusive<usize>) -> Vec<(f64, Point)> {
    let mut run = ring[seam].to_vec();
    run.dedup();
    let bend = |w: &[Point]| (direction::angle(w[1] - w[0], w[2] - w[1]), w[1]);
    run.windows(3).map(bend).filter(|(turn, _)| turn.abs() < CORNER).collect()
}

/// Does the check of [`smooth`] for a cut line that is drawn beside the sew line; each vertex belongs to the seam that it
/// lies beside. A line that keeps its allowance from a smooth sew line can have a corner only where the sew line bends about
/// as tightly as the allowance is wide. So this is only a warning, left to the judgement of whoever cuts; a corner that does
/// not keep its allowance is an error of [`allowances`].
fn smooth_cut(
    piece: &Piece,
    before: &Leg,
    (moves, displacement): (Moves, &Displacement),
    cut: &Redrawn,
    (old, was): (&[Point], &[f64]),
    findings: &mut Vec<Finding>,
) {
    /// Vertices nearer than this, in mm, to the end of a seam belong to the corner there.
    const END: f64 = 1.0;
    let bound = if moves.across.0 == 0.0 { SHARPER } else { SHARPER_ACROSS };
    let (new, index) = cut.line(old);
    let is = corners::turns(&new);
    let sew = Segments::of(&before.ring, true);
    let along = line::stations(&before.ring);
    let places: Vec<Option<Nearest>> = old.iter().map(|&p| sew.nearest(p)).collect();
    let added = added_places(old, cut, (&index, new.len()), &sew);
    for role in [SeamRole::Crotch, SeamRole::Inseam] {
        // The corners at the foot of a fly belong to the fly and are not checked.
        let fly = role == SeamRole::Crotch && !before.fly.is_empty();
        let seam = match role {
            SeamRole::Crotch => displacement.begin()..=before.fork,
            _ => before.fork..=displacement.inseam_to(),
        };
        let foot = if fly { (before.ring[1] - before.ring[0]).hypot() + FOOT } else { 0.0 };
        let (from, to) = (along[*seam.start()].max(foot), along[*seam.end()]);
        // The distance from the ends of the seam, along it, and from the sew line.
        let place = |nearest: Option<Nearest>| {
            let Nearest { edge, line, share, away, .. } = nearest?;
            let at = along[edge] + share * (line.p1 - line.p0).hypot();
            let of_seam = (*seam.start()..*seam.end()).contains(&edge);
            of_seam.then_some(((at - from).min(to - at), away))
        };
        let in_seam = |nearest| place(nearest).is_some_and(|(end, _)| end > END);
        let inside = |i: usize| in_seam(places[i]) && was[i].abs() < CORNER;
        let of_seam: Vec<usize> = (0..old.len()).filter(|&i| inside(i)).collect();
        // No further from the end than the allowance is wide, a vertex may be the corner there: it is none of the seam's own.
        let own = |i: &&usize| place(places[**i]).is_some_and(|(end, away)| end > away);
        let reach = of_seam.iter().filter(own);
        let reach = reach.fold((0.0_f64, 0.0_f64), |(l, h), &i| (l.min(was[i]), h.max(was[i])));
        let over = |k: usize| {
            let before = index.binary_search(&k).map_or(0.0, |i| was[i]);
            (is[k] - reach.1.max(before)).max(reach.0.min(before) - is[k])
        };
        let with_added = added.iter().filter(|(_, nearest)| in_seam(*nearest)).map(|(k, _)| *k);
        let with_added = with_added.chain(of_seam.iter().map(|&i| index[i]));
        let worst = with_added.max_by(|&a, &b| over(a).total_cmp(&over(b)));
        let Some(worst) = worst.filter(|&k| over(k) > bound) else {
            let told = findings.iter().any(|f| f.id == FindingId::LineNotSmooth);
            if role == SeamRole::Inseam && !told {
                let was: Vec<_> = of_seam.iter().map(|&i| (was[i], old[i])).collect();
                let along = added.iter().filter(|(_, nearest)| in_seam(*nearest)).map(|(k, _)| *k);
                let is: Vec<_> =
                    along.chain(of_seam.iter().map(|&i| index[i])).map(|k| (is[k], new[k])).collect();
                findings.extend(other_way(piece, "cut line", &was, &is));
            }
            continue;
        };
        let (more, most) = against(over(worst), bound, 2);
        let message = format!(
            "the altered cut line turns by {:.2}° at a vertex of the {}, more than the original anywhere there that way by {more}° (at \
             most {most}°), where it keeps its allowance from a sew line that bends tightly or is drawn with other vertices; look at \
             it, and true it by hand",
            is[worst].abs(),
            role.as_str()
        );
        findings.push(Finding::warning(FindingId::LineNotSmooth, message).at(piece.drawn(new[worst])));
    }
}

/// The vertices that are added to a cut line, by their indices in the new line of `len` points, with the places of the old sew line that
/// they belong to.
fn added_places(
    old: &[Point],
    cut: &Redrawn,
    (index, len): (&[usize], usize),
    sew: &Segments,
) -> Vec<(usize, Option<Nearest>)> {
    let drawn: HashSet<usize> = index.iter().copied().collect();
    let place = |(k, new): (usize, &Added)| {
        let (a, b) = (new.after as usize, (new.after as usize + 1) % old.len());
        (k, sew.nearest(old[a].lerp(old[b], new.share)))
    };
    (0..len).filter(|k| !drawn.contains(k)).zip(&cut.added).map(place).collect()
}

/// A leg's sew line as a closed line, including the extension of a fly.
fn closed(leg: &Leg) -> Vec<Point> {
    [&leg.ring[..1], &leg.fly, &leg.ring[1..], &leg.ring[..1]].concat()
}

#[cfg(test)]
mod tests {
    #![allow(clippy::float_cmp, reason = "exact values are meant exactly")]
    use super::*;
    use crate::seam::{Found, How, RingOnLine, SewLine};

    /// A front of few vertices: fork 2, inseam to 6, hem to 7, side 8.
    fn front() -> Leg {
        let ring = [
            (240, 1060),
            (240, 880),
            (312, 800),
            (309, 796),
            (306, 792),
            (301, 780),
            (288, 90),
            (84, 90),
            (66, 1058),
        ];
        let ring: Vec<Point> = ring.iter().map(|&(x, y)| Point::new(f64::from(x), f64::from(y))).collect();
        let drawn = RingOnLine::of_points(0, (0..9).collect(), Vec::new());
        let how = How::Shape;
        Leg {
            ring,
            fly: Vec::new(),
            drawn,
            up: Vec2::new(0.0, 1.0),
            out: Vec2::new(1.0, 0.0),
            fork: 2,
            hem_in: 6,
            hem_out: 7,
            side: 8,
            curve_begin: 1,
            one_piece: None,
            mirror: None,
            found: Found { grain: how, crotch: how, inseam: how, sew_line: SewLine::Drawn },
        }
    }

    /// Vertices of the inseam are 5, 10 and 23 mm from the fork (3-4-5, 5-12-13).
    #[test]
    fn a_quarter_of_the_way_back_is_copied() {
        for (blend, last) in
            [(0.0, 2), (19.9, 2), (20.0, 3), (39.9, 3), (40.0, 4), (91.9, 4), (92.1, 5), (1000.0, 5)]
        {
            assert_eq!(copied_to(&front(), Mm(blend)), last, "{blend}");
        }
    }
}
