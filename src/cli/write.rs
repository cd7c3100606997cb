//! Writes files. Each file is written completely beside its place and then renamed into it, so that an interrupted run leaves
//! the old file or the new one, never a part of one. The file beside the place is removed when anything fails, and when a
//! signal asks to stop. Only a program that is killed outright leaves it behind: a hidden file called `.NAME.` followed by
//! six letters or digits, which nothing reads.

use super::watch::Watch;
use super::{Failure, files};
use std::ffi::OsString;
use std::fs::{self, File};
use std::io::{self, ErrorKind, Write};
use std::path::Path;
use tempfile::NamedTempFile;

/// What happens to a file that is already in the place of a result when the result is put there.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Before {
    /// It is replaced, as was asked.
    Replaced,
    /// It stays, and the result is not written: if two runs write the same file at the same time, one of them wins.
    Kept,
}

impl Before {
    /// The choice made with the option `--overwrite`.
    pub fn asked(overwrite: bool) -> Self {
        if overwrite { Before::Replaced } else { Before::Kept }
    }
}

/// Writes a file completely, or leaves what was there.
pub fn file(path: &Path, bytes: &[u8], before: Before) -> Result<(), Failure> {
    watched([(path, bytes)], before)
}

/// Writes files completely, or leaves what was there. If a signal asks to stop before all of them are on the disk, none is
/// put in place.
pub fn watched<'b>(
    files: impl IntoIterator<Item = (&'b Path, &'b [u8])>,
    before: Before,
) -> Result<(), Failure> {
    let watch = Watch::begin()?;
    let pending = files.into_iter().map(|(path, bytes)| Pending::write(path, [bytes]));
    let pending = pending.collect::<Result<_, _>>()?;
    watch.go_on()?;
    Ok(place(pending, before)?)
}

/// Writes files completely; all of them are on the disk before the first one is put in its place.
pub fn all<'b>(
    files: impl IntoIterator<Item = (&'b Path, &'b [u8])>,
    before: Before,
) -> Result<(), NotWritten> {
    let pending = files.into_iter().map(|(path, bytes)| Pending::write(path, [bytes]));
    place(pending.collect::<Result<_, _>>()?, before)
}

/// Puts files in their places, one after the other. All of them are on the disk already, so a full disk is noticed before the
/// first one is put in place.
pub fn place(pending: Vec<Pending<'_>>, before: Before) -> Result<(), NotWritten> {
    let mut placed = String::new();
    for one in pending {
        let path = one.path;
        one.place(before).map_err(|error| NotWritten { placed: placed.clone(), ..error })?;
        placed += if placed.is_empty() { "; written before it: " } else { ", " };
        placed += &files::display(path);
    }
    Ok(())
}

/// A file that is written but not yet in its place; if it is dropped, nothing of it remains.
pub struct Pending<'p> {
    path: &'p Path,
    file: NamedTempFile,
}

impl<'p> Pending<'p> {
    /// Writes a file, given in several stretches, beside its place, and makes sure that it is on the disk.
    pub fn write<'b>(path: &'p Path, chunks: impl IntoIterator<Item = &'b [u8]>) -> Result<Self, NotWritten> {
        let written = temporary(path).and_then(|mut pending| {
            let file = pending.as_file_mut();
            for chunk in chunks {
                file.write_all(chunk)?;
            }
            like_before(path, file)?;
            file.sync_all()?;
            Ok(pending)
        });
        written.map(|file| Pending { path, file }).map_err(|e| NotWritten::new(path, &e))
    }

    fn place(self, before: Before) -> Result<(), NotWritten> {
        let Pending { path, file } = self;
        let placed = match before {
            Before::Replaced => renamed(file, path),
            Before::Kept => renamed_where_free(file, path),
        };
        placed.map_err(|e| NotWritten::new(path, &e))?;
        confirm(folder(path)).map_err(|e| NotWritten { what: UNCONFIRMED, ..NotWritten::new(path, &e) })
    }
}

