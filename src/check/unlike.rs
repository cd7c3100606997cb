//! Decides whether all sizes of a piece are alike in some property.

use super::size_order::{self, Rank};
use crate::pattern::SizeName;

/// How a property varies over the sizes of a piece.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Unlike {
    /// It is the same in every size.
    Alike,
    /// Single sizes differ: the sizes that do, and a size with the value that most have.
    Odd(Vec<usize>, usize),
    /// It changes from some size on, as graded properties do: the first size, and each size at which the value changes.
    Graded(Vec<usize>),
    /// It changes to and fro, and no value holds for half of the sizes: the first size, and each size at which the value
    /// changes.
    Mixed(Vec<usize>),
}

/// How a property varies over sizes that are given run by run and by number within each run. It is graded if it is graded by
/// the number over all runs together (belt loops by the waist in short and long sizes), or from run to run (one more notch in
/// long sizes). Otherwise it is looked at run by run. Sizes that belong to no run, or are alone in theirs, are looked at
/// together.
#[must_use]
pub fn through<T: PartialEq>(sizes: &[&SizeName], values: &[T]) -> Vec<Unlike> {
    let ranks: Vec<Option<Rank>> = sizes.iter().map(|s| size_order::rank(s)).collect();
    let all: Vec<usize> = (0..sizes.len()).collect();
    let mut by_number = all.clone();
    // Sizes without a number come last.
    let number = |i: &usize| ranks[*i].as_ref().map_or(f64::INFINITY, |r| r.at);
    by_number.sort_by(|a, b| number(a).total_cmp(&number(b)));
    for order in [&all, &by_number] {
        let found = on(order, values);
        if matches!(found, Unlike::Alike | Unlike::Graded(_)) {
            return vec![found];
        }
    }
    let run = |i: usize| ranks[i].as_ref().map(|r| (&r.run, r.letters));
    let (mut of_runs, mut alone) = (Vec::new(), Vec::new());
    for of_run in all.chunk_by(|a, b| run(*a).is_some() && run(*a) == run(*b)) {
        if of_run.len() == 1 { alone.extend(of_run) } else { of_runs.push(on(of_run, values)) }
    }
    of_runs.push(on(&alone, values));
    of_runs
}

/// How the values vary over the sizes with these indices.
fn on<T: PartialEq>(order: &[usize], values: &[T]) -> Unlike {
    let values: Vec<&T> = order.iter().map(|&i| &values[i]).collect();
    let named = |places: Vec<usize>| places.into_iter().map(|k| order[k]).collect();
    match unlike(&values) {
        Unlike::Alike => Unlike::Alike,
        Unlike::Odd(odd, usual) => Unlike::Odd(named(odd), order[usual]),
        Unlike::Graded(from) => Unlike::Graded(named(from)),
        Unlike::Mixed(from) => Unlike::Mixed(named(from)),
    }
}

/// How values vary over sizes in order. A value is graded if it holds for two or more sizes in sequence, or if three or more
/// sizes all have different values. A single size that differs is odd, and so are sizes whose value comes back after a
/// change. A size can only be odd by differing from a value that half of the sizes have.
fn unlike<T: PartialEq>(values: &[T]) -> Unlike {
    let starts: Vec<usize> = (0..values.len()).filter(|&i| i == 0 || values[i] != values[i - 1]).collect();
    let [_, changes @ ..] = &starts[..] else { return Unlike::Alike };
    if changes.is_empty() {
        return Unlike::Alike;
    }
    let ends = changes.iter().copied().chain([values.len()]);
    let runs: Vec<(usize, usize)> = starts.iter().copied().zip(ends).collect();
    let single = |&(a, b): &(usize, usize)| b - a == 1;
    let comes_back =
        runs.iter().enumerate().any(|(i, r)| runs[..i].iter().any(|o| values[o.0] == values[r.0]));
    let count = |i: usize| values.iter().filter(|v| **v == values[i]).count();
    // The value that most sizes have; of several, the first.
    let usual = starts.iter().copied().fold(0, |best, i| if count(i) > count(best) { i } else { best });
    if 2 * count(usual) < values.len() {
        return if comes_back { Unlike::Mixed(starts) } else { Unlike::Graded(starts) };
    }
    if comes_back {
        return Unlike::Odd((0..values.len()).filter(|&i| values[i] != values[usual]).collect(), usual);
    }
    if runs.iter().all(single) && runs.len() > 2 || !runs.iter().any(single) {
        return Unlike::Graded(starts);
    }
    Unlike::Odd(runs.iter().filter(|r| single(r)).map(|r| r.0).filter(|&i| i != usual).collect(), usual)
}

#[cfg(test)]
mod tests {
    use super::{Unlike, through, unlike};
    use crate::pattern::SizeName;

    #[test]
    fn one_size_is_odd_and_a_run_is_graded() {
        for (values, odd, usual) in [
            (&[2, 2, 3, 2, 2][..], &[2][..], 0),
            (&[3, 2, 2, 2], &[0], 1),
            (&[2, 2, 2, 3], &[3], 0),
            (&[2, 3], &[1], 0),
            // The value comes back after two sizes.
            (&[5, 5, 5, 7, 7, 5], &[3, 4], 0),
            (&[7, 5, 7, 5, 5], &[0, 2], 1),
        ] {
            assert_eq!(unlike(values), Unlike::Odd(odd.to_vec(), usual), "{values:?}");
        }
        for (values, from) in [
            (&[5, 5, 5, 7, 7][..], &[0, 3][..]),
            (&[5, 5, 6, 6, 7, 7], &[0, 2, 4]),
            (&[1, 2, 3, 4], &[0, 1, 2, 3]),
            // The number of belt loops changes twice, the second time at the last size.
            (&[5, 5, 7, 7, 8], &[0, 2, 4]),
        ] {
            assert_eq!(unlike(values), Unlike::Graded(from.to_vec()), "{values:?}");
        }
        // Lines drawn in different numbers of strokes in sizes 34, 36, 38, 40 and 42.
        assert_eq!(unlike(&[9, 11, 12, 10, 9]), Unlike::Mixed(vec![0, 1, 2, 3, 4]));
        assert_eq!(unlike::<u8>(&[]), Unlike::Alike);
        assert_eq!(unlike(&[2]), Unlike::Alike);
        assert_eq!(unlike(&[2, 2, 2]), Unlike::Alike);
    }
    #[test]
    fn short_and_long_sizes_are_looked_at_by_number_and_by_run() {
        let names = ["34L", "36L", "38L", "34S", "36S", "38S"].map(SizeName::new);
        let sizes: Vec<&SizeName> = names.iter().collect();
        for (values, found) in [
            // Graded by the waist; graded by the length; odd in one size.
            ([5, 5, 7, 5, 5, 7], vec![Unlike::Graded(vec![0, 2])]),
            ([3, 3, 3, 2, 2, 2], vec![Unlike::Graded(vec![0, 3])]),
            ([2, 2, 2, 2, 3, 2], vec![Unlike::Alike, Unlike::Odd(vec![4], 3), Unlike::Alike]),
        ] {
            assert_eq!(through(&sizes, &values), found, "{values:?}");
        }
        let names = ["ANNA", "BO", "CLEM"].map(SizeName::new);
        let sizes: Vec<&SizeName> = names.iter().collect();
        assert_eq!(through(&sizes, &[2, 3, 2]), [Unlike::Odd(vec![1], 0)]);
    }
}
