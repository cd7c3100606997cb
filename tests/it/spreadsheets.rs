//! Spreadsheets as tables. The files are put together here by hand, part for part as ECMA-376 (Office Open XML) and OASIS
//! `OpenDocument` 1.2 lay them out (both from memory), so that neither library of the program has written what it reads.

use crate::common::small_nest;
use crate::outside::{Folder, root, said, truerise};
use std::io::{Cursor, Write};
use std::process::Output;
use zip::CompressionMethod::{Deflated, Stored};
use zip::write::{SimpleFileOptions, ZipWriter};

fn packed(parts: &[(&str, &str)]) -> Vec<u8> {
    let mut file = ZipWriter::new(Cursor::new(Vec::new()));
    for (name, text) in parts {
        // The first part of an OpenDocument file is to be found without unpacking.
        let method = if *name == "mimetype" { Stored } else { Deflated };
        file.start_file(*name, SimpleFileOptions::default().compression_method(method)).unwrap();
        file.write_all(text.as_bytes()).unwrap();
    }
    file.finish().unwrap().into_inner()
}

/// An `.xlsx` file of sheets, each a name and the XML of its rows.
fn xlsx(sheets: &[(&str, &str)]) -> Vec<u8> {
    let ns = "http://schemas.openxmlformats.org/spreadsheetml/2006/main";
    let office = "http://schemas.openxmlformats.org/officeDocument/2006/relationships";
    let package = "http://schemas.openxmlformats.org/package/2006";
    let (mut list, mut links, mut parts) = (String::new(), String::new(), Vec::new());
    for (at, (name, rows)) in sheets.iter().enumerate() {
        let n = at + 1;
        list += &format!("<sheet name=\"{name}\" sheetId=\"{n}\" r:id=\"rId{n}\"/>");
        links += &format!(
            "<Relationship Id=\"rId{n}\" Type=\"{office}/worksheet\" Target=\"worksheets/sheet{n}.xml\"/>"
        );
        let sheet = format!("<worksheet xmlns=\"{ns}\"><sheetData>{rows}</sheetData></worksheet>");
        parts.push((format!("xl/worksheets/sheet{n}.xml"), sheet));
    }
    // Number format 14 is a date, 9 is per cent.
    let styles = format!(
        "<styleSheet xmlns=\"{ns}\"><cellXfs count=\"3\"><xf numFmtId=\"0\"/><xf numFmtId=\"14\"/><xf numFmtId=\"9\"/></cellXfs></styleSheet>"
    );
    links += &format!("<Relationship Id=\"rIdS\" Type=\"{office}/styles\" Target=\"styles.xml\"/>");
    let types = format!(
        "<Types xmlns=\"{package}/content-types\"><Default Extension=\"xml\" ContentType=\"application/xml\"/></Types>"
    );
    let book = format!("<workbook xmlns=\"{ns}\" xmlns:r=\"{office}\"><sheets>{list}</sheets></workbook>");
    let links = format!("<Relationships xmlns=\"{package}/relationships\">{links}</Relationships>");
    let first = format!(
        "<Relationships xmlns=\"{package}/relationships\"><Relationship Id=\"rId1\" Type=\"{office}/officeDocument\" Target=\"xl/workbook.xml\"/></Relationships>"
    );
    let mut all: Vec<(&str, &str)> = vec![
        ("[Content_Types].xml", &types),
        ("_rels/.rels", &first),
        ("xl/workbook.xml", &book),
        ("xl/_rels/workbook.xml.rels", &links),
        ("xl/styles.xml", &styles),
    ];
    all.extend(parts.iter().map(|(name, text)| (&**name, &**text)));
    packed(&all)
}

/// A text cell of an `.xlsx` sheet.
fn text(at: &str, value: &str) -> String {
    format!("<c r=\"{at}\" t=\"inlineStr\"><is><t>{value}</t></is></c>")
}

/// A row of text cells from column A.
fn row(number: u32, cells: &[&str]) -> String {
    let cell = |(column, value): (char, &&str)| text(&format!("{column}{number}"), value);
    let cells: String = ('A'..).zip(cells).map(cell).collect::<Vec<_>>().concat();
    format!("<row r=\"{number}\">{cells}</row>")
}

