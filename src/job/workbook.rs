//! Reads spreadsheets: finds the one sheet that holds the table, and gives its cells with their addresses.
//!
//! The value of a formula cell is the result stored when the sheet was last saved. The cells are laid out as lines of text, so
//! that a problem in a cell is shown in the same way as in any other table; only its place is given as an address, such as
//! `Sizes!B3`.

use super::diagnostic::{Diagnostic, Problems, escaped, quoted};
use calamine::{Data, DataRef, Ods, OdsError, Reader, Xlsx, XlsxError};
use quick_xml::events::Event;
use std::io::{Cursor, Read};
use std::ops::Range;
use std::path::Path;

/// The largest size in bytes that a spreadsheet may have when unpacked. A table of sizes or orders has some kB; a packed file can
/// grow to a thousand times its size on disk.
const MOST_UNPACKED: u64 = 64 << 20;
/// The largest number of cells. It includes empty cells between filled ones, because the `.ods` reader stores those as well.
const MOST_CELLS: u64 = 2_000_000;
/// The separator between two cells when a row is shown.
const BETWEEN: &str = " | ";

/// The filled cells of a sheet, row by row.
pub(super) struct Workbook {
    /// The rows as lines of a text.
    pub text: String,
    /// The cells in the order of the text.
    pub cells: Vec<SheetCell>,
    sheet: String,
}

/// One filled cell.
pub(super) struct SheetCell {
    /// Its row, from 0.
    pub row: u32,
    /// Its column, from 0.
    pub column: u32,
    /// The range of its bytes in the text.
    pub span: Range<usize>,
    /// If its value cannot be used in a table: the message and the remedy.
    pub odd: Option<(String, &'static str)>,
}

/// A cell as it comes from the spreadsheet library.
struct Raw {
    row: u32,
    column: u32,
    value: Value,
}

enum Value {
    Text(String),
    Odd(Odd),
}

/// A value that cannot stand in a table, such as a date or a formula without a stored result.
struct Odd {
    shown: String,
    message: String,
    help: &'static str,
}

impl Workbook {
    /// Whether the bytes begin like a spreadsheet, or the path ends like that of one.
    pub fn is(bytes: &[u8], path: &str) -> bool {
        bytes.starts_with(b"PK\x03\x04") || bytes.starts_with(&OLD) || is_ods(path) || ends(path, "xlsx")
    }

    /// Reads the only sheet that has a cell called `first` in its first filled row; if there is none, the first sheet that is not
    /// empty. Several such sheets are an error.
    pub fn read(bytes: &[u8], path: &str, first: &str) -> Result<Workbook, Problems> {
        let refused = |message: &str, help: &str| Problems::from(Diagnostic::new(path, message).help(help));
        if bytes.starts_with(&OLD) {
            let message = "the file is an old or a locked spreadsheet, which cannot be read";
            return Err(refused(message, "save it as .xlsx or .ods, without a password, or as CSV"));
        }
        let ods = unpacks(bytes).map_err(|message| {
            refused(&message, "take the table into a file of its own, or save it as CSV")
        })?;
        let sheets = if ods { of_ods(bytes) } else { of_xlsx(bytes) };
        let sheets = sheets.map_err(|e| {
            refused(
                &format!("the spreadsheet cannot be read: {}", escaped(&e)),
                "open it and save it again, or save it as CSV",
            )
        })?;
        let filled: Vec<(String, Vec<Raw>)> =
            sheets.into_iter().filter(|(_, cells)| !cells.is_empty()).collect();
        let headed = |cells: &[Raw]| {
            let top = cells.first().map(|cell| cell.row);
            let head = cells.iter().take_while(|cell| Some(cell.row) == top);
            head.into_iter().any(
                |cell| matches!(&cell.value, Value::Text(text) if text.trim().eq_ignore_ascii_case(first)),
            )
        };
        let named: Vec<&(String, Vec<Raw>)> = filled.iter().filter(|(_, cells)| headed(cells)).collect();
        match named.as_slice() {
            [one] => Ok(Workbook::of(one)),
            [] => Ok(filled.first().map_or_else(|| Workbook::of(&(String::new(), Vec::new())), Workbook::of)),
            several => {
                let names: Vec<String> = several.iter().map(|(name, _)| quoted(name)).collect();
                let message = format!("several sheets have a column {first}: {}", names.join(", "));
                Err(refused(&message, "leave one of them in the file, so that it is known which counts"))
            }
        }
    }

