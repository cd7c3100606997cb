//! Legs whose front and back are drawn in one piece. The piece is a small front and a small back beside each other, of which every
//! length is the sum of the chords that are drawn. That the back's crotch seam is longer, reaches further out and has a double notch is
//! common practice, no source.

use crate::finding::{Finding, FindingId, Severity};
use crate::inside::check::differs::{BACK, FRONT, block, drawing, entity, line, point, text, xy};
use crate::inside::check::open;
use crate::inside::common::dxf::Xy;
use crate::job::Job;
use crate::seam::{self, Measures};
use crate::{Nest, Settings, SizeTable};

/// How far apart the centres of front and back are drawn.
const WIDE: f64 = 700.0;

/// From the centre waist to the hem.
const TO_HEM: usize = 13;
const FORK: usize = 7;

fn front() -> Vec<Xy> {
    FRONT[..TO_HEM].to_vec()
}

/// The back, mirrored, to the left of the front.
fn back() -> Vec<Xy> {
    BACK[..TO_HEM].iter().map(|p| (WIDE - p.0, p.1)).collect()
}

fn leggings() -> Vec<Xy> {
    front().into_iter().chain(back().into_iter().rev()).collect()
}

fn named(name: &str, points: &[Xy], more: &str) -> String {
    let grain = entity("LINE", "7", "10\n130.00\n20\n200.00\n11\n130.00\n21\n700.00\n");
    block(name, name, &(grain + &line("14", points, true) + more))
}

fn length(points: &[Xy]) -> f64 {
    points.windows(2).map(|w| (w[1].0 - w[0].0).hypot(w[1].1 - w[0].1)).sum()
}

/// The measures of a drawing of these pieces, and what is found of it.
fn read(blocks: &[String]) -> (Option<Measures>, Vec<Finding>) {
    let text = drawing(blocks);
    let opened = open(&text);
    let sizes = seam::sizes(&opened.pattern, &Job::default().labels);
    assert_eq!(sizes.len(), 1);
    (sizes[0].pair().map(Measures::of), sizes[0].findings.clone())
}

/// The same, of leggings with something more in the block.
fn with(points: &[Xy], more: &str) -> (Option<Measures>, Vec<Finding>) {
    read(&[named("LEGGINGS", points, more)])
}

/// The errors of a piece that cannot be read.
fn refused(points: &[Xy], more: &str) -> String {
    let (measures, findings) = with(points, more);
    let errors: Vec<&Finding> = findings.iter().filter(|f| f.severity == Severity::Error).collect();
    assert!(
        measures.is_none() && errors.len() == 1 && errors[0].id == FindingId::SeamAmbiguous,
        "{findings:?}"
    );
    errors[0].message.clone()
}

fn rises(measures: &Measures) -> [f64; 2] {
    [measures.front.rise.0, measures.back.rise.0]
}

fn near(a: [f64; 2], b: [f64; 2]) -> bool {
    a.iter().zip(b).all(|(a, b)| (a - b).abs() < 0.02)
}

