//! A piece: one block of the drawing, in millimetres.

use super::{Labels, LayerUse, Place, SizeName, Stroke};
use kurbo::{Affine, Point, Vec2};
use std::sync::Arc;

/// A point of a stroke.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct StrokePoint {
    /// The index of the stroke in the piece.
    pub stroke: u32,
    /// The index of the point in the stroke.
    pub point: u32,
}

/// A line of the piece: one stroke, or several joined end to end. Consecutive points that coincide count as one.
#[derive(Clone, Debug, PartialEq)]
pub struct Path {
    /// What its layer is used for.
    pub layer_use: LayerUse,
    /// Its points in mm; a closed path does not repeat the first.
    pub points: Arc<[Point]>,
    /// For each point, the point of a stroke that draws it.
    pub from: Vec<StrokePoint>,
    /// Points that are drawn more than once: the index of the point and a further point of a stroke that draws it, sorted by
    /// index.
    pub twins: Vec<(u32, StrokePoint)>,
    /// Whether it closes.
    pub closed: bool,
}

impl Path {
    /// Twice the area, positive where the path runs counter-clockwise.
    #[must_use]
    pub fn doubled_area(&self) -> f64 {
        let n = self.points.len();
        (0..n).map(|i| self.points[i].to_vec2().cross(self.points[(i + 1) % n].to_vec2())).sum()
    }
}

/// What a point entity marks.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum MarkKind {
    /// A turn point of an outline.
    Turn,
    /// A curve point of an outline.
    Curve,
    /// A notch, with its depth in mm and its direction in degrees where they are given.
    Notch {
        /// Group code 30.
        depth: Option<f64>,
        /// Group code 50, in degrees counter-clockwise from X.
        direction: Option<f64>,
    },
    /// A mark inside the piece.
    Internal,
    /// A block that is placed within the piece and draws no notch. Its insertion point does not tell where its lines are.
    Symbol,
}

/// A `POINT` entity, or a block that is placed within the piece (`INSERT`): a notch or drill hole drawn as a symbol.
#[derive(Clone, Debug, PartialEq)]
pub struct Mark {
    /// What it marks.
    pub kind: MarkKind,
    /// The layer's name.
    pub layer: Arc<str>,
    /// Where, in mm.
    pub at: Point,
    /// Where its coordinates stand in the file.
    pub place: Place,
    /// Whether it is a block placed there and not a `POINT`.
    pub symbol: bool,
    /// Whether its plane is seen from behind, so that its X coordinates have the opposite sign.
    pub mirrored: bool,
}

/// A `TEXT` or `MTEXT` entity.
#[derive(Clone, Debug, PartialEq)]
pub struct Text {
    /// What it says.
    pub value: String,
    /// The layer's name.
    pub layer: Arc<str>,
    /// Its insertion point in mm.
    pub at: Point,
    /// Where the insertion point stands in the file.
    pub place: Place,
    /// Whether its plane is seen from behind, so that its X coordinates have the opposite sign.
    pub mirrored: bool,
    /// The alignment point, if there is one, and its place in the file.
    pub aligned: Option<Box<(Place, Point)>>,
}

impl Text {
    /// Its insertion point, then its alignment point, with their places in the file.
    pub fn points(&self) -> impl Iterator<Item = (Place, Point)> {
        std::iter::once((self.place, self.at)).chain(self.aligned.as_deref().copied())
    }

    /// The number of a grade rule text `# n`.
    #[must_use]
    pub fn rule(&self) -> Option<u32> {
        self.value.trim().strip_prefix('#')?.trim().parse().ok()
    }
}

impl crate::finding::Subject for Piece {
    fn name(&self) -> &str {
        &self.name
    }

    fn block(&self) -> usize {
        self.block
    }
}

/// One piece in one size.
#[derive(Clone, Debug, PartialEq)]
pub struct Piece {
    /// The index of its block in the drawing.
    pub block: usize,
    /// The block's name.
    pub block_name: String,
    /// Its texts.
    pub labels: Labels,
    /// The piece's name: its `Piece Name:` text, else the block's name.
    pub name: String,
    /// Its size, if it states one.
    pub size: Option<SizeName>,
    /// How many millimetres one drawing unit of the block is, with the scale of its placing.
    pub scale: f64,
    /// The transformation from the block's coordinates to the drawing's, given by its first `INSERT` if there is one.
    pub placed: Affine,
    /// The value in mm of the last decimal of its coordinates.
    pub resolution: f64,
    /// Its line entities.
    pub strokes: Vec<Stroke>,
    /// Its lines.
    pub paths: Vec<Path>,
    /// Its marks.
    pub marks: Vec<Mark>,
    /// Its texts.
    pub texts: Vec<Text>,
}

impl Piece {
    /// The closed line of this use with the largest area.
    #[must_use]
    pub fn outline(&self, layer_use: LayerUse) -> Option<&Path> {
        let area = |p: &Path| p.doubled_area().abs();
        self.paths_of(layer_use)
            .filter(|p| p.closed && p.points.len() >= 3)
            .max_by(|a, b| area(a).total_cmp(&area(b)))
    }

    /// The lines of this use.
    pub fn paths_of(&self, layer_use: LayerUse) -> impl Iterator<Item = &Path> {
        self.paths.iter().filter(move |p| p.layer_use == layer_use)
    }

    /// The direction of the grain, which may point either way; `None` without a grain line.
    #[must_use]
    pub fn grain(&self) -> Option<Vec2> {
        // The longest straight line counts. Arrow heads are shorter, whether drawn in one line with the shaft or separately.
        let longest = self
            .paths_of(LayerUse::Grain)
            .filter_map(|p| {
                let whole = *p.points.last()? - *p.points.first()?;
                let segments = p.points.windows(2).map(|w| w[1] - w[0]);
                let straight = whole.hypot() > 0.999 * segments.clone().map(Vec2::hypot).sum::<f64>();
                if straight { Some(whole) } else { segments.max_by(|a, b| a.hypot2().total_cmp(&b.hypot2())) }
            })
            .max_by(|a, b| a.hypot2().total_cmp(&b.hypot2()))?;
        (longest.hypot() > 1e-6).then(|| longest.normalize())
    }

    /// Converts a position in mm to the drawing's own coordinates.
    #[must_use]
    pub fn drawn(&self, mm: Point) -> Point {
        self.placed * (mm.to_vec2() / self.scale).to_point()
    }
}
