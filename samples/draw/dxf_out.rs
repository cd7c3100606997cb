//! Writes pieces as DXF in the form of release 12: one block for each piece and size, layers as in ASTM D6673.

use crate::outline::{Mark, Outline, Seam};
use crate::piece::{Notch, Piece, Spot};
use crate::scenario::{MAKER, RULE_TABLE, SAMPLE_SIZE, STYLE, size_text};
use crate::style::{Lines, Style, Unit};
use kurbo::{Point, Rect};
use std::fmt::Write as _;

/// The standard's layers.
mod layer {
    pub const BOUNDARY: &str = "1";
    pub const TURN: &str = "2";
    pub const CURVE: &str = "3";
    pub const NOTCH: &str = "4";
    pub const GRADE_REFERENCE: &str = "5";
    pub const GRAIN: &str = "7";
    pub const INTERNAL: &str = "8";
    pub const DRILL: &str = "13";
    pub const SEW: &str = "14";
    pub const ANNOTATION: &str = "15";
    pub const ALL: [&str; 10] =
        [BOUNDARY, TURN, CURVE, NOTCH, GRADE_REFERENCE, GRAIN, INTERNAL, DRILL, SEW, ANNOTATION];
}

/// Name under which the maker's own program keeps its extended data. Invented.
const APPLICATION: &str = "HARBOURSHOP";

/// Depth and width of a notch, mm.
const NOTCH_SIZE: (f64, f64) = (6.0, 3.0);

/// The whole drawing.
pub fn drawing(pieces: &[Piece], style: &Style) -> String {
    let mut out = Writer { text: String::new(), style };
    if style.extras {
        out.pair(999, "nest of trousers, drawn for a fitting trial");
        out.pair(999, "the maker is invented");
    }
    if style.tables {
        out.header(pieces);
        out.tables();
    }
    out.section("BLOCKS");
    for piece in pieces {
        out.block(piece);
    }
    out.pair(0, "ENDSEC");
    out.section("ENTITIES");
    out.style_texts();
    for piece in pieces {
        out.entity("INSERT", layer::BOUNDARY);
        out.pair(2, &block_name(piece));
        out.at(Point::ZERO);
    }
    out.pair(0, "ENDSEC");
    out.pair(0, "EOF");
    out.text
}

fn block_name(piece: &Piece) -> String {
    format!("{}-{}", piece.name, size_text(piece.size))
}

struct Writer<'a> {
    text: String,
    style: &'a Style,
}

