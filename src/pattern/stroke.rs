//! Strokes: single drawn entities as points, with the places of their numbers.

use super::piece::StrokePoint;
use super::{LayerMap, LayerUse, Path};
use crate::dxf_text::Span;
use kurbo::Point;
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
    /// Where a point stands that is not written but follows from a curve. An `Option` would take a
    /// quarter more of what a large nest needs most of.
    pub const NONE: Place = Place { x: Span { start: 0, end: 0 }, y: Span { start: 0, end: 0 } };

    /// The place, if the point is written.
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
        /// The vertices that begin an arc, with their bulge values, by rising index.
        bulges: Vec<(u32, Span)>,
        /// The point each vertex is; empty where vertices and points are one to one.
        at: Vec<u32>,
    },
    /// `LWPOLYLINE`.
    LwPolyline {
        /// The vertex count.
        count: Span,
        /// For each vertex, the pairs that belong to it.
        vertices: Vec<Span>,
        /// The vertices that begin an arc, with their bulge values, by rising index.
        bulges: Vec<(u32, Span)>,
        /// The point each vertex is; empty where vertices and points are one to one.
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
    /// Whether its plane is seen from behind, so that its numbers count X the other way.
    pub mirrored: bool,
    /// The points in mm.
    pub points: Arc<[Point]>,
    /// For each point the place of its coordinates; [`Place::NONE`] for a point within a curve.
    pub places: Vec<Place>,
}

/// Makes the lines of a piece from its strokes. Strokes on an outline or seam layer whose ends lie
/// within `gap` mm of each other become one line; elsewhere each stroke is a line of its own.
#[must_use]
pub(super) fn join(strokes: &[Stroke], layers: &LayerMap, gap: f64) -> Vec<Path> {
    let mut paths = Vec::new();
    let mut used = vec![false; strokes.len()];
    for i in 0..strokes.len() {
        let Some(layer_use) = layers.of(&strokes[i].layer) else { continue };
        if used[i] || strokes[i].points.is_empty() {
            continue;
        }
        let same = |j: usize| joins(layer_use) && layers.of(&strokes[j].layer) == Some(layer_use);
        paths.push(Chain::grow(strokes, i, gap, &mut used, same).finish(layer_use));
    }
    if !paths.iter().any(|p| p.layer_use == LayerUse::Sew && p.closed) {
        paths.extend(seams_joined(strokes, layers, gap));
    }
    paths
}

/// The sew line of a piece whose seams are on layers of their own, joined end to end; the path is
/// open where they do not close.
fn seams_joined(strokes: &[Stroke], layers: &LayerMap, gap: f64) -> Option<Path> {
    let seam = |j: usize| layers.of(&strokes[j].layer).is_some_and(LayerUse::is_seam);
    let uses = |u: LayerUse| strokes.iter().any(|s| layers.of(&s.layer) == Some(u));
    if LayerUse::SEAMS.into_iter().filter(|&u| uses(u)).count() < 2 {
        return None;
    }
    let first = (0..strokes.len()).find(|&j| seam(j) && !strokes[j].points.is_empty())?;
    let mut used = vec![false; strokes.len()];
    Some(Chain::grow(strokes, first, gap, &mut used, seam).finish(LayerUse::Sew))
}

/// Whether strokes of this use are parts of one line.
fn joins(layer_use: LayerUse) -> bool {
    !matches!(layer_use, LayerUse::Grain | LayerUse::GradeReference | LayerUse::Internal | LayerUse::Notch)
}

/// A line being joined.
struct Chain<'s> {
    strokes: &'s [Stroke],
    gap: f64,
    /// Stroke and whether it is run backwards.
    links: std::collections::VecDeque<(usize, bool)>,
}

impl<'s> Chain<'s> {
    fn start(strokes: &'s [Stroke], first: usize, gap: f64) -> Self {
        Chain { strokes, gap, links: [(first, false)].into() }
    }

    /// A line from this stroke on, with every other that `belongs` and meets its ends.
    fn grow(
        strokes: &'s [Stroke],
        first: usize,
        gap: f64,
        used: &mut [bool],
        belongs: impl Fn(usize) -> bool,
    ) -> Self {
        used[first] = true;
        let mut chain = Chain::start(strokes, first, gap);
        while !chain.closes() && chain.extend(used, &belongs) {}
        chain
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

    /// Adds the nearest open stroke that meets an end; false if there is none.
    fn extend(&mut self, used: &mut [bool], same: impl Fn(usize) -> bool) -> bool {
        let (head, tail) = (self.head(), self.tail());
        let mut best: Option<(f64, usize, bool, bool)> = None;
        for (j, stroke) in self.strokes.iter().enumerate() {
            if used[j] || stroke.closed || stroke.points.is_empty() || !same(j) {
                continue;
            }
            let (a, b) = self.ends((j, false));
            // At the tail forwards and backwards, at the head backwards and forwards.
            for (d, back, at_tail) in [
                ((a - tail).hypot(), false, true),
                ((b - tail).hypot(), true, true),
                ((a - head).hypot(), true, false),
                ((b - head).hypot(), false, false),
            ] {
                if d <= self.gap && best.is_none_or(|(least, ..)| d < least) {
                    best = Some((d, j, back, at_tail));
                }
            }
        }
        let Some((_, j, back, at_tail)) = best else { return false };
        used[j] = true;
        if at_tail {
            self.links.push_back((j, back));
        } else {
            self.links.push_front((j, back));
        }
        true
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
                // Within one entity only what is exactly one point is one; between two, the gap.
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
        // The repeated first point of a closed line is the first point once more.
        let n = line.len();
        if closed && n > 1 && (line[n - 1] - line[0]).hypot() <= self.gap {
            line.pop();
            let last = index(n - 1);
            path.twins.iter_mut().filter(|(i, _)| *i == last).for_each(|(i, _)| *i = 0);
            path.twins.extend(path.from.pop().map(|from| (0, from)));
        }
        path.twins.sort_by_key(|&(i, _)| i);
        // A line of one stroke shares its points with it: in a large nest they are most of the memory.
        let own = &self.strokes[self.links[0].0].points;
        path.points = if **own == *line { Arc::clone(own) } else { line.into() };
        path
    }
}

/// An index within a file of less than 4 GB.
fn index(n: usize) -> u32 {
    u32::try_from(n).unwrap_or(u32::MAX)
}
