//! One size out of line in a run that is otherwise even is found, by how much it is.

use proptest::prelude::*;
use truerise::check::steps::{Off, median, out_of_line};

const LEAST: f64 = 3.2;

fn found(at: &[f64], values: &[f64]) -> Vec<Off> {
    out_of_line(at, values, LEAST, 0.5)
}

fn close(a: &[Off], b: &[Off]) -> bool {
    let alike = |x: f64, y: f64| (x - y).abs() < 1e-9;
    let same = |(p, q): (&Off, &Off)| {
        p.index == q.index && alike(p.by, q.by) && alike(p.step, q.step) && alike(p.usual, q.usual)
    };
    a.len() == b.len() && a.iter().zip(b).all(same)
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::with_cases(300) })]

    /// In steps of `d`, one size larger or smaller by more than a step and a half: between its neighbours it is off by just
    /// that much, and no other size is off at all (a straight line).
    #[test]
    fn a_size_is_off_by_what_it_was_put_off(
        n in 5usize..10,
        place in 0.0..1.0f64,
        first in -3i32..40,
        width in prop::sample::select(vec![1.0, 2.0, 4.0]),
        d in 3.0..16.0f64,
        grows in any::<bool>(),
        times in 1.5..3.0f64,
        larger in any::<bool>(),
    ) {
        let k = (place * n as f64) as usize;
        let step = if grows { d } else { -d };
        let off = if larger { times * d + LEAST } else { -times * d - LEAST };
        let at: Vec<f64> = (0..n).map(|i| f64::from(first) + width * i as f64).collect();
        let mut values: Vec<f64> = (0..n).map(|i| 900.0 + step * i as f64).collect();
        prop_assert!(found(&at, &values).is_empty());
        values[k] += off;
        // The step into the size; of the first one, the step out of it.
        let shown = if k == 0 { step - off } else { step + off };
        let meant = Off { index: k, by: off, step: shown, usual: step };
        let is = found(&at, &values);
        prop_assert!(close(&is, &[meant]), "{is:?} in place of {meant:?}");
        // What is off by less than the least that counts is not off.
        values[k] += 0.9 * LEAST * off.signum() - off;
        prop_assert!(found(&at, &values).is_empty());
    }

    /// Off by nine tenths of a step, one step is nearly nothing and the other nearly twice the usual, which alone would pass;
    /// the size between them is the one that is off.
    #[test]
    fn a_size_close_to_its_neighbour_is_off(n in 5usize..10, place in 0.0..1.0f64, d in 8.0..30.0f64, larger in any::<bool>()) {
        let k = 1 + (place * (n - 2) as f64) as usize;
        let off = if larger { 0.9 * d } else { -0.9 * d };
        let at: Vec<f64> = (0..n).map(|i| 34.0 + 2.0 * i as f64).collect();
        let mut values: Vec<f64> = (0..n).map(|i| 700.0 + d * i as f64).collect();
        values[k] += off;
        let meant = Off { index: k, by: off, step: 0.1 * d, usual: d };
        let is = found(&at, &values);
        prop_assert!(close(&is, &[meant]), "{is:?} in place of {meant:?}");
    }

    /// Three sizes: the middle one against halfway between the others, by where it stands.
    #[test]
    fn of_three_the_middle_one_is_compared(low in 0.0..50.0f64, high in 0.0..50.0f64, t in 0.3..0.7f64, off in -30.0..30.0f64) {
        let at = [10.0, 10.0 + 10.0 * t, 20.0];
        let values = [low, low + (high - low) * t + off, high];
        let usual = (high - low) / 2.0;
        let out = out_of_line(&at, &values, LEAST, 0.5);
        // Counted evenly as well as by the sizes' numbers.
        let even = values[1] - f64::midpoint(low, high);
        let most = LEAST.max(0.5 * usual.abs());
        prop_assume!((off.abs() - most).abs() > 1e-6 && (even.abs() - most).abs() > 1e-6);
        if off.abs() > most && even.abs() > most {
            let meant = Off { index: 1, by: off, step: values[1] - low, usual };
            prop_assert!(close(&out, &[meant]), "{out:?} in place of {meant:?}");
        } else {
            prop_assert!(out.is_empty(), "{out:?}");
        }
    }

    /// Half of the values lie on either side (definition).
    #[test]
    fn the_median_has_as_many_on_either_side(values in prop::collection::vec(-50.0..50.0f64, 1..12)) {
        let m = median(&values);
        let below = values.iter().filter(|v| **v < m).count();
        let above = values.iter().filter(|v| **v > m).count();
        prop_assert_eq!(below, above);
        let mut sorted = values.clone();
        sorted.sort_by(f64::total_cmp);
        let (low, high) = (sorted[(values.len() - 1) / 2], sorted[values.len() / 2]);
        prop_assert!((m - f64::midpoint(low, high)).abs() < 1e-12);
    }
}

#[test]
fn too_few_or_disordered_sizes_say_nothing() {
    assert!(found(&[1.0, 2.0], &[0.0, 90.0]).is_empty());
    assert!(found(&[1.0, 2.0, 2.0, 3.0], &[0.0, 10.0, 90.0, 30.0]).is_empty());
    assert_eq!(median(&[]), 0.0);
}
