//! The extension of a fly that is cut in one with the centre front.
//!
//! Seen from the fork, the crotch curve runs up to the centre front line; there the outline turns outwards, runs around the
//! extension, and comes back along the waist. The crotch seam is measured on the centre front line, which continues straight to
//! the waist.

use super::candidate::{Candidate, Fly};
use crate::geometry::{corners, direction, line};
use kurbo::{Line, Point, Vec2};

/// The least turn, in degrees, at which the outline leaves the centre front line.
const LEAVES: f64 = 30.0;

/// A segment of this length or more, in mm, that is this many times as long as the next one is not part of a curve.
const LONG: f64 = 15.0;
const LONGER: f64 = 2.0;

/// The widest extension, in mm.
const WIDEST: f64 = 110.0;

/// The largest angle, in degrees, to the edge of the extension that is parallel to the centre front: as far as the chords of a coarse
/// curve, or the noise of a digitiser, lead the tangent of the curve below the foot.
const PARALLEL: f64 = 6.0;

/// If the centre front line passes a point of the waist by no more than this, in mm, it meets the waist at that point.
const ON_POINT: f64 = 1.0;

/// The crotch seam that ends at this fork beside a fly extension. `forward` says whether the line runs from the waist to the
/// fork.
pub(super) fn find(
    points: &[Point],
    turns: &[f64],
    fork: usize,
    forward: bool,
    grain: Vec2,
) -> Option<Candidate> {
    let way = Way { points, fork, forward };
    let (foot, centre, top) = way.feet(turns).find_map(|foot| {
        let centre = way.centre_front(foot, grain)?;
        let top = way.meets_waist(foot, &centre)?;
        Some((foot, centre, top))
    })?;
    let fly = Some(Fly { base: way.index(foot), share: top.share });
    let length = centre.below + centre.rise(top.at);
    let depth = (top.at - points[fork]).dot(grain).abs();
    Some(Candidate { waist: top.waist, fork, forward, fly, length, depth })
}

/// The line as walked from the fork up the crotch seam. Its points are counted from the fork.
struct Way<'l> {
    points: &'l [Point],
    fork: usize,
    forward: bool,
}

/// The centre front line above the foot of the extension.
struct CentreFront {
    foot: Point,
    /// Unit vector down the line.
    down: Vec2,
    /// Unit vectors down the first edge below the foot and in the tangent of the curve: where that edge is short, the curve begins on
    /// it, and the line's direction is one between these.
    told: [Vec2; 2],
    /// 1 where the extension lies to the left of that direction, −1 where it lies to the right.
    side: f64,
    /// The length of the crotch seam from the fork to the foot, in mm.
    below: f64,
}

impl CentreFront {
    /// How far above the foot a place lies, in mm.
    fn rise(&self, at: Point) -> f64 {
        (self.foot - at).dot(self.down)
    }

    /// How far off the line a point lies, towards the extension, in mm.
    fn outwards(&self, p: Point) -> f64 {
        self.down.cross(p - self.foot) * self.side
    }

    /// Whether the line may run through a point of the waist: in one of its directions, or in one between.
    fn may_meet(&self, p: Point) -> bool {
        let off = [self.down, self.told[0], self.told[1]].map(|along| along.cross(p - self.foot));
        let [least, most] =
            [off.iter().copied().fold(f64::MAX, f64::min), off.iter().copied().fold(f64::MIN, f64::max)];
        least <= ON_POINT && most >= -ON_POINT
    }
}

/// Where the centre front line meets the waist.
struct Top {
    at: Point,
    /// The point of the line before that place, in the direction of the fork, and the position on the edge after it, as a share.
    waist: usize,
    share: f64,
}

