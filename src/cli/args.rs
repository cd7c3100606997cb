//! What can be typed. Texts here become the help and the manual pages, where backticks would show.
#![allow(clippy::doc_markdown)]

use super::Failure;
use super::files::Inputs;
use crate::batch::Shard;
use crate::finding::FindingId;
use crate::job::{Aim, Allowances, AlterOptions, BlendTo, Deltas, TurnedIn, Uneven, length};
use crate::pattern::SizeName;
use crate::plot::PaperSize;
use crate::schema;
use crate::units::{Length, Unit};
use clap::builder::PossibleValuesParser;
use clap::{Args as ClapArgs, Parser, Subcommand, ValueEnum};
use std::num::{NonZeroU64, NonZeroUsize};
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
    /// Look a drawing over before marker making
    Check(CheckArgs),
    /// Alter many drawings, each with its size table, in one run
    Batch(BatchArgs),
    /// Draw every size from a base size and its grade rule table, or read the rules off a nest
    Grade(GradeArgs),
    /// Draw the pieces of a size at 1:1 on pages for a printer, as a PDF
    Plot(PlotArgs),
    /// Print the JSON Schema of something the program writes or reads
    Schema(SchemaArgs),
    /// Print completions for a shell
    Completions(CompletionsArgs),
    /// Write the manual pages into a folder
    Man(ManArgs),
}

