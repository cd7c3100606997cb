//! Determines what is inside a closed line: everything around which the line runs at least once.

use kurbo::Point;

/// The inside of a closed line along one horizontal line: the places where the closed line crosses it, by ascending X, each with
/// the winding number to the right of it.
#[derive(Clone, Debug)]
pub struct Within(Vec<(f64, i32)>);

impl Within {
    /// The inside along the horizontal line at height `y`.
    #[must_use]
    pub fn at(outline: &[Point], y: f64) -> Self {
        let ends = outline.iter().zip(outline.iter().cycle().skip(1));
        let crossing = |(a, b): (&Point, &Point)| {
            let up = a.y <= y && y < b.y;
            let down = b.y <= y && y < a.y;
            (up || down).then(|| (a.x + (y - a.y) / (b.y - a.y) * (b.x - a.x), if up { 1 } else { -1 }))
        };
        let mut crossings: Vec<(f64, i32)> = ends.filter_map(crossing).collect();
        crossings.sort_by(|a, b| a.0.total_cmp(&b.0));
        let mut round = 0;
        for (_, turn) in &mut crossings {
            round += *turn;
            *turn = round;
        }
        Within(crossings)
    }

    /// Whether the point at this X is inside.
    #[must_use]
    pub fn has(&self, x: f64) -> bool {
        let left = self.0.partition_point(|&(at, _)| at <= x);
        left.checked_sub(1).is_some_and(|i| self.0[i].1 != 0)
    }
}

/// Whether a point is inside a closed line.
#[must_use]
pub fn contains(outline: &[Point], p: Point) -> bool {
    Within::at(outline, p.y).has(p.x)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A five-pointed star drawn in one line, which runs twice around the middle.
    fn star() -> Vec<Point> {
        (0..5).map(|i| Point::ZERO + kurbo::Vec2::from_angle(f64::from(i * 2) * 1.256_637) * 100.0).collect()
    }

    #[test]
    fn inside_is_what_kurbo_says_is_inside() {
        use kurbo::{PathEl, Shape};
        let star = star();
        let [first, rest @ ..] = star.as_slice() else { panic!("a star") };
        let lines = rest.iter().map(|&p| PathEl::LineTo(p));
        let shape: kurbo::BezPath =
            std::iter::once(PathEl::MoveTo(*first)).chain(lines).chain([PathEl::ClosePath]).collect();
        let mut inside = 0;
        for y in -11..11 {
            let within = Within::at(&star, f64::from(y) * 10.3);
            for x in -11..11 {
                let p = Point::new(f64::from(x) * 10.7, f64::from(y) * 10.3);
                assert_eq!(within.has(p.x), shape.contains(p), "{p:?}");
                inside += i32::from(shape.contains(p));
            }
        }
        assert!(inside > 50, "{inside}");
    }

    /// A pocket with a notch cut into its upper edge; its slanted sides have slopes of 3 to 4.
    #[test]
    fn a_point_lies_within_a_hollow_outline_or_without() {
        let outline =
            [(20.0, 10.0), (70.0, 10.0), (100.0, 50.0), (60.0, 30.0), (50.0, 50.0)].map(Point::from);
        for ((x, y), within) in [
            ((40.0, 20.0), true),
            ((71.0, 20.0), true),
            // The right side is at x = 77.5 where y = 20, the left one at 27.5.
            ((77.0, 20.0), true),
            ((78.0, 20.0), false),
            ((28.0, 20.0), true),
            ((27.0, 20.0), false),
            // In the notch between the two peaks, and in the peaks.
            ((60.0, 40.0), false),
            ((47.0, 40.0), true),
            ((86.0, 40.0), true),
            ((93.0, 40.0), false),
            ((42.0, 40.0), false),
            ((60.0, 9.0), false),
            ((60.0, 51.0), false),
            ((-60.0, 20.0), false),
            ((160.0, 20.0), false),
            // At the height of a corner.
            ((50.0, 30.0), true),
            ((-5.0, 30.0), false),
            ((10.0, 10.0), false),
        ] {
            assert_eq!(contains(&outline, Point::new(x, y)), within, "{x} {y}");
        }
    }
}
