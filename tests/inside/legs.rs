//! Which pieces of a size are its legs, and what is said where that cannot be told: small legs, of which one measure at a time
//! lies on either side of its bound.

use crate::finding::{Finding, FindingId, Severity};
use crate::inside::check::differs::{BACK, FRONT, block, drawing, grain, line};
use crate::inside::check::open;
use crate::inside::common::dxf::Xy;
use crate::job::{Job, Uneven};
use crate::seam::Pair;
use crate::seam::{self, Measures, SeamRole};
use crate::units::Unit;
use crate::{Nest, Settings, SizeTable, Verdict};
use kurbo::{Affine, Point};

/// A piece with its sew line, its grain up at its middle.
fn piece(name: &str, points: &[Xy]) -> String {
    with(name, points, "")
}

fn with(name: &str, points: &[Xy], more: &str) -> String {
    let middle = points.iter().map(|p| p.0).sum::<f64>() / points.len() as f64;
    block(name, name, &(grain(middle) + &line("14", points, true) + more))
}

/// What is found of a drawing of these pieces, and how many fronts and backs.
fn found(blocks: &[String]) -> (Vec<Finding>, [usize; 2]) {
    let text = drawing(blocks);
    let opened = open(&text);
    let sizes = seam::sizes(&opened.pattern, &Job::default().labels);
    match sizes.as_slice() {
        [] => (Vec::new(), [0, 0]),
        [size] => {
            assert!(size.findings.iter().all(|f| f.size.as_deref() == Some("38")));
            (size.findings.clone(), [size.legs.front.len(), size.legs.back.len()])
        }
        more => panic!("{} sizes", more.len()),
    }
}

fn ids(blocks: &[String]) -> Vec<FindingId> {
    found(blocks).0.iter().map(|f| f.id).collect()
}

fn legs() -> Vec<String> {
    vec![piece("FRONT", &FRONT), piece("BACK", &BACK)]
}

/// Front and back with a piece more.
fn beside(more: String) -> Vec<String> {
    let mut all = legs();
    all.push(more);
    all
}

fn length(points: &[Xy]) -> f64 {
    points.windows(2).map(|w| (w[1].0 - w[0].0).hypot(w[1].1 - w[0].1)).sum()
}

/// A square-cornered piece of this height and width.
fn strip(name: &str, high: f64, wide: f64) -> String {
    piece(name, &[(900.0, 40.0), (900.0 + wide, 40.0), (900.0 + wide, 40.0 + high), (900.0, 40.0 + high)])
}

#[test]
fn a_front_and_a_back_are_found_by_their_names() {
    assert_eq!(found(&legs()), (vec![], [1, 1]));
    let text = drawing(&legs());
    let opened = open(&text);
    let sizes = seam::sizes(&opened.pattern, &Job::default().labels);
    let Pair { front, back } = sizes[0].pair().unwrap();
    let measures = Measures::of(Pair { front, back });
    assert!((measures.front.rise.0 - length(&FRONT[..8])).abs() < 1e-9);
    assert!((measures.back.inseam.0 - length(&BACK[7..13])).abs() < 1e-9);
    assert_eq!(measures.crotch_length, measures.front.rise + measures.back.rise);
    assert_eq!(measures.inseam_difference, measures.back.inseam - measures.front.inseam);
    assert_eq!((measures.front.fork, measures.back.fork), ([312.0, 800.0], [765.0, 795.0]));
    let angles = front.leg.fork_angle() + back.leg.fork_angle();
    assert!((measures.fork_angle - angles).abs() <= 5e-7 && angles > 150.0, "{}", measures.fork_angle);
    assert_eq!(front.leg.length(SeamRole::Hem).0, 204.0);
    // Pockets alone are no trousers, nor is anything without a piece's name for a leg.
    assert_eq!(found(&[strip("WELT", 60.0, 190.0), strip("FLAP", 70.0, 180.0)]), (vec![], [0, 0]));
}

/// The front's leg whose crotch seam is drawn out: `wide` times as far out at the fork, its straight part longer.
fn drawn_out(wide: f64, longer: f64) -> Vec<Xy> {
    let out = |i: usize, (x, y): Xy| {
        let x = if i < 8 { 312.0 - (312.0 - x) * wide } else { x };
        (x + 500.0, if i < 2 { y + longer } else { y })
    };
    FRONT.iter().enumerate().map(|(i, &p)| out(i, p)).collect()
}

