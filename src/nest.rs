//! The public interface of the library: a nest of graded trouser pieces, from bytes to bytes.

use crate::check::{self, By};
use crate::dxf_text::Drawing;
use crate::grade::{self, RuleTable};
use crate::job::{Job, SizeTable, ToleranceTable};
use crate::opened::Opened;
use crate::order::{self, Settings};
use crate::output::NewDrawing;
use crate::pattern::{ReadError, SizeName};
use crate::report::figure::SizeFigure;
use crate::report::grid::{Grid, workbook};
use crate::report::html::{self, CheckSheet, Sheet};
use crate::report::text::Style;
use crate::report::{self, CheckReport, MeasureReport, OutputInfo, Report, Verdict, csv, json};
use crate::seam;
use crate::units::Unit;
use std::borrow::Cow;

/// The output format of a report. Equal reports give equal bytes.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Form {
    /// Plain text with aligned tables, 160 columns wide; UTF-8.
    Text,
    /// JSON according to the schemas that [`schema_of`] gives; lengths in mm.
    Json,
    /// CSV, one row for each size or finding; lengths in mm.
    Csv,
    /// A single, self-contained HTML page with drawings: no script, font or picture from elsewhere.
    Page,
    /// A spreadsheet (`.xlsx`) with one sheet for each table of the report; lengths in mm.
    Sheets,
}

/// A report could not be written in the requested form.
#[derive(Debug, thiserror::Error)]
#[error("the report could not be written: {0}")]
pub struct RenderError(#[source] Box<dyn std::error::Error + Send + Sync>);

/// Makes a [`RenderError`] from a writer's error.
fn failed(error: impl std::error::Error + Send + Sync + 'static) -> RenderError {
    RenderError(Box::new(error))
}

/// The JSON Schema of a kind of report, or of a file that is read: `measures`, `report`, `check`, `grade`, `plot`, `batch`,
/// `advice`, `sizes`, `job`. `None` for any other name.
///
/// ```
/// let schema = truerise::schema_of("report").unwrap();
/// assert_eq!(schema["$schema"], "https://json-schema.org/draft/2020-12/schema");
/// ```
#[must_use]
pub fn schema_of(name: &str) -> Option<serde_json::Value> {
    crate::schema::named(name)
}

/// The text of a drawing: the bytes as they are, or a binary drawing turned into ASCII DXF.
///
/// # Errors
/// A binary drawing is cut short or damaged; the error gives the place.
pub fn text_of(bytes: &[u8]) -> Result<Cow<'_, [u8]>, ReadError> {
    order::text(bytes).map_err(ReadError::Text)
}

/// A nest that has been read: the pieces of every size that a drawing holds, with their seams.
///
/// It borrows the drawing's bytes, which never change; [`Nest::alter`] gives a new drawing. All lengths inside are in mm; the
/// numbers in the drawing keep their own unit, which [`Nest::unit`] gives.
///
/// ```
/// use truerise::{Job, Nest};
/// # fn main() -> Result<(), Box<dyn std::error::Error>> {
/// let bytes = std::fs::read("samples/harbour-nest.dxf")?;
/// let nest = Nest::read("harbour-nest.dxf", &bytes, &Job::default())?;
/// let sizes: Vec<String> = nest.sizes().iter().map(ToString::to_string).collect();
/// assert_eq!(sizes, ["34", "36", "38", "40", "42", "44", "46"]);
/// # Ok(()) }
/// ```
#[derive(Debug)]
pub struct Nest<'a> {
    opened: Opened<'a>,
    job: Job,
}

impl<'a> Nest<'a> {
    /// Reads a drawing (ASTM D6673 DXF, ASCII; for binary see [`text_of`]). `name` identifies it in messages and reports. The job
    /// supplies what the drawing leaves open: layers, labels, unit, allowances, folds, tolerances.
    ///
    /// # Errors
    /// The file is not DXF, is damaged, has no pieces or no unit; the error gives the line and a remedy. What is wrong with single
    /// pieces is not an error here: it becomes a [`Finding`](crate::Finding) of the next step.
    pub fn read(name: &'a str, bytes: &'a [u8], job: &Job) -> Result<Self, ReadError> {
        let opened = order::open(name, bytes, Drawing::scan(bytes)?, &job.reading())?;
        Ok(Nest { opened, job: job.clone() })
    }

    /// The unit of the drawing's numbers.
    #[must_use]
    pub fn unit(&self) -> Unit {
        self.opened.unit()
    }

    /// The settings that the job asks for; use them for [`Nest::alter`] as they are, or change some of them first.
    ///
    /// ```
    /// use truerise::parts::Uneven;
    /// use truerise::{Job, Nest, Settings};
    /// # fn main() -> Result<(), Box<dyn std::error::Error>> {
    /// # let bytes = std::fs::read("samples/harbour-nest.dxf")?;
    /// # let nest = Nest::read("harbour-nest.dxf", &bytes, &Job::default())?;
    /// let settings = Settings { uneven: Uneven::Fork, ..nest.settings() };
    /// # assert_ne!(settings.uneven, nest.settings().uneven);
    /// # Ok(()) }
    /// ```
    #[must_use]
    pub fn settings(&self) -> Settings {
        Settings::of(&self.job, self.opened.plain())
    }

