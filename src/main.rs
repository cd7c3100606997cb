//! The program. Everything it does is in the library's `cli` room.

use std::process::ExitCode;

fn main() -> ExitCode {
    truerise::cli()
}