impl Way<'_> {
    /// The index, on the line, of the `k`th point from the fork.
    fn index(&self, k: usize) -> usize {
        let n = self.points.len();
        if self.forward { (self.fork + n - k) % n } else { (self.fork + k) % n }
    }

    fn point(&self, k: usize) -> Point {
        self.points[self.index(k)]
    }

    /// Where the foot of the extension may be, where the outline turns outwards off the centre front line: the hollow corners
    /// before the first one that is not. A curve drawn with few vertices has such corners of its own.
    fn feet<'t>(&'t self, turns: &'t [f64]) -> impl Iterator<Item = usize> + 't {
        let turn = |k: &usize| turns[self.index(*k)];
        let before = (1..self.points.len() - 2).take_while(move |k| turn(k) < corners::CORNER);
        before.filter(move |k| *k >= 3 && turn(k) <= -LEAVES)
    }

    /// The centre front line above this foot. `None` where the outline does not turn outwards there, or where the line would not
    /// run along the grain.
    fn centre_front(&self, foot: usize, grain: Vec2) -> Option<CentreFront> {
        let at = self.point(foot);
        let across = Vec2::new(-grain.y, grain.x);
        let out = if (self.points[self.fork] - at).dot(across) < 0.0 { -across } else { across };
        let leaves = self.point(foot + 1) - at;
        if leaves.dot(out) < 0.35 * leaves.hypot() {
            return None;
        }
        let run: Vec<Point> = (0..=foot).map(|k| self.point(foot - k)).collect();
        // A segment that is long beside those of the curve is the straight centre front itself; any other is part of the curve, or a
        // chord over the end of the one and the beginning of the other, whose direction is as far off as a coarse curve turns.
        let first = run[1] - at;
        let is_long = first.hypot() >= LONG.max(LONGER * (run[2] - run[1]).hypot());
        let edge = first.normalize();
        let is_straight = is_long || begins_straight(&run);
        let tangent = if is_straight { edge } else { direction::tangent_at_start(&run) };
        if direction::lean(tangent, grain) > 45.0 {
            return None;
        }
        let side = if Vec2::new(-tangent.y, tangent.x).dot(out) < 0.0 { -1.0 } else { 1.0 };
        let below = line::length(&run);
        let centre = CentreFront { foot: at, down: tangent, told: [edge, tangent], side, below };
        let down = if is_straight { None } else { self.beside(foot, &centre) };
        Some(CentreFront { down: down.unwrap_or(tangent), ..centre })
    }

    /// Unit vector down the extension's own long edge, if it is nearly parallel to the centre front line. An extension is drawn
    /// parallel to that line (common practice, no source), and its edge is as long as the little that is drawn of the line is short.
    fn beside(&self, foot: usize, centre: &CentreFront) -> Option<Vec2> {
        let edges = (foot + 1..self.points.len() - 1).map(|k| (self.point(k), self.point(k + 1)));
        let outside = edges.take_while(|(a, b)| centre.outwards(*a) > 0.0 && centre.outwards(*b) > 0.0);
        let down = outside.map(|(a, b)| a - b);
        let parallel = down.filter(|down| direction::angle(*down, centre.down).abs() <= PARALLEL);
        let longest = parallel.max_by(|a, b| a.hypot2().total_cmp(&b.hypot2()));
        longest.filter(|down| down.hypot() >= LONG).map(Vec2::normalize)
    }

    /// Walks around the extension to the place where the centre front line meets the waist. `None` where this is not an
    /// extension: too wide, too long, or the waist is met too low or at too small an angle.
    fn meets_waist(&self, foot: usize, centre: &CentreFront) -> Option<Top> {
        let mut walked = (self.point(foot + 1) - centre.foot).hypot();
        for k in foot + 1..self.points.len() - 1 {
            let (a, b) = (self.point(k), self.point(k + 1));
            let outwards = centre.outwards(a);
            if !(-ON_POINT..=WIDEST).contains(&outwards) || walked > 4.0 * centre.below {
                return None;
            }
            walked += (b - a).hypot();
            if centre.outwards(b) > 0.0 {
                continue;
            }
            let line = Line::new(centre.foot, centre.foot - centre.down);
            let at = Line::new(a, b).crossing_point(line)?;
            if centre.rise(at) < 0.2 * centre.below || direction::lean(b - a, centre.down) < 40.0 {
                return None;
            }
            let (waist, share) = if centre.may_meet(a) {
                (k, 0.0)
            } else if centre.may_meet(b) {
                (k + 1, 0.0)
            } else {
                // In the fork's direction the edge runs from b to a.
                (k + 1, 1.0 - (at - a).hypot() / (b - a).hypot())
            };
            return Some(Top { at, waist: self.index(waist), share });
        }
        None
    }
}

