//! # What it finds
//! A size whose grain line lies at another angle than in the other sizes of the piece, or points in the opposite direction.
//! # Why it matters on the cutting table
//! The piece is laid by its arrow: the leg of that size twists, or its nap runs the wrong way.
//! # How it is measured
//! First the direction of the grain line in the drawing is compared with that of most sizes. A size that was laid in another
//! direction as a whole, grain line and outline together, is not a fault ([`crate::check::turned`]). Then the direction of
//! the grain line relative to the outline is compared from size to size, which finds an outline that was turned without its
//! grain line. An arrow with heads at both ends has no direction; a line without heads has the direction in which it is
//! drawn. Where many sizes differ only in that, the lines were drawn without a direction in mind, which is a warning. In a
//! leg whose grain lies across it no seams are found: see `seam`.
//! # Tolerance
//! `grain_turn`, 1°, or the angle by which a short line turns when one of its ends is off by a millimetre; 6° relative to the
//! outline.
//! # Where the tolerance comes from
//! Derived: over a leg of 1 m, 1° is 17 mm, a little more than the 1/2 in that is accepted (from memory). How two sizes of a
//! compact piece lie on each other best can be told only to one of 64 steps around its outline.

use super::{Look, Rule};
use crate::check::sheet::{Nest, Sheet, boundary};
use crate::check::steps;
use crate::check::turned::{Stepped, Turn};
use crate::finding::{Finding, FindingId};
use crate::pattern::{LayerUse, Piece, SizeName};
use crate::words::listed;
use kurbo::{Point, Vec2};
use rayon::prelude::*;

/// The check.
pub const RULE: Rule = Rule {
    name: "grain-askew",
    right: "Grain lines lie alike in every size of a piece.",
    lengths: false,
    of_legs: false,
    look: Look::Drawing(find),
};

/// How exactly, in degrees, the turn of an outline can be told where the piece is graded more on one side than on the other.
const FROM_OUTLINE: f64 = 2.0;

/// By how many degrees a size has to differ from the others where only its outline shows it: one step around the outline.
const ONE_STEP: f64 = 6.0;

/// How near to an end of the grain line, as a share of the line's length, an arrow head stands.
const HEAD: f64 = 0.3;

/// How exactly the ends of a grain line are set, in mm (common practice, no source: by eye).
const LAID: f64 = 1.0;

/// A piece with its grain line.
struct Laid<'p> {
    piece: &'p Piece,
    /// The angle of the line in degrees, in the direction of its arrow, or else as it is drawn.
    angle: f64,
    /// Whether the first and the last end have an arrow head.
    heads: [bool; 2],
    /// By how many degrees the line turns where one of its ends is [`LAID`] off.
    by_eye: f64,
    /// The first point of the line.
    at: Point,
    outline: Option<Stepped>,
}

fn find(sheet: &Sheet<'_>) -> Vec<Finding> {
    sheet.nests.par_iter().flat_map_iter(|nest| of_nest(sheet, nest)).collect()
}

fn of_nest(sheet: &Sheet<'_>, nest: &Nest<'_>) -> Vec<Finding> {
    let mut findings = Vec::new();
    for run in nest.runs() {
        let (places, all): (Vec<f64>, Vec<Laid<'_>>) =
            run.into_iter().filter_map(|(at, piece)| Some((at, Laid::new(piece)?))).unzip();
        if all.len() < 2 {
            continue;
        }
        let mut off = vec![false; all.len()];
        in_drawing(sheet, &all, &mut off, &mut findings);
        if !off.contains(&true) {
            on_outline(sheet, &places, &all, &mut findings);
        }
    }
    findings
}

/// Finds the sizes whose grain line lies at another angle in the drawing than in most sizes.
fn in_drawing(sheet: &Sheet<'_>, all: &[Laid<'_>], off: &mut [bool], findings: &mut Vec<Finding>) {
    let most = sheet.tolerance.grain_turn.0;
    let Some(usual) = most_alike(all, |a, b| axis(a.angle - b.angle).abs() <= most) else { return };
    let askew = |one: &Laid<'_>| axis(one.angle - all[usual].angle).abs() > most.max(one.by_eye);
    for (i, one) in all.iter().enumerate().filter(|(_, one)| askew(one)) {
        let like = nearest(all, i, |o| !askew(o)).unwrap_or(usual);
        if turned(&all[like], one, most, axis) {
            continue;
        }
        off[i] = true;
        let message = format!(
            "the grain line lies {:.1}° askew of that in size {}; turn it as it is there, or turn the piece with it",
            axis(one.angle - all[like].angle).abs(),
            size(all[like].piece)
        );
        findings.push(one.located(sheet, Finding::error(FindingId::GrainAskew, message)));
    }
    let pointing: Vec<usize> = (0..all.len()).filter(|&i| all[i].one_way() && !askew(&all[i])).collect();
    reversed(sheet, all, &pointing, off, findings);
}

