//! What each fuzzing target does with its bytes, and what must hold whatever they are. The fuzz crate runs these under
//! libFuzzer; `tests/inside/corpus.rs` runs the same functions over the committed corpus.
#![allow(dead_code, unused_imports, reason = "each target runs one of them")]

mod alter;
mod check;
mod dxf_text;
mod grade;
mod plot;
mod spreadsheet;
mod untouched;

pub use alter::{alter, altered, folded, folds, followed, plain};
pub use check::{check, checked};
pub use dxf_text::dxf_text;
pub use grade::{grade, graded};
pub use plot::{plot, plotted};
pub use spreadsheet::{filled_in, spreadsheet};

use crate::dxf_text::Drawing;
use crate::finding::Finding;
use crate::grade::RuleTable;
use crate::job::{Job, Problems, SizeTable, Want, length};
use crate::order::{self, Opened};
use crate::pattern::Reading;
use crate::units::{Mm, Unit};

const UNITS: [Unit; 3] = [Unit::Mm, Unit::Cm, Unit::In];

/// The line that parts an input of two files.
const PARTING: &[u8] = b"\n=====\n";

/// The two files of an input, or the one.
fn parted(bytes: &[u8]) -> (&[u8], Option<&[u8]>) {
    match bytes.windows(PARTING.len()).position(|w| w == PARTING) {
        Some(at) => (&bytes[..=at], Some(&bytes[at + PARTING.len()..])),
        None => (bytes, None),
    }
}

fn open(bytes: &[u8]) -> Option<Opened<'_>> {
    open_as(bytes, &Reading { unit: Some(Unit::In), ..Reading::default() })
}

fn open_as<'a>(bytes: &'a [u8], reading: &Reading) -> Option<Opened<'a>> {
    let drawing = Drawing::scan(bytes).ok()?;
    order::open("drawing", bytes, drawing, reading).ok()
}

/// A finding has a message, and a line and a place that are there.
fn reported(findings: &[Finding], text: &[u8]) {
    let lines = text.iter().filter(|b| matches!(b, b'\n' | b'\r')).count() + 1;
    for one in findings {
        assert!(!one.message.is_empty(), "{one:?}");
        assert!(one.line.is_none_or(|line| (1..=lines).contains(&line)), "{lines} lines: {one:?}");
        assert!(one.at.is_none_or(|p| p.iter().all(|v| v.is_finite())), "{one:?}");
    }
}

/// A problem has a message in one line, a place inside the text, and can be shown with and without colours.
fn told(problems: &Problems, bytes: &[u8]) {
    told_within(problems, bytes.iter().filter(|b| matches!(b, b'\n' | b'\r')).count() + 1, bytes.len() + 1);
}

fn told_within(problems: &Problems, lines: usize, columns: usize) {
    assert!(problems.iter().next().is_some(), "a refusal without a problem");
    for one in problems {
        assert!(!one.message().is_empty() && !one.message().contains(['\n', '\r']), "{:?}", one.message());
        assert!(
            one.line().is_none_or(|line| (1..=lines).contains(&line)),
            "line {:?} of {lines}",
            one.line()
        );
        assert!(one.column().is_none_or(|column| (1..=columns).contains(&column)), "{:?}", one.column());
    }
    let shown = problems.render(false);
    assert!(!shown.contains('\u{1b}'), "a message steers the terminal: {shown:?}");
    assert!(problems.render(true).len() >= shown.len());
}

/// A size table, as CSV and as TOML.
pub fn size_table(bytes: &[u8]) {
    for path in ["table.csv", "table.toml"] {
        let read = || SizeTable::read(bytes, path);
        match read() {
            Ok(table) => {
                sized(&table);
                assert_eq!(read().as_ref(), Ok(&table));
            }
            Err(problems) => told(&problems, bytes),
        }
    }
}

