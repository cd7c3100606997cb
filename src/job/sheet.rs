//! Reads tables as people write them: CSV with a header, a spreadsheet, or the same rows as TOML tables.
//!
//! All of them give [`Row`]s of named cells, so that the meaning of a row is read in one place. CSV is split by `csv-core` rather
//! than `csv`, whose ranges refer to the unquoted record and not to the file.

use super::diagnostic::quoted;
use super::source::{Found, Source};
use super::toml_text::{in_order, scalar, tables};
use super::workbook::{SheetCell, Workbook};
use crate::words;
use std::collections::BTreeMap;
use std::ops::Range;

/// A cell that is not empty.
pub(super) struct Cell {
    /// The text without surrounding quotes and blanks.
    pub(super) text: String,
    /// The range of its bytes in the source, quotes included.
    pub(super) span: Range<usize>,
}

/// A row of a table: its cells that are not empty, by column.
pub(super) struct Row {
    /// The range of bytes of the row, or of its heading in TOML.
    pub(super) span: Range<usize>,
    cells: BTreeMap<&'static str, Cell>,
}

impl Row {
    /// The cell in that column, unless it is empty.
    pub(super) fn cell(&self, column: &str) -> Option<&Cell> {
        self.cells.get(column)
    }
}

/// Spreadsheets take a cell that starts with one of these characters for a formula.
const FORMULA: [char; 8] = ['=', '+', '-', '@', '＝', '＋', '－', '＠'];

/// The text in a form that is safe to open in a spreadsheet: what would be taken for a formula gets an apostrophe in front.
pub(crate) fn not_a_formula(text: &str) -> String {
    let apostrophe =
        if text.trim_start().starts_with(FORMULA) || text.starts_with(['\t', '\r']) { "'" } else { "" };
    format!("{apostrophe}{text}")
}

/// Removes the apostrophe that [`not_a_formula`] puts in front.
fn without_apostrophe(text: &str) -> &str {
    text.strip_prefix('\'').filter(|rest| rest.trim_start().starts_with(FORMULA)).unwrap_or(text)
}

