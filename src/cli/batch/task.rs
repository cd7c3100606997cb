//! The orders of a run, from an order list or from drawings that share a size table.

use crate::batch::ListId;
use crate::cli::args::BatchArgs;
use crate::cli::files::{self, Input};
use crate::cli::{Failure, inputs};
use crate::job::{AlterOptions, Order, order_name, orders};
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

/// One order with the paths of its files.
#[derive(Debug)]
pub struct Task {
    /// The order; where its row says nothing, the options of the command line are filled in.
    pub order: Order,
    /// Its drawing.
    pub drawing: PathBuf,
    /// Its size table.
    pub table: PathBuf,
    /// The job file that the order or the command line names.
    job: Option<PathBuf>,
    /// Its grade rule table.
    pub rules: Option<PathBuf>,
}

impl Task {
    /// The job file, as the name to be shown and the path: the one that was named, or else the one beside the drawing.
    pub fn job(&self) -> Option<(String, PathBuf)> {
        if let Some(path) = &self.job {
            return Some((self.order.job.clone().unwrap_or_default(), path.clone()));
        }
        let beside = inputs::job_file_beside(&self.drawing)?;
        let shown = Path::new(&self.order.drawing).with_file_name(beside.file_name()?);
        Some((files::display(&shown), beside))
    }
}

/// All orders, sorted by name.
pub struct List {
    /// The orders.
    pub tasks: Vec<Task>,
    /// The id that tells this list from others, whatever the options with which it is run.
    pub id: ListId,
    /// The file of the list.
    pub file: Option<PathBuf>,
}

impl List {
    /// Reads the order list, or makes orders from the drawings found.
    pub fn read(args: &BatchArgs) -> Result<Self, Failure> {
        let shared = [("--sizes", &args.table), ("--job", &args.common.job), ("--rules", &args.how.rules)];
        if let Some((option, _)) =
            shared.iter().find(|(_, path)| path.as_deref().is_some_and(files::is_piped))
        {
            let message =
                "what is piped in can be read once only, and every order reads it; give the name of a file";
            return Err(format!("{option} -: {message}").into());
        }
        let (orders, file) = match (&args.orders, &args.table) {
            (Some(path), _) => {
                let bytes = args.common.inputs().read(path, Input::Other)?;
                let orders = orders::read(&bytes, &files::display(path))?;
                (orders, Some(path.clone()))
            }
            (None, Some(table)) => (of_drawings(&args.drawings, table)?, None),
            // The command line does not get here, since it requires one of the two.
            (None, None) => return Err("give an order list, or --drawings with --sizes".into()),
        };
        let id = ListId::of(&orders)?;
        let root = file.as_deref().and_then(Path::parent).unwrap_or(Path::new("")).to_owned();
        let options = args.how.options(&args.common)?;
        let tasks = orders.into_iter().map(|order| task(order, &root, args, &options)).collect();
        Ok(List { tasks, id, file })
    }
}

fn task(mut order: Order, root: &Path, args: &BatchArgs, options: &AlterOptions) -> Task {
    let (how, common) = (&args.how, &args.common);
    // A path in a row is relative to the list's folder, one on the command line to the folder in which the program was
    // started.
    let job = order.job.as_ref().map(|path| root.join(path)).or_else(|| common.job.clone());
    order.job = order.job.or_else(|| common.job.as_deref().map(files::display));
    let rules = order.rules.as_ref().map(|path| root.join(path)).or_else(|| how.rules.clone());
    order.rules = order.rules.or_else(|| how.rules.as_deref().map(files::display));
    order.deltas = order.deltas.or(how.grading.deltas);
    order.reference = order.reference.or(how.grading.reference);
    order.alter = order.alter.or(options);
    Task { drawing: root.join(&order.drawing), table: root.join(&order.sizes), job, rules, order }
}

/// Makes an order for every drawing, named after the drawing without its file extension.
fn of_drawings(patterns: &[String], table: &Path) -> Result<Vec<Order>, Failure> {
    let table = text(table)?;
    let mut found: Vec<PathBuf> = Vec::new();
    let mut problems = Vec::new();
    for pattern in patterns {
        let before = found.len();
        // A shell may already have replaced the pattern by a file name, and that name may look like a pattern itself.
        if Path::new(pattern).is_file() {
            found.push(PathBuf::from(pattern));
            continue;
        }
        let shown = files::display(Path::new(pattern));
        match glob::glob(pattern) {
            Err(error) => problems.push(format!("--drawings {shown}: is no pattern: {error}")),
            Ok(paths) => {
                for path in paths {
                    match path {
                        Ok(path) if path.is_file() => found.push(path),
                        Ok(_) => {}
                        Err(error) => problems.push(format!("--drawings {shown}: {error}")),
                    }
                }
                if found.len() == before && problems.is_empty() {
                    problems.push(format!("--drawings {shown}: no drawing fits; correct the pattern"));
                }
            }
        }
    }
    found.sort();
    found.dedup();
    let mut orders: Vec<Order> = Vec::new();
    let mut names: BTreeMap<String, String> = BTreeMap::new();
    for path in &found {
        let shown = files::display(path);
        let path = text(path)?;
        let name = Path::new(&path).file_stem().map(|s| s.to_string_lossy().into_owned()).unwrap_or_default();
        if let Err(error) = order_name::check(&name) {
            problems.push(format!("{shown}: its name without the ending {error}; {}", order_name::ACCEPTED));
        }
        if let Some(other) = names.insert(order_name::folded(&name), shown.clone()) {
            problems.push(format!(
                "{shown}: would be an order of the same name as {other}; rename one, or write an order list"
            ));
        }
        orders.push(Order::new(&name, &path, &table));
    }
    orders.sort_by(|a, b| a.name.cmp(&b.name));
    if problems.is_empty() { Ok(orders) } else { Err(problems.join("\n").into()) }
}

/// A path as text, for use in reports.
fn text(path: &Path) -> Result<String, Failure> {
    let text = path.to_str().filter(|t| !t.contains(char::is_control));
    let unfit =
        || format!("{}: the path has characters that cannot be written; rename it", files::display(path));
    Ok(text.ok_or_else(unfit)?.to_owned())
}
