//! What the tests of the library from inside and those of the program both need: folders, Python with `ezdxf`, `shapely` and `numpy`, a
//! browser, small drawings and plain readers of them.
#![allow(dead_code, reason = "each of the two uses a part of it")]

pub mod browser;
pub mod draft;
pub mod dxf;
pub mod paper;
pub mod plain;
pub mod real;

use std::io::Write;
use std::path::{Path, PathBuf};
use std::process::{Command, Output};

/// The folder of the crate.
pub fn root() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR"))
}

/// The Python named by `TRUERISE_PYTHON`. Without it a test that needs it is skipped with a message, but never on a build
/// server (`CI` set), where a skipped check would go unseen.
pub fn python() -> Option<PathBuf> {
    if let Some(path) = std::env::var_os("TRUERISE_PYTHON") {
        return Some(path.into());
    }
    assert!(
        std::env::var_os("CI").is_none(),
        "set TRUERISE_PYTHON to a Python with ezdxf, shapely and numpy"
    );
    skipped("set TRUERISE_PYTHON to a Python with ezdxf, shapely and numpy (sh tests/run.sh does)");
    None
}

/// Says that a check by something from outside is skipped, and why; `tests/run.sh` counts them at its end.
pub fn skipped(why: &str) {
    eprintln!("skipped: {why}");
    if let Some(list) = std::env::var_os("TRUERISE_SKIPPED") {
        let mut list = std::fs::File::options().create(true).append(true).open(list).unwrap();
        writeln!(list, "{why}").unwrap();
    }
}

/// Runs a script of `tests/python`.
pub fn run(python: &Path, script: &str, args: &[&str]) -> Output {
    let path = root().join("tests/python").join(script);
    Command::new(python).arg("-B").arg(path).args(args).output().unwrap()
}

/// What a program said, both ways.
pub fn said(output: &Output) -> String {
    format!("{}{}", String::from_utf8_lossy(&output.stdout), String::from_utf8_lossy(&output.stderr))
}

/// The SHA-256 of a file, by the system's own program.
pub fn sha256(file: &Path) -> String {
    let sum = Command::new("sha256sum").arg(file).output().unwrap();
    String::from_utf8(sum.stdout).unwrap().split_whitespace().next().unwrap().to_owned()
}

/// A small nest: one size of the plain sample.
pub fn small_nest() -> Vec<u8> {
    let text = std::fs::read_to_string(root().join("samples/plain-inch.dxf")).unwrap();
    let (head, blocks, tail) = blocks(&text);
    let kept: String =
        blocks.iter().filter(|(name, _)| name.ends_with("-38")).map(|(_, text)| *text).collect();
    [head, &kept, tail].concat().into_bytes()
}

/// A drawing's text before its blocks, each block with its name, and the text behind them.
pub fn blocks(text: &str) -> (&str, Vec<(&str, &str)>, &str) {
    let begins = |line: &str| line.trim() == "BLOCK";
    let lines: Vec<&str> = text.split_inclusive('\n').collect();
    let at = |line: usize| lines[..line].iter().map(|l| l.len()).sum::<usize>();
    let starts: Vec<usize> = (1..lines.len()).filter(|&i| begins(lines[i])).map(|i| i - 1).collect();
    let end = (starts[starts.len() - 1]..lines.len()).find(|&i| lines[i].trim() == "ENDSEC").unwrap() - 1;
    let ends = starts.iter().skip(1).copied().chain([end]);
    let name = |from: usize| {
        let code = (from..).step_by(2).find(|&i| lines[i].trim() == "2").unwrap();
        lines[code + 1].trim()
    };
    let found = starts.iter().zip(ends).map(|(&from, to)| (name(from), &text[at(from)..at(to)])).collect();
    (&text[..at(starts[0])], found, &text[at(end)..])
}

/// A folder of a test's own, gone when the test ends.
pub struct Folder(tempfile::TempDir);

impl Folder {
    pub fn new() -> Self {
        Folder(tempfile::tempdir().unwrap())
    }

    /// The path of a file in it.
    pub fn path(&self, name: &str) -> PathBuf {
        self.0.path().join(name)
    }

    /// Writes a file into it.
    pub fn write(&self, name: &str, bytes: &[u8]) -> PathBuf {
        std::fs::write(self.path(name), bytes).unwrap();
        self.path(name)
    }

    /// Every file in it with its bytes, by name.
    pub fn contents(&self) -> std::collections::BTreeMap<String, Vec<u8>> {
        let entries = std::fs::read_dir(self.0.path()).unwrap().map(|e| e.unwrap().path());
        entries
            .filter(|p| p.is_file())
            .map(|p| (p.file_name().unwrap().to_string_lossy().into_owned(), std::fs::read(&p).unwrap()))
            .collect()
    }
}
