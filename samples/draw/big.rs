//! A nest as large as asked for: a made-to-measure range in half sizes, drawn with densely set vertices.

use crate::dxf_out;
use crate::style::Style;
use crate::trousers;

/// Smallest and largest size of the range.
const RANGE: (f64, f64) = (24.0, 60.0);

/// No plotter or scanner sets vertices closer than this, mm; beyond it the range gets more sizes instead.
const DENSEST: f64 = 0.5;

/// The nest in its usual form, within a few hundredths of so many million bytes.
pub fn nest(megabytes: f64) -> String {
    let target = megabytes * 1e6;
    // Fewer sizes where half sizes would not leave enough vertices for each.
    let mut step = if megabytes < 4.0 { 4.0 } else { 0.5 };
    loop {
        let sizes = sizes(step);
        let one = |spacing| bytes(&sizes[..1], spacing) * sizes.len() as f64;
        // Bytes are very nearly a constant and a part that grows as vertices draw closer.
        let (sparse, dense) = (one(8.0), one(1.0));
        let growing = (dense - sparse) / (1.0 - 1.0 / 8.0);
        let spacing = growing / (target - (dense - growing)).max(1.0);
        if spacing >= DENSEST {
            return drawing(&sizes, spacing.min(12.0));
        }
        step /= 2.0;
    }
}

fn sizes(step: f64) -> Vec<f64> {
    let count = ((RANGE.1 - RANGE.0) / step) as usize;
    (0..=count).map(|i| RANGE.0 + step * i as f64).collect()
}

fn bytes(sizes: &[f64], spacing: f64) -> f64 {
    drawing(sizes, spacing).len() as f64
}

fn drawing(sizes: &[f64], spacing: f64) -> String {
    let pieces: Vec<_> = sizes.iter().flat_map(|&size| trousers::pieces(size, spacing)).collect();
    dxf_out::drawing(&pieces, &Style::USUAL)
}
