//! The PDF file around the pages.
//!
//! The file contains no date and no identifier, so equal pages give equal bytes.

use super::PlotError;
use super::fonts::Fonts;
use super::page::{Page, units};
use pdf_writer::{Finish, Name, Pdf, Rect, Ref, TextStr};

/// Writes the pages and fonts as a PDF file.
pub(super) fn write(pages: &[Page], fonts: Fonts<'_>, title: &str) -> Result<Vec<u8>, PlotError> {
    let mut pdf = Pdf::new();
    let mut next = Ref::new(1);
    let (catalog, tree, info) = (next.bump(), next.bump(), next.bump());

    let mut root = pdf.catalog(catalog);
    root.pages(tree);
    let mut preferences = root.viewer_preferences();
    // Asks for printing at 100 %: the print dialogue opens without fitting pages to the paper (ISO 32000-1, table 150).
    preferences.pair(Name(b"PrintScaling"), Name(b"None"));
    preferences.finish();
    root.finish();
    pdf.document_info(info).title(TextStr(title)).creator(TextStr("truerise"));

    let fonts = fonts.write(&mut pdf, &mut next)?;
    let ids: Vec<(Ref, Ref)> = pages.iter().map(|_| (next.bump(), next.bump())).collect();
    for (page, &(id, content)) in pages.iter().zip(&ids) {
        let mut written = pdf.page(id);
        written
            .parent(tree)
            .media_box(Rect::new(0.0, 0.0, units(page.size.width), units(page.size.height)))
            .contents(content);
        let mut resources = written.resources();
        let mut named = resources.fonts();
        for &(name, font) in &fonts {
            named.pair(Name(name), font);
        }
        named.finish();
        resources.finish();
        written.finish();
        pdf.stream(content, &page.content);
    }
    let count = i32::try_from(ids.len()).unwrap_or(i32::MAX);
    pdf.pages(tree).kids(ids.iter().map(|&(id, _)| id)).count(count);
    Ok(pdf.finish())
}
