//! `truerise batch`
//!
//! A thread does one order at a time, and there are no more threads than asked for, so no more drawings than that are in
//! memory. The results of an order depend on its inputs and settings only: the files are the same bytes whatever the number
//! of threads, and however often a run was interrupted.

mod collect;
mod earlier;
mod lock;
mod places;
mod progress;
mod run;
mod task;

use super::args::{BatchArgs, Format};
use super::watch::{self, Watch};
use super::write::{self, Before};
use super::{End, Failure, files, terminal};
use crate::batch::{self, Shard, Summary};
use crate::report::{self, Verdict};
use crate::words::counted;
use collect::Joined;
use lock::{Lock, Work};
use std::path::{Path, PathBuf};
use task::List;

/// The file name of the page that lists all orders.
const INDEX: &str = "index.html";

pub(super) fn run(args: &BatchArgs) -> Result<End, Failure> {
    let list = List::read(args)?;
    let of_all = SummaryFiles::of(&args.out, None);
    if args.collect {
        places::check(args, &list, &[], &of_all)?;
        let _lock =
            if args.out.is_dir() { Some(Lock::take(&args.out, Work::Collect, &args.common)?) } else { None };
        return match collect::join(&args.out, &list, args.common.inputs())? {
            Joined::Whole(summary) => finish(args, &of_all, &list, summary, ""),
            Joined::Missing(which) => {
                terminal::complain(&which);
                Ok(End::Findings)
            }
        };
    }
    let mine: Vec<&task::Task> = match args.shard {
        None => list.tasks.iter().collect(),
        Some(shard) => {
            let dealt = list.tasks.iter().enumerate().filter(|(at, _)| shard.takes(*at));
            dealt.map(|(_, task)| task).collect()
        }
    };
    let summaries = SummaryFiles::of(&args.out, args.shard);
    // Checked before anything is created, and once more when no other run can be at work there.
    places::check(args, &list, &mine, &summaries)?;
    std::fs::create_dir_all(&args.out)
        .map_err(|e| format!("{}: the folder cannot be made: {e}", files::display(&args.out)))?;
    let _lock = Lock::take(&args.out, args.shard.map_or(Work::All, Work::Shard), &args.common)?;
    places::check(args, &list, &mine, &summaries)?;
    let watch = Watch::begin()?;
    let done = run::orders(&mine, &args.out, &args.common, &watch);
    for remark in done.iter().filter_map(|d| d.remark.as_ref()) {
        terminal::remark(&args.common, remark);
    }
    if let Some(signal) = watch.signal().filter(|_| done.len() < mine.len()) {
        terminal::complain(&format!(
            "stopped by {}: {} of {} orders are done, each of them whole; the same command does the rest",
            watch::name(signal),
            done.len(),
            mine.len()
        ));
        return Ok(End::Stopped(signal));
    }
    let kept = done.iter().filter(|d| d.kept).count();
    let told = match kept {
        0 => String::new(),
        kept => format!(" ({kept} had been done before and are as they were)"),
    };
    let outcomes = done.into_iter().map(|d| d.outcome).collect();
    let summary = Summary::new(list.id.clone(), args.shard, outcomes);
    finish(args, &summaries, &list, summary, &told)
}

/// Names the orders that failed, writes the summary and prints it.
fn finish(
    args: &BatchArgs,
    to: &SummaryFiles,
    list: &List,
    summary: Summary,
    told: &str,
) -> Result<End, Failure> {
    // The summary of a shard covers only its part of the list, and is later joined with those of the other shards.
    let summary = &if args.shard.is_none() { earlier::kept(args, &to.json, list, summary) } else { summary };
    let json = report::json::render(summary)?;
    let csv = batch::csv(summary)?;
    for failed in summary.failures() {
        let reason = failed.reason.as_deref().unwrap_or("see its report");
        terminal::complain(&format!("order '{}' failed: {reason}", failed.order));
    }
    to.write(&json, &csv, &batch::index(summary)?)?;
    let text = match args.common.format {
        Format::Text => sentence(summary, &to.csv, told),
        Format::Json => json,
        Format::Csv => csv,
    };
    terminal::print(&args.common, &text)?;
    Ok(if summary.verdict == Verdict::Pass { End::Sound } else { End::Findings })
}

/// The summary as one sentence.
fn sentence(summary: &Summary, csv: &Path, told: &str) -> String {
    let orders = |n: usize| counted(n, "order", "orders");
    let Summary { passed, failed, earlier, .. } = summary;
    let (count, csv) = (orders(passed + failed), files::display(csv));
    let accepted = match summary.accepted() {
        0 => String::new(),
        n => format!(" ({n} of them with errors accepted)"),
    };
    let earlier = match *earlier {
        0 => String::new(),
        n => format!(", with {} of earlier runs, marked as such", orders(n)),
    };
    format!(
        "{count}: {passed} passed{accepted}, {failed} failed{told}. The summary is {csv}{earlier}\n\
         Sew a trial garment before cutting production fabric; the tool moves lines and does not judge fit.\n"
    )
}

/// The files with the summary of all orders, or of the orders of one shard.
struct SummaryFiles {
    json: PathBuf,
    csv: PathBuf,
    /// The page; shards have none.
    index: Option<PathBuf>,
}

impl SummaryFiles {
    fn of(out: &Path, shard: Option<Shard>) -> Self {
        let stem = shard.map_or_else(|| "summary".to_owned(), |s| format!("summary.{}", s.file_part()));
        SummaryFiles {
            json: out.join(format!("{stem}.json")),
            csv: out.join(format!("{stem}.csv")),
            index: shard.is_none().then(|| out.join(INDEX)),
        }
    }

    fn all(&self) -> impl Iterator<Item = &Path> {
        [&self.json, &self.csv].into_iter().chain(&self.index).map(PathBuf::as_path)
    }

    fn write(&self, json: &str, csv: &str, index: &str) -> Result<(), Failure> {
        for path in self.all() {
            let name = path.file_name().and_then(|n| n.to_str());
            write::sweep(path.parent().unwrap_or(Path::new("")), &name.into_iter().collect::<Vec<_>>());
        }
        // The JSON file is written last, because shards are joined by it.
        let page = self.index.iter().map(|path| (path, index));
        let texts = std::iter::once((&self.csv, csv)).chain(page).chain([(&self.json, json)]);
        let texts = texts.map(|(path, text)| (path.as_path(), text.as_bytes()));
        Ok(write::all(texts, Before::Replaced)?)
    }
}
