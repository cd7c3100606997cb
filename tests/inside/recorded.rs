//! What every drawing of the samples measures, how it is altered and what is found in it, recorded number by number.
//!
//! That the numbers are right is for the other tests to show, with closed forms, `ezdxf` and `shapely`; here none changes
//! unseen. Where one does, look at the drawing, then `cargo insta review`.

use crate::check;
use crate::dxf_text::Drawing;
use crate::finding::Finding;
use crate::job::{Aim, BlendTo, Job, SizeTable, Uneven};
use crate::order::{self, Opened, Settings};
use crate::pattern::{Pattern, Reading};
use crate::seam;
use crate::units::{Mm, Unit};
use serde_json::Value;
use std::borrow::Cow;
use std::fmt::Write as _;
use std::fs;
use std::path::{Path, PathBuf};

/// Numbers to a thousandth, since a machine's sine may differ in the last digit.
fn rounded(value: &mut Value) {
    match value {
        Value::Number(n) if n.is_f64() => {
            let number = (n.as_f64().unwrap() * 1e3).round() / 1e3 + 0.0;
            *value = number.into();
        }
        Value::Array(all) => all.iter_mut().for_each(rounded),
        Value::Object(all) => all.values_mut().for_each(rounded),
        _ => {}
    }
}

fn line<R: serde::Serialize>(report: &R) -> String {
    let mut value = serde_json::to_value(report).unwrap();
    rounded(&mut value);
    value.to_string()
}

/// The lines of every piece that differ from those before: how many points, and the sums of their coordinates.
fn moved(before: &Pattern, after: &Pattern) -> String {
    let mut text = String::new();
    for (was, is) in before.pieces.iter().zip(&after.pieces) {
        for (path, is) in was.paths.iter().zip(&is.paths).filter(|(was, is)| was.points != is.points) {
            let sum = is.points.iter().fold(kurbo::Vec2::ZERO, |sum, p| sum + p.to_vec2());
            let name = format!("{} {:?}", was.block_name, path.layer_use);
            writeln!(text, "  {name}: {} points, sums {:.2} {:.2}", is.points.len(), sum.x, sum.y).unwrap();
        }
        let marks = was.marks.iter().zip(&is.marks).filter(|(was, is)| was.at != is.at);
        let sum = marks.fold(kurbo::Vec2::ZERO, |sum, (was, is)| sum + (is.at - was.at));
        if sum != kurbo::Vec2::ZERO {
            writeln!(text, "  {} marks: {:.2} {:.2}", was.block_name, sum.x, sum.y).unwrap();
        }
    }
    text
}

fn open<'a>(bytes: &'a [u8], job: &Job) -> Opened<'a> {
    let drawing = Drawing::scan(bytes).unwrap();
    let unit = Some(job.alter.unit.unwrap_or(Unit::Mm));
    order::open("drawing.dxf", bytes, drawing, &Reading { unit, ..job.reading() }).unwrap()
}

/// One alteration: the sizes' reports, the lines that moved, what a comparison with the drawing before finds.
fn altered(text: &mut String, opened: &Opened<'_>, table: &str, job: &Job, settings: &Settings) {
    let sizes = seam::sizes(&opened.pattern, &job.labels);
    let table = SizeTable::from_csv(table, "table.csv").unwrap();
    let table = table.in_mm(opened.plain());
    let altered = order::alter(opened, (&sizes, &job.labels), &table, settings, "out.dxf");
    for size in &altered.report.sizes {
        writeln!(text, " {}", line(size)).unwrap();
    }
    let Some(drawing) = altered.drawing else { return };
    let bytes = drawing.to_vec();
    let after = open(&bytes, job);
    text.push_str(&moved(&opened.pattern, &after.pattern));
    found(text, check::run(&after, job, Some((opened, check::By::Text))).findings);
}

/// Findings; those that have been recorded just so before only by a word, since most of a sample's stay.
fn found(text: &mut String, findings: Vec<Finding>) {
    for finding in findings {
        let full = line(&finding);
        let again = format!("  {:?} as before", finding.id);
        writeln!(text, "{}", if text.contains(&full) { again } else { format!("  {full}") }).unwrap();
    }
}

/// What a drawing of the samples gives with its own table, then with the changes of the other settings.
fn record(text: &mut String, drawing: &Path, variants: &[(&str, Settings)]) {
    let given = fs::read(drawing).unwrap();
    let bytes: Cow<'_, [u8]> = order::text(&given).unwrap();
    let job = fs::read(drawing.with_extension("toml"))
        .map_or_else(|_| Job::default(), |toml| Job::from_toml_bytes(&toml, "job.toml").unwrap());
    let opened = open(&bytes, &job);
    writeln!(text, "{}", drawing.file_stem().unwrap().to_string_lossy()).unwrap();
    found(text, check::run(&opened, &job, None).findings);
    if let Ok(table) = fs::read_to_string(drawing.with_extension("csv")) {
        altered(text, &opened, &table, &job, &Settings::of(&job, Unit::Mm));
    }
    for (table, settings) in variants {
        let settings = Settings { inseam: job.tolerance.inseam.in_mm(opened.plain()), ..settings.clone() };
        altered(text, &opened, table, &job, &settings);
    }
}

fn drawings(folder: &str) -> Vec<PathBuf> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("samples").join(folder);
    let files = fs::read_dir(folder).unwrap().map(|entry| entry.unwrap().path());
    let mut drawings: Vec<PathBuf> = files.filter(|p| p.extension().is_some_and(|e| e == "dxf")).collect();
    drawings.sort();
    drawings
}

fn settings(aim: Aim, uneven: Uneven, blend_to: BlendTo) -> Settings {
    Settings { aim, uneven, blend_to: Some(blend_to), ..Settings::of(&Job::default(), Unit::Mm) }
}

fn recorded(name: &str, text: &str) {
    insta::with_settings!({ prepend_module_to_snapshot => false, omit_expression => true }, {
        insta::assert_snapshot!(name, text);
    });
}

#[test]
fn dialects() {
    let mut text = String::new();
    for drawing in drawings("dialects") {
        record(&mut text, &drawing, &[]);
    }
    recorded("dialects", &text);
}

#[test]
fn shapes() {
    let shorter =
        ("size,change,front_share\n38,-11.3mm,42%\n", settings(Aim::Length, Uneven::Waist, BlendTo::Hem));
    let longer =
        ("size,change,front_share\n38,17.9mm,61%\n", settings(Aim::Length, Uneven::Fork, BlendTo::Knee));
    let mut text = String::new();
    for drawing in drawings("shapes") {
        record(&mut text, &drawing, &[shorter.clone(), longer.clone()]);
    }
    recorded("shapes", &text);
}

#[test]
fn nests() {
    let keep = settings(Aim::Length, Uneven::Keep, BlendTo::Knee);
    let slid = settings(Aim::Distance, Uneven::Keep, BlendTo::Length(Mm(311.0)));
    let across = settings(Aim::Length, Uneven::Fork, BlendTo::Hem);
    let sizes = "size,change,front_share\n34,13.7mm,50%\n40,-9.1mm,45%\n46,21.3mm,50%\n";
    let mut text = String::new();
    for drawing in drawings(".") {
        record(&mut text, &drawing, &[(sizes, keep.clone()), (sizes, slid.clone()), (sizes, across.clone())]);
    }
    recorded("nests", &text);
}
