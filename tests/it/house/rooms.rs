//! Which room of the source uses which, read from the code itself: a room is a folder or a file at the top of `src`, and
//! it uses another where it names `crate::other`. Unit tests do not count.

use std::collections::{BTreeMap, BTreeSet};
use std::path::Path;
use std::{fs, io};

/// For each room the rooms it uses, each with the files that do.
pub type Uses = BTreeMap<String, BTreeMap<String, BTreeSet<String>>>;

/// Reads the rooms below a folder of source files.
pub fn read(src: &Path) -> io::Result<Uses> {
    let mut uses = Uses::new();
    let mut folders = vec![src.to_owned()];
    while let Some(folder) = folders.pop() {
        for entry in fs::read_dir(folder)? {
            let path = entry?.path();
            if path.is_dir() {
                folders.push(path);
                continue;
            }
            let name = path.strip_prefix(src).unwrap_or(&path).to_string_lossy().replace('\\', "/");
            let Some(room) = name.strip_suffix(".rs").and_then(|n| n.split('/').next()) else { continue };
            if room == "lib" {
                continue;
            }
            let used = uses.entry(room.to_owned()).or_default();
            for other in named(&fs::read_to_string(&path)?).into_iter().filter(|other| other != room) {
                used.entry(other).or_default().insert(name.clone());
            }
        }
    }
    Ok(uses)
}

/// The rooms that a source file names.
fn named(source: &str) -> BTreeSet<String> {
    let code = source.split("#[cfg(test)]\nmod ").next().unwrap_or_default();
    let code: String =
        code.lines().flat_map(|line| [line.split("//").next().unwrap_or_default(), "\n"]).collect();
    let mut rooms = BTreeSet::new();
    // The program names the library by its name.
    for path in code.split("crate::").skip(1).chain(code.split("truerise::").skip(1)) {
        match path.strip_prefix('{') {
            Some(group) => rooms.extend(heads(group)),
            None => rooms.extend(word(path)),
        }
    }
    if code.contains("words!") {
        rooms.insert("words".to_owned());
    }
    rooms
}

/// The first word of each path in the group of a `use`, `{` taken off.
fn heads(group: &str) -> Vec<String> {
    let (mut depth, mut found, mut begins) = (0, Vec::new(), true);
    for (at, c) in group.char_indices() {
        match c {
            '{' => depth += 1,
            '}' if depth == 0 => break,
            '}' => depth -= 1,
            ',' if depth == 0 => begins = true,
            c if begins && !c.is_whitespace() => {
                found.extend(word(&group[at..]));
                begins = false;
            }
            _ => {}
        }
    }
    found
}

fn word(text: &str) -> Option<String> {
    let end = text.find(|c: char| !c.is_alphanumeric() && c != '_').unwrap_or(text.len());
    (end > 0).then(|| text[..end].to_owned())
}

/// What a room may use.
#[derive(Default)]
pub struct May {
    /// The rooms named in its row.
    pub named: BTreeSet<String>,
    /// The rooms of the rows before, where the row says `all above`.
    pub above: BTreeSet<String>,
}

impl May {
    /// Whether it may use that room.
    pub fn uses(&self, other: &str) -> bool {
        self.named.contains(other) || self.above.contains(other)
    }
}

/// What each room may use by the last cell of its row in the table of a document.
pub fn allowed(document: &str) -> BTreeMap<String, May> {
    let rows = document
        .lines()
        .skip_while(|l| !l.starts_with("| room |"))
        .skip(2)
        .take_while(|l| l.starts_with('|'));
    let (mut seen, mut table) = (BTreeSet::new(), BTreeMap::new());
    for row in rows {
        let cells: Vec<&str> = row.trim_matches('|').split('|').collect();
        let [rooms, .., may] = cells.as_slice() else { continue };
        let above = if may.contains("all above") { seen.clone() } else { BTreeSet::new() };
        seen.extend(quoted(rooms));
        for room in quoted(rooms) {
            table.insert(room, May { named: quoted(may), above: above.clone() });
        }
    }
    table
}

/// The words in back quotes.
fn quoted(cell: &str) -> BTreeSet<String> {
    cell.split('`').skip(1).step_by(2).map(str::to_owned).collect()
}
