//! What every target is made of: the bodies, which the crate's own tests run as well, changes to drawings, and what an input
//! may cost.

pub mod mutate;
pub mod watch;

pub use truerise::bodies;

#[global_allocator]
static COUNTED: watch::Counted = watch::Counted;
