//! Seams: which stretch of a sew line is which seam, how that was found, and how long it is.

mod find;
pub mod leg;
pub mod ring;
pub mod role;
pub mod shape;

pub use find::{NoLeg, SeamWords, find};
pub use leg::{Found, How, Leg, SewLine};
pub use role::SeamRole;
