//! The size table: what every size is to measure.

use super::diagnostic::{Diagnostic, Problems, Source, quoted, utf8};
use super::sheet::{self, Cell, Row};
use super::{length, share};
use crate::job::Share;
use crate::pattern::SizeName;
use crate::units::{Mm, Unit};
use std::collections::BTreeMap;

/// The columns, in the order a table is written in.
pub(crate) const COLUMNS: &[&str] =
    &["size", "crotch_length", "change", "front_share", "ease", "waistband", "note"];

/// A table of sizes, no two the same, in the order they were written.
#[derive(Clone, Debug, PartialEq)]
pub struct SizeTable {
    /// The rows; at least one.
    pub rows: Vec<SizeRow>,
}

/// What is asked for one size.
#[derive(Clone, Debug, PartialEq)]
pub struct SizeRow {
    /// The size, as the table writes it.
    pub size: SizeName,
    /// The crotch length or the change that is wanted.
    pub want: Want,
    /// The front's share of the difference.
    pub front_share: Share,
    /// Ease to be added to the body measure; negative in a fabric that stretches.
    pub ease: Mm,
    /// Finished height of a separate waistband, which counts at both ends.
    pub waistband: Mm,
    /// Carried into the report.
    pub note: Option<String>,
    /// The line of the table, counted from 1.
    pub line: usize,
    /// The column of the size's cell in that line, in characters from 1.
    pub column: usize,
}

/// What a size is to become.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Want {
    /// The crotch length of the body.
    CrotchLength(Mm),
    /// The signed difference wanted: above zero lengthens.
    Change(Mm),
}

impl SizeTable {
    /// Reads CSV with a header; numbers without a unit are of the unit `plain`. The path is for messages only.
    pub fn from_csv(text: &str, path: &str, plain: Unit) -> Result<SizeTable, Problems> {
        from_rows(&Source::new(path, text), plain, sheet::read_csv)
    }

    /// As [`SizeTable::from_csv`], from the bytes of a file, which must be UTF-8.
    pub fn from_csv_bytes(bytes: &[u8], path: &str, plain: Unit) -> Result<SizeTable, Problems> {
        SizeTable::from_csv(utf8(bytes, path)?, path, plain)
    }

    /// Reads `[[size]]` tables with the same keys as the columns; numbers without a unit are of the unit `plain`.
    pub fn from_toml(text: &str, path: &str, plain: Unit) -> Result<SizeTable, Problems> {
        from_rows(&Source::new(path, text), plain, |source, columns, problems| {
            sheet::read_toml(source, "size", columns, problems)
        })
    }

    /// As [`SizeTable::from_toml`], from the bytes of a file, which must be UTF-8.
    pub fn from_toml_bytes(bytes: &[u8], path: &str, plain: Unit) -> Result<SizeTable, Problems> {
        SizeTable::from_toml(utf8(bytes, path)?, path, plain)
    }

    /// The row of that size.
    pub fn row(&self, size: &SizeName) -> Option<&SizeRow> {
        self.rows.iter().find(|row| row.size == *size)
    }
}

