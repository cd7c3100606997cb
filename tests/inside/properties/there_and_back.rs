//! A slide by a distance and one back by the same distance restore the outline.

use super::dialect::{ALLOWANCE, Form, dialects};
use super::draft::{self, trousers};
use super::{Case, cases};
use crate::job::{Aim, BlendTo};
use crate::order::Settings;
use crate::pattern::LayerUse;
use kurbo::Point;
use proptest::prelude::*;

/// Coordinates are written to six decimals of the drawing's unit, twice; what follows from a first rounding may be some times
/// as much. Well under what any plotter draws.
const ROUNDED: f64 = 0.02;

/// The forms whose vertices are those of the draft; what was an arc has others once it is redrawn.
const VERTICES: [Form; 3] = [Form::Polyline, Form::LwPolyline, Form::Boundary];

/// How far a vertex of the inseam may be off where the slide eases, for a slide of `d` that comes back at the hem.
///
/// The slide shortens the inseam by d, so the slide back eases over a way that is d shorter, and meets a vertex up to d away from
/// where the slide met it. The copy ends at a vertex, so it may end an edge sooner or later. With r = 0.7 of the inseam the length
/// of the easing, an even one falls by d/r in each mm: the vertex is off by d·(d + edge)/r at most, 2.5 mm for one inch. A
/// law that is not its own way back is off by a share of d.
fn eased(d: f64, leg: &draft::Leg) -> f64 {
    let (d, edge) = (d.abs(), leg.knee / f64::from(draft::THIGH_EDGES));
    ROUNDED + d * (d + edge) / (0.7 * (leg.knee + leg.shin) - d)
}

/// How far a vertex of the crotch seam may be off where the straight part's turn is trued into the curve, for a slide of `d`.
///
/// The slide turns a straight part that leans by about δ = d·sin(lean)/straight, and spreads this turn over the part of the curve
/// that is not copied, its length l: the lowest 35 % of the seam are (common practice, no source), of the one that is shorter by d the
/// less. Each vertex takes a share that
/// depends on what the line turns there and may take, so the way back spreads it a little otherwise. An even way to spread δ over
/// l differs by δ·l/2 from one that puts it all at one end; no two smooth ones are further apart. Their directions differ by δ at
/// most, so that what lies `beside` the seam, a cut line at its allowance, is off by as much of that along it as well.
fn trued(leg: &draft::Leg, d: f64, beside: f64) -> f64 {
    let turn = (d * leg.lean.to_radians().sin() / leg.straight).abs();
    let arc = 2.0 * leg.half_turn() * leg.radius();
    ROUNDED + turn * ((arc - 0.35 * (arc + leg.straight - d.abs())) / 2.0 + beside)
}

/// How far a vertex may be off that was drawn at this place of the draft. The copy reaches at least down the first quarter of
/// the way along the inseam (common practice, no source); where a length is asked for, it is off by as much as the curve above
/// it. What belongs to neither seam is where it was.
fn may_be_off(leg: &draft::Leg, d: f64, at: Point, on: LayerUse) -> f64 {
    let inseam = leg.knee + leg.shin;
    // The inseam's side of the leg and the crotch seam's, their cut lines as well: the outseam lies a waist's width away.
    let inner = at.x > leg.extension - 30.0 - leg.hem / 2.0;
    let crotch = at.x > -leg.waist / 4.0 && at.y > 0.0;
    match (inner && at.y < d.abs() - 0.25 * inseam, inner || crotch) {
        (true, _) => eased(d, leg),
        (_, true) => trued(leg, d, if on == LayerUse::Cut { ALLOWANCE } else { 0.0 }),
        _ => ROUNDED,
    }
}

proptest! {
    #![proptest_config(cases())]

    #[test]
    fn a_slide_and_the_same_slide_back_restore_the_outline(
        trousers in trousers(),
        dialect in dialects(&VERTICES),
        d in prop_oneof![-20.0..-2.0f64, 2.0..26.0],
        by_length in any::<bool>(),
    ) {
        // Once as a distance; once as a length that is asked for, where the slide has to be solved both ways.
        let aim = if by_length { Aim::Length } else { Aim::Distance };
        let set = |s: &mut Settings| (s.aim, s.blend_to) = (aim, Some(BlendTo::Hem));
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
                let may = may_be_off(leg, d, at, on);
                prop_assert!(left <= may, "{name}, {on:?}: {at} is off by {left} of {may}");
                slid = slid.max(off(between));
            }
            prop_assert!(slid > ROUNDED, "{name} did not move");
        }
    }
}