/// An `.ods` file of one sheet from the XML of its rows.
fn ods(rows: &str) -> Vec<u8> {
    let ns = |name: &str| format!("xmlns:{name}=\"urn:oasis:names:tc:opendocument:xmlns:{name}:1.0\"");
    let content = format!(
        "<office:document-content {} {} {} office:version=\"1.2\"><office:body><office:spreadsheet>\
         <table:table table:name=\"Maße\">{rows}<table:table-row table:number-rows-repeated=\"1048000\">\
         <table:table-cell table:number-columns-repeated=\"16384\"/></table:table-row></table:table>\
         </office:spreadsheet></office:body></office:document-content>",
        ns("office"),
        ns("table"),
        ns("text")
    );
    let manifest =
        "<manifest:manifest xmlns:manifest=\"urn:oasis:names:tc:opendocument:xmlns:manifest:1.0\"/>";
    packed(&[
        ("mimetype", "application/vnd.oasis.opendocument.spreadsheet"),
        ("content.xml", &content),
        ("META-INF/manifest.xml", manifest),
    ])
}

fn ods_text(value: &str) -> String {
    format!("<table:table-cell office:value-type=\"string\"><text:p>{value}</text:p></table:table-cell>")
}

fn ods_row(cells: &[String]) -> String {
    format!("<table:table-row>{}</table:table-row>", cells.concat())
}

fn alter(folder: &Folder, table: &str, out: &str) -> Output {
    let mut program = truerise();
    program.current_dir(folder.path("")).args(["alter", "in.dxf", "--sizes", table, "-o", out]);
    program.output().unwrap()
}

fn folder() -> Folder {
    let folder = Folder::new();
    folder.write("in.dxf", &small_nest());
    folder
}

#[test]
fn a_spreadsheet_gives_what_the_same_table_gives_as_csv() {
    let f = folder();
    f.write("t.csv", b"size,change,front_share,note\n38,12.5 mm,40%,a b\n");
    // Numbers, per cent by their format, a formula with its result, a table that begins elsewhere than in A1 and has a blank
    // row, a sheet beside it.
    let rows = [
        format!(
            "<row r=\"3\">{}{}{}{}</row>",
            text("C3", "Size"),
            text("D3", "change"),
            text("E3", "front share"),
            text("F3", "note")
        ),
        format!(
            "<row r=\"5\"><c r=\"C5\"><v>38</v></c>{}<c r=\"E5\" s=\"2\"><f>2/5</f><v>0.40000000000000002</v></c>{}</row>",
            text("D5", "12,5 mm"),
            text("F5", "a\nb")
        ),
    ];
    f.write("t.xlsx", &xlsx(&[("Notes", &row(1, &["measured on Monday"])), ("Sizes", &rows.concat())]));
    let rows = [
        "<table:table-row table:number-rows-repeated=\"4\"><table:table-cell table:number-columns-repeated=\"3\"/></table:table-row>".to_owned(),
        ods_row(&["size", "change", "front_share", "note"].map(ods_text)),
        ods_row(&[
            "<table:table-cell office:value-type=\"float\" office:value=\"38\"><text:p>38</text:p></table:table-cell>".to_owned(),
            ods_text("12.5 mm"),
            "<table:table-cell office:value-type=\"percentage\" office:value=\"0.4\"><text:p>40%</text:p></table:table-cell>".to_owned(),
            ods_text("a b"),
        ]),
    ];
    f.write("t.ods", &ods(&rows.concat()));
    // Whatever it is called, its bytes say what it is.
    f.write(
        "t2.csv",
        &xlsx(&[(
            "Sizes",
            &(row(1, &["size", "change", "front_share"]) + &row(2, &["38", "12.5 mm", "40/60"])),
        )]),
    );
    let options = ["--uneven", "fork", "--no-reread"];
    let mut drawings = Vec::new();
    for (at, table) in ["t.csv", "t.xlsx", "t.ods", "t2.csv"].iter().enumerate() {
        let out = format!("out{at}.dxf");
        let mut program = truerise();
        program.current_dir(f.path("")).args(["alter", "in.dxf", "--sizes", table, "-o", &out]).args(options);
        let output = program.output().unwrap();
        assert_eq!(output.status.code(), Some(0), "{table}: {}", said(&output));
        drawings.push(std::fs::read(f.path(&out)).unwrap());
    }
    assert!(drawings.iter().all(|d| *d == drawings[0]));
}

