//! A plain reader of DXF text for the tests: group codes and values, line by line, nothing of the library.

use std::collections::BTreeMap;
use std::fmt::Write as _;

pub type Pair = (i32, String);

pub fn pairs(text: &[u8]) -> Vec<Pair> {
    let text = String::from_utf8(text.to_vec()).unwrap();
    let lines: Vec<&str> = text.lines().collect();
    lines.chunks_exact(2).map(|c| (c[0].trim().parse().unwrap(), c[1].to_owned())).collect()
}

/// Each entity or keyword with what belongs to it, from one code 0 to the next; the comments before the first
/// code 0 come alone.
pub fn entities(text: &[u8]) -> Vec<Vec<Pair>> {
    let mut all: Vec<Vec<Pair>> = Vec::new();
    for pair in pairs(text) {
        if pair.0 == 0 || all.is_empty() {
            all.push(Vec::new());
        }
        all.last_mut().unwrap().push(pair);
    }
    all
}

pub fn text_of(entities: &[Vec<Pair>], end: &str) -> Vec<u8> {
    let mut out = String::new();
    for (code, value) in entities.iter().flatten() {
        let _ = write!(out, "{code:>3}{end}{value}{end}");
    }
    out.into_bytes()
}

pub fn get(entity: &[Pair], code: i32) -> &str {
    entity.iter().find(|p| p.0 == code).map_or("", |p| p.1.as_str())
}

pub fn number(entity: &[Pair], code: i32) -> f64 {
    get(entity, code).trim().parse().unwrap()
}

/// Blocks by name, each as its entities, BLOCK and ENDBLK included.
pub fn blocks(text: &[u8]) -> BTreeMap<String, Vec<Vec<Pair>>> {
    let mut found = BTreeMap::new();
    let mut open: Option<Vec<Vec<Pair>>> = None;
    for entity in entities(text) {
        match entity[0].1.as_str() {
            "BLOCK" => open = Some(vec![entity]),
            "ENDBLK" => {
                let mut block = open.take().unwrap();
                block.push(entity);
                found.insert(get(&block[0], 2).to_owned(), block);
            }
            _ => {
                if let Some(block) = &mut open {
                    block.push(entity);
                }
            }
        }
    }
    found
}

/// The drawing without the blocks, and placings of blocks, that do not satisfy `keep`.
pub fn with_blocks(text: &[u8], end: &str, keep: impl Fn(&str) -> bool) -> Vec<u8> {
    let mut kept = Vec::new();
    let mut dropping = false;
    for entity in entities(text) {
        let kind = entity[0].1.as_str();
        if matches!(kind, "BLOCK" | "INSERT") && !keep(get(&entity, 2)) {
            dropping = kind == "BLOCK";
        } else if !dropping {
            kept.push(entity);
        } else if kind == "ENDBLK" {
            dropping = false;
        }
    }
    text_of(&kept, end)
}

/// Where the numbered points of a block are: layer, number and occurrence, with place. Read from the texts.
pub fn graded(block: &[Vec<Pair>]) -> BTreeMap<(String, u32, usize), (f64, f64)> {
    let mut found = BTreeMap::new();
    for text in block.iter().filter(|e| e[0].1 == "TEXT" && get(e, 1).starts_with('#')) {
        let rule: u32 = get(text, 1)[1..].trim().parse().unwrap();
        let layer = get(text, 8).to_owned();
        let nth = found.keys().filter(|(l, r, _): &&(String, u32, usize)| *l == layer && *r == rule).count();
        found.insert((layer, rule, nth), (number(text, 10), number(text, 20)));
    }
    found
}

/// The vertices of the polyline on a layer.
pub fn polyline(block: &[Vec<Pair>], layer: &str) -> Vec<(f64, f64)> {
    let on = |e: &&Vec<Pair>| e[0].1 == "VERTEX" && get(e, 8) == layer;
    block.iter().filter(on).map(|e| (number(e, 10), number(e, 20))).collect()
}

/// How far apart two places are.
pub fn near(a: (f64, f64), b: (f64, f64)) -> f64 {
    (a.0 - b.0).hypot(a.1 - b.1)
}
