//! What can be wrong with the entities of a drawing whose text is sound.

use crate::dxf_text::DxfError;

/// Why an entity cannot be read as a line of a piece.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[non_exhaustive]
pub enum EntityError {
    /// The text of the file is wrong.
    #[error(transparent)]
    Text(#[from] DxfError),
    /// A line lies in a plane that is tilted against the drawing's plane.
    #[error(
        "line {line}: the {kind} is drawn in a tilted plane (group codes 210 to 230 are not 0, 0, 1); flatten the drawing and export it again"
    )]
    Plane {
        /// Where.
        line: usize,
        /// The kind of entity.
        kind: String,
    },
    /// The course of a curve is not defined.
    #[error("line {line}: {what}; export curves with control points, or as polylines")]
    Curve {
        /// Where.
        line: usize,
        /// What is wrong.
        what: &'static str,
    },
    /// So many lines end at nearly the same point that they cannot be joined.
    #[error(
        "line {line}: thousands of lines of this block end in nearly one point, so that they cannot be joined; look for lines that are drawn many times, or give a smaller gap under [tolerance] in the job file"
    )]
    Crowded {
        /// Where the block begins.
        line: usize,
    },
    /// The curves need more points than those of a drawing of this size can.
    #[error(
        "the arcs, ellipses and splines of the drawing are too many and too wide to be pattern pieces; check their radii and the export's unit, or export them as polylines"
    )]
    TooManyCurves,
}
