//! The order list, which says which drawing is altered by which size table, and how.

use super::diagnostic::{Problems, quoted};
use super::sheet::{self, Cell, Row};
use super::source::{Found, Source, utf8};
use super::workbook::Workbook;
use super::{Allowances, AlterOptions, BlendTo, TurnedIn, length, order_name};
use crate::finding::FindingId;
use crate::job::Deltas;
use crate::pattern::SizeName;
use serde::Serialize;
use std::collections::BTreeMap;
use std::num::NonZeroUsize;
use std::str::FromStr;

/// The columns. After the first four they have the names of the options of `alter`.
const COLUMNS: &[&str] = &[
    "order",
    "drawing",
    "sizes",
    "job",
    "rules",
    "deltas",
    "reference",
    "unit",
    "allowance",
    "fold",
    "size",
    "aim",
    "uneven",
    "blend_to",
    "tolerance",
    "accept",
    "follow",
    "say_altered",
    "no_reread",
];

/// The separator between the values in the cell of an option that can be given more than once.
const SEPARATOR: char = ';';

/// One order: a drawing, its size table, and how it is to be altered. Anything a row does not give is `None` or empty.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Order {
    /// Its name, which is also that of the folder for its results.
    pub name: String,
    /// Path of the drawing, relative to the list.
    pub drawing: String,
    /// Path of the size table, relative to the list.
    pub sizes: String,
    /// Path of the job file, relative to the list.
    pub job: Option<String>,
    /// Path of the grade rule table, relative to the list.
    pub rules: Option<String>,
    /// The size from which the deltas of the rule table are counted.
    pub deltas: Option<Deltas>,
    /// The number of the grade reference line that is used, from 1.
    pub reference: Option<NonZeroUsize>,
    /// How the drawing is read and altered.
    pub alter: AlterOptions,
    /// What is wrong in its row, in one line. Such an order is not carried out.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub wrong: Option<String>,
}

impl Order {
    /// An order that gives only its name, its drawing and its size table.
    #[must_use]
    pub fn new(name: &str, drawing: &str, sizes: &str) -> Self {
        Order {
            name: name.to_owned(),
            drawing: drawing.to_owned(),
            sizes: sizes.to_owned(),
            job: None,
            rules: None,
            deltas: None,
            reference: None,
            alter: AlterOptions::default(),
            wrong: None,
        }
    }
}

/// Reads an order list, CSV with a header. The orders are sorted by name, so that the results do not depend on the order of the
/// rows. The path is for messages only.
///
/// An error in a row concerns only its order ([`Order::wrong`]). The problems returned are those of the list as a whole: wrong
/// columns, rows whose number of cells does not fit them, and wrong names, without which orders cannot be told apart.
pub fn from_csv(text: &str, path: &str) -> Result<Vec<Order>, Problems> {
    let source = Source::new(path, text);
    let mut problems = Found::default();
    let rows = sheet::read_csv(&source, COLUMNS, &mut problems);
    from_rows(&source, &rows, problems)
}

/// As [`from_csv`], but from the bytes of a file: a spreadsheet (`.xlsx`, `.ods`), or CSV, which must be UTF-8.
pub fn read(bytes: &[u8], path: &str) -> Result<Vec<Order>, Problems> {
    if !Workbook::is(bytes, path) {
        return from_csv(utf8(bytes, path)?, path);
    }
    let book = Workbook::read(bytes, path, "order")?;
    let source = Source::of(path, &book);
    let mut problems = Found::default();
    let rows = sheet::read_workbook(&source, &book, COLUMNS, &mut problems);
    from_rows(&source, &rows, problems)
}

fn from_rows(source: &Source<'_>, rows: &[Row], mut problems: Found) -> Result<Vec<Order>, Problems> {
    if rows.is_empty() && problems.count() == 0 {
        problems.push(source.whole("the list has no order").help("write one row for each order"));
    }
    let mut starts: BTreeMap<String, usize> = BTreeMap::new();
    let mut orders = Vec::new();
    for row in rows {
        let Some(name) = name(source, row, &mut starts, &mut problems) else { continue };
        let mut reader = RowReader { source, problems: Found::default() };
        let order = reader.row(row, &name);
        let wrong = reader.problems.or(()).err().map(|problems| problems.brief());
        orders.push(Order { wrong, ..order });
    }
    orders.sort_by(|a, b| a.name.cmp(&b.name));
    problems.or(orders)
}

