//! Why a command gives up.

use super::watch::Stopped;
use super::write::NotWritten;
use crate::job::Problems;
use crate::job::allowance::AllowanceError;
use crate::plot::PlotError;

/// The reason for giving up: bad input or usage, or a file that cannot be read or written.
#[derive(Debug, thiserror::Error)]
pub enum Failure {
    /// A text that people wrote cannot be read; each problem has its place.
    #[error(transparent)]
    Problems(#[from] Problems),
    /// A signal came before anything was changed.
    #[error(transparent)]
    Stopped(#[from] Stopped),
    /// A file was not written.
    #[error(transparent)]
    NotWritten(#[from] NotWritten),
    /// Everything else, in words that say what to do.
    #[error("{0}")]
    Words(String),
}

impl Failure {
    /// The exit code: that of bad input, or the one by which a shell reports a program that was ended by a signal.
    pub fn code(&self) -> u8 {
        match self {
            Failure::Stopped(Stopped(signal)) => 128 + signal,
            _ => 2,
        }
    }

    /// The reason in one line, with only the first place where a text is wrong.
    pub fn brief(&self) -> String {
        match self {
            Failure::Problems(problems) => problems.brief(),
            other => other.to_string(),
        }
    }
}

/// Errors whose own words are what is said.
macro_rules! in_words {
    ($($error:ty),* $(,)?) => {
        $(impl From<$error> for Failure {
            fn from(error: $error) -> Self {
                Failure::Words(error.to_string())
            }
        })*
    };
}

in_words! {
    &str,
    std::io::Error,
    csv::Error,
    serde_json::Error,
    askama::Error,
    rust_xlsxwriter::XlsxError,
    std::num::TryFromIntError,
    AllowanceError,
    PlotError,
}

impl From<String> for Failure {
    fn from(words: String) -> Self {
        Failure::Words(words)
    }
}
