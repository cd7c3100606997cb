//! Pairs the vertices of a line with those of the same line in the other drawing.

use kurbo::{Point, Vec2};
use std::collections::HashMap;
use std::ops::Range;

/// A stretch on which the lines differ: the old points and the new ones between two points that are the same.
#[derive(Debug, PartialEq, Eq)]
pub(super) struct Stretch {
    pub old: Range<usize>,
    pub new: Range<usize>,
}

/// The stretches between the points that both lines have, in order.
pub(super) fn stretches(old: &[Point], new: &[Point]) -> Vec<Stretch> {
    let mut places: HashMap<(u64, u64), Vec<usize>> = HashMap::with_capacity(new.len());
    for (j, p) in new.iter().enumerate() {
        places.entry(key(p)).or_default().push(j);
    }
    let mut found = Vec::new();
    let (mut i0, mut j0) = (0, 0);
    for i in 0..=old.len() {
        let j = match old.get(i) {
            None => Some(new.len()),
            Some(p) => places.get(&key(p)).and_then(|all| all.iter().copied().find(|&j| j >= j0)),
        };
        let Some(j) = j else { continue };
        if i > i0 || j > j0 {
            found.push(Stretch { old: i0..i, new: j0..j });
        }
        (i0, j0) = (i + 1, j + 1);
    }
    found
}

/// A key for looking a point up; only points with exactly the same numbers have the same key.
pub(super) fn key(p: &Point) -> (u64, u64) {
    (p.x.to_bits(), p.y.to_bits())
}

/// For each point of an old line, the point of the new one that it became, where vertices may have been added in between. Among the
/// added ones, those are the old ones whose movements differ least from one to the next. `None` where some were taken out.
pub(super) fn paired(old: &[Point], new: &[Point]) -> Option<Vec<usize>> {
    let (n, stretches) = (old.len(), stretches(old, new));
    let mut index = Vec::with_capacity(n);
    let mut j = 0;
    for stretch in stretches {
        let same = stretch.old.start - index.len();
        index.extend(j..j + same);
        // Nothing moves at its ends; before the first point of a closed line comes its last one.
        let ends = [stretch.old.start + n - 1, stretch.old.end].map(|i| [old[i % n]; 2].into());
        let within = smoothest(&old[stretch.old.clone()], &new[stretch.new.clone()], ends)?;
        index.extend(within.into_iter().map(|k| stretch.new.start + k));
        j = stretch.new.end;
    }
    let same = n - index.len();
    index.extend(j..j + same);
    Some(index)
}

/// The same for closed lines whose corners are known in both: they are paired, and what lies between them. Where a line is drawn with
/// few vertices and many were added, the movements alone do not tell which vertex is the fork. The corners are in order, from the
/// first point on.
pub(super) fn paired_by_corners(
    (old, new): (&[Point], &[Point]),
    corners: &[(usize, usize)],
) -> Option<Vec<usize>> {
    let mut index = Vec::with_capacity(old.len());
    let ends = corners.iter().copied().chain([(old.len(), new.len())]);
    for ((i, j), (i_end, j_end)) in corners.iter().copied().zip(ends.skip(1)) {
        if i >= i_end || j >= j_end || index.len() != i {
            return None;
        }
        let ends = [(i, j), (i_end, j_end)].map(|(i, j)| (old[i % old.len()], new[j % new.len()]));
        index.push(j);
        index.extend(smoothest(&old[i + 1..i_end], &new[j + 1..j_end], ends)?.into_iter().map(|k| j + 1 + k));
    }
    (index.len() == old.len()).then_some(index)
}

