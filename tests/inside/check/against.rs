//! Comparison with an original: what an alteration may change, and what it may not.

use super::{errors, errors_against, open, shown};
use crate::check;
use crate::check::By;
use crate::finding::FindingId;
use crate::inside::common::dxf::Dxf;
use crate::job::{Job, SizeTable};
use crate::order::{self, Settings};
use crate::seam;
use crate::units::Unit;

/// Alters a drawing as a size table in CSV says; `None` where it is refused.
fn altered(text: &str, table: &str, settings: &Settings) -> Option<String> {
    let opened = open(text);
    let table = SizeTable::from_csv(table, "sizes.csv").unwrap().in_mm(Unit::Mm);
    let labels = Job::default().labels;
    let sizes = seam::sizes(&opened.pattern, &labels);
    let done = order::alter(&opened, (&sizes, &labels), &table, settings, "out.dxf");
    done.drawing.map(|d| String::from_utf8(d.to_vec()).unwrap())
}

fn settings() -> Settings {
    Settings { reread: false, ..Settings::of(&Job::default(), Unit::Mm) }
}

fn table(change: &str, share: &str, sizes: &[&str]) -> String {
    let rows = sizes.iter().map(|s| format!("{s},{change},{share}\n"));
    std::iter::once("size,change,front_share\n".to_owned()).chain(rows).collect()
}

#[test]
fn what_alter_writes_is_clean_where_the_original_was() {
    let nest = Dxf::sample().text();
    let all = ["34", "36", "38", "40", "42", "44", "46"];
    let mut tables: Vec<String> = Vec::new();
    for change in ["-38mm", "-12.5mm", "25.4mm", "50mm"] {
        tables.push(table(change, "50%", &all));
        // One size alone, within the run and at its end: its crotch seam is out of line because it was asked for.
        tables.push(table(change, "50%", &["40"]));
        tables.push(table(change, "50%", &["46", "36"]));
    }
    for name in ["harbour-changes.csv", "harbour-sizes.csv"] {
        tables
            .push(std::fs::read_to_string(crate::inside::common::root().join("samples").join(name)).unwrap());
    }
    for table in tables {
        let out = altered(&nest, &table, &settings()).unwrap();
        assert_ne!(out, nest);
        let found = errors_against(&out, &nest);
        assert!(found.is_empty(), "{table}\n{}", shown(&found));
    }
}

/// A spline drawn in the plane, its points without Z (`ezdxf` reads them so), within a piece that is altered.
#[test]
fn a_spline_without_z_does_not_keep_a_piece_from_being_written() {
    let mut dxf = Dxf::sample();
    let knots = [("40", "0.0"); 4].into_iter().chain([("40", "1.0"); 4]);
    let controls =
        [("10", "-20.5"), ("20", "30.0"), ("10", "-16.0"), ("20", "31.0"), ("10", "-10.0"), ("20", "30.5")];
    let last = [("10", "-5.0"), ("20", "29.0")];
    let head = [("0", "SPLINE"), ("8", "8"), ("70", "8"), ("71", "3"), ("72", "8"), ("73", "4")];
    let spline: Vec<(&str, &str)> = head.into_iter().chain(knots).chain(controls).chain(last).collect();
    for size in ["34", "36", "38", "40", "42", "44", "46"] {
        dxf.add(&format!("FRONT-{size}"), &spline);
    }
    let nest = dxf.text();
    let settings = Settings { reread: true, ..settings() };
    let out = altered(&nest, &table("20mm", "50%", &["40"]), &settings).expect("the drawing is written");
    assert_ne!(out, nest);
    assert_eq!(out.matches("SPLINE").count(), 7);
    let found = errors_against(&out, &nest);
    assert!(found.is_empty(), "{}", shown(&found));
}

#[test]
fn what_the_remedies_change_is_theirs_to_change() {
    use crate::job::Uneven;
    let nest = Dxf::sample().text();
    for uneven in [Uneven::Fork, Uneven::Waist] {
        for share in ["30%", "58%"] {
            let settings = Settings { uneven, ..settings() };
            let out = altered(&nest, &table("25.4mm", share, &["36", "42"]), &settings).unwrap();
            let found = errors_against(&out, &nest);
            assert!(found.is_empty(), "{uneven} {share}\n{}", shown(&found));
        }
    }
}

/// What is changed by hand, and how.
type Row<'a> = (&'a str, &'a dyn Fn(&mut Dxf));

/// A vertex in the middle of a front's waist.
fn waist_middle(d: &Dxf, layer: &str) -> usize {
    *d.vertices("FRONT-40", layer).last().unwrap()
}

