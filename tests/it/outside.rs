//! What tests need from outside the project: Python with `ezdxf`, `shapely` and `numpy`.

use std::path::{Path, PathBuf};
use std::process::{Command, Output};

/// The folder of the crate.
pub fn root() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR"))
}

/// The Python named by `TRUERISE_PYTHON`. Without it a test that needs it is skipped with a message, but never on a build
/// server (`CI` set), where a skipped check would go unseen.
pub fn python() -> Option<PathBuf> {
    match std::env::var_os("TRUERISE_PYTHON") {
        Some(path) => Some(path.into()),
        None => {
            assert!(
                std::env::var_os("CI").is_none(),
                "set TRUERISE_PYTHON to a Python with ezdxf, shapely and numpy"
            );
            eprintln!(
                "skipped: set TRUERISE_PYTHON to a Python with ezdxf, shapely and numpy (sh tests/run.sh does)"
            );
            None
        }
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

/// The program.
pub fn truerise() -> Command {
    Command::new(env!("CARGO_BIN_EXE_truerise"))
}