/// What holds for every size table that is read.
fn sized(table: &SizeTable) {
    assert!(!table.rows.is_empty());
    for (i, row) in table.in_mm(Unit::Mm).rows.iter().enumerate() {
        let length = match row.want {
            Want::CrotchLength(length) => {
                assert!(length > Mm(0.0), "{length}");
                length
            }
            Want::Lengths { front, back } => {
                assert!(front > Mm(0.0) && back > Mm(0.0), "{front} {back}");
                Mm(front.0.max(back.0))
            }
            Want::Change(change) => change,
        };
        let all = [length, row.ease.unwrap_or_default(), row.waistband.unwrap_or_default()].map(Mm::abs);
        assert!(all.iter().all(|l| *l <= length::LONGEST), "{row:?}");
        assert!((0.0..=1.0).contains(&row.front_share.factor()), "{row:?}");
        assert!(!row.size.is_blank(), "row {i}: {row:?}");
        assert_eq!(table.row(&row.size), Some(&table.rows[i]));
    }
}

/// A job file.
pub fn job_file(bytes: &[u8]) {
    match Job::from_toml_bytes(bytes, "job") {
        Ok(job) => {
            assert!((Mm(0.0)..=length::LONGEST).contains(&job.tolerance.inseam.in_mm(Unit::Mm)), "{job:?}");
            // Twice the same, number for number.
            assert_eq!(
                format!("{:?}", Job::from_toml_bytes(bytes, "job")),
                format!("{:?}", Ok::<_, Problems>(job))
            );
        }
        Err(problems) => told(&problems, bytes),
    }
}

/// A length, with and without a sign.
pub fn length(bytes: &[u8]) {
    let Ok(text) = std::str::from_utf8(bytes) else { return };
    for unit in UNITS {
        let signed = length::parse_signed(text, Some(unit)).map(|length| length.in_mm(unit));
        match &signed {
            Ok(length) => {
                assert!(length.abs() <= length::LONGEST, "{length}");
                // Nine decimals of a millimetre come back through the reader.
                let again =
                    length::parse_signed(&format!("{length:.9}"), None).map(|length| length.in_mm(unit));
                assert!(
                    again.as_ref().is_ok_and(|l| (l.0 - length.0).abs() <= 1e-9),
                    "{length:.9}: {again:?}"
                );
            }
            Err(error) => {
                assert!(text.get(error.span.clone()).is_some(), "{:?} of {text:?}", error.span);
                assert!(!error.to_string().contains(char::is_control), "{error}");
            }
        }
        match length::parse(text, Some(unit)).map(|length| length.in_mm(unit)) {
            Ok(length) => {
                assert!(length.0.is_sign_positive() && signed == Ok(length), "{length:?} {signed:?}");
            }
            // What only the sign forbids, the signed reader takes, or finds something else wrong with.
            Err(error) => {
                assert!(text.get(error.span.clone()).is_some(), "{:?} of {text:?}", error.span);
                assert!(signed.is_err() || error.reason == length::LengthReason::Negative, "{error}");
            }
        }
    }
}

/// A grade rule table.
pub fn rules(bytes: &[u8]) {
    match RuleTable::read(bytes, "rules") {
        Ok(table) => {
            assert!(table.sample_index().is_some());
            let sized = |row: &Vec<_>| row.len() == table.sizes.len();
            assert!(table.rules.values().all(sized));
            let written = table.write();
            let again = RuleTable::read(&written, "written").unwrap_or_else(|e| {
                panic!("what was written cannot be read: {e}\n{}", String::from_utf8_lossy(&written))
            });
            assert_eq!(
                (&again.sample, &again.sizes, &again.name),
                (&table.sample, &table.sizes, &table.name)
            );
            assert!(again.rules.keys().eq(table.rules.keys()));
            for (a, b) in again.rules.values().flatten().zip(table.rules.values().flatten()) {
                // Half of the last decimal written, along and across.
                assert!((*a - *b).hypot() < 2e-4, "{a:?} {b:?}");
            }
            assert_eq!(again.others, table.others);
            // Written numbers are in a fixed form already.
            assert_eq!(String::from_utf8_lossy(&again.write()), String::from_utf8_lossy(&written));
        }
        Err(problems) => told(&problems, bytes),
    }
}
