//! The copy of the crate that holds every mutant, and its build. What does not compile is left out.

use std::collections::{BTreeMap, BTreeSet};
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};

use serde_json::Value;

use crate::list::Mutant;
use crate::place::{Placed, place};

/// What is built, and what could not be.
pub struct Built {
    /// The test programs: unit tests and integration tests.
    pub tests: Vec<PathBuf>,
    /// Mutants that the compiler refuses; they change nothing that could be shipped.
    pub unviable: BTreeSet<usize>,
    /// Mutants of constants, which no switch can choose, and those that the compiler could not be asked about one by one.
    pub untried: BTreeSet<usize>,
}

/// Builds the copy in `folder`. Of some mutants it may be known already that they do not compile, or that no switch reaches them.
pub fn build(
    root: &Path,
    folder: &Path,
    mutants: &BTreeMap<usize, Mutant>,
    mut refused: BTreeSet<usize>,
    mut entangled: BTreeSet<usize>,
) -> Built {
    copy(root, folder, mutants);
    loop {
        let placed = write(root, folder, mutants, &|n| !refused.contains(&n) && !entangled.contains(&n));
        let there: BTreeSet<usize> = placed.values().flat_map(|p| p.mutants.iter().map(|m| m.1)).collect();
        let errors = errors(folder);
        if errors.is_empty() {
            // A `let` chain takes no other operator; whatever else found no place is in a constant or a macro.
            let unplaced = mutants.keys().copied().filter(|n| !there.contains(n) && !refused.contains(n));
            let (lets, others): (Vec<usize>, Vec<usize>) =
                unplaced.partition(|n| mutants[n].replacement == "||" && !entangled.contains(n));
            refused.extend(lets);
            entangled.extend(others);
            return Built { tests: tests(folder), unviable: refused, untried: entangled };
        }
        let before = refused.len() + entangled.len();
        for (file, begin, end) in &errors {
            let Some(placed) = placed.get(file) else { panic!("{file} does not build") };
            blame(placed, *begin, *end, &mut refused, &mut entangled);
        }
        println!(
            "{} errors: {} mutants do not compile, {} are in the way",
            errors.len(),
            refused.len(),
            entangled.len()
        );
        assert!(refused.len() + entangled.len() > before, "errors outside of every mutant: {errors:?}");
    }
}

/// The mutant that an error lies in; where it lies in none, all of the smallest place around it, or of the places within it.
fn blame(
    placed: &Placed,
    begin: usize,
    end: usize,
    refused: &mut BTreeSet<usize>,
    entangled: &mut BTreeSet<usize>,
) {
    let around =
        placed.mutants.iter().filter(|(r, _)| r.start <= begin && end <= r.end).min_by_key(|(r, _)| r.len());
    if let Some((_, number)) = around {
        refused.insert(*number);
        return;
    }
    let around =
        placed.sites.iter().filter(|(r, _)| r.start <= begin && end <= r.end).min_by_key(|(r, _)| r.len());
    match around {
        Some((_, numbers)) => entangled.extend(numbers),
        None => entangled.extend(
            placed
                .sites
                .iter()
                .filter(|(r, _)| begin <= r.start && r.end <= end)
                .flat_map(|(_, numbers)| numbers),
        ),
    }
}

/// Every file of the repository, so that tests find what they read; but for those that hold mutants.
fn copy(root: &Path, folder: &Path, mutants: &BTreeMap<usize, Mutant>) {
    let mutated: BTreeSet<&str> = mutants.values().map(|m| m.file.as_str()).collect();
    let listed = Command::new("git").args(["ls-files"]).current_dir(root).output().expect("git");
    for name in String::from_utf8_lossy(&listed.stdout).lines() {
        let to = folder.join(name);
        std::fs::create_dir_all(to.parent().expect("a file lies in a folder"))
            .expect("the copy can be written");
        if name != "src/lib.rs" && !mutated.contains(name) {
            put(&to, &std::fs::read(root.join(name)).expect("what git lists is there"));
        }
    }
}

/// Writes a file unless it is so already: what does not change is not built again.
fn put(file: &Path, bytes: &[u8]) {
    if std::fs::read(file).ok().as_deref() != Some(bytes) {
        std::fs::write(file, bytes).expect("the copy can be written");
    }
}

/// The mutants that `keep` says, into the copy's files.
fn write(
    root: &Path,
    folder: &Path,
    mutants: &BTreeMap<usize, Mutant>,
    keep: &dyn Fn(usize) -> bool,
) -> BTreeMap<String, Placed> {
    let mut files: BTreeMap<&str, BTreeMap<usize, &Mutant>> = BTreeMap::new();
    for (number, mutant) in mutants {
        let file = files.entry(&mutant.file).or_default();
        if keep(*number) {
            file.insert(*number, mutant);
        }
    }
    put(&folder.join("src/mutation.rs"), include_bytes!("switch.rs"));
    let lib = std::fs::read_to_string(root.join("src/lib.rs")).expect("the crate has a library");
    put(&folder.join("src/lib.rs"), (lib + "\npub mod mutation;\n").as_bytes());
    let mut all = BTreeMap::new();
    for (file, wanted) in files {
        let source = std::fs::read_to_string(root.join(file)).expect("the mutants are of this tree");
        let placed = place(&source, &wanted);
        put(&folder.join(file), placed.text.as_bytes());
        all.insert(file.to_owned(), placed);
    }
    all
}

fn cargo(folder: &Path, arguments: &[&str]) -> Vec<Value> {
    let run = Command::new("cargo")
        .args(arguments)
        .args(["--profile", "mutants", "--message-format=json"])
        .env("RUSTFLAGS", "--cap-lints=allow")
        .env("CARGO_TARGET_DIR", folder.join("target"))
        .current_dir(folder)
        .stderr(Stdio::null())
        .output()
        .expect("cargo");
    let text = String::from_utf8_lossy(&run.stdout).into_owned();
    text.lines().filter_map(|l| serde_json::from_str(l).ok()).collect()
}

/// File and bytes of every error.
fn errors(folder: &Path) -> Vec<(String, usize, usize)> {
    let mut found = vec![];
    for message in cargo(folder, &["check", "--lib"]) {
        let message = &message["message"];
        if message["level"] != "error" {
            continue;
        }
        for mut span in message["spans"].as_array().into_iter().flatten().filter(|s| s["is_primary"] == true)
        {
            // What lies in a macro of the standard library is an error where the macro is called.
            while span["expansion"]["span"].is_object() {
                span = &span["expansion"]["span"];
            }
            let number = |key: &str| usize::try_from(span[key].as_u64().unwrap_or(0)).unwrap_or(0);
            found.push((
                span["file_name"].as_str().unwrap_or("").to_owned(),
                number("byte_start"),
                number("byte_end"),
            ));
        }
    }
    found
}

fn tests(folder: &Path) -> Vec<PathBuf> {
    let messages = cargo(folder, &["test", "--no-run", "--lib", "--bins", "--test", "it"]);
    let of_tests = messages.iter().filter(|m| m["profile"]["test"] == true);
    let programs: Vec<PathBuf> =
        of_tests.filter_map(|m| m["executable"].as_str()).map(PathBuf::from).collect();
    assert!(!programs.is_empty(), "the tests do not build");
    programs
}
