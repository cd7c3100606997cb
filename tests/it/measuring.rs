//! The sheet to take measures on, as a page and as a print.

use crate::common::paper::poppler;
use crate::outside::{Folder, root, said, truerise};
use std::process::Output;

const SIZES: [&str; 7] = ["34", "36", "38", "40", "42", "44", "46"];

fn written(folder: &Folder, sheet: &str, more: &[&str]) -> Output {
    let mut program = truerise();
    program.current_dir(folder.path("")).arg("measure").arg(root().join("samples/harbour-nest.dxf"));
    program.args(["--write-sizes", sheet]).args(more).output().unwrap()
}

/// The pattern's length of size 38 is the sample's own, which `samples::measures_agree_with_shapely` holds against shapely.
#[test]
fn a_page_has_a_line_for_each_size_and_for_others() {
    let folder = Folder::new();
    let run = written(&folder, "sheet.html", &[]);
    assert_eq!(run.status.code(), Some(0), "{}", said(&run));
    assert!(said(&run).contains("take the measures, and write them into the table"), "{}", said(&run));
    let page = std::fs::read_to_string(folder.path("sheet.html")).unwrap();
    let rows: Vec<&str> = page.split("<tr><th scope=\"row\">").skip(1).take(9).collect();
    for (row, size) in rows.iter().zip(SIZES) {
        assert!(row.starts_with(&format!("{size}</th>")), "{row}");
    }
    assert!(rows[2].contains("542.94 mm"), "{}", rows[2]);
    assert!(rows[7..].iter().all(|row| row.starts_with("</th>")));
    for outside in ["<script", "http://", "https://", "@import", "url("] {
        assert!(!page.contains(outside), "{outside}");
    }
}

/// Read by `pdftotext` (Poppler).
#[test]
fn a_print_says_the_same_on_pages_that_fit_both_papers() {
    let folder = Folder::new();
    for sheet in ["sheet.pdf", "again.pdf"] {
        let run = written(&folder, sheet, &["--show", "in"]);
        assert_eq!(run.status.code(), Some(0), "{}", said(&run));
    }
    let [one, other] = ["sheet.pdf", "again.pdf"].map(|name| std::fs::read(folder.path(name)).unwrap());
    assert_eq!(one, other, "equal input gives equal bytes");
    let text =
        |more: &[&str]| poppler("pdftotext", &one, more).map(|bytes| String::from_utf8(bytes).unwrap());
    let (Some(said), Some(boxes)) = (text(&["-layout"]), text(&["-bbox"])) else { return };
    for words in [
        "The crotch length of the body",
        "In inches, or with the unit",
        "21 3/8 in",
        "Notes on the trial garment",
        "too long behind",
    ] {
        assert!(said.contains(words), "{words}: {said}");
    }
    for size in SIZES {
        assert!(said.lines().any(|line| line.trim_start().starts_with(size)), "{size}: {said}");
    }
    // Every word lies on A4 and, at its foot, on Letter (279.4 mm) with a margin; in units of 1/72 in from the top.
    let of = |line: &str, name: &str| -> f64 {
        line.split(name).nth(1).unwrap().split('"').nth(1).unwrap().parse().unwrap()
    };
    let words: Vec<&str> = boxes.lines().filter(|line| line.contains("<word")).collect();
    assert!(words.len() > 200, "{}", words.len());
    for word in words {
        assert!(of(word, "xMin") > 28.0 && of(word, "xMax") < 567.0 && of(word, "yMax") < 767.0, "{word}");
    }
}

#[test]
fn what_is_neither_table_nor_sheet_is_refused() {
    let folder = Folder::new();
    let run = written(&folder, "sheet.docx", &[]);
    assert_eq!(run.status.code(), Some(2));
    assert!(said(&run).contains("a sheet to take measures on in .html or .pdf"), "{}", said(&run));
    assert!(!folder.path("sheet.docx").exists());
}
