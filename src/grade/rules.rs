//! The grade rule table: how far each numbered point moves from size to size.
//!
//! The keys are those of the open standard as they are commonly given (from memory): `UNITS`, `GRADE RULE TABLE`, `SAMPLE SIZE`,
//! `NUMBER OF SIZES`, `SIZE LIST`, `RULE: DELTA n`, `END`. The lines of the head may come in any order, keys are compared without
//! regard to case and blanks. A head line with an unknown key is kept and written again; one of these, `DELTAS`, says from which
//! size the deltas are counted. Everything else that is not understood is a problem.

use crate::job::Deltas;
use crate::job::diagnostic::{Problems, quoted};
use crate::job::source::{Found, Source};
use crate::pattern::SizeName;
use crate::units::{Unit, plain};
use kurbo::Vec2;
use std::collections::{BTreeMap, HashSet};
use std::fmt::Write as _;
use std::ops::Range;

/// The longest delta accepted, in mm. The step between two sizes is some millimetres, and this limit is longer than a trouser
/// leg.
pub(super) const LONGEST: f64 = 2000.0;

/// The key of the head line that says from which size the deltas are counted. It is this program's own, because the standard
/// leaves this open.
const COUNTED: &str = "DELTAS";

fn words(deltas: Deltas) -> &'static str {
    match deltas {
        Deltas::Base => "FROM THE SAMPLE SIZE",
        Deltas::Step => "FROM SIZE TO SIZE",
    }
}

/// A grade rule table. Deltas are in millimetres, along and across the grade reference line.
#[derive(Clone, Debug, PartialEq)]
pub struct RuleTable {
    /// The unit it is written in.
    pub unit: Unit,
    /// Its name; empty if it has none.
    pub name: String,
    /// The sample size, in which the base is drawn.
    pub sample: SizeName,
    /// Every size, in the order of the range.
    pub sizes: Vec<SizeName>,
    /// For each rule number one delta for each size, in mm. From which size they are counted is said by the head or by the user.
    pub rules: BTreeMap<u32, Vec<Vec2>>,
    /// Further head lines, key and value.
    pub others: Vec<(String, String)>,
}

impl RuleTable {
    /// Reads a table; `path` names it in messages. All that is wrong is reported together.
    pub fn read(bytes: &[u8], path: &str) -> Result<Self, Problems> {
        // The standard uses 7-bit ASCII. Other characters occur only in the name, and then in a code page.
        let text = match std::str::from_utf8(bytes) {
            Ok(text) => text.into(),
            Err(_) => encoding_rs::WINDOWS_1252.decode_without_bom_handling(bytes).0,
        };
        Reader::new(Source::new(path, &text)).read()
    }

    /// The head line that says from which size the deltas are counted.
    #[must_use]
    pub(crate) fn counted_from(deltas: Deltas) -> (String, String) {
        (COUNTED.to_owned(), words(deltas).to_owned())
    }

    /// From which size the deltas are counted, if the head says so.
    #[must_use]
    pub fn deltas(&self) -> Option<Deltas> {
        let (_, said) = self.others.iter().find(|(key, _)| key.eq_ignore_ascii_case(COUNTED))?;
        [Deltas::Base, Deltas::Step].into_iter().find(|&deltas| said.eq_ignore_ascii_case(words(deltas)))
    }

    /// The index of the sample size in the list of sizes.
    #[must_use]
    pub(crate) fn sample_index(&self) -> Option<usize> {
        self.sizes.iter().position(|s| *s == self.sample)
    }

