//! Draws front and back of a size as the shapes of a page.

use super::say::{coordinate, path, signed};
use crate::alter::Moves;
use crate::report::figure::{LegFigure, LegLines, SizeFigure};
use crate::seam::SeamRole;
use crate::trousers::Pair;
use crate::units::{Mm, Shown, Unit};
use kurbo::{Point, Rect, Vec2};

/// The gap between the outlines of front and back, in mm.
pub(super) const GAP: f64 = 45.0;
/// How much further apart, in mm, the pieces stand in the view of the forks, to make room for the slides.
const APART: f64 = 120.0;
/// The margin around a view, in mm.
const MARGIN: f64 = 22.0;
/// How far below the fork the view of the fork reaches, in mm.
const BELOW: f64 = 105.0;
/// Two points nearer to each other than this, in mm, are drawn as one.
const SAME: f64 = 0.005;
/// The nominal width, in pixels, of the picture of both legs.
const WIDE: f64 = 520.0;
/// The distance from one line of lettering to the next, in units of lettering.
const LINE: f64 = 18.0;

/// The part of the drawing that a picture shows.
pub(super) struct View {
    /// The picture's frame.
    pub frame: Rect,
    /// The size of a unit of line width and lettering, in mm.
    pub unit: f64,
    /// How its lengths are shown.
    pub show: Shown,
    /// Where the scale bar begins.
    bar: f64,
}

impl View {
    /// A view for a picture that is nominally `wide` pixels wide.
    pub fn new(frame: Rect, wide: f64, show: Shown) -> Self {
        let unit = frame.width() / wide;
        View { frame, unit, show, bar: frame.x0 + 8.0 * unit }
    }

    pub fn view_box(&self) -> String {
        let f = self.frame;
        [f.x0, f.y0, f.width(), f.height()].map(coordinate).join(" ")
    }

    pub fn unit(&self) -> String {
        format!("{:.3}", self.unit)
    }

    /// A bar of a round length at the foot of the picture, as its scale.
    pub fn bar(&self) -> Bar {
        let sign = self.show.unit();
        let round = match sign {
            Unit::Mm => 100.0,
            Unit::Cm => 10.0,
            Unit::In => 4.0,
        };
        let round = if self.frame.width() > 500.0 { round } else { round / 2.0 };
        let length = sign.mm(round).0;
        let (x, y) = (self.bar, self.frame.y1 - 10.0 * self.unit);
        let tick = 4.0 * self.unit;
        let d = [
            path([Point::new(x, y - tick), Point::new(x, y + tick)]),
            path([Point::new(x, y), Point::new(x + length, y)]),
            path([Point::new(x + length, y - tick), Point::new(x + length, y + tick)]),
        ];
        Bar {
            d: d.concat(),
            label: Label::new(
                Point::new(x, y - 2.0 * tick),
                "start",
                format!("{} {}", coordinate(round), sign.sign()),
            ),
        }
    }
}

/// A scale bar.
pub(super) struct Bar {
    pub d: String,
    pub label: Label,
}

/// A text at a place.
pub(super) struct Label {
    pub x: String,
    pub y: String,
    pub anchor: &'static str,
    pub text: String,
}

impl Label {
    pub fn new(at: Point, anchor: &'static str, text: String) -> Self {
        Label { x: coordinate(at.x), y: coordinate(at.y), anchor, text }
    }
}

/// One seam of the sew line, with its length.
pub(super) struct Seam {
    pub part: &'static str,
    pub role: &'static str,
    pub length: String,
    pub d: String,
}

/// The shapes of one leg; all but its name and its arrows are in the figure's own frame.
pub(super) struct Leg {
    pub id: String,
    pub shift: String,
    /// How much further along x the leg stands in the view of the forks.
    pub apart: String,
    /// The texts below its hem: its name, and how its fork and centre waist moved.
    pub labels: Vec<Label>,
    /// Crotch seam and inseam of the other part, if front and back are drawn in one piece.
    pub other_part: String,
    pub still: Vec<Seam>,
    pub old: Vec<Seam>,
    pub new: Vec<Seam>,
    pub cut: String,
    pub cut_old: String,
    pub redrawn: String,
    pub ends: String,
    pub notches: String,
    pub notches_old: String,
    pub inside: String,
    pub marks: Vec<(String, String)>,
    pub grain: String,
}

