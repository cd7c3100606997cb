//! How the edges of a leg run beyond a fold: whether they would lie on the leg once they are turned in.

use super::Fold;
use super::edge::EndEdge;
use crate::geometry::{direction, line};
use kurbo::Point;

/// Over how much of an edge, in mm, its turn at a place is looked at.
const AT_THE_LINE: f64 = 12.0;
/// The least turn, in degrees, of an edge at a fold where no line is drawn.
const TURN: f64 = 3.0;
/// So many places of an edge are tried where no line is drawn.
const TRIED: usize = 24;
/// In so many places an edge is held against the other.
const PLACES: u32 = 24;

/// How an edge of the leg runs beyond a fold.
#[derive(Clone, Copy)]
pub(super) struct Beyond {
    /// How far, in mm, what lies beyond is off the mirrored edge.
    pub off: f64,
    /// How far, in mm, it has turned outwards at the fold from its straight way, over the depth.
    pub turns: f64,
}

/// How both edges of a leg run beyond a fold.
pub(super) fn mirrored(edge: &EndEdge, fold: &Fold) -> [Beyond; 2] {
    let [a, b] = fold.ends;
    [0, 1].map(|i| {
        let (run, end) = (&edge.runs[i], fold.ends[i]);
        let deep = run.station(end);
        let reflection = direction::reflection(end, b - a);
        let image = |p: Point| reflection * p;
        let before = run.part(deep, 2.0 * deep + 5.0);
        let places = (0..=PLACES).map(|k| image(run.at(deep * f64::from(k) / f64::from(PLACES))));
        let off = places.map(|p| line::distance(&before, false, p)).fold(0.0, f64::max);
        // The turn at the line itself, not one that is spread over the depth.
        let near = deep.min(AT_THE_LINE);
        let ((below, one), (above, other)) =
            (run.direction(deep, deep + near), run.direction(deep - near, deep));
        let outwards = (end - fold.ends[1 - i]).normalize();
        // The run begins at the edge, beyond the fold: seen from the leg it is gone along backwards.
        let turns = (below - above).dot(outwards);
        Beyond { off, turns: turns.signum() * (turns.abs() - one - other).max(0.0) * deep }
    })
}

/// The vertices of an edge's run at which it turns most, no further along than `far`.
pub(super) fn turning(edge: &EndEdge, i: usize, far: f64) -> Vec<Point> {
    let run = &edge.runs[i];
    let last = run.stations().partition_point(|&s| s <= far).min(run.points().len().saturating_sub(1));
    let turn = |k: usize| {
        let s = run.stations()[k];
        let near = (0.5 * AT_THE_LINE).min(s);
        let ((before, one), (after, other)) = (run.direction(s - near, s), run.direction(s, s + near));
        direction::angle(before, after).abs() - (one + other).to_degrees()
    };
    let mut found: Vec<(f64, f64, Point)> = Vec::new();
    for k in (1..last).filter(|&k| run.stations()[k] > 1.0) {
        let (s, turn) = (run.stations()[k], turn(k));
        if turn < TURN {
            continue;
        }
        // A corner with many vertices is one.
        let same = found.last().filter(|last| s - last.0 < 0.5 * AT_THE_LINE).map(|last| last.1);
        if same.is_some_and(|most| turn > most) {
            found.pop();
        }
        if same.is_none_or(|most| turn > most) {
            found.push((s, turn, run.points()[k]));
        }
        if found.len() == TRIED {
            break;
        }
    }
    found.into_iter().map(|(_, _, p)| p).collect()
}
