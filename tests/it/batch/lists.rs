//! Order lists: what is done, what fails alone, what is refused before anything starts.

use super::{Desk, PROGRAM, assert_same, installed, sound_orders};
use crate::outside::{self, json, said};
use std::fs;
use std::process::Command;

#[test]
fn an_order_gives_what_alter_gives() {
    let list =
        "order,drawing,sizes,uneven,size\nfork,nest.dxf,uneven.csv,fork,38\nplain,nest.dxf,longer.csv,,\n";
    let desk = Desk::new(list);
    desk.write("uneven.csv", "size,change,front_share\n36,10mm,40%\n38,10mm,40%\n");
    let run = desk.run("out", &[]);
    assert_eq!(run.status.code(), Some(0), "{}", said(&run));
    for (order, more) in [
        ("fork", &["--sizes", "uneven.csv", "--uneven", "fork", "--size", "38"][..]),
        ("plain", &["--sizes", "longer.csv"][..]),
    ] {
        let mut alter = desk.program(&["alter", "nest.dxf", "-o", "alone.dxf", "--overwrite"]);
        let alone = alter.args(more).output().unwrap();
        assert_eq!(alone.status.code(), Some(0), "{}", said(&alone));
        let batch = fs::read(desk.path(&format!("out/{order}/drawing.dxf"))).unwrap();
        assert!(batch == fs::read(desk.path("alone.dxf")).unwrap(), "{order}");
        assert!(batch != fs::read(desk.path("nest.dxf")).unwrap(), "{order}");
    }
}

#[test]
fn rules_and_common_options_hold_for_orders_whose_row_says_nothing_else() {
    let samples = outside::root().join("samples");
    let desk = Desk::new(&format!(
        "order,drawing,sizes,rules,deltas\ngraded,base.dxf,{0}/harbour-changes.csv,{0}/harbour.rul,base\n\
         nest,{0}/harbour-nest.dxf,{0}/harbour-changes.csv,,\n",
        samples.display()
    ));
    let program = |args: &[&str]| desk.program(args).output().unwrap();
    let rules = samples.join("harbour.rul");
    let base = samples.join("harbour-nest.dxf");
    let (rules, base) = (rules.to_str().unwrap(), base.to_str().unwrap());
    // The drawing of one size: what the others become hangs on the rules.
    let nest = fs::read(base).unwrap();
    let one = crate::common::plain::with_blocks(&nest, "\r\n", |name| name.ends_with("-38"));
    fs::write(desk.path("base.dxf"), one).unwrap();
    let run = desk.run("out", &["--blend-to", "hem"]);
    assert_eq!(run.status.code(), Some(0), "{}", said(&run));
    for (order, drawing, more) in
        [("graded", "base.dxf", &["--rules", rules, "--deltas", "base"][..]), ("nest", base, &[])]
    {
        let table = samples.join("harbour-changes.csv");
        let mut args =
            vec!["alter", drawing, "--sizes", table.to_str().unwrap(), "-o", "alone.dxf", "--overwrite"];
        args.extend(["--blend-to", "hem"]);
        args.extend(more);
        let alone = program(&args);
        assert_eq!(alone.status.code(), Some(0), "{}", said(&alone));
        let batch = fs::read(desk.path(&format!("out/{order}/drawing.dxf"))).unwrap();
        assert!(batch == fs::read(desk.path("alone.dxf")).unwrap(), "{order}");
    }
}

#[test]
fn neither_threads_nor_the_order_of_rows_nor_the_folder_make_a_difference() {
    let desk = Desk::with_orders(6);
    assert!(desk.run("one", &["--threads", "1"]).status.success());
    let list = sound_orders(6);
    let (header, rows) = list.split_once('\n').unwrap();
    let backwards: Vec<&str> = rows.lines().rev().collect();
    desk.write("orders.csv", &format!("{header}\r\n{}", backwards.join("\r\n")));
    assert!(desk.run("two", &["--threads", "2"]).status.success());
    assert!(desk.run("many", &["--threads", "7"]).status.success());
    assert_same(&desk.tree("two"), &desk.tree("one"));
    assert_same(&desk.tree("many"), &desk.tree("one"));
}

