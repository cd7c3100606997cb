//! One case a check: something wrong that it catches, and the same thing small or declared enough to pass.
//!
//! The amounts on both sides of a tolerance come from where the tolerance comes from: 1/8 in on long seams and
//! 3 to 6 mm of a shorter back inseam (drafting books, from memory), 90° and 180° (derived: the edges mirror,
//! the joined curve is smooth). What is no measure is a fact of the trade, common practice.

use super::{errors, shown};
use crate::check::rules;
use crate::inside::common::dxf::{Dxf, Xy};
use crate::job::{Allowances, Job};
use crate::seam;

/// A check's case.
struct Case {
    /// The check.
    rule: &'static str,
    /// The piece and size it is found at.
    place: (Option<&'static str>, Option<&'static str>),
    /// Other checks that rightly see the same thing.
    also: &'static [&'static str],
    /// Plants what is caught.
    caught: fn(&mut Dxf),
    /// Plants what passes.
    passes: fn(&mut Dxf),
}

/// The vertices of a block's cut line and sew line that are a corner of its seams. The sample draws both lines vertex for
/// vertex.
pub fn corner(dxf: &Dxf, block: &str, which: fn(&seam::Leg) -> usize) -> [usize; 2] {
    let text = dxf.text();
    let opened = super::open(&text);
    let piece = opened.pattern.pieces.iter().find(|p| p.block_name == block).unwrap();
    let leg = seam::find(piece, &Job::default().labels, &Allowances::default()).unwrap();
    let i = leg.drawn.vertex(which(&leg));
    [dxf.vertices(block, "1")[i], dxf.vertices(block, "14")[i]]
}

fn shift_corner(dxf: &mut Dxf, block: &str, which: fn(&seam::Leg) -> usize, by: Xy) {
    for place in corner(dxf, block, which) {
        dxf.shift(place, by);
    }
}

/// Moves the block's notch number `n` along its cut line.
fn slide_notch(dxf: &mut Dxf, block: &str, n: usize, way: f64) {
    let place = dxf.places(block, "4", "POINT")[n];
    let (x, y) = dxf.at(place);
    let line: Vec<Xy> = dxf.vertices(block, "1").into_iter().map(|v| dxf.at(v)).collect();
    let edge = |i: usize| (line[i], line[(i + 1) % line.len()]);
    let away = |i: usize| {
        let ((ax, ay), (bx, by)) = edge(i);
        let (dx, dy) = (bx - ax, by - ay);
        let t = (((x - ax) * dx + (y - ay) * dy) / (dx * dx + dy * dy)).clamp(0.0, 1.0);
        (ax + t * dx - x).hypot(ay + t * dy - y)
    };
    let i = (0..line.len()).min_by(|&a, &b| away(a).total_cmp(&away(b))).unwrap();
    // Walked along the vertices, so that it stays on the edge whatever the way.
    let mut left = way.abs();
    let (mut at, mut next) = ((x, y), if way > 0.0 { i + 1 } else { i });
    loop {
        let to = line[next % line.len()];
        let step = (to.0 - at.0).hypot(to.1 - at.1);
        if step >= left {
            let t = left / step;
            dxf.set(place, (at.0 + t * (to.0 - at.0), at.1 + t * (to.1 - at.1)));
            return;
        }
        left -= step;
        at = to;
        next = if way > 0.0 { next + 1 } else { next + line.len() - 1 };
    }
}

/// Sets a vertex of the cut line out from the middle of its neighbours.
fn bulge(dxf: &mut Dxf, block: &str, vertex: usize, by: f64) {
    let v = dxf.vertices(block, "1");
    let (a, b) = (dxf.at(v[vertex - 1]), dxf.at(v[vertex + 1]));
    let (dx, dy) = (b.0 - a.0, b.1 - a.1);
    let length = dx.hypot(dy);
    dxf.shift(v[vertex], (-dy / length * by, dx / length * by));
}

