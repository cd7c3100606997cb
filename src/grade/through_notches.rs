//! Makes edges run through their graded notches.
//!
//! A notch with a rule lies on the edge in every size, so its position says where the edge is. Graded points can lie far apart on
//! a curve, and the line interpolated between them ([`super::interpolate`]) may then miss the notch by some millimetres (5 mm at
//! the back crotch curve of a sample, four sizes up). Such an edge is drawn through the notch: there it is moved at right angles
//! to itself by the amount that it misses the notch. The line beside it (sew beside cut) is moved by the same amount, which keeps
//! the allowance. Moving the notch to the edge instead was rejected, because the position of the notch is given by its rule.
//!
//! A straight edge is never bent, and a curve is never bent by more than a correct notch can require.

use super::interpolate::{self, Waypoint};
use super::mean_value::Field;
use crate::geometry::line;
use kurbo::{Point, Vec2};

/// An edge that misses its notch by less than this, in mm, is left as it is.
const MEETS: f64 = 0.02;

/// The most by which a curve is moved to meet a notch, as a share of the distance along the curve to the next point whose
/// displacement is known: 0.1 turns the curve by 6 degrees. A wrong rule would require more, and so would a notch next to a
/// corner.
const BEND: f64 = 0.1;

/// How often the edge is drawn again. When a notch slides along a curve, each round leaves about a hundredth of the distance.
const ROUNDS: usize = 3;

/// A line and the displacements known on it.
#[derive(Clone, Copy, Debug)]
pub struct NotchedLine<'l> {
    /// Its points; it is closed.
    pub points: &'l [Point],
    /// The displacement of each point that is graded.
    pub graded: &'l [Option<Vec2>],
}

/// A notch: its position in the sample size, and its displacement by its rule.
#[derive(Clone, Copy, Debug)]
pub struct Notch {
    /// Where, in mm.
    pub at: Point,
    /// How far, in mm.
    pub shift: Vec2,
}

/// A notch through which a line is drawn: its place on the line, and how far the line misses it.
#[derive(Clone, Copy)]
struct Followed {
    notch: Notch,
    after: usize,
    share: f64,
    /// The displacement of this place on the line if the notch is ignored.
    plain: Vec2,
    bend: Vec2,
}

