//! Rows of CSV.

use crate::job::diagnostic::escaped;
use crate::job::sheet::not_a_formula;

/// The rows of a report that is read by people, spreadsheets and programs. Every cell goes through here, so that no text from
/// a drawing or a table can steer a terminal or run as a formula where it is opened; numbers stay as they are.
pub(crate) struct Rows(csv::Writer<Vec<u8>>);

impl Rows {
    /// A report with these columns.
    pub fn headed<S: AsRef<str>>(columns: impl IntoIterator<Item = S>) -> Result<Self, csv::Error> {
        let mut rows = Rows(csv::Writer::from_writer(Vec::new()));
        rows.push(columns)?;
        Ok(rows)
    }

    /// Adds a row.
    pub fn push<S: AsRef<str>>(&mut self, cells: impl IntoIterator<Item = S>) -> Result<(), csv::Error> {
        self.0.write_record(cells.into_iter().map(|cell| clean(cell.as_ref())))
    }

    /// The whole as text.
    pub fn text(self) -> Result<String, csv::Error> {
        let bytes = self.0.into_inner().map_err(csv::IntoInnerError::into_error)?;
        Ok(String::from_utf8_lossy(&bytes).into_owned())
    }
}

fn clean(cell: &str) -> String {
    let number = cell.strip_prefix('-').unwrap_or(cell);
    if number.bytes().all(|b| b.is_ascii_digit() || b == b'.')
        && number.contains(|c: char| c.is_ascii_digit())
    {
        cell.to_owned()
    } else {
        not_a_formula(&escaped(cell))
    }
}