/// Whether a line begins with a straight segment that runs into a curve. Where the two join, the line turns by half as much, for
/// its length, as within the curve.
fn begins_straight(run: &[Point]) -> bool {
    /// The bend at the joint has to be less than this share of the bend within the curve; halfway between a half and the whole.
    const SHARE: f64 = 0.75;
    let bend = |k: usize| {
        let (a, b) = (run[k] - run[k - 1], run[k + 1] - run[k]);
        direction::angle(a, b) / (a.hypot() + b.hypot())
    };
    run.len() > 3 && bend(1).abs() < SHARE * bend(2).abs()
}

#[cfg(test)]
mod tests {
    use super::*;
    use kurbo::Affine;

    /// Starts at the fork and runs up a crotch curve whose chords have whole lengths (7-24-25, 8-15-17, 20-21-29) to a straight
    /// centre front at x = 248: 165 mm to the foot of the extension at y = 931.
    const CROTCH: [(f64, f64); 7] = [
        (322.0, 804.0),
        (298.0, 811.0),
        (283.0, 819.0),
        (263.0, 840.0),
        (255.0, 855.0),
        (248.0, 879.0),
        (248.0, 931.0),
    ];
    /// From the side seam down around the leg to the fork.
    const REST: [(f64, f64); 6] =
        [(66.0, 1058.0), (41.0, 800.0), (60.0, 470.0), (84.0, 90.0), (288.0, 90.0), (300.0, 580.0)];
    const UP: Vec2 = Vec2::new(0.0, 1.0);

    fn outline(extension: &[(f64, f64)]) -> Vec<Point> {
        let all = CROTCH.iter().chain(extension).chain(&REST);
        all.map(|&p| p.into()).collect()
    }

    fn found(points: &[Point], grain: Vec2) -> Option<Candidate> {
        find(points, &corners::turns(points), 0, false, grain)
    }

    /// The place where the centre front line meets the waist: the waist point, the share, the length and the depth.
    fn meets(extension: &[(f64, f64)]) -> Option<(usize, f64, f64, f64)> {
        let c = found(&outline(extension), UP)?;
        let fly = c.fly?;
        assert_eq!((fly.base, c.fork, c.forward), (6, 0, false));
        Some((c.waist, fly.share, c.length, c.depth))
    }

    fn near(is: Option<(usize, f64, f64, f64)>, wanted: (usize, f64, f64, f64)) {
        let Some(is) = is else { panic!("not found in place of {wanted:?}") };
        assert_eq!(is.0, wanted.0, "{is:?}");
        for (is, wanted) in [(is.1, wanted.1), (is.2, wanted.2), (is.3, wanted.3)] {
            assert!((is - wanted).abs() < 1e-9, "{is} in place of {wanted}");
        }
    }

    /// The extension's top at y = 1061 runs from x = 285 back to `x`, across the centre front line at x = 248.
    fn back_to(x: f64) -> [(f64, f64); 3] {
        [(285.0, 943.0), (285.0, 1061.0), (x, 1061.0)]
    }

    #[test]
    fn the_crotch_seam_runs_on_straight_to_the_waist() {
        // The length is 165 mm and 130 mm more; the waist lies 257 mm above the fork. Of the waist edge of 155 mm, 37 mm belong
        // to the extension.
        near(meets(&back_to(130.0)), (9, 118.0 / 155.0, 295.0, 257.0));
        // Within 1 mm of a point of the waist it meets that point; further away it crosses the edge of the waist.
        near(meets(&back_to(248.0)), (9, 0.0, 295.0, 257.0));
        near(meets(&back_to(247.1)), (9, 0.0, 295.0, 257.0));
        near(meets(&back_to(246.9)), (9, 1.0 - 37.0 / 38.1, 295.0, 257.0));
        let two = |x: f64| [(285.0, 943.0), (285.0, 1061.0), (x, 1061.0), (130.0, 1061.0)];
        near(meets(&two(248.9)), (9, 0.0, 295.0, 257.0));
        near(meets(&two(249.1)), (10, 1.0 - 1.1 / 119.1, 295.0, 257.0));
        // A waist that slopes by 3 in 4: 37 mm across, 27.75 down.
        near(meets(&[(285.0, 943.0), (285.0, 1061.0), (185.0, 986.0)]), (9, 63.0 / 100.0, 267.25, 229.25));
    }