    /// The table as a file, in its unit, with CRLF line ends.
    #[must_use]
    pub fn write(&self) -> Vec<u8> {
        // The standard does not provide for centimetres.
        let (unit, word) = if self.unit == Unit::In { (Unit::In, "ENGLISH") } else { (Unit::Mm, "METRIC") };
        // 0.0001 mm, and 0.00001 in, which is 0.00025 mm: both lie far below what a cutter can follow.
        let decimals = if unit == Unit::In { 5 } else { 4 };
        let names: Vec<&str> = self.sizes.iter().map(SizeName::as_str).collect();
        let between = if names.iter().any(|n| n.contains(char::is_whitespace)) { ", " } else { " " };
        let mut out = format!(
            "UNITS: {word}\r\nGRADE RULE TABLE: {}\r\nSAMPLE SIZE: {}\r\nNUMBER OF SIZES: {}\r\nSIZE LIST: {}\r\n",
            self.name,
            self.sample,
            names.len(),
            names.join(between)
        );
        // Writing to a String cannot fail.
        for (key, value) in &self.others {
            let _ = write!(out, "{key}: {value}\r\n");
        }
        for (number, deltas) in &self.rules {
            let _ = write!(out, "RULE: DELTA {number}\r\n");
            let number = |v: f64| {
                let text = format!("{:.decimals$}", v / unit.in_mm());
                // A zero is written without a sign.
                match text.strip_prefix('-') {
                    Some(rest) if rest.bytes().all(|b| matches!(b, b'0' | b'.')) => rest.to_owned(),
                    _ => text,
                }
            };
            let row: Vec<String> =
                deltas.iter().map(|d| format!("{},{}", number(d.x), number(d.y))).collect();
            let _ = write!(out, "{}\r\n", row.join("  "));
        }
        out += "END\r\n";
        out.into_bytes()
    }
}

/// A value of the file and its place.
#[derive(Clone, Debug)]
struct Cell<'s> {
    text: &'s str,
    span: Range<usize>,
}

/// A rule as it is written. Its numbers are evaluated once the unit and the sizes are known.
struct RawRule<'s> {
    number: u32,
    head: Range<usize>,
    numbers: Vec<Cell<'s>>,
}

struct Reader<'s> {
    source: Source<'s>,
    problems: Found,
    head: BTreeMap<&'static str, Cell<'s>>,
    /// Lines that continue the list of sizes.
    more_sizes: Vec<Cell<'s>>,
    others: Vec<(String, String)>,
    rules: Vec<RawRule<'s>>,
    ended: bool,
}

/// The keys of the head in lower case without blanks, and as they are written in messages.
const KEYS: [(&str, &str); 5] = [
    ("units", "UNITS"),
    ("graderuletable", "GRADE RULE TABLE"),
    ("samplesize", "SAMPLE SIZE"),
    ("numberofsizes", "NUMBER OF SIZES"),
    ("sizelist", "SIZE LIST"),
];

/// What a line without a key continues.
#[derive(Clone, Copy, PartialEq)]
enum After {
    Nothing,
    Sizes,
    Rule,
    BadRule,
}

impl<'s> Reader<'s> {
    fn new(source: Source<'s>) -> Self {
        Reader {
            source,
            problems: Found::default(),
            head: BTreeMap::new(),
            more_sizes: Vec::new(),
            others: Vec::new(),
            rules: Vec::new(),
            ended: false,
        }
    }

    fn problem(&mut self, span: Range<usize>, message: &str, help: &str) {
        self.problems.at(&self.source, span, message, help);
    }

    fn missing(&mut self, message: &str, help: &str) {
        let problem = self.source.whole(message).help(help);
        self.problems.push(problem);
    }

    fn read(mut self) -> Result<RuleTable, Problems> {
        self.lines();
        if !self.ended {
            self.missing(
                "the table has no END",
                "it was cut short; get the whole file, or write END as its last line",
            );
        }
        let unit = self.unit();
        let sizes = self.sizes();
        let sample = self.sample(&sizes);
        let rules = self.deltas(unit, &sizes, &sample);
        let name = self.head.get("graderuletable").map_or(String::new(), |c| c.text.to_owned());
        self.problems.or(RuleTable { unit, name, sample, sizes, rules, others: self.others })
    }

