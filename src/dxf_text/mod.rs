//! The lossless text layer: a DXF file as the bytes it is.
//!
//! A file is read into *spans*, places in its bytes, and never into a model that is written out
//! again. An output is the input with chosen values replaced ([`splice`]); what is not understood
//! is copied because nobody touches it. Parsing into a document and saving that was tried with a
//! general library and rejected: handles, comments, unknown entities, extended data and number
//! forms do not survive it.
//!
//! Nothing here knows of pattern pieces.

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
