//! Running every check over a drawing.

use super::against::{self, By};
use super::rules::{ALL, Look, Rule};
use super::second;
use super::sheet::{Sheet, named};
use crate::finding::{Finding, FindingId, Severity};
use crate::job::Job;
use crate::opened::Opened;
use crate::pattern::{Piece, SizeName};
use crate::report::{CheckReport, Verdict};
use crate::seam;
use rayon::prelude::*;
use std::collections::{HashMap, HashSet};

/// The checks that lay one size beside the others; where there is one size alone, they have nothing to say.
const OF_SIZES: [&str; 4] = ["size-missing", "mark-missing", "label-differs", "grade-step"];

/// What is right where a drawing differs from its original on the altered seams alone.
const UNTOUCHED: &str = "Nothing but altered seams differs from the drawing that it was compared with.";

/// Looks a drawing over, and compares it with its original where there is one. The verdict fails
/// with the first error.
#[must_use]
pub fn run(opened: &Opened<'_>, job: &Job, original: Option<(&Opened<'_>, By)>) -> CheckReport {
    let sheet = Sheet::new(opened, job);
    let mut findings = opened.pattern.findings.clone();
    let (first, rest): (Vec<&Rule>, Vec<&Rule>) = ALL.iter().partition(|r| !r.lengths);
    findings.extend(findings_of(&first, &sheet));
    // With a wrong unit every length is wrong, and only the unit is worth reporting.
    let is_wrong_unit = |f: &Finding| f.id == FindingId::UnitDoubtful && f.severity == Severity::Error;
    let wrong_unit = findings.iter().any(is_wrong_unit);
    if !wrong_unit {
        findings.extend(seam::doubtful_allowances(&opened.pattern, &sheet.trousers));
        let seams = sheet.trousers.iter().flat_map(|s| &s.findings);
        findings.extend(placed(&sheet, seams));
        let again = sheet
            .trousers
            .par_iter()
            .flat_map_iter(|s| second::reread(&opened.drawing, s).into_iter().chain(second::rough(s)));
        findings.extend(placed(&sheet, &again.collect::<Vec<_>>()));
        findings.extend(findings_of(&rest, &sheet));
    }
    if sheet.trousers.is_empty() {
        findings.push(Finding::note(
            FindingId::SeamsNotWalked,
            "nothing was taken for trousers, so no seam was walked and nothing measured: neither a name, style or \
             category says so, nor do a front and a back have the shape. If they are trousers, say so in the style's name",
        ));
    }
    let mut untouched = None;
    if let Some((original, by)) = original {
        let differs = against::compare(&sheet, original, job, by);
        untouched = differs.iter().all(|f| f.severity < Severity::Error).then_some(UNTOUCHED);
        findings.extend(differs);
    }
    let findings = in_order(findings);
    let looked = |rule: &&Rule| !(rule.lengths && wrong_unit || rule.of_legs && sheet.trousers.is_empty());
    let found = |rule: &&Rule| findings.iter().any(|f| f.id.as_str() == rule.name);
    let outseams = sheet.has_outseams();
    let said = |rule: &Rule| if outseams { Some(rule.right) } else { without_outseam(rule) };
    let sizes: HashSet<&SizeName> = sheet.pieces.iter().filter_map(|p| p.size.as_ref()).collect();
    let compared = |rule: &&Rule| sizes.len() > 1 || !OF_SIZES.contains(&rule.name);
    let right = ALL.iter().filter(looked).filter(compared).filter(|rule| !found(rule));
    let right = right.filter_map(said).chain(untouched).collect();
    CheckReport {
        format: "truerise-check/1",
        drawing: opened.info(),
        original: original.map(|(original, _)| original.info()),
        verdict: Verdict::on(&findings),
        findings,
        right,
    }
}

/// What is right where front and back are drawn in one piece, without an outseam; nothing is said of what was not walked.
fn without_outseam(rule: &Rule) -> Option<&'static str> {
    match rule.name {
        "outseam-mismatch" => None,
        "notch-mismatch" => Some("Notches on inseams have their counterparts."),
        _ => Some(rule.right),
    }
}

fn findings_of(rules: &[&Rule], sheet: &Sheet<'_>) -> Vec<Finding> {
    let one = |rule: &&Rule| -> Vec<Finding> {
        match rule.look {
            Look::Piece(find) => {
                let of_piece = |p: &&Piece| -> Vec<Finding> {
                    find(sheet, p).into_iter().map(|f| named(f, p)).collect()
                };
                sheet.pieces.par_iter().flat_map_iter(of_piece).collect()
            }
            Look::Drawing(find) => find(sheet),
        }
    };
    rules.par_iter().flat_map_iter(one).collect()
}

/// Gives the findings of the seam finder and of the second reading, which do not know any lines of the file, the line of
/// their piece's block.
fn placed<'f>(sheet: &Sheet<'_>, findings: impl IntoIterator<Item = &'f Finding>) -> Vec<Finding> {
    let by_block: HashMap<usize, &Piece> = sheet.pieces.iter().map(|&piece| (piece.block, piece)).collect();
    let place = |finding: &Finding| {
        let piece = by_block.get(&finding.block()?).filter(|_| finding.line.is_none())?;
        Some(sheet.at_block(finding.clone(), piece))
    };
    findings.into_iter().map(|f| place(f).unwrap_or_else(|| f.clone())).collect()
}

/// Puts errors first and then sorts by line; findings that say the same thing are kept once.
fn in_order(mut findings: Vec<Finding>) -> Vec<Finding> {
    findings.sort_by_key(|f| (std::cmp::Reverse(f.severity), f.line.unwrap_or(usize::MAX)));
    let mut seen = HashSet::new();
    // The seam finder and a check may both say that an outline is open.
    findings.retain(|f| {
        let once = matches!(f.id, FindingId::OpenOutline | FindingId::GrainMissing);
        !once || seen.insert((f.id, f.severity, f.block()))
    });
    findings
}
