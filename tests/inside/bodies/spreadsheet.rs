//! Spreadsheets: a file as it is, or its parts as texts, which are packed here. What is packed has a checksum, so that changes to the
//! file itself are refused before any of it is read.

use super::{sized, told_within};
use crate::job::{Problems, SizeTable, ToleranceTable, orders};
use crate::units::Unit;
use std::io::{Cursor, Write};
use zip::write::{SimpleFileOptions, ZipWriter};

/// What begins a part, before its name.
const PART: &str = "===== ";

/// More rows and columns than a sheet has; addresses of seven digits and three letters are read.
const ROWS: usize = 9_999_999;
const COLUMNS: usize = 26 + 26 * 26 + 26 * 26 * 26;

/// Reads it as a size table, an order list and a table of tolerances.
pub fn spreadsheet(bytes: &[u8]) {
    filled_in(bytes);
}

/// As [`spreadsheet`]; whether it was one of them.
pub fn filled_in(bytes: &[u8]) -> bool {
    let packed = if bytes.starts_with(PART.as_bytes()) { packed(bytes) } else { bytes.to_vec() };
    // The ending says what a file is that does not begin like a spreadsheet.
    ["table.xlsx", "table.ods"].into_iter().any(|path| as_each(&packed, path))
}

fn as_each(bytes: &[u8], path: &str) -> bool {
    let table = SizeTable::read(bytes, path);
    if let Ok(table) = &table {
        sized(table);
    }
    let list = orders::read(bytes, path);
    if let Ok(list) = &list {
        assert!(!list.is_empty() && list.windows(2).all(|w| w[0].name < w[1].name), "{list:?}");
        let wrong = list.iter().filter_map(|order| order.wrong.as_ref());
        wrong.for_each(|why| assert!(!why.contains(char::is_control), "{why:?}"));
    }
    let tolerances = ToleranceTable::read(bytes, path, Unit::Mm);
    // Twice the same.
    assert_eq!(SizeTable::read(bytes, path), table);
    let read = [told(table), told(list), told(tolerances)];
    read.contains(&true)
}

fn told<T>(read: Result<T, Problems>) -> bool {
    read.map_err(|problems| told_within(&problems, ROWS, COLUMNS)).is_ok()
}

/// The parts, each behind a line with its name, as the file that they are.
fn packed(bytes: &[u8]) -> Vec<u8> {
    let text = String::from_utf8_lossy(bytes);
    let mut file = ZipWriter::new(Cursor::new(Vec::new()));
    for part in text[PART.len()..].split(&format!("\n{PART}")) {
        let (name, xml) = part.split_once('\n').unwrap_or((part, ""));
        // A name that cannot be packed, or is there already.
        if file.start_file(name, SimpleFileOptions::default()).is_ok() {
            file.write_all(xml.as_bytes()).unwrap_or_else(|e| panic!("{e}"));
        }
    }
    file.finish().unwrap_or_else(|e| panic!("{e}")).into_inner()
}
