//! Orders a second of a batch, and its memory: `cargo bench --bench batch`, on a machine that has
//! nothing else to do.
//!
//! A thousand orders of the seven-size sample nest, with 1 and with 2 threads, each run into an empty
//! folder; then a hundred, to see whether memory grows with the number of orders. The program is
//! measured as people run it, files and all.
//!
//! ```text
//! cargo bench --bench batch [-- --orders 200] [--range 1000000] [--hours 8] [--threads 16] [--price 1.0]
//! ```
//!
//! From the two times follows the share of the work that runs in parallel (G. Amdahl, AFIPS Conf. Proc. 30 (1967)), and from that
//! what more threads would gain, and what a `--range` of orders would cost on machines with `--threads` threads, each at `--price`
//! an hour in a currency of the reader's own, to be done within `--hours`. These are computed, not measured: they hold where the
//! disk keeps up, and parts of a batch on different machines have nothing in common that they wait for.
#![allow(clippy::unwrap_used, clippy::print_stdout)]

mod common;

use common::option;
use std::fmt::Write;
use std::fs;
use std::path::Path;
use std::process::{Command, Stdio};
use std::time::{Duration, Instant};

/// What a run took.
struct Taken {
    time: Duration,
    /// The most memory it had at one time, in KiB, where the system tells (Linux).
    peak: u64,
}

fn main() {
    let orders = option("--orders").unwrap_or(1000_usize).max(10);
    let dir = tempfile::tempdir_in(env!("CARGO_TARGET_TMPDIR")).unwrap();
    println!("threads  orders  seconds  orders/s  peak MiB");
    let one = print(dir.path(), orders, 1);
    let two = print(dir.path(), orders, 2);
    let few = print(dir.path(), orders / 10, 2);
    println!("2 threads: {:.2} times as fast as 1", one.time.as_secs_f64() / two.time.as_secs_f64());
    println!("{orders} orders: {:.2} times the memory of {}", two.peak as f64 / few.peak as f64, orders / 10);
    projected(one.time.as_secs_f64() / orders as f64, one.time.as_secs_f64() / two.time.as_secs_f64());
}

/// What more threads and machines would give, where an order takes `each` seconds with one thread and two threads are `faster` times
/// as fast.
fn projected(each: f64, faster: f64) {
    let parallel = (2.0 - 2.0 / faster).clamp(0.0, 1.0);
    let gain = |threads: f64| 1.0 / (1.0 - parallel + parallel / threads);
    println!("\n{:.1} % of the work runs in parallel; computed from that:", parallel * 100.0);
    println!("threads  times as fast  orders/s");
    for threads in [1.0, 2.0, 4.0, 8.0, 16.0] {
        println!("{threads:7}  {:13.2}  {:8.1}", gain(threads), gain(threads) / each);
    }
    let range: f64 = option("--range").unwrap_or(1e6);
    let [hours, threads, price] = [("--hours", 8.0), ("--threads", 16.0), ("--price", 1.0)]
        .map(|(name, usual)| option(name).unwrap_or(usual));
    let seconds = range * each / gain(threads);
    let machines = (seconds / 3600.0 / hours).ceil().max(1.0);
    println!(
        "\n{range} orders on machines with {threads} threads: {seconds:.0} machine seconds, {:.2} machine hours. Within {hours} h: \
         {machines} machine(s) for {:.0} s each, {:.2} in a currency in which an hour of a machine costs {price}",
        seconds / 3600.0,
        seconds / machines,
        seconds / 3600.0 * price
    );
}

fn print(dir: &Path, orders: usize, threads: usize) -> Taken {
    let taken = measure(dir, orders, threads);
    let seconds = taken.time.as_secs_f64();
    let (rate, peak) = (orders as f64 / seconds, taken.peak as f64 / 1024.0);
    println!("{threads:7}  {orders:6}  {seconds:7.2}  {rate:8.1}  {peak:8.1}");
    taken
}

fn measure(dir: &Path, orders: usize, threads: usize) -> Taken {
    let samples = Path::new(env!("CARGO_MANIFEST_DIR")).join("samples");
    let (nest, sizes) = (samples.join("harbour-nest.dxf"), samples.join("harbour-sizes.csv"));
    let mut list = "order,drawing,sizes\n".to_owned();
    for n in 0..orders {
        writeln!(list, "{n:04},{},{}", nest.display(), sizes.display()).unwrap();
    }
    let (path, out) = (dir.join("orders.csv"), dir.join("out"));
    fs::write(&path, list).unwrap();
    let mut command = Command::new(env!("CARGO_BIN_EXE_truerise"));
    command.arg("batch").arg(&path).arg("--out").arg(&out).args(["--threads", &threads.to_string()]);
    let begun = Instant::now();
    let mut running = command.stdout(Stdio::null()).spawn().unwrap();
    let mut peak = 0;
    let status = loop {
        peak = peak.max(peak_of(running.id()));
        if let Some(status) = running.try_wait().unwrap() {
            break status;
        }
        std::thread::sleep(Duration::from_millis(5));
    };
    let time = begun.elapsed();
    assert!(status.success(), "the batch failed");
    fs::remove_dir_all(out).unwrap();
    Taken { time, peak }
}

/// The most memory a process has had so far.
fn peak_of(id: u32) -> u64 {
    let status = fs::read_to_string(format!("/proc/{id}/status")).unwrap_or_default();
    let line = status.lines().find_map(|line| line.strip_prefix("VmHWM:"));
    line.and_then(|l| l.trim().trim_end_matches(" kB").parse().ok()).unwrap_or(0)
}
