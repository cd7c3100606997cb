//! A change of nothing gives the input byte for byte, whatever the file looks like; a file cut short is an error.

use crate::outside::{Folder, root, said, truerise};
use proptest::prelude::*;
use std::fs;
use truerise::dxf_text::splice::Edits;
use truerise::dxf_text::{Drawing, Span};

/// A small nest: one size of the plain sample.
pub fn small_nest() -> Vec<u8> {
    let text = fs::read(root().join("samples/plain-inch.dxf")).unwrap();
    let drawing = Drawing::scan(&text).unwrap();
    let keep = drawing.blocks.iter().filter(|b| drawing.block_name(b).ends_with("-38"));
    let (first, last) =
        (drawing.blocks[0].whole.start as usize, drawing.blocks[drawing.blocks.len() - 1].whole.end as usize);
    let mut out = text[..first].to_vec();
    keep.for_each(|b| out.extend_from_slice(b.whole.of(&text)));
    out.extend_from_slice(&text[last..]);
    out
}

/// Alters by nothing and gives what was written.
fn unchanged(name: &str, bytes: &[u8]) -> Vec<u8> {
    let folder = Folder::new();
    let drawing = folder.write("in.dxf", bytes);
    let table = folder.write("sizes.csv", b"size,change\n38,0\n");
    let output = truerise()
        .arg("alter")
        .arg(drawing)
        .arg("--sizes")
        .arg(table)
        .arg("-o")
        .arg(folder.path("out.dxf"))
        .output()
        .unwrap();
    assert!(output.status.success(), "{name}: {}", said(&output));
    fs::read(folder.path("out.dxf")).unwrap()
}

/// The file line by line, each with a say in how it is written.
fn lines(bytes: &[u8], mut form: impl FnMut(usize, &[u8]) -> Vec<u8>) -> Vec<u8> {
    let body = bytes.strip_suffix(b"\n").unwrap_or(bytes);
    body.split(|&b| b == b'\n')
        .enumerate()
        .flat_map(|(i, line)| form(i, line.strip_suffix(b"\r").unwrap_or(line)))
        .collect()
}

fn with_end(line: &[u8], end: &[u8]) -> Vec<u8> {
    [line, end].concat()
}

/// Pairs put before the first code 0 of the blocks' entities.
fn with_pairs(bytes: &[u8], pairs: &[u8]) -> Vec<u8> {
    let at = bytes.windows(12).position(|w| w == b"  0\nPOLYLINE").unwrap();
    [&bytes[..at], pairs, &bytes[at..]].concat()
}

#[test]
fn a_change_of_nothing_gives_the_input() {
    let plain = small_nest();
    let mut cases: Vec<(&str, Vec<u8>)> = vec![
        ("LF", plain.clone()),
        ("CRLF", lines(&plain, |_, l| with_end(l, b"\r\n"))),
        ("mixed line ends", lines(&plain, |i, l| with_end(l, if i % 3 == 0 { b"\r\n" } else { b"\n" }))),
        ("CR only", lines(&plain, |_, l| with_end(l, b"\r"))),
        ("bare codes", lines(&plain, |i, l| with_end(if i % 2 == 0 { l.trim_ascii() } else { l }, b"\n"))),
        (
            "padded codes and values",
            lines(&plain, |i, l| {
                if i % 2 == 0 { [b"    ", l.trim_ascii(), b" \n"].concat() } else { [l, b"  \n"].concat() }
            }),
        ),
        ("comments", with_pairs(&plain, b"999\nremark 1\n999\n\n999\n  0\n")),
        (
            "unknown entity",
            with_pairs(&plain, b"  0\nSHOPMARK\n  8\n77\n 10\n1.0\n 20\n2.0\n1071\n99\n 92\n3\n310\n0AFF\n"),
        ),
        (
            "cp1252 bytes",
            with_pairs(
                &plain,
                b"  0\nTEXT\n  8\n15\n 10\n0.0\n 20\n0.0\n 40\n0.2\n  1\nGr\xf6\xdfe \x80 \x99\n",
            ),
        ),
        (
            "UTF-8 and escapes",
            with_pairs(
                &plain,
                "  0\nTEXT\n  8\n15\n 10\n0.0\n 20\n0.0\n 40\n0.2\n  1\nMaß %%d \\U+00DF ^J\n".as_bytes(),
            ),
        ),
        ("exponents", with_pairs(&plain, b"  0\nPOINT\n  8\n13\n 10\n+1.50E+000\n 20\n-.5e-1\n 30\n007.\n")),
        (
            "extended data",
            with_pairs(
                &plain,
                b"  0\nPOINT\n  8\n13\n 10\n1.0\n 20\n1.0\n1001\nSHOP\n1002\n{\n1040\n4.50\n1002\n}\n",
            ),
        ),
        ("no line end at the end", plain.strip_suffix(b"\n").unwrap().to_vec()),
    ];
    cases.push(("bytes after EOF", [&plain[..], b"\x1a\x00\xff\r\nnot a code\n"].concat()));
    cases.push(("blank lines after EOF", [&plain[..], b"\n\n\r\n"].concat()));
    cases.push(("byte order mark", [b"\xef\xbb\xbf", &plain[..]].concat()));
    for (name, bytes) in cases {
        let written = unchanged(name, &bytes);
        assert!(written == bytes, "{name}: the bytes differ");
    }
}

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