/// The back has the longer rise and reaches further out (from memory): by 6 % at least, or it is not told.
#[test]
fn legs_without_names_are_told_apart_where_they_differ() {
    let rise = length(&FRONT[..8]);
    let told = |wide: f64, ratio: f64| {
        let longer = ratio * rise - length(&drawn_out(wide, 0.0)[..8]);
        let mut two = [piece("LEG A", &FRONT), piece("LEG B", &drawn_out(wide, longer))];
        let one_way = found(&two);
        two.reverse();
        let other_way = found(&two);
        assert_eq!(one_way.1, other_way.1);
        let (text, labels) = (drawing(&two), Job::default().labels);
        let opened = open(&text);
        let front: Vec<_> = seam::sizes(&opened.pattern, &labels)[0]
            .legs
            .front
            .iter()
            .map(|l| l.piece.name.clone())
            .collect();
        assert!(
            matches!(front.as_slice(), [] | [_] if front.iter().all(|name| name == "LEG A")),
            "{front:?}"
        );
        if one_way.1 == [1, 1] {
            for (findings, _) in [one_way, other_way] {
                let said: Vec<_> =
                    findings.iter().map(|f| (f.id, f.piece.as_deref(), f.message.as_str())).collect();
                let expected = [
                    (
                        FindingId::ReadAs,
                        Some("LEG A"),
                        "'LEG A' is taken for the front by its shape; its name does not say",
                    ),
                    (
                        FindingId::ReadAs,
                        Some("LEG B"),
                        "'LEG B' is taken for the back by its shape; its name does not say",
                    ),
                ];
                assert_eq!(said, expected);
            }
            return true;
        }
        let unknown: Vec<_> = one_way.0.iter().map(|f| (f.id, f.piece.as_deref(), f.at)).collect();
        let expected = [("LEG A", [312.0, 800.0]), ("LEG B", [812.0, 800.0])]
            .map(|(name, fork)| (FindingId::PartUnknown, Some(name), Some(fork)));
        assert_eq!(unknown, expected);
        false
    };
    assert_eq!([1.055, 1.065].map(|ratio| told(1.2, ratio)), [false, true]);
    assert_eq!([1.055, 1.065].map(|wide| told(wide, 1.2)), [false, true]);
    // Where one has a name the other is asked for its own.
    assert_eq!(ids(&[piece("FRONT", &FRONT), piece("LEG", &BACK)])[0], FindingId::PartUnknown);
    assert_eq!(ids(&[piece("LEG", &FRONT), piece("BACK", &BACK)])[0], FindingId::PartUnknown);
    let (findings, counts) =
        found(&[piece("FRONT", &FRONT), piece("A", &FRONT), piece("B", &drawn_out(1.2, 60.0))]);
    assert_eq!((findings[0].id, counts), (FindingId::PartUnknown, [1, 0]));
    let three = [piece("A", &FRONT), piece("B", &drawn_out(1.2, 60.0)), piece("C", &BACK)];
    assert_eq!(ids(&three)[..3], [FindingId::PartUnknown; 3]);
}

/// Inseams are eased by millimetres: 5 % apart is doubtful, but never less than 25 mm, and 20 % is no mate.
#[test]
fn inseams_too_far_apart_are_no_mates() {
    let front = length(&FRONT[7..13]);
    let apart = |front: &[Xy], back: &[Xy]| found(&[piece("FRONT", front), piece("BACK", back)]).0;
    // The back's last edge straight down, to be that share longer than the front's.
    let by_share = |share: f64| {
        let mut back = BACK.to_vec();
        let down = front / (1.0 - share) - length(&BACK[7..12]);
        (back[12], back[13]) = ((732.0, 330.0 - down), (502.0, 330.0 - down));
        apart(&FRONT, &back)
    };
    for (share, id) in [
        (0.049, None),
        (0.051, Some(FindingId::InseamMismatch)),
        (0.199, Some(FindingId::InseamMismatch)),
        (0.201, Some(FindingId::SeamAmbiguous)),
    ] {
        let found = by_share(share);
        // As the hem goes with the inseam, the outseams come apart as well.
        let of_inseams = found.iter().filter(|f| !f.message.starts_with("the outseams"));
        let said: Vec<_> = of_inseams.map(|f| (Some(f.id), f.piece.as_deref(), f.at)).collect();
        let expected = id.map(|id| (Some(id), Some("BACK"), Some([765.0, 795.0])));
        assert_eq!(said, expected.into_iter().collect::<Vec<_>>(), "{share}");
    }
    let message = &by_share(0.051)[0].message;
    assert!(
        message.starts_with(&format!("the front inseam is {front:.2} mm and the back inseam ")),
        "{message}"
    );
    // Knee breeches: the inseam ends above the knee, 300 mm long.
    let short = |points: &[Xy], y: f64| {
        let (fork_to, x) = (&points[..10], points[9].0);
        let mut all = fork_to.to_vec();
        all.extend([(x, y), (x - 240.0, y)]);
        all.extend(&points[points.len() - 3..]);
        all
    };
    let front = short(&FRONT, 500.0);
    let own = length(&front[7..11]);
    for (more, doubtful) in [(24.9, false), (25.1, true)] {
        let back = short(&BACK, 580.0 - (own + more - length(&BACK[7..10])));
        let found = apart(&front, &back);
        assert_eq!(found.iter().any(|f| f.id == FindingId::InseamMismatch), doubtful, "{more}: {found:?}");
    }
}

