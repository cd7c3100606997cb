//! Lengths as `shapely` measures them on drawings read by `ezdxf`, all cases in one call.

use super::cases;
use super::dialect::{Form, dialects};
use super::draft::trousers;
use super::{Case, apart};
use crate::inside::common::{Folder, python, run, said};
use proptest::prelude::*;
use proptest::strategy::ValueTree;
use proptest::test_runner::TestRunner;

/// Before and after an alteration, in the form that needs no more of a drawing than its blocks.
#[test]
fn lengths_agree_with_shapely() {
    let Some(python) = python() else { return };
    let folder = Folder::new();
    let mut runner = TestRunner::new(cases());
    let mut pairs = Vec::new();
    let mut keep = |name: String, case: &Case, report: serde_json::Value| {
        pairs.push(folder.write(&format!("{name}.dxf"), &case.bytes));
        pairs.push(folder.write(&format!("{name}.json"), report.to_string().as_bytes()));
    };
    for i in 0..runner.config().cases {
        let drawn = (trousers(), dialects(&[Form::Polyline]), 4.0..40.0);
        let (trousers, dialect, change) = drawn.new_tree(&mut runner).unwrap().current();
        let case = Case::new(&dialect, &[("38", &trousers)]);
        let (report, written) = case.altered(&format!("size,change\n38,{change}\n"), apart);
        for (when, case) in [("before", &case), ("after", &written)] {
            let size = &report.sizes[0];
            let said = if when == "before" { &size.before } else { &size.after };
            let mut measures = serde_json::to_value(said).unwrap();
            // Positions are said where the drawing shows them; this reader looks into the blocks.
            for (part, fork) in ["front", "back"].into_iter().zip(case.forks(&dialect)) {
                measures[part]["fork"] = serde_json::json!(fork);
            }
            let claims = serde_json::json!({ "drawing": report.drawing,
                "sizes": [{ "size": "38", "measures": measures, "findings": [] }] });
            keep(format!("{i}-{when}"), case, claims);
        }
    }
    let paths: Vec<String> = pairs.iter().map(|p| p.to_string_lossy().into_owned()).collect();
    let args: Vec<&str> = paths.iter().map(String::as_str).collect();
    let compared = run(&python, "compare_measures.py", &args);
    assert!(compared.status.success(), "{}", said(&compared));
}
