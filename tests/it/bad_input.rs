//! Bad input gets an exit code, a message with the place and what to do, and leaves every file as it was.

use crate::common::small_nest;
use crate::outside::{Folder, said, truerise};
use std::path::Path;
use std::process::Output;

const TABLE: &[u8] = b"size,change\n38,10mm\n";

/// Runs `alter in.dxf --sizes sizes.csv -o out.dxf` in a folder, with more options.
fn alter(folder: &Folder, options: &[&str]) -> Output {
    let mut program = truerise();
    program.current_dir(folder.path("")).args(["alter", "in.dxf", "--sizes", "sizes.csv", "-o", "out.dxf"]);
    program.args(options).output().unwrap()
}

/// The run ends with this code, says all of this, does not panic, and every file is as it was.
fn refused(name: &str, folder: &Folder, run: impl FnOnce(&Folder) -> Output, code: i32, says: &[&str]) {
    let before = folder.contents();
    let output = run(folder);
    let text = said(&output);
    assert_eq!(output.status.code(), Some(code), "{name}: {text}");
    for part in says {
        assert!(text.contains(part), "{name}: '{part}' is not in: {text}");
    }
    assert!(!text.contains("panicked"), "{name}: {text}");
    assert!(folder.contents() == before, "{name}: a file was written or changed");
}

fn nest_with(from: &str, to: &str) -> Vec<u8> {
    let text = String::from_utf8(small_nest()).unwrap();
    assert!(text.contains(from), "{from}");
    text.replacen(from, to, 1).into_bytes()
}

/// The line of the first place where a drawing differs from the sound one.
fn line_of(bytes: &[u8], sign: &str) -> String {
    let at = bytes.windows(sign.len()).position(|w| w == sign.as_bytes()).unwrap();
    format!("line {}", bytes[..at].split(|&b| b == b'\n').count())
}

fn with(drawing: &[u8], table: &[u8]) -> Folder {
    let folder = Folder::new();
    folder.write("in.dxf", drawing);
    folder.write("sizes.csv", table);
    folder
}

#[test]
fn drawings_that_are_none() {
    let nest = small_nest();
    let png = b"\x89PNG\r\n\x1a\n\0\0\0\rIHDR\0\0\0\x01";
    let cases: Vec<(&str, Vec<u8>, Vec<String>)> = vec![
        ("empty", Vec::new(), vec!["not a DXF".into()]),
        ("blank", b"\n \n\r\n".to_vec(), vec!["not a DXF".into()]),
        ("text", b"Dear pattern room,\nplease find\n".to_vec(), vec!["not a DXF".into()]),
        ("picture", png.to_vec(), vec!["not a DXF".into()]),
        ("zeros", vec![0; 4096], vec!["not a DXF".into()]),
        ("cut short in a block", nest[..nest.len() / 2].to_vec(), vec!["line".into(), "cut short".into()]),
        ("cut short before EOF", nest[..nest.len() - 10].to_vec(), vec!["line".into(), "cut short".into()]),
        ("binary, cut short", b"AutoCAD Binary DXF\r\n\x1a\0\0SECTION\0".to_vec(), vec!["cut short".into()]),
    ];
    for (name, drawing, says) in cases {
        let says: Vec<&str> = says.iter().map(String::as_str).chain(["in.dxf"]).collect();
        refused(name, &with(&drawing, TABLE), |f| alter(f, &[]), 2, &says);
    }
}

#[test]
fn numbers_that_are_none_are_shown_with_their_line() {
    let sound = String::from_utf8(small_nest()).unwrap();
    // The X of the tenth vertex of the first block.
    let at = sound.match_indices("VERTEX\n").nth(10).unwrap().0;
    let x = sound[at..].split('\n').nth(4).unwrap().to_owned();
    for bad in ["nan", "NaN", "inf", "-inf", "1,5", "1d3", "", "0x10", "1e400", "12.5.3", "5000000"] {
        let place = at + sound[at..].find(&format!("\n{x}\n")).unwrap() + 1;
        let drawing = format!("{}{bad}{}", &sound[..place], &sound[place + x.len()..]);
        let line = format!("line {}", sound[..place].matches('\n').count() + 1);
        let quoted = if bad == "5000000" { bad.to_owned() } else { format!("'{bad}'") };
        refused(bad, &with(drawing.as_bytes(), TABLE), |f| alter(f, &[]), 2, &["in.dxf", &line, &quoted]);
    }
}

