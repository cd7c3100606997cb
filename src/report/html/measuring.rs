//! The page with the sheet for taking measures on the body.

use super::say::{self, printable};
use super::{STYLE, VERSION};
use crate::report::measuring::{self, COLUMNS, PictureLine, Row, SHOWS, STEPS};
use askama::Template;

#[derive(Template)]
#[template(path = "measuring.html", config = "src/report/templates/askama.toml")]
struct MeasuringPage {
    style: &'static str,
    version: &'static str,
    title: String,
    written_in: String,
    headings: [&'static str; 3],
    noted: &'static str,
    caution: &'static str,
    steps: &'static [&'static str],
    shows: &'static [[&'static str; 2]],
    columns: Vec<&'static str>,
    rows: Vec<Row>,
    view: String,
    lines: Vec<(&'static str, String)>,
    labels: Vec<Label>,
}

struct Label {
    x: String,
    y: String,
    anchor: &'static str,
    text: &'static str,
}

/// The page with a line for each of `rows`; `written_in` is the sentence that says in which unit to write.
pub fn measuring(title: &str, rows: Vec<Row>, written_in: &str) -> Result<String, askama::Error> {
    let (width, height) = measuring::PICTURE;
    let class = |drawn: &PictureLine| match drawn {
        PictureLine::Body => "body",
        PictureLine::Cord => "cord",
        PictureLine::Tape => "tape",
    };
    MeasuringPage {
        style: STYLE,
        version: VERSION,
        title: printable(title),
        written_in: written_in.to_owned(),
        headings: measuring::HEADINGS,
        noted: measuring::NOTED,
        caution: measuring::CAUTION,
        steps: &STEPS,
        shows: &SHOWS,
        columns: COLUMNS.iter().map(|(name, _)| *name).collect(),
        rows: rows.into_iter().map(|r| Row { size: printable(&r.size), ..r }).collect(),
        view: format!("0 0 {width} {height}"),
        lines: measuring::picture().iter().map(|(drawn, path)| (class(drawn), path.to_svg())).collect(),
        labels: measuring::labels()
            .into_iter()
            .map(|(at, before, text)| Label {
                x: say::coordinate(at.x),
                y: say::coordinate(at.y),
                anchor: ["start", "middle", "end"][usize::from(before > 0.0) + usize::from(before > 0.5)],
                text,
            })
            .collect(),
    }
    .render()
}
