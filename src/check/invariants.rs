//! What must hold after a slide, checked on the lines as they will be drawn.
//!
//! The bounds are the trade's; see each constant. The checks measure the new lines anew and do not
//! ask the law that made them.

use super::outline::{self, Crossing};
use crate::alter::{Change, Moves, Redrawn};
use crate::finding::{Finding, FindingId};
use crate::pattern::{LayerUse, Piece, nearest_share};
use crate::seam::{Leg, ring};
use crate::units::Mm;
use kurbo::{Point, Vec2};

/// The exact-copy span moves as one, in mm.
const COPY: f64 = 0.001;
/// A join may turn by this much more than the original did there, in degrees.
const JOIN: f64 = 0.5;
/// A straight centre seam may turn by this much where it enters the curve, in degrees.
const CENTRE: f64 = 1.5;
/// The allowance along redrawn edges may differ by this much from the original's, in mm.
const ALLOWANCE: f64 = 0.3;

/// Checks one altered piece. `after` is the leg on the redrawn sew line.
#[must_use]
pub fn check(
    piece: &Piece,
    before: &Leg,
    after: &Leg,
    change: &Change,
    moves: Moves,
    blend: Mm,
) -> Vec<Finding> {
    let mut findings = Vec::new();
    copy(piece, before, after, moves, blend, &mut findings);
    stays(piece, before, after, moves, &mut findings);
    joins(piece, before, after, &mut findings);
    if let (Some(cut), Some(old)) = (redrawn(piece, change, LayerUse::Cut), piece.outline(LayerUse::Cut)) {
        allowance(piece, before, after, cut, &old.points, &mut findings);
    }
    for redrawn in &change.redrawn {
        sound(piece, redrawn, &mut findings);
    }
    findings.into_iter().map(|f| f.piece(&piece.name)).collect()
}

/// The redrawn line of this use.
fn redrawn<'c>(piece: &Piece, change: &'c Change, layer_use: LayerUse) -> Option<&'c Redrawn> {
    change.redrawn.iter().find(|r| piece.paths[r.path].layer_use == layer_use)
}

/// A redrawn line does not cross itself, unless it did, and runs round its piece as before.
fn sound(piece: &Piece, redrawn: &Redrawn, findings: &mut Vec<Finding>) {
    let path = &piece.paths[redrawn.path];
    let (line, _) = redrawn.line(&path.points);
    let name = if path.layer_use == LayerUse::Sew { "sew line" } else { "cut line" };
    let crossing = match (outline::crossing(&line), outline::crossing(&path.points)) {
        (Crossing::At(.., at), Crossing::None) => Some(at),
        (Crossing::Untold, Crossing::None) => Some(line[0]),
        _ => None,
    };
    if let Some(at) = crossing {
        let message = format!(
            "the altered {name} crosses itself; ask for a smaller change, or let it come back further down (--blend-to)"
        );
        findings.push(Finding::error(FindingId::CrossingOutline, message).at(piece.drawn(at)));
    }
    if ring::doubled_area(&line) * ring::doubled_area(&path.points) <= 0.0 {
        let message = format!("the altered {name} runs the other way round; ask for a smaller change");
        findings.push(Finding::error(FindingId::CrossingOutline, message));
    }
}

/// Hem and outseam stay where they are to the last bit, and so does the waist where its centre is not
/// moved; what is not moved is copied from the input byte for byte.
fn stays(piece: &Piece, before: &Leg, after: &Leg, moves: Moves, findings: &mut Vec<Finding>) {
    let (old, new) = (before.drawn_ring(), after.drawn_ring());
    let to = if moves.waist == Mm(0.0) { old.len() } else { before.side };
    let pairs = old[before.hem_in..to].iter().zip(&new[after.hem_in..]);
    if let Some((was, is)) = pairs.into_iter().find(|(was, is)| was != is) {
        findings.push(
            Finding::error(
                FindingId::ChangedElsewhere,
                format!(
                    "a vertex of hem, outseam or waist moved by {:.4} mm; nothing there may move",
                    (*is - *was).hypot()
                ),
            )
            .at(piece.drawn(*was)),
        );
    }
}