#[test]
fn what_is_missing_of_a_size_is_said() {
    let said = |blocks: &[String]| {
        let found = found(blocks).0;
        found.into_iter().map(|f| (f.id, f.piece.unwrap_or_default(), f.message)).collect::<Vec<_>>()
    };
    let alone = said(&[piece("FRONT", &FRONT)]);
    let message = "the size has no back leg to go with its other one; add the piece, or correct its name";
    assert_eq!(alone, [(FindingId::MateMissing, "FRONT".to_owned(), message.to_owned())]);
    let alone = said(&[piece("BACK", &BACK)]);
    assert_eq!(alone, [(FindingId::MateMissing, "BACK".to_owned(), message.replace("back", "front"))]);
    assert_eq!(said(&[strip("FRONT POCKET", 140.0, 120.0)])[0].0, FindingId::SeamAmbiguous);
    // What is called back has no crotch seam; what is called front is not spoken of.
    let pockets = [
        strip("BACK POCKET", 150.0, 130.0),
        strip("BACK WELT", 40.0, 160.0),
        strip("FRONT POCKET", 140.0, 120.0),
    ];
    let shapeless = said(&[&[piece("FRONT", &FRONT)][..], &pockets].concat());
    assert_eq!(shapeless.len(), 1, "{shapeless:?}");
    assert_eq!((shapeless[0].0, shapeless[0].1.as_str()), (FindingId::SeamAmbiguous, "BACK POCKET"));
    let begin = "no crotch seam was found on 'BACK POCKET', 'BACK WELT': no edge is hollow";
    assert!(shapeless[0].2.starts_with(begin), "{}", shapeless[0].2);
    // Where both legs are there pockets are pockets.
    assert_eq!(said(&[&legs()[..], &pockets].concat()), []);
    // On the fold.
    let fold = "0\nLINE\n8\n6\n10\n900.0\n20\n40.0\n11\n900.0\n21\n190.0\n";
    let half = with("BACK POCKET", &[(900.0, 40.0), (1030.0, 40.0), (1030.0, 190.0), (900.0, 190.0)], fold);
    assert_eq!(said(&[piece("FRONT", &FRONT), half])[0].0, FindingId::HalfPiece);
}

/// A piece that may be a leg and cannot be used counts where a leg is wanting, or where it is called one for another reason than
/// a pocket may have.
#[test]
fn what_cannot_be_used_is_said_where_it_may_be_wanted() {
    let open_line = |name: &str| {
        block(
            name,
            name,
            &(grain(950.0)
                + &line("14", &[(900.0, 40.0), (1030.0, 40.0), (1030.0, 190.0), (990.0, 195.0)], false)),
        )
    };
    assert_eq!(ids(&beside(open_line("BACK FLAP"))), [FindingId::OpenOutline]);
    assert_eq!(ids(&beside(open_line("FLAP"))), []);
    assert_eq!(ids(&[piece("FRONT", &FRONT), open_line("FLAP")]), [FindingId::OpenOutline]);
    assert_eq!(ids(&[piece("BACK", &BACK), open_line("BACK FLAP")])[0], FindingId::MateMissing);
    let no_grain = |name: &str| block(name, name, &line("14", &BACK, true));
    assert_eq!(ids(&beside(no_grain("BACK POCKET"))), []);
    assert_eq!(ids(&[piece("FRONT", &FRONT), no_grain("BACK")]), [FindingId::GrainMissing]);
    assert_eq!(ids(&[piece("BACK", &BACK), no_grain("FRONT")]), [FindingId::GrainMissing]);
}