/// Begun at any vertex, either way round, turned and mirrored, it is the same leg. Coordinates are written to 0.01 mm.
#[test]
fn however_it_is_drawn_it_is_one_leg() {
    let points = leggings();
    let n = points.len();
    let meant = [length(&front()[..=FORK]), length(&back()[..=FORK])];
    let inseams = [length(&front()[FORK..]), length(&back()[FORK..])];
    for begin in 0..n {
        for (reverse, flip) in [(false, false), (true, false), (false, true), (true, true)] {
            let mut drawn = points.clone();
            drawn.rotate_left(begin);
            if reverse {
                drawn.reverse();
            }
            let mirrored: Vec<Xy> =
                drawn.iter().map(|p| (if flip { 260.0 - p.0 } else { p.0 }, p.1)).collect();
            let (measures, findings) = with(&mirrored, "");
            let measures = measures.unwrap_or_else(|| panic!("{begin} {reverse} {flip}: {findings:?}"));
            assert!(near(rises(&measures), meant), "{begin} {reverse} {flip}: {:?}", rises(&measures));
            assert!(near([measures.front.inseam.0, measures.back.inseam.0], inseams));
            let fork = |p: Xy| [if flip { 260.0 - p.0 } else { p.0 }, p.1];
            assert_eq!(measures.front.fork, fork(front()[FORK]));
            assert_eq!(measures.back.fork, fork(back()[FORK]));
            assert_eq!([&measures.front.block, &measures.back.block], ["LEGGINGS"; 2]);
            assert_eq!([measures.front.outseam, measures.back.outseam], [None, None]);
            // Together the two have the whole of waist and hem; the thighs reach from fork to fork, which are 5 mm apart in level.
            let [waist, hem] = [(points[n - 1], points[0]), (points[TO_HEM - 1], points[TO_HEM])]
                .map(|(a, b)| length(&[a, b]));
            assert!((measures.front.waist.0 + measures.back.waist.0 - waist).abs() < 1e-6);
            assert!((measures.front.hem.0 + measures.back.hem.0 - hem).abs() < 1e-6);
            let thighs = measures.front.thigh.unwrap().0 + measures.back.thigh.unwrap().0;
            assert!((thighs - (points[FORK].0 - back()[FORK].0)).abs() < 0.5, "{thighs}");
        }
    }
    // Turned with its grain by 180°.
    let turned: Vec<Xy> = points.iter().map(|p| (260.0 - p.0, 900.0 - p.1)).collect();
    assert!(near(rises(&with(&turned, "").0.unwrap()), meant));
}

/// Two like halves: the front's and its mirror image, a little apart in the hundredths.
fn alike() -> Vec<Xy> {
    let mirrored = front().into_iter().rev().map(|p| (288.0 - p.0, p.1));
    front().into_iter().chain(mirrored).collect()
}

fn right(says: &str) -> String {
    text((225.0, 900.0), says)
}

fn left(says: &str) -> String {
    text((63.0, 900.0), says)
}

#[test]
fn which_is_the_front_is_told_or_asked() {
    // By shape, which is said.
    let (measures, findings) = with(&leggings(), "");
    assert_eq!(measures.unwrap().front.fork, [312.0, 800.0]);
    let [note] = findings.as_slice() else { panic!("{findings:?}") };
    assert!(note.id == FindingId::ReadAs && note.message.contains("told by the shape"), "{}", note.message);
    // Alike, nothing tells.
    let message = refused(&alike(), "");
    for part in [
        "too much alike",
        "If the first is the front's, front rise 302.57 mm",
        "(312.00, 800.00)",
        "(-24.00, 800.00)",
        "Put a text FRONT",
    ] {
        assert!(message.contains(part), "{part}: {message}");
    }
    // One text tells, of either part and on either side; so do both, and the abbreviations of the centres.
    for (more, fork) in [
        (right("FRONT"), 312.0),
        (left("BACK"), 312.0),
        (left("Centre front"), -24.0),
        (right("BK"), -24.0),
        (right("CF") + &left("CB"), 312.0),
        (left("cf"), -24.0),
    ] {
        let (measures, findings) = with(&alike(), &more);
        assert_eq!(measures.unwrap_or_else(|| panic!("{findings:?}")).front.fork, [fork, 800.0], "{more}");
    }
    // Texts that contradict each other, stand between the two, or name neither, do not.
    assert!(refused(&alike(), &(right("FRONT") + &left("FRONT"))).contains("contradict"));
    refused(&alike(), &text((144.0, 900.0), "FRONT"));
    refused(&alike(), &right("FRONT TO BACK"));
    // One text against the shape is asked about; texts at both are believed, and the shape mentioned.
    assert!(refused(&leggings(), &text((225.0, 900.0), "BACK")).contains("is not the same"));
    let (measures, findings) =
        with(&leggings(), &(text((225.0, 900.0), "BACK") + &text((80.0, 900.0), "FRONT")));
    assert_eq!(measures.unwrap().back.fork, [312.0, 800.0]);
    assert!(
        findings[0].message.contains("the shape alone would say the opposite"),
        "{}",
        findings[0].message
    );
}

