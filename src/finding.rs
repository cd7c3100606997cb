//! Findings: what was noticed about a drawing, a size or a piece, and what to do about it.
//!
//! A finding is a result, not an error of the program: a run with findings ended well. The ids are
//! one list, [`FindingId`]; reports, `--accept` and the JSON Schemas all read it from here.

use kurbo::Point;
use schemars::{JsonSchema, Schema, SchemaGenerator, json_schema};
use serde::{Deserialize, Serialize};
use std::borrow::Cow;
use std::collections::BTreeSet;
use std::fmt;
use std::num::NonZeroU32;

/// How much a finding weighs.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "lowercase")]
pub enum Severity {
    /// Worth knowing; nothing is wrong.
    Note,
    /// Look at it before cutting.
    Warning,
    /// The result must not be cut.
    Error,
}

impl Severity {
    /// The word used in every report.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Severity::Note => "note",
            Severity::Warning => "warning",
            Severity::Error => "error",
        }
    }
}

macro_rules! finding_ids {
    ($($(#[$doc:meta])* $name:ident = $text:literal,)*) => {
        /// What kind of finding it is. The text form is part of the interface.
        #[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
        pub enum FindingId { $($(#[$doc])* $name,)* }

        impl FindingId {
            /// Every id, in the order of the interface.
            pub const ALL: &'static [FindingId] = &[$(FindingId::$name,)*];

            /// The id as reports and `--accept` write it.
            #[must_use]
            pub fn as_str(self) -> &'static str {
                match self { $(FindingId::$name => $text,)* }
            }
        }
    };
}

finding_ids! {
    /// Front and back inseam no longer differ by what they did before.
    InseamMismatch = "inseam-mismatch",
    /// Front and back outseam differ by more than can be eased in.
    OutseamMismatch = "outseam-mismatch",
    /// The crotch length asked for was not met on measuring again.
    CrotchLengthMissed = "crotch-length-missed",
    /// An outline does not close.
    OpenOutline = "open-outline",
    /// An outline crosses itself.
    CrossingOutline = "crossing-outline",
    /// A piece has no grain line.
    GrainMissing = "grain-missing",
    /// The grain line lies outside its piece.
    GrainOutside = "grain-outside",
    /// The grain line is too short to lay the piece by.
    GrainShort = "grain-short",
    /// The grain line of a size, or of a leg, lies at another angle than it is to.
    GrainAskew = "grain-askew",
    /// The grain line of a size points the other way than in the other sizes.
    GrainReversed = "grain-reversed",
    /// A seam can be read in two ways, or not at all.
    SeamAmbiguous = "seam-ambiguous",
    /// A line may be the fold of a casing or a hem that is turned in, and nothing settles whether it is.
    FoldUnclear = "fold-unclear",
    /// What is turned in along a fold would no longer lie on the leg.
    FoldMoved = "fold-moved",
    /// The front opening, into which the zip goes, has another length.
    FrontOpening = "front-opening",
    /// It cannot be told whether a trouser leg is a front or a back.
    PartUnknown = "part-unknown",
    /// A front has no back, or a back no front.
    MateMissing = "mate-missing",
    /// A size is missing from a nest or a table.
    SizeMissing = "size-missing",
    /// A size that the size table does not ask for was left as it is.
    LeftAlone = "left-alone",
    /// A drawing says that a size of it was altered before.
    AlteredBefore = "altered-before",
    /// A size occurs twice.
    SizeTwice = "size-twice",
    /// A notch lies on no edge.
    NotchOffEdge = "notch-off-edge",
    /// A notch has no counterpart on the mating seam.
    NotchMismatch = "notch-mismatch",
    /// The seam allowance changes along an edge.
    AllowanceUneven = "allowance-uneven",
    /// The allowance of a seam is not known.
    AllowanceMissing = "allowance-missing",
    /// A leg is drawn as a half piece on the fold.
    HalfPiece = "half-piece",
    /// A leg is cut in two along its length.
    PieceCutInTwo = "piece-cut-in-two",
    /// Front and back do not join to a smooth crotch curve.
    ForkAngle = "fork-angle",
    /// An edge of another piece lay on a line that was redrawn.
    PieceToFollow = "piece-to-follow",
    /// A seam is drawn with so much noise that its length is that of the noise.
    LineRough = "line-rough",
    /// A drawing was written anew by another program and draws the same.
    WrittenAnew = "written-anew",
    /// Nothing in the drawing was taken for trousers, so no seam was walked.
    SeamsNotWalked = "seams-not-walked",
    /// A centre seam does not meet the waist squarely.
    CornerNotSquare = "corner-not-square",
    /// A size's step is out of line with its neighbours'.
    GradeStep = "grade-step",
    /// The unit cannot be right.
    UnitDoubtful = "unit-doubtful",
    /// A number of the table or an allowance is not to be believed in the unit it was read in.
    MeasureDoubtful = "measure-doubtful",
    /// A piece lacks a text it must carry.
    LabelMissing = "label-missing",
    /// A size says another quantity, material or category than the others.
    LabelDiffers = "label-differs",
    /// A size lacks lines, marks or notches that the others have.
    MarkMissing = "mark-missing",
    /// A drill hole, mark or internal line lies outside its piece.
    MarkOutside = "mark-outside",
    /// An outline has a spike or a dent.
    OutlineSpike = "outline-spike",
    /// A half piece is not marked as such, or its mirror line lies elsewhere than on its edge.
    HalfUnmarked = "half-unmarked",
    /// What an alteration changed, where it was to.
    Changed = "changed",
    /// Something differs that was not to change.
    ChangedElsewhere = "changed-elsewhere",
    /// No sound remedy gives the change asked for.
    RemedyImpossible = "remedy-impossible",
    /// The second reading of a drawing differs from the first, or that of the written one from what was meant.
    RereadDiffers = "reread-differs",
    /// The upper crotch curve cannot take what the centre seam would turn by without bending the other way.
    TruingTooLarge = "truing-too-large",
    /// A redrawn line turns more sharply than the original did.
    LineNotSmooth = "line-not-smooth",
    /// The slide is too large for the piece.
    SlideTooLarge = "slide-too-large",
    /// Darts, pleats or notches lie on a waist edge that was redrawn.
    WaistMarks = "waist-marks",
    /// Letters cannot be printed for want of a font.
    LettersMissing = "letters-missing",
    /// A graded point's rule is not in the rule table, or a turn point has no rule.
    RuleMissing = "rule-missing",
    /// Points of one rule do not move alike, or a drawn size is not where its rules put it.
    RuleMismatch = "rule-mismatch",
    /// A grade rule's text stands at no point, or a size lacks the point.
    GradePointMissing = "grade-point-missing",
    /// Several grade reference lines point different ways.
    GradeReferenceAmbiguous = "grade-reference-ambiguous",
    /// Something was read in a way worth knowing.
    ReadAs = "read-as",
}

impl fmt::Display for FindingId {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.as_str())
    }
}

impl std::str::FromStr for FindingId {
    type Err = String;
    /// Reads an id as `--accept` takes it; the error lists the ids there are.
    fn from_str(text: &str) -> Result<Self, String> {
        FindingId::ALL.iter().copied().find(|id| id.as_str() == text).ok_or_else(|| {
            let known: Vec<&str> = FindingId::ALL.iter().map(|id| id.as_str()).collect();
            let perhaps = crate::words::perhaps(text, known.iter().copied());
            format!(
                "no finding is called '{}'; {perhaps}there are {}",
                crate::words::escaped(text),
                known.join(", ")
            )
        })
    }
}

impl Serialize for FindingId {
    fn serialize<S: serde::Serializer>(&self, s: S) -> Result<S::Ok, S::Error> {
        s.serialize_str(self.as_str())
    }
}

impl<'de> Deserialize<'de> for FindingId {
    fn deserialize<D: serde::Deserializer<'de>>(d: D) -> Result<Self, D::Error> {
        String::deserialize(d)?.parse().map_err(serde::de::Error::custom)
    }
}

impl JsonSchema for FindingId {
    fn schema_name() -> Cow<'static, str> {
        "FindingId".into()
    }
    fn json_schema(_: &mut SchemaGenerator) -> Schema {
        let ids: Vec<&str> = FindingId::ALL.iter().map(|id| id.as_str()).collect();
        json_schema!({ "description": "What kind of finding it is.", "enum": ids })
    }
}

