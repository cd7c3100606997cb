//! Turn-ups of 40 mm cut in one with the leg without a line at the fold, on the legs of [`super::sewn`], whose inseam and outseam run
//! straight up from the hem. That notches at both seams, or edges that mirror themselves, show the fold of a hem is common practice,
//! no source.

use super::drawn::{Block, Xy, drawing, said};
use super::open;
use super::sewn::{HEM_IN, HEM_OUT, SIZES, block, sew};
use crate::job::Job;
use crate::seam;

const DEEP: f64 = 40.0;

/// Front and back whose edges lean in from 160 mm above the fold to it, by `lean` degrees, and out again below it; with notches at
/// these heights above the hem, of the inseam and of the outseam.
fn legs(lean: f64, notches: [Option<f64>; 2]) -> String {
    let slope = lean.to_radians().tan();
    let leg = |name: &str| {
        let mut line = sew(name, 0);
        let at = |(x, y): Xy, outwards: f64| {
            let fold = x - outwards * 160.0 * slope;
            [(x, y + 200.0), (fold, y + DEEP), (fold + outwards * DEEP * slope, y)]
        };
        let (inner, mut outer) = (at(line[HEM_IN], 1.0), at(line[HEM_OUT], -1.0));
        outer.reverse();
        let edges: Vec<Xy> = if lean == 0.0 { vec![inner[2], outer[0]] } else { [inner, outer].concat() };
        line.splice(HEM_IN..=HEM_OUT, edges);
        let places = notches.into_iter().zip([inner, outer]).zip([1.0, -1.0]);
        let place = |((up, edge), outwards): ((Option<f64>, [Xy; 3]), f64)| {
            Some((edge[1].0 + outwards, edge[1].1 - DEEP + up?))
        };
        places.filter_map(place).fold(block(name, SIZES[0], &line), Block::notch)
    };
    drawing(&[leg("FRONT"), leg("BACK")])
}

/// How much each leg is turned in at the hem.
fn turned_in(text: &str) -> Vec<Option<f64>> {
    let opened = open(text);
    let sizes = seam::sizes(&opened.pattern, &Job::default().labels);
    sizes[0].all_legs().map(|on| on.folds.hem.map(|fold| fold.turned_in.0)).collect()
}

#[test]
fn a_turn_up_whose_edges_hardly_turn_is_found_or_asked_for() {
    let pair = [Some(DEEP); 2];
    for lean in [0.5, 1.0, 1.4] {
        let asked = said(&legs(lean, [None; 2]), "fold-unclear");
        assert_eq!(asked.len(), 1, "{lean}");
        assert!(asked[0].contains("the edges turn 40.0 mm from the hem edge"), "{asked:?}");
        let marked = legs(lean, pair);
        assert_eq!(said(&marked, "fold-unclear"), [""; 0], "{lean}");
        let deep = turned_in(&marked);
        assert!(deep.iter().all(|d| d.is_some_and(|d| (d - DEEP).abs() < 0.01)), "{lean} {deep:?}");
    }
    // Straight edges mirror themselves anywhere: notches at both seams are asked about, and nothing else shows anything.
    let asked = said(&legs(0.0, pair), "fold-unclear");
    assert!(asked[0].contains("the notches 40.0 mm from the hem edge may mark the fold"), "{asked:?}");
    for notches in [
        [None; 2],
        [Some(DEEP), None],
        [None, Some(DEEP)],
        [Some(DEEP), Some(DEEP + 6.0)],
        [Some(150.0); 2],
        [Some(12.0); 2],
    ] {
        let text = legs(0.0, notches);
        assert_eq!(said(&text, "fold-unclear"), [""; 0], "{notches:?}");
        assert_eq!(turned_in(&text), [None; 2], "{notches:?}");
    }
}
