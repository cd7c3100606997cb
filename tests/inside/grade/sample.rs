//! The sample nest: its sizes were drafted one by one, by a program that shares nothing with the library, and its
//! rule table was written by that program. So the nest is an outside answer to what grading its base gives.

use super::{derive, ids, nest};
use crate::finding::{FindingId, Severity};
use crate::grade::{Deltas, GradeError, RuleTable};
use crate::inside::common::plain::{self, near};

const NEST: &[u8] = include_bytes!("../../../samples/harbour-nest.dxf");
const RULES: &[u8] = include_bytes!("../../../samples/harbour.rul");

/// A graded point is to be met to 0.01 mm.
const MET: f64 = 0.01;

fn table() -> RuleTable {
    RuleTable::read(RULES, "harbour.rul").unwrap()
}

fn only(size: &'static str) -> Vec<u8> {
    plain::with_blocks(NEST, "\r\n", |name| name.ends_with(size))
}

/// The largest distance between the numbered points of two drawings of the same blocks, and their number.
fn compare(a: &[u8], b: &[u8]) -> (f64, usize) {
    let (a, b) = (plain::blocks(a), plain::blocks(b));
    assert_eq!(a.keys().collect::<Vec<_>>(), b.keys().collect::<Vec<_>>());
    let (mut worst, mut count) = (0.0f64, 0);
    for (name, block) in &a {
        let (here, there) = (plain::graded(block), plain::graded(&b[name]));
        assert_eq!(here.keys().collect::<Vec<_>>(), there.keys().collect::<Vec<_>>(), "{name}");
        for (key, at) in here {
            worst = worst.max(near(at, there[&key]));
            count += 1;
        }
    }
    (worst, count)
}

#[test]
fn the_base_and_its_rules_give_the_nest() {
    let graded = nest(&only("-38"), &table(), Some(Deltas::Base)).unwrap();
    assert_eq!(ids(&graded.findings, Severity::Error), []);
    assert_eq!(ids(&graded.findings, Severity::Warning), []);
    assert_eq!(graded.added.len(), 6);
    let (worst, count) = compare(&graded.bytes, NEST);
    assert!(count > 700, "{count}");
    assert!(worst <= MET, "{worst} mm");
    // As the sample is drawn: sizes in order, all pieces of a size together, and a placing for each.
    let names = |text: &[u8], kind: &str| -> Vec<String> {
        let all = plain::entities(text).into_iter().filter(|e| e[0].1 == kind);
        all.map(|e| plain::get(&e, 2).to_owned()).collect()
    };
    assert_eq!(names(&graded.bytes, "BLOCK"), names(NEST, "BLOCK"));
    assert_eq!(names(&graded.bytes, "INSERT"), names(NEST, "INSERT"));
}

/// The distance of a point from a closed line.
fn off(line: &[(f64, f64)], p: (f64, f64)) -> f64 {
    let n = line.len();
    let from_edge = |i: usize| {
        let (a, b) = (line[i], line[(i + 1) % n]);
        let (dx, dy) = (b.0 - a.0, b.1 - a.1);
        let t = (((p.0 - a.0) * dx + (p.1 - a.1) * dy) / (dx * dx + dy * dy)).clamp(0.0, 1.0);
        near((a.0 + t * dx, a.1 + t * dy), p)
    };
    (0..n).map(from_edge).fold(f64::INFINITY, f64::min)
}

/// How much a closed line turns at each of its points, in degrees.
fn turns(line: &[(f64, f64)]) -> Vec<f64> {
    let n = line.len();
    let step = |i: usize| (line[(i + 1) % n].0 - line[i % n].0, line[(i + 1) % n].1 - line[i % n].1);
    let turn = |i: usize| {
        let (a, b) = (step(i + n - 1), step(i));
        (a.0 * b.1 - a.1 * b.0).atan2(a.0 * b.0 + a.1 * b.1).to_degrees()
    };
    (0..n).map(turn).collect()
}

