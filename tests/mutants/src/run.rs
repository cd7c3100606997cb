//! Runs the tests: once without a mutant, to see how long each takes and which it comes by, then for each mutant.

use std::collections::{BTreeMap, BTreeSet};
use std::ffi::OsStr;
use std::os::unix::process::CommandExt;
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};
use std::sync::Mutex;
use std::sync::atomic::{AtomicUsize, Ordering};
use std::time::{Duration, Instant};

use serde::{Deserialize, Serialize};

/// Tests that look at what a mutant cannot change or that count what the program does, and would only cost time.
const SKIPPED: [&str; 9] =
    ["slurm", "faults::", "page::", "hostile::", "batch::stop", "real::", "fuzz::", "house::", "corpus::"];
/// A test that takes longer than this is left out.
const LONGEST: Duration = Duration::from_secs(30);
/// Worth of tests that run in one program after another, as long as none fails.
const BATCH: Duration = Duration::from_secs(2);

/// A test that passes without a mutant.
#[derive(Serialize, Deserialize)]
pub struct Test {
    program: PathBuf,
    pub name: String,
    takes: Duration,
    reaches: BTreeSet<usize>,
}

/// What became of a mutant.
pub enum Outcome {
    /// A test failed: its name, or the first of those that ran together.
    Caught(String),
    TimedOut(String),
    /// All that were asked passed: how many, of how many that come by it.
    Missed(usize, usize),
}

/// Every test with this word in its name that passes, with its time and the mutants that it reaches.
pub fn tests(folder: &Path, programs: &[PathBuf], word: &str, workers: usize) -> Vec<Test> {
    // Those of the last run, if the programs are the same.
    let kept = folder.join("target").join(format!("tests-{}.json", word.replace(':', "-")));
    let written = |p: &Path| p.metadata().and_then(|m| m.modified()).ok();
    if programs.iter().all(|p| written(p) < written(&kept))
        && let Ok(tests) = serde_json::from_slice(&std::fs::read(&kept).unwrap_or_default())
    {
        return tests;
    }
    let mut names = vec![];
    for program in programs {
        let listed = Command::new(program).args(["--list", "--format", "terse"]).current_dir(folder).output();
        let listed = String::from_utf8_lossy(&listed.expect("a test program lists").stdout).into_owned();
        let tests = listed.lines().filter_map(|l| l.strip_suffix(": test")).map(str::to_owned);
        let tests = tests.filter(|n| n.contains(word));
        names.extend(tests.filter(|n| !SKIPPED.iter().any(|s| n.contains(s))).map(|n| (program.clone(), n)));
    }
    let found = Mutex::new(vec![]);
    in_parallel(workers, names.len(), |i, _| {
        let (program, name) = &names[i];
        let reached = folder.join("target").join(format!("reached-{i}"));
        std::fs::write(&reached, "").expect("the copy can be written");
        let begin = Instant::now();
        let noting = [("MUTANTS_REACHED", reached.as_os_str())];
        let passed = wait(test(folder, program, [name.as_str()], &noting), LONGEST) == Some(true);
        let takes = begin.elapsed();
        if !passed {
            println!("left out, fails or takes long: {name}");
            return;
        }
        let text = std::fs::read_to_string(&reached).unwrap_or_default();
        let reaches = text.lines().filter_map(|l| l.parse().ok()).collect();
        let test = Test { program: program.clone(), name: name.clone(), takes, reaches };
        found.lock().expect("no thread panics").push(test);
    });
    let mut found = found.into_inner().expect("no thread panics");
    found.sort_by_key(|t: &Test| t.takes);
    std::fs::write(&kept, serde_json::to_vec(&found).expect("tests can be written"))
        .expect("the copy can be written");
    found
}

#[derive(Clone, Copy)]
pub struct Effort {
    pub workers: usize,
    /// The worth of tests that a mutant is tried with, quickest first.
    pub budget: Duration,
}

