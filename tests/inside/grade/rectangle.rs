//! A rectangle with four rules, every value computed by hand.

use super::{ids, nest};
use crate::finding::{FindingId, Severity};
use crate::grade::{Deltas, RuleTable};
use crate::inside::common::plain::{self, near};
use std::fmt::Write as _;

/// A rectangle 100 by 40 (corners ruled 1 to 4), one more vertex 25 from its first corner, a curve-free sew
/// line 10 inside without rules, grain, drill hole, two notches without rules, an unknown entity, a text.
/// `axis` is the end of the grade reference line from 0,0.
fn drawing(units: &str, axis: (f64, f64)) -> String {
    let mut out = String::new();
    let mut put = |pairs: &[(i32, &str)]| {
        for (code, value) in pairs {
            let _ = write!(out, "{code:>3}\n{value}\n");
        }
    };
    put(&[(0, "SECTION"), (2, "BLOCKS"), (0, "BLOCK"), (8, "1"), (2, "PANEL_M"), (10, "0.0"), (20, "0.0")]);
    let line = |layer: &str, points: &[(&str, &str)]| {
        let mut pairs =
            vec![(0, "POLYLINE".to_owned()), (8, layer.to_owned()), (66, "1".into()), (70, "1".into())];
        for (x, y) in points {
            pairs.extend([(0, "VERTEX".into()), (8, layer.into()), (10, (*x).into()), (20, (*y).into())]);
        }
        pairs.extend([(0, "SEQEND".into()), (8, layer.into())]);
        pairs
    };
    let cut = [("0.0", "0.0"), ("25.0", "0.0"), ("100.0", "0.0"), ("100.0", "40.0"), ("0.0", "40.0")];
    let sew = [("10.0", "10.0"), ("90.0", "10.0"), ("90.0", "30.0"), ("10.0", "30.0")];
    for (layer, points) in [("1", &cut[..]), ("14", &sew[..])] {
        let pairs = line(layer, points);
        put(&pairs.iter().map(|(c, v)| (*c, v.as_str())).collect::<Vec<_>>());
    }
    for (rule, at) in [("# 1", cut[0]), ("# 2", cut[2]), ("# 3", cut[3]), ("# 4", cut[4])] {
        put(&[(0, "POINT"), (8, "2"), (10, at.0), (20, at.1)]);
        put(&[(0, "TEXT"), (8, "2"), (10, at.0), (20, at.1), (40, "3.0"), (1, rule)]);
    }
    put(&[(0, "POINT"), (8, "4"), (10, "50.0"), (20, "40.0"), (30, "6.0"), (50, "270.0")]);
    put(&[(0, "POINT"), (8, "13"), (10, "50.0"), (20, "20.0")]);
    put(&[(0, "LINE"), (8, "7"), (10, "20.0"), (20, "20.0"), (11, "80.0"), (21, "20.0")]);
    let axis = (axis.0.to_string(), axis.1.to_string());
    put(&[(0, "LINE"), (8, "5"), (10, "0.0"), (20, "0.0"), (11, &axis.0), (21, &axis.1)]);
    put(&[(0, "WIDGET"), (8, "15"), (10, "50.0"), (20, "20.0"), (1, "as it is")]);
    put(&[(0, "TEXT"), (8, "1"), (10, "50.0"), (20, "20.0"), (40, "3.0"), (1, "Piece Name: PANEL")]);
    put(&[(0, "TEXT"), (8, "1"), (10, "50.0"), (20, "15.0"), (40, "3.0"), (1, "Size: M")]);
    put(&[(0, "ENDBLK"), (8, "1"), (0, "ENDSEC"), (0, "SECTION"), (2, "ENTITIES")]);
    put(&[(0, "TEXT"), (8, "1"), (10, "0.0"), (20, "0.0"), (40, "3.0"), (1, units)]);
    put(&[(0, "INSERT"), (8, "1"), (2, "PANEL_M"), (10, "0.0"), (20, "0.0"), (0, "ENDSEC"), (0, "EOF")]);
    out
}

/// The left edge stays; the right edge goes 8 out and, above, 4 up, in the larger size.
const RULES: &str = "UNITS: METRIC\nGRADE RULE TABLE: P\nSAMPLE SIZE: M\nNUMBER OF SIZES: 3\nSIZE LIST: S M L\n\
    RULE: DELTA 1\n0,0 0,0 0,0\nRULE: DELTA 2\n-8,0 0,0 8,0\nRULE: DELTA 3\n-8,-4 0,0 8,4\nRULE: DELTA 4\n0,-4 0,0 0,4\nEND\n";

fn table(text: &str) -> RuleTable {
    RuleTable::read(text.as_bytes(), "p.rul").unwrap()
}

