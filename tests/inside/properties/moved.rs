//! What the report says was moved is what the drawing shows, part for part.

use super::dialect::{ALLOWANCE, Form, dialects};
use super::draft::{self, outside, trousers};
use super::{Case, apart, cases};
use crate::finding::FindingId;
use crate::job::{Aim, Uneven};
use crate::order::Settings;
use crate::pattern::LayerUse;
use kurbo::{Point, Vec2};
use proptest::prelude::*;

/// To which a crotch length has to be met.
const MET: f64 = 0.05;

/// Two roundings to six decimals, of inches too.
const ROUNDED: f64 = 0.001;

/// The forms whose vertices are those of the draft.
const VERTICES: [Form; 3] = [Form::Polyline, Form::LwPolyline, Form::Boundary];

proptest! {
    #![proptest_config(cases())]

    /// Front gain and back gain are the change asked for, each its own share of it.
    #[test]
    fn the_gains_are_the_change(
        trousers in trousers(),
        dialect in dialects(&Form::ALL),
        change in prop_oneof![-30.0..-1.0f64, 1.0..50.0],
        share in 30u32..70,
    ) {
        let table = format!("size,change,front_share\n38,{change},{share}%\n");
        let drawn = Case::new(&dialect, &[("38", &trousers)]);
        let Some((report, written)) = drawn.altered_by_the_knee(&table, apart) else { return Ok(()) };
        let size = &report.sizes[0];
        let (before, after) = (drawn.measures().remove("38").unwrap(), written.measures().remove("38").unwrap());
        let front = after.front.rise.0 - before.front.rise.0;
        let back = after.back.rise.0 - before.back.rise.0;
        prop_assert!((front + back - change).abs() <= MET, "{front} and {back} for {change}");
        let wanted = change * f64::from(share) / 100.0;
        prop_assert!((front - wanted).abs() <= MET / 2.0, "the front gained {front} in place of {wanted}");
        // The report speaks of the drawing that was written.
        let said = size.after.as_ref().unwrap();
        for (said, is) in [
            (said.crotch_length.0, after.crotch_length.0),
            (said.inseam_difference.0, after.inseam_difference.0),
            (said.front.inseam.0, after.front.inseam.0),
            (said.back.thigh.unwrap().0, after.back.thigh.unwrap().0),
        ] {
            // Arcs are read as chords, which are others where they were redrawn.
            let may = if VERTICES.contains(&dialect.form) { 0.002 } else { 0.02 };
            prop_assert!((said - is).abs() <= may, "said {said}, drawn {is}");
        }
        prop_assert!((size.residual.unwrap().0 - (front + back - change)).abs() <= 0.02);
    }

    /// A seam of length L that leans by θ, slid by s at its lower end, measures √(L² + 2 L s cos θ + s²) (law of cosines); the
    /// curve is a copy. So the closed form tells the gain from the slide.
    #[test]
    fn the_gain_of_a_slide_is_the_law_of_cosines(
        trousers in trousers(),
        dialect in dialects(&Form::ALL),
        change in prop_oneof![-40.0..-1.0f64, 1.0..60.0],
    ) {
        let drawn = Case::new(&dialect, &[("38", &trousers)]);
        let by_distance = |s: &mut Settings| { s.aim = Aim::Distance; apart(s); };
        let table = format!("size,change\n38,{change}\n");
        let Some((report, written)) = drawn.altered_by_the_knee(&table, by_distance) else { return Ok(()) };
        let moves = report.sizes[0].moves.unwrap();
        let (before, after) = (drawn.measures().remove("38").unwrap(), written.measures().remove("38").unwrap());
        let gained = [after.front.rise.0 - before.front.rise.0, after.back.rise.0 - before.back.rise.0];
        for ((leg, moved), gained) in [&trousers.front, &trousers.back].into_iter().zip([moves.front, moves.back]).zip(gained) {
            let s = moved.along.0;
            prop_assert!((s - change / 2.0).abs() < 1e-9 && moved.across.0 == 0.0 && moved.waist.0 == 0.0);
            let l = leg.straight;
            let law = (l * l + 2.0 * l * s * leg.lean.to_radians().cos() + s * s).sqrt() - l;
            // The turn of the seam is trued into the curve, whose upper end is then a little off the slide.
            let drawn_anew = if VERTICES.contains(&dialect.form) { 0.003 } else { 0.01 };
            let may = drawn_anew + 0.03 * s.abs() * leg.lean.to_radians().sin();
            prop_assert!((gained - law).abs() <= may, "gained {gained}, by the law {law}: {dialect:?}");
        }
    }

    /// The waist stays, the lowest 35 % of the crotch seam and the first quarter of the way to the knee are a copy, slid along
    /// the grain, and below the knee nothing moves (common practice, no source); the centre seam stays straight.
    #[test]
    fn every_vertex_moves_as_its_part_of_the_line_does(
        trousers in trousers(),
        dialect in dialects(&VERTICES),
        change in prop_oneof![-30.0..-4.0f64, 4.0..50.0],
    ) {
        let drawn = Case::new(&dialect, &[("38", &trousers)]);
        let Some((report, written)) = drawn.altered_by_the_knee(&format!("size,change\n38,{change}\n"), |_| {}) else { return Ok(()) };
        let moves = report.sizes[0].moves.unwrap();
        let to_draft = (kurbo::Affine::scale(dialect.mm()) * dialect.place()).inverse();
        let (before, after) = (drawn.vertices(), written.vertices());
        for (name, leg, slide) in
            [("FRONT-38", &trousers.front, moves.front.along.0), ("BACK-38", &trousers.back, moves.back.along.0)]
        {
            let (line, c) = leg.line();
            let sew = if dialect.form == Form::Boundary { LayerUse::Cut } else { LayerUse::Sew };
            let [was, is] = [&before, &after].map(|drawn| {
                let on_sew = drawn[name].iter().filter(|(layer, _)| *layer == sew);
                on_sew.map(|(_, p)| to_draft * *p).collect::<Vec<Point>>()
            });
            let seen = paired(&was, &is, Vec2::new(0.0, -slide));
            let new: Vec<Point> = line
                .iter()
                .map(|p| {
                    let (at, by) = seen.iter().min_by(|a, b| a.0.distance(*p).total_cmp(&b.0.distance(*p))).unwrap();
                    *at + *by
                })
                .collect();
            let lengths: Vec<f64> = line.windows(2).map(|w| w[0].distance(w[1])).collect();
            let rise: f64 = lengths[..c.fork].iter().sum();
            let slid = Vec2::new(0.0, -slide);
            for (i, (p, q)) in line.iter().zip(&new).enumerate() {
                let moved = *q - *p;
                let above: f64 = lengths[i.min(c.fork)..c.fork].iter().sum();
                let below: f64 = lengths[c.fork..i.max(c.fork)].iter().sum();
                let copied = if i <= c.fork { i > c.begin && above <= 0.35 * rise } else { below <= 0.25 * leg.knee };
                if copied {
                    prop_assert!((moved - slid).hypot() <= ROUNDED, "{name} {i}: {moved:?} in place of {slid:?}");
                } else if i == 0 || i >= c.knee {
                    prop_assert!(moved.hypot() <= ROUNDED, "{name} {i} moved by {moved:?}");
                } else if i < c.begin {
                    let along = (new[c.begin] - new[0]).normalize();
                    prop_assert!(along.cross(*q - new[0]).abs() <= ROUNDED, "{name} {i} is off the centre seam");
                }
            }
        }
    }

    /// With a remedy the fork moves by the slide along the grain and by the carrying across it, and the centre waist along the
    /// centre seam, by what the report says; the rises change by their shares and the inseams stay as far apart as they were.
    #[test]
    fn a_remedy_moves_by_what_the_report_says(
        trousers in trousers(),
        dialect in dialects(&VERTICES),
        change in prop_oneof![-16.0..-4.0f64, 4.0..30.0],
        share in prop_oneof![38u32..47, 53u32..60],
        at_waist in any::<bool>(),
    ) {
        let table = format!("size,change,front_share\n38,{change},{share}%\n");
        let drawn = Case::new(&dialect, &[("38", &trousers)]);
        let uneven = if at_waist { Uneven::Waist } else { Uneven::Fork };
        let accept = vec![];
        let (report, written) = drawn.alter(&table, |s| { s.uneven = uneven; s.accept = accept; });
        let Some(written) = written.map(|bytes| drawn.after(bytes)) else {
            let refused = report.all_findings().any(|f| f.id == FindingId::RemedyImpossible);
            prop_assert!(refused, "{:#?}", report.all_findings().collect::<Vec<_>>());
            return Ok(());
        };
        let moves = report.sizes[0].moves.unwrap();
        let (before, after) = (drawn.measures().remove("38").unwrap(), written.measures().remove("38").unwrap());
        let share = f64::from(share) / 100.0;
        for (b, a, wanted) in [(&before.front, &after.front, change * share), (&before.back, &after.back, change * (1.0 - share))] {
            let gained = a.rise.0 - b.rise.0;
            prop_assert!((gained - wanted).abs() <= MET, "gained {gained} in place of {wanted}");
        }
        let opened = after.inseam_difference.0 - before.inseam_difference.0;
        prop_assert!(opened.abs() <= 0.1, "the inseams are {opened} mm further apart");
        let to_draft = (kurbo::Affine::scale(dialect.mm()) * dialect.place()).inverse();
        let new = written.vertices();
        for (name, leg, moved) in [("FRONT-38", &trousers.front, moves.front), ("BACK-38", &trousers.back, moves.back)] {
            let sew = if dialect.form == Form::Boundary { LayerUse::Cut } else { LayerUse::Sew };
            let nearest = |vertices: &[(LayerUse, Point)], p: Point| {
                let on = vertices.iter().filter(|v| v.0 == sew).map(|v| to_draft * v.1);
                on.min_by(|a, b| a.distance(p).total_cmp(&b.distance(p))).unwrap()
            };
            // Where the report says that fork and waist are, there are vertices.
            let fork = leg.fork_point() + Vec2::new(moved.across.0, -moved.along.0);
            let waist = leg.line().0[0] - leg.down() * moved.waist.0;
            // The centre seam along which the waist goes has turned by the slide, by a degree or two.
            for (what, p, may) in [("fork", fork, ROUNDED), ("centre waist", waist, ROUNDED + 0.05 * moved.waist.0.abs())] {
                let off = nearest(&new[name], p).distance(p);
                prop_assert!(off <= may, "the {name} {what} is {off} mm from where it belongs");
            }
        }
        let (used, unused) = if at_waist {
            ([moves.front.waist.0, moves.back.waist.0], [moves.front.across.0, moves.back.across.0])
        } else {
            ([moves.front.across.0, moves.back.across.0], [moves.front.waist.0, moves.back.waist.0])
        };
        prop_assert!(unused == [0.0, 0.0] && used[usize::from(share > 0.5)] == 0.0, "{moves:?}");
    }

    /// A cut line that has vertices between those of the sew line: each moves by the mean of its neighbours, but for what the
    /// law bends over the 12 mm between them (an eighth of the square of it by the second derivative, 6/r²).
    #[test]
    fn vertices_without_a_partner_move_by_their_place(
        trousers in trousers(),
        dialect in dialects(&[Form::Polyline, Form::LwPolyline]),
        change in prop_oneof![-30.0..-8.0f64, 8.0..50.0],
    ) {
        let between = |leg: &draft::Leg| {
            let (line, c) = leg.line();
            let cut = outside(&line, ALLOWANCE);
            let more = |i: usize| (c.fork + 1..c.knee - 1).contains(&i).then(|| cut[i].midpoint(cut[i + 1]));
            (0..cut.len()).flat_map(|i| std::iter::once(cut[i]).chain(more(i))).collect::<Vec<_>>()
        };
        let bytes = dialect.draw_lines(&[("38", &trousers)], |leg| Some(between(leg)));
        let drawn = Case::new(&dialect, &[("38", &trousers)]).after(bytes);
        let Some((_, written)) = drawn.altered_by_the_knee(&format!("size,change\n38,{change}\n"), |_| {}) else { return Ok(()) };
        let to_draft = (kurbo::Affine::scale(dialect.mm()) * dialect.place()).inverse();
        let (before, after) = (drawn.vertices(), written.vertices());
        for (name, leg) in [("FRONT-38", &trousers.front), ("BACK-38", &trousers.back)] {
            let count = |drawn: &[(LayerUse, Point)]| drawn.iter().filter(|v| v.0 == LayerUse::Cut).count();
            // A straight inseam that comes back with many small turns may need vertices more; then they are no pairs.
            if count(&before[name]) != count(&after[name]) {
                continue;
            }
            let (line, c) = leg.line();
            let cut = outside(&line, ALLOWANCE);
            let moved = |p: Point| {
                let all = before[name].iter().zip(&after[name]).filter(|(v, _)| v.0 == LayerUse::Cut);
                let (_, by) = all
                    .map(|(v, w)| ((to_draft * v.1).distance(p), (to_draft * w.1 - to_draft * v.1).y))
                    .min_by(|a, b| a.0.total_cmp(&b.0))
                    .unwrap();
                by
            };
            let (r, apart) = (0.7 * leg.knee, leg.knee / 24.0 + 0.5);
            let bent = change.abs() * 6.0 / (r * r) * apart * apart / 8.0 + ROUNDED;
            for i in c.fork + 1..c.knee - 1 {
                let (a, b, here) = (moved(cut[i]), moved(cut[i + 1]), moved(cut[i].midpoint(cut[i + 1])));
                let off = here - f64::midpoint(a, b);
                prop_assert!(off.abs() <= bent, "{name} {i}: {here} between {a} and {b}, off by {off} of {bent}");
            }
        }
    }
}

/// The old vertices with their movements. Where vertices were added, the new one of an old vertex is the nearest to where that would
/// lie as a copy, or if it stayed.
fn paired(was: &[Point], is: &[Point], slid: Vec2) -> Vec<(Point, Vec2)> {
    if was.len() == is.len() {
        return was.iter().zip(is).map(|(p, q)| (*p, *q - *p)).collect();
    }
    let nearest = |p: Point| is.iter().copied().min_by(|a, b| a.distance(p).total_cmp(&b.distance(p)));
    let moved = |p: Point| {
        let by = [slid, Vec2::ZERO].map(|by| nearest(p + by).map_or(Vec2::ZERO, |q| q - p));
        let off = |by: Vec2, from: Vec2| (by - from).hypot();
        if off(by[0], slid) <= off(by[1], Vec2::ZERO) { by[0] } else { by[1] }
    };
    was.iter().map(|&p| (p, moved(p))).collect()
}
