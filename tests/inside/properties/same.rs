//! What changes nothing: how the pieces lie, their unit, the way they are drawn, the order of the table, the threads.

use super::dialect::{Dialect, Form, PLAIN, dialects};
use super::draft::{Trousers, one_style, trousers};
use super::{Case, apart, cases};
use crate::seam::LegMeasures;
use proptest::prelude::*;

/// Numbers are written to six decimals of a millimetre or an inch. A rounding of a vertex changes a length by less than it,
/// and a seam has a hundred vertices at most.
const ROUNDED: f64 = 0.002;

/// Arcs are flattened for measuring: half of the 0.05 mm to which a crotch length has to be met.
const FLATTENED: f64 = 0.025;

fn all(leg: &LegMeasures) -> [f64; 6] {
    [leg.rise, leg.inseam, leg.outseam.unwrap(), leg.waist, leg.hem, leg.thigh.unwrap()].map(|mm| mm.0)
}

/// Every measure of size 38 of a drawing, the curves' own as closed forms.
fn measured(dialect: &Dialect, drawn: &Trousers) -> Vec<f64> {
    let measures = Case::new(dialect, &[("38", drawn)]).measures().remove("38").unwrap();
    all(&measures.front).into_iter().chain(all(&measures.back)).chain([measures.fork_angle]).collect()
}

proptest! {
    #![proptest_config(cases())]

    /// Turning, moving, mirroring and scaling are similarities, under which lengths in mm and angles stay (Euclid); which way
    /// a line runs and how it is put down say nothing of the piece.
    #[test]
    fn no_dialect_changes_a_measure(trousers in trousers(), dialect in dialects(&Form::ALL)) {
        let plain = measured(&Dialect { form: if dialect.form.curved() { Form::Bulge } else { Form::Polyline }, ..PLAIN }, &trousers);
        let here = measured(&dialect, &trousers);
        for (i, (a, b)) in plain.iter().zip(&here).enumerate() {
            let may = if i == 12 { 0.01 } else { ROUNDED };
            prop_assert!((a - b).abs() <= may, "measure {i} is {b} in place of {a}: {dialect:?}");
        }
        for (leg, measured) in [(&trousers.front, here[0]), (&trousers.back, here[6])] {
            let (rise, may) = if dialect.form.curved() { (leg.rise(true), FLATTENED) } else { (leg.rise(false), ROUNDED) };
            prop_assert!((measured - rise).abs() <= may, "the rise is {measured}, drawn are {rise}: {dialect:?}");
        }
    }

    /// The same slides for the same change, whatever the dialect.
    #[test]
    fn no_dialect_changes_a_slide(
        trousers in trousers(),
        dialect in dialects(&Form::ALL),
        change in prop_oneof![-30.0..-1.0f64, 1.0..50.0],
        share in 35u32..65,
    ) {
        let table = format!("size,change,front_share\n38,{change},{share}%\n");
        let moves = |dialect: &Dialect| {
            let (report, _) = Case::new(dialect, &[("38", &trousers)]).altered(&table, apart);
            let moves = report.sizes[0].moves.unwrap();
            [moves.front.along.0, moves.back.along.0]
        };
        for (a, b) in moves(&PLAIN).into_iter().zip(moves(&dialect)) {
            // Where the sew line or the curve's vertices are derived, the rises agree to what they have to be met by.
            let derived = dialect.form.curved() || dialect.form == Form::CutOnly;
            let may = if derived { FLATTENED } else { ROUNDED };
            prop_assert!((a - b).abs() <= may, "slid by {b} in place of {a}: {dialect:?}");
        }
    }

    #[test]
    fn neither_the_tables_order_nor_the_threads_change_a_byte(
        trousers in prop::collection::vec(trousers(), 3),
        dialect in dialects(&Form::ALL),
        changes in prop::collection::vec(-20.0..30.0, 3),
        order in Just(vec![0usize, 1, 2]).prop_shuffle(),
        threads in 1usize..5,
    ) {
        let names = ["36", "38", "40"];
        let trousers = one_style(trousers);
        let sizes: Vec<(&str, &Trousers)> = names.into_iter().zip(&trousers).collect();
        let drawn = Case::new(&dialect, &sizes);
        let with = |order: &[usize], threads: usize| {
            let rows: String = order.iter().map(|&i| format!("{},{}\n", names[i], changes[i])).collect();
            let pool = rayon::ThreadPoolBuilder::new().num_threads(threads).build().unwrap();
            pool.install(|| drawn.altered(&format!("size,change\n{rows}"), |_| {}))
        };
        let (one, first) = with(&[0, 1, 2], 1);
        let (other, second) = with(&order, threads);
        prop_assert!(first.bytes == second.bytes && first.bytes != drawn.bytes);
        for (i, &k) in order.iter().enumerate() {
            prop_assert_eq!(&one.sizes[k], &other.sizes[i]);
        }
    }
}
