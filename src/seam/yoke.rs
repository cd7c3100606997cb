//! Yokes: the centre edge of a yoke is a part of the rise of the leg that the yoke is sewn to, and its side edge of the outseam.

use super::{Derived, Leg, Part, RingOnLine, SeamRole, names, shape};
use crate::finding::{Finding, FindingId};
use crate::geometry::{corners, direction, line, offset, ring};
use crate::pattern::{LayerUse, Piece};
use crate::trousers::{Allowances, LabelTexts};
use crate::units::Mm;
use kurbo::{Point, Vec2};

/// How far, in mm, a label may stand from the edge it names.
const LABEL_REACH: f64 = 30.0;

/// An end that is longer than the other one by this factor is the centre: yokes get deeper towards the centre back (*common
/// practice, no source*).
const DEEPER: f64 = 1.08;

/// Ends whose lengths differ by less than this share count as equal: a straight strip, or both halves drawn in one.
const ALIKE: f64 = 0.02;

/// If the ends of a half yoke differ by no more than this, it makes no difference to the crotch length which of them is the centre.
const SAME: Mm = Mm(0.2);
/// The edges of a yoke that continue the seams of the leg below it; both 0 where there is no yoke.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Above {
    /// The length of the edge that continues the crotch seam.
    pub centre: Mm,
    /// The length of the edge that continues the outseam.
    pub side: Mm,
}

/// A yoke whose centre edge is known.
#[derive(Clone, Debug)]
pub struct Yoke<'p> {
    /// The piece.
    pub piece: &'p Piece,
    /// The legs that it is sewn to.
    pub part: Part,
    /// Its edges that continue the leg's seams, on the sew line.
    pub above: Above,
    /// The line of the half yoke; `None` where both halves are drawn in one piece with the centre in the middle.
    half: Option<Half>,
    /// How its centre edge is known.
    pub(super) told: Told,
}

/// How the centre edge of a yoke is known.
#[derive(Clone, Debug)]
pub(super) enum Told {
    /// By a mark, or by the leg that it is sewn to; or it makes no difference.
    Surely,
    /// By a habit of the trade, or by the leg, but not clearly.
    Likely,
    /// Not by the yoke itself; with what is then to be said.
    Not(Finding),
}

/// The line of a half yoke, with the centre edge at one of its ends.
#[derive(Clone, Debug)]
struct Half {
    path: usize,
    sew: Vec<Point>,
    derived: Option<Derived>,
    edges: Edges,
    /// Which of the ends is the centre.
    centre: usize,
}

