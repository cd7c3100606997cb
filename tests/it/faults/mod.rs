//! What a run leaves behind when something goes wrong in the middle: every call on a file is made to fail in turn, or the
//! program killed or asked to stop there, until a run meets no fault any more. A library of this folder (`fault.c`) stands
//! between the program and the C library for that; which errors the calls may give is POSIX's word.
#![cfg(target_os = "linux")]

mod each_call;
mod output;
mod surroundings;
mod writing;

use crate::batch::{installed, tree};
use crate::outside::{said, truerise};
use std::collections::BTreeMap;
use std::os::unix::process::ExitStatusExt;
use std::path::{Path, PathBuf};
use std::process::{Command, Output};
use std::sync::OnceLock;

/// Files by their path in a folder.
type Files = BTreeMap<String, Vec<u8>>;

/// The library that makes calls fail; none where there is no C compiler.
fn library() -> Option<&'static Path> {
    static BUILT: OnceLock<Option<(tempfile::TempDir, PathBuf)>> = OnceLock::new();
    let built = BUILT.get_or_init(|| {
        if !installed(&["cc"], "gcc and libc6-dev") {
            return None;
        }
        let folder = tempfile::tempdir().unwrap();
        let library = folder.path().join("fault.so");
        let source = crate::outside::root().join("tests/it/faults/fault.c");
        let mut cc = Command::new("cc");
        cc.args(["-Wall", "-Wextra", "-Werror", "-O1", "-shared", "-fPIC", "-o"]).arg(&library).arg(source);
        let output = cc.arg("-ldl").output().unwrap();
        assert!(output.status.success(), "{}", said(&output));
        Some((folder, library))
    });
    built.as_ref().map(|(_, library)| library.as_path())
}

/// A command with the files it finds.
struct Job {
    before: Files,
    line: &'static str,
}

/// A run of a job that met a fault.
struct Met {
    kind: &'static str,
    /// The call that met it: open, read, make, mkdir, write, sync, rights, owner, rename, remove.
    call: String,
    output: Output,
    after: Files,
    folder: tempfile::TempDir,
}

impl Job {
    /// What a run without a fault gives.
    fn clean(&self) -> Files {
        let folder = self.laid_out();
        let output = self.run(folder.path(), None);
        assert!(output.status.success(), "{}: {}", self.line, said(&output));
        tree(folder.path())
    }

    fn laid_out(&self) -> tempfile::TempDir {
        // In memory where there is such a place: these runs wait for the disk more than for anything else.
        let memory = Path::new("/dev/shm");
        let folder =
            if memory.is_dir() { tempfile::tempdir_in(memory) } else { tempfile::tempdir() }.unwrap();
        for (name, bytes) in &self.before {
            let path = folder.path().join(name);
            std::fs::create_dir_all(path.parent().unwrap()).unwrap();
            std::fs::write(path, bytes).unwrap();
        }
        folder
    }

    fn run(&self, folder: &Path, fault: Option<(&str, usize, &Path)>) -> Output {
        let mut program = truerise();
        program.current_dir(folder).args(self.line.split_whitespace());
        if let Some((kind, at, log)) = fault {
            let library = library().unwrap();
            program.env("LD_PRELOAD", library).env("FAULT_KIND", kind).env("FAULT_AT", at.to_string());
            program.env("FAULT_LOG", log);
        }
        program.output().unwrap()
    }

    /// Runs the job once for every call that this kind of fault can meet; gives what each met.
    fn meet_each(&self, kind: &'static str) -> Vec<Met> {
        let logs = tempfile::tempdir().unwrap();
        let log = logs.path().join("met");
        let mut all = Vec::new();
        loop {
            let folder = self.laid_out();
            let output = self.run(folder.path(), Some((kind, all.len() + 1, &log)));
            let Ok(call) = std::fs::read_to_string(&log) else { break };
            std::fs::remove_file(&log).unwrap();
            assert!(!said(&output).contains("panicked"), "{kind} at {call}: {}", said(&output));
            let after = tree(folder.path());
            all.push(Met { kind, call, output, after, folder });
        }
        assert!(!all.is_empty(), "{kind} met no call of {}", self.line);
        all
    }
}

impl Met {
    fn told(&self) -> String {
        format!("{} at {}: {:?}: {}", self.kind, self.call, self.output.status, said(&self.output))
    }

    /// The exit code, or as a shell gives it where a signal ended the program.
    fn code(&self) -> i32 {
        let status = self.output.status;
        status.code().unwrap_or_else(|| 128 + status.signal().unwrap())
    }

    /// Takes away what only a program that was killed may leave: hidden files beside the place of a result, which
    /// cannot be taken for one.
    fn without_strays(&self, results: &Files) -> Files {
        let stray = |path: &str| {
            let (folder, name) = path.rsplit_once('/').map_or(("", path), |(f, n)| (f, n));
            let Some((result, random)) = name.strip_prefix('.').and_then(|n| n.rsplit_once('.')) else {
                return false;
            };
            let place = if folder.is_empty() { result.to_owned() } else { format!("{folder}/{result}") };
            results.contains_key(&place)
                && random.len() == 6
                && random.bytes().all(|b| b.is_ascii_alphanumeric())
        };
        let mut rest = self.after.clone();
        rest.retain(|path, _| !stray(path));
        rest
    }
}
