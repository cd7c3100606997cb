//! Checks, before any order starts, that no result goes where it should not.

use super::SummaryFiles;
use super::task::{List, Task};
use crate::batch::{FILES, FINGERPRINT, Summary};
use crate::cli::Failure;
use crate::cli::args::BatchArgs;
use crate::cli::files::{self, Identity, Input, Inputs};
use std::collections::{BTreeSet, HashSet};
use std::fs;
use std::path::Path;

/// Refuses to start where a result would lead out of the batch's folder, would replace an input, or, without `--overwrite`,
/// would replace a file that no batch has written.
pub fn check(args: &BatchArgs, list: &List, mine: &[&Task], summaries: &SummaryFiles) -> Result<(), Failure> {
    let (out, overwrite) = (&args.out, args.overwrite);
    if out.exists() && !out.is_dir() {
        return Err(
            format!("{}: is no folder; --out names a folder for the results", files::display(out)).into()
        );
    }
    let inputs = inputs(list);
    let told = told_of(out, args.common.inputs());
    let mut problems = Vec::new();
    let mut begun = !told.is_empty();
    for task in &list.tasks {
        begun = begun || out.join(&task.order.name).join(FINGERPRINT).exists();
    }
    for task in mine {
        let folder = out.join(&task.order.name);
        let Ok(there) = fs::symlink_metadata(&folder) else { continue };
        if !there.is_dir() {
            problems.push(format!(
                "{}: the results of order '{}' need a folder of this name; move what is there, or rename the order",
                files::display(&folder),
                task.order.name
            ));
            continue;
        }
        let own = told.contains(&task.order.name) || folder.join(FINGERPRINT).exists();
        for name in FILES {
            problems.extend(fit(&folder.join(name), &inputs, own || overwrite));
        }
    }
    for path in summaries.all() {
        problems.extend(fit(path, &inputs, begun || overwrite));
    }
    if problems.is_empty() { Ok(()) } else { Err(problems.join("\n").into()) }
}

/// The reason why a file must not be written, if there is one.
fn fit(path: &Path, inputs: &HashSet<Identity>, replace: bool) -> Option<String> {
    let there = fs::symlink_metadata(path).ok()?;
    let name = files::display(path);
    if Identity::of(path).is_some_and(|identity| inputs.contains(&identity)) {
        return Some(format!(
            "{name}: is an input of this batch and would be overwritten; give another --out"
        ));
    }
    // A link is refused as well: what is found here is read, to see whether it is still what was written.
    if !there.is_file() {
        return Some(format!("{name}: is no plain file, and a result has this name; move it"));
    }
    (!replace).then(|| {
        format!(
            "{name}: is there already and no batch wrote it; give another --out, or --overwrite to replace it"
        )
    })
}

/// Every file that the orders read.
fn inputs(list: &List) -> HashSet<Identity> {
    let mut seen = HashSet::new();
    for task in &list.tasks {
        let job = task.job().map(|(_, path)| path);
        let all = [&task.drawing, &task.table].into_iter().chain(&job).chain(&task.rules);
        seen.extend(all.filter_map(|path| Identity::of(path)));
    }
    seen.extend(list.file.as_deref().and_then(Identity::of));
    seen
}

/// The orders listed in the summaries in the folder: the files in their folders were written by a batch.
fn told_of(out: &Path, inputs: Inputs) -> BTreeSet<String> {
    let entries = fs::read_dir(out).into_iter().flatten().flatten();
    let summary = |name: &str| name.strip_prefix("summary.")?.strip_suffix("json").map(drop);
    entries
        .filter(|entry| entry.file_name().to_str().and_then(summary).is_some())
        .filter_map(|entry| {
            let path = entry.path();
            Summary::from_json(&inputs.read_as(&files::display(&path), &path, Input::Other).ok()?)
        })
        .flat_map(|summary| summary.orders.into_iter().map(|outcome| outcome.order))
        .collect()
}
