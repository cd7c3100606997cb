//! The fuzzing targets' bodies over the committed corpus, without libFuzzer: what was once found stays right.

use crate::bodies;
use crate::inside::common::root;
use rayon::prelude::*;
use std::path::PathBuf;

/// What begins an input, before its name.
const BEGINS: &str = "=== ";

fn file(target: &str) -> PathBuf {
    root().join("tests/inside/corpus").join(format!("{target}.txt"))
}

/// The inputs of a target with their names. A file has one after the other as a person can read them: bytes that do not show are
/// escaped, and a `\` ends the last line of an input without a line end.
fn inputs(target: &str) -> Vec<(String, Vec<u8>)> {
    let text = std::fs::read_to_string(file(target)).unwrap();
    let mut all: Vec<(String, Vec<u8>)> = Vec::new();
    for line in text.lines() {
        if let Some(name) = line.strip_prefix(BEGINS) {
            all.push((name.to_owned(), Vec::new()));
            continue;
        }
        let (_, bytes) = all.last_mut().unwrap();
        let mut signs = line.chars();
        let mut ends = true;
        while let Some(sign) = signs.next() {
            bytes.push(match (sign == '\\').then(|| signs.next()) {
                None => u8::try_from(sign).unwrap(),
                Some(Some('r')) => b'\r',
                Some(Some('t')) => b'\t',
                Some(Some('\\')) => b'\\',
                Some(Some('x')) => {
                    let hex: String = signs.by_ref().take(2).collect();
                    u8::from_str_radix(&hex, 16).unwrap()
                }
                Some(None) => {
                    ends = false;
                    break;
                }
                Some(Some(other)) => panic!("\\{other} in {line}"),
            });
        }
        if ends {
            bytes.push(b'\n');
        }
    }
    all
}

/// The file of these inputs.
fn written(inputs: &[(String, Vec<u8>)]) -> String {
    let mut text = String::new();
    for (name, bytes) in inputs {
        text += &format!("{BEGINS}{name}\n");
        for line in bytes.split_inclusive(|&b| b == b'\n') {
            for &byte in line.strip_suffix(b"\n").unwrap_or(line) {
                match byte {
                    b'\\' => text += "\\\\",
                    b'\r' => text += "\\r",
                    b'\t' => text += "\\t",
                    b' '..=b'~' => text.push(char::from(byte)),
                    _ => text += &format!("\\x{byte:02x}"),
                }
            }
            text += if line.ends_with(b"\n") { "\n" } else { "\\\n" };
        }
    }
    text
}

const TARGETS: [&str; 12] = [
    "alter",
    "check",
    "dxf_text",
    "folds",
    "grade",
    "job_file",
    "length",
    "plain",
    "plot",
    "rules",
    "size_table",
    "spreadsheet",
];

#[test]
fn a_corpus_is_written_as_it_is_read() {
    for target in TARGETS {
        assert!(written(&inputs(target)) == std::fs::read_to_string(file(target)).unwrap(), "{target}");
    }
}

/// For the fuzzer, which reads a file for each input: `cargo test --lib corpus::unpacked -- --ignored` writes them to
/// `target/corpus`.
#[test]
#[ignore = "writes files"]
fn unpacked() {
    for target in TARGETS {
        let folder = root().join("target/corpus").join(target);
        std::fs::create_dir_all(&folder).unwrap();
        for (name, bytes) in inputs(target) {
            std::fs::write(folder.join(name), bytes).unwrap();
        }
    }
}

/// The way back, once inputs were added there or taken away.
#[test]
#[ignore = "writes files"]
fn packed() {
    for target in TARGETS {
        let Ok(folder) = std::fs::read_dir(root().join("target/corpus").join(target)) else { continue };
        let paths = folder.map(|entry| entry.unwrap().path());
        let name = |path: &PathBuf| path.file_name().unwrap().to_string_lossy().into_owned();
        let mut all: Vec<_> = paths.map(|path| (name(&path), std::fs::read(path).unwrap())).collect();
        all.sort();
        std::fs::write(file(target), written(&all)).unwrap();
    }
}

fn replayed(target: &str, body: fn(&[u8])) {
    let inputs = inputs(target);
    assert!(!inputs.is_empty());
    inputs.par_iter().for_each(|(name, bytes)| {
        assert!(std::panic::catch_unwind(|| body(bytes)).is_ok(), "{name} of {target}");
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
fn corpus_of_folds() {
    replayed("folds", bodies::folds);
    let altered = inputs("folds").par_iter().filter(|(_, bytes)| bodies::folded(bytes)).count();
    assert!(altered >= 5, "{altered} drawings of the corpus are altered");
}

#[test]
fn corpus_of_drawings_without_blocks() {
    replayed("plain", bodies::plain);
    let altered = inputs("plain").par_iter().filter(|(_, bytes)| bodies::followed(bytes)).count();
    assert!(altered >= 5, "{altered} drawings of the corpus are altered");
}

#[test]
fn corpus_of_spreadsheets() {
    replayed("spreadsheet", bodies::spreadsheet);
    let read = inputs("spreadsheet").par_iter().filter(|(_, bytes)| bodies::filled_in(bytes)).count();
    assert!(read >= 5, "{read} spreadsheets of the corpus are read");
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