/// Reads a yoke.
pub(super) fn read<'p>(
    piece: &'p Piece,
    part: Part,
    leg: Option<&Leg>,
    (words, allowances): (&LabelTexts, &Allowances),
) -> Result<Yoke<'p>, Finding> {
    let sew = piece.outline(LayerUse::Sew);
    let path = sew
        .or_else(|| piece.outline(LayerUse::Cut))
        .ok_or_else(|| unknown(piece, "it has no closed outline"))?;
    let edges = Edges::of(piece, &path.points)?;
    let (line, derived) = if sew.is_some() {
        (path.points.to_vec(), None)
    } else {
        let allowances = of_edges(piece, path.points.len(), &edges, allowances)?;
        let sew = offset::inside(&path.points, &allowances)
            .ok_or_else(|| unknown(piece, "its allowances leave nothing inside the cut line"))?;
        (sew, Some(Derived { points: path.points.to_vec(), allowances }))
    };
    let [ends, sides] = [edges.ends, edges.sides].map(|two| two.map(|(a, b)| ring::run(&line, a, b)));
    let [first, second] = [0, 1].map(|k| Mm(line::length(&ends[k])));
    let marked = marked_centre(piece, &ends, words)?.map(|k| (k, Told::Surely));
    // Of a half yoke one end is the centre however alike they are.
    let half = leg.filter(|leg| is_half(&sides, leg));
    let alike = (first - second).abs() <= SAME;
    let known = marked.or_else(|| match (by_lengths(piece, &ends), half) {
        (Ok(None), None) => None,
        (Ok(Some(deeper)), None) => Some((deeper, Told::Likely)),
        // The depth is a habit; a centre waist that was lowered makes the other end the deeper one.
        (Ok(Some(deeper)), Some(leg)) => {
            let fit = by_fit(&ends, &sides, leg).filter(|fit| fit.is_sure);
            Some(fit.map_or((deeper, Told::Likely), |fit| (fit.centre, Told::Surely)))
        }
        (depth, _) => Some(match (leg.and_then(|leg| by_fit(&ends, &sides, leg)), depth) {
            (Some(fit), _) => (fit.centre, if fit.is_sure { Told::Surely } else { Told::Likely }),
            (None, Ok(_)) if alike => return None,
            (None, depth) => {
                (0, Told::Not(depth.err().unwrap_or_else(|| ends_alike(piece, [first, second]))))
            }
        }),
    });
    let Some((k, told)) = known else {
        let above = if half.is_some() {
            Above { centre: first, side: second }
        } else {
            let centre = Mm((halfway(&sides[0]) - halfway(&sides[1])).hypot());
            let side = Mm(ends.iter().map(|end| line::length(end)).sum::<f64>() / 2.0);
            Above { centre, side }
        };
        return Ok(Yoke { piece, part, above, half: None, told: Told::Surely });
    };
    let path = piece.paths.iter().position(|p| std::ptr::eq(p, path)).unwrap_or_default();
    let half = Half { path, sew: line, derived, edges, centre: k };
    let [centre, side] = [k, 1 - k].map(|end| Mm(line::length(&ends[end])));
    Ok(Yoke { piece, part, above: Above { centre, side }, half: Some(half), told })
}

impl Yoke<'_> {
    /// The direction across the yoke from its centre to its side, of length 1; `None` where both halves are drawn in one piece.
    pub(super) fn across(&self) -> Option<Vec2> {
        let half = self.half.as_ref()?;
        let middle = |end: usize| {
            let (a, b) = half.edges.ends[end];
            halfway(&ring::run(&half.sew, a, b))
        };
        Some((middle(1 - half.centre) - middle(half.centre)).normalize())
    }

    /// Takes the other end for the centre.
    pub(super) fn exchange(&mut self) {
        let Above { centre, side } = self.above;
        self.above = Above { centre: side, side: centre };
        if let Some(half) = &mut self.half {
            half.centre = 1 - half.centre;
        }
    }

    /// The yoke as the top of the leg that it is sewn to: its centre edge is the crotch seam, its lower edge the hem, and there
    /// is no inseam between them. `None` where it is not known which edge is the waist.
    #[must_use]
    pub fn top(&self, leg: &Leg) -> Option<Leg> {
        let half = self.half.as_ref()?;
        let waist = half.waist(leg)?;
        let n = half.sew.len();
        let (centre, side) = (half.edges.ends[half.centre], half.edges.ends[1 - half.centre]);
        // The ring runs from the waist down the centre edge.
        let forward = half.edges.sides[waist].1 == centre.0;
        let steps = |(a, b): (usize, usize)| (b + n - a) % n;
        let from = if forward { centre.0 } else { centre.1 };
        let at = |k: usize| if forward { (from + k) % n } else { (from + n - k) % n };
        let order: Vec<u32> = (0..n).map(|k| u32::try_from(at(k)).unwrap_or(u32::MAX)).collect();
        let fork = steps(centre);
        let hem_out = fork + steps(half.edges.sides[1 - waist]);
        let drawn = RingOnLine {
            path: half.path,
            order,
            start: None,
            fly: Vec::new(),
            derived: half.derived.clone(),
        };
        let ring = drawn.ring(&half.sew);
        let up = (ring[0] - ring[fork]).normalize();
        let across = Vec2::new(-up.y, up.x);
        let out = if (ring[fork] - ring[hem_out]).dot(across) > 0.0 { across } else { -across };
        let side = hem_out + steps(side);
        Some(Leg {
            ring,
            fly: Vec::new(),
            drawn,
            up,
            out,
            fork,
            hem_in: fork,
            hem_out,
            side,
            curve_begin: fork,
            one_piece: None,
            mirror: None,
            found: leg.found,
        })
    }
}

