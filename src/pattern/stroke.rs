//! Strokes: single drawn entities as points, with the places of their numbers in the file.

use super::piece::StrokePoint;
use super::{LayerMap, LayerUse, Path};
use crate::dxf_text::Span;
use kurbo::Point;
use std::collections::{HashMap, VecDeque};
use std::sync::Arc;

/// Where the two coordinates of a point stand in the file.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Place {
    /// The X value.
    pub x: Span,
    /// The Y value.
    pub y: Span,
}

impl Place {
    /// The place of a point that is not written in the file but follows from a curve. An `Option` would need a quarter more
    /// memory, and places are what a large nest has most of.
    pub const NONE: Place = Place { x: Span { start: 0, end: 0 }, y: Span { start: 0, end: 0 } };

    /// The place, if the point is written in the file.
    #[must_use]
    pub fn drawn(self) -> Option<Place> {
        (self != Place::NONE).then_some(self)
    }
}

/// How a stroke is drawn.
#[derive(Clone, Debug, PartialEq)]
pub enum Shape {
    /// `POLYLINE` with its vertices; each one's whole entity is kept for copying.
    Polyline {
        /// For each vertex, its `VERTEX` entity.
        vertices: Vec<Span>,
        /// The vertices that begin an arc, with the places of their bulge values, in ascending order.
        bulges: Vec<(u32, Span)>,
        /// For each vertex the index of its point; empty if there are no other points than the vertices.
        at: Vec<u32>,
    },
    /// `LWPOLYLINE`.
    LwPolyline {
        /// The vertex count.
        count: Span,
        /// For each vertex, the pairs that belong to it.
        vertices: Vec<Span>,
        /// The vertices that begin an arc, with the places of their bulge values, in ascending order.
        bulges: Vec<(u32, Span)>,
        /// For each vertex the index of its point; empty if there are no other points than the vertices.
        at: Vec<u32>,
    },
    /// `LINE`.
    Line,
    /// `ARC`, by its centre.
    Arc {
        /// Where the centre stands.
        centre: Place,
        /// The centre in mm.
        at: Point,
    },
    /// `ELLIPSE`, whole or a part of one, by its centre.
    Ellipse {
        /// Where the centre stands.
        centre: Place,
        /// The centre in mm.
        at: Point,
    },
    /// `SPLINE`, by its control and fit points.
    Spline {
        /// Every control and fit point with its position in mm.
        controls: Vec<(Place, Point)>,
    },
}

/// A drawn entity: its points in mm in the order drawn, curves flattened.
#[derive(Clone, Debug, PartialEq)]
pub struct Stroke {
    /// The layer's name.
    pub layer: Arc<str>,
    /// The whole entity; for a polyline up to the end of `SEQEND`.
    pub span: Span,
    /// How it is drawn.
    pub shape: Shape,
    /// Whether it is closed by its flag.
    pub closed: bool,
    /// Whether its plane is seen from behind, so that its X coordinates have the opposite sign.
    pub mirrored: bool,
    /// The points in mm.
    pub points: Arc<[Point]>,
    /// For each point the place of its coordinates; [`Place::NONE`] for a point within a curve.
    pub places: Vec<Place>,
}

/// The number of ends that may be looked at to find which strokes meet: the first value for each end, plus the second. Only a few
/// strokes meet in a corner. Where thousands do, lines are drawn many times over, and looking at all of them for each would take
/// hours.
const MOST: (usize, usize) = (200, 1_000_000);

/// The error if too many ends of strokes lie within the gap of one another.
#[derive(Debug)]
pub(super) struct Crowded;

/// Makes the lines of a piece from its strokes. On the layer of an outline or seam, strokes whose ends lie within `gap` mm of
/// each other become one line; on other layers each stroke is a line of its own.
pub(super) fn join(strokes: &[Stroke], layers: &LayerMap, gap: f64) -> Result<Vec<Path>, Crowded> {
    let mut paths = Vec::new();
    let uses: Vec<Option<LayerUse>> = strokes.iter().map(|s| layers.of(&s.layer)).collect();
    // For each use of a layer, the ends of the strokes that may be parts of one line.
    let mut ends: Vec<(LayerUse, Ends)> = Vec::new();
    let mut used = vec![false; strokes.len()];
    for (i, layer_use) in uses.iter().enumerate() {
        let Some(layer_use) = *layer_use else { continue };
        if used[i] || strokes[i].points.is_empty() {
            continue;
        }
        let place = ends.iter().position(|(u, _)| *u == layer_use).unwrap_or_else(|| {
            let same = |j: usize| joins(layer_use) && uses[j] == Some(layer_use);
            ends.push((layer_use, Ends::new(strokes, gap, same)));
            ends.len() - 1
        });
        paths.push(Chain::grow(strokes, i, gap, &mut used, &mut ends[place].1)?.finish(layer_use));
    }
    if !paths.iter().any(|p| p.layer_use == LayerUse::Sew && p.closed) {
        paths.extend(seams_joined(strokes, layers, gap)?);
    }
    close_at_mirror(&mut paths);
    Ok(paths)
}

