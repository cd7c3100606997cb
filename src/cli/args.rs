//! What can be typed. Texts here become the help and the manual pages, where backticks would show.
#![allow(clippy::doc_markdown)]

use crate::finding::FindingId;
use crate::job::{Aim, Uneven};
use crate::plot::PaperSize;
use clap::{Args as ClapArgs, Parser, Subcommand, ValueEnum};
use std::num::NonZeroUsize;
use std::path::PathBuf;

/// Alters the crotch seam of graded trouser patterns in DXF.
///
/// Reads open-standard DXF pattern pieces (ASTM D6673), measures crotch, inseam and outseam of every
/// size on the sew lines, slides front and back along the grain so that the crotch seam gets the
/// length it lacks, proves that the pieces still sew together, and writes a new drawing with a report
/// of every change. Sew a trial garment before cutting production fabric.
#[derive(Debug, Parser)]
#[command(name = "truerise", version, max_term_width = 100)]
pub struct Args {
    /// What to do.
    #[command(subcommand)]
    pub command: Command,
}

/// The commands.
#[derive(Debug, Subcommand)]
pub enum Command {
    /// Measure every size on the sew lines
    Measure(MeasureArgs),
    /// Alter every size in a size table, check it, and write the drawing and the report
    Alter(AlterArgs),
    /// Draw the pieces of a size at 1:1 on pages for a printer, as a PDF
    Plot(PlotArgs),
    /// Look a drawing over before marker making
    Check(CheckArgs),
}

impl Command {
    /// The options that every command has.
    pub fn common(&self) -> &Common {
        match self {
            Command::Measure(a) => &a.common,
            Command::Alter(a) => &a.common,
            Command::Plot(a) => &a.common,
            Command::Check(a) => &a.common,
        }
    }
}

/// Options that mean the same everywhere.
#[derive(Clone, Debug, ClapArgs)]
pub struct Common {
    /// TOML job file [default: truerise.toml beside the drawing, if there]
    #[arg(long, value_name = "FILE")]
    pub job: Option<PathBuf>,
    /// Unit of plain numbers in what you give [default: the drawing's]
    #[arg(long, value_name = "UNIT", value_enum)]
    pub unit: Option<UnitArg>,
    /// Seam allowance where the drawing has no sew line; repeatable, such as all=5/8in
    #[arg(long, value_name = "SEAM=LENGTH")]
    pub allowance: Vec<String>,
    /// Only this size; repeatable
    #[arg(long = "size", value_name = "S")]
    pub sizes: Vec<String>,
    /// How results are printed
    #[arg(long, value_enum, default_value = "text")]
    pub format: Format,
    /// Threads to work with [default: SLURM_CPUS_PER_TASK, else one for each processor]
    #[arg(long, value_name = "N")]
    threads: Option<NonZeroUsize>,
    /// Print no results and no progress, only errors
    #[arg(long)]
    pub quiet: bool,
    /// Colour in the terminal; NO_COLOR is honoured
    #[arg(long, value_enum, default_value = "auto")]
    pub color: Color,
}

impl Common {
    /// The number of threads asked for, if any.
    pub fn threads(&self) -> Option<usize> {
        let slurm = || std::env::var("SLURM_CPUS_PER_TASK").ok()?.parse().ok();
        self.threads.or_else(slurm).map(NonZeroUsize::get)
    }
}

/// `truerise measure`
#[derive(Debug, ClapArgs)]
pub struct MeasureArgs {
    /// The drawing; several where each holds some of the sizes
    #[arg(required = true, value_name = "DRAWING")]
    pub drawings: Vec<PathBuf>,
    /// Write a size table to fill in
    #[arg(long, value_name = "TABLE.csv")]
    pub write_sizes: Option<PathBuf>,
    /// Replace a table that is there already
    #[arg(long)]
    pub overwrite: bool,
    #[command(flatten)]
    pub common: Common,
}

