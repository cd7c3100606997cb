//! truerise
#![allow(clippy::missing_panics_doc)]
pub mod alter;
pub mod dxf_text;
pub mod finding;
pub mod output;
pub mod pattern;
pub mod seam;
pub mod units;
