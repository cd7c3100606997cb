//! What front and back legs have to do with each other, by hand-calculated numbers.
//!
//! Every leg is drawn with few corners. Inseam and outseam are straight down the grain and 483 mm and 684 mm long; the crotch
//! seam of 277 mm runs 135 mm down, 52 mm and 30 mm aslant (5 to 12 to 13, 3 to 4 to 5) and 60 mm across to the fork, so that
//! front and back make 90° each there. The waist is 157 mm in front and 176 mm in the back and grows by 10 mm a size, as the
//! hem does.

use super::drawn::{Block, Xy, drawing, piece, said, said_within, x_line};

/// The corners of a leg in the order in which it is drawn.
pub const WAIST: usize = 0;
pub const FORK: usize = 4;
pub const HEM_IN: usize = 5;
pub const HEM_OUT: usize = 6;
pub const SIDE: usize = 7;

/// The sew line of a leg, `grow` sizes larger than the first one.
pub fn sew(name: &str, grow: usize) -> Vec<Xy> {
    let wide = 10.0 * grow as f64;
    let (x, y, waist) =
        if name == "FRONT" { (420.0, 610.0, 157.0 + wide) } else { (470.0, 730.0, 176.0 + wide) };
    let corners = [
        (0.0, 201.0),
        (0.0, 66.0),
        (20.0, 18.0),
        (44.0, 0.0),
        (104.0, 0.0),
        (104.0, -483.0),
        (-waist, -483.0),
        (-waist, 201.0),
    ];
    corners.map(|(dx, dy)| (x + dx, y + dy)).to_vec()
}

pub fn block(name: &str, size: &str, sew: &[Xy]) -> Block {
    let (x, y) = sew[FORK];
    piece(name, size).closed("14", sew).line("7", (x - 60.0, y - 400.0), (x - 60.0, y - 40.0))
}

pub const SIZES: [&str; 5] = ["31", "33", "35", "37", "39"];

/// Trousers in some sizes, each leg with what is done to its sew line.
fn trousers(sizes: &[&str], change: impl Fn(&str, usize, &mut Vec<Xy>)) -> String {
    let legs = sizes.iter().enumerate().flat_map(|(k, size)| ["FRONT", "BACK"].map(|name| (k, *size, name)));
    let blocks: Vec<Block> = legs
        .map(|(k, size, name)| {
            let mut line = sew(name, k);
            change(name, k, &mut line);
            block(name, size, &line)
        })
        .collect();
    drawing(&blocks)
}

/// The beginning of what is said at a corner of a leg.
fn at(text: &str, severity: &str, name: &str, k: usize, corner: usize, (x, y): Xy) -> String {
    let block = format!("{name}-{}", SIZES[k]);
    let line = x_line(text, &block, ("VERTEX", "14"), corner);
    format!("{severity} {name} {} at {x:.2},{y:.2} line {line}: ", SIZES[k])
}

const SEAM_CHECKS: [&str; 6] = [
    "inseam-mismatch",
    "outseam-mismatch",
    "notch-mismatch",
    "fork-angle",
    "corner-not-square",
    "grade-step",
];

#[test]
fn these_trousers_are_in_order() {
    let text = trousers(&SIZES, |_, _, _| {});
    for id in SEAM_CHECKS {
        assert_eq!(said(&text, id), [""; 0], "{id}");
    }
    let opened = super::open(&text);
    let job = crate::job::Job::default();
    let sheet = crate::check::Sheet::new(&opened, &job);
    assert_eq!(sheet.pairs().count(), 5);
}

