//! The command that prints.

use crate::common::paper::{dashed, drawing, grain, rectangle};
use crate::outside;

#[test]
fn the_command_writes_a_print_and_replaces_nothing_unasked() {
    let folder = tempfile::tempdir().unwrap();
    let path = |name: &str| folder.path().join(name);
    let piece = |width: f64| drawing(&[("P", rectangle("1", width, 150.0, 0.0, 0.0) + &grain(100.0, 0.0))]);
    std::fs::write(path("new.dxf"), piece(110.0)).unwrap();
    std::fs::write(path("old.dxf"), piece(100.0)).unwrap();
    let run = |size: &str, arguments: &[&str]| {
        let mut command = assert_cmd::Command::from_std(outside::truerise());
        command.current_dir(folder.path()).args(["plot", "new.dxf", "--size", size]).args(arguments).assert()
    };
    run("38", &["-o", "out.pdf", "--paper", "letter"]).success();
    let first = std::fs::read(path("out.pdf")).unwrap();
    run("38", &["-o", "out.pdf"]).code(2);
    assert_eq!(std::fs::read(path("out.pdf")).unwrap(), first);
    run("38", &["-o", "new.dxf", "--overwrite"]).code(2);
    assert_eq!(std::fs::read(path("new.dxf")).unwrap(), piece(110.0));
    run("40", &["-o", "out.pdf", "--overwrite"]).code(2);
    run("38", &["-o", "out.pdf", "--roll", "5 in", "--overwrite"]).code(2);
    assert_eq!(std::fs::read(path("out.pdf")).unwrap(), first);

    run("38", &["-o", "out.pdf", "--roll", "36in", "--against", "old.dxf", "--overwrite"]).success();
    let pages = dashed(&std::fs::read(path("out.pdf")).unwrap(), &[0.0, 1.8]);
    let [(width, _, dotted)] = pages.as_slice() else { panic!("{} pages", pages.len()) };
    assert!((width - 914.4).abs() < 0.01, "{width}");
    // The sample of 24 mm in the key, and the old right edge.
    let mut lengths: Vec<f64> = dotted.iter().map(|[a, b]| (b.0 - a.0).hypot(b.1 - a.1)).collect();
    lengths.sort_by(f64::total_cmp);
    assert!(lengths.len() == 2 && (lengths[1] - 150.0).abs() < 0.01, "{lengths:?}");
}

/// A print of several sizes has the pieces of each; without `--size` a drawing of one size is printed whole.
#[test]
fn several_sizes_are_printed_at_once_and_one_needs_no_name() {
    let folder = outside::Folder::new();
    let nest = std::fs::read(outside::root().join("samples/harbour-nest.dxf")).unwrap();
    folder.write("nest.dxf", &nest);
    let one = drawing(&[("P", rectangle("1", 110.0, 150.0, 0.0, 0.0) + &grain(100.0, 0.0))]);
    folder.write("one.dxf", &one);
    let run = |args: &[&str]| {
        let mut program = outside::truerise();
        program.current_dir(folder.path("")).arg("plot").args(args).args(["-o", "out.pdf", "--overwrite"]);
        program.args(["--format", "json"]).output().unwrap()
    };
    let report = |args: &[&str]| outside::json(&run(args).stdout);
    let two = report(&["nest.dxf", "--size", "38", "--size", "40", "--paper", "a0"]);
    assert_eq!((two["size"].as_str(), two["pieces"].as_array().map(Vec::len)), (Some("38, 40"), Some(10)));
    let all = report(&["nest.dxf", "--size", "all", "--paper", "a0"]);
    assert_eq!(all["pieces"].as_array().map(Vec::len), Some(35));
    assert_eq!(report(&["one.dxf"])["size"].as_str(), Some("38"));
    assert_eq!(run(&["nest.dxf"]).status.code(), Some(2));
}