/// An arrow from an old point to its new place.
pub(super) struct Arrow {
    pub d: String,
    /// Fine lines from the old and the new fork to the arrow that is drawn between their levels.
    pub levels: String,
    /// The lengths of the moves, where they are written at the arrow.
    pub labels: Vec<Label>,
}

/// The pictures of one size.
pub(super) struct Drawing {
    pub legs: [Leg; 2],
    pub whole: View,
    pub fork: View,
    pub arrows_whole: Vec<Arrow>,
    pub arrows_fork: Vec<Arrow>,
}

/// Where the legs of a figure stand: their shifts along x, and the box around both.
pub(super) fn placed(figure: &SizeFigure) -> ([f64; 2], Rect) {
    let Pair { front, back } = figure.legs.as_ref().map(bounds);
    let shifts = [-GAP / 2.0 - front.x1, GAP / 2.0 - back.x0];
    let shifted = |r: Rect, x: f64| r + Vec2::new(x, 0.0);
    (shifts, shifted(front, shifts[0]).union(shifted(back, shifts[1])))
}

/// The box around a leg's outlines.
pub(super) fn bounds(leg: &LegFigure) -> Rect {
    leg.before
        .points()
        .chain(leg.after.iter().flat_map(LegLines::points))
        .map(|p| Rect::from_points(p, p))
        .reduce(|a, b| a.union(b))
        .unwrap_or_default()
}

/// The pictures of a figure. `size` is the size of the whole view; it is the same for all figures, so that all are drawn to
/// one scale.
pub(super) fn drawing(
    id: &str,
    figure: &SizeFigure,
    moves: Option<&Pair<Moves>>,
    size: Vec2,
    show: Shown,
) -> Drawing {
    let (shifts, around) = placed(figure);
    let mut frame = Rect::from_center_size(around.center(), (size.x, size.y)).inflate(MARGIN, MARGIN);
    let told = moves.map(|m| m.both().map(|m| moved(m, show, "slide ")));
    // Below the hems, clear of all lines, there is room for the names and moves, and below these for the scale bar.
    let lines = 1 + told.iter().flatten().map(Vec::len).max().unwrap_or(0);
    frame.y1 += (lines as f64 + 0.6) * LINE * frame.width() / WIDE;
    let whole = View::new(frame, WIDE, show);
    let legs = [(&figure.legs.front, 'f', shifts[0]), (&figure.legs.back, 'b', shifts[1])];
    let apart = [shifts[0] - APART / 2.0, shifts[1] + APART / 2.0];
    // The scale bar has room between the inseams.
    let fork_frame = fork_frame(&[(&figure.legs.front, apart[0]), (&figure.legs.back, apart[1])]);
    let fork = View { bar: -25.0, ..View::new(fork_frame, 560.0, show) };
    let arrows = |[front, back]: [f64; 2], unit: f64, close: bool| {
        let sides = [(&figure.legs.front, front, -1.0), (&figure.legs.back, back, 1.0)];
        let moves = moves.map(|m| m.both());
        let of = |(leg, x, inside), m: &Moves| arrow(leg, x, inside, *m, (unit, show), close);
        moves
            .iter()
            .flat_map(|m| sides.into_iter().zip(m).filter_map(|(side, m)| of(side, m)).collect::<Vec<_>>())
            .collect::<Vec<_>>()
    };
    Drawing {
        arrows_whole: arrows(shifts, whole.unit, false),
        arrows_fork: arrows(apart, fork.unit, true),
        legs: legs.map(|(l, letter, x)| {
            let moves = told.as_ref().map(|[front, back]| if letter == 'f' { front } else { back });
            let labels = below(l, x, &around, moves.into_iter().flatten(), whole.unit);
            leg(&format!("{id}{letter}"), l, x, labels)
        }),
        whole,
        fork,
    }
}

