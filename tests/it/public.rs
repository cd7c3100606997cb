//! What the library offers to others, as it is recorded: a change to it is a change for whoever builds on it.

use crate::outside::root;
use std::collections::{BTreeMap, BTreeSet};
use std::fs;

/// The names of `lib.rs`, and the signatures of what they can do, a line each.
fn offered() -> Vec<String> {
    let names = fs::read_to_string(root().join("src/lib.rs")).unwrap();
    let (mut all, mut types) = (Vec::new(), BTreeSet::new());
    for part in names.split("pub use ").skip(1) {
        let (path, _) = part.split_once(';').unwrap();
        let (room, list) = path.trim_start_matches("crate::").split_once("::").unwrap();
        let list = list.trim_matches(['{', '}']).split(',').map(str::trim).filter(|name| !name.is_empty());
        for name in list {
            all.push(format!("{room}: {name}"));
            types.insert((room.to_owned(), name.split(' ').next().unwrap().to_owned()));
        }
    }
    for (path, source) in sources() {
        let code = source.split("#[cfg(test)]\nmod ").next().unwrap();
        let room = path.split(['/', '.']).next().unwrap();
        // The type that an `impl` at the beginning of a line is for.
        let mut of = String::new();
        for item in code.split("\nimpl").skip(1) {
            let (head, body) = item.split_once('{').unwrap();
            let head = head.rsplit(" for ").next().unwrap();
            let named = |name: &&str| name.starts_with(char::is_uppercase) && name.len() > 1;
            let words = head.split(|c: char| !c.is_alphanumeric());
            of.clear();
            of.push_str(words.clone().find(named).unwrap_or_default());
            let known = types.iter().any(|(r, name)| *name == of && (r == room || room == "nest"));
            let body = body.split("\n}").next().unwrap();
            for part in body.split("\n    pub fn ").skip(1).filter(|_| known) {
                let (signature, _) = part.split_once('{').unwrap();
                let signature = signature.split_whitespace().collect::<Vec<_>>().join(" ");
                all.push(format!("{of}: fn {signature}"));
            }
        }
    }
    all
}

/// The files of the library with their texts, by path.
fn sources() -> BTreeMap<String, String> {
    let (mut found, mut folders) = (BTreeMap::new(), vec![root().join("src")]);
    while let Some(folder) = folders.pop() {
        for path in fs::read_dir(folder).unwrap().map(|e| e.unwrap().path()) {
            if path.is_dir() {
                folders.extend((!path.ends_with("cli")).then_some(path));
            } else if path.extension().is_some_and(|e| e == "rs") {
                let name =
                    path.strip_prefix(root().join("src")).unwrap().to_string_lossy().replace('\\', "/");
                found.insert(name, fs::read_to_string(&path).unwrap());
            }
        }
    }
    found
}

#[test]
fn what_is_offered_is_what_is_recorded() {
    let recorded = fs::read_to_string(root().join("tests/it/public.txt")).unwrap();
    let recorded: Vec<&str> = recorded.lines().collect();
    let offered = offered();
    assert!(offered.len() > 100);
    let none = |of: &[String], other: &[String]| -> Vec<String> {
        of.iter().filter(|line| !other.contains(line)).cloned().collect()
    };
    let recorded: Vec<String> = recorded.into_iter().map(str::to_owned).collect();
    assert!(
        offered == recorded,
        "if it is meant, record it in tests/it/public.txt and tell it in CHANGELOG.md: new {:#?}, gone {:#?}",
        none(&offered, &recorded),
        none(&recorded, &offered)
    );
}

/// A library user takes neither arguments nor terminal: of what `cli` brings nothing is named outside of it.
#[test]
fn the_library_names_nothing_of_the_program() {
    let manifest = fs::read_to_string(root().join("Cargo.toml")).unwrap();
    let (_, feature) = manifest.split_once("cli = [").unwrap();
    let (feature, _) = feature.split_once(']').unwrap();
    let brought: Vec<String> =
        feature.split('"').filter_map(|d| d.strip_prefix("dep:")).map(|d| d.replace('-', "_")).collect();
    assert!(brought.len() > 4);
    for (path, source) in sources() {
        let named = brought.iter().find(|d| source.contains(&format!("{d}::")));
        assert_eq!(named, None, "{path}");
    }
}