    fn lines(&mut self) {
        let text = self.source.text();
        let mut after = After::Nothing;
        let mut at = 0;
        for line in text.split_inclusive(['\n', '\r']) {
            let start = at + (line.len() - line.trim_start().len());
            at += line.len();
            let line = line.trim();
            let span = start..start + line.len();
            if line.is_empty() {
                continue;
            }
            if self.ended {
                self.problem(span, "there is something after END", "move it before END, or delete it");
                return;
            }
            if line.eq_ignore_ascii_case("END") {
                self.ended = true;
            } else if let Some((key, value)) = line.split_once(':') {
                let value_start = start + key.len() + 1 + (value.len() - value.trim_start().len());
                let value = value.trim();
                let cell = Cell { text: value, span: value_start..value_start + value.len() };
                after = self.keyed(key.trim(), cell, span);
            } else {
                self.unkeyed(line, span, after);
            }
        }
    }

    /// Reads a line with a key, and returns what following lines without one continue.
    fn keyed(&mut self, key: &str, cell: Cell<'s>, line: Range<usize>) -> After {
        let plain: String = key.chars().filter(|c| !c.is_whitespace()).flat_map(char::to_lowercase).collect();
        if plain == "rule" {
            return self.rule(&cell, line);
        }
        let Some((known, written)) = KEYS.into_iter().find(|(k, _)| *k == plain) else {
            self.others.push((key.to_owned(), cell.text.to_owned()));
            return After::Nothing;
        };
        if self.head.contains_key(known) {
            self.problem(line, &format!("{written} is given twice"), "keep one of the two lines");
            return After::Nothing;
        }
        self.head.insert(known, cell);
        if known == "sizelist" { After::Sizes } else { After::Nothing }
    }

    fn rule(&mut self, cell: &Cell<'s>, line: Range<usize>) -> After {
        let mut words = cell.text.split_whitespace();
        let (kind, number, rest) = (words.next().unwrap_or(""), words.next().unwrap_or(""), words.next());
        if !kind.eq_ignore_ascii_case("DELTA") || rest.is_some() {
            let message = format!("the rule {} is not of the form RULE: DELTA n", quoted(cell.text));
            self.problem(line, &message, "write it as deltas along and across the grade reference line");
            return After::BadRule;
        }
        let Some(number) = number.parse::<u32>().ok().filter(|_| number.bytes().all(|b| b.is_ascii_digit()))
        else {
            let message = format!("{} is not the number of a rule", quoted(number));
            self.problem(
                cell.span.clone(),
                &message,
                "write RULE: DELTA and a whole number, such as RULE: DELTA 7",
            );
            return After::BadRule;
        };
        if let Some(first) = self.rules.iter().find(|r| r.number == number) {
            let message =
                format!("rule {number} is given twice, first in line {}", self.source.line(first.head.start));
            self.problem(line, &message, "keep one of the two, or give one another number");
            return After::BadRule;
        }
        self.rules.push(RawRule { number, head: line, numbers: Vec::new() });
        After::Rule
    }

    fn unkeyed(&mut self, line: &'s str, span: Range<usize>, after: After) {
        match after {
            After::Sizes => self.more_sizes.push(Cell { text: line, span }),
            After::Rule => {
                let mut numbers = cells(line, span.start);
                if let Some(rule) = self.rules.last_mut() {
                    rule.numbers.append(&mut numbers);
                }
            }
            // The rule's own line has been reported.
            After::BadRule => {}
            After::Nothing => {
                let message = format!("{} is neither a line with a key nor a row of deltas", quoted(line));
                self.problem(
                    span,
                    &message,
                    "deltas stand below their RULE: DELTA n; all else is KEY: value",
                );
            }
        }
    }