/// A vertex in the middle of the back's outseam.
const OUTSEAM: usize = 150;

fn grain_end(dxf: &mut Dxf, block: &str, end: fn(Xy, Xy) -> (Xy, Xy)) {
    let place = dxf.places(block, "7", "LINE")[0];
    let (a, b) = end(dxf.at(place), dxf.at(place + 2));
    dxf.set(place, a);
    dxf.set(place + 2, b);
}

/// The lower edge of the waistband's cut line, from end to end.
fn band_edge(dxf: &Dxf, block: &str) -> (Xy, Xy) {
    let v = dxf.vertices(block, "1");
    (dxf.at(v[0]), dxf.at(v[1]))
}

fn mirrored(dxf: &mut Dxf, sizes: &[&str], off: f64) {
    for size in sizes {
        let block = format!("WAISTBAND-{size}");
        let (a, b) = band_edge(dxf, &block);
        let off = if *size == "40" { off } else { 0.0 };
        let inward = |p: Xy| (p.0, p.1 + off);
        let (a, b) = (inward(a), inward(b));
        dxf.add_line(&block, "6", a, b);
    }
}

const SIZES: [&str; 7] = ["34", "36", "38", "40", "42", "44", "46"];

/// The end of a grain line turned about its other end.
fn askew(degrees: f64, a: Xy, b: Xy) -> (Xy, Xy) {
    let (sin, cos) = degrees.to_radians().sin_cos();
    let (x, y) = (b.0 - a.0, b.1 - a.1);
    (a, (a.0 + cos * x - sin * y, a.1 + sin * x + cos * y))
}

/// A vertex set out of a line, its neighbours drawn up to 0.3 mm beside its foot.
fn spike(dxf: &mut Dxf, block: &str, layer: &str, vertex: usize, by: f64) {
    let v = dxf.vertices(block, layer);
    let (a, b, c) = (dxf.at(v[vertex - 1]), dxf.at(v[vertex]), dxf.at(v[vertex + 1]));
    let toward = |p: Xy| {
        let length = (p.0 - b.0).hypot(p.1 - b.1);
        (b.0 + 0.3 * (p.0 - b.0) / length, b.1 + 0.3 * (p.1 - b.1) / length)
    };
    dxf.set(v[vertex - 1], toward(a));
    dxf.set(v[vertex + 1], toward(c));
    let (dx, dy) = (c.0 - a.0, c.1 - a.1);
    let length = dx.hypot(dy);
    dxf.shift(v[vertex], (-dy / length * by, dx / length * by));
}

/// A drill hole in the pocket of every size, 30 mm in from the middle of its grain line's first end; in size 40 elsewhere.
fn drilled(dxf: &mut Dxf, elsewhere: fn(&Dxf, Xy) -> Xy) {
    for size in SIZES {
        let block = format!("POCKET-{size}");
        let (x, y) = dxf.at(dxf.places(&block, "7", "LINE")[0]);
        let (x, y) = if size == "40" { elsewhere(dxf, (x, y)) } else { (x, y) };
        dxf.add(
            &block,
            &[("0", "POINT"), ("8", "13"), ("10", &format!("{x:.4}")), ("20", &format!("{y:.4}"))],
        );
    }
}

/// An internal line across the pockets of these sizes.
fn lined(dxf: &mut Dxf, sizes: &[&str]) {
    for size in sizes {
        let block = format!("POCKET-{size}");
        let (x, y) = dxf.at(dxf.places(&block, "7", "LINE")[0]);
        dxf.add_line(&block, "8", (x, y - 10.0), (x, y + 10.0));
    }
}

