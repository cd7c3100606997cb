//! Ways of drawing the same trousers: what varies between files without the pieces being any different.

use super::draft::{Leg, Trousers, outside};
use kurbo::{Affine, Point};
use proptest::prelude::*;
use std::fmt::Write;

/// The allowance of the cut lines drawn here, mm.
pub const ALLOWANCE: f64 = 12.0;

/// How the lines are drawn.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Form {
    /// `POLYLINE` with `VERTEX` entities, as in release 12.
    Polyline,
    LwPolyline,
    /// A `LINE` an edge.
    Lines,
    /// A `POLYLINE` whose crotch curve is one arc, given by its bulge.
    Bulge,
    /// The crotch curve as an `ARC`, between a `LINE` and a `POLYLINE`.
    Arc,
    /// Each seam a line on a layer of its own.
    Layers,
    /// Cut lines only; the allowances are told apart.
    CutOnly,
    /// Sew lines drawn where the cut line belongs, the allowance nothing.
    Boundary,
}

impl Form {
    pub const ALL: [Form; 8] = [
        Form::Polyline,
        Form::LwPolyline,
        Form::Lines,
        Form::Bulge,
        Form::Arc,
        Form::Layers,
        Form::CutOnly,
        Form::Boundary,
    ];

    /// Whether the crotch curve is an arc, not chords.
    pub fn curved(self) -> bool {
        matches!(self, Form::Bulge | Form::Arc)
    }

    /// The job file that goes with it.
    pub fn job(self) -> String {
        match self {
            Form::CutOnly => format!("[allowance]\nall = \"{ALLOWANCE} mm\"\n"),
            Form::Boundary => "[allowance]\nall = 0\n".to_owned(),
            _ => String::new(),
        }
    }
}

/// A manner of writing a drawing.
#[derive(Clone, Debug)]
#[allow(clippy::struct_excessive_bools, reason = "each is a respect of its own in which dialects differ")]
pub struct Dialect {
    pub form: Form,
    pub inches: bool,
    /// How the pieces lie: turned by degrees, moved by mm, seen from the other side.
    pub turn: f64,
    pub moved: (f64, f64),
    pub mirrored: bool,
    /// Whether lines run the other way.
    pub reversed: bool,
    /// At which share of its vertices a line begins.
    pub first: f64,
    pub grain_down: bool,
    /// Whether a line is closed by its flag; else by repeating the first vertex.
    pub flag: bool,
    pub carriage_return: bool,
    /// Where the drawing shows the blocks: turned by quarters, mirrored.
    pub placed: (u8, bool),
}

/// The plainest way.
pub const PLAIN: Dialect = Dialect {
    form: Form::Polyline,
    inches: false,
    turn: 0.0,
    moved: (0.0, 0.0),
    mirrored: false,
    reversed: false,
    first: 0.0,
    grain_down: false,
    flag: true,
    carriage_return: false,
    placed: (0, false),
};

/// Any way with one of these forms.
pub fn dialects(forms: &[Form]) -> impl Strategy<Value = Dialect> + use<> {
    let lies = (-180.0..180.0, (-800.0..800.0, -800.0..800.0), any::<bool>());
    let drawn = (any::<bool>(), 0.0..1.0, any::<bool>(), any::<bool>());
    let written = (any::<bool>(), any::<bool>(), (0u8..4, any::<bool>()));
    (prop::sample::select(forms.to_vec()), lies, drawn, written).prop_map(
        |(
            form,
            (turn, moved, mirrored),
            (reversed, first, grain_down, flag),
            (inches, carriage_return, placed),
        )| {
            Dialect {
                form,
                inches,
                turn,
                moved,
                mirrored,
                reversed,
                first,
                grain_down,
                flag,
                carriage_return,
                placed,
            }
        },
    )
}

impl Dialect {
    pub fn mm(&self) -> f64 {
        if self.inches { 25.4 } else { 1.0 }
    }

    /// From the draft in mm to the block's numbers.
    pub fn place(&self) -> Affine {
        let flip = if self.mirrored { -1.0 } else { 1.0 };
        Affine::scale(1.0 / self.mm())
            * Affine::translate(self.moved)
            * Affine::rotate(self.turn.to_radians())
            * Affine::scale_non_uniform(flip, 1.0)
    }

