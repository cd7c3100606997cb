//! Everything of a piece that moves when its graded points do.

use super::along;
use super::base::{Base, ON_EDGE};
use super::inside::Field;
use crate::alter::{Carried, Change, Redrawn};
use crate::pattern::{LayerUse, MarkKind};
use kurbo::{Point, Vec2};

/// Points this close, in mm, are one.
const SAME_POINT: f64 = 0.05;

/// A piece's change from the sample size to another.
#[derive(Clone, Debug)]
pub(super) struct Shifts<'b> {
    base: &'b Base,
    /// For each path how far its points move.
    paths: Vec<Vec<Vec2>>,
    /// The outline that what is inside goes along with.
    outline: Option<usize>,
    /// The cut and sew lines.
    edges: Vec<usize>,
}

impl<'b> Shifts<'b> {
    /// The change for displacements of the graded points in mm; `None` for one whose rule is not known.
    pub fn new(base: &'b Base, graded: &[Option<Vec2>]) -> Self {
        let piece = &base.piece;
        let mut known: Vec<Vec<Option<Vec2>>> =
            piece.paths.iter().map(|p| vec![None; p.points.len()]).collect();
        for (point, shift) in base.graded.iter().zip(graded) {
            for &(path, vertex) in &point.vertices {
                known[path][vertex] = known[path][vertex].or(*shift);
            }
        }
        let by_rule: Vec<Option<Vec<Vec2>>> =
            piece.paths.iter().zip(&known).map(|(p, k)| along::between(&p.points, p.closed, k)).collect();
        let edges: Vec<usize> = [LayerUse::Cut, LayerUse::Sew]
            .into_iter()
            .filter_map(|layer_use| {
                let outline = piece.outline(layer_use)?;
                piece.paths.iter().position(|p| std::ptr::eq(p, outline))
            })
            .filter(|&p| by_rule[p].is_some())
            .collect();
        let mut shifts = Shifts { base, paths: Vec::new(), outline: edges.first().copied(), edges };
        let still = |p: usize| vec![Vec2::ZERO; piece.paths[p].points.len()];
        shifts.paths =
            by_rule.iter().enumerate().map(|(p, m)| m.clone().unwrap_or_else(|| still(p))).collect();
        for path in (0..by_rule.len()).filter(|&p| by_rule[p].is_none()) {
            shifts.paths[path] = shifts.along_with(path);
        }
        shifts
    }

    /// How far the points of a line without rules move: an outline or a seam with the edge beside it, the
    /// others with what is around them.
    fn along_with(&self, path: usize) -> Vec<Vec2> {
        let line = &self.base.piece.paths[path];
        let n = line.points.len();
        let middle = || (line.points.iter().map(|p| p.to_vec2()).sum::<Vec2>() / n as f64).to_point();
        match line.layer_use {
            LayerUse::GradeReference => vec![Vec2::ZERO; n],
            // As a whole: a grain line keeps its direction, a cut-out its shape.
            LayerUse::Grain => vec![self.at(line.points[0].midpoint(line.points[n - 1])); n],
            LayerUse::Notch => {
                let ends = [line.points[0], line.points[n - 1]].map(|p| self.edge(p));
                let nearest = if ends[1].0 < ends[0].0 { ends[1] } else { ends[0] };
                vec![if nearest.0 <= ON_EDGE { nearest.1 } else { self.at(middle()) }; n]
            }
            LayerUse::Internal | LayerUse::Mirror if line.closed || n < 2 => vec![self.at(middle()); n],
            LayerUse::Internal | LayerUse::Mirror => {
                let mut ends = vec![None; n];
                ends[0] = Some(self.at(line.points[0]));
                ends[n - 1] = Some(self.at(line.points[n - 1]));
                along::between(&line.points, false, &ends).unwrap_or_default()
            }
            _ => line.points.iter().map(|&p| self.edge(p).1).collect(),
        }
    }

    /// The distance of the nearest edge of cut and sew line, and how far that place moves.
    fn edge(&self, p: Point) -> (f64, Vec2) {
        let nearest = self.edges.iter().map(|&e| self.field(e).nearest(p));
        nearest.min_by(|a, b| a.0.total_cmp(&b.0)).unwrap_or((f64::INFINITY, Vec2::ZERO))
    }

    fn field(&self, path: usize) -> Field<'_> {
        Field { points: &self.base.piece.paths[path].points, moves: &self.paths[path] }
    }

    /// How far what stands at `p`, in mm, goes along with the outline.
    pub fn at(&self, p: Point) -> Vec2 {
        self.outline.map_or(Vec2::ZERO, |o| self.field(o).at(p))
    }

    /// The shift of the vertex at `p`, of whatever line.
    fn vertex(&self, p: Point) -> Option<Vec2> {
        let vertices =
            self.base.piece.paths.iter().zip(&self.paths).flat_map(|(l, m)| l.points.iter().zip(m));
        let near = vertices.map(|(v, m)| ((*v - p).hypot(), *m)).filter(|(d, _)| *d <= SAME_POINT);
        near.min_by(|a, b| a.0.total_cmp(&b.0)).map(|(_, m)| m)
    }

    /// The change as the writer takes it.
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
            strokes: Vec::new(),
        };
        Change { redrawn, carried }
    }
}