#[test]
fn drawings_that_lack_something() {
    let odd_unit = nest_with("Units: ENGLISH", "Units: FURLONG");
    let line = line_of(&odd_unit, "Units: FURLONG");
    refused(
        "unknown unit",
        &with(&odd_unit, TABLE),
        |f| alter(f, &[]),
        2,
        &["in.dxf", &line, "FURLONG", "METRIC"],
    );
    let no_unit = nest_with("Units: ENGLISH", "Remark: none");
    refused("no unit", &with(&no_unit, TABLE), |f| alter(f, &[]), 2, &["in.dxf", "--unit"]);
    let no_seqend = nest_with("SEQEND", "POINT");
    refused("no SEQEND", &with(&no_seqend, TABLE), |f| alter(f, &[]), 2, &["in.dxf", "line", "SEQEND"]);
    let no_endblk = nest_with("ENDBLK", "SHOPMARK");
    refused("no ENDBLK", &with(&no_endblk, TABLE), |f| alter(f, &[]), 2, &["in.dxf", "line", "BLOCK"]);
    // A finding is no error of the program: exit 1, and nothing is written.
    let text = String::from_utf8(small_nest()).unwrap();
    let no_grain = text.replace("LINE\n  8\n7\n", "LINE\n  8\n77\n");
    assert!(no_grain != text);
    refused("no grain", &with(no_grain.as_bytes(), TABLE), |f| alter(f, &[]), 1, &["grain", "layer (7)"]);
    let no_back = text.replace("Piece Name: BACK", "Piece Name: FRONT");
    refused("no back", &with(no_back.as_bytes(), TABLE), |f| alter(f, &[]), 1, &["back"]);
}

#[test]
fn bad_cells_are_shown_with_line_and_column() {
    let nest = small_nest();
    let cases: [(&str, &str, &[&str]); 19] = [
        ("not a length", "size,change\n38,ten\n", &["sizes.csv:2:4", "ten"]),
        ("unknown unit", "size,change\n38,10 ft\n", &["sizes.csv:2:4", "10 ft"]),
        ("not a number", "size,change\n38,nan\n", &["sizes.csv:2:4", "nan"]),
        ("infinite", "size,crotch_length\n38,inf\n", &["sizes.csv:2:4", "inf"]),
        ("negative measure", "size,crotch_length\n38,-600\n", &["sizes.csv:2:4", "-600"]),
        (
            "both wanted",
            "size,crotch_length,change\n38,600,10\n",
            &["sizes.csv:2", "crotch_length", "change"],
        ),
        ("nothing wanted", "size,crotch_length\n38,\n", &["sizes.csv:2", "crotch_length"]),
        ("twice", "size,change\n38,10\n 38 ,12\n", &["sizes.csv:3", "38", "line 2"]),
        ("share over one", "size,change,front_share\n38,10,120%\n", &["sizes.csv:2:7", "120%"]),
        ("unknown column", "size,chance\n38,10\n", &["sizes.csv:1", "chance"]),
        ("column meant", "size,chance\n38,10\n", &["sizes.csv:1:6", "did you mean 'change'?"]),
        ("size meant", "size,change\n83,10\n", &["sizes.csv:2:1", "did you mean '38'?"]),
        ("column twice", "size,change,change\n38,10,10\n", &["sizes.csv:1", "change"]),
        ("no size column", "change\n10\n", &["sizes.csv:1:1", "no column 'size'"]),
        ("ragged row", "size,change\n38,10,5\n", &["sizes.csv:2"]),
        ("no rows", "size,change\n", &["sizes.csv", "size"]),
        ("empty", "", &["sizes.csv"]),
        ("open quote", "size,change\n\"38,10\n", &["sizes.csv"]),
        ("size not drawn", "size,change\n38,10\n99,10\n", &["sizes.csv:3:1", "99", "38"]),
    ];
    for (name, table, says) in cases {
        refused(name, &with(&nest, table.as_bytes()), |f| alter(f, &[]), 2, says);
    }
    refused(
        "not UTF-8",
        &with(&nest, b"size,change,note\n38,10,\xff\xfe\n"),
        |f| alter(f, &[]),
        2,
        &["sizes.csv"],
    );
}