const CASES: &[Case] = &[
    Case {
        rule: "grain-askew",
        place: (Some("FRONT"), Some("40")),
        also: &[],
        caught: |d| grain_end(d, "FRONT-40", |a, b| askew(3.0, a, b)),
        passes: |d| grain_end(d, "FRONT-40", |a, b| askew(0.8, a, b)),
    },
    Case {
        rule: "outline-spike",
        place: (Some("BACK"), Some("42")),
        also: &["allowance-uneven"],
        caught: |d| spike(d, "BACK-42", "14", OUTSEAM, 1.5),
        passes: |d| spike(d, "BACK-42", "14", OUTSEAM, 0.7),
    },
    Case {
        rule: "label-differs",
        place: (Some("POCKET"), Some("38")),
        also: &[],
        caught: |d| d.change("POCKET-38", "Quantity: 2", "Quantity: 3"),
        // Three in all sizes from 42 on.
        passes: |d| {
            for size in &SIZES[4..] {
                d.change(&format!("POCKET-{size}"), "Quantity: 2", "Quantity: 3");
            }
        },
    },
    Case {
        rule: "mark-missing",
        place: (Some("POCKET"), Some("40")),
        also: &[],
        caught: |d| {
            let sizes: Vec<&str> = SIZES.into_iter().filter(|s| *s != "40").collect();
            lined(d, &sizes);
        },
        // In the larger sizes only.
        passes: |d| lined(d, &SIZES[4..]),
    },
    Case {
        rule: "mark-outside",
        place: (Some("POCKET"), Some("40")),
        also: &[],
        caught: |d| drilled(d, |_, (x, y)| (x + 500.0, y)),
        // On the edge, and half a millimetre beyond.
        passes: |d| {
            drilled(d, |d, _| {
                let line = d.vertices("POCKET-40", "1").into_iter().map(|v| d.at(v));
                let lowest = line.fold((f64::MAX, 0.0), |a, b| if b.0 < a.0 { b } else { a });
                (lowest.0 - 0.5, lowest.1)
            });
        },
    },
    Case {
        rule: "unit-doubtful",
        place: (Some("FRONT"), Some("34")),
        also: &[],
        // A leg of 1 m as 40 mm; a leg of 300 mm is a baby's.
        caught: |d| d.scale(0.04),
        passes: |d| d.scale(0.3),
    },
    Case {
        rule: "open-outline",
        place: (Some("FRONT"), Some("40")),
        also: &[],
        caught: |d| d.open("FRONT-40", "1"),
        passes: |d| {
            let first = d.at(d.vertices("FRONT-40", "1")[0]);
            d.open("FRONT-40", "1");
            d.append("FRONT-40", "1", (first.0 + 0.03, first.1));
        },
    },
    Case {
        rule: "crossing-outline",
        place: (Some("BACK"), Some("42")),
        also: &[],
        caught: |d| {
            let v = d.vertices("BACK-42", "1");
            let (a, b) = (d.at(v[60]), d.at(v[61]));
            d.set(v[60], b);
            d.set(v[61], a);
        },
        // A loop of two hundredths of a millimetre: the rounding of an export.
        passes: |d| {
            let v = d.vertices("BACK-42", "1");
            let (a, b) = (d.at(v[60]), d.at(v[61]));
            let length = (b.0 - a.0).hypot(b.1 - a.1);
            d.set(v[61], (a.0 - 0.02 * (b.0 - a.0) / length, a.1 - 0.02 * (b.1 - a.1) / length));
        },
    },
    Case {
        rule: "label-missing",
        place: (Some("POCKET"), Some("38")),
        also: &[],
        caught: |d| d.change("POCKET-38", "Quantity: 2", "Quantity: 0"),
        passes: |d| d.change("POCKET-38", "Quantity: 2", "QUANTITY :2 (pair)"),
    },
    Case {
        rule: "size-missing",
        place: (Some("POCKET"), Some("40")),
        also: &[],
        caught: |d| d.remove("POCKET-40"),
        // A pocket in the sample size only serves all sizes.
        passes: |d| {
            for size in SIZES.iter().filter(|s| **s != "38") {
                d.remove(&format!("POCKET-{size}"));
            }
        },
    },
    Case {
        rule: "size-twice",
        place: (Some("POCKET"), Some("40")),
        also: &[],
        caught: |d| d.copy("POCKET-40", "POCKET-40-NEW"),
        passes: |d| {
            d.copy("POCKET-40", "POCKET-40-R");
            d.add_text("POCKET-40-R", "Annotation: RIGHT");
            d.add_text("POCKET-40", "Annotation: LEFT");
            for size in SIZES.iter().filter(|s| **s != "40") {
                d.copy(&format!("POCKET-{size}"), &format!("POCKET-{size}-R"));
                d.add_text(&format!("POCKET-{size}-R"), "Annotation: RIGHT");
                d.add_text(&format!("POCKET-{size}"), "Annotation: LEFT");
            }
        },
    },
    Case {
        rule: "grain-missing",
        place: (Some("FLY"), Some("44")),
        also: &[],
        caught: |d| grain_end(d, "FLY-44", |a, _| (a, a)),
        // The arrow the other way up, in every size.
        passes: |d| {
            for size in SIZES {
                grain_end(d, &format!("FLY-{size}"), |a, b| (b, a));
            }
        },
    },
    Case {
        rule: "grain-outside",
        place: (Some("POCKET"), Some("36")),
        also: &[],
        caught: |d| grain_end(d, "POCKET-36", |a, b| ((a.0 - 52.0, a.1), b)),
        // To the pocket's point, 10 mm of allowance outside its sew line, and half a millimetre beyond.
        passes: |d| {
            let lowest = d
                .vertices("POCKET-36", "1")
                .into_iter()
                .map(|v| d.at(v))
                .fold((f64::MAX, 0.0), |a, b| if b.0 < a.0 { b } else { a });
            let place = d.places("POCKET-36", "7", "LINE")[0];
            d.set(place, (lowest.0 - 0.5, lowest.1));
        },
    },
    Case {
        rule: "grain-short",
        place: (Some("FRONT"), Some("36")),
        also: &[],
        caught: |d| grain_end(d, "FRONT-36", |a, _| (a, (a.0 + 30.0, a.1))),
        passes: |d| grain_end(d, "FRONT-36", |a, _| (a, (a.0 + 120.0, a.1))),
    },
    Case {
        rule: "half-unmarked",
        place: (Some("WAISTBAND"), Some("40")),
        also: &[],
        caught: |d| mirrored(d, &SIZES, 2.0),
        passes: |d| mirrored(d, &SIZES, 0.5),
    },
    Case {
        rule: "notch-off-edge",
        place: (Some("WAISTBAND"), Some("38")),
        also: &[],
        caught: |d| {
            let notch = d.places("WAISTBAND-38", "4", "POINT")[1];
            let middle = d.at(d.places("WAISTBAND-38", "7", "LINE")[0]).1;
            let (_, y) = d.at(notch);
            d.shift(notch, (0.0, 3.0 * (middle - y).signum()));
        },
        passes: |d| {
            let notch = d.places("WAISTBAND-38", "4", "POINT")[1];
            let middle = d.at(d.places("WAISTBAND-38", "7", "LINE")[0]).1;
            let (_, y) = d.at(notch);
            d.shift(notch, (0.0, 0.8 * (middle - y).signum()));
        },
    },
    Case {
        rule: "allowance-uneven",
        place: (Some("BACK"), Some("40")),
        also: &["outline-spike"],
        caught: |d| bulge(d, "BACK-40", OUTSEAM, 2.0),
        passes: |d| bulge(d, "BACK-40", OUTSEAM, 0.7),
    },
    Case {
        rule: "inseam-mismatch",
        place: (Some("BACK"), Some("40")),
        // The notches are walked from the hem, which is what moved.
        also: &["notch-mismatch"],
        caught: |d| shift_corner(d, "BACK-40", |l| l.hem_in, (-5.0, 0.0)),
        passes: |d| shift_corner(d, "BACK-40", |l| l.hem_in, (-2.0, 0.0)),
    },
    Case {
        rule: "outseam-mismatch",
        place: (Some("BACK"), Some("40")),
        // The step of the back is out of line as well.
        also: &["notch-mismatch", "grade-step"],
        caught: |d| shift_corner(d, "BACK-40", |l| l.hem_out, (-8.0, 0.0)),
        passes: |d| shift_corner(d, "BACK-40", |l| l.hem_out, (-2.0, 0.0)),
    },
    Case {
        rule: "notch-mismatch",
        place: (Some("BACK"), Some("40")),
        also: &[],
        caught: |d| slide_notch(d, "BACK-40", 0, 4.0),
        passes: |d| slide_notch(d, "BACK-40", 0, 1.2),
    },
    Case {
        rule: "fork-angle",
        place: (Some("BACK"), Some("40")),
        also: &[],
        caught: |d| shift_corner(d, "BACK-40", |l| l.fork, (1.4, 0.0)),
        passes: |d| shift_corner(d, "BACK-40", |l| l.fork, (0.2, 0.0)),
    },
    Case {
        rule: "corner-not-square",
        place: (Some("FRONT"), Some("40")),
        also: &[],
        caught: |d| shift_corner(d, "FRONT-40", |_| 0, (1.5, 0.0)),
        passes: |d| shift_corner(d, "FRONT-40", |_| 0, (0.4, 0.0)),
    },
    Case {
        rule: "grade-step",
        place: (Some("FRONT"), Some("40")),
        also: &[],
        caught: |d| {
            shift_corner(d, "FRONT-40", |l| l.hem_in, (0.0, -3.0));
            shift_corner(d, "FRONT-40", |l| l.hem_out, (0.0, 3.0));
        },
        passes: |d| {
            shift_corner(d, "FRONT-40", |l| l.hem_in, (0.0, -1.0));
            shift_corner(d, "FRONT-40", |l| l.hem_out, (0.0, 1.0));
        },
    },
];