impl Writer<'_> {
    fn pair(&mut self, code: u16, value: &str) {
        let end = self.style.line_end;
        let _ = write!(self.text, "{code:>3}{end}{value}{end}");
    }

    fn number(&mut self, code: u16, value: f64) {
        let end = self.style.line_end;
        // A zero has no sign.
        let value = if value.abs() < 5e-5 { 0.0 } else { value };
        let _ = write!(self.text, "{code:>3}{end}{value:.4}{end}");
    }

    /// A point that is in the drawing's coordinates already.
    fn at(&mut self, p: Point) {
        self.number(10, p.x);
        self.number(20, p.y);
    }

    fn section(&mut self, name: &str) {
        self.pair(0, "SECTION");
        self.pair(2, name);
    }

    fn entity(&mut self, kind: &str, layer: &str) {
        self.pair(0, kind);
        self.pair(8, layer);
    }

    fn label(&mut self, layer: &str, at: Point, height_mm: f64, text: &str) {
        self.entity("TEXT", layer);
        self.at(at);
        self.number(40, self.style.length(height_mm));
        self.pair(1, text);
    }

    fn mark(&mut self, layer: &str, at: Point) {
        self.entity("POINT", layer);
        self.at(at);
    }

    fn rule(&mut self, layer: &str, at: Point, rule: u32) {
        if self.style.rules {
            self.label(layer, at, 3.0, &format!("# {rule}"));
        }
    }

    fn header(&mut self, pieces: &[Piece]) {
        let points = pieces.iter().flat_map(|p| &p.cut.vertices);
        let bounds = points
            .map(|v| self.style.point(v.at))
            .map(|p| Rect::from_points(p, p))
            .reduce(|a, b| a.union(b))
            .unwrap_or(Rect::ZERO);
        self.section("HEADER");
        self.pair(9, "$ACADVER");
        self.pair(1, "AC1009");
        self.pair(9, "$INSBASE");
        self.at(Point::ZERO);
        self.pair(9, "$EXTMIN");
        self.at(Point::new(bounds.x0, bounds.y0));
        self.pair(9, "$EXTMAX");
        self.at(Point::new(bounds.x1, bounds.y1));
        self.pair(0, "ENDSEC");
    }

    fn tables(&mut self) {
        self.section("TABLES");
        self.table("LTYPE", 1);
        self.pair(0, "LTYPE");
        self.pair(2, "CONTINUOUS");
        self.pair(70, "0");
        self.pair(3, "Solid line");
        self.pair(72, "65");
        self.pair(73, "0");
        self.number(40, 0.0);
        self.pair(0, "ENDTAB");
        self.table("LAYER", layer::ALL.len() + 1);
        for name in ["0"].iter().chain(&layer::ALL) {
            self.pair(0, "LAYER");
            self.pair(2, name);
            self.pair(70, "0");
            self.pair(62, "7");
            self.pair(6, "CONTINUOUS");
        }
        self.pair(0, "ENDTAB");
        self.table("STYLE", 1);
        self.pair(0, "STYLE");
        self.pair(2, "STANDARD");
        self.pair(70, "0");
        self.number(40, 0.0);
        self.number(41, 1.0);
        self.number(50, 0.0);
        self.pair(71, "0");
        self.number(42, 3.0);
        self.pair(3, "txt");
        self.pair(4, "");
        self.pair(0, "ENDTAB");
        self.table("APPID", 1);
        self.pair(0, "APPID");
        self.pair(2, APPLICATION);
        self.pair(70, "0");
        self.pair(0, "ENDTAB");
        self.pair(0, "ENDSEC");
    }

    fn table(&mut self, name: &str, entries: usize) {
        self.pair(0, "TABLE");
        self.pair(2, name);
        self.pair(70, &entries.to_string());
    }

    fn style_texts(&mut self) {
        let units = match self.style.unit {
            Unit::Millimetres => "METRIC",
            Unit::Inches => "ENGLISH",
        };
        let mut lines = vec![
            format!("Style Name: {STYLE}"),
            "Creation Date: 03-03-2025".to_owned(),
            "Creation Time: 09:30".to_owned(),
            format!("Author: PATTERN ROOM, {MAKER}"),
            format!("Sample Size: {}", size_text(SAMPLE_SIZE)),
        ];
        if self.style.rules {
            lines.push(format!("Grade Rule Table: {RULE_TABLE}"));
        }
        lines.push(format!("Units: {units}"));
        for (i, line) in lines.iter().enumerate() {
            let at = Point::new(0.0, self.style.length(500.0 - 12.0 * i as f64));
            self.label(layer::BOUNDARY, at, 8.0, line);
        }
    }

    fn block(&mut self, piece: &Piece) {
        let name = block_name(piece);
        self.entity("BLOCK", layer::BOUNDARY);
        self.pair(2, &name);
        self.pair(70, "0");
        self.at(Point::ZERO);
        self.pair(3, &name);
        if self.style.extras {
            self.pair(999, piece.comment);
        }
        let lines = self.style.lines;
        if lines != Lines::Seams {
            self.outline(layer::BOUNDARY, &piece.cut, self.style.extras && piece.name == "FRONT");
        }
        self.piece_texts(piece);
        if lines != Lines::Seams {
            self.marks(&piece.cut);
        }
        if lines == Lines::Both {
            self.outline(layer::SEW, &piece.sew, false);
        }
        if lines == Lines::Seams {
            self.seams(&piece.sew);
        }
        if lines != Lines::Cut {
            self.marks(&piece.sew);
        }
        // Notches stand on the cut line.
        for notch in piece.notches.iter().filter(|_| lines != Lines::Seams) {
            self.notch(notch);
        }
        self.lines(piece);
        for drill in &piece.drills {
            let at = self.style.point(drill.at);
            self.mark(layer::DRILL, at);
            self.rule(layer::DRILL, at, drill.rule);
        }
        let at = self.style.point(piece.label.0);
        self.label(layer::ANNOTATION, at, 8.0, &piece.label.1);
        if self.style.extras && piece.name == "FRONT" {
            self.shop_mark(at);
        }
        self.entity("ENDBLK", layer::BOUNDARY);
    }

    fn outline(&mut self, layer: &str, line: &Outline, extended: bool) {
        let repeat = usize::from(!self.style.closed_by_flag);
        self.entity("POLYLINE", layer);
        self.pair(66, "1");
        self.at(Point::ZERO);
        self.pair(70, if self.style.closed_by_flag { "1" } else { "0" });
        if extended {
            self.extended_data();
        }
        for v in line.vertices.iter().chain(line.vertices.iter().take(repeat)) {
            self.entity("VERTEX", layer);
            self.at(self.style.point(v.at));
        }
        self.entity("SEQEND", layer);
    }

    /// Every seam as an open line on a layer that is named like it.
    fn seams(&mut self, line: &Outline) {
        for (seam, layer) in [
            (Seam::Crotch, "CROTCH"),
            (Seam::Inseam, "INSEAM"),
            (Seam::Hem, "HEM"),
            (Seam::Outseam, "OUTSEAM"),
            (Seam::Waist, "WAIST"),
        ] {
            let edges: Vec<usize> = line.edges_of(seam).collect();
            let (Some(&first), Some(&last)) = (edges.first(), edges.last()) else { continue };
            self.entity("POLYLINE", layer);
            self.pair(66, "1");
            self.at(Point::ZERO);
            self.pair(70, "0");
            let ends = (first..=last).map(|i| line.edge(i).0).chain([line.edge(last).1]);
            for p in ends.collect::<Vec<_>>() {
                self.entity("VERTEX", layer);
                self.at(self.style.point(p));
            }
            self.entity("SEQEND", layer);
        }
    }

    /// What the maker's own program keeps with a polyline.
    fn extended_data(&mut self) {
        self.pair(1001, APPLICATION);
        self.pair(1000, "cut with the round knife");
        self.number(1040, 4.5);
    }

    fn piece_texts(&mut self, piece: &Piece) {
        let lines = [
            format!("Piece Name: {}", piece.name),
            format!("Size: {}", size_text(piece.size)),
            format!("Quantity: {}", piece.quantity),
            format!("Category: {}", piece.category),
            format!("Material: {}", piece.material),
            format!("Annotation: {}", piece.annotation),
        ];
        let at = self.style.point(piece.label.0);
        for (i, line) in lines.iter().enumerate() {
            let below = self.style.length(12.0 * (i + 1) as f64);
            let at = Point::new(at.x, at.y - below);
            self.label(layer::BOUNDARY, at, 6.0, line);
        }
    }

    /// Turn and curve points, each with the number of its grade rule where it has one.
    fn marks(&mut self, line: &Outline) {
        for v in &line.vertices {
            let layer = match v.mark {
                Mark::Turn => layer::TURN,
                Mark::Curve => layer::CURVE,
                Mark::None => continue,
            };
            let at = self.style.point(v.at);
            self.mark(layer, at);
            if let Some(rule) = v.rule {
                self.rule(layer, at, rule);
            }
        }
    }

    fn notch(&mut self, notch: &Notch) {
        let at = self.style.point(notch.spot.at);
        let (depth, width) = NOTCH_SIZE;
        self.mark(layer::NOTCH, at);
        self.number(30, self.style.length(depth));
        self.number(39, self.style.length(width));
        self.number(50, self.style.angle(notch.inward));
        self.rule(layer::NOTCH, at, notch.spot.rule);
    }

    fn lines(&mut self, piece: &Piece) {
        let [low, high] = piece.grain;
        let ends = if self.style.grain_up { [low, high] } else { [high, low] };
        self.line(layer::GRAIN, &ends.map(|s| s.at));
        self.spot_rules(layer::GRAIN, &ends);
        self.line(layer::GRADE_REFERENCE, &piece.grade_reference);
        for spots in &piece.internal {
            let points: Vec<Point> = spots.iter().map(|s| s.at).collect();
            for pair in points.windows(2) {
                self.line(layer::INTERNAL, &[pair[0], pair[1]]);
            }
            self.spot_rules(layer::INTERNAL, spots);
        }
    }

    fn line(&mut self, layer: &str, ends: &[Point; 2]) {
        let [a, b] = ends.map(|p| self.style.point(p));
        self.entity("LINE", layer);
        self.at(a);
        self.number(11, b.x);
        self.number(21, b.y);
    }

    fn spot_rules(&mut self, layer: &str, spots: &[Spot]) {
        for spot in spots {
            self.rule(layer, self.style.point(spot.at), spot.rule);
        }
    }

    /// An entity no other program knows.
    fn shop_mark(&mut self, at: Point) {
        self.entity("SHOPMARK", layer::ANNOTATION);
        self.at(at);
        self.number(40, self.style.length(12.0));
        self.pair(1, "TABLE 2");
        self.pair(70, "3");
    }
}