/// The front is 970 mm high and 271 wide; a piece of six tenths of its length and three twentieths of its width is a part of it,
/// however it lies.
#[test]
fn a_leg_cut_in_two_is_refused() {
    let (long, wide) = (582.0, 40.65);
    let cut = |name: &str, high: f64, wide: f64| {
        ids(&beside(strip(name, high, wide))) == [FindingId::PieceCutInTwo]
    };
    assert!(cut("FRONT SIDE", long + 0.5, wide + 0.5));
    assert!(!cut("FRONT SIDE", long - 0.5, wide + 0.5));
    assert!(!cut("FRONT SIDE", long + 0.5, wide - 0.5));
    assert!(!cut("STRIPE", long + 0.5, wide + 0.5));
    assert!(!cut("FRONT WAISTBAND", long + 0.5, wide + 0.5));
    let findings = found(&beside(strip("BACK SIDE", 700.0, 70.0))).0;
    assert_eq!(findings[0].piece.as_deref(), Some("BACK"));
    let begin =
        "the back leg is cut in two along its length, 'BACK' and 'BACK SIDE': a slide would part them.";
    assert!(findings[0].message.starts_with(begin), "{}", findings[0].message);
    // Along its own grain, which slopes by 4 in 3.
    let turned = |high: f64, wide: f64| {
        let place = Affine::translate((1500.0, 300.0)) * Affine::rotate((-0.75f64).atan());
        let at = |x: f64, y: f64| {
            let p = place * Point::new(x, y);
            (p.x, p.y)
        };
        let points = [at(0.0, 0.0), at(wide, 0.0), at(wide, high), at(0.0, high)];
        let (a, b) = (at(wide / 2.0, 100.0), at(wide / 2.0, 500.0));
        let grain =
            format!("0\nLINE\n8\n7\n10\n{:.6}\n20\n{:.6}\n11\n{:.6}\n21\n{:.6}\n", a.0, a.1, b.0, b.1);
        let piece = block("FRONT SIDE", "FRONT SIDE", &(grain + &line("14", &points, true)));
        ids(&beside(piece)) == [FindingId::PieceCutInTwo]
    };
    assert_eq!(
        [(600.0, 42.0), (600.0, 39.0), (570.0, 42.0)].map(|(h, w)| turned(h, w)),
        [true, false, false]
    );
}

/// A patch as wide as the hem is none of the leg, whatever its length.
#[test]
fn a_patch_as_wide_as_the_hem_is_not_taken_for_a_part_of_the_leg() {
    let text = drawing(&legs());
    let opened = open(&text);
    let sizes = seam::sizes(&opened.pattern, &Job::default().labels);
    let Pair { front, back } = sizes[0].pair().unwrap();
    for (name, high, leg) in [("FRONT PATCH", 180.0, front), ("BACK PATCH", 250.0, back)] {
        let findings = found(&beside(strip(name, high, leg.length(SeamRole::Hem).0))).0;
        assert_eq!(findings, [], "{name}");
    }
}

/// A facing cut along crotch seam and waist has the corners of a small leg. It is none beside a leg, and only where it is alone it may be.
#[test]
fn what_is_small_beside_a_leg_of_its_name_is_no_leg() {
    let scaled = |by: f64| BACK.map(|(x, y)| (by * x, by * y));
    assert_eq!(found(&beside(piece("BACK FACING", &scaled(0.6)))), (Vec::new(), [1, 1]));
    // Left and right differ in width, and are two legs.
    assert_eq!(found(&beside(piece("BACK RIGHT", &scaled(0.95)))).1, [1, 2]);
    // The facing's line says too little of where its seams are; the legs beside it are found.
    let odd: Vec<Xy> = scaled(0.6).into_iter().take(BACK.len() - 2).collect();
    assert_eq!(found(&beside(piece("BACK FACING", &odd))), (Vec::new(), [1, 1]));
    assert_eq!(found(&[piece("FRONT", &FRONT), piece("BACK", &scaled(0.6))]).1, [1, 1]);
}

