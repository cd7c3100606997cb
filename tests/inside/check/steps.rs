//! One size out of line in a run that is otherwise even is found, by how much it is.

use crate::check::steps::{Off, median, out_of_line};
use proptest::prelude::*;

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
    /// the size between them is the one that is off, by the step into it.
    #[test]
    fn a_size_close_to_its_neighbour_is_off(n in 5usize..10, place in 0.0..1.0f64, d in 8.0..30.0f64, larger in any::<bool>()) {
        let k = 1 + (place * (n - 2) as f64) as usize;
        let off = if larger { 0.9 * d } else { -0.9 * d };
        let at: Vec<f64> = (0..n).map(|i| 34.0 + 2.0 * i as f64).collect();
        let mut values: Vec<f64> = (0..n).map(|i| 700.0 + d * i as f64).collect();
        values[k] += off;
        let meant = Off { index: k, by: off, step: d + off, usual: d };
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
            let meant = Off { index: 1, by: off, step: values[1] - low, usual: (high - low) * t };
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
    assert!(found(&[], &[]).is_empty());
    assert_eq!(median(&[]), 0.0);
}

const AT: [f64; 6] = [34.0, 36.0, 38.0, 40.0, 42.0, 44.0];

fn off(index: usize, by: f64, step: f64, usual: f64) -> Off {
    Off { index, by, step, usual }
}

/// As much as the least, or as the share of the usual step, is in line; more is not.
#[test]
fn what_is_just_in_line_passes() {
    let at = [10.0, 12.0, 14.0];
    assert!(out_of_line(&at, &[0.0, 13.0, 20.0], 3.0, 0.25).is_empty());
    assert_eq!(out_of_line(&at, &[0.0, 13.5, 20.0], 3.0, 0.25), [off(1, 3.5, 13.5, 10.0)]);
    assert!(out_of_line(&at, &[0.0, 15.0, 20.0], 3.0, 0.5).is_empty());
    assert_eq!(out_of_line(&at, &[0.0, 15.25, 20.0], 3.0, 0.5), [off(1, 5.25, 15.25, 10.0)]);
    // A step of twice the usual one differs from it by half of its own; at an end twice is still in line.
    assert!(found(&AT, &[0.0, 10.0, 20.0, 40.0, 50.0, 60.0]).is_empty());
    assert_eq!(found(&AT, &[0.0, 10.0, 20.0, 41.0, 51.0, 61.0]), [off(3, 11.0, 21.0, 10.0)]);
    assert!(out_of_line(&AT, &[0.0, 10.0, 20.0, 30.0, 40.0, 60.0], 3.0, 0.25).is_empty());
    assert_eq!(out_of_line(&AT, &[0.0, 10.0, 20.0, 30.0, 40.0, 60.5], 3.0, 0.25), [off(5, 10.5, 20.5, 10.0)]);
}

#[test]
fn sizes_that_do_not_count_evenly_are_measured_by_their_numbers() {
    // By 6 a number; 35 is 20 too large, between 18 and 42.
    let is = found(&[30.0, 31.0, 32.0, 33.0, 35.0, 37.0], &[0.0, 6.0, 12.0, 18.0, 50.0, 42.0]);
    assert_eq!(is, [off(4, 20.0, 32.0, 12.0)]);
}

/// The step shown is the one into the size, whichever of its steps gives it away.
#[test]
fn the_step_into_the_size_is_shown() {
    // 7 too large: 17 is within twice the usual step, 3 is less than half of it.
    let own = |index: usize| {
        let mut values = [200.0, 210.0, 220.0, 230.0, 240.0, 250.0];
        values[index] += 7.0;
        found(&AT, &values)
    };
    for index in 1..5 {
        assert_eq!(own(index), [off(index, 7.0, 17.0, 10.0)]);
    }
    // A wide step after one that is as usual is not its lower size's: 42 and what follows are 40 too large, and 44 a further 14.
    let at = [34.0, 36.0, 38.0, 40.0, 42.0, 44.0, 46.0, 48.0];
    let wide = [0.0, 10.0, 20.0, 30.0, 80.0, 104.0, 114.0, 124.0];
    assert_eq!(found(&at, &wide), [off(4, 40.0, 50.0, 10.0), off(5, 14.0, 24.0, 10.0)]);
}

/// Which of two sizes is blamed.
#[test]
fn the_size_between_what_makes_up_is_blamed() {
    // The last step takes back what the one before it has too much, and somewhat more: 42 is 11 off the middle of its neighbours.
    assert_eq!(found(&AT, &[0.0, 10.0, 20.0, 30.0, 49.0, 46.0]), [off(4, 11.0, 19.0, 10.0)]);
    // 38 is 18 beside its neighbours and 40 is 15.5 beside its own: alike, so all from 40 on are 34 too large.
    assert_eq!(found(&AT, &[0.0, 26.0, 50.0, 110.0, 139.0, 165.0]), [off(3, 34.0, 60.0, 26.0)]);
}
