//! Finds the pieces of a plain drawing, in which no `BLOCK` holds them: their outlines and contents stand among the drawing's own
//! entities.

use super::EntityError;
use super::block::{BlockReader, Found};
use super::curve::Allowed;
use super::{LayerUse, Path, Reading, Text, labels, stroke};
use crate::dxf_text::{Block, Drawing, DxfError, Entities, Span};
use crate::finding::{Finding, FindingId};
use crate::geometry::Segments;
use crate::units::Mm;
use kurbo::{BezPath, PathEl, Point, Rect, Shape};
use std::sync::Arc;

/// How far, in mm, something may lie outside an outline and still belong to it, such as notches and turn points on the edge.
const NEAR: f64 = 1.0;

/// An inner outline is a cut-out if its area is less than this share of the outer one's and it has no marks or texts inside.
const CUT_OUT: f64 = 0.5;

/// The largest number of outlines in a plain drawing, because each is compared with every other.
const MOST: usize = 2_000;

/// Why the outlines of a plain drawing cannot be read as pieces.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum PlainError {
    /// The text is bad.
    #[error(transparent)]
    Text(#[from] DxfError),
    /// An entity cannot be read.
    #[error(transparent)]
    Entity(#[from] EntityError),
    /// One outline lies within another and has contents of its own.
    #[error(
        "line {line}: the outline lies within another one (line {other}): sizes that are drawn on top of each other, or a frame \
         around pieces; draw pieces beside each other, and a frame on a layer that is no cut line, or make a BLOCK of each piece"
    )]
    Within {
        /// Where the inner one stands.
        line: usize,
        /// Where the outer one stands.
        other: usize,
    },
    /// Something belongs to two outlines.
    #[error(
        "line {line}: what stands here lies in or at two outlines (lines {one} and {other}); move the pieces apart by more than \
         {NEAR} mm, or make a BLOCK of each"
    )]
    Shared {
        /// Where it stands.
        line: usize,
        /// Where one outline stands.
        one: usize,
        /// Where the other one stands.
        other: usize,
    },
    /// More outlines than a set of pieces has.
    #[error(
        "line {line}: {count} closed outlines outside of blocks, and at most {MOST} are looked at; take out what is no piece, or \
         make a BLOCK of each piece"
    )]
    TooMany {
        /// Where the first one stands.
        line: usize,
        /// How many there are.
        count: usize,
    },
}

/// A closed line that may be a piece's outline.
struct Outline {
    points: Arc<[Point]>,
    area: f64,
    curve: BezPath,
    bounds: Rect,
    edges: Segments,
    layer_use: LayerUse,
    /// Where its first entity begins.
    start: u32,
}

/// An entity with the points by which it is drawn.
struct DrawnEntity {
    span: Span,
    points: Vec<Point>,
    bounds: Rect,
    /// Whether its layer has a use in a pattern.
    known: bool,
    /// Whether it is a mark or a text.
    content: bool,
}

/// The pieces among a drawing's own entities, each as a block made of them, and what was noticed. There are none if no outline is
/// closed. `scale` is the number of mm in one drawing unit.
pub(super) fn blocks(
    drawing: &Drawing<'_>,
    reading: &Reading,
    (scale, gap): (f64, Mm),
) -> Result<(Vec<Block>, Vec<Finding>), PlainError> {
    let Some(section) = drawing.section("ENTITIES") else { return Ok((Vec::new(), Vec::new())) };
    let spans = in_model_space(drawing, section.body)?;
    let allowed = Allowed::of(drawing.bytes.len());
    let mut reader = BlockReader::new(drawing, reading, (scale, gap), &allowed);
    reader.take(drawing.entities_of(&Block::of_entities(spans.clone())))?;
    let found = reader.found();
    let crowded = |_| EntityError::Crowded { line: drawing.line(section.body.start) };
    let paths = stroke::join(found.strokes, &reading.layers, gap.0).map_err(crowded)?;
    let own = |p: &&Path| p.points.len() >= 3 && matches!(p.layer_use, LayerUse::Cut | LayerUse::Sew);
    let (closed, open): (Vec<&Path>, Vec<&Path>) = paths.iter().filter(own).partition(|p| p.closed);
    let start =
        |p: &Path| p.from.iter().map(|f| found.strokes[f.stroke as usize].span.start).min().unwrap_or(0);
    let outlines: Vec<Outline> = closed.into_iter().map(|p| Outline::new(p, start(p))).collect();
    if outlines.len() > MOST {
        let line = drawing.line(outlines.iter().map(|o| o.start).min().unwrap_or(section.body.start));
        return Err(PlainError::TooMany { line, count: outlines.len() });
    }
    let mut findings: Vec<Finding> =
        open.into_iter().filter_map(|p| nearly_closed(p, drawing.line(start(p)), scale)).collect();
    let drawn = entities(&spans, &found, reading);
    let pieces = outermost(drawing, &outlines, &drawn)?;
    let mut all: Vec<Vec<Span>> = vec![Vec::new(); pieces.len()];
    for entity in &drawn {
        if let Some(piece) = owner(drawing, entity, &pieces)? {
            all[piece].push(entity.span);
        }
    }
    let mut blocks: Vec<Block> = all
        .into_iter()
        .filter(|spans| !spans.is_empty())
        .map(|spans| Block::of_entities(merged(spans)))
        .collect();
    blocks.sort_by_key(|b| b.whole.start);
    findings.extend(found.texts.iter().filter_map(|text| nobodys(drawing, text, &pieces, scale)));
    Ok((blocks, findings))
}