/// Each problem with its cell's address.
#[test]
fn a_bad_cell_is_shown_with_its_address() {
    let f = folder();
    let head = row(1, &["size", "change", "front_share"]);
    let cells = |second: &str, third: &str| format!("<row r=\"7\">{}{second}{third}</row>", text("A7", "38"));
    let good = text("B7", "5 mm");
    let sheet = |rows: &str| xlsx(&[("My sizes", &(head.clone() + rows))]);
    let cases: [(&str, Vec<u8>, &[&str]); 12] = [
        (
            "no length",
            sheet(&cells(&text("B7", "ten"), "")),
            &["t.xlsx:My sizes!B7", "7 | 38 | ten", "'ten'"],
        ),
        (
            "date",
            sheet(&cells(&good, "<c r=\"C7\" s=\"1\"><v>46054</v></c>")),
            &["!C7", "2026-02-01", "text cell"],
        ),
        ("error", sheet(&cells("<c r=\"B7\" t=\"e\"><f>1/0</f><v>#DIV/0!</v></c>", "")), &["!B7", "#DIV/0!"]),
        ("not calculated", sheet(&cells(&good, "<c r=\"C7\"><f>1/2</f></c>")), &["!C7", "is not stored"]),
        ("nameless column", sheet(&cells(&good, &text("AB7", "x"))), &["!AB7", "column that has no name"]),
        ("unknown size", sheet(&row(9, &["83", "5"])), &["!A9", "did you mean '38'?"]),
        ("twice", sheet(&(row(2, &["38", "5"]) + &row(4, &["38 ", "6"]))), &["!A4", "already in row 2"]),
        ("both parts missing", sheet(&row(2, &["38"])), &["!A2", "neither crotch_length nor change"]),
        ("unknown column", xlsx(&[("S", &row(1, &["size", "chance"]))]), &["S!B1", "did you mean 'change'?"]),
        ("two tables", xlsx(&[("A", &head), ("B", &head)]), &["several sheets", "'A', 'B'"]),
        ("nothing", xlsx(&[("A", "")]), &["the table is empty"]),
        ("broken", b"PK\x03\x04 and so on".to_vec(), &["t.xlsx", "cannot be unpacked"]),
    ];
    for (name, bytes, says) in cases {
        f.write("t.xlsx", &bytes);
        let output = alter(&f, "t.xlsx", "out.dxf");
        let text = said(&output);
        assert_eq!(output.status.code(), Some(2), "{name}: {text}");
        for part in says {
            assert!(text.contains(part), "{name}: '{part}' is not in: {text}");
        }
        assert!(!text.contains(":::") && !text.contains("panicked"), "{name}: {text}");
    }
    let rows = ods_row(&[ods_text("size"), ods_text("change")])
        + "<table:table-row table:number-rows-repeated=\"3\"><table:table-cell/></table:table-row>"
        + &ods_row(&[ods_text("38"), ods_text("ten")]);
    f.write("t.ods", &ods(&rows));
    let text = said(&alter(&f, "t.ods", "out.dxf"));
    assert!(text.contains("t.ods:Maße!B5"), "{text}");
}

/// What unpacks to more than a table can have is refused before it is in memory.
#[test]
fn what_is_much_larger_unpacked_is_refused() {
    let f = folder();
    let blanks = " ".repeat(70 << 20);
    f.write("t.xlsx", &xlsx(&[("S", &blanks)]));
    let text = said(&alter(&f, "t.xlsx", "out.dxf"));
    assert!(text.contains("larger than 64 MB unpacked"), "{text}");
    let cell = "<table:table-cell table:number-columns-repeated=\"16384\" office:value-type=\"float\" office:value=\"1\"/>";
    let rows = format!("<table:table-row table:number-rows-repeated=\"1048576\">{cell}</table:table-row>");
    f.write("t.ods", &ods(&rows));
    let text = said(&alter(&f, "t.ods", "out.dxf"));
    assert!(text.contains("more than 2000000 cells"), "{text}");
    // The old kind, and one with a password, which is packed into the old kind.
    f.write("t.xls", b"\xD0\xCF\x11\xE0\xA1\xB1\x1A\xE1\0\0\0\0");
    let text = said(&alter(&f, "t.xls", "out.dxf"));
    assert!(text.contains("old or a locked spreadsheet") && text.contains(".xlsx or .ods"), "{text}");
}

