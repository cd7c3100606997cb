//! Checks of the whole main job, most of them against something outside the project: closed forms, facts of the trade, an
//! independent DXF reader (`ezdxf`) and `shapely`. One program, since linking many is slow.
#![allow(
    clippy::unwrap_used,
    clippy::print_stderr,
    reason = "tests stop at the first surprise and say what they skip"
)]

mod browser;
mod drafts;
mod grade;
mod outside;
mod page;
mod plot;
mod schemas;
