//! What comparing with an original says, to the number: a pair of small legs of which one thing is changed at a time.
//!
//! Every step is a right triangle of sides 3, 4, 5 or lies on one axis; bounds are looked at from both sides. What an alteration
//! may change and what not is a fact of the trade (*common practice, no source*): the crotch seam and the inseam down to where
//! the new line has come back, with the marks that stand on them.

use super::open;
use crate::check::By;
use crate::check::{Sheet, against};
use crate::finding::{FindingId, Severity};
use crate::inside::common::dxf::Xy;
use crate::job::Job;

/// The sew line of a front, drawn from the centre waist over the fork: crotch seam 0 to 7, inseam to 12, hem to 13, outseam to
/// 17, waist.
pub const FRONT: [Xy; 19] = [
    (240.0, 1060.0),
    (240.0, 970.0),
    (240.0, 880.0),
    (243.5, 853.0),
    (253.0, 829.0),
    (269.0, 810.5),
    (288.0, 801.5),
    (312.0, 800.0),
    (306.0, 690.0),
    (300.0, 580.0),
    (295.0, 470.0),
    (291.0, 330.0),
    (288.0, 90.0),
    (84.0, 90.0),
    (60.0, 470.0),
    (41.0, 800.0),
    (52.0, 1000.0),
    (66.0, 1058.0),
    (150.0, 1059.0),
];
pub const FORK: usize = 7;

pub const BACK: [Xy; 17] = [
    (652.0, 1085.0),
    (658.0, 985.0),
    (664.0, 885.0),
    (670.0, 856.0),
    (683.0, 829.0),
    (704.0, 809.0),
    (730.0, 799.0),
    (765.0, 795.0),
    (760.0, 690.0),
    (750.0, 580.0),
    (740.0, 470.0),
    (732.0, 330.0),
    (726.0, 90.0),
    (502.0, 90.0),
    (480.0, 470.0),
    (455.0, 800.0),
    (480.0, 1070.0),
];

/// An entity as its lines: layer, kind and what it says besides.
pub fn entity(kind: &str, layer: &str, rest: &str) -> String {
    format!("0\n{kind}\n8\n{layer}\n{rest}")
}

pub fn xy((x, y): Xy) -> String {
    format!("10\n{x:.2}\n20\n{y:.2}\n")
}

pub fn vertex(layer: &str, at: Xy) -> String {
    entity("VERTEX", layer, &xy(at))
}

pub fn line(layer: &str, points: &[Xy], closed: bool) -> String {
    let head = entity("POLYLINE", layer, &format!("66\n1\n70\n{}\n", u8::from(closed)));
    points.iter().fold(head, |text, p| text + &vertex(layer, *p)) + "0\nSEQEND\n"
}

pub fn point(layer: &str, at: Xy) -> String {
    entity("POINT", layer, &xy(at))
}

pub fn text(at: Xy, words: &str) -> String {
    entity("TEXT", "1", &format!("{}40\n5.0\n1\n{words}\n", xy(at)))
}

pub fn block(name: &str, part: &str, entities: &str) -> String {
    let labels = text((100.0, 500.0), &format!("Piece Name: {part}")) + &text((100.0, 490.0), "Size: 38");
    format!("0\nBLOCK\n8\n1\n2\n{name}\n70\n0\n10\n0.0\n20\n0.0\n{labels}{entities}0\nENDBLK\n8\n1\n")
}

pub fn grain(x: f64) -> String {
    entity("LINE", "7", &format!("10\n{x:.2}\n20\n200.0\n11\n{x:.2}\n21\n700.0\n"))
}

/// Front, back, and a pocket; `more` stands in the front behind its sew line.
pub fn nest(front: &[Xy], more: &str) -> String {
    let pocket = line("1", &[(900.0, 30.0), (1040.0, 37.0), (1033.0, 220.0), (905.0, 214.0)], true);
    drawing(&[
        block("F-38", "FRONT", &(grain(170.0) + &line("14", front, true) + more)),
        block("B-38", "BACK", &(grain(600.0) + &line("14", &BACK, true))),
        block("P-38", "POCKET", &(grain(960.0) + &pocket)),
        "0\nBLOCK\n8\n1\n2\n*FRAME\n70\n0\n10\n0.0\n20\n0.0\n0\nCIRCLE\n8\n1\n10\n7.0\n20\n9.0\n40\n3.0\n0\nENDBLK\n8\n1\n".to_owned(),
    ])
}

