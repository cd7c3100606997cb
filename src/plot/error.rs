//! Why a print cannot be made.

use crate::units::{Mm, outside};
use crate::words::{escaped, listed, perhaps};

/// Why a print cannot be made.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum PlotError {
    /// There is nothing to print.
    #[error("there are no pieces to print")]
    NoPieces,
    /// No piece has the size asked for.
    #[error(
        "the drawing has no pieces in size '{}'; {}its sizes are: {}. Give one of these with --size",
        escaped(.size),
        perhaps(.size, .known.iter().map(String::as_str)),
        listed(.known.iter().map(String::as_str))
    )]
    UnknownSize {
        /// The size asked for.
        size: String,
        /// The sizes there are.
        known: Vec<String>,
    },
    /// No piece of the size has the name asked for.
    #[error(
        "size {} has no piece '{}'; {}it has {}. Give one of these with --piece",
        escaped(.size),
        escaped(.piece),
        perhaps(.piece, .known.iter().map(String::as_str)),
        listed(.known.iter().map(String::as_str))
    )]
    UnknownPiece {
        /// The size.
        size: String,
        /// The name asked for.
        piece: String,
        /// The names there are.
        known: Vec<String>,
    },
    /// A piece is impossibly large, or has a coordinate that is not a number.
    #[error(
        "piece {}: it is larger than 10 m or has a coordinate that is not a number, so it cannot be printed at 1:1; check the drawing's unit",
        escaped(.piece)
    )]
    TooLarge {
        /// The piece's name.
        piece: String,
    },
    /// More pieces than a print can hold.
    #[error(
        "{found} pieces are more than the {most} that one print can hold; print one at a time with --piece, or check the drawing's 'Size:' texts"
    )]
    TooManyPieces {
        /// How many there are.
        found: usize,
        /// How many there may be.
        most: usize,
    },
    /// More pages than a print can hold.
    #[error(
        "the print would have {found} pages, more than the {most} that one can hold; print one piece at a time with --piece, or check the drawing's unit"
    )]
    TooManyPages {
        /// How many it would have.
        found: usize,
        /// How many it may have.
        most: usize,
    },
    /// More points than a print can hold.
    #[error(
        "the lines and marks of the pieces have {found} points, more than the {most} that one print can hold; print one piece at a time with --piece, or look for lines that are drawn many times"
    )]
    TooManyLines {
        /// How many there are.
        found: usize,
        /// How many there may be.
        most: usize,
    },
    /// The lines cross so many pages that the file would be too large.
    #[error(
        "the lines of the pieces cross so many pages that the print would be larger than {most} MB; print one piece at a time with --piece, or look for lines that are drawn many times"
    )]
    TooLong {
        /// The largest a print can be, in MB.
        most: usize,
    },
    /// A piece is wider than the roll.
    #[error(
        "piece {}: it needs a roll at least {least:.0} wide with its grain along the roll; give a wider --roll, or --paper",
        escaped(.piece)
    )]
    RollTooNarrow {
        /// The piece's name.
        piece: String,
        /// The width it needs.
        least: Mm,
    },
    /// The roll is too narrow or too wide.
    #[error("a roll {} wide cannot be used; give --roll a width from {}", outside(*width, &(*least..=*most), 0).0, outside(*width, &(*least..=*most), 0).1)]
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
