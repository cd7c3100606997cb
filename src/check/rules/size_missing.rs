//! # What it finds
//! A piece that lacks a size which other pieces have, or a size that is left out of a regular run.
//! # Why it matters on the cutting table
//! The size is cut without that piece, which is then missing in the sewing room.
//! # How it is measured
//! The sizes of the pieces of each name are compared with the sizes of all pieces. A piece in a single size, which is the
//! sample size or a size that no other piece has, serves all sizes and is noted. In a run such as 34, 36, 40, 42, a single
//! step that is twice as wide, with regular steps on both sides, leaves a size out; a run that continues in wider steps does
//! not.
//! # Tolerance
//! None.
//! # Where the tolerance comes from
//! Common practice, no source: every piece is graded in every size, or serves all sizes.

use super::{Look, Rule};
use crate::check::sheet::{Nest, Sheet};
use crate::check::size_order;
use crate::finding::{Finding, FindingId};
use crate::pattern::SizeName;
use std::collections::{HashMap, HashSet};

/// A piece that lacks more sizes than this has one finding for all of them.
const EACH: usize = 20;

/// The check.
pub const RULE: Rule = Rule {
    name: "size-missing",
    right: "No piece lacks a size that the others have.",
    lengths: false,
    of_legs: false,
    look: Look::Drawing(find),
};

fn find(sheet: &Sheet<'_>) -> Vec<Finding> {
    let of = |nest: &Nest<'_>| -> HashSet<SizeName> {
        nest.pieces.iter().filter_map(|p| p.size.clone()).collect()
    };
    // A piece that serves all sizes does not show which sizes there are.
    let graded: HashSet<SizeName> = sheet.nests.iter().map(of).filter(|s| s.len() > 1).flatten().collect();
    let all: Vec<&SizeName> = if graded.is_empty() {
        sheet.sizes()
    } else {
        sheet.sizes().into_iter().filter(|s| graded.contains(*s)).collect()
    };
    let known: HashSet<&SizeName> = all.iter().copied().collect();
    let sample = sheet.opened.pattern.sample_size.as_ref().map(|s| SizeName::new(s.as_str()));
    let mut findings = Vec::new();
    for nest in &sheet.nests {
        let Some(first) = nest.pieces.first() else { continue };
        let own = of(nest);
        let lacking = all.iter().copied().filter(|s| !own.contains(*s));
        let missing: Vec<&SizeName> = lacking.take(EACH + 1).collect();
        let only = own.iter().next().filter(|_| own.len() == 1);
        let serves_all =
            |s: &SizeName| !graded.is_empty() && (!graded.contains(s) || sample.as_ref() == Some(s));
        if only.is_some_and(serves_all) {
            if !missing.is_empty() {
                let message = "the piece is there in one size only and is taken to serve all sizes";
                findings.push(sheet.at_block(Finding::note(FindingId::SizeMissing, message), first));
            }
            continue;
        }
        if let (true, Some(size)) = (missing.len() > EACH, missing.first()) {
            let message = format!(
                "there is no '{}' in {} sizes that other pieces have, {size} among them; add them, or look whether its name is right",
                nest.name,
                all.len() - own.iter().filter(|s| known.contains(s)).count()
            );
            findings.push(sheet.at_block(Finding::error(FindingId::SizeMissing, message), first));
            continue;
        }
        for size in missing {
            let message = format!(
                "there is no '{}' in size {size}, though other pieces have that size; add it, or take the size out of all pieces",
                nest.name
            );
            let place = neighbour(nest, size);
            findings.push(
                sheet.at_block(Finding::error(FindingId::SizeMissing, message), place).size(size.to_string()),
            );
        }
    }
    findings.extend(left_out(&all));
    findings
}

/// The piece of the size that comes before the missing one, or else the first piece.
fn neighbour<'n>(nest: &Nest<'n>, size: &SizeName) -> &'n crate::pattern::Piece {
    let at = |s: &SizeName| size_order::rank(s).map_or(f64::MAX, |r| r.at);
    let before = |p: &&&'n crate::pattern::Piece| p.size.as_ref().is_some_and(|s| at(s) < at(size));
    nest.pieces.iter().rfind(before).unwrap_or(&nest.pieces[0])
}

/// Sizes that regular runs leave out.
fn left_out(all: &[&SizeName]) -> Vec<Finding> {
    let mut runs: Vec<(size_order::Rank, Vec<f64>, &SizeName)> = Vec::new();
    let mut known: HashMap<(String, bool), usize> = HashMap::new();
    for size in all {
        let Some(rank) = size_order::rank(size) else { continue };
        let run = *known.entry((rank.run.clone(), rank.letters)).or_insert_with(|| {
            runs.push((rank.clone(), Vec::new(), size));
            runs.len() - 1
        });
        runs[run].1.push(rank.at);
    }
    runs.into_iter()
        .filter_map(|(rank, places, first)| {
            let hole = size_order::hole(&places)?;
            let name = size_order::name_like(first, &rank, hole);
            let message = format!(
                "the run of sizes leaves out {name}: every other step is even; add the size, or leave it out of the \
                 marker knowingly"
            );
            Some(Finding::error(FindingId::SizeMissing, message).size(name))
        })
        .collect()
}
