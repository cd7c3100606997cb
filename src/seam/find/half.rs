//! Mirror lines: legs that are drawn as half, up to an edge at which they are opened.
//!
//! At the outer edge, what is opened is a leg that is front and back in one, both alike. At waist or hem, the leg is cut double, and
//! the edge is a fold. In each case the half that is drawn is altered, and its mirror image with it. At crotch seam or inseam, or
//! within the piece, a mirror line is something that a slide would tear apart or that means something else.

use super::{Base, Corners};
use crate::finding::{Finding, FindingId};
use crate::geometry::line;
use crate::pattern::{LayerUse, ON_MIRROR, Path};
use crate::seam::SeamRole;
use kurbo::{Point, Vec2};

/// The seam of a ring whose whole edge lies on the mirror line of the piece; `None` for a piece without a mirror line.
pub(super) fn mirror(base: &Base<'_>, ring: &[Point], corners: Corners) -> Result<Option<SeamRole>, Finding> {
    let mut lines = base.piece.paths_of(LayerUse::Mirror).filter(|line| line.points.len() > 1);
    let Some(line) = lines.next() else { return Ok(None) };
    let Corners { fork, hem_in, hem_out, side, other_fork, .. } = corners;
    let edges = [
        (SeamRole::Crotch, 0..=fork),
        (SeamRole::Inseam, fork..=hem_in),
        (SeamRole::Hem, hem_in..=hem_out),
        (SeamRole::Outseam, hem_out..=side),
        (SeamRole::Waist, side..=ring.len()),
    ];
    let points = |range: &std::ops::RangeInclusive<usize>| {
        range.clone().map(|i| ring[i % ring.len()]).collect::<Vec<Point>>()
    };
    let role = edges.iter().find(|(_, range)| lies_on(&points(range), line)).map(|(role, _)| *role);
    let refused = |why: String| {
        let at = base.piece.drawn(middle(line));
        Err(Finding::error(FindingId::HalfPiece, why).at(at))
    };
    if lines.next().is_some() {
        return refused(
            "the leg has more than one mirror line (layer 6), and can be opened at one edge only".to_owned(),
        );
    }
    match role {
        Some(role @ (SeamRole::Crotch | SeamRole::Inseam)) => refused(format!(
            "the leg is drawn as half, with its mirror line (layer 6) at the {role} seam, which a slide redraws: opened, the piece would \
             have no such seam. Open it, and take the mirror line out"
        )),
        Some(SeamRole::Outseam) if other_fork.is_some() => refused(
            "the mirror line (layer 6) lies at the crotch seam of a piece that is front and back in one; open the piece, and take the \
             mirror line out"
                .to_owned(),
        ),
        Some(role) => Ok(Some(role)),
        None => refused(format!(
            "the piece has a mirror line (layer 6), {:.1} mm from the nearest edge of its {}, and none of its edges lies on it as a whole. \
             If the piece is drawn as half, draw mirror line, sew line and cut line there in one straight line; if the line is the fold \
             of a casing or a hem, say so ([layers] fold = [\"6\"]); else take it out",
            line::distance(ring, true, middle(line)),
            if base.cut { "cut line" } else { "sew line" }
        )),
    }
}

fn middle(line: &Path) -> Point {
    line.points[0].midpoint(line.points[line.points.len() - 1])
}

/// Whether an edge lies on a straight line that runs along it.
fn lies_on(edge: &[Point], line: &Path) -> bool {
    let (a, b) = (line.points[0], line.points[line.points.len() - 1]);
    let along: Vec2 = (b - a).normalize();
    let near = |p: &Point| (*p - a).cross(along).abs() <= ON_MIRROR;
    !line.closed
        && edge.iter().chain(line.points.iter()).all(near)
        && line::distance(edge, false, middle(line)) <= ON_MIRROR
}

#[cfg(test)]
mod tests {
    use super::*;

    fn line(points: &[(f64, f64)], closed: bool) -> Path {
        let points = points.iter().map(|&p| Point::from(p)).collect();
        Path { layer_use: LayerUse::Fold, points, from: Vec::new(), twins: Vec::new(), closed }
    }

    /// The edge runs straight up from (50, 0) to (50, 300).
    #[test]
    fn an_edge_lies_on_a_line_that_runs_along_it_and_on_no_other() {
        let edge = [(50.0, 0.0), (50.0, 120.0), (50.0, 300.0)].map(Point::from);
        for (points, closed, expected) in [
            (&[(50.0, 20.0), (50.0, 280.0)][..], false, true),
            (&[(50.0, 310.0), (50.0, -10.0)], false, true),
            // Beside it; across it; bent away in its middle; beyond its end, in the same straight line; closed.
            (&[(53.0, 20.0), (53.0, 280.0)], false, false),
            (&[(0.0, 150.0), (100.0, 150.0)], false, false),
            (&[(50.0, 20.0), (55.0, 150.0), (50.0, 280.0)], false, false),
            (&[(50.0, 400.0), (50.0, 600.0)], false, false),
            (&[(50.0, 20.0), (50.0, 280.0)], true, false),
        ] {
            assert_eq!(lies_on(&edge, &line(points, closed)), expected, "{points:?} {closed}");
        }
    }
}
