//! Legs that are cut into panels: which other pieces belong to the leg, and whether a slide leaves them unchanged.
//!
//! A slide redraws the crotch seam and the upper inseam. If one piece contains both, the pieces sewn to its outer edge (a side
//! panel, a princess line) or to its lower end (a leg cut at the knee) stay unchanged. Panels are recognised by lengths: an edge
//! of the panel is as long as the edge that it is sewn to (common practice, no source).

use super::exchanged::are_apart;
use super::names::says;
use super::panels::{Below, Gusset, Panels};
use super::size::{LegPiece, Size};
use super::{Leg, Part, SeamRole, shape};
use crate::finding::{Finding, FindingId};
use crate::geometry::{corners, line, ring};
use crate::pattern::{LayerUse, Path, Piece};
use crate::trousers::{LabelKey, LabelTexts};
use crate::units::Mm;
use kurbo::{Point, Vec2};

/// A piece longer than this share of the leg's length may be a part of the leg; no pocket or facing is that long.
const LONG: f64 = 0.6;

/// A piece wider than this share of the leg's width may be a part of the leg; a stripe or a piping is narrower.
const WIDE: f64 = 0.15;

/// Edges that are sewn together differ in length by no more than this, in mm: 1/4 in, including what is eased in (from memory).
const SEWN: f64 = 6.4;

/// The long edge of a side panel may differ by this share, because it is shaped to the side of the body.
const SHAPED: f64 = 0.02;

/// The least length, in mm, of the edges beside the cut on a piece that continues the leg below it; a hem facing is shorter
/// (common practice, no source).
const GOES_ON: f64 = 120.0;

/// Finds the other pieces of a size's legs. A leg whose cut the slide would pull apart is refused.
pub(super) fn find_parts(size: &mut Size<'_>, shapeless: &[(&Piece, Part)], labels: &LabelTexts) {
    for part in [Part::Front, Part::Back] {
        let pieces = shapeless.iter().filter(|(_, of)| *of == part).map(|(piece, _)| *piece);
        let others: Vec<&Piece> =
            pieces.filter(|piece| !says(&piece.name, LabelKey::Waistband, labels)).collect();
        for piece in others {
            let Some(leg) = size.legs.of(part).first() else { continue };
            let sewn = Sewn::of(piece, &leg.leg);
            let below = sewn.below.map(|readings| told_by_mate(size, part, readings));
            let joined = below.filter(|below| {
                joins(size, part, *below) || !sewn.beside && join_both(size, part, *below, shapeless)
            });
            let finding = match joined {
                Some(below) => {
                    size.legs.of_mut(part).iter_mut().for_each(|leg| leg.panels.below = Some(below));
                    goes_on(piece, part, below)
                }
                None if sewn.large && sewn.beside => {
                    size.legs.of_mut(part).iter_mut().for_each(|leg| leg.panels.beside = true);
                    stays_beside(piece, part)
                }
                None if sewn.large => parted(leg, piece, part),
                None => continue,
            };
            size.findings.push(finding);
        }
    }
}

/// A piece that is called a gusset.
pub(super) fn gusset(piece: &Piece, labels: &LabelTexts) -> Option<Gusset> {
    let line = outline(piece).filter(|_| says(&piece.name, LabelKey::Gusset, labels))?;
    let (along, across) = reach(&line.points, piece.grain().unwrap_or(Vec2::new(0.0, 1.0)));
    Some(Gusset { name: piece.name.clone(), block: piece.block, reach: [Mm(along), Mm(across)] })
}

/// How a piece may be sewn to a leg.
#[derive(Default)]
struct Sewn {
    /// Set if it may be sewn to the leg's lower end: the edges on either side of the cut in both orders, each with the piece's
    /// own lower edge.
    below: Option<[Below; 2]>,
    /// Whether it may be sewn along the leg's outer edge.
    beside: bool,
    /// Whether it is large enough to be a part of the leg at all.
    large: bool,
}

impl Sewn {
    fn of(piece: &Piece, leg: &Leg) -> Sewn {
        let edges = edges(piece, &leg.ring);
        let like = |length: f64, role: SeamRole, most: f64| (length - leg.length(role).0).abs() <= most;
        let n = edges.len();
        let tops = (0..n).filter(|&i| n == 4 && like(edges[i], SeamRole::Hem, SEWN));
        let sides = |i: usize| [(i + 1) % n, (i + n - 1) % n, (i + 2) % n].map(|i| Mm(edges[i]));
        // Straight legs are as wide below as above; then both readings give the same result.
        let below = tops.map(sides).find(|[a, b, _]| a.0.min(b.0) > GOES_ON);
        let outer = leg.length(SeamRole::Outseam).0;
        let along = edges.iter().any(|&edge| like(edge, SeamRole::Outseam, SEWN.max(SHAPED * outer)));
        let own = reach(&leg.ring, leg.up);
        let large = outline(piece).zip(piece.grain()).is_some_and(|(line, grain)| {
            let (long, wide) = reach(&line.points, grain);
            long > LONG * own.0 && wide > WIDE * own.1
        });
        Sewn {
            // Along their common edge, two adjacent pieces run in opposite directions.
            below: below.map(|[inseam, outseam, hem]| {
                [Below { inseam, outseam, hem }, Below { inseam: outseam, outseam: inseam, hem }]
            }),
            beside: along && has_both(leg),
            large,
        }
    }
}

