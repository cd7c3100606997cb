//! What is inside of a closed line.

use kurbo::Point;

/// What is inside of a closed line along one height: the places where it crosses, by rising X, and how often the line has gone
/// round what is to the right of each.
pub(super) struct Within(Vec<(f64, i32)>);

impl Within {
    /// Along the height `y`.
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

    /// Whether what stands here is inside.
    pub fn has(&self, x: f64) -> bool {
        let left = self.0.partition_point(|&(at, _)| at <= x);
        left.checked_sub(1).is_some_and(|i| self.0[i].1 != 0)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A star of five points drawn in one go, which its line goes round twice in the middle.
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
}
