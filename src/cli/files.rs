//! Reading files, and looking at where files may be written.

use super::Failure;
use std::fs;
use std::io::{self, ErrorKind};
use std::path::{Path, PathBuf};

/// A path for people: control characters in it do not reach the terminal.
pub fn shown(path: &Path) -> String {
    crate::job::diagnostic::escaped(&path.to_string_lossy()).into_owned()
}

/// Reads a file.
pub fn read(path: &Path) -> Result<Vec<u8>, Failure> {
    read_as(&shown(path), path)
}

/// Reads a file that messages call by another path than the one it is read from.
pub fn read_as(shown: &str, path: &Path) -> Result<Vec<u8>, Failure> {
    fs::read(path).map_err(|e| format!("{shown}: cannot be read: {e}; {}", remedy(&e)).into())
}

/// What a person can do about an error of the system.
pub fn remedy(error: &io::Error) -> &'static str {
    match error.kind() {
        ErrorKind::NotFound => "check the path",
        ErrorKind::PermissionDenied => "ask for the right to it, or use another folder",
        ErrorKind::IsADirectory => "give the name of a file",
        ErrorKind::ReadOnlyFilesystem => "use a folder that can be written",
        ErrorKind::StorageFull | ErrorKind::QuotaExceeded | ErrorKind::FileTooLarge => {
            "make room there, or use another disk"
        }
        _ => "look at the disk, then run it again",
    }
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

/// Removes a file, if it is there.
pub fn remove(path: &Path) -> Result<(), Failure> {
    match fs::remove_file(path) {
        Err(e) if e.kind() != std::io::ErrorKind::NotFound => {
            Err(format!("{}: cannot be removed: {e}; {}", shown(path), remedy(&e)).into())
        }
        _ => Ok(()),
    }
}
