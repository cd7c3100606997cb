//! Notches of front and back that are sewn together, by hand-calculated numbers, on the legs of [`super::sewn`]: the outseam
//! is 684 mm long and runs straight up from the hem, the inseam 483 mm.

use super::drawn::{Block, Xy, drawing, said, said_within, x_line};
use super::sewn::{FORK, HEM_IN, HEM_OUT, SIDE, SIZES, block, sew};
use crate::alter::{Carried, Change};
use crate::check::rules::parted;
use crate::job::Job;
use crate::seam::{self, Pair};
use crate::units::Mm;
use kurbo::Vec2;

/// The front's and the back's notches on a seam, each by how far it is from the hem and outside the sew line.
type Notches<'n> = (&'n [Xy], &'n [Xy]);

/// Where a notch of a seam stands: from the hem upwards; the inseam's outside is on the right.
fn place(name: &str, k: usize, inseam: bool, (up, outside): Xy) -> Xy {
    let line = sew(name, k);
    let (x, y) = if inseam { line[HEM_IN] } else { line[HEM_OUT] };
    (if inseam { x + outside } else { x - outside }, y + up)
}

/// Trousers with these notches in each size; `longer` makes the back's seam so much longer at the hem.
fn notched(inseam: bool, sizes: &[Notches<'_>], longer: f64) -> String {
    let mut blocks: Vec<Block> = Vec::new();
    for (k, (front, back)) in sizes.iter().enumerate() {
        for (name, notches) in [("FRONT", front), ("BACK", back)] {
            let mut line = sew(name, k);
            if name == "BACK" {
                line[if inseam { HEM_IN } else { HEM_OUT }].1 -= longer;
            }
            let places = notches.iter().map(|&n| place(name, k, inseam, n));
            blocks.push(places.fold(block(name, SIZES[k], &line), Block::notch));
        }
    }
    drawing(&blocks)
}

/// 1/8 in, here so that it is exact in binary.
const WITHIN: [(&str, &str); 1] = [("notch_pair", "3.25")];

fn found(text: &str) -> Vec<String> {
    said_within(text, "notch-mismatch", &WITHIN)
}

fn start(text: &str, name: &str, k: usize, notch: usize, (x, y): Xy) -> String {
    let line = x_line(text, &format!("{name}-{}", SIZES[k]), ("POINT", "4"), notch);
    format!("error {name} {} at {x:.2},{y:.2} line {line}: ", SIZES[k])
}

#[test]
fn a_notch_has_its_counterpart() {
    for inseam in [false, true] {
        let seam = if inseam { "inseam" } else { "outseam" };
        for (front, back) in [(205.0, 208.2), (205.0, 201.8)] {
            assert_eq!(found(&notched(inseam, &[(&[(front, 0.0)], &[(back, 0.0)])], 0.0)), [""; 0]);
        }
        for (front, back) in [(205.0, 208.5), (205.0, 201.5)] {
            let text = notched(inseam, &[(&[(front, 0.0)], &[(back, 0.0)])], 0.0);
            let one = |name: &str, up: f64, mate: &str| {
                let start = start(&text, name, 0, 0, place(name, 0, inseam, (up, 0.0)));
                format!(
                    "{start}the notch on the {seam}, {up:.1} mm from the hem, has no counterpart on the {mate}: the nearest is \
                     3.50 mm away (at most 3.25 mm); walk the two seams along each other from the hem, and move the notch that is \
                     wrong or add the one that is missing"
                )
            };
            assert_eq!(found(&text), [one("FRONT", front, "back"), one("BACK", back, "front")]);
        }
        let text = notched(inseam, &[(&[], &[(205.0, 0.0)])], 0.0);
        let alone = format!(
            "{}the notch on the {seam}, 205.0 mm from the hem, has no counterpart on the front: the front's {seam} has no \
             notch; draw one there, as far from the hem, or take this one out",
            start(&text, "BACK", 0, 0, place("BACK", 0, inseam, (205.0, 0.0)))
        );
        assert_eq!(found(&text), [alone]);
    }
}

/// A seam that is 5 mm longer is eased in where it suits: its notches may be up to 5 mm further along, and 3.25 mm more.
#[test]
fn ease_is_put_where_it_suits() {
    // From the hem, which is 5 mm lower in the back: as far up the leg, so 5 mm further along from there.
    for (shift, apart) in [(0.0, None), (3.2, None), (-8.2, None), (3.5, Some("3.50")), (-8.5, Some("3.50"))]
    {
        let text = notched(false, &[(&[(205.0, 0.0)], &[(205.0 + shift, 0.0)])], 5.0);
        let found = found(&text);
        match apart {
            None => assert_eq!(found, [""; 0], "{shift}"),
            Some(apart) => {
                let nearest = format!("the nearest is {apart} mm away");
                assert!(found.len() == 2 && found.iter().all(|f| f.contains(&nearest)), "{shift} {found:?}");
            }
        }
    }
    // The back's seam the shorter one.
    for (shift, fits) in [(-3.2, true), (8.2, true), (-3.5, false), (8.5, false)] {
        let text = notched(false, &[(&[(205.0, 0.0)], &[(205.0 + shift, 0.0)])], -5.0);
        assert_eq!(found(&text).is_empty(), fits, "{shift}");
    }
}

/// A double notch tells the back from the front and is up to 1/2 in wide (common practice, no source).
#[test]
fn a_double_notch_is_one_mark() {
    for (wide, fits) in [(8.0, true), (14.0, true), (14.25, false)] {
        let text = notched(false, &[(&[(205.0, 0.0)], &[(205.0, 0.0), (205.0 + wide, 0.0)])], 0.0);
        assert_eq!(found(&text).is_empty(), fits, "{wide}");
        // Drawn in any order; the single one at either of the two.
        let text = notched(false, &[(&[(205.0 + wide, 0.0)], &[(205.0 + wide, 0.0), (205.0, 0.0)])], 0.0);
        assert_eq!(found(&text).is_empty(), fits, "{wide}");
    }
}

/// A notch belongs to the seam that is nearest to it, up to 60 mm away. At a corner it marks the corner: nearer to it than
/// 2 mm and once and a half of its distance from the sew line, as far as a mitre reaches.
#[test]
fn a_notch_belongs_to_its_seam() {
    for (at, counts) in [
        ((205.0, 0.0), true),
        ((205.0, 60.0), true),
        ((205.0, 60.5), false),
        ((205.0, -10.0), true),
        ((2.0, 0.0), false),
        ((2.25, 0.0), true),
        ((682.0, 0.0), false),
        ((681.75, 0.0), true),
        ((17.0, 10.0), false),
        ((17.25, 10.0), true),
        ((667.0, 10.0), false),
        ((666.75, 10.0), true),
    ] {
        let text = notched(false, &[(&[at], &[])], 0.0);
        assert_eq!(found(&text).len(), usize::from(counts), "{at:?}");
    }
    // On the inseam of 483 mm alike.
    for (at, counts) in
        [((480.75, 0.0), true), ((481.0, 0.0), false), ((2.25, 0.0), true), ((2.0, 0.0), false)]
    {
        let text = notched(true, &[(&[at], &[])], 0.0);
        assert_eq!(found(&text).len(), usize::from(counts), "{at:?}");
    }
    // At the hem, at the waist, at the crotch seam it is none of the leg seams'.
    let line = sew("FRONT", 0);
    let middle =
        |a: usize, b: usize| (f64::midpoint(line[a].0, line[b].0), f64::midpoint(line[a].1, line[b].1));
    for place in [middle(HEM_IN, HEM_OUT), middle(SIDE, 0), middle(FORK - 1, FORK)] {
        let legs = [block("FRONT", "31", &line).notch(place), block("BACK", "31", &sew("BACK", 0))];
        assert_eq!(found(&drawing(&legs)), [""; 0], "{place:?}");
    }
}

/// A notch that is near a corner on one of the two edges only, as on the short inseam of shorts, is the counterpart of the other all
/// the same, to the same tolerance; both are that of nothing where both are near it.
#[test]
fn a_notch_near_a_corner_may_be_a_counterpart() {
    for (front, back, fits) in [
        ((17.25, 10.0), (16.0, 10.0), true),
        ((17.25, 10.0), (14.0, 10.0), true),
        ((17.25, 10.0), (13.75, 10.0), false),
        ((16.0, 10.0), (17.25, 10.0), true),
        ((9.0, 10.0), (16.0, 10.0), true),
    ] {
        for inseam in [true, false] {
            let text = notched(inseam, &[(&[front], &[back])], 0.0);
            assert_eq!(found(&text).is_empty(), fits, "{front:?} {back:?} {inseam}");
        }
    }
}

/// A seam with a vertex of its own is walked around it, and a slit drawn as a line counts where it begins.
#[test]
fn a_seam_is_walked_around_its_vertices() {
    // The outseam leaves the hem 28 mm inwards over 195 mm (a way of 197 mm: 28² + 195² = 197²) and runs on up to the side.
    let bent = |name: &str| {
        let mut line = sew(name, 0);
        let (x, y) = line[HEM_OUT];
        line[HEM_OUT].0 = x + 28.0;
        line.insert(SIDE, (x, y + 195.0));
        line
    };
    let (front, back) = (bent("FRONT"), bent("BACK"));
    let (x, y) = front[SIDE];
    // 40 mm above the vertex; the slit from the sew line outwards.
    let legs = [
        block("FRONT", "31", &front).line("4", (x, y + 40.0), (x - 6.0, y + 41.0)),
        block("BACK", "31", &back),
    ];
    let text = drawing(&legs);
    let line = x_line(&text, "FRONT-31", ("LINE", "4"), 0) - 4;
    let meant = |up: &str, line: usize, (x, y): Xy| {
        format!(
            "error FRONT 31 at {x:.2},{y:.2} line {line}: the notch on the outseam, {up} mm from the hem, has no counterpart on \
             the back: the back's outseam has no notch; draw one there, as far from the hem, or take this one out"
        )
    };
    assert_eq!(found(&text), [meant("237.0", line - 1, (x, y + 40.0))]);
    // Below the vertex, a quarter of the way of 197 mm above the hem.
    let below = (x + 21.0, y - 146.25);
    let text = drawing(&[block("FRONT", "31", &front).notch(below), block("BACK", "31", &back)]);
    let line = x_line(&text, "FRONT-31", ("POINT", "4"), 0);
    assert_eq!(found(&text), [meant("49.2", line, below)]);
}

#[test]
fn a_notch_meets_the_other_alike_in_every_size() {
    // The front's notch is graded by 7 mm.
    let pair = |shifts: &[f64]| {
        let at = |k: usize, shift: f64| [(205.0 + 7.0 * k as f64 + shift, 0.0)];
        let each = shifts.iter().enumerate().map(|(k, shift)| (at(k, 0.0), at(k, *shift)));
        let notches: Vec<([Xy; 1], [Xy; 1])> = each.collect();
        let sizes: Vec<Notches<'_>> = notches.iter().map(|(f, b)| (&f[..], &b[..])).collect();
        notched(false, &sizes, 0.0)
    };
    assert_eq!(found(&pair(&[2.0, 2.0, -1.2])), [""; 0]);
    let text = pair(&[2.0, 2.0, -1.5]);
    let meant = format!(
        "{}the notch on the outseam, 217.5 mm from the hem, is 3.50 mm off where it meets the front's in the other sizes (at \
         most 3.25 mm); walk the seams and set the notches together",
        start(&text, "BACK", 2, 0, place("BACK", 2, false, (217.5, 0.0)))
    );
    assert_eq!(found(&text), [meant]);
    assert_eq!(found(&pair(&[-1.5, 2.0, 2.0])).len(), 1);
    // Two sizes do not tell which of them is right.
    assert_eq!(found(&pair(&[3.0, -3.0])), [""; 0]);

    // A size is compared with those that have as many marks; of two marks the second may be the one that is off.
    let (low, high) = ((205.0, 0.0), (405.0, 0.0));
    let (one, two) = ([low], [low, high]);
    let (one_off, two_off) = ([(202.0, 0.0)], [low, (408.0, 0.0)]);
    let sizes: [Notches<'_>; 5] =
        [(&one, &one), (&one, &one), (&one, &one_off), (&two, &two), (&two, &two_off)];
    assert_eq!(found(&notched(false, &sizes, 0.0)), [""; 0], "3.00 mm off is within 3.25 mm");
    let (lower, higher) = ([(203.0, 0.0)], [(207.0, 0.0)]);
    let sizes: [Notches<'_>; 5] = [
        (&one, &higher),
        (&one, &higher),
        (&one, &lower),
        (&two, &[(203.0, 0.0), high]),
        (&two, &[(203.0, 0.0), high]),
    ];
    let text = notched(false, &sizes, 0.0);
    assert_eq!(found(&text).len(), 1);
    assert!(
        found(&text)[0].starts_with("error BACK 35 ") && found(&text)[0].contains("is 4.00 mm off"),
        "{:?}",
        found(&text)
    );
    let sizes: [Notches<'_>; 3] =
        [(&two, &[low, (407.0, 0.0)]), (&two, &[low, (402.5, 0.0)]), (&two, &[low, (407.0, 0.0)])];
    let text = notched(false, &sizes, 0.0);
    let meant = format!(
        "{}the notch on the outseam, 402.5 mm from the hem, is 4.50 mm off where it meets the front's in the other sizes (at \
         most 3.25 mm); walk the seams and set the notches together",
        start(&text, "BACK", 1, 1, place("BACK", 1, false, (402.5, 0.0)))
    );
    assert_eq!(found(&text), [meant]);
    // Two marks of a longer back may both have the front's one within the ease; no pair of them is compared.
    let sizes: [Notches<'_>; 3] = [(&one, &[(185.0, 0.0), (200.0, 0.0)]); 3];
    assert_eq!(found(&notched(false, &sizes, 20.0)), [""; 0]);
    // A size with a notch too many is said once, and not compared.
    let sizes: [Notches<'_>; 3] = [(&one, &higher), (&one, &higher), (&two, &lower)];
    let text = notched(false, &sizes, 0.0);
    assert_eq!(said(&text, "notch-mismatch").len(), 1, "{:?}", found(&text));
}

/// An alteration that moves the notch of one inseam further than that of the other parts them; notches that did not meet before are no
/// fault of it.
#[test]
fn notches_that_an_alteration_parts_are_told_of() {
    let pieces = |up: f64| notched(true, &[(&[(205.0, 0.0)], &[(up, 0.0)])], 0.0);
    let found = |text: &str, moved: [f64; 2]| -> Vec<String> {
        let opened = super::open(text);
        let sizes = seam::sizes(&opened.pattern, &Job::default().labels);
        let pair = sizes[0].pair().unwrap();
        let changes = moved.map(|by| {
            let carried = Carried { marks: vec![(0, Vec2::new(0.0, by))], ..Carried::default() };
            Change { carried, ..Change::default() }
        });
        let altered = Pair { front: (&pair.front.leg, &changes[0]), back: (&pair.back.leg, &changes[1]) };
        let told = parted(pair, altered, Mm(3.25)).into_iter();
        told.map(|f| format!("{} {} {}", f.severity.word(), f.piece.unwrap(), f.message)).collect()
    };
    for (up, moved) in [(205.0, [-9.0, -9.0]), (205.0, [-9.0, -12.0]), (208.5, [0.0, 9.0])] {
        assert_eq!(found(&pieces(up), moved), [""; 0], "{up} {moved:?}");
    }
    let said = |name: &str, up: f64, mate: &str| {
        format!(
            "error {name} the notch on the inseam, {up:.1} mm from the hem, met one of the {mate} and no longer does: the nearest would be \
             3.50 mm away (at most 3.25 mm). Ask for a smaller change, let the inseam come back further down (--blend-to), or set the two \
             together by hand and --accept notch-mismatch"
        )
    };
    assert_eq!(
        found(&pieces(205.0), [-9.0, -12.5]),
        [said("FRONT", 196.0, "back"), said("BACK", 192.5, "front")]
    );
}