    fn of((sheet, raw): &(String, Vec<Raw>)) -> Workbook {
        let mut book = Workbook { text: String::new(), cells: Vec::new(), sheet: sheet.clone() };
        for Raw { row, column, value } in raw {
            if let Some(before) = book.cells.last() {
                book.text.push_str(if before.row == *row { BETWEEN } else { "\n" });
            }
            let start = book.text.len();
            let (text, odd) = match value {
                Value::Text(text) => (text.as_str(), None),
                Value::Odd(odd) => (odd.shown.as_str(), Some((odd.message.clone(), odd.help))),
            };
            // A line break within a cell must not become a line break of the text.
            book.text.extend(text.trim().chars().map(|c| if matches!(c, '\n' | '\r') { ' ' } else { c }));
            book.cells.push(SheetCell { row: *row, column: *column, span: start..book.text.len(), odd });
        }
        book
    }

    /// The row and column (counted from 1) and the address of the cell at that byte of the text, or of the last cell before it.
    pub fn place(&self, byte: usize) -> (usize, usize, String) {
        let at = self.cells.partition_point(|cell| cell.span.start <= byte).saturating_sub(1);
        let (row, column) = self.cells.get(at).map_or((0, 0), |cell| (cell.row, cell.column));
        (row as usize + 1, column as usize + 1, format!("{}!{}{}", self.sheet, letters(column), row + 1))
    }
}

/// The first bytes of spreadsheets in the older binary format and of encrypted ones (Microsoft's compound file format,
/// from memory).
const OLD: [u8; 8] = [0xD0, 0xCF, 0x11, 0xE0, 0xA1, 0xB1, 0x1A, 0xE1];

fn is_ods(path: &str) -> bool {
    ends(path, "ods")
}

fn ends(path: &str, with: &str) -> bool {
    Path::new(path).extension().is_some_and(|e| e.eq_ignore_ascii_case(with))
}

/// The letters of a column: A to Z, then AA and so on.
fn letters(column: u32) -> String {
    let (mut left, mut name) = (column + 1, Vec::new());
    while left > 0 {
        left -= 1;
        name.push(char::from(b'A' + u8::try_from(left % 26).unwrap_or_default()));
        left /= 26;
    }
    name.iter().rev().collect()
}

/// Unpacks every part once to check that the whole stays within the limits. Returns whether the file is laid out as an `.ods`
/// file.
fn unpacks(bytes: &[u8]) -> Result<bool, String> {
    let broken = |e: &dyn std::fmt::Display| format!("the spreadsheet cannot be unpacked: {e}");
    let mut packed = zip::ZipArchive::new(Cursor::new(bytes)).map_err(|e| broken(&e))?;
    let mut left = MOST_UNPACKED;
    let mut ods = false;
    for at in 0..packed.len() {
        let part = packed.by_index(at).map_err(|e| broken(&e))?;
        let name = part.name().map(std::borrow::Cow::into_owned).unwrap_or_default();
        let (content, sheet) = (name == "content.xml", name.starts_with("xl/worksheets/"));
        ods |= content;
        let mut xml = Vec::new();
        let mut part = part.take(left + 1);
        let read = if content || sheet {
            part.read_to_end(&mut xml).map(|n| n as u64)
        } else {
            std::io::copy(&mut part, &mut std::io::sink())
        };
        let read = read.map_err(|e| broken(&e))?;
        left = left
            .checked_sub(read)
            .ok_or_else(|| format!("the spreadsheet is larger than {} MB unpacked", MOST_UNPACKED >> 20))?;
        if sheet && !addresses_are_sound(&xml) {
            return Err("the spreadsheet has a cell outside of what a sheet can hold".to_owned());
        }
        if content && !is_whole(&xml) {
            return Err("the spreadsheet is damaged: its sheets are not there to their ends".to_owned());
        }
        if content && repeated(&xml) > MOST_CELLS {
            return Err(format!(
                "the spreadsheet has more than {MOST_CELLS} cells, or texts as long as so many"
            ));
        }
    }
    Ok(ods)
}

/// Whether every address in an `.xlsx` sheet is no longer than a real sheet needs, and no range runs backwards. The spreadsheet
/// library's own arithmetic overflows on such addresses.
fn addresses_are_sound(xml: &[u8]) -> bool {
    let mut left = xml;
    while let Some(at) = memchr::memchr(b'<', left) {
        let tag = first_tag(&left[at..]);
        left = &left[at + tag.len()..];
        let address = ["r", "ref"].iter().find_map(|name| attribute(tag, name));
        if has_address(tag) && !address.is_none_or(is_sound) {
            return false;
        }
    }
    true
}

/// Whether the spreadsheet library reads an address from this tag.
fn has_address(tag: &[u8]) -> bool {
    let name =
        tag[1.min(tag.len())..].split(|b| b.is_ascii_whitespace() || *b == b'/').next().unwrap_or_default();
    let local = name.rsplit(|&b| b == b':').next().unwrap_or_default();
    matches!(local, b"c" | b"row" | b"dimension" | b"f")
}

/// The value of an attribute.
fn attribute<'t>(tag: &'t [u8], name: &str) -> Option<&'t [u8]> {
    let at = memchr::memmem::find_iter(tag, name.as_bytes()).find(|&at| {
        let begins = at > 0 && tag[at - 1].is_ascii_whitespace();
        begins && tag[at + name.len()..].trim_ascii_start().starts_with(b"=")
    })?;
    let value = tag[at + name.len()..].trim_ascii_start()[1..].trim_ascii_start();
    let (quote, value) = value.split_first()?;
    value.split(|b| b == quote).next()
}

