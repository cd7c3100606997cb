//! What the library offers to others, as it is recorded: a change to it is a change for whoever builds on it.

use crate::outside::root;
use std::fs;

/// Names of `lib.rs` and signatures of `nest.rs`, a line each.
fn offered() -> Vec<String> {
    let read = |path: &str| fs::read_to_string(root().join(path)).unwrap();
    let (names, nest) = (read("src/lib.rs"), read("src/nest.rs"));
    let mut all = Vec::new();
    for part in names.split("pub use ").skip(1) {
        let (path, _) = part.split_once(';').unwrap();
        let (room, list) = path.split_once("::").unwrap();
        let list = list.trim_matches(['{', '}']).split(',').map(str::trim).filter(|name| !name.is_empty());
        all.extend(list.map(|name| format!("{room}: {name}")));
    }
    for part in nest.split("    pub fn ").skip(1) {
        let (signature, _) = part.split_once('{').unwrap();
        all.push(format!("fn {}", signature.split_whitespace().collect::<Vec<_>>().join(" ")));
    }
    all
}

#[test]
fn what_is_offered_is_what_is_recorded() {
    let recorded = fs::read_to_string(root().join("tests/it/public.txt")).unwrap();
    let recorded: Vec<&str> = recorded.lines().collect();
    let offered = offered();
    assert!(offered.len() > 30);
    assert_eq!(
        offered, recorded,
        "if it is meant, record it in tests/it/public.txt and tell it in CHANGELOG.md"
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
    let mut folders = vec![root().join("src")];
    while let Some(folder) = folders.pop() {
        for path in fs::read_dir(folder).unwrap().map(|e| e.unwrap().path()) {
            if path.is_dir() {
                folders.extend((!path.ends_with("cli")).then_some(path));
                continue;
            }
            let Ok(source) = fs::read_to_string(&path) else { continue };
            let rust = path.extension().is_some_and(|e| e == "rs");
            let named = brought.iter().find(|d| rust && source.contains(&format!("{d}::")));
            assert_eq!(named, None, "{}", path.display());
        }
    }
}
