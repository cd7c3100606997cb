//! The samples, altered and verified vertex by vertex, and measured by `shapely`.

use crate::outside::{Folder, python, report_of, root, run, said, truerise};

fn verified(drawing: &str, table: &[u8]) {
    let Some(python) = python() else { return };
    let folder = Folder::new();
    let drawing = root().join("samples").join(drawing);
    let table = folder.write("sizes.csv", table);
    report_of(&folder, &drawing, &table, &[]);
    let [drawing, altered, report] = [drawing, folder.path("out.dxf"), folder.path("report.json")]
        .map(|p| p.to_string_lossy().into_owned());
    let verified = run(&python, "verify_alteration.py", &[&drawing, &altered, &report]);
    assert!(verified.status.success(), "{}", said(&verified));
}

#[test]
fn the_nest_altered_to_body_measures_holds_what_must_hold() {
    verified("harbour-nest.dxf", &std::fs::read(root().join("samples/harbour-sizes.csv")).unwrap());
}

#[test]
fn the_nest_altered_by_changes_holds_what_must_hold() {
    verified("harbour-nest.dxf", &std::fs::read(root().join("samples/harbour-changes.csv")).unwrap());
}

#[test]
fn the_nest_in_inches_holds_what_must_hold() {
    verified("plain-inch.dxf", b"size,change\n36,1 1/2\n38,-1 in\n40,12.7mm\n");
}

#[test]
fn measures_agree_with_shapely() {
    let Some(python) = python() else { return };
    for name in ["harbour-nest.dxf", "plain-inch.dxf"] {
        let folder = Folder::new();
        let drawing = root().join("samples").join(name);
        let measured = truerise().arg("measure").arg(&drawing).args(["--format", "json"]).output().unwrap();
        assert!(measured.status.success(), "{}", said(&measured));
        let measures = folder.write("measures.json", &measured.stdout);
        let compared =
            run(&python, "compare_measures.py", &[&drawing.to_string_lossy(), &measures.to_string_lossy()]);
        assert!(compared.status.success(), "{}", said(&compared));
    }
}
