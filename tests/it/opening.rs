//! The front opening before and after. The drawings are those of `tests/python/dialects.py`: the fly is 110 mm long, and a straight
//! centre seam of 155 mm that grows by 10 mm stretches what lies on it in proportion.

use crate::outside::{Folder, root, said, truerise};
use std::fs;

/// What is said of the opening when a drawing is lengthened by 20 mm in all.
fn told(drawing: &str) -> Vec<String> {
    let folder = Folder::new();
    folder.write("legs.dxf", drawing.as_bytes());
    folder.write("sizes.csv", b"size,change\n38,20\n");
    let mut program = truerise();
    program.current_dir(folder.path("")).args(["alter", "legs.dxf", "--sizes", "sizes.csv", "--dry-run"]);
    let output = program.output().unwrap();
    assert_eq!(output.status.code(), Some(0), "{}", said(&output));
    said(&output).lines().filter(|l| l.contains("front-opening")).map(str::to_owned).collect()
}

fn drawn(name: &str) -> String {
    fs::read_to_string(root().join("samples/dialects").join(name).with_extension("dxf")).unwrap()
}

#[test]
fn an_opening_shows_by_a_fly_or_by_a_notch_on_the_centre_front() {
    let [fly] = told(&drawn("fly")).try_into().unwrap();
    let new = 110.0 * (1.0 + 10.0 / 155.0);
    assert!(fly.contains(&format!("is {new:.2} mm long and was 110.00 mm")) && fly.contains("fly"), "{fly}");

    // A notch on the cut line of the front, beside the seam at 110 mm from the waist: (-4.06, 249.95) to (0, 95).
    let notch = "  0\nPOINT\n  8\n4\n 10\n10.82\n 20\n140.28\n 30\n0\n";
    let plain = drawn("lwpolyline");
    let blocks = plain.find("BLOCKS\n").unwrap();
    let front = blocks + plain[blocks..].find("Piece Name: FRONT").unwrap();
    let end = front + plain[front..].find("  0\nENDBLK").unwrap();
    let notched = format!("{}{notch}{}", &plain[..end], &plain[end..]);
    let [zip] = told(&notched).try_into().unwrap();
    assert!(zip.contains("notch on the centre front"), "{zip}");
    let lengths: Vec<f64> = zip.split_whitespace().filter_map(|w| w.parse().ok()).collect();
    let [is, was] = lengths[lengths.len() - 2..] else { panic!("{zip}") };
    // It goes along on the cut edge, which begins an allowance of 12 mm above the waist.
    let longer = 10.0 * (was + 12.0) / (155.0 + 12.0);
    assert!((was - 110.0).abs() < 0.1 && (is - was - longer).abs() < 0.1, "{zip}");

    assert!(told(&plain).is_empty());
}