impl Command {
    /// The options of every command that works on drawings.
    pub fn common(&self) -> Option<&Common> {
        match self {
            Command::Measure(a) => Some(&a.common),
            Command::Alter(a) => Some(&a.common),
            Command::Plot(a) => Some(&a.common),
            Command::Grade(a) => Some(&a.common),
            Command::Check(a) => Some(&a.common),
            Command::Batch(a) => Some(&a.common),
            Command::Schema(_) | Command::Completions(_) | Command::Man(_) => None,
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
    /// Unit that lengths are shown in, in texts, pages and prints; inches as fractions to 1/32
    /// [default: the drawing's; mm on pages]
    #[arg(long, value_name = "UNIT", value_enum)]
    pub show: Option<UnitArg>,
    /// Seam allowance where the drawing has no sew line; repeatable, such as all=5/8in
    #[arg(long, value_name = "SEAM=LENGTH")]
    pub allowance: Vec<String>,
    /// How much is turned in beyond the fold at waist or hem, from that edge of the sew line; repeatable, such as
    /// waist=35mm; waist=0 says that there is no fold
    #[arg(long, value_name = "SEAM=LENGTH")]
    pub fold: Vec<String>,
    /// Only this size; repeatable
    #[arg(long = "size", value_name = "S")]
    pub sizes: Vec<String>,
    /// How results are printed
    #[arg(long, value_enum, default_value = "text")]
    pub format: Format,
    /// Largest file that is read, in megabytes [default: 1000 for a drawing, 200 for any other]
    #[arg(long, value_name = "MB")]
    largest_input: Option<NonZeroU64>,
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
    /// What the options say of how a drawing is read.
    pub fn options(&self) -> Result<AlterOptions, Failure> {
        let fold =
            TurnedIn::parse(self.fold.iter().map(String::as_str)).map_err(|e| format!("--fold: {e}"))?;
        Ok(AlterOptions {
            unit: self.unit.map(Unit::from),
            allowance: Allowances::parse(self.allowance.iter().map(String::as_str))?,
            fold,
            only: self.only(),
            ..AlterOptions::default()
        })
    }

    /// The sizes asked for; all where none is.
    pub fn only(&self) -> Vec<SizeName> {
        self.sizes.iter().map(SizeName::new).collect()
    }

    /// The unit that lengths are to be shown in, if one is asked for.
    pub fn display_unit(&self) -> Option<Unit> {
        self.show.map(Unit::from)
    }

    /// The number of threads asked for, if any.
    pub fn threads(&self) -> Option<usize> {
        let slurm = || std::env::var("SLURM_CPUS_PER_TASK").ok()?.parse().ok();
        self.threads.or_else(slurm).map(NonZeroUsize::get)
    }

    /// How the files that are given are read.
    pub fn inputs(&self) -> Inputs {
        Inputs::up_to(self.largest_input)
    }
}

/// `truerise measure`
#[derive(Debug, ClapArgs)]
pub struct MeasureArgs {
    /// The drawing; several where each holds some of the sizes
    #[arg(required = true, value_name = "DRAWING")]
    pub drawings: Vec<PathBuf>,
    /// Write a size table to fill in, as .csv or .xlsx, or a sheet to take measures on, as .html or .pdf
    #[arg(long, value_name = "TABLE")]
    pub write_sizes: Option<PathBuf>,
    /// Where to write a report (.txt, .json, .csv, .html or .xlsx); repeatable. The page is the list of measures of every size,
    /// with the steps between sizes
    #[arg(long, value_name = "FILE")]
    pub report: Vec<PathBuf>,
    /// Tolerances for the list of measures: CSV or spreadsheet with the columns measure, plus, minus
    #[arg(long, value_name = "FILE", requires = "report")]
    pub tolerance_table: Option<PathBuf>,
    /// Replace files that are there already; never an input
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
    /// Size table, CSV, spreadsheet (.xlsx, .ods) or TOML: size, and crotch_length or change
    #[arg(long = "sizes", value_name = "TABLE")]
    pub table: PathBuf,
    /// The new drawing; a folder where several drawings are given
    #[arg(short, long, value_name = "OUT.dxf", required_unless_present_any = ["dry_run", "advise"])]
    pub output: Option<PathBuf>,
    /// Write a report; repeatable, the ending chooses: .txt .json .csv .html .xlsx
    #[arg(long, value_name = "FILE")]
    pub report: Vec<PathBuf>,
    #[command(flatten)]
    pub how: How,
    /// Print what each way with uneven shares would do, side by side, and alter nothing
    #[arg(long)]
    pub advise: bool,
    /// Work everything out and check it, but write no drawing; reports asked for by --report are written
    #[arg(long)]
    pub dry_run: bool,
    /// The new drawing holds the sizes asked for and no others: their blocks and placings are left out
    #[arg(long)]
    pub only_asked: bool,
    /// Replace files that are there already; never the input
    #[arg(long)]
    pub overwrite: bool,
    #[command(flatten)]
    pub common: Common,
}

/// `truerise batch`
#[derive(Debug, ClapArgs)]
pub struct BatchArgs {
    /// The order list, CSV or spreadsheet (.xlsx, .ods): order, drawing, sizes, and where wanted job
    /// and options of alter; paths in it are relative to it
    #[arg(value_name = "ORDERS", required_unless_present = "drawings", conflicts_with = "drawings")]
    pub orders: Option<PathBuf>,
    /// The folder for the results; each order gets a folder of its name in it
    #[arg(long, value_name = "DIR")]
    pub out: PathBuf,
    /// In place of an order list: drawings that share one size table, such as 'orders/*.dxf'; each is
    /// an order of its name
    #[arg(long, value_name = "PATTERN", num_args = 1.., requires = "table")]
    pub drawings: Vec<String>,
    /// The size table of all drawings, CSV, spreadsheet (.xlsx, .ods) or TOML
    #[arg(long = "sizes", value_name = "TABLE", requires = "drawings")]
    pub table: Option<PathBuf>,
    /// Do only this part of the orders, such as 2/4 for the second of four
    #[arg(long, value_name = "I/N", conflicts_with = "collect")]
    pub shard: Option<Shard>,
    /// Join the summaries of shards that have run, and alter nothing
    #[arg(long)]
    pub collect: bool,
    /// Replace files in DIR that no batch has written; never an input
    #[arg(long)]
    pub overwrite: bool,
    // They hold for every order whose row says nothing else.
    #[command(flatten)]
    pub how: How,
    #[command(flatten)]
    pub common: Common,
}

/// How a drawing is altered.
#[derive(Clone, Debug, ClapArgs)]
pub struct How {
    /// Grade rule table; the sizes it has and the drawing lacks are drawn first
    #[arg(long, value_name = "TABLE")]
    pub rules: Option<PathBuf>,
    #[command(flatten)]
    pub grading: Grading,
    /// Solve for the slide that makes the crotch length right, or slide by the share as it stands
    /// [default: length]
    #[arg(long, value_name = "length|distance")]
    pub aim: Option<Aim>,
    /// What to do where front and back do not get the same share [default: keep]
    #[arg(long, value_name = "keep|fork|waist")]
    pub uneven: Option<Uneven>,
    /// Where on the inseam the redrawn line has come back [default: knee, or hem in a size whose lines would not be smooth]
    #[arg(long, value_name = "knee|hem|LENGTH", value_parser = |text: &str| BlendTo::parse(text, None))]
    pub blend_to: Option<BlendTo<Length>>,
    /// By how much the difference of back and front inseam may change [default: 1.5mm]
    #[arg(long, value_name = "LENGTH", value_parser = |text: &str| length::parse(text, None))]
    pub tolerance: Option<Length>,
    /// A finding that shall not stop the drawing from being written; repeatable
    #[arg(long, value_name = "ID")]
    pub accept: Vec<FindingId>,
    /// Redraw pieces that hang on a leg alike: linings, facings, any piece with an edge that lay on a redrawn curve
    #[arg(long)]
    pub follow: bool,
    /// Say in the new drawing, as comments (group code 999) before everything else, which sizes were altered and by how much; an
    /// alteration that is there already is then told before it is done again
    #[arg(long)]
    pub say_altered: bool,
    /// Skip the second, independent reading of every leg before and after it is altered
    #[arg(long)]
    pub no_reread: bool,
}

impl How {
    /// What these options and those of every command say of how a drawing is read and altered.
    pub fn options(&self, common: &Common) -> Result<AlterOptions, Failure> {
        Ok(AlterOptions {
            aim: self.aim,
            uneven: self.uneven,
            blend_to: self.blend_to,
            tolerance: self.tolerance,
            accept: self.accept.clone(),
            follow: self.follow.then_some(true),
            say_altered: self.say_altered.then_some(true),
            no_reread: self.no_reread.then_some(true),
            ..common.options()?
        })
    }
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
    #[arg(long, value_name = "a4|letter|a3|legal|tabloid|a2|a1|a0", default_value = "a4")]
    pub paper: PaperSize,
    /// One long page on a roll of this width instead
    #[arg(long, value_name = "WIDTH", conflicts_with = "paper", value_parser = |text: &str| length::parse(text, None))]
    pub roll: Option<Length>,
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

/// `truerise grade`
#[derive(Debug, ClapArgs)]
pub struct GradeArgs {
    /// The drawing with the base size, or with every size for --derive-rules
    #[arg(value_name = "DRAWING")]
    pub drawing: PathBuf,
    /// Grade rule table to draw the sizes by
    #[arg(
        long,
        value_name = "TABLE",
        required_unless_present = "derive_rules",
        conflicts_with = "derive_rules"
    )]
    pub rules: Option<PathBuf>,
    /// The new drawing with every size; with --derive-rules the base size alone, with the rule numbers that the table has
    #[arg(
        short,
        long,
        value_name = "NEW.dxf",
        required_unless_present_any = ["derive_rules", "dry_run"]
    )]
    pub output: Option<PathBuf>,
    /// Read the rules off a drawing with every size, and write them to this table
    #[arg(long, value_name = "TABLE")]
    pub derive_rules: Option<PathBuf>,
    #[command(flatten)]
    pub grading: Grading,
    /// A finding that shall not stop the result from being written; repeatable
    #[arg(long, value_name = "ID")]
    pub accept: Vec<FindingId>,
    /// Work everything out and check it, but write no file
    #[arg(long)]
    pub dry_run: bool,
    /// Replace a file that is there already; never the input
    #[arg(long)]
    pub overwrite: bool,
    /// Skip the second, independent reading of every piece that was drawn
    #[arg(long)]
    pub no_reread: bool,
    #[command(flatten)]
    pub common: Common,
}