/// The drafted sizes have their own curves between the graded points; those of the graded nest are met within a
/// millimetre, four sizes up (measured: 0.84 mm), and run through every notch.
#[test]
fn lines_between_graded_points_are_those_of_the_drafted_sizes() {
    let graded = nest(&only("-38"), &table(), Some(Deltas::Base)).unwrap();
    let (ours, drafted) = (plain::blocks(&graded.bytes), plain::blocks(NEST));
    let (mut worst, mut notches) = (0.0f64, 0.0f64);
    for (name, block) in &ours {
        for layer in ["1", "14"] {
            let (line, wanted) = (plain::polyline(block, layer), plain::polyline(&drafted[name], layer));
            assert_eq!(line.len(), wanted.len(), "{name}");
            worst = line.iter().fold(worst, |w, &p| w.max(off(&wanted, p)));
        }
        let cut = plain::polyline(block, "1");
        let at = block.iter().filter(|e| e[0].1 == "POINT" && plain::get(e, 8) == "4");
        notches = at.fold(notches, |w, e| w.max(off(&cut, (plain::number(e, 10), plain::number(e, 20)))));
    }
    assert!(worst < 1.0, "{worst} mm");
    assert!(notches < 0.1, "{notches} mm");
}

/// Curves keep their character: at no vertex of a curve does the line turn by a degree more or less than that of
/// the drafted size does.
#[test]
fn no_corner_comes_into_a_curve() {
    let graded = nest(&only("-38"), &table(), Some(Deltas::Base)).unwrap();
    let (ours, drafted) = (plain::blocks(&graded.bytes), plain::blocks(NEST));
    let mut worst = 0.0f64;
    for (name, block) in &ours {
        for layer in ["1", "14"] {
            let wanted = turns(&plain::polyline(&drafted[name], layer));
            let found = turns(&plain::polyline(block, layer));
            let smooth = wanted.iter().zip(&found).filter(|(w, _)| w.abs() < 25.0);
            worst = smooth.fold(worst, |all, (w, f)| all.max((w - f).abs()));
        }
    }
    assert!(worst < 1.0, "{worst} degrees");
}

#[test]
fn copies_are_the_originals_bytes_but_for_what_moves() {
    let base = only("-38");
    let graded = nest(&base, &table(), Some(Deltas::Base)).unwrap();
    // Taking the copies out again leaves the base, byte for byte.
    assert!(plain::with_blocks(&graded.bytes, "\r\n", |name| name.ends_with("-38")) == base);
    let blocks = plain::blocks(&graded.bytes);
    let moves = [10, 20, 11, 21];
    for (name, block) in blocks.iter().filter(|(name, _)| !name.ends_with("-38")) {
        let (piece, size) = name.split_once('-').unwrap();
        let original = &blocks[&format!("{piece}-38")];
        assert_eq!(block.len(), original.len(), "{name}");
        for (new, old) in block.iter().flatten().zip(original.iter().flatten()) {
            assert_eq!(new.0, old.0);
            if new.1 != old.1 && !moves.contains(&new.0) {
                assert_eq!(new.1, old.1.replace("38", size));
            }
        }
        let says = |text: &str| block.iter().any(|e| plain::get(e, 1) == text);
        assert!(says(&format!("Size: {size}")) && says(&format!("Piece Name: {piece}")), "{name}");
        assert!(says(&format!("MH-214 HARBOUR TROUSERS {piece} SIZE {size}")), "{name}");
    }
}

#[test]
fn the_rules_read_off_the_nest_are_its_rules() {
    let derived = derive(NEST, None).unwrap();
    assert_eq!(derived.findings, []);
    let (ours, theirs) = (derived.table, table());
    assert_eq!((&ours.sizes, &ours.sample, &ours.name), (&theirs.sizes, &theirs.sample, &theirs.name));
    assert_eq!(ours.rules.len(), theirs.rules.len());
    for (number, row) in &theirs.rules {
        for (a, b) in row.iter().zip(&ours.rules[number]) {
            assert!((*a - *b).hypot() < 1e-6, "rule {number}: {a:?} {b:?}");
        }
    }
}

