//! Drawings of other programs: what general-purpose DXF readers carry as their own tests. They are no patterns, so most are
//! refused; but none may end in anything but a result or a clear refusal.
//! `cargo test --test it real -- --nocapture` prints how many were read and why the others were not.

use crate::common::real::{drawings, fetched};
use crate::outside::{Folder, said, truerise};
use std::collections::{BTreeMap, HashSet};
use std::path::Path;
use std::process::Output;

/// A run ends with 0, 1 or 2; where it refuses, the message names the file and fits in a few lines.
fn answered(file: &Path, output: &Output) -> String {
    let text = said(output);
    assert!(matches!(output.status.code(), Some(0..=2)), "{}: {:?} {text}", file.display(), output.status);
    assert!(!text.contains("panicked"), "{}: {text}", file.display());
    let name = file.file_name().unwrap().to_string_lossy();
    if output.status.code() == Some(2) {
        assert!(text.contains(&*name) && text.lines().count() <= 3, "{}: {text}", file.display());
        let reason = text.rsplit_once(&format!("{name}: ")).map_or(&*text, |(_, reason)| reason).trim();
        return format!("2 {}", reason.replace(|c: char| c.is_ascii_digit(), "#"));
    }
    assert!(!text.trim().is_empty(), "{}: nothing was said", file.display());
    format!("{}", output.status.code().unwrap())
}

#[test]
fn drawings_of_other_programs_are_read_or_refused() {
    let Some(folder) = fetched() else { return };
    let job = Folder::new();
    // As if everything were a pattern: what stands on the commonest layers is read as lines of a piece.
    let job = job.write("job.toml", b"unit = \"mm\"\n[layers]\ncut = [\"0\", \"1\"]\nsew = [\"2\"]\n");
    let job = job.to_string_lossy();
    let ways: [&[&str]; 4] =
        [&["check"], &["measure"], &["measure", "--unit", "mm"], &["check", "--job", &job]];
    let (mut seen, mut bytes_in_all) = (HashSet::new(), 0);
    let mut tally: BTreeMap<(String, String), usize> = BTreeMap::new();
    for file in drawings(&folder) {
        let bytes = std::fs::read(&file).unwrap();
        if !seen.insert(bytes.clone()) {
            continue;
        }
        bytes_in_all += bytes.len();
        for way in ways {
            let output = truerise().arg(way[0]).arg(&file).args(&way[1..]).output().unwrap();
            let way = if way.contains(&"--job") { "check --job" } else { &way.join(" ") };
            *tally.entry((way.to_owned(), answered(&file, &output))).or_default() += 1;
        }
    }
    eprintln!("{} drawings, {bytes_in_all} bytes", seen.len());
    for ((way, answer), count) in &tally {
        eprintln!("{count:4}  {way}: {answer}");
    }
    // What the packages are known to hold; 36 and 1 from the Python index, the rest where npm is.
    assert!(seen.len() >= 37, "{} drawings", seen.len());
}
