//! A whole alteration: bytes, measures, a change, bytes.

use super::{open_as, parted, untouched};
use crate::job::{Job, SizeTable};
use crate::order::{self, Opened, Settings};
use crate::pattern::Reading;
use crate::report::{MeasureReport, json};
use crate::seam;
use crate::trousers::TurnedIn;
use crate::units::{Mm, Unit};
use std::borrow::Cow;

/// The size that is altered, and by how much.
const SIZE: &str = "38";
const CHANGE: Mm = Mm(20.0);

fn measured(opened: &Opened<'_>, job: &Job) -> MeasureReport {
    let report = order::measure(opened, job, &Settings::of(job, opened.plain()));
    // Every number of a report is finite; JSON has no other.
    let text = json::render(&report).unwrap_or_else(|e| panic!("{e}"));
    assert!(!text.contains("null,\n      \"rise"), "a measure that is no number");
    report
}

/// The crotch length of the size, where it can be measured.
fn crotch_length(report: &MeasureReport) -> Option<Mm> {
    let size = report.sizes.iter().find(|s| s.size == SIZE)?;
    size.measures.as_ref().map(|m| m.crotch_length)
}

/// Measures, alters by nothing and by a change, and reads what was written.
pub fn alter(bytes: &[u8]) {
    altered(bytes);
}

/// As [`alter`]; whether a changed drawing came out of it.
pub fn altered(bytes: &[u8]) -> bool {
    altered_by(bytes, &Job::default())
}

/// Drawings without blocks, legs in one piece, and pieces that hang on a leg and follow it.
pub fn plain(bytes: &[u8]) {
    followed(bytes);
}

/// As [`plain`]; whether a changed drawing came out of it.
pub fn followed(bytes: &[u8]) -> bool {
    let mut job = Job::default();
    job.alter.follow = Some(true);
    altered_by(bytes, &job)
}

/// Folds that are drawn, and those that are stated on lines of their own behind the parting line, as `--fold` takes them.
pub fn folds(bytes: &[u8]) {
    folded(bytes);
}

/// As [`folds`]; whether a changed drawing came out of it.
pub fn folded(bytes: &[u8]) -> bool {
    let (drawing, stated) = parted(bytes);
    let mut job = Job::default();
    let stated = stated.map(|s| String::from_utf8_lossy(s).into_owned()).unwrap_or_default();
    match TurnedIn::parse(stated.lines()) {
        Ok(turned_in) => job.alter.fold = turned_in,
        Err(error) => {
            let told = error.to_string();
            assert!(!told.is_empty() && !told.contains(char::is_control), "{told:?}");
            return false;
        }
    }
    altered_by(drawing, &job)
}

fn altered_by(bytes: &[u8], job: &Job) -> bool {
    let Ok(text) = order::text(bytes) else { return false };
    let text: Cow<'_, [u8]> = text;
    let reading = Reading { unit: Some(Unit::In), ..job.reading() };
    let Some(opened) = open_as(&text, &reading) else { return false };
    let settings = Settings::of(job, opened.plain());
    let before = measured(&opened, job);
    let sizes = seam::sizes(&opened.pattern, &job.labels);
    let by = |change: Mm| {
        let table = SizeTable::from_csv(&format!("size,change\n{SIZE},{}\n", change.0), "table");
        order::alter(
            &opened,
            (&sizes, &job.labels),
            &table.unwrap_or_else(|e| panic!("{e}")).in_mm(Unit::Mm),
            &settings,
            "out",
        )
    };
    if let Some(drawing) = by(Mm(0.0)).drawing {
        assert!(drawing.to_vec() == *text, "a change of nothing changed something");
    }
    let altered = by(CHANGE);
    json::render(&altered.report).unwrap_or_else(|e| panic!("{e}"));
    let Some(drawing) = altered.drawing else { return false };
    let out = drawing.to_vec();
    let again = open_as(&out, &reading).unwrap_or_else(|| panic!("what was written cannot be read"));
    untouched::outside_of_what_moves(&opened.drawing, &again.drawing);
    let (Some(was), Some(is)) = (crotch_length(&before), crotch_length(&measured(&again, job))) else {
        // The table may name a size the drawing does not have.
        assert!(out == *text, "the size can be measured no longer");
        return false;
    };
    // The tolerance of the alteration itself, and of numbers with six decimals of an inch.
    assert!((is - was - CHANGE).abs() <= Mm(0.06), "{was} became {is}");
    true
}