#[test]
fn inseams_differ_by_what_can_be_sewn() {
    let within = [("inseam_shorter", "8"), ("inseam_longer", "3.25")];
    for (longer, way) in
        [(3.25, None), (3.5, Some("3.50 mm longer")), (-8.0, None), (-8.25, Some("8.25 mm shorter"))]
    {
        let text = trousers(&SIZES[..2], |name, k, line| {
            if (name, k) == ("BACK", 1) {
                line[HEM_IN].1 -= longer;
            }
        });
        let meant = way.map(|way| {
            let start = at(&text, "error", "BACK", 1, HEM_IN, (574.0, 247.0 - longer));
            format!(
                "{start}the back inseam is {way} than the front's ({:.2} mm and 483.00 mm on the sew lines); from 8 mm \
                 shorter to 3.25 mm longer can be sewn together. True the two seams",
                483.0 + longer
            )
        });
        assert_eq!(said_within(&text, "inseam-mismatch", &within), meant.as_slice(), "{longer}");
    }
    for (longer, way) in
        [(6.25, None), (6.5, Some("6.50 mm longer")), (-6.25, None), (-6.5, Some("6.50 mm shorter"))]
    {
        let text = trousers(&SIZES[..2], |name, k, line| {
            if (name, k) == ("BACK", 1) {
                line[HEM_OUT].1 -= longer;
            }
        });
        let meant = way.map(|way| {
            let start = at(&text, "error", "BACK", 1, SIDE, (284.0, 931.0));
            format!(
                "{start}the back outseam is {way} than the front's ({:.2} mm and 684.00 mm on the sew lines); from 6.25 mm \
                 shorter to 6.25 mm longer can be sewn together. True the two seams",
                684.0 + longer
            )
        });
        assert_eq!(
            said_within(&text, "outseam-mismatch", &[("outseam", "6.25")]),
            meant.as_slice(),
            "{longer}"
        );
    }
}

/// A back that is cut off 90 mm below its waist at the centre and 50 mm below at the side, with the yoke that is sewn to it: the
/// seams run on over the yoke, whose corner at the centre is the one to be square (*common practice, no source*).
#[test]
fn seams_run_on_over_a_yoke() {
    let with_yoke = |raised: f64| {
        let mut back = sew("BACK", 0);
        let [waist, side] = [WAIST, SIDE].map(|corner| back[corner]);
        back[WAIST].1 -= 90.0;
        back[SIDE].1 -= 50.0;
        let yoke = [back[WAIST], (waist.0, waist.1 + raised), side, back[SIDE]];
        let yoke = piece("YOKE", SIZES[0]).closed("14", &yoke).line("7", (380.0, 870.0), (380.0, 910.0));
        drawing(&[block("FRONT", SIZES[0], &sew("FRONT", 0)), block("BACK", SIZES[0], &back), yoke])
    };
    for id in ["outseam-mismatch", "corner-not-square"] {
        assert_eq!(said(&with_yoke(0.0), id), [""; 0], "{id}");
    }
    // 44 mm over 176 mm: 14.04°.
    let text = with_yoke(44.0);
    let line = x_line(&text, "YOKE-31", ("VERTEX", "14"), 1);
    let meant = format!(
        "error YOKE 31 at 470.00,975.00 line {line}: centre seam and waist meet at 76.0° in place of 90°: left and right make a corner \
         of 28° in the waist; square the waist at the centre"
    );
    assert_eq!(said(&text, "corner-not-square"), [meant]);
}

/// A slant pocket of 45 by 150 mm in the front: 150 mm of the side lie on the pocket's piece, and the mouth is 156.6 mm long. A hip
/// that is as long as what the back has more is no mouth.
#[test]
fn a_side_that_is_cut_away_along_a_pocket_mouth_is_not_walked() {
    let front = |low: Xy, top: Xy| {
        trousers(&SIZES[..1], |name, _, line| {
            if name == "FRONT" {
                let (x, y) = line[SIDE];
                line.splice(SIDE.., [(x + low.0, y - low.1), (x + top.0, y - top.1)]);
            }
        })
    };
    let text = front((0.0, 150.0), (45.0, 0.0));
    let start = at(&text, "warning", "FRONT", 0, SIDE, (263.0, 661.0));
    let meant = format!(
        "{start}the side seems to be cut away along a pocket mouth, 156.60 mm from end to end: the outseams can be sewn together if the \
         pocket's piece has 150.00 mm of the side. Walk them with that piece; without a pocket there, true the two seams"
    );
    assert_eq!(said(&text, "outseam-mismatch"), [meant]);
    // Too long by 12 mm, over a hip that turns by 5.7°.
    let text = front((0.0, 138.0), (15.0, -12.0));
    assert!(said(&text, "outseam-mismatch")[0].starts_with("error BACK"), "{text}");
}

