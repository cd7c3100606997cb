//! Stopping a batch in the middle: nothing is half written, and going on gives what a clean run
//! gives.
#![cfg(unix)]

use super::{Desk, Running, assert_same, finished, tree};
use std::os::unix::process::ExitStatusExt;
use std::process::Stdio;
use std::thread::sleep;
use std::time::{Duration, Instant};

const ORDERS: usize = 16;

/// Starts the batch and waits until that many orders are finished, and for a moment more.
fn started(desk: &Desk, orders: usize, moment: u64) -> Running {
    let mut command = desk.command("out", &["--threads", "2"]);
    let running = Running::start(command.stdout(Stdio::null()).stderr(Stdio::piped()));
    let begun = Instant::now();
    while finished(&desk.path("out")) < orders {
        assert!(begun.elapsed() < Duration::from_mins(2), "the batch does not go on");
        sleep(Duration::from_millis(2));
    }
    sleep(Duration::from_millis(moment));
    running
}

fn goes_on_to_the_same(desk: &Desk) {
    assert!(desk.run("clean", &[]).status.success());
    assert!(desk.run("out", &[]).status.success());
    assert_same(&desk.tree("out"), &desk.tree("clean"));
}

#[test]
fn a_batch_that_is_killed_again_and_again_gives_the_same_in_the_end() {
    let desk = Desk::with_orders(ORDERS);
    let mut killed = 0;
    for (orders, moment) in [(1, 0), (2, 3), (4, 11), (6, 23), (8, 37), (10, 53)] {
        let mut running = started(&desk, orders, moment);
        running.0.kill().unwrap();
        killed += usize::from(running.0.wait().unwrap().signal() == Some(9));
    }
    assert!(killed > 2, "killed in the middle only {killed} times");
    goes_on_to_the_same(&desk);
}

#[test]
fn a_signal_stops_it_with_every_order_whole() {
    for (signal, code) in [("TERM", 143), ("INT", 130)] {
        let desk = Desk::with_orders(ORDERS);
        let running = started(&desk, 1, 0);
        running.signal(signal);
        let output = running.into_output();
        let told = String::from_utf8_lossy(&output.stderr).into_owned();
        assert_eq!(output.status.code(), Some(code), "{told}");
        assert!(told.contains(&format!("stopped by SIG{signal}")), "{told}");
        let (done, there) = (finished(&desk.path("out")), tree(&desk.path("out")));
        assert!(done < ORDERS, "not stopped in the middle");
        assert_eq!(there.keys().filter(|name| name.ends_with("/drawing.dxf")).count(), done);
        assert_eq!(there.keys().filter(|name| name.ends_with("/report.json")).count(), done);
        assert!(
            there.keys().all(|name| !name.contains("/.") && !name.starts_with("summary")),
            "{:?}",
            there.keys()
        );
        goes_on_to_the_same(&desk);
    }
}