/// An altered nest: every size of the front gets its fork and curve moved, each by another amount.
#[test]
fn deriving_and_grading_again_gives_an_altered_nest_back() {
    let mut entities = plain::entities(NEST);
    let mut by = None;
    for e in &mut entities {
        if e[0].1 == "BLOCK" {
            let (piece, size) = plain::get(e, 2).split_once('-').unwrap();
            by = (piece == "FRONT").then(|| size.parse::<f64>().unwrap() * 0.37 - 9.0);
        }
        let Some(by) = by else { continue };
        let in_curve = e.iter().any(|p| p.0 == 20 && p.1.trim().parse::<f64>().unwrap() < -125.0);
        let low =
            e.iter().any(|p| p.0 == 10 && (-300.0..120.0).contains(&p.1.trim().parse::<f64>().unwrap()));
        if in_curve && low && matches!(e[0].1.as_str(), "VERTEX" | "POINT" | "TEXT") {
            for pair in e.iter_mut().filter(|p| p.0 == 10) {
                pair.1 = format!("{:.4}", pair.1.trim().parse::<f64>().unwrap() - by);
            }
        }
    }
    let altered = plain::text_of(&entities, "\r\n");
    assert!(compare(&altered, NEST).0 > 3.0);
    let derived = derive(&altered, None).unwrap();
    assert_eq!(ids(&derived.findings, Severity::Error), []);
    let written = RuleTable::read(&derived.table.write(), "altered.rul").unwrap();
    let base = plain::with_blocks(&altered, "\r\n", |name| name.ends_with("-38"));
    let again = nest(&base, &written, Some(Deltas::Base)).unwrap();
    let (worst, _) = compare(&again.bytes, &altered);
    assert!(worst <= MET, "{worst} mm");
}

#[test]
fn what_deltas_are_counted_from_is_settled_by_drawn_sizes() {
    let step = derive(NEST, Some(Deltas::Step)).unwrap().table;
    // From 38 to 40 and on to 42: the second step alone is not the whole way.
    assert!((step.rules[&1][4] - (table().rules[&1][4] - table().rules[&1][3])).hypot() < 1e-6);
    let some = plain::with_blocks(NEST, "\r\n", |n| ["-38", "-42", "-46"].iter().any(|s| n.ends_with(s)));
    for (table, deltas) in [(table(), Deltas::Base), (step.clone(), Deltas::Step)] {
        let graded = nest(&some, &table, None).unwrap();
        assert_eq!(graded.deltas, deltas);
        assert_eq!(graded.added.len(), 4);
        assert!(compare(&graded.bytes, NEST).0 <= MET);
        assert!(graded.findings.iter().any(|f| f.message.contains("at most 0.00")), "{:?}", graded.findings);
    }
    // One size next to the base does not tell, nor does the base alone.
    let next = plain::with_blocks(NEST, "\r\n", |n| n.ends_with("-38") || n.ends_with("-40"));
    for drawing in [next, only("-38")] {
        assert!(matches!(nest(&drawing, &table(), None), Err(GradeError::DeltasOpen { .. })));
    }
    // Drawn sizes that follow neither.
    let mut wrong = table();
    wrong.rules.values_mut().for_each(|row| row.iter_mut().for_each(|d| *d *= 1.7));
    let graded = nest(&some, &wrong, None).unwrap();
    assert_eq!(ids(&graded.findings, Severity::Error), [FindingId::RuleMismatch]);
    let graded = nest(&some, &wrong, Some(Deltas::Base)).unwrap();
    assert_eq!(ids(&graded.findings, Severity::Warning), [FindingId::RuleMismatch]);
}