#[test]
fn a_double_notch_is_at_the_back() {
    let inseam = |x: f64, y: f64| point("4", (x, y));
    // On the inseam from (306, 690) to (300, 580).
    let at = |y: f64| inseam(300.0 + 6.0 * (y - 580.0) / 110.0, y);
    let mirrored = |y: f64| inseam(288.0 - (300.0 + 6.0 * (y - 580.0) / 110.0), y);
    let fork = |more: String| with(&alike(), &more).0.map(|m| m.front.fork[0]);
    assert_eq!(fork(at(620.0) + &at(630.0) + &mirrored(620.0)), Some(-24.0));
    assert_eq!(fork(at(620.0) + &mirrored(630.0) + &mirrored(620.0)), Some(312.0));
    // Two single ones are no double one, and double ones on both tell nothing.
    assert_eq!(fork(at(620.0) + &at(650.0) + &mirrored(620.0)), None);
    assert_eq!(fork(at(620.0) + &at(630.0) + &mirrored(620.0) + &mirrored(630.0)), None);
    // Against the shape it is asked about.
    assert!(refused(&leggings(), &(at(620.0) + &at(630.0))).contains("is not the same"));
}

/// The side is at a line, else at a notch on the waist, else in the middle.
#[test]
fn the_side_divides_waist_and_hem() {
    let points = leggings();
    let (a, b) = (points[points.len() - 1], points[0]);
    let on_waist = |share: f64| (a.0 + share * (b.0 - a.0), a.1 + share * (b.1 - a.1));
    let waist = |more: &str| with(&points, more).0.unwrap().front.waist.0 / length(&[a, b]);
    assert!((waist("") - 0.5).abs() < 1e-4);
    assert!((waist(&point("4", on_waist(0.4))) - 0.6).abs() < 1e-3);
    // A notch near the centre is not at the side, and of two far apart neither is.
    assert!((waist(&point("4", on_waist(0.1))) - 0.5).abs() < 1e-4);
    assert!((waist(&(point("4", on_waist(0.4)) + &point("4", on_waist(0.6)))) - 0.5).abs() < 1e-4);
    let (x, y) = on_waist(0.35);
    let side = entity("LINE", "8", &(xy((x, y)) + "11\n120.00\n21\n90.00\n"));
    assert!((waist(&(side.clone() + &point("4", on_waist(0.5)))) - 0.65).abs() < 1e-3);
    let measures = with(&points, &side).0.unwrap();
    assert!((measures.front.hem.0 - (288.0 - 120.0)).abs() < 1e-6, "{}", measures.front.hem.0);
    assert!(with(&points, &side).1[0].message.contains("at the line from waist to hem"));
}

/// Called front or back it is taken at its word, and asked about; a front and a back beside it are two pieces as ever.
#[test]
fn a_name_that_says_one_part_is_believed() {
    let (measures, findings) = read(&[named("LEGGINGS FRONT", &leggings(), "")]);
    assert!(measures.is_none() && findings.iter().any(|f| f.severity == Severity::Error), "{findings:?}");
    let both = read(&[named("FRONT AND BACK", &leggings(), "")]);
    assert!(both.0.is_some(), "{:?}", both.1);
}

/// A nest is read one way: not as one piece in some sizes and as two in others, nor turned round in one of them.
#[test]
fn a_nest_is_read_one_way() {
    let sized = |size: &str, name: &str, points: &[Xy], more: &str| {
        named(name, points, more)
            .replace("Size: 38", &format!("Size: {size}"))
            .replace(&format!("2\n{name}\n70"), &format!("2\n{name}-{size}\n70"))
    };
    let errors = |blocks: &[String]| -> Vec<String> {
        let text = drawing(blocks);
        let opened = open(&text);
        let sizes = seam::sizes(&opened.pattern, &Job::default().labels);
        let all = sizes.into_iter().flat_map(|s| s.findings);
        all.filter(|f| f.severity == Severity::Error).map(|f| f.message).collect()
    };
    let flipped: Vec<Xy> = leggings().into_iter().map(|p| (260.0 - p.0, p.1)).collect();
    let one = sized("36", "LEGGINGS", &leggings(), "");
    assert!(errors(&[one.clone(), sized("38", "LEGGINGS", &leggings(), "")]).is_empty());
    let turned = errors(&[one.clone(), sized("38", "LEGGINGS", &flipped, "")]);
    assert!(
        turned.len() >= 2 && turned.iter().all(|m| m.contains("the other way in size 38 than in size 36")),
        "{turned:?}"
    );
    let two = [one, sized("38", "FRONT", &FRONT, ""), sized("38", "BACK", &BACK, "")];
    let two = errors(&two);
    assert!(
        two.len() >= 2 && two.iter().all(|m| m.contains("as one piece in size 36 and as two in size 38")),
        "{two:?}"
    );
}