/// The name of a row's order, if it is valid and no other row has it. `starts` holds the places of the orders read so far, by
/// name.
fn name(
    source: &Source<'_>,
    row: &Row,
    starts: &mut BTreeMap<String, usize>,
    problems: &mut Found,
) -> Option<String> {
    let Some(cell) = row.cell("order") else {
        let help = "give the order a name; its results go into a folder of that name";
        problems.at(source, row.span.clone(), "the row names no order", help);
        return None;
    };
    let mut fit = true;
    if let Err(error) = order_name::check(&cell.text) {
        let message = format!("order {} {error}", quoted(&cell.text));
        problems.at(source, cell.span.clone(), &message, order_name::ACCEPTED);
        fit = false;
    }
    let start = row.span.start;
    let before = *starts.entry(order_name::folded(&cell.text)).or_insert(start);
    if before != start {
        let message = format!("order {} is already in {}", quoted(&cell.text), source.row(before));
        let help = "give each order a name of its own; case makes no difference";
        problems.at(source, cell.span.clone(), &message, help);
        fit = false;
    }
    fit.then(|| cell.text.clone())
}

/// Reads the order of one row and collects the problems of that order.
struct RowReader<'a> {
    source: &'a Source<'a>,
    problems: Found,
}

impl RowReader<'_> {
    fn report(&mut self, cell: &Cell, message: &str, help: &str) {
        self.problems.at(self.source, cell.span.clone(), message, help);
    }

    /// Reads the order of a row. Anything wrong is added to the problems and left out of the order.
    fn row(&mut self, row: &Row, name: &str) -> Order {
        let drawing = self.path(row, "drawing");
        let sizes = self.path(row, "sizes");
        let drawing =
            drawing.unwrap_or_else(|| self.lacking(row, "drawing", "write the path of the drawing"));
        let sizes =
            sizes.unwrap_or_else(|| self.lacking(row, "size table", "write the path of the size table"));
        Order {
            job: self.path(row, "job"),
            rules: self.path(row, "rules"),
            deltas: self.word(row, "deltas"),
            reference: self.value(row, "reference", "write 1, 2 or another whole number", |text| {
                text.parse().map_err(|_| "is no whole number from 1")
            }),
            alter: self.alter(row),
            ..Order::new(name, &drawing, &sizes)
        }
    }

    /// Reads the options of a row.
    fn alter(&mut self, row: &Row) -> AlterOptions {
        let unit =
            self.value(row, "unit", "write mm, cm or in", |text| length::unit(text).ok_or("is no unit"));
        let allowances = list(row.cell("allowance"));
        let folds = list(row.cell("fold"));
        let empty = "correct the cell or empty it";
        AlterOptions {
            unit,
            allowance: self
                .read(row, "allowance", "write allowances such as all=10mm; hem=40mm", |_| {
                    Allowances::parse(allowances.iter().map(String::as_str))
                })
                .unwrap_or_default(),
            fold: self
                .read(row, "fold", "write folds such as waist=35mm; hem=40mm", |_| {
                    TurnedIn::parse(folds.iter().map(String::as_str))
                })
                .unwrap_or_default(),
            only: list(row.cell("size")).into_iter().map(SizeName::new).collect(),
            aim: self.word(row, "aim"),
            uneven: self.word(row, "uneven"),
            blend_to: self.read(row, "blend_to", empty, |text| BlendTo::parse(text, None)),
            tolerance: self.read(row, "tolerance", empty, |text| length::parse(text, None)),
            accept: self.accept(row),
            follow: self.yes_or_no(row, "follow"),
            say_altered: self.yes_or_no(row, "say_altered"),
            no_reread: self.yes_or_no(row, "no_reread"),
        }
    }

    fn yes_or_no(&mut self, row: &Row, column: &str) -> Option<bool> {
        self.value(row, column, "write yes or no", |text| match text {
            "yes" => Ok(true),
            "no" => Ok(false),
            _ => Err("is neither yes nor no"),
        })
    }

    /// Reports a cell that is missing in the row, and returns an empty text in its place.
    fn lacking(&mut self, row: &Row, what: &str, help: &str) -> String {
        let message = format!("the row names no {what}");
        self.problems.at(self.source, row.span.clone(), &message, help);
        String::new()
    }

    fn path(&mut self, row: &Row, column: &str) -> Option<String> {
        let cell = row.cell(column)?;
        if cell.text == "-" {
            let help = "write the path of a file; what is piped in can be read once only, not by orders";
            self.report(cell, &format!("{column}: '-' is no path"), help);
        }
        if cell.text.contains(char::is_control) {
            self.report(
                cell,
                &format!("{column}: the path has a control character in it"),
                "correct the path",
            );
        }
        Some(cell.text.clone())
    }

    fn value<T>(
        &mut self,
        row: &Row,
        column: &str,
        help: &str,
        parse: impl FnOnce(&str) -> Result<T, &'static str>,
    ) -> Option<T> {
        let cell = row.cell(column)?;
        let value = parse(&cell.text.to_lowercase());
        value.map_err(|why| self.report(cell, &format!("{column}: {} {why}", quoted(&cell.text)), help)).ok()
    }

    fn word<T: FromStr<Err = super::UnknownWord>>(&mut self, row: &Row, column: &str) -> Option<T> {
        let cell = row.cell(column)?;
        let read = cell.text.parse();
        read.map_err(|error: super::UnknownWord| {
            let message = format!("{column}: {} is not known", quoted(&cell.text));
            self.report(cell, &message, &error.help());
        })
        .ok()
    }

    /// Reads a cell unless it is empty; anything wrong is added to the problems.
    fn read<T, E: std::fmt::Display>(
        &mut self,
        row: &Row,
        column: &str,
        help: &str,
        parse: impl FnOnce(&str) -> Result<T, E>,
    ) -> Option<T> {
        let cell = row.cell(column)?;
        parse(&cell.text).map_err(|error| self.report(cell, &format!("{column}: {error}"), help)).ok()
    }

    fn accept(&mut self, row: &Row) -> Vec<FindingId> {
        let Some(cell) = row.cell("accept") else { return Vec::new() };
        let mut ids = Vec::new();
        for text in list(Some(cell)) {
            match text.parse() {
                Ok(id) => ids.push(id),
                Err(error) => {
                    let help = format!("part several ids by '{SEPARATOR}'");
                    self.report(cell, &format!("accept: {error}"), &help);
                }
            }
        }
        ids
    }
}