/// Whether an address or a range (`B2`, `7`, `A1:C9`) stays within what a sheet can hold. A text that is no address at all is
/// refused by the spreadsheet library itself.
fn is_sound(address: &[u8]) -> bool {
    /// The last column of a sheet has three letters, its last row seven digits.
    const LETTERS: usize = 3;
    const DIGITS: usize = 7;
    let mut last = (0, 0);
    address.split(|&b| b == b':').all(|part| {
        let letters = part.iter().take_while(|b| b.is_ascii_alphabetic()).count();
        let digits = part[letters..].iter().take_while(|b| b.is_ascii_digit()).count();
        if letters > LETTERS || digits > DIGITS {
            return false;
        }
        let number = |so_far: u32, digit: u8, base: u32| so_far * base + u32::from(digit);
        let column = part[..letters].iter().fold(0, |c, b| number(c, b.to_ascii_uppercase() - b'A' + 1, 26));
        let row = part[letters..letters + digits].iter().fold(0, |r, b| number(r, b - b'0', 10));
        let forwards = column >= last.0 && row >= last.1;
        last = (column, row);
        forwards
    })
}

/// Whether every element of the content of an `.ods` file ends. The spreadsheet library looks for the end of a table for ever.
fn is_whole(xml: &[u8]) -> bool {
    let mut reader = quick_xml::Reader::from_reader(xml);
    let (mut depth, mut buffer) = (0usize, Vec::new());
    loop {
        match reader.read_event_into(&mut buffer) {
            Ok(Event::Start(_)) => depth += 1,
            // An end of something else is an error.
            Ok(Event::End(_)) => depth = depth.saturating_sub(1),
            Ok(Event::Eof) => return depth == 0,
            Ok(_) => {}
            Err(_) => return false,
        }
        buffer.clear();
    }
}