/// Finds the sizes whose grain line points in the opposite direction to that of most; `pointing` are the sizes with a
/// direction.
fn reversed(
    sheet: &Sheet<'_>,
    all: &[Laid<'_>],
    pointing: &[usize],
    off: &mut [bool],
    findings: &mut Vec<Finding>,
) {
    let alike = |i: usize, j: usize| around(all[i].angle - all[j].angle).abs() < 90.0;
    let count = |i: usize| pointing.iter().filter(|&&j| alike(i, j)).count();
    let Some(usual) = pointing.iter().copied().rev().max_by_key(|&i| count(i)) else { return };
    let still = sheet.tolerance.grain_turn.0;
    let mut odd: Vec<(usize, &Laid<'_>)> = Vec::new();
    for &i in pointing.iter().filter(|&&i| !alike(i, usual)) {
        let like = pointing.iter().copied().filter(|&j| alike(j, usual)).min_by_key(|&j| j.abs_diff(i));
        let like = &all[like.unwrap_or(usual)];
        if !turned(like, &all[i], still, around) {
            odd.push((i, like));
        }
    }
    for (i, _) in &odd {
        off[*i] = true;
    }
    // Some programs draw lines that mean no direction sometimes from one end and sometimes from the other.
    let plain = odd.iter().all(|(i, _)| all[*i].heads == [false; 2]);
    if plain && odd.len() > (pointing.len() / 4).max(1) {
        let named = |o: &(usize, _)| all[o.0].piece.size.as_ref().map_or("", SizeName::as_str);
        let sizes = listed(odd.iter().map(named));
        let message = format!(
            "the grain line, which has no arrow head, is drawn the other way in {sizes} than in size {}; where the cloth has a \
             nap, draw all sizes one way",
            size(all[usual].piece)
        );
        findings.push(all[odd[0].0].located(sheet, Finding::warning(FindingId::GrainReversed, message)));
        return;
    }
    for (i, like) in odd {
        let message = format!(
            "the grain line runs the other way than in size {}: laid by it the piece comes to lie upside down; \
             turn the line end for end",
            size(like.piece)
        );
        findings.push(all[i].located(sheet, Finding::error(FindingId::GrainReversed, message)));
    }
}

/// The size that most others are like, provided at least half of them are.
fn most_alike(all: &[Laid<'_>], alike: impl Fn(&Laid<'_>, &Laid<'_>) -> bool) -> Option<usize> {
    // If half of the sizes are like one another, one of them is among the first few; otherwise the sizes lie in all
    // directions.
    const TRIED: usize = 16;
    let count = |i: usize| all.iter().filter(|o| alike(&all[i], o)).count();
    let (i, count) = (0..all.len().min(TRIED)).map(|i| (i, count(i))).rev().max_by_key(|c| c.1)?;
    (2 * count >= all.len()).then_some(i)
}

/// The wanted size that is nearest to number `i` in the order of the sizes.
fn nearest(all: &[Laid<'_>], i: usize, wanted: impl Fn(&Laid<'_>) -> bool) -> Option<usize> {
    (0..all.len()).filter(|&j| j != i && wanted(&all[j])).min_by_key(|&j| j.abs_diff(i))
}

/// Whether the one piece lies like the other, but turned or mirrored as a whole.
fn turned(like: &Laid<'_>, one: &Laid<'_>, still: f64, wrapped: fn(f64) -> f64) -> bool {
    let (Some(from), Some(to)) = (&like.outline, &one.outline) else { return false };
    // A band lies on itself in two directions; then the order of its points decides.
    let turns = from.as_drawn(to).map_or_else(|| from.onto(to), |turn| vec![turn]);
    // Where the piece fits without a turn as well, it was not turned.
    let not = |t: &Turn| !t.mirrored && around(t.degrees).abs() <= FROM_OUTLINE.max(still);
    !turns.iter().any(not)
        && turns.iter().any(|t| wrapped(one.angle - t.of(like.angle)).abs() <= FROM_OUTLINE)
}

/// Finds the sizes whose grain line lies at another angle relative to the outline than in the neighbouring sizes.
fn on_outline(sheet: &Sheet<'_>, places: &[f64], all: &[Laid<'_>], findings: &mut Vec<Finding>) {
    let mut angle = 0.0;
    let mut angles = vec![0.0];
    for pair in all.windows(2) {
        let (Some(from), Some(to)) = (&pair[0].outline, &pair[1].outline) else { return };
        let by = |t: Turn| axis(pair[1].angle - t.of(pair[0].angle));
        let step = from.onto(to).into_iter().map(by).min_by(|a, b| a.abs().total_cmp(&b.abs()));
        let Some(step) = step else { return };
        angle += step;
        angles.push(angle);
    }
    let least = ONE_STEP.max(sheet.tolerance.grain_turn.0);
    for off in steps::out_of_line(places, &angles, least, sheet.tolerance.grade_share.factor()) {
        let message = format!(
            "the outline lies {:.1}° askew of its grain line, compared with the sizes beside it; turn the piece or its grain \
             line as it is there",
            off.by.abs()
        );
        findings.push(all[off.index].located(sheet, Finding::error(FindingId::GrainAskew, message)));
    }
}

fn size(piece: &Piece) -> String {
    piece.size.as_ref().map(|s| crate::words::escaped(s.as_str()).into_owned()).unwrap_or_default()
}

/// An angle between two axes, brought into −90..=90.
fn axis(degrees: f64) -> f64 {
    degrees - (degrees / 180.0).round() * 180.0
}

/// An angle between two directions, brought into −180..=180.
fn around(degrees: f64) -> f64 {
    degrees - (degrees / 360.0).round() * 360.0
}

impl<'p> Laid<'p> {
    fn new(piece: &'p Piece) -> Option<Self> {
        let shafts = piece.paths_of(LayerUse::Grain).flat_map(|p| p.from.iter().map(|f| f.stroke));
        let mut strokes: Vec<u32> = shafts.collect();
        strokes.sort_unstable();
        strokes.dedup();
        let drawn = |s: &u32| -> &[Point] { &piece.strokes[*s as usize].points };
        let (a, b) = strokes
            .iter()
            .filter_map(|s| straight(drawn(s)))
            .max_by(|x, y| (x.1 - x.0).hypot2().total_cmp(&(y.1 - y.0).hypot2()))?;
        let length = (b - a).hypot();
        let at_end = |end: Point| {
            let head = |p: &&Point| {
                let far = (**p - end).hypot();
                far > 1e-6 * length && far < HEAD * length && distance(a, b, **p) > 1e-3 * length
            };
            strokes.iter().flat_map(drawn).find(head).is_some()
        };
        let (first, last) = (at_end(a), at_end(b));
        let way = if first && !last { a - b } else { b - a };
        (length > 1e-6).then(|| Laid {
            piece,
            angle: way.y.atan2(way.x).to_degrees(),
            heads: [first, last],
            by_eye: (LAID / length).atan().to_degrees(),
            at: a,
            outline: boundary(piece).and_then(|path| Stepped::new(&path.points)),
        })
    }

    /// Whether the grain line points in one direction.
    fn one_way(&self) -> bool {
        self.heads != [true; 2]
    }

    fn located(&self, sheet: &Sheet<'_>, finding: Finding) -> Finding {
        match super::grain_outside::line(self.piece) {
            Some(path) => sheet.on_path(finding, self.piece, path, 0, path.points[0]),
            None => sheet.at_block(finding.at(self.piece.drawn(self.at)), self.piece),
        }
    }
}

/// The shaft of a stroke: from its first to its last point where it is straight, else its longest edge.
fn straight(points: &[Point]) -> Option<(Point, Point)> {
    let (first, last) = (*points.first()?, *points.last()?);
    let edges = points.windows(2).map(|w| (w[0], w[1]));
    let length = |(a, b): &(Point, Point)| (*b - *a).hypot();
    if length(&(first, last)) > 0.999 * edges.clone().map(|e| length(&e)).sum::<f64>() {
        return Some((first, last));
    }
    edges.max_by(|x, y| length(x).total_cmp(&length(y)))
}

/// How far a point is from the line through two others.
fn distance(a: Point, b: Point, p: Point) -> f64 {
    let along: Vec2 = (b - a).normalize();
    along.cross(p - a).abs()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The height of a 3-4-5 triangle over its longest side, and over the line beyond that side.
    #[test]
    fn a_point_is_as_far_from_a_line_as_the_height_over_it() {
        let (a, b) = (Point::new(10.0, 20.0), Point::new(40.0, 60.0));
        for (p, far) in
            [((40.0, 20.0), 24.0), ((10.0, 60.0), 24.0), ((70.0, 100.0), 0.0), ((85.0, 80.0), 24.0)]
        {
            assert!((distance(a, b, Point::from(p)) - far).abs() < 1e-12, "{p:?}");
            assert!((distance(b, a, Point::from(p)) - far).abs() < 1e-12, "{p:?}");
        }
    }
}
