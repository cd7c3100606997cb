//! Mutation testing in an hour instead of days: every mutant that `cargo mutants` lists goes into one build, behind a switch, and
//! each is tried with the tests that come by it, quickest first.
//!
//! ```sh
//! cargo run --release --manifest-path tests/mutants/Cargo.toml -- --results target/mutants.tsv --budget 12
//! ```
//!
//! Every outcome is added to the results as it comes (tab-separated: outcome, mutant, test); what is there already is not tried
//! again. `--names FILE` tries those that a file names, one a line, whatever the results say of them; `--sample N` the first N in a
//! shuffled order; `--tests WORD` asks the tests with this word in their names, `--budget S` only so many seconds' worth of them;
//! `--folder` is where the copy of the crate is built (`target/mutants`), `--workers` how many run at a time.

mod build;
mod list;
mod place;
mod run;

use std::collections::{BTreeMap, HashMap};
use std::fs::{self, File};
use std::io::Write;
use std::path::{Path, PathBuf};
use std::sync::Mutex;
use std::time::Duration;

use list::Mutant;
use run::{Effort, Outcome};

fn main() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("../..").canonicalize().expect("the repository");
    let options = Options::read();
    let folder = options.folder.clone().unwrap_or_else(|| root.join("target/mutants"));
    fs::create_dir_all(&folder).expect("the folder of the copy");
    let mutants: BTreeMap<usize, Mutant> = (1..).zip(list::mutants(&root)).collect();
    let built = build::build(&root, &folder, &mutants);
    println!(
        "{} mutants, {} do not compile, {} cannot be switched",
        mutants.len(),
        built.unviable.len(),
        built.untried.len()
    );
    let mut results = Results::open(&options.results);
    for (numbers, outcome) in [(&built.unviable, "unviable"), (&built.untried, "untried")] {
        for number in numbers {
            results.add(outcome, &mutants[number].name, "");
        }
    }
    let tests = run::tests(&folder, &built.tests, &options.tests, options.workers);
    println!("{} tests", tests.len());
    let mut numbers: Vec<usize> = mutants.keys().copied().collect();
    numbers.retain(|n| !built.unviable.contains(n) && !built.untried.contains(n));
    numbers.sort_by_key(|n| shuffled(*n));
    numbers.truncate(options.sample);
    if let Some(names) = &options.names {
        let names = fs::read_to_string(names).expect("the file of names");
        numbers.retain(|n| names.lines().any(|l| l == mutants[n].name));
    } else {
        numbers.retain(|n| !results.known.contains_key(&mutants[n].name));
    }
    let results = Mutex::new(results);
    let effort = Effort { workers: options.workers, budget: Duration::from_secs(options.budget) };
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

/// An order without a pattern that a drawing of the mutants could have: Knuth's multiplicative hash.
fn shuffled(number: usize) -> u32 {
    (number as u32).wrapping_mul(2_654_435_761)
}

struct Options {
    sample: usize,
    names: Option<PathBuf>,
    results: PathBuf,
    folder: Option<PathBuf>,
    /// Part of the names of the tests that are asked.
    tests: String,
    workers: usize,
    /// Seconds of tests for a mutant.
    budget: u64,
}

impl Options {
    fn read() -> Self {
        let cores = std::thread::available_parallelism().map_or(1, usize::from);
        let results = PathBuf::from("mutants.tsv");
        let mut options = Options {
            sample: usize::MAX,
            names: None,
            results,
            folder: None,
            tests: String::new(),
            workers: cores,
            budget: 3600,
        };
        let mut arguments = std::env::args().skip(1);
        while let Some(name) = arguments.next() {
            let value = arguments.next().unwrap_or_else(|| panic!("{name} needs a value"));
            match name.as_str() {
                "--sample" => options.sample = value.parse().expect("a number"),
                "--tests" => options.tests = value,
                "--budget" => options.budget = value.parse().expect("seconds"),
                "--workers" => options.workers = value.parse().expect("a number"),
                "--names" => options.names = Some(value.into()),
                "--results" => options.results = value.into(),
                "--folder" => options.folder = Some(value.into()),
                _ => {
                    panic!(
                        "{name} is not known: --sample, --names, --results, --folder, --tests, --budget, --workers"
                    )
                }
            }
        }
        options
    }
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
            println!(
                "{room}: {caught} of {tried} caught, {share:.1} % ({} by taking too long); {} do not compile, {} not tried",
                of("timeout"),
                of("unviable"),
                of("untried")
            );
        }
    }
}
