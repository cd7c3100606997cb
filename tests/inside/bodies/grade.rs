//! Grading: a base size and its rule table to a nest, and back.

use super::{open, parted, reported};
use crate::grade::{Deltas, Options, RuleTable, Shared};
use crate::job::Job;
use crate::order::{self, Opened};
use crate::report::grade::{self as shown, GradeReport, Status};
use crate::report::json;
use crate::report::text::Style;

/// The rules where the input has none.
const RULES: &[u8] =
    b"UNITS: METRIC\nGRADE RULE TABLE: HARBOUR\nSAMPLE SIZE: 38\nNUMBER OF SIZES: 3\nSIZE LIST: 36 38 40\n\
                       RULE: DELTA 1\n-2.0,1.0 0.0,0.0 2.0,-1.0\nEND\n";

/// Draws the sizes of the rule table after the parting line, and reads rules off the drawing and off what was drawn.
pub fn grade(bytes: &[u8]) {
    graded(bytes);
}

/// As [`grade`]; whether a nest came out of it.
pub fn graded(bytes: &[u8]) -> bool {
    let (one, table) = parted(bytes);
    let Ok(text) = order::text(one) else { return false };
    let Some(drawing) = open(&text) else { return false };
    let options = Options { deltas: Some(Deltas::Base), ..Options::default() };
    derived(&drawing, &options);
    let Ok(table) = RuleTable::read(table.unwrap_or(RULES), "rules") else { return false };
    let Ok(graded) = order::grade(&drawing, &Job::default(), &table, &options, &[], "out") else {
        return false;
    };
    told(&graded.report, &text);
    let Some(out) = graded.bytes else { return false };
    let again = open(&out).unwrap_or_else(|| panic!("what was written cannot be read"));
    // Every block stays as it was, and in its order.
    let mut blocks = again.drawing.blocks.iter().map(|b| b.whole.of(&out));
    for block in &drawing.drawing.blocks {
        assert!(blocks.any(|b| b == block.whole.of(&text)), "a block is not there any more");
    }
    for size in graded.report.sizes.iter().filter(|s| s.status == Status::Added) {
        let there =
            again.pattern.pieces.iter().any(|p| p.size.as_ref().is_some_and(|s| s.as_str() == size.size));
        assert!(there, "{} was not drawn", size.size);
    }
    derived(&again, &options);
    // What is drawn is not drawn again, where names tell what is.
    if drawing.pattern.pieces.iter().all(|p| p.labels.name.is_some())
        && let Ok(twice) = order::grade(&again, &Job::default(), &table, &options, &[], "out")
    {
        assert!(twice.report.sizes.iter().all(|s| s.status != Status::Added), "{:?}", twice.report.sizes);
        assert!(twice.bytes.is_none_or(|b| b == out), "grading what is graded changed it");
    }
    true
}

fn derived(drawing: &Opened<'_>, options: &Options) {
    let Ok(derived) = order::derive(drawing, options, Shared::Renumbered, &[], "out") else { return };
    told(&derived.report, drawing.drawing.bytes);
    if let Some(bytes) = derived.bytes {
        let text = String::from_utf8_lossy(&bytes);
        let table = RuleTable::read(&bytes, "out").unwrap_or_else(|e| panic!("cannot be read: {e}\n{text}"));
        assert_eq!(table.rules.len(), derived.report.rules);
    }
}

fn told(report: &GradeReport, text: &[u8]) {
    reported(&report.findings, text);
    let said = shown::text(report, &Style::plain());
    assert!(!said.contains('\u{1b}'), "a message steers the terminal: {said:?}");
    shown::csv(report).unwrap_or_else(|e| panic!("{e}"));
    json::render(report).unwrap_or_else(|e| panic!("{e}"));
}