impl Half {
    /// Which of the sides is the waist; the other one is sewn to the leg. `None` where that is not known.
    fn waist(&self, leg: &Leg) -> Option<usize> {
        let by_length = self.waist_by_length(leg);
        let as_worn = self.waist_as_worn(leg);
        match (by_length, as_worn) {
            (Some(one), Some(other)) if one != other => None,
            (one, other) => one.or(other),
        }
    }

    /// The waist is the edge that does not match the length of the leg's top.
    fn waist_by_length(&self, leg: &Leg) -> Option<usize> {
        /// How far, in mm, seams that are sewn together may differ where one is eased in.
        const EASED: f64 = 8.0;
        /// By how much more, in mm, the waist has to differ from the leg's top than the other edge.
        const CLEAR: f64 = 3.0;
        let top = leg.length(SeamRole::Waist).0;
        let off = self.edges.sides.map(|(a, b)| (line::length(&ring::run(&self.sew, a, b)) - top).abs());
        let lower = usize::from(off[1] < off[0]);
        (off[lower] <= EASED && off[1 - lower] - off[lower] >= CLEAR).then_some(1 - lower)
    }

    /// The waist is the upper edge, if the yoke is drawn in the position of its leg: with its centre on the same side.
    fn waist_as_worn(&self, leg: &Leg) -> Option<usize> {
        /// The share of the yoke's width by which its centre has to lie towards the side of the leg's centre.
        const OVER: f64 = 0.8;
        let middle = |(a, b): (usize, usize)| halfway(&ring::run(&self.sew, a, b));
        let (ends, sides) = (self.edges.ends.map(middle), self.edges.sides.map(middle));
        let across = ends[self.centre] - ends[1 - self.centre];
        let lies = across.dot(leg.out) >= OVER * across.hypot();
        lies.then(|| usize::from((sides[1] - sides[0]).dot(leg.up) > 0.0))
    }
}

/// Refuses a yoke whose centre edge is not known.
pub(super) fn unknown(piece: &Piece, why: &str) -> Finding {
    Finding::error(
        FindingId::SeamAmbiguous,
        format!(
            "which edge of the yoke is its centre is not known ({why}); put a text that names the crotch seam at it \
             ([labels] crotch)"
        ),
    )
    .about(piece)
}

/// The four edges of a yoke, each as the corners of the line where it begins and ends, running forward.
#[derive(Clone, Debug)]
struct Edges {
    /// The shorter pair of opposite edges.
    ends: [(usize, usize); 2],
    /// The longer pair: the top and the edge that is sewn to the leg.
    sides: [(usize, usize); 2],
}

impl Edges {
    /// Divides a yoke's line into the edges between its four corners.
    fn of(piece: &Piece, line: &[Point]) -> Result<Self, Finding> {
        let turns = corners::turns(line);
        let corners = shape::corners(&turns);
        let four = if corners.len() == 4 { Some(corners.clone()) } else { four_sharpest(&turns) };
        let Some([a, b, c, d]) = four.as_deref() else {
            return Err(unknown(piece, &format!("it has {} corners in place of four", corners.len())));
        };
        let (a, b, c, d) = (*a, *b, *c, *d);
        let long = |from, to| line::length(&ring::run(line, from, to));
        let (one, other) = ([(a, b), (c, d)], [(b, c), (d, a)]);
        Ok(if long(a, b) + long(c, d) < long(b, c) + long(d, a) {
            Edges { ends: one, sides: other }
        } else {
            Edges { ends: other, sides: one }
        })
    }
}