/// What is looked over is said, and no outseam that is not there.
#[test]
fn no_outseam_is_called_right() {
    let text = drawing(&[named("LEGGINGS", &leggings(), "")]);
    let nest = Nest::read("leggings.dxf", text.as_bytes(), &Job::default()).unwrap();
    let looked = nest.check();
    let report = looked.report();
    assert!(report.right.iter().all(|said| !said.to_lowercase().contains("outseam")), "{:?}", report.right);
    assert!(report.right.contains(&"Notches on inseams have their counterparts."));
    assert!(
        report.findings.iter().all(|f| f.id == FindingId::ReadAs || !f.message.contains("outseam")),
        "{:?}",
        report.findings
    );
}

fn altered(text: &str, row: &str, settings: impl Fn(&mut Settings)) -> (crate::Report, Option<String>) {
    let nest = Nest::read("leggings.dxf", text.as_bytes(), &Job::default()).unwrap();
    let table = SizeTable::from_csv(&format!("size,change,front_share\n{row}\n"), "t.csv").unwrap();
    let mut chosen = nest.settings();
    settings(&mut chosen);
    let altered = nest.alter(&table, &chosen);
    let new = altered.drawing().map(|d| String::from_utf8(d.to_vec()).unwrap());
    (altered.report().clone(), new)
}

/// Both forks go along the grain by their slides, exactly, and every vertex of hem and waist stays.
#[test]
fn both_halves_are_altered_in_one_piece() {
    let old = drawing(&[named("LEGGINGS", &leggings(), &point("4", (303.0, 635.0)))]);
    let (report, new) = altered(&old, "38,12 mm,50%", |_| {});
    let size = &report.sizes[0];
    let new = new.unwrap_or_else(|| panic!("{:?}", size.findings));
    let moves = size.moves.unwrap();
    let after = size.after.clone().unwrap();
    let before = size.before.clone().unwrap();
    for (was, is, slide) in [
        (before.front.fork, after.front.fork, moves.front.along.0),
        (before.back.fork, after.back.fork, moves.back.along.0),
    ] {
        assert!(
            (was[0] - is[0]).abs() < 1e-6 && (was[1] - is[1] - slide).abs() < 0.006,
            "{was:?} {is:?} {slide}"
        );
    }
    assert!((after.crotch_length.0 - before.crotch_length.0 - 12.0).abs() < 0.05);
    let points = leggings();
    for p in [points[0], points[TO_HEM - 1], points[TO_HEM], points[points.len() - 1]] {
        assert!(new.contains(&xy(p)), "{p:?}");
    }
    // The drawing is compared with its original: the change is one, and one that goes on at the hem is found.
    let was = Nest::read("old.dxf", old.as_bytes(), &Job::default()).unwrap();
    let found = |text: &str| {
        let is = Nest::read("new.dxf", text.as_bytes(), &Job::default()).unwrap();
        let looked = is.check_against(&was, crate::By::Drawn);
        looked.report().findings.iter().filter(|f| f.id == FindingId::ChangedElsewhere).count()
    };
    assert_eq!(found(&new), 0);
    for p in [points[TO_HEM - 1], points[TO_HEM]] {
        let moved = new.replacen(&xy(p), &xy((p.0, p.1 - 2.0)), 1);
        assert!(found(&moved) > 0, "{p:?}");
    }
}

