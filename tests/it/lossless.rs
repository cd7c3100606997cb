//! A change of nothing gives the input byte for byte, whatever the file looks like.

use crate::common::small_nest;
use crate::outside::{Folder, said, truerise};
use std::fs;

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
