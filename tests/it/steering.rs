//! Names and notes with characters that steer a terminal, hide themselves or turn the reading direction: no output holds
//! them bare, in whatever format. Which they are: ECMA-48 (controls), Unicode Standard Annex 9 (directions).
#![cfg(unix)]

use crate::common::small_nest;
use crate::outside::{Folder, said, truerise};
use std::process::Output;

/// Red letters by an 8-bit control, right to left, an isolate, a deletion.
const EVIL: &str = "\u{9b}31m\u{202e}\u{2066}\u{200f}\u{7f}\u{1b}[2J";

fn bare(text: &str) -> Option<char> {
    let direction = |c: char| matches!(c, '\u{61c}' | '\u{200e}' | '\u{200f}' | '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}');
    text.chars().find(|&c| c != '\n' && (c.is_control() || direction(c)))
}

/// A drawing, a table and an order list that carry such characters wherever they carry a text.
fn laid_out() -> Folder {
    let folder = Folder::new();
    let text = String::from_utf8(small_nest()).unwrap();
    let texts = [
        "Piece Name: BACK",
        "Size: 38",
        "HARBOUR TROUSERS",
        "Material: MAIN FABRIC",
        "BACK-38",
        "Category: TROUSER",
    ];
    let evil = texts.iter().fold(text, |text, one| text.replace(one, &format!("{one}{EVIL}")));
    folder.write(&format!("in{EVIL}.dxf"), evil.as_bytes());
    folder.write("in\u{202e}.dxf", evil.as_bytes());
    folder.write("sizes.csv", format!("size,change,note\n38{EVIL},10mm,=1+1{EVIL}\n").as_bytes());
    folder.write("wrong.csv", format!("size,change,note\n39{EVIL},10{EVIL},\n").as_bytes());
    folder.write(
        "orders.csv",
        "order,drawing,sizes\na,in\u{202e}.dxf,sizes.csv\nb,no\u{202e}.dxf,sizes.csv\n".as_bytes(),
    );
    folder
}

fn run(folder: &Folder, args: &[&str]) -> Output {
    let output = truerise().current_dir(folder.path("")).args(args).output().unwrap();
    assert_eq!(bare(&said(&output)), None, "{args:?}: {:?}", said(&output));
    output
}

#[test]
fn no_command_prints_them_bare_in_any_format() {
    let folder = laid_out();
    let drawing = &format!("in{EVIL}.dxf");
    for format in ["text", "json", "csv"] {
        for (args, code) in [
            (&["measure", drawing][..], 0),
            (&["check", drawing], 0),
            (&["check", drawing, "--against", drawing], 0),
            (&["alter", drawing, "--sizes", "sizes.csv", "--dry-run"], 0),
            (&["alter", drawing, "--sizes", "wrong.csv", "--dry-run"], 2),
            (&["plot", drawing, "--overwrite", "-o", "out.pdf", "--size", &format!("38{EVIL}")], 0),
            (&["plot", drawing, "--overwrite", "-o", "out.pdf", "--size", EVIL], 2),
            (&["batch", "orders.csv", "--out", "out"], 1),
            (&["measure", &format!("no{EVIL}.dxf")], 2),
            (&["measure", &format!("--{EVIL}")], 2),
        ] {
            let output = run(&folder, &[args, &["--format", format]].concat());
            assert_eq!(output.status.code(), Some(code), "{args:?}: {}", said(&output));
        }
    }
}

#[test]
fn no_report_holds_them_bare_and_json_gives_them_back() {
    let folder = laid_out();
    let drawing = &format!("in{EVIL}.dxf");
    let reports: Vec<String> = ["txt", "json", "csv", "html"].iter().map(|e| format!("report.{e}")).collect();
    let mut args = vec!["alter", drawing, "--sizes", "sizes.csv", "-o", "out.dxf"];
    for report in &reports {
        args.extend(["--report", report]);
    }
    let output = run(&folder, &args);
    assert_eq!(output.status.code(), Some(0), "{}", said(&output));
    let files = folder.contents();
    for report in &reports {
        let text = String::from_utf8(files[report].clone()).unwrap();
        assert_eq!(bare(&text), None, "{report}");
    }
    let json = crate::outside::json(&files["report.json"]);
    assert_eq!(json["sizes"][0]["asked"]["note"], format!("=1+1{EVIL}"));
    assert!(String::from_utf8_lossy(&files["report.csv"]).contains(",'=1+1"));
    // The drawing is no report: its names stay as they are.
    let [old, new] =
        [drawing.as_str(), "out.dxf"].map(|name| String::from_utf8(files[name].clone()).unwrap());
    assert!(old.matches(EVIL).count() > 5 && old.matches(EVIL).count() == new.matches(EVIL).count());
}
