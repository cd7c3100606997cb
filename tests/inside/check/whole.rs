//! A drawing as a whole: what is a piece, which pieces belong together, whether they are trousers, and in which order it all
//! is said.

use super::drawn::{Block, Xy, block_line, drawing, drawing_with, piece, rectangle, said};
use super::sewn::{HEM_IN, SIDE, block, sew};
use crate::check::Sheet;
use crate::check::sheet::{Side, side};
use crate::finding::{Finding, FindingId};
use crate::job::Job;

fn with<T>(text: &str, look: impl FnOnce(&Sheet<'_>) -> T) -> T {
    let opened = super::open(text);
    look(&Sheet::new(&opened, &Job::default()))
}

fn tab(size: &str, texts: &[&str]) -> Block {
    let tab = piece("TAB", size).closed("1", &rectangle((13.0, 17.0), (70.0, 90.0)));
    texts.iter().fold(tab, |t, text| t.text(text))
}

#[test]
fn sizes_are_put_in_order() {
    let text = drawing(
        &["38.5", "ONE", "38 LONG", "38.25", "A", "36 LONG", "38", "36.5"].map(|size| tab(size, &[])),
    );
    let (nest, sizes, runs) = with(&text, |sheet| {
        let own = &sheet.nests[0];
        let of_run = |run: &Vec<(f64, &crate::pattern::Piece)>| run.iter().map(|r| r.0).collect::<Vec<_>>();
        (
            own.pieces.iter().map(|p| p.size.as_ref().unwrap().to_string()).collect::<Vec<_>>(),
            sheet.sizes().iter().map(ToString::to_string).collect::<Vec<_>>(),
            own.runs().iter().map(of_run).collect::<Vec<_>>(),
        )
    });
    let meant = ["36.5", "38", "38.25", "38.5", "36 LONG", "38 LONG", "ONE", "A"];
    assert_eq!(nest, meant);
    assert_eq!(sizes, meant);
    assert_eq!(runs, [vec![36.5, 38.0, 38.25, 38.5], vec![36.0, 38.0]]);
    // By letters; a size that is there twice counts once.
    let mut blocks = ["L", "XS", "M", "XXL", "S"].map(|size| tab(size, &[])).to_vec();
    blocks.push(
        Block::bare("AGAIN")
            .text("Piece Name: TAB")
            .text("Size: M")
            .closed("1", &rectangle((13.0, 17.0), (75.0, 90.0))),
    );
    let runs = with(&drawing(&blocks), |sheet| {
        let runs = sheet.nests[0].runs();
        runs.iter().map(|run| run.iter().map(|r| r.0).collect::<Vec<_>>()).collect::<Vec<_>>()
    });
    assert_eq!(runs, [[-2.0, -1.0, 0.0, 1.0, 3.0]]);
}

#[test]
fn left_and_right_are_nests_of_their_own() {
    let one = |block: &str, texts: &[&str]| {
        let start = Block::bare(block).text("Size: 31").closed("1", &rectangle((13.0, 17.0), (70.0, 90.0)));
        texts.iter().fold(start, |b, t| b.text(t))
    };
    let text = drawing(&[
        one("B1", &["Piece Name: TAB"]),
        one("B2", &["Piece Name: TAB", "Annotation: left"]),
        one("B3", &["Piece Name: tab ", "Category: RH"]),
        one("B4_LH", &["Piece Name: T AB"]),
        one("B5", &["Piece Name: CUFF"]),
        // Without a size it is of its nest and none of its sizes.
        Block::bare("B6").text("Piece Name: CUFF").closed("1", &rectangle((13.0, 17.0), (70.0, 90.0))),
    ]);
    let nests = with(&text, |sheet| {
        sheet.nests.iter().map(|n| (n.name.to_owned(), side(n.pieces[0]), n.pieces.len())).collect::<Vec<_>>()
    });
    let nest = |name: &str, side, pieces| (name.to_owned(), side, pieces);
    assert_eq!(
        nests,
        [
            nest("TAB", None, 1),
            nest("TAB", Some(Side::Left), 2),
            nest("tab", Some(Side::Right), 1),
            nest("CUFF", None, 1)
        ]
    );
}

#[test]
fn a_block_is_a_piece_by_its_outline_or_its_texts() {
    let square = rectangle((13.0, 17.0), (70.0, 90.0));
    let text = drawing(&[
        Block::bare("CUT").closed("1", &square),
        Block::bare("SEW").closed("14", &square),
        Block::bare("NAME").text("Piece Name: TAB"),
        Block::bare("SIZE").text("Size: 31"),
        Block::bare("QUANTITY").text("Quantity: 2"),
        Block::bare("MATERIAL").text("Material: SHELL"),
        Block::bare("GRAIN").line("7", (13.0, 17.0), (13.0, 57.0)),
        Block::bare("NOTE").text("Annotation: drawn in spring"),
        Block::bare("INTERNAL").closed("8", &square),
    ]);
    let pieces = with(&text, |sheet| sheet.pieces.iter().map(|p| p.block_name.clone()).collect::<Vec<_>>());
    assert_eq!(pieces, ["CUT", "SEW", "NAME", "SIZE", "QUANTITY", "MATERIAL"]);
}

/// A piece that lies aslant, its length along the grain and its width across it: 4 along and 3 up of 5.
#[test]
fn a_piece_out_of_line_is_said_by_what_is_out() {
    let slanted = |size: &str, length: f64, width: f64| {
        // Wherever it lies.
        let x = if size == "33" { 347.0 } else { 310.0 };
        let at = |a: f64, b: f64| (x + 0.8 * a - 0.6 * b, 70.0 + 0.6 * a + 0.8 * b);
        let outline = [at(0.0, 0.0), at(length, 0.0), at(length, width), at(0.0, width)];
        piece("TAB", size).closed("1", &outline).line("7", at(20.0, 30.0), at(80.0, 30.0))
    };
    let run = |longer: f64, wider: f64| {
        let sizes = ["31", "33", "35", "37", "39"];
        let one = |(k, size): (usize, &&str)| {
            let odd = if k == 2 { 1.0 } else { 0.0 };
            slanted(size, 200.0 + 10.0 * k as f64 + odd * longer, 80.0 + odd * wider)
        };
        drawing(&sizes.iter().enumerate().map(one).collect::<Vec<_>>())
    };
    let meant = |text: &str, what: &str, by: &str, step: &str, usual: &str| {
        format!(
            "error TAB 35 line {}: the {what} is {by} to be in line with the sizes beside it: the step from the size before is \
             {step} mm where about {usual} mm is usual; check the grade rules and the size text of this piece",
            block_line(text, "TAB-35")
        )
    };
    assert_eq!(said(&run(0.0, 0.0), "grade-step"), [""; 0]);
    // 11 mm too long: twice as much around it.
    let text = run(11.0, 0.0);
    let long =
        [("length", "11.0 mm too large", "21.0", "10.0"), ("outline", "22.0 mm too large", "42.0", "20.0")];
    assert_eq!(
        said(&text, "grade-step"),
        long.map(|(what, by, step, usual)| meant(&text, what, by, step, usual))
    );
    // The first size has a step to the next one only: 13 mm too short, which is a step of 23 mm.
    let first = |(k, size): (usize, &&str)| {
        let short = if k == 0 { 13.0 } else { 0.0 };
        slanted(size, 200.0 + 10.0 * k as f64 - short, 80.0)
    };
    let text = drawing(&["31", "33", "35", "37", "39"].iter().enumerate().map(first).collect::<Vec<_>>());
    let short = [("length", "13.0", "23.0", "10.0"), ("outline", "26.0", "46.0", "20.0")];
    assert_eq!(
        said(&text, "grade-step"),
        short.map(|(what, by, step, usual)| format!(
            "error TAB 31 line {}: the {what} is {by} mm too small to be in line with the sizes beside it: the step to the size \
             after is {step} mm where about {usual} mm is usual; check the grade rules and the size text of this piece",
            block_line(&text, "TAB-31")
        ))
    );
    // 4 mm too narrow, which around it is less than half a step.
    let text = run(0.0, -4.0);
    assert_eq!(said(&text, "grade-step"), [meant(&text, "width", "4.0 mm too small", "-4.0", "0.0")]);
    // Without a grain line only the outline can be told.
    let outline: Vec<Xy> = rectangle((13.0, 17.0), (70.0, 90.0)).to_vec();
    let plain = ["31", "33", "35", "37", "39"].map(|size| {
        let mut line = outline.clone();
        if size == "35" {
            line[0].1 -= 4.0;
            line[1].1 -= 4.0;
        }
        piece("TAB", size).closed("1", &line)
    });
    let text = drawing(&plain);
    assert_eq!(said(&text, "grade-step"), [meant(&text, "outline", "8.0 mm too large", "8.0", "0.0")]);
}

/// Front and back, whose seams may have a vertex put in: after a corner, aside by so much of the middle of the edge.
fn legs(after: usize, aside: Xy) -> Vec<Block> {
    ["FRONT", "BACK"]
        .map(|name| {
            let mut line = sew(name, 0);
            let (a, b) = (line[after], line[(after + 1) % line.len()]);
            let middle = (f64::midpoint(a.0, b.0) + aside.0, f64::midpoint(a.1, b.1) + aside.1);
            line.insert(after + 1, middle);
            block(name, "31", &line)
        })
        .to_vec()
}

/// A hem of 261 mm whose middle is 52.7 mm lower turns there by twice the angle of tangent 52.7 / 130.5, 44.0°; one of 280 mm
/// with the same turn by 56.6 mm. At 45° a corner breaks the seam.
#[test]
fn trousers_show_by_legs_of_unbroken_seams() {
    let pairs =
        |blocks: &[Block], texts: &[&str]| with(&drawing_with(blocks, texts), |sheet| sheet.pairs().count());
    let hem = |degrees: f64| -> Vec<Block> {
        ["FRONT", "BACK"]
            .map(|name| {
                let mut line = sew(name, 0);
                let (a, b) = (line[HEM_IN], line[HEM_IN + 1]);
                let half = (a.0 - b.0) / 2.0;
                line.insert(HEM_IN + 1, (a.0 - half, a.1 - half * f64::to_radians(degrees / 2.0).tan()));
                block(name, "31", &line)
            })
            .to_vec()
    };
    assert_eq!(pairs(&hem(44.0), &[]), 1);
    assert_eq!(pairs(&hem(46.0), &[]), 0);
    // One leg alone does not show trousers, both do.
    for (front, back, shown) in [(44.0, 46.0, 0), (46.0, 44.0, 0), (44.0, 44.0, 1)] {
        let blocks = [hem(front).remove(0), hem(back).remove(1)];
        assert_eq!(pairs(&blocks, &[]), shown, "{front} {back}");
    }
    // Where a text says so, by the style, a category or a name, their seams are walked all the same.
    for (texts, said) in [
        (&["Style Name: Walking TROUSERS"][..], true),
        (&["Style Name: Sea Jeans"], true),
        (&["Style Name: Shirt"], false),
    ] {
        assert_eq!(pairs(&hem(46.0), texts), usize::from(said), "{texts:?}");
    }
    for (text, said) in [("Category: Pant leg", true), ("Category: Bodice", false)] {
        let mut blocks = hem(46.0);
        let last = blocks.remove(1);
        blocks.push(last.text(text));
        assert_eq!(pairs(&blocks, &[]), usize::from(said), "{text}");
    }
    let named = hem(46.0).into_iter().map(|b| b.text("Annotation: TROUSERS")).collect::<Vec<_>>();
    assert_eq!(pairs(&named, &[]), 0, "an annotation says many things");
    let mut shorts = hem(46.0);
    shorts.push(Block::bare("TAB-31").text("Piece Name: SHORTS TAB").text("Size: 31"));
    assert_eq!(pairs(&shorts, &[]), 1);
    // A waist with a point in its middle, 60 mm high: 2 · 37.4° and 2 · 34.3°; and one of 20 mm.
    assert_eq!(pairs(&legs(SIDE, (0.0, 60.0)), &[]), 0);
    assert_eq!(pairs(&legs(SIDE, (0.0, 20.0)), &[]), 1);
}

#[test]
fn what_cannot_be_walked_is_noted() {
    // A cut line only, and no allowances in the job.
    let cut = ["FRONT", "BACK"].map(|name| {
        let line = sew(name, 0);
        piece(name, "31")
            .closed("1", &line)
            .line("7", (430.0, 200.0), (430.0, 560.0))
            .text("Category: TROUSERS")
    });
    let text = drawing(&cut);
    let found = said(&text, "allowance-missing");
    assert!(!found.is_empty());
    for (found, name) in found.iter().zip(["FRONT", "BACK"]) {
        let start = format!("note {name} 31");
        assert!(found.starts_with(&start) && found.contains(": its seams were not walked: "), "{found}");
        assert!(found.contains(&format!("line {}: ", block_line(&text, &format!("{name}-31")))), "{found}");
    }
}

#[test]
fn a_finding_of_the_seams_has_the_line_of_its_block() {
    let half = |name: &str, size: &str| {
        let line = sew(name, 0);
        let leg = block(name, size, &line);
        if (name, size) == ("BACK", "33") {
            leg.line("6", line[HEM_IN + 1], line[SIDE]).text("Category: TROUSERS")
        } else {
            leg
        }
    };
    let text = drawing(&[half("FRONT", "31"), half("BACK", "31"), half("FRONT", "33"), half("BACK", "33")]);
    let found = said(&text, "half-piece");
    assert_eq!(found.len(), 1, "{found:?}");
    let fork = "574.00,730.00";
    let start = format!("error BACK 33 at {fork} line {}: ", block_line(&text, "BACK-33"));
    assert!(found[0].starts_with(&start), "{found:?} {start}");
}

/// Errors before notes, each by the line; what the seams and a check both say is said once.
#[test]
fn findings_come_by_weight_and_line() {
    let tab = |size: &str, quantity: &str| {
        let b = Block::bare(&format!("TAB-{size}")).text("Piece Name: TAB").text(&format!("Size: {size}"));
        let b = b.text(&format!("Quantity: {quantity}")).text("Material: SHELL");
        b.closed("1", &rectangle((13.0, 17.0), (70.0, 90.0))).line("1", (23.0, 27.0), (26.0, 31.0))
    };
    let no_grain = |name: &str| piece(name, "31").closed("14", &sew(name, 0)).text("Category: TROUSERS");
    let text =
        drawing(&[tab("31", "none"), no_grain("FRONT"), tab("33", "0"), no_grain("BACK"), tab("35", "2")]);
    let report = crate::check::run(&super::open(&text), &Job::default(), None);
    let order: Vec<(u8, usize)> = report
        .findings
        .iter()
        .map(|f| (u8::from(f.severity.word() == "note"), f.line.unwrap_or(usize::MAX)))
        .collect();
    assert!(order.is_sorted(), "{order:?}");
    assert!(order.iter().any(|o| o.0 == 1) && order.iter().any(|o| o.0 == 0));
    let grain = |piece: &str| {
        report
            .findings
            .iter()
            .filter(|f| f.id.as_str() == "grain-missing" && f.piece.as_deref() == Some(piece))
            .count()
    };
    assert_eq!((grain("FRONT"), grain("BACK"), grain("TAB")), (1, 1, 3));
    // Two further lines of one piece are two notes of one kind, said once; two texts that lack are two.
    let text = drawing(&[tab("31", "none").line("1", (33.0, 27.0), (36.0, 31.0))]);
    assert_eq!(said(&text, "open-outline").len(), 1);
    let text = drawing(&[Block::bare("B7").closed("1", &rectangle((13.0, 17.0), (70.0, 90.0)))]);
    assert!(said(&text, "label-missing").len() > 2);
}

/// Where the unit is wrong every length is, and only one thing is worth saying of it.
#[test]
fn a_wrong_unit_is_said_by_itself() {
    let small = |name: &str| {
        let line: Vec<Xy> = sew(name, 0).into_iter().map(|(x, y)| (x / 10.0, y / 10.0)).collect();
        let (x, y) = line[HEM_IN];
        piece(name, "31")
            .closed("14", &line)
            .line("7", (x - 6.0, y + 5.0), (x - 6.0, y + 35.0))
            .notch((x + 30.0, y))
    };
    let text = drawing(&[small("FRONT"), small("BACK")]);
    let remedy = "the drawing says that its unit is mm; correct its 'Units:' text or its scale";
    let meant = format!(
        "error FRONT 31 line {}: a trouser leg is 68.4 mm long; {remedy}",
        block_line(&text, "FRONT-31")
    );
    assert_eq!(said(&text, "unit-doubtful"), [meant]);
    assert_eq!(said(&text, "notch-off-edge"), [""; 0]);
    let tenfold = |name: &str| {
        let line: Vec<Xy> = sew(name, 0).into_iter().map(|(x, y)| (x * 3.0, y * 3.0)).collect();
        block(name, "31", &line).notch((line[HEM_IN].0 + 30.0, line[HEM_IN].1))
    };
    let text = drawing(&[tenfold("FRONT"), tenfold("BACK")]);
    let meant = format!(
        "error FRONT 31 line {}: a trouser leg is 2.1 m long; {remedy}",
        block_line(&text, "FRONT-31")
    );
    assert_eq!(said(&text, "unit-doubtful"), [meant]);
    // A leg as long as legs are: the notch is told.
    let legs = ["FRONT", "BACK"].map(|name| block(name, "31", &sew(name, 0)).notch((900.0, 300.0)));
    let text = drawing(&legs);
    assert_eq!((said(&text, "unit-doubtful").len(), said(&text, "notch-off-edge").len()), (0, 2));
}

/// Two pieces of one name and size are told apart by their blocks: what is wrong with the second is shown at the second.
#[test]
fn a_finding_knows_its_piece_among_others_of_the_same_name() {
    let one = |block: &str| Block::bare(block).text("Piece Name: TAB").text("Size: 31").text("Quantity: 1");
    let sound = one("B1").closed("1", &rectangle((13.0, 17.0), (70.0, 90.0)));
    let corners = rectangle((213.0, 17.0), (70.0, 90.0));
    let open = one("B2").open("1", &corners[..]);
    let text = drawing(&[sound, open]);
    let found = super::errors(&text);
    let of = |id| found.iter().filter(move |f| f.id == id).map(Finding::block).collect::<Vec<_>>();
    assert_eq!(of(FindingId::OpenOutline), [Some(1)], "{}", super::shown(&found));
    assert_eq!(of(FindingId::GrainMissing), [Some(0), Some(1)], "{}", super::shown(&found));
}
