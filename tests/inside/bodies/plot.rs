//! A print: bytes to a PDF, which another reader (`lopdf`) reads again. Not while fuzzing, where that reader would take most of
//! the time: the corpus that is found goes through it afterwards.

use super::{open, reported};
use crate::order;
use crate::plot::{self, Paper, PaperSize, PlotOptions, PlotPiece};
use crate::units::Mm;

/// Prints the first size on sheets and on a roll.
pub fn plot(bytes: &[u8]) {
    plotted(bytes);
}

/// As [`plot`]; whether something was printed.
pub fn plotted(bytes: &[u8]) -> bool {
    let Ok(text) = order::text(bytes) else { return false };
    let Some(drawing) = open(&text) else { return false };
    let sizes = plot::sizes(&drawing.pattern);
    let Some(size) = sizes.first() else { return false };
    let Ok(selected) = plot::select(&drawing.pattern, &[size], None) else { return false };
    reported(&selected.findings, &text);
    let mut printed = false;
    for paper in [Paper::Sheets(PaperSize::A4), Paper::Roll { width: Mm(900.0) }] {
        let options =
            PlotOptions { paper, style: drawing.pattern.style.as_deref(), size, show: None, font: None };
        let print = |beside_itself: bool| {
            let piece = |&piece| PlotPiece { piece, before: beside_itself.then_some(piece) };
            plot::plot(&selected.pieces.iter().map(piece).collect::<Vec<_>>(), &options)
        };
        let print_of = match (print(false), print(true)) {
            (Ok(alone), Ok(beside)) => {
                assert!(alone.pdf == beside.pdf, "a line that has not moved is drawn a second time");
                alone
            }
            (Err(alone), Err(beside)) => {
                assert_eq!(alone, beside);
                assert!(!alone.to_string().contains(char::is_control), "{alone}");
                continue;
            }
            (alone, beside) => panic!("{:?} {:?}", alone.err(), beside.err()),
        };
        reported(&print_of.findings, &text);
        read_again(&print_of.pdf, print_of.pages);
        printed = true;
    }
    printed
}

#[cfg(fuzzing)]
fn read_again(pdf: &[u8], pages: usize) {
    assert!(pages > 0 && pdf.starts_with(b"%PDF") && pdf.trim_ascii_end().ends_with(b"%%EOF"));
}

/// The print has its pages, and every number on them is one.
#[cfg(not(fuzzing))]
fn read_again(pdf: &[u8], pages: usize) {
    use lopdf::content::Content;
    use lopdf::{Document, Object};
    /// How many pages are read to the last operator.
    const PAGES: usize = 4;
    let document = Document::load_mem(pdf).unwrap_or_else(|e| panic!("what was written cannot be read: {e}"));
    let found = document.get_pages();
    assert_eq!(found.len(), pages);
    for &page in found.values().take(PAGES) {
        let content = document.get_page_content(page);
        let content = Content::decode(&content).unwrap_or_else(|e| panic!("a page cannot be read: {e}"));
        let finite = |o: &Object| !matches!(o, Object::Real(v) if !v.is_finite());
        assert!(content.operations.iter().all(|o| o.operands.iter().all(finite)));
        let known = |o: &str| o.chars().all(|c| c.is_ascii_alphabetic() || c == '*');
        assert!(content.operations.iter().all(|o| known(&o.operator)), "a number that is none");
    }
}