    /// Below the foot there is a chord of 14 mm of which the upper part is the centre front and the lower part the curve: it leans by
    /// 4.1°, and by what the curve does below, the centre front line leans by up to 2.8° the other way. A point of the waist that lies
    /// between is where it ends, and one beyond is not.
    #[test]
    fn a_point_of_the_waist_tells_a_direction_that_is_told_by_a_chord() {
        let crotch =
            [(322.0, 804.0), (298.0, 811.0), (270.0, 840.0), (252.7, 905.0), (250.5, 911.0), (249.0, 917.0)];
        let top = |x: f64| {
            let extension = [(248.0, 931.0), (285.0, 943.0), (285.0, 1061.0), (x, 1061.0), (130.0, 1061.0)];
            let points: Vec<Point> =
                crotch.iter().chain(&extension).chain(&REST).map(|&p| p.into()).collect();
            found(&points, UP).and_then(|c| Some((c.waist, c.fly?.share)))
        };
        assert_eq!(top(248.0), Some((9, 0.0)));
        for beyond in [235.0, 260.0] {
            assert!(top(beyond).is_some_and(|(_, share)| share > 0.0), "{beyond}: {:?}", top(beyond));
        }
    }

    /// A stub of 8 mm below the foot leans by 2° and the curve below it by more, so that its tangent leans the other way. The edge of
    /// the extension is parallel to the centre front (common practice, no source), here at x = 248; one that is short, or far from the
    /// tangent, tells nothing.
    #[test]
    fn the_edge_of_the_extension_tells_a_direction_of_which_little_is_drawn() {
        let crotch = [(322.0, 804.0), (298.0, 811.0), (270.0, 840.0), (252.0, 905.0), (248.3, 923.0)];
        // How far aside of x = 248 the line meets a level waist 130 mm above the foot.
        let aside = |edge: &[(f64, f64)]| {
            let top = [(285.0, 1061.0), (130.0, 1061.0)];
            let extension = [(248.0, 931.0)].into_iter().chain(edge.iter().copied()).chain(top);
            let points: Vec<Point> =
                crotch.iter().copied().chain(extension).chain(REST).map(Into::into).collect();
            let share = found(&points, UP)?.fly?.share;
            Some(37.0 - (1.0 - share) * 155.0)
        };
        let parallel = aside(&[(285.0, 943.0), (285.0, 1055.0)]).unwrap_or(f64::NAN);
        assert!(parallel.abs() < 1e-9, "{parallel}");
        // Beside an edge that leans by 15°, and beside one of 14 mm with another that leans by 11°.
        let leaning = [
            [(270.0, 938.0), (300.0, 1050.0)].as_slice(),
            &[(285.0, 943.0), (285.0, 957.0), (304.0, 1055.0)],
        ];
        for edge in leaning {
            let by_tangent = aside(edge).unwrap_or(f64::NAN);
            assert!(by_tangent.abs() > 1.0, "{by_tangent}");
        }
    }

    /// In either direction, from any first point, rotated and mirrored.
    #[test]
    fn a_fly_is_found_however_the_line_is_drawn() {
        let line = outline(&back_to(130.0));
        let n = line.len();
        for place in
            [Affine::rotate(2.2), Affine::translate((-900.0, 70.0)) * Affine::scale_non_uniform(-1.0, 1.0)]
        {
            let moved: Vec<Point> = line.iter().map(|p| place * *p).collect();
            let grain = place * UP.to_point() - place * Point::ZERO;
            for first in [0, 3, 8, 13] {
                let mut points = moved.clone();
                points.rotate_left(first);
                let at = |k: usize| (k + n - first) % n;
                let mut c = find(&points, &corners::turns(&points), at(0), false, grain);
                for (forward, at) in [(false, &at as &dyn Fn(usize) -> usize), (true, &|k| n - 1 - at(k))] {
                    let c = c.take().or_else(|| {
                        points.reverse();
                        find(&points, &corners::turns(&points), at(0), true, grain)
                    });
                    let fly = c.and_then(|c| c.fly);
                    assert_eq!(
                        (c.map(|c| (c.waist, c.fork, c.forward)), fly.map(|f| f.base)),
                        (Some((at(9), at(0), forward)), Some(at(6)))
                    );
                    assert!(fly.is_some_and(|f| (f.share - 118.0 / 155.0).abs() < 1e-9));
                    assert!(
                        c.is_some_and(|c| (c.length - 295.0).abs() < 1e-9 && (c.depth - 257.0).abs() < 1e-9)
                    );
                }
            }
        }
    }

