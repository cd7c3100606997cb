//! What drawings that are made to be slow cost every command, as they grow.
//!
//! ```text
//! cargo bench --bench hostile [-- --n 2000 --times --only KIND]
//! ```
//!
//! Prints, for each kind and command, cost(4n) over cost(n), both less the cost of the sound drawing alone: 4 is what grows
//! with the file, 16 with its square. The cost is instructions, counted by valgrind; with `--times` it is processor time, which
//! shows more on large drawings and wavers on small ones. The code the program ended with stands beside it.
#![allow(
    clippy::unwrap_used,
    clippy::print_stdout,
    reason = "a program that measures and prints, and stops when it cannot"
)]
#![allow(clippy::format_collect, reason = "small drawings")]

#[path = "../tests/it/hostile/cost.rs"]
mod cost;
#[path = "../tests/it/hostile/kinds.rs"]
mod kinds;

use cost::{COMMANDS, Meter, Yard};
use std::env;

fn main() {
    let n: usize = option("--n").and_then(|v| v.parse().ok()).unwrap_or(2000);
    let yard = if env::args().any(|a| a == "--times") { Yard::Time } else { Yard::Instructions };
    let only = option("--only").unwrap_or_default();
    let meter = Meter::new(env!("CARGO_BIN_EXE_truerise"), yard);
    println!("{:30} {}", format!("n = {n}"), COMMANDS.map(|c| format!("{c:>14}")).concat());
    let sound = COMMANDS.map(|command| meter.sound(command));
    for (name, draw) in kinds::ALL.into_iter().filter(|(name, _)| name.contains(&*only)) {
        print!("{name:30} ");
        for (command, sound) in COMMANDS.into_iter().zip(sound) {
            let growth = meter.growth(command, sound, draw, n);
            print!("{:>14}", format!("{:.1} ({})", growth.ratio, growth.code));
        }
        println!();
    }
}

fn option(name: &str) -> Option<String> {
    env::args().skip_while(|a| a != name).nth(1)
}
