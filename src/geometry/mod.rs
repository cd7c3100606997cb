//! Lines in the plane, as points: how long they are and where they turn, what lies inside, beside or nearest, what crosses.
//!
//! Points are in mm, or in whatever unit the caller's are; nothing here knows of pattern pieces. An *open* line runs from its first
//! point to its last; a *closed* one, also called a ring, goes on from its last point to its first, which is not written twice.
//! Vectors and points are `kurbo`'s, exact intersections `geo`'s.

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

/// What the tests of this room draw with: whole millimetres away from the origin, so that nothing is right by chance.
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
