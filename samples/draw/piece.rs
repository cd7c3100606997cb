//! A pattern piece with everything the standard marks on it, in the axes of the draft (mm).

use crate::outline::{Outline, Place, Seam};
use kurbo::{Point, Vec2};

/// A marked point and the number of its grade rule.
#[derive(Clone, Copy, Debug)]
pub struct Spot {
    pub at: Point,
    pub rule: u32,
}

/// A notch on the cut line.
#[derive(Clone, Copy, Debug)]
pub struct Notch {
    pub spot: Spot,
    /// Direction of the cut, into the piece.
    pub inward: Vec2,
}

/// One piece in one size.
#[derive(Clone, Debug)]
pub struct Piece {
    pub name: &'static str,
    pub size: f64,
    pub category: &'static str,
    pub material: &'static str,
    pub quantity: u32,
    pub annotation: &'static str,
    /// A remark that stands in the file as a comment.
    pub comment: &'static str,
    pub cut: Outline,
    pub sew: Outline,
    pub notches: Vec<Notch>,
    /// From its lower to its upper end.
    pub grain: [Spot; 2],
    /// The X axis of the grade rules.
    pub grade_reference: [Point; 2],
    /// Lines that are drawn, not cut.
    pub internal: Vec<Vec<Spot>>,
    pub drills: Vec<Spot>,
    /// Text for the cutter, and where it stands.
    pub label: (Point, String),
    next_rule: u32,
}

/// What is fixed for a piece in every size.
pub struct Title {
    pub name: &'static str,
    pub category: &'static str,
    pub material: &'static str,
    pub quantity: u32,
    pub annotation: &'static str,
    pub comment: &'static str,
    /// Rules of the piece are numbered from here on.
    pub first_rule: u32,
}

impl Piece {
    /// A piece around its sew line, with a grain line between two points.
    pub fn new(title: &Title, size: f64, mut sew: Outline, grain: [Point; 2]) -> Self {
        let mut cut = sew.cut_line();
        let mut next_rule = title.first_rule;
        cut.number(&mut next_rule);
        sew.number(&mut next_rule);
        let mut piece = Self {
            name: title.name,
            size,
            category: title.category,
            material: title.material,
            quantity: title.quantity,
            annotation: title.annotation,
            comment: title.comment,
            cut,
            sew,
            notches: Vec::new(),
            grain: grain.map(|at| Spot { at, rule: 0 }),
            grade_reference: [Point::ZERO, Point::new(0.0, 60.0)],
            internal: Vec::new(),
            drills: Vec::new(),
            label: (grain[0].lerp(grain[1], 0.5) + Vec2::new(-12.0, 0.0), String::new()),
            next_rule,
        };
        piece.grain = grain.map(|at| piece.spot(at));
        piece
    }

    fn spot(&mut self, at: Point) -> Spot {
        let rule = self.next_rule;
        self.next_rule += 1;
        Spot { at, rule }
    }

    /// Cuts a notch across from a place on the sew line.
    pub fn notch(&mut self, place: Place) {
        let at = self.sew.across(&self.cut, place);
        let inward = -self.sew.outward(place.edge);
        let spot = self.spot(at);
        self.notches.push(Notch { spot, inward });
    }

    /// Cuts notches along a seam at these distances from its start.
    pub fn notches_from_start(&mut self, seam: Seam, distances: &[f64]) {
        for &d in distances {
            self.notch(self.sew.along(seam, d));
        }
    }

    /// Draws a line that is not cut.
    pub fn draw(&mut self, points: &[Point]) {
        let line = points.iter().map(|&p| self.spot(p)).collect();
        self.internal.push(line);
    }

    /// Marks a drill hole.
    pub fn drill(&mut self, at: Point) {
        let spot = self.spot(at);
        self.drills.push(spot);
    }

    /// Moves the whole piece, to lie beside the others.
    pub fn shift(&mut self, by: Vec2) {
        for line in [&mut self.cut, &mut self.sew] {
            for v in &mut line.vertices {
                v.at += by;
            }
        }
        let spots = (self.notches.iter_mut().map(|n| &mut n.spot))
            .chain(self.grain.iter_mut())
            .chain(self.internal.iter_mut().flatten())
            .chain(self.drills.iter_mut());
        for spot in spots {
            spot.at += by;
        }
        for p in &mut self.grade_reference {
            *p += by;
        }
        self.label.0 += by;
    }

    /// Every point that has a grade rule.
    pub fn graded(&self) -> Vec<Spot> {
        let outlines = self.cut.vertices.iter().chain(&self.sew.vertices);
        outlines
            .filter_map(|v| v.rule.map(|rule| Spot { at: v.at, rule }))
            .chain(self.notches.iter().map(|n| n.spot))
            .chain(self.grain)
            .chain(self.internal.iter().flatten().copied())
            .chain(self.drills.iter().copied())
            .collect()
    }
}
