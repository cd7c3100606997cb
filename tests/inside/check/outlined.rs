//! Outlines that are open, cross themselves, or are of no garment's size, by hand-calculated numbers.

use super::drawn::{Block, Xy, assert_said, block_line, drawing, line_of, piece, rectangle};

const CUT: [Xy; 4] = [(30.0, 50.0), (150.0, 50.0), (150.0, 90.0), (30.0, 90.0)];
const SEW: [Xy; 4] = [(40.0, 60.0), (140.0, 60.0), (140.0, 80.0), (40.0, 80.0)];

fn grained(block: Block) -> String {
    drawing(&[block.line("7", (45.0, 70.0), (130.0, 70.0))])
}

fn open(text: &str, name: &str, (x, y): Xy, gap: &str, to: &str) -> String {
    let line = line_of(text, "BAND-7", &format!("{x:.3}"));
    format!(
        "error BAND 7 at {x:.2},{y:.2} line {line}: the {name} does not close: it ends {gap} from its other end at ({to}); \
         close it there"
    )
}

#[test]
fn an_open_outline_is_named_with_its_gap() {
    // The last corner lies 3 mm and 4 mm from the first.
    let line = |end: Xy| [CUT[0], CUT[1], CUT[2], (31.0, 90.0), end];
    for (end, gap) in
        [((33.0, 54.0), Some("5.00 mm")), ((30.03, 50.03), None), ((30.04, 50.04), Some("0.06 mm"))]
    {
        let text = grained(piece("BAND", "7").open("1", &line(end)));
        let meant = gap.map(|g| open(&text, "cut line", end, g, "30.00, 50.00"));
        assert_said(&text, "open-outline", meant.as_slice());
    }
    // By another tolerance; a single edge is no outline however short.
    let wide = |text: &str| super::drawn::said_within(text, "open-outline", &[("gap", "0.25mm")]).len();
    assert_eq!(wide(&grained(piece("BAND", "7").open("1", &line((30.1, 50.1))))), 0);
    assert_eq!(wide(&grained(piece("BAND", "7").line("1", (30.0, 50.0), (30.1, 50.1)))), 1);
    // The sew line alike, beside a cut line that closes.
    let sew = [(35.0, 55.0), (145.0, 55.0), (145.0, 85.0), (36.0, 85.0), (38.0, 59.0)];
    let text = grained(piece("BAND", "7").closed("1", &CUT).open("14", &sew));
    assert_said(&text, "open-outline", &[open(&text, "sew line", sew[4], "5.00 mm", "35.00, 55.00")]);
    // Without a cut line there is nothing to cut by, whether the sew line closes or not.
    let uncut = |text: &str| {
        format!(
            "error BAND 7 line {}: the piece has a sew line and no cut line (layer 1), so there is nothing to cut it by; draw \
             its boundary",
            block_line(text, "BAND-7")
        )
    };
    let text = grained(piece("BAND", "7").closed("14", &SEW));
    assert_said(&text, "open-outline", &[uncut(&text)]);
    let other = piece("TAB", "7").closed("1", &CUT);
    let text = drawing(&[other, piece("BAND", "7").line("7", (45.0, 70.0), (130.0, 70.0))]);
    let none = format!(
        "error BAND 7 line {}: the piece has no outline; draw its boundary on layer 1, or name its layer under [layers] cut \
         in the job file",
        block_line(&text, "BAND-7")
    );
    assert_said(&text, "open-outline", &[none]);
}