/// An extension for a vent at the hem of the back, 40 mm wide and 120 mm high, its step level, is no part of the seam, nor is what is cut
/// away for a slit. One that is less high or less wide than a vent is a seam that does not match.
#[test]
fn an_extension_for_a_vent_is_no_part_of_the_outseam() {
    let vent = |wide: f64, high: f64| {
        trousers(&SIZES[..1], |name, _, line| {
            if name == "BACK" {
                let (x, y) = line[HEM_OUT];
                line.splice(HEM_OUT..=HEM_OUT, [(x - wide, y), (x - wide, y + high), (x, y + high)]);
            }
        })
    };
    for (wide, step) in
        [(40.0, "an extension at the hem, 40.00"), (-20.0, "a step inwards at the hem, 20.00")]
    {
        let text = vent(wide, 120.0);
        assert_eq!(said(&text, "outseam-mismatch"), <[&str; 0]>::default());
        let found = said(&text, "read-as");
        assert!(found.len() == 1 && found[0].starts_with("note BACK"), "{found:?}");
        let meant = format!("the outseam ends in {step} mm wide and 120.00 mm high, as for a ");
        assert!(found[0].contains(&meant), "{found:?}");
    }
    assert!(said(&vent(40.0, 25.0), "outseam-mismatch")[0].starts_with("error BACK"));
    assert!(said(&vent(8.0, 120.0), "outseam-mismatch")[0].starts_with("error BACK"));
}

/// A back inseam that is shorter in every size alike is stretched on (drafting books, from memory).
#[test]
fn seams_differ_alike_in_every_size() {
    let shorter = |sizes: usize, own: f64, others: f64| {
        let text = trousers(&SIZES[..sizes], |name, k, line| {
            if name == "BACK" {
                line[HEM_IN].1 += if k == 1 { own } else { others };
            }
        });
        let found = said_within(&text, "inseam-mismatch", &[("between_sizes", "3.25")]);
        let start = at(&text, "error", "BACK", 1, HEM_IN, (574.0, 247.0 + own));
        (found, start)
    };
    for (own, others, text) in [
        (2.75, 6.0, None),
        (6.0, 2.75, None),
        (
            2.25,
            6.0,
            Some("2.25 mm shorter than the front's (480.75 mm and 483.00 mm on the sew lines), 3.75 mm off"),
        ),
        (
            6.0,
            2.0,
            Some("6.00 mm shorter than the front's (477.00 mm and 483.00 mm on the sew lines), 4.00 mm off"),
        ),
        (
            0.0,
            5.0,
            Some("0.00 mm longer than the front's (483.00 mm and 483.00 mm on the sew lines), 5.00 mm off"),
        ),
    ] {
        let (found, start) = shorter(3, own, others);
        let meant = text.map(|t| {
            format!(
                "{start}the back inseam is {t} what it is in the other sizes (at most 3.25 mm). Correct this size's seams"
            )
        });
        assert_eq!(found, meant.as_slice(), "{own} {others}");
        // Of two sizes neither tells which is right.
        assert_eq!(shorter(2, own, others).0, [""; 0]);
    }
}

/// Left and right legs have each their mate; a leg that both sides share is everyone's.
#[test]
fn each_side_is_sewn_to_its_own() {
    let leg = |name: &str, side: &str, longer: f64| {
        let mut line = sew(name, 0);
        line[HEM_IN].1 -= longer;
        let mut block = block(name, "31", &line);
        if !side.is_empty() {
            block = block.text(&format!("Annotation: {side}"));
        }
        block
    };
    for (legs, found) in [
        (
            &[
                ("FRONT", "LEFT", 0.0),
                ("FRONT", "RIGHT", 20.0),
                ("BACK", "LEFT", 0.0),
                ("BACK", "RIGHT", 20.0),
            ][..],
            0,
        ),
        (
            &[
                ("FRONT", "LEFT", 0.0),
                ("FRONT", "RIGHT", 20.0),
                ("BACK", "LEFT", 20.0),
                ("BACK", "RIGHT", 0.0),
            ],
            2,
        ),
        (&[("FRONT", "LEFT", 0.0), ("FRONT", "RIGHT", 20.0), ("BACK", "", 0.0)], 1),
        (&[("FRONT", "", 0.0), ("BACK", "LEFT", 20.0), ("BACK", "RIGHT", 0.0)], 1),
        (&[("FRONT", "", 0.0), ("BACK", "LEFT", 20.0), ("BACK", "RIGHT", 20.0)], 2),
    ] {
        let blocks: Vec<Block> = legs.iter().map(|&(name, side, longer)| leg(name, side, longer)).collect();
        let found_now = said(&drawing(&blocks), "inseam-mismatch");
        assert_eq!(found_now.len(), found, "{legs:?} {found_now:?}");
    }
}

