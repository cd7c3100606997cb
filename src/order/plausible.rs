//! Checks whether the body measures of a table look like those of a range of sizes: whether they grow with the size, at about the
//! rate at which bodies do, and evenly. Findings say by how much a measure is off; nothing is refused, because no body has to
//! match an average.
//!
//! The rate is that of `ansur2_crotch_length_by_hip.csv`: mean crotch length by hip girth, computed from the public data of the
//! US Army's anthropometric survey of 2012 (ANSUR II, report NATICK/TR-15/007, approved for public release, distribution
//! unlimited; a work of the US government). Columns `crotchlengthomphalion` and `crotchlengthposterioromphalion` in mm, binned by
//! `buttockcircumference`; `front` is the total less the back. They were measured from the navel, on soldiers, so they only serve
//! to judge plausibility, never as a target.

use crate::finding::{Finding, FindingId};
use crate::job::{SizeRow, Want};
use crate::pattern::SizeName;
use crate::report::SizeReport;
use crate::units::Mm;
use std::ops::RangeInclusive;
use std::sync::LazyLock;

const DATA: &str = include_str!("ansur2_crotch_length_by_hip.csv");

/// The least and the greatest growth of the hip girth from one size to the next, from fine to coarse ranges of sizes (3/4 in to 2
/// 1/2 in; common practice, no source).
const HIP_STEP: RangeInclusive<Mm> = Mm(19.0)..=Mm(64.0);
/// A measure that differs by more than this from the value interpolated between its neighbours is doubtful: half a size at the
/// rate of the data.
const OUT_OF_LINE: Mm = Mm(8.0);
/// Sizes whose crotch lengths on the pattern differ by less than this are lengths or fits of the same size.
const ONE_SIZE: Mm = Mm(2.0);

/// The least and the greatest growth of the crotch length for each mm of hip girth, over both groups.
struct Pace {
    least: f64,
    most: f64,
}

static PACE: LazyLock<Pace> = LazyLock::new(|| {
    let of = |group: &str| slope(&points(group));
    let (women, men) = (of("women"), of("men"));
    Pace { least: women.min(men), most: women.max(men) }
});

/// Hip girth, crotch length and number of persons for each bin of a group.
fn points(group: &str) -> Vec<[f64; 3]> {
    let cells = |line: &str| {
        let cells: Vec<&str> = line.split(',').collect();
        let number = |at: usize| cells.get(at)?.parse::<f64>().ok();
        (cells.first() == Some(&group)).then(|| Some([number(1)?, number(3)?, number(2)?]))?
    };
    DATA.lines().filter_map(cells).collect()
}

/// The slope of the regression line, with each point weighted by the number of persons.
fn slope(points: &[[f64; 3]]) -> f64 {
    let sum = |f: &dyn Fn(&[f64; 3]) -> f64| points.iter().map(|p| p[2] * f(p)).sum::<f64>();
    let n = sum(&|_| 1.0);
    let (x, y) = (sum(&|p| p[0]) / n, sum(&|p| p[1]) / n);
    sum(&|p| (p[0] - x) * (p[1] - y)) / sum(&|p| (p[0] - x).powi(2))
}

/// A size with a body measure in the table.
#[derive(Clone, Copy)]
struct Measured<'a> {
    name: &'a str,
    body: Mm,
    /// Its position among all sizes of the drawing.
    rank: usize,
}

