//! The number of threads changes nothing that is written; results come in the order of the table.

use crate::outside::{Folder, report_of, root};
use std::fs;

#[test]
fn one_thread_and_two_write_the_same_bytes_in_the_order_of_the_table() {
    let folder = Folder::new();
    let drawing = root().join("samples/harbour-nest.dxf");
    let table = folder.write("sizes.csv", b"size,change\n44,-9\n34,12.5\n40,25.4\n36,3\n46,1\n42,-20\n");
    let mut results = Vec::new();
    for threads in ["1", "2", "5"] {
        let report = report_of(&folder, &drawing, &table, &["--threads", threads]);
        let sizes: Vec<String> = report["sizes"]
            .as_array()
            .unwrap()
            .iter()
            .map(|s| s["size"].as_str().unwrap().to_owned())
            .collect();
        // The size that the table lacks comes last.
        assert_eq!(sizes, ["44", "34", "40", "36", "46", "42", "38"]);
        results
            .push((fs::read(folder.path("out.dxf")).unwrap(), fs::read(folder.path("report.json")).unwrap()));
    }
    assert!(results[0].0 != fs::read(&drawing).unwrap());
    assert!(results.iter().all(|r| r == &results[0]), "results differ between numbers of threads");
}
