//! The examiner of `tests/python/examiner`: trousers of the whole trade drawn at random, altered, and verified vertex by vertex
//! by a program that shares no code with this one.

use crate::outside::{python, root, said};
use std::path::Path;
use std::process::{Command, Output};

fn examiner(python: &Path, args: &[&str]) -> Output {
    let mut program = Command::new(python);
    program.args(["-B", "-m", "examiner"]).args(args).args(["--truerise", env!("CARGO_BIN_EXE_truerise")]);
    program.current_dir(root().join("tests/python")).output().unwrap()
}

/// Faults of some 26 kinds, each planted in drawings that came out right: a verifier that finds none of them proves nothing.
#[test]
fn planted_faults_are_found() {
    let Some(python) = python() else { return };
    let planted = examiner(&python, &["plant", "--count", "6", "--seed", "7"]);
    assert!(planted.status.success(), "{}", said(&planted));
}
