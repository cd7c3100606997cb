//! What drawings that are made to be slow cost every command, as they grow.
//!
//! ```text
//! cargo bench --bench hostile [-- --n 2000 --times --only KIND --command COMMAND]
//! cargo bench --bench hostile -- --full [--n 1000000 --megabytes 128 --only KIND --command COMMAND]
//! ```
//!
//! Prints, for each kind and command, cost(4n) over cost(n), both less the cost with next to none: 4 is what grows
//! with the file, 16 with its square. The cost is instructions, counted by valgrind; with `--times` it is processor time, which
//! shows more on large drawings and wavers on small ones. The code the program ended with stands beside it.
//!
//! With `--full` each kind has a million of what it has too many of, or as many as those megabytes hold; printed are seconds of
//! processor time, the memory as a multiple of the file, and the code. A run is broken off (-1) after two minutes and at 12 GB.
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
use kinds::Kind;
use std::env;

fn main() {
    let full = env::args().any(|a| a == "--full");
    let n: usize = option("--n").and_then(|v| v.parse().ok()).unwrap_or(if full { 1_000_000 } else { 2000 });
    let yard = if env::args().any(|a| a == "--times") { Yard::Time } else { Yard::Instructions };
    let only = option("--only").unwrap_or_default();
    let command = option("--command").unwrap_or_default();
    let commands: Vec<&str> = COMMANDS.into_iter().filter(|c| c.contains(&*command)).collect();
    let meter = Meter::new(env!("CARGO_BIN_EXE_truerise"), yard);
    let heads: Vec<String> = commands.iter().map(|c| format!("{c:>18}")).collect();
    println!("{:50} {}", format!("n = {n}"), heads.concat());
    let kinds = kinds::ALL.iter().filter(|kind| kind.name.contains(&*only));
    if full {
        let megabytes = option("--megabytes").and_then(|v| v.parse().ok()).unwrap_or(128.0);
        kinds.for_each(|kind| at_full_size(&meter, kind, n, megabytes * 1e6, &commands));
    } else {
        kinds.for_each(|kind| growing(&meter, kind, n, &commands));
    }
}

fn growing(meter: &Meter, kind: &Kind, n: usize, commands: &[&str]) {
    print!("{:50} ", kind.name);
    for command in commands {
        let growth = meter.growth(command, kind, n);
        print!("{:>18}", format!("{:.1} ({})", growth.ratio, growth.code));
    }
    println!();
}

fn at_full_size(meter: &Meter, kind: &Kind, n: usize, most: f64, commands: &[&str]) {
    // A hundredth tells how large the whole will be.
    let (empty, some) = (meter.drawn(kind, 0).len() as f64, meter.drawn(kind, n / 100).len() as f64);
    let share = ((most - empty) / (100.0 * (some - empty))).min(1.0);
    #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "at most n")]
    let n = (n as f64 * share) as usize;
    let text = meter.drawn(kind, n);
    let bytes = text.len() as f64;
    meter.lay_out();
    meter.put(kind.file, &text);
    drop(text);
    print!("{:50} ", format!("{}, {n}, {:.0} MB", kind.name, bytes / 1e6));
    for command in commands {
        let taken = meter.taken(command);
        print!("{:>18}", format!("{:.1} s {:.1} x ({})", taken.seconds, taken.bytes / bytes, taken.code));
        std::io::Write::flush(&mut std::io::stdout()).unwrap();
    }
    println!();
}

fn option(name: &str) -> Option<String> {
    env::args().skip_while(|a| a != name).nth(1)
}