/// Where more goes to one part, the remedies are made on its half alone; a raised waist comes back at the side.
#[test]
fn remedies_stay_on_their_half() {
    let old = drawing(&[named("LEGGINGS", &leggings(), "")]);
    for (share, part) in [("60%", true), ("35%", false)] {
        let row = format!("38,10 mm,{share}");
        let (report, new) = altered(&old, &row, |s| s.uneven = crate::parts::Uneven::Waist);
        let size = &report.sizes[0];
        assert!(new.is_some(), "{:?}", size.findings);
        let moves = size.moves.unwrap();
        assert_eq!([moves.front.waist.0 > 0.0, moves.back.waist.0 > 0.0], [part, !part], "{moves:?}");
        let [before, after] = [&size.before, &size.after].map(|m| m.clone().unwrap());
        let still = if part {
            [before.back.waist, after.back.waist]
        } else {
            [before.front.waist, after.front.waist]
        };
        assert!((still[0] - still[1]).abs().0 < 0.01, "{still:?}");
        assert!((before.inseam_difference - after.inseam_difference).abs().0 < 0.5);
    }
}

/// Every point of a drawing.
fn vertices(text: &str) -> impl Iterator<Item = Xy> {
    let lines: Vec<&str> = text.lines().collect();
    let points: Vec<Xy> = lines
        .windows(4)
        .filter(|w| w[0].trim() == "10" && w[2].trim() == "20")
        .map(|w| (w[1].trim().parse().unwrap(), w[3].trim().parse().unwrap()))
        .collect();
    points.into_iter()
}

/// A facing that lay on the back's crotch seam goes with the back, and a lining of the whole piece with both.
#[test]
fn what_hangs_on_either_half_follows() {
    let away = |points: &[Xy]| -> Vec<Xy> { points.iter().map(|p| (p.0 + 900.0, p.1 + 37.0)).collect() };
    let b = back();
    let facing: Vec<Xy> = b[..=FORK].iter().copied().chain([(40.0, 802.0), (130.0, 1082.0)]).collect();
    let sew = |name: &str, points: &[Xy]| {
        let grain = entity("LINE", "7", "10\n1030.00\n20\n300.00\n11\n1030.00\n21\n700.00\n");
        block(name, name, &(grain + &line("14", &away(points), true)))
    };
    let leg = named("LEGGINGS", &leggings(), "");
    for (name, points, forks) in
        [("FACING", facing, vec![b[FORK]]), ("LINING", leggings(), vec![front()[FORK], b[FORK]])]
    {
        let old = drawing(&[leg.clone(), sew(name, &points)]);
        let (report, new) = altered(&old, "38,12 mm,50%", |s| s.follow = true);
        let size = &report.sizes[0];
        let new = new.unwrap_or_else(|| panic!("{name}: {:?}", size.findings));
        assert_eq!(size.followed.len(), 1, "{name}: {:?}", size.findings);
        let moves = size.moves.unwrap();
        for fork in forks {
            let slide = if fork.0 > 100.0 { moves.front.along.0 } else { moves.back.along.0 };
            let meant = away(&[(fork.0, fork.1 - slide)])[0];
            // The facing is laid on the leg by its shape, to some hundredths.
            let off =
                vertices(&new).map(|p| (p.0 - meant.0).hypot(p.1 - meant.1)).fold(f64::INFINITY, f64::min);
            assert!(off < 0.05, "{name}: {off} from {meant:?}");
        }
    }
}

