//! Report files: what each is written as, by its ending.

use super::args::Format;
use super::{Failure, files};
use std::path::Path;

/// What a report file's ending chooses.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Ending {
    /// What can be printed as well.
    Printed(Format),
    /// The page with drawings.
    Page,
    /// The spreadsheet.
    Sheets,
}

/// What a report of this path is written as.
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
