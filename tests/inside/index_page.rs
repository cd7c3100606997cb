//! The page over a batch as Chromium shows it.

use crate::inside::common::browser::{Browser, STICKS_OUT};
use crate::report::{Verdict, html};
use serde_json::Value;
use std::fs;

/// A list of orders that is longer than a page begins on the first page and has its headings on every one.
#[test]
fn the_page_over_many_orders_prints_from_the_first_page_on() {
    let Some(mut browser) = Browser::start() else { return };
    let rows: Vec<html::IndexRow> = (0..80)
        .map(|i| html::IndexRow {
            order: format!("order-{i:03}"),
            drawing: "harbour.dxf".to_owned(),
            verdict: Some(if i < 5 { Verdict::Fail } else { Verdict::Pass }),
            altered: 7,
            errors: 0,
            warnings: 0,
            accepted: false,
            earlier: false,
            page: None,
            note: String::new(),
        })
        .collect();
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("index.html");
    fs::write(&path, html::index(&rows).unwrap()).unwrap();
    browser.open(&path);
    let pdf = lopdf::Document::load_mem(&browser.print(8.27, 11.69)).unwrap();
    let texts: Vec<String> = pdf.get_pages().keys().map(|n| pdf.extract_text(&[*n]).unwrap()).collect();
    assert!(texts[0].contains("order-000") && texts.len() > 1, "{texts:?}");
    assert!(texts.iter().all(|page| page.contains("Sizes altered") || page.contains("Verdict")), "{texts:?}");
}

#[test]
fn the_page_over_a_batch_leads_to_its_orders() {
    let row = |order: &str, verdict, page: Option<&str>| html::IndexRow {
        order: order.to_owned(),
        drawing: "nest <1>.dxf".to_owned(),
        verdict,
        altered: 7,
        errors: 0,
        warnings: 2,
        accepted: false,
        earlier: false,
        page: page.map(str::to_owned),
        note: String::new(),
    };
    let rows = [
        row("1001", Some(Verdict::Pass), Some("1001/a#b.html")),
        row("1002 <b>late</b>", Some(Verdict::Fail), Some("javascript:alert(1)")),
        html::IndexRow { note: "the drawing cannot be read".to_owned(), ..row("1003", None, None) },
    ];
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("index.html");
    fs::write(&path, html::index(&rows).unwrap()).unwrap();
    let Some(mut browser) = Browser::start() else { return };
    for width in [390, 1280] {
        browser.window(width, width > 500);
        browser.open(&path);
        assert_eq!(browser.value(STICKS_OUT), Value::Array(vec![]));
        let cells = browser.value("[...document.querySelectorAll('tbody tr')].map(r => [...r.cells].map(c => c.innerText).slice(0, 3).join('|'))");
        let told =
            cells.as_array().unwrap().iter().map(|c| c.as_str().unwrap().to_lowercase()).collect::<Vec<_>>();
        assert_eq!(
            told,
            ["1002 <b>late</b>|fail|nest <1>.dxf", "1003|not done|nest <1>.dxf", "1001|pass|nest <1>.dxf"]
        );
        let links = browser.value("[...document.links].map(a => a.href)");
        let below = format!("file://{}/", folder.path().display());
        assert_eq!(links[0], format!("{below}javascript%3Aalert%281%29"));
        assert_eq!(links[1], format!("{below}1001/a%23b.html"));
        assert!(!browser.events.iter().any(|e| e["method"] == "Log.entryAdded"));
    }
}
