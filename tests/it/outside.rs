//! The program and what it writes.

pub use crate::common::{Folder, python, root, run, said};
use serde_json::Value;
use std::collections::HashMap;
use std::path::Path;
use std::process::Command;
use std::sync::LazyLock;

/// The program.
pub fn truerise() -> Command {
    Command::new(env!("CARGO_BIN_EXE_truerise"))
}

/// What has a schema.
pub const SCHEMA_NAMES: [&str; 9] =
    ["measures", "report", "advice", "check", "grade", "plot", "batch", "sizes", "job"];

/// The schemas, by the first word of what they say `format` is.
static SCHEMAS: LazyLock<HashMap<&str, jsonschema::Validator>> = LazyLock::new(|| {
    let written = SCHEMA_NAMES.into_iter().filter(|name| !matches!(*name, "sizes" | "job"));
    let validator = |name| jsonschema::draft202012::new(&truerise::schema_of(name).unwrap());
    written.map(|name| (name, validator(name).unwrap())).collect()
});

/// JSON that the program wrote, which has to be as the schema of its format says: every test that looks into JSON reads it
/// here. Drawings that came together give a list.
pub fn json(bytes: &[u8]) -> Value {
    let value: Value = serde_json::from_slice(bytes).unwrap();
    let one = value.get(0).unwrap_or(&value);
    let format = one["format"].as_str().unwrap().strip_prefix("truerise-").unwrap();
    let schema = &SCHEMAS[format.strip_suffix("/1").unwrap()];
    let unfit: Vec<String> =
        schema.iter_errors(&value).map(|e| format!("{}: {e}", e.instance_path())).collect();
    assert!(unfit.is_empty(), "{format}: {unfit:?}");
    value
}

/// Alters a drawing into `out.dxf` of the folder, all checks holding, and gives the report.
pub fn report_of(folder: &Folder, drawing: &Path, table: &Path, options: &[&str]) -> Value {
    let report = folder.path("report.json");
    let mut program = truerise();
    program.arg("alter").arg(drawing).arg("--sizes").arg(table).arg("-o").arg(folder.path("out.dxf"));
    program.arg("--report").arg(&report).args(["--quiet", "--overwrite"]).args(options);
    let output = program.output().unwrap();
    assert!(
        output.status.success(),
        "{} {}",
        said(&output),
        if report.exists() { errors(&report).join("\n") } else { String::new() }
    );
    json(&std::fs::read(report).unwrap())
}

/// The failing findings of a report.
pub fn errors(report: &Path) -> Vec<String> {
    let report = json(&std::fs::read(report).unwrap());
    let findings = report["sizes"].as_array().unwrap().iter().flat_map(|s| s["findings"].as_array().unwrap());
    findings
        .filter(|f| f["severity"] == "error")
        .map(|f| format!("{}: {f}", report["drawing"]["path"]))
        .collect()
}
