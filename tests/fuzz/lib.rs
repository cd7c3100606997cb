//! What every target is made of: the bodies, which the crate's own tests run as well, changes to drawings, and what an input
//! may cost.

#[path = "../it/bodies/mod.rs"]
pub mod bodies;
pub mod mutate;
pub mod watch;

#[global_allocator]
static COUNTED: watch::Counted = watch::Counted;
