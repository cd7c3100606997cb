//! Damaged drawings: whatever happens to the bytes, the library answers with a result, a finding or an error.

use crate::dxf_text::Drawing;
use crate::inside::common::small_nest;
use crate::job::{Job, SizeTable};
use crate::order::{self, Settings};
use crate::pattern::Reading;
use crate::seam;
use crate::units::Unit;
use proptest::prelude::*;
use std::sync::LazyLock;

static NEST: LazyLock<Vec<u8>> = LazyLock::new(small_nest);

/// One piece of damage at a place given as a share of the file.
#[derive(Clone, Debug)]
enum Damage {
    Flip(f64, u8),
    Delete(f64, usize),
    Insert(f64, Vec<u8>),
    Repeat(f64, usize),
}

fn damage() -> impl Strategy<Value = Damage> {
    let words = prop::sample::select(vec![
        "nan",
        "inf",
        "1e308",
        "-1e7",
        "0.0",
        "\n",
        "\r",
        "  0\nENDBLK\n",
        "  0\nSEQEND\n",
        "999\n",
        "  0\nPOLYLINE\n",
        "1,5",
        "",
        "  0\nLINE\n  8\n7\n",
        " 42\n1.0\n",
        " 42\n1e300\n",
        "  0\nSPLINE\n  8\n14\n 71\n3\n",
    ]);
    prop_oneof![
        (0.0..1.0, any::<u8>()).prop_map(|(at, by)| Damage::Flip(at, by)),
        (0.0..1.0, 1usize..400).prop_map(|(at, n)| Damage::Delete(at, n)),
        (0.0..1.0, words).prop_map(|(at, word)| Damage::Insert(at, word.as_bytes().to_vec())),
        (0.0..1.0, prop::collection::vec(any::<u8>(), 1..6))
            .prop_map(|(at, bytes)| Damage::Insert(at, bytes)),
        (0.0..1.0, 1usize..2000).prop_map(|(at, n)| Damage::Repeat(at, n)),
    ]
}

impl Damage {
    fn done(&self, bytes: &mut Vec<u8>) {
        let place = |share: f64| ((share * bytes.len() as f64) as usize).min(bytes.len().saturating_sub(1));
        match self {
            Damage::Flip(at, by) if !bytes.is_empty() => {
                let at = place(*at);
                bytes[at] ^= by;
            }
            Damage::Flip(..) => {}
            Damage::Delete(at, n) => {
                let at = place(*at);
                bytes.drain(at..(at + n).min(bytes.len()));
            }
            Damage::Insert(at, what) => {
                let at = place(*at);
                bytes.splice(at..at, what.iter().copied());
            }
            Damage::Repeat(at, n) => {
                let at = place(*at);
                let copy = bytes[at..(at + n).min(bytes.len())].to_vec();
                bytes.splice(at..at, copy);
            }
        }
    }
}

/// Measures and alters; what is written, if anything, must be readable again.
fn tried(bytes: &[u8]) {
    let job = Job::default();
    let Ok(text) = order::text(bytes) else { return };
    let Ok(scanned) = Drawing::scan(&text) else { return };
    let Ok(opened) =
        order::open("damaged", bytes, scanned, &Reading { unit: Some(Unit::In), ..Reading::default() })
    else {
        return;
    };
    let settings = Settings::of(&job, Unit::Mm);
    let _ = order::measure(&opened, &job, &settings);
    let sizes = seam::sizes(&opened.pattern, &job.labels);
    let table = SizeTable::from_csv("size,change\n38,20mm\n", "table").unwrap().in_mm(Unit::Mm);
    if let Some(written) = order::alter(&opened, (&sizes, &job.labels), &table, &settings, "out").drawing {
        Drawing::scan(&written.to_vec()).unwrap();
    }
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::with_cases(400) })]

    #[test]
    fn damage_never_ends_in_a_panic(list in prop::collection::vec(damage(), 1..6)) {
        let mut bytes = NEST.clone();
        for damage in &list {
            damage.done(&mut bytes);
        }
        tried(&bytes);
    }

    #[test]
    fn any_bytes_never_end_in_a_panic(bytes in prop::collection::vec(any::<u8>(), 0..400)) {
        tried(&bytes);
    }
}

#[test]
fn the_undamaged_nest_is_altered() {
    // Without this the tests above could pass by refusing everything.
    let scanned = Drawing::scan(&NEST).unwrap();
    let opened = order::open("sound", &NEST, scanned, &Reading::default()).unwrap();
    let job = Job::default();
    let sizes = seam::sizes(&opened.pattern, &job.labels);
    let table = SizeTable::from_csv("size,change\n38,20mm\n", "table").unwrap().in_mm(Unit::Mm);
    assert!(
        order::alter(&opened, (&sizes, &job.labels), &table, &Settings::of(&job, Unit::Mm), "out")
            .drawing
            .is_some()
    );
}