    fn unit(&mut self) -> Unit {
        let Some(cell) = self.head.get("units").cloned() else {
            self.missing(
                "the table does not say its unit",
                "add a line UNITS: METRIC (mm) or UNITS: ENGLISH (inch)",
            );
            return Unit::Mm;
        };
        crate::pattern::unit_of_word(cell.text).unwrap_or_else(|| {
            let message = format!("{} is not a unit", quoted(cell.text));
            self.problem(cell.span, &message, "write UNITS: METRIC (mm) or UNITS: ENGLISH (inch)");
            Unit::Mm
        })
    }

    /// The sizes of the list, which may take several lines.
    fn sizes(&mut self) -> Vec<SizeName> {
        let Some(list) = self.head.get("sizelist").cloned() else {
            self.missing("the table has no list of sizes", "add a line such as SIZE LIST: 36 38 40");
            return Vec::new();
        };
        let mut lines = vec![list];
        lines.append(&mut self.more_sizes);
        let by_comma = lines.iter().any(|l| l.text.contains(','));
        let mut sizes: Vec<SizeName> = Vec::new();
        let mut known: HashSet<SizeName> = HashSet::new();
        for line in &lines {
            let names: Vec<&str> = if by_comma {
                let text = line.text.strip_suffix(',').unwrap_or(line.text);
                text.split(',').map(str::trim).collect()
            } else {
                line.text.split_whitespace().collect()
            };
            for name in names {
                let size = SizeName::new(name);
                let span = line.span.clone();
                if size.is_blank() {
                    self.problem(span, "a size has no name", "delete the comma too many, or name it");
                } else if !known.insert(size.clone()) {
                    let message = format!("the size {} is in the list twice", quoted(name));
                    self.problem(span, &message, "keep it once");
                } else {
                    sizes.push(size);
                }
            }
        }
        self.count_agrees(sizes.len());
        sizes
    }

    /// Checks that the table states this number of sizes.
    fn count_agrees(&mut self, sizes: usize) {
        match self.head.get("numberofsizes").cloned() {
            None => self.missing(
                "the table does not say how many sizes it has",
                &format!("add a line NUMBER OF SIZES: {sizes}"),
            ),
            Some(cell) if cell.text.parse::<usize>().ok() != Some(sizes) => {
                let message =
                    format!("NUMBER OF SIZES is {}, and the list has {sizes} sizes", quoted(cell.text));
                let remedy = "put right the number or SIZE LIST; names with blanks need commas";
                self.problem(cell.span, &message, remedy);
            }
            Some(_) => {}
        }
    }

    fn sample(&mut self, sizes: &[SizeName]) -> SizeName {
        let Some(cell) = self.head.get("samplesize").cloned() else {
            self.missing("the table does not say its sample size", "add a line such as SAMPLE SIZE: 38");
            return SizeName::new("");
        };
        let sample = SizeName::new(cell.text);
        if !sizes.is_empty() && !sizes.contains(&sample) {
            let message = format!("the sample size {} is not in the list of sizes", quoted(cell.text));
            self.problem(cell.span, &message, "add it to SIZE LIST, with a delta 0,0 in every rule");
        }
        sample
    }

    fn deltas(&mut self, unit: Unit, sizes: &[SizeName], sample: &SizeName) -> BTreeMap<u32, Vec<Vec2>> {
        let raw = std::mem::take(&mut self.rules);
        if raw.is_empty() {
            self.missing("the table has no rules", "add RULE: DELTA n and its deltas");
        }
        let at_sample = sizes.iter().position(|s| s == sample);
        let mut rules = BTreeMap::new();
        for RawRule { number, head, numbers } in raw {
            if numbers.len() != 2 * sizes.len() && !sizes.is_empty() {
                let (have, want) = (numbers.len(), 2 * sizes.len());
                let message =
                    format!("rule {number} has {have} numbers, and {} sizes need {want}", sizes.len());
                self.problem(head.clone(), &message, "give one pair X,Y for each size, with decimal points");
            }
            let values: Vec<f64> = numbers.iter().map(|cell| self.number(number, cell, unit)).collect();
            let row: Vec<Vec2> = values.chunks_exact(2).map(|xy| Vec2::new(xy[0], xy[1])).collect();
            if let Some(delta) = at_sample.and_then(|i| row.get(i)).filter(|d| **d != Vec2::ZERO) {
                let message = format!(
                    "rule {number} moves the sample size itself, by {},{} mm",
                    plain(delta.x, 4),
                    plain(delta.y, 4)
                );
                self.problem(
                    head,
                    &message,
                    "the sample size is the one that is drawn: its delta must be 0,0",
                );
            }
            rules.insert(number, row);
        }
        rules
    }