    /// The drawing of these trousers, each with its size.
    pub fn draw(&self, sizes: &[(&str, &Trousers)]) -> Vec<u8> {
        self.draw_lines(sizes, |_| None)
    }

    /// As [`Dialect::draw`], with a cut line of one's own for each leg.
    pub fn draw_lines(
        &self,
        sizes: &[(&str, &Trousers)],
        cut: impl Fn(&Leg) -> Option<Vec<Point>>,
    ) -> Vec<u8> {
        let mut out = Writer { text: String::new(), dialect: self };
        out.pairs(&[(0, "SECTION"), (2, "BLOCKS")]);
        for (size, trousers) in sizes {
            for (name, leg) in [("FRONT", &trousers.front), ("BACK", &trousers.back)] {
                out.block(name, size, leg, cut(leg));
            }
        }
        out.pairs(&[(0, "ENDSEC"), (0, "SECTION"), (2, "ENTITIES")]);
        out.text(if self.inches { "Units: ENGLISH" } else { "Units: METRIC" });
        for (size, _) in sizes {
            for name in ["FRONT", "BACK"] {
                let (turned, mirrored) = (f64::from(self.placed.0) * 90.0, self.placed.1);
                out.pairs(&[(0, "INSERT"), (8, "1"), (2, &format!("{name}-{size}"))]);
                out.at(Point::ZERO);
                out.number(41, if mirrored { -1.0 } else { 1.0 });
                out.number(50, turned);
            }
        }
        out.pairs(&[(0, "ENDSEC"), (0, "EOF")]);
        if self.carriage_return { out.text.replace('\n', "\r\n").into_bytes() } else { out.text.into_bytes() }
    }
}

struct Writer<'a> {
    text: String,
    dialect: &'a Dialect,
}

