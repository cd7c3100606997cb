//! How the edges of a leg run beyond a fold: whether they would lie on the leg once turned in.

use super::Fold;
use super::edge::EndEdge;
use crate::geometry::{direction, line};
use kurbo::Point;

/// The length of edge, in mm, over which its turn at a place is measured.
const AT_THE_LINE: f64 = 12.0;
/// The number of places of an edge that are tried where no line is drawn.
const TRIED: usize = 24;
/// Where more vertices than this lie within the length over which a turn is measured, vertices nearer together than the second value,
/// in mm, are not told apart. Digitised lines have one every 0.1 mm at most.
const CROWD: usize = 240;
const APART: f64 = 0.05;
/// A turn of less than this, in degrees, shows nothing where the edge turns to and fro by this share of it at other places.
const SLIGHT: f64 = 3.0;
const AS_MUCH: f64 = 0.8;
/// The number of places at which an edge is compared with its mirror image.
const PLACES: u32 = 24;

/// How an edge of the leg runs beyond a fold.
#[derive(Clone, Copy)]
pub(super) struct Beyond {
    /// How far, in mm, the mirrored part beyond the fold is off the edge before it.
    pub off: f64,
    /// How far, in mm, the edge deviates outwards from its straight course beyond the fold, over the depth of the fold.
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
        // Only the turn at the fold itself counts, not one that is spread over the depth.
        let near = deep.min(AT_THE_LINE);
        let ((below, one), (above, other)) =
            (run.direction(deep, deep + near), run.direction(deep - near, deep));
        let outwards = (end - fold.ends[1 - i]).normalize();
        // The run begins at the outer edge, beyond the fold, so that it passes the fold towards the leg.
        let turns = (below - above).dot(outwards);
        Beyond { off, turns: turns.signum() * (turns.abs() - one - other).max(0.0) * deep }
    })
}

/// The vertices at which a run of the edge turns most, by at least `least` degrees, up to `far` along it.
pub(super) fn turning(edge: &EndEdge, i: usize, far: f64, least: f64) -> Vec<Point> {
    let run = &edge.runs[i];
    let last = run.stations().partition_point(|&s| s <= far).min(run.points().len().saturating_sub(1));
    let signed = |k: usize| {
        let s = run.stations()[k];
        let near = (0.5 * AT_THE_LINE).min(s);
        let ((before, one), (after, other)) = (run.direction(s - near, s), run.direction(s, s + near));
        let turned = direction::angle(before, after);
        turned.signum() * (turned.abs() - (one + other).to_degrees()).max(0.0)
    };
    // Of hundreds of vertices over which one turn is measured, few are tried.
    let crowded =
        |k: usize| run.stations().get(k + CROWD).is_some_and(|&s| s < run.stations()[k] + AT_THE_LINE);
    let mut tried: Vec<(f64, f64, Point)> = Vec::new();
    for k in (1..last).filter(|&k| run.stations()[k] > 1.0) {
        let s = run.stations()[k];
        if tried.last().is_none_or(|last| s >= last.0 + APART || !crowded(k)) {
            tried.push((s, signed(k), run.points()[k]));
        }
    }
    // Where the vertices are too far apart for `direction` to tell, noise shows in turns to and fro.
    let is_noise = |at: f64, own: f64| {
        let apart = |other: &&(f64, f64, Point)| (other.0 - at).abs() >= 0.5 * AT_THE_LINE;
        let as_much = tried
            .iter()
            .filter(apart)
            .map(|t| t.1 * own.signum())
            .filter(|turn| turn.abs() >= AS_MUCH * own.abs());
        let (same, back): (Vec<f64>, Vec<f64>) = as_much.partition(|turn| *turn > 0.0);
        own.abs() < SLIGHT && !same.is_empty() && back.len() >= 2
    };
    let mut found: Vec<(f64, f64, Point)> = Vec::new();
    for &(s, own, p) in tried.iter().filter(|(_, own, _)| own.abs() >= least) {
        if is_noise(s, own) {
            continue;
        }
        let turn = own.abs();
        // A corner that is drawn with many vertices counts once.
        let same = found.last().filter(|last| s - last.0 < 0.5 * AT_THE_LINE).map(|last| last.1);
        if same.is_some_and(|most| turn > most) {
            found.pop();
        }
        if same.is_none_or(|most| turn > most) {
            found.push((s, turn, p));
        }
        if found.len() == TRIED {
            break;
        }
    }
    found.into_iter().map(|(_, _, p)| p).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::line::Measured;
    use crate::seam::SeamRole;

    /// Edges with a vertex every 20 mm, at these distances beside a straight line.
    fn turns(beside: &[f64]) -> Vec<f64> {
        let run: Vec<Point> =
            beside.iter().zip(0..).map(|(x, k)| Point::new(*x, 20.0 * f64::from(k))).collect();
        let line = vec![Point::new(0.0, 0.0), Point::new(180.0, 0.0)];
        let edge =
            EndEdge { role: SeamRole::Hem, line, runs: [Measured::new(run.clone()), Measured::new(run)] };
        turning(&edge, 0, 200.0, 0.9).into_iter().map(|p| p.y).collect()
    }

    /// A turn of 2° at one place is that of a fold; a digitiser's noise of 0.2 mm leaves turns of 1° to 2° all along (atan 0.4/20).
    #[test]
    fn a_slight_turn_among_others_to_and_fro_is_noise() {
        let slope = 20.0 * 2f64.to_radians().tan();
        assert_eq!(turns(&[2.0 * slope, slope, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0]), [40.0]);
        assert_eq!(turns(&[0.1, -0.1, 0.2, -0.2, 0.1, -0.2, 0.15, -0.1, 0.2, -0.1]), [0.0; 0]);
    }
}