/// The fork moves by the slide exactly, and the curve with the first quarter of the way back with it.
fn copy(piece: &Piece, before: &Leg, after: &Leg, moves: Moves, blend: Mm, findings: &mut Vec<Finding>) {
    let wanted = before.up * -moves.along.0 + before.out * moves.across.0;
    // What is copied is the line that is drawn; the fork is the sew line's.
    let line = |leg: &Leg| {
        let mut line = leg.drawn_ring().into_owned();
        line[leg.fork] = leg.fork_point();
        line
    };
    let (old, new) = (line(before), line(after));
    let moved = new[after.fork] - old[before.fork];
    if (moved - wanted).hypot() > COPY {
        let message = format!(
            "the fork moved by {:.4} mm in place of {:.4} mm along the grain",
            moved.hypot(),
            wanted.hypot()
        );
        findings
            .push(Finding::error(FindingId::ChangedElsewhere, message).at(piece.drawn(after.fork_point())));
    }
    // A fork carried across the grain is no copy.
    if moves.across.0 != 0.0 {
        return;
    }
    // Vertices are only added where the slide changes, so the copied span has the same number.
    let shift = after.curve_begin.abs_diff(before.curve_begin);
    let off = (before.curve_begin..=copied_to(before, blend))
        .filter_map(|i| new.get(i + shift).map(|p| ((*p - old[i]) - wanted, old[i])))
        .find(|(d, _)| d.hypot() > COPY);
    if let Some((d, at)) = off {
        let message =
            format!("the curve is no exact copy: a vertex is {:.4} mm from where it belongs", d.hypot());
        findings.push(Finding::error(FindingId::ChangedElsewhere, message).at(piece.drawn(at)));
    }
}

/// The last vertex of the copied span: on the first quarter of the way back, or the fork itself where
/// the inseam is straight, drawn with two vertices.
fn copied_to(leg: &Leg, blend: Mm) -> usize {
    let quarter = 0.25 * blend.0;
    let stations = ring::stations(&leg.ring[leg.fork..=leg.hem_in]);
    leg.fork + stations.partition_point(|&s| s <= quarter).saturating_sub(1)
}

/// Where new line meets old the line turns no more than it did.
fn joins(piece: &Piece, before: &Leg, after: &Leg, findings: &mut Vec<Finding>) {
    // The corners that count are those of the line that is drawn.
    let (drawn_before, drawn_after) = (before.drawn_ring(), after.drawn_ring());
    let (old, new) = (ring::turns(&drawn_before), ring::turns(&drawn_after));
    let centre = (new[after.curve_begin] - old[before.curve_begin]).abs();
    if centre > CENTRE {
        findings.push(
            Finding::error(
                FindingId::JoinCorner,
                format!(
                    "the centre seam turns by {centre:.2}° where it enters the curve (at most {CENTRE}°): it leans to the \
                     grain and its straight part is short. Give this piece less of the change, or take the corner out by \
                     hand and --accept join-corner"
                ),
            )
            .at(piece.drawn(drawn_after[after.curve_begin])),
        );
    }
    let Some((at, more)) = come_back(before, after, &old, &new) else { return };
    if more > JOIN {
        findings.push(
            Finding::error(
                FindingId::JoinCorner,
                format!(
                    "the new inseam meets the old one at a corner of {more:.2}° (at most {JOIN}°); let it come back \
                     further down with --blend-to"
                ),
            )
            .at(piece.drawn(at)),
        );
    }
}

/// Where the inseam has come back, and by how many degrees it turns more than it did there. `None`
/// where that is at a corner: the hem's, or the next one of an inseam drawn with two vertices.
fn come_back(before: &Leg, after: &Leg, old: &[f64], new: &[f64]) -> Option<(Point, f64)> {
    let (ring_before, ring_after) = (before.drawn_ring(), after.drawn_ring());
    // From the hem upwards as long as nothing has moved. Vertices are added, none is taken out.
    let most = before.hem_in - before.fork;
    let still =
        (1..most).take_while(|k| ring_after[after.hem_in - k] == ring_before[before.hem_in - k]).count();
    let (is, was) = (after.hem_in - still, before.hem_in - still);
    // A vertex that was added where the line comes back lies on the old edge above.
    let (p, edge) = (ring_after[is - 1], ring_before[was - 1] - ring_before[was]);
    let off = edge.cross(p - ring_before[was]).abs();
    if is - 1 > after.fork && off <= 1e-6 * edge.hypot() && (p - ring_before[was - 1]).hypot() > 1e-6 {
        return Some((p, new[is - 1].abs()));
    }
    (still > 0 && was > before.fork + 1).then(|| (ring_after[is], (new[is] - old[was]).abs()))
}