/// The four vertices at which a line turns inwards most, in the line's order, if they stand out from all other vertices.
fn four_sharpest(turns: &[f64]) -> Option<Vec<usize>> {
    /// The least turn of a corner in degrees, and the least ratio of its turn to that of any other vertex.
    const CLEAR: (f64, f64) = (15.0, 1.5);
    let mut sharpest: Vec<usize> = (0..turns.len()).collect();
    sharpest.sort_by(|&i, &j| turns[j].total_cmp(&turns[i]));
    let fourth = turns[*sharpest.get(3)?];
    let fifth = sharpest.get(4).map_or(0.0, |&i| turns[i]);
    sharpest.truncate(4);
    sharpest.sort_unstable();
    (fourth >= CLEAR.0 && fourth >= CLEAR.1 * fifth).then_some(sharpest)
}

/// The allowance of each edge of a yoke's cut line of `n` points.
fn of_edges(piece: &Piece, n: usize, edges: &Edges, allowances: &Allowances) -> Result<Vec<f64>, Finding> {
    let of = |role| allowances.get(role).map(|a| a.0);
    let (Some(across), Some(top), Some(other)) =
        (of(SeamRole::Crotch), of(SeamRole::Waist), allowances.all.map(|a| a.0).or(of(SeamRole::Crotch)))
    else {
        return Err(Finding::error(
            FindingId::AllowanceMissing,
            "the yoke has a cut line but no sew line (layer 14), and its allowance is not known; say it with \
             --allowance all=LENGTH",
        )
        .about(piece));
    };
    let within = |(from, to): (usize, usize), i: usize| (i + n - from) % n < (to + n - from) % n;
    let of_edge = |i| match i {
        i if edges.ends.iter().any(|&e| within(e, i)) => across,
        // For the ends it makes no difference which of the two long edges is taken as the top.
        i if within(edges.sides[0], i) => top,
        _ => other,
    };
    Ok((0..n).map(of_edge).collect())
}

/// The end that the drawing marks as the centre: the one on the fold, else the one with a text for the crotch seam.
fn marked_centre(
    piece: &Piece,
    ends: &[Vec<Point>; 2],
    words: &LabelTexts,
) -> Result<Option<usize>, Finding> {
    let far = |p: Point| [line::distance(&ends[0], false, p), line::distance(&ends[1], false, p)];
    let nearer = |far: [f64; 2]| usize::from(far[1] < far[0]);
    if let Some(mirror) = piece.paths_of(LayerUse::Mirror).next() {
        let middle = mirror.points[0].midpoint(mirror.points[mirror.points.len() - 1]);
        return Ok(Some(nearer(far(middle))));
    }
    let Some(text) = piece.texts.iter().find(|t| names::is_seam(&t.value, SeamRole::Crotch, words)) else {
        return Ok(None);
    };
    let far = far(text.at);
    let k = nearer(far);
    if far[k] > LABEL_REACH {
        return Err(unknown(piece, &format!("'{}' stands at neither end", text.value)));
    }
    Ok(Some(k))
}

/// The centre of an unmarked yoke: its deeper end, or none where both ends are side seams.
fn by_lengths(piece: &Piece, ends: &[Vec<Point>; 2]) -> Result<Option<usize>, Finding> {
    let lengths = [line::length(&ends[0]), line::length(&ends[1])];
    let (less, more) = (lengths[0].min(lengths[1]), lengths[0].max(lengths[1]));
    if more >= DEEPER * less {
        return Ok(Some(usize::from(lengths[1] > lengths[0])));
    }
    if more - less <= ALIKE * more {
        return Ok(None);
    }
    Err(ends_alike(piece, [less, more].map(Mm)))
}

/// Refuses a yoke whose ends are too much alike.
fn ends_alike(piece: &Piece, [one, other]: [Mm; 2]) -> Finding {
    unknown(piece, &format!("its ends are {:.1} and {:.1} mm long", one.0, other.0))
}

/// Whether a yoke is drawn as one half: it is about as wide as the top of its leg, and not twice as wide.
fn is_half(sides: &[Vec<Point>; 2], leg: &Leg) -> bool {
    /// Halfway between one and two.
    const WIDEST: f64 = 1.5;
    let wide = f64::midpoint(line::length(&sides[0]), line::length(&sides[1]));
    wide <= WIDEST * leg.length(SeamRole::Waist).0
}

