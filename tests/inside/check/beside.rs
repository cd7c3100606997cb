//! What comparing with an original says of all that is no sew or cut line: marks that go along with a seam, other entities, blocks,
//! and the file around them. The same legs as for the lines.

use super::differs::{
    FRONT, Said, allowed, entity, line, line_of, moved, nest, plain, point, put, said, text, xy,
};
use crate::inside::common::dxf::Xy;

/// The front's crotch seam moves by 3-4-5 at vertex 5, and what stands in the front with it.
fn slid(before: &str, after: &str) -> (String, String) {
    (nest(&FRONT, before), nest(&moved(&[(5, (3.0, 4.0))]), after))
}

const SLID: &str = "sew line 1 of 19 vertices moved by up to 5.00 mm";

fn goes_along(before: &str, after: &str) {
    let (old, new) = slid(before, after);
    allowed(&old, &new, &format!("{SLID}; 1 mark or text carried along"));
}

/// The findings that are not about what moved on the seams.
fn faults(old: &str, new: &str) -> Vec<Said> {
    said(old, new).into_iter().filter(|f| !f.2.starts_with("changed on")).collect()
}

fn stays(before: &str, after: &str, to: Xy) {
    let (old, new) = slid(before, after);
    let message = format!(
        "a mark or text was moved to ({:.2}, {:.2}) and did not go along with an altered seam; put it back",
        to.0, to.1
    );
    assert_eq!(faults(&old, &new), [(Some(line_of(&new, after, 0)), Some([to.0, to.1]), message)]);
}

/// A notch on a straight part of the crotch seam, x = 240, at and beyond 3 mm from it; on the hem; a text.
#[test]
fn marks_go_along_with_the_seam_they_stand_on() {
    for layer in ["4", "2", "3", "13"] {
        goes_along(&point(layer, (240.0, 925.0)), &point(layer, (241.0, 922.0)));
    }
    goes_along(&point("4", (237.1, 925.0)), &point("4", (237.1, 921.0)));
    stays(&point("4", (236.9, 925.0)), &point("4", (236.9, 921.0)), (236.9, 921.0));
    // On the last edge of the inseam, of which one end may move, and on the hem, which may not.
    goes_along(&point("4", (289.0, 170.0)), &point("4", (289.0, 173.0)));
    stays(&point("4", (188.0, 90.0)), &point("4", (190.0, 90.0)), (190.0, 90.0));
    // Beyond a corner the corner itself counts: below the hem's, and behind the fork.
    stays(&point("4", (289.0, 88.5)), &point("4", (289.0, 89.5)), (289.0, 89.5));
    goes_along(&point("4", (314.0, 801.0)), &point("4", (315.0, 803.0)));
    // Beside the waist: its edge next to the centre has an end that moves, the next has not.
    stays(&point("4", (100.0, 1058.0)), &point("4", (101.0, 1058.0)), (101.0, 1058.0));
    let words = "Grade Rule: 12";
    goes_along(&text((242.0, 925.0), words), &text((242.0, 921.0), words));
    stays(&text((190.0, 925.0), words), &text((190.0, 921.0), words), (190.0, 921.0));
    let mtext = |at| entity("MTEXT", "1", &format!("{}40\n5.0\n1\nnote\n", xy(at)));
    goes_along(&mtext((242.0, 925.0)), &mtext((242.0, 921.0)));
}

/// A turn or curve point belongs to a vertex (ASTM D6673, layers 2 and 3) and stays there: up to 0.6 mm away it is taken to mark
/// it, and may be 0.05 mm further after rounding.
#[test]
fn turn_and_curve_points_stay_at_their_vertex() {
    for layer in ["2", "3"] {
        let mark = |at| point(layer, at);
        // Vertex 5 is at (269, 810.5), and (272, 814.5) when it has moved.
        goes_along(&mark((269.0, 810.5)), &mark((272.04, 814.5)));
        stays(&mark((269.0, 810.5)), &mark((272.06, 814.5)), (272.06, 814.5));
        goes_along(&mark((269.0, 809.94)), &mark((272.0, 813.9)));
        stays(&mark((269.0, 809.94)), &mark((272.0, 813.87)), (272.0, 813.87));
        goes_along(&mark((269.0, 809.88)), &mark((272.0, 813.0)));
    }
    // A notch may leave it.
    goes_along(&point("4", (269.0, 810.5)), &point("4", (275.0, 814.5)));
}

