//! The model of what a run found and did, which every form of report shows. Field names and their order are part of the
//! interface; lengths are in mm, positions in the drawing's own coordinates, angles in degrees.

use crate::alter::Moves;
use crate::finding::{Finding, Severity};
use crate::job::Uneven;
use crate::seam::Measures;
use crate::trousers::Pair;
use crate::units::{Mm, Shown, Unit};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// The drawing a report is about.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct DrawingInfo {
    /// The path as it was given.
    pub path: String,
    /// The SHA-256 of its bytes, in hexadecimal.
    pub sha256: String,
    /// The unit of its numbers.
    pub unit: Unit,
    /// Its style name.
    pub style: Option<String>,
}

/// The drawing that was written.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct OutputInfo {
    /// The path as it was given.
    pub path: String,
    /// The SHA-256 of its bytes, in hexadecimal.
    pub sha256: String,
}

/// Whether all checks hold.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "lowercase")]
pub enum Verdict {
    /// They hold.
    Pass,
    /// At least one does not.
    Fail,
}

impl Verdict {
    /// The verdict on these findings.
    pub fn on<'f>(findings: impl IntoIterator<Item = &'f Finding>) -> Self {
        let failing = findings.into_iter().any(|f| f.severity == Severity::Error);
        if failing { Verdict::Fail } else { Verdict::Pass }
    }
}

/// What `measure` says.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct MeasureReport {
    /// `truerise-measures/1`.
    #[schemars(extend("const" = "truerise-measures/1"))]
    pub format: &'static str,
    /// The drawing.
    pub drawing: DrawingInfo,
    /// Its sizes in the drawing's order.
    pub sizes: Vec<MeasuredSize>,
    /// Findings that concern no single size.
    pub findings: Vec<Finding>,
}

/// A size that was measured.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct MeasuredSize {
    /// The size.
    pub size: String,
    /// Its measures; none where it could not be measured.
    pub measures: Option<Measures>,
    /// Where left and right are drawn, the measures of the other side; left out where there is none.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub other_sides: Vec<Measures>,
    /// What was noticed.
    pub findings: Vec<Finding>,
}

/// What `alter` says.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct Report {
    /// `truerise-report/1`.
    #[schemars(extend("const" = "truerise-report/1"))]
    pub format: &'static str,
    /// The drawing that was altered.
    pub drawing: DrawingInfo,
    /// The drawing that was written; none where it was not.
    pub output: Option<OutputInfo>,
    /// Whether all checks hold.
    pub verdict: Verdict,
    /// The sizes of the table in its order, then the drawing's sizes that the table lacks.
    pub sizes: Vec<SizeReport>,
    /// Findings that concern no single size.
    pub findings: Vec<Finding>,
}

/// What `check` says.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct CheckReport {
    /// `truerise-check/1`.
    #[schemars(extend("const" = "truerise-check/1"))]
    pub format: &'static str,
    /// The drawing.
    pub drawing: DrawingInfo,
    /// What it was compared with.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub original: Option<DrawingInfo>,
    /// Whether the drawing may go to marker making.
    pub verdict: Verdict,
    /// Errors first, then by line.
    pub findings: Vec<Finding>,
    /// What was looked at and found right, a sentence each. Reports for people say it.
    #[serde(skip)]
    pub right: Vec<&'static str>,
}

/// What became of a size.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, JsonSchema)]
#[serde(rename_all = "lowercase")]
pub enum Status {
    /// It was altered.
    Altered,
    /// It was left as it is, as asked.
    Unchanged,
    /// It could not be altered; the findings say why.
    Refused,
}

impl Status {
    /// The word used in every report.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Status::Altered => "altered",
            Status::Unchanged => "unchanged",
            Status::Refused => "refused",
        }
    }
}

/// One size of a report.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct SizeReport {
    /// The size.
    pub size: String,
    /// What became of it.
    pub status: Status,
    /// What was asked for; none where the table lacks the size, or `--size` left it out.
    pub asked: Option<Asked>,
    /// Its measures as drawn; none where it could not be measured.
    pub before: Option<Measures>,
    /// Its measures after the alteration.
    pub after: Option<Measures>,
    /// How the pieces were moved.
    pub moves: Option<Pair<Moves>>,
    /// What the slide turned the centre seams by, and where that was trued into the curves.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub truing: Option<Pair<Trued>>,
    /// Pieces that were redrawn along a leg.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub followed: Vec<FollowedReport>,
    /// Crotch length after less crotch length asked for.
    #[serde(rename = "residual_mm")]
    pub residual: Option<Mm>,
    /// What was noticed.
    pub findings: Vec<Finding>,
}

