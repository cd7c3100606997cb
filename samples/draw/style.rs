//! How a drawing is written: what varies between the files people exchange without the pieces being any different.

use kurbo::{Affine, Point, Vec2};

/// The unit the drawing counts in.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Unit {
    Millimetres,
    Inches,
}

/// Which lines of a piece are drawn.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Lines {
    /// Cut line and sew line.
    Both,
    /// The cut line; allowances are told apart from the drawing.
    Cut,
    /// The seams, each an open line on a layer of its own.
    Seams,
}

/// A manner of writing a nest. Add a field when a dialect differs in one more respect.
#[derive(Clone, Copy, Debug)]
#[allow(clippy::struct_excessive_bools, reason = "each is a respect of its own in which dialects differ")]
pub struct Style {
    pub unit: Unit,
    pub lines: Lines,
    /// Angle of the grain, hem to waist, to the drawing's X axis, in degrees.
    pub turn: f64,
    /// Drawn as seen from the other side.
    pub mirrored: bool,
    /// Whether the grain line runs from hem to waist.
    pub grain_up: bool,
    pub line_end: &'static str,
    /// Whether outlines are closed by their flag; else by repeating the first vertex.
    pub closed_by_flag: bool,
    /// Whether grade rule numbers stand at the graded points.
    pub rules: bool,
    /// Whether there are a HEADER and TABLES.
    pub tables: bool,
    /// Whether there is anything that readers may skip: comments, unknown entities, extended data.
    pub extras: bool,
}

impl Style {
    /// The usual form: millimetres, grain along X.
    pub const USUAL: Self = Self {
        unit: Unit::Millimetres,
        lines: Lines::Both,
        turn: 0.0,
        mirrored: false,
        grain_up: true,
        line_end: "\r\n",
        closed_by_flag: true,
        rules: true,
        tables: true,
        extras: true,
    };

    /// As little as will do, in inches, lying askew and face down, grain arrow towards the hem.
    pub const PLAIN_INCH: Self = Self {
        unit: Unit::Inches,
        lines: Lines::Both,
        turn: 17.0,
        mirrored: true,
        grain_up: false,
        line_end: "\n",
        closed_by_flag: false,
        rules: false,
        tables: false,
        extras: false,
    };

    /// Cut lines only.
    pub const CUT_ONLY: Self =
        Self { lines: Lines::Cut, rules: false, tables: false, extras: false, ..Self::USUAL };

    /// Seams on layers of their own.
    pub const SEAM_LAYERS: Self = Self { lines: Lines::Seams, line_end: "\n", ..Self::CUT_ONLY };

    /// From the draft (mm, grain along Y) to the drawing.
    pub fn place(&self) -> Affine {
        let flip = if self.mirrored { -1.0 } else { 1.0 };
        Affine::scale(self.length(1.0))
            * Affine::rotate((self.turn - 90.0).to_radians())
            * Affine::scale_non_uniform(flip, 1.0)
    }

    /// A length in mm in the drawing's unit.
    pub fn length(&self, mm: f64) -> f64 {
        match self.unit {
            Unit::Millimetres => mm,
            Unit::Inches => mm / 25.4,
        }
    }

    /// A point of the draft in the drawing, as it is written: to four decimals.
    pub fn point(&self, p: Point) -> Point {
        let q = self.place() * p;
        Point::new(round(q.x), round(q.y))
    }

    /// Direction of a vector of the draft in the drawing, degrees from 0 to 360.
    pub fn angle(&self, v: Vec2) -> f64 {
        let o = self.place() * Point::ZERO;
        let d = self.place() * v.to_point() - o;
        d.atan2().to_degrees().rem_euclid(360.0)
    }
}

fn round(v: f64) -> f64 {
    (v * 1e4).round() / 1e4
}
