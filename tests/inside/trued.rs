//! What a slide turns the centre seam by and where that is trued, as the report says it, against the drawings before and after; and
//! how much the sample takes.

use crate::dxf_text::Drawing;
use crate::inside::common::root;
use crate::job::Job;
use crate::pattern::{self, Reading};
use crate::seam::Pair;
use crate::{Form, Nest, SizeTable, Verdict, seam};
use kurbo::{Point, Vec2};
use std::fs;

/// A crotch seam from the waist to the fork, and where its curve begins.
type Seam = (Vec<Point>, usize);

/// For each size the crotch seams of front and back, from the waist to the fork, and where their curves begin.
fn seams(bytes: &[u8]) -> Vec<(String, [Seam; 2])> {
    let drawing = Drawing::scan(bytes).unwrap();
    let pattern = pattern::read(&drawing, &Reading::default()).unwrap();
    let labels = Job::default().labels;
    let of = |leg: &seam::Leg| (leg.ring[..=leg.fork].to_vec(), leg.curve_begin);
    seam::sizes(&pattern, &labels)
        .iter()
        .map(|size| {
            let Pair { front, back } = size.pair().unwrap();
            (size.name.to_string(), [of(&front.leg), of(&back.leg)])
        })
        .collect()
}

fn degrees(a: Vec2, b: Vec2) -> f64 {
    a.cross(b).atan2(a.dot(b)).to_degrees().abs()
}

/// A table that asks every size of the sample for this change.
fn every_size(change: &str, share: &str) -> String {
    let rows = ["34", "36", "38", "40", "42", "44", "46"].map(|size| format!("{size},{change},{share}\n"));
    "size,change,front_share\n".to_owned() + &rows.concat()
}

/// The sample's centre seams are straight, so that what each turns by is the angle between its chords before and after;
/// above where the truing begins the seam is straight still, below where it ends it is the old one, moved.
#[test]
fn the_report_says_what_the_centre_seams_turn_by_and_where_it_is_trued() {
    let bytes = fs::read(root().join("samples/harbour-nest.dxf")).unwrap();
    let job = Job::default();
    let nest = Nest::read("nest.dxf", &bytes, &job).unwrap();
    for change in ["2in", "-1 1/2in", "10mm"] {
        let table = SizeTable::from_csv(&every_size(change, "50%"), "t.csv").unwrap();
        let altered = nest.alter(&table, &nest.settings());
        assert_eq!(altered.report().verdict, Verdict::Pass, "{change}");
        let after = seams(&altered.drawing().unwrap().to_vec());
        let mut largest: f64 = 0.0;
        for (report, ((size, old), (_, new))) in
            altered.report().sizes.iter().zip(seams(&bytes).iter().zip(&after))
        {
            assert_eq!(report.size, *size);
            let truing = report.truing.unwrap();
            for (said, ((was, begin), (is, _))) in [truing.front, truing.back].iter().zip(old.iter().zip(new))
            {
                let turned = degrees(was[*begin] - was[0], is[*begin] - is[0]);
                assert!((said.turned - turned).abs() < 0.005, "{size}: {} {turned}", said.turned);
                largest = largest.max(turned);
                // From the waist on, along the seam as it was.
                let (mut way, fork) = (0.0, was.len() - 1);
                let slid = is[fork] - was[fork];
                for i in 1..=fork {
                    way += (was[i] - was[i - 1]).hypot();
                    if way <= said.from.0 + 1e-6 {
                        let off = (is[i] - is[0]).cross((is[*begin] - is[0]).normalize()).abs();
                        assert!(off < 0.01, "{size}: vertex {i} is {off} mm off the straight seam");
                    } else if way >= said.to.0 - 1e-6 {
                        let off = (is[i] - was[i] - slid).hypot();
                        assert!(off < 0.001, "{size}: vertex {i} is {off} mm off the copy");
                    }
                }
            }
        }
        assert!(largest > 0.1, "{change}: {largest}");
        let page = String::from_utf8(altered.render(Form::Page).unwrap()).unwrap();
        assert!(page.contains("Turn of the centre seam trued into the upper curve: "));
    }
}

/// A hand redraws 3 in either way on a seam with so much straight (*common practice, no source*).
#[test]
fn the_sample_takes_three_inches_either_way_in_every_size() {
    let bytes = fs::read(root().join("samples/harbour-nest.dxf")).unwrap();
    let job = Job::default();
    let nest = Nest::read("nest.dxf", &bytes, &job).unwrap();
    for change in ["3in", "-3in", "2in", "-2in"] {
        let table = SizeTable::from_csv(&every_size(change, "50%"), "t.csv").unwrap();
        let altered = nest.alter(&table, &nest.settings());
        let report = altered.report();
        let errors: Vec<String> = report.all_findings().map(|f| f.message.clone()).collect();
        assert_eq!(report.verdict, Verdict::Pass, "{change}: {errors:?}");
        for size in &report.sizes {
            assert!(size.residual.unwrap().0.abs() < 0.05, "{change}, size {}", size.size);
        }
    }
}