/// The rows of `[[name]]` tables; anything wrong is added to `problems`.
pub(super) fn read_toml(
    source: &Source,
    name: &str,
    columns: &[&'static str],
    problems: &mut Found,
) -> Vec<Row> {
    let mut rows = Vec::new();
    for (table, span) in tables(source, name, problems) {
        let before = problems.count();
        let mut cells = BTreeMap::new();
        for (key, value) in in_order(&table) {
            let Some(&column) = columns.iter().find(|&&column| column == key.get_ref()) else {
                let message = format!("{} is no key of a [[{name}]] table", quoted(key.get_ref()));
                problems.at(source, key.span(), &message, &there_are("keys", key.get_ref(), columns));
                continue;
            };
            match scalar(value.get_ref()) {
                Some(text) if text.trim().is_empty() => {}
                Some(text) => {
                    cells.insert(column, Cell { text: text.trim().to_owned(), span: value.span() });
                }
                None => {
                    let message = format!("{column} is neither text nor a plain decimal number");
                    problems.at(source, value.span(), &message, "put the value in quotes");
                }
            }
        }
        // In a row with an unusable key it is unknown what is missing, so the row is left out.
        if problems.count() == before {
            rows.push(Row { span, cells });
        }
    }
    rows
}

/// The rows of a CSV text below its header; anything wrong is added to `problems`.
///
/// The separator is the first of comma, `;` and tab that occurs in the header. Empty rows are skipped.
pub(super) fn read_csv(source: &Source, columns: &[&'static str], problems: &mut Found) -> Vec<Row> {
    let header_line = source.text().lines().find(|line| !line.trim().is_empty()).unwrap_or_default();
    let delimiter =
        [b',', b';', b'\t'].into_iter().find(|&d| header_line.contains(char::from(d))).unwrap_or(b',');
    let mut records = cut(source.text(), delimiter).into_iter();
    let Some(header) = records.next() else {
        problems.push(source.whole("the table is empty").help(&there_are("columns", "", columns)));
        return Vec::new();
    };
    check_quotes(source, &header, problems);
    let Some(headings) = Headings::read(source, header.iter().enumerate(), columns, problems) else {
        return Vec::new();
    };
    // Spreadsheets leave empty columns at the right edge of the header; a row need not have cells for them.
    let least = headings.0.last_key_value().map_or(0, |(last, _)| last + 1);
    let mut rows = Vec::new();
    for record in records {
        let before = problems.count();
        check_quotes(source, &record, problems);
        // One cell too many, even an empty one, may come from a decimal comma that has shifted the other cells.
        if !(least..=header.len()).contains(&record.len()) {
            let message =
                format!("the row has {}, the header {}", counted(record.len()), counted(header.len()));
            let help = "leave a cell empty where nothing is given, but keep its separator; \
                        put a cell with a separator in it, such as \"12,5 mm\", in quotes";
            problems.at(source, extent(&record), &message, help);
        }
        let span = extent(&record);
        let filled = record.into_iter().enumerate().filter(|(_, cell)| !cell.text.is_empty());
        // If the number of cells does not fit, the cells stand in the wrong columns, and reading them would only give misleading
        // messages.
        let in_step = problems.count() == before;
        rows.extend(headings.row(source, span, filled, problems).filter(|_| in_step));
    }
    rows
}

/// The rows of a spreadsheet below its first filled row, which is the header; anything wrong is added to `problems`.
pub(super) fn read_workbook(
    source: &Source,
    book: &Workbook,
    columns: &[&'static str],
    problems: &mut Found,
) -> Vec<Row> {
    let mut filled = book.cells.chunk_by(|a, b| a.row == b.row);
    let cell = |c: &SheetCell| {
        let text = source.text()[c.span.clone()].to_owned();
        (c.column as usize, Cell { text, span: c.span.clone() })
    };
    let Some(header) = filled.next() else {
        problems.push(source.whole("the table is empty").help(&there_are("columns", "", columns)));
        return Vec::new();
    };
    let header: Vec<(usize, Cell)> = header.iter().map(cell).collect();
    let named = header.iter().map(|(at, cell)| (*at, cell));
    let Some(headings) = Headings::read(source, named, columns, problems) else { return Vec::new() };
    let mut rows = Vec::new();
    for row in filled {
        let before = problems.count();
        for one in row {
            if let Some((message, help)) = &one.odd {
                problems.at(source, one.span.clone(), message, help);
            }
        }
        let in_order = problems.count() == before;
        let span = row[0].span.start..row[row.len() - 1].span.end;
        rows.extend(headings.row(source, span, row.iter().map(cell), problems).filter(|_| in_order));
    }
    rows
}

/// The name of each column that has a heading; `None` if the heading is not a known one.
struct Headings(BTreeMap<usize, Option<&'static str>>);

impl Headings {
    /// Reads the columns of a header; unknown ones are problems. `None` where it lacks the first of the `columns`, which names what
    /// a row is about: every row would be told of for want of it.
    fn read<'c>(
        source: &Source,
        header: impl Iterator<Item = (usize, &'c Cell)>,
        columns: &[&'static str],
        problems: &mut Found,
    ) -> Option<Headings> {
        let mut seen = Vec::new();
        let mut headings = BTreeMap::new();
        let filled: Vec<(usize, &Cell)> = header.filter(|(_, cell)| !cell.text.is_empty()).collect();
        let column_of = |cell: &Cell| {
            let name = cell.text.to_lowercase().replace([' ', '-'], "_");
            columns.iter().copied().find(|&column| column == name)
        };
        let (&(_, first), &(_, last)) = (filled.first()?, filled.last()?);
        if filled.iter().all(|(_, cell)| column_of(cell).is_none()) {
            let help = format!("{}; look whether it is the right file", there_are("columns", "", columns));
            let message = "the first row names no column of this table";
            problems.at(source, first.span.start..last.span.end, message, &help);
            return None;
        }
        for (at, cell) in filled {
            let known = column_of(cell);
            if let Some(name) = known.filter(|column| seen.contains(column)) {
                let message = format!("the column {name} is there twice");
                problems.at(source, cell.span.clone(), &message, "leave one of the two out");
            } else if known.is_none() {
                let message = format!("{} is no column of this table", quoted(&cell.text));
                problems.at(source, cell.span.clone(), &message, &there_are("columns", &cell.text, columns));
            }
            seen.extend(known);
            headings.insert(at, known);
        }
        if !seen.contains(&columns[0]) {
            let message = format!("the table has no column '{}'", columns[0]);
            problems.at(
                source,
                first.span.start..last.span.end,
                &message,
                &there_are("columns", "", columns),
            );
            return None;
        }
        Some(Headings(headings))
    }

    /// The row made of these filled cells; `None` if one of them stands in a column without a heading.
    fn row(
        &self,
        source: &Source,
        span: Range<usize>,
        filled: impl Iterator<Item = (usize, Cell)>,
        problems: &mut Found,
    ) -> Option<Row> {
        let mut cells = BTreeMap::new();
        let before = problems.count();
        for (at, cell) in filled {
            let Some(heading) = self.0.get(&at) else {
                if problems.count() == before {
                    let message = format!("{} stands in a column that has no name", quoted(&cell.text));
                    problems.at(source, cell.span, &message, "name the column or empty the cell");
                }
                continue;
            };
            // An unknown heading has already been reported.
            if let Some(column) = heading {
                let text = without_apostrophe(&cell.text).to_owned();
                cells.insert(*column, Cell { text, span: cell.span });
            }
        }
        (problems.count() == before).then_some(Row { span, cells })
    }
}

/// Splits a text into records of cells and leaves out empty records.
fn cut(text: &str, delimiter: u8) -> Vec<Vec<Cell>> {
    let bytes = text.as_bytes();
    let mut reader = csv_core::ReaderBuilder::new().delimiter(delimiter).build();
    let mut unquoted = vec![0; bytes.len() + 1];
    let (mut at, mut start, mut filled) = (0, 0, 0);
    let mut records = Vec::new();
    let mut record: Vec<Cell> = Vec::new();
    loop {
        let (result, read, written) = reader.read_field(&bytes[at..], &mut unquoted[filled..]);
        at += read;
        filled += written;
        match result {
            csv_core::ReadFieldResult::InputEmpty | csv_core::ReadFieldResult::OutputFull => {}
            csv_core::ReadFieldResult::Field { record_end } => {
                let text_of_cell = String::from_utf8_lossy(&unquoted[..filled]).trim().to_owned();
                let span = cell_span(text, start..at, record.is_empty(), record_end);
                record.push(Cell { text: text_of_cell, span });
                (start, filled) = (at, 0);
                if record_end {
                    let record = std::mem::take(&mut record);
                    if record.iter().any(|cell| !cell.text.is_empty()) {
                        records.push(record);
                    }
                }
            }
            csv_core::ReadFieldResult::End => return records,
        }
    }
}

/// The range of a cell within the bytes that the CSV reader consumed for it: without line ends, separator and surrounding blanks.
fn cell_span(text: &str, taken: Range<usize>, first: bool, last: bool) -> Range<usize> {
    let Range { mut start, mut end } = taken;
    if first {
        start = end - text[start..end].trim_start_matches(['\r', '\n']).len();
    }
    if last {
        end = start + text[start..end].trim_end_matches(['\r', '\n']).len();
    } else {
        end = (end - 1).max(start);
    }
    // Blanks around a cell are not marked, but an empty cell is marked with its blanks.
    let cell = text[start..end].trim();
    if cell.is_empty() {
        return start..end;
    }
    let start = end - text[start..end].trim_start().len();
    start..start + cell.len()
}

/// Reports cells whose quotes do not match. The CSV reader accepts them in some way; a length such as `1 1/4"`, put in quotes
/// without doubling its inch sign, would swallow the rest of the table.
fn check_quotes(source: &Source, record: &[Cell], problems: &mut Found) {
    for cell in record {
        let raw = &source.text()[cell.span.clone()];
        if !raw.starts_with('"') {
            continue;
        }
        let strict = raw.strip_prefix('"').and_then(|rest| rest.strip_suffix('"'));
        let strict = strict.filter(|inner| !inner.split("\"\"").any(|part| part.contains('"')));
        if strict.is_none_or(|inner| inner.replace("\"\"", "\"").trim() != cell.text) {
            let help = "put the whole cell in quotes, without a blank before them, and write a quote within it twice: \"1 1/4\"\"\"";
            problems.at(source, cell.span.clone(), "the quotes of this cell do not pair", help);
        }
    }
}

fn counted(cells: usize) -> String {
    words::counted(cells, "cell", "cells")
}

fn extent(record: &[Cell]) -> Range<usize> {
    let start = record.first().map_or(0, |cell| cell.span.start);
    start..record.last().map_or(start, |cell| cell.span.end)
}

/// The end of a message: the known names, and the one that was probably meant.
fn there_are(what: &str, read: &str, known: &[&str]) -> String {
    format!("{}the {what} are {}", words::perhaps(read, known.iter().copied()), known.join(", "))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::job::diagnostic::Diagnostic;
    use proptest::prelude::*;

    const COLUMNS: &[&str] = &["size", "change", "note"];

    fn read(text: &str) -> (Vec<(String, usize, String)>, Vec<Diagnostic>) {
        let source = Source::new("t.csv", text);
        let mut problems = Found::default();
        let rows = read_csv(&source, COLUMNS, &mut problems);
        let mut cells = Vec::new();
        for row in &rows {
            for (column, cell) in &row.cells {
                cells.push(((*column).to_owned(), source.line(row.span.start), cell.text.clone()));
            }
        }
        (cells, problems.or(()).map_or_else(|found| found.iter().cloned().collect(), |()| Vec::new()))
    }

    fn cell(column: &str, line: usize, text: &str) -> (String, usize, String) {
        (column.to_owned(), line, text.to_owned())
    }

    #[test]
    fn separators_line_ends_and_a_byte_order_mark_do_not_matter() {
        let expected = vec![cell("change", 3, "5 mm"), cell("note", 3, "a"), cell("size", 3, "38")];
        for text in [
            "size,change,note\n\n38,5 mm,a\n",
            "\u{feff}Size,Change,Note\r\n\r\n38,5 mm,a",
            " size ; change ; note \n;;\n 38 ; 5 mm ;\"a\" ",
            "size\tchange\tnote\r\r38\t5 mm\ta\r",
            "size,change,note,,\n,,,,\n38,5 mm,a,,\n",
        ] {
            assert_eq!(read(text), (expected.clone(), vec![]), "{text:?}");
        }
    }

    #[test]
    fn quoted_cells_keep_separators_quotes_and_lines() {
        let (cells, problems) = read("size,change,note\n38,\"1,5 mm\",\"a \"\"b\"\"\nc\"\n40,1\",d\n");
        assert_eq!(problems, []);
        let expected = [
            cell("change", 2, "1,5 mm"),
            cell("note", 2, "a \"b\"\nc"),
            cell("size", 2, "38"),
            cell("change", 4, "1\""),
            cell("note", 4, "d"),
            cell("size", 4, "40"),
        ];
        assert_eq!(cells, expected);
    }

    #[test]
    fn quotes_that_do_not_pair_are_pointed_at() {
        for (text, column) in [
            ("size,change,note\n38,\"1 1/4\"\",a\n40,5,b\n", 4),
            ("size,change,note\n38,\"5\"x,a\n", 4),
            ("size,change,note\n38, \"5\",a\n", 5),
            ("size,change,note\n38,5,\"", 6),
        ] {
            let (_, problems) = read(text);
            let quotes = problems.iter().find(|p| p.message().contains("do not pair"));
            let place = quotes.map(|p| (p.line(), p.column()));
            assert_eq!(place, Some((Some(2), Some(column))), "{text:?}: {problems:?}");
        }
    }

    #[test]
    fn rows_out_of_step_and_columns_of_no_use_are_reported() {
        for (text, message, line, column) in [
            ("size,change,note\n38,5\n", "the row has 2 cells, the header 3 cells", 2, 1),
            // A decimal comma without quotes must not move a number into the next column.
            ("size,change,note\n38,711,0,\n", "the row has 4 cells, the header 3 cells", 2, 1),
            ("size,hip,note\n38,5,a\n", "'hip' is no column of this table", 1, 6),
            ("size,note,size\n38,a,38\n", "the column size is there twice", 1, 11),
            ("size,,note\n38,5,a\n", "'5' stands in a column that has no name", 2, 4),
        ] {
            let (_, problems) = read(text);
            assert_eq!(problems.len(), 1, "{problems:?}");
            assert_eq!(problems[0].message(), message);
            assert_eq!((problems[0].line(), problems[0].column()), (Some(line), Some(column)), "{text:?}");
        }
        assert_eq!(read("\n \n").1[0].message(), "the table is empty");
    }

    #[test]
    fn a_header_without_the_first_column_is_told_once() {
        for (text, message) in [
            ("0\nSECTION\n2\nHEADER\n", "the first row names no column of this table"),
            ("change,note\n5,a\n6,b\n", "the table has no column 'size'"),
        ] {
            let (cells, problems) = read(text);
            let told: Vec<&str> = problems.iter().map(Diagnostic::message).collect();
            assert_eq!((cells, told), (vec![], vec![message]));
        }
    }

    proptest! {
        #[test]
        fn any_text_can_be_cut(text in "(?s).{0,60}|[a,;\"\r\n\t ]{0,30}") {
            let source = Source::new("t.csv", &text);
            for delimiter in [b',', b';', b'\t'] {
                for record in cut(source.text(), delimiter) {
                    prop_assert!(record.iter().all(|c| source.text().get(c.span.clone()).is_some()));
                }
            }
            read(&text);
        }

        /// What the `csv` crate writes is split into the same cells, and each span contains its cell.
        #[test]
        fn what_the_csv_crate_writes_comes_back(table in proptest::collection::vec(
            proptest::collection::vec("[a-zä,;\"\n=+@']{0,6}", 3), 1..6)) {
            let mut writer = csv::Writer::from_writer(Vec::new());
            for record in &table {
                prop_assert!(writer.write_record(record).is_ok());
            }
            let text = String::from_utf8(writer.into_inner().unwrap_or_default()).unwrap_or_default();
            let source = Source::new("t.csv", &text);
            let mut problems = Found::default();
            let records = cut(&text, b',');
            for record in &records {
                check_quotes(&source, record, &mut problems);
            }
            prop_assert_eq!(problems.or(()), Ok(()));
            let cells: Vec<Vec<&str>> =
                records.iter().map(|r| r.iter().map(|c| c.text.as_str()).collect()).collect();
            let expected: Vec<Vec<&str>> = table.iter().map(|r| r.iter().map(|c| c.trim()).collect::<Vec<_>>())
                .filter(|r| r.iter().any(|c| !c.is_empty())).collect();
            prop_assert_eq!(cells, expected);
            for cell in records.iter().flatten().filter(|c| !text[c.span.clone()].starts_with('"')) {
                prop_assert_eq!(&text[cell.span.clone()], &cell.text);
            }
        }

        #[test]
        fn no_text_is_a_formula_and_all_come_back(text in "(?s)[=+@'a-z -]{0,5}|.{0,5}") {
            let safe = not_a_formula(&text);
            prop_assert!(!safe.trim_start().starts_with(FORMULA));
            if text.starts_with(FORMULA) {
                prop_assert_eq!(without_apostrophe(&safe), &text);
            }
        }
    }
}
