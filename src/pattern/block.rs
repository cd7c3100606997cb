//! Reads the entities of one block into a piece.

use super::EntityError;
use super::curve::{self, Allowed, Nurbs};
use super::fitted::Fitted;
use super::piece::StrokePoint;
use super::{Labels, LayerUse, Mark, MarkKind, Piece, Place, Reading, Shape, SizeName, Stroke, Text};
use crate::dxf_text::{Block, Drawing, DxfError, Entities, Entity, Pair, Span, number};
use crate::units::Mm;
use kurbo::{Affine, Point, Vec2};
use std::borrow::Cow;
use std::collections::HashSet;
use std::sync::Arc;

/// Why an arc or ellipse is refused if its end lies almost at its start.
const ALL_OR_NOTHING: &str = "the end of an ARC or ELLIPSE lies so little before its start that it may be all the way round or nothing";

/// Reads the entities of one block.
pub(super) struct BlockReader<'d, 'a> {
    drawing: &'d Drawing<'a>,
    reading: &'d Reading,
    scale: f64,
    /// How far apart two ends may lie and still count as one point.
    gap: Mm,
    /// The number of points that curves may still be flattened to.
    allowed: &'d Allowed,
    /// The names of blocks that draw a notch.
    notches: HashSet<&'a [u8]>,
    /// The names of the layers met so far.
    names: HashSet<Arc<str>>,
    last_layer: Option<Arc<str>>,
    strokes: Vec<Stroke>,
    marks: Vec<Mark>,
    texts: Vec<Text>,
    labels: Labels,
}

/// What a reader has found so far.
pub(super) struct Found<'r> {
    pub strokes: &'r [Stroke],
    pub marks: &'r [Mark],
    pub texts: &'r [Text],
}

impl<'d, 'a> BlockReader<'d, 'a> {
    /// A reader for a block in which one drawing unit is `scale` mm.
    pub fn new(
        drawing: &'d Drawing<'a>,
        reading: &'d Reading,
        (scale, gap): (f64, Mm),
        allowed: &'d Allowed,
    ) -> Self {
        BlockReader {
            drawing,
            reading,
            scale,
            gap,
            allowed,
            notches: HashSet::new(),
            names: HashSet::new(),
            last_layer: None,
            strokes: Vec::new(),
            marks: Vec::new(),
            texts: Vec::new(),
            labels: Labels::default(),
        }
    }

    /// The same reader, with the names of the blocks that draw a notch.
    pub fn with_notches(self, notches: &HashSet<&'a [u8]>) -> Self {
        BlockReader { notches: notches.clone(), ..self }
    }

    /// Reads the piece in the drawing's block number `index`.
    pub fn read(mut self, index: usize, block: &Block, placed: Affine) -> Result<Piece, EntityError> {
        self.take(self.drawing.entities_of(block))?;
        self.finish(index, block, placed)
    }

    /// Reads these entities.
    pub fn take(&mut self, mut entities: Entities<'a>) -> Result<(), EntityError> {
        let mut e = Entities::buffer();
        let mut more = entities.read(&mut e)?;
        while more {
            more = match e.kind {
                b"POLYLINE" => self.polyline(&mut entities, &mut e)?,
                kind => {
                    match kind {
                        b"LWPOLYLINE" => self.lwpolyline(&e)?,
                        b"LINE" => self.line(&e)?,
                        b"ARC" => self.arc(&e)?,
                        b"ELLIPSE" => self.ellipse(&e)?,
                        b"SPLINE" => self.spline(&e)?,
                        b"POINT" => self.point(&e)?,
                        b"INSERT" => self.insert(&e)?,
                        b"TEXT" | b"MTEXT" => self.text(&e)?,
                        _ => self.drawing.inside_block(&e)?,
                    }
                    entities.read(&mut e)?
                }
            };
        }
        Ok(())
    }

