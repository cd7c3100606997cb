//! Compares what a block holds besides the outlines' vertices: its entities with all their text.

use super::follows::Follows;
use super::region::{Region, draws_seams};
use super::{Both, elsewhere};
use crate::check::sheet::named;
use crate::dxf_text::{Drawing, Entities, Entity, Pair, Span};
use crate::finding::Finding;
use crate::pattern::{LayerUse, MarkKind, Path, Piece};
use crate::words::counted;
use kurbo::Point;

/// One part of a block, to be compared with the part at the same place in the original.
struct Part {
    /// Where the part begins.
    span: Span,
    /// What the part is.
    kind: Kind,
}

enum Kind {
    /// The pairs of an outline's entities, except those that say where its points are.
    Outline(Vec<u8>),
    /// Any other part, with all its bytes. `mark` is set where the part is a mark that an alteration may carry along.
    Other { bytes: Vec<u8>, mark: Option<Mark> },
}

/// A point or a text with a grade rule.
struct Mark {
    /// All its text except its coordinates.
    plain: Vec<u8>,
    /// Whether it marks a vertex: a turn point or a curve point.
    vertex: bool,
    /// Its first point, in the numbers of the file.
    at: Option<(f64, f64)>,
    /// Both ends, in mm, of the slit that it belongs to; one of the two lies on the edge.
    slit: Option<[Point; 2]>,
}

