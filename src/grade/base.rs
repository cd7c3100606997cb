//! A piece in the sample size, prepared for grading: its graded points and its grade reference line.

use crate::dxf_text::Drawing;
use crate::finding::{Finding, FindingId};
use crate::geometry::line;
use crate::pattern::{LayerMap, LayerUse, MarkKind, Path, Piece, StrokePoint};
use kurbo::{Point, Vec2};

/// How far, in mm, a rule text may stand from its point. Texts stand at the point itself except for rounding, and the points of a
/// pattern are at least some millimetres apart.
const AT_POINT: f64 = 0.6;

/// Points no further apart than this, in mm, count as one, because exports round to 0.01 mm or 0.001 in.
const SAME_POINT: f64 = 0.05;

/// How far, in mm, a notch may stand from the edge and still count as lying on it. Exporting programs round, and some place the
/// notch at the inner end of its slit.
pub(super) const ON_EDGE: f64 = 3.0;

/// Two grade reference lines whose directions differ by no more than this, in radians, count as having the same direction: 0.06
/// mm on a line of 60 mm.
const SAME_WAY: f64 = 1e-3;

/// A point with a grade rule.
#[derive(Clone, Debug)]
pub(super) struct Graded {
    /// The number of its rule.
    pub rule: u32,
    /// The layer its text is on.
    pub layer: String,
    /// The index of its rule text in the piece.
    pub text: usize,
    /// Where the point is, in mm.
    pub at: Point,
    /// Whether it is a notch.
    pub notch: bool,
    /// The marks at this point.
    pub marks: Vec<usize>,
    /// The vertices of lines at this point, as indices of path and point.
    pub vertices: Vec<(usize, usize)>,
}

/// The axes of the deltas; X runs along the grade reference line.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Axes(Vec2);

impl Axes {
    /// A delta along and across the reference line as a displacement in the block's axes.
    pub fn outward(self, delta: Vec2) -> Vec2 {
        Vec2::new(delta.x * self.0.x - delta.y * self.0.y, delta.x * self.0.y + delta.y * self.0.x)
    }

    /// A displacement in the block's axes as a delta along and across the reference line.
    pub fn inward(self, shift: Vec2) -> Vec2 {
        Vec2::new(shift.dot(self.0), self.0.cross(shift))
    }
}

/// A piece prepared for grading.
#[derive(Clone, Debug)]
pub(super) struct Base {
    /// The piece; every stroke is in one of its paths.
    pub piece: Piece,
    /// Its graded points, in the order of their texts in the file.
    pub graded: Vec<Graded>,
    /// The axes of its deltas.
    pub axes: Axes,
}

/// Finds what is needed to grade the piece, or to compare it. `reference` is the number, from 1, of the grade reference line to
/// use if there are several.
pub(super) fn prepare(
    drawing: &Drawing<'_>,
    piece: &Piece,
    layers: &LayerMap,
    reference: Option<usize>,
    findings: &mut Vec<Finding>,
) -> Base {
    let mut piece = piece.clone();
    let mut in_path = vec![false; piece.strokes.len()];
    for path in &piece.paths {
        let strokes = path.from.iter().chain(path.twins.iter().map(|(_, p)| p));
        strokes.for_each(|p| in_path[p.stroke as usize] = true);
    }
    // Lines on layers without a use of their own are treated like any line inside the piece.
    for (stroke, _) in in_path.iter().enumerate().filter(|(_, used)| !**used) {
        let index = |n: usize| u32::try_from(n).unwrap_or(u32::MAX);
        let points = piece.strokes[stroke].points.clone();
        let from =
            (0..points.len()).map(|k| StrokePoint { stroke: index(stroke), point: index(k) }).collect();
        let closed = piece.strokes[stroke].closed;
        piece.paths.push(Path { layer_use: LayerUse::Internal, points, from, twins: Vec::new(), closed });
    }
    let axes = axes(&piece, reference, findings);
    let mut found = Vec::new();
    for (i, text) in piece.texts.iter().enumerate() {
        let Some(rule) = text.rule() else { continue };
        let graded = graded(&piece, layers, i, rule);
        let lacking = match &graded {
            None => "stands at no point of its layer; put it on its turn or curve point",
            Some(g) if g.vertices.is_empty() && on_outline(layers.of(&text.layer)) => {
                "stands at a turn or curve point that is no vertex of a line; put the point on the line's vertex"
            }
            Some(_) => "",
        };
        if !lacking.is_empty() {
            let line = drawing.line(text.place.x.start);
            let message = format!("the grade rule text '{}' {lacking}", text.value.trim());
            let at = piece.drawn(text.at);
            findings
                .push(Finding::error(FindingId::GradePointMissing, message).about(&piece).at(at).line(line));
        }
        found.extend(graded);
    }
    let base = Base { piece, graded: found, axes };
    base.inspect(drawing, findings);
    base
}

/// Whether a rule on a layer of this use belongs to vertices of lines on other layers.
fn on_outline(layer_use: Option<LayerUse>) -> bool {
    matches!(layer_use, Some(LayerUse::Turn | LayerUse::Curve))
}

