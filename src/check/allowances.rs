//! Whether the cut line keeps its allowance from the sew line.
//!
//! It is measured at the vertices of the cut line, at those that are added, opposite the vertices of the sew line, and midway between
//! all of these: on edges of the one that run beside several of the other, the allowance is narrowest or widest there.

use super::invariants::CORNER;
use crate::alter::Redrawn;
use crate::finding::{Finding, FindingId};
use crate::geometry::{Nearest, Segments, direction};
use crate::pattern::Piece;
use crate::units::against;
use kurbo::{Point, Vec2};

/// By how much, in mm, the allowance along redrawn edges may differ from the original's.
const ALLOWANCE: f64 = 0.05;

/// Vertices of a sew line nearer to each other than this, in mm, are one.
const POINT: f64 = 1e-6;

/// The least turn, in degrees, at the point of a dart and at the corners of its mouth.
const DART: (f64, f64) = (60.0, 20.0);

/// A closed line from which allowances are measured.
struct Sewn {
    points: Vec<Point>,
    segments: Segments,
    /// The turn at each point, in degrees.
    turns: Vec<f64>,
    /// The points at which it turns as at a dart.
    corners: Vec<usize>,
}

impl Sewn {
    fn new(mut points: Vec<Point>) -> Self {
        // An edge that the allowances leave nothing of has no direction.
        points.dedup_by(|a, b| (*a - *b).hypot() < POINT);
        let n = points.len() - 1;
        let turn =
            |i: usize| direction::angle(points[i] - points[(i + n - 1) % n], points[i + 1] - points[i]);
        let turns: Vec<f64> = (0..n).map(turn).collect();
        let corners = (0..n).filter(|&i| turns[i].abs() >= DART.1).collect();
        Sewn { segments: Segments::of(&points, false), points, turns, corners }
    }

    /// The distance of a point from the line across the mouth of a dart, if the corner belongs to a dart and the point lies over its
    /// mouth: what is cut there is folded away with the dart.
    fn over_dart(&self, corner: usize, p: Point) -> Option<f64> {
        /// As a share of the mouth; a point just beside it may be taken for one over it.
        const BESIDE: f64 = 0.02;
        let (points, turns, m) = (&self.points, &self.turns, self.corners.len());
        let after = self.corners.partition_point(|&i| i <= corner);
        let before = self.corners.partition_point(|&i| i < corner);
        // The next corner, and the one after it, in either direction.
        let next = [[after, after + 1], [before + m - 1, before + 2 * m - 2]];
        next.into_iter().filter(|_| m > 2).find_map(|two| {
            let [tip, mouth] = two.map(|k| self.corners[k % m]);
            let opposite = |i: usize| turns[i] * turns[tip] < 0.0;
            let is_dart = turns[tip].abs() >= DART.0 && opposite(corner) && opposite(mouth);
            let across = points[mouth] - points[corner];
            let share = (p - points[corner]).dot(across) / across.hypot2();
            let over = is_dart && (-BESIDE..=1.0 + BESIDE).contains(&share);
            over.then(|| across.normalize().cross(p - points[corner]).abs())
        })
    }

    /// How far a point of the cut line is from the line: from its nearest place. Where that is a corner, the distances from the
    /// straight lines of the two edges that meet there, since it is these that the allowance is measured from, and over the mouth
    /// of a dart that from the line across it.
    fn widths(&self, p: Point) -> [f64; 3] {
        let Some(Nearest { edge, share, away, .. }) = self.segments.nearest(p) else {
            return [f64::INFINITY; 3];
        };
        let (points, n) = (&self.points, self.points.len() - 1);
        let [before, after] = if share <= 0.0 {
            [(edge + n - 1) % n, edge]
        } else if share >= 1.0 {
            [edge, (edge + 1) % n]
        } else {
            // A point over the mouth of a dart may be nearer to the edge beside it, where that slants.
            let beside =
                [edge, (edge + 1) % n].into_iter().filter(|&k| (p - points[k]).hypot() <= 2.0 * away);
            let over = beside.into_iter().find_map(|corner| self.over_dart(corner, p));
            return [away, away, over.unwrap_or(away)];
        };
        let [one, other] = [before, after].map(|i| points[i + 1] - points[i]);
        if direction::angle(one, other).abs() < CORNER {
            return [away; 3];
        }
        let [one, other] = [(before, one), (after, other)]
            .map(|(i, along)| (p - points[i]).cross(along).abs() / along.hypot());
        [one, other, self.over_dart((before + 1) % n, p).unwrap_or(one)]
    }

