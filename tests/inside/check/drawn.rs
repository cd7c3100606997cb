//! Small drawings of pieces with few, round numbers, so that what a check says of them can be worked out by hand.

use std::fmt::Write as _;

/// A point of a drawing.
pub type Xy = (f64, f64);

/// A block that is being drawn: metric, layers by their standard numbers (ASTM D6673: 1 boundary, 4 notch, 6 mirror line, 7
/// grain line, 14 sew line).
#[derive(Clone)]
pub struct Block {
    name: String,
    entities: String,
}

/// A block with the texts that every piece carries.
pub fn piece(name: &str, size: &str) -> Block {
    let texts = [&format!("Piece Name: {name}"), &format!("Size: {size}"), "Quantity: 2", "Material: SHELL"];
    texts.into_iter().fold(Block::bare(&format!("{name}-{size}")), Block::text)
}

impl Block {
    /// A block without any text.
    pub fn bare(name: &str) -> Self {
        Block { name: name.to_owned(), entities: String::new() }
    }

    pub fn text(mut self, text: &str) -> Self {
        let _ = write!(self.entities, "0\nTEXT\n8\n1\n10\n3.5\n20\n4.5\n40\n2.0\n1\n{text}\n");
        self
    }

    fn polyline(mut self, layer: &str, line: &[Xy], closed: u8) -> Self {
        let _ = write!(self.entities, "0\nPOLYLINE\n8\n{layer}\n66\n1\n70\n{closed}\n");
        for (x, y) in line {
            let _ = write!(self.entities, "0\nVERTEX\n8\n{layer}\n10\n{x:.3}\n20\n{y:.3}\n");
        }
        self.entities += "0\nSEQEND\n";
        self
    }

    /// A closed line.
    pub fn closed(self, layer: &str, line: &[Xy]) -> Self {
        self.polyline(layer, line, 1)
    }

    /// An open line.
    pub fn open(self, layer: &str, line: &[Xy]) -> Self {
        self.polyline(layer, line, 0)
    }

    pub fn line(mut self, layer: &str, a: Xy, b: Xy) -> Self {
        let _ = write!(
            self.entities,
            "0\nLINE\n8\n{layer}\n10\n{:.3}\n20\n{:.3}\n11\n{:.3}\n21\n{:.3}\n",
            a.0, a.1, b.0, b.1
        );
        self
    }

    pub fn drill_hole(mut self, (x, y): Xy) -> Self {
        let _ = write!(self.entities, "0\nPOINT\n8\n13\n10\n{x:.3}\n20\n{y:.3}\n");
        self
    }

    pub fn notch(mut self, (x, y): Xy) -> Self {
        let _ = write!(self.entities, "0\nPOINT\n8\n4\n10\n{x:.3}\n20\n{y:.3}\n");
        self
    }
}

/// A drawing of these blocks, with a sample size where one is given.
pub fn drawing_with(blocks: &[Block], texts: &[&str]) -> String {
    let mut out = "0\nSECTION\n2\nBLOCKS\n".to_owned();
    for Block { name, entities } in blocks {
        let _ = write!(out, "0\nBLOCK\n2\n{name}\n70\n0\n10\n0.0\n20\n0.0\n{entities}0\nENDBLK\n");
    }
    out += "0\nENDSEC\n0\nSECTION\n2\nENTITIES\n";
    for text in texts.iter().chain(&["Units: METRIC"]) {
        let _ = write!(out, "0\nTEXT\n8\n1\n10\n0.0\n20\n0.0\n40\n2.0\n1\n{text}\n");
    }
    out + "0\nENDSEC\n0\nEOF\n"
}

pub fn drawing(blocks: &[Block]) -> String {
    drawing_with(blocks, &[])
}

/// The number of the file's line that is `value` and comes first after the beginning of a block.
pub fn line_of(text: &str, block: &str, value: &str) -> usize {
    let lines: Vec<&str> = text.lines().collect();
    let start = (0..lines.len()).find(|&i| lines[i] == "BLOCK" && lines[i + 2] == block).unwrap();
    (start..lines.len()).find(|&i| lines[i] == value).unwrap() + 1
}

/// The number of the file's line on which a block begins.
pub fn block_line(text: &str, block: &str) -> usize {
    line_of(text, block, "BLOCK") - 1
}

/// The number of the file's line with the X of the entity number `i` of its kind and layer in a block.
pub fn x_line(text: &str, block: &str, (kind, layer): (&str, &str), i: usize) -> usize {
    let lines: Vec<&str> = text.lines().collect();
    let of_kind = |&l: &usize| lines[l] == kind && lines[l + 2] == layer;
    (block_line(text, block)..lines.len()).filter(of_kind).nth(i).unwrap() + 5
}

/// All that a check says of a drawing: severity, piece, size, place, line, message.
pub fn said(text: &str, id: &str) -> Vec<String> {
    said_within(text, id, &[])
}

/// The same by these tolerances in mm.
pub fn said_within(text: &str, id: &str, tolerances: &[(&str, &str)]) -> Vec<String> {
    let mut job = crate::job::Job::default();
    for (key, value) in tolerances {
        job.tolerance.set(key, value, None).unwrap();
    }
    let report = crate::check::run(&super::open(text), &job, None);
    let own = report.findings.iter().filter(|f| f.id.as_str() == id);
    own.map(|f| {
        let or_none = |text: &Option<String>| text.clone().unwrap_or_else(|| "-".to_owned());
        let at = f.at.map_or(String::new(), |[x, y]| format!(" at {x:.2},{y:.2}"));
        let line = f.line.map_or(String::new(), |l| format!(" line {l}"));
        format!("{} {} {}{at}{line}: {}", f.severity.word(), or_none(&f.piece), or_none(&f.size), f.message)
    })
    .collect()
}

/// The check says just this.
pub fn assert_said(text: &str, id: &str, meant: &[String]) {
    assert_eq!(said(text, id), meant, "{id}");
}

/// The outline of a rectangle.
pub fn rectangle((x, y): Xy, (width, height): Xy) -> [Xy; 4] {
    [(x, y), (x + width, y), (x + width, y + height), (x, y + height)]
}