/// Whether a leg has a crotch seam and an inseam of its own, which no panel has: they meet at the fork as on trousers, and the
/// outer edge runs beside the whole of both.
fn has_both(leg: &Leg) -> bool {
    let [crotch, inseam, outseam] =
        [SeamRole::Crotch, SeamRole::Inseam, SeamRole::Outseam].map(|role| leg.length(role).0);
    leg.one_piece.is_none() && outseam > 0.8 * (crotch + inseam) && outseam > inseam
}

fn outline(piece: &Piece) -> Option<&Path> {
    piece.outline(LayerUse::Sew).or_else(|| piece.outline(LayerUse::Cut))
}

/// The extent of points along a direction and across it.
fn reach(points: &[Point], along: Vec2) -> (f64, f64) {
    let reach = |d: Vec2| {
        let at = points.iter().map(|p| p.to_vec2().dot(d));
        let (low, high) = at.fold((f64::MAX, f64::MIN), |(a, b), v| (a.min(v), b.max(v)));
        high - low
    };
    (reach(along), reach(Vec2::new(-along.y, along.x)))
}

/// The lengths of a piece's edges from corner to corner, in the direction in which the leg's ring runs.
fn edges(piece: &Piece, leg: &[Point]) -> Vec<f64> {
    let Some(line) = piece.outline(LayerUse::Sew) else { return Vec::new() };
    let mut points = line.points.to_vec();
    if (ring::doubled_area(&points) < 0.0) != (ring::doubled_area(leg) < 0.0) {
        points.reverse();
    }
    let corners = shape::corners(&corners::turns(&points));
    let next = corners.iter().cycle().skip(1);
    corners.iter().zip(next).map(|(&a, &b)| line::length(&ring::run(&points, a, b))).collect()
}

/// Which of the edges beside the cut continues the inseam: the first. If the piece is drawn the other way round it is the other
/// one; then that reading brings inseam and outseam closer to the mate's.
fn told_by_mate(size: &Size<'_>, part: Part, [one, other]: [Below; 2]) -> Below {
    let off = |below| {
        let panels = Panels { below: Some(below), beside: false };
        off_mate(size, part, &panels, SeamRole::Inseam) + off_mate(size, part, &panels, SeamRole::Outseam)
    };
    if off(other) < off(one) - SEWN { other } else { one }
}

/// Whether the leg's inseam is as long as its mate's only if the piece below is counted. The width alone is not enough: a patch
/// or a pocket may be as wide as the hem.
fn joins(size: &Size<'_>, part: Part, below: Below) -> bool {
    let [Some(own), Some(mate)] = [part, part.other()].map(|part| size.legs.of(part).first()) else {
        return false;
    };
    let mate = mate.length(SeamRole::Inseam);
    let alone = own.leg.length(SeamRole::Inseam);
    are_apart(alone, mate) && !are_apart(alone + below.inseam, mate)
}

/// Whether front and back are both cut and continue in pieces that are long enough to be parts of a leg.
fn join_both(size: &Size<'_>, part: Part, below: Below, shapeless: &[(&Piece, Part)]) -> bool {
    /// The least inseam edge of such a piece, as a share of the length of the leg's upper part; no patch or pocket has that
    /// (common practice, no source).
    const PART_OF_LEG: f64 = 0.35;
    let [Some(own), Some(mate)] = [part, part.other()].map(|part| size.legs.of(part).first()) else {
        return false;
    };
    let long = |below: Below, leg: &Leg| below.inseam.0 > PART_OF_LEG * reach(&leg.ring, leg.up).0;
    let of_mate = shapeless.iter().filter(|(_, of)| *of == part.other());
    let mut theirs = of_mate.filter_map(|(piece, _)| Some(Sewn::of(piece, &mate.leg).below?[0]));
    let whole = |leg: &Leg, below: Below| leg.length(SeamRole::Inseam) + below.inseam;
    long(below, &own.leg)
        && theirs.any(|b| long(b, &mate.leg) && !are_apart(whole(&own.leg, below), whole(&mate.leg, b)))
}

/// By how much the length of a seam differs from its mate's, in mm; 0 where there is no mate.
fn off_mate(size: &Size<'_>, part: Part, panels: &Panels, role: SeamRole) -> f64 {
    let [own, mate] = [part, part.other()].map(|part| size.legs.of(part).first());
    let off = |(own, mate): (&LegPiece<'_>, &LegPiece<'_>)| {
        (panels.length(role, own.leg.length(role)) - mate.length(role)).abs().0
    };
    own.zip(mate).map_or(0.0, off)
}

fn goes_on(piece: &Piece, part: Part, below: Below) -> Finding {
    let message = format!(
        "the {} leg goes on in '{}' below a cut: its inseam is longer by {}, its outseam by {}, and its hem is that of '{}', which \
         stays as it is",
        part.word(),
        piece.name,
        below.inseam,
        below.outseam,
        piece.name
    );
    Finding::note(FindingId::ReadAs, message).about(piece)
}

fn stays_beside(piece: &Piece, part: Part) -> Finding {
    let message = format!(
        "'{}' is sewn along the outer edge of the {} leg and stays as it is: outseam, waist, hem and thigh are those of the piece \
         with the crotch seam alone, and outseams are not walked",
        piece.name,
        part.word()
    );
    Finding::note(FindingId::ReadAs, message).about(piece)
}

fn parted(leg: &LegPiece<'_>, piece: &Piece, part: Part) -> Finding {
    let message = format!(
        "the {} leg is cut in two along its length, '{}' and '{}': a slide would part them. Join them, alter the whole, and cut it \
         again",
        part.word(),
        leg.piece.name,
        piece.name
    );
    Finding::error(FindingId::PieceCutInTwo, message).about(leg.piece)
}