/// Compares two states of a piece's block. Returns a text for a note on what was carried along; every other difference
/// becomes a finding.
pub(super) fn compare(
    both: &Both<'_>,
    old: &Piece,
    new: &Piece,
    (regions, follows): (&[Region<'_>], Option<&Follows<'_>>),
    findings: &mut Vec<Finding>,
) -> Vec<String> {
    let (before, after) = (&both.old.opened.drawing, &both.new.opened.drawing);
    // The end of the block is compared as a part too. Where one of the blocks has parts too many, an entity of it meets the
    // other's end and differs from it.
    let (a, b) = (parts(before, old), parts(after, new));
    let mut carried = 0;
    for (p, q) in a.iter().zip(&b) {
        let error = |message: String| named(elsewhere(message), new).line(after.line(q.span.start));
        match (&p.kind, &q.kind) {
            (Kind::Outline(x), Kind::Outline(y)) if x == y => {}
            (Kind::Other { bytes: x, .. }, Kind::Other { bytes: y, .. }) if x == y => {}
            (Kind::Other { mark: Some(x), .. }, Kind::Other { mark: Some(y), .. }) if x.plain == y.plain => {
                if goes_along((x, old), (y, new), regions, follows) {
                    carried += 1;
                    continue;
                }
                let to = y.at.unwrap_or_default();
                let message = format!(
                    "a mark or text was moved to ({:.2}, {:.2}) and did not go along with an altered seam; put it back",
                    to.0, to.1
                );
                findings.push(error(message).at(to.into()));
            }
            _ => {
                let message = format!(
                    "what stands here differs from the original (line {}); put it back",
                    before.line(p.span.start)
                );
                findings.push(error(message));
                // Where an entity is missing or added, everything after it would differ as well.
                return Vec::new();
            }
        }
    }
    (carried > 0)
        .then(|| format!("{} carried along", counted(carried, "mark or text", "marks and texts")))
        .into_iter()
        .collect()
}

/// Whether a mark stood on a seam that was altered and may have been carried along with it.
fn goes_along(
    (before, old): (&Mark, &Piece),
    (after, new): (&Mark, &Piece),
    regions: &[Region<'_>],
    follows: Option<&Follows<'_>>,
) -> bool {
    let point = |at: Option<(f64, f64)>| at.map(|(x, y)| Point::new(x * old.scale, y * old.scale));
    let (Some(from), Some(to)) = (point(before.at), point(after.at)) else { return false };
    let ends = before.slit.unwrap_or([from; 2]);
    let held = match follows {
        Some(follows) => ends.iter().any(|end| follows.carried(*end, *end + (to - from))),
        None => ends.iter().any(|end| regions.iter().any(|r| r.holds(*end))),
    };
    held && (!before.vertex || stays_at_vertex(old, from, new, to))
}

/// Whether a mark that stood at a vertex still stands at one.
fn stays_at_vertex(old: &Piece, from: Point, new: &Piece, to: Point) -> bool {
    /// A turn or curve point this near to an outline's vertex, in mm, marks that vertex.
    const AT_VERTEX: f64 = 0.6;
    /// How much further off, in mm, the mark may be afterwards because of rounding.
    const ROUNDING: f64 = 0.05;
    let away = |piece: &Piece, p: Point| {
        let outlines = piece.paths.iter().filter(|path| draws_seams(path.layer_use));
        outlines.flat_map(|path| path.points.iter()).map(|v| (*v - p).hypot()).fold(f64::INFINITY, f64::min)
    };
    let was = away(old, from);
    was > AT_VERTEX || away(new, to) <= was + ROUNDING
}

/// The spans of the entities that draw the seams, in the order of the file.
fn outlines(piece: &Piece) -> Vec<Span> {
    let mut outlines: Vec<Span> = piece
        .paths
        .iter()
        .filter(|p| draws_seams(p.layer_use))
        .flat_map(|p| p.from.iter().chain(p.twins.iter().map(|(_, f)| f)))
        .map(|f| piece.strokes[f.stroke as usize].span)
        .collect();
    outlines.sort_unstable();
    outlines.dedup();
    outlines
}

/// The parts of a piece's block.
fn parts(drawing: &Drawing<'_>, piece: &Piece) -> Vec<Part> {
    let block = &drawing.blocks[piece.block];
    let mut parts = vec![plain(drawing, Span { start: block.whole.start, end: block.body.start })];
    let outlines = outlines(piece);
    let on_outline = |start: u32| {
        outlines
            .binary_search_by(|s| s.start.cmp(&start))
            .map_or_else(|i| i > 0 && start < outlines[i - 1].end, |_| true)
    };
    let of_slit = |p: &Path| {
        (piece.strokes[p.from[0].stroke as usize].span, [p.points[0], p.points[p.points.len() - 1]])
    };
    let notches: Vec<(Span, [Point; 2])> = piece.paths_of(LayerUse::Notch).map(of_slit).collect();
    let mut entities = drawing.entities_of(block);
    let mut e = Entities::buffer();
    while entities.read(&mut e).unwrap_or(false) {
        if on_outline(e.span.start) {
            let own = style(drawing, &e);
            match parts.last() {
                // Vertices may be added, lines split and curves redrawn, so entities of an outline that follow one another
                // with the same style count as one part.
                Some(Part { kind: Kind::Outline(before), .. }) if *before == own => {}
                _ => parts.push(Part { span: e.span, kind: Kind::Outline(own) }),
            }
            continue;
        }
        let around = |span: &Span| span.start <= e.span.start && e.span.start < span.end;
        let slit = notches.iter().find(|(span, _)| around(span)).map(|(_, ends)| *ends);
        let carried = slit.is_some() || e.is("POINT") || e.is("INSERT") || e.is("TEXT") || e.is("MTEXT");
        let mut part = plain(drawing, e.span);
        if let Kind::Other { mark, .. } = &mut part.kind
            && carried
        {
            let of_vertex = |m: &crate::pattern::Mark| {
                matches!(m.kind, MarkKind::Turn | MarkKind::Curve)
                    && (e.span.start..e.span.end).contains(&m.place.x.start)
            };
            let vertex = piece.marks.iter().any(of_vertex);
            *mark = Some(Mark { vertex, slit, ..self::mark(drawing, &e) });
        }
        parts.push(part);
    }
    parts.push(plain(drawing, Span { start: block.body.end, end: block.whole.end }));
    parts
}

/// A part in which nothing may change.
fn plain(drawing: &Drawing<'_>, span: Span) -> Part {
    Part { span, kind: Kind::Other { bytes: span.of(drawing.bytes).to_vec(), mark: None } }
}

/// The pairs of an entity except those that describe its geometry: coordinates, counts, bulges, curve data and handles are
/// left out.
fn style(drawing: &Drawing<'_>, e: &Entity<'_>) -> Vec<u8> {
    let geometry = |p: &&Pair| matches!(p.code, 5 | 10..=59 | 66 | 70..=79 | 90 | 91 | 100 | 210..=239);
    let kept = e.pairs.iter().filter(|p| !geometry(p));
    kept.flat_map(|p| p.span().of(drawing.bytes)).copied().collect()
}

/// The text of a mark without its coordinates, and its first point.
fn mark(drawing: &Drawing<'_>, e: &Entity<'_>) -> Mark {
    let place = |code: i16| matches!(code, 10 | 20 | 11 | 21);
    let kept = e.pairs.iter().filter(|p| !place(p.code));
    let plain = e.kind.iter().chain(kept.flat_map(|p| p.span().of(drawing.bytes))).copied().collect();
    let number = |code| e.get(code).and_then(|p| drawing.number(p).ok());
    Mark { plain, vertex: false, at: number(10).zip(number(20)), slit: None }
}
