//! What a page draws of a size: front and back, before and after, as plain lines.
//!
//! Each piece has its own frame, in mm: the grain upright, the waist at the top, the origin at the old fork, `x` to the right
//! and `y` down. The front's fork points to the right and the back's to the left, so that the two stand as they are sewn; for
//! that, one of them may be mirrored against the drawing.

use crate::alter::{Change, Redrawn};
use crate::geometry::{Segments, direction, ring};
use crate::pattern::{LayerUse, MarkKind, Piece, SizeName};
use crate::seam::{Leg, LegPiece, Pair, Part, SeamRole};
use crate::units::Mm;
use kurbo::{ParamCurveNearest, Point, Vec2};

/// The points of a line, in mm.
pub type Line = Vec<Point>;

/// A new line nearer to the old one than this, in mm, counts as the old line: usual drawings round coordinates to a
/// hundredth, and nobody cuts to a twentieth.
const OFF: f64 = 0.05;

/// The spacing, in mm, of the places at which the new line is compared with the old one.
const STEP: f64 = 4.0;

/// Where the new line lies on the old one for at most this length, in mm, it only crosses it.
const CROSSING: f64 = 40.0;

/// The length, in mm, with which a notch without a depth of its own is drawn.
const NOTCH: f64 = 5.0;

/// The figure of one size: its front and back.
#[derive(Clone, Debug, PartialEq)]
pub struct SizeFigure {
    /// The size.
    pub size: String,
    /// Its legs.
    pub legs: Pair<LegFigure>,
}

/// The figure of one leg.
#[derive(Clone, Debug, PartialEq)]
pub struct LegFigure {
    /// The piece's name.
    pub piece: String,
    /// Its lines before the alteration.
    pub before: LegLines,
    /// Its lines after the alteration; `None` where nothing moves.
    pub after: Option<LegLines>,
    /// The stretches of the new sew line that are redrawn, each from where it leaves the old line to where it meets it again.
    pub redrawn: Vec<Line>,
    /// The grain line, from hem to waist.
    pub grain: Option<[Point; 2]>,
    /// The lines inside the piece.
    pub inside: Vec<Line>,
    /// The marks inside the piece.
    pub marks: Vec<Point>,
}

/// The lines of a leg that an alteration can move.
#[derive(Clone, Debug, PartialEq)]
pub struct LegLines {
    /// The sew line as its seams: crotch seam, inseam, hem, outseam and waist, each from its first corner.
    pub seams: Vec<(SeamRole, Line)>,
    /// The length of each seam, up to the fold where something is turned in.
    pub lengths: Vec<(SeamRole, Mm)>,
    /// Crotch seam and inseam of the other part, if front and back are drawn in one piece; empty otherwise.
    pub other_part: Line,
    /// The cut line; its last point is joined to its first.
    pub cut: Option<Line>,
    /// The notches, each from the edge inwards.
    pub notches: Vec<[Point; 2]>,
    /// The fork.
    pub fork: Point,
    /// Where the crotch curve begins.
    pub curve_begin: Point,
    /// The direction of the inseam where it leaves the fork.
    pub inseam: Vec2,
}

impl LegLines {
    /// The points of a seam.
    #[must_use]
    pub fn seam(&self, role: SeamRole) -> &[Point] {
        self.seams.iter().find(|(r, _)| *r == role).map_or(&[], |(_, line)| line)
    }

    /// The length of a seam, up to the fold where something is turned in.
    #[must_use]
    pub fn length(&self, role: SeamRole) -> Mm {
        self.lengths.iter().find(|(r, _)| *r == role).map_or(Mm(0.0), |(_, length)| *length)
    }

    /// Every point of the outlines.
    pub fn points(&self) -> impl Iterator<Item = Point> {
        let seams = self.seams.iter().flat_map(|(_, line)| line).chain(&self.other_part);
        seams.chain(self.cut.iter().flatten()).copied()
    }
}

/// Maps a piece's own millimetres to the frame of its figure.
struct Frame {
    origin: Point,
    right: Vec2,
    up: Vec2,
}

impl Frame {
    fn new(leg: &Leg, part: Part) -> Self {
        let right = match part {
            Part::Front => leg.out,
            Part::Back => -leg.out,
        };
        Frame { origin: leg.fork_point(), right, up: leg.up }
    }