/// The cut line is 320 mm long, the sew line 240 mm; an open line is an outline if it is half as long as the longer one.
#[test]
fn a_short_line_beside_an_outline_is_none() {
    let further = |text: &str, name: &str, (x, y): Xy| {
        let line = line_of(text, "BAND-7", &format!("{x:.3}"));
        format!(
            "note BAND 7 at {x:.2},{y:.2} line {line}: a further line of the {name}'s layer does not close; if it is not to be \
             cut, put it on the layer of internal lines (8)"
        )
    };
    let both = || piece("BAND", "7").closed("1", &CUT).closed("14", &SEW);
    // A single edge.
    let (a, b) = ((61.0, 63.0), (64.0, 67.0));
    let text = grained(both().line("1", a, b));
    assert_said(&text, "open-outline", &[further(&text, "cut line", b)]);
    let text = grained(both().line("14", a, b));
    assert_said(&text, "open-outline", &[]);
    // Beside a sew line only.
    let text = grained(piece("BAND", "7").closed("14", &SEW).line("14", a, b));
    assert_eq!(super::drawn::said(&text, "open-outline").len(), 2, "uncut, and a further line");
    assert!(super::drawn::said(&text, "open-outline").contains(&further(&text, "sew line", b)));
    // Alone it is an outline that does not close.
    let text = grained(piece("BAND", "7").line("1", a, b));
    assert_said(
        &text,
        "open-outline",
        &[open(&text, "cut line", b, "5.00 mm, a single edge,", "61.00, 63.00")],
    );
    // What goes around half of the piece is an outline beside another one too.
    let hook = [(41.0, 61.0), (141.0, 61.0), (141.0, 86.0), (41.0, 86.0)];
    let text = grained(both().open("1", &hook));
    let found = super::drawn::said(&text, "open-outline");
    assert!(found.len() == 1 && found[0].starts_with("error BAND 7 at 41.00,86.00"), "{found:?}");
    // A hook of 60 mm, 12 mm and 88 mm is half as long as the cut line, one with a millimetre less is not.
    for (back, said) in [(88.0, true), (87.0, false)] {
        let end = (131.0 - back, 73.0);
        let text = grained(
            piece("BAND", "7")
                .closed("1", &CUT)
                .open("14", &[(71.0, 61.0), (131.0, 61.0), (131.0, 73.0), end]),
        );
        let gap = format!("{:.2} mm", (end.0 - 71.0_f64).hypot(12.0));
        let error = said.then(|| open(&text, "sew line", end, &gap, "71.00, 61.00"));
        assert_said(&text, "open-outline", error.as_slice());
    }
}

/// With an allowance of 10 mm the sew line goes around 2000 mm² of 4800 mm² of the band, and of a strip of 30 mm around less.
#[test]
fn a_narrow_bands_sew_line_has_to_close() {
    for height in [40.0, 30.0, 24.0] {
        let top = 40.0 + height;
        let cut = rectangle((30.0, 50.0), (120.0, height));
        let sew = [(40.0, 60.0), (140.0, 60.0), (140.0, top), (43.0, top)];
        let text = grained(piece("BAND", "7").closed("1", &cut).open("14", &sew));
        let gap = format!("{:.2} mm", (top - 60.0).hypot(3.0));
        assert_said(&text, "open-outline", &[open(&text, "sew line", sew[3], &gap, "40.00, 60.00")]);
        // One edge of it is no outline, nor are two.
        for edges in [2, 3] {
            let text = grained(piece("BAND", "7").closed("1", &cut).open("14", &sew[..edges]));
            assert_said(&text, "open-outline", &[]);
        }
    }
}

#[test]
fn a_loop_is_found_where_it_crosses() {
    let line = |list: &[Xy]| grained(piece("BAND", "7").closed("1", list));
    // The upper edge's end runs down and back up: from (90, 90) to (60, 50 + d) and up again; it crosses where d < 0.
    let spike = |y: f64| vec![CUT[0], CUT[1], CUT[2], (92.0, 90.0), (61.0, y), (58.0, 90.0), CUT[3]];
    let text = line(&spike(46.0));
    let found = super::drawn::said(&text, "crossing-outline");
    assert_eq!(found.len(), 1, "{found:?}");
    // The lower edge y = 50 meets the spike's right side at x = 61 + 31 · 4/44 = 63.82 and its left one at 61 − 3 · 4/44 =
    // 60.73; either is where it crosses first.
    let start = |x: &str| {
        format!(
            "error BAND 7 at {x},50.00 line {}: the cut line crosses or touches itself; take the loop out",
            line_of(&text, "BAND-7", "30.000")
        )
    };
    assert!([start("63.82"), start("60.73")].contains(&found[0]), "{found:?}");
    assert_said(&line(&spike(50.5)), "crossing-outline", &[]);
    // The sew line by its own name.
    let bow = [SEW[0], SEW[2], SEW[1], SEW[3]];
    let text = grained(piece("BAND", "7").closed("1", &CUT).closed("14", &bow));
    assert_said(
        &text,
        "crossing-outline",
        &[format!(
            "error BAND 7 at 90.00,70.00 line {}: the sew line crosses or touches itself; take the loop out",
            line_of(&text, "BAND-7", "40.000")
        )],
    );
}

