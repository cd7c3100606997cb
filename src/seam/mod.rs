//! Seams: which stretch of a sew line is which seam, how that was found, and how long it is.

mod bib;
pub mod candidate;
mod cut;
pub mod dart;
mod exchanged;
mod find;
mod fly;
pub mod fold;
mod in_one;
pub mod leg;
mod measure;
mod mouth;
mod names;
pub mod one_piece;
mod one_reading;
mod panels;
pub mod shape;
mod side;
mod size;
mod sizes;
pub mod station;
mod vent;
mod yoke;
mod yokes;

pub use crate::trousers::{Pair, Part, SeamRole};
pub use find::{NoLeg, find, front_and_back, turned};
pub use fold::FoldBy;
pub use leg::{Derived, Found, How, Leg, RingOnLine, SewLine};
pub use measure::{LegMeasures, Measures, TurnedInAt, TurnedInMeasures};
pub use mouth::Mouth;
pub use panels::{Gusset, Panels};
pub use size::{LegPiece, Size};
pub use sizes::{doubtful_allowances, doubtful_unit, sizes};
pub use yoke::{Above, Yoke};