/// The number of cells in the content of an `.ods` file, including repeated cells and empty cells before filled ones; long texts
/// count as several. A single cell can state that it is repeated a thousand million times, and a text that so many blanks are in it.
fn repeated(xml: &[u8]) -> u64 {
    /// A text of so many bytes takes as much memory as a cell; what a short one takes, with its tags, is left out.
    const TEXT: u64 = 32;
    const SHORT: u64 = 256;
    let cells = |long: u64| long.saturating_sub(SHORT) / TEXT;
    let (mut all, mut rows, mut row, mut empty, mut empty_rows) = (0u64, 1u64, 0u64, 0u64, 0u64);
    let (mut widest, mut blanks) = (0u64, 0u64);
    // How often the cell that is open is there, and how much of the text was left where it began.
    let mut open = (0u64, 0usize);
    let mut left = xml;
    while let Some(at) = memchr::memchr(b'<', left) {
        let tag = first_tag(&left[at..]);
        let from = left.len() - at;
        left = &left[at + tag.len()..];
        if tag.starts_with(b"<text:s ") {
            blanks = blanks.saturating_add(times(tag, "text:c"));
        }
        if tag.starts_with(b"<table:table-row") {
            (rows, row, empty) = (times(tag, "number-rows-repeated"), 0, 0);
            if tag.ends_with(b"/") {
                empty_rows = empty_rows.saturating_add(rows);
            }
        } else if tag.starts_with(b"<table:table-cell") || tag.starts_with(b"<table:covered-table-cell") {
            let columns = times(tag, "number-columns-repeated");
            if memchr::memmem::find(tag, b"office:").is_some() || !tag.ends_with(b"/") {
                row = row.saturating_add(empty).saturating_add(columns);
                row = row.saturating_add(columns.saturating_mul(cells(tag.len() as u64)));
                (empty, open, blanks) = (0, (columns, from), 0);
            } else {
                empty = empty.saturating_add(columns);
            }
        } else if tag.starts_with(b"</table:table-cell") || tag.starts_with(b"</table:covered-table-cell") {
            let long = blanks.saturating_add((open.1 - from.min(open.1)) as u64);
            row = row.saturating_add(open.0.saturating_mul(cells(long)));
            (open, blanks) = ((0, 0), 0);
        } else if tag.starts_with(b"</table:table-row") {
            widest = widest.max(row);
            if row == 0 {
                empty_rows = empty_rows.saturating_add(rows);
            } else {
                all = all.saturating_add(row.saturating_mul(rows));
                all = all.saturating_add(empty_rows.saturating_mul(widest));
                empty_rows = 0;
            }
        }
    }
    all
}

/// The tag at the start of the text, without its closing bracket. A `>` within quotes does not close the tag.
fn first_tag(xml: &[u8]) -> &[u8] {
    // In an XML comment (`<!`) or declaration (`<?`) a quote is an ordinary character.
    let quotes = !matches!(xml.get(1), Some(b'!' | b'?'));
    let mut within = None;
    let end = xml.iter().position(|&b| {
        if let Some(quote) = within {
            within = within.filter(|_| b != quote);
            return false;
        }
        within = Some(b).filter(|b| quotes && matches!(b, b'"' | b'\''));
        b == b'>'
    });
    &xml[..end.unwrap_or(xml.len())]
}

/// The value of an attribute that says how often something is repeated; 1 if the attribute is missing.
fn times(tag: &[u8], name: &str) -> u64 {
    let Some(at) = memchr::memmem::find(tag, name.as_bytes()) else { return 1 };
    let value = tag[at + name.len()..].trim_ascii_start().strip_prefix(b"=").map(<[u8]>::trim_ascii_start);
    let digits: Vec<u8> =
        value.unwrap_or_default().iter().skip(1).copied().take_while(u8::is_ascii_digit).collect();
    // No honest file writes the number in another way, so anything else counts as the largest number and is refused.
    std::str::from_utf8(&digits).ok().and_then(|d| d.parse().ok()).unwrap_or(u64::MAX)
}

/// The name of every sheet and its filled cells.
type Sheets = Vec<(String, Vec<Raw>)>;