    /// What was read so far.
    pub fn found(&self) -> Found<'_> {
        Found { strokes: &self.strokes, marks: &self.marks, texts: &self.texts }
    }

    /// The name of a piece without a `BLOCK` if no text states it: the first text in the piece that has one or two words.
    fn plain_name(&self) -> Option<&str> {
        let is_name = |said: &&str| {
            let words = said.split_whitespace().count();
            (1..=2).contains(&words)
                && said.starts_with(char::is_alphabetic)
                && !said.contains(':')
                && !said.starts_with('#')
        };
        self.texts.iter().map(|text| text.value.trim()).find(is_name)
    }

    /// Makes the piece from what was read.
    fn finish(mut self, index: usize, block: &Block, placed: Affine) -> Result<Piece, EntityError> {
        let block_name = if block.is_plain() {
            let before = self.drawing.blocks[..index].iter().filter(|b| b.is_plain()).count();
            format!("piece {}", before + 1)
        } else {
            self.drawing.block_name(block).into_owned()
        };
        let plain_name = self.plain_name().filter(|_| block.is_plain()).map(str::to_owned);
        let paths = super::stroke::join(&self.strokes, &self.reading.layers, self.gap.0).map_err(
            |super::stroke::Crowded| EntityError::Crowded { line: self.drawing.line(block.whole.start) },
        )?;
        let size = self.labels.size.clone().map(SizeName::new);
        let resolution = self.resolution();
        // A large nest is kept in memory as a whole, so spare capacity is given back.
        self.strokes.shrink_to_fit();
        self.marks.shrink_to_fit();
        self.texts.shrink_to_fit();
        Ok(Piece {
            block: index,
            name: self.labels.name.clone().or(plain_name).unwrap_or_else(|| block_name.clone()),
            block_name,
            labels: self.labels,
            size,
            scale: self.scale,
            placed,
            resolution,
            strokes: self.strokes,
            paths,
            marks: self.marks,
            texts: self.texts,
        })
    }

    /// The value in mm of the last decimal of the coordinates as written. Several numbers are looked at, because some programs
    /// drop trailing zeros.
    fn resolution(&self) -> f64 {
        let places = self.strokes.iter().flat_map(|s| s.places.iter().filter_map(|p| p.drawn()).take(16));
        let decimals = places.map(|p| number::decimals(p.x.of(self.drawing.bytes))).max().unwrap_or(0);
        self.scale * 10f64.powi(-i32::try_from(decimals.min(12)).unwrap_or(12))
    }

    /// The layer of an entity. Each name is stored once for all entities.
    fn layer(&mut self, e: &Entity<'_>) -> Arc<str> {
        let name = e.get(8).map_or(Cow::Borrowed("0"), |p| self.drawing.text(p.value));
        // Entities on the same layer usually follow one another.
        if let Some(last) = self.last_layer.as_ref().filter(|last| ***last == *name) {
            return Arc::clone(last);
        }
        let known = self.names.get(&*name).map(Arc::clone);
        if let Some(known) = known {
            return Arc::clone(self.last_layer.insert(known));
        }
        let name: Arc<str> = name.into();
        self.names.insert(Arc::clone(&name));
        name
    }

    fn mm(&self, x: f64, y: f64) -> Point {
        Point::new(x * self.scale, y * self.scale)
    }

    /// The point given by the pairs `x` and `x + 10` of an entity, with its place in the file.
    fn at(&self, e: &Entity<'_>, x: i16) -> Result<Option<(Point, Place)>, EntityError> {
        let (Some(px), Some(py)) = (e.get(x), e.get(x + 10)) else { return Ok(None) };
        self.at_pairs(px, py).map(Some)
    }

    #[inline]
    fn at_pairs(&self, px: &Pair, py: &Pair) -> Result<(Point, Place), EntityError> {
        let p = self.mm(self.drawing.coordinate(px)?, self.drawing.coordinate(py)?);
        let bytes = self.drawing.bytes;
        Ok((p, Place { x: px.value.trimmed(bytes), y: py.value.trimmed(bytes) }))
    }

    fn required(&self, e: &Entity<'_>, x: i16) -> Result<(Point, Place), EntityError> {
        let missing = || DxfError::Structure {
            line: self.drawing.line(e.span.start),
            what: format!(
                "a {} has no point (group codes {x} and {})",
                String::from_utf8_lossy(e.kind),
                x + 10
            ),
        };
        Ok(self.at(e, x)?.ok_or_else(missing)?)
    }

    fn flags(&self, e: &Entity<'_>) -> i64 {
        let text = e.get(70).map_or(b"0".as_slice(), |p| p.text(self.drawing.bytes));
        std::str::from_utf8(text).ok().and_then(|t| t.parse().ok()).unwrap_or(0)
    }

    /// Fails if the curve written at this offset leads outside the range of coordinates.
    fn within_reach(&self, points: &[Point], offset: u32) -> Result<(), EntityError> {
        // A circle whose centre lies within the range and whose radius is no larger than it stays within twice the range.
        let reach = 2.0 * number::REACH * self.scale.abs();
        if points.iter().all(|p| p.x.abs() <= reach && p.y.abs() <= reach) {
            return Ok(());
        }
        let what = "the numbers of a curve lead it out of reach (more than 1,000,000)";
        Err(EntityError::Curve { line: self.drawing.line(offset), what })
    }

    /// A bulge other than zero, with its place in the file.
    fn bulge(&self, pair: Option<&Pair>) -> Result<Option<(f64, Span)>, EntityError> {
        let Some(pair) = pair else { return Ok(None) };
        let value = self.drawing.number(pair)?;
        Ok((value != 0.0).then(|| (value, pair.value.trimmed(self.drawing.bytes))))
    }

    /// Whether the plane in which a line or text is drawn is seen from behind, as is common for mirrored entities. X then has the
    /// opposite sign (the DXF reference's arbitrary axis, from memory). A tilted plane is refused.
    fn mirrored(&mut self, e: &Entity<'_>) -> Result<bool, EntityError> {
        let Some(up) = e.get(230) else { return Ok(false) };
        let up = self.drawing.number(up)?;
        let aside = self.drawing.number_or(e, 210, 0.0)?.hypot(self.drawing.number_or(e, 220, 0.0)?);
        if aside > 1e-9 * up.abs() {
            let layer = self.layer(e);
            if self.reading.layers.of(&layer).is_some() {
                return Err(EntityError::Plane {
                    line: self.drawing.line(e.span.start),
                    kind: String::from_utf8_lossy(e.kind).into_owned(),
                });
            }
        }
        Ok(up < 0.0)
    }

    /// Reads a POLYLINE to its SEQEND; `e` holds the entity after it, if there is one.
    fn polyline(&mut self, entities: &mut Entities<'a>, e: &mut Entity<'a>) -> Result<bool, EntityError> {
        let layer = self.layer(e);
        let flags = self.flags(e);
        // 8: a 3D polyline, whose coordinates are the drawing's own.
        let mirrored = flags & 8 == 0 && self.mirrored(e)?;
        let start = e.span.start;
        // 16 and 64: meshes, which are not lines; they are skipped like anything unknown.
        let is_line = flags & (16 | 64) == 0;
        let run = self.vertices(entities, e, is_line)?;
        if is_line {
            let closed = flags & 1 == 1;
            let (points, places, at) = run.flatten(closed, self)?;
            let (vertices, bulges) = run.spans();
            let shape = Shape::Polyline { vertices, bulges, at };
            let (span, points) = (Span { start, end: e.span.end }, seen(points, mirrored));
            self.strokes.push(Stroke { layer, span, shape, closed, mirrored, points, places });
        }
        Ok(entities.read(e)?)
    }

    /// Reads the vertices of the POLYLINE in `e` up to its SEQEND, which `e` then holds. If the POLYLINE is not a line, its
    /// vertices are skipped.
    fn vertices(
        &self,
        entities: &mut Entities<'a>,
        e: &mut Entity<'a>,
        is_line: bool,
    ) -> Result<Run, EntityError> {
        let start = e.span.start;
        let mut run = Run::default();
        loop {
            if !entities.read(e)? {
                return Err(DxfError::Structure {
                    line: self.drawing.line(start),
                    what: "a POLYLINE has no SEQEND before the block ends".to_owned(),
                }
                .into());
            }
            match e.kind {
                // 16: a control point of a fitted spline, which is not on the line.
                b"VERTEX" if is_line && self.flags(e) & 16 == 0 => {
                    let (p, place) = self.required(e, 10)?;
                    let bulge = self.bulge(e.get(42))?;
                    run.push(p, place, bulge, e.span);
                }
                b"VERTEX" => {}
                b"SEQEND" => return Ok(run),
                kind => {
                    return Err(DxfError::Structure {
                        line: self.drawing.line(e.span.start),
                        what: format!(
                            "a POLYLINE is broken off by {} before its SEQEND",
                            String::from_utf8_lossy(kind)
                        ),
                    }
                    .into());
                }
            }
        }
    }

    fn lwpolyline(&mut self, e: &Entity<'_>) -> Result<(), EntityError> {
        let mirrored = self.mirrored(e)?;
        let mut run = Run::default();
        let mut i = 0;
        while i < e.pairs.len() {
            if e.pairs[i].code != 10 {
                i += 1;
                continue;
            }
            // A vertex consists of its code 10 and the following pairs, as long as they have codes that a vertex may have.
            let end = (i + 1..e.pairs.len())
                .find(|&j| !matches!(e.pairs[j].code, 20 | 40 | 41 | 42 | 91))
                .unwrap_or(e.pairs.len());
            let of = &e.pairs[i..end];
            let Some(py) = of.iter().find(|p| p.code == 20) else {
                return Err(DxfError::Structure {
                    line: self.drawing.line(e.pairs[i].start),
                    what: "an LWPOLYLINE vertex has no Y (group code 20)".to_owned(),
                }
                .into());
            };
            let (p, place) = self.at_pairs(&of[0], py)?;
            let bulge = self.bulge(of.iter().find(|p| p.code == 42))?;
            run.push(p, place, bulge, Span { start: of[0].start, end: of[of.len() - 1].end });
            i = end;
        }
        let Some(count) = e.get(90) else {
            return Err(DxfError::Structure {
                line: self.drawing.line(e.span.start),
                what: "an LWPOLYLINE has no vertex count (group code 90)".to_owned(),
            }
            .into());
        };
        let closed = self.flags(e) & 1 == 1;
        let (points, places, at) = run.flatten(closed, self)?;
        let count = count.value.trimmed(self.drawing.bytes);
        let (vertices, bulges) = run.spans();
        let shape = Shape::LwPolyline { count, vertices, bulges, at };
        let layer = self.layer(e);
        let points = seen(points, mirrored);
        self.strokes.push(Stroke { layer, span: e.span, shape, closed, mirrored, points, places });
        Ok(())
    }

    fn line(&mut self, e: &Entity<'_>) -> Result<(), EntityError> {
        let (a, pa) = self.required(e, 10)?;
        let (b, pb) = self.required(e, 11)?;
        self.push(e, Shape::Line, vec![a, b], vec![pa, pb]);
        Ok(())
    }

    fn arc(&mut self, e: &Entity<'_>) -> Result<(), EntityError> {
        let mirrored = self.mirrored(e)?;
        let (centre, place) = self.required(e, 10)?;
        let radius = self.drawing.number_or(e, 40, -1.0)? * self.scale.abs();
        let (start, end) = (self.drawing.number_or(e, 50, 0.0)?, self.drawing.number_or(e, 51, 360.0)?);
        if radius < 0.0 {
            return self.no_curve(e, "an ARC has no radius (group code 40), or one below 0");
        }
        // Before it is flattened: half a million points of a circle that is refused fill the memory.
        self.within_reach(&[centre + radius * Vec2::from_angle(start.to_radians())], e.span.start)?;
        let Some(points) = curve::arc(centre, radius, start, end) else {
            return self.no_curve(e, ALL_OR_NOTHING);
        };
        self.allowed.take(points.len())?;
        self.within_reach(&points, e.span.start)?;
        let places = vec![Place::NONE; points.len()];
        let at = if mirrored { Point::new(-centre.x, centre.y) } else { centre };
        let (layer, shape) = (self.layer(e), Shape::Arc { centre: place, at });
        let points = seen(points, mirrored);
        self.strokes.push(Stroke { layer, span: e.span, shape, closed: false, mirrored, points, places });
        Ok(())
    }

    fn ellipse(&mut self, e: &Entity<'_>) -> Result<(), EntityError> {
        // Its coordinates are the drawing's own. Seen from behind, only the minor axis is reversed, and with it the sense of
        // rotation.
        let behind = self.mirrored(e)?;
        let (centre, place) = self.required(e, 10)?;
        // The end of the major axis is given as a vector from the centre.
        let axis = self.required(e, 11)?.0.to_vec2();
        let (ratio, turn) = (self.drawing.number_or(e, 40, 1.0)?, std::f64::consts::TAU);
        let (start, end) = (self.drawing.number_or(e, 41, 0.0)?, self.drawing.number_or(e, 42, turn)?);
        let minor = Vec2::new(-axis.y, axis.x) * if behind { -ratio } else { ratio };
        // As for an arc.
        self.within_reach(&[centre + minor, centre - minor], e.span.start)?;
        let Some(points) = curve::ellipse(centre, axis, minor, start, end) else {
            return self.no_curve(e, ALL_OR_NOTHING);
        };
        self.allowed.take(points.len())?;
        self.within_reach(&points, e.span.start)?;
        let places = vec![Place::NONE; points.len()];
        self.push(e, Shape::Ellipse { centre: place, at: centre }, points, places);
        Ok(())
    }

    /// Fails because the shape of a curve is unclear, unless its layer has no use in a pattern.
    fn no_curve(&mut self, e: &Entity<'_>, what: &'static str) -> Result<(), EntityError> {
        let layer = self.layer(e);
        match self.reading.layers.of(&layer) {
            Some(_) => Err(EntityError::Curve { line: self.drawing.line(e.span.start), what }),
            None => Ok(()),
        }
    }

    fn spline(&mut self, e: &Entity<'_>) -> Result<(), EntityError> {
        let mut nurbs = Nurbs::default();
        let mut controls = Vec::new();
        let mut fitted = Fitted::default();
        let degree = self.drawing.number_or(e, 71, 3.0)?;
        #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)] // clamped
        {
            nurbs.degree = degree.clamp(0.0, 20.0) as usize;
        }
        for (i, pair) in e.pairs.iter().enumerate() {
            match pair.code {
                40 => nurbs.knots.push(self.drawing.number(pair)?),
                41 => nurbs.weights.push(self.drawing.number(pair)?),
                10 | 11 => {
                    let Some(py) = e.pairs.get(i + 1).filter(|p| p.code == pair.code + 10) else { continue };
                    let (p, place) = self.at_pairs(pair, py)?;
                    controls.push((place, p));
                    if pair.code == 10 { nurbs.controls.push(p) } else { fitted.points.push(p) }
                }
                12 | 13 => {
                    let Some(py) = e.pairs.get(i + 1).filter(|p| p.code == pair.code + 10) else { continue };
                    let end = Vec2::new(self.drawing.number(pair)?, self.drawing.number(py)?);
                    fitted.ends[usize::from(pair.code == 13)] = Some(end).filter(|end| end.hypot() > 0.0);
                }
                // 1: closed; 2: periodic.
                70 => fitted.closed = self.drawing.number(pair)? % 4.0 != 0.0,
                _ => {}
            }
        }
        let by_points = nurbs.controls.is_empty() && !fitted.points.is_empty();
        let points = if by_points { fitted.flatten(self.allowed)? } else { nurbs.flatten(self.allowed)? };
        let Some(points) = points else {
            // On a layer without a use in a pattern, the shape does not matter.
            if self.reading.layers.of(&self.layer(e)).is_none() {
                self.push(e, Shape::Spline { controls }, Vec::new(), Vec::new());
                return Ok(());
            }
            return Err(EntityError::Curve {
                line: self.drawing.line(e.span.start),
                what: if by_points {
                    "a SPLINE has fit points only, which do not say how it closes, or fewer than two"
                } else {
                    "the degree, knots, weights and control points of a SPLINE do not make a curve"
                },
            });
        };
        self.within_reach(&points, e.span.start)?;
        let places = vec![Place::NONE; points.len()];
        self.push(e, Shape::Spline { controls }, points, places);
        Ok(())
    }

    fn push(&mut self, e: &Entity<'_>, shape: Shape, points: Vec<Point>, places: Vec<Place>) {
        let layer = self.layer(e);
        self.strokes.push(Stroke {
            layer,
            span: e.span,
            shape,
            closed: false,
            mirrored: false,
            points: points.into(),
            places,
        });
    }

    fn point(&mut self, e: &Entity<'_>) -> Result<(), EntityError> {
        let (at, place) = self.required(e, 10)?;
        let layer = self.layer(e);
        let optional = |code| e.get(code).map(|p| self.drawing.number(p)).transpose();
        let kind = match self.reading.layers.of(&layer) {
            Some(LayerUse::Turn) => MarkKind::Turn,
            Some(LayerUse::Curve) => MarkKind::Curve,
            Some(LayerUse::Notch) => {
                MarkKind::Notch { depth: optional(30)?.map(|d| d * self.scale), direction: optional(50)? }
            }
            _ => MarkKind::Internal,
        };
        self.marks.push(Mark { kind, layer, at, place, symbol: false, mirrored: false });
        Ok(())
    }

    /// Reads a block that is placed within the piece as a mark at its insertion point.
    fn insert(&mut self, e: &Entity<'_>) -> Result<(), EntityError> {
        let Some((at, place)) = self.at(e, 10)? else { return Ok(()) };
        let mirrored = self.mirrored(e)?;
        let at = if mirrored { Point::new(-at.x, at.y) } else { at };
        let layer = self.layer(e);
        let name = e.get(2).map(|pair| pair.value.of(self.drawing.bytes).trim_ascii());
        let notch = self.reading.layers.of(&layer) == Some(LayerUse::Notch)
            || name.is_some_and(|name| self.notches.contains(name));
        let kind = if notch { MarkKind::Notch { depth: None, direction: None } } else { MarkKind::Symbol };
        self.marks.push(Mark { kind, layer, at, place, symbol: true, mirrored });
        Ok(())
    }

    fn text(&mut self, e: &Entity<'_>) -> Result<(), EntityError> {
        let Some(value) = self.drawing.text_of(e).map(Cow::into_owned) else { return Ok(()) };
        value.lines().for_each(|line| self.labels.take(line));
        let Some((at, place)) = self.at(e, 10)? else { return Ok(()) };
        // In a TEXT, code 11 is the alignment point. In an MTEXT it is a direction, and the coordinates are the drawing's own.
        let (aligned, mirrored) =
            if e.is("TEXT") { (self.at(e, 11)?, self.mirrored(e)?) } else { (None, false) };
        let seen = |p: Point| if mirrored { Point::new(-p.x, p.y) } else { p };
        let aligned = aligned.map(|(second, place)| Box::new((place, seen(second))));
        let layer = self.layer(e);
        self.texts.push(Text { value, layer, at: seen(at), place, mirrored, aligned });
        Ok(())
    }
}