    /// Extensions are up to 110 mm wide. The way around one is at most four times the length of the curve, 660 mm. The waist lies
    /// at least a fifth of that length, 33 mm, above the foot, and crosses the centre front line at 40° or more.
    #[test]
    fn what_is_no_extension_is_refused() {
        let wide = |x: f64| meets(&[(285.0, 943.0), (x, 1000.0), (x, 1061.0), (130.0, 1061.0)]).is_some();
        assert_eq!([wide(248.0 + 109.0), wide(248.0 + 111.0)], [true, false]);
        // The way up to the upper corner; from the foot to the first point it is 38.9 mm.
        let first = 37f64.hypot(12.0);
        let long = |way: f64| {
            meets(&[(285.0, 943.0), (285.0, 943.0 + way - first), (130.0, 943.0 + way - first)]).is_some()
        };
        assert_eq!([long(659.0), long(661.0)], [true, false]);
        // The limit is for the whole way, not for the height.
        let bent = |way: f64| {
            let [a, b] = [(345.0, 943.0 + 80.0), (265.0, 943.0 + 80.0 + 60.0)];
            // First (37, 12), then 100 mm by (60, 80), and 100 mm by (−80, 60).
            let up = way - first - 200.0;
            meets(&[(285.0, 943.0), a, b, (265.0, b.1 + up), (130.0, b.1 + up)]).is_some()
        };
        assert_eq!([bent(659.0), bent(661.0)], [true, false]);
        let high =
            |rise: f64| meets(&[(285.0, 943.0), (285.0, 931.0 + rise), (130.0, 931.0 + rise)]).is_some();
        assert_eq!([high(32.9), high(33.1)], [false, true]);
        let slant = |degrees: f64| {
            let up = 100.0 / degrees.to_radians().tan();
            meets(&[(285.0, 943.0), (285.0, 1061.0), (185.0, 1061.0 + up)]).is_some()
        };
        assert_eq!([slant(39.9), slant(40.1)], [false, true]);
        // Below the waist the outline must not cross the centre front line by more than rounding.
        let over =
            |x: f64| meets(&[(285.0, 943.0), (x, 960.0), (285.0, 1000.0), (285.0, 1061.0), (130.0, 1061.0)]);
        assert_eq!(over(248.5).map(|m| m.0), Some(11));
        assert_eq!(over(244.0), None);
    }

    /// The foot is the first corner from the fork, turns outwards by 30° or more, and comes after at least two points of the
    /// curve.
    #[test]
    fn the_foot_is_the_first_corner_and_turns_outwards() {
        let leaves = |degrees: f64| {
            let d = Vec2::new(degrees.to_radians().sin(), degrees.to_radians().cos()) * 40.0;
            meets(&[(248.0 + d.x, 931.0 + d.y), (285.0, 1061.0), (130.0, 1061.0)]).is_some()
        };
        assert_eq!([leaves(29.0), leaves(31.0)], [false, true]);
        // A waist with no extension turns the other way.
        let plain: Vec<Point> =
            CROTCH.iter().chain(&[(244.0, 1061.0)]).chain(&REST).map(|&p| p.into()).collect();
        assert_eq!(found(&plain, UP), None);
        let with_curve = |vertices: &[usize]| {
            let crotch = [0].iter().chain(vertices).chain(&[6]).map(|&i| CROTCH[i]);
            let points: Vec<Point> = crotch.chain(back_to(130.0)).chain(REST).map(Into::into).collect();
            // The vertices of the curve are given small turns, so that none counts as a corner however few there are.
            let mut turns = corners::turns(&points);
            turns[1..=vertices.len()].fill(20.0);
            find(&points, &turns, 0, false, UP).is_some()
        };
        assert_eq!([with_curve(&[3, 5]), with_curve(&[5])], [true, false]);
    }