/// The displacements of the points of `edge` that make it run through its notches, and those of the points of the lines `beside`
/// it. `None` for a line without graded points.
#[must_use]
pub fn through(
    edge: NotchedLine<'_>,
    notches: &[Notch],
    beside: &[NotchedLine<'_>],
) -> (Option<Vec<Vec2>>, Vec<Option<Vec<Vec2>>>) {
    let plain = interpolate::between(edge.points, true, edge.graded);
    let others = || beside.iter().map(|l| interpolate::between(l.points, true, l.graded)).collect();
    let Some(mut moves) = plain else { return (None, others()) };
    let mut followed: Vec<Followed> = notches
        .iter()
        .map(|&notch| {
            let (after, share, _) = line::nearest(edge.points, true, notch.at);
            let plain = Field { points: edge.points, moves: &moves }.on_edge(after, share);
            Followed { notch, after, share, plain, bend: Vec2::ZERO }
        })
        .collect();
    followed.sort_by(|a, b| a.after.cmp(&b.after).then(a.share.total_cmp(&b.share)));
    for _ in 0..ROUNDS {
        let line: Vec<Point> = edge.points.iter().zip(&moves).map(|(p, m)| *p + *m).collect();
        for f in &mut followed {
            f.bend += missed(edge.points, &line, f);
        }
        sound(edge, &mut followed);
        moves = draw(edge, &followed).unwrap_or(moves);
    }
    let drawn = beside.iter().map(|line| {
        let mut same: Vec<Followed> = followed
            .iter()
            .map(|f| {
                let (after, share, _) = line::nearest(line.points, true, f.notch.at);
                Followed { after, share, ..*f }
            })
            .collect();
        let plain = interpolate::between(line.points, true, line.graded)?;
        for f in &mut same {
            f.plain = Field { points: line.points, moves: &plain }.on_edge(f.after, f.share);
        }
        same.sort_by(|a, b| a.after.cmp(&b.after).then(a.share.total_cmp(&b.share)));
        sound(*line, &mut same);
        draw(*line, &same)
    });
    (Some(moves), drawn.collect())
}

/// The vector by which the moved line misses the notch. The distance that the notch had from the edge in the sample size is kept.
fn missed(old: &[Point], line: &[Point], f: &Followed) -> Vec2 {
    let off = f.notch.at - old[f.after].lerp(old[(f.after + 1) % old.len()], f.share);
    let wanted = f.notch.at + f.notch.shift - off;
    let (i, t, distance) = line::nearest(line, true, wanted);
    let nearest = line[i].lerp(line[(i + 1) % line.len()], t);
    if distance < MEETS { Vec2::ZERO } else { wanted - nearest }
}

/// Keeps only the notches that the line can follow within [`BEND`].
fn sound(line: NotchedLine<'_>, followed: &mut Vec<Followed>) {
    let mut last: Option<(usize, f64, Vec2)> = None;
    followed.retain(|f| {
        let Some(s) = interpolate::stretch(line.points, true, line.graded, f.after, f.share) else {
            return false;
        };
        let (from, bent) = match last {
            Some((stretch, at, bend)) if stretch == s.from => (s.before - at, f.bend - bend),
            _ => (s.before, f.bend),
        };
        let fits = !s.straight && bent.hypot() <= BEND * from && f.bend.hypot() <= BEND * s.after;
        if fits {
            last = Some((s.from, s.before, f.bend));
        }
        fits
    });
}

fn draw(line: NotchedLine<'_>, followed: &[Followed]) -> Option<Vec<Vec2>> {
    let waypoints: Vec<Waypoint> = followed
        .iter()
        .map(|f| Waypoint { after: f.after, share: f.share, shift: f.plain + f.bend })
        .collect();
    interpolate::between_with(line.points, true, line.graded, &waypoints)
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;

    /// A half disc, finely drawn, whose two corners have a grade of zero.
    fn half_disc(radius: f64) -> (Vec<Point>, Vec<Option<Vec2>>) {
        let points: Vec<Point> =
            (0..=180).map(|i| Point::ZERO + Vec2::from_angle(f64::from(i).to_radians()) * radius).collect();
        let mut graded = vec![None; points.len()];
        graded[0] = Some(Vec2::ZERO);
        graded[180] = Some(Vec2::ZERO);
        (points, graded)
    }

    fn distance(points: &[Point], moves: &[Vec2], p: Point) -> f64 {
        let line: Vec<Point> = points.iter().zip(moves).map(|(p, m)| *p + *m).collect();
        line::nearest(&line, true, p).2
    }

    #[test]
    fn the_curve_runs_through_its_notch_and_the_line_beside_it_goes_along() {
        let ((cut, graded), (sew, also)) = (half_disc(60.0), half_disc(50.0));
        let notch = Notch { at: Point::new(0.0, 60.0), shift: Vec2::new(2.0, 4.0) };
        let beside = [NotchedLine { points: &sew, graded: &also }];
        let (moves, others) = through(NotchedLine { points: &cut, graded: &graded }, &[notch], &beside);
        let (moves, other) = (moves.unwrap(), others[0].clone().unwrap());
        assert!(distance(&cut, &moves, notch.at + notch.shift) < 0.03);
        // Both lines move by the same 4 mm at the top, so the allowance is kept.
        assert!(
            (moves[90].y - other[90].y).abs() < 1e-6 && (3.5..4.2).contains(&other[90].y),
            "{:?}",
            other[90]
        );
        assert_eq!((moves[0], moves[180]), (Vec2::ZERO, Vec2::ZERO));
    }

    #[test]
    fn neither_a_straight_edge_nor_a_wrong_rule_bends_it() {
        let (cut, graded) = half_disc(60.0);
        let still = vec![Vec2::ZERO; cut.len()];
        for notch in [
            Notch { at: Point::new(10.0, 0.0), shift: Vec2::new(0.0, 3.0) },
            Notch { at: Point::new(0.0, 60.0), shift: Vec2::new(0.0, 30.0) },
        ] {
            let (moves, _) = through(NotchedLine { points: &cut, graded: &graded }, &[notch], &[]);
            assert_eq!(moves.unwrap(), still);
        }
    }
}
