//! Drawings of a later release, with handles and block records, drawn and audited by ezdxf.

use super::nest;
use crate::grade::{Deltas, RuleTable};
use crate::inside::common::{plain, python, root, run, said};
use std::path::Path;

fn graded_nest(python: &Path, args: &[&str]) -> String {
    let out = run(python, "grade_nest.py", args);
    assert!(out.status.success(), "{}", said(&out));
    String::from_utf8(out.stdout).unwrap()
}

#[test]
fn a_nest_with_handles_passes_the_audit() {
    let Some(python) = python() else { return };
    let dir = tempfile::tempdir().unwrap();
    let path = |name: &str| dir.path().join(name).to_str().unwrap().to_owned();
    for release in ["R12", "R2000", "R2010", "R2018"] {
        let (base, rules, out) = (path("base.dxf"), path("base.rul"), path("nest.dxf"));
        graded_nest(&python, &["base", release, &base, &rules]);
        let table = RuleTable::read(&std::fs::read(&rules).unwrap(), "base.rul").unwrap();
        let graded = nest(&std::fs::read(&base).unwrap(), &table, Some(Deltas::Base)).unwrap();
        std::fs::write(&out, &graded.bytes).unwrap();
        // Every size as ezdxf computes it from the base and the table, point by point.
        assert_eq!(graded_nest(&python, &["check", &base, &rules, &out]).trim(), "sound", "{release}");
    }
}

/// The sample's nest, graded from its base, compared with the drafted one by ezdxf.
#[test]
fn the_sample_passes_the_audit() {
    let Some(python) = python() else { return };
    let dir = tempfile::tempdir().unwrap();
    let sample = root().join("samples/harbour-nest.dxf");
    let base = plain::with_blocks(&std::fs::read(&sample).unwrap(), "\r\n", |n| n.ends_with("-38"));
    let rules = std::fs::read(sample.with_file_name("harbour.rul")).unwrap();
    let table = RuleTable::read(&rules, "harbour.rul").unwrap();
    let out = dir.path().join("nest.dxf");
    std::fs::write(&out, nest(&base, &table, Some(Deltas::Base)).unwrap().bytes).unwrap();
    let told = graded_nest(&python, &["compare", sample.to_str().unwrap(), out.to_str().unwrap()]);
    assert_eq!(told.trim(), "sound");
}