    /// Whether the line runs beside a point of another line with this direction, as far as an allowance may be wide. At a corner it
    /// does not.
    fn runs_beside(&self, p: Point, along: Vec2) -> bool {
        /// In mm: no allowance is wider.
        const WIDEST: f64 = 110.0;
        /// The largest angle, in degrees, between a line and the line beside it.
        const LEANS: f64 = 20.0;
        let Some(Nearest { edge, share, away, .. }) = self.segments.nearest(p) else { return false };
        let n = self.points.len() - 1;
        let beside = |k: usize| direction::lean(self.points[k + 1] - self.points[k], along) <= LEANS;
        let vertex = if share <= 0.0 { Some(edge) } else { (share >= 1.0).then_some((edge + 1) % n) };
        let runs = vertex.map_or_else(
            || beside(edge),
            |k| self.turns[k].abs() < CORNER && (beside(k) || beside((k + n - 1) % n)),
        );
        away <= WIDEST && runs
    }
}

/// A cut line as it was drawn, what is changed in it, and how it turned at each vertex, in degrees.
#[derive(Clone, Copy)]
pub(super) struct CutLine<'l> {
    pub points: &'l [Point],
    pub turns: &'l [f64],
    pub redrawn: &'l Redrawn,
}

/// A place of the cut line before and after.
#[derive(Clone, Copy)]
struct Place {
    was: Point,
    /// Between two vertices the place is known to a mm or so, as the sew line beside it may be stretched in another way: those
    /// around it.
    around: Option<[Point; 2]>,
    is: Point,
}

impl CutLine<'_> {
    /// The vertices that move, corners left out: their place follows from the distances from two seams.
    fn vertices(&self) -> impl Iterator<Item = Place> {
        let moves = &self.redrawn.moves;
        let moved = |&i: &usize| moves[i] != Vec2::ZERO && self.turns[i].abs() < CORNER;
        (0..self.points.len()).filter(moved).map(|i| Place {
            was: self.points[i],
            around: None,
            is: self.points[i] + moves[i],
        })
    }

    /// The places on the edges that change, between their ends: where vertices are added, opposite the vertices of the sew line, and
    /// midway between all of these. None at the corners of the sew line, and none where that does not run beside the edge.
    fn between(&self, sew: &Sewn) -> Vec<Place> {
        /// In mm.
        const AROUND: f64 = 1.0;
        let (n, moves) = (self.points.len(), &self.redrawn.moves);
        let added = |i: usize| {
            let first = self.redrawn.added.partition_point(|new| (new.after as usize) < i);
            self.redrawn.added[first..].iter().take_while(move |new| new.after as usize == i)
        };
        let along = |i: usize| self.points[(i + 1) % n] - self.points[i];
        // Along a short edge every place is one of its ends, as well as it is known.
        let changes = |i: &usize| {
            let still = moves[*i] == Vec2::ZERO && moves[(i + 1) % n] == Vec2::ZERO;
            added(*i).next().is_some() || !(still || along(*i).hypot() <= 2.0 * AROUND)
        };
        let changed: Vec<usize> = (0..n).filter(changes).collect();
        if changed.is_empty() {
            return Vec::new();
        }
        let edges = Segments::of(self.points, true);
        let opposite = sew.points[1..].iter().filter_map(|&p| edges.nearest(p));
        let mut opposite: Vec<(usize, f64)> = opposite.map(|near| (near.edge, near.share)).collect();
        opposite.sort_by(|a, b| a.0.cmp(&b.0).then(a.1.total_cmp(&b.1)));
        let mut all = Vec::new();
        for i in changed {
            let j = (i + 1) % n;
            let mut stops = vec![(0.0, self.points[i] + moves[i])];
            stops.extend(added(i).map(|new| (new.share, new.at)));
            stops.push((1.0, self.points[j] + moves[j]));
            let first = opposite.partition_point(|(edge, _)| *edge < i);
            let of_edge =
                opposite[first..].iter().take_while(|(edge, _)| *edge == i).map(|(_, share)| *share);
            let mut shares: Vec<f64> = stops.iter().map(|(share, _)| *share).chain(of_edge).collect();
            shares.sort_by(f64::total_cmp);
            let middle = |w: &[f64]| f64::midpoint(w[0], w[1]);
            let shares: Vec<f64> = shares.windows(2).flat_map(|w| [middle(w), w[1]]).collect();
            for share in shares.into_iter().filter(|share| *share < 1.0) {
                let k = stops.partition_point(|(stop, _)| *stop <= share).clamp(1, stops.len() - 1);
                let ((from, a), (to, b)) = (stops[k - 1], stops[k]);
                let beside = AROUND / along(i).hypot();
                let at = |share: f64| self.points[i].lerp(self.points[j], share.clamp(0.0, 1.0));
                let (was, around) = (at(share), [at(share - beside), at(share + beside)]);
                let is = a.lerp(b, (share - from) / (to - from));
                let runs = [was, around[0], around[1]].iter().all(|&p| sew.runs_beside(p, along(i)));
                all.extend(runs.then_some(Place { was, around: Some(around), is }));
            }
        }
        all
    }
}