/// A drawing of these blocks.
pub fn drawing(blocks: &[String]) -> String {
    let (blocks, unit) = (blocks.concat(), text((0.0, 0.0), "Units: METRIC"));
    format!(
        "0\nSECTION\n2\nHEADER\n9\n$ACADVER\n1\nAC1009\n0\nENDSEC\n0\nSECTION\n2\nBLOCKS\n{blocks}0\nENDSEC\n\
         0\nSECTION\n2\nENTITIES\n{unit}0\nENDSEC\n0\nEOF\n"
    )
}

pub fn plain() -> String {
    nest(&FRONT, "")
}

/// A front's sew line with vertices moved.
pub fn moved(list: &[(usize, Xy)]) -> Vec<Xy> {
    let mut points = FRONT.to_vec();
    for &(i, (dx, dy)) in list {
        points[i] = (points[i].0 + dx, points[i].1 + dy);
    }
    points
}

/// The first place of a text, of which there has to be one; lines count from 1, and `down` further.
pub fn line_of(text: &str, what: &str, down: usize) -> usize {
    let (before, _) = text.split_once(what).unwrap_or_else(|| panic!("no {what:?}"));
    before.matches('\n').count() + 1 + down
}

/// The line that X of a vertex stands on.
pub fn line_of_vertex(text: &str, at: Xy) -> usize {
    line_of(text, &vertex("14", at), 5)
}

pub fn put(text: &str, old: &str, new: &str) -> String {
    assert_eq!(text.matches(old).count(), 1, "{old:?}");
    text.replacen(old, new, 1)
}

/// A finding's line, place and message.
pub type Said = (Option<usize>, Option<[f64; 2]>, String);

/// Everything that is found, the findings that are not notes first; all of it about the front where it is about a piece.
pub fn said(old: &str, new: &str) -> Vec<Said> {
    let (original, opened, job) = (open(old), open(new), Job::default());
    let mut found = against::compare(&Sheet::new(&opened, &job), &original, &job, By::Text);
    found.sort_by_key(|f| f.severity == Severity::Note);
    for f in &found {
        let id = if f.severity == Severity::Error { FindingId::ChangedElsewhere } else { FindingId::Changed };
        assert_eq!(f.id, id);
        assert!(matches!(f.piece.as_deref(), None | Some("FRONT")), "{f:?}");
        assert_eq!(f.size.as_deref(), f.piece.as_ref().map(|_| "38"), "{f:?}");
    }
    found.into_iter().map(|f| (f.line, f.at, f.message)).collect()
}

/// Nothing but what an alteration may change, which is said so at the front's block.
pub fn allowed(old: &str, new: &str, what: &str) {
    let line = line_of(new, "0\nBLOCK\n8\n1\n2\nF-38\n", 0);
    assert_eq!(said(old, new), [(Some(line), None, format!("changed on the seams: {what}"))]);
}

/// A finding first that says this at this vertex.
fn refused(old: &str, new: &str, at: Xy, what: &str) {
    let found = said(old, new);
    assert_eq!(found[0], (Some(line_of_vertex(new, at)), Some([at.0, at.1]), what.to_owned()), "{found:#?}");
    assert_eq!(found.iter().filter(|f| !f.2.starts_with("changed on")).count(), 1, "{found:#?}");
}

#[test]
fn what_moved_on_the_seams_is_counted_and_measured() {
    let old = plain();
    assert_eq!(said(&old, &old), [(None, None, "nothing differs from the original".to_owned())]);
    // Fork by 5, the vertex before it by 13: sides 3-4-5 and 5-12-13.
    let new = nest(&moved(&[(FORK - 1, (5.0, -12.0)), (FORK, (-3.0, -4.0))]), "");
    allowed(&old, &new, "sew line 2 of 19 vertices moved by up to 13.00 mm");
    // Two stretches; the longest way is in the first.
    let new = nest(&moved(&[(3, (0.0, -7.0)), (5, (3.0, 4.0))]), "");
    allowed(&old, &new, "sew line 2 of 19 vertices moved by up to 7.00 mm");
    // The inseam down to the vertex above the hem.
    let new = nest(
        &moved(&[(7, (0.0, -9.0)), (8, (0.0, -7.0)), (9, (0.0, -5.0)), (10, (0.0, -3.0)), (11, (0.0, -1.0))]),
        "",
    );
    allowed(&old, &new, "sew line 5 of 19 vertices moved by up to 9.00 mm");
}

