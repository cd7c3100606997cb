//! The sheet for taking measures: how to hold the tape, a line for each size or person, and notes on the trial garment.
//!
//! What it says is *common practice, no source*.

use crate::units::{Mm, Shown};
use kurbo::{BezPath, Point};

/// How to hold the tape, step by step.
pub const STEPS: [&str; 7] = [
    "Over thin, close clothes. Stand upright with both feet flat, a hand's width apart, and look straight ahead; have someone else \
     hold the tape.",
    "Tie a cord around the body where the upper edge of the trousers' waistband will sit, not where the waist is if that is elsewhere. It stays level \
     while the measures are taken.",
    "Lay the tape at the lower edge of the cord in front, down the middle, between the legs, and up the middle behind to the lower \
     edge of the cord. It touches everywhere and presses nowhere: a flat finger fits under it.",
    "Read the whole: that is the crotch length of the body.",
    "For a front and a back part, mark the tape between the legs where the inseams will meet, and read both parts.",
    "Let the person sit, stand again, and measure a second time. Where the two differ by more than 5 mm (3/16 in), measure a third \
     time and keep the two that agree.",
    "Ease is what the seam shall be longer than the body; write 0 where none is wanted. Waistband is its finished height where it is \
     sewn on and not drawn with the pieces; it counts in front and behind.",
];

/// What can be seen on a trial garment, and what it means.
pub const SHOWS: [[&str; 2]; 6] = [
    ["Folds fan out from the fork towards the hips; the seam cuts in", "too short"],
    [
        "The waist is drawn down behind on sitting; folds below the seat pull upwards to the fork",
        "too short behind",
    ],
    ["The waist is drawn down in front; folds run from the fork up to the fly", "too short in front"],
    ["The fork hangs below the body, and cloth folds level above the thighs", "too long"],
    ["Level folds below the seat that hang loose", "too long behind"],
    ["Cloth bulges or folds level below the fly", "too long in front"],
];

/// What to do about what a trial garment shows.
pub const NOTED: &str = "Mark what is seen, pin or open the seam until it is gone, and write by how much.";

/// What to keep in mind.
pub const CAUTION: &str = "Sew a trial garment before cutting good cloth. Folds may have other causes than the length of this seam.";

/// The headings of the sheet: how to measure, the lines to fill in, the trial garment.
pub const HEADINGS: [&str; 3] = ["The crotch length of the body", "Measures", "Notes on the trial garment"];

/// The columns to be filled in for each size or person, and their widths in mm on paper.
pub const COLUMNS: [(&str, f64); 8] = [
    ("size or person", 34.0),
    ("date", 20.0),
    ("crotch length", 24.0),
    ("front part", 21.0),
    ("back part", 21.0),
    ("ease", 16.0),
    ("waistband", 20.0),
    ("pattern measures", 32.0),
];

/// The number of extra lines, for persons or sizes that are not in the drawing.
pub const MORE: usize = 2;

/// The sentence that says in which unit lengths are written on the sheet.
#[must_use]
pub fn written_in(show: Shown) -> String {
    let unit = show.unit_word();
    format!(
        "In {unit}, or with the unit written behind. Front part and back part, where they are taken, stand in place of a share."
    )
}

/// A line of the sheet.
#[derive(Clone, Debug, PartialEq)]
pub struct Row {
    /// The size.
    pub size: String,
    /// The crotch length of the pattern; empty where it could not be measured.
    pub pattern: String,
}

/// The lines for these sizes, followed by empty ones.
pub fn rows<'s>(sizes: impl IntoIterator<Item = (&'s str, Option<Mm>)>, show: Shown) -> Vec<Row> {
    let measured = |length: Option<Mm>| length.map(|l| format!("{} {}", show.length(l), show.unit().sign()));
    let row = |(size, length): (&str, Option<Mm>)| Row {
        size: size.to_owned(),
        pattern: measured(length).unwrap_or_default(),
    };
    let empty = Row { size: String::new(), pattern: String::new() };
    sizes.into_iter().map(row).chain(std::iter::repeat_n(empty, MORE)).collect()
}

/// A line of the picture.
pub enum PictureLine {
    /// The body.
    Body,
    /// The cord around the waist.
    Cord,
    /// The tape.
    Tape,
}

/// The size of the picture, which is drawn with `y` pointing down.
pub const PICTURE: (f64, f64) = (212.0, 190.0);

/// The picture: a body seen from its left, from above the waist to the thighs, with the cord and the tape.
#[must_use]
pub fn picture() -> Vec<(PictureLine, BezPath)> {
    let path = |text: &str| BezPath::from_svg(text).unwrap_or_default();
    vec![
        // Belly and front of the thigh; back, seat and back of the thigh.
        (PictureLine::Body, path("M76 6 C70 22 68 32 66 44 C60 64 60 84 68 104 C74 120 76 146 76 184")),
        (
            PictureLine::Body,
            path(
                "M128 6 C124 20 123 30 126 42 C142 56 156 76 154 100 C152 122 138 132 136 148 C135 162 134 172 132 184",
            ),
        ),
        (PictureLine::Cord, path("M66 40 C84 48 108 48 126 40")),
        (PictureLine::Cord, path("M66 40 C84 35 108 35 126 40")),
        // Down the middle in front, between the legs, up the middle behind.
        (
            PictureLine::Tape,
            path(
                "M66 42 C61 64 61 84 70 106 C76 124 88 136 104 137 C122 138 138 124 146 104 C150 84 140 60 126 42",
            ),
        ),
        (PictureLine::Tape, path("M104 132 L104 142")),
    ]
}

/// The texts beside the picture: the place, the share of the text that lies before that place, and the text.
#[must_use]
pub fn labels() -> Vec<(Point, f64, &'static str)> {
    vec![
        (Point::new(56.0, 40.0), 1.0, "cord, front"),
        (Point::new(136.0, 38.0), 0.0, "cord, back"),
        (Point::new(54.0, 92.0), 1.0, "front part"),
        (Point::new(160.0, 92.0), 0.0, "back part"),
        (Point::new(104.0, 154.0), 0.5, "between"),
        (Point::new(104.0, 165.0), 0.5, "the legs"),
    ]
}
