//! Tests that reach into the rooms: built with the library, since the rooms are nobody else's. What can be told from outside stands in
//! `tests/it`, which has the program and the library's public names. Most compare with something outside the project: closed forms,
//! facts of the trade, an independent DXF reader (`ezdxf`) and `shapely`.
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

mod check;
#[path = "../common/mod.rs"]
mod common;
mod corpus;
mod fuzz;
mod grade;
mod half;
mod hanging;
mod index_page;
mod invariants;
mod legs;
mod lengths;
mod lossless;
mod mistakes;
mod mistakes_in_reading;
mod one_piece;
mod plot;
mod properties;
mod real;
mod recorded;
mod trued;