/// How far, in mm, an outline may end off the mirror line at which the piece is drawn as half.
pub const ON_MIRROR: f64 = 1.0;

/// The outlines of a half piece may end at its mirror line, which is their last edge.
fn close_at_mirror(paths: &mut [Path]) {
    let mirror = |p: &&Path| p.layer_use == LayerUse::Mirror && !p.closed && p.points.len() > 1;
    let Some(mirror) = paths.iter().find(mirror).map(|p| [p.points[0], p.points[p.points.len() - 1]]) else {
        return;
    };
    let outline = |p: &&mut Path| matches!(p.layer_use, LayerUse::Cut | LayerUse::Sew) && !p.closed;
    for path in paths.iter_mut().filter(outline).filter(|p| p.points.len() > 2) {
        path.closed = ends_at_mirror([path.points[0], path.points[path.points.len() - 1]], mirror);
    }
}

/// Whether a line from one of these ends to the other would lie along a mirror line between these points.
#[must_use]
pub fn ends_at_mirror(ends: [Point; 2], [a, b]: [Point; 2]) -> bool {
    /// How far, in mm, an end may lie beyond the mirror line's: the widest allowance.
    const BEYOND: f64 = 40.0;
    let (along, length) = ((b - a).normalize(), (b - a).hypot());
    ends.iter().all(|p| {
        let from = *p - a;
        from.cross(along).abs() <= ON_MIRROR && (-BEYOND..=length + BEYOND).contains(&from.dot(along))
    })
}

/// The sew line of a piece whose seams are on layers of their own, joined end to end. The path is open if they do not close.
fn seams_joined(strokes: &[Stroke], layers: &LayerMap, gap: f64) -> Result<Option<Path>, Crowded> {
    let seam = |j: usize| layers.of(&strokes[j].layer).is_some_and(LayerUse::is_seam);
    let uses = |u: LayerUse| strokes.iter().any(|s| layers.of(&s.layer) == Some(u));
    if LayerUse::SEAMS.into_iter().filter(|&u| uses(u)).count() < 2 {
        return Ok(None);
    }
    let Some(first) = (0..strokes.len()).find(|&j| seam(j) && !strokes[j].points.is_empty()) else {
        return Ok(None);
    };
    let mut used = vec![false; strokes.len()];
    let mut ends = Ends::new(strokes, gap, seam);
    Ok(Some(Chain::grow(strokes, first, gap, &mut used, &mut ends)?.finish(LayerUse::Sew)))
}

/// Whether strokes of this use are parts of one line.
fn joins(layer_use: LayerUse) -> bool {
    !matches!(
        layer_use,
        LayerUse::Grain | LayerUse::GradeReference | LayerUse::Internal | LayerUse::Notch | LayerUse::Fold
    )
}

/// The ends of open strokes, sorted into the squares of a grid whose width is at least the gap.
struct Ends {
    gap: f64,
    squares: HashMap<(i64, i64), VecDeque<End>>,
    /// How many ends may still be looked at.
    left: usize,
}

/// The index of the stroke, whether the end is its last point, and the point. Within a square the ends are in the order drawn.
type End = (usize, bool, Point);

impl Ends {
    fn new(strokes: &[Stroke], gap: f64, belongs: impl Fn(usize) -> bool) -> Self {
        let mut ends = Ends { gap, squares: HashMap::new(), left: MOST.1 };
        for (j, stroke) in strokes.iter().enumerate() {
            if let (false, [first, .., last] | [first @ last]) = (stroke.closed, &*stroke.points)
                && belongs(j)
            {
                ends.left += 2 * MOST.0;
                for (is_last, at) in [(false, *first), (true, *last)] {
                    ends.squares.entry(ends.square(at)).or_default().push_back((j, is_last, at));
                }
            }
        }
        ends
    }

    fn square(&self, at: Point) -> (i64, i64) {
        /// The least width of a square, for a gap of zero.
        const NARROWEST: f64 = 1e-3;
        let width = self.gap.max(NARROWEST);
        #[allow(clippy::cast_possible_truncation)] // coordinates are within reach
        let of = |v: f64| (v / width).floor() as i64;
        (of(at.x), of(at.y))
    }

    /// The nearest end, within the gap, of a stroke that is not yet used: its distance, the index of the stroke, and whether it
    /// is its last point.
    fn nearest(&mut self, at: Point, used: &[bool]) -> Result<Option<(f64, usize, bool)>, Crowded> {
        let (x, y) = self.square(at);
        let mut best: Option<(f64, usize, bool)> = None;
        for place in (x - 1..=x + 1).flat_map(|x| (y - 1..=y + 1).map(move |y| (x, y))) {
            let Some(square) = self.squares.get_mut(&place) else { continue };
            // Used ends at the front are removed once, because many strokes may meet in one point.
            while square.pop_front_if(|&mut (j, ..)| used[j]).is_some() {}
            for &(j, last, end) in square.iter() {
                self.left = self.left.checked_sub(1).ok_or(Crowded)?;
                if used[j] {
                    continue;
                }
                let d = (end - at).hypot();
                if d <= self.gap && best.is_none_or(|nearest| (d, j, last) < nearest) {
                    best = Some((d, j, last));
                }
                if d == 0.0 {
                    break;
                }
            }
        }
        Ok(best)
    }
}

