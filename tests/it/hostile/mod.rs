//! Drawings made to be slow to read: what they cost grows with the file, not with its square. Counted in instructions, so that
//! a busy machine changes nothing. `cargo bench --bench hostile` prints the same for every command and larger drawings.

mod cost;
mod kinds;

use cost::{Meter, Yard};
use rayon::prelude::*;
use std::process::Command;

/// Four times the drawing costs at most this many times as much: what is sorted costs a little more than four times. Its square
/// would be sixteen.
const AT_MOST: f64 = 6.5;
/// How many a drawing has of what is too many.
const N: usize = 400;
/// Kinds and commands whose cost grew with the square once, for one reason each. The bench has the others: valgrind takes its
/// seconds.
const ONCE_STEEP: [(&str, &str); 14] = [
    ("placings at many scales", "check"),
    ("short lines in a row", "check"),
    ("short lines from one point", "check"),
    ("pieces of one name", "check"),
    ("pieces of many names", "check"),
    ("pieces of many names", "grade"),
    ("pieces of a name and a size each", "check"),
    ("layers", "check"),
    ("notches on an outline of as many vertices", "check"),
    ("notches on an outline of as many vertices", "plot"),
    ("notes in an outline of as many vertices", "plot"),
    ("leg of many vertices and as many notches", "check"),
    ("leg of many vertices and as many notches", "alter"),
    ("sizes of a rule table", "grade"),
];

#[test]
fn slow_drawings_cost_what_their_size_does() {
    if Command::new("valgrind").arg("--version").output().is_err() {
        assert!(std::env::var_os("CI").is_none(), "install valgrind");
        crate::common::skipped("install valgrind, which counts instructions");
        return;
    }
    let meter = || Meter::new(env!("CARGO_BIN_EXE_truerise"), Yard::Instructions);
    let grown = ONCE_STEEP.par_iter().map(|&(name, command)| {
        let kind = kinds::ALL.iter().find(|kind| kind.name == name).unwrap();
        (name, command, meter().growth(command, kind, N))
    });
    let grown: Vec<_> = grown.collect();
    let steep: Vec<_> = grown.iter().filter(|(.., g)| g.ratio.is_nan() || g.ratio > AT_MOST).collect();
    eprintln!("{grown:#?}");
    assert!(steep.is_empty(), "{steep:?}");
}

/// What no pattern has, and which would take more than a few seconds or more memory than there is.
#[test]
fn what_no_pattern_has_is_refused() {
    let meter = Meter::new(env!("CARGO_BIN_EXE_truerise"), Yard::Time);
    let refused = |name: &str, n: usize, command: &str, code: i32, said: &str| {
        let kind = kinds::ALL.iter().find(|kind| kind.name == name).unwrap();
        meter.lay_out();
        meter.put(kind.file, &meter.drawn(kind, n));
        let output = meter.run(Command::new(env!("CARGO_BIN_EXE_truerise")), command);
        let text = [output.stdout, output.stderr].concat();
        let text = String::from_utf8_lossy(&text);
        assert!(output.status.code() == Some(code) && text.contains(said), "{name}: {text:.2000}");
    };
    refused("wide arcs", 10_000, "measure", 2, "check their radii");
    refused(
        "short lines from nearly one point",
        4000,
        "measure",
        2,
        "look for lines that are drawn many times",
    );
    refused("zigzag turned", 10_000, "check", 1, "draw it once round");
    refused("pieces of many names", 1001, "plot", 2, "print one at a time with --piece");
    refused("pieces of ten metres", 2, "plot", 2, "pages, more than the 3000");
    refused("sizes of a rule table", 100_000, "grade", 2, "grade fewer sizes at a time");
    refused("rule numbers", 27_000, "grade", 2, "look for what is drawn many times");
}
