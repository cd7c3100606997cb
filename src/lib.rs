//! truerise
#![allow(clippy::missing_panics_doc)]
#[macro_use]
mod words;
pub mod alter;
pub mod check;
pub mod dxf_text;
pub mod finding;
pub mod job;
pub mod order;
pub mod output;
pub mod pattern;
pub mod report;
pub mod seam;
pub mod units;