/// Outseams of front and back are sewn together. The back's ends 25 or 35 mm further down at the hem, and has no corner that gives it
/// the front's length: further apart than 30 mm, one is not where it is read, and a raised waist would come back anywhere. Where 110 mm
/// along a pocket mouth are cut away, the pocket's piece has the rest.
#[test]
fn outseams_that_cannot_be_sewn_together_do_not_tell_the_side_waist() {
    let longer = |by: f64| {
        let mut back = BACK.to_vec();
        back[13].1 -= by + length(&FRONT[13..18]) - length(&BACK[13..17]);
        vec![piece("FRONT", &FRONT), piece("BACK", &back)]
    };
    assert_eq!(ids(&longer(25.0)), []);
    assert_eq!(ids(&longer(35.0)), [FindingId::SeamAmbiguous]);
    let mut mouth = FRONT.to_vec();
    mouth.splice(16..18, [(44.0, 900.0), (105.0, 1058.5)]);
    assert_eq!(ids(&[piece("FRONT", &mouth), piece("BACK", &BACK)]), []);
    let altered = |by: f64, uneven: Uneven| {
        let text = drawing(&longer(by));
        let nest = Nest::read("in.dxf", text.as_bytes(), &Job::default()).unwrap();
        let table = SizeTable::from_csv("size,change,front_share\n38,12 mm,40%\n", "sizes.csv").unwrap();
        let settings = Settings { uneven, ..nest.settings() };
        let altered = nest.alter(&table, &settings);
        let refused = |f: &Finding| f.id == FindingId::SeamAmbiguous && f.severity == Severity::Error;
        altered.report().all_findings().any(refused)
    };
    assert!(altered(35.0, Uneven::Waist) && !altered(25.0, Uneven::Waist) && !altered(35.0, Uneven::Fork));
}

/// The centre edge of a yoke, on its sew line: what the waist edge and the seam to the leg take off it.
#[test]
fn a_yoke_counts_in_the_rise_of_its_leg() {
    let yoke = |name: &str, layer: &str, high: f64| {
        let fold = format!("0\nLINE\n8\n6\n10\n900.0\n20\n40.0\n11\n900.0\n21\n{:.1}\n", 40.0 + high);
        let points = [(900.0, 40.0), (1090.0, 40.0), (1090.0, 40.0 + high), (900.0, 40.0 + high)];
        block(name, name, &(grain(1000.0) + &line(layer, &points, true) + &fold))
    };
    let said = |blocks: &[String]| {
        let found = found(blocks).0;
        found.into_iter().map(|f| (f.id, f.piece.unwrap_or_default(), f.message)).collect::<Vec<_>>()
    };
    let note = |name: &str, centre: &str, part: &str| {
        let message = format!(
            "the centre edge of '{name}', {centre} mm, counts in the {part} rise, and its side edge, {centre} mm, in the outseam; a slide \
             stays below it"
        );
        (FindingId::ReadAs, name.to_owned(), message)
    };
    assert_eq!(said(&beside(yoke("YOKE", "14", 50.0))), [note("YOKE", "50.00", "back")]);
    assert_eq!(said(&beside(yoke("FRONT YOKE", "14", 50.0))), [note("FRONT YOKE", "50.00", "front")]);
    // Left and right ones are alike to half a millimetre.
    let two = |other: f64| {
        said(&[&legs()[..], &[yoke("YOKE L", "14", 50.0), yoke("YOKE R", "14", other)]].concat())
    };
    assert_eq!(two(50.4), [note("YOKE L", "50.00", "back")]);
    let message = "the yokes 'YOKE L' and 'YOKE R' have centre edges of 50.00 mm and 49.40 mm; which of them is part of the rise \
                   is not known. Rename the other one";
    assert_eq!(two(49.4)[0], (FindingId::SeamAmbiguous, "YOKE R".to_owned(), message.to_owned()));
    assert_eq!(two(50.6)[0].0, FindingId::SeamAmbiguous);
    // No back to be sewn to.
    assert_eq!(said(&[piece("FRONT", &FRONT), yoke("YOKE", "14", 50.0)]).len(), 1);
    // A cut line with a vertex in its lower edge, less 7 mm at the waist, 5 mm at the centre and 11 mm at the seam to the leg.
    let cut = yoke("YOKE", "1", 50.0).replacen(
        "0\nVERTEX\n8\n1\n10\n1090",
        "0\nVERTEX\n8\n1\n10\n1000.0\n20\n40.0\n0\nVERTEX\n8\n1\n10\n1090",
        1,
    );
    let all = beside(cut);
    let drawn = drawing(&all);
    let mut opened = open(&drawn);
    let toml = "[allowance]\nall = \"11mm\"\nwaist = \"7mm\"\ncrotch = \"5mm\"\n";
    opened.pattern.allowances = Job::from_toml(toml, "job.toml").unwrap().alter.allowance.in_mm(Unit::Mm);
    let sizes = seam::sizes(&opened.pattern, &Job::default().labels);
    let above = sizes[0].legs.back[0].above;
    assert!((above.centre.0 - 32.0).abs() < 1e-9 && (above.side.0 - 32.0).abs() < 1e-9, "{above:?}");
}