/// One finding, with its place.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct Finding {
    /// What kind it is.
    pub id: FindingId,
    /// How much it weighs.
    pub severity: Severity,
    /// The size it concerns.
    pub size: Option<String>,
    /// The piece it concerns, by its name.
    pub piece: Option<String>,
    /// Where, in the drawing's own coordinates.
    pub at: Option<[f64; 2]>,
    /// One more than the index of the block that the piece is drawn in, which no other piece shares.
    #[serde(skip)]
    pub(crate) block: Option<NonZeroU32>,
    /// The line of the file, counted from 1.
    pub line: Option<usize>,
    /// What was found and what to do about it.
    pub message: String,
    /// Whether it is an error that somebody let through (`--accept`); it weighs as a warning then. Left out where it is not.
    #[serde(skip_serializing_if = "std::ops::Not::not")]
    pub accepted: bool,
}

/// What a finding can be about: something with a name, drawn in a block.
pub(crate) trait Subject {
    /// The name as people know it, which it may share with other sizes.
    fn name(&self) -> &str;
    /// The index of its block in the drawing.
    fn block(&self) -> usize;
}

impl<T: Subject> Subject for &T {
    fn name(&self) -> &str {
        (**self).name()
    }

    fn block(&self) -> usize {
        (**self).block()
    }
}