/// The points as seen from the front.
fn seen(points: Vec<Point>, mirrored: bool) -> Arc<[Point]> {
    if mirrored { points.into_iter().map(|p| Point::new(-p.x, p.y)).collect() } else { points.into() }
}

/// The vertices of a polyline as they are read.
#[derive(Default)]
struct Run {
    points: Vec<Point>,
    places: Vec<Place>,
    /// The vertices that begin an arc: the index, the bulge, and its place in the file.
    bulges: Vec<(u32, f64, Span)>,
    spans: Vec<Span>,
}

/// Points, their places in the file, and for each vertex the index of its point.
type Flat = (Vec<Point>, Vec<Place>, Vec<u32>);

impl Run {
    fn push(&mut self, p: Point, place: Place, bulge: Option<(f64, Span)>, span: Span) {
        let vertex = index(self.points.len());
        self.points.push(p);
        self.places.push(place);
        self.bulges.extend(bulge.map(|(b, s)| (vertex, b, s)));
        self.spans.push(span);
    }

    /// The places of the vertices and of the bulges. A large nest is kept in memory as a whole, so spare capacity is given back.
    fn spans(self) -> (Vec<Span>, Vec<(u32, Span)>) {
        let mut spans = self.spans;
        spans.shrink_to_fit();
        (spans, self.bulges.into_iter().map(|(vertex, _, span)| (vertex, span)).collect())
    }