#[test]
fn what_was_added_on_the_seams_is_counted() {
    let old = plain();
    // Between vertices that stay nothing has moved.
    let with = |points: &[(usize, Xy)], mut line: Vec<Xy>| {
        for &(i, at) in points.iter().rev() {
            line.insert(i, at);
        }
        line
    };
    let new = nest(&with(&[(9, (303.5, 640.0))], FRONT.to_vec()), "");
    allowed(&old, &new, "sew line 0 of 19 vertices moved, 1 vertex added");
    let new =
        nest(&with(&[(8, (309.5, 760.0)), (8, (308.0, 720.0)), (10, (298.5, 540.0))], FRONT.to_vec()), "");
    allowed(&old, &new, "sew line 0 of 19 vertices moved, 3 vertices added");
    // Of a stretch that has more vertices than before it is not known how far which of them moved.
    let new = nest(&with(&[(8, (308.5, 740.0))], moved(&[(FORK, (0.0, -5.0)), (8, (0.0, -5.0))])), "");
    allowed(&old, &new, "sew line 2 of 19 vertices moved, 1 vertex added");
    let new = nest(
        &with(&[(8, (308.5, 740.0))], moved(&[(4, (4.0, 3.0)), (FORK, (0.0, -9.0)), (8, (0.0, -8.0))])),
        "",
    );
    allowed(&old, &new, "sew line 3 of 19 vertices moved by up to 5.00 mm, 1 vertex added");
}

#[test]
fn what_moved_elsewhere_is_said_with_its_seam() {
    let old = plain();
    for (i, seam) in [(12, "inseam"), (13, "hem"), (14, "outseam"), (17, "outseam"), (18, "waist")] {
        let new = nest(&moved(&[(i, (0.25, -0.5))]), "");
        let what = format!(
            "the sew line differs from the original on the {seam}, outside the altered seams; put it back"
        );
        let at = (FRONT[i].0 + 0.25, FRONT[i].1 - 0.5);
        refused(&old, &new, at, &what);
    }
    // A corner ends the seam that comes to it. In one stretch with what may move: the first vertex that may not.
    let new = nest(
        &moved(&[
            (9, (0.5, -1.0)),
            (10, (0.5, -1.0)),
            (11, (0.5, -1.0)),
            (12, (0.5, -2.0)),
            (13, (0.5, -2.0)),
        ]),
        "",
    );
    refused(
        &old,
        &new,
        (288.5, 88.0),
        "the sew line differs from the original on the inseam, outside the altered seams; put it back",
    );
    // Where two vertices were taken out, at the one before them.
    let mut points = FRONT.to_vec();
    points.drain(14..16);
    let what =
        "the sew line differs from the original on the outseam, outside the altered seams; put it back";
    refused(&old, &nest(&points, ""), FRONT[13], what);
    // The waist goes with its centre where that was moved.
    let new = nest(&moved(&[(0, (-4.0, 3.0)), (18, (-0.6, 0.8))]), "");
    allowed(&old, &new, "sew line 2 of 19 vertices moved by up to 5.00 mm");
}

#[test]
fn vertices_too_many_or_too_few_are_said() {
    let old = plain();
    for (i, at, seam) in [
        (15, (50.0, 640.0), "outseam"),
        (13, (190.0, 90.0), "inseam"),
        (14, (72.0, 280.0), "hem"),
        (19, (195.0, 1059.5), "waist"),
    ] {
        let mut points = FRONT.to_vec();
        points.insert(i, at);
        let what = format!(
            "the sew line has more vertices than the original on the {seam}, outside the altered seams; take them out"
        );
        refused(&old, &nest(&points, ""), at, &what);
    }
    // The last edge of the inseam ends at the hem, whose corner stays: nothing is added there.
    let mut points = FRONT.to_vec();
    points.insert(12, (289.5, 210.0));
    let what = "the sew line has more vertices than the original on the inseam, outside the altered seams; take them out";
    refused(&old, &nest(&points, ""), (289.5, 210.0), what);
    for (range, count) in [(4..5, "1 vertex"), (9..11, "2 vertices")] {
        let mut points = FRONT.to_vec();
        let at = FRONT[range.end];
        points.drain(range);
        let what = format!(
            "the sew line has {count} less than the original; an alteration moves vertices and takes none out"
        );
        refused(&old, &nest(&points, ""), at, &what);
    }
    // Two taken out and one put in.
    let mut points = FRONT.to_vec();
    points.splice(3..5, [(247.0, 840.0)]);
    let what =
        "the sew line has 1 vertex less than the original; an alteration moves vertices and takes none out";
    refused(&old, &nest(&points, ""), (247.0, 840.0), what);
}

