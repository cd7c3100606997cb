//! Watches for signals that ask the program to stop.

use super::Failure;
use signal_hook::consts::{SIGINT, SIGTERM};
use signal_hook::flag;
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, AtomicUsize, Ordering};

/// Whether the program was asked to stop. After the first signal, work that has begun is finished or discarded, and nothing
/// new is begun. A second signal ends the program at once; even then every file is whole, since files are put in place by
/// renaming.
pub struct Watch {
    signal: Arc<AtomicUsize>,
}

impl Watch {
    /// Begins to watch.
    pub fn begin() -> Result<Self, Failure> {
        let signal = Arc::new(AtomicUsize::new(0));
        let twice = Arc::new(AtomicBool::new(false));
        for one in [SIGINT, SIGTERM] {
            let number = usize::try_from(one)?;
            // The order matters: handlers run in the order in which they are registered, so the first signal passes the
            // shutdown before `twice` is set.
            flag::register_conditional_shutdown(one, 128 + one, Arc::clone(&twice))?;
            flag::register(one, Arc::clone(&twice))?;
            flag::register_usize(one, Arc::clone(&signal), number)?;
        }
        Ok(Watch { signal })
    }

    /// The number of the signal that came, if one did.
    pub fn signal(&self) -> Option<u8> {
        u8::try_from(self.signal.load(Ordering::Relaxed)).ok().filter(|&signal| signal != 0)
    }

    /// Returns an error if a signal came.
    pub fn go_on(&self) -> Result<(), Stopped> {
        self.signal().map_or(Ok(()), |signal| Err(Stopped(signal)))
    }
}

/// Lets a write beyond the largest file that the system allows (`ulimit -f`) fail, as any other write, instead of ending the program:
/// what was written beside its place is then removed.
pub fn limits_are_errors() {
    #[cfg(unix)]
    {
        // Without it the program ends at such a write, as it would have anyway.
        let _ = flag::register(signal_hook::consts::SIGXFSZ, Arc::new(AtomicBool::new(false)));
    }
}

/// The error for a signal, with its number, that came before anything was changed.
#[derive(Debug, thiserror::Error)]
#[error("stopped by {}: nothing was written; run it again", name(*.0))]
pub struct Stopped(pub u8);

/// What a signal is called.
pub fn name(signal: u8) -> &'static str {
    if i32::from(signal) == SIGINT { "SIGINT" } else { "SIGTERM" }
}
