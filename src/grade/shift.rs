//! The displacements of everything in a piece that moves when its graded points move.

use super::base::{Base, ON_EDGE};
use super::interpolate;
use super::mean_value::Field;
use super::offset::MovedEdge;
use super::through_notches::{self, Notch, NotchedLine};
use crate::alter::{Carried, Change, Redrawn};
use crate::geometry::line;
use crate::pattern::{LayerUse, MarkKind, Path};
use kurbo::{Point, Vec2};

/// Points no further apart than this, in mm, count as one.
const SAME_POINT: f64 = 0.05;

/// A notch that lies this far, in mm, off its edge is noticed in sewing (*common practice, no source*: half a notch's depth or
/// less is trimmed away unseen, and notches are 4 to 6 mm deep).
const STRAYED: f64 = 2.0;

/// A piece's change from the sample size to another.
#[derive(Clone, Debug)]
pub(super) struct Shifts<'b> {
    base: &'b Base,
    /// For each path the displacements of its points.
    paths: Vec<Vec<Vec2>>,
    /// The outline that everything inside the piece follows.
    outline: Option<usize>,
    /// The indices of the cut and sew lines.
    edges: Vec<usize>,
}

/// The notches with rules that lie on the line `edge` and are nearer to it than to the other edges, each with the index of its
/// graded point.
fn notches_on(base: &Base, graded: &[Option<Vec2>], edges: &[usize], edge: usize) -> Vec<(usize, Notch)> {
    let away = |p: usize, at: Point| line::distance(&base.piece.paths[p].points, true, at);
    let known = base.graded.iter().zip(graded).enumerate().filter(|(_, (g, _))| g.notch);
    known
        .filter_map(|(i, (g, shift))| Some((i, Notch { at: g.at, shift: (*shift)? })))
        .filter(|(_, n)| {
            let nearest = edges.iter().copied().min_by(|&a, &b| away(a, n.at).total_cmp(&away(b, n.at)));
            nearest == Some(edge) && away(edge, n.at) <= ON_EDGE
        })
        .collect()
}

impl<'b> Shifts<'b> {
    /// The change that follows from the displacements of the graded points in mm, which are `None` where the rule is unknown.
    pub fn new(base: &'b Base, graded: &[Option<Vec2>]) -> Self {
        let piece = &base.piece;
        let mut known: Vec<Vec<Option<Vec2>>> =
            piece.paths.iter().map(|p| vec![None; p.points.len()]).collect();
        for (point, shift) in base.graded.iter().zip(graded) {
            for &(path, vertex) in &point.vertices {
                known[path][vertex] = known[path][vertex].or(*shift);
            }
        }
        let mut by_rule: Vec<Option<Vec<Vec2>>> = piece
            .paths
            .iter()
            .zip(&known)
            .map(|(p, k)| interpolate::between(&p.points, p.closed, k))
            .collect();
        let edges: Vec<usize> = [LayerUse::Cut, LayerUse::Sew]
            .into_iter()
            .filter_map(|layer_use| {
                let outline = piece.outline(layer_use)?;
                piece.paths.iter().position(|p| std::ptr::eq(p, outline))
            })
            .filter(|&p| by_rule[p].is_some())
            .collect();
        for &edge in &edges {
            let notches: Vec<Notch> =
                notches_on(base, graded, &edges, edge).into_iter().map(|(_, n)| n).collect();
            if notches.is_empty() {
                continue;
            }
            let line = |p: usize| NotchedLine { points: &piece.paths[p].points, graded: &known[p] };
            let beside: Vec<usize> = edges.iter().copied().filter(|&e| e != edge).collect();
            let (own, others) = through_notches::through(
                line(edge),
                &notches,
                &beside.iter().map(|&p| line(p)).collect::<Vec<_>>(),
            );
            by_rule[edge] = own;
            for (p, moves) in beside.into_iter().zip(others) {
                // A sew line with notches of its own is drawn through those notches instead.
                if notches_on(base, graded, &edges, p).is_empty() {
                    by_rule[p] = moves;
                }
            }
        }
        let mut shifts = Shifts { base, paths: Vec::new(), outline: edges.first().copied(), edges };
        let still = |p: usize| vec![Vec2::ZERO; piece.paths[p].points.len()];
        shifts.paths =
            by_rule.iter().enumerate().map(|(p, m)| m.clone().unwrap_or_else(|| still(p))).collect();
        for path in (0..by_rule.len()).filter(|&p| by_rule[p].is_none()) {
            shifts.paths[path] = shifts.along_with(path);
        }
        shifts
    }

