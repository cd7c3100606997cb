//! Writing one changed entity.

use super::handle::BlockHandles;
use super::meant::{Kind, Meant, bulge};
use super::numbers::Numbers;
use crate::dxf_text::splice::Edits;
use crate::dxf_text::{Drawing, Pair, Span, number};
use crate::pattern::{Shape, Stroke};
use kurbo::{Point, Vec2};
use std::collections::HashSet;

/// A vertex to add to a stroke.
#[derive(Clone, Copy, Debug)]
pub(super) struct Added {
    /// The point of the stroke after which it comes.
    pub after: u32,
    /// Its place on the edge, as a share in the stroke's direction.
    pub share: f64,
    /// Where it lies, in mm.
    pub at: Point,
}

/// What changes in a stroke.
#[derive(Debug)]
pub(super) struct StrokeChange {
    /// The piece's stroke.
    pub stroke: usize,
    /// How far each point moves, in mm.
    pub moves: Vec<Vec2>,
    /// Vertices to add, in the stroke's order.
    pub added: Vec<Added>,
}

impl StrokeChange {
    /// Adds the edits for the change, and returns the entities that are meant to result.
    pub fn write(
        &self,
        drawing: &Drawing<'_>,
        stroke: &Stroke,
        numbers: Numbers,
        handles: &mut BlockHandles<'_>,
        edits: &mut Edits,
    ) -> Vec<Meant> {
        if self.moves.iter().all(|m| *m == Vec2::ZERO) {
            return vec![Meant::of(drawing, stroke)];
        }
        let mut writer = Writer { change: self, drawing, stroke, numbers, handles, edits };
        match (&stroke.shape, self.rigid()) {
            (Shape::Polyline { vertices, bulges, at }, _) => {
                vec![writer.vertices(vertices, bulges, at, None)]
            }
            (Shape::LwPolyline { count, vertices, bulges, at }, _) => {
                vec![writer.vertices(vertices, bulges, at, Some(*count))]
            }
            (Shape::Line, _) => writer.line(),
            (Shape::Arc { centre, at } | Shape::Ellipse { centre, at }, Some(shift)) => {
                numbers.shift(writer.edits, *centre, *at, shift);
                vec![Meant { points: vec![*at + shift], ..Meant::of(drawing, stroke) }]
            }
            (Shape::Spline { controls }, Some(shift)) => {
                for &(place, at) in controls {
                    numbers.shift(writer.edits, place, at, shift);
                }
                let points = controls.iter().map(|&(_, at)| at + shift).collect();
                vec![Meant::new(stroke, Kind::Spline, points)]
            }
            (Shape::Arc { .. } | Shape::Ellipse { .. } | Shape::Spline { .. }, None) => {
                vec![writer.replace()]
            }
        }
    }

    /// The common movement of all points, if they all move by the same amount.
    fn rigid(&self) -> Option<Vec2> {
        let first = *self.moves.first()?;
        self.moves.iter().all(|m| (*m - first).hypot() < 1e-9).then_some(first)
    }

    /// The new points after point `from` and before point `to` of the stroke.
    fn between(&self, stroke: &Stroke, from: usize, to: usize) -> Vec<Point> {
        let mut points = Vec::new();
        for i in from..to {
            if i > from {
                points.push(stroke.points[i] + self.moves[i]);
            }
            points.extend(self.added_after(i));
        }
        points
    }

    fn added_after(&self, i: usize) -> impl Iterator<Item = Point> + '_ {
        let first = self.added.partition_point(|a| (a.after as usize) < i);
        self.added[first..].iter().take_while(move |a| a.after as usize == i).map(|a| a.at)
    }
}

struct Writer<'w, 'd, 'h> {
    change: &'w StrokeChange,
    drawing: &'w Drawing<'d>,
    stroke: &'w Stroke,
    numbers: Numbers,
    handles: &'w mut BlockHandles<'h>,
    edits: &'w mut Edits,
}

