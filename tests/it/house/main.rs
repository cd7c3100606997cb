//! Draws which room of the source uses which: `cargo run --example house` as a table, with `-- dot` as a graph for Graphviz.
#![allow(clippy::print_stdout, reason = "a program that prints")]

mod rooms;

use std::path::Path;

fn main() -> std::io::Result<()> {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let uses = rooms::read(&root.join("src"))?;
    let allowed = rooms::allowed(&std::fs::read_to_string(root.join("DEVELOPERS.md"))?);
    let may = |room: &str, other: &str| allowed.get(room).is_some_and(|may| may.uses(other));
    if std::env::args().nth(1).as_deref() == Some("dot") {
        println!("digraph rooms {{\n  node [shape=box];");
        for (room, used) in &uses {
            for (other, files) in used {
                let color = if may(room, other) { "black" } else { "red" };
                println!("  {room} -> {other} [label={}, color={color}];", files.len());
            }
        }
        println!("}}");
        return Ok(());
    }
    println!(
        "A room (line) uses another (column) in so many files; ! where DEVELOPERS.md does not allow it.\n"
    );
    println!("{:9}{}", "", line(uses.keys().cloned()));
    for (room, used) in &uses {
        let cell = |other: &String| match used.get(other) {
            Some(files) => format!("{}{}", files.len(), if may(room, other) { "" } else { "!" }),
            None => ".".to_owned(),
        };
        println!("{room:9}{}", line(uses.keys().map(cell)));
    }
    Ok(())
}

/// Cells to the right, under each other.
fn line(cells: impl Iterator<Item = String>) -> String {
    cells.map(|cell| format!("{cell:>9}")).collect::<Vec<_>>().concat()
}
