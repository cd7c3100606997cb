//! A slide by a distance and one back by the same distance restore the outline.

use super::dialect::{Form, dialects};
use super::draft::{self, trousers};
use super::{Case, cases};
use kurbo::Point;
use proptest::prelude::*;
use truerise::job::{Aim, BlendTo};
use truerise::order::Settings;
use truerise::pattern::LayerUse;

/// Coordinates are written to six decimals of the drawing's unit, twice; what follows from a first rounding may be some times
/// as much. Well under what any plotter draws.
const ROUNDED: f64 = 0.002;

/// How far a vertex of the inseam may be off where the slide eases, for a slide of `d` that comes back at the hem, `inseam`
/// below the fork.
///
/// The slide shortens the inseam by d, so the slide back eases over a way that is d shorter. With r = 0.7 of the inseam the
/// length of the easing, x the place on it as a share and w = 1 − (3x² − 2x³) the weight there, a vertex is met on the way
/// back where the weight differs by d·|w − 0.7(1 − x)|·6x(1 − x)/r to first order. That is 0.38 d/r at most; 0.5 allows for what
/// is beyond first order. So the vertex is off by d²/(2 r): less than 0.9 mm in one inch.
fn eased(d: f64, inseam: f64) -> f64 {
    d * d / (2.0 * (0.7 * inseam - d.abs()))
}

/// How far a vertex may be off that was drawn at this place of the draft. The copy reaches at least down the first quarter of
/// the way (common practice, no source); what lies above is exact, and so is what does not belong to the inseam.
fn may_be_off(leg: &draft::Leg, d: f64, at: Point) -> f64 {
    let inseam = leg.knee + leg.shin;
    // The inseam's side of the leg, its cut line as well.
    let inner = at.x > leg.extension - 30.0 - leg.hem / 2.0;
    if inner && at.y < d.abs() - 0.25 * inseam { eased(d, inseam) } else { ROUNDED }
}

proptest! {
    #![proptest_config(cases())]

    #[test]
    fn a_slide_and_the_same_slide_back_restore_the_outline(
        trousers in trousers(),
        dialect in dialects(&Form::ALL),
        d in prop_oneof![-20.0..-2.0f64, 2.0..26.0],
        by_length in any::<bool>(),
    ) {
        // Once as a distance; once as a length that is asked for, where the slide has to be solved both ways.
        let aim = if by_length { Aim::Length } else { Aim::Distance };
        let set = |s: &mut Settings| (s.aim, s.blend_to) = (aim, BlendTo::Hem);
        let drawn = Case::new(&dialect, &[("38", &trousers)]);
        let table = |by: f64| format!("size,change\n38,{by}\n");
        let (_, there) = drawn.altered(&table(2.0 * d), set);
        let (_, back) = there.altered(&table(-2.0 * d), set);
        let (before, between, after) = (drawn.vertices(), there.vertices(), back.vertices());
        let to_draft = (kurbo::Affine::scale(dialect.mm()) * dialect.place()).inverse();
        for (name, leg) in [("FRONT-38", &trousers.front), ("BACK-38", &trousers.back)] {
            let (before, between, after) = (&before[name], &between[name], &after[name]);
            let mut slid = 0.0f64;
            for &(on, p) in before {
                // Where an edge is drawn too coarsely to show the new line, it has new vertices; the old ones are there too.
                let off = |line: &[(LayerUse, Point)]| {
                    line.iter().filter(|v| v.0 == on).map(|v| v.1.distance(p)).fold(f64::MAX, f64::min)
                };
                let (at, left) = (to_draft * p, off(after));
                let may = may_be_off(leg, d, at);
                prop_assert!(left <= may, "{name}: {at} is off by {left} of {may}");
                slid = slid.max(off(between));
            }
            prop_assert!(slid > ROUNDED, "{name} did not move");
        }
    }
}
