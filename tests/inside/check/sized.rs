//! Which sizes a piece is there in: missing ones, doubled ones, runs and their order.

use super::drawn::{Block, assert_said, block_line, drawing, drawing_with, piece, rectangle, said};

fn of(name: &str, sizes: &[&str]) -> Vec<Block> {
    sizes.iter().map(|size| piece(name, size).closed("1", &rectangle((13.0, 17.0), (70.0, 90.0)))).collect()
}

fn all(lists: [Vec<Block>; 2]) -> Vec<Block> {
    lists.into_iter().flatten().collect()
}

fn missing(text: &str, name: &str, size: &str, after: &str) -> String {
    format!(
        "error {name} {size} line {}: there is no '{name}' in size {size}, though other pieces have that size; add it, or take \
         the size out of all pieces",
        block_line(text, &format!("{name}-{after}"))
    )
}

#[test]
fn a_size_that_a_piece_lacks_is_named_after_the_one_before_it() {
    let sizes = ["31", "33", "35", "37"];
    for (own, lacking, after) in [
        (&["31", "35", "37"][..], "33", "31"),
        (&["31", "33", "35"], "37", "35"),
        // Before the first one there is none: at the first one itself.
        (&["33", "35", "37"], "31", "33"),
        // As sizes go, not as they are drawn.
        (&["37", "35", "31"], "33", "31"),
    ] {
        let text = drawing(&all([of("FRONT", &sizes), of("CUFF", own)]));
        assert_said(&text, "size-missing", &[missing(&text, "CUFF", lacking, after)]);
    }
    // Sizes that have no order stand behind none.
    let text = drawing(&all([of("FRONT", &["A", "B", "C"]), of("CUFF", &["A", "B"])]));
    assert_said(&text, "size-missing", &[missing(&text, "CUFF", "C", "A")]);
    assert_said(&drawing(&all([of("FRONT", &sizes), of("CUFF", &sizes)])), "size-missing", &[]);
}

/// A name that ends or begins with its size, after a blank or a sign, is the same in every size.
#[test]
fn the_size_in_a_name_is_no_part_of_it() {
    let named = |name: &dyn Fn(&str) -> String| {
        let of = |size: &&str| piece(&name(size), size).closed("1", &rectangle((13.0, 17.0), (70.0, 90.0)));
        drawing(&["S", "M", "2 XL"].iter().map(of).collect::<Vec<_>>())
    };
    for name in [&|size: &str| format!("FRONT {size}") as _, &|size| format!("{size}_front"), &|size| {
        format!("Front-{}", size.replace(' ', ""))
    }] as [&dyn Fn(&str) -> String; 3]
    {
        assert_said(&named(name), "size-missing", &[]);
    }
    assert_eq!(said(&named(&|size| format!("FRONT{size}")), "size-missing").len(), 6);
}

#[test]
fn a_piece_in_one_size_may_serve_all() {
    let serves = |text: &str, size: &str| {
        format!(
            "note TAB {size} line {}: the piece is there in one size only and is taken to serve all sizes",
            block_line(text, &format!("TAB-{size}"))
        )
    };
    let sizes = ["31", "33", "35"];
    let with =
        |size: &str, texts: &[&str]| drawing_with(&all([of("FRONT", &sizes), of("TAB", &[size])]), texts);
    // A size of no other piece; the sample size.
    let text = with("ONE SIZE", &[]);
    assert_said(&text, "size-missing", &[serves(&text, "ONE SIZE")]);
    let text = with("33", &["Sample Size: 33"]);
    assert_said(&text, "size-missing", &[serves(&text, "33")]);
    // Any other one is short of the rest.
    for (size, lacking) in [("33", [("31", "33"), ("35", "33")]), ("35", [("31", "35"), ("33", "35")])] {
        let text = with(size, &["Sample Size: 31"]);
        let meant = lacking.map(|(lacking, after)| missing(&text, "TAB", lacking, after));
        assert_said(&text, "size-missing", &meant);
    }
    // Where no piece is graded, no piece serves the others' sizes.
    let text = drawing(&all([of("FRONT", &["31"]), of("TAB", &["31"])]));
    assert_said(&text, "size-missing", &[]);
    let text = drawing_with(&all([of("FRONT", &["31"]), of("TAB", &["33"])]), &["Sample Size: 31"]);
    assert_eq!(said(&text, "size-missing").len(), 2, "{:?}", said(&text, "size-missing"));
}