impl Writer<'_, '_, '_> {
    /// Moves every point that has a place in the file.
    fn places(&mut self) {
        for ((place, &at), &shift) in
            self.stroke.places.iter().zip(self.stroke.points.iter()).zip(&self.change.moves)
        {
            if let Some(place) = place.drawn() {
                self.numbers.shift(self.edits, place, at, shift);
            }
        }
    }

    /// A polyline: moves its vertices, and adds vertices where an edge needs them or where an arc has to change its form. The
    /// bulge of such an arc becomes 0.
    fn vertices(
        &mut self,
        vertices: &[Span],
        bulges: &[(u32, Span)],
        at: &[u32],
        count: Option<Span>,
    ) -> Meant {
        self.places();
        let moves = &self.change.moves;
        let moved = |i: usize| self.stroke.points[i] + moves[i];
        let (mut points, mut arcs) = (Vec::with_capacity(vertices.len()), Vec::new());
        for (v, &vertex) in vertices.iter().enumerate() {
            let point_of =
                |v: usize| if at.is_empty() { v } else { at.get(v).map_or(moves.len(), |&i| i as usize) };
            let (from, to) = (point_of(v), point_of(v + 1));
            let next = if to < moves.len() { to } else { 0 };
            points.push(moved(from));
            let between = self.change.between(self.stroke, from, to);
            if let Ok(found) = bulges.binary_search_by_key(&v, |&(vertex, _)| vertex as usize) {
                let alike = |m: &Vec2| (*m - moves[from]).hypot() < 1e-9;
                if moves[from..to].iter().all(alike) && alike(&moves[next]) {
                    arcs.push((points.len() - 1, bulge(self.drawing, bulges[found].1)));
                    continue;
                }
                self.edits.replace(bulges[found].1, b"0.0");
            }
            if !between.is_empty() {
                self.add_vertices(vertex, &between);
                points.extend(between);
            }
        }
        let kind = if count.is_some() { Kind::LwPolyline } else { Kind::Polyline };
        if let Some(count) = count.filter(|_| points.len() != vertices.len()) {
            self.edits.replace(count, points.len().to_string().as_bytes());
        }
        Meant { closed: self.stroke.closed, bulges: arcs, ..Meant::new(self.stroke, kind, points) }
    }

    /// Adds copies of a vertex after it, with other coordinates.
    fn add_vertices(&mut self, vertex: Span, points: &[Point]) {
        let mut copies = Vec::new();
        for &p in points {
            self.copy(vertex, &[(10, p)], &mut copies);
        }
        self.edits.replace(Span { start: vertex.end, end: vertex.end }, &copies);
    }

    /// Appends a copy of an entity or vertex with some points replaced, a bulge of 0, and a handle of its own.
    fn copy(&mut self, of: Span, points: &[(i16, Point)], out: &mut Vec<u8>) {
        let bytes = self.drawing.bytes;
        let mut edits = Edits::default();
        for pair in self.drawing.pairs(of).map_while(Result::ok) {
            let value = pair.value.trimmed(bytes);
            for &(code, p) in points {
                if pair.code == code {
                    edits.number(value, self.numbers.of(p).x);
                } else if pair.code == code + 10 {
                    edits.number(value, self.numbers.of(p).y);
                }
            }
            match pair.code {
                42 => edits.number(value, 0.0),
                5 => edits.replace(value, self.handles.next(self.drawing).as_bytes()),
                _ => {}
            }
        }
        edits.apply(bytes, of, out);
    }

    /// A LINE: moves its ends, and adds a further LINE for each added vertex.
    fn line(&mut self) -> Vec<Meant> {
        let (points, moves) = (&self.stroke.points, &self.change.moves);
        let (a, b) = (points[0] + moves[0], points[1] + moves[1]);
        let meant = |from, to| Meant::new(self.stroke, Kind::Line, vec![from, to]);
        let middle: Vec<Point> = self.change.added_after(0).collect();
        let (Some(&first), Some([pa, pb])) = (middle.first(), self.stroke.places.get(..2)) else {
            self.places();
            return vec![meant(a, b)];
        };
        self.numbers.shift(self.edits, *pa, points[0], moves[0]);
        self.numbers.shift(self.edits, *pb, points[1], first - points[1]);
        let mut lines = vec![meant(a, first)];
        let mut copies = Vec::new();
        let ends = middle.iter().skip(1).copied().chain([b]);
        for (from, to) in middle.iter().copied().zip(ends) {
            lines.push(meant(from, to));
            self.copy(self.stroke.span, &[(10, from), (11, to)], &mut copies);
        }
        self.edits.replace(Span { start: self.stroke.span.end, end: self.stroke.span.end }, &copies);
        lines
    }

    /// Replaces a curve that has to change its form by a polyline.
    fn replace(&mut self) -> Meant {
        let (n, points) = (self.stroke.points.len(), &self.stroke.points);
        let moved = |i: usize| points[i] + self.change.moves[i];
        let inner = self.change.between(self.stroke, 0, n - 1);
        let line: Vec<Point> = std::iter::once(moved(0)).chain(inner).chain([moved(n - 1)]).collect();
        let key = |p: &Point| (p.x.to_bits(), p.y.to_bits());
        let still = points.iter().zip(&self.change.moves).filter(|(_, by)| **by == Vec2::ZERO);
        let still: HashSet<(u64, u64)> = still.map(|(p, _)| key(p)).collect();
        let line_of = line.iter().map(|p| (*p, still.contains(&key(p)))).collect::<Vec<_>>();
        let pairs: Vec<Pair> = self.drawing.pairs(self.stroke.span).map_while(Result::ok).collect();
        let modern = pairs.iter().any(|p| p.code == 100);
        let text = polyline(self.drawing, &pairs, &line_of, self.numbers.scale, modern);
        self.edits.replace(self.stroke.span, &text);
        let kind = if modern { Kind::LwPolyline } else { Kind::Polyline };
        // The polyline has no extrusion direction of its own.
        Meant { mirrored: false, ..Meant::new(self.stroke, kind, line) }
    }
}