/// The same within a stretch, between two vertices at its ends that are known to be paired.
fn smoothest(old: &[Point], new: &[Point], ends: [(Point, Point); 2]) -> Option<Vec<usize>> {
    /// The most steps to be compared; no piece has as many vertices that moved.
    const MOST: usize = 50_000_000;
    /// A shorter edge, in mm, counts as one of this length, as one of no length would allow no change at all.
    const LEAST: f64 = 0.1;
    let (n, ways) = (old.len(), new.len().checked_sub(old.len())? + 1);
    if ways == 1 || n == 0 {
        return Some((0..n).collect());
    }
    if n.checked_mul(ways)?.checked_mul(ways)? > MOST {
        return None;
    }
    let at_end = |k: usize| (ends[k].0, ends[k].1 - ends[k].0);
    let at = |i: usize, k: usize| (old[i], new[i + k] - old[i]);
    // A movement changes evenly along the line: over a long edge by more than over a short one.
    let bend =
        |(p, by): (Point, Vec2), (q, next): (Point, Vec2)| (next - by).hypot2() / (q - p).hypot().max(LEAST);
    let mut best: Vec<f64> = (0..ways).map(|k| bend(at_end(0), at(0, k))).collect();
    let mut from = vec![vec![0; ways]];
    for i in 1..n {
        let step = |k: usize| {
            let before = (0..=k).map(|m| (m, best[m] + bend(at(i - 1, m), at(i, k))));
            before.min_by(|a, b| a.1.total_cmp(&b.1)).unwrap_or((0, f64::INFINITY))
        };
        let steps: Vec<(usize, f64)> = (0..ways).map(step).collect();
        from.push(steps.iter().map(|s| s.0).collect());
        best = steps.into_iter().map(|s| s.1).collect();
    }
    let whole = |k: &usize| best[*k] + bend(at(n - 1, *k), at_end(1));
    let mut k = (0..ways).min_by(|a, b| whole(a).total_cmp(&whole(b)))?;
    let mut index = vec![0; n];
    for i in (0..n).rev() {
        index[i] = i + k;
        k = from[i][k];
    }
    Some(index)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn stretches_lie_between_what_is_the_same() {
        let line = |xs: &[f64]| xs.iter().map(|&x| Point::new(x, 0.0)).collect::<Vec<_>>();
        let of = |old: &[f64], new: &[f64]| {
            stretches(&line(old), &line(new)).into_iter().map(|s| (s.old, s.new)).collect::<Vec<_>>()
        };
        assert!(of(&[1.0, 2.0], &[1.0, 2.0]).is_empty());
        assert_eq!(of(&[1.0, 2.0, 3.0], &[1.0, 2.5, 2.6, 3.0]), [(1..2, 1..3)]);
        assert_eq!(of(&[1.0, 2.0, 3.0], &[1.0, 3.0]), [(1..2, 1..1)]);
        assert_eq!(of(&[1.0, 3.0], &[1.0, 2.0, 3.0]), [(1..1, 1..2)]);
        assert_eq!(of(&[1.0, 2.0], &[9.0, 2.0]), [(0..1, 0..1)]);
        assert_eq!(of(&[1.0, 2.0], &[1.0, 2.0, 9.0]), [(2..2, 2..3)]);
    }

    /// A crotch seam of few vertices that slides by 12 mm below a straight part, with a vertex added beside where one was.
    #[test]
    fn vertices_are_paired_by_how_evenly_the_line_moves() {
        let points = |all: &[(f64, f64)]| all.iter().map(|&p| Point::from(p)).collect::<Vec<_>>();
        let old = [
            (0.0, 155.0),
            (0.0, 0.0),
            (5.0, -15.0),
            (20.0, -30.0),
            (45.0, -35.0),
            (40.0, -300.0),
            (-100.0, -300.0),
        ];
        let new = [
            (0.0, 155.0),
            (0.0, 12.0),
            (1.5, 4.0),
            (5.0, -3.0),
            (20.0, -18.0),
            (45.0, -23.0),
            (40.0, -300.0),
            (-100.0, -300.0),
        ];
        let (old, new) = (points(&old), points(&new));
        let all = Some(vec![0, 1, 3, 4, 5, 6, 7]);
        assert_eq!(paired(&old, &new), all);
        assert_eq!(paired_by_corners((&old, &new), &[(0, 0), (4, 5), (5, 6), (6, 7)]), all);
        // A corner that is no vertex of the new line any more.
        assert_eq!(paired_by_corners((&old, &new), &[(0, 0), (4, 2), (5, 2)]), None);
        // Vertices were taken out between two corners.
        assert_eq!(paired_by_corners((&new, &old), &[(0, 0), (5, 4)]), None);
    }
}
