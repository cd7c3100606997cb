//! Many orders at once, in memory: a drawing and a change each, from bytes to bytes.
//!
//! `cargo run --example batch-in-memory`
#![allow(clippy::print_stdout, reason = "an example that shows what came of it")]

use std::error::Error;
use truerise::{Job, Nest, Settings, SizeTable, Verdict};

fn main() -> Result<(), Box<dyn Error>> {
    let drawing = std::fs::read("samples/harbour-nest.dxf")?;
    let job = Job::default();
    // Each customer lacks another length; a nest that has been read serves all of them.
    let nest = Nest::read("harbour-nest.dxf", &drawing, &job)?;
    let orders = [("pier", "38", "1in"), ("dock", "40", "-9mm"), ("quay", "42", "5/8in")];
    for (order, size, change) in orders {
        let table = SizeTable::from_csv(&format!("size,change\n{size},{change}\n"), order)?;
        let settings = Settings { only_asked: true, ..nest.settings() };
        let mut altered = nest.alter(&table, &settings);
        altered.kept_as(&format!("{order}.dxf"));
        let report = altered.report();
        match (report.verdict, &report.output) {
            (Verdict::Pass, Some(output)) => println!("{order}: {} {}", output.path, output.sha256),
            _ => {
                for finding in report.all_findings() {
                    println!("{order}: {} {}", finding.id, finding.message);
                }
            }
        }
    }
    Ok(())
}
