//! What can be wrong with the text of a DXF file.

use thiserror::Error;

/// Why a file cannot be read. If the error is at one place, the variant holds its line, counted from 1.
#[derive(Clone, Debug, PartialEq, Eq, Error)]
#[non_exhaustive]
pub enum DxfError {
    /// A line that must hold a group code holds something else.
    #[error(
        "line {line}: '{text}' is not a group code; the file is damaged here or is not DXF. Export it again as ASCII DXF"
    )]
    GroupCode {
        /// Where.
        line: usize,
        /// What stands there.
        text: String,
    },
    /// A number cannot be read.
    #[error(
        "line {line}: '{text}' is not a number for group code {code}; write it with a decimal point and digits only"
    )]
    Number {
        /// Where.
        line: usize,
        /// The group code it belongs to.
        code: i16,
        /// What stands there.
        text: String,
    },
    /// A coordinate that no pattern piece can have.
    #[error(
        "line {line}: the coordinate {text} is out of reach (more than 1,000,000); check the export's unit and origin"
    )]
    TooFar {
        /// Where.
        line: usize,
        /// What stands there.
        text: String,
    },
    /// The file ends too early.
    #[error(
        "line {line}: the file ends before {missing}; it was cut short. Get the whole file and try again"
    )]
    Truncated {
        /// The last line.
        line: usize,
        /// What should have come.
        missing: &'static str,
    },
    /// A keyword of the file's structure stands in the wrong place.
    #[error("line {line}: {what}; the file is damaged here. Export it again")]
    Structure {
        /// Where.
        line: usize,
        /// What is wrong.
        what: String,
    },
    /// The file is not DXF at all.
    #[error("line 1: this is not a DXF drawing ({why}); give an ASCII or binary DXF file")]
    Foreign {
        /// How this was recognised.
        why: &'static str,
    },
    /// The file is too large for byte positions of 32 bits.
    #[error("the file is larger than 4 GB; split the nest into several files")]
    TooLarge,
    /// A binary file cannot be read.
    #[error("byte {offset}: the binary drawing {why}. Export it again, or as ASCII DXF")]
    Binary {
        /// Where.
        offset: usize,
        /// What is wrong.
        why: &'static str,
    },
}
