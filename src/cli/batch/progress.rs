//! Shows progress on stderr, if that is a terminal.

use crate::cli::args::Common;
use indicatif::{ProgressBar, ProgressDrawTarget, ProgressStyle};
use std::sync::atomic::{AtomicUsize, Ordering};
use std::time::Duration;

/// The orders done, the orders failed, and the time left.
pub struct Progress {
    bar: ProgressBar,
    failed: AtomicUsize,
}

impl Progress {
    /// Progress over this many orders; nothing is drawn where stderr is not a terminal.
    pub fn new(orders: usize, common: &Common) -> Self {
        let target = if common.quiet { ProgressDrawTarget::hidden() } else { ProgressDrawTarget::stderr() };
        let bar = ProgressBar::with_draw_target(Some(orders as u64), target);
        let template = "[{bar:30}] {pos} of {len} orders done, {msg} failed, {eta} left";
        if let Ok(style) = ProgressStyle::with_template(template) {
            bar.set_style(style.progress_chars("=> "));
        }
        bar.set_message("0");
        bar.enable_steady_tick(Duration::from_millis(200));
        Progress { bar, failed: AtomicUsize::new(0) }
    }

    /// One more order is done.
    pub fn done(&self, failed: bool) {
        if failed {
            let count = self.failed.fetch_add(1, Ordering::Relaxed) + 1;
            self.bar.set_message(count.to_string());
        }
        self.bar.inc(1);
    }
}

impl Drop for Progress {
    fn drop(&mut self) {
        self.bar.finish_and_clear();
    }
}
