//! The size table, which says what every size shall measure.

use super::diagnostic::{Problems, quoted};
use super::sheet::{self, Cell, Row};
use super::source::{Found, Source, utf8};
use super::workbook::Workbook;
use super::{length, share};
use crate::job::Share;
use crate::pattern::SizeName;
use crate::units::{Length, Mm, Unit};
use crate::words;
use std::collections::{BTreeMap, BTreeSet};
use std::path::Path;

/// The columns, in the order in which a table is written.
pub(crate) const COLUMNS: &[&str] =
    &["size", "crotch_length", FRONT, BACK, "change", "front_share", "ease", "waistband", "note"];
const FRONT: &str = "front_crotch_length";
const BACK: &str = "back_crotch_length";

/// A table of sizes in the order in which they were written, each size once. Its lengths are as a person wrote them ([`Length`]),
/// or in [`Mm`].
///
/// ```
/// use truerise::SizeTable;
/// use truerise::parts::Want;
/// let table = SizeTable::from_csv("size,crotch_length,change,front_share\n38,28in,,\n40,,-9,40%\n", "changes.csv").unwrap();
/// let Want::Change(change) = table.rows[1].want else { panic!() };
/// // A plain number: in the unit of the job, else of the drawing that is altered by it.
/// assert_eq!((change.number(), change.unit()), (-9.0, None));
/// ```
#[derive(Clone, Debug, PartialEq)]
pub struct SizeTable<L = Length> {
    /// The rows; at least one.
    pub rows: Vec<SizeRow<L>>,
}

/// What is asked for one size.
#[derive(Clone, Debug, PartialEq)]
pub struct SizeRow<L = Length> {
    /// The size, as the table writes it.
    pub size: SizeName,
    /// The crotch length or the change that is wanted.
    pub want: Want<L>,
    /// The unit of the number that is wanted; `None` if none is given, or if front and back have different ones.
    pub unit: Option<Unit>,
    /// The front's share of the difference. It does not count where front and back lengths are given.
    pub front_share: Share,
    /// Ease to be added to the body measure, if the table gives any; negative for a fabric that stretches.
    pub ease: Option<L>,
    /// Finished height of a separate waistband, if the table gives one; it counts at both ends of the crotch seam.
    pub waistband: Option<L>,
    /// A note that is copied into the report.
    pub note: Option<String>,
}

/// What is wanted for a size.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Want<L = Length> {
    /// The crotch length of the body.
    CrotchLength(L),
    /// The same in two parts, divided at the mark on the tape between the legs where the inseam will lie.
    Lengths {
        /// From the front waist to the mark.
        front: L,
        /// From the mark to the back waist.
        back: L,
    },
    /// The difference wanted; a positive one lengthens the seam.
    Change(L),
}

/// The sizes of the drawing; a row for any other size is a problem. `None` if this is not checked.
type Known<'a> = Option<&'a BTreeSet<SizeName>>;

impl SizeTable {
    /// Reads the bytes of a file: a spreadsheet (`.xlsx`, `.ods`), TOML if the path ends in `.toml`, otherwise CSV. The path also
    /// names the file in messages.
    pub fn read(bytes: &[u8], path: &str) -> Result<SizeTable, Problems> {
        SizeTable::read_for(bytes, path, None)
    }

    /// Reads as [`SizeTable::read`] does; a row for an unknown size is a problem.
    pub(crate) fn read_for(bytes: &[u8], path: &str, known: Known<'_>) -> Result<SizeTable, Problems> {
        if Workbook::is(bytes, path) {
            let book = Workbook::read(bytes, path, "size")?;
            let read = |source: &Source, columns: &[&'static str], problems: &mut Found| {
                sheet::read_workbook(source, &book, columns, problems)
            };
            return from_rows(&Source::of(path, &book), known, read);
        }
        let source = Source::new(path, utf8(bytes, path)?);
        let toml = Path::new(path).extension().is_some_and(|e| e.eq_ignore_ascii_case("toml"));
        if toml { from_rows(&source, known, read_toml) } else { from_rows(&source, known, sheet::read_csv) }
    }

    /// Reads CSV with a header and accepts any sizes. The path is for messages only.
    pub fn from_csv(text: &str, path: &str) -> Result<SizeTable, Problems> {
        from_rows(&Source::new(path, text), None, sheet::read_csv)
    }

    /// Reads `[[size]]` tables whose keys are the same as the columns; otherwise as [`SizeTable::from_csv`].
    pub fn from_toml(text: &str, path: &str) -> Result<SizeTable, Problems> {
        from_rows(&Source::new(path, text), None, read_toml)
    }