#[test]
fn a_size_that_a_run_leaves_out_is_named() {
    let leaves_out = |size: &str| {
        format!(
            "error - {size}: the run of sizes leaves out {size}: every other step is even; add the size, or leave it out of the \
             marker knowingly"
        )
    };
    let sizes = |list: &[&str]| drawing(&of("FRONT", list));
    assert_said(&sizes(&["31", "34", "40", "43"]), "size-missing", &[leaves_out("37")]);
    assert_said(&sizes(&["43", "31", "34", "40"]), "size-missing", &[leaves_out("37")]);
    assert_said(&sizes(&["XS", "S", "L", "XL"]), "size-missing", &[leaves_out("M")]);
    assert_said(&sizes(&["31", "34", "37", "43"]), "size-missing", &[]);
    // Each run by itself.
    let two = [
        "31 LONG", "31 SHORT", "34 LONG", "34 SHORT", "37 SHORT", "40 LONG", "40 SHORT", "43 LONG",
        "43 SHORT",
    ];
    assert_said(&sizes(&two), "size-missing", &[leaves_out("37 LONG")]);
    assert_said(&sizes(&["31 LONG", "34 LONG", "40 SHORT", "43 SHORT"]), "size-missing", &[]);
}

#[test]
fn a_piece_that_is_there_twice_is_named_with_both_blocks() {
    let outline = rectangle((13.0, 17.0), (70.0, 90.0));
    let named = |block: &str, texts: &[&str]| {
        let block = Block::bare(block).closed("1", &outline);
        ["Size: 31", "Quantity: 1"].iter().chain(texts).fold(block, |b, t| b.text(t))
    };
    let twice = |a: &[&str], b: &[&str]| drawing(&[named("B5", a), named("B7", b)]);
    let tab = "Piece Name: TAB";
    let meant = |text: &str| {
        format!(
            "error TAB 31 line {}: the piece is there twice in this size: in block 'B5' (line {}) and in block 'B7'; take one \
             out, or name them left and right if that is what they are",
            block_line(text, "B7"),
            block_line(text, "B5")
        )
    };
    for (a, b, found) in [
        (&[tab][..], &[tab][..], true),
        // Left and right, by a word of its own in a name, a category or an annotation.
        (&[tab, "Annotation: LEFT"], &[tab, "Annotation: RIGHT"], false),
        (&[tab, "Annotation: cut lh"], &[tab, "Category: RH"], false),
        (&[tab, "Annotation: L"], &[tab, "Annotation: (r)"], false),
        (&[tab, "Annotation: BRIGHT"], &[tab, "Annotation: LEFTOVER"], true),
        (&[tab, "Annotation: LEFT"], &[tab, "Annotation: LEFT"], true),
        // Of two cloths.
        (&[tab, "Material: SHELL"], &[tab, "Material: LINING"], false),
        (&[tab, "Material: SHELL"], &[tab, "Material:  shell "], true),
        (&[tab, "Material: SHELL"], &[tab], true),
    ] {
        let text = twice(a, b);
        let meant = meant(&text);
        assert_said(&text, "size-twice", if found { std::slice::from_ref(&meant) } else { &[] });
    }
    // Names are the same but for blanks and letters' case; a size in the name is none of it.
    for (name, found) in [
        ("Piece Name: t ab", true),
        ("Piece Name: TAB-31", true),
        ("Piece Name: 31_TAB", true),
        ("Piece Name: TAB31", false),
        ("Piece Name: 31TAB", false),
        ("Piece Name: TAB-33", false),
        ("Piece Name: TABS", false),
    ] {
        assert_eq!(!said(&twice(&[tab], &[name]), "size-twice").is_empty(), found, "{name}");
    }
    // The letter of a size is none of a side (common practice, no source: L is large, R is regular).
    let of_size = |size: &str, block: &str, text: &str| {
        Block::bare(block).closed("1", &outline).text(&format!("Size: {size}")).text(tab).text(text)
    };
    for (size, a, b, found) in [
        ("L", "Annotation: L", "Annotation: RIGHT", 1),
        ("L", "Annotation: LH", "Annotation: R", 0),
        ("R", "Annotation: R", "Annotation: LEFT", 1),
        ("R", "Annotation: RH", "Annotation: L", 0),
    ] {
        let text = drawing(&[of_size(size, "B5", a), of_size(size, "B7", b)]);
        assert_eq!(said(&text, "size-twice").len(), found, "{size} {a} {b}");
    }
}