/// A line being joined.
struct Chain<'s> {
    strokes: &'s [Stroke],
    gap: f64,
    /// The index of each stroke, and whether it is run through backwards.
    links: VecDeque<(usize, bool)>,
}

impl<'s> Chain<'s> {
    fn start(strokes: &'s [Stroke], first: usize, gap: f64) -> Self {
        Chain { strokes, gap, links: [(first, false)].into() }
    }

    /// The line that starts with this stroke and is extended by every stroke among `ends` that meets one of its ends.
    fn grow(
        strokes: &'s [Stroke],
        first: usize,
        gap: f64,
        used: &mut [bool],
        ends: &mut Ends,
    ) -> Result<Self, Crowded> {
        used[first] = true;
        let mut chain = Chain::start(strokes, first, gap);
        while !chain.closes() && chain.extend(used, ends)? {}
        Ok(chain)
    }

    fn ends(&self, (stroke, back): (usize, bool)) -> (Point, Point) {
        let points = &self.strokes[stroke].points;
        let (a, b) = (points[0], points[points.len() - 1]);
        if back { (b, a) } else { (a, b) }
    }

    fn head(&self) -> Point {
        self.ends(self.links[0]).0
    }

    fn tail(&self) -> Point {
        self.ends(self.links[self.links.len() - 1]).1
    }

    fn closes(&self) -> bool {
        let flagged = self.links.len() == 1 && self.strokes[self.links[0].0].closed;
        let long = self.links.len() > 1 || self.strokes[self.links[0].0].points.len() > 3;
        flagged || (long && (self.head() - self.tail()).hypot() <= self.gap)
    }

    /// Adds the nearest open stroke that meets one of the line's ends; returns false if there is none. Of equally near strokes
    /// the one drawn first is taken, and the tail has priority over the head.
    fn extend(&mut self, used: &mut [bool], ends: &mut Ends) -> Result<bool, Crowded> {
        let (head, tail) = (self.head(), self.tail());
        let at_tail = ends.nearest(tail, used)?.map(|(d, j, last)| (d, j, last, true));
        let at_head = ends.nearest(head, used)?.map(|(d, j, last)| (d, j, !last, false));
        let nearer = |a: &(f64, usize, bool, bool), b: &(f64, usize, bool, bool)| {
            a.0.total_cmp(&b.0).then(a.1.cmp(&b.1))
        };
        let Some((_, j, back, at_tail)) = at_tail.into_iter().chain(at_head).min_by(nearer) else {
            return Ok(false);
        };
        used[j] = true;
        if at_tail {
            self.links.push_back((j, back));
        } else {
            self.links.push_front((j, back));
        }
        Ok(true)
    }

    fn finish(self, layer_use: LayerUse) -> Path {
        let closed = self.closes();
        let total = self.links.iter().map(|&(s, _)| self.strokes[s].points.len()).sum();
        let mut path = Path {
            layer_use,
            points: Arc::default(),
            from: Vec::with_capacity(total),
            twins: Vec::new(),
            closed,
        };
        let mut line: Vec<Point> = Vec::with_capacity(total);
        for &(stroke, back) in &self.links {
            let points = &self.strokes[stroke].points;
            for k in 0..points.len() {
                let k = if back { points.len() - 1 - k } else { k };
                let from = StrokePoint::new(stroke, k);
                // Within one entity only identical points are merged; between two entities, points within the gap are.
                let near = match path.from.last() {
                    Some(last) if last.stroke == from.stroke => 1e-9,
                    _ => self.gap,
                };
                match line.last() {
                    Some(&last) if (last - points[k]).hypot() <= near => {
                        path.twins.push((index(line.len() - 1), from));
                    }
                    _ => {
                        line.push(points[k]);
                        path.from.push(from);
                    }
                }
            }
        }
        // If a closed line repeats its first point at the end, both are merged.
        let n = line.len();
        if closed && n > 1 && (line[n - 1] - line[0]).hypot() <= self.gap {
            line.pop();
            let last = index(n - 1);
            path.twins.iter_mut().filter(|(i, _)| *i == last).for_each(|(i, _)| *i = 0);
            path.twins.extend(path.from.pop().map(|from| (0, from)));
        }
        path.twins.sort_by_key(|&(i, _)| i);
        // A line made of one stroke shares the points of the stroke, because in a large nest points take most of the memory.
        let own = &self.strokes[self.links[0].0].points;
        path.points = if **own == *line { Arc::clone(own) } else { line.into() };
        path
    }
}

/// An index, which fits into 32 bits because a file has less than 4 GB.
fn index(n: usize) -> u32 {
    u32::try_from(n).unwrap_or(u32::MAX)
}