/// Ends of 46 mm each and 50 mm in the middle: as wide as the top of the back this is a half yoke, with its centre at one of its ends;
/// twice as wide it is both halves in one, with the centre in the middle (common practice, no source).
#[test]
fn a_half_yoke_has_its_centre_at_an_end_however_alike_they_are() {
    let text = drawing(&legs());
    let opened = open(&text);
    let sizes = seam::sizes(&opened.pattern, &Job::default().labels);
    let top = sizes[0].pair().unwrap().back.length(SeamRole::Waist).0;
    for (wide, centre) in [(top, 46.0), (2.0 * top, 50.0)] {
        let points = [(0.0, 0.0), (wide, 0.0), (wide, 46.0), (wide / 2.0, 50.0), (0.0, 46.0)];
        let points = points.map(|(x, y)| (900.0 + x, 40.0 + y));
        let text = drawing(&beside(piece("YOKE", &points)));
        let opened = open(&text);
        let sizes = seam::sizes(&opened.pattern, &Job::default().labels);
        let above = sizes[0].legs.back[0].above.centre.0;
        assert!((above - centre).abs() < 0.005, "{wide}: {above}");
    }
}

/// A yoke whose centre waist was lowered is deeper at its side: laid on the leg, its edges run on from the leg's seams, which counts for
/// more than that yokes are deeper at the centre (common practice, no source).
#[test]
fn a_yoke_that_was_lowered_at_the_centre_is_read_as_before() {
    // The outseam leans over the hip by 45°, the centre seam hardly.
    let mut back = BACK.to_vec();
    let side = back.len() - 1;
    back[side] = (back[side - 1].0 + 60.0, back[side - 1].1 + 60.0);
    let text = drawing(&[piece("FRONT", &FRONT), piece("BACK", &back)]);
    let opened = open(&text);
    let sizes = seam::sizes(&opened.pattern, &Job::default().labels);
    let leg = &sizes[0].legs.back[0].leg;
    let (centre, side) = (leg.ring[0], leg.ring[leg.side]);
    let up = |from: Point, to: Point| (to - from).normalize();
    let (in_line, over_hip) = (up(leg.ring[1], centre), up(leg.ring[leg.side - 1], side));
    for deep in [60.0, 38.0] {
        let points = [side, centre, centre + in_line * deep, side + over_hip * 49.0];
        let points = points.map(|p| (p.x + 900.0, p.y));
        let text = drawing(&[piece("FRONT", &FRONT), piece("BACK", &back), piece("YOKE", &points)]);
        let opened = open(&text);
        let sizes = seam::sizes(&opened.pattern, &Job::default().labels);
        let above = sizes[0].legs.back[0].above;
        assert!(
            (above.centre.0 - deep).abs() < 0.01 && (above.side.0 - 49.0).abs() < 0.01,
            "{deep}: {above:?}"
        );
    }
}

/// A size without a name is asked for it where it has legs.
#[test]
fn legs_without_a_size_are_asked_for_it() {
    let nameless = drawing(&legs()).replace("Size: 38", "Size: ");
    let opened = open(&nameless);
    let sizes = seam::sizes(&opened.pattern, &Job::default().labels);
    assert_eq!(sizes[0].findings.last().map(|f| f.id), Some(FindingId::LabelMissing));
}

