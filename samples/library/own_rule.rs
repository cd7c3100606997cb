//! A rule of one's own beside those of the look-over: this house sews no hem narrower than 160 mm on either leg.
//!
//! `cargo run --example own-rule`
#![allow(clippy::print_stdout, reason = "an example that shows what it found")]

use std::error::Error;
use truerise::{Job, Mm, Nest, Severity};

/// The narrowest hem that fits over the machine's free arm.
const NARROWEST: Mm = Mm(160.0);

fn main() -> Result<(), Box<dyn Error>> {
    let drawing = std::fs::read("samples/harbour-nest.dxf")?;
    let nest = Nest::read("harbour-nest.dxf", &drawing, &Job::default())?;
    let errors = nest.check().report().findings.iter().filter(|f| f.severity == Severity::Error).count();
    println!("{errors} errors of the look-over");
    for size in nest.measure().sizes {
        let Some(measures) = size.measures else { continue };
        for (part, leg) in [("front", &measures.front), ("back", &measures.back)] {
            if leg.hem < NARROWEST {
                println!(
                    "size {}, {part}: the hem is {} wide, at least {NARROWEST} is sewn here",
                    size.size, leg.hem
                );
            }
        }
    }
    Ok(())
}