/// The cut line's vertices keep their distance from the sew line.
fn allowance(
    piece: &Piece,
    before: &Leg,
    after: &Leg,
    cut: &Redrawn,
    old: &[Point],
    findings: &mut Vec<Finding>,
) {
    let closed = |leg: &Leg| [&leg.ring[..1], &leg.fly, &leg.ring[1..], &leg.ring[..1]].concat();
    let (sew_old, sew_new) = (Near::new(closed(before)), Near::new(closed(after)));
    let (mut near_old, mut near_new) = (0, 0);
    let worst = (0..old.len())
        .filter(|&i| cut.moves[i] != Vec2::ZERO)
        .map(|i| {
            let was = sew_old.distance(old[i], &mut near_old);
            let is = sew_new.distance(old[i] + cut.moves[i], &mut near_new);
            ((is - was).abs(), old[i] + cut.moves[i])
        })
        .max_by(|a, b| a.0.total_cmp(&b.0));
    if let Some((d, at)) = worst
        && d > ALLOWANCE
    {
        findings.push(
            Finding::error(
                FindingId::AllowanceUneven,
                format!(
                    "the seam allowance changes by {d:.2} mm along the redrawn edge (at most {ALLOWANCE} mm); ask for a \
                     smaller change, or redraw the cut line by hand and --accept allowance-uneven"
                ),
            )
            .at(piece.drawn(at)),
        );
    }
}

/// Distances from a run of points: boxes around a few segments each, and boxes around those.
struct Near {
    points: Vec<Point>,
    boxes: Vec<kurbo::Rect>,
    groups: Vec<kurbo::Rect>,
}

impl Near {
    /// Segments that share a box.
    const EACH: usize = 4;
    /// Boxes that share a group.
    const GROUP: usize = 16;

    fn new(points: Vec<Point>) -> Self {
        let around = |run: &[Point]| {
            run.iter().fold(kurbo::Rect::from_points(run[0], run[0]), |area, p| area.union_pt(*p))
        };
        let starts = (0..points.len().saturating_sub(1)).step_by(Self::EACH);
        let boxes: Vec<_> =
            starts.map(|i| around(&points[i..points.len().min(i + Self::EACH + 1)])).collect();
        let groups =
            boxes.chunks(Self::GROUP).map(|run| run.iter().fold(run[0], |a, b| a.union(*b))).collect();
        Near { points, boxes, groups }
    }

    /// How far `p` is from the line. `near` is the box to look into first, and then the box that had
    /// the nearest segment: of points given in the line's order the next one's is the same or close.
    fn distance(&self, p: Point, near: &mut usize) -> f64 {
        let mut best = self.within_box(*near, p);
        for (g, group) in self.groups.iter().enumerate() {
            if squared(group, p) >= best {
                continue;
            }
            let first = g * Self::GROUP;
            for (k, area) in self.boxes.iter().enumerate().skip(first).take(Self::GROUP) {
                if squared(area, p) < best {
                    let here = self.within_box(k, p);
                    if here < best {
                        (best, *near) = (here, k);
                    }
                }
            }
        }
        best.sqrt()
    }

    /// The squared distance from the segments of a box.
    fn within_box(&self, k: usize, p: Point) -> f64 {
        let from = k * Self::EACH;
        let run = &self.points[from..self.points.len().min(from + Self::EACH + 1)];
        let mut least = f64::INFINITY;
        for w in run.windows(2) {
            let t = nearest_share(w[0], w[1], p);
            least = least.min((w[0] + (w[1] - w[0]) * t - p).hypot2());
        }
        least
    }
}

/// The squared distance of a point from a box.
fn squared(area: &kurbo::Rect, p: Point) -> f64 {
    let dx = (area.x0 - p.x).max(p.x - area.x1).max(0.0);
    let dy = (area.y0 - p.y).max(p.y - area.y1).max(0.0);
    dx * dx + dy * dy
}

#[cfg(test)]
mod tests {
    #![allow(clippy::float_cmp, reason = "exact values are meant exactly")]
    use super::*;
    use crate::seam::{Drawn, Found, How, SewLine};

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
        let drawn = Drawn { path: 0, order: (0..9).collect(), start: None, fly: Vec::new(), derived: None };
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

