//! What an input may cost: memory and time, each at most a stated amount and a stated multiple of the input.

use cpu_time::ProcessTime;
use std::alloc::{GlobalAlloc, Layout, System};
use std::sync::Once;
use std::sync::atomic::{AtomicUsize, Ordering::Relaxed};
use std::time::Duration;

/// The most an input may cost.
#[derive(Clone, Copy)]
pub struct Bound {
    /// Bytes in use at once, whatever the input.
    pub base: usize,
    /// Bytes in use at once for each byte of the input.
    pub each: usize,
    /// Processor time whatever the input.
    pub time: Duration,
    /// Processor time for each byte of the input.
    pub time_each: Duration,
}

/// The text layer: a pair takes four bytes at least (`0`, line end, line end, and a byte of a value), is 24 bytes as
/// an edit and 16 as a `Pair`; vectors double as they grow, so that three halves of double that stand at once; the
/// output is there twice.
pub const TEXT: Bound =
    Bound { base: 64 << 10, each: 48, time: Duration::from_millis(50), time_each: Duration::from_micros(20) };

/// Tables: a cell takes two bytes, and up to four problems of a few hundred bytes each, in memory and rendered.
pub const TABLE: Bound = Bound {
    base: 256 << 10,
    each: 2000,
    time: Duration::from_millis(50),
    time_each: Duration::from_micros(50),
};

/// A spreadsheet, three times: a cell may say that it is there thousands of times, which takes memory for as many
/// (`job::workbook` says how many at most).
pub const SPREADSHEET: Bound = Bound {
    base: 512 << 20,
    each: 4000,
    time: Duration::from_secs(4),
    time_each: Duration::from_micros(200),
};

/// The whole alteration. One wide curve comes to thousands of points however few bytes draw it (`pattern::curve::MOST` says how many
/// at most).
pub const ALTER: Bound = Bound {
    base: 32 << 20,
    each: 400,
    time: Duration::from_millis(200),
    time_each: Duration::from_micros(50),
};

/// The look-over of a drawing, and of two of them beside each other both ways.
pub const CHECK: Bound = ALTER;

/// A nest and its reading: a copy of the drawing for each size, and once more on reading what was written.
pub const GRADE: Bound = Bound { base: 96 << 20, time: Duration::from_secs(4), ..ALTER };

/// A print, four times: some thousand pages at most, a part of the built-in font, and what the other reader makes of it.
pub const PLOT: Bound = Bound {
    base: 64 << 20,
    each: 400,
    time: Duration::from_secs(2),
    time_each: Duration::from_micros(200),
};

static NOW: AtomicUsize = AtomicUsize::new(0);
static PEAK: AtomicUsize = AtomicUsize::new(0);
static LARGEST: AtomicUsize = AtomicUsize::new(0);

/// The system's allocator, counted.
pub struct Counted;

impl Counted {
    fn took(size: usize) {
        PEAK.fetch_max(NOW.fetch_add(size, Relaxed) + size, Relaxed);
        LARGEST.fetch_max(size, Relaxed);
    }

    fn gave(size: usize) {
        NOW.fetch_sub(size, Relaxed);
    }
}

// SAFETY: every call goes to the system's allocator as it came; only numbers are kept beside.
unsafe impl GlobalAlloc for Counted {
    unsafe fn alloc(&self, layout: Layout) -> *mut u8 {
        Counted::took(layout.size());
        unsafe { System.alloc(layout) }
    }

    unsafe fn alloc_zeroed(&self, layout: Layout) -> *mut u8 {
        Counted::took(layout.size());
        unsafe { System.alloc_zeroed(layout) }
    }

    unsafe fn dealloc(&self, at: *mut u8, layout: Layout) {
        Counted::gave(layout.size());
        unsafe { System.dealloc(at, layout) }
    }

    unsafe fn realloc(&self, at: *mut u8, layout: Layout, size: usize) -> *mut u8 {
        // Where it cannot grow in place, both are there for a moment.
        Counted::took(size);
        Counted::gave(layout.size());
        unsafe { System.realloc(at, layout, size) }
    }
}

/// Runs a body on an input and compares what it took with the bound.
pub fn bounded(bytes: &[u8], bound: Bound, body: fn(&[u8])) {
    static ONE_THREAD: Once = Once::new();
    ONE_THREAD.call_once(|| {
        rayon::ThreadPoolBuilder::new().num_threads(1).build_global().expect("the first pool");
    });
    let before = NOW.load(Relaxed);
    PEAK.store(before, Relaxed);
    LARGEST.store(0, Relaxed);
    let took = timed(bytes, body);
    let peak = PEAK.load(Relaxed).saturating_sub(before);
    let may = bound.base + bound.each * bytes.len();
    assert!(peak <= may, "{} bytes of input took {peak} bytes of memory (at most {may})", bytes.len());
    let largest = LARGEST.load(Relaxed);
    assert!(largest <= may, "{} bytes of input took {largest} bytes at once (at most {may})", bytes.len());
    let may = bound.time + bound.time_each * u32::try_from(bytes.len()).unwrap_or(u32::MAX);
    // A second and third try tell an input that is slow from a machine that was busy elsewhere.
    if took > may && timed(bytes, body) > may {
        let took = timed(bytes, body);
        assert!(took <= may, "{} bytes of input took {took:?} (at most {may:?})", bytes.len());
    }
}

fn timed(bytes: &[u8], body: fn(&[u8])) -> Duration {
    let start = ProcessTime::now();
    body(bytes);
    start.elapsed()
}