    /// The sizes for which the drawing has trouser legs, in the drawing's order.
    #[must_use]
    pub fn sizes(&self) -> Vec<SizeName> {
        seam::sizes(&self.opened.pattern, &self.job.labels).into_iter().map(|s| s.name).collect()
    }

    /// Measures every size on the sew lines.
    ///
    /// ```
    /// # use truerise::{Job, Nest};
    /// # fn main() -> Result<(), Box<dyn std::error::Error>> {
    /// # let bytes = std::fs::read("samples/harbour-nest.dxf")?;
    /// # let nest = Nest::read("harbour-nest.dxf", &bytes, &Job::default())?;
    /// let report = nest.measure();
    /// let m = report.sizes[2].measures.as_ref().unwrap();
    /// assert_eq!(m.crotch_length, m.front.rise + m.back.rise);
    /// # Ok(()) }
    /// ```
    #[must_use]
    pub fn measure(&self) -> MeasureReport {
        order::measure(&self.opened, &self.job, &self.settings())
    }

    /// Alters the sizes of the table; each result is checked and read again by a second reader. There is a new drawing only if
    /// every check passes.
    ///
    /// ```
    /// # use truerise::{Job, Nest, SizeTable, Verdict};
    /// # fn main() -> Result<(), Box<dyn std::error::Error>> {
    /// # let (job, bytes) = (Job::default(), std::fs::read("samples/harbour-nest.dxf")?);
    /// # let nest = Nest::read("harbour-nest.dxf", &bytes, &job)?;
    /// // A plain number is in the unit of the job, else of the drawing.
    /// let table = SizeTable::from_csv("size,change\n38,1in\n40,12.5\n", "changes.csv")?;
    /// let altered = nest.alter(&table, &nest.settings());
    /// assert_eq!(altered.report().verdict, Verdict::Pass);
    /// let drawing: Vec<u8> = altered.drawing().unwrap().to_vec();
    /// assert_ne!(drawing, bytes);
    /// # Ok(()) }
    /// ```
    #[must_use]
    pub fn alter(&self, table: &SizeTable, settings: &Settings) -> Alteration<'a> {
        let sizes = seam::sizes(&self.opened.pattern, &self.job.labels);
        let settings = Settings { figures: true, ..settings.clone() };
        let table = table.in_mm(self.opened.plain());
        let done = order::alter_sizes(&self.opened, (&sizes, &self.job.labels), &table, &settings);
        Alteration { report: done.report, drawing: done.drawing, figures: done.figures, settings }
    }

    /// Checks the drawing before marker making: outlines, grain, labels, notches, allowances, mating seams, grading.
    ///
    /// ```
    /// # use truerise::{Form, Job, Nest, Verdict};
    /// # fn main() -> Result<(), Box<dyn std::error::Error>> {
    /// # let bytes = std::fs::read("samples/harbour-nest.dxf")?;
    /// # let nest = Nest::read("harbour-nest.dxf", &bytes, &Job::default())?;
    /// let looked_over = nest.check();
    /// assert_eq!(looked_over.report().verdict, Verdict::Pass);
    /// let page = looked_over.render(Form::Page)?;
    /// # assert!(page.starts_with(b"<!doctype html>"));
    /// # Ok(()) }
    /// ```
    #[must_use]
    pub fn check(&self) -> LookedOver<'_> {
        LookedOver { report: check::run(&self.opened, &self.job, None), opened: &self.opened }
    }

    /// The same, and compares the drawing with the one that it was made from: only the altered seams and what moves along with
    /// them may differ.
    ///
    /// ```
    /// # use truerise::{By, Job, Nest, SizeTable, Verdict};
    /// # fn main() -> Result<(), Box<dyn std::error::Error>> {
    /// # let (job, bytes) = (Job::default(), std::fs::read("samples/harbour-nest.dxf")?);
    /// # let nest = Nest::read("harbour-nest.dxf", &bytes, &job)?;
    /// # let table = SizeTable::from_csv("size,change\n38,1in\n", "changes.csv")?;
    /// # let drawing = nest.alter(&table, &nest.settings()).drawing().unwrap().to_vec();
    /// let new = Nest::read("altered.dxf", &drawing, &job)?;
    /// assert!(!new.check_against(&nest, By::Text).report().findings.is_empty());
    /// # Ok(()) }
    /// ```
    #[must_use]
    pub fn check_against(&self, original: &Nest<'_>, by: By) -> LookedOver<'_> {
        let report = check::run(&self.opened, &self.job, Some((&original.opened, by)));
        LookedOver { report, opened: &self.opened }
    }

    /// Draws the sizes of a grade rule table from the base size; sizes that are already there stay. There is a new nest only if
    /// its checks pass; it can be read like any other drawing.
    ///
    /// ```
    /// use truerise::{GradeOptions, Job, Nest, RuleTable};
    /// # fn main() -> Result<(), Box<dyn std::error::Error>> {
    /// # let bytes = std::fs::read("samples/harbour-nest.dxf")?;
    /// let nest = Nest::read("harbour-nest.dxf", &bytes, &Job::default())?;
    /// let rules = RuleTable::read(&std::fs::read("samples/harbour.rul")?, "harbour.rul")?;
    /// let graded = nest.grade(&rules, &GradeOptions::default())?;
    /// # assert!(graded.drawing.is_some(), "{:?}", graded.findings);
    /// # Ok(()) }
    /// ```
    ///
    /// # Errors
    /// A table that does not fit the drawing: rules that are missing, no base size.
    pub fn grade(
        &self,
        table: &RuleTable,
        options: &grade::Options,
    ) -> Result<GradedNest, grade::GradeError> {
        let nest = order::nest(&self.opened, &self.job, table, options, &[])?;
        let sound = Verdict::on(&nest.findings) == Verdict::Pass;
        Ok(GradedNest { findings: nest.findings, drawing: sound.then_some(nest.bytes) })
    }
}

