//! What the README shows is what the program prints.

use crate::outside::{root, said, truerise};

/// The lines of the README that begin with this one, up to the end of their block, one blank put in place of several.
fn block(first: &str) -> Vec<String> {
    let readme = std::fs::read_to_string(root().join("README.md")).unwrap();
    let lines = readme.lines().map(squeezed).skip_while(|l| !l.starts_with(first));
    let block: Vec<String> = lines.take_while(|l| l != "```" && !l.contains("Written:")).collect();
    assert!(block.len() > 3, "the README shows no block that begins with '{first}'");
    block
}

fn squeezed(line: &str) -> String {
    line.split_whitespace().collect::<Vec<_>>().join(" ")
}

fn shown(table: &str, options: &[&str], first: &str) {
    let mut program = truerise();
    program.current_dir(root()).args(["alter", "samples/harbour-nest.dxf", "--sizes", table]).args(options);
    let output = program.output().unwrap();
    let printed: Vec<String> =
        String::from_utf8(output.stdout.clone()).unwrap().lines().map(squeezed).collect();
    for line in block(first) {
        assert!(printed.contains(&line), "'{line}' is not printed: {}", said(&output));
    }
}

#[test]
fn what_it_looks_like_is_what_it_prints() {
    shown("samples/harbour-sizes.csv", &["--dry-run"], "samples/harbour-nest.dxf, style");
    shown("samples/harbour-uneven.csv", &["--advise"], "size way front slide");
}
