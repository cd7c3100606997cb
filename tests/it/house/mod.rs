//! The house as DEVELOPERS.md describes it against the code, and its dependencies against Cargo.toml.

mod rooms;

use crate::outside::root;
use std::collections::BTreeSet;
use std::fs;

fn developers() -> String {
    fs::read_to_string(root().join("DEVELOPERS.md")).unwrap()
}

#[test]
fn no_room_uses_another_that_it_may_not() {
    let (uses, allowed) = (rooms::read(&root().join("src")).unwrap(), rooms::allowed(&developers()));
    let rooms: BTreeSet<&String> = uses.keys().collect();
    assert_eq!(rooms, allowed.keys().collect(), "the rooms of src and of the table");
    let mut wrong = Vec::new();
    for (room, used) in &uses {
        for (other, files) in used.iter().filter(|(other, _)| !allowed[room].uses(other)) {
            wrong.push(format!("{room} uses {other} in {files:?}"));
        }
    }
    assert!(wrong.is_empty(), "{wrong:#?}");
    // What the table allows and nobody needs would let a wall be broken through unseen.
    let idle = allowed.iter().flat_map(|(room, may)| may.named.iter().map(move |other| (room, other)));
    let idle: Vec<_> = idle.filter(|(room, other)| !uses[*room].contains_key(*other)).collect();
    assert!(idle.is_empty(), "allowed, but not used: {idle:?}");
}

/// One room after the other can be taken away that uses none of those left.
#[test]
fn no_rooms_use_each_other() {
    let mut left = rooms::read(&root().join("src")).unwrap();
    while !left.is_empty() {
        let names: BTreeSet<String> = left.keys().cloned().collect();
        left.retain(|_, used| used.keys().any(|other| names.contains(other)));
        assert!(left.len() < names.len(), "these use each other, or rooms that do: {names:?}");
    }
}

/// Only the program's edge reads files, writes files or prints.
#[test]
fn the_library_touches_no_file() {
    let mut wrong = Vec::new();
    for (name, source) in sources("src").into_iter().filter(|(name, _)| !name.contains("src/cli/")) {
        let code = source.split("#[cfg(test)]\nmod ").next().unwrap();
        for sign in [
            "std::fs",
            "std::net",
            "std::process",
            "std::env::",
            "println!",
            "stdout()",
            "stderr()",
            "File::",
        ] {
            if code.lines().any(|l| l.split("//").next().is_some_and(|l| l.contains(sign)))
                && !name.ends_with("main.rs")
            {
                wrong.push(format!("{name}: {sign}"));
            }
        }
    }
    assert!(wrong.is_empty(), "{wrong:#?}");
}

/// Every source file below a folder with its text.
fn sources(folder: &str) -> Vec<(String, String)> {
    let (mut found, mut folders) = (Vec::new(), vec![root().join(folder)]);
    while let Some(folder) = folders.pop() {
        for entry in fs::read_dir(folder).unwrap() {
            let path = entry.unwrap().path();
            if path.is_dir() {
                folders.push(path);
            } else if path.extension().is_some_and(|e| e == "rs") {
                found.push((path.to_string_lossy().into_owned(), fs::read_to_string(&path).unwrap()));
            }
        }
    }
    found
}

/// The keys of these tables of Cargo.toml.
fn dependencies(tables: &[&str]) -> BTreeSet<String> {
    let manifest: toml::Table = fs::read_to_string(root().join("Cargo.toml")).unwrap().parse().unwrap();
    tables.iter().flat_map(|t| manifest[*t].as_table().unwrap().keys().cloned()).collect()
}

#[test]
fn every_dependency_is_accounted_for() {
    let text = developers();
    let rows =
        text.lines().skip_while(|l| !l.starts_with("| crate |")).skip(2).take_while(|l| l.starts_with('|'));
    let listed: Vec<String> = rows
        .flat_map(|row| {
            row.split('|')
                .nth(1)
                .unwrap()
                .split('`')
                .skip(1)
                .step_by(2)
                .map(str::to_owned)
                .collect::<Vec<_>>()
        })
        .collect();
    let set: BTreeSet<String> = listed.iter().cloned().collect();
    assert_eq!(set.len(), listed.len(), "a crate stands twice in the table");
    assert_eq!(set, dependencies(&["dependencies", "dev-dependencies"]), "DEVELOPERS.md and Cargo.toml");
}

#[test]
fn every_dependency_is_used() {
    let used = |name: &String, folders: &[&str]| {
        let name = name.replace('-', "_");
        let signs = [format!("{name}::"), format!("use {name};"), format!("use {name} ")];
        let here = |source: &str| signs.iter().any(|sign| source.contains(sign));
        folders.iter().flat_map(|f| sources(f)).any(|(_, source)| here(&source))
    };
    let unused = |table: &str, folders: &[&str]| -> Vec<String> {
        dependencies(&[table]).into_iter().filter(|name| !used(name, folders)).collect()
    };
    assert_eq!(unused("dependencies", &["src"]), [""; 0]);
    assert_eq!(unused("dev-dependencies", &["src", "tests", "benches", "samples"]), [""; 0]);
    let both: Vec<String> =
        dependencies(&["dependencies"]).intersection(&dependencies(&["dev-dependencies"])).cloned().collect();
    assert_eq!(both, [""; 0], "both for the program and for the tests");
}

/// The package holds what is needed to build the program and to run its tests, and its description lacks nothing.
#[test]
fn the_package_is_whole() {
    // In a package that was taken out of its archive there is nothing to compare with.
    if !root().join(".git").exists() {
        return;
    }
    let mut cargo = std::process::Command::new(std::env::var_os("CARGO").unwrap_or_else(|| "cargo".into()));
    let output =
        cargo.current_dir(root()).args(["package", "--list", "--allow-dirty", "--offline"]).output().unwrap();
    let told = String::from_utf8_lossy(&output.stderr);
    assert!(output.status.success() && !told.contains("warning"), "{told}");
    let list = String::from_utf8_lossy(&output.stdout);
    let packed: BTreeSet<&str> = list.lines().collect();
    let mut git = std::process::Command::new("git");
    let there = git.current_dir(root()).arg("ls-files").output().unwrap();
    let there = String::from_utf8_lossy(&there.stdout);
    // A folder with a Cargo.toml is a package of its own.
    let ours = |name: &&str| !["tests/fuzz/", "tests/mutants/"].iter().any(|folder| name.starts_with(folder));
    let missing: Vec<&str> = there
        .lines()
        .filter(ours)
        .filter(|name| root().join(name).is_file() && !packed.contains(name))
        .collect();
    assert!(missing.is_empty(), "left out of the package: {missing:?}");
    let strange: Vec<&&str> = packed
        .iter()
        .filter(|name| [".pdf", ".snap.new", ".log", "~"].iter().any(|end| name.ends_with(end)))
        .collect();
    assert!(strange.is_empty(), "should not be in the package: {strange:?}");
}