/// The graded point at the place of a rule text; `None` if nothing on its layer lies there.
fn graded(piece: &Piece, layers: &LayerMap, text: usize, rule: u32) -> Option<Graded> {
    let t = &piece.texts[text];
    let same = |layer: &str| layer.trim().eq_ignore_ascii_case(t.layer.trim());
    let outline = on_outline(layers.of(&t.layer));
    let marks =
        piece.marks.iter().enumerate().filter(|(_, m)| same(&m.layer)).map(|(i, m)| (m.at, Some(i), (0, 0)));
    let vertices = piece.paths.iter().enumerate().flat_map(|(p, path)| {
        let along = outline
            && !matches!(path.layer_use, LayerUse::Grain | LayerUse::GradeReference | LayerUse::Notch);
        let here = move |i: &usize| along || same(&piece.strokes[path.from[*i].stroke as usize].layer);
        (0..path.points.len()).filter(here).map(move |i| (path.points[i], None, (p, i)))
    });
    let all: Vec<(Point, Option<usize>, (usize, usize))> = marks.chain(vertices).collect();
    let away = |p: Point| t.points().map(|(_, at)| (p - at).hypot()).fold(f64::INFINITY, f64::min);
    let (at, ..) = *all.iter().min_by(|a, b| away(a.0).total_cmp(&away(b.0)))?;
    if away(at) > AT_POINT {
        return None;
    }
    let there = || all.iter().filter(|(p, ..)| (*p - at).hypot() <= SAME_POINT);
    Some(Graded {
        rule,
        layer: t.layer.to_string(),
        text,
        at,
        notch: layers.of(&t.layer) == Some(LayerUse::Notch),
        marks: there().filter_map(|(_, mark, _)| *mark).collect(),
        vertices: there().filter(|(_, mark, _)| mark.is_none()).map(|(.., v)| *v).collect(),
    })
}

fn axes(piece: &Piece, reference: Option<usize>, findings: &mut Vec<Finding>) -> Axes {
    let lines: Vec<Vec2> = piece
        .paths_of(LayerUse::GradeReference)
        .filter_map(|p| Some(*p.points.last()? - *p.points.first()?))
        .filter(|d| d.hypot() > SAME_POINT)
        .map(Vec2::normalize)
        .collect();
    let Some(&first) = lines.first() else {
        if piece.texts.iter().any(|t| t.rule().is_some()) {
            let message =
                "the piece has no grade reference line; its deltas are taken along the drawing's X axis";
            findings.push(Finding::note(FindingId::ReadAs, message).about(piece));
        }
        return Axes(Vec2::new(1.0, 0.0));
    };
    let apart = lines.iter().any(|d| d.cross(first).abs() > SAME_WAY || d.dot(first) < 0.0);
    let chosen = reference.and_then(|n| lines.get(n.checked_sub(1)?)).copied();
    if apart {
        let shown: Vec<String> = lines.iter().map(|d| format!("{:.2}°", d.atan2().to_degrees())).collect();
        let shown = shown.join(", ");
        findings.push(match chosen {
            Some(d) => Finding::note(
                FindingId::ReadAs,
                format!("of {} grade reference lines ({shown}) the one at {:.2}° was used", lines.len(), d.atan2().to_degrees()),
            ),
            None => Finding::error(
                FindingId::GradeReferenceAmbiguous,
                format!("the piece has {} grade reference lines that point different ways ({shown}); say with --reference N which one the deltas follow", lines.len()),
            ),
        }
        .about(piece));
    }
    let direction = chosen.unwrap_or(first);
    if direction.y.abs() > SAME_WAY || direction.x < 0.0 {
        let message = format!(
            "the deltas are turned by {:.2}°, to the grade reference line",
            direction.atan2().to_degrees()
        );
        findings.push(Finding::note(FindingId::ReadAs, message).about(piece));
    }
    Axes(direction)
}

impl Base {
    /// Reports what makes the piece unsuitable as a base for grading, regardless of the size.
    fn inspect(&self, drawing: &Drawing<'_>, findings: &mut Vec<Finding>) {
        let piece = &self.piece;
        if self.graded.is_empty() {
            let message = "the piece has no grade rules ('# n' at its turn and curve points); it is drawn alike in every size";
            findings.push(Finding::warning(FindingId::RuleMissing, message).about(piece));
            return;
        }
        for (i, mark) in piece.marks.iter().enumerate() {
            if self.graded.iter().any(|g| g.marks.contains(&i)) {
                continue;
            }
            let finding = match mark.kind {
                MarkKind::Turn => Finding::warning(
                    FindingId::RuleMissing,
                    "a turn point has no grade rule; it moves in proportion between its neighbours. Add a text '# n' at it",
                ),
                MarkKind::Notch { .. } if self.edge_distance(mark.at) > ON_EDGE => Finding::warning(
                    FindingId::NotchOffEdge,
                    "a notch has no grade rule and lies on no edge; it moves with the edges around it. Put it on its edge",
                ),
                _ => continue,
            };
            let line = drawing.line(mark.place.x.start);
            findings.push(finding.about(piece).at(piece.drawn(mark.at)).line(line));
        }
    }

    /// The distance to the nearest edge of the cut and sew lines.
    fn edge_distance(&self, p: Point) -> f64 {
        let outlines = [LayerUse::Cut, LayerUse::Sew].into_iter().filter_map(|u| self.piece.outline(u));
        let distance = |line: &Path| line::nearest(&line.points, true, p).2;
        outlines.map(distance).fold(f64::INFINITY, f64::min)
    }
}
