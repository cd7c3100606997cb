//! The edge of the program: arguments, files, terminal and exit codes. Only this module reads or writes files, and prints.
//!
//! `args` holds only what was typed; each command turns it into settings and runs.

mod alter;
mod args;
mod asked;
mod batch;
mod check;
mod failure;
mod files;
mod grade;
mod inputs;
mod manual;
mod measure;
mod plot;
mod reports;
mod terminal;
mod watch;
mod write;

use args::{Args, Command};
use clap::Parser;
use failure::Failure;
use std::io::Write;
use std::process::ExitCode;

/// How a command ended.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum End {
    /// Done, and nothing is wrong.
    Sound,
    /// Done, with findings that fail.
    Findings,
    /// Asked to stop by the signal with this number before the end.
    Stopped(u8),
}

/// Runs the program with the process's arguments.
#[must_use]
pub fn run() -> ExitCode {
    let args = match Args::try_parse() {
        Ok(args) => args,
        Err(error) => {
            // Help and version come as errors as well; the library knows on which stream each of them belongs.
            let printed = printed(&error).or_else(terminal::gone);
            if let Err(unprinted) = &printed {
                terminal::complain(&format!("the help cannot be printed: {unprinted}"));
            }
            return ExitCode::from(if error.use_stderr() || printed.is_err() { 2 } else { 0 });
        }
    };
    watch::limits_are_errors();
    if let Some(threads) = args.command.common().and_then(args::Common::threads) {
        // This fails only where the pool is already running, which is not the case here.
        let _ = rayon::ThreadPoolBuilder::new().num_threads(threads).build_global();
    }
    let ended = match &args.command {
        Command::Measure(a) => measure::run(a),
        Command::Alter(a) => alter::run(a),
        Command::Plot(a) => plot::run(a),
        Command::Grade(a) => grade::run(a),
        Command::Schema(a) => manual::schema(a),
        Command::Completions(a) => manual::completions(a),
        Command::Man(a) => manual::man(a),
        Command::Check(a) => check::run(a),
        Command::Batch(a) => batch::run(a),
    };
    match ended {
        Ok(End::Sound) => ExitCode::SUCCESS,
        Ok(End::Findings) => ExitCode::from(1),
        // The exit code by which a shell reports a program that was ended by a signal.
        Ok(End::Stopped(signal)) => ExitCode::from(128 + signal),
        Err(error) => {
            terminal::complain(&error.to_string());
            ExitCode::from(error.code())
        }
    }
}

/// Prints help, version, or what is wrong with the arguments. The text may repeat arguments, so control characters are made
/// visible.
fn printed(error: &clap::Error) -> std::io::Result<()> {
    let text = error.to_string();
    let clean = terminal::harmless(&text);
    if error.use_stderr() && clean != text {
        return std::io::stderr().write_all(clean.as_bytes());
    }
    error.print()
}
