//! Prints results and messages.

use super::Failure;
use super::args::{Color, Common};
use crate::report::text::Style;
use crate::words::escaped;
use std::io::{self, ErrorKind, IsTerminal, Write};

/// Prints results on stdout.
pub fn print(common: &Common, text: &str) -> Result<(), Failure> {
    if common.quiet { Ok(()) } else { put(text.as_bytes()) }
}

/// Writes bytes to stdout.
pub fn put(bytes: &[u8]) -> Result<(), Failure> {
    let mut out = io::stdout().lock();
    out.write_all(bytes).and_then(|()| out.flush()).or_else(gone).map_err(|e| {
        format!(
            "the results cannot be printed: {e}; what was written to files is whole. Print to another place, or leave \
             printing out with --quiet"
        )
        .into()
    })
}

/// It is no error if the reader, such as `head`, closes the pipe early.
pub fn gone(error: io::Error) -> io::Result<()> {
    if error.kind() == ErrorKind::BrokenPipe { Ok(()) } else { Err(error) }
}

/// Prints on stderr why the program gives up.
pub fn complain(message: &str) {
    let message = &harmless(message);
    let mut err = std::io::stderr().lock();
    let prefix = if message.starts_with("error") { "" } else { "error: " };
    let _ = writeln!(err, "{prefix}{}", message.trim_end());
}

/// Prints a message on stderr that is not a result.
pub fn remark(common: &Common, message: &str) {
    if !common.quiet {
        let _ = writeln!(std::io::stderr().lock(), "{}", harmless(message));
    }
}

/// A message of one or more lines in which no name or error from elsewhere can steer the terminal.
pub fn harmless(message: &str) -> String {
    message.split('\n').map(escaped).collect::<Vec<_>>().join("\n")
}

/// Whether results are coloured.
fn colored(common: &Common) -> bool {
    match common.color {
        Color::Always => true,
        Color::Never => false,
        Color::Auto => {
            let no_color = std::env::var_os("NO_COLOR").is_some_and(|v| !v.is_empty());
            !no_color && std::io::stdout().is_terminal()
        }
    }
}

/// The width in columns for results: that of the terminal, or a generous one where there is none.
fn width() -> usize {
    let columns = || std::env::var("COLUMNS").ok()?.parse().ok();
    if std::io::stdout().is_terminal() { columns().unwrap_or(100) } else { columns().unwrap_or(150) }
}

/// The layout of text results in this terminal.
pub fn style(common: &Common) -> Style {
    Style { width: width(), color: colored(common), show: common.display_unit() }
}