fn of_xlsx(bytes: &[u8]) -> Result<Sheets, String> {
    let said = |e: XlsxError| e.to_string();
    let mut book: Xlsx<_> = Xlsx::new(Cursor::new(bytes)).map_err(said)?;
    let mut sheets = Vec::new();
    // A text that is stored once may stand in every cell.
    let mut left = MOST_UNPACKED;
    for name in book.sheet_names() {
        // A sheet that holds only a chart has no cells.
        let Ok(mut reader) = book.worksheet_cells_reader(&name) else { continue };
        let mut cells = Vec::new();
        while let Some(cell) = reader.next_cell_with_formula_metadata().map_err(said)? {
            let (row, column) = cell.pos;
            let value = match cell.value {
                DataRef::SharedString(text) => {
                    let long = left.checked_sub(text.len() as u64);
                    left =
                        long.ok_or_else(|| format!("its texts are longer than {} MB", MOST_UNPACKED >> 20))?;
                    Data::String(text.to_owned())
                }
                other => other.into(),
            };
            cells.extend(value_of(value, cell.formula.is_some()).map(|value| Raw { row, column, value }));
        }
        cells.sort_by_key(|cell| (cell.row, cell.column));
        sheets.push((name, cells));
    }
    Ok(sheets)
}

fn of_ods(bytes: &[u8]) -> Result<Sheets, String> {
    let said = |e: OdsError| e.to_string();
    let mut book: Ods<_> = Ods::new(Cursor::new(bytes)).map_err(said)?;
    let mut sheets = Vec::new();
    for name in book.sheet_names() {
        let values = book.worksheet_range(&name).map_err(said)?;
        let formulas = book.worksheet_formula(&name).map_err(said)?;
        let (top, left) = values.start().unwrap_or_default();
        let at = |(row, column): (usize, usize)| (top + index(row), left + index(column));
        let mut cells: Vec<Raw> = Vec::new();
        for (row, column, data) in values.used_cells() {
            let (row, column) = at((row, column));
            let formula = formulas.get_value((row, column)).is_some_and(|f| !f.is_empty());
            cells.extend(value_of(data.clone(), formula).map(|value| Raw { row, column, value }));
        }
        let (top, left) = formulas.start().unwrap_or_default();
        for (row, column, formula) in formulas.used_cells() {
            let (row, column) = (top + index(row), left + index(column));
            if !formula.is_empty() && values.get_value((row, column)).is_none_or(|v| *v == Data::Empty) {
                cells.extend(value_of(Data::Empty, true).map(|value| Raw { row, column, value }));
            }
        }
        cells.sort_by_key(|cell| (cell.row, cell.column));
        sheets.push((name, cells));
    }
    Ok(sheets)
}

fn index(at: usize) -> u32 {
    u32::try_from(at).unwrap_or(u32::MAX)
}

/// The value of a cell; `None` if the cell is empty.
fn value_of(data: Data, formula: bool) -> Option<Value> {
    let odd = |shown: &str, message: String, help| Value::Odd(Odd { shown: shown.to_owned(), message, help });
    let date = |day: &str| {
        let help = "a spreadsheet makes a date of what is typed as 1/2: make the cell a text cell, and type it again";
        odd(day, format!("the cell holds a date or a time, {}", quoted(day)), help)
    };
    Some(match data {
        Data::Empty if formula => {
            let help = "open the file in a spreadsheet and save it again, or write the value";
            odd("?", "the cell has a formula, and what it comes to is not stored".to_owned(), help)
        }
        Data::Empty => return None,
        Data::String(text) if text.trim().is_empty() => return None,
        Data::String(text) => Value::Text(text),
        Data::Int(number) => Value::Text(number.to_string()),
        Data::Float(number) => Value::Text(decimal(number)),
        Data::Bool(yes) => Value::Text(if yes { "yes" } else { "no" }.to_owned()),
        Data::DateTime(when) => {
            let (year, month, day, ..) = when.to_ymd_hms_milli();
            date(&format!("{year}-{month:02}-{day:02}"))
        }
        Data::DateTimeIso(when) | Data::DurationIso(when) => date(&when),
        Data::Error(error) => {
            let shown = error.to_string();
            let message = format!("the cell holds the error {}", quoted(&shown));
            odd(&shown, message, "mend its formula, or write the value")
        }
    })
}