/// The texts below a leg's hem: its name and how it moved.
fn below<'m>(
    leg: &LegFigure,
    x: f64,
    around: &Rect,
    moves: impl Iterator<Item = &'m String>,
    unit: f64,
) -> Vec<Label> {
    let hem = leg.after.as_ref().unwrap_or(&leg.before).seam(SeamRole::Hem);
    let middle = hem.iter().map(|p| p.x).sum::<f64>() / hem.len().max(1) as f64 + x;
    let lines = std::iter::once(super::say::printable(&leg.piece)).chain(moves.cloned());
    let at = |i: u8| Point::new(middle, around.y1 + LINE * unit * (f64::from(i) + 1.2));
    (0..).zip(lines).map(|(i, text)| Label::new(at(i), "middle", text)).collect()
}

/// How a leg's fork and centre waist moved, one line for each move; the first line begins with the text `slide`.
fn moved(moves: Moves, show: Shown, slide: &str) -> Vec<String> {
    let sign = show.unit().sign();
    let mut lines = vec![format!("{slide}{} {sign}", signed(show, moves.along))];
    let others = [("across", moves.across), ("waist", moves.waist)];
    let some = others.iter().filter(|(_, by)| *by != Mm(0.0));
    lines.extend(some.map(|&(what, by)| format!("{what} {} {sign}", signed(show, by))));
    lines
}

/// The frame around both forks: it shows the crotch curves and the inseams just below the forks.
fn fork_frame(legs: &[(&LegFigure, f64)]) -> Rect {
    let near = |lines: &LegLines| {
        let crotch = lines.seam(SeamRole::Crotch).iter().filter(|p| p.y >= lines.curve_begin.y - 15.0);
        let inseam = lines.seam(SeamRole::Inseam).iter().filter(|p| p.y <= lines.fork.y + BELOW);
        crotch.chain(inseam).copied().collect::<Vec<_>>()
    };
    legs.iter()
        .flat_map(|(leg, x)| {
            let lines = std::iter::once(&leg.before).chain(&leg.after);
            lines.flat_map(near).map(move |p| p + Vec2::new(*x, 0.0))
        })
        .map(|p| Rect::from_points(p, p))
        .reduce(|a, b| a.union(b))
        .unwrap_or_default()
        .inflate(MARGIN, MARGIN)
}

fn seam(part: &'static str, lines: &LegLines, role: SeamRole) -> Seam {
    Seam {
        part,
        role: role.as_str(),
        length: coordinate(lines.length(role).0),
        d: path(lines.seam(role).iter().copied()),
    }
}

fn leg(id: &str, figure: &LegFigure, x: f64, labels: Vec<Label>) -> Leg {
    let part = if id.ends_with('f') { "front" } else { "back" };
    let before = &figure.before;
    let now = figure.after.as_ref().unwrap_or(before);
    let (mut still, mut old, mut new) = (Vec::new(), Vec::new(), Vec::new());
    for &(role, ref line) in &before.seams {
        if same(line, now.seam(role)) {
            still.push(seam(part, before, role));
        } else {
            old.push(seam(part, before, role));
            new.push(seam(part, now, role));
        }
    }
    let closed = |cut: &[Point]| path(cut.iter().copied()) + "Z";
    let moved: Vec<bool> =
        before.notches.iter().zip(&now.notches).map(|(a, b)| (a[0] - b[0]).hypot() > SAME).collect();
    let strokes = |notches: &[[Point; 2]], only: &dyn Fn(usize) -> bool| {
        let some = notches.iter().enumerate().filter(|(i, _)| only(*i));
        some.map(|(_, ends)| path(*ends)).collect::<String>()
    };
    let cut_old = before.cut.as_deref().filter(|c| now.cut.as_deref().is_some_and(|n| !same(c, n)));
    Leg {
        id: id.to_owned(),
        shift: coordinate(x),
        apart: coordinate(if part == "front" { -APART / 2.0 } else { APART / 2.0 }),
        labels,
        other_part: path(now.other_part.iter().copied()),
        still,
        old,
        new,
        cut: now.cut.as_deref().map(closed).unwrap_or_default(),
        cut_old: cut_old.map(closed).unwrap_or_default(),
        redrawn: figure.redrawn.iter().map(|line| path(line.iter().copied())).collect(),
        ends: figure.redrawn.iter().flat_map(|line| ends(line)).collect(),
        notches: strokes(&now.notches, &|_| true),
        notches_old: strokes(&before.notches, &|i| moved.get(i).copied().unwrap_or(false)),
        inside: figure.inside.iter().map(|line| path(line.iter().copied())).collect(),
        marks: figure.marks.iter().map(|p| (coordinate(p.x), coordinate(p.y))).collect(),
        grain: figure
            .grain
            .map(|[hem, waist]| path([hem, waist]) + &head(hem, waist, 24.0))
            .unwrap_or_default(),
    }
}