/// By how much the allowance changes where it does most, and where that is; `sew` is the closed sew line before and after.
fn worst(sew: [Vec<Point>; 2], cut: CutLine<'_>) -> Option<(f64, Point)> {
    let [was, is] = sew.map(Sewn::new);
    let change = |place: Place| {
        let one = was.widths(place.was);
        let [before, after] = place.around.map_or([one; 2], |around| around.map(|p| was.widths(p)));
        let off = is.widths(place.is).into_iter().enumerate().map(|(k, is)| {
            let least = one[k].min(before[k]).min(after[k]);
            let most = one[k].max(before[k]).max(after[k]);
            (is - most).max(least - is).max(0.0)
        });
        (off.fold(f64::INFINITY, f64::min), place.is)
    };
    cut.vertices().chain(cut.between(&was)).map(change).max_by(|a, b| a.0.total_cmp(&b.0))
}

/// Checks that the cut line keeps its distance from the sew line; `sew` is the closed sew line before and after.
pub(super) fn check(piece: &Piece, sew: [Vec<Point>; 2], cut: CutLine<'_>, findings: &mut Vec<Finding>) {
    if let Some((d, at)) = worst(sew, cut)
        && d > ALLOWANCE
    {
        let (changes, most) = against(d, ALLOWANCE, 3);
        findings.push(
            Finding::error(
                FindingId::AllowanceUneven,
                format!(
                    "the seam allowance changes by {changes} mm along the redrawn edge (at most {most} mm); ask for a \
                     smaller change, or redraw the cut line by hand and --accept allowance-uneven"
                ),
            )
            .at(piece.drawn(at)),
        );
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, reason = "a test stops at the first surprise")]
    use super::*;
    use crate::alter::Added;

    /// A square of 100 mm with 10 mm allowance. At the corner (100, 0) a vertex of the cut line lies on the lower edge's allowance,
    /// 3 mm beyond the corner; the corner is then moved by 2 mm along that edge, the vertex by 1 mm.
    #[test]
    fn beyond_a_corner_the_allowance_is_that_of_its_edges() {
        let square = |corner: f64| {
            let line = [(0.0, 0.0), (corner, 0.0), (corner, 100.0), (0.0, 100.0), (0.0, 0.0)];
            Sewn::new(line.map(Point::from).to_vec())
        };
        let near = |is: [f64; 3], [one, other]: [f64; 2]| {
            is.iter().zip([one, other, one]).all(|(a, b)| (a - b).abs() < 1e-12)
        };
        assert!(near(square(100.0).widths(Point::new(103.0, -10.0)), [10.0, 3.0]));
        assert!(near(square(102.0).widths(Point::new(104.0, -10.0)), [10.0, 2.0]));
        // Beside the edge and beside the corner of the other end.
        assert!(near(square(100.0).widths(Point::new(40.0, -10.0)), [10.0; 2]));
        assert!(near(square(100.0).widths(Point::new(-10.0, -4.0)), [10.0, 4.0]));
    }

    /// A cut edge of 100 mm, drawn at 10 mm from a seam that is straight, with a vertex in the middle. The seam's middle moves by 1 mm,
    /// and the cut line as much with a vertex there, or not at all.
    #[test]
    fn the_allowance_is_looked_at_between_the_vertices_of_the_cut_line() {
        let line = |middle: f64| {
            let all = [(0.0, 0.0), (50.0, middle), (100.0, 0.0), (100.0, 100.0), (0.0, 100.0), (0.0, 0.0)];
            all.map(Point::from).to_vec()
        };
        let cut =
            [(-10.0, -10.0), (0.0, -10.0), (100.0, -10.0), (110.0, -10.0), (110.0, 110.0), (-10.0, 110.0)];
        let cut = cut.map(Point::from);
        let turns = crate::geometry::corners::turns(&cut);
        let mut moves = vec![Vec2::ZERO; 6];
        // The vertex opposite the seam's end is taken for moved, by nothing that shows.
        moves[1] = Vec2::new(1e-6, 0.0);
        let off = |added: Vec<Added>| {
            let redrawn = Redrawn { path: 0, moves: moves.clone(), added };
            worst([line(0.0), line(1.0)], CutLine { points: &cut, turns: &turns, redrawn: &redrawn }).unwrap()
        };
        let added = Added { after: 1, share: 0.5, at: Point::new(50.0, -9.0) };
        assert!(off(vec![added]).0 < 0.01);
        let (changes, at) = off(vec![]);
        assert!((changes - 1.0).abs() < 0.01 && (at.x - 50.0).abs() < 0.5, "{changes} at {at:?}");
    }
}
