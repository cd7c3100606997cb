//! The parts of a drawing are its bytes, whatever they are; a file cut short is an error.

use crate::dxf_text::splice::Edits;
use crate::dxf_text::{Drawing, Span};
use proptest::prelude::*;

/// One code line.
fn code() -> impl Strategy<Value = String> {
    (
        prop_oneof![Just(8i32), Just(10), Just(20), Just(62), Just(999), Just(1000), Just(-5)],
        0usize..4,
        any::<bool>(),
    )
        .prop_map(|(code, pad, after)| format!("{}{code}{}", " ".repeat(pad), if after { " " } else { "" }))
}

fn value() -> impl Strategy<Value = Vec<u8>> {
    prop_oneof![
        "[-+]?[0-9]{1,4}\\.[0-9]{0,6}".prop_map(String::into_bytes),
        "[ -~]{0,12}".prop_map(String::into_bytes),
        prop::collection::vec(any::<u8>().prop_filter("no line ends", |b| !matches!(b, b'\r' | b'\n')), 0..8),
    ]
}

fn end() -> impl Strategy<Value = &'static [u8]> {
    prop_oneof![Just(b"\n".as_slice()), Just(b"\r\n".as_slice())]
}

/// A drawing with a HEADER, blocks and entities of random pairs, as its bytes.
fn drawing() -> impl Strategy<Value = Vec<u8>> {
    let pair = (code(), end(), value(), end()).prop_map(|(c, e, v, f)| [c.as_bytes(), e, &v, f].concat());
    let entity =
        (prop::sample::select(vec!["LINE", "POINT", "OBJECT9"]), end(), prop::collection::vec(pair, 0..6))
            .prop_map(|(kind, end, pairs)| [b"  0", end, kind.as_bytes(), end, &pairs.concat()].concat())
            .boxed();
    let body = || prop::collection::vec(entity.clone(), 0..4).prop_map(|e| e.concat());
    let blocks = prop::collection::vec((body(), end()), 0..3);
    (blocks, body(), end(), prop::collection::vec(any::<u8>(), 0..10)).prop_map(
        |(blocks, entities, end, tail)| {
            let word = |code: &str, value: &str| [code.as_bytes(), end, value.as_bytes(), end].concat();
            let mut out = [word("0", "SECTION"), word("2", "BLOCKS")].concat();
            for (body, _) in &blocks {
                out.extend([word("0", "BLOCK"), word("2", "P"), body.clone(), word("0", "ENDBLK")].concat());
            }
            out.extend(
                [
                    word("0", "ENDSEC"),
                    word("0", "SECTION"),
                    word("2", "ENTITIES"),
                    entities,
                    word("0", "ENDSEC"),
                ]
                .concat(),
            );
            out.extend(word("0", "EOF"));
            out.extend(tail);
            out
        },
    )
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::with_cases(300) })]

    /// Every pair is where it says, pairs leave no gap, and a splice of the same bytes changes nothing.
    #[test]
    fn the_parts_of_a_drawing_are_its_bytes(bytes in drawing()) {
        let scanned = Drawing::scan(&bytes).unwrap();
        for block in &scanned.blocks {
            let mut at = block.whole.start;
            let mut edits = Edits::default();
            for pair in scanned.pairs(block.whole) {
                let pair = pair.unwrap();
                prop_assert_eq!(pair.start, at);
                at = pair.end;
                edits.replace(pair.value, pair.value.of(&bytes));
            }
            prop_assert_eq!(at, block.whole.end);
            let mut out = Vec::new();
            edits.apply(&bytes, block.whole, &mut out);
            prop_assert_eq!(out.as_slice(), block.whole.of(&bytes));
        }
        let mut out = Vec::new();
        Edits::default().apply(&bytes, Span::new(0, bytes.len()), &mut out);
        prop_assert_eq!(&out, &bytes);
    }

    /// A file cut short anywhere before the end of its EOF is an error, not a shorter drawing.
    #[test]
    fn a_drawing_cut_short_is_an_error(bytes in drawing(), share in 0.0..1.0f64) {
        let eof = bytes.windows(3).rposition(|w| w == b"EOF").unwrap();
        let cut = (share * eof as f64) as usize;
        prop_assert!(Drawing::scan(&bytes[..cut]).is_err(), "cut after {} bytes", cut);
    }
}
