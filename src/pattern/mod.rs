//! Pattern pieces, as read from the blocks of a drawing.
//!
//! [`read`] turns the blocks of a scanned drawing into [`Piece`]s. From there on, all geometry is in millimetres in the block's
//! own axes. A piece keeps the places of its numbers in the file, so that [`crate::output`] can replace them. No other room looks
//! at the file.

mod block;
mod curve;
mod error;
mod fitted;
mod labels;
mod layers;
mod piece;
mod placing;
mod plain;
mod reader;
mod size_name;
mod stroke;
mod unit_text;

pub use error::EntityError;
pub use labels::Labels;
pub use layers::{LayerMap, LayerUse};
pub use piece::{Mark, MarkKind, Path, Piece, StrokePoint, Text};
pub use plain::PlainError;
pub use reader::{Pattern, ReadError, Reading, gather, read};
pub use size_name::SizeName;
pub use stroke::{ON_MIRROR, Place, Shape, Stroke, ends_at_mirror};

pub(crate) use labels::split as label_of;
pub(crate) use unit_text::of as unit_of_word;
