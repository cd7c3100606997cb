//! Checks: what has to hold, each in a file of its own.

pub mod invariants;
pub mod outline;
pub mod reread;
