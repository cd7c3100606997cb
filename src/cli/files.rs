//! Reading and writing files. A file is written beside its place and renamed into it, so that an
//! interrupted run leaves the old file or the new one, whole.

use super::Failure;
use atomic_write_file::AtomicWriteFile;
use std::fs;
use std::io::Write;
use std::path::{Path, PathBuf};

/// A path for people: control characters in it do not reach the terminal.
pub fn shown(path: &Path) -> String {
    crate::job::diagnostic::escaped(&path.to_string_lossy()).into_owned()
}

/// Reads a file.
pub fn read(path: &Path) -> Result<Vec<u8>, Failure> {
    fs::read(path).map_err(|e| format!("{}: cannot be read: {e}", shown(path)).into())
}

/// Files to be written, looked at before any work starts.
pub struct Outputs<'i> {
    inputs: &'i [&'i Path],
    overwrite: bool,
    seen: Vec<PathBuf>,
}

impl<'i> Outputs<'i> {
    /// Outputs of a run that reads these inputs.
    pub fn new(inputs: &'i [&'i Path], overwrite: bool) -> Self {
        Outputs { inputs, overwrite, seen: Vec::new() }
    }

    /// Whether a file may be written: it is not there, or may be replaced; it is no input, not even
    /// through a link; its folder is there; no other output has its place.
    pub fn add(&mut self, path: &Path) -> Result<(), Failure> {
        let name = shown(path);
        let folder = match path.parent() {
            Some(p) if !p.as_os_str().is_empty() => p,
            _ => Path::new("."),
        };
        let folder = folder
            .canonicalize()
            .map_err(|e| format!("{name}: its folder cannot be used: {e}; make the folder first"))?;
        let Some(file) = path.file_name() else {
            return Err(format!("{name}: is not the name of a file").into());
        };
        let place = folder.join(file);
        if self.seen.contains(&place) {
            return Err(
                format!("{name}: two results would be written to it; give each a file of its own").into()
            );
        }
        self.seen.push(place);
        if let Some(input) = self.inputs.iter().find(|input| same_file(input, path)) {
            return Err(format!(
                "{name}: is the input {}; the input is never overwritten, give another name",
                shown(input)
            )
            .into());
        }
        let Ok(there) = fs::symlink_metadata(path) else { return Ok(()) };
        if there.is_dir() {
            return Err(format!("{name}: is a folder; give the name of a file").into());
        }
        // The rename would put a file in the place of a device or pipe.
        if !there.is_file() && !there.is_symlink() {
            return Err(format!("{name}: is a device or pipe; give the name of a file").into());
        }
        if !self.overwrite {
            return Err(
                format!("{name}: is there already; give another name, or --overwrite to replace it").into()
            );
        }
        Ok(())
    }
}

/// Whether two paths lead to one file, through links of either kind.
fn same_file(a: &Path, b: &Path) -> bool {
    matches!((Identity::of(a), Identity::of(b)), (Some(a), Some(b)) if a == b)
}

/// What tells a file from every other, whatever path or link leads to it.
#[derive(Clone, Debug, PartialEq, Eq, Hash)]
pub struct Identity(#[cfg(unix)] (u64, u64), #[cfg(not(unix))] PathBuf);

impl Identity {
    /// The identity of the file a path leads to, if it leads to one.
    pub fn of(path: &Path) -> Option<Self> {
        #[cfg(unix)]
        {
            use std::os::unix::fs::MetadataExt;
            fs::metadata(path).ok().map(|m| Identity((m.dev(), m.ino())))
        }
        #[cfg(not(unix))]
        path.canonicalize().ok().map(Identity)
    }
}

/// Writes a file whole, or leaves what was there.
pub fn write(path: &Path, bytes: &[u8]) -> Result<(), Failure> {
    Ok(Pending::write(path, std::iter::once(bytes))?.place()?)
}

/// A file that is written, but has not taken its place yet; dropped, it was never there.
pub struct Pending<'p> {
    path: &'p Path,
    file: AtomicWriteFile,
}

impl<'p> Pending<'p> {
    /// Writes a file of several stretches beside its place.
    pub fn write<'b>(path: &'p Path, chunks: impl IntoIterator<Item = &'b [u8]>) -> Result<Self, NotWritten> {
        let written = AtomicWriteFile::open(path).and_then(|mut file| {
            for chunk in chunks {
                file.write_all(chunk)?;
            }
            Ok(file)
        });
        written.map(|file| Pending { path, file }).map_err(|e| NotWritten::new(path, &e))
    }

    /// Where it goes.
    pub fn path(&self) -> &Path {
        self.path
    }

    /// Puts the file in its place.
    pub fn place(self) -> Result<(), NotWritten> {
        self.file.commit().map_err(|e| NotWritten::new(self.path, &e))
    }
}

/// A file could not be written.
#[derive(Debug, thiserror::Error)]
#[error("{path}: cannot be written: {why}; nothing was changed there")]
pub struct NotWritten {
    path: String,
    why: String,
}

impl NotWritten {
    fn new(path: &Path, error: &std::io::Error) -> Self {
        NotWritten { path: shown(path), why: error.to_string() }
    }
}

/// Removes a file, if it is there.
pub fn remove(path: &Path) -> Result<(), Failure> {
    match fs::remove_file(path) {
        Err(e) if e.kind() != std::io::ErrorKind::NotFound => {
            Err(format!("{}: cannot be removed: {e}", shown(path)).into())
        }
        _ => Ok(()),
    }
}

/// Removes what a program that was killed while writing these files has left beside them: hidden
/// files of their names and six letters or digits.
pub fn sweep(folder: &Path, names: &[&str]) {
    let left = |entry: &str| {
        let (name, random) = entry.strip_prefix('.')?.rsplit_once('.')?;
        let random = random.len() == 6 && random.bytes().all(|b| b.is_ascii_alphanumeric());
        (random && names.contains(&name)).then_some(())
    };
    for entry in fs::read_dir(folder).into_iter().flatten().flatten() {
        if entry.file_name().to_str().and_then(left).is_some() {
            // It harms nothing where it cannot be removed.
            let _ = fs::remove_file(entry.path());
        }
    }
}
