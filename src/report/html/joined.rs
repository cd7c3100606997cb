//! Draws the crotch curve of front and back as one line, as it is sewn: the pieces are laid together at the fork, with one
//! inseam on top of the other.

use super::drawing::{Label, View, cross};
use super::say::{coordinate, length, path};
use crate::geometry::line;
use crate::report::figure::{LegLines, SizeFigure};
use crate::seam::{Measures, SeamRole};
use crate::units::{Mm, Shown};
use kurbo::{Affine, Point, Rect, Vec2};

/// How much of the inseams is drawn, in mm.
const INSEAM: f64 = 60.0;

/// The joined curve, before or after the alteration.
pub(super) struct Curve {
    pub length: String,
    pub d: String,
    pub inseams: String,
    /// The strokes across both ends.
    pub ends: String,
}

/// The picture of the joined curve, before and after.
pub(super) struct Joined {
    pub view: View,
    pub before: Curve,
    pub after: Option<Curve>,
    pub labels: Vec<Label>,
}

/// Draws front and back laid together.
pub(super) fn joined(
    figure: &SizeFigure,
    before: &Measures,
    after: Option<&Measures>,
    show: Shown,
) -> Joined {
    let old = Laid::new(&figure.legs.front.before, &figure.legs.back.before);
    let new = match (&figure.legs.front.after, &figure.legs.back.after) {
        (Some(front), Some(back)) => Some(Laid::new(front, back)),
        _ => None,
    };
    let all = old.points().chain(new.iter().flat_map(Laid::points));
    let around = all.map(|p| Rect::from_points(p, p)).reduce(|a, b| a.union(b)).unwrap_or_default();
    let view = View::new(around.inflate(20.0, 34.0), 520.0, show);
    let now = after.unwrap_or(before);
    let u = view.unit;
    let shown = new.as_ref().unwrap_or(&old);
    let changed = |was: String, is: String, sign: &str| {
        if new.is_some() { format!("{was} → {is}{sign}") } else { format!("{is}{sign}") }
    };
    let rise =
        |was: Mm, is: Mm| changed(length(show, was), length(show, is), &format!(" {}", show.unit().sign()));
    let degrees = |angle: f64| format!("{angle:.1}");
    // The text is placed within the curve, lower than both its old and its new end.
    let end = |a: Point, b: Point, anchor, side: f64, down: f64, text| {
        let x = if side > 0.0 { a.x.max(b.x) } else { a.x.min(b.x) };
        Label::new(Point::new(x + side * u, a.y.max(b.y) + (34.0 + down) * u), anchor, text)
    };
    let front = rise(before.front.rise, now.front.rise);
    let back = rise(before.back.rise, now.back.rise);
    let angles = changed(degrees(before.fork_angle), degrees(now.fork_angle), "°");
    let last = |laid: &Laid| laid.curve[laid.curve.len() - 1];
    let front = end(shown.curve[0], old.curve[0], "start", 14.0, 0.0, format!("front rise {front}"));
    // Where the two ends are at about the same level, one text is placed below the other.
    let level = (last(shown).y - shown.curve[0].y).abs() < 24.0 * u;
    let down = if level { 48.0 } else { 0.0 };
    Joined {
        labels: vec![
            front,
            end(last(shown), last(&old), "end", -26.0, down, format!("back rise {back}")),
            Label::new(Point::new(10.0 * u, 46.0 * u), "start", format!("angles {angles}")),
        ],
        before: old.curve_of(),
        after: new.as_ref().map(Laid::curve_of),
        view,
    }
}

/// Front and back laid together; the fork is the origin.
struct Laid {
    /// The curve from the front waist over the fork to the back waist.
    curve: Vec<Point>,
    inseams: [Vec<Point>; 2],
}

impl Laid {
    fn new(front: &LegLines, back: &LegLines) -> Self {
        let [front, back] = [front, back].map(|lines| (upright(lines), lines));
        let lay = |(turn, lines): (Affine, &LegLines), role| -> Vec<Point> {
            lines.seam(role).iter().map(|&p| turn * p).collect()
        };
        let mut curve = lay(front, SeamRole::Crotch);
        let mut up = lay(back, SeamRole::Crotch);
        // The back's fork is the same point as the front's.
        up.pop();
        curve.extend(up.into_iter().rev());
        let inseam = |leg| {
            let line = lay(leg, SeamRole::Inseam);
            let shown = line.iter().take_while(|p| p.to_vec2().hypot() <= INSEAM).count();
            line.into_iter().take(shown.max(2)).collect()
        };
        Laid { curve, inseams: [inseam(front), inseam(back)] }
    }

    fn points(&self) -> impl Iterator<Item = Point> + '_ {
        self.curve.iter().chain(self.inseams.iter().flatten()).copied()
    }

    fn curve_of(&self) -> Curve {
        let n = self.curve.len();
        let half = 6.0;
        Curve {
            ends: cross(self.curve[0], self.curve[1], half)
                + &cross(self.curve[n - 1], self.curve[n - 2], half),
            length: coordinate(line::length(&self.curve)),
            d: path(self.curve.iter().copied()),
            inseams: self.inseams.iter().map(|line| path(line.iter().copied())).collect(),
        }
    }
}

/// The transform that turns a leg so that its fork is the origin and its inseam leaves it straight down.
fn upright(lines: &LegLines) -> Affine {
    let down = Vec2::new(0.0, 1.0);
    let turn = down.atan2() - lines.inseam.atan2();
    Affine::rotate(turn) * Affine::translate(-lines.fork.to_vec2())
}