/// `truerise alter`
#[derive(Debug, ClapArgs)]
#[allow(clippy::struct_excessive_bools)] // each is a flag that can be typed
pub struct AlterArgs {
    /// The drawing; several where each holds some of the sizes
    #[arg(required = true, value_name = "DRAWING")]
    pub drawings: Vec<PathBuf>,
    /// Size table, CSV or TOML: size, and crotch_length or change
    #[arg(long = "sizes", value_name = "TABLE")]
    pub table: PathBuf,
    /// The new drawing; a folder where several drawings are given
    #[arg(short, long, value_name = "OUT.dxf", required_unless_present_any = ["dry_run", "advise"])]
    pub output: Option<PathBuf>,
    /// Write a report; repeatable, the ending chooses: .txt .json .csv .html
    #[arg(long, value_name = "FILE")]
    pub report: Vec<PathBuf>,
    /// Solve for the slide that makes the crotch length right, or slide by the share as it stands
    /// [default: length]
    #[arg(long, value_name = "length|distance")]
    pub aim: Option<Aim>,
    /// What to do where front and back do not get the same share [default: keep]
    #[arg(long, value_name = "keep|fork|waist")]
    pub uneven: Option<Uneven>,
    /// Where on the inseam the redrawn line has come back [default: knee]
    #[arg(long, value_name = "knee|hem|LENGTH")]
    pub blend_to: Option<String>,
    /// How far the inseams may be off from what they differed by [default: 1.5mm]
    #[arg(long, value_name = "LENGTH")]
    pub tolerance: Option<String>,
    /// A finding that shall not stop the drawing from being written; repeatable
    #[arg(long, value_name = "ID")]
    pub accept: Vec<FindingId>,
    /// Print what each way with uneven shares would do, side by side, and alter nothing
    #[arg(long)]
    pub advise: bool,
    /// Do everything but write
    #[arg(long)]
    pub dry_run: bool,
    /// Replace files that are there already; never the input
    #[arg(long)]
    pub overwrite: bool,
    /// Skip the second, independent reading of every altered piece
    #[arg(long)]
    pub no_reread: bool,
    #[command(flatten)]
    pub common: Common,
}

/// `truerise plot`
#[derive(Debug, ClapArgs)]
pub struct PlotArgs {
    /// The drawing
    #[arg(value_name = "DRAWING")]
    pub drawing: PathBuf,
    /// Only the piece of this name
    #[arg(long, value_name = "NAME")]
    pub piece: Option<String>,
    /// The new PDF
    #[arg(short, long, value_name = "OUT.pdf")]
    pub output: PathBuf,
    /// Sheets to print on, which overlap and are taped together
    #[arg(long, value_name = "a4|letter|a3", default_value = "a4")]
    pub paper: PaperSize,
    /// One long page on a roll of this width instead
    #[arg(long, value_name = "WIDTH", conflicts_with = "paper")]
    pub roll: Option<String>,
    /// The drawing before it was altered: old lines that moved are drawn dotted
    #[arg(long, value_name = "ORIGINAL")]
    pub against: Option<PathBuf>,
    /// Font file (.ttf or .otf) for letters that the built-in font does not have
    #[arg(long, value_name = "FILE")]
    pub font: Option<PathBuf>,
    /// Replace a PDF that is there already; never the input
    #[arg(long)]
    pub overwrite: bool,
    #[command(flatten)]
    pub common: Common,
}

/// What `check` takes.
#[derive(Clone, Debug, ClapArgs)]
pub struct CheckArgs {
    /// The drawing
    pub drawing: PathBuf,
    /// The drawing it was made from: list what differs, and fail on anything outside the altered seams
    #[arg(long, value_name = "ORIGINAL")]
    pub against: Option<PathBuf>,
    #[command(flatten)]
    pub common: Common,
}

/// How results are printed.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub enum Format {
    /// A table for people
    Text,
    /// JSON
    Json,
    /// CSV
    Csv,
}

/// Units that plain numbers can have.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub enum UnitArg {
    /// Millimetres
    Mm,
    /// Centimetres
    Cm,
    /// Inches
    In,
}

impl From<UnitArg> for crate::units::Unit {
    fn from(arg: UnitArg) -> Self {
        match arg {
            UnitArg::Mm => Self::Mm,
            UnitArg::Cm => Self::Cm,
            UnitArg::In => Self::In,
        }
    }
}

/// When to colour.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub enum Color {
    /// On a terminal
    Auto,
    /// Always
    Always,
    /// Never
    Never,
}