#[test]
fn every_check_has_its_case() {
    let cases: Vec<&str> = CASES.iter().map(|c| c.rule).collect();
    let mut names: Vec<&str> = rules::ALL.iter().map(|r| r.name).collect();
    assert!(names.iter().all(|n| cases.contains(n)), "{names:?}");
    names.sort_unstable();
    names.dedup();
    assert_eq!(names.len(), rules::ALL.len());
}

#[test]
fn what_is_wrong_is_caught_with_its_place() {
    for case in CASES {
        let mut dxf = Dxf::sample();
        (case.caught)(&mut dxf);
        let text = dxf.text();
        let found = errors(&text);
        let own: Vec<_> = found.iter().filter(|f| f.id.as_str() == case.rule).collect();
        assert!(!own.is_empty(), "{}: nothing found\n{}", case.rule, shown(&found));
        for f in &found {
            let id = f.id.as_str();
            assert!(id == case.rule || case.also.contains(&id), "{}: also\n{}", case.rule, shown(&found));
            assert_eq!(f.size.as_deref(), case.place.1, "{}\n{}", case.rule, shown(&found));
            let line = f.line.unwrap();
            assert!(line > 1 && line <= text.lines().count(), "{}", shown(&found));
        }
        assert!(own.iter().any(|f| f.piece.as_deref() == case.place.0), "{}\n{}", case.rule, shown(&found));
    }
}

