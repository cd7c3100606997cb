//! Drawings of other programs: what general-purpose DXF readers carry as their own tests.

use super::{python, run, said, skipped};
use std::path::{Path, PathBuf};

/// The drawings; fetched once, since they are other people's and not part of the repository.
pub fn fetched() -> Option<PathBuf> {
    let folder = std::env::current_exe().unwrap().ancestors().nth(3).unwrap().join("tmp/real-drawings");
    let done = run(&python()?, "real_drawings.py", &[&folder.to_string_lossy()]);
    if !done.status.success() {
        assert!(std::env::var_os("CI").is_none(), "{}", said(&done));
        let why = said(&done);
        skipped(&format!(
            "drawings could not be fetched from the package index: {}",
            why.lines().last().unwrap_or_default()
        ));
        return None;
    }
    Some(folder)
}

pub fn drawings(folder: &Path) -> Vec<PathBuf> {
    let list = |folder: &Path| std::fs::read_dir(folder).unwrap().map(|e| e.unwrap().path());
    let mut files: Vec<PathBuf> =
        list(folder).filter(|p| p.is_dir()).flat_map(|p| list(&p).collect::<Vec<_>>()).collect();
    files.sort();
    files
}