    fn vector(&self, v: Vec2) -> Vec2 {
        Vec2::new(v.dot(self.right), -v.dot(self.up))
    }

    fn point(&self, p: Point) -> Point {
        self.vector(p - self.origin).to_point()
    }

    fn line(&self, points: &[Point]) -> Line {
        points.iter().map(|&p| self.point(p)).collect()
    }
}

/// A leg to be drawn, with its alteration if there is one.
#[derive(Clone, Copy)]
pub struct DrawnLeg<'a> {
    /// The leg as drawn.
    pub on: &'a LegPiece<'a>,
    /// What changes, and the leg after the change.
    pub altered: Option<(&'a Change, &'a Leg)>,
}

impl SizeFigure {
    /// The figure of a size.
    #[must_use]
    pub fn of(size: &SizeName, drawn: Pair<DrawnLeg<'_>>) -> Self {
        let legs = Pair {
            front: LegFigure::of(Part::Front, drawn.front),
            back: LegFigure::of(Part::Back, drawn.back),
        };
        SizeFigure { size: size.to_string(), legs }
    }
}

impl LegFigure {
    fn of(part: Part, drawn: DrawnLeg<'_>) -> Self {
        let (piece, leg) = (drawn.on.piece, &drawn.on.leg);
        let frame = Frame::new(leg, part);
        let still = Change::default();
        let grain = piece
            .paths_of(LayerUse::Grain)
            .filter_map(|p| Some([*p.points.first()?, *p.points.last()?]))
            .max_by(|a, b| (a[1] - a[0]).hypot2().total_cmp(&(b[1] - b[0]).hypot2()))
            .map(|ends| ends.map(|p| frame.point(p)))
            .map(|[a, b]| if a.y >= b.y { [a, b] } else { [b, a] });
        let lines_inside = piece.paths_of(LayerUse::Internal).chain(piece.paths_of(LayerUse::Fold));
        let inside = lines_inside.map(|p| {
            let closing = p.points.first().filter(|_| p.closed);
            p.points.iter().chain(closing).map(|&q| frame.point(q)).collect()
        });
        let marks = piece.marks.iter().filter(|m| m.kind == MarkKind::Internal);
        LegFigure {
            piece: match leg.one_piece {
                Some(_) => format!("{}, {}", piece.name, part.word()),
                None => piece.name.clone(),
            },
            before: lines(&frame, drawn.on, leg, &still),
            after: drawn.altered.map(|(change, after)| lines(&frame, drawn.on, after, change)),
            redrawn: drawn.altered.map_or_else(Vec::new, |(_, after)| redrawn(&frame, leg, after)),
            grain,
            inside: inside.collect(),
            marks: marks.map(|m| frame.point(m.at)).collect(),
        }
    }
}

fn redrawn_line<'c>(piece: &Piece, change: &'c Change, layer_use: LayerUse) -> Option<&'c Redrawn> {
    change.redrawn.iter().find(|r| piece.paths[r.path].layer_use == layer_use)
}

/// The lines of a leg after a change.
fn lines(frame: &Frame, on: &LegPiece<'_>, leg: &Leg, change: &Change) -> LegLines {
    let piece = on.piece;
    let cut = piece.outline(LayerUse::Cut).map(|path| {
        redrawn_line(piece, change, LayerUse::Cut)
            .map_or_else(|| path.points.to_vec(), |r| r.line(&path.points).0)
    });
    let edge = cut.as_deref().unwrap_or(&leg.ring);
    let notches = notches(piece, change, edge).into_iter().map(|ends| ends.map(|p| frame.point(p))).collect();
    let roles = [SeamRole::Crotch, SeamRole::Inseam, SeamRole::Hem, SeamRole::Outseam, SeamRole::Waist];
    let own = roles.into_iter().filter(|role| *role != SeamRole::Outseam || leg.one_piece.is_none());
    LegLines {
        seams: own.clone().map(|role| (role, frame.line(&leg.seam(role)))).collect(),
        lengths: own.map(|role| (role, on.folds.length(leg, role))).collect(),
        other_part: leg.one_piece.map_or_else(Vec::new, |_| frame.line(&leg.seam(SeamRole::Outseam))),
        notches,
        fork: frame.point(leg.fork_point()),
        curve_begin: frame.point(leg.ring[leg.curve_begin]),
        inseam: frame.vector(direction::tangent_at_start(&leg.ring[leg.fork..=leg.hem_in])),
        cut: cut.map(|points| frame.line(&points)),
    }
}

