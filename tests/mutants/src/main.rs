//! Mutation testing in an hour instead of days: every mutant that `cargo mutants` lists, or a random sample of them, goes into one
//! build, behind a switch, and each is tried with the tests that come by it, quickest first.
//!
//! ```sh
//! cargo run --release --manifest-path tests/mutants/Cargo.toml -- --results target/mutants.tsv --budget 12 --sample 700
//! ```
//!
//! Every outcome is added to the results as it comes (tab-separated: outcome, mutant, test); what is there already is not tried
//! again unless `--names` names it. `--help` tells the rest.

mod build;
mod list;
mod place;
mod run;

use std::collections::{BTreeMap, HashMap};
use std::fs::{self, File};
use std::hash::{DefaultHasher, Hash, Hasher};
use std::io::Write;
use std::path::{Path, PathBuf};
use std::sync::Mutex;
use std::time::Duration;

use clap::Parser;
use list::Mutant;
use run::{Effort, Outcome};

fn main() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("../..").canonicalize().expect("the repository");
    let options = Options::parse();
    let cores = || std::thread::available_parallelism().map_or(1, usize::from);
    let workers = options.workers.unwrap_or_else(cores);
    let folder = options.folder.clone().unwrap_or_else(|| root.join("target/mutants"));
    fs::create_dir_all(&folder).expect("the folder of the copy");
    let mut listed = list::mutants(&root);
    let all = listed.len();
    // Only what is tried is built: a sample builds and runs the quicker.
    listed.sort_by_cached_key(|m| shuffled(&m.name, options.seed));
    listed.truncate(options.sample);
    let mutants: BTreeMap<usize, Mutant> = (1..).zip(listed).collect();
    let mut results = Results::open(&options.results);
    let known = |outcome: &str| {
        let so = |m: &Mutant| results.known.get(&m.name).is_some_and(|o| o == outcome);
        mutants.iter().filter(|(_, m)| so(m)).map(|(n, _)| *n).collect()
    };
    let built = build::build(&root, &folder, &mutants, known("unviable"), known("untried"));
    println!(
        "{} mutants of {all}, {} do not compile, {} cannot be switched",
        mutants.len(),
        built.unviable.len(),
        built.untried.len()
    );
    for (numbers, outcome) in [(&built.unviable, "unviable"), (&built.untried, "untried")] {
        for number in numbers {
            results.add(outcome, &mutants[number].name, "");
        }
    }
    let tests = run::tests(&folder, &built.tests, &options.tests, workers);
    println!("{} tests", tests.len());
    let mut numbers: Vec<usize> = mutants.keys().copied().collect();
    numbers.retain(|n| !built.unviable.contains(n) && !built.untried.contains(n));
    if let Some(names) = &options.names {
        let names = fs::read_to_string(names).expect("the file of names");
        numbers.retain(|n| names.lines().any(|l| l == mutants[n].name));
    } else {
        numbers.retain(|n| !results.known.contains_key(&mutants[n].name));
    }
    let results = Mutex::new(results);
    let effort = Effort { workers, budget: Duration::from_secs(options.budget) };
    run::mutants(&folder, &tests, &numbers, effort, &|number, outcome| {
        let (word, detail) = match outcome {
            Outcome::Caught(test) => ("caught", test),
            Outcome::TimedOut(test) => ("timeout", test),
            Outcome::Missed(asked, all) => ("missed", format!("{asked} tests of {all} that come by")),
        };
        results.lock().expect("no thread panics").add(word, &mutants[&number].name, &detail);
    });
    results.into_inner().expect("no thread panics").sum_up();
}

/// A random order, the same for a seed; by names, so that changes elsewhere leave a sample as it is.
fn shuffled(name: &str, seed: u64) -> u64 {
    let mut hasher = DefaultHasher::new();
    (seed, name).hash(&mut hasher);
    hasher.finish()
}

/// Mutation testing with every mutant in one build.
#[derive(Parser)]
struct Options {
    /// So many of the listed, drawn at random
    #[arg(long, default_value_t = usize::MAX, hide_default_value = true)]
    sample: usize,
    /// Another number draws another sample
    #[arg(long, default_value_t = 0)]
    seed: u64,
    /// Only mutants that this file names, one a line, whatever the results say of them
    #[arg(long)]
    names: Option<PathBuf>,
    /// Where outcomes are added
    #[arg(long, default_value = "mutants.tsv")]
    results: PathBuf,
    /// Where the copy of the crate is built [default: target/mutants]
    #[arg(long)]
    folder: Option<PathBuf>,
    /// Only tests with this in their names
    #[arg(long, default_value = "", hide_default_value = true)]
    tests: String,
    /// How many run at a time [default: one for each core]
    #[arg(long)]
    workers: Option<usize>,
    /// Seconds' worth of tests for a mutant, quickest first
    #[arg(long, default_value_t = 3600, hide_default_value = true)]
    budget: u64,
}

struct Results {
    file: File,
    /// Outcome of each mutant by its name.
    known: HashMap<String, String>,
}

impl Results {
    fn open(path: &Path) -> Self {
        let text = fs::read_to_string(path).unwrap_or_default();
        let lines = text.lines().filter_map(|l| l.split_once('\t'));
        let known =
            lines.map(|(o, l)| (l.split('\t').next().unwrap_or(l).to_owned(), o.to_owned())).collect();
        let file = File::options().create(true).append(true).open(path).expect("the results can be written");
        Results { file, known }
    }

    fn add(&mut self, outcome: &str, mutant: &str, detail: &str) {
        if self.known.insert(mutant.to_owned(), outcome.to_owned()).as_deref() != Some(outcome) {
            writeln!(self.file, "{outcome}\t{mutant}\t{detail}").expect("the results can be written");
        }
    }

    /// For each room and in all: caught of those that compile.
    fn sum_up(&self) {
        let mut rooms: BTreeMap<String, BTreeMap<&str, usize>> = BTreeMap::new();
        for (name, outcome) in &self.known {
            let room = name.split('/').nth(1).unwrap_or("").to_owned();
            for room in [room, "in all".to_owned()] {
                *rooms.entry(room).or_default().entry(outcome).or_default() += 1;
            }
        }
        for (room, outcomes) in rooms {
            let of = |word: &str| outcomes.get(word).copied().unwrap_or(0);
            let caught = of("caught") + of("timeout");
            let tried = caught + of("missed");
            let share = 100.0 * caught as f64 / tried.max(1) as f64;
            let [low, high] = interval(caught as f64, tried.max(1) as f64).map(|s| 100.0 * s);
            println!(
                "{room}: {caught} of {tried} caught, {share:.1} %, of all {low:.1} to {high:.1} % (95 %, Wilson); \
                 {} by taking too long; {} do not compile, {} not tried",
                of("timeout"),
                of("unviable"),
                of("untried")
            );
        }
    }
}

/// Between which shares of all the share lies that a sample stands for: Wilson's interval at 95 %.
fn interval(caught: f64, tried: f64) -> [f64; 2] {
    const Z: f64 = 1.96;
    let (share, z2) = (caught / tried, Z * Z);
    let middle = share + z2 / (2.0 * tried);
    let half = Z * (share * (1.0 - share) / tried + z2 / (4.0 * tried * tried)).sqrt();
    [middle - half, middle + half].map(|s| s / (1.0 + z2 / tried))
}
