//! Reports: one model, and one renderer for each format.

pub mod check_text;
mod columns;
pub mod csv;
pub mod figure;
pub mod grade;
pub mod grid;
pub mod html;
pub mod json;
pub mod measuring;
pub mod model;
pub mod plot;
pub(crate) mod rows;
mod table;
pub mod text;

pub use model::{
    Advice, AdvisedSize, AdvisedWay, Asked, CheckReport, DrawingInfo, FollowedReport, MeasureReport,
    MeasuredSize, OutputInfo, Report, SizeReport, Status, Trued, Verdict,
};
