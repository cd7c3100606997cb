//! The form of a stretch of line, which no motion changes: the length of its chord, and its offsets from the chord at four places
//! in between.

use super::cornered::Corner;
use kurbo::Point;

/// The length of line, in mm, whose form is compared.
pub(super) const LENGTH: f64 = 60.0;
/// The distance, in mm, between the places of a redrawn line at which its form is taken.
pub(super) const STEP: f64 = 1.0;
/// The same for the line of another piece.
pub(super) const OTHER_STEP: f64 = 3.0;
/// The largest difference, in mm, between two lines that lie on each other: from rounding and from their different vertices.
pub(super) const WITHIN: f64 = 0.25;
/// A line that deviates from its chord by less than this over the length, in mm, is straight or gently curved, as inseams and
/// hips are: such edges agree by accident. Crotch curves have radii of some 100 mm and less.
pub(super) const BOWED: f64 = 4.0;

/// A closed line of another piece, prepared for being laid on redrawn lines.
#[derive(Debug)]
pub struct Other {
    /// The line in its own direction and in the reverse direction.
    pub(super) ways: [Way; 2],
    /// Its corners.
    pub(super) corners: Vec<Corner>,
}

/// The places of a closed line at every [`OTHER_STEP`], in one direction.
#[derive(Debug)]
pub(super) struct Way {
    pub line: Vec<Point>,
    /// For each place, the form of the line from there on, if it is distinctive enough.
    pub forms: Vec<Option<Form>>,
}

impl Other {
    /// `points` are the vertices of the line, the first not repeated.
    #[must_use]
    pub fn new(points: &[Point]) -> Other {
        let forward = every(points, OTHER_STEP, true);
        let backward = forward.iter().rev().copied().collect();
        Other { ways: [forward, backward].map(Way::new), corners: Corner::all(points, true) }
    }
}

impl Way {
    fn new(line: Vec<Point>) -> Way {
        let span = steps(OTHER_STEP);
        // The beginning is repeated at the end, so that stretches continue across the closing point.
        let round: Vec<Point> = line.iter().chain(line.iter().take(span)).copied().collect();
        let bowed = |form: &Form| form.bow() >= BOWED - WITHIN;
        let form = |i: usize| Some(Form::of(&round, i, span)).filter(bowed);
        let forms = if line.len() > span { (0..line.len()).map(form).collect() } else { Vec::new() };
        Way { line, forms }
    }
}

/// The form of a stretch: the length of its chord, and the offsets from it at four places.
#[derive(Clone, Copy, Debug)]
pub(super) struct Form {
    chord: f64,
    pub offsets: [f64; 4],
}

impl Form {
    /// The form over `span` steps from the place `from` on; `places` has to be long enough.
    pub fn of(places: &[Point], from: usize, span: usize) -> Form {
        let at = |k: usize| places[from + k];
        let chord = at(span) - at(0);
        let length = chord.hypot().max(1e-9);
        let off = |k: usize| chord.cross(at(k) - at(0)) / length;
        Form { chord: length, offsets: [1, 2, 3, 4].map(|k| off(span * k / 5)) }
    }

    /// The largest offset of the stretch from its chord.
    pub fn bow(&self) -> f64 {
        self.offsets.iter().map(|o| o.abs()).fold(0.0, f64::max)
    }

    /// The number of keys.
    pub const KEYS: usize = 2 * Form::MIDDLE + 1;

    /// The key of offset 0; no offset is larger than the length of the stretch.
    #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)] // a whole number by the constants
    const MIDDLE: usize = (LENGTH / WITHIN) as usize;

    /// A key for looking forms up, from the offset at the second place.
    pub fn key(&self) -> usize {
        #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)] // within the number of keys
        let key = (self.offsets[1] / WITHIN + Form::MIDDLE as f64).round().clamp(0.0, (Form::KEYS - 1) as f64)
            as usize;
        key
    }

    /// The form of the mirrored line.
    pub fn mirrored(self) -> Form {
        Form { offsets: self.offsets.map(|o| -o), ..self }
    }

    /// Whether two lines of these forms lie on each other.
    pub fn like(&self, other: &Form) -> bool {
        (self.chord - other.chord).abs() <= WITHIN
            && self.offsets.iter().zip(other.offsets).all(|(a, b)| (a - b).abs() <= WITHIN)
    }
}

/// Points of a line at every `step` mm.
pub(super) fn every(line: &[Point], step: f64, closed: bool) -> Vec<Point> {
    let last = line.first().filter(|_| closed);
    let all: Vec<Point> = line.iter().chain(last).copied().collect();
    resampled(&all, &all, step)
}

/// The places on a new line that correspond, edge by edge, to places on the old line at every `step` mm.
pub(super) fn resampled(old: &[Point], new: &[Point], step: f64) -> Vec<Point> {
    let mut places = Vec::new();
    let mut left = 0.0;
    for (o, n) in old.windows(2).zip(new.windows(2)) {
        let length = (o[1] - o[0]).hypot();
        while left <= length && length > 0.0 {
            places.push(n[0].lerp(n[1], left / length));
            left += step;
        }
        left -= length;
    }
    places
}

/// The number of steps in the length whose form is compared.
pub(super) fn steps(step: f64) -> usize {
    // A whole number by the constants.
    #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
    let steps = (LENGTH / step).round() as usize;
    steps
}