/// A fork that is shifted by d along the inseam's line tilts the crotch seam's end of 60 mm by the angle whose tangent is
/// d / 60; 5° are 5.25 mm.
#[test]
fn the_joined_crotch_curve_is_smooth() {
    for (name, d, angles) in [
        ("BACK", 5.2, None),
        ("BACK", 5.3, Some("185.0° (front 90.0°, back 95.0°)")),
        ("BACK", -5.2, None),
        ("BACK", -5.3, Some("175.0° (front 90.0°, back 85.0°)")),
        ("FRONT", 8.0, Some("187.6° (front 97.6°, back 90.0°)")),
    ] {
        let text = trousers(&SIZES[..1], |n, _, line| {
            if n == name {
                line[FORK].1 += -d;
            }
        });
        let (x, y) = if name == "BACK" { (574.0, 730.0 - d) } else { (574.0, 730.0) };
        let start = at(&text, "error", "BACK", 0, FORK, (x, y));
        let meant = angles.map(|a| {
            format!(
                "{start}the angles at the fork add up to {a} in place of 180°: the joined crotch curve has a corner; true the \
                 curves with the inseams laid together"
            )
        });
        assert_eq!(said(&text, "fork-angle"), meant.as_slice(), "{name} {d}");
    }
}

/// The waist's end at the side is shifted up or down: the tangent of the angle is the shift over the waist.
#[test]
fn the_centre_seam_meets_the_waist_squarely() {
    let (front, back) = (157.0_f64, 176.0_f64);
    for (name, waist, degrees, severity) in [
        ("FRONT", front, 4.9, None),
        ("FRONT", front, 5.1, Some("note")),
        ("FRONT", front, -4.9, None),
        ("FRONT", front, -5.1, Some("note")),
        ("BACK", back, 5.1, Some("note")),
        ("BACK", back, 9.9, Some("note")),
        ("BACK", back, 10.1, Some("error")),
        ("BACK", back, -10.1, Some("error")),
    ] {
        let text = trousers(&SIZES[..1], |n, _, line| {
            if n == name {
                line[SIDE].1 += waist * f64::to_radians(degrees).tan();
            }
        });
        let place = if name == "FRONT" { (420.0, 811.0) } else { (470.0, 931.0) };
        let meant = severity.map(|severity| {
            format!(
                "{}centre seam and waist meet at {:.1}° in place of 90°: left and right make a corner of {:.0}° in the waist; \
                 square the waist at the centre",
                at(&text, severity, name, 0, WAIST, place),
                90.0 + degrees,
                2.0 * f64::abs(degrees)
            )
        });
        assert_eq!(said(&text, "corner-not-square"), meant.as_slice(), "{name} {degrees}");
    }
}

const CHECK: &str = "check the grade rules and the size text of this piece";
const ALTERED: &str = "right where it was altered so";

/// What a seam is called that is out of line by so much, with its step and the usual one.
fn off(seam: &str, by: f64, usual: f64, step: f64) -> String {
    let way = if by > 0.0 { "too large" } else { "too small" };
    format!(
        "the {seam} is {:.1} mm {way} to be in line with the sizes beside it: the step from the size before is {step:.1} mm \
         where about {usual:.1} mm is usual; ",
        by.abs()
    )
}

/// Five sizes of which the middle one is changed, in one piece or in both.
fn third_size(name: &str, change: impl Fn(&mut Vec<Xy>)) -> String {
    trousers(&SIZES, |n, k, line| {
        if k == 2 && (name == n || name == "BOTH") {
            change(line);
        }
    })
}