/// A piece that was redrawn along a leg that it hangs on.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct FollowedReport {
    /// Its name.
    pub piece: String,
    /// The block that it is drawn in.
    pub block: String,
    /// The leg's block.
    pub along: String,
    /// How long its edge ran along the leg's line.
    #[serde(rename = "edge_before_mm")]
    pub before: Mm,
    /// How long it runs along it now.
    #[serde(rename = "edge_after_mm")]
    pub after: Mm,
}

/// What the size table asks for a size.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct Asked {
    /// The body measure; none where a change was asked for.
    #[serde(rename = "crotch_length_mm")]
    pub crotch_length: Option<Mm>,
    /// The front part of the body measure, where the table gives both parts.
    #[serde(rename = "front_crotch_length_mm", skip_serializing_if = "Option::is_none")]
    pub front_crotch_length: Option<Mm>,
    /// The back part of it.
    #[serde(rename = "back_crotch_length_mm", skip_serializing_if = "Option::is_none")]
    pub back_crotch_length: Option<Mm>,
    /// The difference wanted; positive lengthens.
    #[serde(rename = "change_mm")]
    pub change: Mm,
    /// The front's share of it; none where the body's own lengths change front and back in opposite ways.
    pub front_share: Option<f64>,
    /// Ease added to the body measure.
    #[serde(rename = "ease_mm")]
    pub ease: Mm,
    /// Finished height of a separate waistband, counted at both ends.
    #[serde(rename = "waistband_mm")]
    pub waistband: Mm,
    /// The table's note.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub note: Option<String>,
}

impl Asked {
    /// What lies between the body measure and the crotch length asked for, such as `+ 20.00 ease − 2 × 35.00 waistband`; empty
    /// where nothing does.
    pub(crate) fn between(&self, show: Shown) -> String {
        let none = |length: &Mm| *length == Mm(0.0);
        let ease = Some(self.ease).filter(|l| !none(l)).map(|ease| {
            let sign = if ease < Mm(0.0) { '−' } else { '+' };
            format!("{sign} {} ease", show.length(ease.abs()))
        });
        let waistband = Some(self.waistband).filter(|l| !none(l));
        let waistband = waistband.map(|height| format!("− 2 × {} waistband", show.length(height)));
        ease.into_iter().chain(waistband).collect::<Vec<_>>().join(" ")
    }
}

/// The turn of one centre seam, and the stretch of the crotch seam over which it was spread.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, JsonSchema)]
pub struct Trued {
    /// By how much the slide turned the centre seam, in degrees, either way.
    #[serde(rename = "turned_deg")]
    pub turned: f64,
    /// Where the stretch begins, along the crotch seam from the waist.
    #[serde(rename = "from_mm")]
    pub from: Mm,
    /// Where it ends and the exact copy begins.
    #[serde(rename = "to_mm")]
    pub to: Mm,
}

/// What `alter --advise` says: for each size what each way with uneven shares would do.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct Advice {
    /// `truerise-advice/1`.
    #[schemars(extend("const" = "truerise-advice/1"))]
    pub format: &'static str,
    /// The drawing.
    pub drawing: DrawingInfo,
    /// The sizes of the table in its order.
    pub sizes: Vec<AdvisedSize>,
}

/// The ways there are for one size.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct AdvisedSize {
    /// The size.
    pub size: String,
    /// One for each way, in the order keep, fork, waist.
    pub ways: Vec<AdvisedWay>,
}

/// What one way would do.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct AdvisedWay {
    /// The way.
    pub uneven: Uneven,
    /// Whether all checks would hold.
    pub verdict: Verdict,
    /// What would be done and found.
    pub result: SizeReport,
}

impl SizeReport {
    /// The report on a size with which nothing could be done, because of these findings.
    #[must_use]
    pub(crate) fn refused(size: String, findings: Vec<Finding>) -> Self {
        SizeReport {
            size,
            status: Status::Refused,
            asked: None,
            before: None,
            after: None,
            moves: None,
            truing: None,
            followed: Vec::new(),
            residual: None,
            findings,
        }
    }
}

impl Report {
    /// Every finding, those of the sizes first.
    pub fn all_findings(&self) -> impl Iterator<Item = &Finding> {
        self.sizes.iter().flat_map(|s| &s.findings).chain(&self.findings)
    }
}

impl CheckReport {
    /// The report reduced to these sizes and to what concerns no single size; the whole report where no size is named.
    #[must_use]
    pub fn only(mut self, sizes: &[crate::pattern::SizeName]) -> Self {
        if !sizes.is_empty() {
            let wanted = |size: &String| sizes.contains(&crate::pattern::SizeName::new(size));
            self.findings.retain(|f| f.size.as_ref().is_none_or(wanted));
            self.verdict = Verdict::on(&self.findings);
        }
        self
    }
}

impl MeasureReport {
    /// Every finding, those of the sizes first.
    pub fn all_findings(&self) -> impl Iterator<Item = &Finding> {
        self.sizes.iter().flat_map(|s| &s.findings).chain(&self.findings)
    }
}