#[test]
fn a_near_miss_passes() {
    for case in CASES {
        let mut dxf = Dxf::sample();
        let before = dxf.text();
        (case.passes)(&mut dxf);
        let text = dxf.text();
        assert_ne!(before, text, "{}", case.rule);
        let found = errors(&text);
        assert!(found.is_empty(), "{}:\n{}", case.rule, shown(&found));
    }
}

/// The line of the file that a finding names is that of the number that is wrong.
#[test]
fn the_line_is_that_of_the_number() {
    let mut dxf = Dxf::sample();
    let notch = dxf.places("WAISTBAND-38", "4", "POINT")[1];
    dxf.shift(notch, (0.0, 500.0));
    let text = dxf.text();
    let found = errors(&text);
    assert_eq!(found.len(), 1, "{}", shown(&found));
    let at = found[0].at.unwrap();
    let line = text.lines().nth(found[0].line.unwrap() - 1).unwrap();
    assert_eq!(line, format!("{:.4}", at[0]));
    assert!((at[0] - dxf.at(notch).0).abs() < 1e-9 && (at[1] - dxf.at(notch).1).abs() < 1e-9);
}

/// The check, and what is planted for it.
type Row = (&'static str, fn(&mut Dxf));

/// Further ways in which things go wrong.
#[test]
fn more_that_is_wrong_is_caught() {
    let rows: &[Row] = &[
        // Legs in inches called millimetres, and the other way round: 40 mm and 25 m.
        ("unit-doubtful", |d| {
            *d = Dxf::read("plain-inch.dxf");
            d.change("", "Units: ENGLISH", "Units: METRIC");
        }),
        ("unit-doubtful", |d| d.change("", "Units: METRIC", "Units: ENGLISH")),
        ("label-missing", |d| d.change("BACK-42", "Material: MAIN FABRIC", "Material:")),
        ("label-missing", |d| d.change("FLY-42", "Piece Name: FLY", "Name: FLY")),
        ("half-unmarked", |d| d.add_text("POCKET-42", "Annotation: CUT ON FOLD")),
        ("half-unmarked", |d| mirrored(d, &SIZES[1..], 0.0)),
        ("open-outline", |d| d.open("BACK-42", "14")),
        ("crossing-outline", |d| {
            let v = d.vertices("FLY-38", "14");
            let (a, b) = (d.at(v[3]), d.at(v[6]));
            d.set(v[3], b);
            d.set(v[6], a);
        }),
        // End for end; across the leg; a quarter of a turn in a pocket.
        ("grain-reversed", |d| grain_end(d, "FRONT-40", |a, b| (b, a))),
        ("grain-reversed", |d| grain_end(d, "WAISTBAND-34", |a, b| (b, a))),
        ("grain-askew", |d| grain_end(d, "BACK-46", |a, b| askew(-3.0, a, b))),
        ("grain-askew", |d| {
            grain_end(d, "BACK-40", |a, b| askew(90.0, (f64::midpoint(a.0, b.0), a.1), b));
        }),
        ("grain-askew", |d| {
            for size in SIZES {
                grain_end(d, &format!("BACK-{size}"), |a, b| askew(90.0, (f64::midpoint(a.0, b.0), a.1), b));
            }
        }),
        ("outline-spike", |d| spike(d, "BACK-42", "1", OUTSEAM, -1.5)),
        // A vertex that slipped, its neighbours where they were.
        ("outline-spike", |d| bulge(d, "BACK-42", OUTSEAM, 1.6)),
        ("label-differs", |d| d.change("FRONT-46", "Material: MAIN FABRIC", "Material: LINING")),
        // Both notches of a pair, each 10 mm off: neither front nor back has its mate.
        ("notch-mismatch", |d| slide_notch(d, "BACK-40", 0, 10.0)),
        ("notch-mismatch", |d| slide_notch(d, "FRONT-40", 0, -10.0)),
        // The cut line 4 mm further out along a whole edge of one size.
        ("allowance-uneven", |d| {
            let v = d.vertices("WAISTBAND-40", "1");
            let (a, b) = (d.at(v[0]), d.at(v[1]));
            let out = if a.1 > d.at(d.places("WAISTBAND-40", "7", "LINE")[0]).1 { 4.0 } else { -4.0 };
            assert!((a.1 - b.1).abs() < 1e-9 || (a.0 - b.0).abs() < 1e-9);
            let by = if (a.1 - b.1).abs() < 1e-9 { (0.0, out) } else { (4.0, 0.0) };
            d.shift(v[0], by);
            d.shift(v[1], by);
        }),
        // A pocket of another size under this size's name.
        ("grade-step", |d| {
            d.remove("POCKET-40");
            d.copy("POCKET-46", "POCKET-40");
            d.change("POCKET-40", "Size: 46", "Size: 40");
            let v = d.vertices("POCKET-40", "1");
            let w = d.vertices("POCKET-40", "14");
            for i in [0, 1] {
                d.shift(v[i], (0.0, -6.0));
                d.shift(w[i], (0.0, -6.0));
            }
        }),
    ];
    for (i, (id, plant)) in rows.iter().enumerate() {
        let mut dxf = Dxf::sample();
        plant(&mut dxf);
        let found = errors(&dxf.text());
        assert!(found.iter().any(|f| f.id.as_str() == *id), "{i} {id}:\n{}", shown(&found));
    }
}

/// All checks are documented in one form, and every tolerance they name is a key of the job file.
#[test]
fn every_check_is_documented() {
    let headings = [
        "# What it finds",
        "# Why it matters on the cutting table",
        "# How it is measured",
        "# Tolerance",
        "# Where the tolerance comes from",
    ];
    for rule in rules::ALL {
        let path =
            crate::inside::common::root().join(format!("src/check/rules/{}.rs", rule.name.replace('-', "_")));
        let text = std::fs::read_to_string(&path).unwrap();
        let doc: Vec<&str> = text.lines().map_while(|l| l.strip_prefix("//!")).map(str::trim).collect();
        let found: Vec<&str> = doc.iter().copied().filter(|l| l.starts_with('#')).collect();
        assert_eq!(found, headings, "{}", path.display());
        let from = doc.iter().position(|l| *l == headings[3]).unwrap();
        let to = doc.iter().position(|l| *l == headings[4]).unwrap();
        let named: Vec<&str> = doc[from..to].iter().flat_map(|l| l.split('`').skip(1).step_by(2)).collect();
        let known = |key: &&str| crate::job::Tolerances::KEYS.iter().any(|(k, _)| k == key);
        assert!(named.iter().all(known), "{}: {named:?}", path.display());
        assert!(!named.is_empty() || doc[from + 1] == "None.", "{}", path.display());
    }
}

/// What is found is what `shapely` finds on the same drawing, read by `ezdxf`.
#[test]
fn shapely_sees_the_same() {
    let Some(python) = crate::inside::common::python() else { return };
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("planted.dxf");
    let mut dxf = Dxf::sample();
    for rule in ["crossing-outline", "grain-outside", "notch-off-edge"] {
        (CASES.iter().find(|c| c.rule == rule).unwrap().caught)(&mut dxf);
    }
    std::fs::write(&path, dxf.text()).unwrap();
    let output = crate::inside::common::run(&python, "outlines.py", &[&path.to_string_lossy()]);
    assert!(output.status.success(), "{}", crate::inside::common::said(&output));
    let text = String::from_utf8(output.stdout).unwrap();
    let found = errors(&dxf.text());
    let has = |block: &str, id: &str| {
        found.iter().any(|f| {
            let name = format!("{}-{}", f.piece.as_deref().unwrap(), f.size.as_deref().unwrap());
            name == block && f.id.as_str() == id
        })
    };
    assert_eq!(text.lines().count(), 35);
    for line in text.lines() {
        let words: Vec<&str> = line.split(' ').collect();
        let [block, cut, sew, inside, off, ..] = words[..] else { panic!("{line}") };
        assert_eq!(has(block, "crossing-outline"), cut == "False" || sew == "False", "{line}");
        assert_eq!(has(block, "grain-outside"), inside == "False", "{line}");
        let off: f64 = off.parse().unwrap();
        assert_eq!(has(block, "notch-off-edge"), off > 1.0, "{line}");
        let said = found.iter().filter(|f| f.id.as_str() == "notch-off-edge");
        assert!(
            off <= 1.0 || said.clone().any(|f| f.message.contains(&format!("{off:.2} mm"))),
            "{line}\n{}",
            shown(&found)
        );
    }
}
