#![no_main]

#[path = "../../it/bodies/mod.rs"]
mod bodies;
#[path = "../watch.rs"]
mod watch;

#[global_allocator]
static COUNTED: watch::Counted = watch::Counted;

libfuzzer_sys::fuzz_target!(|bytes: &[u8]| watch::bounded(bytes, watch::TABLE, bodies::job_file));
