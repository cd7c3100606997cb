//! Reads what people write: lengths, the size table, the job file.
//!
//! This room takes text, and a path only to name it in messages; it reads no files. Every reader reports all that is wrong with a
//! text, each problem with its place ([`Problems`]), and never repairs or guesses. The unit of a number without one is settled
//! only once the drawing has been read; until then lengths are [`Length`](crate::units::Length)s.

pub mod allowance;
pub mod alter_options;
pub mod diagnostic;
pub mod fold;
pub mod job_file;
pub mod length;
mod number;
pub mod order_name;
pub mod orders;
pub mod share;
pub(crate) mod sheet;
pub mod size_table;
pub(crate) mod source;
pub mod template;
pub mod tolerance;
pub mod tolerance_table;
mod toml_text;
mod workbook;

pub use crate::trousers::{Allowances, LabelKey, LabelTexts, TurnedIn};
pub use crate::words::UnknownWord;
pub use alter_options::{Aim, AlterOptions, BlendTo, Deltas, Uneven};
pub use diagnostic::{Diagnostic, Problems};
pub use job_file::Job;
pub use orders::Order;
pub use share::Share;
pub use size_table::{SizeRow, SizeTable, Want};
pub use tolerance::{Degrees, Tolerances};
pub use tolerance_table::ToleranceTable;