/// A number as a person would type it. Calculated numbers carry rounding errors in their last digits, as in 0.30000000000000004.
fn decimal(number: f64) -> String {
    let shown = format!("{number:.10}");
    shown.trim_end_matches('0').trim_end_matches('.').to_owned()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn columns_are_called_by_letters() {
        for (column, name) in [
            (0, "A"),
            (25, "Z"),
            (26, "AA"),
            (51, "AZ"),
            (52, "BA"),
            (701, "ZZ"),
            (702, "AAA"),
            (16383, "XFD"),
        ] {
            assert_eq!(letters(column), name);
        }
    }

    #[test]
    fn numbers_are_as_they_were_typed() {
        for (number, text) in [
            (38.0, "38"),
            (0.1 + 0.2, "0.3"),
            (711.5, "711.5"),
            (-12.0, "-12"),
            (100.0, "100"),
            (0.0, "0"),
            (1e-3, "0.001"),
        ] {
            assert_eq!(decimal(number), text);
        }
        assert_eq!(decimal(f64::INFINITY), "inf");
    }

    /// One cell that is there a million million times is not unpacked to see it.
    #[test]
    fn repeated_cells_are_counted_and_not_made() {
        let cell = |repeat: &str, value: &str| format!("<table:table-cell{repeat}{value}");
        let many = " table:number-columns-repeated=\"16384\"";
        let filled = " office:value-type=\"float\" office:value=\"1\"><text:p>1</text:p></table:table-cell>";
        let row = |repeat: &str, cells: &str| format!("<table:table-row{repeat}>{cells}</table:table-row>");
        let rows = " table:number-rows-repeated=\"1048576\"";
        for (xml, least, most) in [
            // What every file ends in.
            (row("", &cell("", filled)) + &row(rows, &cell(many, "/>")), 1, 1),
            (row("", &(cell("", filled) + &cell(many, "/>"))), 1, 1),
            (row("", &cell(many, filled)), 16_384, 16_384),
            (row(rows, &cell("", filled)), 1_048_576, 1_048_576),
            (row(rows, &cell(many, filled)), 17_179_869_184, 17_179_869_184),
            (row("", &(cell(many, "/>") + &cell("", filled))), 16_385, 16_385),
            // A bracket within quotes, other quotes, blanks.
            (
                row("", &cell(" table:formula=\"A1>2\" table:number-columns-repeated = '900'", filled)),
                900,
                900,
            ),
            (row("", &cell(" table:number-columns-repeated=\"&#57;\"", filled)), u64::MAX, u64::MAX),
            (
                row("", &cell("", filled)) + &row(rows, &cell("", "/>")) + &row("", &cell("", filled)),
                1_048_578,
                1_048_578,
            ),
            // Texts that are there as often as their cells, and blanks that are only counted.
            (
                row("", &cell(many, &filled.replace(">1<", &format!(">{}<", "long ".repeat(1000))))),
                16_384 * 150,
                16_384 * 160,
            ),
            (
                row(
                    "",
                    &cell(
                        "",
                        &filled.replace(">1<", "><text:s text:c=\"4000000000\"/><text:span>1</text:span><"),
                    ),
                ),
                100_000_000,
                200_000_000,
            ),
        ] {
            let count = repeated(xml.as_bytes());
            assert!((least..=most).contains(&count), "{xml}: {count}");
        }
    }

    /// Reading one that is cut off did not end.
    #[test]
    fn what_is_cut_off_is_damaged() {
        let whole = "<?xml version=\"1.0\"?><a><table:table t='>'><!-- <b> --><c/>&amp;<![CDATA[<d>]]></table:table></a>";
        assert!(is_whole(whole.as_bytes()));
        for end in [whole.len() - 1, whole.len() - 4, whole.len() - 8, whole.len() - 20, 40] {
            assert!(!is_whole(&whole.as_bytes()[..end]), "{}", &whole[..end]);
        }
        assert!(!is_whole(b"<a><table:table></a></table:table>") && !is_whole(b"<a></b></a>"));
    }
}
