//! What tests need from outside the project: Python with `ezdxf`, `shapely` and `numpy`.

use serde_json::Value;
use std::collections::HashMap;
use std::path::{Path, PathBuf};
use std::process::{Command, Output};
use std::sync::LazyLock;

/// The folder of the crate.
pub fn root() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR"))
}

/// The Python named by `TRUERISE_PYTHON`. Without it a test that needs it is skipped with a message, but never on a build
/// server (`CI` set), where a skipped check would go unseen.
pub fn python() -> Option<PathBuf> {
    if let Some(path) = std::env::var_os("TRUERISE_PYTHON") {
        return Some(path.into());
    }
    assert!(
        std::env::var_os("CI").is_none(),
        "set TRUERISE_PYTHON to a Python with ezdxf, shapely and numpy"
    );
    eprintln!(
        "skipped: set TRUERISE_PYTHON to a Python with ezdxf, shapely and numpy (sh tests/run.sh does)"
    );
    None
}

/// Runs a script of `tests/python`.
pub fn run(python: &Path, script: &str, args: &[&str]) -> Output {
    let path = root().join("tests/python").join(script);
    Command::new(python).arg("-B").arg(path).args(args).output().unwrap()
}

/// What a program said, both ways.
pub fn said(output: &Output) -> String {
    format!("{}{}", String::from_utf8_lossy(&output.stdout), String::from_utf8_lossy(&output.stderr))
}

/// The program.
pub fn truerise() -> Command {
    Command::new(env!("CARGO_BIN_EXE_truerise"))
}

/// The schemas, by the first word of what they say `format` is.
static SCHEMAS: LazyLock<HashMap<&str, jsonschema::Validator>> = LazyLock::new(|| {
    let written = truerise::schema::names().filter(|name| !matches!(*name, "sizes" | "job"));
    let validator = |name| jsonschema::draft202012::new(&truerise::schema::named(name).unwrap());
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

/// A folder of a test's own, gone when the test ends.
pub struct Folder(tempfile::TempDir);

impl Folder {
    pub fn new() -> Self {
        Folder(tempfile::tempdir().unwrap())
    }

    /// The path of a file in it.
    pub fn path(&self, name: &str) -> PathBuf {
        self.0.path().join(name)
    }

    /// Writes a file into it.
    pub fn write(&self, name: &str, bytes: &[u8]) -> PathBuf {
        std::fs::write(self.path(name), bytes).unwrap();
        self.path(name)
    }

    /// Every file in it with its bytes, by name.
    pub fn contents(&self) -> std::collections::BTreeMap<String, Vec<u8>> {
        let entries = std::fs::read_dir(self.0.path()).unwrap().map(|e| e.unwrap().path());
        entries
            .filter(|p| p.is_file())
            .map(|p| (p.file_name().unwrap().to_string_lossy().into_owned(), std::fs::read(&p).unwrap()))
            .collect()
    }
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
