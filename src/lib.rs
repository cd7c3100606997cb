//! truerise
#![allow(clippy::missing_panics_doc)]
#[macro_use]
mod words;
pub mod alter;
pub mod dxf_text;
pub mod finding;
pub mod job;
pub mod output;
pub mod pattern;
pub mod seam;
pub mod units;