fn same(a: &[Point], b: &[Point]) -> bool {
    a.len() == b.len() && a.iter().zip(b).all(|(a, b)| (*a - *b).hypot() <= SAME)
}

/// The cross strokes at both ends of a redrawn stretch.
fn ends(line: &[Point]) -> Vec<String> {
    /// Half the length of a cross stroke, in mm.
    const HALF: f64 = 9.0;
    match line {
        [a, b, .., y, z] => vec![cross(*a, *b, HALF), cross(*z, *y, HALF)],
        _ => Vec::new(),
    }
}

/// A stroke across the line at the point `at`, reaching `half` to either side.
pub(super) fn cross(at: Point, next: Point, half: f64) -> String {
    let d = next - at;
    let square = if d.hypot() > 0.0 { Vec2::new(-d.y, d.x) / d.hypot() * half } else { Vec2::ZERO };
    path([at - square, at + square])
}

/// An open arrow head with its tip at `to`.
pub(super) fn head(from: Point, to: Point, length: f64) -> String {
    let d = to - from;
    if d.hypot() == 0.0 {
        return String::new();
    }
    let back = d.normalize() * -length;
    let side = Vec2::new(-back.y, back.x) * 0.4;
    path([to + back + side, to, to + back - side])
}

/// The arrows of a leg: that of the fork, and that of the centre waist if it moved. `inside` is the direction along x from
/// the fork into the leg. In the close view the slide is shown beside the fork, between the levels of the old and the new
/// fork.
fn arrow(
    leg: &LegFigure,
    x: f64,
    inside: f64,
    moves: Moves,
    (unit, show): (f64, Shown),
    close: bool,
) -> Option<Arrow> {
    /// The distance from the fork to the arrow beside it, in mm, which is beyond the cut line.
    const BESIDE: f64 = 26.0;
    let after = leg.after.as_ref()?;
    let shift = Vec2::new(x, 0.0);
    let waist = |lines: &LegLines| lines.seam(SeamRole::Crotch).first().copied().unwrap_or_default() + shift;
    let (from, to) = (leg.before.fork + shift, after.fork + shift);
    let furthest = if inside < 0.0 { from.x.max(to.x) } else { from.x.min(to.x) };
    let beside = furthest - inside * BESIDE;
    let levels = |p: Point| path([p - Vec2::new(inside * 2.0, 0.0), Point::new(beside - inside * 5.0, p.y)]);
    let mut d = stroke(waist(&leg.before), waist(after), unit);
    if close {
        d += &stroke(Point::new(beside, from.y), Point::new(beside, to.y), unit);
    }
    if !close || moves.across != Mm(0.0) {
        d += &stroke(from, to, unit);
    }
    let labels = if close {
        // The texts stand beside the fork, beyond the cut line.
        let cut = after.cut.iter().flatten().filter(|p| (p.y - after.fork.y).abs() < 60.0);
        let past = cut.map(|p| -inside * (p.x + x - furthest)).fold(12.0, f64::max).min(50.0) + 6.0;
        let at = |i: u8| {
            let down = 24.0 + 17.0 * f64::from(i);
            Point::new(furthest - inside * past, to.y.max(from.y) + down * unit)
        };
        // Beside its own arrow the slide needs no word.
        let texts = moved(moves, show, "");
        let anchor = if inside < 0.0 { "start" } else { "end" };
        (0..).zip(texts).map(|(i, text)| Label::new(at(i), anchor, text)).collect()
    } else {
        Vec::new()
    };
    Some(Arrow { d, levels: if close { levels(from) + &levels(to) } else { String::new() }, labels })
}

/// An arrow from `a` to `b`; empty where the two are the same.
fn stroke(a: Point, b: Point, unit: f64) -> String {
    let length = (b - a).hypot();
    if length <= SAME { String::new() } else { path([a, b]) + &head(a, b, (7.0 * unit).min(0.6 * length)) }
}
