#![no_main]

use truerise_fuzz::{bodies, watch};

libfuzzer_sys::fuzz_target!(|bytes: &[u8]| watch::bounded(bytes, watch::SPREADSHEET, bodies::spreadsheet));
