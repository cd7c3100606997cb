//! Writes a size table for a person to fill in.

use super::sheet::not_a_formula;
use crate::pattern::SizeName;
use crate::units::{Mm, Shown};
use rust_xlsxwriter::{DocProperties, ExcelDateTime, Format, Workbook, XlsxError};

/// The columns of a table to fill in.
const COLUMNS: [&str; 6] = ["size", "crotch_length", "front_share", "ease", "waistband", "note"];

/// A CSV table with a row for each size. `crotch_length`, `ease` and `waistband` are empty; the note says what the pattern
/// measures.
///
/// The cells to fill in are empty on purpose: if the table is read back unchanged, it is refused with a message that asks for
/// them. A measure filled in here would pass for one that somebody took, and an ease of 0 for one that was wanted. The pattern's
/// lengths are written as `show` says. A text from the drawing that a spreadsheet would take for a formula gets an apostrophe in
/// front, which is removed again on reading.
pub fn size_table<'a>(
    sizes: impl IntoIterator<Item = (&'a SizeName, Option<Mm>)>,
    show: Shown,
) -> Result<String, csv::Error> {
    let mut writer = csv::Writer::from_writer(Vec::new());
    writer.write_record(COLUMNS)?;
    for (size, measured) in sizes {
        let [_, share, note] = cells(size, measured, show);
        writer.write_record([&not_a_formula(size.as_str()), "", &share, "", "", &note])?;
    }
    let bytes = writer.into_inner().map_err(csv::IntoInnerError::into_error)?;
    Ok(String::from_utf8_lossy(&bytes).into_owned())
}

/// The same as a spreadsheet (`.xlsx`). Every cell is a text cell, because in any other a spreadsheet turns a typed `1/2` into a
/// date, and `04` loses its zero. Equal input gives equal bytes.
pub fn size_workbook<'a>(
    sizes: impl IntoIterator<Item = (&'a SizeName, Option<Mm>)>,
    show: Shown,
) -> Result<Vec<u8>, XlsxError> {
    /// The widths of the columns, measured in widths of a digit.
    const WIDTHS: [f64; 6] = [12.0, 16.0, 14.0, 12.0, 12.0, 60.0];
    let text = Format::new().set_num_format("@");
    let head = Format::new().set_num_format("@").set_bold();
    let mut book = Workbook::new();
    book.set_properties(&DocProperties::new().set_creation_datetime(&ExcelDateTime::from_ymd(2000, 1, 1)?));
    let sheet = book.add_worksheet().set_name("Sizes")?;
    sheet.set_freeze_panes(1, 0)?;
    for ((column, name), width) in (0u16..).zip(COLUMNS).zip(WIDTHS) {
        sheet.set_column_width(column, width)?.set_column_format(column, &text)?;
        sheet.write_string_with_format(0, column, name, &head)?;
    }
    for (row, (size, measured)) in (1u32..).zip(sizes) {
        let [size, share, note] = cells(size, measured, show);
        for (column, cell) in [(0, size.as_str()), (1, ""), (2, &share), (3, ""), (4, ""), (5, &note)] {
            sheet.write_string_with_format(row, column, cell, &text)?;
        }
    }
    book.save_to_buffer()
}

/// The filled cells of a row: the size, the share and the note.
fn cells(size: &SizeName, measured: Option<Mm>, show: Shown) -> [String; 3] {
    let note = match measured {
        Some(length) => format!("pattern measured {} {}", show.length(length), show.unit().sign()),
        None => "pattern could not be measured".to_owned(),
    };
    [size.as_str().to_owned(), "50%".to_owned(), note]
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;
    use crate::job::{SizeTable, Want};
    use crate::units::{Length, Unit};
    use proptest::prelude::*;

    #[test]
    fn the_table_asks_for_what_is_to_be_filled_in() {
        let sizes = [SizeName::new("36"), SizeName::new("38, long")];
        let table =
            size_table([(&sizes[0], Some(Mm(686.234))), (&sizes[1], None)], Shown::decimals(Unit::Mm))
                .unwrap();
        assert_eq!(
            table,
            "size,crotch_length,front_share,ease,waistband,note\n\
             36,,50%,,,pattern measured 686.23 mm\n\
             \"38, long\",,50%,,,pattern could not be measured\n"
        );
        let problems = SizeTable::from_csv(&table, "t.csv").unwrap_err();
        let messages: Vec<&str> = problems.iter().map(crate::job::diagnostic::Diagnostic::message).collect();
        assert_eq!(
            messages,
            [
                "size '36': neither crotch_length nor change is given",
                "size '38, long': neither crotch_length nor change is given"
            ]
        );
        assert!(problems.to_string().contains("fill in one of the two"));
    }

    #[test]
    fn inches_are_written_as_inches() {
        let size = SizeName::new("10");
        let table = size_table([(&size, Some(Mm(685.8)))], Shown::decimals(Unit::In)).unwrap();
        // 27 in × 25.4 mm = 685.8 mm.
        assert!(table.contains(",50%,,,pattern measured 27.000 in"), "{table}");
    }

    #[test]
    fn a_spreadsheet_asks_for_the_same_and_is_the_same_bytes_again() {
        let sizes = [SizeName::new("04"), SizeName::new("=1+1"), SizeName::new("38, long")];
        let rows = || [(&sizes[0], Some(Mm(686.234))), (&sizes[1], None), (&sizes[2], Some(Mm(700.0)))];
        let book = size_workbook(rows(), Shown::decimals(Unit::Mm)).unwrap();
        assert_eq!(book, size_workbook(rows(), Shown::decimals(Unit::Mm)).unwrap());
        let problems = SizeTable::read(&book, "t.xlsx").unwrap_err();
        let messages: Vec<&str> = problems.iter().map(crate::job::diagnostic::Diagnostic::message).collect();
        assert_eq!(
            messages,
            ["04", "=1+1", "38, long"]
                .map(|size| format!("size '{size}': neither crotch_length nor change is given"))
        );
        assert_eq!(problems.iter().next().unwrap().place(), "t.xlsx:Sizes!A2");
    }

    proptest! {
        #[test]
        fn filled_in_the_sizes_come_back_and_none_is_a_formula(name in "[=+@-]{0,2}[ a-z0-9\",;]{0,6}") {
            let size = SizeName::new(name.as_str());
            prop_assume!(!size.is_blank());
            let table = size_table([(&size, Some(Mm(700.0)))], Shown::decimals(Unit::Mm)).unwrap();
            let filled = table.replacen(",,50%", ",711,50%", 1);
            let read = SizeTable::from_csv(&filled, "t.csv");
            prop_assert!(read.is_ok(), "{}\n{}", filled, read.unwrap_err());
            let read = read.unwrap();
            prop_assert_eq!(&read.rows[0].size, &size);
            prop_assert_eq!(read.rows[0].want, Want::CrotchLength(Length::new(711.0, None)));
            let first = table.lines().nth(1).unwrap().trim_start_matches('"').trim_start();
            prop_assert!(!first.starts_with(['=', '+', '-', '@']), "{}", first);
        }
    }
}