/// What `check` takes.
#[derive(Clone, Debug, ClapArgs)]
pub struct CheckArgs {
    /// The drawing; several are looked over one after the other
    #[arg(value_name = "DRAWING", required = true)]
    pub drawings: Vec<PathBuf>,
    /// The drawing it was made from: list what differs, and fail on anything outside the altered seams
    #[arg(long, value_name = "ORIGINAL")]
    pub against: Option<PathBuf>,
    /// Compare the text with the original's, not only what is drawn: a drawing that another program saved again differs then
    #[arg(long, requires = "against")]
    pub strict: bool,
    /// Where to write a report (.txt, .json, .csv, .html or .xlsx); repeatable. The page shows where each finding lies, and has
    /// room to sign
    #[arg(long, value_name = "FILE")]
    pub report: Vec<PathBuf>,
    /// Replace reports that are there already; never an input
    #[arg(long)]
    pub overwrite: bool,
    #[command(flatten)]
    pub common: Common,
}

/// How a rule table is read.
#[derive(Clone, Debug, ClapArgs)]
pub struct Grading {
    /// What the deltas of the rule table are counted from: the base size, or each size's neighbour
    /// [default: what fits the sizes that are drawn; base with --derive-rules]
    #[arg(long, value_name = "base|step")]
    pub deltas: Option<Deltas>,
    /// Which grade reference line of a piece counts where several point different ways, from 1 in
    /// the order drawn
    #[arg(long, value_name = "N")]
    pub reference: Option<NonZeroUsize>,
}

/// `truerise schema`
#[derive(Debug, ClapArgs)]
pub struct SchemaArgs {
    /// What the schema is of
    #[arg(value_parser = PossibleValuesParser::new(schema::names()))]
    pub name: String,
}

/// `truerise completions`
#[derive(Debug, ClapArgs)]
pub struct CompletionsArgs {
    /// The shell
    pub shell: clap_complete::Shell,
}

/// `truerise man`
#[derive(Debug, ClapArgs)]
pub struct ManArgs {
    /// The folder the pages are written into
    #[arg(value_name = "DIR")]
    pub folder: PathBuf,
    /// Replace pages that are there already
    #[arg(long)]
    pub overwrite: bool,
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
pub(crate) enum UnitArg {
    /// Millimetres
    Mm,
    /// Centimetres
    Cm,
    /// Inches
    In,
}

impl From<crate::units::Unit> for UnitArg {
    fn from(unit: crate::units::Unit) -> Self {
        match unit {
            crate::units::Unit::Mm => Self::Mm,
            crate::units::Unit::Cm => Self::Cm,
            crate::units::Unit::In => Self::In,
        }
    }
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
