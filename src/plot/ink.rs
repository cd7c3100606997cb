//! What is drawn: lines of a few kinds, filled shapes and words, in mm.

use kurbo::{Affine, Point, Rect};

/// A kind of line. Each kind can be told from the others on a black and white print.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum LineKind {
    /// The cut line.
    Cut,
    /// The sew line, also where one of its seams is on a layer of its own.
    Sew,
    /// The fold of a half piece.
    Fold,
    /// The grain line.
    Grain,
    /// A notch.
    Notch,
    /// Lines inside the piece.
    Internal,
    /// Marked points inside the piece, such as drill holes.
    Mark,
    /// A line as it was before the alteration.
    Before,
    /// The test squares.
    Check,
    /// The thin lines of the key and the map.
    Thin,
    /// The line along which another page is laid on this one.
    Joint,
    /// The line along which a page is cut before it is laid on another.
    Trim,
}

/// How a line looks: its width and its dashes in mm, and its gray from 0 for black to 1 for white.
pub(super) struct Look {
    pub width: f64,
    pub dashes: &'static [f64],
    pub gray: f32,
}

impl LineKind {
    /// How a line of this kind looks.
    pub fn style(self) -> Look {
        let look = |width, dashes, gray| Look { width, dashes, gray };
        match self {
            LineKind::Cut => look(0.6, &[], 0.0),
            LineKind::Sew => look(0.35, &[6.0, 2.0], 0.0),
            LineKind::Fold => look(0.5, &[12.0, 2.0, 1.0, 2.0, 1.0, 2.0], 0.0),
            LineKind::Grain | LineKind::Notch | LineKind::Mark => look(0.35, &[], 0.0),
            LineKind::Internal => look(0.25, &[8.0, 1.5, 1.0, 1.5], 0.0),
            // Dashes without length, of which only the round ends show, make dots.
            LineKind::Before => look(0.7, &[0.0, 1.8], 0.35),
            LineKind::Check => look(0.2, &[], 0.0),
            LineKind::Thin => look(0.15, &[], 0.3),
            LineKind::Joint => look(0.2, &[1.0, 2.0], 0.4),
            LineKind::Trim => look(0.2, &[4.0, 2.0], 0.4),
        }
    }

    /// What the key calls it; `None` for a kind that the key leaves out.
    pub fn title(self) -> Option<&'static str> {
        match self {
            LineKind::Cut => Some("cut line"),
            LineKind::Sew => Some("sew line"),
            LineKind::Fold => Some("fold: cut the other half too"),
            LineKind::Grain => Some("grain"),
            LineKind::Notch => Some("notch"),
            LineKind::Internal => Some("line inside the piece"),
            LineKind::Mark => Some("drill hole or mark"),
            LineKind::Before => Some("line before alteration"),
            LineKind::Joint => Some("joint: next page on top"),
            LineKind::Trim => Some("joint: cut the page here"),
            LineKind::Check | LineKind::Thin => None,
        }
    }
}

/// Something that is drawn.
#[derive(Clone, Debug)]
pub(super) enum Ink {
    /// A line through points.
    Stroke { line: LineKind, points: Vec<Point>, closed: bool },
    /// A filled shape.
    Fill { points: Vec<Point>, gray: f32 },
    /// A line of text.
    Words(Words),
}

/// A line of text.
#[derive(Clone, Debug)]
pub(super) struct Words {
    /// Where its base line begins.
    pub at: Point,
    /// The font size, in mm.
    pub size: f64,
    /// The length of the text, in mm.
    pub width: f64,
    /// The angle of its base line in radians.
    pub turn: f64,
    /// The gray, from 0 for black to 1 for white.
    pub gray: f32,
    /// The text.
    pub value: String,
}

impl Words {
    /// Makes the text this many times as large.
    pub fn scale(&mut self, by: f64) {
        self.size *= by;
        self.width *= by;
    }

    /// The corners of the text's box, which reaches from below the descenders to above the capitals of the built-in font.
    pub fn corners(&self) -> [Point; 4] {
        let place = Affine::translate(self.at.to_vec2()) * Affine::rotate(self.turn);
        let (low, high) = (-0.25 * self.size, 0.8 * self.size);
        [(0.0, low), (self.width, low), (self.width, high), (0.0, high)].map(|p| place * Point::from(p))
    }
}

impl Ink {
    /// An open line.
    pub fn open(line: LineKind, points: impl Into<Vec<Point>>) -> Ink {
        Ink::Stroke { line, points: points.into(), closed: false }
    }

    /// A closed line.
    pub fn closed(line: LineKind, points: impl Into<Vec<Point>>) -> Ink {
        Ink::Stroke { line, points: points.into(), closed: true }
    }

    /// The four sides of a rectangle.
    pub fn frame(line: LineKind, r: Rect) -> Ink {
        Ink::closed(line, [(r.x0, r.y0), (r.x1, r.y0), (r.x1, r.y1), (r.x0, r.y1)].map(Point::from))
    }

    /// Moves it by a rotation and a shift; the motion must not change lengths.
    fn apply(&mut self, motion: Affine) {
        match self {
            Ink::Stroke { points, .. } | Ink::Fill { points, .. } => {
                for p in points {
                    *p = motion * *p;
                }
            }
            Ink::Words(words) => {
                words.at = motion * words.at;
                let [a, b, ..] = motion.as_coeffs();
                words.turn += b.atan2(a);
            }
        }
    }

    /// Its segments; for words, the sides of their box.
    pub fn segments(&self) -> Vec<(Point, Point)> {
        let (points, closed) = match self {
            Ink::Stroke { points, closed, .. } => (points.clone(), *closed),
            Ink::Fill { points, .. } => (points.clone(), true),
            Ink::Words(words) => (words.corners().to_vec(), true),
        };
        let mut segments: Vec<_> = points.windows(2).map(|w| (w[0], w[1])).collect();
        if let (true, [first, .., last]) = (closed, points.as_slice()) {
            segments.push((*last, *first));
        }
        segments
    }

    /// The box around it, without the width of its line.
    pub fn bounds(&self) -> Option<Rect> {
        let corners;
        let points: &[Point] = match self {
            Ink::Stroke { points, .. } | Ink::Fill { points, .. } => points,
            Ink::Words(words) => {
                corners = words.corners();
                &corners
            }
        };
        bounds(points)
    }
}

/// Moves every item.
pub(super) fn apply(ink: &mut [Ink], motion: Affine) {
    for item in ink {
        item.apply(motion);
    }
}

/// The box around points.
pub(super) fn bounds(points: &[Point]) -> Option<Rect> {
    let first = *points.first()?;
    Some(points.iter().fold(Rect::from_points(first, first), |r, &p| r.union_pt(p)))
}

/// Whether any part of a segment lies in a rectangle (the clipping of Liang and Barsky, ACM TOG 3, 1984).
pub(super) fn touches(a: Point, b: Point, r: Rect) -> bool {
    let d = b - a;
    let (mut from, mut to) = (0.0_f64, 1.0_f64);
    for (step, low, high) in [(d.x, r.x0 - a.x, r.x1 - a.x), (d.y, r.y0 - a.y, r.y1 - a.y)] {
        if step == 0.0 {
            if low > 0.0 || high < 0.0 {
                return false;
            }
        } else {
            let (enter, leave) =
                if step > 0.0 { (low / step, high / step) } else { (high / step, low / step) };
            from = from.max(enter);
            to = to.min(leave);
        }
    }
    from <= to
}