/// Above the waist, next to a vertex of it that stays, whatever moves on the edge behind it.
#[test]
fn a_mark_beyond_a_corner_belongs_to_the_corner() {
    let front = |fork: Xy, mark: Xy| {
        let mut points = FRONT.to_vec();
        (points[18], points[7]) = ((150.0, 1075.0), fork);
        points.rotate_left(18);
        nest(&points, &point("4", mark))
    };
    let (old, new) = (front((312.0, 800.0), (150.0, 1077.0)), front((312.0, 796.0), (151.0, 1077.0)));
    let found = faults(&old, &new);
    assert_eq!(found.len(), 1);
    assert_eq!(found[0].1, Some([151.0, 1077.0]));
}

/// A slit drawn of lines is a notch; any other line stays.
#[test]
fn a_slit_goes_along_and_another_line_does_not() {
    // From the edge in, or from within to the edge.
    let slit = |layer, dy: f64| {
        entity("LINE", layer, &format!("{}11\n246.00\n21\n{:.2}\n", xy((240.0, 925.0 + dy)), 925.0 + dy))
    };
    goes_along(&slit("4", 0.0), &slit("4", -3.0));
    let from_within = |dy: f64| {
        entity("LINE", "4", &format!("{}11\n240.50\n21\n{:.2}\n", xy((234.0, 925.0 + dy)), 925.0 + dy))
    };
    goes_along(&from_within(0.0), &from_within(-3.0));
    let beyond = |dy: f64| {
        entity("LINE", "4", &format!("{}11\n236.50\n21\n{:.2}\n", xy((232.0, 925.0 + dy)), 925.0 + dy))
    };
    stays(&beyond(0.0), &beyond(-3.0), (232.0, 922.0));
    let drawn = |layer: &str, dy: f64| line(layer, &[(240.0, 925.0 + dy), (246.0, 926.0 + dy)], false);
    let (old, new) = slid(&drawn("4", 0.0), &drawn("4", -3.0));
    allowed(&old, &new, &format!("{SLID}; 2 marks and texts carried along"));
    let (old, new) = slid(&slit("8", 0.0), &slit("8", -3.0));
    differs(&old, &new, &slit("8", 0.0), &slit("8", -3.0));
    let both = |dy: f64| slit("4", dy) + &slit("8", dy);
    let (old, new) = slid(&both(0.0), &both(-3.0));
    differs(&old, &new, &slit("8", 0.0), &slit("8", -3.0));
}

/// What stands at `is` is in place of what stood at `was`.
fn differs(old: &str, new: &str, was: &str, is: &str) {
    let message =
        format!("what stands here differs from the original (line {}); put it back", line_of(old, was, 0));
    assert_eq!(faults(old, new), [(Some(line_of(new, is, 0)), None, message)]);
}

#[test]
fn what_else_a_block_says_stays() {
    let notch = point("4", (188.0, 90.0));
    let old = nest(&FRONT, &notch);
    // Another layer; another kind; a mark too many, too few.
    let other = point("13", (188.0, 90.0));
    differs(&old, &nest(&FRONT, &other), &notch, &other);
    let kind = notch.replace("POINT", "TEXT");
    differs(&old, &nest(&FRONT, &kind), &notch, &kind);
    let end = "0\nENDBLK\n8\n1\n0\nBLOCK\n8\n1\n2\nB-38\n";
    let more = point("4", (130.0, 90.0));
    differs(&old, &nest(&FRONT, &(notch.clone() + &more)), end, &more);
    differs(&old, &plain(), &notch, end);
    // The block's own head and end.
    let head = "0\nBLOCK\n8\n1\n2\nF-38\n70\n0\n10\n0.0";
    let new = put(&old, head, &head.replace("10\n0.0", "10\n0.5"));
    differs(&old, &new, head, "0\nBLOCK\n8\n1\n2\nF-38\n");
    let new = put(&old, end, &end.replacen("8\n1", "8\n7", 1));
    differs(&old, &new, end, "0\nENDBLK\n8\n7\n");
    // What a line says besides its places: a colour.
    let line = "0\nPOLYLINE\n8\n14\n66\n1\n70\n1\n0\nVERTEX\n8\n14\n10\n240.00";
    let new = put(&old, line, &line.replacen("66", "62\n3\n66", 1));
    differs(&old, &new, line, "0\nPOLYLINE\n8\n14\n62\n3\n");
    // One vertex's alone.
    let vertex = "0\nVERTEX\n8\n14\n10\n253.00";
    let new = put(&old, vertex, &vertex.replace("10\n", "62\n3\n10\n"));
    differs(&old, &new, "0\nSEQEND\n", "0\nVERTEX\n8\n14\n62\n3\n");
    // A handle or a count of its own is none.
    let new = put(&old, line, &line.replacen("66", "5\nA7\n66", 1));
    let block = line_of(&new, "0\nBLOCK\n8\n1\n2\nF-38\n", 0);
    let message = "the block is written otherwise than in the original (blanks, line ends, or the form of numbers); copy it \
                   as it was";
    assert_eq!(said(&old, &new), [(Some(block), None, message.to_owned())]);
}