fn renamed(mut file: NamedTempFile, path: &Path) -> io::Result<()> {
    fs::rename(file.path(), path)?;
    file.disable_cleanup(true);
    Ok(())
}

/// Renames a file to a place that is still free; the system checks and renames in one step.
fn renamed_where_free(file: NamedTempFile, path: &Path) -> io::Result<()> {
    let Err(refused) = file.persist_noclobber(path) else { return Ok(()) };
    // Simple file systems support neither such a rename nor links; there one can only look first and then rename.
    let unknown = matches!(
        refused.error.kind(),
        ErrorKind::Unsupported | ErrorKind::PermissionDenied | ErrorKind::InvalidInput
    );
    if unknown && fs::symlink_metadata(path).is_err() {
        renamed(refused.file, path)
    } else {
        Err(refused.error)
    }
}

fn folder(path: &Path) -> &Path {
    path.parent().filter(|p| !p.as_os_str().is_empty()).unwrap_or(Path::new("."))
}

/// A new file in the folder of a path, with the permissions of any new file there.
fn temporary(path: &Path) -> io::Result<NamedTempFile> {
    let mut prefix = OsString::from(".");
    prefix.push(path.file_name().unwrap_or_default());
    prefix.push(".");
    let mut builder = tempfile::Builder::new();
    builder.prefix(&prefix).rand_bytes(RANDOM).make_in(folder(path), |path| File::create_new(path))
}

/// Gives a new file the permissions and, where that is allowed, the owner of the file that it will replace.
fn like_before(path: &Path, file: &File) -> io::Result<()> {
    let Ok(before) = fs::metadata(path) else { return Ok(()) };
    #[cfg(unix)]
    {
        use std::os::unix::fs::{MetadataExt, fchown};
        let now = file.metadata()?;
        if (now.uid(), now.gid()) != (before.uid(), before.gid()) {
            // Only the superuser may give files away; otherwise another user's file becomes the property of whoever replaces
            // it.
            let _ = fchown(file, Some(before.uid()), Some(before.gid()));
        }
    }
    file.set_permissions(before.permissions())
}

/// Makes sure that the folder in which a file was put is written to the disk.
fn confirm(folder: &Path) -> io::Result<()> {
    if cfg!(unix) { File::open(folder)?.sync_all() } else { Ok(()) }
}

const NOTHING_CHANGED: &str = "cannot be written, and nothing was changed there";
const UNCONFIRMED: &str = "is written, but the disk does not confirm that it will stay";

/// The error for a file that could not be written.
#[derive(Debug, thiserror::Error)]
#[error("{path}: {what}: {error}; {remedy}{placed}")]
pub struct NotWritten {
    path: String,
    what: &'static str,
    error: String,
    remedy: &'static str,
    /// The files that the same run had written before it.
    placed: String,
}

impl NotWritten {
    fn new(path: &Path, error: &io::Error) -> Self {
        let (error, remedy) = if error.kind() == ErrorKind::AlreadyExists {
            let there =
                "a file is there now that was not when the run began; another run may have written it";
            (there.to_owned(), "look at it, then give another name, or --overwrite to replace it")
        } else {
            (error.to_string(), files::remedy(error))
        };
        let path = files::display(path);
        NotWritten { path, what: NOTHING_CHANGED, error, remedy, placed: String::new() }
    }
}

/// The number of letters or digits at the end of the name of a file beside its place.
const RANDOM: usize = 6;

/// Removes the files that a program which was killed while writing has left beside these names.
pub fn sweep(folder: &Path, names: &[&str]) {
    let left = |entry: &str| {
        let (name, random) = entry.strip_prefix('.')?.rsplit_once('.')?;
        let random = random.len() == RANDOM && random.bytes().all(|b| b.is_ascii_alphanumeric());
        (random && names.contains(&name)).then_some(())
    };
    for entry in fs::read_dir(folder).into_iter().flatten().flatten() {
        if entry.file_name().to_str().and_then(left).is_some() {
            // A file that cannot be removed does no harm.
            let _ = fs::remove_file(entry.path());
        }
    }
}