    /// A curve of so few vertices that one of them turns by more than 30°: the foot is further up, where the outline turns outwards.
    #[test]
    fn the_foot_lies_above_a_coarse_curve() {
        let crotch = [0, 1, 2, 3, 6].map(|i| CROTCH[i]);
        let points: Vec<Point> =
            crotch.into_iter().chain(back_to(130.0)).chain(REST).map(Into::into).collect();
        let turns = corners::turns(&points);
        assert!(turns[3] < -LEAVES && turns[4] < -LEAVES, "{turns:?}");
        assert_eq!(find(&points, &turns, 0, false, UP).and_then(|c| c.fly).map(|fly| fly.base), Some(4));
    }

    /// The centre front may lean to the grain by up to 45°, and the first edge of the extension has to lead across the grain by
    /// at least 0.35 of its length.
    #[test]
    fn a_centre_front_runs_along_the_grain() {
        let line = outline(&back_to(130.0));
        let turned = |degrees: f64| found(&line, Vec2::from_angle((90.0 + degrees).to_radians())).is_some();
        assert_eq!([turned(-44.9), turned(-45.1)], [true, false]);
        // The edge leaves at 35° to the centre front, and the grain leans towards it: sin 20.49° = 0.35.
        let d = Vec2::from_angle(55f64.to_radians()) * 40.0;
        let line = outline(&[(248.0 + d.x, 931.0 + d.y), (285.0, 1061.0), (130.0, 1061.0)]);
        let leans = |degrees: f64| found(&line, Vec2::from_angle((90.0 - degrees).to_radians())).is_some();
        assert_eq!([leans(14.0), leans(15.0)], [true, false]);
    }

    /// The tangent at the end of a circle's chords is that of the circle, however coarse they are; a segment twice as long as the
    /// next one is taken for the centre front itself.
    #[test]
    fn a_curve_without_a_straight_part_ends_in_its_tangent() {
        let meets = |chord: f64, next: f64| {
            // An arc of a circle in chords that lead to the foot, the last of them `chord` long.
            let (radius, foot) = (140.0f64, Point::new(248.0, 931.0));
            let step = |chord: f64| 2.0 * (chord / (2.0 * radius)).asin();
            let centre = foot + Vec2::new(radius, 0.0);
            let turned =
                (0..=9).map(|i| if i == 0 { 0.0 } else { step(chord) + step(next) * f64::from(i - 1) });
            let turned: Vec<f64> = turned.collect();
            let curve = turned.iter().rev().map(|turned| centre - Vec2::from_angle(*turned) * radius);
            let step = step(chord);
            let rest = [(288.0, 943.0), (288.0, 1031.0), (130.0, 1031.0)].map(Point::from);
            let points: Vec<Point> = curve.chain(rest).chain(REST.map(Into::into)).collect();
            let c = found(&points, UP)?;
            let share = c.fly?.share;
            // How far to the side of the foot the line meets the waist, 100 mm above.
            Some((288.0 - 248.0 - (1.0 - share) * 158.0, step))
        };
        for (chord, next) in [(14.9, 7.0), (15.1, 15.1), (24.0, 24.0), (24.0, 12.1)] {
            let aside = meets(chord, next).map_or(f64::NAN, |m| m.0);
            // Of unequal chords the tangent is told to second order.
            let most = if (chord - next).abs() < 1e-9 { 1e-9 } else { 0.01 };
            assert!(aside.abs() < most, "{chord} and {next}: {aside}");
        }
        // The chord lies at half its central angle to the tangent (tangent-chord theorem).
        let (far, step) = meets(15.1, 7.5).unwrap_or_default();
        assert!((far.abs() - 100.0 * (step / 2.0).tan()).abs() < 1e-9, "{far}");
    }

    /// Straight for 100 mm and then bent; a circle, which bends as much at the joint as after it; and too few points to tell.
    #[test]
    fn a_run_begins_straight_where_it_bends_less_at_the_joint_than_in_the_curve() {
        let straight =
            [(0.0, 0.0), (0.0, -50.0), (0.0, -100.0), (10.0, -140.0), (40.0, -170.0)].map(Point::from);
        let circle: Vec<Point> =
            (0..5).map(|k| Point::ZERO + kurbo::Vec2::from_angle(f64::from(k) * 0.2) * 80.0).collect();
        for (run, expected) in
            [(&straight[..], true), (&straight[..4], true), (&straight[..3], false), (&circle[..], false)]
        {
            assert_eq!(begins_straight(run), expected, "{run:?}");
        }
    }
}
