//! Whether the sizes of a piece have a thing alike.

use super::size_order::{self, Rank};
use crate::pattern::SizeName;

/// How a thing goes through the sizes of a piece.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Unlike {
    /// It is the same in every size.
    Alike,
    /// Single sizes differ: which, and a size that has it as most do.
    Odd(Vec<usize>, usize),
    /// It changes from some size on, as graded things do: the first size and those from which on it is another.
    Graded(Vec<usize>),
    /// It goes to and fro, with no value that half of the sizes have: the first size and those from which on it is another.
    Mixed(Vec<usize>),
}

/// How a thing goes through sizes, given by run and within it by number. What is graded by the number in every run (belt
/// loops by the waist in short and long sizes), or from run to run (a notch more in long ones), is graded; else it is
/// looked at run by run. Sizes that are of no run, or alone in theirs, are looked at together.
#[must_use]
pub fn through<T: PartialEq>(sizes: &[&SizeName], values: &[T]) -> Vec<Unlike> {
    let ranks: Vec<Option<Rank>> = sizes.iter().map(|s| size_order::rank(s)).collect();
    let all: Vec<usize> = (0..sizes.len()).collect();
    let mut by_number = all.clone();
    // What has no number stays behind.
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

/// How values go through the sizes of these numbers.
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

/// How values go through sizes in order. A value that holds for a run of two sizes or more, or that is another in each of
/// three sizes or more, is graded; a single size that differs is odd, and so is what comes back after a change. Odd is what
/// differs from a value that half of the sizes have.
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
    // The first of the values that most sizes have.
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
            // Comes back after two sizes.
            (&[5, 5, 5, 7, 7, 5], &[3, 4], 0),
            (&[7, 5, 7, 5, 5], &[0, 2], 1),
        ] {
            assert_eq!(unlike(values), Unlike::Odd(odd.to_vec(), usual), "{values:?}");
        }
        for (values, from) in [
            (&[5, 5, 5, 7, 7][..], &[0, 3][..]),
            (&[5, 5, 6, 6, 7, 7], &[0, 2, 4]),
            (&[1, 2, 3, 4], &[0, 1, 2, 3]),
            // Belt loops that change twice, the second time in the last size.
            (&[5, 5, 7, 7, 8], &[0, 2, 4]),
        ] {
            assert_eq!(unlike(values), Unlike::Graded(from.to_vec()), "{values:?}");
        }
        // Sizes written in strokes: 34, 36, 38, 40, 42.
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
            // By the waist, by the length, one size.
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