/// The values of a cell that may hold several, without empty ones.
fn list(cell: Option<&Cell>) -> Vec<String> {
    let texts = cell.into_iter().flat_map(|cell| cell.text.split(SEPARATOR));
    texts.map(str::trim).filter(|text| !text.is_empty()).map(ToOwned::to_owned).collect()
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;
    use crate::job::{Aim, Uneven};
    use crate::units::{Length, Unit};
    use proptest::prelude::*;

    #[test]
    fn rows_are_read_and_come_by_name() {
        let text = "order,drawing,sizes,job,aim,uneven,blend-to,tolerance,accept,size,unit,allowance,no reread\n\
                    b,orders/b.dxf,t.csv,,,,,,,,,,\n\
                    a,a.dxf,t.toml,j.toml,distance,fork,25 cm,1/16in,fork-angle; inseam-mismatch,38; 40 L,in,all=10mm;hem=4cm,yes\n";
        let orders = from_csv(text, "orders.csv").unwrap();
        assert_eq!(orders[1], Order::new("b", "orders/b.dxf", "t.csv"));
        let a = Order {
            job: Some("j.toml".to_owned()),
            alter: AlterOptions {
                unit: Some(Unit::In),
                allowance: Allowances::parse(["all=10mm", "hem=4cm"]).unwrap(),
                only: ["38", "40 L"].map(SizeName::new).to_vec(),
                aim: Some(Aim::Distance),
                uneven: Some(Uneven::Fork),
                blend_to: Some(BlendTo::Length(Length::new(25.0, Some(Unit::Cm)))),
                tolerance: Some(Length::new(1.0 / 16.0, Some(Unit::In))),
                accept: vec![FindingId::ForkAngle, FindingId::InseamMismatch],
                no_reread: Some(true),
                ..AlterOptions::default()
            },
            ..Order::new("a", "a.dxf", "t.toml")
        };
        assert_eq!(orders[0], a);
    }

    /// The name of each faulty order of a list, and what is wrong with it.
    fn wrong(text: &str) -> Vec<(String, String)> {
        let orders = from_csv(text, "orders.csv").unwrap();
        orders.into_iter().filter_map(|order| Some((order.name, order.wrong?))).collect()
    }

    #[test]
    fn every_bad_cell_is_reported_with_its_place_and_stays_its_own_orders() {
        let rows = [
            ("aim", "far", "aim: 'far' is not known"),
            ("uneven", "forks", "uneven: 'forks' is not known"),
            ("blend_to", "ankle", "blend_to: neither knee nor hem nor a length"),
            ("tolerance", "-1", "tolerance: '-1' is negative"),
            ("accept", "nothing", "accept: no finding is called 'nothing'"),
            ("unit", "ell", "unit: 'ell' is no unit"),
            ("allowance", "all=x", "allowance: "),
            ("fold", "waist=x", "fold: "),
            ("follow", "1", "follow: '1' is neither yes nor no"),
            ("no_reread", "maybe", "no_reread: 'maybe' is neither yes nor no"),
            ("reference", "0", "reference: '0' is no whole number from 1"),
            ("deltas", "both", "deltas: 'both' is not known"),
            ("job", "-", "job: '-' is no path"),
        ];
        for (column, cell, reason) in rows {
            let text = format!("order,drawing,sizes,{column}\nsound,a.dxf,t.csv,\nbad,a.dxf,t.csv,{cell}\n");
            let found = wrong(&text);
            assert_eq!(found.len(), 1, "{column}: {found:?}");
            let (order, told) = &found[0];
            assert_eq!(order, "bad");
            assert!(told.starts_with(&format!("orders.csv:3:17: {reason}")), "{told}");
            assert!(told.contains("; "), "says not what to do: {told}");
        }
    }

    #[test]
    fn an_order_that_lacks_its_files_says_so_and_how_much_more_is_wrong() {
        let found = wrong("order,drawing,sizes,unit\na,,,ell\nb,a.dxf,t.csv,\n");
        let told = "orders.csv:2:1: the row names no drawing; write the path of the drawing (and 2 more)";
        assert_eq!(found, [("a".to_owned(), told.to_owned())]);
    }

    #[test]
    fn names_without_which_no_order_can_be_told_from_another_are_problems_of_the_list() {
        let text = "order,drawing,sizes,uneven\n..,a.dxf,t.csv,\nx,a.dxf,t.csv,forks\nX,a.dxf,t.csv,\n,a.dxf,t.csv,\n";
        let problems = from_csv(text, "orders.csv").unwrap_err();
        let found: Vec<_> =
            problems.iter().map(|p| (p.line().unwrap(), p.column().unwrap(), p.message())).collect();
        let expected = [
            (2, 1, "order '..' starts with a dot"),
            (4, 1, "order 'X' is already in line 3"),
            (5, 1, "the row names no order"),
        ];
        assert_eq!(found, expected);
    }

    #[test]
    fn a_list_without_orders_or_with_foreign_columns_is_none() {
        for (text, part) in [
            ("", "the table is empty"),
            ("order,drawing,sizes\n", "the list has no order"),
            ("order,drawing,sizes,colour\na,a.dxf,t.csv,red\n", "'colour' is no column of this table"),
        ] {
            let shown = from_csv(text, "o.csv").unwrap_err().to_string();
            assert!(shown.contains(part), "{shown}");
        }
    }

    proptest! {
        #[test]
        fn any_text_is_a_list_or_problems(text in "(?s)(order|drawing|sizes|accept|,|\n|\"|;|\\.\\./|a|.){0,40}") {
            match from_csv(&text, "o.csv") {
                Ok(orders) => prop_assert!(orders.iter().all(|o| order_name::check(&o.name).is_ok())),
                Err(problems) => prop_assert!(!problems.to_string().is_empty()),
            }
        }
    }
}
