//! The mutants that `cargo mutants` lists: what it would change, and where.

use std::process::Command;

use serde::Deserialize;

#[derive(Deserialize)]
pub struct Mutant {
    /// Its name, unique: file, line, column and what is replaced.
    pub name: String,
    pub file: String,
    pub genre: Genre,
    pub replacement: String,
    pub span: Place,
}

#[derive(Clone, Copy, Debug, Deserialize, PartialEq)]
pub enum Genre {
    FnValue,
    BinaryOperator,
    UnaryOperator,
    MatchArm,
    MatchArmGuard,
    StructField,
}

#[derive(Deserialize)]
pub struct Place {
    pub start: Position,
}

/// Line and column (characters), both from 1.
#[derive(Deserialize)]
pub struct Position {
    pub line: usize,
    pub column: usize,
}

/// All mutants of the rooms that `.cargo/mutants.toml` names.
pub fn mutants(root: &std::path::Path) -> Vec<Mutant> {
    let listed = Command::new("cargo").args(["mutants", "--list", "--json"]).current_dir(root).output();
    let listed = listed.expect("cargo install cargo-mutants");
    assert!(listed.status.success(), "{}", String::from_utf8_lossy(&listed.stderr));
    serde_json::from_slice(&listed.stdout).expect("the list is JSON")
}
