//! Reads files, and checks where files may be written.

use super::Failure;
use std::fs::{self, File};
use std::io::{self, ErrorKind, IsTerminal, Read};
use std::num::NonZeroU64;
use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicBool, Ordering};

/// What is given in place of a path to read what is piped into the program.
const PIPED: &str = "-";

/// Whether a path stands for what is piped in.
pub fn is_piped(path: &Path) -> bool {
    path == Path::new(PIPED)
}

/// A path as it is shown to people: control characters in it do not reach the terminal.
pub fn display(path: &Path) -> String {
    if is_piped(path) {
        return "standard input".to_owned();
    }
    crate::job::diagnostic::escaped(&path.to_string_lossy()).into_owned()
}

/// How inputs are read: regular files up to a limit on their size, and standard input where `-` is given.
#[derive(Clone, Copy, Debug, Default)]
pub struct Inputs {
    largest: Option<NonZeroU64>,
}

/// The kind of an input, which decides how large it may be.
#[derive(Clone, Copy, Debug)]
pub enum Input {
    /// A drawing.
    Drawing,
    /// Anything else: a table, a job file, an order list, a font, a summary.
    Other,
}

impl Input {
    /// The largest size of such an input, in megabytes, unless another number was given. A nest of 73 sizes has 20; nests of
    /// more than 1000 are not written either (`grade::effort`). A table with the cells of a hundred thousand sizes has 10.
    fn usual(self) -> u64 {
        match self {
            Input::Drawing => 1000,
            Input::Other => 200,
        }
    }
}

/// Bytes in a megabyte.
const MEGABYTE: u64 = 1_000_000;

impl Inputs {
    /// Inputs of at most this many megabytes each, if a number is given.
    pub fn up_to(largest: Option<NonZeroU64>) -> Self {
        Inputs { largest }
    }

    /// Reads a file that was named on the command line, or standard input where the path is `-`.
    pub fn read(self, path: &Path, what: Input) -> Result<Vec<u8>, Failure> {
        if is_piped(path) { self.piped(what) } else { self.read_as(&display(path), path, what) }
    }

    /// Reads a file for which messages use another name than the path from which it is read.
    ///
    /// The kind of file is looked up before it is opened, because opening a pipe waits for its writer.
    pub fn read_as(self, shown: &str, path: &Path, what: Input) -> Result<Vec<u8>, Failure> {
        let unread = |e: io::Error| format!("{shown}: cannot be read: {e}; {}", remedy(&e));
        let there = fs::metadata(path).map_err(unread)?;
        if there.is_dir() {
            return Err(format!("{shown}: is a folder; give the name of a file").into());
        }
        if !there.is_file() {
            return Err(format!(
                "{shown}: is no plain file but a pipe, a device or a socket, which may never end; write it to a \
                 file first, or pipe it into the program and give {PIPED} in its place"
            )
            .into());
        }
        if there.len() > self.most(what) {
            return Err(self.too_large(shown, what).into());
        }
        let file = File::open(path).map_err(unread)?;
        self.up_to_most(shown, file, usize::try_from(there.len()).unwrap_or(0), what)
    }

    /// Reads standard input. There is only one, so it can stand for one file only.
    fn piped(self, what: Input) -> Result<Vec<u8>, Failure> {
        static READ: AtomicBool = AtomicBool::new(false);
        if READ.swap(true, Ordering::Relaxed) {
            return Err(format!("{PIPED} can stand for one file only; give the others by name").into());
        }
        let input = io::stdin();
        if input.is_terminal() {
            return Err(
                format!("{PIPED} reads what is piped in, and nothing is; give the name of a file").into()
            );
        }
        self.up_to_most(&display(Path::new(PIPED)), input.lock(), 0, what)
    }

    fn up_to_most(
        self,
        shown: &str,
        from: impl Read,
        expected: usize,
        what: Input,
    ) -> Result<Vec<u8>, Failure> {
        let most = self.most(what);
        let mut bytes = Vec::new();
        let read = match bytes.try_reserve_exact(expected) {
            Ok(()) => from.take(most.saturating_add(1)).read_to_end(&mut bytes),
            Err(_) => Err(io::Error::from(ErrorKind::OutOfMemory)),
        };
        let read = read.map_err(|e| format!("{shown}: cannot be read: {e}; {}", remedy(&e)))?;
        // The file may have grown since its size was looked up.
        if read as u64 > most { Err(self.too_large(shown, what).into()) } else { Ok(bytes) }
    }

    fn megabytes(self, what: Input) -> u64 {
        self.largest.map_or(what.usual(), NonZeroU64::get)
    }

    fn most(self, what: Input) -> u64 {
        self.megabytes(what).saturating_mul(MEGABYTE)
    }

    fn too_large(self, shown: &str, what: Input) -> String {
        format!(
            "{shown}: is larger than {} MB; look whether it is the right file, and if it is, raise the limit with \
             --largest-input",
            self.megabytes(what)
        )
    }
}

/// What a person can do about an error of the system.
pub fn remedy(error: &io::Error) -> &'static str {
    match error.kind() {
        ErrorKind::NotFound => "check the path",
        ErrorKind::PermissionDenied => "ask for the right to it, or use another folder",
        ErrorKind::IsADirectory => "give the name of a file",
        ErrorKind::OutOfMemory => "use a machine with more memory",
        ErrorKind::ReadOnlyFilesystem => "use a folder that can be written",
        ErrorKind::StorageFull | ErrorKind::QuotaExceeded | ErrorKind::FileTooLarge => {
            "make room there, or use another disk"
        }
        _ => "look at the disk, then run it again",
    }
}

/// The files to be written, checked before any work starts.
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

    /// Checks that a file may be written: it does not exist or may be replaced, it is not an input (not even through a link),
    /// its folder exists, and no other output has the same place.
    pub fn add(&mut self, path: &Path) -> Result<(), Failure> {
        if is_piped(path) {
            return Err(format!(
                "{PIPED}: results are written to files; give the name of one (./{PIPED} where it is to be called so)"
            )
            .into());
        }
        let name = display(path);
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
                display(input)
            )
            .into());
        }
        let Ok(there) = fs::symlink_metadata(path) else { return Ok(()) };
        if there.is_dir() {
            return Err(format!("{name}: is a folder; give the name of a file").into());
        }
        // Renaming would replace the device or pipe by a file.
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

/// Whether two paths lead to the same file, also through symbolic or hard links.
fn same_file(a: &Path, b: &Path) -> bool {
    matches!((Identity::of(a), Identity::of(b)), (Some(a), Some(b)) if a == b)
}

/// What identifies a file, whatever path or link leads to it.
#[derive(Clone, Debug, PartialEq, Eq, Hash)]
pub struct Identity(#[cfg(unix)] (u64, u64), #[cfg(not(unix))] PathBuf);

impl Identity {
    /// The identity of the file to which a path leads, if there is one.
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

/// Removes a file if it exists.
pub fn remove(path: &Path) -> Result<(), Failure> {
    match fs::remove_file(path) {
        Err(e) if e.kind() != std::io::ErrorKind::NotFound => {
            Err(format!("{}: cannot be removed: {e}; {}", display(path), remedy(&e)).into())
        }
        _ => Ok(()),
    }
}
