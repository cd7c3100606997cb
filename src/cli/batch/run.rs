//! Does the orders of a batch.

use super::progress::Progress;
use super::task::Task;
use crate::batch::{DRAWING, FILES, FINGERPRINT, Fingerprint, Inputs, Outcome, PAGE, REPORT, RESULTS};
use crate::cli::args::{Common, Grading};
use crate::cli::asked;
use crate::cli::files::Input;
use crate::cli::inputs::{self, DrawingFile, TextFile};
use crate::cli::watch::Watch;
use crate::cli::write::{self, Before};
use crate::cli::{Failure, files};
use crate::order::{self, Settings, sha256};
use crate::report::html::Sheet;
use crate::report::{self, Verdict};
use crate::seam;
use std::collections::BTreeMap;
use std::fs;
use std::io;
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::path::Path;
use std::sync::Barrier;
use std::sync::atomic::{AtomicUsize, Ordering};

/// An order that is done, in this run or in an earlier one.
pub struct Done {
    /// What became of it.
    pub outcome: Outcome,
    /// Whether it had been done by an earlier run.
    pub kept: bool,
    /// A remark that concerns this run only.
    pub remark: Option<String>,
}

/// Does the orders, with one order at a time on every thread of the pool, until all are done or a signal comes. The sizes of
/// an order are spread over those threads that have no order of their own.
pub fn orders(tasks: &[&Task], out: &Path, common: &Common, watch: &Watch) -> Vec<Done> {
    let progress = Progress::new(tasks.len(), common);
    let next = AtomicUsize::new(0);
    // A parallel iterator over the orders would not do: a thread that waits for the sizes of its order would meanwhile begin
    // another order, and so on, with all their drawings in memory. No thread begins before all of them have arrived;
    // otherwise a thread that helps another one with its sizes could pick up this work in the middle of that.
    let all_here = Barrier::new(rayon::current_num_threads());
    let done = rayon::broadcast(|_| {
        all_here.wait();
        let mut done = Vec::new();
        while watch.signal().is_none() {
            let Some(task) = tasks.get(next.fetch_add(1, Ordering::Relaxed)) else { break };
            let one = guarded(task, out, common);
            progress.done(one.outcome.verdict == Verdict::Fail);
            done.push(one);
        }
        done
    });
    done.into_iter().flatten().collect()
}

/// Does one order; a failure of any kind affects this order only.
fn guarded(task: &Task, out: &Path, common: &Common) -> Done {
    let done = catch_unwind(AssertUnwindSafe(|| one(task, &out.join(&task.order.name), common)));
    done.unwrap_or_else(|_| {
        Err("the program failed at this order, which it should not; please report it with the drawing".into())
    })
    .unwrap_or_else(|error| {
        let outcome = Outcome::refused(&task.order, &error.brief());
        Done { outcome, kept: false, remark: None }
    })
}

/// The bytes of an order's files.
struct Given {
    drawing: Vec<u8>,
    table: Vec<u8>,
    job: Option<TextFile>,
    rules: Option<TextFile>,
}

/// What an order produced.
struct Made {
    outcome: Outcome,
    results: BTreeMap<&'static str, Vec<u8>>,
    remark: Option<String>,
}

fn one(task: &Task, folder: &Path, common: &Common) -> Result<Done, Failure> {
    let fingerprint = folder.join(FINGERPRINT);
    write::sweep(folder, &FILES);
    let from = common.inputs();
    let given = match read_files(task, from) {
        Ok(given) => given,
        Err(error) => {
            // Without the inputs nobody can tell whether the old results are still right for cutting, so they are removed.
            for name in FILES {
                files::remove(&folder.join(name))?;
            }
            return Err(error);
        }
    };
    let job = given.job.as_ref().map(|job| job.bytes.as_slice());
    let rules = given.rules.as_ref().map(|rules| rules.bytes.as_slice());
    let inputs =
        Inputs::new(&task.order, &given.drawing, &given.table, job, rules).showing(common.display_unit());
    let before = lying(&fingerprint, from);
    if let Some(before) = before.as_deref().and_then(Fingerprint::from_json)
        && before.holds(&inputs, &there(folder, from))
    {
        return Ok(Done { outcome: before.outcome, kept: true, remark: None });
    }
    let made = make(task, given, common).unwrap_or_else(|error| Made {
        outcome: Outcome::refused(&task.order, &error.brief()),
        results: BTreeMap::new(),
        remark: None,
    });
    let hashes = made.results.iter().map(|(name, bytes)| ((*name).to_owned(), sha256(bytes))).collect();
    let done = Fingerprint::new(&inputs, hashes, made.outcome)?;
    let unfit = |path: &Path, e: &io::Error| {
        format!("{}: cannot be made: {e}; {}", files::display(path), files::remedy(e))
    };
    fs::create_dir_all(folder).map_err(|e| unfit(folder, &e))?;
    if before.is_none() {
        // An empty fingerprint marks the folder as the batch's own, in case the run is interrupted before the end.
        fs::File::create_new(&fingerprint).map_err(|e| unfit(&fingerprint, &e))?;
    }
    let told = report::json::render(&done)?.into_bytes();
    let mut paths = Vec::new();
    for name in RESULTS {
        match made.results.get(name) {
            Some(bytes) => paths.push((folder.join(name), bytes)),
            None => files::remove(&folder.join(name))?,
        }
    }
    // The fingerprint is written last: without it, or with one that does not fit, the order is done again.
    paths.push((fingerprint, &told));
    let files = paths.iter().map(|(path, bytes)| (path.as_path(), bytes.as_slice()));
    write::all(files, Before::Replaced)?;
    Ok(Done { outcome: done.outcome, kept: false, remark: made.remark })
}