/// Coordinates have two decimals: a vertex where the slide runs out may be rounded by 0.01 mm at either end, and a cut line
/// follows within 0.05 mm; below where the line has come back, and from the fork down, no more than that.
#[test]
fn the_inseam_moves_less_and_less_and_comes_back_once() {
    let old = plain();
    let grows = "the sew line moves further on the inseam than above it; an alteration moves less and less from the fork down";
    for (further, found) in [(0.06, false), (0.08, true)] {
        let new = nest(
            &moved(&[(7, (0.0, -6.0)), (8, (0.0, -5.0)), (9, (0.0, -5.0 - further)), (10, (0.0, -2.0))]),
            "",
        );
        if found {
            refused(&old, &new, (300.0, 580.0 - 5.0 - further), grows);
        } else {
            allowed(&old, &new, "sew line 4 of 19 vertices moved by up to 6.00 mm");
        }
    }
    let below = "the sew line differs from the original on the inseam below where it has come back to the old line; put it back";
    for (far, found) in [(0.02, false), (0.03, true)] {
        let new = nest(&moved(&[(7, (0.0, -6.0)), (8, (0.0, -5.0)), (10, (far, 0.0)), (11, (0.0, far))]), "");
        if found {
            refused(&old, &new, (295.0 + far, 470.0), below);
        } else {
            allowed(&old, &new, "sew line 4 of 19 vertices moved by up to 6.00 mm");
        }
    }
    // A vertex of the inseam alone, with nothing moved over the fork.
    refused(&old, &nest(&moved(&[(10, (0.0, 3.0))]), ""), (295.0, 473.0), below);
    // One that was added there beside one that moved.
    let mut points = moved(&[(7, (0.0, -6.0)), (10, (0.01, 0.0))]);
    points.insert(11, (293.0, 400.0));
    refused(&old, &nest(&points, ""), (295.01, 470.0), below);
}

/// The same line may begin at any of its vertices; the alteration is then in two stretches and still one.
#[test]
fn a_line_may_begin_within_what_was_altered() {
    for first in [FORK + 2, FORK, FORK - 2, 1] {
        let turned = |mut points: Vec<Xy>| {
            points.rotate_left(first);
            nest(&points, "")
        };
        let changes = [
            (5, (0.0, -9.0)),
            (6, (0.0, -9.0)),
            (7, (0.0, -9.0)),
            (8, (0.0, -8.0)),
            (9, (0.0, -6.0)),
            (10, (0.0, -2.0)),
        ];
        allowed(
            &turned(FRONT.to_vec()),
            &turned(moved(&changes)),
            "sew line 6 of 19 vertices moved by up to 9.00 mm",
        );
    }
}

/// What is moved by itself on the inseam is no part of an alteration, wherever the line begins.
#[test]
fn a_stretch_below_stays_one_of_its_own() {
    let below = "the sew line differs from the original on the inseam below where it has come back to the old line; put it back";
    let faults = |first: usize, changes: &[(usize, Xy)]| {
        let turned = |mut points: Vec<Xy>| {
            points.rotate_left(first);
            nest(&points, "")
        };
        let found = said(&turned(FRONT.to_vec()), &turned(moved(changes)));
        found.into_iter().filter(|f| f.2 == below).map(|f| f.1.unwrap()).collect::<Vec<_>>()
    };
    // Behind the alteration at the line's end, and before the alteration at its begin.
    for first in [9, 7] {
        assert_eq!(faults(first, &[(7, (0.0, -6.0)), (8, (0.0, -5.0)), (11, (0.0, -1.0))]), [[291.0, 329.0]]);
    }
    // At the line's begin and end, with nothing moved over the fork.
    assert_eq!(faults(10, &[(9, (0.0, -3.0)), (10, (0.0, -2.0))]), [[295.0, 468.0], [300.0, 577.0]]);
}