/// The position in which a yoke fits on its leg.
struct Fit {
    /// Which of the ends is the centre.
    centre: usize,
    /// Whether the other position is out of the question.
    is_sure: bool,
}

/// The position of a yoke on its leg: laid on the leg, both seams have to continue straight across the joint
/// (common practice, no source), which is the case for only one of the two positions.
fn by_fit(ends: &[Vec<Point>; 2], sides: &[Vec<Point>; 2], leg: &Leg) -> Option<Fit> {
    /// How far, in mm, seams that are sewn together may differ where one is eased in.
    const EASED: f64 = 8.0;
    /// By how many degrees, over both seams, the other position has to fit less well, and by how many where that
    /// is to count for more than the depth.
    const CLEAR: [f64; 2] = [5.0, 20.0];
    let away = |run: &[Point], from_end: bool| {
        let mut run = run.to_vec();
        if from_end {
            run.reverse();
        }
        direction::tangent_at_start(&run)
    };
    let between = |a: Vec2, b: Vec2| direction::angle(a, b).abs();
    let [crotch, outseam, waist] =
        [SeamRole::Crotch, SeamRole::Outseam, SeamRole::Waist].map(|role| leg.seam(role));
    let of_leg = [
        between(away(&crotch, false), away(&waist, true)),
        between(away(&outseam, true), away(&waist, false)),
    ];
    // Each run goes from corner to corner in the direction of the line, so that ends and sides follow each other in turn.
    let at = |side: usize, end: usize| {
        let meets = |a: Point, b: Point| (a - b).hypot() < 1e-9;
        let (s, e) = (&sides[side], &ends[end]);
        let end_of_side = meets(s[s.len() - 1], e[0]) || meets(s[s.len() - 1], e[e.len() - 1]);
        let joint = if end_of_side { s[s.len() - 1] } else { s[0] };
        between(away(s, end_of_side), away(e, meets(joint, e[e.len() - 1])))
    };
    let off = |centre: usize| {
        let lower = (0..2).filter(|&side| (line::length(&sides[side]) - line::length(&waist)).abs() <= EASED);
        let off = |side| {
            (at(side, centre) + of_leg[0] - 180.0).abs() + (at(side, 1 - centre) + of_leg[1] - 180.0).abs()
        };
        lower.map(off).fold(f64::INFINITY, f64::min)
    };
    let (one, other) = (off(0), off(1));
    let by = (one - other).abs();
    (by >= CLEAR[0]).then(|| Fit { centre: usize::from(other < one), is_sure: by >= CLEAR[1] })
}

/// The point halfway along a run.
fn halfway(run: &[Point]) -> Point {
    let stations = line::stations(run);
    let half = stations[stations.len() - 1] / 2.0;
    let i = stations.partition_point(|&s| s < half).max(1);
    run[i - 1].lerp(run[i], (half - stations[i - 1]) / (stations[i] - stations[i - 1]).max(1e-9))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The run is 10 mm and 50 mm long (a 3-4-5 slope), so that its middle is 20 mm along the second edge.
    #[test]
    fn the_middle_of_a_run_lies_half_of_its_length_along() {
        let at = |run: &[(f64, f64)]| halfway(&run.iter().map(|&p| p.into()).collect::<Vec<Point>>());
        assert_eq!(at(&[(7.0, 3.0), (17.0, 3.0), (47.0, 43.0)]), Point::new(29.0, 19.0));
        assert_eq!(at(&[(47.0, 43.0), (17.0, 3.0), (7.0, 3.0)]), Point::new(29.0, 19.0));
        assert_eq!(at(&[(7.0, 3.0), (37.0, 3.0), (37.0, 33.0)]), Point::new(37.0, 3.0));
        assert_eq!(at(&[(7.0, 3.0), (9.0, 3.0), (12.0, 7.0), (12.0, 14.0)]), Point::new(12.0, 7.0));
        assert_eq!(at(&[(7.0, 3.0), (15.0, 9.0)]), Point::new(11.0, 6.0));
    }
}