/// A polyline with the entity's own first pairs (handle, owner, layer, colour …). Of each point it is given whether it stays where
/// it was.
fn polyline(
    drawing: &Drawing<'_>,
    pairs: &[Pair],
    line: &[(Point, bool)],
    scale: f64,
    modern: bool,
) -> Vec<u8> {
    let bytes = drawing.bytes;
    let mut out = NewPairs { bytes: Vec::new(), end: line_end(drawing), scale };
    out.pair(0, if modern { b"LWPOLYLINE" } else { b"POLYLINE" });
    let kept = kept(pairs);
    for p in kept {
        out.bytes.extend_from_slice(p.span().of(bytes));
    }
    if modern {
        out.pair(100, b"AcDbPolyline");
        out.pair(90, line.len().to_string().as_bytes());
        out.pair(70, b"0");
        for &p in line {
            out.point(p);
        }
        return out.bytes;
    }
    for (code, value) in [(66, b"1".as_slice()), (10, b"0.0"), (20, b"0.0"), (30, b"0.0"), (70, b"0")] {
        out.pair(code, value);
    }
    let layer = kept.iter().rfind(|p| p.code == 8).map_or(b"0".as_slice(), |p| p.value.of(bytes));
    for &p in line {
        out.pair(0, b"VERTEX");
        out.pair(8, layer);
        out.point(p);
    }
    out.pair(0, b"SEQEND");
    out.pair(8, layer);
    out.bytes
}

/// The pairs common to all entities, which follow the entity's kind; its own data come after them and begin with the second
/// subclass marker.
fn kept(pairs: &[Pair]) -> &[Pair] {
    let mut markers = 0;
    let own_data = |p: &Pair| {
        markers += i32::from(p.code == 100);
        markers > 1 || matches!(p.code, 10..=59 | 70..=79 | 210..=239)
    };
    let count = pairs[1..].iter().position(own_data).unwrap_or(pairs.len() - 1);
    &pairs[1..=count]
}

/// The line ending of the drawing.
fn line_end(drawing: &Drawing<'_>) -> &'static [u8] {
    match drawing.line_end() {
        b'\r' => b"\r",
        _ if memchr::memmem::find(drawing.bytes, b"\r\n").is_some() => b"\r\n",
        _ => b"\n",
    }
}

/// New pairs that are not in the input.
struct NewPairs<'d> {
    bytes: Vec<u8>,
    /// The line ending.
    end: &'d [u8],
    /// The number of millimetres in one unit of the drawing.
    scale: f64,
}

impl NewPairs<'_> {
    fn pair(&mut self, code: i16, value: &[u8]) {
        self.bytes.extend_from_slice(format!("{code:3}").as_bytes());
        self.bytes.extend_from_slice(self.end);
        self.bytes.extend_from_slice(value);
        self.bytes.extend_from_slice(self.end);
    }

    /// A point in mm; one that stays where it was keeps every digit.
    fn point(&mut self, (p, stays): (Point, bool)) {
        for (code, v) in [(10, p.x), (20, p.y)] {
            let mut text = Vec::new();
            if stays {
                let exact = format!("{}", v / self.scale);
                text.extend_from_slice(exact.as_bytes());
                text.extend_from_slice(if exact.contains('.') { b"" } else { b".0" });
            } else {
                number::write_like(&mut text, b"0.0", v / self.scale);
            }
            self.pair(code, &text);
        }
    }
}