#[test]
fn an_order_list_may_be_a_spreadsheet() {
    let f = folder();
    f.write("t.csv", b"size,change\n38,5 mm\n");
    let list = |uneven: &str| {
        row(1, &["order", "drawing", "sizes", "uneven"]) + &row(2, &["a", "in.dxf", "t.csv", uneven])
    };
    f.write("orders.xlsx", &xlsx(&[("Week 12", &list("fork"))]));
    let run = |list: &str| {
        truerise().current_dir(f.path("")).args(["batch", list, "--out", "done"]).output().unwrap()
    };
    let output = run("orders.xlsx");
    assert_eq!(output.status.code(), Some(0), "{}", said(&output));
    assert!(f.path("done/a").is_dir());
    f.write("orders.xlsx", &xlsx(&[("Week 12", &list("forks"))]));
    let text = said(&run("orders.xlsx"));
    assert!(text.contains("Week 12!D2") && text.contains("did you mean 'fork'?"), "{text}");
}

/// The table to fill in, as a spreadsheet: read back it asks to be filled in, in every size.
#[test]
fn a_table_to_fill_in_may_be_a_spreadsheet() {
    let f = Folder::new();
    let nest = root().join("samples/harbour-nest.dxf").to_string_lossy().into_owned();
    let measure = |table: &str| {
        truerise().current_dir(f.path("")).args(["measure", &nest, "--write-sizes", table]).output().unwrap()
    };
    let output = measure("t.xlsx");
    assert_eq!(output.status.code(), Some(0), "{}", said(&output));
    let mut program = truerise();
    program.current_dir(f.path("")).args(["alter", &nest, "--sizes", "t.xlsx", "--dry-run"]);
    let text = said(&program.output().unwrap());
    assert!(text.contains("t.xlsx:Sizes!A2") && text.contains("size '46': neither crotch_length"), "{text}");
    for table in ["t.ods", "t.docx", "t.toml"] {
        let output = measure(table);
        assert_eq!(output.status.code(), Some(2), "{}", said(&output));
        assert!(said(&output).contains("ends in .csv or .xlsx") && !f.path(table).exists());
    }
}

mod any {
    use super::{ods, ods_row, ods_text, packed, row, text, xlsx};
    use proptest::prelude::*;
    use truerise::SizeTable;

    fn read(bytes: &[u8], path: &str) {
        if let Err(problems) = SizeTable::read(bytes, path) {
            assert!(!problems.to_string().contains('\u{1b}') && problems.iter().next().is_some());
        }
    }

    /// A text with a few bytes changed, left out or doubled.
    fn spoilt(text: &str, changes: &[(usize, u8, u8)]) -> String {
        let mut bytes = text.as_bytes().to_vec();
        for &(at, how, byte) in changes {
            let at = at % bytes.len().max(1);
            match how % 4 {
                0 => bytes[at] = byte,
                1 => drop(bytes.drain(at..(at + usize::from(byte % 16)).min(bytes.len()))),
                2 => bytes.insert(at, byte),
                _ => bytes
                    .splice(at..at, bytes.clone()[at..(at + 40).min(bytes.len())].to_vec())
                    .for_each(drop),
            }
            if bytes.is_empty() {
                break;
            }
        }
        String::from_utf8_lossy(&bytes).into_owned()
    }

    proptest! {
        /// Whatever a sheet says, it is a table or a problem.
        #[test]
        fn sheet_is_a_table_or_problems(changes in proptest::collection::vec((any::<usize>(), any::<u8>(), any::<u8>()), 0..6)) {
            let rows = row(1, &["size", "change"])
                + &format!("<row r=\"2\"><c r=\"A2\"><v>38</v></c>{}<c r=\"C2\" s=\"1\" t=\"s\"><f>A1</f><v>4</v></c></row>", text("B2", "5 mm"));
            read(&xlsx(&[("S", &spoilt(&rows, &changes))]), "t.xlsx");
            let rows = ods_row(&[ods_text("size"), ods_text("change")])
                + "<table:table-row table:number-rows-repeated=\"2\"><table:table-cell table:formula=\"of:=1\" office:value-type=\"float\" office:value=\"38\"/>"
                + &ods_text("5 mm") + "</table:table-row>";
            read(&ods(&spoilt(&rows, &changes)), "t.ods");
        }

        #[test]
        fn bytes_are_a_table_or_problems(changes in proptest::collection::vec((any::<usize>(), any::<u8>(), any::<u8>()), 0..4), cut in any::<usize>()) {
            let good = xlsx(&[("S", &(row(1, &["size", "change"]) + &row(2, &["38", "5"])))]);
            let mut bytes = good.clone();
            for (at, _, byte) in changes {
                let at = at % bytes.len();
                bytes[at] = byte;
            }
            read(&bytes, "t.xlsx");
            read(&bytes[..cut % bytes.len()], "t.xlsx");
            read(&packed(&[("content.xml", "<office:document-content/>")]), "t.ods");
        }
    }
}
