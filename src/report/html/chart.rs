//! The chart of crotch length against size.

use super::drawing::Label;
use super::say::{coordinate, length, path, printable};
use crate::report::SizeReport;
use crate::units::{Mm, Shown};
use kurbo::{Point, Rect};

const WIDE: f64 = 720.0;
const HIGH: f64 = 340.0;
const PLOT: Rect = Rect::new(64.0, 18.0, WIDE - 16.0, HIGH - 44.0);

/// A point of a series; its title gives size and value.
pub(super) struct Dot {
    pub x: String,
    pub y: String,
    pub title: String,
}

/// The values of one kind, joined by a line across the sizes that have one.
pub(super) struct Series {
    pub class: &'static str,
    pub d: String,
    pub dots: Vec<Dot>,
}

/// The chart.
pub(super) struct Chart {
    pub wide: f64,
    pub high: f64,
    pub grid: String,
    pub ticks: Vec<Label>,
    pub names: Vec<Label>,
    pub series: Vec<Series>,
    /// Whether body measures are among the values.
    pub bodies: bool,
}

/// Charts the sizes in the order given; `None` where there are fewer than two sizes, or none was measured.
pub(super) fn chart(sizes: &[&SizeReport], show: Shown) -> Option<Chart> {
    // A single size makes no line.
    if sizes.len() < 2 {
        return None;
    }
    // The steps of the scale are round in the unit that is shown.
    let scale = show.unit().in_mm();
    let of = |length: Mm| length.0 / scale;
    let kinds: [(&'static str, Vec<Option<f64>>); 3] = [
        ("body", sizes.iter().map(|s| s.asked.as_ref()?.crotch_length.map(of)).collect()),
        ("before", sizes.iter().map(|s| s.before.as_ref().map(|m| of(m.crotch_length))).collect()),
        ("after", sizes.iter().map(|s| s.after.as_ref().map(|m| of(m.crotch_length))).collect()),
    ];
    let values = || kinds.iter().flat_map(|(_, v)| v.iter().flatten().copied());
    let (low, high) = (values().reduce(f64::min)?, values().reduce(f64::max)?);
    let step = step(high - low);
    let (low, high) =
        ((low / step).floor() * step, (high / step).ceil().max((low / step).floor() + 1.0) * step);
    let y = |value: f64| PLOT.y1 - (value - low) / (high - low) * PLOT.height();
    let x = |i: usize| PLOT.x0 + (i as f64 + 0.5) / sizes.len() as f64 * PLOT.width();
    let mut grid = String::new();
    let mut ticks = Vec::new();
    let mut value = low;
    while value <= high + step / 2.0 {
        grid += &path([Point::new(PLOT.x0, y(value)), Point::new(PLOT.x1, y(value))]);
        ticks.push(Label::new(Point::new(PLOT.x0 - 8.0, y(value) + 5.0), "end", coordinate(value)));
        value += step;
    }
    // Only as many size names are written as there is room for.
    let widest = sizes.iter().map(|s| s.size.chars().count()).max().unwrap_or(1) as f64 * 9.0 + 12.0;
    let room = PLOT.width() / sizes.len() as f64;
    let every = (1..sizes.len()).find(|&n| n as f64 * room >= widest).unwrap_or(sizes.len().max(1));
    let names = sizes
        .iter()
        .enumerate()
        .step_by(every)
        .map(|(i, s)| Label::new(Point::new(x(i), PLOT.y1 + 22.0), "middle", printable(&s.size)))
        .collect();
    let series = kinds.iter().map(|(class, values)| {
        let at = |(i, v): (usize, &Option<f64>)| v.map(|v| (i, v));
        let points: Vec<(usize, f64)> = values.iter().enumerate().filter_map(at).collect();
        Series {
            class,
            d: path(points.iter().map(|&(i, v)| Point::new(x(i), y(v)))),
            dots: points
                .iter()
                .map(|&(i, v)| Dot {
                    x: coordinate(x(i)),
                    y: coordinate(y(v)),
                    title: format!(
                        "size {}: {} {}",
                        printable(&sizes[i].size),
                        length(show, Mm(v * scale)),
                        show.unit().sign()
                    ),
                })
                .collect(),
        }
    });
    let bodies = kinds[0].1.iter().any(Option::is_some);
    Some(Chart { wide: WIDE, high: HIGH, grid, ticks, names, series: series.collect(), bodies })
}

/// A round step that divides the span into four to ten parts.
fn step(span: f64) -> f64 {
    let rough = (span / 5.0).max(1.0);
    let ten = 10f64.powf(rough.log10().floor());
    [1.0, 2.0, 5.0, 10.0].into_iter().map(|m| m * ten).find(|s| *s >= rough).unwrap_or(ten)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn steps_are_round_and_few() {
        for span in [0.0, 3.0, 26.0, 80.0, 153.0, 940.0] {
            let s = step(span);
            assert!(span / s <= 10.0, "{span} in steps of {s}");
            assert!([1.0, 2.0, 5.0].iter().any(|m| ((s / m).log10()).fract().abs() < 1e-9), "{s}");
        }
    }
}