    /// The same in mm; a number without a unit takes the unit `plain`.
    pub(crate) fn in_mm(&self, plain: Unit) -> SizeTable<Mm> {
        SizeTable { rows: self.rows.iter().map(|row| row.in_mm(plain)).collect() }
    }
}

impl<L> SizeTable<L> {
    /// The row for that size.
    pub fn row(&self, size: &SizeName) -> Option<&SizeRow<L>> {
        self.rows.iter().find(|row| row.size == *size)
    }
}

impl SizeRow {
    fn in_mm(&self, plain: Unit) -> SizeRow<Mm> {
        let mm = |length: Length| length.in_mm(plain);
        let want = match self.want {
            Want::CrotchLength(length) => Want::CrotchLength(mm(length)),
            Want::Lengths { front, back } => Want::Lengths { front: mm(front), back: mm(back) },
            Want::Change(change) => Want::Change(mm(change)),
        };
        SizeRow {
            size: self.size.clone(),
            want,
            unit: self.want.unit(Some(plain)),
            front_share: self.front_share,
            ease: self.ease.map(mm),
            waistband: self.waistband.map(mm),
            note: self.note.clone(),
        }
    }
}

impl Want {
    /// The unit of its number, or of both numbers if they have the same; a number without a unit takes the unit `plain`.
    fn unit(&self, plain: Option<Unit>) -> Option<Unit> {
        let unit = |length: Length| length.unit().or(plain);
        match *self {
            Want::CrotchLength(length) | Want::Change(length) => unit(length),
            Want::Lengths { front, back } => unit(front).filter(|one| unit(back) == Some(*one)),
        }
    }
}

