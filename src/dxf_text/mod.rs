//! The lossless text layer: a DXF file is kept as its original bytes.
//!
//! A file is read into *spans*, which are places in its bytes, and never into a model that is written out again. An output is the
//! input with chosen values replaced ([`splice`]); anything that is not understood is copied unchanged. Parsing into a document
//! and saving it was tried with a general library and rejected, because handles, comments, unknown entities, extended data and
//! the forms of numbers do not survive it.
//!
//! Nothing here knows about pattern pieces.

mod binary;
mod drawing;
mod encoding;
mod entity;
mod error;
mod mtext;
pub mod number;
mod pairs;
pub mod splice;

pub use binary::{is_binary, to_text};
pub use drawing::{Block, Drawing, Insert, Part};
pub use entity::{Entities, Entity};
pub use error::DxfError;
pub use pairs::{Pair, Pairs, Span};