/// One size of five, put out of line by more than 3.2 mm and more than half of the step of 10 mm.
#[test]
fn a_seam_out_of_line_is_said_where_it_is() {
    for (name, (x, y)) in [("FRONT", (243.0, 811.0)), ("BACK", (274.0, 931.0))] {
        // The side's end of the waist 11 mm further out: the outseam leans by so little that it counts for nothing.
        let text = third_size(name, |line| line[SIDE].0 -= 11.0);
        let start = at(&text, "error", name, 2, SIDE, (x - 11.0, y));
        assert_eq!(said(&text, "grade-step"), [format!("{start}{}{CHECK}", off("waist", 11.0, 10.0, 21.0))]);
        let text = third_size(name, |line| line[SIDE].0 += 11.0);
        let start = at(&text, "error", name, 2, SIDE, (x + 11.0, y));
        assert_eq!(said(&text, "grade-step"), [format!("{start}{}{CHECK}", off("waist", -11.0, 10.0, -1.0))]);
        // The hem by its outer corner.
        let text = third_size(name, |line| line[HEM_OUT].0 -= 11.0);
        let start = at(
            &text,
            "error",
            name,
            2,
            HEM_IN,
            if name == "FRONT" { (524.0, 127.0) } else { (574.0, 247.0) },
        );
        assert_eq!(said(&text, "grade-step"), [format!("{start}{}{CHECK}", off("hem", 11.0, 10.0, 21.0))]);
        // The outer corner 4 mm further down: of a hem of 281 mm and 300 mm that counts for nothing.
        let text = third_size(name, |line| line[HEM_OUT].1 -= 4.0);
        let start = at(&text, "error", name, 2, HEM_OUT, (x, y - 688.0));
        assert_eq!(said(&text, "grade-step"), [format!("{start}{}{CHECK}", off("outseam", 4.0, 0.0, 4.0))]);
        // The inner corner: the way over the fork on one piece only is noted.
        let text = third_size(name, |line| line[HEM_IN].1 -= 4.0);
        let fork = if name == "FRONT" { (524.0, 610.0) } else { (574.0, 730.0) };
        let start = at(&text, "note", name, 2, FORK, fork);
        let way = format!("{start}{}{ALTERED}", off("crotch seam and inseam together", 4.0, 0.0, 4.0));
        assert_eq!(said(&text, "grade-step"), [way]);
    }
}

#[test]
fn the_way_over_the_fork_counts_where_both_pieces_are_out() {
    // On both pieces it counts, if both are out the same way.
    let longer = |back: f64| {
        trousers(&SIZES, move |n, k, line| {
            if k == 2 {
                line[HEM_IN].1 -= if n == "FRONT" { 4.0 } else { back };
            }
        })
    };
    for (back, severity, remedy) in [(5.0, "error", CHECK), (-3.5, "note", ALTERED)] {
        let text = longer(back);
        let mut meant =
            [("FRONT", 4.0, (524.0, 610.0)), ("BACK", back, (574.0, 730.0))].map(|(name, by, fork)| {
                let start = at(&text, severity, name, 2, FORK, fork);
                (
                    x_line(&text, &format!("{name}-35"), ("VERTEX", "14"), FORK),
                    format!("{start}{}{remedy}", off("crotch seam and inseam together", by, 0.0, by)),
                )
            });
        meant.sort();
        assert_eq!(said(&text, "grade-step"), meant.map(|m| m.1), "{back}");
    }
    // The crotch length of both, said at the back's fork: the inseam gives what the crotch seam takes.
    let text = third_size("BOTH", |line| {
        for corner in &mut line[FORK - 3..=FORK] {
            corner.1 -= 2.5;
        }
    });
    let start = at(&text, "note", "BACK", 2, FORK, (574.0, 727.5));
    assert_eq!(
        said(&text, "grade-step"),
        [format!("{start}{}{ALTERED}", off("crotch length", 5.0, 0.0, 5.0))]
    );
}

/// Sizes of two runs do not stand in one line: the long ones are 50 mm longer.
#[test]
fn each_run_of_sizes_grows_by_itself() {
    let sizes = ["35 LONG", "31 SHORT", "33 LONG", "33 SHORT", "31 LONG", "35 SHORT"];
    let text = trousers(&sizes, |name, k, line| {
        let grow = sizes[k][..2].parse::<usize>().unwrap() / 2 - 15;
        *line = sew(name, grow);
        if sizes[k].ends_with("LONG") {
            line[HEM_IN].1 -= 50.0;
            line[HEM_OUT].1 -= 50.0;
        }
    });
    for id in SEAM_CHECKS {
        assert_eq!(said(&text, id), [""; 0], "{id}");
    }
}
