//! Whether a measure grows smoothly from size to size.
//!
//! Ranges of sizes are graded in steps that are equal over several sizes and change at some: larger sizes often grow by more,
//! and a pocket may grow at every second size only. A step is in line if it is like the usual step or like any other step of
//! the run. A size is out of line if the steps on both its sides are out of line; a size at the end of the run, which has
//! only one step, is out of line if that step is more than twice the usual one. Fitting straight lines through the sizes was
//! tried first: every run whose steps change at some size is then out of line at both its ends.

/// A size that is out of line.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Off {
    /// The index of the size in the run.
    pub index: usize,
    /// By how much it is out of line, in the unit of the measure; positive where the size is too large.
    pub by: f64,
    /// The step from the size before; for the first size, the step to the size after.
    pub step: f64,
    /// The step that would be in line.
    pub usual: f64,
}

/// The sizes of a run, at the places `at`, whose measure is out of line by more than `least` and by more than the `share` of
/// the usual step. Sizes may be numbered unevenly and still grow by the same step from one size to the next, so a size is
/// reported only if it is out of line both by its number and by its position in the run.
#[must_use]
pub fn out_of_line(at: &[f64], values: &[f64], least: f64, share: f64) -> Vec<Off> {
    let count: Vec<f64> = (0..at.len()).map(|i| i as f64).collect();
    let by_count = off(&count, values, least, share);
    off(at, values, least, share)
        .into_iter()
        .filter(|o| by_count.iter().any(|c| c.index == o.index))
        .collect()
}

/// The sizes that are out of line when their places are the numbers `at`.
fn off(at: &[f64], values: &[f64], least: f64, share: f64) -> Vec<Off> {
    let n = values.len();
    if n < 3 || at.windows(2).any(|w| w[1] <= w[0]) {
        return Vec::new();
    }
    let run = Run::new(at, values);
    if n == 3 {
        return run.middle_of_three(least, share).into_iter().collect();
    }
    let out: Vec<bool> = (0..n - 1).map(|i| run.step_is_out(i, least, share)).collect();
    let mut found = Vec::new();
    let mut i = 0;
    while i < out.len() {
        if !out[i] {
            i += 1;
            continue;
        }
        // The steps on both sides of one size are out of line, one too wide and the other too narrow.
        let both = out.get(i + 1) == Some(&true) && run.too_wide(i) * run.too_wide(i + 1) < 0.0;
        let (index, by) = if both { (i + 1, run.off_neighbours(i + 1)) } else { run.blamed(i) };
        let into = index.saturating_sub(1);
        found.push(Off { index, by, step: run.step(into), usual: run.usual(into) });
        i += if both { 2 } else { 1 };
    }
    found
}

/// A measure over the sizes of a run. Step `i` leads from size `i` to the next one.
struct Run<'m> {
    /// The places of the sizes in the run.
    at: &'m [f64],
    values: &'m [f64],
    /// For each step, by how much the measure grows for one unit of place.
    rates: Vec<f64>,
    /// The usual rate: the median.
    median: f64,
}

impl<'m> Run<'m> {
    fn new(at: &'m [f64], values: &'m [f64]) -> Self {
        let mut run = Run { at, values, rates: Vec::new(), median: 0.0 };
        run.rates = (0..values.len() - 1).map(|i| run.step(i) / run.width(i)).collect();
        run.median = median(&run.rates);
        run
    }

    /// By how much the measure grows in a step.
    fn step(&self, i: usize) -> f64 {
        self.values[i + 1] - self.values[i]
    }

    /// The distance between the places of a step's two sizes.
    fn width(&self, i: usize) -> f64 {
        self.at[i + 1] - self.at[i]
    }

    /// By how much the measure would grow in a step at the usual rate.
    fn usual(&self, i: usize) -> f64 {
        self.median * self.width(i)
    }

    /// By how much a step's rate is above the usual one.
    fn too_wide(&self, i: usize) -> f64 {
        self.rates[i] - self.median
    }

    /// By how much a size is off the straight line between its neighbours.
    fn off_neighbours(&self, i: usize) -> f64 {
        let t = (self.at[i] - self.at[i - 1]) / (self.at[i + 1] - self.at[i - 1]);
        self.values[i] - (self.values[i - 1] + (self.values[i + 1] - self.values[i - 1]) * t)
    }

    /// With three sizes there are two steps, neither of which can be called the usual one; so the middle size is compared
    /// with the straight line between the other two.
    fn middle_of_three(&self, least: f64, share: f64) -> Option<Off> {
        let by = self.off_neighbours(1);
        let usual = (self.values[2] - self.values[0]) / 2.0;
        let out = by.abs() > least.max(share * usual.abs());
        let step = self.step(0);
        out.then_some(Off { index: 1, by, step, usual: step - by })
    }

    fn is_end(&self, i: usize) -> bool {
        i == 0 || i + 1 == self.rates.len()
    }

    /// Whether an end step makes up for the excess of the step next to it: then the size between them is the one that is out
    /// of line.
    fn makes_up(&self, i: usize) -> bool {
        let next = if i == 0 { 1 } else { self.rates.len() - 2 };
        let (own, other) = (self.too_wide(i), self.too_wide(next));
        self.is_end(i) && (own + other).abs() <= 0.5 * own.abs()
    }

