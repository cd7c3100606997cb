//! Batches, through the program. What a batch gives is compared with what `alter` gives for each
//! order alone, and with a clean run of its own; the machinery around it (signals, GNU parallel,
//! Slurm) is the real one.

mod again;
mod lists;
mod shards;
mod slurm;
mod stop;
mod told;

use crate::outside;
use std::collections::BTreeMap;
use std::fmt::Write;
use std::fs;
use std::io::Read;
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Output, Stdio};
use tempfile::TempDir;

pub const PROGRAM: &str = env!("CARGO_BIN_EXE_truerise");

/// A folder with a drawing of three sizes, two size tables and an order list.
pub struct Desk {
    pub dir: TempDir,
}

impl Desk {
    /// A desk with that order list.
    pub fn new(list: &str) -> Self {
        let desk = Desk { dir: tempfile::tempdir().unwrap() };
        fs::copy(outside::root().join("samples/plain-inch.dxf"), desk.path("nest.dxf")).unwrap();
        desk.write("longer.csv", "size,change\n36,1/2in\n38,1/2in\n40,5/8in\n");
        desk.write("shorter.csv", "size,change\n36,-6mm\n38,-8mm\n");
        desk.write("orders.csv", list);
        desk
    }

    /// A desk with that many sound orders.
    pub fn with_orders(count: usize) -> Self {
        Desk::new(&sound_orders(count))
    }

    pub fn path(&self, name: &str) -> PathBuf {
        self.dir.path().join(name)
    }

    pub fn write(&self, name: &str, text: &str) {
        fs::write(self.path(name), text).unwrap();
    }

    /// `truerise batch` with the desk's order list.
    pub fn command(&self, out: &str, more: &[&str]) -> Command {
        let mut command = self.program(&["batch", "orders.csv", "--out", out]);
        command.args(more);
        command
    }

    /// The program, started at the desk.
    pub fn program(&self, args: &[&str]) -> Command {
        let mut command = Command::new(PROGRAM);
        command.args(args).current_dir(self.dir.path()).env_remove("SLURM_CPUS_PER_TASK");
        command
    }

    /// Runs the desk's order list.
    pub fn run(&self, out: &str, more: &[&str]) -> Output {
        self.command(out, more).output().unwrap()
    }

    /// Every file below a folder of results, but for those that only keep other runs out, with its bytes.
    pub fn tree(&self, name: &str) -> BTreeMap<String, Vec<u8>> {
        let mut files = tree(&self.path(name));
        files.retain(|name, bytes| !(name.starts_with(".lock") && bytes.is_empty()));
        files
    }
}

/// An order list with that many sound orders, which differ in their size tables and settings.
pub fn sound_orders(count: usize) -> String {
    let mut list = "order,drawing,sizes,blend_to\n".to_owned();
    for n in 0..count {
        let table = if n % 3 == 0 { "shorter.csv" } else { "longer.csv" };
        writeln!(list, "order {n:02},nest.dxf,{table},{}cm", 20 + n).unwrap();
    }
    list
}

/// Every file below a folder, hidden ones too, with its bytes.
pub fn tree(folder: &Path) -> BTreeMap<String, Vec<u8>> {
    let mut files = BTreeMap::new();
    let mut folders = vec![folder.to_owned()];
    while let Some(at) = folders.pop() {
        for entry in fs::read_dir(&at).into_iter().flatten() {
            let path = entry.unwrap().path();
            if path.is_dir() {
                folders.push(path);
            } else {
                let name = path.strip_prefix(folder).unwrap().to_str().unwrap().replace('\\', "/");
                files.insert(name, fs::read(path).unwrap());
            }
        }
    }
    files
}

/// Fails unless both trees hold the same files with the same bytes, and names those that differ. Reports and summaries have
/// to be as their schemas say.
pub fn assert_same(found: &BTreeMap<String, Vec<u8>>, expected: &BTreeMap<String, Vec<u8>>) {
    let differ: Vec<&String> =
        found.keys().chain(expected.keys()).filter(|name| found.get(*name) != expected.get(*name)).collect();
    assert!(!expected.is_empty() && differ.is_empty(), "differ: {differ:?}");
    let told = |name: &str| name.ends_with("report.json") || name.ends_with("summary.json");
    expected.iter().filter(|(name, _)| told(name)).for_each(|(_, bytes)| drop(outside::json(bytes)));
}

/// How many orders below a folder are finished.
pub fn finished(folder: &Path) -> usize {
    let entries = fs::read_dir(folder).into_iter().flatten().flatten();
    let size = |path: PathBuf| fs::metadata(path.join("fingerprint.json")).map_or(0, |m| m.len());
    entries.filter(|entry| size(entry.path()) > 0).count()
}

/// A program that is ended by its process id when it is no longer needed.
pub struct Running(pub Child);

impl Running {
    pub fn start(command: &mut Command) -> Self {
        Running(command.stdin(Stdio::null()).spawn().unwrap())
    }

    /// Waits for its end.
    pub fn into_output(mut self) -> Output {
        let mut stderr = Vec::new();
        if let Some(mut pipe) = self.0.stderr.take() {
            pipe.read_to_end(&mut stderr).unwrap();
        }
        Output { status: self.0.wait().unwrap(), stdout: Vec::new(), stderr }
    }

    /// Sends a signal such as `TERM`.
    pub fn signal(&self, signal: &str) {
        let sent = Command::new("kill").args([format!("-{signal}"), self.0.id().to_string()]).status();
        assert!(sent.unwrap().success());
    }
}

impl Drop for Running {
    fn drop(&mut self) {
        if self.0.try_wait().is_ok_and(|ended| ended.is_none()) {
            self.signal("TERM");
            for _ in 0..100 {
                if self.0.try_wait().is_ok_and(|ended| ended.is_some()) {
                    return;
                }
                std::thread::sleep(std::time::Duration::from_millis(50));
            }
            let _ = self.0.kill();
            let _ = self.0.wait();
        }
    }
}

/// Whether programs are installed. Where one is not, the test is skipped with a message, but never
/// on a build server (`CI` set), where a skipped check would go unseen.
pub fn installed(programs: &[&str], package: &str) -> bool {
    let there = |program: &str| {
        let path = std::env::var_os("PATH").unwrap_or_default();
        let system = ["/usr/sbin", "/sbin"].map(PathBuf::from);
        std::env::split_paths(&path).chain(system).any(|folder| folder.join(program).is_file())
    };
    let Some(missing) = programs.iter().find(|program| !there(program)) else { return true };
    assert!(std::env::var_os("CI").is_none(), "install {package}: {missing} is missing");
    crate::common::skipped(&format!("{missing} is missing; apt-get install {package}"));
    false
}
