//! Tables of reports, as CSV and as sheets of a spreadsheet; both use the same list of columns.

use super::rows::Rows;
use crate::job::diagnostic::escaped;
use rust_xlsxwriter::{DocProperties, ExcelDateTime, Format, Workbook, XlsxError};

/// A table with a name and column headings.
#[derive(Clone, Debug, PartialEq)]
pub struct Grid {
    /// The name of its sheet.
    pub name: &'static str,
    /// The headings of its columns.
    pub heads: Vec<String>,
    /// Its rows, with a cell for each column.
    pub rows: Vec<Vec<String>>,
}

impl Grid {
    /// An empty table with these columns.
    pub fn new<S: Into<String>>(name: &'static str, heads: impl IntoIterator<Item = S>) -> Self {
        Grid { name, heads: heads.into_iter().map(Into::into).collect(), rows: Vec::new() }
    }

    /// The table as CSV.
    pub fn csv(&self) -> Result<String, csv::Error> {
        let mut rows = Rows::headed(&self.heads)?;
        for row in &self.rows {
            rows.push(row)?;
        }
        rows.text()
    }
}

/// The tables as a spreadsheet (`.xlsx`), one sheet for each. A cell of digits with a decimal point is a number; every other
/// cell is text, never a formula. Equal tables give equal bytes.
pub fn workbook(grids: &[Grid]) -> Result<Vec<u8>, XlsxError> {
    /// The greatest width of a column, in digits.
    const WIDEST: usize = 60;
    /// The number of rows for which a sheet has room (ECMA-376); a longer report is cut off and not continued on another
    /// sheet.
    const MOST: usize = 1_000_000;
    let (text, head) = (Format::new().set_num_format("@"), Format::new().set_bold().set_text_wrap());
    let mut book = Workbook::new();
    book.set_properties(&DocProperties::new().set_creation_datetime(&ExcelDateTime::from_ymd(2000, 1, 1)?));
    for grid in grids {
        let sheet = book.add_worksheet().set_name(grid.name)?;
        sheet.set_freeze_panes(1, 1)?;
        for (column, name) in (0u16..).zip(&grid.heads) {
            sheet.write_string_with_format(0, column, escaped(name), &head)?;
            let cells = grid.rows.iter().filter_map(|row| row.get(usize::from(column)));
            let widest = cells.map(|cell| cell.chars().count()).max().unwrap_or(0);
            let width = widest.max(name.chars().count().div_ceil(2)) + 2;
            sheet.set_column_width(column, width.min(WIDEST) as f64)?;
        }
        for (row, cells) in (1u32..).zip(grid.rows.iter().take(MOST)) {
            for (column, cell) in (0u16..).zip(cells) {
                match number(cell) {
                    Some(number) => sheet.write_number(row, column, number)?,
                    None => sheet.write_string_with_format(row, column, escaped(cell), &text)?,
                };
            }
        }
    }
    book.save_to_buffer()
}

/// The number in a cell that is written with digits and a decimal point; `04` and `1e5` are names of sizes.
fn number(cell: &str) -> Option<f64> {
    let digits = cell.strip_prefix(['-', '+']).unwrap_or(cell);
    let plain = digits.bytes().all(|b| b.is_ascii_digit() || b == b'.') && digits.contains('.');
    plain.then(|| cell.parse().ok()).flatten()
}