fn all(block: &[Vec<plain::Pair>], kind: &str, layer: &str) -> Vec<(f64, f64)> {
    let here = |e: &&Vec<plain::Pair>| e[0].1 == kind && plain::get(e, 8) == layer;
    block.iter().filter(here).map(|e| (plain::number(e, 10), plain::number(e, 20))).collect()
}

fn met(found: &[(f64, f64)], wanted: &[(f64, f64)]) {
    assert_eq!(found.len(), wanted.len());
    assert!(found.iter().zip(wanted).all(|(a, b)| near(*a, *b) < 2e-6), "{found:?} {wanted:?}");
}

#[test]
fn by_hand() {
    // With one size on either side of the base, both readings of the deltas are one: nobody need say.
    let graded = nest(drawing("Units: METRIC", (60.0, 0.0)).as_bytes(), &table(RULES), None).unwrap();
    assert_eq!(ids(&graded.findings, Severity::Error), []);
    let blocks = plain::blocks(&graded.bytes);
    assert_eq!(blocks.keys().collect::<Vec<_>>(), ["PANEL_L", "PANEL_M", "PANEL_S"]);
    let large = &blocks["PANEL_L"];
    // 25 of 100 along the lower edge: a quarter of 8.
    met(&plain::polyline(large, "1"), &[(0.0, 0.0), (27.0, 0.0), (108.0, 0.0), (108.0, 44.0), (0.0, 44.0)]);
    // Halfway along the upper edge.
    met(&all(large, "POINT", "4"), &[(54.0, 44.0)]);
    // The deltas are affine over the rectangle (8/100 of x, 4/40 of y), and inside they are too.
    met(&all(large, "POINT", "13"), &[(54.0, 22.0)]);
    // The grain as a whole, by its middle at 50,20.
    met(&all(large, "LINE", "7"), &[(24.0, 22.0)]);
    let grain = large.iter().find(|e| e[0].1 == "LINE" && plain::get(e, 8) == "7").unwrap();
    met(&[(plain::number(grain, 11), plain::number(grain, 21))], &[(84.0, 22.0)]);
    met(&all(large, "LINE", "5"), &[(0.0, 0.0)]);
    met(&all(large, "WIDGET", "15"), &[(50.0, 20.0)]);
    met(&all(large, "TEXT", "1"), &[(54.0, 22.0), (54.0, 16.5)]);
    // The sew line stays 10 inside the cut line.
    met(&plain::polyline(large, "14"), &[(10.0, 10.0), (98.0, 10.0), (98.0, 34.0), (10.0, 34.0)]);
    met(&plain::polyline(&blocks["PANEL_S"], "1")[2..4], &[(92.0, 0.0), (92.0, 36.0)]);
    assert!(graded.findings.iter().any(|f| f.message.contains("WIDGET")));
    let placed = plain::entities(&graded.bytes).into_iter().filter(|e| e[0].1 == "INSERT");
    assert_eq!(
        placed.map(|e| plain::get(&e, 2).to_owned()).collect::<Vec<_>>(),
        ["PANEL_S", "PANEL_M", "PANEL_L"]
    );
}

/// The reference line points up: a delta of 8,0 moves up by 8, one of 0,4 to the left by 4.
#[test]
fn deltas_run_along_the_grade_reference_line() {
    let graded = nest(drawing("Units: METRIC", (0.0, 60.0)).as_bytes(), &table(RULES), None).unwrap();
    let blocks = plain::blocks(&graded.bytes);
    met(
        &plain::polyline(&blocks["PANEL_L"], "1"),
        &[(0.0, 0.0), (25.0, 2.0), (100.0, 8.0), (96.0, 48.0), (-4.0, 40.0)],
    );
    assert!(graded.findings.iter().any(|f| f.message.contains("turned by 90.00°")));
}

/// 8 mm in a drawing in inches are 8/25.4; and an inch in the table is 25.4 mm in the drawing.
#[test]
fn units_are_converted() {
    let graded = nest(drawing("Units: ENGLISH", (60.0, 0.0)).as_bytes(), &table(RULES), None).unwrap();
    let line = plain::polyline(&plain::blocks(&graded.bytes)["PANEL_L"], "1");
    met(&line[2..3], &[(100.0 + 8.0 / 25.4, 0.0)]);
    let inches = table(&RULES.replace("METRIC", "ENGLISH"));
    let graded = nest(drawing("Units: METRIC", (60.0, 0.0)).as_bytes(), &inches, None).unwrap();
    let line = plain::polyline(&plain::blocks(&graded.bytes)["PANEL_L"], "1");
    met(&line[2..3], &[(100.0 + 8.0 * 25.4, 0.0)]);
}