/// Reports a line on the layer of an outline whose ends nearly meet: it was probably meant to be closed, but it is not a piece as
/// it is.
fn nearly_closed(path: &Path, line: usize, scale: f64) -> Option<Finding> {
    /// Ends no further apart than the first value were meant to meet if the line is at least as long as the second; both in mm.
    const MEANT: (f64, f64) = (5.0, 200.0);
    let (first, last) = (*path.points.first()?, *path.points.last()?);
    let length: f64 = path.points.windows(2).map(|w| (w[1] - w[0]).hypot()).sum();
    let apart = (last - first).hypot();
    (apart <= MEANT.0 && length >= MEANT.1).then(|| {
        let message = format!(
            "an outline's ends are {:.2} apart, so that it is no piece; close it, or say how far ends may be apart with gap under \
             [tolerance] in the job file",
            Mm(apart)
        );
        let at = (first.to_vec2() / scale).to_point();
        Finding::error(FindingId::OpenOutline, message).line(line).at(at)
    })
}

/// Reports a text that states a piece's name or size but lies in no piece.
fn nobodys(drawing: &Drawing<'_>, text: &Text, pieces: &[&Outline], scale: f64) -> Option<Finding> {
    let label = text.value.lines().find(|line| {
        labels::split(line).is_some_and(|(key, _)| matches!(key.as_str(), "piecename" | "size"))
    })?;
    if pieces.iter().any(|o| o.holds(text.at)) {
        return None;
    }
    let message = format!(
        "the text '{}' lies in no outline and belongs to no piece; move it into its piece",
        crate::words::escaped(label)
    );
    let at = (text.at.to_vec2() / scale).to_point();
    Some(Finding::warning(FindingId::ReadAs, message).line(drawing.line(text.place.x.start)).at(at))
}

/// The entities of model space, each as a stretch of the file; the vertices of a polyline belong to its stretch.
fn in_model_space(drawing: &Drawing<'_>, body: Span) -> Result<Vec<Span>, DxfError> {
    let mut entities = drawing.entities(body);
    let mut e = Entities::buffer();
    let mut spans: Vec<Span> = Vec::new();
    // Whether the next entities may belong to the one before, and whether that one is in paper space.
    let (mut open, mut paper) = (false, false);
    while entities.read(&mut e)? {
        if open && matches!(e.kind, b"VERTEX" | b"SEQEND" | b"ATTRIB") {
            if let Some(last) = spans.last_mut().filter(|_| !paper) {
                last.end = e.span.end;
            }
            open = !e.is("SEQEND");
            continue;
        }
        paper = e.get(67).is_some_and(|p| p.text(drawing.bytes) == b"1");
        open = e.is("POLYLINE") || e.get(66).is_some_and(|p| p.text(drawing.bytes) == b"1");
        if !paper {
            spans.push(e.span);
        }
    }
    Ok(spans)
}

/// All entities that draw something, with their points.
fn entities(spans: &[Span], found: &Found<'_>, reading: &Reading) -> Vec<DrawnEntity> {
    let none =
        |&span| DrawnEntity { span, points: Vec::new(), bounds: Rect::ZERO, known: false, content: false };
    let mut all: Vec<DrawnEntity> = spans.iter().map(none).collect();
    let known = |layer: &str| reading.layers.of(layer).is_some();
    let at = |place: u32| spans.partition_point(|s| s.start <= place).checked_sub(1);
    for stroke in found.strokes {
        if let Some(i) = at(stroke.span.start) {
            all[i].points.extend(stroke.points.iter());
            all[i].known |= known(&stroke.layer);
        }
    }
    let marks = found.marks.iter().map(|mark| (mark.place.x.start, mark.at, known(&mark.layer)));
    // What the drawing says about itself may stand anywhere, and is no part of the piece that happens to lie there.
    let texts = found.texts.iter().filter(|text| !labels::is_of_drawing(&text.value));
    let texts = texts.map(|text| (text.place.x.start, text.at, false));
    for (place, point, known) in marks.chain(texts) {
        if let Some(i) = at(place) {
            all[i] = DrawnEntity { points: vec![point], known, content: true, ..all[i] };
        }
    }
    all.retain(|entity| !entity.points.is_empty());
    for entity in &mut all {
        let first = Rect::from_points(entity.points[0], entity.points[0]);
        entity.bounds = entity.points.iter().fold(first, |r, p| r.union_pt(*p));
    }
    all
}

