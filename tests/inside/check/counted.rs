//! How many marks, notches and internal lines the sizes of a piece have.

use super::drawn::{Block, Xy, block_line, drawing, piece, rectangle, said};

const SIZES: [&str; 4] = ["31", "33", "35", "37"];

/// A piece of 400 by 40 mm in each of four sizes, with things drawn along its middle.
fn drawn(counts: [usize; 4], put: fn(Block, Xy) -> Block) -> String {
    let of = |(size, count): (&&str, usize)| {
        let band = piece("BAND", size).closed("1", &rectangle((30.0, 50.0), (400.0, 40.0)));
        (0..count).fold(band, |band, k| put(band, (50.0 + 20.0 * k as f64, 50.0)))
    };
    drawing(&SIZES.iter().zip(counts).map(of).collect::<Vec<_>>())
}

fn drill_hole(band: Block, (x, y): Xy) -> Block {
    band.drill_hole((x, y + 20.0))
}

fn internal_line(band: Block, (x, y): Xy) -> Block {
    band.line("8", (x, y + 5.0), (x, y + 30.0))
}

/// One size without what all others have is at fault, and so is one with more; but the largest may have one more, and the smallest
/// fewer drill holes of a row (common practice, no source).
#[test]
fn a_size_that_differs_is_told_with_what_to_do() {
    let (missing, too_many) =
        ("draw what is missing", "take out what is too many, or draw it in the other sizes as well");
    let graded = "right where it is meant so";
    for (counts, put, meant) in [
        (
            [1, 1, 0, 1],
            drill_hole as fn(Block, Xy) -> Block,
            Some(("error", 2, "no marks or drill holes on layer 13", "1", missing)),
        ),
        ([2, 1, 2, 2], drill_hole, Some(("error", 1, "1 mark or drill hole on layer 13", "2", missing))),
        ([1, 2, 1, 1], drill_hole, Some(("error", 1, "2 marks or drill holes on layer 13", "1", too_many))),
        ([0, 0, 0, 1], drill_hole, Some(("error", 3, "1 mark or drill hole on layer 13", "0", too_many))),
        ([1, 1, 1, 2], drill_hole, Some(("warning", 3, "2 marks or drill holes on layer 13", "1", graded))),
        ([4, 5, 5, 5], drill_hole, Some(("warning", 0, "4 marks or drill holes on layer 13", "5", graded))),
        ([3, 5, 5, 5], drill_hole, Some(("error", 0, "3 marks or drill holes on layer 13", "5", missing))),
        ([5, 5, 5, 4], drill_hole, Some(("error", 3, "4 marks or drill holes on layer 13", "5", missing))),
        ([6, 5, 5, 5], drill_hole, Some(("error", 0, "6 marks or drill holes on layer 13", "5", too_many))),
        ([4, 5, 5, 5], Block::notch, Some(("error", 0, "4 notches", "5", missing))),
        ([2, 2, 1, 2], Block::notch, Some(("error", 2, "1 notch", "2", missing))),
        ([2, 2, 2, 3], Block::notch, Some(("warning", 3, "3 notches", "2", graded))),
        ([1, 0, 1, 1], internal_line, Some(("error", 1, "no internal lines on layer 8", "1", missing))),
        ([5, 5, 5, 5], drill_hole, None),
        ([0; 4], internal_line, None),
    ] {
        let text = drawn(counts, put);
        let expected = meant.map(|(severity, odd, own, others, todo)| {
            let size = SIZES[odd];
            let usual: Vec<&str> = SIZES
                .into_iter()
                .zip(counts)
                .filter(|(s, c)| *s != size && c.to_string() == others)
                .map(|(s, _)| s)
                .collect();
            let line = block_line(&text, &format!("BAND-{size}"));
            let usual = usual.join(", ");
            format!("{severity} BAND {size} line {line}: {own} in this size, and {others} in {usual}; {todo}")
        });
        assert_eq!(said(&text, "mark-missing"), expected.into_iter().collect::<Vec<_>>(), "{counts:?}");
    }
}
