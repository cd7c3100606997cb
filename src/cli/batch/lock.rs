//! Allows only one run at a time in a folder of results.
//!
//! Other runs are kept out by a lock of the operating system on an empty hidden file. It ends with the program, however that
//! ends, so that nothing has to be cleared away after a crash. The files stay: if somebody removed a file in the meantime, a
//! lock on it would keep nobody out.

use crate::batch::Shard;
use crate::cli::args::Common;
use crate::cli::{Failure, files, terminal};
use std::fs::{self, File, TryLockError};
use std::path::{Path, PathBuf};

/// The file that a run over all orders locks exclusively, and that shards share a lock on.
const LOCK: &str = ".lock";

/// What a run does in the folder, which decides which other runs may work there at the same time.
#[derive(Clone, Copy, Debug)]
pub enum Work {
    /// All orders.
    All,
    /// Some of the orders, beside other shards of the same division.
    Shard(Shard),
    /// Reading the summaries of shards.
    Collect,
}

/// The lock on the folder, held until it is dropped.
#[derive(Debug)]
pub struct Lock {
    _held: Vec<File>,
}

impl Lock {
    /// Locks the folder, or says that another run is at work in it.
    pub fn take(out: &Path, work: Work, common: &Common) -> Result<Self, Failure> {
        let whole = open(&out.join(LOCK))?;
        let taken = match work {
            Work::All => whole.try_lock(),
            Work::Shard(_) | Work::Collect => whole.try_lock_shared(),
        };
        if !free(taken, out, common) {
            return Err(at_work(out));
        }
        let mut held = vec![whole];
        if let Work::Shard(shard) = work {
            let own = open(&out.join(format!("{LOCK}.{}", shard.file_part())))?;
            if !free(own.try_lock(), out, common) {
                return Err(at_work(out));
            }
            held.push(own);
            // Looked at only after taking the own lock: so of two shards that begin at the same time, at least one sees the
            // other.
            if others(out, shard).any(|path| busy(&path)) {
                return Err(at_work(out));
            }
        }
        Ok(Lock { _held: held })
    }
}

fn open(path: &Path) -> Result<File, Failure> {
    // Opening a pipe placed here would wait for its other end.
    if fs::metadata(path).is_ok_and(|there| !there.is_file()) {
        return Err(format!(
            "{}: is no plain file, and a batch needs this name; move it",
            files::display(path)
        )
        .into());
    }
    let opened = File::options().create(true).truncate(false).write(true).open(path);
    opened.map_err(|e| format!("{}: cannot be made: {e}; {}", files::display(path), files::remedy(&e)).into())
}

/// Whether the lock was obtained. Where the disk does not support locks, nobody can be kept out; this is said in a remark.
fn free(taken: Result<(), TryLockError>, out: &Path, common: &Common) -> bool {
    match taken {
        Ok(()) => true,
        Err(TryLockError::WouldBlock) => false,
        Err(TryLockError::Error(error)) => {
            let shown = files::display(out);
            let remark = format!(
                "{shown}: cannot be locked ({error}); see to it that no other run is at work in this folder"
            );
            terminal::remark(common, &remark);
            true
        }
    }
}

/// The lock files of shards that divide the orders into another number of parts.
fn others(out: &Path, shard: Shard) -> impl Iterator<Item = PathBuf> {
    let entries = fs::read_dir(out).into_iter().flatten().flatten();
    entries.map(|entry| entry.path()).filter(move |path| {
        let name = path.file_name().and_then(|n| n.to_str()).unwrap_or_default();
        let part = name.strip_prefix(LOCK).and_then(|rest| rest.strip_prefix('.'));
        part.and_then(Shard::from_file_part).is_some_and(|other| other.of() != shard.of())
    })
}

fn busy(path: &Path) -> bool {
    File::open(path).is_ok_and(|file| matches!(file.try_lock_shared(), Err(TryLockError::WouldBlock)))
}

fn at_work(out: &Path) -> Failure {
    format!(
        "{}: another run is at work in this folder; wait for its end and run it again, or give another --out",
        files::display(out)
    )
    .into()
}