impl Writer<'_> {
    fn pairs(&mut self, pairs: &[(u16, &str)]) {
        for (code, value) in pairs {
            let _ = write!(self.text, "{code:>3}\n{value}\n");
        }
    }

    /// Six decimals: what is drawn is then the draft to a hundred-thousandth of a millimetre, in inches as well.
    fn number(&mut self, code: u16, value: f64) {
        let _ = write!(self.text, "{code:>3}\n{value:.6}\n");
    }

    /// A point of the block.
    fn at(&mut self, p: Point) {
        self.number(10, p.x);
        self.number(20, p.y);
    }

    fn text(&mut self, value: &str) {
        self.pairs(&[(0, "TEXT"), (8, "1")]);
        self.at(self.dialect.place() * Point::new(-100.0, -150.0));
        self.number(40, 5.0 / self.dialect.mm());
        self.pairs(&[(1, value)]);
    }

    fn block(&mut self, name: &str, size: &str, leg: &Leg, cut: Option<Vec<Point>>) {
        let block = format!("{name}-{size}");
        self.pairs(&[(0, "BLOCK"), (8, "1"), (2, &block), (70, "0")]);
        self.at(Point::ZERO);
        for label in [format!("Piece Name: {name}"), format!("Size: {size}"), "Quantity: 2".to_owned()] {
            self.text(&label);
        }
        let mut grain = [Point::new(-60.0, -400.0), Point::new(-60.0, 60.0)];
        if self.dialect.grain_down {
            grain.reverse();
        }
        self.line("7", grain[0], grain[1]);
        self.leg(leg, cut);
        self.pairs(&[(0, "ENDBLK"), (8, "1")]);
    }

    fn leg(&mut self, leg: &Leg, cut: Option<Vec<Point>>) {
        let (line, c) = leg.line();
        let cut = cut.unwrap_or_else(|| outside(&line, ALLOWANCE));
        let closed = |w: &mut Self, layer: &str, line: &[Point]| {
            let with_bulge: Vec<_> = line.iter().map(|&p| (p, 0.0)).collect();
            w.polyline(layer, with_bulge, true);
        };
        match self.dialect.form {
            Form::Polyline | Form::LwPolyline => {
                closed(self, "1", &cut);
                closed(self, "14", &line);
            }
            Form::CutOnly => closed(self, "1", &cut),
            Form::Boundary => closed(self, "1", &line),
            Form::Lines => {
                for i in 0..line.len() {
                    self.line("14", line[i], line[(i + 1) % line.len()]);
                }
            }
            Form::Bulge => {
                let bulged = |i: usize| (line[i], if i == c.begin { leg.bulge() } else { 0.0 });
                let kept: Vec<_> = (0..=c.begin).chain(c.fork..line.len()).map(bulged).collect();
                self.polyline("14", kept, true);
            }
            Form::Arc => {
                self.line("14", line[0], line[c.begin]);
                self.arc("14", leg);
                let rest = (c.fork..line.len()).chain([0]).map(|i| (line[i], 0.0)).collect();
                self.polyline("14", rest, false);
            }
            Form::Layers => {
                let seams = [
                    ("CROTCH", 0, c.fork),
                    ("INSEAM", c.fork, c.hem_in),
                    ("HEM", c.hem_in, c.hem_out),
                    ("OUTSEAM", c.hem_out, c.side),
                    ("WAIST", c.side, line.len()),
                ];
                for (layer, from, to) in seams {
                    let seam = (from..=to).map(|i| (line[i % line.len()], 0.0)).collect();
                    self.polyline(layer, seam, false);
                }
            }
        }
    }

    fn line(&mut self, layer: &str, a: Point, b: Point) {
        let (mut a, mut b) = (self.dialect.place() * a, self.dialect.place() * b);
        if self.dialect.reversed && layer != "7" {
            std::mem::swap(&mut a, &mut b);
        }
        self.pairs(&[(0, "LINE"), (8, layer)]);
        self.at(a);
        self.number(11, b.x);
        self.number(21, b.y);
    }

    /// The crotch curve. An `ARC` runs counterclockwise.
    fn arc(&mut self, layer: &str, leg: &Leg) {
        let place = self.dialect.place();
        let centre = place * leg.centre();
        let angle = |p: Point| (place * p - centre).atan2().to_degrees().rem_euclid(360.0);
        let (begin, fork) = (angle(leg.begin_point()), angle(leg.fork_point()));
        let (from, to) = if self.dialect.mirrored { (fork, begin) } else { (begin, fork) };
        self.pairs(&[(0, "ARC"), (8, layer)]);
        self.at(centre);
        self.number(40, leg.radius() / self.dialect.mm());
        self.number(50, from);
        self.number(51, to);
    }

    /// A line through points, each with the bulge of the edge after it.
    fn polyline(&mut self, layer: &str, mut points: Vec<(Point, f64)>, closed: bool) {
        let n = points.len();
        if closed {
            points.rotate_left(((n as f64 * self.dialect.first) as usize).min(n - 1));
        }
        if self.dialect.reversed {
            let bulges: Vec<f64> = points.iter().map(|p| -p.1).collect();
            points.reverse();
            for (i, p) in points.iter_mut().enumerate() {
                // The edge after it was the edge before it.
                p.1 = bulges[(2 * n - 2 - i) % n];
            }
        }
        let flag = closed && self.dialect.flag;
        if closed && !flag {
            points.push((points[0].0, 0.0));
        }
        let flip = if self.dialect.mirrored { -1.0 } else { 1.0 };
        let light = self.dialect.form == Form::LwPolyline;
        self.pairs(&[(0, if light { "LWPOLYLINE" } else { "POLYLINE" }), (8, layer)]);
        let count = points.len().to_string();
        self.pairs(&[if light { (90, &count) } else { (66, "1") }]);
        self.pairs(&[(70, if flag { "1" } else { "0" })]);
        for (p, bulge) in points {
            if !light {
                self.pairs(&[(0, "VERTEX"), (8, layer)]);
            }
            self.at(self.dialect.place() * p);
            if bulge != 0.0 {
                self.number(42, flip * bulge);
            }
        }
        if !light {
            self.pairs(&[(0, "SEQEND")]);
        }
    }
}
