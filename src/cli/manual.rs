//! `truerise schema`, `completions` and `man`: the program's descriptions of itself.

use super::args::{Args, CompletionsArgs, ManArgs, SchemaArgs};
use super::{End, Failure, files, terminal, write};
use crate::report::json;
use crate::schema;
use clap::{Command, CommandFactory};
use clap_mangen::Man;
use std::path::PathBuf;

/// The program's name on the command line.
const PROGRAM: &str = "truerise";

pub(super) fn schema(args: &SchemaArgs) -> Result<End, Failure> {
    let schema = schema::named(&args.name).ok_or_else(|| format!("no schema is called {}", args.name))?;
    terminal::put(json::render(&schema)?.as_bytes())?;
    Ok(End::Sound)
}

pub(super) fn completions(args: &CompletionsArgs) -> Result<End, Failure> {
    let mut script = Vec::new();
    clap_complete::generate(args.shell, &mut Args::command(), PROGRAM, &mut script);
    terminal::put(&script)?;
    Ok(End::Sound)
}

/// Writes one manual page for the program and one for each command.
pub(super) fn man(args: &ManArgs) -> Result<End, Failure> {
    let mut program = Args::command();
    program.build();
    let mut pages: Vec<(PathBuf, Vec<u8>)> = vec![page(args, program.clone(), PROGRAM)?];
    for command in program.get_subcommands().filter(|c| c.get_name() != "help") {
        let name = format!("{PROGRAM}-{}", command.get_name());
        pages.push(page(args, command.clone().display_name(name.clone()), &name)?);
    }
    let mut outputs = files::Outputs::new(&[], args.overwrite);
    for (path, _) in &pages {
        outputs.add(path)?;
    }
    let pages = pages.iter().map(|(path, text)| (path.as_path(), text.as_slice()));
    write::watched(pages, write::Before::asked(args.overwrite))?;
    Ok(End::Sound)
}

fn page(args: &ManArgs, command: Command, name: &str) -> Result<(PathBuf, Vec<u8>), Failure> {
    let path = args.folder.join(format!("{name}.1"));
    let mut text = Vec::new();
    Man::new(command)
        .title(name.to_uppercase())
        .source(concat!("truerise ", env!("CARGO_PKG_VERSION")))
        .render(&mut text)?;
    Ok((path, text))
}