/// Runs `mutants` in the order given and hands every outcome over as it comes.
pub fn mutants(
    folder: &Path,
    tests: &[Test],
    numbers: &[usize],
    Effort { workers, budget }: Effort,
    done: &(dyn Fn(usize, Outcome) + Sync),
) {
    // What noticed a mutant is asked first about the next ones: neighbours are noticed by the same tests.
    let good: Mutex<BTreeMap<usize, usize>> = Mutex::new(BTreeMap::new());
    in_parallel(workers, numbers.len(), |i, worker| {
        let number = numbers[i];
        let mut reaching: Vec<usize> =
            (0..tests.len()).filter(|t| tests[*t].reaches.contains(&number)).collect();
        let score = |t: usize| {
            let times = good.lock().expect("no thread panics").get(&t).copied().unwrap_or(0);
            tests[t].takes.as_secs_f64() / (1.0 + times as f64)
        };
        reaching.sort_by(|a, b| score(*a).total_cmp(&score(*b)));
        let all = reaching.len();
        let mut spent = Duration::ZERO;
        reaching.retain(|t| {
            spent += tests[*t].takes;
            spent <= budget
        });
        let outcome = one(folder, tests, &reaching, number, worker);
        if let Some(test) = outcome.1 {
            *good.lock().expect("no thread panics").entry(test).or_default() += 1;
        }
        let found = match outcome.0 {
            Outcome::Missed(asked, _) => Outcome::Missed(asked, all),
            found => found,
        };
        done(number, found);
    });
}

fn one(
    folder: &Path,
    tests: &[Test],
    reaching: &[usize],
    number: usize,
    worker: usize,
) -> (Outcome, Option<usize>) {
    let mut rest = reaching;
    while let Some(first) = rest.first() {
        let program = &tests[*first].program;
        let mut takes = Duration::ZERO;
        let together = rest.iter().take_while(|t| {
            takes += tests[**t].takes;
            tests[**t].program == *program && (takes <= BATCH || *t == first)
        });
        let (batch, after) = rest.split_at(together.count());
        let takes: Duration = batch.iter().map(|t| tests[*t].takes).sum();
        let names = batch.iter().map(|t| tests[*t].name.as_str());
        let (switch, tmp) = (number.to_string(), tmp(folder, worker));
        let set = [("MUTANT", switch.as_ref()), ("TMPDIR", tmp.as_os_str())];
        let name = || tests[*first].name.clone();
        match wait(test(folder, program, names, &set), Duration::from_secs(15) + takes * 6) {
            Some(true) => {}
            Some(false) => return (Outcome::Caught(name()), (batch.len() == 1).then_some(*first)),
            None => return (Outcome::TimedOut(name()), None),
        }
        rest = after;
    }
    (Outcome::Missed(reaching.len(), reaching.len()), None)
}

fn tmp(folder: &Path, worker: usize) -> PathBuf {
    let tmp = folder.join("target").join(format!("tmp-{worker}"));
    std::fs::create_dir_all(&tmp).expect("the copy can be written");
    tmp
}

fn test<'n>(
    folder: &Path,
    program: &Path,
    names: impl IntoIterator<Item = &'n str>,
    set: &[(&str, &OsStr)],
) -> Child {
    // A mutant may ask for memory without end.
    let mut command = Command::new("sh");
    command.args(["-c", "ulimit -v 6000000; exec \"$@\"", "sh"]).arg(program);
    command.args(names).args(["--exact", "--test-threads", "1"]);
    // A failure must not make the tests of the next mutant stronger, nor be made smaller.
    command.env("PROPTEST_DISABLE_FAILURE_PERSISTENCE", "1").env("PROPTEST_MAX_SHRINK_ITERS", "0");
    command.env("INSTA_UPDATE", "no").env("CARGO_MANIFEST_DIR", folder).env("RUST_BACKTRACE", "0");
    command.envs(set.iter().copied());
    command.current_dir(folder).stdin(Stdio::null()).stdout(Stdio::null()).stderr(Stdio::null());
    command.process_group(0).spawn().expect("a test program runs")
}

/// Whether it succeeds; nothing if it has not ended by then.
fn wait(mut child: Child, limit: Duration) -> Option<bool> {
    let begin = Instant::now();
    loop {
        if let Ok(Some(status)) = child.try_wait() {
            return Some(status.success());
        }
        if begin.elapsed() > limit {
            let _ = Command::new("kill").args(["-KILL", "--", &format!("-{}", child.id())]).status();
            let _ = child.wait();
            return None;
        }
        std::thread::sleep(Duration::from_millis(4));
    }
}

fn in_parallel(workers: usize, count: usize, work: impl Fn(usize, usize) + Sync) {
    let next = AtomicUsize::new(0);
    std::thread::scope(|scope| {
        for worker in 0..workers {
            let (next, work) = (&next, &work);
            scope.spawn(move || {
                while let Some(i) = Some(next.fetch_add(1, Ordering::Relaxed)).filter(|i| *i < count) {
                    work(i, worker);
                }
            });
        }
    });
}