fn from_rows(
    source: &Source,
    plain: Unit,
    read: impl FnOnce(&Source, &[&'static str], &mut Vec<Diagnostic>) -> Vec<Row>,
) -> Result<SizeTable, Problems> {
    let mut problems = Vec::new();
    let raw = read(source, COLUMNS, &mut problems);
    if raw.is_empty() && problems.is_empty() {
        problems.push(
            source.whole("the table has no row for any size").help("write one row for each size to alter"),
        );
    }
    let mut reader = RowReader { source, plain, problems };
    let mut lines: BTreeMap<SizeName, usize> = BTreeMap::new();
    let mut rows = Vec::new();
    for row in &raw {
        let read = reader.row(row);
        if let Some(cell) = row.cell("size") {
            let line = source.line(row.span.start);
            let before = *lines.entry(SizeName::new(&cell.text)).or_insert(line);
            if before != line {
                let message = format!("size {} is already in line {before}", quoted(&cell.text));
                reader.report(cell, &message, "leave one row for each size");
            }
        }
        rows.extend(read);
    }
    Problems::or(reader.problems, SizeTable { rows })
}

struct RowReader<'a> {
    source: &'a Source<'a>,
    plain: Unit,
    problems: Vec<Diagnostic>,
}

impl RowReader<'_> {
    fn report(&mut self, cell: &Cell, message: &str, help: &str) {
        self.problems.push(self.source.at(cell.span.clone(), message).help(help));
    }

    /// What a row asks for; `None` where a problem was reported.
    fn row(&mut self, row: &Row) -> Option<SizeRow> {
        let size = row.cell("size").map(|cell| SizeName::new(&cell.text));
        if size.is_none() {
            let one = self.source.at(row.span.clone(), "the row names no size");
            self.problems.push(one.help("write the size in the column size, as the drawing does"));
        }
        let want = self.want(row);
        let front_share = match row.cell("front_share") {
            None => Some(Share::HALF),
            Some(cell) => match share::parse(&cell.text) {
                Ok(share) => Some(share),
                Err(error) => {
                    self.report(cell, &format!("front_share: {}", error.problem()), share::ACCEPTED);
                    None
                }
            },
        };
        let ease = self.length(row, "ease", length::parse_signed);
        let waistband = self.length(row, "waistband", length::parse);
        Some(SizeRow {
            size: size?,
            want: want?,
            front_share: front_share?,
            ease: ease.ok()?.unwrap_or_default(),
            waistband: waistband.ok()?.unwrap_or_default(),
            note: row.cell("note").map(|cell| cell.text.clone()),
            line: self.source.line(row.span.start),
            column: row.cell("size").and_then(|c| self.source.at(c.span.clone(), "").column()).unwrap_or(1),
        })
    }

    fn want(&mut self, row: &Row) -> Option<Want> {
        let crotch_length = self.length(row, "crotch_length", length::parse);
        let change = self.length(row, "change", length::parse_signed);
        match (row.cell("crotch_length"), row.cell("change")) {
            (Some(_), Some(cell)) => {
                self.report(
                    cell,
                    "the row gives both crotch_length and change",
                    "leave one of the two empty",
                );
                return None;
            }
            (None, None) => {
                let name = row
                    .cell("size")
                    .map_or_else(String::new, |cell| format!("size {}: ", quoted(&cell.text)));
                let message = format!("{name}neither crotch_length nor change is given");
                let help = "fill in one of the two; a size that is to stay as it is needs no row";
                self.problems.push(self.source.at(row.span.clone(), &message).help(help));
                return None;
            }
            (Some(cell), None) if crotch_length == Ok(Some(Mm(0.0))) => {
                self.report(cell, "crotch_length: a crotch length of nothing cannot be", length::ACCEPTED);
                return None;
            }
            _ => {}
        }
        Some(match (crotch_length.ok()?, change.ok()?) {
            (Some(length), _) => Want::CrotchLength(length),
            (None, change) => Want::Change(change?),
        })
    }

    /// The length in that column, `None` where the cell is empty; a problem is reported here.
    fn length(
        &mut self,
        row: &Row,
        column: &str,
        parse: impl FnOnce(&str, Unit) -> Result<Mm, length::LengthError>,
    ) -> Result<Option<Mm>, Reported> {
        let Some(cell) = row.cell(column) else { return Ok(None) };
        parse(&cell.text, self.plain).map(Some).map_err(|error| {
            self.report(cell, &format!("{column}: {}", error.problem()), length::ACCEPTED);
            Reported
        })
    }
}