    /// The points with arcs flattened, their places in the file, and for each vertex the index of its point.
    fn flatten(&self, closed: bool, reader: &BlockReader<'_, '_>) -> Result<Flat, EntityError> {
        let n = self.points.len();
        let (mut points, mut places) = (Vec::with_capacity(n), Vec::with_capacity(n));
        let mut at = Vec::with_capacity(n);
        let mut bulges = self.bulges.iter().peekable();
        for i in 0..n {
            at.push(index(points.len()));
            points.push(self.points[i]);
            places.push(self.places[i]);
            let last = i + 1 == n;
            if let Some(&(_, bulge, place)) = bulges.next_if(|(vertex, ..)| *vertex as usize == i)
                && (!last || closed)
            {
                let (a, b) = (self.points[i], self.points[(i + 1) % n]);
                // The middle of the arc first, as for an arc of its own.
                let out = 0.5 * bulge * (b - a);
                reader.within_reach(&[a.midpoint(b) + Vec2::new(out.y, -out.x)], place.start)?;
                let between = curve::bulge(a, b, bulge);
                reader.allowed.take(between.len())?;
                reader.within_reach(&between, place.start)?;
                places.resize(places.len() + between.len(), Place::NONE);
                points.extend(between);
            }
        }
        if self.bulges.is_empty() {
            at = Vec::new();
        }
        Ok((points, places, at))
    }
}

impl StrokePoint {
    /// Point `point` of stroke `stroke`.
    pub(super) fn new(stroke: usize, point: usize) -> Self {
        StrokePoint { stroke: index(stroke), point: index(point) }
    }
}

/// A count, which fits into 32 bits because a file has less than 4 GB.
fn index(n: usize) -> u32 {
    u32::try_from(n).unwrap_or(u32::MAX)
}