    /// The turns of the old line are ten times the index, those of the new one the index and a half.
    fn back(after: &Leg) -> Option<(Point, f64)> {
        let old: Vec<f64> = (0..9).map(|i| 10.0 * f64::from(i)).collect();
        let new: Vec<f64> = (0..12).map(|i| -1.5 * f64::from(i)).collect();
        come_back(&front(), after, &old, &new)
    }

    #[test]
    fn the_inseam_comes_back_at_the_first_vertex_that_is_still() {
        let moved = |vertices: &[usize]| {
            let mut leg = front();
            for &i in vertices {
                leg.ring[i] += Vec2::new(0.5, -7.0);
            }
            leg
        };
        assert_eq!(back(&moved(&[2, 3])), Some((Point::new(306.0, 792.0), 46.0)));
        assert_eq!(back(&moved(&[2, 3, 4])), Some((Point::new(301.0, 780.0), 57.5)));
        // At the hem, at the fork's neighbour, and where nothing moved there is nothing to look at.
        for none in [vec![2, 3, 4, 5], vec![2], vec![]] {
            assert_eq!(back(&moved(&none)), None, "{none:?}");
        }
        // A fork that slides along the inseam is no vertex that was added.
        let mut along = front();
        along.ring[2] = Point::new(311.4, 799.2);
        assert_eq!(back(&along), None);
    }

    /// A vertex on an old edge was added there; up to 1e-6 mm beside it or from its end is rounding.
    #[test]
    fn the_inseam_comes_back_at_a_vertex_that_was_added() {
        let added = |at: Point| {
            let mut leg = front();
            leg.ring[2].y -= 7.0;
            leg.ring[3].y -= 5.0;
            leg.ring.insert(4, at);
            (leg.hem_in, leg.hem_out, leg.side) = (7, 8, 9);
            back(&leg)
        };
        let (on_edge, square) = (Point::new(307.5, 794.0), Vec2::new(0.8, -0.6));
        assert_eq!(added(on_edge), Some((on_edge, 6.0)));
        let next = Some((Point::new(306.0, 792.0), 47.5));
        assert_eq!(added(on_edge + square * 1e-5), next);
        assert!(added(on_edge - square * 1e-7).is_some_and(|(_, more)| more == 6.0));
        // On the vertex above, but not to the last bit.
        assert_eq!(added(Point::new(309.0 - 2e-7, 796.0)), next);
        assert_eq!(added(Point::new(309.0 - 0.6e-5, 796.0 - 0.8e-5)).map(|back| back.1), Some(6.0));
    }

    /// By Pythagoras; 0 within.
    #[test]
    fn a_box_is_as_far_as_its_nearest_corner_or_side() {
        let area = kurbo::Rect::new(3.0, -2.0, 8.0, 5.0);
        for (p, far) in [
            ((0.0, -6.0), 25.0),
            ((13.0, 17.0), 169.0),
            ((4.0, 1.0), 0.0),
            ((0.5, 3.0), 6.25),
            ((4.0, 5.25), 0.0625),
        ] {
            assert_eq!(squared(&area, p.into()), far, "{p:?}");
        }
    }

    /// Teeth 11 mm apart and 30 mm high: whatever box the search begins in, it finds what a look at every segment finds.
    #[test]
    fn the_nearest_segment_is_found_from_any_box() {
        let teeth: Vec<Point> =
            (0..150).map(|i| Point::new(11.0 * f64::from(i), 30.0 * f64::from(i % 2))).collect();
        let line = Near::new(teeth.clone());
        assert_eq!((line.boxes.len(), line.groups.len()), (38, 3));
        let mut near = 0;
        for k in 0..500 {
            let p = Point::new(3.3 * f64::from(k) - 7.0, f64::from(k * 7 % 43) - 5.0);
            let found = line.distance(p, &mut near);
            assert!((found - ring::distance(&teeth, p)).abs() < 1e-6, "{p}: {found}");
            // The box that it was found in is the one to begin with.
            assert!((line.within_box(near, p).sqrt() - found).abs() < 1e-12, "{p}");
            assert_eq!(line.distance(p, &mut { 37 }), found);
        }
    }
}