fn read_files(task: &Task, from: files::Inputs) -> Result<Given, Failure> {
    if let Some(wrong) = &task.order.wrong {
        return Err(wrong.clone().into());
    }
    // Files are named as in the list, so that messages do not depend on the folder in which the program was started.
    let read_as =
        |shown: &str, path: &Path, what| from.read_as(&files::display(Path::new(shown)), path, what);
    let read = |shown: &str, path: &Path| read_as(shown, path, Input::Other);
    let drawing = read_as(&task.order.drawing, &task.drawing, Input::Drawing)?;
    let table = read(&task.order.sizes, &task.table)?;
    let job = match task.job() {
        None => None,
        Some((shown, path)) => Some(TextFile { bytes: read(&shown, &path)?, shown }),
    };
    let rules = match (&task.order.rules, &task.rules) {
        (Some(shown), Some(path)) => {
            Some(TextFile { shown: files::display(Path::new(shown)), bytes: read(shown, path)? })
        }
        _ => None,
    };
    Ok(Given { drawing, table, job, rules })
}

/// The bytes that an earlier run left at a place, if they can be read.
pub(super) fn lying(path: &Path, from: files::Inputs) -> Option<Vec<u8>> {
    from.read_as(&files::display(path), path, Input::Drawing).ok()
}

/// The results in a folder, as hashes by file name.
pub(super) fn there(folder: &Path, from: files::Inputs) -> BTreeMap<String, String> {
    let hash = |name: &str| Some((name.to_owned(), sha256(&lying(&folder.join(name), from)?)));
    RESULTS.iter().filter_map(|name| hash(name)).collect()
}

fn make(task: &Task, given: Given, common: &Common) -> Result<Made, Failure> {
    let order = &task.order;
    let table_file = TextFile { shown: files::display(Path::new(&order.sizes)), bytes: given.table };
    let drawing = DrawingFile::new(&task.drawing, files::display(Path::new(&order.drawing)), given.drawing)?;
    let rules = given.rules.as_ref().map(TextFile::rules).transpose()?;
    let job = inputs::job(&order.alter, given.job.as_ref())?;
    let grading = Grading { deltas: order.deltas, reference: order.reference };
    let drawing = drawing.graded(rules.as_ref(), &grading, &job)?;
    let opened = drawing.open_by(&job)?;
    let sizes = seam::sizes(&opened.pattern, &job.labels);
    let table = asked::table(&table_file, &sizes, &order.alter.only)?.in_mm(opened.plain());
    let settings = Settings::of(&job, opened.plain());
    asked::at_odds(&settings)?;
    let settings = Settings { figures: true, ..settings };
    let read = (&sizes[..], &job.labels);
    let altered = order::alter(&opened, read, &table, &settings, &Outcome::drawing_path(order));
    let sheet = Sheet {
        report: &altered.report,
        figures: &altered.figures,
        settings: asked::run_settings(
            &table_file,
            given.rules.as_ref(),
            given.job.as_ref(),
            &opened.pattern,
            &settings,
        ),
        show: common.display_unit(),
    };
    let mut results = BTreeMap::from([
        (REPORT, report::json::render(&altered.report)?.into_bytes()),
        (PAGE, report::html::render(&[sheet])?.into_bytes()),
    ]);
    let remark = (drawing.is_binary() && altered.drawing.is_some()).then(|| {
        format!("order '{}': {} is binary DXF; {DRAWING} was written as ASCII DXF", order.name, drawing.shown)
    });
    results.extend(altered.drawing.map(|drawing| (DRAWING, drawing.to_vec())));
    Ok(Made { outcome: Outcome::reported(order, &altered.report), results, remark })
}