/// Inches: the bounds are millimetres all the same.
#[test]
fn marks_of_a_drawing_in_inches_go_along() {
    let inches = |text: &str| {
        let mut lines: Vec<String> = text.replace("METRIC", "ENGLISH").lines().map(str::to_owned).collect();
        for pair in lines.chunks_mut(2) {
            if let ("10" | "11" | "20" | "21", Ok(mm)) = (pair[0].as_str(), pair[1].parse::<f64>()) {
                pair[1] = format!("{:.5}", mm / 25.4);
            }
        }
        lines.join("\n") + "\n"
    };
    let (old, new) = slid(&point("4", (237.1, 925.0)), &point("4", (237.1, 921.0)));
    allowed(&inches(&old), &inches(&new), &format!("{SLID}; 1 mark or text carried along"));
    let (old, new) = slid(&point("4", (236.8, 925.0)), &point("4", (236.8, 921.0)));
    let found = faults(&inches(&old), &inches(&new));
    // 236.8 and 921 mm.
    let message =
        "a mark or text was moved to (9.32, 36.26) and did not go along with an altered seam; put it back";
    assert_eq!(found.len(), 1);
    assert_eq!(found[0].2, message);
    let (old, new) = slid(&point("2", (269.0, 810.5)), &point("2", (272.06, 814.5)));
    assert_eq!(faults(&inches(&old), &inches(&new)).len(), 1);
}

#[test]
fn blocks_missing_added_and_without_a_piece_are_said() {
    let old = plain();
    let begin = |text: &str| line_of(text, "0\nBLOCK\n8\n1\n2\n*FRAME\n", 0);
    let frame = "0\nBLOCK\n8\n1\n2\n*FRAME\n70\n0\n10\n0.0\n20\n0.0\n0\nCIRCLE\n8\n1\n10\n7.0\n20\n9.0\n40\n3.0\n0\nENDBLK\n8\n1\n";
    let gone = put(&old, frame, "");
    let message = "the block '*FRAME' of the original is missing; put it back".to_owned();
    assert_eq!(said(&old, &gone), [(None, None, message)]);
    let message = "the block '*FRAME' is not in the original; take it out".to_owned();
    assert_eq!(said(&gone, &old), [(Some(begin(&old)), None, message)]);
    // Another one, named the same or not.
    let twice = put(&old, frame, &(frame.to_owned() + &frame.replace("FRAME", "SHEET")));
    let message = "the block '*SHEET' is not in the original; take it out".to_owned();
    assert_eq!(said(&old, &twice), [(Some(line_of(&twice, "\n*SHEET\n", 0) - 4), None, message)]);
    let twice = put(&old, frame, &(frame.to_owned() + frame));
    let message = "the block '*FRAME' is not in the original; take it out".to_owned();
    assert_eq!(said(&old, &twice), [(Some(begin(&twice) + 26), None, message)]);
    let wider = put(&old, "40\n3.0\n0\nENDBLK", "40\n3.5\n0\nENDBLK");
    let message = "the block '*FRAME', which is no piece, differs from the original; put it back".to_owned();
    assert_eq!(said(&old, &wider), [(Some(begin(&wider)), None, message)]);
    // In another order nothing differs within.
    let first = put(&gone, "0\nBLOCK\n8\n1\n2\nF-38\n", &(frame.to_owned() + "0\nBLOCK\n8\n1\n2\nF-38\n"));
    assert_eq!(said(&old, &first), [(None, None, "nothing differs from the original".to_owned())]);
}

