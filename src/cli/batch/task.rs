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
    /// The order, options of the command line filled in where its row says nothing.
    pub order: Order,
    /// Its drawing.
    pub drawing: PathBuf,
    /// Its size table.
    pub table: PathBuf,
    /// The job file that was named for it.
    job: Option<PathBuf>,
    /// Its grade rule table.
    pub rules: Option<PathBuf>,
}

impl Task {
    /// The job file, as it is shown and where it is: the one named, else the one beside the drawing.
    pub fn job(&self) -> Option<(String, PathBuf)> {
        if let Some(path) = &self.job {
            return Some((self.order.job.clone().unwrap_or_default(), path.clone()));
        }
        let beside = inputs::job_file_beside(&self.drawing)?;
        let shown = Path::new(&self.order.drawing).with_file_name(beside.file_name()?);
        Some((files::display(&shown), beside))
    }
}

/// All orders, by name.
pub struct List {
    /// The orders.
    pub tasks: Vec<Task>,
    /// What tells this list from another, whatever options it is run with.
    pub id: ListId,
    /// The list's file.
    pub file: Option<PathBuf>,
}

impl List {
    /// Reads the order list, or finds the drawings.
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
            // Not reached through the command line, which asks for one of them.
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
    // The row's is relative to the list, the command line's to where the program was started.
    let job = order.job.as_ref().map(|path| root.join(path)).or_else(|| common.job.clone());
    order.job = order.job.or_else(|| common.job.as_deref().map(files::display));
    let rules = order.rules.as_ref().map(|path| root.join(path)).or_else(|| how.rules.clone());
    order.rules = order.rules.or_else(|| how.rules.as_deref().map(files::display));
    order.deltas = order.deltas.or(how.grading.deltas);
    order.reference = order.reference.or(how.grading.reference);
    order.alter = order.alter.or(options);
    Task { drawing: root.join(&order.drawing), table: root.join(&order.sizes), job, rules, order }
}

/// An order for every drawing, called as the drawing without its ending.
fn of_drawings(patterns: &[String], table: &Path) -> Result<Vec<Order>, Failure> {
    let table = text(table)?;
    let mut found: Vec<PathBuf> = Vec::new();
    let mut problems = Vec::new();
    for pattern in patterns {
        let before = found.len();
        // A shell may have put a name in place of the pattern, which may look like one itself.
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

/// A path as text, which reports repeat.
fn text(path: &Path) -> Result<String, Failure> {
    let text = path.to_str().filter(|t| !t.contains(char::is_control));
    let unfit =
        || format!("{}: the path has characters that cannot be written; rename it", files::display(path));
    Ok(text.ok_or_else(unfit)?.to_owned())
}