/// Inseams that lean at the fork as the crotch seams do, and are as hollow: which is which is asked, not guessed.
#[test]
fn two_edges_that_may_both_be_the_crotch_seam_are_shown() {
    // From the waist 170 mm straight down and 96 mm of curve to the fork; back under the leg 400 mm of curve and 200 mm.
    let points = |crotch: f64| {
        let mut all: Vec<Xy> = vec![(100.0, 960.0), (100.0, 790.0)];
        let mut go = |degrees: f64, way: f64| {
            let (x, y) = all[all.len() - 1];
            let angle = degrees.to_radians();
            all.push((x + way * angle.sin(), y - way * angle.cos()));
        };
        (1..=8).for_each(|k| go(f64::from(k) * crotch / 8.0, 12.0));
        (0..10).for_each(|k| go(f64::from(k) * 5.0 - 45.0, 40.0));
        go(0.0, 200.0);
        let (x, y) = all[all.len() - 1];
        all.extend([(x - 160.0, y), (-50.0, 962.0)]);
        all
    };
    assert_eq!(found(&[piece("FRONT", &points(80.0)), piece("BACK", &BACK)]).1, [1, 1]);
    let (findings, legs) = found(&[piece("FRONT", &points(55.0)), piece("BACK", &BACK)]);
    assert_eq!(legs, [0, 1]);
    let all = points(55.0);
    let end = |i: usize| format!("({:.2}, {:.2})", all[i].0, all[i].1);
    let message = format!(
        "2 edges could be the crotch seam: 600.0 mm from waist {} to fork {}; 266.0 mm from waist {} to fork {}. Name the \
         right one by a text at it ([labels] crotch) or put it on a layer of its own ([layers] crotch)",
        end(20),
        end(9),
        end(0),
        end(9)
    );
    let said = findings.iter().find(|f| f.id == FindingId::SeamAmbiguous).unwrap();
    assert_eq!((said.message.as_str(), said.piece.as_deref()), (message.as_str(), Some("FRONT")));
}

/// A leg's line with a dart 9 mm wide and 90 mm deep cut into its waist, halfway along.
fn with_dart(points: &[Xy]) -> Vec<Xy> {
    let (first, last) = (points[0], points[points.len() - 1]);
    let at = |share: f64| (last.0 + share * (first.0 - last.0), last.1 + share * (first.1 - last.1));
    let (a, b, middle) = (at(0.45), at(0.55), at(0.5));
    [points, &[a, (middle.0, middle.1 - 90.0), b]].concat()
}

/// A dart is no break of the waist (*common practice, no source*): a back and a front that no text calls trousers are walked all
/// the same. Where nothing is, that is said.
#[test]
fn darts_do_not_hide_trousers_and_what_is_not_walked_is_said() {
    let ids = |blocks: &[String]| {
        let text = drawing(blocks);
        let opened = open(&text);
        let found = crate::check::run(&opened, &Job::default(), None).findings;
        found.iter().map(|f| f.id).collect::<Vec<_>>()
    };
    // The back's inseam ends 12 mm higher.
    let mut short = BACK.to_vec();
    for p in &mut short[12..14] {
        p.1 += 12.0;
    }
    for blocks in [
        [piece("FRONT", &FRONT), piece("BACK", &short)],
        [piece("FRONT", &with_dart(&FRONT)), piece("BACK", &with_dart(&short))],
    ] {
        let found = ids(&blocks);
        assert!(found.contains(&FindingId::InseamMismatch), "{found:?}");
        assert!(!found.contains(&FindingId::SeamsNotWalked));
    }
    assert!(ids(&[strip("WELT", 60.0, 190.0)]).contains(&FindingId::SeamsNotWalked));
}

/// What keeps a size from being altered cannot be accepted: nothing was made of it that could pass.
#[test]
fn an_error_that_leaves_a_size_unaltered_is_not_accepted_away() {
    let without_grain = block("BACK", "BACK", &line("14", &BACK, true));
    let text = drawing(&[piece("FRONT", &FRONT), without_grain]);
    let job = Job::default();
    let nest = Nest::read("in.dxf", text.as_bytes(), &job).unwrap();
    let table = SizeTable::from_csv("size,change\n38,5mm\n", "sizes.csv").unwrap();
    let settings = Settings { accept: vec![FindingId::GrainMissing], ..nest.settings() };
    let altered = nest.alter(&table, &settings);
    assert!(altered.report().verdict == Verdict::Fail && altered.drawing().is_none());
    let told: Vec<&str> = altered.report().all_findings().map(|f| &*f.message).collect();
    assert!(told.iter().any(|message| message.contains("it cannot be accepted")), "{told:?}");
}
