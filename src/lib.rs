//! truerise
#![allow(clippy::missing_panics_doc)]
pub mod dxf_text;
pub mod finding;
pub mod pattern;
pub mod seam;
pub mod units;