/// The notches of a piece after a change: marks are drawn square to the edge at which they stand, strokes as they are.
fn notches(piece: &Piece, change: &Change, edge: &[Point]) -> Vec<[Point; 2]> {
    let shift = |moved: &[(usize, Vec2)], i: usize| {
        moved.iter().find(|(j, _)| *j == i).map_or(Vec2::ZERO, |(_, shift)| *shift)
    };
    let mut notches = Vec::new();
    for (i, mark) in piece.marks.iter().enumerate() {
        let MarkKind::Notch { depth, .. } = mark.kind else { continue };
        let at = mark.at + shift(&change.carried.marks, i);
        let depth = depth.filter(|d| *d > 0.0).unwrap_or(NOTCH);
        notches.push([at, at + inwards(edge, at) * depth]);
    }
    for path in piece.paths_of(LayerUse::Notch) {
        let shift = shift(&change.carried.strokes, path.from[0].stroke as usize);
        notches.extend(path.points.windows(2).map(|w| [w[0] + shift, w[1] + shift]));
    }
    notches
}

/// The unit vector from the edge nearest to `p` into the piece.
fn inwards(edge: &[Point], p: Point) -> Vec2 {
    let side = if ring::doubled_area(edge) < 0.0 { -1.0 } else { 1.0 };
    let edges = edge.iter().zip(edge.iter().cycle().skip(1)).filter(|(a, b)| a != b);
    let nearest = edges
        .map(|(&a, &b)| (kurbo::Line::new(a, b).nearest(p, 1e-6).distance_sq, b - a))
        .min_by(|a, b| a.0.total_cmp(&b.0));
    nearest.map_or(Vec2::ZERO, |(_, d)| Vec2::new(-d.y, d.x).normalize() * side)
}

/// The stretches of the new sew line that do not lie on the old one.
fn redrawn(frame: &Frame, before: &Leg, after: &Leg) -> Vec<Line> {
    // The whole sew line, drawn or derived from the cut line, including the extension of a fly.
    let whole = |leg: &Leg| [&leg.ring[..1], &leg.fly, &leg.ring[1..]].concat();
    let (old, line) = (Segments::of(&whole(before), true), walked(&whole(after)));
    let off: Vec<bool> = line.iter().map(|&p| old.distance(p) > OFF).collect();
    let n = line.len();
    let Some(start) = off.iter().position(|o| !o) else { return vec![frame.line(&line)] };
    let mut stretches: Vec<Vec<Point>> = Vec::new();
    let mut on_since = f64::INFINITY;
    for k in 1..=n {
        let (before, i) = ((start + k - 1) % n, (start + k) % n);
        let step = (line[i] - line[before]).hypot();
        match (off[before], off[i], stretches.last_mut()) {
            // Where the new line only crosses the old one, the stretch continues.
            (false, true, Some(stretch)) if on_since < CROSSING => {
                stretch.extend([line[before], line[i]]);
            }
            (false, true, _) => stretches.push(vec![line[before], line[i]]),
            (true, _, Some(stretch)) => stretch.push(line[i]),
            _ => {}
        }
        on_since = if off[i] { 0.0 } else { on_since + step };
    }
    stretches.iter().map(|points| frame.line(points)).collect()
}

/// The points of a closed line, with further points between them so that none are further apart than [`STEP`].
fn walked(line: &[Point]) -> Vec<Point> {
    let mut walked = Vec::new();
    for (i, &a) in line.iter().enumerate() {
        let b = line[(i + 1) % line.len()];
        #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)] // within a piece
        let steps = ((b - a).hypot() / STEP).ceil().clamp(1.0, 10_000.0) as u32;
        walked.extend((0..steps).map(|k| a.lerp(b, f64::from(k) / f64::from(steps))));
    }
    walked
}
