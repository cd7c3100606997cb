//! Properties that hold for any trousers in any dialect. In-process, bytes to bytes; `PROPTEST_CASES` sets how many cases.

mod dialect;
mod draft;
mod lengths;
mod lines;
mod moved;
mod same;
mod seams;
mod there_and_back;
mod yokes;

pub use draft::outside;

use crate::dxf_text::Drawing;
use crate::finding::{Finding, FindingId, Severity};
use crate::job::{BlendTo, Job, SizeTable};
use crate::order::{self, Settings};
use crate::pattern::{LayerUse, Reading};
use crate::report::Report;
use crate::seam::Pair;
use crate::seam::{self, Measures};
use crate::units::Unit;
use dialect::Dialect;
use kurbo::Point;
use proptest::prelude::*;
use std::collections::HashMap;

/// A few seconds of cases, unless `PROPTEST_CASES` says how many. What fails is kept beside the test and run first.
fn cases() -> ProptestConfig {
    let said = std::env::var_os("PROPTEST_CASES").is_some();
    let config = ProptestConfig { max_shrink_iters: 200, ..ProptestConfig::default() };
    if said { config } else { ProptestConfig { cases: 24, ..config } }
}

/// A drawing and how it is to be read.
struct Case {
    bytes: Vec<u8>,
    job: Job,
}

impl Case {
    fn new(dialect: &Dialect, sizes: &[(&str, &draft::Trousers)]) -> Self {
        let job = Job::from_toml(&dialect.form.job(), "job").unwrap();
        Case { bytes: dialect.draw(sizes), job }
    }

    fn after(&self, bytes: Vec<u8>) -> Self {
        Case { bytes, job: self.job.clone() }
    }

    fn with<T>(&self, work: impl FnOnce(&order::Opened<'_>, &[seam::Size<'_>]) -> T) -> T {
        let text = order::text(&self.bytes).unwrap();
        let drawing = Drawing::scan(&text).unwrap();
        let (layers, allowances) = (self.job.layers.clone(), self.job.alter.allowance.clone());
        let reading = Reading { layers, allowances, gap: self.job.tolerance.gap, ..Reading::default() };
        let opened = order::open("drawn.dxf", &self.bytes, drawing, &reading).unwrap();
        let sizes = seam::sizes(&opened.pattern, &self.job.labels);
        work(&opened, &sizes)
    }

    /// What every size measures, by its name.
    fn measures(&self) -> HashMap<String, Measures> {
        self.with(|_, sizes| {
            let measured = |s: &seam::Size<'_>| {
                let Pair { front, back } = s.pair().unwrap_or_else(|| panic!("{:?}", s.findings));
                (s.name.to_string(), Measures::of(Pair { front, back }))
            };
            sizes.iter().map(measured).collect()
        })
    }

    /// The forks of size 38 in the numbers of their blocks.
    fn forks(&self, dialect: &Dialect) -> [[f64; 2]; 2] {
        self.with(|_, sizes| {
            let Pair { front, back } = sizes[0].pair().unwrap();
            [front, back].map(|on| {
                let fork = on.leg.fork_point();
                [fork.x / dialect.mm(), fork.y / dialect.mm()]
            })
        })
    }

    /// Alters by a table of millimetres; the report, and the drawing where all holds.
    fn alter(&self, table: &str, with: impl FnOnce(&mut Settings)) -> (Report, Option<Vec<u8>>) {
        let table = SizeTable::from_csv(table, "table").unwrap().in_mm(Unit::Mm);
        let mut settings = Settings::of(&self.job, Unit::Mm);
        with(&mut settings);
        self.with(|opened, sizes| {
            let altered = order::alter(opened, (sizes, &self.job.labels), &table, &settings, "out.dxf");
            (altered.report, altered.drawing.map(|d| d.to_vec()))
        })
    }

    /// As [`Case::alter`], where it has to work out.
    fn altered(&self, table: &str, with: impl FnOnce(&mut Settings)) -> (Report, Case) {
        let (report, drawing) = self.alter(table, with);
        let failing: Vec<_> = report.all_findings().filter(|f| f.severity.word() == "error").collect();
        assert!(failing.is_empty(), "{failing:#?}");
        (report, self.after(drawing.unwrap()))
    }

    /// As [`Case::altered`]. By the knee a large change may turn the inseam too sharply, which is refused: then it works out by what the
    /// message asks for, to come back further down.
    fn altered_by_the_knee(&self, table: &str, with: impl Fn(&mut Settings)) -> Option<(Report, Case)> {
        let (report, drawing) = self.alter(table, |settings| {
            settings.blend_to = Some(BlendTo::Knee);
            with(settings);
        });
        if let Some(drawing) = drawing {
            return Some((report, self.after(drawing)));
        }
        let failing: Vec<_> = report.all_findings().filter(|f| f.severity == Severity::Error).collect();
        let too_sharp = |f: &&Finding| f.id == FindingId::LineNotSmooth && f.message.contains("--blend-to");
        assert!(!failing.is_empty() && failing.iter().all(too_sharp), "{failing:#?}");
        self.altered(table, |settings| {
            with(settings);
            settings.blend_to = Some(BlendTo::Hem);
        });
        None
    }

    /// The vertices of each block's lines in mm, in the axes of the block and the order they are drawn in.
    fn vertices(&self) -> HashMap<String, Vec<(LayerUse, Point)>> {
        self.with(|opened, _| {
            let of = |piece: &crate::pattern::Piece| {
                let points = piece.paths.iter().flat_map(|p| p.points.iter().map(|&q| (p.layer_use, q)));
                (piece.block_name.clone(), points.collect())
            };
            opened.pattern.pieces.iter().map(of).collect()
        })
    }
}

/// Lets the inseams come apart: plain slides by any shares.
fn apart(settings: &mut Settings) {
    settings.accept = vec![FindingId::InseamMismatch];
}