/// What was let through among findings, each id once, in the order of the interface.
pub fn accepted<'f>(findings: impl IntoIterator<Item = &'f Finding>) -> Vec<FindingId> {
    let ids: BTreeSet<FindingId> = findings.into_iter().filter(|f| f.accepted).map(|f| f.id).collect();
    ids.into_iter().collect()
}

/// Ids as a list in a sentence or a cell.
pub fn ids(ids: &[FindingId]) -> String {
    ids.iter().map(|id| id.as_str()).collect::<Vec<_>>().join(", ")
}

impl Finding {
    /// A finding without a place yet.
    pub fn new(id: FindingId, severity: Severity, message: impl Into<String>) -> Self {
        let message = message.into();
        Finding {
            id,
            severity,
            size: None,
            piece: None,
            at: None,
            block: None,
            line: None,
            message,
            accepted: false,
        }
    }

    /// An error without a place yet.
    pub fn error(id: FindingId, message: impl Into<String>) -> Self {
        Finding::new(id, Severity::Error, message)
    }

    /// A warning without a place yet.
    pub fn warning(id: FindingId, message: impl Into<String>) -> Self {
        Finding::new(id, Severity::Warning, message)
    }

    /// A note without a place yet.
    pub fn note(id: FindingId, message: impl Into<String>) -> Self {
        Finding::new(id, Severity::Note, message)
    }

    /// Lets an error through where its id is among these: it weighs as a warning and says so.
    pub fn accept(&mut self, ids: &[FindingId]) {
        if self.severity == Severity::Error && ids.contains(&self.id) {
            self.severity = Severity::Warning;
            self.accepted = true;
            self.message.push_str(" (accepted)");
        }
    }

    /// The finding with its size.
    #[must_use]
    pub fn size(mut self, size: impl Into<String>) -> Self {
        self.size = Some(size.into());
        self
    }

    /// The finding with the piece that it is about.
    #[must_use]
    pub(crate) fn about(self, piece: &impl Subject) -> Self {
        let block = piece.block();
        self.piece(piece.name()).in_block(block)
    }

    /// The finding with the index of the block that it is about.
    #[must_use]
    pub(crate) fn in_block(mut self, block: usize) -> Self {
        self.block = u32::try_from(block + 1).ok().and_then(NonZeroU32::new);
        self
    }

    /// The index of the block that it is about.
    pub(crate) fn block(&self) -> Option<usize> {
        Some(self.block?.get() as usize - 1)
    }

    /// The finding with the name of its piece.
    #[must_use]
    pub fn piece(mut self, piece: impl Into<String>) -> Self {
        self.piece = Some(piece.into());
        self
    }

    /// The finding with its place in drawing coordinates.
    #[must_use]
    pub fn at(mut self, place: Point) -> Self {
        // Adding nothing takes the sign off a zero.
        self.at = Some([place.x + 0.0, place.y + 0.0]);
        self
    }

    /// The finding with its line in the file.
    #[must_use]
    pub fn line(mut self, line: usize) -> Self {
        self.line = Some(line);
        self
    }
}
