//! Lines in the plane, given as points: their lengths and corners, what lies inside, beside or nearest to them, and where they
//! cross.
//!
//! Coordinates are in mm, or in any other unit that the caller uses; nothing here knows about pattern pieces. An *open* line runs
//! from its first point to its last; a *closed* line, also called a ring, continues from its last point to its first, which is
//! not repeated. Vectors and points are those of `kurbo`, exact intersections those of `geo`.

pub mod corners;
pub mod crossing;
pub mod direction;
pub mod edge;
pub mod line;
pub mod offset;
pub mod ring;
mod run;
mod segments;
pub mod within;

pub use run::Run;
pub use segments::{Nearest, Segments};

/// Shapes for the tests of this room, with whole millimetres away from the origin, so that no result is right by chance.
#[cfg(test)]
mod by_hand {
    use kurbo::{Point, Vec2};

    pub const ORIGIN: Vec2 = Vec2::new(31.0, -17.0);

    pub fn points(all: &[(f64, f64)]) -> Vec<Point> {
        all.iter().map(|&(x, y)| Point::new(x, y) + ORIGIN).collect()
    }

    pub fn near(a: f64, b: f64) -> bool {
        (a - b).abs() < 1e-9
    }
}
