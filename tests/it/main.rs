//! The library as a whole, checked against what lies outside it.
#![allow(clippy::unwrap_used)]

mod plot;
