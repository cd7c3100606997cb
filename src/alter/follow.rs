//! Redraws a piece with an edge that lay on a leg, together with the leg: a facing, a fly shield, a lining.
//!
//! By hand one lays the piece on the altered leg and traces the edge again. Here the piece is laid on the leg as it was, each of
//! its points moves with the place of the leg that it lies beside, and the piece is moved back to where it is drawn. Points
//! beside an edge that stays do not move: the outseam of a lining, the outer edge of a wide stay.

use super::displacement::Applied;
use super::moves::ease;
use super::outline::Outline;
use super::redraw;
use super::redrawn::Redrawn;
use super::{Change, Displaced, carry};
use crate::pattern::{LayerUse, Path, Piece};
use crate::seam::Leg;
use crate::seam::station::Arc;
use kurbo::{Affine, Point, Vec2};
use std::collections::HashSet;

/// Up to the first distance from the leg's line, in mm, a point of the piece moves fully with the line, and from the second on
/// not at all. A facing is some 60 mm wide; points further in do not belong to the edge.
const GOES: (f64, f64) = (80.0, 160.0);

/// A point may be nearer to an edge that stays than to a redrawn seam. Up to the first ratio of the distances it moves fully with
/// the seam, and from the second on not at all.
const NEARER: (f64, f64) = (1.0, 2.0);

/// A point nearer than the first distance, in mm, to an edge that stays belongs to that edge's cut line and stays, whatever seam
/// is near. From the second distance on it may move with the seam.
const OF_THAT_EDGE: (f64, f64) = (25.0, 60.0);

/// The change of a piece that the motion `laid` places on the leg.
#[must_use]
pub fn change(piece: &Piece, leg: &Leg, applied: &Applied<'_>, laid: Affine) -> Change {
    let outline = Displaced::new(leg, applied).outline;
    let back = laid.inverse();
    let mut done = HashSet::new();
    let mut redrawn = Vec::new();
    for path in lines(piece) {
        let line = &piece.paths[path];
        if !line.from.iter().map(|f| f.stroke).fold(true, |new, stroke| new & !done.contains(&stroke)) {
            continue;
        }
        done.extend(line.from.iter().chain(line.twins.iter().map(|(_, f)| f)).map(|f| f.stroke));
        let mut on_leg = followed(leg, &outline, path, line, laid);
        // A difference vector is transformed without the translation. A zero vector is kept as it is, so that the coordinates of
        // what stays keep their exact bits.
        let turned = |v: Vec2| if v == Vec2::ZERO { v } else { back * v.to_point() - back * Point::ZERO };
        on_leg.moves.iter_mut().for_each(|v| *v = turned(*v));
        on_leg.added.iter_mut().for_each(|new| new.at = back * new.at);
        redrawn.push(on_leg);
    }
    let back: Vec<Point> = applied.back.iter().map(|&p| back * p).collect();
    let carried = carry::carry(piece, &redrawn, &back);
    Change { redrawn, carried, back }
}

/// The outlines of a piece, and the paths that draw a part of them again.
fn lines(piece: &Piece) -> impl Iterator<Item = usize> {
    let use_of = |i: usize| piece.paths[i].layer_use;
    (0..piece.paths.len()).filter(move |&i| {
        let outline = matches!(use_of(i), LayerUse::Sew | LayerUse::Cut);
        let again = matches!(use_of(i), LayerUse::SewValidation | LayerUse::CutValidation | LayerUse::Mirror);
        outline || again || use_of(i).is_seam()
    })
}

/// A line of the piece, redrawn while it is laid on the leg.
fn followed(leg: &Leg, outline: &Outline, path: usize, line: &Path, laid: Affine) -> Redrawn {
    let points: Vec<Point> = line.points.iter().map(|p| laid * *p).collect();
    let arc = &outline.arc;
    let at: Vec<f64> = points.iter().map(|&p| arc.nearest(p, 0.0, arc.whole())).collect();
    let seams = arc.at[leg.hem_in + leg.fly.len()];
    let place = |p: Point, at: f64| place(arc, seams, (p, at), |p, at| outline.follow(p, at));
    redraw::redraw_line(leg, outline, path, (&points, line.closed), &at, &place)
}

/// The new position of a point of the piece, whose nearest place is `at` on the leg's line `arc`. The redrawn seams are its first
/// `seams` mm; `follow` gives the position of a point that moves fully with a place of the line.
pub fn place(arc: &Arc, seams: f64, (p, at): (Point, f64), follow: impl Fn(Point, f64) -> Point) -> Point {
    let away = |at: f64| (arc.point(at) - p).hypot();
    // Falls from 1 at the first limit to 0 at the second.
    let fades = |x: f64, (from, to): (f64, f64)| 1.0 - ease((x - from) / (to - from));
    let far = fades(away(at), GOES);
    if far == 0.0 {
        return p;
    }
    let there = follow(p, at) - p;
    let by = if at <= seams {
        there
    } else {
        // The point is nearer to waist, outseam or hem, but the redrawn seam may be only a little further away.
        let on_seam = arc.nearest(p, 0.0, seams);
        let ratio = away(on_seam) / away(at).max(1e-9);
        let own = fades(away(at), OF_THAT_EDGE);
        let share = fades(ratio, NEARER) * fades(away(on_seam), GOES) * (1.0 - own);
        if share == 0.0 { there } else { there.lerp(follow(p, on_seam) - p, share) }
    };
    p + by * far
}