#[test]
fn what_is_missing_is_found() {
    let base = only("-38");
    let mut short = table();
    short.rules.remove(&3);
    let graded = nest(&base, &short, Some(Deltas::Base)).unwrap();
    assert_eq!(ids(&graded.findings, Severity::Error), [FindingId::RuleMissing]);
    let found = graded.findings.iter().find(|f| f.severity == Severity::Error).unwrap();
    assert_eq!((found.piece.as_deref(), found.at), (Some("FRONT"), Some([11.9119, -166.6478])));
    let line = found.line.unwrap();
    let lines: Vec<&str> = std::str::from_utf8(&base).unwrap().lines().collect();
    assert!(lines[line - 5..line + 6].contains(&"# 3"), "line {line}");

    // A rule text away from every point; a rule text deleted.
    let text = String::from_utf8(base.clone()).unwrap();
    let put = |from: &str, to: &str| text.replacen(from, to, 1).into_bytes();
    let away =
        put(" 10\r\n11.9119\r\n 20\r\n-166.6478\r\n 40", " 10\r\n1000.9119\r\n 20\r\n-166.6478\r\n 40");
    let graded = nest(&away, &table(), Some(Deltas::Base)).unwrap();
    assert_eq!(ids(&graded.findings, Severity::Error), [FindingId::GradePointMissing]);
    assert_eq!(ids(&graded.findings, Severity::Warning), [FindingId::RuleMissing]);

    let mut other = table();
    other.sample = "39".into();
    other.sizes[2] = "39".into();
    assert!(matches!(nest(&base, &other, Some(Deltas::Base)), Err(GradeError::NoBase { .. })));
    assert!(matches!(derive(&base, None), Err(GradeError::OneSize { .. })));

    // Rules cannot be read off a nest that lacks a piece in one size, or a point.
    let gap = plain::with_blocks(NEST, "\r\n", |n| n != "FLY-42");
    let derived = derive(&gap, None).unwrap();
    assert_eq!(ids(&derived.findings, Severity::Error), [FindingId::SizeMissing]);
    let renumbered = String::from_utf8(NEST.to_vec()).unwrap().replacen("# 5\r\n", "# 4\r\n", 1).into_bytes();
    let derived = derive(&renumbered, None).unwrap();
    assert_eq!(ids(&derived.findings, Severity::Error), [FindingId::GradePointMissing]);
    let shared = String::from_utf8(NEST.to_vec()).unwrap().replace("# 5\r\n", "# 4\r\n").into_bytes();
    let derived = derive(&shared, None).unwrap();
    assert_eq!(ids(&derived.findings, Severity::Error), vec![FindingId::RuleMismatch; 6]);
}

/// A base whose cut line alone has rules: everything else goes along with it.
#[test]
fn what_has_no_rules_goes_along_with_the_cut_line() {
    let mut sew = false;
    let mut entities = plain::entities(&only("-38"));
    entities.retain(|e| {
        let layer = plain::get(e, 8);
        sew = e[0].1 != "BLOCK" && (sew || (e[0].1 == "POLYLINE" && layer == "14"));
        let rule = e[0].1 == "TEXT" && plain::get(e, 1).starts_with('#');
        !(rule && (sew || !matches!(layer, "2" | "3")))
    });
    let graded = nest(&plain::text_of(&entities, "\r\n"), &table(), Some(Deltas::Base)).unwrap();
    assert_eq!(ids(&graded.findings, Severity::Error), []);
    let blocks = plain::blocks(&graded.bytes);
    let (mut uneven, mut notches) = (0.0f64, 0.0f64);
    for (name, block) in &blocks {
        let base = &blocks[&format!("{}-38", name.split('-').next().unwrap())];
        let [cut, sew, was_cut, was_sew] =
            [(block, "1"), (block, "14"), (base, "1"), (base, "14")].map(|(b, l)| plain::polyline(b, l));
        let (turns, n) = (turns(&was_sew), sew.len());
        for i in 0..n {
            // Right beside a corner the other edge of the corner may come nearest.
            let beside = |k: usize| turns[(i + k) % n].abs() > 40.0;
            if n < 50 || beside(0) || !(beside(1) || beside(n - 1)) {
                uneven = uneven.max((off(&cut, sew[i]) - off(&was_cut, was_sew[i])).abs());
            }
        }
        let at = block.iter().filter(|e| e[0].1 == "POINT" && plain::get(e, 8) == "4");
        notches = at.fold(notches, |w, e| w.max(off(&cut, (plain::number(e, 10), plain::number(e, 20)))));
        // The grain stays along X, as it is in the base.
        let grain = block.iter().find(|e| e[0].1 == "LINE" && plain::get(e, 8) == "7").unwrap();
        assert!((plain::number(grain, 20) - plain::number(grain, 21)).abs() < 1e-6);
    }
    assert!(uneven < 0.1, "{uneven} mm");
    assert!(notches < 0.01, "{notches} mm");
}