#[test]
fn what_differs_around_the_blocks_is_said_with_its_place() {
    let seeded = |seed: &str| put(&plain(), "9\n$ACADVER", &format!("9\n$HANDSEED\n{seed}\n9\n$ACADVER"));
    let (old, nothing) = (seeded("5\nFF0"), [(None, None, "nothing differs from the original".to_owned())]);
    assert_eq!(said(&old, &seeded("5\n1A7")), nothing);
    assert_eq!(said(&old, &old), nothing);
    let values = |new: &str, at: &str, what: &str| {
        let message = format!("outside the pieces group code {what}; put it back");
        assert_eq!(said(&old, new), [(Some(line_of(new, at, 0)), None, message)]);
    };
    // The handle with another code, another name, and what follows it.
    let new = seeded("105\nFF0");
    values(&new, "105\nFF0", "105 'FF0' differs from the original's 5 'FF0' (line 7)");
    let new = put(&old, "$HANDSEED", "$HANDLING");
    values(&new, "9\n$HANDLING", "9 '$HANDLING' differs from the original's 9 '$HANDSEED' (line 5)");
    let new = put(&old, "AC1009", "AC1012");
    values(&new, "1\nAC1012", "1 'AC1012' differs from the original's 1 'AC1009' (line 11)");
    let new = put(&old, "1\nAC1009", "2\nAC1009");
    values(&new, "2\nAC1009", "2 'AC1009' differs from the original's 1 'AC1009' (line 11)");
    let new = put(&old, "Units: METRIC", "Units: Metric");
    let at = line_of(&old, "1\nUnits", 0);
    values(
        &new,
        "1\nUnits",
        &format!("1 'Units: Metric' differs from the original's 1 'Units: METRIC' (line {at})"),
    );
    // The last pair is the end of the file; what follows it is looked at as well.
    let longer = old.clone() + "999\nend\n";
    let message = "what stands here outside the pieces is not in the original; take it out".to_owned();
    assert_eq!(said(&old, &longer), [(Some(line_of(&longer, "999\n", 0)), None, message)]);
    let message = format!(
        "what follows line {} of the original outside the pieces is missing",
        line_of(&longer, "999\n", 0)
    );
    assert_eq!(said(&longer, &old), [(None, None, message)]);
    // Blanks around a code or at a value's end.
    let message = "outside the pieces the file is written otherwise than the original (blanks or line ends); copy it as it was";
    for new in [
        put(&old, "9\n$ACADVER", "  9\n$ACADVER"),
        put(&old, "AC1009", "AC1009  "),
        put(&old, "9\n$HANDSEED", " 9\n$HANDSEED"),
    ] {
        assert_eq!(said(&old, &new), [(None, None, message.to_owned())]);
    }
    assert_eq!(said(&old, &seeded(" 5\n 1A7")), nothing);
}

/// A piece that is no leg has no mark that may move.
#[test]
fn marks_of_another_piece_stay() {
    let notch = point("4", (962.0, 33.0));
    let last = "0\nVERTEX\n8\n1\n10\n905.00\n20\n214.00\n0\nSEQEND\n";
    let old = put(&plain(), last, &(last.to_owned() + &notch));
    let is = point("4", (963.0, 33.0));
    let new = put(&old, &notch, &is);
    let opened = (super::open(&old), super::open(&new), crate::job::Job::default());
    let found = crate::check::against::compare(
        &crate::check::Sheet::new(&opened.1, &opened.2),
        &opened.0,
        &opened.2,
        crate::check::By::Text,
    );
    let message =
        "a mark or text was moved to (963.00, 33.00) and did not go along with an altered seam; put it back";
    assert_eq!(found.len(), 1);
    assert_eq!((found[0].message.as_str(), found[0].line), (message, Some(line_of(&new, &is, 0))));
}
