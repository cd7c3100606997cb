//! What a person sees in the terminal: aligned, in blocks where it is narrow, without colour unless asked for.

use crate::outside::{root, truerise};

fn printed(columns: &str, more: &[&str]) -> String {
    let mut program = truerise();
    program.current_dir(root()).env("COLUMNS", columns).env_remove("NO_COLOR");
    program.args([
        "alter",
        "samples/harbour-nest.dxf",
        "--sizes",
        "samples/harbour-changes.csv",
        "--dry-run",
    ]);
    let output = program.args(more).output().unwrap();
    String::from_utf8(output.stdout).unwrap()
}

/// Numbers under each other, the row's name to the left; what is not asked for says so.
#[test]
fn a_wide_terminal_gets_a_table() {
    let text = printed("150", &[]);
    let table: Vec<&str> = text.lines().skip(2).take(4).collect();
    insta::assert_snapshot!(table.join("\n"), @r#"
    size  body  before  change  front  slide front  slide back   after   inseams before  differed    inseams after  differ  verdict
    34    –     514.50  +12.50   50 %        +6.25       +6.38  527.00  775.02 / 771.02     -4.00  768.78 / 764.68   -4.10  altered
    36    –     528.71  +12.50   50 %        +6.25       +6.38  541.21  777.31 / 773.31     -4.00  771.07 / 766.98   -4.09  altered
    38    –     542.94  +25.40   50 %       +12.71      +12.97  568.34  779.64 / 775.64     -4.00  766.97 / 762.80   -4.17  altered
    "#);
    assert!(text.lines().all(|line| !line.contains('\u{1b}')));
}

/// Each size a block of lines that also reads well aloud.
#[test]
fn a_narrow_terminal_gets_blocks() {
    let text = printed("48", &[]);
    let block: Vec<&str> = text.lines().skip(2).take(13).collect();
    insta::assert_snapshot!(block.join("\n"), @r#"
    size 34
      body:           –
      before:         514.50
      change:         +12.50
      front:          50 %
      slide front:    +6.25
      slide back:     +6.38
      after:          527.00
      inseams before: 775.02 / 771.02
      differed:       -4.00
      inseams after:  768.78 / 764.68
      differ:         -4.10
      verdict:        altered
    "#);
}

#[test]
fn colour_only_where_it_is_asked_for() {
    assert!(printed("150", &["--color", "always"]).contains("\u{1b}[1;32mpass\u{1b}[0m"));
    assert!(printed("150", &["--color", "never"]).contains("\npass: "));
    let mut program = truerise();
    program.current_dir(root()).env("NO_COLOR", "1").args(["measure", "samples/harbour-nest.dxf"]);
    assert!(!program.output().unwrap().stdout.contains(&0x1b));
}
