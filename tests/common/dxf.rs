//! A drawing as code pairs, to plant things in. Knows nothing of the library's own reader.

use std::ops::Range;

/// A drawing in the form in which the sample is written: CRLF, group codes three wide.
#[derive(Clone)]
pub struct Dxf {
    pairs: Vec<(String, String)>,
}

/// A point of a drawing.
pub type Xy = (f64, f64);

impl Dxf {
    /// The sample nest.
    pub fn sample() -> Self {
        Self::read("harbour-nest.dxf")
    }

    /// A drawing of the samples.
    pub fn read(name: &str) -> Self {
        let path = super::root().join("samples").join(name);
        Self::parse(&String::from_utf8(std::fs::read(path).unwrap()).unwrap())
    }

    pub fn parse(text: &str) -> Self {
        let lines: Vec<&str> = text.lines().collect();
        Dxf { pairs: lines.chunks_exact(2).map(|c| (c[0].to_owned(), c[1].to_owned())).collect() }
    }

    pub fn text(&self) -> String {
        self.pairs.iter().flat_map(|(code, value)| [code, "\r\n", value, "\r\n"]).collect()
    }

    fn is(&self, i: usize, code: &str, value: &str) -> bool {
        self.pairs[i].0.trim() == code && self.pairs[i].1.trim() == value
    }

    /// The pairs of a block.
    pub fn block(&self, name: &str) -> Range<usize> {
        let start = (0..self.pairs.len())
            .find(|&i| {
                self.is(i, "0", "BLOCK")
                    && (i + 1..i + 8)
                        .find(|&k| self.pairs[k].0.trim() == "2")
                        .is_some_and(|k| self.pairs[k].1.trim() == name)
            })
            .unwrap();
        let end = (start..self.pairs.len()).find(|&i| self.is(i, "0", "ENDBLK")).unwrap();
        let next = (end + 1..self.pairs.len()).find(|&i| self.pairs[i].0.trim() == "0").unwrap();
        start..next
    }

    /// The places of the X of every vertex of a block's polylines on a layer.
    pub fn vertices(&self, block: &str, layer: &str) -> Vec<usize> {
        self.places(block, layer, "VERTEX")
    }

    /// The places of the X of every entity of this kind on a layer of a block.
    pub fn places(&self, block: &str, layer: &str, kind: &str) -> Vec<usize> {
        let range = self.block(block);
        let mut found = Vec::new();
        for i in range.clone().filter(|&i| self.is(i, "0", kind)) {
            let end = (i + 1..range.end).find(|&k| self.pairs[k].0.trim() == "0").unwrap_or(range.end);
            if (i..end).any(|k| self.is(k, "8", layer)) {
                found.push((i..end).find(|&k| self.pairs[k].0.trim() == "10").unwrap());
            }
        }
        found
    }

    pub fn at(&self, place: usize) -> Xy {
        let number = |i: usize| self.pairs[i].1.trim().parse().unwrap();
        assert_eq!(
            self.pairs[place + 1].0.trim(),
            (self.pairs[place].0.trim().parse::<i32>().unwrap() + 10).to_string()
        );
        (number(place), number(place + 1))
    }

    pub fn set(&mut self, place: usize, (x, y): Xy) {
        self.pairs[place].1 = format!("{x:.4}");
        self.pairs[place + 1].1 = format!("{y:.4}");
    }

    pub fn shift(&mut self, place: usize, (dx, dy): Xy) {
        let (x, y) = self.at(place);
        self.set(place, (x + dx, y + dy));
    }

    /// The value of the pair that holds a text of a block, or of the whole drawing where `block` is empty.
    pub fn change(&mut self, block: &str, old: &str, new: &str) {
        let range = if block.is_empty() { 0..self.pairs.len() } else { self.block(block) };
        let mut hits = 0;
        for i in range {
            if self.pairs[i].1.trim() == old {
                new.clone_into(&mut self.pairs[i].1);
                hits += 1;
            }
        }
        assert!(hits > 0, "no '{old}' in {block}");
    }

    /// Gives the first pair of this code and value in a range another value.
    pub fn edit(&mut self, range: Range<usize>, code: &str, old: &str, new: &str) {
        let i = range.into_iter().find(|&i| self.is(i, code, old)).unwrap();
        new.clone_into(&mut self.pairs[i].1);
    }

