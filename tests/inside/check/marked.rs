//! Texts, grain lines, mirror lines and notches of single pieces: what is said, where, and what is just not said.

use super::drawn::{Block, Xy, assert_said, block_line, drawing, line_of, piece, rectangle, said};

/// A piece of 120 by 40 mm with its sew line 10 mm inside.
fn band(size: &str) -> Block {
    piece("BAND", size)
        .closed("1", &rectangle((30.0, 50.0), (120.0, 40.0)))
        .closed("14", &rectangle((40.0, 60.0), (100.0, 20.0)))
}

fn grained(size: &str) -> Block {
    band(size).line("7", (45.0, 70.0), (130.0, 70.0))
}

#[test]
fn every_text_is_asked_for() {
    let line = |block: Block| block.closed("1", &rectangle((30.0, 50.0), (120.0, 40.0)));
    for (texts, meant) in [
        (&["Piece Name: TAB", "Size: 7", "Quantity: 2", "Material: SHELL"][..], &[][..]),
        (&["Size: 7", "Quantity: 2", "Material: SHELL"], &["'Piece Name:' is missing"]),
        (&["Piece Name: TAB", "Quantity: 2", "Material: SHELL"], &["'Size:' is missing"]),
        (
            &["Piece Name: TAB", "Size: 7", "Quantity:", "Material: "],
            &["'Quantity:' is empty", "'Material:' is empty"],
        ),
        (&["Piece Name: TAB", "Size: 7"], &["'Quantity:' is missing", "'Material:' is missing"]),
    ] {
        let text = drawing(&[texts.iter().fold(line(Block::bare("B7")), |b, t| b.text(t))]);
        let found = said(&text, "label-missing");
        assert_eq!(found.len(), meant.len(), "{texts:?} {found:?}");
        let end = format!("line {}: the text ", block_line(&text, "B7"));
        for (found, meant) in found.iter().zip(meant) {
            assert!(found.contains(&format!("{end}{meant}; put it on layer 1 in the block 'B7'")), "{found}");
        }
    }
}

#[test]
fn a_blank_size_is_none() {
    let texts = ["Piece Name: TAB", "Size: ", "Quantity: 2", "Material: SHELL"];
    let block = Block::bare("B7").closed("1", &rectangle((30.0, 50.0), (120.0, 40.0)));
    let text = drawing(&[texts.iter().fold(block, |b, t| b.text(t))]);
    let line = block_line(&text, "B7");
    let meant =
        format!("error TAB - line {line}: the text 'Size:' is empty; put it on layer 1 in the block 'B7'");
    assert_said(&text, "label-missing", &[meant]);
}

/// A quantity is a number of pieces, however it is written (common practice, no source).
#[test]
fn a_quantity_is_a_number_above_nothing() {
    for (quantity, counts) in [
        ("2", true),
        ("10", true),
        ("2 pair", true),
        ("x4", true),
        ("1,1", true),
        ("0", false),
        ("00", false),
        ("two", false),
        ("0/0", false),
        ("0+1", true),
    ] {
        let texts = ["Piece Name: TAB", "Size: 7", &format!("Quantity: {quantity}"), "Material: SHELL"];
        let block = Block::bare("B7").closed("1", &rectangle((30.0, 50.0), (120.0, 40.0)));
        let text = drawing(&[texts.iter().fold(block, |b, t| b.text(t))]);
        let message = format!(
            "error TAB 7 line {}: 'Quantity: {quantity}' is no number of pieces; say how many are to be cut",
            block_line(&text, "B7")
        );
        assert_said(&text, "label-missing", if counts { &[] } else { std::slice::from_ref(&message) });
    }
}

#[test]
fn a_piece_needs_a_grain_line_with_a_direction() {
    let point = band("7").line("7", (45.0, 70.0), (45.0, 70.0));
    for (block, there) in [(grained("7"), true), (band("7"), false), (point, false)] {
        let text = drawing(&[block]);
        let message = format!(
            "error BAND 7 line {}: the piece has no grain line; draw one on the grain layer (7), or name its layer under \
             [layers] grain in the job file",
            block_line(&text, "BAND-7")
        );
        assert_said(&text, "grain-missing", if there { &[] } else { std::slice::from_ref(&message) });
    }
}