/// The sleeve of a raglan top has the shape of a small leg in one piece: two hollow seams of which the back's is longer, and two seams of
/// one length below them (common practice, no source). Beside legs it is none, and a drawing of such a top alone is not walked.
#[test]
fn a_raglan_sleeve_is_no_leg() {
    let sleeve: Vec<Xy> = leggings().iter().map(|p| (1200.0 + p.0, 0.8 * p.1)).collect();
    let sleeve = |name: &str| {
        let grain = entity("LINE", "7", "10\n1320.00\n20\n200.00\n11\n1320.00\n21\n700.00\n");
        block(name, name, &(grain + &line("14", &sleeve, true)))
    };
    let own = with(&leggings(), "").0.unwrap();
    let same = |(measures, findings): (Option<Measures>, Vec<Finding>)| {
        assert_eq!(measures.unwrap_or_else(|| panic!("{findings:?}")), own);
    };
    same(read(&[sleeve("SLEEVE"), named("LEGGINGS", &leggings(), "")]));
    // Beside a front and a back.
    let legs = |more: Vec<String>| {
        read(&[vec![named("FRONT", &FRONT, ""), named("BACK", &BACK, "")], more].concat())
    };
    assert_eq!(legs(vec![sleeve("SLEEVE")]), legs(Vec::new()));
    // Where nothing tells, both are shown.
    let (measures, findings) = read(&[sleeve("A"), named("B", &leggings(), "")]);
    let [finding] = findings.as_slice() else { panic!("{findings:?}") };
    assert!(
        measures.is_none() && finding.message.contains("'A'") && finding.message.contains("'B'"),
        "{findings:?}"
    );
    // Texts at both crotch seams tell.
    let told = right("CROTCH") + &text((67.0, 900.0), "CROTCH");
    same(read(&[sleeve("A"), named("LEGGINGS", &leggings(), &told)]).0.map_or_else(
        || panic!(),
        |mut m| {
            assert_eq!([m.front.found.crotch, m.back.found.crotch], [seam::How::Label; 2]);
            (m.front.found, m.back.found) = (own.front.found, own.back.found);
            (Some(m), Vec::new())
        },
    ));
    let top = drawing(&[sleeve("SLEEVE")]);
    let nest = Nest::read("top.dxf", top.as_bytes(), &Job::default()).unwrap();
    assert!(nest.check().report().findings.iter().any(|f| f.id == FindingId::SeamsNotWalked));
}

/// A seam on a layer of its own is the crotch seam, one or both; the allowances of a cut line need none for an outseam.
#[test]
fn layers_and_allowances_say_the_seams() {
    let on = |points: &[Xy]| line("CROTCH", &points[..=FORK], false);
    let how = |more: &str| {
        let measures = with(&leggings(), more).0.unwrap();
        [measures.front.found.crotch, measures.back.found.crotch]
    };
    assert_eq!(how(&on(&back())), [seam::How::Shape, seam::How::Layer]);
    assert_eq!(how(&(on(&back()) + &on(&front()))), [seam::How::Layer; 2]);
    let grain = entity("LINE", "7", "10\n130.00\n20\n200.00\n11\n130.00\n21\n700.00\n");
    let cut = drawing(&[block("LEGGINGS", "LEGGINGS", &(grain + &line("1", &leggings(), true)))]);
    let read = |toml: &str| {
        let job = Job::from_toml(toml, "job.toml").unwrap();
        let nest = Nest::read("leggings.dxf", cut.as_bytes(), &job).unwrap();
        nest.measure().sizes[0].clone()
    };
    let lacking = read("[allowance]\nwaist = \"10 mm\"\ncrotch = \"6 mm\"\ninseam = \"8 mm\"\n");
    let [finding] = lacking.findings.as_slice() else { panic!("{:?}", lacking.findings) };
    assert!(
        finding.id == FindingId::AllowanceMissing && finding.message.contains("of hem is"),
        "{}",
        finding.message
    );
    // Each edge is shifted by its own seam's allowance: the forks lie where the crotch seams' last edge, 6 mm further in, meets the
    // inseams' first, 8 mm further in.
    let size =
        read("[allowance]\nwaist = \"10 mm\"\ncrotch = \"6 mm\"\ninseam = \"8 mm\"\nhem = \"20 mm\"\n");
    let measures = size.measures.unwrap_or_else(|| panic!("{:?}", size.findings));
    let meets = |points: &[Xy], side: f64| {
        let shifted = |a: Xy, b: Xy, by: f64| {
            let (x, y) = (b.0 - a.0, b.1 - a.1);
            let l = x.hypot(y);
            ((a.0 + side * y / l * by, a.1 - side * x / l * by), (x, y))
        };
        let ((ax, ay), (ux, uy)) = shifted(points[FORK - 1], points[FORK], 6.0);
        let ((bx, by), (vx, vy)) = shifted(points[FORK], points[FORK + 1], 8.0);
        let t = ((bx - ax) * vy - (by - ay) * vx) / (ux * vy - uy * vx);
        [ax + t * ux, ay + t * uy]
    };
    for (fork, meant) in
        [(measures.front.fork, meets(&front(), 1.0)), (measures.back.fork, meets(&back(), -1.0))]
    {
        assert!(near(fork, meant), "{fork:?} {meant:?}");
    }
}