/// S, M, L, XL with 8 each: from size to size XL is 16 from M, from the base it is 8.
#[test]
fn steps_add_up() {
    let rules = RULES.replace("SIZES: 3", "SIZES: 4").replace("S M L", "S M L XL");
    let rules = rules.replace("0,0 0,0 0,0", "0,0 0,0 0,0 0,0").replace("8,0\n", "8,0 8,0\n");
    let rules = table(&rules.replace("8,4\n", "8,4 8,4\n").replace("0,4\n", "0,4 0,4\n"));
    let base = drawing("Units: METRIC", (60.0, 0.0));
    for (deltas, x) in [(Deltas::Base, 108.0), (Deltas::Step, 116.0)] {
        let graded = nest(base.as_bytes(), &rules, Some(deltas)).unwrap();
        let line = plain::polyline(&plain::blocks(&graded.bytes)["PANEL_XL"], "1");
        met(&line[2..3], &[(x, 0.0)]);
    }
}

#[test]
fn several_grade_reference_lines() {
    let base = drawing("Units: METRIC", (60.0, 0.0));
    let second = "  0\nLINE\n  8\n5\n 10\n0.0\n 20\n0.0\n 11\n0.0\n 21\n60.0\n  0\nWIDGET\n";
    let two = base.replacen("  0\nWIDGET\n", second, 1);
    let graded = nest(two.as_bytes(), &table(RULES), None).unwrap();
    assert_eq!(ids(&graded.findings, Severity::Error), [FindingId::GradeReferenceAmbiguous]);
    let drawing = crate::dxf_text::Drawing::scan(two.as_bytes()).unwrap();
    let read = crate::pattern::read(&drawing, &crate::pattern::Reading::default()).unwrap();
    let options = crate::grade::Options { reference: Some(2), ..Default::default() };
    let graded = crate::grade::nest(&drawing, &read, &table(RULES), &options).unwrap();
    assert_eq!(ids(&graded.findings, Severity::Error), []);
    met(&plain::polyline(&plain::blocks(&graded.bytes)["PANEL_L"], "1")[2..3], &[(100.0, 8.0)]);
    // Two that point the same way leave nothing open.
    let alike = two.replacen(" 11\n0.0\n 21\n60.0", " 11\n30.0\n 21\n0.0", 1);
    assert_eq!(ids(&nest(alike.as_bytes(), &table(RULES), None).unwrap().findings, Severity::Error), []);
}

#[test]
fn a_point_with_two_rules_that_disagree() {
    let text = "  0\nTEXT\n  8\n2\n 10\n0.0\n 20\n0.0\n 40\n3.0\n  1\n# 2\n  0\nWIDGET\n";
    let two = drawing("Units: METRIC", (60.0, 0.0)).replacen("  0\nWIDGET\n", text, 1);
    let graded = nest(two.as_bytes(), &table(RULES), None).unwrap();
    assert_eq!(ids(&graded.findings, Severity::Error), [FindingId::RuleMismatch]);
}

#[test]
fn a_blocks_name_that_is_taken() {
    let other = "  0\nBLOCK\n  8\n1\n  2\npanel_l\n 10\n0.0\n 20\n0.0\n  0\nENDBLK\n  8\n1\n  0\nENDSEC\n";
    let taken = drawing("Units: METRIC", (60.0, 0.0)).replacen("  0\nENDSEC\n", other, 1);
    let error = nest(taken.as_bytes(), &table(RULES), None).unwrap_err().to_string();
    assert!(error.contains("PANEL_L"), "{error}");
}

/// The upper edge is an arc (a bulge of 0.2) from 100,40 to 0,40: it cannot stay an arc where its ends move
/// apart, so it becomes vertices, on the arc's own points moved in proportion along it.
#[test]
fn an_arc_whose_ends_move_apart_becomes_vertices() {
    let arc = " 10\n100.0\n 20\n40.0\n 42\n0.2\n  0\nVERTEX";
    let base = drawing("Units: METRIC", (60.0, 0.0)).replacen(" 10\n100.0\n 20\n40.0\n  0\nVERTEX", arc, 1);
    assert!(base.contains(arc));
    let graded = nest(base.as_bytes(), &table(RULES), None).unwrap();
    assert_eq!(ids(&graded.findings, Severity::Error), []);
    let blocks = plain::blocks(&graded.bytes);
    let line = plain::polyline(&blocks["PANEL_L"], "1");
    assert!(line.len() > 8, "{}", line.len());
    met(&line[..4], &[(0.0, 0.0), (27.0, 0.0), (108.0, 0.0), (108.0, 44.0)]);
    // Half of a bulge times the chord is the arc's height: 10 at the middle, which moves by 4,4.
    let top = line.iter().map(|p| p.1).fold(0.0, f64::max);
    assert!((top - 54.0).abs() < 0.02, "{top}");
    assert!(!blocks["PANEL_L"].iter().flatten().any(|p| p.0 == 42 && p.1 == "0.2"));
}