#[test]
fn a_bad_order_stops_no_other_and_is_named_with_its_reason() {
    let list = "order,drawing,sizes,tolerance\n\
                a sound,nest.dxf,longer.csv,\n\
                b no drawing,gone.dxf,longer.csv,\n\
                c no size table,nest.dxf,broken.csv,\n\
                d check fails,nest.dxf,longer.csv,0.0001mm\n\
                e no pattern,broken.csv,longer.csv,\n\
                f sound,nest.dxf,shorter.csv,\n";
    let desk = Desk::new(list);
    desk.write("broken.csv", "size,change\n36,ten furlongs\n");
    let run = desk.run("out", &[]);
    assert_eq!(run.status.code(), Some(1));
    let told = String::from_utf8_lossy(&run.stderr).into_owned();
    for (order, reason) in [
        ("b no drawing", "gone.dxf: cannot be read"),
        ("c no size table", "broken.csv:2:4: change: 'ten furlongs'"),
        ("d check fails", "inseam-mismatch"),
        ("e no pattern", "broken.csv: "),
    ] {
        let line = told.lines().find(|l| l.contains(&format!("order '{order}' failed"))).unwrap_or_default();
        assert!(line.contains(reason), "{told}");
        assert!(!desk.path(&format!("out/{order}/drawing.dxf")).exists(), "{order}");
    }
    assert!(!told.contains("sound'"), "{told}");
    for order in ["a sound", "f sound"] {
        assert!(desk.path(&format!("out/{order}/drawing.dxf")).exists());
    }
    assert!(desk.path("out/d check fails/report.json").exists());
    let summary = json(&fs::read(desk.path("out/summary.json")).unwrap());
    assert_eq!((summary["passed"].as_u64(), summary["failed"].as_u64()), (Some(2), Some(4)));
    let table = fs::read_to_string(desk.path("out/summary.csv")).unwrap();
    assert_eq!(table.lines().count(), 7);
    let index = fs::read_to_string(desk.path("out/index.html")).unwrap();
    for page in ["a%20sound/report.html", "d%20check%20fails/report.html"] {
        assert!(index.contains(page), "{index}");
        assert!(desk.path("out").join(page.replace("%20", " ")).exists());
    }
    assert!(!index.contains("b%20no%20drawing/report.html"));
}

#[test]
fn a_bad_cell_refuses_its_order_alone_and_is_named_with_its_place() {
    let sound = "order,drawing,sizes,uneven\na,nest.dxf,longer.csv,\nb,nest.dxf,longer.csv,fork\nc,nest.dxf,shorter.csv,\n";
    let desk = Desk::new(sound);
    assert_eq!(desk.run("out", &[]).status.code(), Some(0));
    assert!(desk.path("out/b/drawing.dxf").exists());
    desk.write("orders.csv", &sound.replace(",fork", ",forks"));
    let run = desk.run("out", &[]);
    assert_eq!(run.status.code(), Some(1), "{}", said(&run));
    let told = String::from_utf8_lossy(&run.stderr).into_owned();
    let place = "orders.csv:3:23: uneven: 'forks' is not known";
    assert!(told.contains(&format!("order 'b' failed: {place}")), "{told}");
    assert!(told.contains("fork"), "{told}");
    for order in ["a", "c"] {
        assert!(desk.path(&format!("out/{order}/drawing.dxf")).exists(), "{order}");
        assert!(!told.contains(&format!("order '{order}'")), "{told}");
    }
    // What an earlier list made of it is not what is asked for now.
    assert!(!desk.path("out/b/drawing.dxf").exists());
    let summary = json(&fs::read(desk.path("out/summary.json")).unwrap());
    assert_eq!((summary["passed"].as_u64(), summary["failed"].as_u64()), (Some(2), Some(1)));
    assert!(summary["orders"][1]["reason"].as_str().unwrap().starts_with(place), "{summary}");
    assert!(fs::read_to_string(desk.path("out/index.html")).unwrap().contains("&#39;forks&#39;"));

    desk.write("orders.csv", sound);
    let mended = desk.run("out", &[]);
    assert_eq!(mended.status.code(), Some(0), "{}", said(&mended));
    assert!(said(&mended).contains("2 had been done before"), "{}", said(&mended));
}

#[test]
fn names_that_leave_the_folder_or_clash_are_refused_before_anything_starts() {
    for name in
        ["../evil", "..", "a/b", "a\\b", "/abs", "C:x", "\"a\nb\"", "NUL", "summary.csv", "ORDER 00", ""]
    {
        let desk = Desk::new(&format!("{}{name},nest.dxf,longer.csv,\n", sound_orders(1)));
        let run = desk.run("out", &[]);
        assert_eq!(run.status.code(), Some(2), "{name}: {}", said(&run));
        assert!(said(&run).contains("orders.csv:3:1"), "{name}: {}", said(&run));
        assert!(!desk.path("out").exists(), "{name}");
    }
}

#[test]
fn a_batch_replaces_nothing_that_is_not_its_own() {
    let desk = Desk::with_orders(2);
    fs::create_dir_all(desk.path("out/order 00")).unwrap();
    desk.write("out/order 00/drawing.dxf", "somebody's");
    let run = desk.run("out", &[]);
    assert_eq!(run.status.code(), Some(2), "{}", said(&run));
    assert_eq!(fs::read(desk.path("out/order 00/drawing.dxf")).unwrap(), b"somebody's");
    assert!(!desk.path("out/order 01").exists());
    assert_eq!(desk.run("out", &["--overwrite"]).status.code(), Some(0));
    assert!(desk.run("clean", &[]).status.success());
    assert_same(&desk.tree("out"), &desk.tree("clean"));
}