/// The outlines that lie in no other. An outline within another one must be its sew line or a cut-out.
fn outermost<'o>(
    drawing: &Drawing<'_>,
    outlines: &'o [Outline],
    drawn: &[DrawnEntity],
) -> Result<Vec<&'o Outline>, PlainError> {
    let mut outer: Vec<&Outline> = outlines.iter().collect();
    outer.sort_by(|a, b| b.area.total_cmp(&a.area).then(a.layer_use.cmp(&b.layer_use)));
    let mut pieces: Vec<&Outline> = Vec::new();
    for outline in outer {
        let Some(around) = pieces.iter().find(|p| p.mostly_around(outline)) else {
            pieces.push(outline);
            continue;
        };
        let sew_line = around.layer_use == LayerUse::Cut && outline.layer_use == LayerUse::Sew;
        let empty = || {
            !drawn
                .iter()
                .any(|e| e.content && outline.reaches(e.bounds) && e.points.iter().all(|p| outline.holds(*p)))
        };
        let cut_out = outline.area < CUT_OUT * around.area && empty();
        if !sew_line && !cut_out {
            let (line, other) = (drawing.line(outline.start), drawing.line(around.start));
            return Err(PlainError::Within { line, other });
        }
    }
    Ok(pieces)
}

/// The piece that an entity belongs to, if any.
fn owner(
    drawing: &Drawing<'_>,
    entity: &DrawnEntity,
    pieces: &[&Outline],
) -> Result<Option<usize>, PlainError> {
    let with = |which: &dyn Fn(&&Outline) -> bool| -> Vec<usize> {
        (0..pieces.len()).filter(|&i| which(&pieces[i])).collect()
    };
    let touching = with(&|o| o.reaches(entity.bounds) && entity.points.iter().any(|p| o.holds(*p)));
    let (one, other) = match touching[..] {
        [] => return Ok(None),
        [one] => return Ok(Some(one)),
        [one, other, ..] => (one, other),
    };
    match with(&|o| o.reaches(entity.bounds) && entity.points.iter().all(|p| o.holds(*p)))[..] {
        [one] => Ok(Some(one)),
        [] if !entity.known => Ok(None),
        _ => Err(PlainError::Shared {
            line: drawing.line(entity.span.start),
            one: drawing.line(pieces[one].start),
            other: drawing.line(pieces[other].start),
        }),
    }
}

impl Outline {
    fn new(path: &Path, start: u32) -> Self {
        let first = PathEl::MoveTo(path.points[0]);
        let rest = path.points.iter().skip(1).map(|&p| PathEl::LineTo(p));
        let curve: BezPath = std::iter::once(first).chain(rest).chain([PathEl::ClosePath]).collect();
        Outline {
            points: Arc::clone(&path.points),
            area: 0.5 * path.doubled_area().abs(),
            bounds: curve.bounding_box().inflate(NEAR, NEAR),
            curve,
            edges: Segments::of(&path.points, true),
            layer_use: path.layer_use,
            start,
        }
    }

    /// Whether a point lies inside the outline or at its edge.
    fn holds(&self, p: Point) -> bool {
        self.bounds.contains(p) && (self.curve.winding(p) != 0 || self.edges.distance(p) <= NEAR)
    }

    /// Whether something within these bounds can lie inside the outline or at its edge.
    fn reaches(&self, bounds: Rect) -> bool {
        self.bounds.overlaps(bounds)
    }

    /// Whether more than half of the points of another outline lie inside this one.
    fn mostly_around(&self, other: &Outline) -> bool {
        if !self.reaches(other.bounds) {
            return false;
        }
        let inside = other.points.iter().filter(|p| self.holds(**p)).count();
        2 * inside > other.points.len()
    }
}

/// Joins stretches that follow directly on one another.
fn merged(mut spans: Vec<Span>) -> Vec<Span> {
    spans.sort_by_key(|s| s.start);
    let mut all: Vec<Span> = Vec::new();
    for span in spans {
        match all.last_mut() {
            Some(last) if last.end == span.start => last.end = span.end,
            _ => all.push(span),
        }
    }
    all
}