/// The piece is 120 mm long along its grain, of which 8 % are 9.6 mm; across it 40 mm.
#[test]
fn a_grain_line_has_a_least_length() {
    for (a, b, length) in [
        ((43.0, 70.0), (52.5, 70.0), Some("9.5 mm long on a piece of 120 mm; draw it at least 9.6 mm long")),
        ((43.0, 70.0), (52.75, 70.0), None),
        ((47.0, 61.0), (47.0, 64.0), Some("3.0 mm long on a piece of 40 mm; draw it at least 3.2 mm long")),
        ((47.0, 61.0), (47.0, 64.25), None),
        // A direction of 3 to 4: the piece is 120 · 3/5 + 40 · 4/5 = 104 mm long along it, of which 8 % are 8.32 mm.
        ((47.0, 61.0), (51.8, 67.4), Some("8.0 mm long on a piece of 104 mm; draw it at least 8.32 mm long")),
        ((47.0, 61.0), (52.1, 67.8), None),
    ] {
        let text = drawing(&[band("7").line("7", a, b)]);
        let line = line_of(&text, "BAND-7", &format!("{:.3}", a.0));
        let meant = length
            .map(|l| format!("error BAND 7 at {:.2},{:.2} line {line}: the grain line is {l}", a.0, a.1));
        assert_said(&text, "grain-short", meant.as_slice());
    }
}

/// A triangle of 3 to 4 to 5, so that what is outside its longest side is so by a closed form.
#[test]
fn a_grain_line_ends_within_its_piece() {
    // From (30, 50) to (150, 50) to (30, 140); a point (x, y) lies (3 (x − 30) + 4 (y − 50) − 360) / 5 outside the slope.
    let sail = [(30.0, 50.0), (150.0, 50.0), (30.0, 140.0)];
    let ends = [
        ((45.0, 61.0), (70.0, 71.0), None),
        ((45.0, 61.0), (30.0 + 60.5, 50.0 + 45.75), None),
        ((45.0, 61.0), (30.0 + 60.9, 50.0 + 45.75), Some((1, "1.14"))),
        ((30.0 + 60.9, 50.0 + 45.75), (45.0, 61.0), Some((0, "1.14"))),
        // Of two ends the further one, whichever is first.
        ((28.0, 61.0), (80.0, 46.5), Some((1, "3.50"))),
        ((80.0, 46.5), (28.0, 61.0), Some((0, "3.50"))),
        ((29.0, 61.0), (80.0, 49.0), None),
    ];
    for (a, b, off) in ends {
        let text = drawing(&[piece("SAIL", "7").closed("1", &sail).line("7", a, b)]);
        let meant = off.map(|(end, away)| {
            let (x, y) = [a, b][end];
            let line = line_of(&text, "SAIL-7", &format!("{x:.3}"));
            format!(
                "error SAIL 7 at {x:.2},{y:.2} line {line}: the grain line ends {away} mm outside the piece; move it into \
                 the piece, keeping its direction"
            )
        });
        assert_said(&text, "grain-outside", meant.as_slice());
    }
    // The longer of two lines is the grain line.
    let two = |first: [Xy; 2], second: [Xy; 2]| {
        drawing(&[piece("SAIL", "7")
            .closed("1", &sail)
            .line("7", first[0], first[1])
            .line("7", second[0], second[1])])
    };
    let (short, long) = ([(20.0, 55.0), (26.0, 55.0)], [(45.0, 61.0), (70.0, 71.0)]);
    assert_said(&two(short, long), "grain-outside", &[]);
    assert_said(&two(long, short), "grain-outside", &[]);
    assert_eq!(said(&two(short, [(45.0, 61.0), (46.0, 61.0)]), "grain-outside").len(), 1);
}