#[test]
fn a_line_that_closes_otherwise_or_is_written_otherwise_is_found() {
    let old = plain();
    let flag = "14\n66\n1\n70\n1\n0\nVERTEX\n8\n14\n10\n240.00\n20\n1060.00\n";
    let new = put(&old, flag, &flag.replacen("70\n1", "70\n0", 1));
    refused(&old, &new, FRONT[0], "the sew line no longer closes as in the original");
    let (was, is) = (xy(FRONT[16]), "10\n52.00\n20\n1000.0\n");
    let new = put(&old, &was, is);
    let found = said(&old, &new);
    let line = line_of(&new, is, 1);
    let message =
        "the sew line has the same vertex as the original, written otherwise; copy it as it was".to_owned();
    assert_eq!(found, [(Some(line), Some([52.0, 1000.0]), message)]);
    // Behind what moved and what was added the places still belong together.
    let mut points = moved(&[(4, (1.0, 0.0)), (7, (0.0, -2.0)), (8, (0.0, -2.0))]);
    points.insert(9, (303.0, 640.0));
    let new = nest(&points, "");
    allowed(&old, &new, "sew line 3 of 19 vertices moved by up to 1.00 mm, 1 vertex added");
    let spoilt = put(&new, &was, is);
    assert_eq!(said(&old, &spoilt)[0].0, Some(line_of(&spoilt, is, 1)));
}

/// Nothing moves on a piece that is no leg.
#[test]
fn a_line_of_another_piece_stays() {
    let old = plain().replace("FRONT", "FRONTLESS");
    let plainly = |new: &str| {
        let opened = (open(&old), open(new), Job::default());
        let found = against::compare(&Sheet::new(&opened.1, &opened.2), &opened.0, &opened.2, By::Text);
        found.into_iter().map(|f| (f.piece, f.line, f.at, f.message)).collect::<Vec<_>>()
    };
    let said = |line, at: Xy, message: &str| {
        [(Some("POCKET".to_owned()), Some(line), Some([at.0, at.1]), message.to_owned())]
    };
    let third = vertex("1", (1033.0, 220.0));
    let new = put(&old, &third, &vertex("1", (1033.0, 220.01)));
    let (line, message) = (line_of(&old, &third, 5), "the cut line differs from the original; put it back");
    assert_eq!(plainly(&new), said(line, (1033.0, 220.01), message));
    let last = vertex("1", (905.0, 214.0));
    assert_eq!(plainly(&put(&old, &last, "")), said(line, (1033.0, 220.0), message));
    let more = put(&old, &last, &(last.clone() + &vertex("1", (902.0, 100.0))));
    assert_eq!(
        plainly(&more),
        said(line_of(&more, &vertex("1", (902.0, 100.0)), 5), (902.0, 100.0), message)
    );
    let flag = "1\n66\n1\n70\n1\n0\nVERTEX\n8\n1\n10\n900.00";
    let open = put(&old, flag, &flag.replacen("70\n1", "70\n0", 1));
    assert_eq!(plainly(&open), said(line_of(&old, flag, 10), (900.0, 30.0), message));
}

#[test]
fn lines_too_many_are_said_with_their_use() {
    let old = plain();
    for (layer, name) in
        [("84", "cut line's validation curve"), ("87", "sew line's validation curve"), ("14", "sew line")]
    {
        let more = line(layer, &[(240.0, 970.0), (240.0, 880.0), (243.5, 853.0)], false);
        let new = nest(&FRONT, &more);
        let count = if layer == "14" { [2, 1] } else { [1, 0] };
        let found = said(&old, &new);
        let block = line_of(&new, "0\nBLOCK\n8\n1\n2\nF-38\n", 0);
        let message = format!(
            "there are {} lines on the {name} in place of the original's {}; put them back",
            count[0], count[1]
        );
        assert_eq!(found[0], (Some(block), None, message), "{found:#?}");
    }
}
