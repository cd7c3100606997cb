//! An order: one drawing with its size table, from bytes to bytes and a report. This module reads and writes no files.

mod alter;
mod doubt;
mod grade;
mod hanging;
mod leg;
mod measure;
mod opening;
mod plan;
mod plausible;
mod read_again;
mod size;
mod yoke;

pub use crate::opened::{Opened, open, sha256, sha256_of, text};
pub use alter::{Altered, advise, alter, alter_sizes};
pub use grade::{accept, derive, grade, nest};
pub use measure::measure;

use crate::finding::FindingId;
use crate::job::{Aim, BlendTo, Degrees, Job, Uneven};
use crate::pattern::SizeName;
use crate::units::{Mm, Unit};

/// How an alteration is made, with every open choice decided.
#[derive(Clone, Debug)]
#[allow(clippy::struct_excessive_bools, reason = "each is a switch of its own")]
pub struct Settings {
    /// What the slide is to meet.
    pub aim: Aim,
    /// What is done where the shares of front and back are uneven.
    pub uneven: Uneven,
    /// Where the inseam has come back to its old line. If `None`, at the knee, or at the hem in a size whose lines would not be
    /// smooth otherwise.
    pub blend_to: Option<BlendTo>,
    /// By how much the difference between back and front inseam may change.
    pub inseam: Mm,
    /// How far apart two notches may be that are sewn together.
    pub notch_pair: Mm,
    /// How far the angles of front and back at the fork may be from 180 degrees together.
    pub fork_angle: Degrees,
    /// Findings that do not stop the drawing from being written.
    pub accept: Vec<FindingId>,
    /// Only these sizes; all where empty.
    pub only: Vec<SizeName>,
    /// Whether the new drawing holds no other sizes than those that are asked for.
    pub only_asked: bool,
    /// Whether pieces with an edge that lies on a redrawn one are redrawn in the same way.
    pub follow: bool,
    /// Whether the new drawing says what was done, for whoever alters it again.
    pub say_altered: bool,
    /// Whether every altered piece is read a second time, and the new drawing once more from the start.
    pub reread: bool,
    /// Whether the lines of every size are kept for figures.
    pub figures: bool,
}

impl Settings {
    /// The settings that a job asks for, completed by defaults; numbers without a unit are in the unit `plain`.
    #[must_use]
    pub fn of(job: &Job, plain: Unit) -> Self {
        let asked = &job.alter;
        Settings {
            aim: asked.aim.unwrap_or(Aim::Length),
            uneven: asked.uneven.unwrap_or(Uneven::Keep),
            blend_to: asked.blend_to.map(|to| to.in_mm(plain)),
            inseam: asked.tolerance.unwrap_or(job.tolerance.inseam).in_mm(plain),
            notch_pair: job.tolerance.notch_pair.in_mm(plain),
            fork_angle: job.tolerance.fork_angle,
            accept: asked.accept.clone(),
            only: asked.only.clone(),
            only_asked: false,
            follow: asked.follow.unwrap_or(false),
            say_altered: asked.say_altered.unwrap_or(false),
            reread: !asked.no_reread.unwrap_or(false),
            figures: false,
        }
    }

    /// The name and value of each setting, so that a report shows how it can be reproduced.
    #[must_use]
    pub(crate) fn described(&self) -> Vec<(&'static str, String)> {
        let list = |words: Vec<String>, none: &str| {
            if words.is_empty() { none.to_owned() } else { words.join(", ") }
        };
        vec![
            ("Aim", self.aim.to_string()),
            ("Uneven shares", self.uneven.to_string()),
            (
                "Inseam comes back at",
                self.blend_to.map_or_else(|| "knee, or hem where need be".to_owned(), |to| to.to_string()),
            ),
            ("Inseam tolerance", self.inseam.to_string()),
            ("Notches apart at most", self.notch_pair.to_string()),
            ("Angles at the fork off 180° at most", format!("{}°", self.fork_angle.0)),
            ("Sizes", list(self.only.iter().map(SizeName::to_string).collect(), "all of the table")),
            ("Sizes not asked for", if self.only_asked { "left out" } else { "left as they are" }.to_owned()),
            ("Pieces that hang on a leg", if self.follow { "redrawn alike" } else { "told of" }.to_owned()),
            ("Says that it was altered", if self.say_altered { "yes" } else { "no" }.to_owned()),
            ("Accepted findings", list(self.accept.iter().map(FindingId::to_string).collect(), "none")),
            ("Second reading", if self.reread { "yes" } else { "no" }.to_owned()),
        ]
    }

    /// Whether a size is asked for.
    #[must_use]
    pub(crate) fn wants(&self, size: &SizeName) -> bool {
        self.only.is_empty() || self.only.contains(size)
    }
}