/// Warnings about implausible body measures of a table. The sizes are taken in the order in which the crotch length of the
/// pattern grows.
pub(super) fn oddities(rows: &[&SizeRow<Mm>], reports: &[SizeReport]) -> Vec<Finding> {
    let mut sizes: Vec<(Mm, &SizeReport)> =
        reports.iter().filter_map(|r| Some((r.before.as_ref()?.crotch_length, r))).collect();
    sizes.sort_by(|a, b| a.0.0.total_cmp(&b.0.0));
    if sizes.windows(2).any(|two| two[1].0 - two[0].0 < ONE_SIZE) {
        return Vec::new();
    }
    let measured = |(rank, (_, report)): (usize, &(Mm, &'_ SizeReport))| {
        let name = SizeName::from(report.size.as_str());
        let row = rows.iter().find(|row| row.size == name)?;
        let body = match row.want {
            Want::CrotchLength(body) => body,
            Want::Lengths { front, back } => front + back,
            Want::Change(_) => return None,
        };
        Some((rank, body, row.size.as_str()))
    };
    let measured: Vec<Measured<'_>> = sizes
        .iter()
        .enumerate()
        .filter_map(measured)
        .map(|(rank, body, name)| Measured { name, body, rank })
        .collect();
    let (mut findings, in_line) = taken_out(measured);
    findings.extend(in_line.windows(2).filter_map(|two| step(two[0], two[1])));
    findings
}

/// Takes out the measures that do not fit between their neighbours, the worst first, because it makes its neighbours look wrong
/// as well. Returns the warnings and the remaining measures.
fn taken_out(mut measured: Vec<Measured<'_>>) -> (Vec<Finding>, Vec<Measured<'_>>) {
    /// The most warnings; a table with more of them is not a range of sizes.
    const MOST: usize = 10;
    let mut findings = Vec::new();
    while findings.len() < MOST {
        let off = |three: &[Measured<'_>]| off_line([three[0], three[1], three[2]]).abs();
        let worst = measured.windows(3).map(off).enumerate().max_by(|a, b| a.1.0.total_cmp(&b.1.0));
        let Some((at, _)) = worst.filter(|(_, off)| *off > OUT_OF_LINE) else { break };
        findings.push(out_of_line([measured[at], measured[at + 1], measured[at + 2]]));
        measured.remove(at + 1);
    }
    (findings, measured)
}

/// The difference of a measure from the value interpolated between the measures before and after it.
fn off_line([before, this, behind]: [Measured<'_>; 3]) -> Mm {
    let part = (this.rank - before.rank) as f64 / (behind.rank - before.rank) as f64;
    this.body - before.body - (behind.body - before.body) * part
}

/// The warning about a measure that does not fit between its neighbours.
fn out_of_line(three: [Measured<'_>; 3]) -> Finding {
    let [before, this, behind] = three;
    let off = off_line(three);
    let message = format!(
        "the body measure of {} is {} {} than in line with {} for size {} and {} for size {}; look whether it was mistyped or \
         measured elsewhere",
        this.body,
        off.abs(),
        if off > Mm(0.0) { "more" } else { "less" },
        before.body,
        before.name,
        behind.body,
        behind.name,
    );
    Finding::warning(FindingId::MeasureDoubtful, message).size(this.name)
}

/// The warning about a step from one measure to the next that bodies do not show.
fn step(from: Measured<'_>, to: Measured<'_>) -> Option<Finding> {
    let sizes = to.rank - from.rank;
    let each = (to.body - from.body) / sizes as f64;
    let (least, most) = (Mm(HIP_STEP.start().0 * PACE.least), Mm(HIP_STEP.end().0 * PACE.most));
    let odd = if each <= Mm(0.0) {
        format!("does not grow from size {} ({}) to size {} ({})", from.name, from.body, to.name, to.body)
    } else if each < least || each > most {
        let (off, way) = if each < least { (least - each, "less") } else { (each - most, "more") };
        let per = if sizes == 1 { String::new() } else { " a size".to_owned() };
        format!(
            "grows by {each:.1}{per} from size {} ({}) to size {} ({}), {off:.1} {way} than bodies do",
            from.name, from.body, to.name, to.body
        )
    } else {
        return None;
    };
    let message = format!(
        "the body measure {odd}: {least:.0} to {most:.0} for a step of {:.0} to {:.0} in the hip girth, by the means of a large \
         survey (ANSUR II). Look whether one of them was mistyped or measured elsewhere",
        HIP_STEP.start(),
        HIP_STEP.end(),
    );
    Some(Finding::warning(FindingId::MeasureDoubtful, message).size(to.name))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The shop's handbook table gives 14.3 mm (women) and 17.4 mm (men) for each 40 mm of hip girth, computed from the
    /// individual persons of the survey; the committed means are in eight bins.
    #[test]
    fn the_pace_is_that_of_the_survey() {
        for (group, each) in [("women", 14.3), ("men", 17.4)] {
            let points = points(group);
            assert_eq!(points.len(), 8);
            let pace = slope(&points) * 40.0;
            assert!((pace - each).abs() < 0.5, "{group}: {pace}");
        }
    }
}