/// The result of an alteration.
#[derive(Debug)]
pub struct Alteration<'a> {
    report: Report,
    drawing: Option<NewDrawing<'a>>,
    figures: Vec<SizeFigure>,
    settings: Settings,
}

impl Alteration<'_> {
    /// Sizes, measures before and after, moves and findings.
    #[must_use]
    pub fn report(&self) -> &Report {
        &self.report
    }

    /// The new drawing; `None` where a check failed.
    #[must_use]
    pub fn drawing(&self) -> Option<&NewDrawing<'_>> {
        self.drawing.as_ref()
    }

    /// Records in the report the name under which the new drawing is kept, and its SHA-256.
    pub fn kept_as(&mut self, name: &str) {
        let sha256 = self.drawing.as_ref().map(|d| order::sha256_of(d.chunks()));
        self.report.output = sha256.map(|sha256| OutputInfo { path: name.to_owned(), sha256 });
    }

    /// The report in a form; lengths for readers are in mm.
    ///
    /// # Errors
    /// See [`RenderError`].
    pub fn render(&self, form: Form) -> Result<Vec<u8>, RenderError> {
        let reports = [&self.report];
        Ok(match form {
            Form::Text => report::text::alterations(&reports, &Style::plain()).into_bytes(),
            Form::Json => json::render(&self.report).map_err(failed)?.into_bytes(),
            Form::Csv => csv::alterations(&reports).map_err(failed)?.into_bytes(),
            Form::Sheets => workbook(&csv::alteration_sheets(&reports)).map_err(failed)?,
            Form::Page => {
                let (report, figures) = (&self.report, self.figures.as_slice());
                let sheet = Sheet { report, figures, settings: self.settings.described(), show: None };
                html::render(&[sheet]).map_err(failed)?.into_bytes()
            }
        })
    }
}

/// The result of a check.
#[derive(Debug)]
pub struct LookedOver<'n> {
    report: CheckReport,
    opened: &'n Opened<'n>,
}

impl LookedOver<'_> {
    /// Verdict and findings.
    #[must_use]
    pub fn report(&self) -> &CheckReport {
        &self.report
    }

    /// The report in a form; the HTML page circles the place of each finding in a drawing of its piece.
    ///
    /// # Errors
    /// See [`RenderError`].
    pub fn render(&self, form: Form) -> Result<Vec<u8>, RenderError> {
        let report = &self.report;
        Ok(match form {
            Form::Text => report::check_text::render(report, &Style::plain()).into_bytes(),
            Form::Json => json::render(report).map_err(failed)?.into_bytes(),
            Form::Csv => csv::checks(&[report]).map_err(failed)?.into_bytes(),
            Form::Sheets => workbook(&csv::check_sheets(&[report])).map_err(failed)?,
            Form::Page => {
                let sheet = CheckSheet { report, pattern: &self.opened.pattern };
                html::checks(&[sheet]).map_err(failed)?.into_bytes()
            }
        })
    }
}

impl MeasureReport {
    /// The report in a form. The page and the sheets show the list of measures with the steps between sizes, and the tolerances
    /// where there are any.
    ///
    /// # Errors
    /// See [`RenderError`].
    pub fn render(&self, form: Form, tolerances: &ToleranceTable) -> Result<Vec<u8>, RenderError> {
        let reports = std::slice::from_ref(self);
        Ok(match form {
            Form::Text => report::text::measures(reports, &Style::plain()).into_bytes(),
            Form::Json => json::render(self).map_err(failed)?.into_bytes(),
            Form::Csv => csv::measures(reports).map_err(failed)?.into_bytes(),
            Form::Sheets => {
                let sheets: Vec<Grid> = csv::measure_sheets(reports, tolerances);
                workbook(&sheets).map_err(failed)?
            }
            Form::Page => html::measures(reports, tolerances, None).map_err(failed)?.into_bytes(),
        })
    }
}

/// A nest that was drawn from a base size.
#[derive(Clone, Debug)]
pub struct GradedNest {
    /// What was found while drawing and checking it.
    pub findings: Vec<crate::finding::Finding>,
    /// The new drawing; `None` where a check failed.
    pub drawing: Option<Vec<u8>>,
}