/// A waistband is folded along its length; a half piece has its mirror line on the edge that comes to the fold.
#[test]
fn a_mirror_line_lies_on_an_edge() {
    let half = |ends: [Xy; 2]| drawing(&[grained("7").line("6", ends[0], ends[1])]);
    let note = |text: &str| {
        format!(
            "note BAND 7 line {}: half piece in 1 of 1 sizes: it is opened at its mirror line",
            block_line(text, "BAND-7")
        )
    };
    for (ends, off) in [
        // On the cut line's lower edge, on the sew line's right one, 1 mm off each.
        ([(30.0, 50.0), (150.0, 50.0)], None),
        ([(140.0, 60.0), (140.0, 80.0)], None),
        ([(33.0, 51.0), (147.0, 51.0)], None),
        ([(139.0, 62.0), (139.0, 78.0)], None),
        ([(33.0, 51.0), (147.0, 51.25)], Some((1, "1.25"))),
        ([(33.0, 51.25), (147.0, 51.0)], Some((0, "1.25"))),
        ([(33.0, 48.0), (147.0, 51.0)], Some((0, "2.00"))),
        // Both ends on the edge and the middle off it: from side to side, 20 mm from the cut line and 10 mm from the sew line's.
        ([(30.0, 70.0), (150.0, 70.0)], Some((0, "10.00"))),
    ] {
        let text = half(ends);
        let mut meant = Vec::new();
        if let Some((end, away)) = off {
            let (x, y): Xy = ends[end];
            // The number after that of the mirror line's layer.
            let x_line = text.lines().collect::<Vec<_>>().windows(2).position(|w| w == ["8", "6"]).unwrap()
                + 4
                + 4 * end;
            meant.push(format!(
                "error BAND 7 at {x:.2},{y:.2} line {x_line}: the mirror line lies {away} mm from the edge of its half piece; \
                 draw it on the edge that comes to the fold"
            ));
        }
        meant.push(note(&text));
        assert_said(&text, "half-unmarked", &meant);
    }
}

#[test]
fn a_half_piece_says_so_in_every_size() {
    let edge = [(30.0, 50.0), (150.0, 50.0)];
    let text = drawing(&[
        grained("7"),
        grained("8").line("6", edge[0], edge[1]),
        grained("9").line("6", edge[0], edge[1]),
    ]);
    let meant = [
        format!(
            "error BAND 7 line {}: other sizes of the piece are half ones with a mirror line, this one has none; draw it on \
             layer 6",
            block_line(&text, "BAND-7")
        ),
        format!(
            "note BAND 8 line {}: half piece in 2 of 3 sizes: it is opened at its mirror line",
            block_line(&text, "BAND-8")
        ),
    ];
    assert_said(&text, "half-unmarked", &meant);
    // By words (common practice, no source), in whatever text; folded is not on the fold.
    for (words, half) in [
        ("Annotation: CUT 1 ON FOLD", true),
        ("Annotation: place on the fold", true),
        ("Category: Half Piece", true),
        ("half pattern", true),
        ("MIRROR PIECE", true),
        ("Annotation: FOLDED BAND", false),
        ("Annotation: on the grain", false),
    ] {
        let text = drawing(&[grained("7").text(words)]);
        let said_text = words.trim_start_matches("Annotation: ").trim_start_matches("Category: ");
        let message = format!(
            "error BAND 7 line {}: '{said_text}' says that the piece is cut on the fold, and it has no mirror line; draw it \
             on layer 6",
            block_line(&text, "BAND-7")
        );
        assert_said(&text, "half-unmarked", if half { std::slice::from_ref(&message) } else { &[] });
    }
}

#[test]
fn a_notch_stands_on_an_edge() {
    let off = |text: &str, (x, y): Xy, away: &str| {
        let line = line_of(text, "BAND-7", &format!("{x:.3}"));
        format!(
            "error BAND 7 at {x:.2},{y:.2} line {line}: a notch stands {away} mm from the nearest edge of its piece; put it on \
             the edge"
        )
    };
    for (at, away) in [
        ((77.0, 50.0), None),
        ((77.0, 49.0), None),
        ((77.0, 51.0), None),
        ((77.0, 48.75), Some("1.25")),
        ((77.0, 52.5), Some("2.50")),
        // On the sew line, and 4 mm inside it; beyond a corner by 3 and 4 mm.
        ((77.0, 80.5), None),
        ((77.0, 76.0), Some("4.00")),
        ((153.0, 94.0), Some("5.00")),
    ] {
        let text = drawing(&[grained("7").notch(at)]);
        let meant = away.map(|a| off(&text, at, a));
        assert_said(&text, "notch-off-edge", meant.as_slice());
    }
    // Slits: across the edge, from the edge inwards, up to 1 mm from it, further from it.
    for (a, b, away) in [
        ((77.0, 46.0), (77.5, 55.0), None),
        ((77.0, 50.0), (77.5, 55.0), None),
        ((77.0, 51.0), (77.5, 56.0), None),
        ((77.0, 56.0), (77.5, 51.0), None),
        ((77.0, 52.0), (77.5, 57.5), Some("2.00")),
        ((77.0, 57.0), (77.5, 51.5), Some("1.50")),
    ] {
        let text = drawing(&[grained("7").line("4", a, b)]);
        let meant = away.map(|d| off(&text, a, d));
        assert_said(&text, "notch-off-edge", meant.as_slice());
    }
}
