//! Joins the summaries of shards.

use super::SummaryFiles;
use super::task::List;
use crate::batch::{Shard, Summary};
use crate::cli::Failure;
use crate::cli::files::{self, Input, Inputs};
use std::collections::BTreeMap;
use std::fs;
use std::path::Path;

/// The result of joining.
pub enum Joined {
    /// The summary of all orders.
    Whole(Summary),
    /// Shards are missing; the text names them.
    Missing(String),
}

/// Joins the summaries of the shards.
pub fn join(out: &Path, list: &List, inputs: Inputs) -> Result<Joined, Failure> {
    let shown = files::display(out);
    // The summaries by number of shards, since a folder may hold summaries from more than one way of dividing the orders.
    let mut found: BTreeMap<usize, BTreeMap<Shard, Option<Summary>>> = BTreeMap::new();
    let entries = fs::read_dir(out).map_err(|e| format!("{shown}: cannot be read: {e}"))?;
    for entry in entries {
        let entry = entry.map_err(|e| format!("{shown}: cannot be read: {e}"))?;
        let name = entry.file_name();
        let part = name.to_str().and_then(|n| n.strip_prefix("summary.")?.strip_suffix(".json"));
        let Some(shard) = part.and_then(Shard::from_file_part) else { continue };
        let path = entry.path();
        let summary = Summary::from_json(&inputs.read_as(&files::display(&path), &path, Input::Other)?);
        let summary = summary.filter(|s| s.covers(&list.id, shard));
        found.entry(shard.of()).or_default().insert(shard, summary);
    }
    let whole = |of: usize, parts: &BTreeMap<Shard, Option<Summary>>| {
        Shard::all(of).all(|shard| parts.get(&shard).is_some_and(Option::is_some))
    };
    if let Some((_, parts)) = found.iter().find(|(of, parts)| whole(**of, parts)) {
        let outcomes = parts.values().flatten().flat_map(|s| s.orders.clone()).collect();
        return Ok(Joined::Whole(Summary::new(list.id.clone(), None, outcomes)));
    }
    // The division with the most summaries that fit the list is taken for the one used this time.
    let fitting = |parts: &BTreeMap<Shard, Option<Summary>>| parts.values().flatten().count();
    let Some((of, parts)) = found.iter().max_by_key(|(_, parts)| fitting(parts)) else {
        let none = format!("{shown}: no shard has run here; run each with --shard I/N first");
        return Ok(Joined::Missing(none));
    };
    let mut missing = Vec::new();
    for shard in Shard::all(*of) {
        let why = match parts.get(&shard) {
            Some(Some(_)) => continue,
            Some(None) => "ran with another order list",
            None => "has not finished",
        };
        let json = files::display(&SummaryFiles::of(Path::new(""), Some(shard)).json);
        missing.push(format!("shard {shard} {why} ({json}); run it with --shard {shard}"));
    }
    Ok(Joined::Missing(format!("{shown}: nothing was joined\n{}", missing.join("\n"))))
}
