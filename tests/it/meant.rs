//! A mistyped name is answered with the one that was probably meant, wherever a person types one, and one that is like
//! several or none with what there is.

use crate::common::small_nest;
use crate::outside::{Folder, said, truerise};

fn folder() -> Folder {
    let folder = Folder::new();
    folder.write("in.dxf", &small_nest());
    folder.write("sizes.csv", b"size,change\n38,10mm\n");
    folder
}

/// Runs the program in a folder; it ends with this code and says these parts.
fn says(folder: &Folder, args: &[&str], code: i32, parts: &[&str]) {
    let output = truerise().current_dir(folder.path("")).args(args).output().unwrap();
    let text = said(&output);
    assert_eq!(output.status.code(), Some(code), "{args:?}: {text}");
    for part in parts {
        assert!(text.contains(part), "{args:?}: '{part}' is not in: {text}");
    }
}

#[test]
fn pieces_sizes_seams_and_findings() {
    let f = folder();
    let plot = ["plot", "in.dxf", "-o", "out.pdf", "--size"];
    let with = |more: &[&'static str]| [&plot, more].concat();
    says(&f, &with(&["38", "--piece", "FRNT"]), 2, &["no piece 'FRNT'; did you mean 'FRONT'?", "BACK"]);
    says(&f, &with(&["83"]), 2, &["did you mean '38'?"]);
    says(&f, &["measure", "in.dxf", "--size", "3 8 L"], 2, &["there are 38; did you mean '38'?"]);
    says(&f, &["check", "in.dxf", "--size", "83"], 2, &["there are 38; did you mean '38'?"]);
    says(&f, &["check", "in.dxf", "--allowance", "insaem=10mm"], 2, &["did you mean 'inseam'?"]);
    says(
        &f,
        &["alter", "in.dxf", "--sizes", "sizes.csv", "--dry-run", "--accept", "notch-of-edge"],
        2,
        &["did you mean 'notch-off-edge'?"],
    );
}

#[test]
fn keys_and_words_of_job_files_and_order_lists() {
    let f = folder();
    for (job, place, meant) in [
        ("[tolerance]\ninseem = \"1 mm\"\n", "job.toml:2:1", "inseam"),
        ("[alter]\nblendto = \"knee\"\n", "job.toml:2:1", "blend_to"),
        ("[alter]\nuneven = \"frok\"\n", "job.toml:2:10", "fork"),
        ("[layer]\n", "job.toml:1:2", "layers"),
        ("[layers]\ncroch = \"1\"\n", "job.toml:2:1", "crotch"),
        ("[labels]\nfronts = \"VT\"\n", "job.toml:2:1", "front"),
        ("[allowance]\nhems = 1\n", "job.toml:2:1", "hem"),
    ] {
        f.write("job.toml", job.as_bytes());
        let question = format!("did you mean '{meant}'?");
        says(&f, &["measure", "in.dxf", "--job", "job.toml"], 2, &[place, &question]);
    }
    f.write("orders.csv", b"order,drawing,sizes,uneven\na,in.dxf,sizes.csv,forks\n");
    says(&f, &["batch", "orders.csv", "--out", "o"], 1, &["orders.csv:2:20", "did you mean 'fork'?"]);
    f.write("orders.csv", b"order,drawing,size table\na,in.dxf,sizes.csv\n");
    says(&f, &["batch", "orders.csv", "--out", "o"], 2, &["orders.csv:1:15", "the columns are order"]);
}

/// A layer that the job misspells was passed over, and its seam read by shape without a word.
#[test]
fn layers_that_the_drawing_calls_otherwise() {
    let f = folder();
    let nest = String::from_utf8(small_nest()).unwrap();
    // Drill holes and the like: a layer that the standard gives no use.
    f.write("in.dxf", nest.replacen("\n  8\n7\n", "\n  8\nGRAINLINE\n", 1).as_bytes());
    f.write("job.toml", b"[layers]\ngrain = [\"7\", \"GRAIN LIN\"]\n");
    let question = "nothing is drawn on the layer 'GRAIN LIN', which the job file gives to grain; did you mean 'GRAINLINE'?";
    says(&f, &["measure", "in.dxf", "--job", "job.toml"], 1, &[question]);
    // As it is drawn, and one for other drawings: not a word.
    f.write("job.toml", b"[layers]\ngrain = [\"7\", \"GRAINLINE\", \"FADENLAUF\"]\n");
    let output =
        truerise().current_dir(f.path("")).args(["measure", "in.dxf", "--job", "job.toml"]).output().unwrap();
    assert!(
        output.status.code() == Some(0) && !said(&output).contains("nothing is drawn"),
        "{}",
        said(&output)
    );
}

/// Sizes that the drawing lacks, one for each of very many rows: the first are shown with their places, the rest counted.
#[test]
fn a_table_of_unknown_sizes_is_answered_in_a_screenful() {
    let f = folder();
    let rows: Vec<String> = (100..20_100).map(|size| format!("10 mm,{size}\n")).collect();
    f.write("sizes.csv", ("change,size\n".to_owned() + &rows.concat()).as_bytes());
    let args = ["alter", "in.dxf", "--sizes", "sizes.csv", "--dry-run"];
    says(&f, &args, 2, &["sizes.csv:2:7", "sizes.csv:101:7", "19900 more problems are not shown"]);
    let output = truerise().current_dir(f.path("")).args(args).output().unwrap();
    assert!(said(&output).lines().count() < 1000, "{}", said(&output).lines().count());
}
