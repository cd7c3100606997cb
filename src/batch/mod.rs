//! Batches: what is kept of an order so that it need not be done twice, what is said of all orders,
//! and which of them a machine takes. Touches no file.

mod fingerprint;
mod outcome;
mod shard;
mod summary;

pub use fingerprint::{Fingerprint, Inputs};
pub use outcome::Outcome;
pub use shard::Shard;
pub use summary::{ListId, Summary, csv, index};

/// The altered drawing within an order's folder.
pub const DRAWING: &str = "drawing.dxf";
/// The report for programs within an order's folder.
pub const REPORT: &str = "report.json";
/// The report for people within an order's folder.
pub const PAGE: &str = "report.html";
/// The fingerprint within an order's folder.
pub const FINGERPRINT: &str = "fingerprint.json";
/// What an order gives, without its fingerprint.
pub const RESULTS: [&str; 3] = [DRAWING, REPORT, PAGE];
/// Everything in an order's folder; the fingerprint is written last and removed last.
pub const FILES: [&str; 4] = [DRAWING, REPORT, PAGE, FINGERPRINT];