/// Exports round to 0.01 mm (common practice, no source): a loop of less than 0.05 mm comes of that.
#[test]
fn a_loop_of_rounding_is_let_pass() {
    for (back, crosses) in [(0.04, false), (0.06, true)] {
        // A vertex a little back along the lower edge, in its middle and at the line's end.
        let middle = vec![CUT[0], (80.0, 50.0), (80.0 - back, 50.0), CUT[1], CUT[2], CUT[3]];
        let end = vec![CUT[0], CUT[1], CUT[2], CUT[3], (30.0, 50.0 - back), (30.0, 50.0 - 0.5 * back)];
        for list in [middle, end] {
            let text = grained(piece("BAND", "7").closed("1", &list));
            assert_eq!(
                super::drawn::said(&text, "crossing-outline").len(),
                usize::from(crosses),
                "{back} {list:?}"
            );
        }
    }
}

/// A glove's palm is 100 mm long, a lay table 12 m at most (from memory).
#[test]
fn a_piece_has_a_size_that_garments_have() {
    let remedy = "the drawing says that its unit is mm; correct its 'Units:' text or its scale";
    let at = |width: f64, height: f64| {
        drawing(&[
            piece("PALM", "7").closed("1", &rectangle((13.0, 17.0), (width, height))),
            piece("TAB", "7").closed("1", &rectangle((13.0, 17.0), (0.4 * width, 0.5 * height))),
        ])
    };
    for (width, height, shown) in [
        (50.0, 31.0, None),
        (49.75, 31.0, Some("49.8 mm")),
        (31.0, 50.0, None),
        (31.0, 49.25, Some("49.2 mm")),
        (12_000.0, 31.0, None),
        (12_100.0, 31.0, Some("12.1 m")),
        (31.0, 12_100.0, Some("12.1 m")),
        (700.0, 31.0, None),
    ] {
        let text = at(width, height);
        let line = block_line(&text, "PALM-7");
        let meant =
            shown.map(|s| format!("error PALM 7 line {line}: the largest piece is {s} long; {remedy}"));
        assert_said(&text, "unit-doubtful", meant.as_slice());
    }
    // What does not close has no size.
    assert_said(&grained(piece("PALM", "7").open("1", &CUT)), "unit-doubtful", &[]);
}

/// Units differ by ten times or more: five times is another unit.
#[test]
fn a_size_drawn_in_another_unit_is_found() {
    let run = |third: f64| {
        // What does not close has no size, so none that is another one.
        let open = piece("PALM", "12").open("1", &CUT);
        let one = |size: &str, side: f64| {
            piece("PALM", size).closed("1", &rectangle((13.0, 17.0), (side, 0.5 * side)))
        };
        drawing(&[
            one("7", 300.0),
            one("8", 310.0),
            one("9", third),
            one("10", 310.0),
            one("11", 320.0),
            open,
        ])
    };
    for (third, off) in [(62.0, false), (61.5, true), (1550.0, false), (1552.0, true)] {
        let text = run(third);
        let message = format!(
            "error PALM 9 line {}: the piece is {third:.1} mm long and in the other sizes 310.0 mm: it is drawn in another \
             unit; scale it as the others",
            block_line(&text, "PALM-9")
        );
        assert_said(&text, "unit-doubtful", if off { std::slice::from_ref(&message) } else { &[] });
    }
    // Two of three that do not close do not make another unit of the third.
    let open = |size: &str| piece("PALM", size).open("1", &CUT);
    let text = drawing(&[open("7"), open("8"), piece("PALM", "9").closed("1", &CUT)]);
    assert_said(&text, "unit-doubtful", &[]);
}