    /// The displacements of the points of a line without rules. An outline or a seam follows the edge beside it; other lines
    /// follow the outline around them.
    fn along_with(&self, path: usize) -> Vec<Vec2> {
        let line = &self.base.piece.paths[path];
        let n = line.points.len();
        let middle = || (line.points.iter().map(|p| p.to_vec2()).sum::<Vec2>() / n as f64).to_point();
        match line.layer_use {
            LayerUse::GradeReference => vec![Vec2::ZERO; n],
            // Moved as a whole, so that a grain line keeps its direction and a cut-out its shape.
            LayerUse::Grain => vec![self.at(line.points[0].midpoint(line.points[n - 1])); n],
            LayerUse::Notch => {
                let ends = [line.points[0], line.points[n - 1]].map(|p| self.edge(p));
                let nearest = if ends[1].0 < ends[0].0 { ends[1] } else { ends[0] };
                vec![if nearest.0 <= ON_EDGE { nearest.1 } else { self.at(middle()) }; n]
            }
            LayerUse::Internal | LayerUse::Mirror | LayerUse::Fold if line.closed || n < 2 => {
                vec![self.at(middle()); n]
            }
            LayerUse::Internal | LayerUse::Mirror | LayerUse::Fold => {
                let mut ends = vec![None; n];
                ends[0] = Some(self.at(line.points[0]));
                ends[n - 1] = Some(self.at(line.points[n - 1]));
                interpolate::between(&line.points, false, &ends).unwrap_or_default()
            }
            LayerUse::Sew | LayerUse::Cut if line.closed && n > 2 && self.outline.is_some() => {
                self.moves_beside(line)
            }
            _ => line.points.iter().map(|&p| self.edge(p).1).collect(),
        }
    }

    /// The displacements of the points of a closed line that runs beside the graded outline.
    fn moves_beside(&self, line: &Path) -> Vec<Vec2> {
        let Some(outline) = self.outline else { return vec![Vec2::ZERO; line.points.len()] };
        let old = &self.base.piece.paths[outline].points;
        let new: Vec<Point> = old.iter().zip(&self.paths[outline]).map(|(p, m)| *p + *m).collect();
        MovedEdge { old, new: &new }.carry(&line.points)
    }

    /// The distance to the nearest place on the cut and sew lines, and the displacement of that place.
    fn edge(&self, p: Point) -> (f64, Vec2) {
        let nearest = self.edges.iter().map(|&e| self.field(e).nearest(p));
        nearest.min_by(|a, b| a.0.total_cmp(&b.0)).unwrap_or((f64::INFINITY, Vec2::ZERO))
    }

    fn field(&self, path: usize) -> Field<'_> {
        Field { points: &self.base.piece.paths[path].points, moves: &self.paths[path] }
    }

    /// The displacement, in mm, of something at `p` that follows the outline.
    pub fn at(&self, p: Point) -> Vec2 {
        self.outline.map_or(Vec2::ZERO, |o| self.field(o).at(p))
    }

    /// The displacement of the vertex at `p`, on any line.
    fn vertex(&self, p: Point) -> Option<Vec2> {
        let vertices =
            self.base.piece.paths.iter().zip(&self.paths).flat_map(|(l, m)| l.points.iter().zip(m));
        let near = vertices.map(|(v, m)| ((*v - p).hypot(), *m)).filter(|(d, _)| *d <= SAME_POINT);
        near.min_by(|a, b| a.0.total_cmp(&b.0)).map(|(_, m)| m)
    }

    /// The notches with rules that lie on an edge before the change and off it afterwards: the graded point, and the distance in
    /// mm.
    pub fn strayed(&self, graded: &[Option<Vec2>]) -> Vec<(usize, f64)> {
        let mut found = Vec::new();
        for &edge in &self.edges {
            let old = &self.base.piece.paths[edge].points;
            let new: Vec<Point> = old.iter().zip(&self.paths[edge]).map(|(p, m)| *p + *m).collect();
            for (i, notch) in notches_on(self.base, graded, &self.edges, edge) {
                let by = line::nearest(&new, true, notch.at + notch.shift).2
                    - line::nearest(old, true, notch.at).2;
                found.extend((by > STRAYED).then_some((i, by)));
            }
        }
        found
    }

    /// The change in the form that the writer needs.
    pub fn change(&self, graded: &[Option<Vec2>]) -> Change {
        let piece = &self.base.piece;
        let moving = self.paths.iter().enumerate().filter(|(_, m)| m.iter().any(|m| *m != Vec2::ZERO));
        let redrawn =
            moving.map(|(path, moves)| Redrawn { path, moves: moves.clone(), added: Vec::new() }).collect();
        let mut marks: Vec<Option<Vec2>> = vec![None; piece.marks.len()];
        let mut texts: Vec<Option<Vec2>> = vec![None; piece.texts.len()];
        for (point, shift) in self.base.graded.iter().zip(graded) {
            for &mark in &point.marks {
                marks[mark] = marks[mark].or(*shift);
            }
            texts[point.text] = shift.or_else(|| self.vertex(point.at));
        }
        let of_mark = |i: usize| {
            let mark = &piece.marks[i];
            match mark.kind {
                MarkKind::Notch { .. } => {
                    Some(self.edge(mark.at)).filter(|(d, _)| *d <= ON_EDGE).map(|(_, m)| m)
                }
                _ => self.vertex(mark.at),
            }
            .unwrap_or_else(|| self.at(mark.at))
        };
        let all = |shifts: Vec<Option<Vec2>>, other: &dyn Fn(usize) -> Vec2| {
            let shifts = shifts.into_iter().enumerate().map(|(i, s)| (i, s.unwrap_or_else(|| other(i))));
            shifts.filter(|(_, s)| *s != Vec2::ZERO).collect()
        };
        let carried = Carried {
            marks: all(marks, &of_mark),
            texts: all(texts, &|i| self.at(piece.texts[i].at)),
            ..Carried::default()
        };
        Change { redrawn, carried, back: Vec::new() }
    }
}
