//! Alters the crotch seam of graded trouser patterns in DXF (ASTM D6673) and proves that front and back still sew together.
//!
//! A pattern room finds that a crotch seam is too short or too long. [`Nest::read`] takes the drawing of the style in all its sizes;
//! [`Nest::measure`] says what every size measures on its sew lines; [`Nest::alter`] slides front and back along the grain,
//! redraws crotch curve and upper inseam, checks the result and has it read again by an independent reader;
//! [`Nest::check`] looks a drawing over before marker making. Everything works on bytes: no file, no terminal, no clock.
//!
//! ```
//! use truerise::{Form, Job, Nest, SizeTable, Verdict};
//! # fn main() -> Result<(), Box<dyn std::error::Error>> {
//! let bytes = std::fs::read("samples/harbour-nest.dxf")?;
//! let job = Job::default();
//! let nest = Nest::read("harbour-nest.dxf", &bytes, &job)?;
//!
//! // What it measures, in mm whatever the drawing's unit.
//! let measured = nest.measure();
//! let before = measured.sizes[2].measures.as_ref().unwrap();
//! assert_eq!(measured.sizes[2].size, "38");
//!
//! // One inch more in size 38, half of it in front.
//! let table = SizeTable::from_csv("size,change,front_share\n38,1in,50%\n", "changes.csv")?;
//! let altered = nest.alter(&table, &nest.settings());
//! let size = &altered.report().sizes[0];
//! let after = size.after.as_ref().unwrap();
//! assert!((after.crotch_length.0 - before.crotch_length.0 - 25.4).abs() < 0.05);
//! assert_eq!(altered.report().verdict, Verdict::Pass);
//!
//! // The new drawing, and the page for whoever cuts and signs.
//! let drawing: Vec<u8> = altered.drawing().unwrap().to_vec();
//! let page: Vec<u8> = altered.render(Form::Page)?;
//! # assert!(drawing.len() > 1000 && page.starts_with(b"<!doctype html>"));
//! # Ok(()) }
//! ```
//!
//! # Units
//! Lengths are [`Mm`] once a drawing has been read; positions in findings are in the drawing's own coordinates; angles are in
//! degrees. A length that somebody typed is a [`Length`]: it has a unit, or is a number whose unit is settled once the drawing
//! has been read.
//!
//! # What goes wrong
//! If bytes cannot be read as a drawing, the result is a [`ReadError`]; if a table or job file cannot be read, it is
//! [`Problems`], each with its line and a remedy. Everything else is a [`Finding`]: what was noticed, where, how severe it is,
//! and what to do. If a finding is an error, no new drawing is made.
//!
//! # Features
//! `cli` (on by default) is the program with its arguments, files and terminal. `default-features = false` builds the library
//! without it.
//!
//! # Caution
//! The library moves lines; it does not judge fit. Sew a trial garment before cutting production fabric. For protective clothing,
//! uniforms under a specification and medical garments the applicable standard and the responsible person decide.

#![cfg_attr(
    not(feature = "cli"),
    allow(
        dead_code,
        unused_imports,
        reason = "what only the program uses: size tables to fill in, prints, lists of orders"
    )
)]
#![warn(unnameable_types)]

#[macro_use]
mod words;

// The rooms: the module documentation of each says what it is responsible for and why. What is public is listed below.
mod alter;
mod batch;
mod check;
#[cfg(feature = "cli")]
mod cli;
mod dxf_text;
mod finding;
mod geometry;
mod grade;
mod history;
mod job;
mod nest;
mod opened;
mod order;
mod output;
mod pattern;
mod plot;
mod report;
mod schema;
mod seam;
mod trousers;
mod units;

// The program, used by `main`.
#[cfg(feature = "cli")]
#[doc(hidden)]
pub use cli::run as cli;

#[doc(inline)]
pub use check::By;
#[doc(inline)]
pub use finding::{Finding, FindingId, Severity};
#[doc(inline)]
pub use grade::{GradeError, Options as GradeOptions, RuleTable};
#[doc(inline)]
pub use job::{Job, Problems, SizeTable, ToleranceTable};
pub use nest::{Alteration, Form, GradedNest, LookedOver, Nest, RenderError, schema_of, text_of};
#[doc(inline)]
pub use order::Settings;
#[doc(inline)]
pub use output::NewDrawing;
#[doc(inline)]
pub use pattern::{ReadError, SizeName};
#[doc(inline)]
pub use report::{CheckReport, MeasureReport, Report, Verdict};
#[doc(inline)]
pub use seam::{LegMeasures, Measures};
#[doc(inline)]
pub use units::{Length, Mm, Unit};

/// The types of the fields of tables, settings, reports and errors.
pub mod parts {
    #[doc(inline)]
    pub use crate::alter::Moves;
    #[doc(inline)]
    pub use crate::dxf_text::DxfError;
    #[doc(inline)]
    pub use crate::job::{
        Aim, BlendTo, Degrees, Deltas, Diagnostic, Share, SizeRow, Uneven, UnknownWord, Want,
    };
    #[doc(inline)]
    pub use crate::output::LeftOutError;
    #[doc(inline)]
    pub use crate::pattern::{EntityError, PlainError};
    #[doc(inline)]
    pub use crate::report::{
        Asked, DrawingInfo, FollowedReport, MeasuredSize, OutputInfo, SizeReport, Status, Trued,
    };
    #[doc(inline)]
    pub use crate::seam::{FoldBy, Found, How, SewLine, TurnedInAt, TurnedInMeasures};
    #[doc(inline)]
    pub use crate::trousers::{Pair, Part};
}

// Properties that must hold for any bytes. The fuzz targets, which are a crate of their own, and the tests run the same
// functions.
#[cfg(any(test, fuzzing))]
#[doc(hidden)]
#[path = "../tests/inside/bodies/mod.rs"]
pub mod bodies;

#[cfg(test)]
#[path = "../tests/inside/lib.rs"]
mod inside;