#[test]
fn an_input_is_never_overwritten_even_through_a_link() {
    let desk = Desk::with_orders(1);
    assert!(desk.run("out", &[]).status.success());
    fs::remove_file(desk.path("out/order 00/drawing.dxf")).unwrap();
    fs::hard_link(desk.path("nest.dxf"), desk.path("out/order 00/drawing.dxf")).unwrap();
    let before = fs::read(desk.path("nest.dxf")).unwrap();
    let run = desk.run("out", &["--overwrite"]);
    assert_eq!(run.status.code(), Some(2));
    assert!(said(&run).contains("is an input of this batch"), "{}", said(&run));
    assert!(fs::read(desk.path("nest.dxf")).unwrap() == before);
}

#[cfg(unix)]
#[test]
fn a_linked_folder_does_not_lead_results_elsewhere() {
    let desk = Desk::with_orders(1);
    for folder in ["out", "elsewhere"] {
        fs::create_dir(desk.path(folder)).unwrap();
    }
    std::os::unix::fs::symlink(desk.path("elsewhere"), desk.path("out/order 00")).unwrap();
    assert_eq!(desk.run("out", &["--overwrite"]).status.code(), Some(2));
    assert!(desk.tree("elsewhere").is_empty());
}

#[cfg(unix)]
#[test]
fn a_link_or_folder_in_the_place_of_a_result_is_left_alone() {
    let desk = Desk::with_orders(1);
    assert!(desk.run("out", &[]).status.success());
    let place = desk.path("out/order 00/report.json");
    desk.write("notes.txt", "somebody's");
    fs::remove_file(&place).unwrap();
    std::os::unix::fs::symlink(desk.path("notes.txt"), &place).unwrap();
    assert_eq!(desk.run("out", &[]).status.code(), Some(2));
    fs::remove_file(&place).unwrap();
    fs::create_dir(&place).unwrap();
    assert_eq!(desk.run("out", &["--overwrite"]).status.code(), Some(2));
    assert_eq!(fs::read_to_string(desk.path("notes.txt")).unwrap(), "somebody's");
}

#[test]
fn drawings_can_share_a_size_table() {
    let desk = Desk::with_orders(1);
    fs::create_dir(desk.path("drawings")).unwrap();
    for name in ["a.dxf", "b.dxf", "c.txt"] {
        fs::copy(desk.path("nest.dxf"), desk.path("drawings").join(name)).unwrap();
    }
    let batch = |pattern: &str, out: &str| {
        desk.program(&["batch", "--drawings", pattern, "--sizes", "longer.csv", "--out", out])
            .output()
            .unwrap()
    };
    let run = batch("drawings/*.dxf", "out");
    assert_eq!(run.status.code(), Some(0), "{}", said(&run));
    assert!(desk.path("out/a/drawing.dxf").exists() && desk.path("out/b/drawing.dxf").exists());
    assert!(!desk.path("out/c").exists());
    for (pattern, why) in
        [("drawings/*.DXF2", "no drawing fits"), ("drawings/*", "same name"), ("[", "is no pattern")]
    {
        fs::copy(desk.path("nest.dxf"), desk.path("drawings/A.txt")).unwrap();
        let run = batch(pattern, "none");
        assert_eq!(run.status.code(), Some(2));
        assert!(said(&run).contains(why), "{}", said(&run));
        assert!(!desk.path("none").exists());
    }
}

#[cfg(target_os = "linux")]
#[test]
fn progress_is_shown_on_a_terminal() {
    if !installed(&["script"], "bsdutils") {
        return;
    }
    let desk = Desk::with_orders(3);
    // `script` runs a command on a terminal of its own.
    let command = format!("{PROGRAM} batch orders.csv --out out");
    let run =
        Command::new("script").args(["-qec", &command, "/dev/null"]).current_dir(desk.dir.path()).output();
    let told = said(&run.unwrap());
    assert!(told.contains("of 3 orders done, 0 failed, ") && told.contains(" left"), "{told}");
}

#[test]
fn no_progress_goes_where_no_terminal_is() {
    let desk = Desk::with_orders(2);
    let run = desk.run("out", &["--format", "json"]);
    assert_eq!(run.stderr, b"");
    assert_eq!(run.stdout, fs::read(desk.path("out/summary.json")).unwrap());
    assert_eq!(desk.run("out", &["--quiet"]).stdout, b"");
}
