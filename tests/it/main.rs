//! Checks of the whole main job, most of them against something outside the project: closed forms, facts of the trade, an
//! independent DXF reader (`ezdxf`) and `shapely`. One program, since linking many is slow.
#![allow(
    clippy::unwrap_used,
    clippy::print_stderr,
    reason = "tests stop at the first surprise and say what they skip"
)]
#![allow(
    clippy::float_cmp,
    clippy::format_collect,
    clippy::format_push_string,
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "exact values are meant exactly; the drawings written here, and shares of them, are small and positive"
)]

mod altering_again;
mod anew;
mod asked;
mod bad_input;
mod batch;
mod body_lengths;
mod check;
#[path = "../common/mod.rs"]
mod common;
mod dense;
mod dialects;
mod doubtful;
mod drafts;
mod examiner;
mod faults;
mod folds;
mod grade;
mod hostile;
mod house;
mod lossless;
mod meant;
mod measuring;
mod one_reading;
mod opening;
mod outside;
mod page;
mod places;
mod plain;
mod plot;
mod public;
mod readme;
mod real;
mod reports;
mod samples;
mod schemas;
mod several;
mod sheets;
mod shown;
mod spreadsheets;
mod steering;
mod straight;
mod terminal;
mod threads;
mod trade;
mod uneven;
mod writer;