    /// Takes a zero off the end of the first number at or after a place that has one.
    pub fn trim_zeros(&mut self, place: usize, block: &str) {
        let range = self.block(block);
        let ends = |s: &str| s.ends_with('0') && s.contains('.');
        let i = (range.start..=place + 1)
            .rfind(|&i| self.pairs[i].0.trim() == "10" && ends(&self.pairs[i].1))
            .unwrap();
        self.pairs[i].1.pop();
    }

    /// Takes a block and its placing out.
    pub fn remove(&mut self, block: &str) {
        let range = self.block(block);
        self.pairs.drain(range);
        let named = (0..self.pairs.len()).find(|&i| self.is(i, "2", block));
        if let Some(i) = named {
            let start = (0..i).rfind(|&k| self.pairs[k].0.trim() == "0").unwrap();
            let end = (i..self.pairs.len()).find(|&k| self.pairs[k].0.trim() == "0").unwrap();
            assert!(self.is(start, "0", "INSERT"));
            self.pairs.drain(start..end);
        }
    }

    /// Puts a copy of a block behind it under another name.
    pub fn copy(&mut self, block: &str, name: &str) {
        let range = self.block(block);
        let mut pairs: Vec<_> = self.pairs[range.clone()].to_vec();
        for pair in pairs.iter_mut().filter(|p| matches!(p.0.trim(), "2" | "3") && p.1.trim() == block) {
            name.clone_into(&mut pair.1);
        }
        self.pairs.splice(range.end..range.end, pairs);
    }

    /// Adds an entity at the end of a block.
    pub fn add(&mut self, block: &str, entity: &[(&str, &str)]) {
        let range = self.block(block);
        let end = range.clone().find(|&i| self.is(i, "0", "ENDBLK")).unwrap();
        let pairs = entity.iter().map(|(c, v)| ((*c).to_owned(), (*v).to_owned()));
        self.pairs.splice(end..end, pairs);
    }

    /// Adds a text to a block.
    pub fn add_text(&mut self, block: &str, text: &str) {
        self.add(
            block,
            &[("  0", "TEXT"), ("  8", "1"), (" 10", "0.0"), (" 20", "0.0"), (" 40", "3.0"), ("  1", text)],
        );
    }

    /// Adds a line to a block.
    pub fn add_line(&mut self, block: &str, layer: &str, a: Xy, b: Xy) {
        let n = [a.0, a.1, b.0, b.1].map(|v| format!("{v:.4}"));
        let pairs =
            [("  0", "LINE"), ("  8", layer), (" 10", &n[0]), (" 20", &n[1]), (" 11", &n[2]), (" 21", &n[3])];
        self.add(block, &pairs);
    }

    /// Opens a polyline that is closed by its flag: the first of that layer.
    pub fn open(&mut self, block: &str, layer: &str) {
        let range = self.block(block);
        let start = range
            .clone()
            .find(|&i| self.is(i, "0", "POLYLINE") && (i..i + 6).any(|k| self.is(k, "8", layer)));
        let flag = (start.unwrap()..range.end).find(|&i| self.is(i, "70", "1")).unwrap();
        "0".clone_into(&mut self.pairs[flag].1);
    }

    /// Adds a vertex after the last one of a layer's polyline.
    pub fn append(&mut self, block: &str, layer: &str, at: Xy) {
        let last = *self.vertices(block, layer).last().unwrap();
        let start = (0..last).rfind(|&i| self.pairs[i].0.trim() == "0").unwrap();
        let end = (last..self.pairs.len()).find(|&i| self.pairs[i].0.trim() == "0").unwrap();
        let copy = self.pairs[start..end].to_vec();
        self.pairs.splice(end..end, copy);
        self.set(end + last - start, at);
    }

    /// Multiplies every coordinate, notch depths too.
    pub fn scale(&mut self, factor: f64) {
        for (code, value) in &mut self.pairs {
            let code: i32 = code.trim().parse().unwrap();
            if matches!(code, 10 | 11 | 20 | 21 | 30 | 39)
                && let Ok(number) = value.trim().parse::<f64>()
            {
                *value = format!("{:.4}", number * factor);
            }
        }
    }
}
