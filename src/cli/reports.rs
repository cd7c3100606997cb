//! Report files: the extension of the file name decides the form.

use super::args::Format;
use super::{Failure, files};
use std::path::Path;

/// The form that the extension of a report file chooses.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Ending {
    /// A form that can be printed on the terminal as well.
    Printed(Format),
    /// The page with drawings.
    Page,
    /// The spreadsheet.
    Sheets,
}

/// The form of a report with this path.
pub fn ending(path: &Path) -> Result<Ending, Failure> {
    let ending = path.extension().map(|e| e.to_string_lossy().to_lowercase());
    match ending.as_deref() {
        Some("txt") => Ok(Ending::Printed(Format::Text)),
        Some("json") => Ok(Ending::Printed(Format::Json)),
        Some("csv") => Ok(Ending::Printed(Format::Csv)),
        Some("html") => Ok(Ending::Page),
        Some("xlsx") => Ok(Ending::Sheets),
        _ => {
            let shown = files::display(path);
            Err(format!("{shown}: a report ends in .txt, .json, .csv, .html or .xlsx").into())
        }
    }
}
