//! The fuzzing targets' bodies over the committed corpus, without libFuzzer: what was once found stays right.

use crate::bodies;
use crate::inside::common::root;
use rayon::prelude::*;
use std::path::PathBuf;

/// The inputs of a target, by name.
fn inputs(target: &str) -> Vec<(PathBuf, Vec<u8>)> {
    let folder = root().join("tests/inside/corpus").join(target);
    let files = std::fs::read_dir(folder).unwrap().map(|e| e.unwrap().path());
    files.map(|p| (p.clone(), std::fs::read(p).unwrap())).collect()
}

fn replayed(target: &str, body: fn(&[u8])) {
    let inputs = inputs(target);
    assert!(!inputs.is_empty());
    inputs.par_iter().for_each(|(path, bytes)| {
        assert!(std::panic::catch_unwind(|| body(bytes)).is_ok(), "{}", path.display());
    });
}

#[test]
fn corpus_of_the_text_layer() {
    replayed("dxf_text", bodies::dxf_text);
}

#[test]
fn corpus_of_size_tables() {
    replayed("size_table", bodies::size_table);
}

#[test]
fn corpus_of_job_files() {
    replayed("job_file", bodies::job_file);
}

#[test]
fn corpus_of_lengths() {
    replayed("length", bodies::length);
}

#[test]
fn corpus_of_rule_tables() {
    replayed("rules", bodies::rules);
}

#[test]
fn corpus_of_alterations() {
    replayed("alter", bodies::alter);
    // Without this the corpus could pass by being refused.
    let altered = inputs("alter").par_iter().filter(|(_, bytes)| bodies::altered(bytes)).count();
    assert!(altered >= 5, "{altered} drawings of the corpus are altered");
}

#[test]
fn corpus_of_checks() {
    replayed("check", bodies::check);
    let compared = inputs("check").par_iter().filter(|(_, bytes)| bodies::checked(bytes)).count();
    assert!(compared >= 5, "{compared} pairs of the corpus are compared");
}

#[test]
fn corpus_of_prints() {
    replayed("plot", bodies::plot);
    let printed = inputs("plot").par_iter().filter(|(_, bytes)| bodies::plotted(bytes)).count();
    assert!(printed >= 5, "{printed} drawings of the corpus are printed");
}

#[test]
fn corpus_of_grading() {
    replayed("grade", bodies::grade);
    let graded = inputs("grade").par_iter().filter(|(_, bytes)| bodies::graded(bytes)).count();
    assert!(graded >= 5, "{graded} drawings of the corpus are graded");
}
