//! A drawing that has been read: its bytes, their structure, its pieces.

use crate::dxf_text::{self, Drawing};
use crate::history;
use crate::pattern::{self, Pattern, ReadError, Reading};
use crate::report::DrawingInfo;
use crate::units::Unit;
use sha2::{Digest, Sha256};
use std::borrow::Cow;

/// A drawing that has been read.
#[derive(Debug)]
pub struct Opened<'a> {
    /// Its path, for messages and reports.
    pub path: &'a str,
    /// The bytes of the file as given.
    pub given: &'a [u8],
    /// Its structure.
    pub drawing: Drawing<'a>,
    /// Its pieces.
    pub pattern: Pattern,
    /// How it was read.
    pub reading: Reading,
    /// Its remarks about earlier alterations.
    pub said: Vec<String>,
}

/// The text of a drawing: the bytes as they are, or a binary drawing turned into text.
pub fn text(bytes: &[u8]) -> Result<Cow<'_, [u8]>, dxf_text::DxfError> {
    if dxf_text::is_binary(bytes) {
        dxf_text::to_text(bytes).map(Cow::Owned)
    } else {
        Ok(Cow::Borrowed(bytes))
    }
}

/// Reads a drawing's pieces. `given` are the bytes of the file itself, which the report identifies by their hash.
pub fn open<'a>(
    path: &'a str,
    given: &'a [u8],
    mut drawing: Drawing<'a>,
    reading: &Reading,
) -> Result<Opened<'a>, ReadError> {
    let pattern = match pattern::read(&drawing, reading) {
        Err(ReadError::NoPieces) => {
            let noticed = pattern::gather(&mut drawing, reading)?;
            let mut pattern = pattern::read(&drawing, reading)?;
            pattern.findings.extend(noticed);
            pattern
        }
        read => read?,
    };
    let said = history::lines(drawing.bytes);
    Ok(Opened { path, given, drawing, pattern, reading: reading.clone(), said })
}

impl Opened<'_> {
    /// The description of the drawing for a report.
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

    /// The unit of numbers without a unit in the files that people write for this drawing.
    #[must_use]
    pub fn plain(&self) -> Unit {
        self.reading.plain(self.pattern.unit)
    }
}

/// The SHA-256 of some bytes in hexadecimal.
#[must_use]
pub fn sha256(bytes: &[u8]) -> String {
    sha256_of(std::iter::once(bytes))
}

/// The SHA-256, in hexadecimal, of bytes given in several chunks.
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