    /// Whether a step is like neither the usual one nor any other step of the run. A step at an end may be up to twice the
    /// usual one.
    fn step_is_out(&self, i: usize, least: f64, share: f64) -> bool {
        let (rate, width) = (self.rates[i], self.width(i));
        let far = |other: f64| {
            let most = rate.abs().max(other.abs()).min(2.0 * other.abs());
            (rate - other).abs() * width > least.max(share * most * width)
        };
        let alone = (0..self.rates.len()).filter(|&j| j != i).all(|j| far(self.rates[j]));
        let ends = || self.makes_up(i) || self.too_wide(i).abs() > self.median.abs();
        alone && far(self.median) && (!self.is_end(i) || ends())
    }

    /// The size to which a single step that is out of line is attributed, and by how much that size is out.
    fn blamed(&self, i: usize) -> (usize, f64) {
        let by = self.step(i) - self.usual(i);
        let last = self.rates.len() - 1;
        match i {
            0 if self.makes_up(0) => (1, self.off_neighbours(1)),
            _ if i == last && self.makes_up(i) => (i, self.off_neighbours(i)),
            0 => (0, -by),
            _ if i == last => (i + 1, by),
            // Of the step's two sizes, the one that is further off the line between its neighbours, provided that is the
            // lower one and the step into it is out in the opposite direction. Otherwise all sizes from this step on are out
            // of line.
            _ => {
                let (lower, upper) = (self.off_neighbours(i), self.off_neighbours(i + 1));
                let turns = self.too_wide(i - 1) * self.too_wide(i) < 0.0;
                if turns && lower.abs() > 1.5 * upper.abs() { (i, lower) } else { (i + 1, by) }
            }
        }
    }
}

/// The median; 0 for an empty list.
#[must_use]
pub fn median(values: &[f64]) -> f64 {
    let mut sorted = values.to_vec();
    sorted.sort_by(f64::total_cmp);
    match (sorted.len(), sorted.len() / 2) {
        (0, _) => 0.0,
        (n, half) if n % 2 == 0 => f64::midpoint(sorted[half - 1], sorted[half]),
        (_, half) => sorted[half],
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const NONE: [usize; 0] = [];

    fn indices(at: &[f64], values: &[f64]) -> Vec<usize> {
        out_of_line(at, values, 3.2, 0.5).into_iter().map(|o| o.index).collect()
    }

    #[test]
    fn one_size_out_of_line_is_found() {
        let at = [34.0, 36.0, 38.0, 40.0, 42.0, 44.0];
        assert_eq!(indices(&at, &[200.0, 210.0, 220.0, 230.0, 240.0, 250.0]), NONE);
        for odd in 1..5 {
            let mut v = [200.0, 210.0, 220.0, 230.0, 240.0, 250.0];
            v[odd] += 9.0;
            assert_eq!(indices(&at, &v), [odd]);
        }
        // At an end of the run, up to twice the usual step is a run that continues in wider steps.
        assert_eq!(indices(&at, &[200.0, 210.0, 220.0, 230.0, 240.0, 259.0]), NONE);
        assert_eq!(indices(&at, &[200.0, 210.0, 220.0, 230.0, 240.0, 262.0]), [5]);
        assert_eq!(indices(&at, &[188.0, 210.0, 220.0, 230.0, 240.0, 250.0]), [0]);
        // All sizes from one on are out of line.
        assert_eq!(indices(&at, &[200.0, 210.0, 220.0, 245.0, 255.0, 265.0]), [3]);
        // The difference is less than half of the wider step but more than half of the narrower one.
        assert_eq!(indices(&at, &[200.0, 210.0, 226.0, 230.0, 240.0, 250.0]), [2]);
        // Two sizes are exchanged.
        assert_eq!(indices(&at, &[200.0, 210.0, 230.0, 220.0, 240.0, 250.0]), [3]);
        assert_eq!(indices(&at[..3], &[200.0, 216.0, 220.0]), [1]);
    }

    #[test]
    fn runs_that_break_are_in_line() {
        // Grows by 1 1/2 in more from one size on (common practice).
        assert_eq!(
            indices(&[34.0, 36.0, 38.0, 40.0, 42.0, 44.0], &[200.0, 210.0, 220.0, 232.0, 247.0, 262.0]),
            NONE
        );
        // Grows at every second size only.
        assert_eq!(
            indices(&[34.0, 36.0, 38.0, 40.0, 42.0, 44.0], &[150.0, 150.0, 160.0, 160.0, 170.0, 170.0]),
            NONE
        );
        // The sizes are wider apart at the end: 30 to 34 by one, then by two.
        assert_eq!(
            indices(&[30.0, 31.0, 32.0, 33.0, 34.0, 36.0, 38.0], &[0.0, 6.0, 12.0, 18.0, 24.0, 36.0, 48.0]),
            NONE
        );
        // Ages: one step early on is as much as two later on.
        assert_eq!(indices(&[6.0, 7.0, 8.0, 10.0, 12.0], &[0.0, 20.0, 40.0, 60.0, 80.0]), NONE);
        // Measures that are not graded at all, only rounded.
        assert_eq!(indices(&[1.0, 2.0, 3.0, 4.0], &[50.0, 50.3, 49.8, 50.0]), NONE);
    }
}
