//! Drawings made to be slow to read: what they cost grows with the file, not with its square. Counted in instructions, so that
//! a busy machine changes nothing. `cargo bench --bench hostile` prints the same for every command and larger drawings.

mod cost;
mod kinds;

use cost::{Meter, Yard};
use rayon::prelude::*;
use std::process::Command;

/// Four times the drawing costs at most this many times as much; its square would be sixteen.
const AT_MOST: f64 = 5.0;
/// How many a drawing has of what is too many.
const N: usize = 400;
/// Kinds whose cost grew with the square once, for one reason each. The bench has the others: valgrind takes its seconds.
const ONCE_STEEP: [&str; 6] = [
    "placings at many scales",
    "short lines in a row",
    "short lines from one point",
    "pieces of one name",
    "pieces of many names",
    "layers",
];

#[test]
fn slow_drawings_cost_what_their_size_does() {
    if Command::new("valgrind").arg("--version").output().is_err() {
        assert!(std::env::var_os("CI").is_none(), "install valgrind");
        eprintln!("skipped: install valgrind, which counts instructions");
        return;
    }
    let meter = || Meter::new(env!("CARGO_BIN_EXE_truerise"), Yard::Instructions);
    let sound = meter().sound("check");
    let grown = kinds::ALL.par_iter().filter(|(name, _)| ONCE_STEEP.contains(name));
    let grown = grown.map(|(name, draw)| (name, meter().growth("check", sound, *draw, N)));
    let grown: Vec<_> = grown.collect();
    assert_eq!(grown.len(), ONCE_STEEP.len());
    let steep: Vec<_> = grown.iter().filter(|(_, g)| g.ratio.is_nan() || g.ratio > AT_MOST).collect();
    eprintln!("{grown:#?}");
    assert!(steep.is_empty(), "{steep:?}");
}
