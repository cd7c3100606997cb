//! Alters the crotch seam of graded trouser patterns in DXF and proves that front and back still sew
//! together.
//!
//! Data flows one way, and the modules are its rooms:
//!
//! ```text
//! bytes ─► dxf_text ─► pattern ─► seam ─► alter ─► check ─► output + report
//! ```
//!
//! [`order`] walks one drawing with its size table through them, bytes to bytes; [`job`] reads what
//! people write; [`cli`] is the only place that touches files and the terminal. Everything past the
//! reader is in millimetres.

#[macro_use]
mod words;

pub mod alter;
pub mod batch;
pub mod check;
pub mod cli;
pub mod dxf_text;
pub mod finding;
pub mod grade;
pub mod job;
pub mod opened;
pub mod order;
pub mod output;
pub mod pattern;
pub mod plot;
pub mod report;
pub mod schema;
pub mod seam;
pub mod trousers;
pub mod units;