#[test]
fn bad_usage() {
    let nest = small_nest();
    let cases: [(&str, &[&str], &[&str]); 10] = [
        ("unknown option", &["--blendto", "knee"], &["--blend"]),
        ("bad word", &["--aim", "width"], &["width", "length"]),
        ("bad length", &["--tolerance", "1 furlong"], &["--tolerance", "furlong"]),
        ("bad finding", &["--accept", "everything"], &["everything"]),
        ("word meant", &["--uneven", "forks"], &["did you mean 'fork'?"]),
        ("finding meant", &["--accept", "inseam_mismach"], &["did you mean 'inseam-mismatch'?"]),
        ("size meant", &["--size", "83"], &["--size 83", "sizes.csv", "has 38; did you mean '38'?"]),
        ("no threads", &["--threads", "0"], &["--threads"]),
        ("unknown report", &["--report", "report.docx"], &["report.docx", ".json"]),
        ("no folder", &["--report", "nowhere/report.json"], &["nowhere"]),
    ];
    for (name, options, says) in cases {
        refused(name, &with(&nest, TABLE), |f| alter(f, options), 2, says);
    }
    let folder = with(&nest, TABLE);
    std::fs::remove_file(folder.path("in.dxf")).unwrap();
    refused("no drawing", &folder, |f| alter(f, &[]), 2, &["in.dxf"]);
    std::fs::create_dir(folder.path("in.dxf")).unwrap();
    refused("a folder for a drawing", &folder, |f| alter(f, &[]), 2, &["in.dxf"]);
}

#[test]
fn nothing_is_overwritten_unasked() {
    let folder = with(&small_nest(), TABLE);
    folder.write("out.dxf", b"yesterday's work");
    refused("output there", &folder, |f| alter(f, &[]), 2, &["out.dxf", "--overwrite"]);
    let folder = with(&small_nest(), TABLE);
    folder.write("report.json", b"{}");
    refused(
        "report there",
        &folder,
        |f| alter(f, &["--report", "report.json"]),
        2,
        &["report.json", "--overwrite"],
    );
    let folder = with(&small_nest(), TABLE);
    let twice = ["--report", "out.txt", "--report", "out.txt"];
    refused("one place twice", &folder, |f| alter(f, &twice), 2, &["out.txt"]);
}

#[cfg(unix)]
#[test]
fn the_input_is_never_overwritten_not_even_through_a_link() {
    use std::os::unix::fs::symlink;
    type Link = fn(&Path, &Path) -> std::io::Result<()>;
    let hard: Link = |a, b| std::fs::hard_link(a, b);
    let soft: Link = |a, b| symlink(a, b);
    for (name, input, link) in [
        ("soft link", "in.dxf", soft),
        ("hard link", "in.dxf", hard),
        ("link to the table", "sizes.csv", soft),
    ] {
        let folder = with(&small_nest(), TABLE);
        link(&folder.path(input), &folder.path("out.dxf")).unwrap();
        refused(name, &folder, |f| alter(f, &["--overwrite"]), 2, &["out.dxf", "input"]);
    }
    let onto_itself = |given: &'static str, onto: &'static str| {
        move |f: &Folder| {
            let mut program = truerise();
            program.current_dir(f.path("")).args([
                "alter",
                given,
                "--sizes",
                "sizes.csv",
                "-o",
                onto,
                "--overwrite",
            ]);
            program.output().unwrap()
        }
    };
    let folder = with(&small_nest(), TABLE);
    refused("itself", &folder, onto_itself("in.dxf", "./in.dxf"), 2, &["in.dxf", "input"]);
    let folder = with(&small_nest(), TABLE);
    symlink(folder.path("in.dxf"), folder.path("link.dxf")).unwrap();
    refused("input given by a link", &folder, onto_itself("link.dxf", "in.dxf"), 2, &["in.dxf", "input"]);
}

/// A disk that fills up while the drawing is written: the system refuses to make a file larger than a few blocks, which is
/// the same refused write.
#[cfg(unix)]
#[test]
fn a_full_disk_leaves_everything_as_it_was() {
    let folder = with(&small_nest(), TABLE);
    let full = |f: &Folder| {
        let mut shell = std::process::Command::new("sh");
        shell.current_dir(f.path("")).args(["-c", "trap '' XFSZ; ulimit -f 8; exec \"$0\" \"$@\""]);
        shell.arg(truerise().get_program());
        shell
            .args(["alter", "in.dxf", "--sizes", "sizes.csv", "-o", "out.dxf", "--overwrite"])
            .output()
            .unwrap()
    };
    refused("full disk", &folder, full, 2, &["out.dxf", "cannot be written", "make room there"]);
    folder.write("out.dxf", b"yesterday's work");
    refused("full disk over an older file", &folder, full, 2, &["out.dxf", "cannot be written"]);
}