    fn number(&mut self, rule: u32, cell: &Cell<'_>, unit: Unit) -> f64 {
        let Some(value) = crate::dxf_text::number::parse(cell.text.as_bytes()) else {
            let message = format!("{} in rule {rule} is not a number", quoted(cell.text));
            self.problem(
                cell.span.clone(),
                &message,
                "write it with digits and a decimal point, such as -3.25",
            );
            return 0.0;
        };
        let mm = unit.mm(value).0;
        if mm.abs() > LONGEST {
            let message = format!("{} in rule {rule} is more than {LONGEST} mm", quoted(cell.text));
            self.problem(cell.span.clone(), &message, "put right the delta or the table's UNITS");
        }
        mm
    }
}

/// The numbers of a row, separated by commas and blanks. An empty place between two commas is kept, so that it is reported.
fn cells(line: &str, start: usize) -> Vec<Cell<'_>> {
    let mut found = Vec::new();
    let mut at = start;
    for part in line.split_inclusive(|c: char| c == ',' || c.is_whitespace()) {
        let text = part.trim_end_matches(|c: char| c == ',' || c.is_whitespace());
        let empty_by_comma =
            text.is_empty() && part.starts_with(',') && line[..at - start].trim_end().ends_with(',');
        if !text.is_empty() || empty_by_comma {
            found.push(Cell { text, span: at..at + text.len() });
        }
        at += part.len();
    }
    found
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;
    use proptest::prelude::*;

    const TABLE: &str = "UNITS: METRIC\nGRADE RULE TABLE: TROUSER A\nSAMPLE SIZE: 38\nNUMBER OF SIZES: 3\nSIZE LIST: 36 38 40\n\
        RULE: DELTA 1\n-5.0,0.0  0.0,0.0  5.0,0.0\nRULE: DELTA 2\n-7.0,-3.5  0.0,0.0  7.0,3.5\nEND\n";

    fn read(text: &str) -> Result<RuleTable, Problems> {
        RuleTable::read(text.as_bytes(), "t.rul")
    }

    #[test]
    fn reads_the_standards_form() {
        let table = read(TABLE).unwrap();
        assert_eq!((table.unit, table.name.as_str(), table.sample.as_str()), (Unit::Mm, "TROUSER A", "38"));
        assert_eq!(table.sizes, ["36", "38", "40"].map(SizeName::from));
        assert_eq!(table.rules[&2], [Vec2::new(-7.0, -3.5), Vec2::ZERO, Vec2::new(7.0, 3.5)]);
        assert_eq!(table.sample_index(), Some(1));
    }

    #[test]
    fn order_case_blanks_and_wrapping_do_not_matter() {
        let text = "author: pattern room\r\nsize list : 36, 38,\r\n 40\r\nSampleSize:38\r\nnumber  of sizes: 3\r\nUNITS:english\r\n\
            rule: delta 01\r\n-0.5 0\r\n0,0\r\n\r\n.5 , 1e-1\r\nend\r\n";
        let table = read(text).unwrap();
        // 1 in is 25.4 mm by definition.
        let wanted = [Vec2::new(-12.7, 0.0), Vec2::ZERO, Vec2::new(12.7, 2.54)];
        assert!(table.rules[&1].iter().zip(wanted).all(|(a, b)| (*a - b).hypot() < 1e-12));
        assert_eq!(table.others, [("author".to_owned(), "pattern room".to_owned())]);
    }

    #[test]
    fn what_is_written_reads_the_same() {
        for text in
            [TABLE.to_owned(), TABLE.replace("36 38 40", "36 S, 38, 40"), TABLE.replace("METRIC", "ENGLISH")]
        {
            let table = read(&text).unwrap();
            let again = RuleTable::read(&table.write(), "t.rul").unwrap();
            assert_eq!(again, table);
        }
    }

    #[test]
    fn problems_name_line_and_remedy() {
        for (from, to, line, part) in [
            ("5.0,0.0\nRULE", "5.0,nan\nRULE", Some(7), "'nan' in rule 1 is not a number"),
            ("5.0,0.0\nRULE", "5.0,1e999\nRULE", Some(7), "is not a number"),
            (
                "-5.0,0.0  0.0,0.0  5.0,0.0",
                "-5,0,0,0  0,0,0,0  5,0,0,0",
                Some(6),
                "has 12 numbers, and 3 sizes need 6",
            ),
            ("5.0,0.0\nRULE", "5.0,,0.0\nRULE", Some(7), "'' in rule 1"),
            ("5.0,0.0\nRULE", "9999,0.0\nRULE", Some(7), "more than 2000 mm"),
            ("  5.0,0.0\nRULE", "\nRULE", Some(6), "has 4 numbers"),
            ("DELTA 2", "DELTA 1", Some(8), "rule 1 is given twice, first in line 6"),
            ("DELTA 2", "DELTA -2", Some(8), "'-2' is not the number of a rule"),
            ("DELTA 2", "ANGLE 2", Some(8), "not of the form RULE: DELTA n"),
            ("36 38 40", "36 38 38", Some(5), "in the list twice"),
            ("NUMBER OF SIZES: 3", "NUMBER OF SIZES: 4", Some(4), "the list has 3 sizes"),
            ("NUMBER OF SIZES: 3\n", "", None, "how many sizes"),
            ("SIZE LIST: 36 38 40\n", "", None, "no list of sizes"),
            ("SAMPLE SIZE: 38", "SAMPLE SIZE: 39", Some(3), "'39' is not in the list"),
            ("SAMPLE SIZE: 38", "SAMPLE SIZE: 40", Some(6), "moves the sample size itself"),
            ("SAMPLE SIZE: 38\n", "", None, "does not say its sample size"),
            ("UNITS: METRIC", "UNITS: ELLS", Some(1), "'ELLS' is not a unit"),
            ("UNITS: METRIC\n", "", None, "does not say its unit"),
            ("UNITS: METRIC\n", "UNITS: METRIC\nUNITS: METRIC\n", Some(2), "UNITS is given twice"),
            ("UNITS: METRIC\n", "UNITS: METRIC\n1.0,2.0\n", Some(2), "neither a line with a key"),
            ("END\n", "", None, "no END"),
            ("END\n", "END\nRULE: DELTA 3\n", Some(11), "after END"),
        ] {
            assert!(TABLE.contains(from), "{from}");
            let problems = read(&TABLE.replacen(from, to, 1)).unwrap_err();
            let found = problems.iter().any(|p| p.line() == line && p.message().contains(part));
            assert!(found, "{part}: {problems}");
        }
    }

    #[test]
    fn all_problems_come_together() {
        let text = TABLE.replace("METRIC", "ELLS").replace("7.0,3.5", "7.0,x").replace("END", "");
        assert_eq!(read(&text).unwrap_err().iter().count(), 3);
    }

    proptest! {
        #[test]
        fn any_text_is_a_table_or_problems(
            text in "(?s)((UNITS: METRIC|SAMPLE SIZE: 3|NUMBER OF SIZES: 1|SIZE LIST: 3|RULE: DELTA 1|END|[0-9., -]{0,9}|.{0,9})\r?\n){0,12}"
        ) {
            if let Err(problems) = read(&text) {
                prop_assert!(!problems.to_string().is_empty());
            }
        }
    }
}
