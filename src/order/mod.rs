//! An order: one drawing with its size table, from bytes to bytes and a report. Reads and writes no
//! file.

mod alter;
mod grade;
mod measure;
mod plan;
mod size;

pub use alter::{Altered, UnknownSize, advise, alter, unknown, worked_out};
pub use grade::{Graded, accept, derive, grade};
pub use measure::measure;

use crate::dxf_text::{self, Drawing};
use crate::finding::FindingId;
use crate::job::{Aim, BlendTo, Job, Uneven};
use crate::pattern::{self, Pattern, ReadError, Reading, SizeName};
use crate::report::DrawingInfo;
use crate::units::{Mm, Unit};
use sha2::{Digest, Sha256};
use std::borrow::Cow;

/// How an alteration is made: the job file's word where the command line has none.
#[derive(Clone, Debug)]
pub struct Settings {
    /// What the slide is to meet.
    pub aim: Aim,
    /// What is done with uneven shares.
    pub uneven: Uneven,
    /// Where the inseam has come back.
    pub blend_to: BlendTo,
    /// How far the inseams may be off from what they differed by.
    pub inseam: Mm,
    /// Findings that shall not stop the drawing from being written.
    pub accept: Vec<FindingId>,
    /// Only these sizes; all where empty.
    pub only: Vec<SizeName>,
    /// Whether every altered piece is read a second time.
    pub reread: bool,
    /// Whether the lines of every size are kept for drawing them.
    pub figures: bool,
}

impl Settings {
    /// The settings a job file gives, its defaults filled in.
    #[must_use]
    pub fn of(job: &Job) -> Self {
        Settings {
            aim: job.alter.aim.unwrap_or(Aim::Length),
            uneven: job.alter.uneven.unwrap_or(Uneven::Keep),
            blend_to: job.alter.blend_to.unwrap_or(BlendTo::Knee),
            inseam: job.tolerance.inseam,
            accept: Vec::new(),
            only: Vec::new(),
            reread: true,
            figures: false,
        }
    }

    /// What each setting is called, and its value, for a report that can be done again.
    #[must_use]
    pub fn described(&self) -> Vec<(&'static str, String)> {
        let list = |words: Vec<String>, none: &str| {
            if words.is_empty() { none.to_owned() } else { words.join(", ") }
        };
        vec![
            ("Aim", self.aim.to_string()),
            ("Uneven shares", self.uneven.to_string()),
            ("Inseam comes back at", self.blend_to.to_string()),
            ("Inseam tolerance", self.inseam.to_string()),
            ("Sizes", list(self.only.iter().map(SizeName::to_string).collect(), "all of the table")),
            ("Accepted findings", list(self.accept.iter().map(FindingId::to_string).collect(), "none")),
            ("Second reading", if self.reread { "yes" } else { "no" }.to_owned()),
        ]
    }

    /// Whether a size is asked for.
    #[must_use]
    pub fn wants(&self, size: &SizeName) -> bool {
        self.only.is_empty() || self.only.contains(size)
    }
}

/// A drawing that has been read.
#[derive(Debug)]
pub struct Opened<'a> {
    /// Its path, for messages and reports.
    pub path: &'a str,
    /// The bytes that were given.
    pub given: &'a [u8],
    /// Its structure.
    pub drawing: Drawing<'a>,
    /// Its pieces.
    pub pattern: Pattern,
}

/// The text of a drawing: the bytes as they are, or a binary drawing turned into text.
pub fn text(bytes: &[u8]) -> Result<Cow<'_, [u8]>, dxf_text::DxfError> {
    if dxf_text::is_binary(bytes) {
        dxf_text::to_text(bytes).map(Cow::Owned)
    } else {
        Ok(Cow::Borrowed(bytes))
    }
}

/// Reads a drawing's pieces. `given` are the bytes of the file itself, for the report.
pub fn open<'a>(
    path: &'a str,
    given: &'a [u8],
    drawing: Drawing<'a>,
    reading: &Reading,
) -> Result<Opened<'a>, ReadError> {
    let pattern = pattern::read(&drawing, reading)?;
    Ok(Opened { path, given, drawing, pattern })
}

impl Opened<'_> {
    /// What a report says of the drawing.
    #[must_use]
    pub fn info(&self) -> DrawingInfo {
        DrawingInfo {
            path: self.path.to_owned(),
            sha256: sha256(self.given),
            unit: self.pattern.unit,
            style: self.pattern.style.clone(),
        }
    }

    /// The unit of the drawing's numbers.
    #[must_use]
    pub fn unit(&self) -> Unit {
        self.pattern.unit
    }
}

/// The SHA-256 of some bytes in hexadecimal.
#[must_use]
pub fn sha256(bytes: &[u8]) -> String {
    sha256_of(std::iter::once(bytes))
}

/// The SHA-256, in hexadecimal, of bytes that come in stretches.
#[must_use]
pub fn sha256_of<'b>(chunks: impl Iterator<Item = &'b [u8]>) -> String {
    use std::fmt::Write;
    let mut hash = Sha256::new();
    chunks.for_each(|chunk| hash.update(chunk));
    hash.finalize().iter().fold(String::with_capacity(64), |mut hex, byte| {
        // Writing to a String cannot fail.
        let _ = write!(hex, "{byte:02x}");
        hex
    })
}