/// A problem that is already among the problems.
#[derive(Debug, PartialEq)]
struct Reported;

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;
    use proptest::prelude::*;

    const HEADER: &str = "size,crotch_length,change,front_share,ease,waistband,note\n";

    fn problems(rows: &str) -> Vec<(usize, usize, String)> {
        let text = format!("{HEADER}{rows}");
        let problems = SizeTable::from_csv(&text, "sizes.csv", Unit::Mm).unwrap_err();
        problems.iter().map(|p| (p.line().unwrap(), p.column().unwrap(), p.message().to_owned())).collect()
    }

    #[test]
    fn rows_are_read_with_their_defaults() {
        let text = format!("{HEADER}38,\"711,5\",,,,,\n40 Long,,-1/2in,40%,10 mm,\"1 1/2\"\"\",\"a, b\"\n");
        let table = SizeTable::from_csv(&text, "sizes.csv", Unit::Mm).unwrap();
        let first = SizeRow {
            size: SizeName::new("38"),
            want: Want::CrotchLength(Mm(711.5)),
            front_share: Share::HALF,
            ease: Mm(0.0),
            waistband: Mm(0.0),
            note: None,
            line: 2,
            column: 1,
        };
        // 1/2 in = 12.7 mm, 1 1/2 in = 38.1 mm by the inch of 1959.
        let second = SizeRow {
            size: SizeName::new("40LONG"),
            want: Want::Change(Mm(-12.7)),
            front_share: Share::new(0.4).unwrap(),
            ease: Mm(10.0),
            waistband: Mm(38.1),
            note: Some("a, b".to_owned()),
            line: 3,
            column: 1,
        };
        let close = |a: Mm, b: Mm| (a - b).abs().0 < 1e-9;
        assert!(close(table.rows[1].waistband, second.waistband));
        assert_eq!(table.rows[0], first);
        assert_eq!(SizeRow { waistband: second.waistband, ..table.rows[1].clone() }, second);
        assert_eq!(table.rows[1].size.as_str(), "40 Long");
        assert_eq!(table.row(&SizeName::new("40long")).unwrap().line, 3);
    }

    #[test]
    fn columns_may_stand_in_any_order_and_semicolons_part_them() {
        let table = SizeTable::from_csv("change;size\r\n12,5;38\r\n", "s.csv", Unit::Mm).unwrap();
        assert_eq!(table.rows[0].want, Want::Change(Mm(12.5)));
    }

    #[test]
    fn the_same_rows_are_read_from_toml() {
        let csv = format!("{HEADER}38,711.5,,,,,\n40,,\"-12,5 mm\",0.4,10,38.1 mm,hello\n");
        let toml = "[[size]]\nsize = 38\ncrotch_length = 711.5\n\n[[size]]\nsize = \"40\"\n\
                    change = \"-12,5 mm\"\nfront_share = 0.4\nease = 10\nwaistband = \"38.1 mm\"\nnote = \"hello\"\n";
        let csv = SizeTable::from_csv(&csv, "s.csv", Unit::Mm).unwrap();
        let mut toml = SizeTable::from_toml(toml, "s.toml", Unit::Mm).unwrap();
        assert_eq!(toml.rows.iter().map(|row| (row.line, row.column)).collect::<Vec<_>>(), [(1, 8), (5, 8)]);
        for (toml, csv) in toml.rows.iter_mut().zip(&csv.rows) {
            (toml.line, toml.column) = (csv.line, csv.column);
        }
        assert_eq!(toml, csv);
    }

    #[test]
    fn all_problems_are_reported_with_line_column_and_cell() {
        let found = problems(
            "38,711 furlongs,,50,,-1,\n,700,,,,,\n40,700,5,,,,\n42,,,,,,x\n38,700,,,,,\n44,0,,,,,\n46,-700,,,,,\n",
        );
        let expected = [
            (2, 4, "crotch_length: '711 furlongs' has the unknown unit 'furlongs'"),
            (2, 18, "front_share: '50' is more than the whole: without a % sign, 1 is the whole"),
            (2, 22, "waistband: '-1' is negative"),
            (3, 1, "the row names no size"),
            (4, 8, "the row gives both crotch_length and change"),
            (5, 1, "size '42': neither crotch_length nor change is given"),
            (6, 1, "size '38' is already in line 2"),
            (7, 4, "crotch_length: a crotch length of nothing cannot be"),
            (8, 4, "crotch_length: '-700' is negative"),
        ];
        assert_eq!(found, expected.map(|(line, column, message)| (line, column, message.to_owned())));
    }

    #[test]
    fn a_problem_is_shown_as_a_person_reads_it() {
        let problems =
            SizeTable::from_csv("size,change\n38,5 furlongs\n", "sizes.csv", Unit::Mm).unwrap_err();
        let lines: Vec<String> =
            problems.to_string().lines().map(|line| line.trim_end().to_owned()).collect();
        assert_eq!(
            lines,
            [
                "error: change: '5 furlongs' has the unknown unit 'furlongs'",
                " --> sizes.csv:2:4",
                "  |",
                "2 | 38,5 furlongs",
                "  |    ^^^^^^^^^^",
                "  |",
                "  = help: write a length such as 12.5, 12.5 mm, 1.25 cm, 5/8 in, 1 1/4\" or 12,5 mm (units: mm, cm, in)",
            ]
        );
    }

    #[test]
    fn sizes_that_differ_in_blanks_and_case_are_the_same() {
        assert_eq!(
            problems("38 l,700,,,,,\n38L,700,,,,,\n"),
            [(3, 1, "size '38L' is already in line 2".to_owned())]
        );
    }

    #[test]
    fn a_table_without_rows_is_no_table() {
        for (text, part) in [("", "the table is empty"), (HEADER, "no row for any size")] {
            let shown = SizeTable::from_csv(text, "s.csv", Unit::Mm).unwrap_err().to_string();
            assert!(shown.contains(part) && shown.contains("s.csv"), "{shown}");
        }
        let shown = SizeTable::from_toml("", "s.toml", Unit::Mm).unwrap_err().to_string();
        assert!(shown.contains("no row for any size"), "{shown}");
    }

    #[test]
    fn toml_problems_are_pointed_at() {
        for (text, line, column, part) in [
            ("[[size]]\nsize = 38\nchange = nan\n", 3, 10, "change: 'nan' does not start with a number"),
            ("[[size]]\nsize = 38\nchange = 0x10\n", 3, 10, "neither text nor a plain decimal number"),
            ("[[size]]\nsize = 38\nchange = [1]\n", 3, 10, "neither text nor a plain decimal number"),
            ("[[size]]\nsize = 38\nchang = 1\nchange = 1\n", 3, 1, "'chang' is no key"),
            ("[[size]]\nsize = 38\n", 1, 1, "neither crotch_length nor change"),
            ("[[sizes]]\nsize = 38\n", 1, 3, "'sizes' is not known here"),
            ("size = 38\n", 1, 8, "size is not a list of tables"),
            ("[[size]]\nsize = 38\nchange = \n", 3, 10, "not TOML"),
        ] {
            let problems = SizeTable::from_toml(text, "s.toml", Unit::Mm).unwrap_err();
            let one = problems.iter().next().unwrap();
            assert_eq!((one.line(), one.column()), (Some(line), Some(column)), "{one}");
            assert!(one.message().contains(part), "{one}");
        }
    }

    #[test]
    fn bytes_that_are_not_utf8_are_refused() {
        let shown = SizeTable::from_csv_bytes(b"size,change,note\n38,5,f\xfcr\n", "s.csv", Unit::Mm)
            .unwrap_err()
            .to_string();
        assert!(shown.contains("s.csv:2:7") && shown.contains("UTF-8"), "{shown}");
        assert!(SizeTable::from_toml_bytes(b"\xff", "s.toml", Unit::Mm).is_err());
    }

    proptest! {
        #[test]
        fn any_text_is_a_table_or_problems(rows in "(?s)([38,;.\"\n %-]|mm|in|.){0,40}", columns in 0usize..7) {
            let header = COLUMNS[..=columns].join(",");
            for text in [rows.clone(), format!("{header}\n{rows}")] {
                if let Err(problems) = SizeTable::from_csv(&text, "s.csv", Unit::In) {
                    prop_assert!(!problems.to_string().is_empty());
                }
                if let Err(problems) = SizeTable::from_toml(&text, "s.toml", Unit::In) {
                    prop_assert!(!problems.to_string().is_empty());
                }
            }
        }

        #[test]
        fn a_table_written_by_the_csv_crate_is_read_back(changes in proptest::collection::vec(-500.0f64..500.0, 1..9), share in 0.0f64..=1.0) {
            let mut writer = csv::WriterBuilder::new().delimiter(b';').from_writer(Vec::new());
            writer.write_record(["size", "change", "front_share"]).unwrap();
            for (at, change) in changes.iter().enumerate() {
                writer.write_record([at.to_string(), format!("{change}"), share.to_string()]).unwrap();
            }
            let text = writer.into_inner().unwrap();
            let table = SizeTable::from_csv_bytes(&text, "s.csv", Unit::Mm).unwrap();
            let read: Vec<Want> = table.rows.iter().map(|row| row.want).collect();
            prop_assert_eq!(read, changes.iter().map(|&c| Want::Change(Mm(c))).collect::<Vec<_>>());
            prop_assert!(table.rows.iter().all(|row| Some(row.front_share) == Share::new(share)));
        }
    }
}
