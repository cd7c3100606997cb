//! Batches: what is kept of an order so that it need not be done twice, the summary of all orders, and which orders a machine
//! takes. This module touches no file.

mod fingerprint;
mod outcome;
mod shard;
mod summary;

pub use fingerprint::{Fingerprint, Inputs};
pub use outcome::Outcome;
pub use shard::Shard;
pub use summary::{ListId, Summary, csv, index};

/// The file name of the altered drawing in an order's folder.
pub const DRAWING: &str = "drawing.dxf";
/// The file name of the report for programs in an order's folder.
pub const REPORT: &str = "report.json";
/// The file name of the report for people in an order's folder.
pub const PAGE: &str = "report.html";
/// The file name of the fingerprint in an order's folder.
pub const FINGERPRINT: &str = "fingerprint.json";
/// All results of an order, without its fingerprint.
pub const RESULTS: [&str; 3] = [DRAWING, REPORT, PAGE];
/// Every file in an order's folder. The fingerprint is last, because it is written last and removed last.
pub const FILES: [&str; 4] = [DRAWING, REPORT, PAGE, FINGERPRINT];