/// What may not change in a nest of which the sizes 38 and 40 were altered.
const ELSEWHERE: &[Row<'_>] = &[
    ("a vertex of the waist", &|d| {
        let v = waist_middle(d, "14");
        d.shift(v, (0.3, 0.0));
    }),
    ("a vertex of the outseam's cut line by its last digit", &|d| {
        let v = d.vertices("BACK-38", "1")[150];
        d.shift(v, (0.0001, 0.0));
    }),
    ("the inseam below the knee", &|d| {
        let places = d.vertices("FRONT-40", "14");
        let knee = super::planted::corner(d, "FRONT-40", |l| l.hem_in)[1];
        let i = places.iter().position(|p| *p == knee).unwrap();
        d.shift(places[i - 1], (0.0, 1.0));
    }),
    ("a text", &|d| d.change("BACK-40", "Quantity: 2", "Quantity: 3")),
    ("a drill hole", &|d| {
        let drill = d.places("BACK-40", "13", "POINT")[0];
        d.shift(drill, (1.0, 0.0));
    }),
    ("a notch of the outseam", &|d| {
        let notch = d.places("FRONT-38", "4", "POINT");
        let place = *notch.iter().max_by(|a, b| (d.at(**a).1).abs().total_cmp(&(d.at(**b).1).abs())).unwrap();
        d.shift(place, (0.4, 0.0));
    }),
    ("a turn point of the crotch that left its vertex", &|d| {
        let fork = d.at(super::planted::corner(d, "FRONT-40", |l| l.fork)[1]);
        let marks = d.places("FRONT-40", "2", "POINT");
        let place = marks.into_iter().find(|m| d.at(*m) == fork).unwrap();
        d.shift(place, (2.0, 0.0));
    }),
    ("a piece nobody asked for", &|d| {
        let v = d.vertices("FLY-40", "1")[4];
        d.shift(v, (0.2, 0.0));
    }),
    ("the number of a layer", &|d| {
        let range = d.block("FRONT-34");
        d.edit(range, "8", "14", "15");
    }),
    ("the header", &|d| d.change("", "AC1009", "AC1012")),
    ("the style's name", &|d| d.change("", "Style Name: MH-214 HARBOUR TROUSERS", "Style Name: OTHER")),
    ("a piece is missing", &|d| d.remove("FLY-44")),
    ("a piece too many", &|d| d.copy("FLY-44", "FLY-44-B")),
    ("a vertex too many", &|d| {
        let at = d.at(waist_middle(d, "1"));
        d.append("FRONT-40", "1", (at.0 + 0.001, at.1));
    }),
    ("zeros taken off the end", &|d| {
        let v = waist_middle(d, "14");
        d.trim_zeros(v, "FRONT-40");
    }),
];

/// Altered, and then changed by hand where nothing should.
#[test]
fn whatever_else_differs_is_found() {
    let nest = Dxf::sample().text();
    let clean = altered(&nest, &table("20mm", "50%", &["38", "40"]), &settings()).unwrap();
    for (what, change) in ELSEWHERE {
        let mut dxf = Dxf::parse(&clean);
        assert_eq!(dxf.text(), clean);
        change(&mut dxf);
        assert_ne!(dxf.text(), clean, "{what}");
        let found = errors_against(&dxf.text(), &nest);
        let elsewhere = found.iter().filter(|f| f.id == FindingId::ChangedElsewhere).count();
        assert!(elsewhere > 0, "{what}:\n{}", shown(&found));
        // One change, one finding, or a few where one thing is drawn on several lines.
        assert!(elsewhere <= 3, "{what}:\n{}", shown(&found));
    }
}

#[test]
fn the_next_handle_may_differ() {
    let drawing = |seed: &str| {
        let nest = Dxf::sample().text();
        nest.replacen("  9\r\n$INSBASE", &format!("  9\r\n$HANDSEED\r\n  5\r\n{seed}\r\n  9\r\n$INSBASE"), 1)
    };
    assert!(errors_against(&drawing("1F0"), &drawing("1A0")).is_empty());
    assert_eq!(errors_against(&drawing("1F0").replace("HANDSEED", "HANDSEEK"), &drawing("1A0")).len(), 1);
}

#[test]
fn nothing_differs_from_itself_and_everything_is_listed() {
    let nest = Dxf::sample().text();
    let report = check::run(&open(&nest), &Job::default(), Some((&open(&nest), By::Text)));
    assert_eq!(report.findings.len(), 1);
    assert_eq!(report.findings[0].message, "nothing differs from the original");
    let out = altered(&nest, &table("20mm", "50%", &["38", "40"]), &settings()).unwrap();
    let report = check::run(&open(&out), &Job::default(), Some((&open(&nest), By::Text)));
    let listed: Vec<(Option<&str>, Option<&str>)> = report
        .findings
        .iter()
        .filter(|f| f.id == FindingId::Changed)
        .map(|f| (f.piece.as_deref(), f.size.as_deref()))
        .collect();
    let expected: Vec<(Option<&str>, Option<&str>)> =
        [("FRONT", "38"), ("BACK", "38"), ("FRONT", "40"), ("BACK", "40")]
            .map(|(p, s)| (Some(p), Some(s)))
            .to_vec();
    assert_eq!(listed, expected);
    assert!(errors(&out).is_empty());
}
