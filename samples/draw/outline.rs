//! A closed outline of vertices, each knowing which seam leaves it and how the standard marks it.

use kurbo::{CubicBez, ParamCurve, ParamCurveArclen, Point, Vec2};

/// What an edge is sewn to; it decides the allowance.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Seam {
    Crotch,
    Inseam,
    Outseam,
    Hem,
    Waist,
    /// The turned upper edge of a patch pocket.
    PocketTop,
    /// Any other edge of a small piece.
    Plain,
}

impl Seam {
    /// Seam allowance in mm.
    pub fn allowance(self) -> f64 {
        match self {
            // 5/8 in.
            Self::Crotch | Self::Inseam | Self::Outseam => 15.875,
            Self::Hem => 40.0,
            Self::PocketTop => 25.0,
            Self::Waist | Self::Plain => 10.0,
        }
    }
}

/// How a vertex is marked: turn points on layer 2, curve points on layer 3.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Mark {
    Turn,
    Curve,
    None,
}

/// A vertex and the edge that leaves it.
#[derive(Clone, Copy, Debug)]
pub struct Vertex {
    pub at: Point,
    pub seam: Seam,
    pub mark: Mark,
    /// Number of the vertex's grade rule.
    pub rule: Option<u32>,
}

/// A place on an outline: on the edge that leaves vertex `edge`, `t` of the way along it.
#[derive(Clone, Copy, Debug)]
pub struct Place {
    pub edge: usize,
    pub t: f64,
}

/// A closed outline, clockwise with the waist up and the fork to the right. No seam may run across the first vertex.
#[derive(Clone, Debug, Default)]
pub struct Outline {
    pub vertices: Vec<Vertex>,
}

/// A place this close to a vertex is the vertex, mm.
const ON_VERTEX: f64 = 1e-6;

/// Rule number that stands for "graded, number not yet given".
const UNNUMBERED: u32 = 0;

impl Outline {
    /// A corner, where two seams meet.
    pub fn corner(&mut self, at: Point, seam: Seam) {
        self.push(at, seam, Mark::Turn, Some(UNNUMBERED));
    }

    /// A graded vertex where the outline runs on smoothly: a straight line turns into a curve, or one curve into the next.
    pub fn join(&mut self, at: Point, seam: Seam) {
        self.push(at, seam, Mark::Curve, Some(UNNUMBERED));
    }

    /// The vertices of a curve cut into `pieces` equal lengths, without its two ends. Every third one is marked.
    pub fn curve(&mut self, curve: CubicBez, pieces: usize, seam: Seam) {
        let length = curve.arclen(1e-9);
        for i in 1..pieces {
            let t = curve.inv_arclen(length * i as f64 / pieces as f64, 1e-9);
            let mark = if i % 3 == 0 { Mark::Curve } else { Mark::None };
            self.push(curve.eval(t), seam, mark, None);
        }
    }

    fn push(&mut self, at: Point, seam: Seam, mark: Mark, rule: Option<u32>) {
        self.vertices.push(Vertex { at, seam, mark, rule });
    }

    /// Numbers the graded vertices from `next` on.
    pub fn number(&mut self, next: &mut u32) {
        for rule in self.vertices.iter_mut().filter_map(|v| v.rule.as_mut()) {
            *rule = *next;
            *next += 1;
        }
    }

    /// Start and end of an edge.
    pub fn edge(&self, i: usize) -> (Point, Point) {
        let n = self.vertices.len();
        (self.vertices[i % n].at, self.vertices[(i + 1) % n].at)
    }

    /// Unit vector out of the piece, square to an edge.
    pub fn outward(&self, i: usize) -> Vec2 {
        let (a, b) = self.edge(i);
        let d = (b - a).normalize();
        Vec2::new(-d.y, d.x)
    }

    /// Edges of a seam, in the order of travel.
    pub fn edges_of(&self, seam: Seam) -> impl DoubleEndedIterator<Item = usize> {
        (0..self.vertices.len()).filter(move |&i| self.vertices[i].seam == seam)
    }

    /// Length of a seam in mm.
    pub fn length_of(&self, seam: Seam) -> f64 {
        self.edges_of(seam).map(|i| self.edge_length(i)).sum()
    }

    fn edge_length(&self, i: usize) -> f64 {
        let (a, b) = self.edge(i);
        a.distance(b)
    }

    /// The place a length in mm along a seam, from its start; past its end the end.
    pub fn along(&self, seam: Seam, length: f64) -> Place {
        let mut left = length;
        let mut last = Place { edge: 0, t: 0.0 };
        for edge in self.edges_of(seam) {
            let whole = self.edge_length(edge);
            // A vertex is met exactly, whatever the last digits of the sum: the same bytes on every machine.
            if (left - whole).abs() < ON_VERTEX {
                return Place { edge, t: 1.0 };
            }
            if left < whole {
                return Place { edge, t: left / whole };
            }
            left -= whole;
            last = Place { edge, t: 1.0 };
        }
        last
    }

    /// The place a length in mm along a seam, from its end.
    pub fn back_along(&self, seam: Seam, length: f64) -> Place {
        self.along(seam, self.length_of(seam) - length)
    }

    /// The point at a place.
    pub fn point(&self, place: Place) -> Point {
        let (a, b) = self.edge(place.edge);
        a.lerp(b, place.t)
    }

    /// The cut line: every edge shifted outwards by its own allowance, neighbours joined where they cross, so that every
    /// vertex of the sew line has its own on the cut line.
    pub fn cut_line(&self) -> Self {
        let n = self.vertices.len();
        let vertices = (0..n)
            .map(|i| {
                let before = (i + n - 1) % n;
                let (d0, d1) = (self.vertices[before].seam.allowance(), self.vertices[i].seam.allowance());
                let (n0, n1) = (self.outward(before), self.outward(i));
                Vertex { at: self.vertices[i].at + mitre(n0, d0, n1, d1), ..self.vertices[i] }
            })
            .collect();
        Self { vertices }
    }

    /// The point of the cut line `cut` square across from a place on this sew line; from a vertex, its own vertex there.
    pub fn across(&self, cut: &Self, place: Place) -> Point {
        let (a, b) = cut.edge(place.edge);
        if place.t >= 1.0 {
            return b;
        }
        let d = b - a;
        let t = ((self.point(place) - a).dot(d) / d.hypot2()).clamp(0.0, 1.0);
        a.lerp(b, t)
    }
}

/// The vector `v` with v·n0 = d0 and v·n1 = d1, from a vertex to its mitre.
fn mitre(n0: Vec2, d0: f64, n1: Vec2, d1: f64) -> Vec2 {
    let cross = n0.cross(n1);
    // Within a straight line the two normals are one and the same; seams of unlike allowance never meet in one.
    if cross.abs() < 1e-9 {
        return n0 * d0;
    }
    Vec2::new(d0 * n1.y - d1 * n0.y, d1 * n0.x - d0 * n1.x) / cross
}
