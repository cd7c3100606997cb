//! A size table to fill in.

use super::sheet::not_a_formula;
use crate::pattern::SizeName;
use crate::units::{Mm, Unit};

/// A CSV table with a row for each size, its `crotch_length`, `ease` and `waistband` left empty and what the pattern measures
/// as the note.
///
/// The cells to fill in are empty on purpose: read back unchanged, the table is refused with a message that
/// asks for them, where a filled-in measure would pass for one that somebody took, and an ease of 0 for one that was wanted. Lengths are written in `unit`. A text
/// from the drawing that a spreadsheet would take for a formula gets an apostrophe in front, which reading takes
/// off again.
pub fn size_table<'a>(
    sizes: impl IntoIterator<Item = (&'a SizeName, Option<Mm>)>,
    unit: Unit,
) -> Result<String, csv::Error> {
    let mut writer = csv::Writer::from_writer(Vec::new());
    writer.write_record(["size", "crotch_length", "front_share", "ease", "waistband", "note"])?;
    let sign = unit.sign();
    for (size, measured) in sizes {
        let decimals = if unit == Unit::Mm { 2 } else { 3 };
        let note = match measured {
            Some(length) => format!("pattern measures {:.decimals$} {sign}", length.0 / unit.in_mm()),
            None => "pattern could not be measured".to_owned(),
        };
        writer.write_record([&not_a_formula(size.as_str()), "", "50%", "", "", &note])?;
    }
    let bytes = writer.into_inner().map_err(csv::IntoInnerError::into_error)?;
    Ok(String::from_utf8_lossy(&bytes).into_owned())
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;
    use crate::job::{SizeTable, Want};
    use proptest::prelude::*;

    #[test]
    fn the_table_asks_for_what_is_to_be_filled_in() {
        let sizes = [SizeName::new("36"), SizeName::new("38, long")];
        let table = size_table([(&sizes[0], Some(Mm(686.234))), (&sizes[1], None)], Unit::Mm).unwrap();
        assert_eq!(
            table,
            "size,crotch_length,front_share,ease,waistband,note\n\
             36,,50%,,,pattern measures 686.23 mm\n\
             \"38, long\",,50%,,,pattern could not be measured\n"
        );
        let problems = SizeTable::from_csv(&table, "t.csv", Unit::Mm).unwrap_err();
        let messages: Vec<&str> = problems.iter().map(super::super::Diagnostic::message).collect();
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
        let table = size_table([(&size, Some(Mm(685.8)))], Unit::In).unwrap();
        // 27 in × 25.4 mm = 685.8 mm.
        assert!(table.contains(",50%,,,pattern measures 27.000 in"), "{table}");
    }

    proptest! {
        #[test]
        fn filled_in_the_sizes_come_back_and_none_is_a_formula(name in "[=+@-]{0,2}[ a-z0-9\",;]{0,6}") {
            let size = SizeName::new(name.as_str());
            prop_assume!(!size.is_blank());
            let table = size_table([(&size, Some(Mm(700.0)))], Unit::Mm).unwrap();
            let filled = table.replacen(",,50%", ",711,50%", 1);
            let read = SizeTable::from_csv(&filled, "t.csv", Unit::Mm);
            prop_assert!(read.is_ok(), "{}\n{}", filled, read.unwrap_err());
            let read = read.unwrap();
            prop_assert_eq!(&read.rows[0].size, &size);
            prop_assert_eq!(read.rows[0].want, Want::CrotchLength(Mm(711.0)));
            let first = table.lines().nth(1).unwrap().trim_start_matches('"').trim_start();
            prop_assert!(!first.starts_with(['=', '+', '-', '@']), "{}", first);
        }
    }
}