fn read_toml(source: &Source, columns: &[&'static str], problems: &mut Found) -> Vec<Row> {
    sheet::read_toml(source, "size", columns, problems)
}

fn from_rows(
    source: &Source,
    known: Known<'_>,
    read: impl FnOnce(&Source, &[&'static str], &mut Found) -> Vec<Row>,
) -> Result<SizeTable, Problems> {
    let mut problems = Found::default();
    let raw = read(source, COLUMNS, &mut problems);
    if raw.is_empty() && problems.count() == 0 {
        problems.push(
            source.whole("the table has no row for any size").help("write one row for each size to alter"),
        );
    }
    let mut reader = RowReader { source, known, problems };
    let mut starts: BTreeMap<SizeName, usize> = BTreeMap::new();
    let mut rows = Vec::new();
    for row in &raw {
        let read = reader.row(row);
        if let Some(cell) = row.cell("size") {
            let start = row.span.start;
            let before = *starts.entry(SizeName::new(&cell.text)).or_insert(start);
            if before != start {
                let message = format!("size {} is already in {}", quoted(&cell.text), source.row(before));
                reader.report(cell, &message, "leave one row for each size");
            }
        }
        rows.extend(read);
    }
    reader.problems.or(SizeTable { rows })
}

struct RowReader<'a> {
    source: &'a Source<'a>,
    known: Known<'a>,
    problems: Found,
}

impl RowReader<'_> {
    fn report(&mut self, cell: &Cell, message: &str, help: &str) {
        self.problems.at(self.source, cell.span.clone(), message, help);
    }

    /// Reads a row; `None` if a problem was reported.
    fn row(&mut self, row: &Row) -> Option<SizeRow> {
        let size = self.size(row);
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
        let ease = self.length(row, "ease", true);
        let waistband = self.length(row, "waistband", false);
        let want = want?;
        Some(SizeRow {
            size: size?,
            want,
            unit: want.unit(None),
            front_share: front_share?,
            ease: ease.ok()?,
            waistband: waistband.ok()?,
            note: row.cell("note").map(|cell| cell.text.clone()),
        })
    }

    fn size(&mut self, row: &Row) -> Option<SizeName> {
        let Some(cell) = row.cell("size") else {
            let help = "write the size in the column size, as the drawing does";
            self.problems.at(self.source, row.span.clone(), "the row names no size", help);
            return None;
        };
        let size = SizeName::new(&cell.text);
        let Some(known) = self.known.filter(|sizes| !sizes.contains(&size)) else {
            return Some(size);
        };
        let known: Vec<&str> = known.iter().map(SizeName::as_str).collect();
        let there = if known.is_empty() {
            "it has no trouser legs in any size".to_owned()
        } else {
            format!("its sizes are {}", words::listed(known.iter().copied()))
        };
        let perhaps = words::perhaps(size.as_str(), known);
        let message = format!("size {} is not in the drawing", quoted(&cell.text));
        self.report(cell, &message, &format!("{perhaps}{there}; correct the size or take the row out"));
        None
    }

    fn want(&mut self, row: &Row) -> Option<Want> {
        let body = self.body_length(row, "crotch_length");
        let (front, back) = (self.body_length(row, FRONT), self.body_length(row, BACK));
        let change = self.length(row, "change", true);
        let parts = [FRONT, BACK].map(|column| row.cell(column));
        let given = [row.cell("crotch_length"), parts[0].or(parts[1]), row.cell("change")];
        let mut several = given.into_iter().flatten();
        if let (Some(_), Some(cell)) = (several.next(), several.next()) {
            let message = format!("the row gives both {}", named(row, &given));
            self.report(cell, &message, "leave one of them empty");
            return None;
        }
        match parts {
            [Some(cell), None] | [None, Some(cell)] => {
                let (there, other) = if row.cell(FRONT).is_some() { (FRONT, BACK) } else { (BACK, FRONT) };
                let help =
                    "measure both parts with the tape marked between the legs, or give crotch_length alone";
                self.report(cell, &format!("{there} is given without {other}"), help);
                return None;
            }
            [Some(_), Some(_)] => {
                if let Some(cell) = row.cell("front_share") {
                    let help = "the two lengths say the shares: leave front_share empty";
                    self.report(cell, &format!("the row gives front_share beside {FRONT} and {BACK}"), help);
                    return None;
                }
            }
            [None, None] => {}
        }
        if given.iter().all(Option::is_none) {
            let name =
                row.cell("size").map_or_else(String::new, |cell| format!("size {}: ", quoted(&cell.text)));
            let message = format!("{name}neither crotch_length nor change is given");
            let help = "fill in one of the two; a size that is to stay as it is needs no row";
            self.problems.at(self.source, row.span.clone(), &message, help);
            return None;
        }
        Some(match (body.ok()?, front.ok()?.zip(back.ok()?), change.ok()?) {
            (Some(length), ..) => Want::CrotchLength(length),
            (_, Some((front, back)), _) => Want::Lengths { front, back },
            (_, _, change) => Want::Change(change?),
        })
    }

    /// The body measure in that column, which must be above zero.
    fn body_length(&mut self, row: &Row, column: &str) -> Result<Option<Length>, Reported> {
        let length = self.length(row, column, false);
        if let (Ok(Some(none)), Some(cell)) = (&length, row.cell(column))
            && none.number() == 0.0
        {
            let message = format!("{column}: the crotch length of a body cannot be 0");
            let help = "write what was measured, such as 711 mm or 28 in; a size that is to stay as it is has no row";
            self.report(cell, &message, help);
            return Err(Reported);
        }
        length
    }

    /// The length in that column, `None` if the cell is empty. A problem is reported here.
    fn length(&mut self, row: &Row, column: &str, signed: bool) -> Result<Option<Length>, Reported> {
        let Some(cell) = row.cell(column) else { return Ok(None) };
        let read = if signed { length::parse_signed } else { length::parse };
        read(&cell.text, None).map(Some).map_err(|error| {
            self.report(cell, &format!("{column}: {}", error.problem()), length::ACCEPTED);
            Reported
        })
    }
}

/// The names of the columns in which a row says what is wanted, as far as they are filled.
fn named(row: &Row, given: &[Option<&Cell>]) -> String {
    let columns = ["crotch_length", FRONT, "change"];
    let named = columns.iter().zip(given).filter(|(_, cell)| cell.is_some());
    let named = named.map(|(&column, _)| if row.cell(column).is_none() { BACK } else { column });
    named.collect::<Vec<_>>().join(" and ")
}

/// Says that the problem has already been reported.
#[derive(Debug, PartialEq)]
struct Reported;

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn the_body_may_say_both_parts_in_place_of_length_and_share() {
        let header = "size,crotch_length,front_crotch_length,back_crotch_length,change,front_share\n";
        let read = |row: &str| SizeTable::from_csv(&format!("{header}{row}\n"), "s.csv");
        // 13 1/2 in = 342.9 mm.
        let row = read("38,,276,13 1/2 in,,").unwrap().in_mm(Unit::Mm).rows.remove(0);
        let Want::Lengths { front, back } = row.want else { panic!("{row:?}") };
        assert!(front == Mm(276.0) && (back - Mm(342.9)).abs() < Mm(1e-9) && row.unit.is_none());
        assert_eq!(read("38,,276,342,,").unwrap().in_mm(Unit::Mm).rows[0].unit, Some(Unit::Mm));
        for (row, column, message) in [
            ("38,,276,,,", 5, "front_crotch_length is given without back_crotch_length"),
            ("38,,,342,,", 6, "back_crotch_length is given without front_crotch_length"),
            ("38,618,276,342,,", 8, "the row gives both crotch_length and front_crotch_length"),
            ("38,618,,342,,", 9, "the row gives both crotch_length and back_crotch_length"),
            ("38,,276,342,10,", 13, "the row gives both front_crotch_length and change"),
            (
                "38,,276,342,,45%",
                14,
                "the row gives front_share beside front_crotch_length and back_crotch_length",
            ),
            ("38,,0,342,,", 5, "front_crotch_length: the crotch length of a body cannot be 0"),
            ("38,,276,-342,,", 9, "back_crotch_length: '-342' is negative"),
        ] {
            let problems = read(row).unwrap_err();
            let one = problems.iter().next().unwrap();
            assert_eq!((one.column(), one.message()), (Some(column), message), "{row}");
            assert_eq!(problems.iter().count(), 1, "{problems}");
        }
    }

    const HEADER: &str = "size,crotch_length,change,front_share,ease,waistband,note\n";

    fn problems(rows: &str) -> Vec<(usize, usize, String)> {
        let text = format!("{HEADER}{rows}");
        let problems = SizeTable::from_csv(&text, "sizes.csv").unwrap_err();
        problems.iter().map(|p| (p.line().unwrap(), p.column().unwrap(), p.message().to_owned())).collect()
    }

    #[test]
    fn rows_are_read_with_their_defaults() {
        let text = format!("{HEADER}38,\"711,5\",,,,,\n40 Long,,-1/2in,40%,10 mm,\"1 1/2\"\"\",\"a, b\"\n");
        let table = SizeTable::from_csv(&text, "sizes.csv").unwrap().in_mm(Unit::Mm);
        let first = SizeRow {
            size: SizeName::new("38"),
            want: Want::CrotchLength(Mm(711.5)),
            unit: Some(Unit::Mm),
            front_share: Share::HALF,
            ease: None,
            waistband: None,
            note: None,
        };
        // 1/2 in = 12.7 mm, 1 1/2 in = 38.1 mm by the inch of 1959.
        let second = SizeRow {
            size: SizeName::new("40LONG"),
            want: Want::Change(Mm(-12.7)),
            unit: Some(Unit::In),
            front_share: Share::new(0.4).unwrap(),
            ease: Some(Mm(10.0)),
            waistband: Some(Mm(38.1)),
            note: Some("a, b".to_owned()),
        };
        let off = |a: Option<Mm>, b: Option<Mm>| (a.unwrap() - b.unwrap()).abs();
        assert!(off(table.rows[1].waistband, second.waistband) < Mm(1e-9));
        assert_eq!(table.rows[0], first);
        assert_eq!(SizeRow { waistband: second.waistband, ..table.rows[1].clone() }, second);
        assert_eq!(table.rows[1].size.as_str(), "40 Long");
        assert_eq!(table.row(&SizeName::new("40long")), Some(&table.rows[1]));
    }

    #[test]
    fn columns_may_stand_in_any_order_and_semicolons_part_them() {
        let table = SizeTable::from_csv("change;size\r\n12,5;38\r\n", "s.csv").unwrap();
        assert_eq!(table.rows[0].want, Want::Change(Length::new(12.5, None)));
    }

    #[test]
    fn the_same_rows_are_read_from_toml() {
        let csv = format!("{HEADER}38,711.5,,,,,\n40,,\"-12,5 mm\",0.4,10,38.1 mm,hello\n");
        let toml = "[[size]]\nsize = 38\ncrotch_length = 711.5\n\n[[size]]\nsize = \"40\"\n\
                    change = \"-12,5 mm\"\nfront_share = 0.4\nease = 10\nwaistband = \"38.1 mm\"\nnote = \"hello\"\n";
        let csv = SizeTable::from_csv(&csv, "s.csv").unwrap();
        assert_eq!(SizeTable::from_toml(toml, "s.toml").unwrap(), csv);
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
            (7, 4, "crotch_length: the crotch length of a body cannot be 0"),
            (8, 4, "crotch_length: '-700' is negative"),
        ];
        assert_eq!(found, expected.map(|(line, column, message)| (line, column, message.to_owned())));
    }

    #[test]
    fn a_problem_is_shown_as_a_person_reads_it() {
        let problems = SizeTable::from_csv("size,change\n38,5 furlongs\n", "sizes.csv").unwrap_err();
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
    fn sizes_that_the_drawing_lacks_are_pointed_at_with_what_was_probably_meant() {
        let known = ["36", "38", "38 Long"].map(SizeName::from).into();
        let found = |bytes: &[u8], path: &str| {
            let problems = SizeTable::read_for(bytes, path, Some(&known)).unwrap_err();
            problems.iter().map(|p| (p.line(), p.column(), p.to_string())).collect::<Vec<_>>()
        };
        let csv = found(b"change,size\n5,83\n5,38LONG\n5,99\n", "s.csv");
        assert_eq!(csv.len(), 2);
        assert!(csv[0].2.contains("size '83' is not in the drawing"), "{csv:?}");
        assert!(csv[0].2.contains("did you mean '38'? its sizes are 36, 38, 38 Long"), "{csv:?}");
        assert_eq!((csv[0].0, csv[0].1, csv[1].0, csv[1].1), (Some(2), Some(3), Some(4), Some(3)));
        assert!(!csv[1].2.contains("did you mean"), "{csv:?}");
        let toml = found(b"[[size]]\nchange = 5\nsize = 99\n", "s.TOML");
        assert_eq!((toml[0].0, toml[0].1), (Some(3), Some(8)), "{toml:?}");
    }

    /// However long a table is, each problem has its own place, and no more problems are shown than a person would read.
    #[test]
    fn of_a_table_of_bad_rows_the_first_are_shown_whole() {
        let known = [SizeName::from("38")].into();
        let text = "size,change\n".to_owned() + &"99,ten\n".repeat(20_000);
        let problems = SizeTable::read_for(text.as_bytes(), "s.csv", Some(&known)).unwrap_err();
        // The first row has two problems; the others have three, because they also repeat its size.
        assert_eq!(problems.iter().count(), 101);
        for one in problems.iter().take(100) {
            let place = if one.message().starts_with("change") { (4, "ten") } else { (1, "99") };
            assert_eq!((one.column(), one.marked()), (Some(place.0), Some(place.1)), "{one}");
        }
        assert!(problems.to_string().contains("59899 more problems are not shown"));
        assert!(problems.to_string().len() < 50_000);

        // A long table of valid rows must not use up the number of problems that are shown.
        let text = "size,change\n".to_owned()
            + &(0..500).map(|i| i.to_string() + ",5\n").collect::<Vec<_>>().concat()
            + "x,ten\n";
        let one = SizeTable::from_csv(&text, "s.csv").unwrap_err();
        let one = one.iter().next().unwrap();
        assert_eq!((one.line(), one.column(), one.marked()), (Some(502), Some(3), Some("ten")));
    }

    #[test]
    fn a_table_without_rows_is_no_table() {
        for (text, part) in [("", "the table is empty"), (HEADER, "no row for any size")] {
            let shown = SizeTable::from_csv(text, "s.csv").unwrap_err().to_string();
            assert!(shown.contains(part) && shown.contains("s.csv"), "{shown}");
        }
        let shown = SizeTable::from_toml("", "s.toml").unwrap_err().to_string();
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
            let problems = SizeTable::from_toml(text, "s.toml").unwrap_err();
            let one = problems.iter().next().unwrap();
            assert_eq!((one.line(), one.column()), (Some(line), Some(column)), "{one}");
            assert!(one.message().contains(part), "{one}");
        }
    }

    #[test]
    fn bytes_that_are_not_utf8_are_refused() {
        let shown = SizeTable::read(b"size,change,note\n38,5,f\xfcr\n", "s.csv").unwrap_err().to_string();
        assert!(shown.contains("s.csv:2:7") && shown.contains("UTF-8"), "{shown}");
        assert!(SizeTable::read(b"\xff", "s.toml").is_err());
    }

    proptest! {
        #[test]
        fn any_text_is_a_table_or_problems(rows in "(?s)([38,;.\"\n %-]|mm|in|.){0,40}", columns in 0usize..9) {
            let header = COLUMNS[..=columns].join(",");
            for text in [rows.clone(), format!("{header}\n{rows}")] {
                if let Err(problems) = SizeTable::from_csv(&text, "s.csv") {
                    prop_assert!(!problems.to_string().is_empty());
                }
                if let Err(problems) = SizeTable::from_toml(&text, "s.toml") {
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
            let table = SizeTable::read(&text, "s.csv").unwrap();
            let read: Vec<Want> = table.rows.iter().map(|row| row.want).collect();
            prop_assert_eq!(read, changes.iter().map(|&c| Want::Change(Length::new(c, None))).collect::<Vec<_>>());
            prop_assert!(table.rows.iter().all(|row| Some(row.front_share) == Share::new(share)));
        }
    }
}
