//! HTML reports: each is one page that needs nothing else. It has no script, no font, no picture from elsewhere and no date,
//! so equal input gives equal bytes.
//!
//! The drawings are SVG in mm, so that what is drawn is as long as the tables say. Each line is written once; the view of the
//! fork and the nests show it again by reference.

mod chart;
mod check;
mod drawing;
mod index;
mod joined;
mod measures;
mod measuring;
mod page;
mod say;

pub use check::{CheckSheet, checks};
pub use index::{IndexRow, index};
pub use measures::measures;
pub use measuring::measuring;
pub use page::{Sheet, render};

/// The style sheet of every page.
const STYLE: &str = include_str!("../templates/style.css");

/// The program's version.
const VERSION: &str = env!("CARGO_PKG_VERSION");
