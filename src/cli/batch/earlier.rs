//! What earlier runs in the same folder did with orders that are not on this list.
//!
//! A run with a list of only some orders, such as those that had to be corrected, does not undo the others. The summary
//! continues to list them, marked as earlier, for as long as their results are still there.

use super::run::{lying, there};
use super::task::List;
use crate::batch::{FINGERPRINT, Fingerprint, Outcome, Summary};
use crate::cli::args::BatchArgs;
use crate::cli::files::Inputs;
use crate::cli::terminal;
use crate::job::order_name;
use rayon::prelude::*;
use std::collections::BTreeSet;
use std::path::Path;

/// The summary, together with the other orders that are listed in the summary already in the folder.
pub fn kept(args: &BatchArgs, json: &Path, list: &List, summary: Summary) -> Summary {
    let from = args.common.inputs();
    let Some(before) = lying(json, from).as_deref().and_then(Summary::from_json) else { return summary };
    let mine: BTreeSet<String> = list.tasks.iter().map(|task| order_name::folded(&task.order.name)).collect();
    let others = before.orders.into_iter().filter(|o| !mine.contains(&order_name::folded(&o.order)));
    let looked_at: Vec<(Outcome, Standing)> = others
        .collect::<Vec<_>>()
        .into_par_iter()
        .map(|outcome| {
            let standing = standing(&args.out, &outcome, from);
            (outcome, standing)
        })
        .collect();
    let mut stand = Vec::new();
    for (outcome, standing) in looked_at {
        match standing {
            Standing::As(outcome) => stand.push(*outcome),
            Standing::Gone => {}
            Standing::Changed => terminal::remark(
                &args.common,
                &format!(
                    "order '{}' of an earlier run is left out of the summary: what lies in its folder is not what was \
                     written; put the order on the list to do it again, or remove its folder",
                    outcome.order
                ),
            ),
        }
    }
    summary.with_earlier(stand)
}

/// What is left of an order from an earlier run.
enum Standing {
    /// All of it; the outcome is that of the order.
    As(Box<Outcome>),
    /// Nothing.
    Gone,
    /// Something other than what was written.
    Changed,
}

fn standing(out: &Path, told: &Outcome, from: Inputs) -> Standing {
    // The name comes from a file, so it must not lead out of the folder.
    if order_name::check(&told.order).is_err() {
        return Standing::Gone;
    }
    let folder = out.join(&told.order);
    let Some(fingerprint) = lying(&folder.join(FINGERPRINT), from) else {
        return match there(&folder, from).is_empty() {
            // The order could not be begun, so there never was more than what the summary says.
            true if told.report.is_none() => Standing::As(Box::new(told.clone())),
            true => Standing::Gone,
            false => Standing::Changed,
        };
    };
    match Fingerprint::from_json(&fingerprint) {
        Some(fingerprint)
            if fingerprint.outcome.order == told.order && fingerprint.stands(&there(&folder, from)) =>
        {
            Standing::As(Box::new(fingerprint.outcome))
        }
        _ => Standing::Changed,
    }
}
