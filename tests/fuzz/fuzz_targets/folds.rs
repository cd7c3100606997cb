#![no_main]

use truerise_fuzz::{bodies, mutate, watch};

libfuzzer_sys::fuzz_target!(|bytes: &[u8]| watch::bounded(bytes, watch::ALTER, bodies::folds));

libfuzzer_sys::fuzz_mutator!(|data: &mut [u8], size: usize, max_size: usize, seed: u32| {
    mutate::drawing(data, size, max_size, seed)
});
