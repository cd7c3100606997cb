//! Why a print cannot be made.

use crate::units::Mm;

/// Why a print cannot be made.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum PlotError {
    /// There is nothing to print.
    #[error("there are no pieces to print")]
    NoPieces,
    /// No piece has the size.
    #[error(
        "the drawing has no pieces in size '{size}'; its sizes are: {known}. Give one of these with --size"
    )]
    UnknownSize {
        /// The size asked for.
        size: String,
        /// The sizes there are, with commas.
        known: String,
    },
    /// No piece of the size has the name.
    #[error("size {size} has no piece '{piece}'; it has {known}. Give one of these with --piece")]
    UnknownPiece {
        /// The size.
        size: String,
        /// The name asked for.
        piece: String,
        /// The names there are, with commas.
        known: String,
    },
    /// A piece cannot be that large, or has a coordinate that is not a number.
    #[error(
        "piece {piece}: it is larger than 10 m or has a coordinate that is not a number, so it cannot be printed at 1:1; check the drawing's unit"
    )]
    TooLarge {
        /// The piece's name.
        piece: String,
    },
    /// A piece is wider than the roll.
    #[error(
        "piece {piece}: it needs a roll at least {least:.0} wide with its grain along the roll; give a wider --roll, or --paper"
    )]
    RollTooNarrow {
        /// The piece's name.
        piece: String,
        /// The width it needs.
        least: Mm,
    },
    /// The roll cannot be that wide.
    #[error("a roll {width:.0} wide cannot be used; give --roll a width from {least:.0} to {most:.0}")]
    RollWidth {
        /// The width given.
        width: Mm,
        /// The least.
        least: Mm,
        /// The most.
        most: Mm,
    },
    /// The font cannot be used.
    #[error("the font cannot be used: {why}; give another with --font")]
    Font {
        /// Why not.
        why: String,
    },
}
