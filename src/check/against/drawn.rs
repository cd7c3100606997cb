//! Whether two pieces are drawn alike, even where they are written differently: with other entities, from another starting
//! vertex, with more or fewer vertices on the same line, or with numbers in another form or unit.

use crate::geometry::Segments;
use crate::opened::Opened;
use crate::pattern::{LayerUse, Mark, Path, Piece};
use crate::units::Mm;
use kurbo::Point;
use std::collections::HashSet;
use std::mem::discriminant;
use std::sync::Arc;

/// How far apart, in mm, lines that are drawn alike may lie: exports round to 0.01 mm or to 0.001 in, and both drawings may
/// be rounded.
const WITHIN: f64 = 0.03;

/// Whether two pieces have the same lines, marks and texts, each on the same layer.
pub(super) fn alike(a: &Piece, b: &Piece) -> bool {
    a.name == b.name
        && a.size == b.size
        && a.labels == b.labels
        && same_set(&a.paths, &b.paths, same_line)
        && same_set(&others(a), &others(b), |(a, one), (b, other)| a == b && same_line(one, other))
        && same_set(&a.marks, &b.marks, same_mark)
        && texts(a) == texts(b)
}

/// Whether the two drawings have the same texts of their own, and the pieces of each pair of blocks lie in the same place.
pub(super) fn placed_alike(old: &Opened<'_>, new: &Opened<'_>, pairs: &[(usize, usize)]) -> bool {
    let piece = |o: &'_ Opened<'_>, block: usize| o.pattern.pieces.iter().position(|p| p.block == block);
    let lies = |(a, b): &(usize, usize)| match (piece(old, *a), piece(new, *b)) {
        (Some(a), Some(b)) => {
            let (a, b) = (&old.pattern.pieces[a], &new.pattern.pieces[b]);
            let at = |o: &Opened<'_>, p: &Piece, of: Point| {
                let drawn = p.drawn(of);
                let Mm(unit) = o.unit().mm(1.0);
                Point::new(drawn.x * unit, drawn.y * unit)
            };
            // Two points are enough to fix both where a piece lies and how it is turned or mirrored.
            [Point::ZERO, Point::new(100.0, 50.0)]
                .iter()
                .all(|&p| (at(old, a, p) - at(new, b, p)).hypot() <= WITHIN)
        }
        (a, b) => a.is_none() && b.is_none(),
    };
    old.pattern.style == new.pattern.style
        && old.pattern.sample_size == new.pattern.sample_size
        && pairs.iter().all(lies)
}

/// The lines on layers of unknown use, each with the name of its layer. The `layer_use` of these paths is a placeholder.
fn others(piece: &Piece) -> Vec<(&str, Path)> {
    let known: HashSet<u32> = piece.paths.iter().flat_map(|p| p.from.iter().map(|f| f.stroke)).collect();
    let strokes = (0u32..).zip(&piece.strokes).filter(|(i, _)| !known.contains(i));
    strokes
        .map(|(_, s)| {
            let (points, closed) = (Arc::clone(&s.points), s.closed);
            let path =
                Path { layer_use: LayerUse::Internal, points, from: Vec::new(), twins: Vec::new(), closed };
            (&*s.layer, path)
        })
        .collect()
}

/// Whether the two lists can be paired off one to one, by `same`, with none left over.
fn same_set<T>(a: &[T], b: &[T], same: impl Fn(&T, &T) -> bool) -> bool {
    let mut left: Vec<&T> = b.iter().collect();
    a.len() == b.len()
        && a.iter().all(|one| {
            let found = left.iter().position(|other| same(one, other));
            found.is_some_and(|i| {
                left.swap_remove(i);
                true
            })
        })
}

fn same_mark(a: &Mark, b: &Mark) -> bool {
    discriminant(&a.kind) == discriminant(&b.kind) && a.layer == b.layer && (a.at - b.at).hypot() <= WITHIN
}

/// The texts of a piece, sorted, since their order in the file does not matter.
fn texts(piece: &Piece) -> Vec<&str> {
    let mut all: Vec<&str> = piece.texts.iter().map(|t| t.value.trim()).collect();
    all.sort_unstable();
    all
}

/// Whether two lines run alike: every vertex of each lies on the other, their lengths are equal, and open lines have the same
/// ends.
fn same_line(a: &Path, b: &Path) -> bool {
    if a.layer_use != b.layer_use || a.closed != b.closed {
        return false;
    }
    let near = |p: Point, q: Point| (p - q).hypot() <= WITHIN;
    let same_vertices =
        a.points.len() == b.points.len() && a.points.iter().zip(b.points.iter()).all(|(p, q)| near(*p, *q));
    if same_vertices {
        return true;
    }
    let length = |path: &Path| {
        let last = path.closed.then(|| path.points.last().zip(path.points.first())).flatten();
        let segments = path.points.windows(2).map(|w| (w[1] - w[0]).hypot());
        segments.sum::<f64>() + last.map_or(0.0, |(p, q)| (*q - *p).hypot())
    };
    // The lengths of lines with many vertices may differ by the rounding of each vertex.
    let most = WITHIN * (1.0 + (a.points.len() + b.points.len()) as f64 / 50.0);
    let on = |path: &Path, line: &Path| {
        let segments = Segments::of(&line.points, line.closed);
        path.points.iter().all(|p| segments.distance(*p) <= WITHIN)
    };
    let ends = |path: &Path| path.points.first().copied().zip(path.points.last().copied());
    let same_ends = || match (ends(a), ends(b)) {
        (Some(p), Some(q)) => near(p.0, q.0) && near(p.1, q.1) || near(p.0, q.1) && near(p.1, q.0),
        _ => false,
    };
    (length(a) - length(b)).abs() <= most && on(a, b) && on(b, a) && (a.closed || same_ends())
}
